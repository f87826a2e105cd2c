"""What bubbles start from and live through: cells, histories, and how a gelled resin holds them.

Symbols as in bubble.py. SI arrays.
"""

from dataclasses import dataclass

import numpy as np

from outgas.constants import GAS_CONSTANT
from outgas.errors import OutOfRangeError
from outgas.physics.bubble_shells import Floats

SMALLEST = 1e-7  # m; a free bubble below it is dissolved: its tension alone is 7 bar
CORNER = 0.01  # a history that strays further than this share from a straight line is stepped onto
STRETCH = 60.0  # bound on ln l, so that l^-4 stays a number


@dataclass(frozen=True, slots=True)
class Conditions:
    """What the bubbles live through, sampled at times and straight between them.

    time, pressure, temperature, viscosity, modulus: (M,). solubility (Ostwald), diffusivity:
    (M, I). viscosity and diffusivity are straight in their logarithm.
    """

    time: Floats
    pressure: Floats
    temperature: Floats
    viscosity: Floats
    modulus: Floats
    solubility: Floats
    diffusivity: Floats
    surface_tension: float

    def __post_init__(self) -> None:
        M = self.time.shape[0]
        if M < 2 or not np.all(np.diff(self.time) > 0.0):
            raise OutOfRangeError("times must rise, two or more of them")
        one = (self.pressure, self.temperature, self.viscosity, self.modulus)
        many = (self.solubility, self.diffusivity)
        if any(h.shape != (M,) for h in one) or any(h.shape[:1] != (M,) for h in many):
            raise OutOfRangeError("each history needs one value per time")
        if not all(np.all(np.isfinite(h)) for h in (self.time, *one, *many)):
            raise OutOfRangeError("a history has a gap or an infinite value")
        if min(float(np.min(h)) for h in (*one[1:3], *many)) <= 0.0:
            raise OutOfRangeError(
                "temperature, viscosity, solubility and diffusivity must be above zero"
            )
        if float(np.min(self.pressure)) < 0.0 or float(np.min(self.modulus)) < 0.0:
            raise OutOfRangeError("pressure and modulus cannot be below zero")
        if not 0.0 <= self.surface_tension < 1.0:
            raise OutOfRangeError("surface tension is outside 0 to 1 N/m")


@dataclass(frozen=True, slots=True)
class Bubbles:
    """Bubbles and cells at time zero: radius, liquid volume and floor (B,), gas [mol] (I, B).

    floor is the radius of a crevice that holds a nucleus: it never shrinks below, zero if free.
    concentration (I,) of each gas in the liquid [mol/m3].
    """

    radius: Floats
    liquid: Floats
    floor: Floats
    gas: Floats
    concentration: Floats

    def __post_init__(self) -> None:
        B = self.radius.shape[0]
        if B < 1 or self.liquid.shape != (B,) or self.floor.shape != (B,):
            raise OutOfRangeError("each bubble needs a radius, a cell and a floor")
        if self.gas.shape != (self.concentration.shape[0], B):
            raise OutOfRangeError("each bubble needs an amount of each gas")
        if not (np.all(self.radius > SMALLEST) and np.all(self.liquid > 0.0)):
            raise OutOfRangeError(f"radii must be above {SMALLEST:g} m and cells above zero")
        if np.any(self.floor > self.radius) or np.any(self.floor < 0.0):
            raise OutOfRangeError("a crevice cannot be wider than the bubble it holds")
        if np.any(self.gas < 0.0) or np.any(self.concentration < 0.0):
            raise OutOfRangeError("amounts of gas cannot be below zero")


@dataclass(frozen=True, slots=True)
class Growth:
    """What became of the bubbles: radius [m] (K, B), gas in them [mol] (K, I, B).

    dissolved_at [s] is infinite for those that live. mass_error is, per gas, how far the amount in
    bubbles and liquid has strayed from the first, as a share. steps counts accepted steps.
    """

    time: Floats
    radius: Floats
    gas: Floats
    dissolved_at: Floats
    mass_error: Floats
    steps: int


@dataclass(frozen=True, slots=True)
class Moment:
    """The histories at one time; RT is the gas constant times temperature, H and D are (I, 1)."""

    p: float
    RT: float
    eta: float
    G: float
    H: Floats
    D: Floats


class Histories:
    """Looks the histories up between their samples."""

    def __init__(self, c: Conditions) -> None:
        self.time = c.time
        self.gases = c.solubility.shape[1]
        straight = (c.pressure, c.temperature, c.modulus)
        bent = (np.log(h) for h in (c.viscosity, c.solubility, c.diffusivity))
        self.table = np.column_stack([*straight, *bent])

    def __call__(self, t: float) -> Moment:
        """Return the histories at t."""
        time = self.time
        i = min(max(int(np.searchsorted(time, t)) - 1, 0), time.shape[0] - 2)
        w = (t - time[i]) / (time[i + 1] - time[i])
        row = self.table[i] + w * (self.table[i + 1] - self.table[i])
        p, T, G = (float(v) for v in row[:3])
        free = np.exp(row[3:])
        H, D = free[1 : self.gases + 1, None], free[self.gases + 1 :, None]
        return Moment(p, GAS_CONSTANT * T, float(free[0]), G, H, D)

    def corners(self) -> Floats:
        """Return the times, the last included, at which a history turns too sharply to step over.

        Between two of them every history keeps within CORNER of a straight line.
        """
        t, curves = self.time, self.table.copy()
        curves[:, :3] /= np.maximum(np.abs(curves[:, :3]).max(axis=0), np.finfo(float).tiny)
        firm = self.table[:, 2] > 0.0
        gel = int(np.argmax(firm)) - 1 if firm.any() else -1  # the last sample of a liquid
        kept, start, last = [], 0, t.shape[0] - 1
        while start < last:
            stop = gel if start < gel else last
            reach = 1  # doubled while it stays straight, then halved back to the longest that does
            while start + 2 * reach <= stop and _straight(t, curves, start, start + 2 * reach):
                reach *= 2
            step = reach
            while step:
                if start + reach + step <= stop and _straight(
                    t, curves, start, start + reach + step
                ):
                    reach += step
                step //= 2
            start += reach
            kept.append(float(t[start]))
        return np.array(kept)


def _straight(t: Floats, curves: Floats, i: int, j: int) -> bool:
    """Tell whether every history between samples i and j keeps close to the chord."""
    w = (t[i + 1 : j, None] - t[i]) / (t[j] - t[i])
    chord = curves[i] + w * (curves[j] - curves[i])
    return bool(np.max(np.abs(curves[i + 1 : j] - chord)) <= CORNER)


def strain(x: Floats) -> Floats:
    """Return h, the pull of a neo-Hookean solid of unit modulus on a cavity stretched by exp(x).

    It grows as 4 x at first and never passes 5/2 (Gent and Lindley's cavitation).
    """
    l = np.exp(-np.clip(x, -STRETCH, STRETCH))  # noqa: E741
    found: Floats = 0.5 * (5.0 - 4.0 * l - l**4)
    return found


def stiffness(x: Floats) -> Floats:
    """Return dh/dx."""
    l = np.exp(-np.clip(x, -STRETCH, STRETCH))  # noqa: E741
    found: Floats = 2.0 * (l + l**4)
    return found
