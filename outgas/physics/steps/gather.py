"""From single heat runs to batches of runs that are stepped together and fit the cache."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.physics.cure import REFERENCE_K, Kamal, Kinetics
from outgas.physics.steps.cells import Air, Cells, Faces, Settling
from outgas.physics.steps.march import INHIBITED, State, Tolerance, Trail, march
from outgas.physics.steps.reaction import FULLY_OPEN, speeds_of

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]

# The longest step: a share of a run, and no longer than an hour where that takes no more steps
# than a share of its own says. In much longer ones a thin layer at a face in air is off by a tenth
# of a kelvin: where the face hardly rises above the air, its film changes by a third within half.
LONGEST_SHARE, LONGEST_S, SMALLEST_SHARE = 1.0 / 40.0, 3600.0, 1.0 / 200.0
TOGETHER = 480  # runs: with more of them what a step works on leaves a core's own cache


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One heat run, its cells as arrays (n) from the tool's underside.

    inner (n-1) [W/(m2 K)] between cells, capacity [J/(m2 K)] at 25 degC and how it grows, source
    [J/m2] by unit of conversion, T at the start [K]; faces are (constant, radiating, rising, half,
    gain) under and over, as Faces has them; times [s] and air (2, times) [K] are the surroundings'.
    It ends before its end once it only cools and all its resin has come to the conversion asked at
    25 degC, and so much more by the kelvin; with peaks off it ends there whether it cools or not.
    """

    inner: "Floats"
    capacity: "Floats"
    steeper: "Floats"
    source: "Floats"
    T: "Floats"
    law: Kinetics
    faces: tuple[tuple[float, ...], tuple[float, ...]]
    times: "Floats"
    air: "Floats"
    start: float
    end: float
    asked: tuple[float, float] = (np.inf, 0.0)
    peaks: bool = True

    @property
    def cells(self) -> int:
        """How many cells it has."""
        return int(self.capacity.size)

    @property
    def waits(self) -> bool:
        """Whether its resin has an inhibitor."""
        return isinstance(self.law, Kamal) and self.law.induction > 0.0

    @property
    def still(self) -> bool:
        """Whether its air keeps its temperature."""
        return float(np.ptp(self.air, axis=1).max()) == 0.0

    @property
    def settles(self) -> bool:
        """Whether it may end before its end.

        Where its peak counts only in still air that is no colder than anything was at first, so
        that what is left out is neither the hottest nor the coldest of it.
        """
        if not np.isfinite(self.asked[0]):
            return False
        return not self.peaks or bool(self.still and self.T.min() <= self.air.min())

    @property
    def slows_from(self) -> float:
        """The conversion from which on a rate only falls; endless for a law that has no such.

        (k1 + k2 X^m) (Xf - X)^n has its greatest value no later than X^m (Xf - X)^n has.
        """
        law = self.law
        if not self.peaks:
            return -np.inf
        return law.m * law.final / (law.m + law.n) if isinstance(law, Kamal) else np.inf


def trails_of(runs: Sequence[Run], tolerance: Tolerance) -> Iterator[tuple[int, Trail]]:
    """Step many runs, and give the number of each with its steps, batch by batch.

    Runs of one form of law, and of about as many cells and as long a wait, are stepped together.
    """

    def alike(i: int) -> tuple[object, ...]:
        run = runs[i]
        wet = np.flatnonzero(run.source)
        first, last = (int(wet[0]), int(wet[-1])) if wet.size else (0, 0)
        kind = (type(run.law).__name__, run.still, any(face[1] or face[2] for face in run.faces))
        return (*kind, run.cells, first, last, run.waits)

    order = sorted(range(len(runs)), key=alike)
    pieces: list[list[int]] = []
    for i in order:
        if not pieces or len(pieces[-1]) == TOGETHER or alike(pieces[-1][0])[:3] != alike(i)[:3]:
            pieces.append([])
        pieces[-1].append(i)
    for piece in pieces:
        yield from zip(piece, _stepped([runs[i] for i in piece], tolerance), strict=True)


def _stepped(runs: list[Run], tolerance: Tolerance) -> list[Trail]:
    """Step a batch, and return the steps of each run in its own cells."""
    cells, state, wet = _batch(runs)
    n, found = cells.capacity.shape[0], []
    for run, trail in zip(runs, march(cells, state, tolerance), strict=True):
        # conversion in all of a run's cells, nothing where there is no resin
        own = np.zeros((2, 2, run.cells, trail.t.size))
        rows = np.flatnonzero(wet < run.cells)
        for part, of in zip(own, (trail.Y, trail.slope), strict=True):
            part[0] = of[: run.cells]
            part[1][wet[rows]] = of[n + rows]
        found.append(Trail(trail.t, own[0], own[1], trail.end))
    return found


