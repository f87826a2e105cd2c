"""How gas is counted: by the balance of the limits, of the laminate, and cause by cause."""

import math

import numpy as np
import pytest
from white_laminates import UP, VE, inspected

import outgas
from outgas.diagnosis import gas as counted
from outgas.laminate import whiteness
from outgas.laminate.gas.held import Outcome
from outgas.laminate.gas.joint import KnownGas
from outgas.laminate.vapour import Vapour
from outgas.tables import catalogue

SHUT = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
LONG = 1e9  # s: all that diffusion can do
SPHERE = 4.0 * math.pi / 3.0


def held(V, nuclei=1e11):
    """A laminate that holds so much gas per resin in so many bubbles."""
    V = np.asarray(V, dtype=float)
    flags = np.zeros(V.shape, bool)
    return Outcome(V, np.full(V.shape, nuclei), np.zeros(V.shape), flags, flags)


def gas_at(course, mbar):
    """Gas per volume of resin after a course at a pressure."""
    return float(course.outcome(mbar * 100.0).gas_per_resin)


def test_voids_are_of_the_laminate_its_fibres_counted_in():
    here = inspected()
    resin = 1.0 - here.case.fibre_fraction
    assert 0.4 < resin < 0.7
    void, _ = counted.gas_of(here, held([0.0, 0.05, np.inf]))
    assert void == pytest.approx([0.0, 0.05 * resin / (1.0 + 0.05 * resin), 1.0])


def test_equal_bubbles_fill_what_the_balance_holds_and_a_froth_the_closest_packing():
    _, radius = counted.gas_of(inspected(), held([0.02, np.inf, 0.0]))
    assert 1e11 * SPHERE * radius[0] ** 3 == pytest.approx(0.02)
    froth = whiteness.DENSEST / (1.0 - whiteness.DENSEST)
    assert 1e11 * SPHERE * radius[1] ** 3 == pytest.approx(froth)
    assert 0.0 < radius[2] < radius[0]
    few = counted.gas_of(inspected(), held([0.02], nuclei=1e-20))[1]  # stirred-in ones remain
    assert few < 1e-3


def test_air_alone_ends_where_henry_and_boyle_say():
    """Shut in and left for long: L (p_air / p - 1), with no vapour and nothing stirred in."""
    here = inspected(layup=SHUT, air_pressure="900 mbar", entrained="1 %")
    alone = counted.air_alone(here.course).but(hold_s=LONG)
    L = outgas.resin(UP).air_solubility.si
    for mbar in (100.0, 300.0):
        assert gas_at(alone, mbar) == pytest.approx(L * (900.0 / mbar - 1.0), rel=1e-6)
    assert gas_at(alone, 950.0) == 0.0


def test_stirred_in_air_alone_swells_by_boyle_and_leaves_only_where_it_connects():
    here = inspected(layup=SHUT, entrained="0.4 %")
    alone = counted.stirred_in_alone(here.course)
    dry = 0.004 * (here.barometer - here.course.known.gas.mixed_vapour_Pa)
    assert gas_at(alone, 250.0) == pytest.approx(dry / 250e2, rel=1e-9)
    assert gas_at(alone, 25.0) == pytest.approx(dry / 25e2, rel=1e-9)
    trapped = here.case.trapped.nominal
    way_out = counted.stirred_in_alone(inspected(entrained="4 %").course)
    assert gas_at(way_out, 100.0) == pytest.approx(trapped / (1.0 - trapped))


def test_the_initiators_gas_alone_is_what_the_cup_left_of_it():
    """By hand: halved every half-time from mixing, at Boyle's volume; none of it dissolves."""
    here = inspected(VE, layup=SHUT)
    alone, made = counted.initiator_alone(here.course), catalogue.gas().initiator["ordinary"]
    half, cup = made.half_time.si, alone.known.gas.cup_s
    hold = alone.early_s + alone.hold_s  # a straight pull lasts both
    comes = made.gas.si * (0.5 ** (cup / half) - 0.5 ** ((cup + hold) / half))
    expansion = here.course.expansion
    assert gas_at(alone, 500.0) == pytest.approx(comes * 1013.25 / 500.0 * expansion, rel=1e-3)
    assert gas_at(alone.but(early_s=0.0, hold_s=0.0), 500.0) == 0.0


