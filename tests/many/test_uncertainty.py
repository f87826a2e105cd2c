"""How sure a limit is: draws beside the rule, and which numbers make the spread.

Sobol's indices are held against the sum of squares of straight lines, worked by hand.
"""

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, RefusedError
from outgas.laminate.draws import indices

UP = "orthophthalic-polyester"
SHOP = {"temperature": "24 degC", "humidity": "50 %"}


def shop(**told):
    return outgas.Shop(**{**SHOP, **told})


def test_indices_of_a_sum_are_the_shares_of_its_squares():
    def answer(shares):
        return 3.0 * shares[0] + 1.0 * shares[1] + 0.0 * shares[2]

    found = {index.name: index for index in indices(("a", "b", "c"), answer, 1024)}
    assert found["a"].first == pytest.approx(0.9, abs=0.02)
    assert found["a"].total == pytest.approx(0.9, abs=0.02)
    assert found["b"].total == pytest.approx(0.1, abs=0.02)
    assert found["c"].total == pytest.approx(0.0, abs=0.01)


def test_a_product_is_seen_to_work_together():
    def answer(shares):
        return (shares[0] - 0.5) * (shares[1] - 0.5)

    for index in indices(("a", "b"), answer, 1024):
        assert index.first == pytest.approx(0.0, abs=0.05)
        assert index.total == pytest.approx(1.0, abs=0.1)


def test_what_does_not_spread_has_no_indices():
    found = indices(("a",), lambda shares: np.full(shares.shape[1:], 7.0), 64)
    assert (found[0].first, found[0].total) == (0.0, 0.0)


@pytest.mark.parametrize("told", [{}, {"core": "20 mm PVC foam 40 kg/m3"}, {"finish": "clear"}])
def test_the_limit_advised_is_not_under_nineteen_draws_in_twenty(told):
    sure = outgas.uncertainty(UP, shop(), draws=256, **told)
    assert sure.deepest_Pa.low <= sure.deepest_Pa.nominal < sure.deepest_Pa.high
    assert sure.deepest_Pa.high <= 1.01 * sure.safe_Pa
    assert sure.deepest_by[0].total >= sure.deepest_by[-1].total
    assert sum(each.total for each in sure.deepest_by) > 0.9


def test_a_weak_core_makes_the_spread_where_it_limits():
    sure = outgas.uncertainty(UP, shop(), draws=64, core="20 mm PVC foam 40 kg/m3", hottest="24 C")
    names = [each.name for each in sure.deepest_by]
    assert {"core_strength", "core_creep"} <= set(names)


def test_voids_are_drawn_at_the_setpoint_and_told():
    sure = outgas.uncertainty(UP, shop(), draws=128)
    advice = outgas.advise(UP, shop())
    assert sure.setpoint_Pa == pytest.approx(advice.setpoint_Pa)
    assert sure.voids.nominal == pytest.approx(advice.expected_voids.nominal)
    assert 0.0 < sure.voids.high <= 1.1 * advice.expected_voids.high
    assert "alone" in str(sure)
    assert sure.to_dict()["deepest_by"][0]["total"] > 0.0


def test_bad_draws_and_several_cases_are_refused():
    for draws in (100, 32, 1 << 20, 64.0, True):
        with pytest.raises(InputError, match="power of two"):
            outgas.uncertainty(UP, shop(), draws=draws)
    with pytest.raises(InputError, match="several values"):
        outgas.uncertainty(UP, shop(), draws=64, void_target=["1 %", "2 %"])
    with pytest.raises(RefusedError):
        outgas.uncertainty(UP, shop(temperature="5 degC"), draws=64)


def test_exact_takes_its_safe_side_from_the_draws_and_no_deeper_than_they_allow():
    plain = outgas.advise(UP, shop())
    exact = outgas.advise(UP, shop(), exact=True)
    assert exact.nominal_limits_Pa == plain.nominal_limits_Pa
    assert exact.nominal_limits_Pa["air"] < exact.limits_Pa["air"] < plain.limits_Pa["air"]
    surer = outgas.advise(UP, shop(), exact=True, confidence=0.99)
    assert surer.limits_Pa["air"] > exact.limits_Pa["air"]
