"""What was seen, and what the bag was at."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.constants import Z95
from outgas.diagnosis.answers import read_seen
from outgas.errors import InputError
from outgas.job.told_pressure import certain, read_told_pressure
from outgas.tables import catalogue

ATM = 101325.0


@pytest.mark.parametrize(
    "given_",
    [
        {"leak test": "passed", "where": "on strands"},
        {"Leak-Test": "PASSED", "where": " On  Strands "},
        ["leak_test = passed", "where=on-strands"],
        ("leak test=passed", "where=on strands", "where=on strands", "tap=unknown"),
    ],
)
def test_words_are_forgiving_of_case_hyphens_and_spaces(given_):
    assert read_seen(given_) == {"leak-test": "passed", "where": "on strands"}


def test_one_text_and_nothing_are_taken():
    assert read_seen("where=on strands") == {"where": "on strands"}
    assert read_seen(None) == read_seen({}) == {}


def test_questions_are_what_read_seen_takes():
    for question, answers in outgas.questions().items():
        for answer in answers:
            assert read_seen({question: answer})


def test_words_for_a_bag_hold_the_interval_of_the_table():
    for words, name in (("very good bag", "very-good-bag"), ("Weak Bag", "weak-bag")):
        number = catalogue.signs().bag[name].pressure
        belief = read_told_pressure(words, ATM, 2500.0)
        assert belief.quantile(0.025) == pytest.approx(number.low_si, rel=0.1)
        assert belief.quantile(0.975) == pytest.approx(number.high_si, rel=0.1)
        assert belief.median == pytest.approx(number.si, rel=0.05)


def test_nothing_said_is_any_bag_and_says_so():
    belief = read_told_pressure(None, ATM, 2500.0)
    assert not belief.stated
    assert belief.text.startswith("not known")
    assert belief.interval[1] > 5.0 * belief.interval[0]


@given(mbar=st.floats(60.0, 900.0), error=st.floats(1.0, 30.0))
def test_a_reading_is_as_wide_as_its_error(mbar, error):
    belief = read_told_pressure(f"{mbar!r} mbar", ATM, error * 100.0)
    assert belief.median == pytest.approx(mbar * 100.0, rel=0.02)
    inside = belief.weight[np.abs(belief.pressure - mbar * 100.0) <= error * 100.0].sum()
    assert inside == pytest.approx(0.95, abs=0.02)
    assert belief.mean(np.ones_like(belief.pressure)) == pytest.approx(1.0)


def test_a_reading_without_error_is_certain():
    belief = read_told_pressure("60 mbar", ATM, 0.0)
    assert belief.interval == (6000.0, 6000.0)
    assert certain(6000.0, "").median == 6000.0


def test_an_error_that_is_a_share_grows_with_the_pressure():
    share = catalogue.practice().reading.water.si
    for mbar in (50.0, 200.0):
        belief = read_told_pressure(f"{mbar} mbar", ATM, None)
        spread = belief.mean((belief.pressure - mbar * 100.0) ** 2) ** 0.5
        assert spread == pytest.approx(share * mbar * 100.0 / Z95, rel=0.05)


@pytest.mark.parametrize(
    "value",
    [
        ("40 mbar", "90 mbar"),
        ["90 mbar", "40 mbar"],
        "40 mbar to 90 mbar",
        "40 to 90 mbar",
        (outgas.Quantity(40.0, "mbar"), outgas.Quantity(90.0, "mbar")),
    ],
)
def test_an_interval_is_even_in_the_logarithm(value):
    belief = read_told_pressure(value, ATM, 2500.0)
    assert belief.pressure[0] == pytest.approx(4000.0)
    assert belief.pressure[-1] == pytest.approx(9000.0)
    assert belief.median == pytest.approx(6000.0, rel=0.01)


def test_a_vacuum_interval_reads_from_either_end():
    a = read_told_pressure("27 to 28 inHg vacuum", ATM, 2500.0)
    b = read_told_pressure(("28 inHg vacuum", "27 inHg vacuum"), ATM, 2500.0)
    assert a.median == pytest.approx(b.median)


def test_an_interval_of_nothing_is_a_point():
    assert read_told_pressure(("60 mbar", "60 mbar"), ATM, 2500.0).interval == (6000.0, 6000.0)


def test_what_was_seen_is_words_not_a_number():
    with pytest.raises(InputError, match="seen is 5; write it as"):
        read_seen(5)
