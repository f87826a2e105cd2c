"""Windows between knots: limits interpolated over warmth, humidity and air, never on the deep side.

Limits are worked at knots and taken linearly between them, one direction after the other. A line
lies under a function that bends down. By how much, at a share t of a cell of width h at whose ends
the slope falls by j and j': min(t j, (1 - t) j') h for a kink inside the cell, and less for a
smooth bend, t (1 - t) j h / 2. BEND times that is added. What bends in the last cell shows beyond
it: so there is one more, or a narrow one where there is no beyond. The air's limit may bend down
and up again between two knots, which no bend shows: PAD_PA is added to it. What follows from limits
(window, setpoint) is worked from the limits so found. Where a corner has no answer the case is
worked exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas import units
from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.job.gauge import BAROMETER_RANGE_PA
from outgas.job.job import Job
from outgas.job.shop import SHOP_RANGE_K
from outgas.laminate.gas.limits import CLOSE_PA
from outgas.many.cases import BAG, Axis, Cases, Reader
from outgas.many.exact import Answered, answered
from outgas.many.fields import LIMITS, PASCAL_PER_MBAR, fields_of, rows
from outgas.show.dial import coarsest_step
from outgas.window.reach import reach_of, reading_error, shallowest_of
from outgas.window.refusals import refused_where

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Flags: TypeAlias = NDArray[np.bool_]

# Axes that are interpolated: the field of a shop that each moves, how many cells, and its range.
SMOOTH = {
    "temperature": ("temperature_K", 32, SHOP_RANGE_K),
    "humidity": ("humidity", 8, (0.0, 1.0)),
    "altitude": ("barometer_Pa", 8, BAROMETER_RANGE_PA),
    "barometer": ("barometer_Pa", 8, BAROMETER_RANGE_PA),
}
PAD_PA = 300.0  # less than a step of a dial, and twice the worst that was seen
NARROW = 0.02  # of a cell: the last one, where there is nothing beyond it
BEND = 2.0  # times what a kink needs: for one in a function that else bends up
SLACK_PA = 2.0 * CLOSE_PA  # how far two exact limits may be apart, for where each stopped
# What is interpolated of a window, all of it safest where it is highest.
_OF_WINDOW = (
    *(f"{name} {side}" for name in ("vapour", "core") for side in ("safe", "nominal")),
    *(f"{course} {side}" for course in ("straight", "after") for side in ("safe", "nominal")),
    *("early", "early_hold", "hottest", "gel"),
)
_AIR = [i for i, name in enumerate(_OF_WINDOW) if name.startswith(("straight", "after"))]


@dataclass(frozen=True, slots=True)
class Knots:
    """Windows at knots: along each axis of the cases where they are [SI], and what was found.

    values runs over what is interpolated, then over the knots of each axis; an axis that is not
    interpolated has its own values for knots.
    """

    cases: Cases
    at: "tuple[Floats, ...]"
    wanted: "tuple[Floats, ...]"
    smooth: tuple[bool, ...]
    values: "Floats"
    jobs: "NDArray[np.object_]"

    def block(self, part: Sequence[slice]) -> "Floats":
        """Return what is told of each case of a part of the map, fields first."""
        found, known = _between(self, part)
        told = _told(self, part, found)
        unknown = np.argwhere(~known)
        if unknown.size:
            starts = [s.start or 0 for s in part]
            places = (unknown + starts).T
            numbers = np.ravel_multi_index(tuple(places), self.cases.shape)
            exact = rows(answered(self.cases, numbers.tolist()), voids=False)
            told[(slice(None), *unknown.T)] = exact.T
        return told


def knots_of(cases: Cases) -> Knots:
    """Work the windows at the knots of all cases; InputError for what cannot be interpolated."""
    if BAG in cases.held or any(BAG in axis.columns for axis in cases.axes):
        raise InputError("a verdict on a bag pressure is not interpolated; leave how='exact'")
    at, wanted, smooth, axes = [], [], [], []
    for axis in cases.axes:
        moves = SMOOTH.get(axis.name) if len(axis.columns) == 1 else None
        si = _si(cases, axis, moves[0]) if moves else np.arange(len(axis), dtype=float)
        knots = si if moves is None else _spread(si, *moves[1:])
        at.append(knots)
        wanted.append(si)
        smooth.append(moves is not None)
        axes.append(Axis(axis.name, _column(axis.name, knots)) if moves else axis)
    coarse = Cases(cases.held, tuple(axes))
    found = answered(coarse, range(coarse.size), refusing=False)
    values = np.array([_ingredients(each) for each in found]).T
    jobs = np.empty(len(found), dtype=object)
    jobs[:] = [each.window.job if each.window else None for each in found]
    return Knots(
        cases=cases,
        at=tuple(at),
        wanted=tuple(wanted),
        smooth=tuple(smooth),
        values=values.reshape(len(_OF_WINDOW), *coarse.shape),
        jobs=jobs.reshape(coarse.shape),
    )


def _spread(si: "Floats", cells: int, span: tuple[float, float]) -> "Floats":
    """Return knots over values, one beyond each end; the values themselves where they are few."""
    own = np.unique(si)
    if own.size <= cells + 1:
        return own
    even = np.linspace(own[0], own[-1], cells + 1)
    step = even[1] - even[0]
    first = even[0] - step if even[0] - step >= span[0] else even[0] + NARROW * step
    last = even[-1] + step if even[-1] + step <= span[1] else even[-1] - NARROW * step
    return np.unique(np.append(even, (first, last)))


def _si(cases: Cases, axis: Axis, field: str) -> "Floats":
    """Return the values along an axis as the shop reads them."""
    alone = Cases({**_first(cases), **cases.held}, (axis,))
    reader = Reader(alone)
    return np.array([getattr(reader.shop(i), field) for i in range(len(axis))])


def _first(cases: Cases) -> dict[str, Any]:
    return {key: values[0] for axis in cases.axes for key, values in axis.columns.items()}


def _column(name: str, si: "Floats") -> dict[str, tuple[Any, ...]]:
    """Return knots as a column of cases: altitudes by their air, in which limits are smooth."""
    if name == "humidity":
        return {name: tuple(si.tolist())}
    key, unit = ("temperature", "K") if name == "temperature" else ("barometer", "Pa")
    return {key: tuple(units.quantity(float(value), unit) for value in si)}


def _ingredients(each: Answered) -> list[float]:
    """Return what is interpolated of a window; NaN where there is none."""
    window = each.window
    if window is None:
        return [np.nan] * len(_OF_WINDOW)
    safe, nominal = window.limits.safe, window.limits.nominal
    pairs = [x for name in ("vapour", "core") for x in (safe[name], nominal[name])]
    pairs += [window.straight.safe["air"], window.straight.nominal["air"]]
    after = window.air_after
    pairs += [np.inf, np.inf] if after is None else [float(after.safe), float(after.nominal)]
    warming = window.case.hottest.warming
    gel = np.inf if warming is None else warming.gel_s
    return [*pairs, window.debulk_limit, window.debulk_hold, window.case.hottest_K, gel]


def _between(knots: Knots, part: Sequence[slice]) -> "tuple[dict[str, Floats], Flags]":
    """Return what is interpolated in a part of the map, and where all corners are known."""
    values = knots.values
    never = np.all(np.isinf(values), axis=tuple(range(1, values.ndim)))  # no such limit anywhere
    known = np.isfinite(values) | never.reshape(-1, *(1,) * (values.ndim - 1))
    plain = np.where(known & ~never.reshape(-1, *(1,) * (values.ndim - 1)), values, 0.0)
    more, good = np.zeros_like(plain), known.all(axis=0).astype(float)
    for i, at in enumerate(knots.at, start=1):
        here = knots.wanted[i - 1][part[i - 1]]
        if not knots.smooth[i - 1]:
            own = np.arange(at.size)[part[i - 1]]
            plain, more = np.take(plain, own, i), np.take(more, own, i)
            good = np.take(good, own, i - 1)
            continue
        low = np.clip(np.searchsorted(at, here, side="right") - 1, 0, max(at.size - 2, 0))
        high = np.minimum(low + 1, at.size - 1)
        gap = np.where(high > low, at[high] - at[low], np.inf)
        share = ((here - at[low]) / gap).reshape(-1, *(1,) * (plain.ndim - 1 - i))
        falls = _falls(plain, at, i)
        width = np.where(high > low, at[high] - at[low], 0.0).reshape(share.shape)
        kink = width * np.minimum(
            share * np.take(falls, low, i), (1.0 - share) * np.take(falls, high, i)
        )
        more = _line(more, low, high, i, share) + BEND * kink
        plain = _line(plain, low, high, i, share)
        good = np.minimum(np.take(good, low, i - 1), np.take(good, high, i - 1))
    plain += more
    between = any(
        (smooth and at.size > wanted.size) or not np.isin(wanted, at).all()
        for at, wanted, smooth in zip(knots.at, knots.wanted, knots.smooth, strict=True)
    )
    if between:
        plain[_AIR] += PAD_PA
    plain[never] = np.inf
    return dict(zip(_OF_WINDOW, plain, strict=True)), good > 0.0


def _line(values: "Floats", low: Any, high: Any, axis: int, share: "Floats") -> "Floats":
    """Return values taken linearly between knots along an axis."""
    from_low = np.take(values, low, axis)
    return np.asarray(from_low + share * (np.take(values, high, axis) - from_low))


def _falls(values: "Floats", at: "Floats", axis: int) -> "Floats":
    """Return by how much the slope falls at each knot along an axis; an end takes the next one's.

    Values of one knot, or two, have no bend that could be seen.
    """
    moved = np.moveaxis(values, axis, -1)
    falls = np.zeros_like(moved)
    if at.size > 2:
        slopes = np.diff(moved) / np.diff(at)
        falls[..., 1:-1] = np.maximum(slopes[..., :-1] - slopes[..., 1:], 0.0)
        falls[..., 0], falls[..., -1] = falls[..., 1], falls[..., -2]
    return np.asarray(np.moveaxis(falls, -1, axis))


def _told(knots: Knots, part: Sequence[slice], found: "dict[str, Floats]") -> "Floats":
    """Return the fields of a part of the map, one job of the axes that are not smooth at a time."""
    shape = next(iter(found.values())).shape
    told = np.full((len(fields_of(voids=False)), *shape), np.nan)
    rough = [i for i, smooth in enumerate(knots.smooth) if not smooth]
    for places in np.ndindex(*(shape[i] for i in rough)):
        here: list[Any] = [slice(None)] * len(shape)
        at: list[Any] = [slice(None)] * len(shape)
        for i, place in zip(rough, places, strict=True):
            here[i], at[i] = place, place + (part[i].start or 0)
        jobs = [job for job in np.ravel(knots.jobs[tuple(at)]) if job is not None]
        if not jobs:
            continue  # none of its knots has an answer: each case is worked exactly
        sub = {name: values[tuple(here)] for name, values in found.items()}
        around = _around(knots, part, jobs[0], next(iter(sub.values())).shape)
        columns = _window(jobs[0], sub, around)
        told[(slice(None), *here)] = [columns[f.name] for f in fields_of(voids=False)]
    return told


def _around(
    knots: Knots, part: Sequence[slice], job: Job, shape: tuple[int, ...]
) -> "dict[str, Floats]":
    """Return the shop's warmth, humidity and air at each case of a part, on its smooth axes."""
    smooth = [i for i, yes in enumerate(knots.smooth) if yes]
    found = {}
    for field in ("temperature_K", "humidity", "barometer_Pa"):
        found[field] = np.full(shape, getattr(job.shop, field))
    for place, i in enumerate(smooth):
        field = SMOOTH[knots.cases.axes[i].name][0]
        along = [1] * len(shape)
        along[place] = -1
        found[field] = np.broadcast_to(knots.wanted[i][part[i]].reshape(along), shape)
    return found


