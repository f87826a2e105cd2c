"""Pressures as builders say them: a unit alone does not say absolute pressure, gauge or vacuum."""

import math
import re
from dataclasses import dataclass
from typing import Any

from outgas import units
from outgas.errors import InputError, UnitError

# Exact or conventional by definition: 1 torr = atm/760; mmHg and inHg are the conventional columns
# of mercury at 0 degC and standard gravity (ISO 80000-4); psi from the pound and inch of 1959.
PASCAL_PER: dict[str, float] = {
    "pa": 1.0,
    "hpa": 100.0,
    "kpa": 1000.0,
    "mbar": 100.0,
    "bar": 1e5,
    "torr": 101325.0 / 760.0,
    "mmhg": 133.322387415,
    "inhg": 25.4 * 133.322387415,
    "psi": 6894.757293168361,
    "atm": 101325.0,
}
PRESSURE_NAMES = {"hpa": "hPa", "kpa": "kPa", "pa": "Pa", "mmhg": "mmHg", "inhg": "inHg"}
ABSOLUTE_UNLESS_SAID = {"hpa", "mbar", "torr", "pa", "atm"}

_QUALIFIERS = {
    **dict.fromkeys(("abs", "absolute", "a"), "absolute"),
    **dict.fromkeys(("gauge", "gage", "g", "relative"), "gauge"),
    **dict.fromkeys(("vacuum", "vac", "of vacuum", "below atmosphere"), "vacuum"),
    "": "",
}
_SPELLINGS = (
    (re.compile(r"(inches|inch|in\.?)\s*(of\s+)?(mercury|hg)|\"\s*hg"), "inhg"),
    (re.compile(r"mm\s*(of\s+)?(mercury|hg)"), "mmhg"),
    (re.compile(r"millibars?"), "mbar"),
    (re.compile(r"percent|per cent"), "%"),
    (re.compile(r"\(([ag])\)"), r" \1"),
)


@dataclass(frozen=True, slots=True)
class Reading:
    """A pressure as someone said it: absolute pascal, and whether a dial stands behind it."""

    absolute_Pa: float
    by_dial: bool


def _unit_and_qualifier(rest: str, text: str, name: str) -> tuple[str, str]:
    """Split 'inHg vacuum' into 'inhg' and 'vacuum'; understand barg, psia and the like."""
    words = rest.lower().strip()
    for pattern, plain in _SPELLINGS:
        words = pattern.sub(plain, words)
    unit, _, qualifier = words.partition(" ")
    qualifier = " ".join(qualifier.split())
    if unit not in PASCAL_PER and unit != "%" and unit[-1:] in ("a", "g") and not qualifier:
        unit, qualifier = unit[:-1], unit[-1]
    if unit not in PASCAL_PER and unit != "%":
        raise UnitError(
            f"{name} is {text[:60]!r}; pressures are in mbar, hPa, kPa, bar, psi, torr, mmHg, inHg "
            "or % vacuum"
        )
    if qualifier not in _QUALIFIERS:
        raise UnitError(
            f"{name} is {text[:60]!r}; after the unit write absolute, gauge or vacuum, "
            f"not {qualifier[:30]!r}"
        )
    return unit, _QUALIFIERS[qualifier]


def _mbar(pascal: float) -> str:
    return f"{pascal / 100.0:.1f} mbar"


