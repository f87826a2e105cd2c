import math

import pytest

from outgas.physics.chance import Band
from outgas.show import amounts
from outgas.show.amounts import voids_of


def test_a_bound_in_mbar_is_never_deeper_than_it_is():
    for pressure in (1.0, 99.0, 4501.0, 6000.1, 6099.9, 101325.0):
        shown = 100.0 * amounts.mbar_up(pressure)
        assert pressure <= shown < pressure + 100.0
    assert amounts.mbar_up(6000.0) == 60
    assert amounts.mbar_up(6000.0 * (1.0 + 1e-12)) == 60  # a whole one that reckoning has frayed
    assert isinstance(amounts.mbar_up(6000.1), int)


def test_what_is_observed_goes_to_the_nearest_with_a_tenth_where_it_is_little():
    assert [amounts.mbar(p) for p in (449.0, 551.0, 99951.0)] == ["4", "6", "1000"]
    assert [amounts.mbar(p, fine=True) for p in (449.0, 990.0, 1000.0)] == ["4.5", "9.9", "10"]
    assert amounts.mbar_read(1234.0) == "12.3 mbar"


def test_celsius_is_kelvin_less_the_ice_point():
    assert amounts.celsius(299.15) == "26 degC"
    assert amounts.celsius(263.15, 1) == "-10.0 degC"


@pytest.mark.parametrize(
    ("seconds", "how", "said"),
    [
        (7200.0, {}, "2.0 h"),
        (7140.0, {}, "119 min"),
        (7200.0, {"hours": False}, "120 min"),
        (9000.0, {}, "2.5 h"),
        (30.0, {}, "0 min"),
        (90.0, {"seconds_below": 90.0}, "2 min"),
        (89.44, {"seconds_below": 90.0}, "89.4 s"),
        (89.44, {"seconds_below": 90.0, "whole": True}, "89 s"),
        (0.1234, {"seconds_below": 90.0}, "0.123 s"),
    ],
)
def test_a_time_is_said_in_the_unit_of_its_size(seconds, how, said):
    assert amounts.duration(seconds, **how) == said


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0.0, "0:00"),
        (59.6, "1:00"),  # carried over, not 0:60
        (605.0, "10:05"),
        (-605.0, "-10:05"),
        (7190.0, "119:50"),
        (7200.0, "2 h 00"),
        (10770.0 + 29.0, "3 h 00"),  # carried over, not 2 h 60
        (-7500.0, "-2 h 05"),
    ],
)
def test_a_moment_keeps_its_sign_and_carries_over(seconds, said):
    assert amounts.clock(seconds) == said


def test_a_clock_and_its_mirror_differ_by_the_sign_alone():
    for seconds in (1.0, 61.0, 3601.0, 7201.0, 90000.0):
        assert amounts.clock(-seconds) == "-" + amounts.clock(seconds)


def test_a_chance_is_never_none_nor_certain():
    assert [amounts.chance(x) for x in (0.0, 0.0099, 0.01, 0.5)] == [
        "under 1 %",
        "under 1 %",
        "1 %",
        "50 %",
    ]
    assert [amounts.chance(x) for x in (0.99, 0.9901, 1.0)] == ["99 %", "over 99 %", "over 99 %"]
    assert [amounts.probability(x) for x in (0.0, 0.254, 0.999, 1.0)] == ["1%", "25%", "99%", "99%"]


def test_voids_are_said_to_two_figures_down_to_a_thousandth():
    assert [amounts.voids(x) for x in (0.0, 0.00099, 0.001, 0.0123, 0.254)] == [
        "under 0.1%",
        "under 0.1%",
        "0.1%",
        "1.2%",
        "25%",
    ]


@pytest.mark.parametrize(
    ("radius", "said"),
    [
        (2.5e-6, "5 um"),
        (49.7e-6, "99 um"),
        (49.8e-6, "0.1 mm"),  # two figures make it 100 um, which the eye sees
        (0.5e-3, "1 mm"),
        (0.0123 / 2.0, "12 mm"),
        (0.0497, "99 mm"),
        (0.0617, "123 mm"),
    ],
)
def test_a_bubble_is_told_by_its_diameter(radius, said):
    assert amounts.across(radius) == said


def test_two_figures_are_two_whatever_the_size():
    for value in (0.0123, 0.5678, 7.77, 99.4, 100.0, 123.0, 98765.0):
        shown = float(amounts.two_figures(value))
        digits = value / 10.0 ** (math.floor(math.log10(value)) - 1)
        assert abs(shown / value * digits - digits) <= 0.5 + 1e-9
        assert "e" not in amounts.two_figures(value)


def test_a_leak_and_a_syringe_are_in_the_shops_units():
    # 1 mbar is 100 Pa and 1 l a thousandth of a cubic metre: 1 mbar l/s is 0.1 Pa m3/s
    assert amounts.leak(0.1) == "1 mbar l/s"
    assert amounts.leak(123.4) == "1200 mbar l/s"
    assert amounts.millilitres(25.25e-6) == "25.2 ml"


def test_no_amount_is_a_power_of_ten_or_a_minus_nought():
    shown = [
        amounts.celsius(272.95),
        amounts.mbar_read(101000.0),
        *(amounts.leak(q) for q in (2e-6, 9.97, 1234.0)),
        amounts.voids(0.997),
        amounts.millilitres(0.0012),
        amounts.duration(1500.0, seconds_below=3000.0),
    ]
    assert not any("e" in text.split()[0] or text.startswith("-0 ") for text in shown), shown
    assert shown[0] == "0 degC"
    assert shown[1] == "1010 mbar"


def test_voids_round_their_low_end_down_and_their_high_end_up():
    assert voids_of(Band(0.004, 0.0, 0.0301)) == "0.4% voids (0 to 4)"
    assert voids_of(Band(0.0, 0.0, 0.0061)) == "0.0% voids (0 to 0.7)"
    assert voids_of(Band(0.034, 0.019, 0.03)) == "3.4% voids (1 to 3)"
    assert voids_of(Band(0.03, 0.01, 1.0)) == "3.0% voids, at the worst froth"
    assert voids_of(Band(1.0, 0.5, 1.0)) == "froth"
