"""A log against what its resin stood: when it was under the limit, and what is unknown."""

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.bag_log.log import Below, Point
from outgas.bag_log.samples import Samples
from outgas.bag_log.stood import Stood

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

APART_s = 30.0  # times below the limit closer together than this are one
POINTS = 600  # of a chart
PIECE = 65536  # rows worked at a time, so that a long log takes little more room than its columns


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What a log comes to: times below, the least margin and when, how long unknown or too weak."""

    below: tuple[Below, ...]
    below_s: float
    least_margin_Pa: float | None
    least_margin_s: float | None
    unknown_s: float
    weak_s: float
    ends_s: float
    points: tuple[Point, ...]


def judge(
    found: Samples, stood: Stood, mixed_s: float, error_Pa: float, shallowest_Pa: float
) -> Judged:
    """Return what a log comes to, at the deep end of the sensor's error; times from mixing."""
    t = found.time_s - mixed_s
    margins = np.empty(t.size)
    for start in range(0, t.size, PIECE):
        part = slice(start, start + PIECE)
        T = stood.warmth(t[part], found.temperature_K[part])
        margins[part] = found.pressure_Pa[part] - error_Pa - stood.limit(t[part], T)
    margins[t < 0.0] = np.nan  # no resin yet
    known = np.isfinite(margins)
    least = int(np.nanargmin(margins)) if known.any() else None
    ends = float(min(t[-1], stood.holds_s))
    below = _runs(t, found, margins, stood)
    return Judged(
        below=below,
        below_s=sum((one.end_s - one.start_s for one in below), 0.0),
        least_margin_Pa=None if least is None else float(margins[least]),
        least_margin_s=None if least is None else float(t[least]),
        unknown_s=_unknown(found, mixed_s, ends) + max(0.0, float(min(t[0], ends))),
        weak_s=_weak(t, found, stood, shallowest_Pa),
        ends_s=ends,
        points=_points(t, found, margins, stood, error_Pa),
    )


def _runs(t: "Floats", found: Samples, margins: "Floats", stood: Stood) -> tuple[Below, ...]:
    """Return the times below the limit; a sample stands for the time up to the next one."""
    with np.errstate(invalid="ignore"):
        under = np.flatnonzero(margins < 0.0)
    if not under.size:
        return ()
    cuts = np.flatnonzero(np.diff(t[under]) > max(APART_s, 2.0 * found.step_s)) + 1
    runs = []
    for run in np.split(under, cuts):
        last = min(run[-1] + 1, t.size - 1)
        end = min(float(t[last]), float(t[run[-1]]) + found.step_s, stood.holds_s)
        start = float(t[run[0]])
        runs.append(
            Below(
                start,
                max(end, start),
                float(found.pressure_Pa[run].min()),
                float(-margins[run].min()),
                start < stood.thin_s,
            )
        )
    return tuple(runs)


def _unknown(found: Samples, mixed_s: float, ends: float) -> float:
    """Return how long there is no reading between mixing and where judging ends [s]."""
    total = 0.0
    for start, end in found.gaps:
        total += max(0.0, min(end - mixed_s, ends) - max(start - mixed_s, 0.0))
    return total


def _weak(t: "Floats", found: Samples, stood: Stood, shallowest_Pa: float) -> float:
    """Return how long the cure was too weak to clamp [s], from when the resin is no longer thin."""
    steps = np.append(np.diff(t), 0.0)
    with np.errstate(invalid="ignore"):
        weak = (found.pressure_Pa > shallowest_Pa) & (t >= stood.thin_s) & (t <= stood.holds_s)
    return float(steps[weak].sum())


def _points(
    t: "Floats", found: Samples, margins: "Floats", stood: Stood, error_Pa: float
) -> tuple[Point, ...]:
    """Return a few hundred moments, each the one of the least margin about then."""
    first = int(np.searchsorted(t, 0.0))
    edges = np.unique(np.linspace(first, t.size, POINTS + 1).astype(int))
    points = []
    for a, b in itertools.pairwise(edges):
        part = margins[a:b]
        i = a + (int(np.nanargmin(part)) if np.isfinite(part).any() else 0)
        p = float(found.pressure_Pa[i])
        T = float(stood.warmth(t[i : i + 1], found.temperature_K[i : i + 1])[0])
        points.append(Point(float(t[i]), p, p - error_Pa - float(margins[i]), T))
    return tuple(points)
