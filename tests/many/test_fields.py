"""What is told of each case: units, codes and words that mean each other."""

import math

import numpy as np
import pytest

import outgas
from outgas.many.cases import cases_of
from outgas.many.exact import answered
from outgas.many.fields import LIMITS, OUTCOMES, VERDICTS, expected, fields_of, rows, words_of
from outgas.window.window import window_of

UP = "orthophthalic-polyester"


@pytest.fixture(scope="module")
def found():
    cases = cases_of(
        {
            "resin": UP, "temperature": ["5 C", "22 C", "80 C"], "humidity": 0.5,
            "bag_pressure": "28 inHg vacuum",
        }
    )  # fmt: skip
    return answered(cases, range(3))


def test_a_row_has_the_numbers_of_its_window_in_the_trades_units(found):
    table = rows(found, voids=True)
    names = [field.name for field in fields_of(voids=True)]
    row, window = dict(zip(names, table[1], strict=True)), found[1].window
    assert row["deepest"] == pytest.approx(window.deepest / 100.0)
    assert row["hottest"] == pytest.approx(window.case.hottest_K - 273.15)
    assert LIMITS[int(row["limiting"])] == window.limits.limiting
    assert VERDICTS[int(row["verdict"])] == found[1].verdict.state
    assert row["voids_high"] == pytest.approx(100.0 * expected(window).high)


def test_what_has_no_answer_is_not_a_number_and_says_which_kind(found):
    table = rows(found, voids=False)
    assert [OUTCOMES[int(code)] for code in table[:, -1]] == ["refused", "answered", "not possible"]
    assert np.isnan(table[0, :-2]).all()
    assert VERDICTS[int(table[0, -2])] == ""


def test_every_verdict_that_there_is_has_a_code():
    from outgas.window import verdict

    words = set(VERDICTS) - {""}
    said = verdict.judge.__module__
    assert said == "outgas.window.verdict"
    text = (verdict.Verdict.__doc__ or "").replace("\n", " ")
    assert all(word in " ".join(text.split()) for word in words)


def test_a_pot_and_a_job_without_a_window_have_no_voids():
    pot = answered(
        cases_of({"resin": UP, "temperature": ["20 C"], "humidity": 0.5, "process": "degassing"}),
        [0],
    )
    assert expected(pot[0].window) is None
    assert math.isnan(rows(pot, voids=True)[0, -3])


def test_words_stand_for_codes_and_nothing_for_none(found):
    del found
    told = words_of(outgas.sweep(UP, temperature=["10 degC", "22 degC"], humidity=0.5, voids=False))
    assert told.outcome.values.tolist() == ["refused", "answered"]
    assert told.limiting.values.tolist() == ["", "air"]
    assert window_of  # the same functions answer one case and many
