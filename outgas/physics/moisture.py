"""Water: what a material keeps of the air's humidity, and how hard it pushes when warm.

Symbols: a water activity (relative humidity in equilibrium, 0 to 1), T temperature [K], M moisture
content by mass of dry wood. SI floats and arrays.
"""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import ZERO_CELSIUS_K

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

HALVINGS = 40  # of an activity looked for, to 1e-12
WOOD_RANGE_K = (268.15, 368.15)  # the constants below were fitted up to about 95 degC

# Hailwood and Horrobin (1946) with the constants of Simpson (1998, FPL-RN-0268) for T in degC and M
# in per cent, read as calcEMC_wood of the open library ConSciR quotes them; checked in the tests
# against printed moisture contents and against the same paper's constants for degF, from memory.
_W = (349.0, 1.29, 0.0135)
_K = (0.805, 0.000736, -0.00000273)
_K1 = (6.27, -0.00938, -0.000303)
_K2 = (1.91, 0.0407, -0.000293)
_UNIT = 18.0  # molar mass of water, of which W is in the same unit [g/mol]


def _at(c: tuple[float, float, float], t: "Numbers") -> "Numbers":
    return c[0] + c[1] * t + c[2] * t * t


def wood_moisture(a: "Numbers", T: "Numbers") -> "Numbers":
    """Return the equilibrium moisture content of wood (mass of water over dry mass).

    a 0 to 1; T 268 to 368 K.

    >>> round(float(wood_moisture(0.60, 294.25)), 3)
    0.11
    """
    t = T - ZERO_CELSIUS_K
    W, K, K1, K2 = _at(_W, t), _at(_K, t), _at(_K1, t), _at(_K2, t)
    h = K * a
    chain = K1 * h + 2.0 * K1 * K2 * h * h
    return _UNIT / W * (h / (1.0 - h) + chain / (1.0 + K1 * h + K1 * K2 * h * h))


def wood_activity(M: float, T: float) -> float:
    """Return the water activity of wood holding M at T [K], capped at 1.

    Bisection: the isotherm rises with a everywhere.
    """
    low, high = 0.0, 1.0
    if float(wood_moisture(1.0, T)) <= M:
        return 1.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if float(wood_moisture(middle, T)) < M else (low, middle)
    return 0.5 * (low + high)


def activity_at_surface(a_air: "Numbers", p_air: "Numbers", p_surface: "Numbers") -> "Numbers":
    """Return the water activity at a surface colder or warmer than the air, capped at 1.

    p_air and p_surface are water's saturation pressures at the two temperatures [Pa]. At 1 the
    surface is at or below the dew point.
    """
    return np.minimum(1.0, a_air * p_air / p_surface)
