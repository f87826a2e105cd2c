"""Volatiles dissolved in resin: how much of its pure pressure each one keeps.

Symbols: w mass fraction, phi volume fraction, V molar volume [m3/mol], a activity (partial
pressure over saturation pressure), chi Flory-Huggins interaction number with the prepolymer.
SI floats and arrays; the first axis of phi, V, chi and a runs over the volatiles.

Source: Flory, Principles of Polymer Chemistry (1953), chapter XII, extended to several small
molecules in one polymer with no interaction between the small ones.
"""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats


def volume_fractions(w: "Floats", density: "Floats") -> "Floats":
    """Return volume fractions from mass fractions and densities [kg/m3] along the first axis."""
    volume = w / density
    return np.asarray(volume / volume.sum(axis=0))


def activities(phi: "Floats", V: "Floats", V_polymer: "Numbers", chi: "Floats") -> "Floats":
    """Return the activity of each volatile in a polymer solution, by Flory and Huggins.

    ln a_i = ln phi_i + 1 - V_i sum_j(phi_j / V_j) + chi_i phi_p (1 - phi_i)
             - sum_{j != i} chi_j (V_i / V_j) phi_j phi_p

    with the polymer p in the sum over j. phi holds the volatiles only; what is missing to one is
    polymer. V_polymer may be inf (past the gel). For one volatile this is the usual binary form.
    Zero phi gives zero activity. Not capped: above one the mixture would part into two liquids.

    Styrene, 47 % by volume in a prepolymer fifteen times its size, keeps most of its pressure:

    >>> a = activities(np.array([0.4705]), np.array([115.67e-6]), 15 * 115.67e-6, np.array([0.45]))
    >>> round(float(a[0]), 3)
    0.875
    """
    phi = np.asarray(phi, dtype=float)
    extra = (1,) * (phi.ndim - 1)
    V = np.asarray(V, dtype=float).reshape(-1, *extra)
    chi = np.asarray(chi, dtype=float).reshape(-1, *extra)
    polymer = 1.0 - phi.sum(axis=0)
    per_volume = (phi / V).sum(axis=0) + polymer / V_polymer
    shared = (chi * phi / V).sum(axis=0) * polymer
    own = chi * phi / V * polymer
    exponent = 1.0 - V * per_volume + chi * polymer * (1.0 - phi) - V * (shared - own)
    return np.asarray(phi * np.exp(exponent))


def dilute_activity(phi: "Numbers", V: float, V_mean: "Numbers", chi: float) -> "Numbers":
    """Return the activity of a trace volatile: phi exp(1 - V / V_mean + chi).

    V_mean is the mean molar volume of the resin it sits in, 1 / sum(phi_j / V_j).
    """
    return phi * np.exp(1.0 - V / V_mean + chi)


def cured_fractions(w: "Floats", alpha: "Numbers") -> "Floats":
    """Return mass fractions of the monomers at conversion alpha; what reacted is polymer.

    w holds the monomers' fractions before cure along the first axis.
    """
    w = np.asarray(w, dtype=float)
    left = 1.0 - np.asarray(alpha, dtype=float)
    return np.multiply.outer(w, left) if w.ndim == 1 else np.asarray(w * left)
