"""Activities of what is dissolved in a resin, but for water: monomers, and what got in.

Flory-Huggins for monomers, a dilute form for traces.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas.errors import InputError
from outgas.laminate.water import WATER
from outgas.physics import solution
from outgas.tables import catalogue
from outgas.tables.data import remembered
from outgas.tables.materials import Resin
from outgas.tables.number import Number
from outgas.tables.volatiles import Volatile

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.units import Numbers

    Floats: TypeAlias = NDArray[np.float64]

UNSURE = ("fraction", "chi", "molar_mass", "density")  # inputs moved to their 95 % ends, in turn
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
    ways: list[dict[str, str]] = [{}]
    ways += [{name: end} for name in UNSURE for end in ("low_si", "high_si")]
    nominal, *moved = (activities(resin, contaminants, conversion, way) for way in ways)
    pairs = list(zip(moved[::2], moved[1::2], strict=True))
    found = []
    for i, (volatile, a) in enumerate(nominal):
        if a <= 0.0:
            found.append(Push(volatile, 0.0, 0.0))
            continue
        square = sum(max(0.0, *(end[i][1] / a - 1.0 for end in ends)) ** 2 for ends in pairs)
        found.append(Push(volatile, a, min(math.sqrt(square), 1.0 / a - 1.0)))
    return tuple(found)


def activities(
    resin: Resin,
    contaminants: tuple[tuple[Volatile, float], ...],
    conversion: "Numbers",
    moved: dict[str, str] | None = None,
) -> list[tuple[Volatile, Any]]:
    """Return each volatile but water with its activity, some inputs moved to an end of their range.

    A contaminant that is the resin's own monomer is added to what is there. Each is reckoned as if
    it were alone in the clean resin, and dilutes no other: what it would take away from the rest is
    not counted, so that more of it is never deeper.
    """
    mixture = _mixture_of(resin, moved or {})
    others = {v.name: (v, share) for v, share in contaminants if v.name != WATER}
    w = np.array([mixture.end(part.fraction, "fraction") for part in resin.monomers])
    own = [_own(monomer, others) for monomer in mixture.monomers]
    with_traces = [(t, mixture.by_volume(w, conversion, t)) for t in others.values()]
    found = [
        (monomer, np.minimum(a, 1.0))
        for monomer, a in zip(mixture.monomers, _of_monomers(mixture, w, conversion), strict=False)
    ]
    for i, more in enumerate(own):
        if more:
            richer = w.copy()
            richer[i] += more * (1.0 - w[i])
            richer *= min(1.0, 1.0 / richer.sum())  # no resin is more monomer than it is
            a = _of_monomers(mixture, richer, conversion)[i]
            found[i] = found[i][0], np.minimum(a, 1.0)
    trace_chi = mixture.end(catalogue.practice().margins.contaminant_chi, "chi")
    for trace, (phi, V, V_polymer) in with_traces:
        per_volume = sum(p / v for p, v in zip(phi, V, strict=False)) + phi[-1] / V_polymer
        size = trace[0].molar_volume
        a = solution.dilute_activity(phi[len(w)], size, 1 / per_volume, trace_chi)
        found.append((trace[0], np.minimum(a, 1.0)))
    return [(v, float(a)) if np.ndim(a) == 0 else (v, a) for v, a in found]


def _of_monomers(mixture: "_Mixture", w: "Floats", conversion: "Numbers") -> "Floats":
    """Return the activities of a mixture's monomers at mass fractions of them, and of its water."""
    chi = [mixture.end(p.chi, "chi") if p.chi else 0.0 for p in mixture.resin.monomers]
    phi, V, V_polymer = mixture.by_volume(w, conversion)
    return solution.activities(phi[:-1], V, V_polymer, np.array([*chi, 0.0]))


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