def test_sizes_go_from_many_small_bubbles_to_few_large_as_the_number_moves():
    here = inspected(bag="200 mbar")
    p = np.array([200e2])
    low, high = counted.sizes(here, here.course, p)
    _, radius = counted.gas_of(here, here.course.outcome(p))
    assert low < radius[0] < high
    ends = here.course.known.ends["spacing_m"]
    assert high / low > 0.5 * ends[1] / ends[0]
    exact = here.course.but(known=KnownGas(here.course.known.gas, {}))
    assert counted.sizes(here, exact, p) == pytest.approx((radius[0], radius[0]))


def test_a_cause_with_figures_of_its_own_has_them_as_they_are():
    leak = catalogue.signs().cause["leak"]
    void, radius = counted.held(leak)
    assert void == (leak.void.low_si, leak.void.high_si)
    assert radius == (leak.radius.low_si, leak.radius.high_si)


def test_more_gas_is_noticed_more_surely_and_none_not_at_all():
    here, radius = inspected(), np.array([20e-6])
    none, some, much, froth = (
        counted.seen_surely(here, np.array([v]), radius) for v in (0.0, 0.002, 0.05, 1.0)
    )
    assert 0.0 == none < some < much <= froth <= 1.0
    assert counted.seen_surely(here, np.array([7.0]), radius) == froth


def test_what_is_noticed_is_the_mean_over_what_the_bag_may_have_been():
    sure, doubtful, radius = inspected(), inspected(error=2500.0, bag="300 mbar"), np.array([2e-5])
    shares = np.where(doubtful.resin.pressure < doubtful.resin.median, 0.05, 0.0)
    low, high = (counted.seen_surely(sure, np.array([v]), radius) for v in (0.0, 0.05))
    half = counted.seen_surely(doubtful, shares, radius)
    assert half == pytest.approx(0.5 * (low + high), abs=0.02)


def test_voids_are_told_at_the_middle_two_thirds_the_smaller_first():
    here = inspected(error=2500.0, bag="800 mbar")
    low, high = here.resin.interval
    assert low < 800e2 < high
    void, _ = counted.would_make(here, here.course)
    fibre = here.case.fibre_fraction
    ends = [float(here.course.outcome(p).void_fraction(fibre)) for p in (high, low)]
    assert void == pytest.approx(tuple(ends))
    assert void[0] < void[1]


def pushed(course, p_v):
    """A course under one vapour pressure [Pa]."""
    return counted.pushed_by(course, Vapour({}, p_v, p_v), Vapour({}, p_v, p_v))


def test_a_vapour_adds_no_less_than_its_share_of_each_bubble_and_all_of_a_boil():
    here = inspected()
    wet, dry = pushed(here.course, 30e2), pushed(here.course, 0.0)
    p = np.array([60e2, 25e2])
    full, resin = wet.outcome(p), 1.0 - here.case.fibre_fraction
    half = 0.5 * full.gas_per_resin[0] * resin  # what is trapped is full either way
    found = counted.added(here, wet, dry, p)
    assert found == pytest.approx([half / (1.0 + half), counted.gas_of(here, full)[0][1]])
    shut = inspected(layup=SHUT)
    wet, dry = pushed(shut.course, 30e2), pushed(shut.course, 0.0)
    more = (gas_at(wet, 60.0) - gas_at(dry, 60.0)) * (1.0 - shut.case.fibre_fraction)
    found = counted.added(shut, wet, dry, p)
    assert found == pytest.approx([more / (1.0 + more), 1.0])  # boiling with no way out


def test_where_it_shows_the_optical_depth_is_that_of_a_clear_laminate():
    here = inspected()
    p, fails = here.air_limits
    table = catalogue.gas().look
    for step, clear in ((1.0, True), (0.99, False)):
        held_there = here.course.outcome(p * step)
        deep = held_there.optical_depth(here.case.fibre_fraction, here.thickness)
        assert bool(deep <= table.clear.si) is clear
    assert fails > p  # few large bubbles: too many voids before any is seen
    void, _ = counted.gas_of(here, here.course.outcome(np.array([fails])))
    assert void[0] == pytest.approx(here.case.void_target, rel=0.02)


def test_a_debulk_told_is_gone_through_and_lowers_where_the_air_shows():
    straight, after = inspected(), inspected(seen={"debulk": "yes"})
    assert straight.course.early_Pa is None
    assert inspected(seen={"debulk": "none"}).course.early_Pa is None
    assert after.course.early_Pa == pytest.approx(90e2, rel=0.1)
    for less, more in zip(after.air_limits, straight.air_limits, strict=True):
        assert less < 0.7 * more
