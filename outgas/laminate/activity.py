"""Activities of the volatiles in a resin: Flory-Huggins for monomers, dilute form for traces."""

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas.errors import InputError
from outgas.physics import solution
from outgas.tables import catalogue
from outgas.tables.materials import Resin, Volatile

if TYPE_CHECKING:
    from outgas.units import Numbers

GEL_IF_UNSAID = 1.0  # conversion past which the polymer is endless, where the data names no gel


@dataclass(frozen=True, slots=True)
class Push:
    """One volatile in a resin: its record, its activity, and by which share that may be higher."""

    volatile: Volatile
    activity: float
    above: float


@functools.lru_cache(maxsize=256)
def pushes(
    resin: Resin, contaminants: tuple[tuple[Volatile, float], ...] = (), conversion: float = 0.0
) -> tuple[Push, ...]:
    """Return what every volatile but water does in this resin.

    The upper side is the root of the squares of what one input each, moved to the worse of its
    95 % ends, would add: monomer fraction, chi, prepolymer size and density. An activity never
    passes one.
    """
    nominal = _activities(resin, contaminants, conversion, {})
    moved = [
        [_activities(resin, contaminants, conversion, {name: end}) for end in ("low_si", "high_si")]
        for name in ("fraction", "chi", "molar_mass", "density")
    ]
    found = []
    for i, (volatile, a) in enumerate(nominal):
        if a <= 0.0:
            continue
        square = sum(max(0.0, *(end[i][1] / a - 1.0 for end in ends)) ** 2 for ends in moved)
        found.append(Push(volatile, a, min(math.sqrt(square), 1.0 / a - 1.0)))
    return tuple(found)


def _activities(
    resin: Resin,
    contaminants: tuple[tuple[Volatile, float], ...],
    conversion: "Numbers",
    moved: dict[str, str],
) -> list[tuple[Volatile, Any]]:
    """Return each volatile with its activity, some inputs moved to an end of their range."""
    monomers = [(catalogue.volatile(part.volatile), part) for part in resin.monomers]
    clean = 1.0 - sum(w for _, w in contaminants)
    w = np.array([getattr(p.fraction, moved.get("fraction", "si")) for _, p in monomers])
    left = solution.cured_fractions(w * clean, conversion)
    water = sum(p.fraction.si for p in resin.part if p.volatile == "water") * clean
    chi = np.array([getattr(p.chi, moved.get("chi", "si")) if p.chi else 0.0 for _, p in monomers])
    polymer = resin.prepolymer
    if polymer.density is None or polymer.molar_mass is None:
        raise InputError(f"{resin.name}: its prepolymer needs density and molar_mass")
    rho = getattr(polymer.density, moved.get("density", "si"))
    V_polymer: Any = getattr(polymer.molar_mass, moved.get("molar_mass", "si")) / rho
    gel = resin.gel_conversion.si if resin.gel_conversion else GEL_IF_UNSAID
    V_polymer = np.where(np.asarray(conversion) >= gel, np.inf, V_polymer)

    traces = np.array([fraction for _, fraction in contaminants])
    solid = 1.0 - left.sum(axis=0) - water - traces.sum()
    wet = catalogue.volatile("water")
    densities = [v.density.si for v, _ in monomers] + [v.density.si for v, _ in contaminants]
    shape = np.shape(solid)
    masses = [*left, *(np.broadcast_to(t, shape) for t in traces), np.broadcast_to(water, shape)]
    phi = solution.volume_fractions(
        np.array([*masses, solid]),
        np.array([*densities, wet.density.si, rho]).reshape(-1, *(1,) * len(shape)),
    )
    V = np.array([v.molar_volume for v, _ in monomers])
    n, m = len(monomers), len(contaminants)
    result: list[tuple[Volatile, Any]] = []
    small = np.concatenate([phi[:n], phi[n + m : n + m + 1]])  # monomers and water, traces left out
    V_small, chi_small = np.append(V, wet.molar_volume), np.append(chi, 0.0)
    for (volatile, _), a in zip(
        monomers, solution.activities(small, V_small, V_polymer, chi_small), strict=False
    ):
        result.append((volatile, np.minimum(a, 1.0)))
    V_all = [*V, *(v.molar_volume for v, _ in contaminants), wet.molar_volume]
    per_volume = sum(p / v for p, v in zip(phi, V_all, strict=False)) + phi[-1] / V_polymer
    trace_chi = getattr(catalogue.practice().margins.contaminant_chi, moved.get("chi", "si"))
    for i, (volatile, _) in enumerate(contaminants):
        a = solution.dilute_activity(phi[n + i], volatile.molar_volume, 1 / per_volume, trace_chi)
        result.append((volatile, np.minimum(a, 1.0)))
    return [(v, float(a)) if np.ndim(a) == 0 else (v, a) for v, a in result]
