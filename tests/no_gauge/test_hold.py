import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError, OutOfRangeError, RefusedError
from outgas.no_gauge.hold import _seconds

UP = "orthophthalic-polyester"
HERE = "1013.25 hPa"
WORDS = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"


def rig(more=""):
    return outgas.Rig.from_words(WORDS + more)


def rig_of(words):
    return outgas.Rig.from_words(words)


def mbar(quantity):
    return quantity.m_as("mbar")


# Weighted plate -------------------------------------------------------------------------------


def test_twenty_millimetres_and_400_mbar_of_clamp_take_1_28_kg():
    valve = outgas.relief_valve("613.25 mbar", "20 mm", HERE)
    assert valve.mass.m_as("kg") == 1.28  # of 1.281: to three figures, never more


def test_a_dial_reading_is_a_setpoint_too():
    valve = outgas.relief_valve("12 inHg vacuum", "20 mm", HERE)
    assert valve.setpoint_Pa == pytest.approx(101325 - 12 * 3386.389, abs=1.0)


@given(p=st.floats(350.0, 950.0), bore=st.floats(8.0, 60.0))
def test_its_interval_holds_the_setpoint_and_is_wider_for_more_clamp(p, bore):
    valve = outgas.relief_valve(f"{p} mbar", f"{bore} mm", HERE)
    assert valve.low_Pa < valve.setpoint_Pa <= valve.lifts_Pa < valve.high_Pa
    assert valve.high_Pa <= 101325.0
    deeper = outgas.relief_valve(f"{p * 0.9} mbar", f"{bore} mm", HERE)
    assert deeper.mass_kg > valve.mass_kg
    assert deeper.lifts_Pa - deeper.low_Pa >= valve.lifts_Pa - valve.low_Pa


def test_a_ring_wider_than_the_bore_only_lifts_it_shallower():
    valve = outgas.relief_valve("653 mbar", "20 mm", HERE)
    assert valve.high_Pa - valve.lifts_Pa > valve.lifts_Pa - valve.low_Pa


def test_the_things_named_weigh_what_they_must():
    valve = outgas.relief_valve("653 mbar", "20 mm", HERE)
    steel = next(w for w in valve.weights if w.startswith("steel"))
    thick = float(steel.split(" x ")[-1].split()[0]) * 1e-3
    assert thick * 0.01 * 7850 == pytest.approx(valve.mass_kg, rel=0.03)
    assert thick * 0.01 * 7850 < valve.mass_kg  # lighter lets the bag be less deep


def test_the_plate_lifts_enough_for_the_pump_or_is_refused():
    valve = outgas.relief_valve("653 mbar", "20 mm", HERE, rig=rig())
    assert 0.0 < valve.lift_m < 0.001
    big = outgas.Rig.from_words("300 m3/h two-stage pump")
    with pytest.raises(InputError, match="too small for this pump"):
        outgas.relief_valve("653 mbar", "5 mm", HERE, rig=big)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: outgas.relief_valve("1100 mbar", "20 mm", HERE), "barometer's 1013"),
        (lambda: outgas.relief_valve("653 mbar", "1 mm", HERE), "outside 3 to 150 mm"),
        (lambda: outgas.relief_valve("653 mbar", 20, HERE), "no unit"),
        (lambda: outgas.bleed_hole("653 mbar", outgas.Rig()), "what the pump moves"),
        (lambda: outgas.bleed_hole("1 mbar", rig(", leak 9 mbar l/s")), "with no hole at all"),
        (
            lambda: outgas.bleed_hole("900 mbar", outgas.Rig.from_words("900 m3/h venturi")),
            "beyond any bleed",
        ),
        (
            lambda: outgas.bleed_hole(
                "900 mbar", outgas.Rig.from_words("50 m3/h venturi, 1 m of 5 mm hose")
            ),
            "wider than the 5.0 mm hose",
        ),
        (
            lambda: outgas.bleed_hole("20 mbar", outgas.Rig.from_words("5 m3/h dry vane pump")),
            "reaches 110.0 mbar",
        ),
        (
            lambda: outgas.hold("60 mbar", rig_of("5 m3/h dry vane pump"), HERE),
            "reaches 80 mbar at best",
        ),
    ],
)
def test_what_cannot_be_held_is_refused_in_one_line(call, message):
    with pytest.raises((InputError, OutOfRangeError)) as caught:
        call()
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


# All of it ------------------------------------------------------------------------------------


def test_every_way_to_hold_best_first():
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    advice = outgas.advise(UP, shop)
    leaky = rig(", leak 0.2 mbar l/s")
    found = outgas.hold(
        advice.setpoint,
        leaky,
        shop.barometer,
        deepest=advice.deepest,
        shallowest=advice.shallowest,
    )
    text = found.to_text(full=True)
    order = [text.index(t) for t in ("1. Weighted", "2. Pump", "3. Hand", "4. Bleed")]
    assert order == sorted(order)
    assert [way.sure for way in found.ways] == [True, False, False, False]
    assert found.plate.low_Pa >= advice.deepest_Pa
    assert all(h.low_Pa >= advice.deepest_Pa for h in found.hole.holes)
    assert all(h.pressure_Pa <= advice.shallowest_Pa for h in found.hole.holes)
    assert found.switching.low_Pa >= advice.setpoint_Pa
    assert found.switching.high_Pa <= advice.shallowest_Pa
    assert not found.switching.practical  # a quarter of a second is not for a hand
    assert found.switching.late_Pa < advice.deepest_Pa
    assert "too deep: use the plate" in text.replace("\n    ", " ")
    for words in ("never across the laminate", "oil mist", "safety data sheet"):
        assert words in text.replace("\n    ", " ")


