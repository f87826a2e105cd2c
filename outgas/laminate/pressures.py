"""How hard a resin pushes back: the public property functions, with units at the door."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import readings, units
from outgas.errors import InputError
from outgas.laminate.activity import activities, pushes
from outgas.physics import air, saturation
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin, as_volatile
from outgas.tables.materials import Resin
from outgas.tables.volatiles import Volatile

if TYPE_CHECKING:
    from outgas.units import Measure, Numbers, Quantity

STANDARD_ATMOSPHERE_PA = air.SEA_LEVEL_PA
ENGINES = ("table", "exact")


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
    InputError
        For an engine that there is not.

    Notes
    -----
    ln p = sum c_k (a/T - b)^k, fitted to CoolProp (Bell, Wronski, Quoilin and Lemort 2014): its
    reference equation where it has the fluid, else the equation of Peng and Robinson (1976) with
    the alpha function of Mathias and Copeman (1983), fitted to the correlation that the record
    names.

    Examples
    --------
    >>> round(vapour_pressure("water", "100 degC").to("mbar").m, -1)
    1010.0
    >>> vapour_pressure("styrene", "40 degC") > 2 * vapour_pressure("styrene", "20 degC")
    True
    """
    record = as_volatile(volatile)
    T = units.si(temperature, "K", "temperature")
    name = f"temperature of {record.name}"
    if f"{engine}" not in ENGINES:
        raise InputError(f"engine is {f'{engine!r}'[:60]}; it is 'table' or 'exact'")
    exact = f"{engine}" == "exact"
    p = _exact(record, T, name) if exact else saturation.pressure(record.curve, T, name)
    result: Quantity = units.like(temperature, p, "Pa")
    return result


def _exact(record: Volatile, T: "Numbers", name: str) -> "Numbers":
    import dataclasses

    if not np.size(T):
        return T
    for end in (float(np.min(T)), float(np.max(T))):
        saturation.check_range(record.curve, end, name)
    cubic, flat = record.cubic(), np.atleast_1d(np.asarray(T, dtype=float))
    if cubic is None:
        p = saturation.exact_reference(record.saturation.fluid, flat.ravel())
    else:
        alpha = record.built.alpha
        p = saturation.exact_cubic(dataclasses.replace(cubic, alpha=alpha), flat.ravel())
    return float(p[0]) if np.ndim(T) == 0 else p.reshape(np.shape(T))


def _absolute(pressure: "Measure") -> "Numbers":
    """Return one or many absolute pressures [Pa]; text is read without a barometer."""
    if isinstance(pressure, str):
        return readings.read_reading(pressure, None).absolute_Pa
    return units.si(pressure, "Pa", "pressure")


