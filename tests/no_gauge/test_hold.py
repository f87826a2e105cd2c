import json
import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError, OutOfRangeError, RefusedError
from outgas.no_gauge.hold import _seconds
from outgas.physics import flow

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
    assert "no plate lifts, nothing" not in " ".join(held.to_text(full=True).split())


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


# What the first lines say -----------------------------------------------------------------------


def said(held):
    return " ".join(str(held).split())


def in_brackets(text, words):
    """The absolute pressure [Pa] in the brackets after some words."""
    return 100.0 * float(re.search(rf"{words} [^(]*\(([\d.]+) mbar\)", text)[1])


def test_with_a_plate_it_is_held_where_the_plate_lifts_and_its_weight_comes_next():
    held = outgas.hold("300 mbar", rig_of("5 m3/h two-stage pump"), "1013 mbar")
    text = said(held)
    assert held.best.name == "weighted plate"
    assert in_brackets(text, "Hold") == pytest.approx(held.plate.lifts_Pa, abs=100.0)
    assert "inside the pot over a 20 mm hole in its floor, open to the room below: best" in text
    assert "The weight: steel" in text
    assert "Never deeper" not in text  # nobody said what is too deep
    assert "Near it" not in text
    assert "Or bleed hole: at its worst it holds" in text
    assert "Or hand valve: not sure, it may let it down to" in text
    assert "Or weighted plate" not in text


def test_with_a_hole_it_is_held_where_that_hole_holds_and_two_near_it_come_next():
    held = outgas.hold("300 mbar", rig_of("5 m3/h two-stage pump"), "1013 mbar", deepest="250 mbar")
    text = said(held)
    assert held.best.name == "bleed hole"
    tip = next(h for h in held.hole.holes if h.name in text.split(" at the pump's manifold")[0])
    assert in_brackets(text, "Hold") == pytest.approx(tip.pressure_Pa, abs=100.0)
    assert text.count("Near it: ") == 2
    assert "The weight" not in text
    assert in_brackets(text, "Never deeper than") == pytest.approx(25000.0)
    assert float(re.search(r"even at its deep end \((\d+) mbar\)", text)[1]) <= tip.low_Pa / 100.0


def test_with_a_switch_or_a_valve_it_is_held_at_the_setpoint():
    slow = rig_of("0.5 m3/h two-stage pump, 200 l bag, leak 2 mbar l/s")
    switched = outgas.hold("200 mbar", slow, "1013 mbar", deepest="190 mbar")
    assert "with the pump switched on and off: best, for it is least deep" in said(switched)
    assert in_brackets(said(switched), "Hold") == pytest.approx(20000.0)
    weak = outgas.hold("100 mbar", rig_of("5 m3/h dry vane pump"), "1013 mbar", deepest="70 mbar")
    assert "a bleed set by hand: this pump reaches no deeper than is safe" in said(weak)
    assert in_brackets(said(weak), "Hold") == pytest.approx(10000.0)
    assert "off for 2000 s" in full(switched)


def full(held):
    return " ".join(held.to_text(full=True).split())


def test_where_no_way_is_sure_the_least_deep_end_is_told_and_the_answer_is_no():
    pump = rig_of("5 m3/h two-stage pump")
    held = outgas.hold("300 mbar", pump, "1013 mbar", deepest="299.9 mbar")
    least = max(way.deep_Pa for way in held.ways if way.deep_Pa is not None)
    told = 100.0 * float(re.search(r"the least deep ends at ([\d.]+) mbar", said(held))[1])
    assert least - 100.0 < told <= least
    assert held.best is None
    assert held.to_dict()["best"] is None
    assert said(held).startswith("No way here is sure to hold ")
    assert "Never deeper than 21.0 inHg (300 mbar). Or" in said(held)
    assert not held._well
    assert outgas.hold("300 mbar", pump, "1013 mbar")._well
    assert outgas.hold("300 mbar", pump, "1013 mbar", deepest="250 mbar")._well


@pytest.mark.parametrize(("shallowest", "weak"), [("299.9 mbar", True), ("300 mbar", False)])
def test_a_setpoint_too_weak_to_clamp_is_told_what_it_wants_rounded_deeper(shallowest, weak):
    held = outgas.hold("300 mbar", rig_of("5 m3/h two-stage pump"), HERE, shallowest=shallowest)
    text = said(held)
    assert ("Too weak to clamp: it wants" in text) == weak
    if weak:
        assert in_brackets(text, "it wants") == 29900.0
    assert "Too weak to clamp" not in said(
        outgas.hold("300 mbar", rig_of("5 m3/h two-stage pump"), HERE)
    )


def test_a_pump_that_likely_stops_short_is_told_and_one_that_does_not_is_not():
    """A dry vane pump comes to 80 mbar at best and likely to 110."""
    short, far = (
        outgas.hold(p, rig_of("5 m3/h dry vane pump"), HERE) for p in ("109 mbar", "111 mbar")
    )
    assert "most likely comes to" in said(short)
    assert in_brackets(said(short), "most likely comes to") == pytest.approx(11000.0, abs=101.0)
    assert "most likely comes to" not in said(far)
    edge = outgas.hold("110 mbar", rig_of("5 m3/h dry vane pump"), HERE)
    assert "most likely comes to" in said(edge)


