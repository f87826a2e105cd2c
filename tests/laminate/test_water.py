"""Water in a laminate: dew points against steam tables, and where its activity ends up."""

import msgspec
import numpy as np
import pytest
from iapws import IAPWS97
from shop_cases import EPOXY, PREPREG, UP, case

import outgas
from outgas.laminate import prepreg, water
from outgas.physics import moisture
from outgas.physics.chance import Band
from outgas.tables import catalogue

CELSIUS = 273.15


def steam(celsius):
    """Saturation pressure by the IAPWS industrial formulation [Pa]."""
    return IAPWS97(T=celsius + CELSIUS, x=0).P * 1e6


def drum(name):
    return outgas.resin(name).water_activity.band


@pytest.mark.parametrize(("humidity", "celsius"), [(0.6, 26.0), (0.9, 18.0), (0.35, 30.0)])
def test_the_dew_point_is_where_the_steam_tables_have_it(humidity, celsius):
    dew = water.dew_point(humidity, celsius + CELSIUS)
    wanted = IAPWS97(P=humidity * steam(celsius) / 1e6, x=0).T
    assert dew == pytest.approx(wanted, abs=0.05)


def test_dry_air_wets_nothing_in_a_shop():
    assert water.dew_point(0.0, 293.15) == water.DRY_COLDEST_K
    assert water.dew_point(1.0, 293.15) == pytest.approx(293.15, abs=1e-6)


def test_a_tool_as_warm_as_the_air_is_never_wet_and_one_a_hair_below_its_dew_is():
    for kelvin in np.linspace(264.0, 333.0, 139):  # at any warmth, whatever is lost in rounding
        assert water.condenses_from(1.0, kelvin, kelvin) is None
    dew = water.dew_point(0.6, 293.15)
    assert water.condenses_from(0.6, 293.15, dew + 1e-6) is None
    assert water.condenses_from(0.6, 293.15, dew - 1e-6) == dew


def test_air_is_wetter_at_a_cold_tool_and_no_drier_at_a_warm_one():
    cold = water.surface_humidity(case(celsius=26, humidity=0.6, tool=22))
    assert cold == pytest.approx(0.6 * steam(26) / steam(22), rel=1e-3)
    assert water.surface_humidity(case(celsius=26, humidity=0.6, tool=15)) == 1.0
    assert water.surface_humidity(case(celsius=26, humidity=0.6, tool=40)) == 0.6


def test_open_resin_ends_part_of_the_way_from_the_drum_to_the_air():
    held = drum(UP)
    share = catalogue.practice().margins.open_uptake.si
    here = case(humidity=0.8)
    low, high = water.water_activity(here, here.hottest_K)
    assert low == pytest.approx((1.0 - share) * held.nominal + share * 0.8)
    assert high == pytest.approx(0.8)
    dry = case(humidity=0.05)
    assert water.water_activity(dry, 300.0)[0] < held.nominal


def test_resin_under_a_bag_keeps_the_drums_water_but_may_meet_the_airs():
    low, high = water.water_activity(case(humidity=0.8, process="infusion"), 300.0)
    assert (low, high) == (pytest.approx(drum(UP).nominal), pytest.approx(0.8))


@pytest.mark.parametrize("process", ["wet layup", "infusion"])
def test_in_a_shop_drier_than_its_drum_may_be_resin_may_be_as_wet_as_the_drum(process):
    """What is not known of the drum asks for less vacuum, however dry the air is."""
    dry = case(UP, process=process, humidity=0.05)
    nominal, upper = water.water_activity(dry, dry.shop_K)
    assert nominal <= drum(UP).nominal
    assert upper == pytest.approx(drum(UP).high)


def test_a_given_activity_and_a_prepregs_are_taken_as_they_are():
    assert water.water_activity(case(water_activity=0.37), 300.0) == (0.37, 0.37)
    here = case(PREPREG, celsius=21, humidity=0.45, process="prepreg")
    assert water.water_activity(here, here.hottest_K) == (0.45, 0.45)


def test_a_resin_that_holds_water_of_its_own_counts_all_that_its_record_allows():
    here, held = case("resole-phenolic", humidity=0.5), drum("resole-phenolic")
    low, high = water.water_activity(here, 300.0)
    assert low == pytest.approx(held.nominal)
    assert high == pytest.approx(max(held.high, 0.5))


def test_wood_pushes_harder_when_it_is_warmed_with_its_water_in_it():
    plain = case(EPOXY, humidity=0.6)
    wood = case(EPOXY, humidity=0.6, layup=outgas.Layup(core="12 mm balsa"))
    hot = 333.15
    high = water.water_activity(wood, hot)[1]
    assert water.water_activity(plain, hot)[1] == pytest.approx(0.6)
    assert high > 0.65
    held = float(moisture.wood_moisture(0.6, wood.shop_K))
    assert float(moisture.wood_moisture(high, hot)) == pytest.approx(held, rel=1e-6)


def test_spilt_water_is_held_until_the_resin_is_saturated():
    holds = catalogue.transport("polyester").water_saturation
    before, after = (
        water.water_activity(case(humidity=0.5, contaminants=spilt), 300.0)
        for spilt in (None, {"water": "0.1 %"})
    )
    assert after[0] - before[0] == pytest.approx(0.001 / holds.si)
    assert after[1] - before[1] == pytest.approx(0.001 / holds.low_si)
    assert water.water_activity(case(contaminants={"water": "4 %"}), 300.0) == (1.0, 1.0)


