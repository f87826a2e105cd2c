"""How gas is counted: what stays, how big its bubbles are, how surely it shows."""

import math

import numpy as np
import pytest
from white_laminates import UP, inspected

import outgas
from outgas.diagnosis import gas as counted
from outgas.laminate import whiteness
from outgas.tables import catalogue

AIR = catalogue.signs().cause["dissolved-air"]


def test_a_void_fraction_is_of_what_stays_after_the_share_that_leaves():
    kept = catalogue.practice().process["wet-layup"].gas_kept.si
    found = counted.kept(inspected(), np.array([0.0, 0.5, np.inf]))
    assert found == pytest.approx([0.0, kept * 0.5 / (1.0 + kept * 0.5), 1.0])
    shut = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
    assert counted.kept(inspected(layup=shut), np.array([1.0]))[0] == pytest.approx(0.5)


def test_gas_of_a_closed_cell_is_the_public_one_and_stays_finite_where_it_boils():
    here = inspected(hottest="22 degC", water_activity=0.3)
    p_v = here.hot.nominal
    p = np.array([200e2, 500e2])
    found = counted.gas(here, p, p_v, 0.005, 800e2)
    voids = outgas.void_fraction(
        UP, "22 degC", outgas.Quantity(p, "Pa"), 0.005, outgas.Quantity(800e2, "Pa"), 0.3
    )
    assert found / (1.0 + found) == pytest.approx(voids.m, rel=1e-6)
    boils = counted.gas(here, np.array([0.0, 0.5 * p_v, 1.1 * p_v, 1.2 * p_v]), p_v, 0.0, 800e2)
    assert boils[0] == boils[1] == pytest.approx(boils[2])
    assert boils[2] > 1.9 * boils[3]  # twice the room above p_v takes half the gas


def test_equal_bubbles_fill_what_their_void_fraction_says():
    radius = float(counted.radius_of(0.01, 1e11))
    assert 1e11 * 4.0 / 3.0 * math.pi * radius**3 == pytest.approx(0.01)
    assert counted.radius_of(1.0, 1e11) == counted.radius_of(whiteness.DENSEST, 1e11)
    assert counted.radius_of(0.0, 1e11) > 0.0


def test_sizes_go_from_little_gas_in_many_bubbles_to_much_in_few():
    small, large = counted.sizes(AIR, (0.001, 0.02))
    assert AIR.nuclei.high_si * 4.0 / 3.0 * math.pi * small**3 == pytest.approx(0.001)
    assert AIR.nuclei.low_si * 4.0 / 3.0 * math.pi * large**3 == pytest.approx(0.02)
    assert counted.sizes(AIR, (0.0, 0.0)) == counted.sizes(AIR, (1e-5, 1e-4))


def test_a_cause_with_figures_of_its_own_has_them_as_they_are():
    leak = catalogue.signs().cause["leak"]
    void, radius = counted.held(leak)
    assert void == (leak.void.low_si, leak.void.high_si)
    assert radius == (leak.radius.low_si, leak.radius.high_si)


def test_more_gas_is_noticed_more_surely_and_none_not_at_all():
    here = inspected()
    none, some, much, froth = (
        counted.noticed(AIR, here, np.array([v])) for v in (0.0, 0.002, 0.05, 1.0)
    )
    assert 0.0 <= none < 0.05 < some < much <= froth <= 1.0
    assert counted.noticed(AIR, here, np.array([7.0])) == froth


def test_what_is_noticed_is_the_mean_over_what_the_bag_may_have_been():
    sure, doubtful = inspected(), inspected(error=2500.0, bag="300 mbar")
    shares = np.where(doubtful.resin.pressure < doubtful.resin.median, 0.05, 0.0)
    low, high = (counted.noticed(AIR, sure, np.array([v])) for v in (0.0, 0.05))
    assert counted.noticed(AIR, doubtful, shares) == pytest.approx(0.5 * (low + high), abs=0.02)


def test_a_span_is_of_the_middle_two_thirds_the_smaller_first():
    here = inspected(error=2500.0, bag="300 mbar")
    low, high = here.resin.interval
    assert low < 300e2 < high
    assert counted.span(here, lambda p: 1.0 / p) == pytest.approx((1.0 / high, 1.0 / low))
    assert counted.span(here, lambda p: p) == pytest.approx((low, high))
