import math
from statistics import NormalDist

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, UnknownNameError
from outgas.job import told_pressure
from outgas.job.told_pressure import read_told_pressure
from outgas.tables import catalogue

AIR = 101325.0


class Held:
    """A belief that someone else holds: log-normal about a middle [Pa]."""

    def __init__(self, middle, deviation):
        self.law = NormalDist(math.log(middle), deviation)

    def chance_below(self, pressure):
        return self.law.cdf(math.log(pressure.m_as("Pa")))


def read(value, error=500.0, barometer=AIR):
    return read_told_pressure(value, barometer, error)


@pytest.mark.parametrize(
    "value", [None, "weak bag", "200 mbar", "40 to 90 mbar", "28 inHg vacuum", Held(5e3, 0.4)]
)
def test_a_belief_is_whole_rises_and_stays_between_none_and_the_air(value):
    got = read(value)
    assert got.weight.sum() == pytest.approx(1.0)
    assert np.all(got.weight >= 0.0)
    assert np.all(np.diff(got.pressure) > 0.0)
    assert 0.0 < got.pressure[0] < got.pressure[-1] <= AIR * (1 + 1e-12)
    low, high = got.interval
    assert low < got.median < high


@pytest.mark.parametrize("words", ["Very-Good Bag", "good bag", "full vacuum", "tight_bag"])
def test_words_hold_their_range_with_95_per_cent_about_their_middle(words):
    number = catalogue.signs().bag["very-good-bag"].pressure
    got = read(words)
    assert got.median == pytest.approx(number.si, rel=0.03)
    spread = got.quantile(0.975) / got.quantile(0.025)
    assert spread == pytest.approx(number.high_si / number.low_si, rel=0.06)
    assert got.stated
    assert got.text == "very good bag, taken as 5 to 100 mbar absolute"


def test_nothing_said_is_any_bag_and_not_stated():
    for value in (None, "unknown"):
        got = read(value)
        assert got.stated is False
        assert got.text == "not known, taken as 12 to 900 mbar absolute"
    high = read(None, barometer=7e4)
    assert high.text.endswith("12 to 700 mbar absolute")
    assert high.pressure[-1] == pytest.approx(7e4)


def test_a_reading_is_a_bell_about_itself_as_wide_as_its_error():
    got = read("200 mbar", error=5000.0)
    mean = got.mean(got.pressure)
    assert mean == pytest.approx(2e4, abs=20.0)
    deviation = math.sqrt(got.mean((got.pressure - mean) ** 2))
    assert deviation == pytest.approx(5000.0 / 1.96, rel=0.01)
    assert got.text == "150 to 250 mbar absolute"


def test_without_an_error_a_reading_is_off_by_a_water_columns_share():
    share = catalogue.practice().reading.water.si
    got = read("400 mbar", error=None)
    assert math.sqrt(got.mean((got.pressure - 4e4) ** 2)) == pytest.approx(
        share * 4e4 / 1.96, rel=0.01
    )


def test_a_reading_without_error_is_certain():
    got = read("200 mbar", error=0.0)
    assert (got.pressure.tolist(), got.weight.tolist()) == ([2e4], [1.0])
    assert (got.median, got.text) == (2e4, "200 mbar absolute")
    assert read("0 mbar", error=0.0).median == told_pressure.DEEPEST_PA


@pytest.mark.parametrize(
    "value",
    [
        "40 to 90 mbar",
        ("40 mbar", "90 mbar"),
        ["90 mbar", "40 mbar"],
        "40 mbar to 9000 Pa",
        ("-973.25 mbar gauge", "-923.25 mbar gauge"),
    ],
)
def test_an_interval_is_even_in_the_logarithm_whichever_end_comes_first(value):
    got = read(value)
    assert got.median == pytest.approx(6000.0, rel=0.005)  # the root of 40 times 90
    assert (got.pressure[0], got.pressure[-1]) == pytest.approx((4000.0, 9000.0))
    assert np.ptp(got.weight) == pytest.approx(0.0, abs=1e-12)
    assert got.text == "40 to 90 mbar absolute"


def test_an_interval_of_one_point_is_certain():
    assert read(("60 mbar", "60 mbar")).pressure.tolist() == [6000.0]
    assert read(("0 mbar", "0 mbar")).pressure.tolist() == [told_pressure.DEEPEST_PA]


@pytest.mark.parametrize(
    ("said", "text"),
    [("990 mbar", "940 to 1013 mbar absolute"), ("20 mbar", "0 to 70 mbar absolute")],
)
def test_a_reading_near_an_end_reaches_neither_past_the_air_nor_past_none(said, text):
    got = read(said, error=5000.0)
    assert got.text == text
    assert got.pressure[0] >= told_pressure.DEEPEST_PA
    assert got.pressure[-1] <= AIR * (1 + 1e-12)


def test_a_belief_held_elsewhere_keeps_its_quantiles():
    held = Held(6000.0, 0.5)
    got = read(held)
    for share in (0.1, 0.5, 0.9):
        want = math.exp(held.law.inv_cdf(share))
        assert got.quantile(share) == pytest.approx(want, rel=0.03)
    low, high = (math.exp(held.law.inv_cdf(s)) / 100.0 for s in (1 / 6, 5 / 6))
    assert got.interval == pytest.approx((low * 100, high * 100), rel=0.03)
    assert got.text.startswith("believed ")


class Falling(Held):
    def chance_below(self, pressure):
        return 1.0 - super().chance_below(pressure)


class Nothing:
    def __init__(self, chance):
        self.chance = chance

    def chance_below(self, _):
        return self.chance


@pytest.mark.parametrize("belief", [Falling(6e3, 0.5), Nothing(0.0), Nothing(math.nan)])
def test_chances_that_do_not_rise_are_refused(belief):
    with pytest.raises(InputError, match="must rise from 0 to 1"):
        read(belief)


@pytest.mark.parametrize(
    ("value", "kind", "message"),
    [
        ("1100 mbar", InputError, "above the barometer's 1013 mbar"),
        ("40 to 1100 mbar", InputError, "above the barometer's"),
        (("40 mbar",), InputError, "has 1 ends"),
        ("god bag", UnknownNameError, "good bag"),
        ("60", InputError, "with no unit"),
    ],
)
def test_what_cannot_be_a_bag_is_refused_in_one_line(value, kind, message):
    with pytest.raises(kind) as caught:
        read(value)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_is_certain_may_bring_its_own_line():
    got = told_pressure.certain(5000.0, "held at 50 mbar")
    assert got.text == "held at 50 mbar"
    assert got.stated
    assert got.interval == (5000.0, 5000.0)


def test_a_quantity_is_read_as_absolute():
    assert read(outgas.Quantity(60.0, "mbar"), error=0.0).median == 6000.0
