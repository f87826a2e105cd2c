"""What the heat of a laminate says of its gel: when it comes, when it holds, how warm by then.

A laminate is followed three times: as it should be, as a quicker batch, and with much resin in
still air. What the second and third get hotter is a doubt about the first.

Symbols: T temperature [K], X conversion, t time [s] from mixing, p vapour pressure [Pa]. SI floats
and arrays.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.physics.cure import Network, holding_conversion
from outgas.physics.heat import HeatRun

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats


@dataclass(frozen=True, slots=True)
class Holding:
    """What a gel needs to hold a bubble: its network, the modulus over the pressure, conversion.

    after is how far beyond the gel point the conversion must be.
    """

    network: Network
    over: float
    after: float

    def conversion(self, p: "Floats") -> "Floats":
        """Return the conversion from which the gel holds bubbles of pressure p [Pa]."""
        return np.asarray(holding_conversion(p, self.network, self.over, self.after))


@dataclass(frozen=True, slots=True)
class Runs:
    """The heat of a laminate: nominal, of a quicker batch, with much resin in still air."""

    nominal: HeatRun
    quick: HeatRun
    rich: HeatRun

    def span(self) -> tuple[float, float]:
        """Return the coldest and the hottest of them all [K], at least a kelvin apart."""
        all_runs = (self.nominal, self.quick, self.rich)
        low = float(min(r.T.min() for r in all_runs))
        return low, max(float(max(r.T.max() for r in all_runs)), low + 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What runs are read by.

    pressure gives p at T; later are holdings with one number each at the end that makes a gel hold
    later; more are the shares by which the reaction's heat may be larger; last_change is the share
    of the gel time by which the pressure is last changed; gel is the conversion of the gel.
    """

    gel: float
    holds: Holding
    later: tuple[Holding, ...]
    pressure: "Callable[[Floats], Floats]"
    base_K: float
    more: tuple[float, float]
    last_change: float


@dataclass(frozen=True, slots=True)
class Held:
    """The hottest moment before the gel holds [K], its conversion, and when the last cell holds."""

    kelvin: float
    conversion: float
    hold_s: float


@dataclass(frozen=True, slots=True)
class Gel:
    """When the first and the last cell gel [s], and how warm the first is then [K]."""

    first_s: float
    last_s: float
    kelvin: float


