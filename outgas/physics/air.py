"""Air: the atmosphere over the shop, air dissolved in resin, and the gas it frees under vacuum.

Symbols: p absolute pressure [Pa], T temperature [K], h altitude [m], L Ostwald solubility (volume
of gas at T and its own pressure, dissolved per volume of resin), p_v vapour pressure of the
condensables [Pa], e entrained gas per volume of resin.
SI floats and arrays.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

# U.S. Standard Atmosphere 1976 / ISO 2533, troposphere.
SEA_LEVEL_PA = 101325.0
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
EXPONENT = 5.255876  # g M / (R lapse)
ALTITUDE_RANGE_M = (-430.0, 11000.0)  # from the lowest land to the top of this layer


def station_pressure(h: "Numbers", sea_level: "Numbers" = SEA_LEVEL_PA) -> "Numbers":
    """Return the pressure at altitude h under a sea-level pressure, by the standard atmosphere.

    >>> round(station_pressure(1500.0))
    84556
    """
    return sea_level * (1.0 - LAPSE_K_PER_M * h / SEA_LEVEL_K) ** EXPONENT


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedCell:
    """Resin in a closed cell and the air it took in, per volume of resin.

    entrained air was stirred in at mixed_Pa and mixed_K, where the vapour pressure was
    mixed_vapour_Pa; solubility is Ostwald's, air_Pa the pressure that the dissolved air is in
    equilibrium with.
    """

    solubility: "Numbers"
    air_Pa: "Numbers"
    entrained: "Numbers"
    mixed_vapour_Pa: "Numbers"
    mixed_Pa: "Numbers"
    mixed_K: "Numbers"

    def held(self, T: "Numbers") -> "Numbers":
        """Return all the air in it as pressure times volume at T [Pa]."""
        free = self.entrained * (self.mixed_Pa - self.mixed_vapour_Pa)
        return T / self.mixed_K * (free + self.solubility * self.air_Pa)


def gas_per_resin(cell: ClosedCell, p: "Numbers", p_v: "Numbers", T: "Numbers") -> "Numbers":
    """Return the volume of free gas per volume of resin in a closed cell at p and T.

    V/V_l = (T/T0) [e (p0 - p_v0) + L p_air] / (p - p_v) - L, not below zero; infinite where p is
    at or below p_v, for then the resin boils. Subscript 0: when the air was stirred in.
    """
    above = np.asarray(p - p_v, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        V = np.maximum(0.0, cell.held(T) / above - cell.solubility)
        freed = np.where(above > 0.0, V, np.inf)
    return float(freed) if freed.ndim == 0 else freed


def void_fraction(V: "Numbers") -> "Numbers":
    """Return gas volume over resin and gas, from gas per volume of resin; 1 where it boils.

    >>> void_fraction(0.25)
    0.2
    """
    V = np.asarray(V, dtype=float)
    share = np.where(np.isinf(V), 1.0, V / (1.0 + np.where(np.isinf(V), 0.0, V)))
    return float(share) if share.ndim == 0 else share
