"""Numbers as the tables hold them: value, unit, 95 % range, source, and how each was got.

Which units there are, the record of one number, and what is plausible in a field of a record.
"""

import functools
import inspect
import math
import re
import typing
from dataclasses import dataclass
from typing import Any, Literal

import msgspec

from outgas import units
from outgas.errors import DataError, InputError
from outgas.physics.chance import Band

# read: in its source. library: held by a package. memory: recalled. estimate: judgement. A user's
# own, sheet: what a data sheet prints, and measured: what a shop measured itself.
How = Literal["read", "library", "memory", "estimate", "sheet", "measured"]
OF_ONES_OWN = ("sheet", "measured")

# Units that tables may use: the SI unit each becomes, the factor, and the offset.
UNITS: dict[str, tuple[str, float, float]] = {
    "1": ("", 1.0, 0.0),
    "%": ("", 0.01, 0.0),
    "kg/mol": ("kg/mol", 1.0, 0.0),
    "g/mol": ("kg/mol", 1e-3, 0.0),
    "K": ("K", 1.0, 0.0),
    "degC": ("K", 1.0, 273.15),
    "Pa": ("Pa", 1.0, 0.0),
    "hPa": ("Pa", 100.0, 0.0),
    "mbar": ("Pa", 100.0, 0.0),
    "kPa": ("Pa", 1e3, 0.0),
    "bar": ("Pa", 1e5, 0.0),
    "MPa": ("Pa", 1e6, 0.0),
    "kg/m3": ("kg/m3", 1.0, 0.0),
    "g/cm3": ("kg/m3", 1e3, 0.0),
    "Pa s": ("Pa s", 1.0, 0.0),
    "mPa s": ("Pa s", 1e-3, 0.0),
    "s": ("s", 1.0, 0.0),
    "min": ("s", 60.0, 0.0),
    "h": ("s", 3600.0, 0.0),
    "m": ("m", 1.0, 0.0),
    "mm": ("m", 1e-3, 0.0),
    "um": ("m", 1e-6, 0.0),
    "1/m3": ("1/m3", 1.0, 0.0),
    "kg/m2": ("kg/m2", 1.0, 0.0),
    "g/m2": ("kg/m2", 1e-3, 0.0),
    "kg": ("kg", 1.0, 0.0),
    "g": ("kg", 1e-3, 0.0),
    "1/s": ("1/s", 1.0, 0.0),
    "1/min": ("1/s", 1.0 / 60.0, 0.0),
    "1/K": ("1/K", 1.0, 0.0),
    "J/mol": ("J/mol", 1.0, 0.0),
    "kJ/mol": ("J/mol", 1e3, 0.0),
    "J/kg": ("J/kg", 1.0, 0.0),
    "kJ/kg": ("J/kg", 1e3, 0.0),
    "J/(kg K)": ("J/(kg K)", 1.0, 0.0),
    "J/(kg K2)": ("J/(kg K2)", 1.0, 0.0),
    "W/(m K)": ("W/(m K)", 1.0, 0.0),
    "W/(m2 K)": ("W/(m2 K)", 1.0, 0.0),
    "W/(m1.75 K1.25)": ("W/(m1.75 K1.25)", 1.0, 0.0),
    "min/m2": ("s/m2", 60.0, 0.0),
    "s/m2": ("s/m2", 1.0, 0.0),
    "K/min": ("K/s", 1.0 / 60.0, 0.0),
    "W/K": ("W/K", 1.0, 0.0),
    "m2/s": ("m2/s", 1.0, 0.0),
    "mN/m": ("N/m", 1e-3, 0.0),
    "mbar l/s": ("Pa m3/s", 0.1, 0.0),
    "mbar/min": ("Pa/s", 100.0 / 60.0, 0.0),
    "l/s": ("m3/s", 1e-3, 0.0),
    "m3/h": ("m3/s", 1.0 / 3600.0, 0.0),
    "l": ("m3", 1e-3, 0.0),
    "m2": ("m2", 1.0, 0.0),
}


