"""What to change: each with the number that the case gives it."""

import math

import pytest
from white_laminates import EP, SHOP, UP, VE, said, why

import outgas
from outgas.laminate.water import dew_point
from outgas.show.amounts import celsius
from outgas.show.report import At
from outgas.tables import catalogue


def test_what_to_change_carries_the_numbers_of_the_advice():
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    advice = outgas.advise(UP, shop)
    got = outgas.diagnose(UP, shop, bag_pressure="40 mbar")
    for name in ("resin-boiling", "dissolved-air"):
        pressures = [x for change in got.cause(name).change for x in change.pressures_Pa]
        assert advice.setpoint_Pa in pressures
        assert advice.debulk_hold_Pa in pressures
    assert any("degas the resin" in str(c) for c in got.cause("dissolved-air").change)


def test_prepreg_is_never_told_to_let_up():
    shop = {"temperature": "22 degC", "humidity": "80 %"}
    got = why("out-of-autoclave-epoxy-prepreg", None, shop, process="prepreg")
    told = " ".join(str(c) for c in got.cause("moisture").change)
    assert "keep full vacuum" in told
    assert "hold the bag" not in told
    assert "humidity" in told


def test_a_cold_table_is_told_the_dew_point_and_not_refused():
    shop = {"temperature": "24 degC", "humidity": "90 %", "tool_temperature": "18 degC"}
    got = why(EP, {"depth": "tool side"}, shop)
    assert "dew point" in got.refusal
    assert "refused" not in got.refusal  # it has happened: it is said, not refused
    assert "should not have been laid up" in got.to_text(full=True)
    assert "warm the tool to 25 degC" in " ".join(str(c) for c in got.cause("moisture").change)


def test_a_loss_of_vacuum_is_not_told_as_a_reading():
    found = why(bag_pressure="weak bag", seen={"where": "near edges"})
    said = found.to_text(full=True)
    assert "may lose 11 mbar (0.3 inHg) in five minutes" in " ".join(said.split())
    for name in ("leak", "stripped"):
        assert all(p > 2000.0 for c in found.cause(name).change for p in c.pressures_Pa)


def test_the_ways_out_round_what_is_safe_to_less_vacuum():
    assert At(45810.0, plain=True).on(101325.0, None) == "459 mbar"
    found = why(bag_pressure="very good bag")
    text = " ".join(str(c) for cause in found.causes for c in cause.change)
    assert "in a pot at" in text


HOT = {"temperature": "26 degC", "humidity": "60 %", "altitude": "20 m"}


def changes(name, *args, **given):
    return why(*args, **given).cause(name).change


def told(name, *args, **given):
    return said(changes(name, *args, **given))


def pressures(found, opening):
    """What a sentence names, whether it sets it or only explains."""
    line = next(c.line for c in found if opening in c.text)
    return tuple(at.pressure_Pa for at in line.pressures)


def test_where_to_hold_is_the_setpoint_and_the_deepest_of_the_advice():
    advice = outgas.advise(UP, outgas.Shop(**HOT))
    assert advice.deepest_after_debulk < advice.deepest_no_debulk
    found = changes("resin-boiling", UP, None, HOT, bag_pressure="20 mbar")
    held = pressures(found, "then come up and cure at")
    assert held == (advice.debulk_hold_Pa, advice.setpoint_Pa, advice.deepest_Pa)
    found = changes("moisture", UP, None, HOT, bag_pressure="20 mbar")
    assert pressures(found, "after the debulk hold the bag at") == held[1:]
    clamped = pressures(changes("entrained-air", UP, None, HOT), "clamp it")
    assert clamped == (advice.setpoint_Pa, advice.shallowest_Pa, advice.deepest_Pa)
    assert clamped[1] > clamped[0] > clamped[2]


def test_without_a_window_no_vacuum_is_called_safe():
    warm = {"hottest": "75 degC", "bag_pressure": "20 mbar"}
    advice = outgas.advise(UP, outgas.Shop(**SHOP), hottest="75 degC")
    assert advice.setpoint_Pa is None
    found = changes("resin-boiling", **warm)
    assert pressures(found, "no vacuum is safe") == (advice.deepest_Pa, advice.shallowest_Pa)
    assert not any(c.pressures_Pa for c in found if "no vacuum is safe" in c.text)
    assert not any("hold the bag at" in c.text for c in found)
    assert not any("clamp it" in c.text for c in changes("entrained-air", **warm))


def test_a_debulk_is_for_those_who_lay_up_and_a_fill_for_an_infusion():
    assert "debulk first at" in told("dissolved-air", UP)
    assert "fill at" in told("dissolved-air", UP, process="infusion")
    pressed = told("dissolved-air", UP, process="pressing")
    assert "debulk" not in pressed
    assert "hold the bag" not in pressed


