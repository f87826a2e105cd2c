"""What the condensables in a laminate push with, nominal and on the safe side."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.laminate.activity import pushes
from outgas.laminate.liquid import Liquid
from outgas.laminate.water import WATER, water, water_activity, water_push
from outgas.physics import saturation
from outgas.tables import catalogue
from outgas.tables.data import remembered
from outgas.tables.materials import Resin
from outgas.tables.volatiles import Volatile

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Vapour:
    """Partial pressures at one temperature [Pa]: nominal by name, their sum, and its upper end."""

    partial: dict[str, float]
    nominal: float
    high: float


@remembered(4096)
def monomer_pressures(
    resin: Resin, contaminants: tuple[tuple[Volatile, float], ...], k: float, T: float
) -> tuple[tuple[tuple[str, float], ...], float]:
    """Return the nominal pressure [Pa] of each volatile but water, and the sum of upper ends."""
    partial: list[tuple[str, float]] = []
    high = 0.0
    for push in pushes(resin, contaminants):
        curve, name = push.volatile.curve, push.volatile.name
        p = push.activity * float(saturation.pressure(curve, T, f"temperature of {name}"))
        above = push.volatile.spread(T)[0]
        partial.append((name, p))
        high += p * (1.0 + k * math.hypot(push.above, above))
    return tuple(partial), high


def vapour(liquid: Liquid, T: float) -> Vapour:
    """Return what the condensables push with at T [K]; the upper ends add up."""
    monomers, high = monomer_pressures(liquid.resin, liquid.contaminants, liquid.k, T)
    wet, wet_high = water_push(liquid, T)
    partial = {**dict(monomers), WATER: wet}
    return Vapour(partial, sum(partial.values()), high + wet_high)


def upper_ends(liquid: Liquid, T: "Floats") -> "Floats":
    """Return the upper ends that vapour gives [Pa], at many temperatures [K]."""
    high = np.zeros(T.shape)
    for push in pushes(liquid.resin, liquid.contaminants):
        curve, name = push.volatile.curve, push.volatile.name
        p = push.activity * saturation.pressure(curve, T, f"temperature of {name}")
        high += p * (1.0 + liquid.k * np.hypot(push.above, push.volatile.above(T)))
    wet = liquid.core is not None and liquid.core.wood  # wood's activity rises with its warmth
    a = [water_activity(liquid, float(x))[1] for x in (T if wet else T[:1])]
    pure = saturation.pressure(water().curve, T, "temperature of water")
    return np.asarray(high + np.array(a) * pure * (1.0 + liquid.k * water().above(T)))


BOIL_STEPS = 12  # at the most; ln p is nearly straight in 1/T, so four or five do
BOIL_CLOSE_K = 0.02  # how near it is found
NOTHING_PA = 1e-3  # in place of no pressure at all, which has no logarithm: a bone-dry resin's


def boiling_point(liquid: Liquid, pressure: float) -> float | None:
    """Return where the condensables may push as hard as a pressure [K]; None beyond their curves.

    By their upper ends: the coolest at which the resin may boil under that pressure.
    """
    low, high = liquid.shop_K, warmest_known(liquid)

    def over(T: float) -> float:
        return math.log(max(vapour(liquid, T).high, NOTHING_PA) / pressure)

    over_low, over_high = over(low), over(high)
    if over_high < 0.0:
        return None
    if over_low >= 0.0:
        return low
    for i in range(BOIL_STEPS):
        share = over_low / (over_low - over_high)
        T = 1.0 / (1.0 / low + share * (1.0 / high - 1.0 / low))
        T += BOIL_CLOSE_K / 2.0 * (1 if i % 2 else -1)  # so that both ends come near
        T = min(max(T, low), high)
        if (at := over(T)) >= 0.0:
            high, over_high = T, at
        else:
            low, over_low = T, at
        if high - low <= BOIL_CLOSE_K:
            break
    return low


def warmest_known(liquid: Liquid) -> float:
    """Return the warmest [K] that the vapour curves of everything in the resin reach."""
    spilt = (volatile for volatile, _ in liquid.contaminants)
    held = (*catalogue.monomers(liquid.resin), *spilt, water())
    return min(volatile.warmest_K for volatile in held)