@dataclass(frozen=True, slots=True)
class _Limited:
    """The limits by the course that is better: safe and nominal, and whether it has its early step.

    deepest is what the cure stands, straight the same without that step [Pa].
    """

    early: "NDArray[np.bool_]"
    safe: "dict[str, Floats]"
    nominal: "dict[str, Floats]"
    deepest: "Floats"
    straight: "Floats"
    limiting: "Floats"


def _limited(job: Job, found: "dict[str, Floats]") -> _Limited:
    """Return the limits by the course whose air asks for less, as for one case."""
    after, process = np.isfinite(found["after safe"]), job.process
    alone = np.max([found[f"{name} safe"] for name in ("vapour", "straight", "core")], axis=0)
    deeper = found["after safe"] < found["straight safe"]
    helps = deeper & (found["early_hold"] < alone + _margin(job, alone))
    early = after & (process.filled | helps)
    safe, nominal = (
        {
            "vapour": found[f"vapour {side}"],
            "air": np.where(early, found[f"after {side}"], found[f"straight {side}"]),
            "core": found[f"core {side}"],
        }
        for side in ("safe", "nominal")
    )
    stacked = np.stack([safe[name] for name in LIMITS])
    deepest = safe["core"] if process.preimpregnated else stacked.max(axis=0)
    straight = np.maximum(np.maximum(stacked.max(axis=0), found["straight safe"]), deepest)
    limiting = stacked.argmax(axis=0).astype(float)
    return _Limited(early, safe, nominal, deepest, straight, limiting)