# What the pump comes to --------------------------------------------------------------------------


def test_the_deepest_a_valve_may_let_it_is_the_pump_at_its_best_with_its_leak():
    leaky = rig_of("5 m3/h dry vane pump, leak 10 mbar l/s")
    held = outgas.hold("300 mbar", leaky, HERE)
    valve = next(way for way in held.ways if way.name == "hand valve")
    fastest = 5.0 / 3600.0 * 1.0  # all of its plate
    assert valve.deep_Pa == pytest.approx(8000.0 + 1.0 / fastest)
    likely = 5.0 / 3600.0 * 0.85
    assert held.reach_Pa == pytest.approx(11000.0 + 1.0 / likely)
    with pytest.raises(InputError, match=r"this pump with this leak reaches 87\.2 mbar at best"):
        outgas.hold("87 mbar", leaky, HERE)
    with pytest.raises(InputError, match="this pump reaches 80 mbar at best"):
        outgas.hold("80 mbar", rig_of("5 m3/h dry vane pump"), HERE)
    told = rig_of("5 m3/h dry vane pump, 90 mbar ultimate")
    valve = next(w for w in outgas.hold("300 mbar", told, HERE).ways if w.name == "hand valve")
    assert valve.deep_Pa == pytest.approx(9000.0)


def test_a_leak_slows_the_way_down_and_a_pump_that_never_gets_there_has_no_time():
    tight, leaky = (
        outgas.hold("200 mbar", rig_of(f"5 m3/h pump, 1 mbar ultimate, 50 l bag{leak}"), HERE)
        for leak in ("", ", leak 60 mbar l/s")
    )
    assert leaky.pump_down_s > tight.pump_down_s
    S, ends = 5.0 / 3600.0 * 0.85, 100.0 + 6.0 / (5.0 / 3600.0 * 0.85)
    wanted = 0.05 / S * math.log((101325.0 - ends) / (20000.0 - ends))
    assert leaky.pump_down_s == pytest.approx(wanted, rel=1e-3)
    never = outgas.hold("109 mbar", rig_of("5 m3/h dry vane pump, 50 l bag"), HERE)
    assert never.pump_down_s is None
    assert "bag dry" not in full(never)
    assert "Pumping down" not in never.to_text(full=True)


def test_a_hose_is_followed_closely_enough():
    """A tenth of the steps comes to the same time within two thousandths."""
    words = "5 m3/h two-stage pump, 50 l bag, 5 m of 4 mm hose"
    found = outgas.hold("60 mbar", rig_of(words), HERE).pump_down_s
    rig_of_it = rig_of(words)
    S = 5.0 / 3600.0 * 0.85
    path = [101325.0 * (6000.0 / 101325.0) ** (i / 600.0) for i in range(601)]
    hose = flow.Tube(rig_of_it.hose_size.bore_m, rig_of_it.hose_size.length_m)
    pull = flow.Pull(S, 5.0, 0.0)
    fine = float(flow.pump_down_history(0.05, pull, hose, np.array(path), 293.15)[-1])
    assert found == pytest.approx(fine, rel=2e-3)


# A job's bag ------------------------------------------------------------------------------------


def test_a_job_is_held_between_its_own_limits_under_its_own_air_with_its_own_bore():
    words = dict(resin="epoxy-laminating", temperature="22C", humidity="50%", altitude="900 m")
    asked = outgas.Job(**words, rig="5 m3/h two-stage pump, 0.6 m2 bag", bore="30 mm")
    advice, held = outgas.advise(asked), outgas.hold(asked)
    assert held.setpoint_Pa == pytest.approx(advice.setpoint_Pa)
    assert held.deepest_Pa == pytest.approx(advice.deepest_Pa)
    assert held.shallowest_Pa == pytest.approx(advice.shallowest_Pa)
    assert held.barometer_Pa == pytest.approx(advice.barometer_Pa)
    assert "over a 30 mm hole" in said(held)
    other = outgas.hold(asked, barometer="1000 mbar", bore="25 mm")
    assert other.barometer_Pa == pytest.approx(100000.0)
    assert "25 mm hole" in full(other)
    weaker = outgas.hold("560 mbar", asked)
    assert weaker.setpoint_Pa == pytest.approx(56000.0)
    assert weaker.deepest_Pa == pytest.approx(advice.deepest_Pa)


@pytest.mark.parametrize(
    ("name", "process", "message"),
    [
        ("out-of-autoclave-epoxy-prepreg", "prepreg", "prepreg is not held"),
        ("orthophthalic-polyester", "pressing", "bag"),
    ],
)
def test_what_has_no_bag_to_hold_is_refused_and_said_why(name, process, message):
    asked = outgas.Job(
        resin=name, temperature="22C", humidity="30%", process=process, rig="5 m3/h pump"
    )
    with pytest.raises(InputError, match=message):
        outgas.hold(asked)


