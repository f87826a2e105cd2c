import json
import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError, OutgasError, OutOfRangeError, UnitError
from outgas.no_gauge import observations as says

UP = "orthophthalic-polyester"
HERE = "1013.25 hPa"
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose"


def unknown(barometer=HERE):
    return outgas.BagPressure.unknown(barometer)


def mbar(quantity):
    return quantity.m_as("mbar")


def shop():
    return outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")


# Acceptance -----------------------------------------------------------------------------------


def test_quiet_at_43_without_a_chip_leaves_a_tenth_below_86_mbar():
    assert unknown().stayed_quiet("43 degC").chance_below("86 mbar") >= 0.10


def test_ice_while_a_bleed_feeds_the_pot_still_allows_60_mbar():
    bled = unknown().ice_formed(bleeding=True)
    assert 1.0 - bled.chance_below("60 mbar") > 0.05
    assert mbar(bled.interval(0.9)[1]) > 60.0
    still = unknown().ice_formed()
    assert still.chance_below("7 mbar") > 0.97


def test_a_thermometer_30_mm_deep_at_38_means_63_mbar_not_66():
    deep = unknown().boiling_thermometer("38.0 degC", depth="30 mm")
    assert round(mbar(deep.median)) == 63
    over = unknown().boiling_thermometer("38.0 degC")
    assert round(mbar(over.median)) in (65, 66)


@pytest.mark.parametrize(
    "resin", [UP, "bisphenol-a-vinyl-ester", "epoxy-laminating", "mma-polyester"]
)
@pytest.mark.parametrize("celsius", [15, 26, 35])
def test_milky_alone_never_makes_below_25_mbar_certain(resin, celsius):
    milky = unknown().went_milky(resin, f"{celsius} degC")
    assert milky.chance_below("25 mbar") < 0.9
    assert mbar(milky.interval(0.9)[1]) > 100.0
    again = milky.went_milky(resin, f"{celsius} degC")
    assert again.chance_below("25 mbar") < 0.95


def test_contradicting_evidence_is_reported_with_its_pair_and_not_averaged_away():
    torn = unknown().saw_boiling("20 degC").stayed_quiet("60 degC")
    (found,) = torn.contradictions
    assert "boiled at 20.0 degC" in found.first
    assert "quiet at 60.0 degC" in found.second
    assert torn.advise(UP, shop_at(HERE)).state == "cannot tell"
    text = str(torn)
    assert text.startswith("These cannot both be right: 'water boiled at 20.0 degC")
    # not averaged: the middle between the two is not where it settles
    assert torn.chance_below("150 mbar") - torn.chance_below("50 mbar") < 0.25


def shop_at(barometer):
    return outgas.Shop(temperature="26 degC", humidity="60 %", barometer=barometer)


# What a belief is -----------------------------------------------------------------------------


def test_knowing_nothing_is_flat_in_the_logarithm():
    bag = unknown()
    assert bag.chance_below("10.066 mbar") == pytest.approx(0.5, abs=2e-3)
    low, high = bag.interval(0.9)
    assert mbar(low) * mbar(high) == pytest.approx(0.1 * 1013.25, rel=1e-2)
    assert bag.evidence == ()
    assert bag.contradictions == ()
    assert bag.weights.sum() == pytest.approx(1.0)


def test_a_belief_is_immutable_and_each_observation_makes_a_new_one():
    first = unknown()
    second = first.saw_boiling("40 degC")
    assert first.evidence == ()
    assert len(second.evidence) == 1
    assert first.chance_below("50 mbar") < second.chance_below("50 mbar")
    with pytest.raises(AttributeError):
        first.barometer_Pa = 3.0
    with pytest.raises(ValueError, match="read-only"):
        second.evidence[0].likelihood[0] = 2.0


def test_order_does_not_matter():
    a = unknown().saw_boiling("40 degC").pull("180 N", "50 mm")
    b = unknown().pull("180 N", "50 mm").saw_boiling("40 degC")
    assert mbar(a.median) == pytest.approx(mbar(b.median), rel=1e-9)