def _window(
    job: Job, found: "dict[str, Floats]", around: "dict[str, Floats]"
) -> "dict[str, Floats]":
    """Return what follows from limits, as the window of one case does."""
    process, here, by = job.process, around["barometer_Pa"], _limited(job, found)
    early, deepest, margin = by.early, by.deepest, _margin(job, by.deepest)
    by_air = _by_air(job, here)
    held = np.maximum(deepest + margin, by_air["reach"])
    held = np.where(early, np.maximum(held, found["early_hold"]), held)
    if process.pressed:
        window = deepest + margin <= by_air["shallowest"]
        held = by_air["shallowest"]
    else:
        window = (held + by_air["room"] <= by_air["shallowest"]) & (by_air["shallowest"] < here)
    debulk = window & (early | process.preimpregnated) & (found["early_hold"] < here)
    pressures = {
        "deepest": deepest,
        "setpoint": np.where(window, held, np.nan),
        "shallowest": by_air["shallowest"],
        "debulk": np.where(debulk, found["early_hold"], np.nan),
        "debulk_limit": found["early"],
        "deepest_no_debulk": by.straight,
        **{f"{name}_limit": by.safe[name] for name in LIMITS},
        **{f"{name}_limit_nominal": by.nominal[name] for name in LIMITS},
    }
    gel = found["gel"] / 60.0
    told = {name: p / PASCAL_PER_MBAR for name, p in pressures.items()}
    told["hottest"] = found["hottest"] - ZERO_CELSIUS_K
    told["gel_time"] = np.where(np.isfinite(gel), gel, np.nan)
    told["limiting"] = by.limiting
    return _without_refused(told, job, around)


