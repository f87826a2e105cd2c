"""Quantities at the door: what people write, read into SI numbers, and back.

Number and unit are read apart, because a general parser takes '26C' as coulombs and '1,5 mm' as
15 mm. What a dial says is read in outgas.readings.
"""

import itertools
import math
import re
import sys
import threading
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, TypeAlias, cast

import numpy as np

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError, OutOfRangeError, UnitError

if TYPE_CHECKING:
    import pint
    from numpy.typing import NDArray

    Numbers: TypeAlias = float | NDArray[np.float64]
    Quantity: TypeAlias = "pint.Quantity[Any]"
    Measure: TypeAlias = str | Quantity  # '26 degC', or a pint quantity

ROUNDING = 1e-12
MOST_CHARACTERS = 1000  # of a thing said in words: what is compared with every known name
FAHRENHEIT_OFFSET = 459.67  # exact by definition

_TYPESET = str.maketrans({"−": "-", "–": "-", "\u00a0": " "})  # a minus, a dash, a space in print
_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*", re.DOTALL)
_UNIT = re.compile(r"[A-Za-zµμ°%/*^()\d\s.·²³-]{1,40}")
# A power is one digit: towers and brackets of powers would be reckoned out before they are refused.
_POWER = re.compile(r"\*\*(?!\s*-?\d(?![\d.]))|\*\*\s*-?\d\s*\*\*")
_TEMPERATURES = {
    **dict.fromkeys(("c", "°c", "degc", "celsius", "deg c", "degrees c"), "degC"),
    **dict.fromkeys(("f", "°f", "degf", "fahrenheit", "deg f", "degrees f"), "degF"),
    **dict.fromkeys(("k", "kelvin"), "K"),
}
_EXAMPLES = {
    "K": "26 degC",
    "Pa": "60 mbar",
    "m": "15 mm",
    "m**2": "0.8 m2",
    "m**3": "12 l",
    "kg/m**2": "400 g/m2",
    "m**3/s": "5 m3/h",
    "Pa*m**3/s": "1 mbar l/s",
    "N": "50 N",
    "s": "20 min",
    "kg": "2 kg",
    "W/m**2": "600 W/m2",
    "kg/m**3": "1130 kg/m3",
    "Pa*s": "450 cP",
    "J/kg": "363 kJ/kg",
}
# What is written most often, in SI: read without pint, which takes longer to load than all the rest
# of a command. Exact by definition, but for none; a test holds each against pint's own.
_LENGTHS = {"m": 1.0, "cm": 0.01, "mm": 1e-3, "um": 1e-6, "in": 0.0254, "ft": 0.3048}
_MASSES = {"kg": 1.0, "g": 1e-3, "lb": 0.45359237, "oz": 0.45359237 / 16.0}
_TIMES = {"s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0, "hr": 3600.0}
_PER_SI: dict[str, dict[str, float]] = {
    "m": _LENGTHS,
    "kg": _MASSES,
    "s": _TIMES,
    "m**2": {f"{name}**2": size * size for name, size in _LENGTHS.items()},
    "m**3": {
        **{f"{name}**3": size**3 for name, size in _LENGTHS.items()},
        **{"l": 1e-3, "L": 1e-3, "ml": 1e-6},
    },
    "kg/m**2": {"g/m**2": 1e-3, "kg/m**2": 1.0},
    "kg/m**3": {"kg/m**3": 1.0, "g/cm**3": 1000.0},
    "m**3/s": {"m**3/h": 1.0 / 3600.0, "l/min": 1e-3 / 60.0},
    "Pa": {"Pa": 1.0, "hPa": 100.0, "kPa": 1000.0, "mbar": 100.0, "bar": 1e5},
    "N": {"N": 1.0, "kN": 1000.0},
    "W/m**2": {"W/m**2": 1.0},
}
_SPAN_PART = re.compile(
    r"(\d+(?:\.\d+)?)\s*(d(?:ays?)?|h(?:ours?|rs?)?|min(?:utes?)?|s(?:ec(?:onds?)?)?)\s*"
)
_SPAN = re.compile(rf"(?:{_SPAN_PART.pattern}(?:and\s+|,\s*)?){{2,4}}")
_LONGEST_FIRST = "dhms"


_FIRST_USE = threading.RLock()  # pint builds its registry on first use, and not safely by threads
_made_by: "list[Callable[[], Any]]" = []  # what makes the registry once it is needed; then empty


def made_when_needed(make: "Callable[[], Any]") -> None:
    """Take pint's application registry from make, but not before a unit asks for one."""
    with _FIRST_USE:
        _made_by[:] = [make]


def registry() -> Any:
    """Return pint's application registry, looked up at call time so that users may set theirs."""
    import pint

    with _FIRST_USE:
        if _made_by:
            pint.set_application_registry(_made_by.pop()())  # type: ignore[no-untyped-call]
        found = pint.get_application_registry()  # type: ignore[no-untyped-call]
        found.Quantity  # noqa: B018 - built now, while no other thread can see it half made
    return found


def is_quantity(value: Any) -> bool:
    """Tell whether value is a pint quantity, without importing pint: who has one, has it."""
    pint = sys.modules.get("pint")
    return pint is not None and isinstance(value, pint.Quantity)


def quantity(value: "Numbers", unit: str) -> "Quantity":
    """Return value in unit as a quantity of the application's own registry."""
    made: Quantity = registry().Quantity(value, unit)
    return made


def split_number(text: str, name: str, example: str = "26 degC") -> tuple[float, str]:
    """Return the number a text opens with and what follows it, or say what is wrong."""
    tidy = text.translate(_TYPESET)
    match = _NUMBER.fullmatch(tidy)
    if match is None:
        raise UnitError(f"{name} is {text[:60]!r}; start with a number, as in {example!r}")
    rest = match[2]
    if rest[:1] == "," and rest[1:2].isdigit():
        raise UnitError(f"{name} is {text[:60]!r}; write a decimal point, not a comma")
    value = float(match[1])
    if not math.isfinite(value):
        raise UnitError(f"{name} is {text[:60]!r}, which is too large to be a number")
    return value, rest


def _several(text: str) -> list[str]:
    """Return the parts of a time told in several units, '1 h 20 min', the longest first; else none.

    >>> _several("1 h 20 min"), _several("1h20min"), _several("20 min")
    (['1 h', '20 min'], ['1h', '20min'], [])
    """
    tidy = text.translate(_TYPESET).strip().lower()
    if _SPAN.fullmatch(tidy) is None:
        return []
    found = [(part[0], part[2][0]) for part in _SPAN_PART.finditer(tidy)]
    order = [_LONGEST_FIRST.index(letter) for _, letter in found]
    rises = all(a < b for a, b in itertools.pairwise(order))
    return [part.strip() for part, _ in found] if rises and len(found) > 1 else []


def _parse(text: str, unit: str, name: str) -> float:
    """Return text in the SI unit asked for."""
    parts = _several(text) if unit == "s" else []
    if parts:
        return math.fsum(_parse(part, unit, name) for part in parts)
    example = _EXAMPLES.get(unit, f"1 {unit}")
    value, rest = split_number(text, name, example)
    if not rest:
        raise UnitError(f"{name} is {text!r}, with no unit; write it as in {example!r}")
    if unit == "K":
        kind = _TEMPERATURES.get(" ".join(rest.lower().split()))
        if kind is None:
            raise UnitError(f"{name} is {text[:60]!r}; write it in C, F or K, as {example!r}")
        if kind == "degC":
            return value + ZERO_CELSIUS_K
        return (value + FAHRENHEIT_OFFSET) / 1.8 if kind == "degF" else value
    spelled = rest.replace("²", "2").replace("³", "3").replace("·", "*").replace("^", "**")
    spelled = re.sub(r"([A-Za-z])([23])\b", r"\1**\2", spelled)
    if not _UNIT.fullmatch(rest) or _POWER.search(spelled):
        raise UnitError(f"{name} is {text[:60]!r}; {rest[:40]!r} is not a unit; write {example!r}")
    if (factor := _PER_SI.get(unit, {}).get(spelled)) is not None:
        return value * factor
    import pint

    units = registry()
    try:
        with _FIRST_USE:  # its own caches of units and of conversions are not guarded either
            return float(units.Quantity(value, units.parse_units(spelled)).m_as(unit))
    except pint.DimensionalityError:
        raise UnitError(f"{name} is {text[:60]!r}; its unit must be like {example!r}") from None
    except Exception:  # pint raises a dozen unrelated types on stray text; all mean the same here
        raise UnitError(f"{name} is {text[:60]!r}; the unit {rest[:40]!r} is not known") from None


def is_labelled(value: Any) -> bool:
    """Tell whether value is a labelled array (dims and attrs), without importing xarray."""
    return hasattr(value, "dims") and hasattr(value, "attrs") and hasattr(value, "copy")


def is_column(value: Any) -> bool:
    """Tell whether value is a column of a table (iloc and attrs), without importing pandas."""
    return hasattr(value, "iloc") and hasattr(value, "attrs") and hasattr(value, "dtype")


def si(value: Any, unit: str, name: str) -> "Numbers":
    """Return the magnitude of a text, quantity, labelled array or column in an SI unit.

    A bare number is refused: nothing says what it means.
    """
    if isinstance(value, str):
        return _parse(value, unit, name)
    if is_labelled(value):
        value = _unlabelled(value, name)
    elif is_column(value):
        value = _uncolumned(value, unit, name)
    if is_quantity(value):
        import pint

        try:
            with np.errstate(
                over="ignore"
            ):  # too large for its unit is infinite, and refused as such
                magnitude = np.asarray(value.m_as(unit))
        except pint.DimensionalityError:
            raise UnitError(
                f"{name} is in {value.units:~P}; it takes a unit like that of "
                f"{_EXAMPLES.get(unit, unit)!r}"
            ) from None
        array = _real(magnitude, name)
        return array if array.ndim else float(array)
    example = _EXAMPLES.get(unit, f"1 {unit}")
    shown = f"{value!r}"[:60]
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise UnitError(f"{name} is {shown}, with no unit; write text with one, as {example!r}")
    raise UnitError(f"{name} is {shown}; give text such as {example!r}, or a pint quantity")


def _real(values: Any, name: str) -> "NDArray[np.float64]":
    """Return values as an array of real numbers; what is none is refused, never cut down to one."""
    found = np.asarray(values)
    if np.iscomplexobj(found):
        raise UnitError(f"{name} is complex; give real numbers")
    try:
        return found.astype(float)
    except (TypeError, ValueError):
        raise UnitError(f"{name} is {f'{values!r}'[:60]}; give plain numbers") from None


def in_words(value: Any, name: str, example: str) -> str:
    """Return what was said in words; refuses what is no text, or longer than anyone says it."""
    if not isinstance(value, str):
        raise InputError(f"{name} is {f'{value!r}'[:60]}; say it in words, as {example!r}")
    if len(value) > MOST_CHARACTERS:
        raise InputError(f"{name} is {len(value)} characters long; at most {MOST_CHARACTERS}")
    return value


def listed(value: Any, name: str, example: str, most: int = MOST_CHARACTERS) -> tuple[str, ...]:
    """Return a list of things said in words, no more than so many."""
    known = isinstance(value, Iterable) and not isinstance(value, str | bytes | Mapping)
    if not known or is_quantity(value):
        raise InputError(f"{name} is {f'{value!r}'[:60]}; it is a list, as [{example!r}]")
    found = tuple(itertools.islice(value, most + 1))
    if len(found) > most:
        raise InputError(f"{name} lists more than {most}; at most {most}")
    return tuple(in_words(each, name, example) for each in found)


def fitting(**given: "Numbers") -> tuple[int, ...]:
    """Return the shape that arrays make together; refuses empty ones and those that do not fit."""
    sizes = {name.replace("_", " "): np.shape(values) for name, values in given.items()}
    empty = next((name for name, size in sizes.items() if 0 in size), None)
    if empty is not None:
        raise InputError(f"{empty} is empty; give one value or more")
    try:
        return np.broadcast_shapes(*sizes.values())
    except ValueError:
        said = ", ".join(
            f"{name} {' x '.join(map(str, size))}" for name, size in sizes.items() if size
        )
        raise InputError(f"the sizes do not fit: {said}; give one value, or as many") from None


def _unlabelled(array: Any, name: str) -> "Quantity":
    """Return a labelled array as a quantity; one that contradicts its own unit is refused."""
    given = array.attrs.get("units")
    held = array.data
    if given is not None and not isinstance(given, str):
        raise UnitError(f"{name} is a labelled array whose attrs['units'] is no text; set it")
    if is_quantity(held):
        if given is not None and registry().Unit(given) != held.units:
            raise UnitError(
                f"{name} is a labelled array in {held.units:~P} whose attrs['units'] says "
                f"{given[:40]!r}; make them agree"
            )
        return cast("Quantity", held)
    if given is None:
        raise UnitError(f"{name} is a labelled array with no attrs['units']; set it, or loop")
    return quantity(np.asarray(held, dtype=float), given)


def _has_unit(value: Any) -> bool:
    """Tell whether value is a column that says its unit."""
    return is_column(value) and bool(value.attrs.get("units") or hasattr(value.dtype, "units"))


def _uncolumned(column: Any, unit: str, name: str) -> "Quantity":
    """Return a column as a quantity: by its attrs, its type's unit, or those of its entries."""
    given = column.attrs.get("units") or getattr(column.dtype, "units", None)
    entries = list(column)
    if given is None:
        if not entries or not all(
            isinstance(entry, str) or is_quantity(entry) for entry in entries
        ):
            raise UnitError(f"{name} is a column with no attrs['units']; set it, or loop")
        return quantity(np.array([one(entry, unit, name) for entry in entries]), unit)
    bare = [getattr(entry, "magnitude", entry) for entry in entries]
    import pint

    try:
        return quantity(np.array(bare, dtype=float), str(given))
    except (ValueError, TypeError, pint.UndefinedUnitError):
        raise UnitError(
            f"{name} is a column in {str(given)[:40]!r}, which cannot be read"
        ) from None


def _single(got: "Numbers", name: str) -> float:
    """Return the one number of an array that holds one."""
    if isinstance(got, float):
        return got
    if got.size == 1:
        return float(got.item())
    raise InputError(f"{name} is an array; this takes one case at a time, so loop over it")


def one(value: Any, unit: str, name: str) -> float:
    """Return one finite number in an SI unit; an array of more than one is refused."""
    got = _single(si(value, unit, name), name)
    if not math.isfinite(got):
        raise UnitError(f"{name} is {got}, which is not a number")
    return got


def positive(value: Any, unit: str, name: str, *, zero: bool = False) -> float:
    """Return one number above zero (or, with zero, not below it) in an SI unit."""
    got = one(value, unit, name)
    if got < 0.0 or (got == 0.0 and not zero):
        bound = "zero or more" if zero else "above zero"
        raise InputError(f"{name} is {value}; it must be {bound}")
    return got


def inside(value: float, low: float, high: float, name: str, unit: str) -> float:
    """Return value if it lies in a model's range, or raise with both ends."""
    slack = ROUNDING * max(abs(low), abs(high))  # a bound itself, come through a change of unit
    if not low - slack <= value <= high + slack:  # also true of NaN
        span = f"{low:.6g} to {high:.6g} {unit}".rstrip()
        given = f"{value:.6g} {unit}".rstrip()
        raise OutOfRangeError(f"{name} is {given}, outside {span}")
    return value


def fraction(value: Any, name: str) -> "Numbers":
    """Return a share between 0 and 1 from 0.6, '60 %', a dimensionless quantity or an array."""
    if isinstance(value, str):
        number, rest = split_number(value, name, "60 %")
        if rest not in ("", "%", "percent", "% RH", "%RH"):
            raise UnitError(f"{name} is {value[:60]!r}; write a share as '60 %' or 0.6")
        got: Numbers = number / 100.0 if rest else number
    elif is_quantity(value) or is_labelled(value) or _has_unit(value):
        got = si(value, "", name)
    elif value is None:
        raise UnitError(f"{name} is missing; write a share as '60 %' or 0.6")
    elif isinstance(value, bool):
        raise UnitError(f"{name} is {value}; write a share as '60 %' or 0.6")
    else:
        try:
            array = _real(value, name)
        except (TypeError, ValueError):  # rows of several lengths
            shown = f"{value!r}"[:60]
            raise UnitError(f"{name} is {shown}; write a share as '60 %' or 0.6") from None
        got = array if array.ndim else float(array)
    if not np.size(got):
        raise InputError(f"{name} is empty; write a share as '60 %' or 0.6")
    low, high = float(np.min(got)), float(np.max(got))
    if not (low >= 0.0 and high <= 1.0):
        said = isinstance(value, str) and "%" in value
        hint = f"; for per cent write '{high:.3g} %'" if 1.0 < high <= 100.0 and not said else ""
        shown = value if isinstance(value, str) else f"{high if high > 1.0 else low:.4g}"
        raise InputError(f"{name} is {shown}, outside 0 to 1 (0 % to 100 %){hint}")
    return got


def one_fraction(value: Any, name: str) -> float:
    """Return one share between 0 and 1; an array of more than one is refused."""
    return _single(fraction(value, name), name)


def like(template: Any, values: "Numbers", unit: str) -> Any:
    """Return values as a quantity, or as a labelled array where the template is one."""
    if is_labelled(template):
        labelled = template.copy(data=np.broadcast_to(np.asarray(values), template.shape).copy())
        labelled.attrs = {"units": unit}
        return labelled
    return quantity(values, unit)
