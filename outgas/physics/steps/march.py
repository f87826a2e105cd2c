"""Stepping a batch of heat runs: each with a time, a step and an error of its own.

Implicit-explicit Runge-Kutta of order four. Conduction and what the faces lose by the kelvin are
implicit, linear about the start of the step, and so is what a change of the air brings; so is how a
rate falls with conversion. Reaction, what the faces do beyond that and capacities that grow are
explicit. What is implicit only says how a
step is worked out: whatever it is, the sum of both parts is what changes.

A slope that is asked for later is that of a step's last stage, which the implicit part has
smoothed: a thin film's own slope is all rounding.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.errors import OutOfRangeError
from outgas.physics.steps.cells import Cells, kept
from outgas.physics.steps.implicit import FEW, Implicit
from outgas.physics.steps.tableau import FOURTH, Tableau

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Mask: TypeAlias = NDArray[np.bool_]

RUNGS = 4  # of the ladder of steps, to twice a step; a second is one of them
MOST_UP, MOST_DOWN = 8, 16  # rungs at a time
SAFETY = 0.9
SHORTEST_S = 1e-9
MOST_TRIED = 200_000
SMALLEST_ERROR = 1e-9  # of the tolerance; nothing has no logarithm
NO_NUMBER = 1e9  # the error of a step that ended in no number
SPARE = 0.05  # of the runs of a batch may be done before it is packed
INHIBITED = 1.5  # used-up share of inhibitor beyond which its error no longer counts


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Errors that a step may make: of temperature [K], conversion (and a share), inhibitor."""

    kelvin: float
    conversion: float
    share: float
    inhibitor: float


@dataclass(frozen=True, slots=True)
class Trail:
    """The steps of one run: times (S), temperatures and conversions (n + R, S), their slopes.

    end [s] is how far it was asked for; its last step may lie beyond.
    """

    t: "Floats"
    Y: "Floats"
    slope: "Floats"
    end: float


@dataclass(slots=True, kw_only=True)
class State:
    """Where the runs of a batch are; every array ends in the runs.

    Y (N, B) are temperatures, conversions and inhibitors; taken: the last step was. end comes
    nearer when a run has settled.
    """

    index: "NDArray[np.intp]"
    t: "Floats"
    end: "Floats"
    longest: "Floats"
    rung: "Floats"
    Y: "Floats"
    slope: "Floats"
    taken: "Mask"


class _Trails:
    """Collects the steps of all runs, some of which end sooner than others."""

    def __init__(self, runs: int) -> None:
        self.parts: list[list[tuple[Floats, Floats, Floats]]] = [[] for _ in range(runs)]
        self.open: list[tuple[Floats, Floats, Floats, Mask]] = []
        self.ends = np.zeros(runs)

    def add(self, state: State, rows: int) -> None:
        self.open.append((state.t, state.Y[:rows], state.slope[:rows], state.taken))

    def close(self, state: State) -> None:
        """Share out what was collected among the runs that were there."""
        t, Y, slope, taken = (np.stack(part) for part in zip(*self.open, strict=True))
        self.ends[state.index] = state.end
        for b, run in enumerate(state.index):
            mine = taken[:, b]
            self.parts[run].append((t[mine, b], Y[mine, :, b], slope[mine, :, b]))
        self.open = []

    def all(self) -> list[Trail]:
        return [
            Trail(
                np.concatenate([t for t, _, _ in parts]),
                np.concatenate([Y for _, Y, _ in parts]).T,
                np.concatenate([slope for _, _, slope in parts]).T,
                float(end),
            )
            for parts, end in zip(self.parts, self.ends, strict=True)
        ]


class _Step:
    """One trial step of all runs of a batch, each as long as its own."""

    def __init__(self, cells: Cells, method: Tableau, tolerance: Tolerance) -> None:
        self.cells, self.method, self.tolerance = cells, method, tolerance
        self.n, B = cells.capacity.shape
        self.N = self.n + cells.source.shape[0] * (2 if cells.speeds.waits else 1)
        self.nX = self.n + cells.source.shape[0]
        self.implicit = Implicit(cells)
        # h f of all stages and, from the second, h of its implicit part: f0, f1, i1, f2, i2, ...
        self.parts = np.zeros((2 * method.stages - 1, self.N, B))
        self.told, self.there = np.empty((2, self.N, B))
        self.mixed = [method.mixture(stage) for stage in range(1, method.stages)]
        self.ends = np.stack([method.interleaved(method.b), method.interleaved(method.error)])

    def take(self, state: State, f: "Floats", h: "Floats") -> "tuple[Floats, Floats, Floats]":
        """Return by how much all changes, each run's error by the tolerance, and the last slope."""
        n, nX, cells, Y = self.n, self.nX, self.cells, state.Y
        gamma, parts = self.method.diagonal, self.parts
        self.implicit.renew(cells.capacities(Y[:n]) / (gamma * h))
        np.multiply(f, h, out=parts[0])
        damped = 1.0 / (1.0 + gamma * h * cells.speeds.slowing(Y[n:nX], f[n:nX]))
        flat, told, there, slope = parts.reshape(parts.shape[0], -1), self.told, self.there, f
        for stage, mixture in enumerate(self.mixed, start=1):
            np.dot(mixture, flat[: mixture.size], out=told.reshape(-1))
            own, slope = parts[2 * stage][:nX], parts[2 * stage - 1]
            then = state.t + self.method.c[stage] * h
            there[:n] = self.implicit.solve(told[:n], cells.air.change(state.t, then))
            np.multiply(told[n:nX], damped, out=there[n:nX])
            there[nX:] = told[nX:]
            np.subtract(there[:nX], told[:nX], out=own)
            own *= 1.0 / gamma
            there += Y
            cells.slope(then, there, slope)
            if stage < len(self.mixed):
                slope *= h
        slope = slope.copy()
        parts[-2] *= h
        change, error = np.dot(self.ends, flat).reshape(2, *Y.shape)
        return change, self._error(Y, np.abs(error)), slope

    def _error(self, Y: "Floats", error: "Floats") -> "Floats":
        n, nX, most = self.n, self.nX, self.tolerance
        error[:n] *= 1.0 / most.kelvin
        error[n:nX] /= most.conversion + most.share * np.maximum(Y[n:nX], 0.0)
        error[nX:] *= (Y[nX:] < INHIBITED) / most.inhibitor
        found = error.max(axis=0)
        return np.asarray(np.where(np.isfinite(found), found, NO_NUMBER))


