"""The columns of a logger's file: which is which, in what unit, by its own header.

What the header does not say is guessed from the first rows, and every guess is echoed; what could
mean two things is refused with what to give instead.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.readings import PASCAL_PER
from outgas.units import FAHRENHEIT_OFFSET

LOOKED_AT = 60  # lines in which the header must be found
SHOWN = 80  # letters of a line that are echoed
# Heads of columns as loggers write them, in a few languages; whole words, or how a word begins.
TIME_WORDS = {
    *("time", "elapsed", "timestamp", "datetime", "clock"),
    *("zeit", "uhrzeit", "zeitstempel", "temps", "heure", "tiempo", "hora", "tempo", "ora", "tid"),
}
SHORT_TIME_WORDS = {"t", "s", "sec", "seconds", "min", "minutes"}  # where nothing else is named
TEMPERATURE_STEMS = ("temp", "thermo", "probe", "fuhler", "fühler")
PRESSURE_STEMS = ("press", "druck", "presi", "trykk", "tryck", "vacuum", "vakuum", "vide", "bag")
PRESSURE_WORDS = {"p", "vac", "pa", "mbar"}
DATE_WORDS = {"date", "datum", "fecha", "data"}

TIME_UNITS = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds", "sek"), 1.0),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), 60.0),
    **dict.fromkeys(("h", "hr", "hour", "hours", "std"), 3600.0),
    **dict.fromkeys(("ms", "msec"), 1e-3),
}
TEMPERATURE_UNITS = {
    **dict.fromkeys(("c", "°c", "degc", "celsius", "\ufffdc"), "C"),
    **dict.fromkeys(("f", "°f", "degf", "fahrenheit", "\ufffdf"), "F"),
    **dict.fromkeys(("k", "kelvin"), "K"),
}
QUALIFIERS = {
    **dict.fromkeys(("abs", "absolute", "absolut", "a"), "absolute"),
    **dict.fromkeys(("gauge", "gage", "g", "rel", "relative", "relativ"), "gauge"),
    **dict.fromkeys(("vacuum", "vac", "vakuum"), "vacuum"),
}
_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")
_WORD = re.compile(r"[^\W\d_]+|%", re.UNICODE)
_PRESSURE_UNIT = re.compile(
    r"(?<![a-z])(pa|hpa|kpa|mbar|bar|torr|mmhg|inhg|in\.?\s?hg|psi)([ag])?(?![a-z])"
)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?\s*([AaPp]\.?[Mm])?")
# What would break a line in two; a tab may part the columns.
_CONTROLS = re.compile(r"[\x00-\x08\x0a-\x1f\x7f-\x9f\u2028\u2029]")
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its head, where it stands, its unit; qualifier of a pressure; guessed: no unit.

    unit is what was read of it, '' where nothing said.
    """

    head: str
    index: int
    unit: str
    qualifier: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file is written: what parts its fields, its decimal sign, and its columns.

    skipped is how many lines come before the first row. temperature is None where there is none.
    """

    delimiter: str
    comma: bool
    skipped: int
    time: Column
    pressure: Column
    temperature: Column | None


def layout_of(
    lines: Sequence[str], time: str | None, temperature: str | None, pressure: str | None
) -> Layout:
    """Return how a file is written, from its first lines and what was said of its columns.

    Each said as 'Head', 'Head [unit]' or '3 [unit]', by its head or by its number from one on.
    """
    delimiter, comma, row = _first_row(lines)
    fields = split(lines[row], delimiter)
    heads = split(_CONTROLS.sub(" ", lines[row - 1]), delimiter) if row else [""] * len(fields)
    if row and len(fields) > len(heads) >= 2 and delimiter == ",":
        raise InputError(
            f"line {row + 1} has {len(fields)} fields under {len(heads)} heads: a decimal comma? "
            "Export with decimal points, or with ; between the columns"
        )
    if len(heads) < len(fields):
        heads += [""] * (len(fields) - len(heads))
    free = _free_roles(heads, fields)
    pressed = _found("pressure", pressure, heads, free["pressure"])
    timed = _found("time", time, heads, free["time"])
    warmed = None
    if temperature is not None or free["temperature"]:
        warmed = _found("temperature", temperature, heads, free["temperature"])
    return Layout(
        delimiter,
        comma,
        row,
        _with_unit("time", timed, heads, time),
        _with_unit("pressure", pressed, heads, pressure),
        None if warmed is None else _with_unit("temperature", warmed, heads, temperature),
    )


def split(line: str, delimiter: str) -> list[str]:
    """Return the fields of a line, quotes and blanks off."""
    return [field.strip().strip('"').strip() for field in line.rstrip("\r\n").split(delimiter)]


def is_clock(field: str) -> bool:
    """Tell whether a field is a time of day, with a date or without."""
    return _CLOCK.search(field) is not None


def day_seconds(field: str) -> float:
    """Return the time of day in a field [s].

    >>> day_seconds("26.11.2026 14:05:30"), day_seconds("2:05 PM")
    (50730.0, 50700.0)
    """
    match = _CLOCK.search(field)
    if match is None:
        raise ValueError(field)
    hour, minute, second, half = match.groups()
    hours = int(hour)
    if half is not None:
        hours = hours % 12 + (12 if half[0] in "pP" else 0)
    return 3600.0 * hours + 60.0 * int(minute) + float((second or "0").replace(",", "."))


def _first_row(lines: Sequence[str]) -> tuple[str, bool, int]:
    """Return what parts the fields, whether commas are decimal, and the line of the first row."""
    for i, line in enumerate(lines[:LOOKED_AT]):
        for delimiter in (";", "\t", ","):
            fields = split(line, delimiter)
            if len(fields) < 2:
                continue
            comma = delimiter != "," and any(_DECIMAL_COMMA.fullmatch(f) for f in fields)
            if _is_row(fields, comma=comma):
                return delimiter, comma, i
    raise InputError(
        "no row of numbers was found; a log has a time and a pressure in each row, with commas, "
        "semicolons or tabs between them"
    )


def _is_row(fields: Sequence[str], *, comma: bool) -> bool:
    numbers = [f for f in fields if _is_number(f, comma=comma)]
    others = [f for f in fields if f and not _is_number(f, comma=comma)]
    clocks = [f for f in others if is_clock(f) or re.search(r"\d[-./]\d", f)]
    return len(numbers) + len(clocks) >= 2 and bool(numbers) and len(others) - len(clocks) <= 1


def _is_number(field: str, *, comma: bool) -> bool:
    return _NUMBER.fullmatch(field.replace(",", ".") if comma else field) is not None


def _role(head: str) -> str:
    """Return what a head names: time, temperature, pressure, or '' for nothing known."""
    words = [w.lower() for w in _WORD.findall(_BRACKETS.sub(" ", head))]
    if any(w in DATE_WORDS for w in words) and not any(w in TIME_WORDS for w in words):
        return ""
    if any(w in TIME_WORDS for w in words):
        return "time"
    if any(w.startswith(TEMPERATURE_STEMS) for w in words):
        return "temperature"
    if any(w.startswith(PRESSURE_STEMS) or w in PRESSURE_WORDS for w in words):
        return "pressure"
    return "time" if any(w in SHORT_TIME_WORDS for w in words) else ""


def _free_roles(heads: Sequence[str], fields: Sequence[str]) -> dict[str, list[int]]:
    """Return which columns may be which, by their heads; a time also by its first field."""
    found: dict[str, list[int]] = {"time": [], "temperature": [], "pressure": []}
    for i, (head, field) in enumerate(zip(heads, fields, strict=False)):
        role = _role(head)
        if role:
            found[role].append(i)
        elif is_clock(field):
            found["time"].append(i)
    if len(found["time"]) > 1:
        clocks = [i for i in found["time"] if is_clock(fields[i])]
        found["time"] = clocks or found["time"]
    return found


def _found(what: str, said: str | None, heads: Sequence[str], free: Sequence[int]) -> int:
    """Return the column of a role: as it was said, or the only one that may be it."""
    names = ", ".join(f"{i + 1} {head!r}" for i, head in enumerate(heads))
    if said is not None:
        wanted = _BRACKETS.sub("", said).strip()
        for i, head in enumerate(heads):
            bare = _BRACKETS.sub("", head).strip()
            if wanted.lower() in (head.lower(), bare.lower()) and wanted:
                return i
        if wanted.isdigit() and 1 <= int(wanted) <= len(heads):
            return int(wanted) - 1
        raise InputError(f"{what} column is {said[:SHOWN]!r}; the file has {names[:400]}")
    if len(free) == 1:
        return free[0]
    many = "none" if not free else "several"
    raise InputError(f"{what} column: {many} found; name one of {names[:400]}")


def _with_unit(what: str, index: int, heads: Sequence[str], said: str | None) -> Column:
    """Return a column with its unit: as it was said, else by its head."""
    head = heads[index]
    for text in (said, head):
        if text is None:
            continue
        unit, qualifier = _unit(what, text, bare=text is said)
        if unit or qualifier:
            return Column(head, index, unit, qualifier)
    return Column(head, index, "")


def _unit(what: str, text: str, *, bare: bool) -> tuple[str, str]:
    """Return the unit that a text names, and a pressure's qualifier; '' where it names none."""
    inside = " ".join(_BRACKETS.findall(text)).lower()
    after = re.split(r"[/,]| in ", text.lower(), maxsplit=1)[-1] if not inside else ""
    if what == "pressure":
        return _pressure_unit(inside, text.lower())
    table = TIME_UNITS if what == "time" else TEMPERATURE_UNITS
    for candidate in (inside.strip(), after.strip(), *re.split(r"[\s_]+", text.lower())[1:]):
        if candidate in table:
            return candidate, ""
    if bare and inside:
        raise InputError(f"{what} unit {inside!r} is not known; write {', '.join(sorted(table))}")
    return "", ""


def _pressure_unit(inside: str, text: str) -> tuple[str, str]:
    match = _PRESSURE_UNIT.search(inside) or _PRESSURE_UNIT.search(text)
    unit = "" if match is None else match[1].replace(".", "").replace(" ", "")
    if match is None and "%" in text:
        unit = "%"
    words = [*_WORD.findall(inside), *_WORD.findall(text)]
    said = next((QUALIFIERS[w] for w in words if w in QUALIFIERS and len(w) > 1), "")
    if match is not None and match[2] and not said:
        said = QUALIFIERS[match[2]]
    return unit, said


def to_kelvin(values: "object", unit: str) -> "object":
    """Return temperatures in kelvin; of numbers or arrays."""
    if unit == "C":
        return values + ZERO_CELSIUS_K  # type: ignore[operator]
    return (values + FAHRENHEIT_OFFSET) / 1.8 if unit == "F" else values  # type: ignore[operator]


def pascal_per(unit: str, barometer_Pa: float) -> float:
    """Return how many pascal one of a unit is; a per cent is of the barometer."""
    return barometer_Pa / 100.0 if unit == "%" else PASCAL_PER[unit]
