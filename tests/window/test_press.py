import re

import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError

SHOP = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")


@pytest.fixture(scope="module")
def advice():
    return outgas.advise("orthophthalic-polyester", SHOP, process="pressing")


def test_half_a_bar_on_a_panel_is_tonnes(advice):
    press = outgas.press_instead(advice, outgas.Layup(area="0.8 m2"), "500 mbar")
    assert press.force.m_as("kN") == pytest.approx(40.0)
    assert press.kilograms.m_as("kg") == pytest.approx(4079, abs=1)
    low, high = press.resin_pressure
    assert low.m_as("mbar") == pytest.approx(1010.8, abs=0.1)
    assert (high - low).m_as("mbar") == pytest.approx(500)
    assert press.safe


def test_sandbags_are_nothing_and_that_is_said(advice):
    press = outgas.press_instead(advice, outgas.Layup(area="0.8 m2"))
    assert press.sandbags_Pa == pytest.approx(3677, abs=1)
    text = press.to_text(full=True)
    assert "300 kg of sandbags are 36 mbar on this panel, 1.0 inHg: 7%" in text
    assert "Cautions" in text
    assert "safety data sheet" in text
    assert press.to_dict()["force_N"] == press.force_N


def test_weights_do_it_where_they_can_and_not_where_they_cannot(advice):
    small = outgas.press_instead(advice, outgas.Layup(area="0.05 m2"), "300 mbar")
    assert small.mass_kg == pytest.approx(153, abs=1)
    assert "weights do it here: 153 kg" in small.to_text(full=True)
    assert "cannot do it" not in small.to_text(full=True)
    for area in (0.01, 0.03, 0.09, 0.099, 0.2, 0.7, 3.0):
        press = outgas.press_instead(advice, outgas.Layup(area=f"{area} m2"), "300 mbar")
        assert ("weights cannot do it" in press.to_text(full=True)) == (
            press.sandbags_Pa < press.clamp_Pa
        )
        if press.sandbags_Pa < press.clamp_Pa:
            share = int(
                re.search(r"(\d+)% of the clamp that is wanted", press.to_text(full=True)).group(1)
            )
            assert share / 100 <= press.sandbags_Pa / press.clamp_Pa < (share + 1) / 100
        inches = float(
            re.search(r"on this panel, ([\d.]+) inHg", press.to_text(full=True)).group(1)
        )
        assert 0.0 <= press.sandbags_Pa / 3386.389 - inches < 0.1


def test_what_boils_at_the_atmosphere_is_told_from_the_resins_own_vapour():
    """Checked with the public pressures: styrene over the polyester and water by its activity."""
    for a, near in ((0.5, 110.0), (None, 110.0), (0.0, 150.0)):
        got = outgas.advise("orthophthalic-polyester", SHOP, process="pressing", water_activity=a)
        boils = got.boils_in_air_K[0]
        assert boils - 273.15 == pytest.approx(near, abs=6.0)
        water = got.water_activity[1]
        p = outgas.bubble_pressure("orthophthalic-polyester", outgas.Quantity(boils, "K"), water)
        assert 0.8 * got.barometer_Pa < p.m_as("Pa") <= got.barometer_Pa  # its upper end boils
        said = outgas.press_instead(got, outgas.Layup(area="1 m2")).to_text(full=True)
        assert f"may boil from {int(boils - 273.15)} degC" in said
    dry = outgas.advise("orthophthalic-polyester", SHOP, process="pressing").boils_in_air_K[1]
    assert dry > got.boils_in_air_K[0] - 0.1


def test_a_hot_press_is_told_that_its_resin_boils_in_it():
    hot = outgas.advise(
        "orthophthalic-polyester", SHOP, process="pressing", hottest="115 degC", water_activity=0.5
    )
    press = outgas.press_instead(hot, outgas.Layup(area="1 m2"))
    assert "boils even in a press" in press.to_text(full=True)
    assert not press.safe


def test_a_soft_core_is_not_pressed_flat(advice):
    layup = outgas.Layup(area="0.8 m2", core="20 mm expanded polystyrene")
    press = outgas.press_instead(advice, layup)
    assert not press.safe
    assert "too much for" in press.to_text(full=True)


def test_a_resin_that_boils_at_the_atmosphere_is_not_safe_in_a_press():
    advice = outgas.advise("resole-phenolic", SHOP, process="pressing")
    assert not outgas.press_instead(advice, outgas.Layup(area="1 m2")).safe


def test_no_area_no_force(advice):
    with pytest.raises(InputError, match="no area"):
        outgas.press_instead(advice, outgas.Layup())
    with pytest.raises(OutOfRangeError):
        outgas.press_instead(advice, outgas.Layup(area="1 m2"), "900 bar")


def test_a_press_that_lets_no_gas_out_must_hold_the_air_in_too():
    for resin, hot in (("orthophthalic-polyester", "30 degC"), ("acrylic-infusion", "45 degC")):
        pressing = outgas.advise(resin, SHOP, process="pressing", hottest=hot)
        press = outgas.press_instead(pressing, outgas.Layup(area="1 m2"))
        assert press.needed_Pa == pytest.approx(pressing.deepest_Pa)
        assert press.safe == pressing.has_window


def test_a_bag_advice_asks_a_press_for_no_less_than_the_press_advice():
    bag = outgas.advise("orthophthalic-polyester", SHOP)
    pressing = outgas.advise("orthophthalic-polyester", SHOP, process="pressing")
    layup = outgas.Layup(area="1 m2")
    need = outgas.press_instead(bag, layup).needed_Pa
    assert need == pytest.approx(outgas.press_instead(pressing, layup).needed_Pa)


def test_a_press_carries_the_resins_own_cautions(advice):
    press = outgas.press_instead(advice, outgas.Layup(area="1 m2"))
    assert set(advice.cautions) < set(press.cautions)
    assert "peroxide last" in press.to_text(full=True)


def test_a_pot_says_nothing_of_a_panel():
    pot = outgas.advise("orthophthalic-polyester", SHOP, process="degassing")
    with pytest.raises(InputError, match="degassing pot"):
        outgas.press_instead(pot, outgas.Layup(area="1 m2"))
