"""Activities of the volatiles in a resin.

Flory-Huggins for monomers, a dilute form for traces; water by humidity, drum, wood and cold tools.
"""

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas.errors import InputError
from outgas.laminate import prepreg
from outgas.laminate.liquid import Liquid
from outgas.physics import moisture, saturation, solution
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables.data import remembered
from outgas.tables.materials import Resin
from outgas.tables.number import Number
from outgas.tables.volatiles import Volatile

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.units import Numbers

    Floats: TypeAlias = NDArray[np.float64]

WATER = "water"  # its activity is given by the air, not by its share
DRY_COLDEST_K = 263.15  # below this the dew point is no concern of a shop
GEL_IF_UNSAID = 1.0  # conversion past which the polymer is endless, where the data names no gel


@dataclass(frozen=True, slots=True)
class Push:
    """One volatile in a resin: its record, its activity, and by which share that may be higher."""

    volatile: Volatile
    activity: float
    above: float


@remembered(256)
def pushes(
    resin: Resin, contaminants: tuple[tuple[Volatile, float], ...] = (), conversion: float = 0.0
) -> tuple[Push, ...]:
    """Return what every volatile but water does in this resin.

    The upper side is the root of the squares of what one input each, moved to the worse of its
    95 % ends, would add: monomer fraction, chi, prepolymer size and density. An activity never
    passes one.
    """
    nominal = activities(resin, contaminants, conversion)
    moved = [
        [activities(resin, contaminants, conversion, {name: end}) for end in ("low_si", "high_si")]
        for name in ("fraction", "chi", "molar_mass", "density")
    ]
    found = []
    for i, (volatile, a) in enumerate(nominal):
        if a <= 0.0:
            found.append(Push(volatile, 0.0, 0.0))
            continue
        square = sum(max(0.0, *(end[i][1] / a - 1.0 for end in ends)) ** 2 for ends in moved)
        found.append(Push(volatile, a, min(math.sqrt(square), 1.0 / a - 1.0)))
    return tuple(found)


def activities(
    resin: Resin,
    contaminants: tuple[tuple[Volatile, float], ...],
    conversion: "Numbers",
    moved: dict[str, str] | None = None,
) -> list[tuple[Volatile, Any]]:
    """Return each volatile but water with its activity, some inputs moved to an end of their range.

    A contaminant that is the resin's own monomer is added to what is there. Every other one is
    reckoned as if it were alone in the clean resin, and dilutes no monomer: what it would take
    away from the rest is not counted, so that more of it is never deeper.
    """
    mixture = _mixture_of(resin, moved or {})
    others = {v.name: (v, share) for v, share in contaminants if v.name != WATER}
    w = np.array([mixture.end(part.fraction, "fraction") for part in resin.monomers])
    more = np.array([_own(monomer, others) for monomer in mixture.monomers])
    richer = w + more * (1.0 - w)
    richer *= min(1.0, 1.0 / max(richer.sum(), 1e-9))  # no resin is more monomer than it is
    chi = [mixture.end(p.chi, "chi") if p.chi else 0.0 for p in resin.monomers]
    phi, V, V_polymer = mixture.by_volume(richer, conversion)
    made = solution.activities(phi[:-1], V, V_polymer, np.array([*chi, 0.0]))
    found = [
        (monomer, np.minimum(a, 1.0)) for monomer, a in zip(mixture.monomers, made, strict=False)
    ]
    trace_chi = mixture.end(catalogue.practice().margins.contaminant_chi, "chi")
    for trace in others.values():
        phi, V, V_polymer = mixture.by_volume(w, conversion, trace)
        per_volume = sum(p / v for p, v in zip(phi, V, strict=False)) + phi[-1] / V_polymer
        size = trace[0].molar_volume
        a = solution.dilute_activity(phi[len(w)], size, 1 / per_volume, trace_chi)
        found.append((trace[0], np.minimum(a, 1.0)))
    return [(v, float(a)) if np.ndim(a) == 0 else (v, a) for v, a in found]


def _own(monomer: Volatile, contaminants: dict[str, tuple[Volatile, float]]) -> float:
    """Take a resin's own monomer out of the contaminants, and return how much of it there was."""
    found = contaminants.pop(monomer.name, None)
    return 0.0 if found is None else found[1]


@dataclass(frozen=True, slots=True)
class _Mixture:
    """A resin with the records of what is dissolved in it, some inputs at an end of their range.

    ends names the end, low_si or high_si, by input.
    """

    resin: Resin
    monomers: list[Volatile]
    water: Volatile
    ends: dict[str, str]

    def end(self, number: Number, name: str) -> float:
        """Return a number, at its end if that input is moved."""
        return float(getattr(number, self.ends.get(name, "si")))

    def by_volume(
        self, w: "Floats", conversion: "Numbers", trace: tuple[Volatile, float] | None = None
    ) -> "tuple[Floats, Floats, Floats]":
        """Return volume fractions (monomers, trace, water, polymer) and their molar volumes."""
        resin, polymer = self.resin, self.resin.prepolymer
        if polymer.density is None or polymer.molar_mass is None:
            raise InputError(f"{resin.name}: its prepolymer needs density and molar_mass")
        traced = [] if trace is None else [trace]
        clean = 1.0 - sum(share for _, share in traced)
        left = solution.cured_fractions(w * clean, conversion)
        water = sum(p.fraction.si for p in resin.part if p.volatile == WATER) * clean
        solid = 1.0 - left.sum(axis=0) - water - sum(share for _, share in traced)
        shape = np.shape(solid)
        held = [*self.monomers, *(v for v, _ in traced), self.water]
        small = [np.broadcast_to(share, shape) for _, share in traced]
        small.append(np.broadcast_to(water, shape))
        density = self.end(polymer.density, "density")
        densities = np.array([*(v.density.si for v in held), density])
        phi = solution.volume_fractions(
            np.array([*left, *small, solid]), densities.reshape(-1, *(1,) * len(shape))
        )
        size = self.end(polymer.molar_mass, "molar_mass") / density
        gel = resin.gel_conversion.si if resin.gel_conversion else GEL_IF_UNSAID
        V_polymer = np.where(np.asarray(conversion) >= gel, np.inf, size)
        return phi, np.array([v.molar_volume for v in held]), V_polymer


