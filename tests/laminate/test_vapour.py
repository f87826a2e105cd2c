"""What the condensables push with: sums of the parts, and an upper end that only adds."""

import math

import numpy as np
import pytest
from iapws import IAPWS97
from shop_cases import EPOXY, PREPREG, UP, case

import outgas
from outgas.laminate.activity import pushes
from outgas.laminate.case import Hottest, hottest_vapour
from outgas.laminate.vapour import (
    BOIL_CLOSE_K,
    boiling_point,
    monomer_pressures,
    upper_ends,
    vapour,
    warmest_known,
)
from outgas.laminate.water import water_activity
from outgas.tables import catalogue

HOT = 313.15
TRACE = {"acetone": "1 %"}
BALSA = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], core="12 mm balsa")


def test_the_parts_are_the_public_ones_and_add_up():
    here = case(humidity=0.5, water_activity=0.4)
    found = vapour(here, HOT)
    wanted = outgas.partial_pressures(UP, "40 degC", water_activity=0.4)
    assert found.partial == pytest.approx({name: p.m_as("Pa") for name, p in wanted.items()})
    assert found.nominal == pytest.approx(sum(found.partial.values()))
    assert found.partial["water"] == pytest.approx(0.4 * IAPWS97(T=HOT, x=0).P * 1e6, rel=1e-3)


def test_the_upper_end_adds_each_ones_own_spread():
    here = case(humidity=0.5)
    push, name = pushes(here.resin, ())[0], "styrene"
    spread = math.hypot(push.above, catalogue.volatile(name).spread(HOT)[0])
    partial, high = monomer_pressures(here.resin, (), 1.0, HOT)
    assert dict(partial).keys() == {name}
    assert high == pytest.approx(dict(partial)[name] * (1.0 + spread))
    upper = vapour(here, HOT).high
    pure = outgas.vapour_pressure("water", outgas.Quantity(HOT, "K")).m
    water = water_activity(here, HOT)[1] * pure
    assert high + water < upper < high + 1.01 * water


def test_without_doubt_the_upper_end_is_the_nominal_one():
    here = case(water_activity=0.3, contaminants=TRACE).but(k=0.0)
    found = vapour(here, 300.0)
    assert found.high == pytest.approx(found.nominal)
    assert {"acetone", "styrene", "water"} == set(found.partial)
    one, two = (vapour(here.but(k=k), 300.0).high - found.nominal for k in (1.0, 2.0))
    assert two == pytest.approx(2.0 * one)
    assert one > 0.0


def test_the_hottest_moment_takes_its_upper_end_at_its_hot_side():
    here = case(EPOXY).but(hottest=Hottest(HOT, HOT + 8.0, ""))
    found = hottest_vapour(here)
    assert found.nominal == vapour(here, HOT).nominal
    assert found.high == vapour(here, HOT + 8.0).high > vapour(here, HOT).high
    sure = here.but(hottest=Hottest(HOT, HOT, ""))
    assert hottest_vapour(sure) == vapour(sure, HOT)


def test_the_warmest_known_is_the_end_of_the_curve_that_ends_first():
    def end(*names):
        return min(catalogue.volatile(name).warmest_K for name in names)

    assert end("styrene") < end("water")
    assert warmest_known(case()) == end("styrene")
    prepreg = case(PREPREG, celsius=21, process="prepreg")  # nothing in it boils but water
    assert warmest_known(prepreg) == end("water") > end("acetone")
    assert warmest_known(prepreg.but(contaminants=case(contaminants=TRACE).contaminants)) == end(
        "acetone"
    )


@pytest.mark.parametrize("more", [{}, {"contaminants": TRACE}, {"layup": BALSA}])
def test_the_upper_ends_at_many_temperatures_are_those_at_each(more):
    here = case(humidity=0.55, **more)
    T = np.linspace(285.0, 400.0, 47)
    each = [vapour(here, float(x)).high for x in T]
    assert upper_ends(here, T) == pytest.approx(each, rel=1e-12)


@pytest.mark.parametrize("pascal", [4000.0, 9000.0, 30000.0])
def test_the_boiling_point_is_the_warmest_that_a_pressure_surely_bears(pascal):
    liquid = case(UP)
    T = boiling_point(liquid, pascal)
    assert vapour(liquid, T).high <= pascal
    assert vapour(liquid, T + 2.0 * BOIL_CLOSE_K).high > pascal


@pytest.mark.parametrize("confidence", [0.8, 0.99])
@pytest.mark.parametrize("core", [None, "15 mm PVC foam", "15 mm balsa"])
def test_at_any_confidence_the_upper_ends_are_those_at_each(confidence, core):
    layup = None if core is None else outgas.Layup(core=core)
    liquid = case(confidence=confidence, layup=layup)
    T = np.array([295.0, 310.0, 330.0])
    each = [vapour(liquid, float(x)).high for x in T]
    assert upper_ends(liquid, T) == pytest.approx(each, rel=1e-9)
