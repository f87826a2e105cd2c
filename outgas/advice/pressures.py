"""How hard a resin pushes back: the vapour pressures over it, with units at the door.

The public property functions, and the float form of them that the window is computed with.
"""

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import catalogue, units
from outgas.errors import InputError
from outgas.physics import air, saturation, solution
from outgas.records import Resin, Volatile

if TYPE_CHECKING:
    from outgas.units import Measure, Numbers, Quantity

GEL_IF_UNSAID = 1.0  # conversion past which the polymer is endless, where the data names no gel
STANDARD_ATMOSPHERE_PA = air.SEA_LEVEL_PA
CONTAMINANT_LIMIT = 0.1  # a trace volatile; beyond a tenth it is part of the resin


@dataclass(frozen=True, slots=True)
class Push:
    """One volatile in a resin: its record, its activity, and by which share that may be higher."""

    volatile: Volatile
    activity: float
    above: float


def as_resin(resin: str | Resin) -> Resin:
    """Return a resin's record from its name, the path of a user's file, or itself."""
    return resin if isinstance(resin, Resin) else catalogue.resin(resin)


def as_volatile(volatile: str | Volatile) -> Volatile:
    """Return a volatile's record from its name, the path of a user's file, or itself."""
    return volatile if isinstance(volatile, Volatile) else catalogue.volatile(volatile)


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


def read_contaminants(given: dict[str, Any] | None) -> tuple[tuple[Volatile, float], ...]:
    """Return volatiles and mass fractions from {'acetone': '1 %'}."""
    found = []
    for name, share in (given or {}).items():
        fraction = units.one_fraction(share, f"contaminant {name}")
        if fraction > CONTAMINANT_LIMIT:
            raise InputError(
                f"contaminant {name} is {fraction:.0%}; above {CONTAMINANT_LIMIT:.0%} describe "
                "the mixture as a resin of its own"
            )
        if fraction > 0.0:
            found.append((catalogue.volatile(name), fraction))
    return tuple(found)


def vapour_pressure(
    volatile: str | Volatile, temperature: "Measure", *, engine: str = "table"
) -> "Quantity":
    """Return the saturation pressure of a pure volatile.

    Parameters
    ----------
    volatile
        A name of outgas.volatiles(), the path of a TOML file, or a record.
    temperature
        One or many, of any shape; the volatile's own range (-10 to 150 degC, water to 350 degC).
    engine
        'table' (fast, within 1e-6 of the other) or 'exact' (CoolProp).

    Returns
    -------
    Pressure [Pa] of the temperature's shape. Its 95 % uncertainty is the record's u95.

    Raises
    ------
    UnknownNameError, UnitError, OutOfRangeError
        For a name, a unit or a temperature that cannot be used.
    """
    record = as_volatile(volatile)
    T = units.si(temperature, "K", "temperature")
    name = f"temperature of {record.name}"
    if engine == "table":
        p = saturation.pressure(catalogue.curve(record), T, name)
    elif engine == "exact":
        p = _exact(record, T, name)
    else:
        raise InputError(f"engine is {engine!r}; it is 'table' or 'exact'")
    result: Quantity = units.like(temperature, p, "Pa")
    return result


def _exact(record: Volatile, T: "Numbers", name: str) -> "Numbers":
    import dataclasses

    for end in (float(np.min(T)), float(np.max(T))):
        saturation.check_range(catalogue.curve(record), end, name)
    cubic, flat = record.cubic(), np.atleast_1d(np.asarray(T, dtype=float))
    if cubic is None:
        p = saturation.exact_reference(record.saturation.fluid, flat.ravel())
    else:
        alpha = catalogue.built(record).alpha
        p = saturation.exact_cubic(dataclasses.replace(cubic, alpha=alpha), flat.ravel())
    return float(p[0]) if np.ndim(T) == 0 else p.reshape(np.shape(T))


def _absolute(pressure: "Measure") -> "Numbers":
    """Return one or many absolute pressures [Pa]; text is read without a barometer."""
    if isinstance(pressure, str):
        return units.read_reading(pressure, None).absolute_Pa
    return units.si(pressure, "Pa", "pressure")


def boiling_temperature(volatile: str | Volatile, pressure: "Measure") -> "Quantity":
    """Return the temperature at which a pure volatile boils.

    Parameters
    ----------
    volatile
        A name of outgas.volatiles(), the path of a TOML file, or a record.
    pressure
        Absolute, one or many; text follows outgas.read_pressure without a barometer.

    Returns
    -------
    Temperature [K] of the pressure's shape.

    Raises
    ------
    UnknownNameError, UnitError, OutOfRangeError
        For a name, a unit or a pressure that cannot be used.
    """
    record = as_volatile(volatile)
    p = _absolute(pressure)
    T = saturation.temperature(catalogue.curve(record), p, f"pressure of {record.name}")
    result: Quantity = units.like(pressure, T, "K")
    return result


