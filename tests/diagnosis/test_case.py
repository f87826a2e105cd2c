"""What the causes are judged by: what was damp, how hard the air presses, what a sweep takes."""

import pytest
from iapws import IAPWS97
from white_laminates import EP, PREPREG, UP, inspected

import outgas
from outgas.diagnosis.case import air_left, clamp_needed, swept, told, tool_humidity, wetness
from outgas.tables import catalogue


def steam(celsius):
    return IAPWS97(T=celsius + 273.15, x=0).P * 1e6


def test_the_clamp_is_the_air_less_the_bag_and_never_below_none():
    assert inspected(bag="613.25 mbar").clamp == pytest.approx(400e2)
    assert inspected(bag="1013.25 mbar").clamp == pytest.approx(0.0, abs=1e-6)
    assert inspected().barometer == pytest.approx(101325.0)


def test_each_process_needs_the_clamp_of_its_table_or_what_its_weakest_bag_leaves():
    assert clamp_needed(inspected()) == pytest.approx(340e2)
    assert clamp_needed(inspected(process="infusion")) == pytest.approx(300e2)
    prepreg = inspected(PREPREG, bag=None, process="prepreg")
    assert clamp_needed(prepreg) == pytest.approx(1013.25e2 - 50e2)


def test_wet_goes_from_none_to_all_between_the_tables_two_humidities():
    dry, damp = (getattr(catalogue.signs().gate, name).si for name in ("dry", "damp"))
    kept = {"cloth store": "dry and wrapped"}

    def wet(humidity, seen=kept):
        return wetness(inspected(seen=seen, shop={"humidity": humidity}))[0]

    assert wet(dry) == wet(dry - 0.1) == 0.0
    assert wet(dry + 0.25 * (damp - dry)) == pytest.approx(0.25)
    assert wet(damp) == pytest.approx(1.0)
    assert wet(damp + 0.1) == 1.0
    hidden = catalogue.signs().gate.hidden_damp.si  # nobody said how the cloth was kept
    assert wet(dry, seen=None) == hidden
    assert wet(damp, seen=None) == pytest.approx(1.0)


def test_a_damp_store_or_wood_is_wet_in_the_driest_shop():
    shop = {"humidity": "10 %"}
    balsa = outgas.Layup(core="12 mm balsa")
    for given in ({"seen": {"cloth store": "damp"}}, {"seen": {"core kind": "balsa"}}):
        assert wetness(inspected(shop=shop, **given))[0] == 1.0
    assert wetness(inspected(shop=shop, layup=balsa))[0] == 1.0
    foam = outgas.Layup(core="12 mm PVC foam")
    assert wetness(inspected(shop=shop, layup=foam))[0] < 0.5


def test_air_is_wetter_at_a_cold_tool_by_the_steam_tables():
    cold = {"temperature": "22 degC", "tool_temperature": "18 degC"}
    humidity, place = tool_humidity(inspected(shop=cold))
    assert humidity == pytest.approx(0.5 * steam(22) / steam(18), rel=1e-3)
    assert "18 degC" in place
    step = catalogue.signs().gate.colder.si  # said to be colder, and not by how much
    humidity, place = tool_humidity(inspected(seen={"tool": "colder than the air"}))
    assert humidity == pytest.approx(0.5 * steam(22) / steam(22 - step), rel=1e-3)
    assert f"{step:.0f} K colder" in place
    hardly = {"temperature": "22 degC", "tool_temperature": "21.6 degC"}
    assert tool_humidity(inspected(shop=hardly)) == (0.5, "the laminate")


def test_a_sweep_takes_the_grams_of_the_gas_law():
    """By hand: p M / (R T) of styrene, 104.15 g/mol."""
    styrene = outgas.partial_pressures(UP, "22 degC")["styrene"].m_as("Pa")
    assert swept(inspected()) == pytest.approx(styrene * 104.15 / (8.314462618 * 295.15), rel=1e-4)
    assert swept(inspected(PREPREG, bag=None, process="prepreg")) == 0.0


def test_warmth_that_nobody_measured_raises_the_upper_vapour_only():
    guessed, known = inspected(), inspected(hottest="25 degC")
    assert known.upper_Pa == known.hot.high
    assert guessed.upper_Pa > guessed.hot.high
    warmer = inspected(
        hottest=outgas.Quantity(guessed.case.hottest_K + catalogue.signs().gate.warmer.si, "K")
    )
    assert guessed.upper_Pa == pytest.approx(warmer.hot.high)
    margins = catalogue.practice().margins
    assert guessed.least_Pa == pytest.approx(guessed.hot.high / margins.vapour_share.si)
    # a warmth that was named has its doubt in it: a quarter, and twenty millibars at the least
    assert known.least_Pa == pytest.approx(
        max(1.25 * known.hot.high, known.hot.high + margins.vapour_clear.si)
    )


def test_undegassed_resin_holds_the_air_less_the_vapours_of_the_shop():
    vapours = outgas.bubble_pressure(UP, "22 degC", water_activity=0.4).m_as("Pa")
    assert air_left(inspected(water_activity=0.4)) == pytest.approx(101325.0 - vapours, rel=1e-9)
    assert air_left(inspected(air_pressure="300 mbar")) == pytest.approx(300e2)


def test_the_thickness_is_that_of_the_plies_and_the_tables_without():
    assert inspected(EP).thickness == catalogue.gas().look.thickness.si
    one, two = (
        inspected(EP, layup=outgas.Layup(plies=[f"{n} x 400 g/m2 woven glass"])).thickness
        for n in (1, 2)
    )
    assert two == pytest.approx(2.0 * one)


def test_a_pressure_told_is_rounded_to_less_vacuum():
    assert str(told("{} or {}", 1501.0, 1500.0)) == "16 mbar or 15 mbar"
