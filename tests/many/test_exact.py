"""Windows worked together: each as it is alone, each refusal by itself."""

import pytest

import outgas
from outgas.errors import InputError, RefusedError
from outgas.many.cases import cases_of
from outgas.many.exact import TOGETHER, answered
from outgas.window.window import window_of

UP = "orthophthalic-polyester"
PLY = ["2 x 450 g/m2 chopped strand mat"]


def test_what_is_refused_is_so_alone_and_for_knots_it_is_worked_all_the_same():
    cases = cases_of({"resin": UP, "temperature": ["5 C", "20 C", "80 C"], "humidity": 0.5})
    cold, good, hot = answered(cases, range(3))
    assert isinstance(cold.refused, RefusedError)
    assert cold.window is None
    assert good.window is not None
    assert isinstance(hot.refused, Exception)
    cold, _, _ = answered(cases, range(3), refusing=False)
    assert cold.window is not None


def test_the_heat_of_many_is_that_of_each_whatever_stands_beside_it():
    cases = cases_of(
        {
            "resin": [UP, "epoxy-laminating"], "temperature": ["18 C", "24 C", "30 C"],
            "humidity": 0.5, "ply": PLY,
        }
    )  # fmt: skip
    for each in answered(cases, range(cases.size)):
        alone = window_of(each.window.job)
        assert each.window.case.hottest_K == pytest.approx(alone.case.hottest_K, abs=1e-6)
        assert each.window.deepest == pytest.approx(alone.deepest, rel=1e-6)


def test_more_cases_than_are_worked_together_keep_their_order():
    warm = [f"{16 + 0.05 * i:.2f} C" for i in range(TOGETHER + 5)]
    found = answered(
        cases_of({"resin": UP, "temperature": warm, "humidity": 0.5}), range(len(warm))
    )
    got = [each.window.case.shop_K for each in found]
    assert got == sorted(got)
    assert len(got) == len(warm)


def test_a_verdict_is_that_of_advise():
    cases = cases_of(
        {"resin": UP, "temperature": ["20 C"], "humidity": 0.5, "bag_pressure": "28 inHg vacuum"}
    )
    (found,) = answered(cases, [0])
    shop = outgas.Shop(temperature="20 C", humidity=0.5)
    assert found.verdict == outgas.advise(UP, shop, bag_pressure="28 inHg vacuum").verdict


def test_a_gel_time_that_no_sheet_allows_is_refused_where_it_stands():
    cases = cases_of(
        {"resin": UP, "temperature": ["20 C"], "humidity": 0.5, "gel_time": ["25 min", "9 h"]}
    )
    fine, wrong = answered(cases, range(2))
    assert fine.refused is None
    assert isinstance(wrong.refused, InputError)
