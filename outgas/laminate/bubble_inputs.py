"""Histories, times and radii for bubbles, read with their units and checked for gaps and ends."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas import units
from outgas.errors import InputError

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]

SAMPLES = 121  # times reckoned at the least, evenly spread, with those given and the gel
RADII_M = (5e-7, 5e-3)  # smaller are gone at once, larger rise and are not round
FROZEN_VISCOSITY = 1e10  # Pa s, in place of infinity


def array(value: Any, unit: str, name: str) -> "Floats":
    """Return a history as an array in SI; a list of texts is read one by one."""
    if isinstance(value, list | tuple):
        return np.array([float(array(v, unit, name)) for v in value])
    if isinstance(value, str) and unit == "Pa":
        return np.asarray(units.read_reading(value, None, name).absolute_Pa)
    if unit:
        return np.asarray(units.si(value, unit, name), dtype=float)
    return np.asarray(units.fraction(value, name), dtype=float)


@dataclass(frozen=True, slots=True)
class Clock:
    """The times given, and those reckoned with: the given ones and enough between."""

    given: "Floats"
    grid: "Floats"

    def history(self, value: Any, unit: str, name: str, low: float, high: float) -> "Floats":
        """Return a history on the grid, checked for gaps and against what is possible."""
        found = array(value, unit, name)
        if found.ndim > 1 or (found.ndim == 1 and found.shape != self.given.shape):
            size = " x ".join(str(n) for n in found.shape)
            raise InputError(
                f"{name} has {size} values for {self.given.shape[0]} times; give one for each"
            )
        gap = np.flatnonzero(np.isnan(np.atleast_1d(found)))
        if gap.size:
            raise InputError(f"{name} has a gap (not a number) at value {int(gap[0]) + 1}")
        for end in (float(np.min(found)), float(np.max(found))):
            if not low <= end <= high:
                said = f"{low:g} to {high:g} {unit}".rstrip()
                raise InputError(f"{name} is {end:.4g} {unit}".rstrip() + f", outside {said}")
        found = np.broadcast_to(found, self.given.shape)
        if unit == "Pa*s":
            firm = np.log(np.minimum(found, FROZEN_VISCOSITY))
            return np.exp(np.interp(self.grid, self.given, firm))
        return np.interp(self.grid, self.given, found)


def clock_of(time: Any) -> Clock:
    """Return the clock of times that rise, or of one length from zero [s]."""
    t = array(time, "s", "time")
    if t.ndim == 0:
        if not 0.0 < float(t) < np.inf:
            raise InputError(f"time is {time}; it must be above zero")
        grid = np.linspace(0.0, float(t), SAMPLES)
        return Clock(grid, grid)
    if t.ndim != 1 or t.shape[0] < 2:
        raise InputError("time needs two values or more, or one length such as '1 h'")
    if not np.all(np.isfinite(t)):
        raise InputError("time has a gap (not a number)")
    back = np.flatnonzero(np.diff(t) <= 0.0)
    if back.size:
        i = int(back[0])
        raise InputError(
            f"time does not rise: {t[i + 1]:.6g} s follows {t[i]:.6g} s (value {i + 2})"
        )
    grid = t if t.shape[0] >= SAMPLES else np.union1d(t, np.linspace(t[0], t[-1], SAMPLES))
    return Clock(t, grid)


def radii(radius: Any) -> "Floats":
    """Return radii as a row [m], each one that a bubble here can have."""
    R = np.atleast_1d(array(radius, "m", "radius"))
    if R.ndim != 1 or not R.size or not np.all(np.isfinite(R)):
        raise InputError("radius must be one length or a row of them, with no gap")
    low, high = RADII_M
    wrong = R[(low > R) | (high < R)]
    if wrong.size:
        size = f"{wrong[0] * 1e6:.4g} um" if wrong[0] < 1e-3 else f"{wrong[0] * 1e3:.4g} mm"
        raise InputError(
            f"radius is {size}; a bubble here is {low * 1e6:g} um to {high * 1e3:g} mm"
        )
    return R