def test_ten_kelvin_cooler_is_said_where_the_shop_is_cooler_still():
    """And with the upper vapour of that warmth: deeper than at the hot one."""
    given = {"bag_pressure": "20 mbar"}
    hot = changes("resin-boiling", hottest="40 degC", **given)
    cooler = pressures(hot, "10 K cooler than 40 degC")[0]
    nominal = outgas.bubble_pressure(UP, "30 degC", water_activity=0.3).m_as("Pa")
    hotter = outgas.bubble_pressure(UP, "40 degC", water_activity=0.3).m_as("Pa")
    assert nominal < cooler < 1.6 * nominal
    assert cooler < 1.6 * hotter
    assert "10 K cooler" in told("resin-boiling", hottest="32.5 degC", **given)
    assert "10 K cooler" not in told("resin-boiling", hottest="31.5 degC", **given)


def test_the_loss_a_bag_may_show_is_rounded_to_the_stricter():
    most = catalogue.signs().gate.drop_test.si
    inches = most / 3386.389
    text = told("leak", UP)
    assert f"lose {math.floor(most / 100.0)} mbar" in text
    assert f"({math.floor(10.0 * inches) / 10.0} inHg)" in text


def test_a_tool_is_warmed_to_clear_of_the_dew_point_and_only_if_it_is_not():
    dew = dew_point(0.6, 295.15)  # 13.9 degC
    assert dew == pytest.approx(287.05, abs=0.1)

    def at(tool):
        shop = {"temperature": "22 degC", "humidity": "60 %", "tool_temperature": tool}
        return told("moisture", EP, None, shop)

    assert f"warm the tool to {celsius(dew + 3.0)} or more" in at("16.5 degC")
    assert f"below {celsius(dew)}" in at("16.5 degC")
    assert "warm the tool" not in at("17.5 degC")
    assert "35% humidity or less" in at("17.5 degC")


def test_resin_thickens_in_the_cold_from_the_sheets_figure():
    resin = outgas.resin(UP)
    text = told("dry-fibre", UP)
    assert f"{resin.viscosity.si * 1e3:.0f} mPa s" in text
    assert f"never below {celsius(resin.minimum_temperature.si)}" in text


def test_a_core_is_kept_below_what_it_is_sure_to_stand():
    foam = outgas.Layup(core="15 mm PVC foam")
    least = foam.core.maximum_temperature.low_si
    assert f"below {celsius(least)}" in told("core-gas", UP, layup=foam)
    assert "keep " not in told("core-gas", UP)


def test_a_blush_is_kept_off_by_the_damp_of_the_table_and_three_kelvin_over_the_dew():
    text = told("blushed-surface", EP, None, {"temperature": "22 degC", "humidity": "60 %"})
    assert f"below {catalogue.signs().gate.damp.low_si:.0%} humidity" in text
    assert celsius(dew_point(0.6, 295.15) + 3.0) in text
    assert "wash" not in told("blushed-surface", UP)


def test_an_infusion_is_filled_and_vented_where_the_advice_says():
    given = {"process": "infusion", "air_pressure": "20 mbar"}
    advice = outgas.advise(UP, outgas.Shop(**SHOP), **given)
    assert advice.setpoint_Pa is not None
    found = changes("front-too-fast", UP, **given)
    assert pressures(found, "hold the vent at") == (advice.debulk_hold_Pa, advice.setpoint_Pa)
    closed = changes("front-too-fast", UP, process="infusion", hottest="75 degC")
    hot = outgas.advise(UP, outgas.Shop(**SHOP), process="infusion", hottest="75 degC")
    assert hot.setpoint_Pa is None
    assert not any("hold the vent" in c.text for c in closed)


def test_less_clamp_goes_no_weaker_than_the_weakest():
    advice = outgas.advise(UP, outgas.Shop(**HOT))
    found = pressures(changes("starved", UP, None, HOT), "less clamp")
    assert found[:2] == (advice.setpoint_Pa, advice.shallowest_Pa)
    assert not any("less clamp" in c.text for c in changes("starved", UP, process="pressing"))


def test_a_hot_laminate_is_cooled_from_twenty_kelvin_over_what_was_taken():
    assert "passes 60 degC" in told("shrinkage", UP, hottest="40 degC")


# With and without a debulk ----------------------------------------------------------------------

MILKY = {"where": "on strands", "bubbles": "fine"}
AT_700 = {"bag_pressure": "700 mbar", "reads_with": "sensor 5 mbar"}


def test_milky_at_700_without_a_debulk_is_told_to_debulk_and_cure_at_the_setpoint():
    for humidity in ("40 %", "60 %"):
        shop = {"temperature": "22 degC", "humidity": humidity}
        advice = outgas.advise(UP, outgas.Shop(**shop))
        found = why(UP, MILKY, shop, bag_pressure="700 mbar")
        assert found.leading.name == "dissolved-air"
        first = found.leading.change[0]
        assert first.pressures_Pa == (advice.debulk_hold_Pa, advice.setpoint_Pa, advice.deepest_Pa)
        assert 530e2 < advice.setpoint_Pa < 650e2
        assert first.along == "debulk"
        assert "go down slowly, it froths" in first.text
        assert "expect 0.0% voids (0 to 2), clear to hazy" in first.text
        straight = [c for c in found.leading.change if "without a debulk" in c.text]
        assert [str(c) for c in straight] == [
            "without a debulk no vacuum is both safe and tight enough"
        ]