def test_a_belief_survives_pickling():
    bag = unknown().fell_quiet("43 degC")
    again = pickle.loads(pickle.dumps(bag))
    assert mbar(again.median) == pytest.approx(mbar(bag.median))


EVIDENCE = {
    "boiled": lambda b: b.saw_boiling("40 degC"),
    "boiled on chip": lambda b: b.saw_boiling("40 degC", chip=True),
    "quiet": lambda b: b.stayed_quiet("40 degC"),
    "fell quiet": lambda b: b.fell_quiet("40 degC"),
    "thermometer": lambda b: b.boiling_thermometer("40 degC", "10 mm"),
    "ice": lambda b: b.ice_formed(),
    "ice bled": lambda b: b.ice_formed(bleeding=True),
    "syringe": lambda b: b.syringe("1 ml", "8 ml"),
    "syringe both": lambda b: b.syringe("1 ml", "2 ml", "2.4 ml"),
    "tube": lambda b: b.inverted_tube("200 mm", "20 mm"),
    "pull": lambda b: b.pull("180 N", "50 mm"),
    "plate": lambda b: b.plate_lifts("1.15 kg", "20 mm"),
    "sensor": lambda b: b.sensor("60 mbar", "10 mbar"),
    "dial": lambda b: b.sensor("28 inHg vacuum", "25 mbar"),
    "floor": lambda b: b.sensor("300 mbar", "5 mbar", floor="300 mbar"),
    "milky": lambda b: b.went_milky(UP, "26 degC"),
    "pump": lambda b: b.pump(RIG),
    "pump bled": lambda b: b.pump(outgas.Rig.from_words(RIG + ", needle valve")),
}


@pytest.mark.parametrize("see", EVIDENCE.values(), ids=EVIDENCE.keys())
def test_every_observation_is_a_likelihood_with_a_floor(see):
    (seen,) = see(unknown()).evidence
    assert seen.likelihood.max() == pytest.approx(1.0)
    assert seen.likelihood.min() > 0.0
    assert np.all(np.isfinite(seen.likelihood))
    assert seen.text


@pytest.mark.parametrize("see", EVIDENCE.values(), ids=EVIDENCE.keys())
def test_no_single_observation_is_ever_certain(see):
    low, high = see(unknown()).interval(0.999)
    assert mbar(high) / mbar(low) > 1.05


# Which way it errs ----------------------------------------------------------------------------


def saturation(celsius):
    return mbar(outgas.vapour_pressure("water", f"{celsius} degC"))


@given(T=st.floats(15.0, 60.0))
def test_boiling_says_deeper_than_the_boiling_pressure_and_more_so_without_a_chip(T):
    bare = unknown().saw_boiling(f"{T} degC")
    chipped = unknown().saw_boiling(f"{T} degC", chip=True)
    p = f"{saturation(T)} mbar"
    assert chipped.chance_below(p) > 0.9
    assert mbar(bare.interval(0.9)[1]) < mbar(chipped.interval(0.9)[1])


@given(T=st.floats(15.0, 60.0))
def test_quiet_is_weaker_without_a_chip_than_with_one_and_than_falling_quiet(T):
    p = f"{0.8 * saturation(T)} mbar"
    bare = unknown().stayed_quiet(f"{T} degC").chance_below(p)
    chipped = unknown().stayed_quiet(f"{T} degC", chip=True).chance_below(p)
    fell = unknown().fell_quiet(f"{T} degC")
    assert bare > chipped
    assert fell.interval(0.9)[1] < unknown().stayed_quiet(f"{T} degC").interval(0.9)[1]


@given(T=st.floats(15.0, 60.0))
def test_falling_quiet_is_taken_deeper_than_its_temperature_says(T):
    assert mbar(unknown().fell_quiet(f"{T} degC").median) < saturation(T)


