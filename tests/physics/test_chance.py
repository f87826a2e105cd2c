import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from outgas.physics import chance

LN_P = np.linspace(math.log(10.0), math.log(101325.0), 1500)


def test_the_normal_table_is_the_normal_distribution():
    x = np.linspace(-7.0, 7.0, 3333)
    assert chance.normal_cdf(x) == pytest.approx(special.ndtr(x), abs=2e-6)
    assert chance.normal_quantile(0.975) == pytest.approx(1.959964, abs=1e-4)


def test_log_nodes_have_the_median_and_width_they_were_given():
    nodes = chance.log_nodes(5.0, 1.25, 20.0, 2000)
    assert np.median(nodes) == pytest.approx(5.0, rel=1e-2)
    assert np.quantile(nodes, [0.025, 0.975]) == pytest.approx([1.25, 20.0], rel=0.02)


def test_an_excess_is_the_sum_of_its_parts():
    rng = np.random.default_rng(4)
    a, b = chance.log_nodes(5.0, 1.2, 20.0), chance.log_nodes(0.8, 0.2, 3.5)
    made = chance.excess([a], [b], 0.5)
    n = 200_000
    drawn = (
        5.0 * np.exp(chance.log_spread(1.2, 20.0) * rng.standard_normal(n))
        - 0.8 * np.exp(chance.log_spread(0.2, 3.5) * rng.standard_normal(n))
        + 0.5 * rng.standard_normal(n)
    )
    for share in (0.05, 0.5, 0.95):
        assert made.quantile(share) == pytest.approx(np.quantile(drawn, share), abs=0.15)
    assert np.trapezoid(made.density, made.x) == pytest.approx(1.0, abs=1e-3)
    assert made.chance_below(np.array([-100.0, 1000.0])) == pytest.approx([0.0, 1.0], abs=1e-9)


def test_a_slab_is_an_even_spread_blurred():
    miss = np.linspace(-5.0, 20.0, 51)
    got = chance.slab(miss, 2.0, 8.0, 1.5)
    exact = stats.norm.cdf((miss - 2.0) / 1.5) - stats.norm.cdf((miss - 8.0) / 1.5)
    assert got == pytest.approx(exact, abs=1e-5)


def test_quantiles_of_a_log_normal_belief():
    w = chance.weights(-0.5 * ((LN_P - math.log(5000.0)) / 0.3) ** 2)
    below = chance.cumulative(w)
    for share in (0.05, 0.5, 0.95):
        exact = 5000.0 * math.exp(0.3 * stats.norm.ppf(share))
        assert chance.quantile(LN_P, below, share) == pytest.approx(exact, rel=2e-3)
    assert chance.chance_below(LN_P, below, 5000.0) == pytest.approx(0.5, abs=1e-3)
    assert chance.chance_below(LN_P, below, 1.0) == 0.0
    assert chance.chance_below(LN_P, below, 2e5) == 1.0


@given(share=st.floats(0.001, 0.999))
def test_quantile_and_chance_are_inverse(share):
    below = chance.cumulative(chance.weights(np.zeros(LN_P.size)))
    p = chance.quantile(LN_P, below, share)
    assert chance.chance_below(LN_P, below, p) == pytest.approx(share, abs=1e-9)


def test_entropy_of_a_fair_coin_is_one_bit():
    assert chance.bits(np.array([0.5, 0.5])) == 1.0
    assert chance.bits(np.array([1.0, 0.0])) == 0.0


def test_information_of_a_perfect_and_of_a_blind_observation():
    w = np.full(100, 0.01)
    classes = (np.arange(100) >= 50).astype(int)
    perfect = np.stack([classes == 0, classes == 1]).astype(float)
    assert chance.information(w, classes, perfect) == pytest.approx(1.0)
    assert chance.information(w, classes, np.full((4, 100), 0.25)) == pytest.approx(0.0, abs=1e-12)
    blurred = 0.8 * perfect + 0.1
    known = 1.0 - chance.bits(np.array([0.9, 0.1]))
    assert chance.information(w, classes, blurred) == pytest.approx(known)