def _checked(pressure: "Numbers", name: str) -> None:
    """Refuse absolute pressures that cannot be."""
    if not np.all(np.isfinite(pressure)):
        raise InputError(f"{name} has a gap or an infinity; give numbers")
    if float(np.min(pressure)) < 0.0:
        raise InputError(f"{name} is below zero; it is absolute, in the resin")


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

    Notes
    -----
    The T at which p_sat(T) = p: the curve of outgas.vapour_pressure (CoolProp, Bell and others
    2014), turned round by Newton's method on ln p.

    Examples
    --------
    >>> round(boiling_temperature("water", "1013.25 mbar").to("degC").m)
    100
    >>> boiling_temperature("styrene", "60 mbar") > boiling_temperature("water", "60 mbar")
    True
    """
    record = as_volatile(volatile)
    p = _absolute(pressure)
    T = saturation.temperature(record.curve, p, f"pressure of {record.name}")
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
        parts = activities(resin, (), alpha)
    parts = [*parts, (catalogue.volatile("water"), a_w)]
    return [v for v, _ in parts], [a for _, a in parts]


def _shape(T: "Numbers", water_activity: Any, conversion: Any) -> tuple[int, ...]:
    """Return the shape of an answer; no temperatures at all are none to answer for."""
    a_w = 0.0 if water_activity is None else units.fraction(water_activity, "water activity")
    alpha = units.fraction(conversion, "conversion")
    if not np.size(T) and not np.ndim(a_w) and not np.ndim(alpha):
        return np.shape(T)
    return units.fitting(temperature=T, water_activity=a_w, conversion=alpha)


def partial_pressures(
    resin: str | Path | Resin,
    temperature: "Measure",
    water_activity: Any = None,
    conversion: Any = 0.0,
) -> "dict[str, Quantity]":
    """Return the partial pressure of each volatile over a resin.

    Parameters
    ----------
    resin
        A name of outgas.resins(), the path of a TOML file, or a record.
    temperature
        One or many; the range of outgas.vapour_pressure.
    water_activity
        0 to 1; the sealed drum's if not given. A resin worked in the open takes up the shop's
        relative humidity.
    conversion
        0 to 1, of the cure; monomer that has reacted no longer pushes.

    Returns
    -------
    Pressures [Pa] by volatile's name, nominal values; the arguments broadcast.

    Raises
    ------
    UnknownNameError, UnitError, InputError, OutOfRangeError
        For a name, a unit, a share or a temperature that cannot be used.

    Notes
    -----
    p_i = a_i p_sat,i(T), with the activity a_i of a polymer solution (Flory, Principles of Polymer
    Chemistry, 1953, chapter XII):

        ln a_i = ln phi_i + 1 - V_i sum_j(phi_j / V_j) + chi_i phi_p (1 - phi_i)

    Water's activity in the drum stands in the resin's record.

    Examples
    --------
    >>> parts = partial_pressures("orthophthalic-polyester", "25 degC", water_activity=0.5)
    >>> sorted(parts)
    ['styrene', 'water']
    >>> cured = partial_pressures("orthophthalic-polyester", "25 degC", conversion=0.9)
    >>> cured["styrene"] < parts["styrene"] < vapour_pressure("styrene", "25 degC")
    True
    """
    record = as_resin(resin)
    T = units.si(temperature, "K", "temperature")
    volatiles, weights = _weights(record, water_activity, conversion)
    wide = _shape(T, water_activity, conversion)
    found = {}
    for volatile, weight in zip(volatiles, weights, strict=True):
        pure = saturation.pressure(volatile.curve, T, f"temperature of {volatile.name}")
        p = weight * pure
        found[volatile.name] = units.like(
            temperature, np.broadcast_to(p, wide) if wide else float(p), "Pa"
        )
    return found


def bubble_pressure(
    resin: str | Path | Resin,
    temperature: "Measure",
    water_activity: Any = None,
    conversion: Any = 0.0,
) -> "Quantity":
    """Return the pressure at which the condensables alone would boil: the partial ones' sum.

    Dissolved air is not in it; undegassed resin gives up air long before it boils.

    Parameters
    ----------
    resin, temperature, water_activity, conversion
        As in outgas.partial_pressures.

    Returns
    -------
    Pressure [Pa]; the arguments broadcast.

    Raises
    ------
    UnknownNameError, UnitError, InputError, OutOfRangeError
        As in outgas.partial_pressures.

    Notes
    -----
    p = sum a_i p_sat,i(T), Flory and Huggins's activities (Flory 1953) as in
    outgas.partial_pressures.

    Examples
    --------
    >>> dry, wet = (bubble_pressure("epoxy-laminating", "40 degC", a) for a in (0.1, 0.9))
    >>> dry < wet
    True
    >>> bubble_pressure("epoxy-laminating", units.quantity(np.array([293.15, 313.15]), "K")).shape
    (2,)
    """
    record = as_resin(resin)
    T = units.si(temperature, "K", "temperature")
    volatiles, weights = _weights(record, water_activity, conversion)
    wide = _shape(T, water_activity, conversion)
    each = [volatile.curve for volatile in volatiles]
    where = f"temperature of {record.name}"
    p = saturation.weighted_pressure(each, weights, np.broadcast_to(T, wide), where)
    result: Quantity = units.like(temperature, p if wide else float(p), "Pa")
    return result


def void_fraction(
    resin: str | Path | Resin,
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
        As in outgas.partial_pressures; water_activity by name only.
    pressure
        Absolute, in the resin; one or many.
    entrained
        Air stirred in, by volume of resin at one standard atmosphere.
    air_pressure
        What the dissolved air is in equilibrium with; the atmosphere less the vapour if not given.

    Returns
    -------
    Gas over resin and gas by volume, dimensionless; 1 where the resin boils.

    Raises
    ------
    UnknownNameError, UnitError, InputError, OutOfRangeError
        For a name, a unit, a pressure below zero, or a temperature beyond the volatiles' range.

    Notes
    -----
    Gas per volume of resin in a closed cell, an ideal gas with dissolved air by Henry's law, and
    from it the void fraction (own derivation):

        V = [e (p_0 - p_v) + L p_air] / (p - p_v) - L,  not below 0;  void = V / (1 + V)

    e is what is entrained, p_0 one standard atmosphere, p_v the bubble pressure, L the Ostwald
    solubility of air.

    Examples
    --------
    >>> deep, shallow = (
    ...     void_fraction("orthophthalic-polyester", "25 degC", p).m for p in ("100 mbar", "1 atm")
    ... )
    >>> deep > shallow > 0.0
    True
    >>> void_fraction("orthophthalic-polyester", "25 degC", "5 mbar").m  # it boils
    1.0
    """
    record = as_resin(resin)
    T = units.si(temperature, "K", "temperature")
    p = _absolute(pressure)
    e = units.fraction(entrained, "entrained")
    told = 0.0 if air_pressure is None else units.si(air_pressure, "Pa", "air pressure")
    wet = 0.0 if water_activity is None else units.fraction(water_activity, "water activity")
    units.fitting(temperature=T, pressure=p, entrained=e, air_pressure=told, water_activity=wet)
    _checked(p, "pressure")
    _checked(told, "air pressure")
    vapour = bubble_pressure(record, units.quantity(T, "K"), water_activity).m_as("Pa")
    dissolved: Numbers = STANDARD_ATMOSPHERE_PA - vapour
    if air_pressure is not None:
        dissolved = told
    cell = air.ClosedCell(
        solubility=record.air_solubility.si,
        air_Pa=dissolved,
        entrained=e,
        mixed_vapour_Pa=vapour,
        mixed_Pa=STANDARD_ATMOSPHERE_PA,
        mixed_K=T,
    )
    freed = air.gas_per_resin(cell, p, vapour, T)
    template = pressure if units.is_labelled(pressure) else temperature
    result: Quantity = units.like(template, air.void_fraction(freed), "")
    return result