@given(T=st.floats(12.0, 60.0), mm=st.floats(1.0, 60.0))
def test_a_bulb_under_water_means_a_deeper_bag(T, mm):
    over = unknown().boiling_thermometer(f"{T} degC")
    under = unknown().boiling_thermometer(f"{T} degC", depth=f"{mm} mm")
    assert mbar(under.median) < mbar(over.median)


@given(ratio=st.floats(1.05, 20.0))
def test_a_syringe_going_down_is_never_taken_at_its_word(ratio):
    said = 1013.25 / ratio
    got = unknown().syringe("1 ml", f"{ratio} ml")
    assert mbar(got.median) < said
    assert got.chance_below(f"{said} mbar") > 0.85


def test_coming_back_cancels_the_friction_where_the_bag_can_push():
    one = unknown().syringe("1 ml", "1.5 ml").interval(0.9)
    both = unknown().syringe("1 ml", "1.5 ml", "1.7 ml").interval(0.9)
    assert mbar(both[1]) - mbar(both[0]) < mbar(one[1]) - mbar(one[0])
    assert mbar(both[0]) < 636.0 < mbar(both[1])


def test_deep_down_a_plunger_does_not_come_back_and_says_no_more_than_one_way():
    one = unknown().syringe("1 ml", "9 ml")
    both = unknown().syringe("1 ml", "9 ml", "10 ml")
    assert both.chance_below("20 mbar") > 0.5 * one.chance_below("20 mbar")


def test_a_pull_cannot_tell_20_from_60_mbar():
    got = unknown().pull("185 N", "50 mm")
    low, high = got.interval(0.9)
    assert mbar(low) < 20.0
    assert mbar(high) > 60.0


def test_a_tube_and_a_sensor_are_two_sided():
    for bag in (
        unknown().inverted_tube("200 mm", "40 mm"),
        unknown().sensor("200 mbar", "20 mbar"),
    ):
        low, high = bag.interval(0.9)
        assert mbar(low) < 200.0 < mbar(high)


def test_a_chip_at_its_floor_only_says_no_shallower():
    bag = unknown().sensor("300 mbar", "5 mbar", floor="300 mbar")
    assert bag.chance_below("310 mbar") > 0.97
    assert bag.chance_below("20 mbar") > 0.3


def test_a_bleed_turns_the_pump_into_a_lower_bound():
    shut = unknown().pump(RIG)
    bled = unknown().pump(RIG + ", needle valve")
    assert shut.chance_below("20 mbar") > 0.95
    assert bled.chance_below("20 mbar") < 0.6
    assert bled.chance_below("0.3 mbar") < 0.03


def test_a_leak_and_a_worn_plate_lift_the_pump():
    tight = unknown().pump(RIG + ", leak 0.05 mbar l/s")
    leaky = unknown().pump(RIG + ", leak 20 mbar l/s")
    assert mbar(leaky.median) > 5 * mbar(tight.median)


def test_a_plate_that_lifts_holds_its_weight_deeper_or_shallower_by_seat_and_ring():
    got = unknown("1010.8 hPa").plate_lifts("1.15 kg", "20 mm")
    low, high = got.interval(0.9)
    assert mbar(low) < 652.0 < mbar(high)
    assert mbar(low) > 630.0


