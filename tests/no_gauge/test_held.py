"""How bounds are printed: rounded to the side that does no harm, also on a dial."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.no_gauge.held import Believed, Held, Told, figures, in_mbar, may_be, rounded_mbar

HERE = 101325.0


@given(p=st.floats(1.0, 101325.0))
def test_a_pressure_in_mbar_is_rounded_outwards_by_less_than_a_step(p):
    deep, weak = (float(rounded_mbar(p, side)) * 100.0 for side in (False, True))
    step = 10.0 if p < 1000.0 else 100.0
    assert deep <= p + 1e-3 < p + 2e-3 + step
    assert p - step - 1e-3 < deep
    assert p - 1e-3 <= weak < p + step + 1e-3


def test_a_tenth_is_printed_below_ten_mbar_only_and_whole_numbers_stay():
    assert [rounded_mbar(p, False) for p in (999.0, 1000.0, 1099.0)] == ["9.9", "10", "10"]
    assert [rounded_mbar(p, True) for p in (991.0, 1000.0, 1001.0)] == ["10.0", "10", "11"]
    assert rounded_mbar(63300.0 + 1e-9, True) == "633"
    assert rounded_mbar(63300.0 - 1e-9, False) == "633"


@given(value=st.floats(1e-5, 1e5), count=st.integers(2, 4))
def test_figures_are_on_their_side_and_within_one_of_the_last_place(value, count):
    low, high = figures(value, count=count), figures(value, up=True, count=count)
    assert low <= value * (1 + 1e-6)
    assert high >= value * (1 - 1e-6)
    last = 10.0 ** (math.floor(math.log10(value)) + 1 - count)
    assert high - low <= last * (1.0 + 1e-6)


def test_figures_of_large_and_of_no_values():
    assert (figures(12345.0), figures(12345.0, up=True)) == (12300.0, 12400.0)
    assert (figures(0.0), figures(-3.0)) == (0.0, 0.0)


def test_a_range_goes_from_the_deep_end_to_the_weak_and_each_is_rounded_outwards():
    line = may_be(60050.0, 70050.0)
    assert line.on(HERE, None) == "may be 600 to 701 mbar"
    low, high = re.findall(r"-?\d+\.\d+", line.on(HERE, "bar"))[:2]
    assert float(low) <= (60050.0 - HERE) / 1e5 + 1e-9
    assert float(high) >= (70050.0 - HERE) / 1e5 - 1e-9


def test_a_told_pressure_stands_as_told_until_a_dial_is_chosen():
    told = Told(5000.0, told="fifty or so")
    assert told.on(HERE, None) == "fifty or so"
    assert "fifty" not in told.on(HERE, "inHg")
    # 101325 - 5000 Pa are 28.44 inches of mercury, and deeper is more of them
    assert told.on(HERE, "inHg").startswith("28.4")
    assert in_mbar(5049.0).on(HERE, None) == "50 mbar"
    assert in_mbar(5049.0, weaker=True).on(HERE, None) == "51 mbar"
    assert in_mbar(5049.0, bare=True).on(HERE, None) == "50"


def test_an_end_of_a_belief_is_rounded_outwards_in_mbar_beside_the_dial():
    deep, weak = Believed(5049.0, weaker=False), Believed(5001.0)
    assert deep.on(HERE, "mbar") == "50 mbar absolute"
    assert weak.on(HERE, "mbar") in ("50 mbar absolute", "51 mbar absolute")
    for end in (deep, weak):
        shown = end.on(HERE, "inHg")
        assert shown.endswith(f"({rounded_mbar(end.pressure_Pa, end.weaker)} mbar absolute)")
        assert shown.count("absolute") == 1


def test_what_a_hole_holds_is_told_with_its_ends_and_kept_in_si():
    held = Held("2.0 mm drill", "drill", 0.002, 40000.0, 35010.0, 45010.0)
    text = held.line.on(HERE, None)
    assert text.startswith("2.0 mm drill: ")
    assert "400 mbar" in text
    assert text.endswith("may be 350 to 451 mbar")
    assert held.to_dict()["low_Pa"] == pytest.approx(35010.0)
    assert held.to_dict()["high_Pa"] == pytest.approx(45010.0)
