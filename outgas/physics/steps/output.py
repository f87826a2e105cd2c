"""What a run was at times between its steps: cubics with the values and slopes of both ends.

Source: Hermite's interpolation; its error goes as the fourth power of a step, as the method's does.
"""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.physics.steps.march import Trail

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]


def weights(u: "Floats") -> "tuple[Floats, Floats, Floats, Floats]":
    """Return the weights of both ends' values and of both ends' slopes at shares u of a step."""
    v = 1.0 - u
    return (1.0 + 2.0 * u) * v * v, u * u * (3.0 - 2.0 * u), u * v * v, -u * u * v


def at_times(trail: Trail, t: "Floats") -> "Floats":
    """Return temperatures and conversions (2, n, times) at times [s]."""
    step = np.clip(np.searchsorted(trail.t, t, side="right") - 1, 0, trail.t.size - 2)
    h = np.diff(trail.t)[step]
    first, second, slope, last = weights((t - trail.t[step]) / h)
    Y, slopes = trail.Y, trail.slope
    found = first * Y[..., step]
    found += second * Y[..., step + 1]
    found += (h * slope) * slopes[..., step]
    found += (h * last) * slopes[..., step + 1]
    return np.asarray(found)


def between(trail: Trail, parts: int) -> "tuple[Floats, Floats]":
    """Return times [s] that cut each step into parts, up to the end, and what the run was then."""
    end = trail.end
    h, Y, slopes = np.diff(trail.t), trail.Y, trail.slope
    rising = np.diff(Y, axis=-1)
    starts, ends = h * slopes[..., :-1], h * slopes[..., 1:]
    t = np.empty(h.size * parts + 1)
    found = np.empty((*Y.shape[:-1], t.size))
    t[-1], found[..., -1] = trail.t[-1], Y[..., -1]
    t[:-1:parts], found[..., :-1:parts] = trail.t[:-1], Y[..., :-1]
    for part in range(1, parts):
        u = np.array(part / parts)
        _, second, slope, last = weights(u)
        t[part::parts] = trail.t[:-1] + h * u
        value = Y[..., :-1] + second * rising
        value += slope * starts
        value += last * ends
        found[..., part::parts] = value
    inside = int(np.searchsorted(t, end))  # the steps' last may lie beyond the end
    return (
        np.append(t[:inside], end),
        np.concatenate([found[..., :inside], at_times(trail, np.array([end]))], axis=-1),
    )
