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


def filled(sigma: "Numbers", b: "Numbers", dry: "Numbers") -> "Numbers":
    """Return the pressure that a bed carries once resin has filled its dry tows.

    sigma before; b exponent of the power law V = a p^b; dry the share of the stack's bulk that was
    empty. Losing that bulk raises V by 1 / (1 - dry), and so sigma by (1 - dry)^(-1/b).

    >>> round(float(filled(1e4, 0.05, 0.02)))
    14979
    """
    return np.asarray(sigma * (1.0 - np.asarray(dry, dtype=float)) ** (-1.0 / np.asarray(b)))


def fibre_share(sigma: "Numbers", p_bag: "Numbers", p_outside: "Numbers") -> "Numbers":
    """Return the share of the clamp that fibres carry, 0 to 1: sigma / (p_outside - p_bag).

    Where nothing clamps, all of it: no pressure in the resin is claimed for it.

    >>> float(fibre_share(2e4, 0.0, 1e5))
    0.2
    """
    sigma, clamp = np.asarray(sigma, dtype=float), np.subtract(p_outside, p_bag)
    share = np.where(clamp > 0.0, sigma / np.where(clamp > 0.0, clamp, 1.0), 1.0)
    return np.asarray(np.minimum(share, 1.0))


def share_after(start: "Numbers", U: "Numbers", end: "Numbers" = 1.0) -> "Numbers":
    """Return the share of the clamp on the fibres when a bleeding bed has consolidated by U.

    start + (end - start) U, never below start: a bed that gives up resin takes over load. With the
    U of the lowest viscosity it is the most that it can have taken over.
    """
    start = np.asarray(start, dtype=float)
    return np.asarray(start + np.maximum(np.asarray(end) - start, 0.0) * np.asarray(U))


def shut_rigid(p_vent: "Numbers", p_outside: "Numbers", share: float) -> "Numbers":
    """Return the pressure [Pa] of resin shut in between inlet and vent in a bed that cannot yield.

    p_vent + share (p_outside - p_vent): the mean of what lay between the two ends when they shut.
    """
    return np.asarray(p_vent + share * np.subtract(p_outside, p_vent))


def shut_compacting(
    p_vent: "Numbers", p_outside: "Numbers", b: "Numbers", laid: "Numbers"
) -> "Numbers":
    """Return the pressure [Pa] of resin shut in between inlet and vent in cloth that yields.

    Before, pressure falls evenly from inlet to vent, so that the cloth carries x (p_outside -
    p_vent) at a share x of the way, no less than laid, under which it lies by itself. Its
    thickness goes as the load to the power -b, and no resin leaves: the even load sigma afterwards
    has sigma^-b equal to the mean of load^-b along the way.
    """
    b = np.asarray(b, dtype=float)
    clamp = np.maximum(np.subtract(p_outside, p_vent), 0.0)
    e = np.minimum(np.asarray(laid) / np.where(clamp > 0.0, clamp, 1.0), 1.0)
    mean = (1.0 - b * e ** (1.0 - b)) / (1.0 - b)
    return np.asarray(p_outside - clamp * mean ** (-1.0 / b))