def _padded(parts: Sequence["Floats"], rows: int, rest: float) -> "Floats":
    """Return columns of unlike length as one array, filled up with rest."""
    full = np.full((rows, len(parts)), rest)
    for b, part in enumerate(parts):
        full[: part.size, b] = part
    return full


def _batch(runs: list[Run]) -> "tuple[Cells, State, NDArray[np.intp]]":
    """Return a batch of runs, where they start, and the rows in which any has resin."""
    n, B = max(run.cells for run in runs), len(runs)
    source, steeper = (
        _padded([getattr(run, name) for run in runs], n, 0.0) for name in ("source", "steeper")
    )
    wet = np.flatnonzero((source > 0.0).any(axis=1))
    reacts = (source[wet] > 0.0).astype(float)
    whole = bool(wet.size) and int(wet[-1] - wet[0]) + 1 == wet.size
    cells = Cells(
        inner=_padded([run.inner for run in runs], n - 1, 0.0),
        capacity=_padded([run.capacity for run in runs], n, 1.0),
        steeper=steeper if steeper.any() else None,
        source=source[wet],
        rows=slice(int(wet[0]), int(wet[-1]) + 1) if whole else [int(i) for i in wet],
        reacts=None if reacts.all() else reacts,
        last=np.array([run.cells - 1 for run in runs]),
        faces=_faces(runs),
        air=_air(runs),
        speeds=speeds_of([run.law for run in runs]),
        settling=_settling(runs, reacts),
    )
    T = _padded([run.T for run in runs], n, REFERENCE_K)
    seeds = np.array([run.law.seed for run in runs]) * reacts
    # a resin without inhibitor is one that has used all of it
    used = np.where([run.waits for run in runs], 0.0, FULLY_OPEN) * np.ones_like(reacts)
    Y = np.concatenate([T, seeds, used] if cells.speeds.waits else [T, seeds])
    start, end = (np.array([getattr(run, name) for run in runs]) for name in ("start", "end"))
    state = State(
        index=np.arange(B),
        t=start,
        end=end,
        longest=_longest(end - start),
        rung=np.zeros(B),
        Y=Y,
        slope=np.zeros_like(Y),
        taken=np.ones(B, dtype=bool),
    )
    return cells, state, wet


def _settling(runs: list[Run], reacts: "Floats") -> Settling | None:
    """Return when the runs are done that only cool; None where none is before its end."""
    if not any(run.settles for run in runs):
        return None

    def where_wet(by_run: list[float]) -> "Floats":
        return np.where(reacts > 0.0, by_run, -np.inf)

    slows = [where_wet([run.slows_from if run.settles else np.inf for run in runs])]
    if any(run.waits for run in runs):
        slows.append(where_wet([INHIBITED if run.waits and run.peaks else -np.inf for run in runs]))
    return Settling(
        cools=np.array([run.peaks for run in runs]),
        slows=np.concatenate(slows),
        asked=where_wet([run.asked[0] for run in runs]),
        per_kelvin=np.array([run.asked[1] for run in runs]),
    )


def _longest(whole: "Floats") -> "Floats":
    return np.maximum(np.minimum(LONGEST_SHARE * whole, LONGEST_S), SMALLEST_SHARE * whole)


def _faces(runs: list[Run]) -> Faces:
    columns = np.array([run.faces for run in runs]).transpose(2, 1, 0)
    constant, radiating, rising, half, gain = (np.ascontiguousarray(part) for part in columns)
    nothing = np.zeros_like(half)
    return Faces(
        half=half,
        constant=constant,
        radiating=radiating,
        rising=rising,
        gain=gain,
        law=bool(radiating.any() or rising.any()),
        inner=nothing,
        wall=nothing,
        follows=nothing,
        steep=nothing,
    )


def _air(runs: list[Run]) -> Air:
    at = np.zeros(len(runs), dtype=np.intp)
    if all(run.still for run in runs):
        first = np.stack([run.air[:, 0] for run in runs], axis=1)
        return Air(times=np.zeros((1, len(runs))), values=first[None], at=at)
    most = max(run.times.size for run in runs)
    values = np.stack([_padded([run.air[i] for run in runs], most, 0.0) for i in (0, 1)], axis=1)
    for b, run in enumerate(runs):
        values[run.times.size :, :, b] = run.air[:, -1]
    return Air(times=_padded([run.times for run in runs], most, np.inf), values=values, at=at)
