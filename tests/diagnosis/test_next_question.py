"""The information of a question."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.diagnosis.next_question import bits
from outgas.diagnosis.weights import chances
from outgas.tables import catalogue

shares = st.floats(0.01, 0.99)


def test_a_perfect_question_tells_all_and_an_idle_one_nothing():
    apart = {"yes": 1.0, "no": 0.0}, {"yes": 0.0, "no": 1.0}
    alike = {"yes": 0.3, "no": 0.7}, {"yes": 0.3, "no": 0.7}
    assert bits(0.5, *apart) == pytest.approx(1.0)
    assert bits(0.5, *alike) == pytest.approx(0.0, abs=1e-12)


@given(p=shares, a=shares, b=shares)
def test_information_is_mutual_and_never_negative(p, a, b):
    first, second = {"yes": a, "no": 1.0 - a}, {"yes": b, "no": 1.0 - b}
    got = bits(p, first, second)
    yes = p * a + (1.0 - p) * b

    def h(x):
        return -sum(y * math.log2(y) for y in (x, 1.0 - x) if y > 0.0)

    assert got == pytest.approx(h(yes) - p * h(a) - (1.0 - p) * h(b), abs=1e-9)
    assert -1e-12 <= got <= 1.0


@pytest.mark.parametrize("trust", [0.5, 0.75, 1.0])
def test_the_answers_to_a_question_share_one_chance_under_every_cause(trust):
    evidence = catalogue.signs()
    for question in evidence.question.values():
        for cause in (None, *evidence.cause.values()):
            got = chances(cause, question, trust)
            assert sum(got.values()) == pytest.approx(1.0)
            assert min(got.values()) > 0.0
    unlisted = chances(None, evidence.question["where"], trust)
    assert len(set(unlisted.values())) == 1