@dataclass(frozen=True, slots=True)
class Peak:
    """The hottest that a run gets [K], and when [s]."""

    kelvin: float
    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What the runs say; each doubt is upwards, at 95 % [K].

    early_K is the warmest up to the last change of pressure.
    """

    hot: Held
    hot_doubt: float
    gel: Gel
    peak: Peak
    peak_doubt: float
    early_K: float
    early_doubt: float


def first_time(t: "Floats", values: "Floats", level: "Numbers") -> "Floats":
    """Return when each row of rising values first reaches level, linear between; inf if never.

    level may be an array of the rows' or of the values' shape.
    """
    over = values - (level if np.ndim(level) != 1 else np.asarray(level)[:, None])
    reached = over >= 0.0
    ever = reached.any(axis=1)
    j = np.where(ever, reached.argmax(axis=1), 0)
    i = np.arange(values.shape[0])
    before = np.maximum(j - 1, 0)
    gap = over[i, j] - over[i, before]
    share = np.where(gap > 0.0, -over[i, before] / np.where(gap > 0.0, gap, 1.0), 0.0)
    found = t[before] + np.clip(share, 0.0, 1.0) * (t[j] - t[before])
    return np.where(ever, found, np.inf)


def _at(t: "Floats", values: "Floats", when: "Floats") -> "Floats":
    """Return each row of values at its own moment, linear between times, held at the ends."""
    j = np.clip(np.searchsorted(t, when), 1, t.size - 1)
    share = np.clip((when - t[j - 1]) / (t[j] - t[j - 1]), 0.0, 1.0)
    rows = np.arange(values.shape[0])
    return np.asarray(values[rows, j - 1] + share * (values[rows, j] - values[rows, j - 1]))


def _holding(run: HeatRun, pressure: "Callable[[Floats], Floats]", holds: Holding) -> "Floats":
    """Return when each cell holds [s].

    No cell holds before the least conversion that any pressure asks for, and all hold once past
    what the highest pressure asks for: only between is asked what theirs does.
    """
    T, X = run.wet_T, run.wet_X
    least = holds.network.gel + holds.after
    most = float(holds.conversion(pressure(np.array([T.max()])))[0])
    some, sure = run.most_X >= least, run.least_X >= most
    if not some.any():
        return np.full(T.shape[0], np.inf)
    last = int(sure.argmax()) + 1 if sure.any() else run.t.size
    asked = slice(max(int(some.argmax()) - 1, 0), last)
    over = X[:, asked] - holds.conversion(pressure(T[:, asked]))
    return first_time(run.t[asked], over, 0.0)


def hottest_before_hold(
    run: HeatRun, pressure: "Callable[[Floats], Floats]", holds: Holding
) -> Held:
    """Return the hottest temperature before each cell holds, the conversion there, and the hold."""
    T = run.wet_T
    hold = _holding(run, pressure, holds)
    last = np.searchsorted(run.t, hold, side="right")  # how many times there are up to then
    at_hold = _at(run.t, T, np.minimum(hold, run.t[-1]))
    seen = run.warmest[np.arange(last.size), last - 1]
    hottest = np.maximum(seen, np.where(np.isfinite(hold), at_hold, -np.inf))
    cell = int(hottest.argmax())
    when = float(run.t[int(T[cell, : last[cell]].argmax())])
    when = float(hold[cell]) if at_hold[cell] >= seen[cell] and np.isfinite(hold[cell]) else when
    conversion = float(np.interp(when, run.t, run.wet_X[cell]))
    return Held(float(hottest[cell]), conversion, float(hold.max()))


def gel_of(run: HeatRun, conversion: float) -> Gel:
    """Return when a run gels, endless where a cell never does."""
    gels = first_time(run.t, run.wet_X, conversion)
    first = int(gels.argmin())
    when = float(gels[first])
    kelvin = float(np.interp(min(when, run.t[-1]), run.t, run.wet_T[first]))
    return Gel(when, float(gels.max()), kelvin)


def peak_of(run: HeatRun) -> Peak:
    """Return the hottest that a run gets where resin is."""
    T = run.wet_T
    cell = int(run.warmest[:, -1].argmax())
    when = int(T[cell].argmax())
    return Peak(float(T[cell, when]), float(run.t[when]))


def warmest_until(run: HeatRun, until: float) -> float:
    """Return the warmest [K] that any layer gets up to a moment [s] and at it.

    Between two samples the moment itself is interpolated: heat runs away just then.
    """
    T = run.wet_T
    at = float(_at(run.t, T, np.full(T.shape[0], until)).max())
    last = int(np.searchsorted(run.t, until, side="right"))
    return max(at, float(run.warmest[:, last - 1].max()))


def _early(runs: Runs, gel: Gel, by: Judged) -> tuple[float, float]:
    """Return the warmest up to the last change of pressure [K], and its doubt upwards [K].

    Each batch is followed up to the same share of its own gel, the nominal one's being known.
    """

    def warmest(run: HeatRun, gel: Gel) -> float:
        return max(by.base_K, warmest_until(run, by.last_change * gel.first_s))

    at = warmest(runs.nominal, gel)
    others = (warmest(run, gel_of(run, by.gel)) for run in (runs.quick, runs.rich))
    parts = [max(0.0, other - at) for other in others]
    return at, math.hypot(*parts, *((at - by.base_K) * part for part in by.more))


def read(runs: Runs, by: Judged) -> Reading:
    """Return what three runs say of the hottest moment, the gel, the peak and the early warmth."""
    hot = hottest_before_hold(runs.nominal, by.pressure, by.holds)
    others = [(runs.nominal, late) for late in by.later]
    others += [(runs.quick, by.holds), (runs.rich, by.holds)]
    hotter = (hottest_before_hold(run, by.pressure, holds).kelvin for run, holds in others)
    rise = max(0.0, hot.kelvin - by.base_K)
    peak = peak_of(runs.nominal)
    higher = (peak_of(run).kelvin - peak.kelvin for run in (runs.quick, runs.rich))
    over = max(0.0, peak.kelvin - by.base_K)
    gel = gel_of(runs.nominal, by.gel)
    early, early_doubt = _early(runs, gel, by)
    return Reading(
        hot=hot,
        hot_doubt=math.hypot(
            *(max(0.0, T - hot.kelvin) for T in hotter), *(rise * part for part in by.more)
        ),
        gel=gel,
        peak=peak,
        peak_doubt=math.hypot(
            *(max(0.0, T) for T in higher), *(max(0.0, over * part) for part in by.more)
        ),
        early_K=early,
        early_doubt=early_doubt,
    )