def _weights(
    resin: Resin, water_activity: Any, conversion: Any
) -> tuple[list[Volatile], list["Numbers"]]:
    """Return the volatiles of a resin, water last, and the activity of each."""
    alpha = units.fraction(conversion, "conversion")
    wet = resin.water_activity.si
    a_w = wet if water_activity is None else units.fraction(water_activity, "water activity")
    if isinstance(alpha, float):
        parts: list[tuple[Volatile, Numbers]] = [
            (push.volatile, push.activity) for push in pushes(resin, (), alpha)
        ]
    else:
        parts = _activities(resin, (), alpha, {})
    parts = [*parts, (catalogue.volatile("water"), a_w)]
    return [v for v, _ in parts], [a for _, a in parts]


def partial_pressures(
    resin: str | Resin, temperature: "Measure", water_activity: Any = None, conversion: Any = 0.0
) -> "dict[str, Quantity]":
    """Return the partial pressure of each volatile over a resin.

    Parameters
    ----------
    resin
        A name of outgas.resins(), the path of a TOML file, or a record.
    temperature
        One or many.
    water_activity
        0 to 1; the sealed drum's if not given. A resin worked in the open takes up the shop's
        relative humidity.
    conversion
        0 to 1, of the cure; monomer that has reacted no longer pushes.

    Returns
    -------
    Pressures [Pa] by volatile's name, nominal values; the arguments broadcast.

    Notes
    -----
    Flory-Huggins solution (Flory 1953); activity of the drum's water from the resin's record.
    """
    record = as_resin(resin)
    T = units.si(temperature, "K", "temperature")
    volatiles, weights = _weights(record, water_activity, conversion)
    wide = np.broadcast_shapes(np.shape(T), *(np.shape(w) for w in weights))
    found = {}
    for volatile, weight in zip(volatiles, weights, strict=True):
        pure = saturation.pressure(catalogue.curve(volatile), T, f"temperature of {volatile.name}")
        p = weight * pure
        found[volatile.name] = units.like(
            temperature, np.broadcast_to(p, wide) if wide else float(p), "Pa"
        )
    return found


def bubble_pressure(
    resin: str | Resin, temperature: "Measure", water_activity: Any = None, conversion: Any = 0.0
) -> "Quantity":
    """Return the pressure at which the condensables alone would boil: the partial ones' sum.

    Parameters as in outgas.partial_pressures. Dissolved air is not in it; undegassed resin gives
    up air long before it boils.

    Returns
    -------
    Pressure [Pa]; the arguments broadcast.
    """
    record = as_resin(resin)
    T = units.si(temperature, "K", "temperature")
    volatiles, weights = _weights(record, water_activity, conversion)
    wide = np.broadcast_shapes(np.shape(T), *(np.shape(w) for w in weights))
    curves = [catalogue.curve(volatile) for volatile in volatiles]
    where = f"temperature of {record.name}"
    p = saturation.weighted_pressure(curves, weights, np.broadcast_to(T, wide), where)
    result: Quantity = units.like(temperature, p if wide else float(p), "Pa")
    return result


def void_fraction(
    resin: str | Resin,
    temperature: "Measure",
    pressure: "Measure",
    entrained: Any = "0.5 %",
    air_pressure: "Measure | None" = None,
    water_activity: Any = None,
) -> "Quantity":
    """Return the gas that a resin holds free at equilibrium in a closed cell, as a share of both.

    Parameters
    ----------
    resin, temperature, water_activity
        As in outgas.partial_pressures.
    pressure
        Absolute, in the resin; one or many.
    entrained
        Air stirred in, by volume of resin at one standard atmosphere.
    air_pressure
        What the dissolved air is in equilibrium with; the atmosphere less the vapour if not given.

    Returns
    -------
    Gas over resin and gas by volume, dimensionless; 1 where the resin boils.
    """
    record = as_resin(resin)
    T = units.si(temperature, "K", "temperature")
    p = _absolute(pressure)
    if float(np.min(p)) < 0.0:
        raise InputError("pressure is below zero; it is absolute, in the resin")
    e = units.fraction(entrained, "entrained")
    vapour = bubble_pressure(record, units.quantity(T, "K"), water_activity).m_as("Pa")
    dissolved: Numbers = STANDARD_ATMOSPHERE_PA - vapour
    if air_pressure is not None:
        dissolved = units.si(air_pressure, "Pa", "air pressure")
        if float(np.min(dissolved)) < 0.0:
            raise InputError("air pressure is below zero")
    L = record.air_solubility.si
    freed = air.gas_per_resin(p, vapour, L, dissolved, e, vapour, STANDARD_ATMOSPHERE_PA, T, T)
    template = pressure if units.is_labelled(pressure) else temperature
    result: Quantity = units.like(template, air.void_fraction(freed), "")
    return result
