"""What runs of heat say of the gel, on runs whose answer can be written down."""

import math

import numpy as np
import pytest

from outgas.physics import gelling
from outgas.physics.cure import Network
from outgas.physics.heat import HeatRun

BASE = 300.0
ENDS = 100.0  # of every run [s]
HOLDS = gelling.Holding(Network(modulus=1e6, exponent=2.0, gel=0.4), over=10.0, after=0.1)
NEEDS = 0.4 + 0.6 * math.sqrt(10.0 * 1e4 / 1e6)  # the conversion that holds 10 kPa


def run(rises, rate=0.01, dry=None):
    """Each cell warms evenly from the base, and all react evenly; dry: one that has no resin."""
    t = np.linspace(0.0, ENDS, 101)
    T = BASE + np.outer(rises, t / ENDS)
    X = np.clip(np.outer(np.ones(len(rises)), rate * t), 0.0, 1.0)
    reacts = np.array([i != dry for i in range(len(rises))])
    x = np.arange(len(rises), dtype=float)
    return HeatRun(t=t, x=x, layer=np.arange(len(rises)), T=T, X=X, reacts=reacts)


def flat(T):
    """A pressure of 10 kPa at any temperature."""
    return np.full_like(T, 1e4)


def judged(**changes):
    usual = dict(gel=0.4, holds=HOLDS, later=(), pressure=flat, base_K=BASE)
    return gelling.Judged(**{**usual, "more": (0.0, 0.0), "last_change": 0.5, **changes})


def test_a_gel_holds_from_the_conversion_at_which_its_modulus_is_enough():
    assert HOLDS.conversion(np.array([1e4])) == pytest.approx(NEEDS)
    assert HOLDS.conversion(np.array([1.0])) == pytest.approx(0.5)  # beyond the gel in any case


def test_the_hottest_before_the_hold_is_read_at_the_hold_and_in_the_hottest_cell():
    held = gelling.hottest_before_hold(run([20.0, 50.0]), flat, HOLDS)
    assert held.hold_s == pytest.approx(100.0 * NEEDS)
    assert held.kelvin == pytest.approx(BASE + 50.0 * NEEDS)
    assert held.conversion == pytest.approx(NEEDS)


def test_a_gel_that_never_holds_is_followed_to_the_end():
    held = gelling.hottest_before_hold(run([20.0], rate=0.001), flat, HOLDS)
    assert held.hold_s == math.inf
    assert held.kelvin == pytest.approx(BASE + 20.0)


def test_a_layer_without_resin_neither_gels_nor_counts_as_warm():
    wet = run([20.0, 90.0], dry=1)
    assert gelling.peak_of(wet) == gelling.Peak(pytest.approx(BASE + 20.0), ENDS)
    assert gelling.gel_of(wet, 0.4) == gelling.Gel(
        pytest.approx(40.0), pytest.approx(40.0), pytest.approx(BASE + 8.0)
    )


def test_what_does_not_gel_in_its_run_gels_never_and_is_read_at_the_end():
    gel = gelling.gel_of(run([20.0], rate=0.001), 0.4)
    assert (gel.first_s, gel.last_s) == (math.inf, math.inf)
    assert gel.kelvin == pytest.approx(BASE + 20.0)


def test_between_two_samples_the_moment_itself_is_read():
    assert gelling.warmest_until(run([100.0]), 50.5) == pytest.approx(BASE + 50.5)


def test_the_span_of_runs_at_one_temperature_is_a_kelvin():
    one = run([0.0])
    assert gelling.Runs(one, one, one).span() == (BASE, BASE + 1.0)
    assert gelling.Runs(one, run([30.0]), one).span() == (BASE, BASE + 30.0)


def test_runs_that_agree_leave_only_the_doubt_of_the_heat():
    one = run([50.0])
    found = gelling.read(gelling.Runs(one, one, one), judged(more=(0.3, 0.4)))
    rise = 50.0 * NEEDS
    assert found.hot.kelvin == pytest.approx(BASE + rise)
    assert found.hot_doubt == pytest.approx(0.5 * rise)
    assert found.peak_doubt == pytest.approx(0.5 * 50.0)
    assert found.early_K == pytest.approx(BASE + 0.5 * 0.4 * 50.0)
    assert found.early_doubt == pytest.approx(0.5 * 0.5 * 0.4 * 50.0)


def test_hotter_runs_add_to_the_doubt_as_the_root_of_their_squares_and_cooler_ones_nothing():
    runs = gelling.Runs(run([50.0]), run([80.0]), run([90.0]))
    found = gelling.read(runs, judged())
    assert found.hot_doubt == pytest.approx(NEEDS * math.hypot(30.0, 40.0))
    assert found.peak_doubt == pytest.approx(math.hypot(30.0, 40.0))
    assert found.early_doubt == pytest.approx(0.5 * 0.4 * math.hypot(30.0, 40.0))
    cool = gelling.Runs(run([50.0]), run([10.0]), run([20.0]))
    found = gelling.read(cool, judged())
    assert (found.hot_doubt, found.peak_doubt, found.early_doubt) == (0.0, 0.0, 0.0)


def test_a_gel_that_may_hold_later_may_get_hotter():
    one = run([50.0])
    late = gelling.Holding(HOLDS.network, HOLDS.over, after=NEEDS - 0.4 + 0.1)
    found = gelling.read(gelling.Runs(one, one, one), judged(later=(late,)))
    assert found.hot_doubt == pytest.approx(50.0 * 0.1)


def test_the_early_warmth_is_never_under_the_shops():
    cold = run([-20.0])
    found = gelling.read(gelling.Runs(cold, cold, cold), judged(more=(0.3, 0.4)))
    assert (found.early_K, found.early_doubt) == (BASE, 0.0)


def test_first_time_is_linear_between_samples_and_never_for_what_is_not_reached():
    t = np.array([0.0, 10.0, 20.0])
    rows = np.array([[0.0, 1.0, 2.0], [0.0, 0.1, 0.2], [0.6, 0.7, 0.8]])
    assert gelling.first_time(t, rows, 0.5) == pytest.approx([5.0, np.inf, 0.0])