class Number(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A value with unit, 95 % uncertainty (u95, or low and high), source and how it was got."""

    value: float
    unit: str
    source: str
    how: How
    u95: float | None = None
    low: float | None = None
    high: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise ValueError(f"unit {self.unit!r} is not one of {', '.join(UNITS)}")
        if not self.source.strip():
            raise ValueError("source is empty; say where the number comes from")
        if (self.u95 is None) == (self.low is None or self.high is None):
            raise ValueError("give either u95, or both low and high")
        if not all(math.isfinite(x) for x in (self.value, *self._ends())):
            raise ValueError("value, u95, low and high must be finite numbers")
        if not self._ends()[0] <= self.value <= self._ends()[1]:
            raise ValueError(f"value {self.value:g} lies outside its own low and high")

    def _ends(self) -> tuple[float, float]:
        if self.u95 is not None:
            return self.value - self.u95, self.value + self.u95
        return float(self.low or 0.0), float(self.high or 0.0)

    @property
    def ends(self) -> tuple[float, float]:
        """The 95 % ends in its own unit."""
        return self._ends()

    def _si(self, number: float) -> float:
        _, factor, offset = UNITS[self.unit]
        return number * factor + offset

    @property
    def si(self) -> float:
        """The value in its SI unit."""
        return self._si(self.value)

    @property
    def low_si(self) -> float:
        """The lower 95 % end in the SI unit."""
        return self._si(self._ends()[0])

    @property
    def high_si(self) -> float:
        """The upper 95 % end in the SI unit."""
        return self._si(self._ends()[1])

    @property
    def band(self) -> Band:
        """The value with its 95 % ends, in the SI unit."""
        return Band(self.si, self.low_si, self.high_si)


class Named(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every record has: the name it goes by."""

    name: str


@dataclass(frozen=True, slots=True)
class Plausible:
    """What a record's field holds: its SI unit, and the range that is plausible in it.

    Stands on the field itself: `density: Annotated[Number, Plausible("kg/m3", 5.0, 9000.0)]`.
    """

    unit: str
    low: float
    high: float


@functools.cache
def plausible(kind: type[msgspec.Struct]) -> dict[str, Plausible]:
    """Return what is plausible in each field of a kind of record that holds numbers."""
    found: dict[str, Plausible] = {}
    for parent in reversed(kind.__mro__):
        for field, annotation in inspect.get_annotations(parent).items():
            for part in (annotation, *typing.get_args(annotation)):
                for mark in getattr(part, "__metadata__", ()):
                    if isinstance(mark, Plausible):
                        found[field] = mark
    return found


def check_fields(record: Any, where: str) -> None:
    """Check each number's kind of unit and plausibility; walks nested records."""
    kind: type[msgspec.Struct] = type(record)
    marks = plausible(kind)
    for field in record.__struct_fields__:
        value = getattr(record, field)
        items = value if isinstance(value, tuple) else (value,)
        for item in items:
            if isinstance(item, Number):
                _check_number(item, marks[field], f"{where}.{field}")
            elif isinstance(item, msgspec.Struct):
                check_fields(item, f"{where}.{field}")


def _check_number(number: Number, mark: Plausible, where: str) -> None:
    given = UNITS[number.unit][0]
    if given != mark.unit:
        fitting = ", ".join(name for name, (kind, _, _) in UNITS.items() if kind == mark.unit)
        raise DataError(f"{where}: unit {number.unit!r} does not fit; use {fitting}")
    if not mark.low <= number.si <= mark.high:
        raise DataError(
            f"{where}: {number.value:g} {number.unit} is outside {mark.low:g} to {mark.high:g} "
            f"{mark.unit or '(as a share)'}"
        )


# As sheets print numbers: 450 cP, 400 to 500 cP, 400-500 cP, 450 +/- 50 cP.
_FIGURE = r"(\d+(?:\.\d+)?|\.\d+)"
_ENDS = re.compile(rf"\s*{_FIGURE}\s*([^\d±]*?)\s*(?:to|-|–|\.\.\.)\s*{_FIGURE}\s*(\D*)\s*")
_ABOUT = re.compile(rf"\s*{_FIGURE}\s*(?:±|\+/-|\+-)\s*{_FIGURE}\s*(\D*)\s*")
_VISCOSITIES = (  # as sheets write them
    (re.compile(r"m\s?Pa\s?[.·*-]?\s?s", re.IGNORECASE), "mPa s"),
    (re.compile(r"\bcps\b|\bcPs\b", re.IGNORECASE), "cP"),
)
# The unit of the tables that a number is kept in, for the SI unit of its field.
_KEPT = {"Pa s": "mPa s", "s": "min", "K": "degC", "kg/m3": "g/cm3", "": "1"}
DIGITS = 6  # kept of a converted number


def rounded(value: float) -> float:
    """Return a number to the digits that a table keeps."""
    return float(f"{value:.{DIGITS}g}")


def from_text(text: str, mark: Plausible, spread: Number, where: str) -> Number:
    """Return the number that a sheet prints in words: '450 cP', '400 to 500 cP'.

    spread is how far off it may be where it has no range: a share of it, or in kelvin.
    """
    if about := _ABOUT.fullmatch(text):
        figure, error = float(about[1]), float(about[2])
        value, low, high = (
            _si(f"{x:g} {about[3]}", mark, where) for x in (figure, figure - error, figure + error)
        )
    elif ends := _ENDS.fullmatch(text):
        low, high = (_si(f"{ends[i]} {ends[i + 1] or ends[4]}", mark, where) for i in (1, 3))
        value = 0.5 * (low + high)
    else:
        value = _si(text, mark, where)
        off = spread.si if UNITS[spread.unit][0] == "K" else spread.si * abs(value)
        low, high = max(value - off, mark.low), min(value + off, mark.high)
        low, high = min(low, value), max(high, value)
    unit = _KEPT.get(mark.unit, next(k for k, (si, _, _) in UNITS.items() if si == mark.unit))
    _, factor, offset = UNITS[unit]
    value, low, high = (rounded((x - offset) / factor) for x in (value, low, high))
    if low > high:
        raise InputError(f"{where} is {text[:60]!r}; its ends are the wrong way round")
    made = Number(value=value, unit=unit, low=low, high=high, source="sheet", how="sheet")
    _check_number(made, mark, where)
    return made


def _si(text: str, mark: Plausible, where: str) -> float:
    """Return what is printed in the SI unit of its field; a bare density is one in g/cm3."""
    if not mark.unit:
        return units.one_fraction(text.strip(), where)
    for pattern, plain in _VISCOSITIES if mark.unit == "Pa s" else ():
        text = pattern.sub(plain, text)
    if mark.unit == "kg/m3" and re.fullmatch(rf"\s*{_FIGURE}\s*", text):
        text = f"{text.strip()} g/cm3"
    pint_unit = re.sub(r"([A-Za-z])([23])\b", r"\1**\2", mark.unit.replace(" ", "*"))
    return units.one(text.strip(), pint_unit, where)