def test_every_place_to_hold_that_stands_on_a_debulk_says_so():
    held = [
        change
        for cause in why(UP, **AT_700).causes
        for change in cause.change
        if "hold the bag at" in change.text or "clamp it" in change.text
    ]
    assert len(held) >= 4
    assert all("after the debulk" in c.text and c.along == "debulk" for c in held)
    filled = told("moisture", UP, process="infusion", bag_pressure="300 mbar")
    assert "after the fill hold the bag at" in filled


def test_where_the_straight_limit_still_clamps_it_is_told_and_not_where_it_failed():
    """Resin half degassed, a higher confidence in its gas: a straight window there is."""
    given = {"air_pressure": "300 mbar", "reads_with": "sensor 1 mbar"}
    advice = outgas.advise(UP, outgas.Shop(**SHOP), **given)
    straight = advice.deepest_no_debulk_Pa
    assert straight < advice.shallowest_Pa
    deep = changes("dissolved-air", UP, bag_pressure="60 mbar", **given)
    assert pressures(deep, "without a debulk hold") == (straight + 100.0, straight)
    weak = changes("dissolved-air", UP, bag_pressure="640 mbar", **given)
    assert not any("without a debulk" in c.text for c in weak)


def test_haze_is_said_where_the_balance_expects_it():
    plain = told("dissolved-air", VE, bag_pressure="300 mbar")
    quiet = told("dissolved-air", VE, bag_pressure="300 mbar", low_gas_initiator=True)
    assert "expect haze, " in plain
    assert "expect haze, " not in quiet
    assert "expect 0.0% voids" in quiet


def test_a_debulk_that_did_not_help_is_not_advised_to_go_deeper_with():
    seen, exact = {**MILKY, "debulk": "yes"}, {"reads_with": "sensor 0 mbar"}
    advice = outgas.advise(UP, outgas.Shop(**SHOP), **exact)
    between = outgas.Quantity(0.5 * (advice.setpoint_Pa + advice.shallowest_Pa), "Pa")
    found = changes("moisture", UP, seen, bag_pressure=between, **exact)
    assert pressures(found, "hold the bag at") == pytest.approx((between.m, between.m))
    weak = changes("dissolved-air", UP, seen, bag_pressure="700 mbar", **exact)
    assert "is weaker than the 700 mbar that failed" in said(weak)
    assert not any("cure at {}, never" in c.text for c in weak)
    deep = changes("moisture", UP, seen, bag_pressure="300 mbar", **exact)
    assert pressures(deep, "hold the bag at") == (advice.setpoint_Pa, advice.deepest_Pa)


def test_a_way_that_is_deeper_than_what_failed_needs_a_debulk_or_a_pot():
    damp, drier = {"temperature": "30 degC", "humidity": "60 %"}, "humidity: cure at"
    given = {"hottest": "60 degC", "air_pressure": "60 mbar", "reads_with": "sensor 0 mbar"}
    straight = {"no_debulk": True, **given}
    assert drier in told("moisture", UP, None, damp, bag_pressure="50 mbar", **straight)
    assert drier not in told("moisture", UP, None, damp, bag_pressure="900 mbar", **straight)
    pots = [c for c in changes("dissolved-air", UP, **AT_700) if "in a pot at" in c.text]
    assert [c.along for c in pots] == ["degas"]
    assert all("after the debulk" in c.text for c in pots)


def test_less_clamp_is_no_remedy_for_a_bag_that_was_weaker_still():
    assert "less clamp" in told("starved", UP, bag_pressure="300 mbar")
    assert "less clamp" not in told("starved", UP, bag_pressure="700 mbar")


def test_a_shop_that_never_debulks_is_shown_what_one_would_do():
    found = changes("dissolved-air", UP, no_debulk=True, **AT_700)
    way = next(c for c in found if "debulk first at" in c.text)
    assert way.along == "debulk"
    assert "go down slowly, it froths" in way.text
    assert "no vacuum is safe for the cure as it stands" in said(found)


def test_degassed_resin_under_a_weak_bag_may_be_clamped_harder_without_a_debulk():
    given = {"degassed": "27 mbar for 10 min, stirred", "no_debulk": True}
    advice = outgas.advise(UP, outgas.Shop(**SHOP), reads_with="sensor 0 mbar", **given)
    assert advice.setpoint_Pa is not None
    weak = {"bag_pressure": "950 mbar", "reads_with": "sensor 0 mbar"}
    clamp = next(c for c in changes("entrained-air", UP, **given, **weak) if "clamp it" in c.text)
    assert clamp.along == "degas"
    assert clamp.pressures_Pa[0] == advice.setpoint_Pa


def test_peroxide_gas_is_answered_with_its_initiator_or_a_rest_within_the_gel_time():
    text = told("peroxide-gas", VE)
    half = catalogue.gas().initiator["ordinary"].half_time
    assert "low-gas initiator" in text
    assert "always within its gel time" in text
    assert (
        f"about {half.si / 60:.0f} min ({half.low_si / 60:.0f} to {half.high_si / 60:.0f})" in text
    )