def _length(cells: Cells, state: State) -> "tuple[Floats, Floats]":
    """Return how long each run's next step is [s], and where it ends: on a corner of its air."""
    h = np.minimum(np.exp2(state.rung / RUNGS), state.longest)
    if cells.air.still:
        return h, state.t + h
    corner = cells.air.next_corner()
    gap = corner - state.t
    reached = h >= gap * (1.0 - 1e-9)
    h = np.where(reached, gap, np.where(2.0 * h > gap, 0.5 * gap, h))
    return h, np.where(reached, corner, state.t + h)


def _next_rung(state: State, h: "Floats", error: "Floats", order: int) -> "Floats":
    """Return each run's next rung: no higher after a step that was refused."""
    over = np.maximum(error, SMALLEST_ERROR)
    up = np.floor(RUNGS * (np.log2(SAFETY) - np.log2(over) / order))
    up = np.clip(up, -MOST_DOWN, MOST_UP)
    taken = error <= 1.0
    cut = np.ceil(RUNGS * np.log2(h))  # a step cut at a corner says nothing of longer ones
    full = cut >= state.rung
    longer = np.where(full, state.rung + up, np.maximum(state.rung, cut + up))
    shorter = np.minimum(state.rung, cut) + np.minimum(up, -1.0)
    return np.asarray(np.where(taken, longer, shorter))


def march(
    cells: Cells,
    state: State,
    tolerance: Tolerance,
    method: Tableau = FOURTH,
) -> list[Trail]:
    """Step all runs to their ends, and return the steps of each.

    Raises OutOfRangeError where a run cannot go on.
    """
    trails, n = _Trails(state.t.size), cells.capacity.shape[0]
    rows = n + cells.source.shape[0]
    with np.errstate(all="ignore"):  # a trial step may end anywhere: it is refused then
        cells.air.pass_corners(state.t)
        cells.faces.settle(cells.edges(state.Y[:n]), cells.air.temperature(state.t))
        step = _Step(cells, method, tolerance)
        cells.slope(state.t, state.Y, state.slope)
        for _ in range(MOST_TRIED):
            trails.add(state, rows)
            running = state.t < state.end
            done = state.t.size - int(running.sum())
            if done and (done > SPARE * state.t.size or state.t.size <= FEW):
                trails.close(state)
                if done == state.t.size:
                    return trails.all()
                cells, state = kept(cells, running), kept(state, running)
                step = _Step(cells, method, tolerance)
            state = _advanced(cells, state, step)
            if float(state.rung.min()) < RUNGS * np.log2(SHORTEST_S):
                break
    raise OutOfRangeError("the heat in these layers could not be followed: its steps vanish")


def _advanced(cells: Cells, state: State, step: _Step) -> State:
    """Return the state after one trial step of each run."""
    cells.air.pass_corners(state.t)
    f = np.empty_like(state.Y)
    cells.slope(state.t, state.Y, f)
    h, then = _length(cells, state)
    change, error, slope = step.take(state, f, h)
    taken, rung = error <= 1.0, _next_rung(state, h, error, step.method.order)
    if not cells.air.still:  # beyond a corner the slope is another: as at the start, a short step
        rung = np.where(taken & (then == cells.air.next_corner()), np.minimum(rung, 0.0), rung)
    t, Y = np.where(taken, then, state.t), np.where(taken, state.Y + change, state.Y)
    slope = np.where(taken, slope, state.slope)
    settled = cells.settled(Y, slope)
    return State(
        index=state.index,
        t=t,
        end=np.where(settled, np.minimum(state.end, t), state.end),
        longest=state.longest,
        rung=rung,
        Y=Y,
        slope=slope,
        taken=taken,
    )