def _by_air(job: Job, here: "Floats") -> "dict[str, Floats]":
    """Return what depends on the barometer alone, each of its values worked once [Pa]."""
    airs, which = np.unique(here, return_inverse=True)
    jobs = [job.but(shop=job.shop._moved(barometer_Pa=float(air))) for air in airs]
    found = {
        "shallowest": [shallowest_of(each) for each in jobs],
        "reach": [reach_of(each) or 0.0 for each in jobs],
        "room": [0.0 if job.process.pressed else coarsest_step(float(air)) for air in airs],
    }
    return {name: np.array(values)[which].reshape(here.shape) for name, values in found.items()}


def _without_refused(
    told: "dict[str, Floats]", job: Job, around: "dict[str, Floats]"
) -> "dict[str, Floats]":
    """Leave the cases blank that must not be done, whatever the vacuum."""
    air = around["temperature_K"]
    follows = job.shop.tool_temperature_K == job.shop.temperature_K
    tool = air if follows else np.full(air.shape, job.shop.tool_temperature_K)
    refused = refused_where(job, air, tool, around["humidity"])
    told = {name: np.where(refused, np.nan, values) for name, values in told.items()}
    told["verdict"] = np.zeros(air.shape)
    told["outcome"] = refused.astype(float)
    return told


def _margin(job: Job, deepest: "Floats") -> "Floats":
    """Return how far each setpoint keeps from deepest [Pa]."""
    if not job.process.bag_sets_resin:
        return np.zeros_like(deepest)
    return np.asarray(np.maximum(reading_error(job, deepest), job.rig.hold_error or 0.0))
