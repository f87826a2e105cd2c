"""A pump switched by hand: gas balances of a shut bag, and a hand that comes late."""

import math

import pytest

import outgas
from outgas.no_gauge.switching import switched
from outgas.tables import catalogue

HERE = 101325.0
WORDS = "0.5 m3/h two-stage pump, 200 l bag, leak 2 mbar l/s"
VOLUME, LEAK = 0.2, 0.2  # m3, Pa m3/s


def band(words=WORDS, p=20000.0, ultimate=0.0, window=(None, None)):
    return switched(outgas.Rig.from_words(words), p, HERE, ultimate, window)


def speed(end):
    return 0.5 / 3600.0 * getattr(catalogue.rigs().displacement_share, end)


def test_it_goes_off_at_the_setpoint_and_on_a_tenth_weaker_but_never_past_the_window():
    found, why = band()
    assert why == ""
    assert (found.low_Pa, found.high_Pa) == (20000.0, pytest.approx(22000.0))
    assert band(window=(None, 20500.0))[0].high_Pa == 20500.0
    assert band(p=95000.0)[0].high_Pa == HERE
    assert band(window=(None, 20000.0)) == (None, "the window leaves no band to wander in")


def test_off_is_the_leaks_time_and_on_that_of_the_fastest_pump():
    found, _ = band()
    assert found.off_s == pytest.approx(VOLUME * 2000.0 / LEAK)
    reach = LEAK / speed("high_si")
    falls = math.log((22000.0 - reach) / (20000.0 - reach))
    assert found.on_s == pytest.approx(VOLUME / speed("high_si") * falls, rel=1e-6)


def test_a_hand_two_seconds_late_lets_it_fall_by_the_fastest_pump_alone():
    found, _ = band()
    late = 20000.0 * math.exp(-2.0 * speed("high_si") / VOLUME)
    assert found.late_Pa == pytest.approx(late)
    assert found.floor_Pa == pytest.approx(18000.0)  # as far below as the band goes up
    deep, _ = band(window=(19990.0, None))
    assert deep.floor_Pa == 19990.0
    assert not deep.steerable
    assert not deep.practical


def test_a_late_hand_exactly_on_the_floor_is_in_time():
    found, _ = band()
    at, _ = band(window=(found.late_Pa, None))
    assert at.steerable


def test_an_estimated_volume_is_taken_at_its_least_for_it_fills_and_falls_fastest():
    area, _ = band("0.5 m3/h two-stage pump, 20 m2 bag, leak 2 mbar l/s")
    least = outgas.Rig.from_words("0.5 m3/h two-stage pump, 20 m2 bag").volume()[1]
    assert area.volume_m3 > least
    assert area.off_s == pytest.approx(least * 2000.0 / LEAK)
    assert area.late_Pa == pytest.approx(20000.0 * math.exp(-2.0 * speed("high_si") / least))


def test_a_pump_that_rests_under_a_minute_is_not_practical_and_it_is_said():
    often, _ = band("0.5 m3/h two-stage pump, 5 l bag, leak 2 mbar l/s")
    assert often.off_s == pytest.approx(50.0)
    assert not often.practical
    text = often.line.on(HERE, None)
    assert "too often for a pump: find the leak" in text
    assert band()[0].practical
    assert "too often" not in band()[0].line.on(HERE, None)


def test_the_time_off_is_printed_up_and_the_time_on_down():
    found, _ = band(p=20100.0)
    text = found.line.on(HERE, None)
    assert f"off for {math.ceil(found.off_s)} s" in text
    on = float(text.split("no more than ")[1].split(" s")[0])
    assert on <= found.on_s < on + 1.0


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("0.5 m3/h two-stage pump, 200 l bag", "make a drop test first"),
        ("0.5 m3/h two-stage pump, leak 2 mbar l/s", "needs the bag's volume"),
        ("two-stage pump, 200 l bag, leak 2 mbar l/s", "needs what the pump moves"),
        ("0.5 m3/h two-stage pump, 200 l bag, leak 26 mbar l/s", "does not get down"),
    ],
)
def test_what_is_missing_or_too_leaky_is_said(words, why):
    found, said = band(words)
    assert found is None
    assert why in said