def _mixture_of(resin: Resin, ends: dict[str, str]) -> _Mixture:
    return _Mixture(resin, catalogue.monomers(resin), catalogue.volatile(WATER), ends)


@functools.cache
def water() -> Volatile:
    """Return water's record."""
    return catalogue.volatile("water")


@functools.lru_cache(maxsize=4096)
def water_pressure(T: float) -> float:
    """Return the saturation pressure of water [Pa] at T [K]."""
    return float(saturation.pressure(water().curve, T, "temperature of water"))


def water_spread(T: float) -> float:
    """Return by which share water's saturation pressure may be higher at T [K]."""
    return water().spread(T)[0]


def dew_point(humidity: float, T: float) -> float:
    """Return the temperature [K] at which air of a humidity at T would wet a surface."""
    p = humidity * water_pressure(T)
    curve = water().curve
    floor = float(saturation.pressure(curve, DRY_COLDEST_K))
    return DRY_COLDEST_K if p <= floor else float(saturation.temperature(curve, p))


def surface_humidity(liquid: Liquid) -> float:
    """Return the relative humidity at the tool's face; 1 at or below the dew point."""
    if liquid.tool_K >= liquid.shop_K:
        return liquid.humidity
    air, tool = water_pressure(liquid.shop_K), water_pressure(liquid.tool_K)
    return float(moisture.activity_at_surface(liquid.humidity, air, tool))


def drying_K(liquid: Liquid) -> float:
    """Return how warm prepreg is while it dries [K]: the colder of the shop's air and the tool."""
    return min(liquid.shop_K, liquid.tool_K)


def after_drying(
    liquid: Liquid, time_s: float, nominal: float, upper: float
) -> tuple[float, float]:
    """Return the activity that so long under full vacuum leaves, nominal and at the slow end.

    Wetter than the isotherm holds, it is dried as if it were soaked, and no wetter than it was.
    """
    start = upper if prepreg.in_range(upper) else 1.0
    rate = prepreg.drying_rate(drying_K(liquid))
    left = prepreg.activity_after(Band(nominal, nominal, start), time_s, rate)
    return left.nominal, min(left.high, upper)


def core_activity(liquid: Liquid, T: float) -> float:
    """Return the activity of the water that a core may give off at T [K], 0 for none.

    Wood holds what the shop's air gave it, or more where it is told to; what another core is told
    to hold stands free in its cells, for how it is bound there is not known.
    """
    core, told = liquid.core, liquid.core_moisture
    if core is None:
        return 0.0
    if not core.wood:
        return 1.0 if told else 0.0
    low, high = moisture.WOOD_RANGE_K
    before, after = min(max(liquid.shop_K, low), high), min(max(T, low), high)
    held = max(float(moisture.wood_moisture(liquid.humidity, before)), told or 0.0)
    return moisture.wood_activity(held, after)


def water_activity(liquid: Liquid, T: float) -> tuple[float, float]:
    """Return the activity of water in the laminate at T [K], nominal and upper.

    An open layup ends between the drum's water and the air's; a closed one keeps the drum's, but
    cloth and core bring the air's. Prepreg that was dried has what the slow end of its drying left.
    Resin and fibre keep their activity on heating, a damp core raises it.
    """
    drum = liquid.resin.water_activity.band
    air_side = surface_humidity(liquid)
    if liquid.given_water is not None:
        nominal = upper = liquid.given_water
    elif liquid.process.preimpregnated:
        nominal = upper = liquid.humidity
    elif any(part.volatile == "water" for part in liquid.resin.part):
        nominal, upper = drum.nominal, max(drum.high, air_side)
    elif liquid.process.open_to_air:
        uptake = catalogue.practice().margins.open_uptake.si
        nominal = drum.nominal + uptake * (air_side - drum.nominal)
        upper = max(drum.high, air_side)  # in a shop drier than the drum may be, the drum's
    else:
        nominal, upper = drum.nominal, max(drum.high, air_side)
    if liquid.dried_s:
        nominal, upper = after_drying(liquid, liquid.dried_s, nominal, upper)
    upper = max(upper, nominal, core_activity(liquid, T))
    spilt = sum(share for volatile, share in liquid.contaminants if volatile.name == water().name)
    if spilt > 0.0:  # liquid water that got in is held until the resin is saturated
        holds = catalogue.transport(liquid.resin.family).water_saturation
        nominal, upper = nominal + spilt / holds.si, upper + spilt / holds.low_si
    nominal = min(1.0, nominal)
    return nominal, min(1.0, nominal + liquid.k * (max(upper, nominal) - nominal))
