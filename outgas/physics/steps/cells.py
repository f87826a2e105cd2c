"""A batch of heat runs as arrays: what they consist of, and how fast all of it changes.

Rows are cells (from the tool's underside) and columns runs; runs with fewer cells end in cells
that nothing flows into. A face is a wall behind half a cell: what leaves it is found by one step
of Newton from where the wall was last, moved along with the cell, which is enough since that was
close.

Symbols: T temperature [K], X conversion, z share of the inhibitor used up; n cells, R rows in which
any run has resin, B runs. SI arrays.
"""

import math
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from outgas.physics.cure import REFERENCE_K
from outgas.physics.steps.reaction import Speeds

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Mask: TypeAlias = NDArray[np.bool_]

Record = TypeVar("Record")
FEW_FACES = 12  # up to which plain numbers are quicker than arrays
FIRST_WALL_STEPS = 8  # of Newton, from the cell's own temperature: foam takes five


def kept(record: Record, mask: "Mask") -> Record:
    """Return a record with only the runs of a mask: all its arrays end in the runs."""

    def part(value: Any) -> Any:
        if isinstance(value, np.ndarray):
            return np.ascontiguousarray(value[..., mask])
        return kept(value, mask) if is_dataclass(value) and not isinstance(value, type) else value

    changes = {f.name: part(getattr(record, f.name)) for f in fields(record)}  # type: ignore[arg-type]
    return replace(record, **changes)  # type: ignore[type-var]


@dataclass(slots=True, kw_only=True)
class Air:
    """Air under and over [K], linear between its corners [s]; the last corner of each is endless.

    times (P, B), values (P, 2, B); at counts the corners passed.
    """

    times: "Floats"
    values: "Floats"
    at: "NDArray[np.intp]"

    @property
    def still(self) -> bool:
        """Whether there is nothing but the start."""
        return len(self.times) == 1

    def pass_corners(self, t: "Floats") -> None:
        """Count the corners that have been passed at times t [s], a time a run."""
        if not self.still:
            self.at = np.asarray((self.times[1:] <= t).sum(axis=0), dtype=np.intp)

    def next_corner(self) -> "Floats":
        """Return when the next corner comes [s]; endless after the last."""
        runs = np.arange(self.at.size)
        later = np.minimum(self.at + 1, self.times.shape[0] - 1)
        return np.where(later > self.at, self.times[later, runs], np.inf)

    def temperature(self, t: "Floats") -> "Floats":
        """Return the temperatures under and over (2, B) at times between the corners around."""
        if self.still:
            return np.asarray(self.values[0])
        runs = np.arange(self.at.size)
        later = np.minimum(self.at + 1, self.times.shape[0] - 1)
        low, high = self.times[self.at, runs], self.times[later, runs]
        ends = np.isfinite(high) & (high > low)
        share = np.where(ends, (t - low) / np.where(ends, high - low, 1.0), 0.0)
        cold, hot = self.values[self.at, :, runs].T, self.values[later, :, runs].T
        return np.asarray(cold + share * (hot - cold))

    def change(self, t: "Floats", then: "Floats") -> "Floats | None":
        """Return by how much the air changes from t to then [K], or None for still air."""
        return None if self.still else self.temperature(then) - self.temperature(t)


@dataclass(slots=True, kw_only=True)
class Faces:
    """Both faces (2, B) of each run: how they lose heat, and where their walls were last.

    A film loses constant (T - Ta) + radiating (T^4 - Ta^4) + rising |T - Ta|^(1/4) (T - Ta);
    half is the resistance between wall and cell, gain what the sun brings.
    """

    half: "Floats"
    constant: "Floats"
    radiating: "Floats"
    rising: "Floats"
    gain: "Floats"
    law: bool  # any face in still air
    inner: "Floats"  # the cell's temperature at the last wall
    wall: "Floats"
    follows: "Floats"  # the wall's change with the cell's
    steep: "Floats"  # what leaves, by the kelvin of the cell
    plain: list[tuple[float, ...]] = field(default_factory=list)  # the same face by face, of a few

    def __post_init__(self) -> None:
        parts = (self.half, self.constant, self.radiating, self.rising, self.gain)
        few = self.half.size <= FEW_FACES
        self.plain = (
            list(zip(*(part.ravel().tolist() for part in parts), strict=True)) if few else []
        )

    def leaving(self, inner: "Floats", air: "Floats") -> "Floats":
        """Return what leaves both faces [W/m2] for cells at inner and air [K]."""
        if not self.law:
            return np.asarray(self.steep * (inner - air) - self.gain * self.follows)
        if inner.size <= FEW_FACES:
            return self._one_by_one(inner, air)
        wall = self.wall + self.follows * (inner - self.inner)
        rise = wall - air
        rising = self.rising * np.sqrt(np.sqrt(np.abs(rise)))
        cubed = self.radiating * wall
        cubed *= wall * wall
        air4 = air * air
        air4 *= air4
        out = cubed * wall
        out -= self.radiating * air4
        out += (rising + self.constant) * rise
        steep = 4.0 * cubed
        steep += 1.25 * rising
        steep += self.constant
        follows = 1.0 / (1.0 + self.half * steep)
        out += steep * (inner - wall + self.half * self.gain)
        out *= follows
        out -= self.gain
        self.inner, self.wall = inner, inner - self.half * out
        self.follows, self.steep = follows, steep * follows
        return out

    def _one_by_one(self, inner: "Floats", air: "Floats") -> "Floats":
        """Return the same, face by face: plain numbers are quicker than arrays of a few."""
        found = []
        moving = np.array([self.inner, self.wall, self.follows, inner, air]).reshape(5, -1)
        for (half, constant, radiating, rises, gain), (was, there, follows, T, Ta) in zip(
            self.plain, moving.T.tolist(), strict=True
        ):
            wall = there + follows * (T - was)
            rise = wall - Ta
            rising = rises * math.sqrt(math.sqrt(abs(rise)))
            cubed = radiating * wall * wall * wall
            out = cubed * wall - radiating * Ta * Ta * Ta * Ta + (rising + constant) * rise
            steep = 4.0 * cubed + 1.25 * rising + constant
            new = 1.0 / (1.0 + half * steep)
            left = (out + steep * (T - wall + half * gain)) * new - gain
            found.append((left, T - half * left, new, steep * new))
        left, wall, follows, steep = np.array(found).T.reshape(4, 2, -1)
        self.inner, self.wall, self.follows, self.steep = inner, wall, follows, steep
        return np.asarray(left)

    def settle(self, inner: "Floats", air: "Floats") -> None:
        """Find the walls from nothing."""
        if not self.law:
            self.follows = 1.0 / (1.0 + self.half * self.constant)
            self.steep = self.constant * self.follows
            return
        self.inner, self.wall, self.follows = inner, inner.copy(), np.zeros_like(inner)
        for _ in range(FIRST_WALL_STEPS):
            self.leaving(inner, air)


