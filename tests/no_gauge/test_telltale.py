import json
import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError

UP = "orthophthalic-polyester"


def advice(**asked):
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    return outgas.advise(UP, shop, **asked)


def saturation(quantity):
    return outgas.vapour_pressure("water", quantity).m_as("Pa")


def degassed():
    return advice(air_pressure="27 mbar", void_target="5 %")


def test_degassed_resin_is_cured_between_two_vials():
    found = outgas.telltale(degassed())
    assert found.must_not_boil < found.must_boil
    assert saturation(found.must_not_boil) > degassed().deepest_Pa
    assert saturation(found.must_boil) < degassed().shallowest_Pa
    for temperature in (found.must_boil, found.must_not_boil):
        assert 7.0 <= temperature.m_as("degC") <= 60.0
        assert (temperature.m_as("degC") * 2) % 1 == pytest.approx(0.0)


def test_undegassed_resin_is_beyond_water_for_the_cure_but_not_for_the_debulk():
    assert outgas.telltale(advice()) is None
    assert "weighted plate" in outgas.better_instrument(advice())
    early = outgas.telltale(advice(), "debulk")
    assert early.floor_Pa >= advice().debulk_limit_Pa
    assert saturation(early.must_not_boil) > advice().debulk_limit_Pa


@given(air=st.floats(5.0, 150.0))
def test_a_vial_that_fell_quiet_leaves_little_chance_of_deeper_than_deepest(air):
    got = advice(air_pressure=f"{air} mbar")
    found = outgas.telltale(got)
    if found is None:
        return
    bag = outgas.BagPressure.unknown(f"{got.barometer_Pa} Pa").fell_quiet(found.must_not_boil)
    assert bag.chance_below(got.deepest) < 0.06
    assert bag.advise(
        UP,
        outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m"),
        air_pressure=f"{air} mbar",
    ).state in ("safe", "cannot tell")


def test_too_deep_for_water_asks_for_a_sensor():
    shop = outgas.Shop(temperature="20 degC", humidity="40 %")
    deep = outgas.advise(
        "epoxy-laminating", shop, process="degassing", vapour_share=1.0, water_activity=0.1
    )
    assert deep.deepest_Pa < 1000.0
    assert outgas.telltale(deep) is None
    assert "absolute sensor" in outgas.better_instrument(deep)


def test_prepreg_and_other_stages_are_refused():
    shop = outgas.Shop(temperature="21 degC", humidity="40 %")
    prepreg = outgas.advise("out-of-autoclave-epoxy-prepreg", shop, process="prepreg")
    with pytest.raises(InputError, match="no vials are needed"):
        outgas.telltale(prepreg)
    with pytest.raises(InputError, match="'cure' or 'debulk'"):
        outgas.telltale(advice(), "infuse")


def test_the_recipe_says_where_and_how_and_what_never():
    found = outgas.telltale(degassed())
    text = found.to_text(full=True).replace("\n    ", " ")
    for words in (
        "catch pot on the pump side, shut off from the part",
        "pull until both boil",
        "until the cooler falls quiet while the warmer still boils",
        "water only: never monomer",
        "no glass",
        "no mercury",
        "fresh chip",
    ):
        assert words in text
    assert "inHg vacuum" in text
    assert "bar gauge" in found.to_text("bar", full=True)
    got = json.loads(found.to_json())
    assert got["must_boil_K"] == found.must_boil_K
    assert got["recipe"]


def test_the_recipe_says_what_changes_when_the_part_is_opened():
    text = " ".join(outgas.telltale(degassed()).to_text(full=True).split())
    for words in (
        "the vials stand in the pot, shut off from the part, and tell of the pot alone",
        "before the valve to the part is opened, take them out",
        "without their vapour the same bleed holds deeper",
        "a leak in the part holds it weaker",
        "bleed up until it stands where it stood",
    ):
        assert words in text, words


@settings(deadline=None)
@given(air=st.floats(5.0, 150.0))
def test_what_vials_promise_is_true_as_printed(air):
    """The floor is what the printed temperature gives, never deeper than the limit."""
    got = advice(air_pressure=f"{air} mbar")
    for stage, limit in (("cure", got.deepest_Pa), ("debulk", got.debulk_limit_Pa)):
        found = outgas.telltale(got, stage)
        if found is None:
            continue
        assert found.floor_Pa >= limit
        text = " ".join(found.to_text(full=True).split())
        said = re.search(
            r"no deeper than ([\d.]+) inHg vacuum \((\d+) mbar absolute\).*"
            r"no weaker than ([\d.]+) inHg vacuum \((\d+) mbar absolute\)",
            text,
        )
        inches, floor, weak, roof = (float(x) for x in said.groups())
        assert floor * 100.0 <= found.floor_Pa
        assert floor >= math.floor(limit / 100.0)
        assert found.barometer_Pa - inches * 3386.389 <= found.floor_Pa
        assert roof * 100.0 >= found.roof_Pa
        assert found.barometer_Pa - weak * 3386.389 >= found.roof_Pa - 1.0


def test_where_water_cannot_serve_the_limit_is_rounded_up_and_the_plate_stands_inside():
    got = advice()
    limit = float(re.search(r"for (\d+) mbar", outgas.better_instrument(got)).group(1))
    assert limit * 100.0 >= got.deepest_Pa
    assert "a weighted plate inside the pot" in outgas.better_instrument(got)


def test_what_the_vials_hold_and_promise_is_the_waters_own_pressure():
    """The cooler boils under its own head of water; the warmer may be read too cold."""
    from outgas.laminate.water import water_pressure
    from outgas.tables import catalogue

    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    vials = outgas.telltale(outgas.advise("orthophthalic-polyester", shop), "debulk")
    e = catalogue.evidence()
    held = water_pressure(vials.must_not_boil_K) - e.vial_head.si
    assert vials.held_Pa == pytest.approx(held)
    assert vials.roof_Pa == pytest.approx(water_pressure(vials.must_boil_K + e.thermometer.si))
    assert vials.must_boil_K - vials.must_not_boil_K >= e.vial_gap.low_si