# Bad input ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("see", "message"),
    [
        (lambda b: b.syringe("3 ml", "1 ml"), "above the barometer"),
        (lambda b: b.syringe("1 ml", "8 ml", "6 ml"), "hangs out"),
        (lambda b: b.syringe("1 ml", "8"), "no unit"),
        (lambda b: b.syringe("0 ml", "8 ml"), "above zero"),
        (lambda b: b.inverted_tube("100 mm", "120 mm"), "above the barometer"),
        (lambda b: b.pull("900 N", "50 mm"), "more than the barometer"),
        (lambda b: b.pull("9 N", "5 m"), "outside 3 to 500 mm"),
        (lambda b: b.plate_lifts("9 kg", "20 mm"), "cannot lift"),
        (lambda b: b.saw_boiling("120 degC"), "outside 1 to 99 degC"),
        (lambda b: b.saw_boiling("-3 degC"), "outside"),
        (lambda b: b.boiling_thermometer("40 degC", "-3 mm"), "zero or more"),
        (lambda b: b.sensor("2000 mbar", "5 mbar"), "above the barometer"),
        (lambda b: b.sensor("28 inHg", "5 mbar"), "two meanings"),
        (lambda b: b.sensor("60 mbar", "0 mbar"), "above zero"),
        (lambda b: b.went_milky("polyestr", "20 degC"), "no resin is called"),
        (lambda b: b.pump("5 m3/h pump"), "ultimate"),
        (lambda b: b.pump(3), "rig is not a Rig"),
        (lambda b: b.pump("5 m3/h two-stage pump, leak 99999 mbar l/s"), "above the barometer"),
        (lambda b: b.syringe("1 ml", "1.5 ml", "90 ml"), "more than a plunger's friction"),
        (lambda b: b.boiling_thermometer("20 degC", "400 mm"), "that much water alone"),
        (lambda b: outgas.BagPressure.unknown("701 hPa").fell_quiet("95 degC"), "above the baro"),
        (
            lambda b: outgas.BagPressure.unknown("701 hPa").boiling_thermometer("98 degC"),
            "above the barometer's 701 mbar, where water boils at 90.0 degC",
        ),
        (lambda b: b.pull("60 kg", "50 mm"), "more than the barometer"),
        (lambda b: b.interval(1.5), "outside 0 to 1"),
        (lambda b: b.interval(0.0), "between 0 and 1"),
    ],
)
def test_an_observation_that_cannot_be_is_refused_in_one_line(see, message):
    with pytest.raises((InputError, OutOfRangeError, UnitError, OutgasError)) as caught:
        see(unknown())
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


# Words ----------------------------------------------------------------------------------------


def test_the_belief_in_words_on_any_dial_and_as_json():
    bag = unknown().fell_quiet("43 degC")
    first = bag.to_text(full=True).splitlines()[0]
    assert "inHg vacuum" in first
    assert "mbar absolute" in first
    assert "bar gauge" in bag.to_text("bar", full=True).splitlines()[0]
    got = json.loads(bag.to_json())
    assert got["median_Pa"] == pytest.approx(bag.median.m_as("Pa"))
    assert got["low_5_Pa"] < got["median_Pa"] < got["high_95_Pa"]
    assert got["evidence"][0]["kind"] == "fell quiet"
    assert "<pre>" in bag._repr_html_()
    for words in ("water only", "no glass", "safety data sheet"):
        assert words in bag.to_text(full=True)


@given(p=st.floats(0.0, 2e4), here=st.floats(54e3, 105e3))
def test_no_dial_is_said_to_show_more_than_all_the_air(p, here):
    from outgas import readings
    from outgas.show.dial import DIALS, on_dial

    for dial, (key, step, _, falls) in DIALS.items():
        full = readings.dial_readings(0.0, here)[key]
        shown = float(on_dial(p, here, dial, weaker=False).split()[0])
        assert shown >= full - 0.01 * step if falls else shown <= full + 0.01 * step


def test_a_luggage_scale_reads_kilograms_or_pounds():
    newtons = unknown().pull("147.1 N", "50 mm")
    for scale in ("15 kg", "33.07 lb"):
        assert mbar(unknown().pull(scale, "50 mm").median) == pytest.approx(
            mbar(newtons.median), rel=2e-3
        )


def test_a_belief_holds_on_the_grid_of_any_barometer():
    for barometer in ("540 hPa", "700 hPa", "1050 hPa"):
        grid = says.grid_of(outgas.BagPressure.unknown(barometer).barometer_Pa)
        assert grid.p[-1] == pytest.approx(float(barometer.split()[0]) * 100)
        assert grid.p[0] == pytest.approx(10.0)