@dataclass(slots=True, kw_only=True)
class Settling:
    """When runs are done before their ends, by row and run; -inf where a run has no resin.

    cools (B): whether a run has to cool as well. slows: conversions, then inhibitors if any waits,
    from which on a rate only falls. asked (R, B): conversions to be waited for at 25 degC, and how
    much more of it by the kelvin (B).
    """

    cools: "Mask"
    slows: "Floats"
    asked: "Floats"
    per_kelvin: "Floats"


@dataclass(slots=True, kw_only=True)
class Cells:
    """What a batch of runs consists of.

    inner (n-1, B) [W/(m2 K)] between cells, capacity (n, B) [J/(m2 K)] at 25 degC and how it grows
    [J/(m2 K2)], source (R, B) [J/m2] by unit of conversion, in the rows named; reacts (R, B) is 1
    where a run has resin; last (B) is a run's last cell. settling is None where all go on to their
    ends.
    """

    inner: "Floats"
    capacity: "Floats"
    steeper: "Floats | None"
    source: "Floats"
    rows: "slice | list[int]"
    reacts: "Floats | None"  # None where all do
    last: "NDArray[np.intp]"
    faces: Faces
    air: Air
    speeds: Speeds
    settling: "Settling | None" = None

    def capacities(self, T: "Floats") -> "Floats":
        """Return the heat capacity of each cell at T [J/(m2 K)]."""
        if self.steeper is None:
            return self.capacity
        found = T - REFERENCE_K
        found *= self.steeper
        found += self.capacity
        return found

    def edges(self, T: "Floats") -> "Floats":
        """Return the temperatures of both outer cells (2, B)."""
        inner = np.empty((2, T.shape[1]))
        inner[0] = T[0]
        inner[1] = T[self.last, np.arange(T.shape[1])]
        return inner

    def settled(self, Y: "Floats", slope: "Floats") -> "Mask":
        """Return which runs have reacted as far as was asked, and only cool where they must.

        Where no cell warms, and a rate falls with more conversion as it falls with less warmth, no
        cell ever warms again: what each gets less of, its neighbours get less of too.
        """
        n, R, done = self.capacity.shape[0], self.source.shape[0], self.settling
        if done is None:
            return np.zeros(Y.shape[1], dtype=bool)
        may = (slope[:n] <= 0.0).all(axis=0) | ~done.cools
        if not may.any():
            return np.asarray(may)
        slows = (Y[n:] >= done.slows).all(axis=0)
        asked = done.asked + done.per_kelvin * (Y[self.rows] - REFERENCE_K)
        return np.asarray(may & slows & (Y[n : n + R] >= asked).all(axis=0))

    def slope(self, t: "Floats", Y: "Floats", out: "Floats") -> None:
        """Put into out how fast temperatures, conversions and inhibitors (n + 2 R, B) change."""
        n, R = self.capacity.shape[0], self.source.shape[0]
        T, dT = Y[:n], out[:n]
        leaving = self.faces.leaving(self.edges(T), self.air.temperature(t))
        flux = np.empty((n + 1, T.shape[1]))
        np.subtract(T[:-1], T[1:], out=flux[1:-1])
        flux[1:-1] *= self.inner
        flux[0] = -leaving[0]
        flux[-1] = 0.0
        np.subtract(flux[:-1], flux[1:], out=dT)
        dT[self.last, np.arange(T.shape[1])] -= leaving[1]
        if R:
            X, z, dX = Y[n : n + R], Y[n + R :], out[n : n + R]
            self.speeds.into(T[self.rows], X, z, dX, out[n + R :])
            if self.reacts is not None:  # neither counts where another run only has resin
                dX *= self.reacts
                out[n + R :] *= self.reacts if self.speeds.waits else 1.0
            dT[self.rows] += self.source * dX
        dT /= self.capacities(T)
