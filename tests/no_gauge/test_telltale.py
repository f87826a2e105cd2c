import json

import pytest
from hypothesis import given
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
    return advice(air_pressure="27 mbar")


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
    assert early.floor_Pa == advice().debulk_limit_Pa
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
    text = str(found).replace("\n    ", " ")
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
    assert "bar gauge" in found.to_text("bar")
    got = json.loads(found.to_json())
    assert got["must_boil_K"] == found.must_boil_K
    assert got["recipe"]
