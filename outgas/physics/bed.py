"""The fibre bed: how densely cloth packs, what load it carries, how fast resin can leave it.

Symbols: V fibre fraction by volume, p and sigma pressures [Pa], K permeability [m2], eta viscosity
[Pa s], H thickness of resin-rich laminate [m], U degree of consolidation. SI floats and arrays.
"""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

SERIES_TERMS = 200
FULLEST = 0.85  # fibre fraction beyond which no bed goes


def packed(a: "Numbers", b: "Numbers", p: "Numbers") -> "Numbers":
    """Return the fibre fraction of a dry bed under p: a p^b, no more than FULLEST.

    >>> round(float(packed(0.305, 0.046, 1e5)), 2)
    0.52
    """
    return np.asarray(np.minimum(a * np.maximum(p, 0.0) ** b, FULLEST))


def carried(a: "Numbers", b: "Numbers", V: "Numbers") -> "Numbers":
    """Return the pressure that a bed squeezed to V carries: the inverse of packed."""
    return np.asarray((np.asarray(V) / a) ** (1.0 / np.asarray(b)))


def gutowski(V: "Numbers", V0: float, Va: float, A: float) -> "Numbers":
    """Return the pressure that aligned fibres carry at V, by Gutowski's curve (1987).

    A (sqrt(V/V0) - 1) / (sqrt(Va/V) - 1)^4 between V0, where the load starts, and Va.
    """
    V = np.asarray(V, dtype=float)
    return np.asarray(A * (np.sqrt(V / V0) - 1.0) / (np.sqrt(Va / V) - 1.0) ** 4)


def permeability(d: float, kozeny: float, V: "Numbers") -> "Numbers":
    """Return the permeability [m2] of fibres of diameter d, by Kozeny and Carman."""
    V = np.asarray(V, dtype=float)
    return np.asarray(d**2 / (16.0 * kozeny) * (1.0 - V) ** 3 / V**2)


def consolidated(tau: "Numbers") -> "Numbers":
    """Return the degree of consolidation at dimensionless time tau, drained on one face.

    Terzaghi's series: 1 - sum 2/M^2 exp(-M^2 tau), M = pi/2 (2 m + 1).

    >>> round(float(consolidated(0.848)), 2)
    0.9
    """
    tau = np.maximum(np.asarray(tau, dtype=float), 0.0)
    M = 0.5 * np.pi * (2.0 * np.arange(SERIES_TERMS) + 1.0)
    series = (2.0 / M**2) * np.exp(-np.multiply.outer(tau, M**2))
    return np.asarray(np.clip(1.0 - series.sum(axis=-1), 0.0, 1.0))


def bleed_time(H: float, eta: "Numbers", K: "Numbers", sigma: "Numbers", b: float) -> "Numbers":
    """Return the time scale [s] of bleeding through the thickness: eta H^2 / (K E).

    E = sigma / b is the bed's stiffness d sigma / d ln V on the power law. At this time a bed
    drained on one face has consolidated by about 93 per cent.
    """
    return np.asarray(np.asarray(eta) * H**2 * b / (np.asarray(K) * np.asarray(sigma)))


def resin_pressure(
    p_bag: "Numbers", p_outside: "Numbers", share: "Numbers", U: "Numbers" = 1.0
) -> "Numbers":
    """Return the pressure in the resin when the bed has taken over U of its final share.

    p_bag + (1 - share U) (p_outside - p_bag): the resin carries what the fibres do not.
    """
    carried_by_resin = 1.0 - np.asarray(share) * np.asarray(U)
    return np.asarray(p_bag + carried_by_resin * (p_outside - p_bag))