def read_reading(text: str, barometer_Pa: float | None, name: str = "pressure") -> Reading:
    """Return the absolute pressure a builder means, or refuse what could mean two things."""
    value, rest = units.split_number(text, name, "60 mbar")
    if not rest:
        raise UnitError(f"{name} is {text!r}, with no unit; write '60 mbar' or '28 inHg vacuum'")
    unit, said = _unit_and_qualifier(rest, text, name)
    if unit == "%":
        if said != "vacuum" or not 0.0 <= value <= 100.0:
            raise UnitError(f"{name} is {text[:60]!r}; write 0 to 100 % vacuum, as '95 % vacuum'")
        air = _need(barometer_Pa, text, name)
        return Reading(air * (1.0 - value / 100.0), True)
    amount = _finite(value * PASCAL_PER[unit], text, name)
    shown = PRESSURE_NAMES.get(unit, unit)
    if not said and value < 0.0:
        said = "gauge"
    if not said and unit not in ABSOLUTE_UNLESS_SAID:
        raise UnitError(_two_meanings(value, shown, amount, barometer_Pa, name))
    if said in ("", "absolute"):
        if amount < 0.0:
            raise InputError(f"{name} is {text[:60]!r}; an absolute pressure cannot be below zero")
        return Reading(amount, False)
    air = _need(barometer_Pa, text, name)
    absolute = air - abs(amount) if said == "vacuum" else air + amount
    if absolute < 0.0:
        raise InputError(
            f"{name} is {text[:60]!r}: {_mbar(air - absolute)} of vacuum is more than the "
            f"barometer's {_mbar(air)}; the dial, its zero or the barometer is off"
        )
    return Reading(absolute, True)


def _finite(pascal: float, text: str, name: str) -> float:
    if not math.isfinite(pascal):
        raise InputError(f"{name} is {text[:60]!r}, which is too large to be a pressure")
    return pascal


def _need(barometer_Pa: float | None, text: str, name: str) -> float:
    if barometer_Pa is None:
        raise UnitError(f"{name} is {text[:60]!r}; a dial reading needs the barometer beside it")
    return barometer_Pa


def _two_meanings(
    value: float, unit: str, amount: float, barometer_Pa: float | None, name: str
) -> str:
    """Say both things a reading without 'absolute', 'gauge' or 'vacuum' could mean."""
    said = f"{value:g} {unit}"
    if barometer_Pa is None:
        other = "that much below the barometer"
    elif amount <= barometer_Pa:
        other = f"{_mbar(barometer_Pa - amount)} absolute at a barometer of {_mbar(barometer_Pa)}"
    else:
        other = f"more than the barometer's {_mbar(barometer_Pa)}, so not possible"
    return (
        f"{name} is '{said}', which has two meanings: '{said} absolute' is {_mbar(amount)} "
        f"absolute; '{said} vacuum' is {other}; write the one you mean"
    )


def read_absolute(value: Any, name: str) -> float:
    """Return an absolute pressure [Pa], as of a barometer, where nothing else can be meant."""
    if not isinstance(value, str):
        return units.positive(value, "Pa", name, zero=True)
    number, rest = units.split_number(value, name, "1003 hPa")
    if not rest:
        raise UnitError(f"{name} is {value!r}, with no unit; write it as in '1003 hPa'")
    unit, said = _unit_and_qualifier(rest, value, name)
    if unit == "%" or said in ("gauge", "vacuum"):
        raise UnitError(f"{name} is {value[:60]!r}; give an absolute pressure, as '1003 hPa'")
    if number < 0.0:
        raise InputError(f"{name} is {value[:60]!r}; an absolute pressure cannot be below zero")
    return _finite(number * PASCAL_PER[unit], value, name)


def dial_readings(absolute_Pa: float, barometer_Pa: float) -> dict[str, float]:
    """Return what each kind of dial shows at an absolute pressure under a barometer."""
    below = barometer_Pa - absolute_Pa
    return {
        "absolute_mbar": absolute_Pa / PASCAL_PER["mbar"],
        "vacuum_inHg": below / PASCAL_PER["inhg"],
        "vacuum_mmHg": below / PASCAL_PER["mmhg"],
        "gauge_bar": -below / PASCAL_PER["bar"],
        "gauge_kPa": -below / PASCAL_PER["kpa"],
        "gauge_psi": -below / PASCAL_PER["psi"],
        "vacuum_percent": 100.0 * below / barometer_Pa,
        "absolute_torr": absolute_Pa / PASCAL_PER["torr"],
    }
