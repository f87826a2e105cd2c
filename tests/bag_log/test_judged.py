"""A log against limits that are made up: when it was under them, how far, and what nobody knows."""

import dataclasses

import numpy as np
import pytest

from outgas.bag_log.judged import judge
from outgas.bag_log.samples import Samples
from outgas.bag_log.stood import Stood

DEEP, AIR, CORE = 20e3, 50e3, 5e3


@pytest.fixture
def stood(advice, monkeypatch):
    """Thin for ten minutes, holding after thirty; the vapour asks for 100 mbar, the core for 50."""
    monkeypatch.setattr(Stood, "_vapour", lambda self, T: np.full(np.shape(T), 10e3))
    return Stood(
        case=advice.behind.window.case, air_Pa=AIR, core_Pa=CORE, thin_s=600.0, thick_s=1200.0,
        holds_s=1800.0, warm_s=np.array([0.0]), warm_K=np.array([300.0]),
    )  # fmt: skip


def samples(pressures, step=10.0, gaps=(), start=0.0):
    p = np.asarray(pressures, dtype=float)
    t = start + step * np.arange(p.size)
    return Samples(
        time_s=t, pressure_Pa=p, temperature_K=np.full(p.size, np.nan), step_s=step,
        gaps=tuple(gaps), jumps=0, dropped=0, unreadable=0, kind=None, taken=(),
    )  # fmt: skip


def held(at, minutes=30.0, step=10.0):
    return samples(np.full(int(60 * minutes / step) + 1, at), step)


def test_a_bag_over_every_limit_keeps_its_least_margin_and_is_never_below(stood):
    got = judge(held(60e3), stood, 0.0, 500.0, 70e3)
    assert got.below == ()
    assert got.below_s == 0.0
    assert got.least_margin_Pa == pytest.approx(60e3 - 500.0 - AIR)
    assert got.least_margin_s == pytest.approx(600.0)  # from when the air counts
    assert (got.unknown_s, got.weak_s, got.ends_s) == (0.0, 0.0, 1800.0)


def test_while_the_resin_is_thin_its_air_is_no_limit_and_the_sensors_error_counts(stood):
    p = np.full(181, 60e3)
    p[10:20] = 10.4e3  # over what the vapour asks for, but not by the error
    got = judge(samples(p), stood, 0.0, 500.0, 70e3)
    (one,) = got.below
    assert (one.start_s, one.end_s, one.thin) == (100.0, 200.0, True)
    assert one.deepest_Pa == 10.4e3
    assert one.under_Pa == pytest.approx(100.0)
    assert got.below_s == 100.0
    assert judge(samples(p), stood, 0.0, 300.0, 70e3).below == ()


def test_once_it_is_no_longer_thin_the_same_pressure_is_too_deep(stood):
    p = np.full(181, 60e3)
    p[70:80] = DEEP
    (one,) = judge(samples(p), stood, 0.0, 0.0, 70e3).below
    assert (one.start_s, one.end_s, one.thin) == (700.0, 800.0, False)
    assert one.under_Pa == pytest.approx(AIR - DEEP)


def test_no_pressure_counts_before_mixing_or_once_the_gel_holds(stood):
    p = np.full(400, 60e3)
    p[:30] = 1e3  # before it was mixed
    p[220:] = 1e3  # after the gel holds, by the clock of mixing
    assert judge(samples(p), stood, 300.0, 0.0, 70e3).below == ()


def test_times_below_that_lie_close_together_are_one_and_others_are_not(stood):
    p = np.full(181, 60e3)
    p[70:72] = p[74:76] = DEEP
    assert len(judge(samples(p), stood, 0.0, 0.0, 70e3).below) == 1
    p[100:102] = DEEP
    assert len(judge(samples(p), stood, 0.0, 0.0, 70e3).below) == 2


def test_what_lasts_to_the_end_ends_with_the_judging(stood):
    p = np.full(300, 60e3)
    p[170:] = DEEP
    (one,) = judge(samples(p), stood, 0.0, 0.0, 70e3).below
    assert (one.start_s, one.end_s) == (1700.0, 1800.0)
    short = judge(samples(np.full(100, DEEP)), stood, 0.0, 0.0, 70e3)
    assert short.ends_s == 990.0
    assert short.below[-1].end_s == 990.0


def test_what_is_not_known_is_the_gaps_between_mixing_and_the_end_and_a_late_start(stood):
    one = held(60e3)
    gaps = ((100.0, 400.0), (1700.0, 9000.0))
    got = judge(dataclasses.replace(one, gaps=gaps), stood, 200.0, 0.0, 70e3)
    # mixed 200 s after the first row: 200 s of the first gap, and 100 of the second, which ends
    # with the log at 1600 s from mixing
    assert got.ends_s == 1600.0
    assert got.unknown_s == pytest.approx(200.0 + 100.0)
    late = judge(one, stood, -300.0, 0.0, 70e3)
    assert late.unknown_s == pytest.approx(300.0)


def test_a_cure_that_does_not_clamp_is_weak_from_when_the_resin_is_thick(stood):
    p = np.full(181, 60e3)
    p[10:20] = p[100:130] = 80e3
    assert judge(samples(p), stood, 0.0, 0.0, 70e3).weak_s == pytest.approx(300.0)


def test_of_a_log_that_cannot_be_read_nothing_is_known(stood):
    got = judge(samples(np.full(50, np.nan)), stood, 0.0, 0.0, 70e3)
    assert got.least_margin_Pa is None
    assert got.least_margin_s is None
    assert got.below == ()


def test_a_chart_has_a_few_hundred_moments_each_the_worst_about_then(stood):
    p = np.full(18001, 60e3)
    p[9000] = 51e3
    got = judge(samples(p, 0.1), stood, 0.0, 0.0, 70e3)
    assert len(got.points) <= 600
    assert min(point.pressure_Pa for point in got.points) == 51e3
    assert {point.limit_Pa for point in got.points if point.time_s > 600.0} == {AIR}
    assert all(point.temperature_K == 300.0 for point in got.points)