def test_a_job_without_a_safe_vacuum_has_none_to_hold_but_its_users_own_may_be():
    asked = outgas.Job(
        resin="orthophthalic-polyester", temperature="22C", humidity="50%", altitude="2500 m",
        rig="5 m3/h two-stage pump",
    )  # fmt: skip
    assert outgas.advise(asked).setpoint is None
    with pytest.raises(RefusedError, match="no safe vacuum to hold for the cure"):
        outgas.hold(asked)


def test_the_tell_tale_hangs_only_where_what_is_too_weak_lies_below_the_air():
    pump = rig_of("5 m3/h two-stage pump")
    assert outgas.hold("300 mbar", pump, "1000 mbar", shallowest="1000 mbar").hanging is None
    assert outgas.hold("300 mbar", pump, "1000 mbar").hanging is None
    hung = outgas.hold("300 mbar", pump, "1000 mbar", shallowest="700 mbar")
    assert hung.hanging is not None
    assert "Tell-tale for too weak" in hung.to_text(full=True)
    assert hung.to_dict()["hanging_weight"] is not None


def test_a_rig_is_asked_for_where_there_is_no_job():
    with pytest.raises(InputError, match=r"rig is missing; give .*, its words, or a job"):
        outgas.hold("300 mbar")
    with pytest.raises(RefusedError, match="deeper than the deepest safe 301 mbar"):
        outgas.hold("300 mbar", rig_of("5 m3/h pump"), HERE, deepest="300.5 mbar")
    assert (
        outgas.hold("300 mbar", rig_of("5 m3/h pump"), HERE, deepest="300 mbar").deepest_Pa == 3e4
    )


def test_a_bleed_that_was_named_is_named_and_else_what_serves():
    assert "needle valve, at the pump's manifold" in full(outgas.hold("653 mbar", rig(), HERE))
    plain = outgas.hold("653 mbar", rig_of("5 m3/h two-stage pump"), HERE)
    assert "a needle valve, or a hose clamp on a short rubber tube" in full(plain)


# Where a way is best but not alone, and where there is none ---------------------------------------


def test_a_switch_that_is_best_is_held_at_the_setpoint_whatever_a_hole_would_hold():
    slow = rig_of("0.5 m3/h two-stage pump, 200 l bag, leak 2 mbar l/s")
    held = outgas.hold("250 mbar", slow, "1013 mbar")
    assert [way.name for way in held.ways[:3]] == [
        "pump on and off",
        "weighted plate",
        "bleed hole",
    ]
    assert in_brackets(said(held), "Hold") == pytest.approx(25000.0)
    assert "Near it" not in said(held)
    assert "Or bleed hole: at its worst it holds 203 mbar" in said(held)


def test_a_way_that_is_not_sure_is_marked_in_its_own_block_and_a_sure_one_is_not():
    held = outgas.hold("300 mbar", rig_of("5 m3/h two-stage pump"), "1013 mbar", deepest="250 mbar")
    blocks = re.split(r" \d\. ", full(held))[1:]
    assert len(blocks) == len(held.ways)
    for way, text in zip(held.ways, blocks, strict=True):
        assert text.lower().startswith(way.name)
        assert ("not sure, do not rely on it alone" in text) == (
            not way.sure and way.deep_Pa is not None
        )
        assert ("deep end" in text) == (way.deep_Pa is not None)
    hole = next(text for text in blocks if text.startswith("Bleed hole"))
    assert "mm hole" in hole
    assert "none: " not in hole


def test_no_sure_way_is_no_wrong_where_nobody_said_what_is_too_deep():
    held = outgas.hold("60 mbar", rig_of("two-stage pump"), HERE, bore="100 mm")
    assert held.best is None
    assert held._well


def test_a_pump_of_which_nothing_is_told_may_go_to_nothing():
    held = outgas.hold("500 mbar", outgas.Rig(bleed="needle valve"), HERE)
    assert next(way for way in held.ways if way.name == "hand valve").deep_Pa == 0.0


def test_the_time_down_takes_the_bags_volume_and_the_pumps_speed():
    for words in ("two-stage pump, 5 l bag", "5 m3/h two-stage pump"):
        assert outgas.hold("60 mbar", rig_of(words), HERE).pump_down_s is None


def test_ones_own_setpoint_may_be_held_where_the_job_has_none():
    asked = outgas.Job(
        resin="orthophthalic-polyester", temperature="22C", humidity="50%", altitude="2500 m",
        rig="5 m3/h two-stage pump",
    )  # fmt: skip
    deepest = outgas.advise(asked).deepest_Pa
    held = outgas.hold(f"{deepest + 3000.0} Pa", asked)
    assert held.setpoint_Pa == pytest.approx(deepest + 3000.0)
    with pytest.raises(RefusedError, match="deeper than the deepest safe"):
        outgas.hold(f"{deepest - 3000.0} Pa", asked)
