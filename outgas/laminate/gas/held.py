"""What a laminate holds of gas: how much of it, in how many bubbles, and how that looks.

V free gas per volume of resin    n bubbles [1/m3]    R their radius [m]    V_f fibre fraction
f void fraction    h thickness [m]. SI floats and arrays.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Flags: TypeAlias = NDArray[np.bool_]
    Numbers: TypeAlias = float | Floats

SPHERE = 4.0 * np.pi / 3.0
FEWEST = 1e-30  # bubbles per m3 that stand for none, so that a spacing stays finite
NO_GAS = 1e-12  # of the resin's volume: what rounding leaves
ENDLESS = 1e300  # gas per resin that stands for a froth's, so that ratios of it stay numbers


@dataclass(frozen=True, slots=True)
class Held:
    """What a laminate holds: gas per volume of resin (inf where it froths), in how many bubbles."""

    gas_per_resin: "Floats"
    nuclei: "Floats"

    @property
    def dissolved(self) -> "Flags":
        """Whether no gas is left undissolved."""
        return np.asarray(self.gas_per_resin < NO_GAS)

    @property
    def radius_m(self) -> "Floats":
        """The radius of the bubbles, R^3 = 3 V / (4 pi n)."""
        each = self.gas_per_resin / (SPHERE * np.maximum(self.nuclei, FEWEST))
        return np.asarray(np.cbrt(each))

    def void_fraction(self, fibre_fraction: "Numbers") -> "Floats":
        """Return the share of the laminate that is gas, V (1 - V_f) / (1 + V (1 - V_f))."""
        return void_fraction(self.gas_per_resin, fibre_fraction)

    def optical_depth(self, fibre_fraction: "Numbers", thickness_m: "Numbers") -> "Floats":
        """Return 3 f h / (2 R), for bubbles that take twice their shadow out of the light."""
        return self.depth_of(self.void_fraction(fibre_fraction), thickness_m)

    def depth_of(self, voids: "Floats", thickness_m: "Numbers") -> "Floats":
        """Return the same of a void fraction that is known."""
        V = self.gas_per_resin
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = voids * thickness_m * 1.5 / self.radius_m
        depth = np.where(V > 0.0, depth, 0.0)
        return np.where(np.isinf(V), np.inf, depth)


@dataclass(frozen=True, slots=True)
class Outcome(Held):
    """What a laminate holds after a step; boiled and frothed: in this step or before it.

    A froth is a boil with no way out. left_Pa is G.
    """

    left_Pa: "Floats"
    boiled: "Flags"
    frothed: "Flags"


def void_fraction(V: "Numbers", fibre_fraction: "Numbers") -> "Floats":
    """Return the share of a laminate that is gas, from gas per volume of resin; 1 for a froth.

    >>> float(void_fraction(0.25, 0.0))
    0.2
    """
    gas = np.minimum(V, ENDLESS) * (1.0 - np.asarray(fibre_fraction, dtype=float))
    return np.asarray(gas / (1.0 + gas))


def look(depth: "Numbers", clear: float, milky: float) -> NDArray[np.str_]:
    """Return how a laminate looks by its optical depth: clear, hazy from one depth, then milky.

    >>> look(np.array([0.1, 0.5, 2.0]), 0.3, 1.0).tolist()
    ['clear', 'hazy', 'milky']
    """
    words = np.array(["clear", "hazy", "milky"])
    return np.asarray(words[np.searchsorted([clear, milky], np.asarray(depth), side="right")])