def test_a_wider_confidence_moves_only_the_upper_end():
    here = case(humidity=0.7)
    low, high = water.water_activity(here, 300.0)
    wide = water.water_activity(here.but(k=0.5), 300.0)
    assert wide == (low, pytest.approx(low + 0.5 * (high - low)))
    assert water.water_activity(here.but(k=5.0), 300.0)[1] == 1.0


def test_the_pressure_of_water_is_the_steam_tables():
    assert water.water_pressure(333.15) == pytest.approx(steam(60.0), rel=2e-4)
    assert 0.0 < water.water_spread(333.15) < 0.01


def test_dried_prepreg_has_what_the_slow_end_leaves_and_a_spill_is_not_dried_away():
    wet, dried = (case(PREPREG, process="prepreg", humidity=0.5, dried=t) for t in (None, "20 h"))
    rate = prepreg.drying_rate(dried.shop_K)
    left = prepreg.activity_after(Band.exact(0.5), 20 * 3600.0, rate)
    assert water.water_activity(wet, 394.15) == pytest.approx((0.5, 0.5))
    assert water.water_activity(dried, 394.15) == pytest.approx((left.nominal, left.high))
    spilt = dried.but(contaminants=((catalogue.volatile("water"), 1e-3),))
    adds = water.water_activity(wet.but(contaminants=spilt.contaminants), 394.15)[0] - 0.5
    assert water.water_activity(spilt, 394.15)[0] == pytest.approx(left.nominal + adds)


def test_a_surer_answer_takes_prepreg_to_dry_more_slowly():
    usual, surer = (
        case(PREPREG, process="prepreg", humidity=0.5, dried="20 h", confidence=c)
        for c in (0.95, 0.99)
    )
    assert water.water_activity(surer, 394.15)[1] > water.water_activity(usual, 394.15)[1]


def test_a_foam_that_was_not_told_to_be_wet_gives_off_no_water():
    foam = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], core="15 mm 80 kg/m3 PVC foam")
    assert water.core_activity(case(UP, layup=foam), 313.15) == 0.0


def test_balsa_laid_up_in_frost_is_read_from_where_its_constants_begin():
    balsa = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], core="12 mm balsa")
    liquid = case(UP, layup=balsa, humidity=0.6)
    frost, edge = liquid.but(shop_K=263.15), liquid.but(shop_K=moisture.WOOD_RANGE_K[0])
    assert water.core_activity(frost, 313.15) == water.core_activity(edge, 313.15)


def test_prepreg_dries_as_the_colder_of_shop_and_tool():
    for tool in (15, 40):
        here = case(PREPREG, celsius=21, humidity=0.3, tool=tool, process="prepreg")
        assert prepreg.drying_K(here) == pytest.approx(min(tool, 21) + CELSIUS)


def test_a_foam_that_was_told_to_be_wet_is_soaked_and_wood_holds_what_it_was_told():
    foam = case(layup=outgas.Layup(core="15 mm PVC foam"))
    assert water.core_activity(foam, 300.0) == 0.0
    assert water.core_activity(foam.but(core_moisture=0.05), 300.0) == 1.0
    wood = case(layup=outgas.Layup(core="15 mm balsa"), humidity=0.3)
    dry = water.core_activity(wood, 300.0)
    told = water.core_activity(wood.but(core_moisture=0.14), 300.0)
    assert told == pytest.approx(moisture.wood_activity(0.14, 300.0))
    assert dry < told
    less = water.core_activity(wood.but(core_moisture=0.01), 300.0)
    assert less == dry  # the shop's air wets it more than that
    assert water.core_activity(case().but(core_moisture=0.2), 300.0) == 0.0


def test_wood_beyond_its_constants_is_read_at_their_edge():
    wood = case(layup=outgas.Layup(core="15 mm balsa"))
    low, high = moisture.WOOD_RANGE_K
    assert water.core_activity(wood, low - 20.0) == water.core_activity(wood, low)
    assert water.core_activity(wood, high + 40.0) == water.core_activity(wood, high)
    assert water.core_activity(wood, high - 10.0) != water.core_activity(wood, high)


def test_wetter_than_its_isotherm_holds_prepreg_dries_as_if_it_were_soaked():
    edge = catalogue.prepreg().drying.proportional_below.si
    here = case(PREPREG, process="prepreg", humidity=0.3)
    rate = prepreg.drying_rate(prepreg.drying_K(here))
    for wet, start in ((edge, edge), (edge + 1e-6, 1.0)):
        _, slow = prepreg.after_drying(here, 48 * 3600.0, wet, wet)
        wanted = prepreg.activity_after(Band(wet, wet, start), 48 * 3600.0, rate).high
        assert slow == pytest.approx(min(wanted, wet))


@pytest.mark.parametrize(
    ("name", "process"), [("resole-phenolic", "wet layup"), (UP, "wet layup"), (UP, "infusion")]
)
def test_in_air_wetter_than_its_drum_may_be_a_resin_may_be_as_wet_as_the_air(name, process):
    here = case(name, humidity=0.999, celsius=26.0, process=process)
    if drum(name).high < 0.999:
        assert water.water_activity(here, 300.0)[1] == pytest.approx(0.999)
    else:
        assert water.water_activity(here, 300.0)[1] == pytest.approx(drum(name).high)


def test_a_resin_with_water_of_its_own_may_be_wetter_than_its_record_in_wetter_air():
    here = case("resole-phenolic", humidity=0.95, celsius=26.0)
    less = msgspec.structs.replace(here.resin.water_activity, value=0.3, low=0.1, high=0.5)
    dry = here.but(resin=msgspec.structs.replace(here.resin, water_activity=less))
    assert water.water_activity(dry, 300.0)[1] == pytest.approx(0.95)