def test_what_is_missing_is_said():
    found = outgas.hold("653 mbar", outgas.Rig.from_words("two-stage pump"), HERE)
    assert "what the pump moves" in found.no_hole
    assert "drop test" in found.no_switching
    assert "none: " in found.to_text(full=True)


def test_a_leaky_bag_is_no_bag_to_switch_a_pump_on():
    found = outgas.hold("60 mbar", rig(", leak 5 mbar l/s"), HERE)
    assert not found.switching.practical
    assert "too often for a pump" in found.to_text(full=True)


def test_answers_as_json_and_on_a_dial():
    valve = outgas.relief_valve("653 mbar", "20 mm", HERE, rig=rig())
    hole = outgas.bleed_hole("400 mbar", rig())
    found = outgas.hold("653 mbar", rig(), HERE)
    for answer in (valve, hole, found):
        got = json.loads(answer.to_json())
        assert got["version"] == 1
        assert got["setpoint_Pa"] > 0
        first = answer.to_text("bar", full=True).splitlines()[0]
        assert "bar gauge" in first
        assert "mbar absolute" in first
        assert "<pre>" in answer._repr_html_()
    assert mbar(valve.interval[0]) < 653.0 < mbar(valve.interval[1])
    assert hole.diameter.m_as("mm") == pytest.approx(hole.diameter_m * 1e3)


# What is in doubt ------------------------------------------------------------------------------


def test_a_setpoint_deeper_than_safe_is_refused_for_safety():
    with pytest.raises(RefusedError, match="deeper than the deepest safe 628 mbar"):
        outgas.hold("600 mbar", rig(), HERE, deepest="628 mbar")


def test_a_big_pot_on_a_small_pump_may_be_switched_by_hand():
    slow = rig_of("0.5 m3/h two-stage pump, 200 l bag, leak 2 mbar l/s")
    found = outgas.hold("200 mbar", slow, HERE, deepest="190 mbar").switching
    assert found.late_Pa > 19000.0
    assert found.practical


def test_a_hundred_kilograms_is_not_offered_as_a_slab():
    heavy = outgas.relief_valve("60 mbar", "100 mm", HERE)
    assert heavy.weights == ("76.3 kg stands on no plate safely: take a smaller hole",)


def test_pumping_down_through_a_hose_takes_longer_than_without_and_less_for_a_smaller_bag():
    def time(words):
        return outgas.hold("60 mbar", rig_of("5 m3/h two-stage pump, " + words), HERE).pump_down_s

    bare = time("5 l bag")
    assert bare == pytest.approx(5e-3 / (5 / 3600 * 0.85) * math.log(1013.25 / 60.0), rel=0.01)
    assert time("5 l bag, 5 m of 4 mm hose") > 1.2 * bare
    assert time("2 l bag") == pytest.approx(0.4 * bare)
    assert outgas.hold("60 mbar", rig_of("5 m3/h two-stage pump"), HERE).pump_down_s is None


def test_a_leak_lifts_what_the_pump_reaches_and_the_time_down_is_never_printed_longer():
    """10 mbar l/s by 5 m3/h at its displacement share, over the ultimate."""
    from outgas.tables import catalogue

    leaky = rig_of("5 m3/h pump, 1 mbar ultimate, 50 l bag, leak 10 mbar l/s")
    found = outgas.hold("200 mbar", leaky, HERE)
    speed = 5.0 / 3600.0 * catalogue.rigs().displacement_share.si
    assert found.reach_Pa == pytest.approx(100.0 + 1.0 / speed)
    assert found.pump_down_s != int(found.pump_down_s)
    assert f"in about {int(found.pump_down_s)} s, bag dry" in found.to_text(full=True)


def test_a_leak_of_a_pump_of_no_known_size_moves_no_reach():
    told = outgas.Rig(pump_ultimate="20 mbar", leak="5 mbar l/s")
    assert outgas.hold("500 mbar", told, HERE).reach_Pa == pytest.approx(2000.0)


def test_nothing_is_said_of_a_reach_that_is_not_known():
    held = outgas.hold("500 mbar", outgas.Rig(bleed="needle valve"), HERE)
    assert held.reach_Pa is None
    assert "would not lift" not in held.to_text(full=True)


def test_what_is_named_goes_before_what_a_job_says():
    words = dict(resin="epoxy-laminating", temperature="22C", humidity="50%")
    asked = outgas.Job(**words, rig="5 m3/h two-stage pump, 0.6 m2 bag")
    held = outgas.hold(asked, deepest="50 mbar", shallowest="900 mbar")
    assert (held.deepest_Pa, held.shallowest_Pa) == pytest.approx((5000.0, 90000.0))


def test_seconds_are_never_told_as_more_than_they_are():
    assert [_seconds(t) for t in (0.9, 1.0, 1.1, 59.9)] == ["under a second", "1 s", "1 s", "59 s"]


def test_a_setpoint_of_ones_own_goes_before_that_of_the_jobs_advice():
    words = dict(resin="epoxy-laminating", temperature="22C", humidity="50%")
    asked = outgas.Job(**words, rig="5 m3/h two-stage pump, 0.6 m2 bag")
    own = outgas.hold(asked).setpoint_Pa + 2000.0
    assert outgas.hold(f"{own} Pa", asked).setpoint_Pa == pytest.approx(own)


def test_a_rig_of_its_own_goes_before_that_of_the_job():
    words = dict(resin="epoxy-laminating", temperature="22C", humidity="50%")
    asked = outgas.Job(**words, rig="5 m3/h two-stage pump, 0.6 m2 bag")
    weak = outgas.Rig.from_words("5 m3/h two-stage pump, 0.6 m2 bag", pump_ultimate="900 mbar")
    assert outgas.hold(asked).setpoint_Pa < 90000.0
    with pytest.raises(InputError, match="900"):
        outgas.hold(asked, weak)
