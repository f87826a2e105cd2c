"""Published measurements of voids and degassing in data/experiments/*.csv, read and checked.

They are what the bubble model is held against, never what it is fed with. A cell that the source
does not give is empty in the file and NaN here. What had to be
taken in its place, to reckon a row at all, stands in data/experiments.toml.
"""

import csv
import functools
import math
from typing import Annotated, Any, Literal, get_args

import msgspec

from outgas.errors import DataError
from outgas.tables import data
from outgas.tables.number import UNITS, How, Number, Plausible, check_fields

TAKEN_FILE = "experiments.toml"
Measured = Literal["voids", "gas removed", "light transmission"]
Outcome = Literal["", "none", "some", "more", "floor"]
WORDS = ("study", "material", "process", "measured", "outcome", "source", "how", "note")
# Number columns: the SI unit each must have, and what is plausible in it.
NUMBERS: dict[str, tuple[str, float, float]] = {
    "temperature": ("K", 250.0, 700.0),
    "pressure": ("Pa", 0.0, 1e9),
    "humidity": ("", 0.0, 1.0),
    "low": ("", 0.0, 1.0),
    "high": ("", 0.0, 1.0),
}


class Measurement(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One measured condition; SI floats, NaN where the source gives none.

    outcome: 'none' or 'some' of what was measured, 'more' than in the row above, or a 'floor' that
    a series tends to.
    """

    study: str
    material: str
    process: str
    measured: Measured
    outcome: Outcome
    source: str
    how: How
    note: str
    temperature_K: float
    pressure_Pa: float
    humidity: float
    low: float
    high: float


def _columns(header: list[str], where: str) -> dict[str, tuple[int, float, float]]:
    """Return where each number column stands, with its factor and offset to SI."""
    found: dict[str, tuple[int, float, float]] = {}
    for i, title in enumerate(header):
        name, _, rest = title.partition(" [")
        if name in WORDS and not rest:
            continue
        if name not in NUMBERS or not rest.endswith("]"):
            wanted = ", ".join((*WORDS, *(f"{n} [unit]" for n in NUMBERS)))
            raise DataError(f"{where}: column {title!r} is not one of {wanted}")
        unit = rest[:-1]
        if unit not in UNITS or UNITS[unit][0] != NUMBERS[name][0]:
            fitting = ", ".join(u for u, (kind, _, _) in UNITS.items() if kind == NUMBERS[name][0])
            raise DataError(f"{where}: unit {unit!r} of {name} does not fit; use {fitting}")
        found[name] = (i, *UNITS[unit][1:])
    missing = {*NUMBERS, *WORDS} - {title.partition(" [")[0] for title in header}
    if missing:
        raise DataError(f"{where}: no column {', '.join(sorted(missing))}")
    return found


def _row(
    cells: list[str], header: list[str], columns: dict[str, tuple[int, float, float]], where: str
) -> Measurement:
    if len(cells) != len(header):
        raise DataError(f"{where}: {len(cells)} cells under {len(header)} columns")
    numbers = {}
    for name, (i, factor, offset) in columns.items():
        text = cells[i].strip()
        try:
            value = float(text) * factor + offset if text else math.nan
        except ValueError:
            raise DataError(f"{where}: {name} is {text!r}, not a number") from None
        _, low, high = NUMBERS[name]
        if text and not low <= value <= high:
            raise DataError(f"{where}: {name} is {text}, outside {low:g} to {high:g} in SI")
        numbers[name] = value
    words = {title: cells[i].strip() for i, title in enumerate(header) if title in WORDS}
    for name, allowed in (("measured", Measured), ("outcome", Outcome), ("how", How)):
        if words[name] not in get_args(allowed):
            raise DataError(
                f"{where}: {name} is {words[name]!r}; it is one of {', '.join(get_args(allowed))}"
            )
    if words["source"] not in data.table("sources.toml"):
        raise DataError(f"{where}: source {words['source']!r} is not in sources.toml")
    if numbers["low"] > numbers["high"] or math.isnan(numbers["low"]) != math.isnan(
        numbers["high"]
    ):
        raise DataError(f"{where}: give low and high both, low not above high, or neither")
    if math.isnan(numbers["low"]) and not words["outcome"]:
        raise DataError(f"{where}: gives neither a range nor an outcome")
    si = {"temperature": "temperature_K", "pressure": "pressure_Pa"}
    return data.converted(
        {**words, **{si.get(name, name): value for name, value in numbers.items()}}, Measurement
    )


def read(text: str, name: str) -> tuple[Measurement, ...]:
    """Return the rows of one table, or raise DataError naming file, line and what is wrong."""
    lines = list(csv.reader(text.splitlines()))
    if len(lines) < 2:
        raise DataError(f"{name}: holds no measurement")
    columns = _columns(lines[0], name)
    return tuple(
        _row(cells, lines[0], columns, f"{name}, line {i}")
        for i, cells in enumerate(lines[1:], start=2)
    )


@functools.cache
def measurements(table: str = "") -> tuple[Measurement, ...]:
    """Return the measurements of one shipped table ('humidity'), or of all of them."""
    folder = data.root() / "experiments"
    files = {path.name: path for path in folder.iterdir() if path.name.endswith(".csv")}
    if table and f"{table}.csv" not in files:
        raise DataError(f"no table {table!r}; there are {', '.join(sorted(files))}")
    wanted = [f"{table}.csv"] if table else sorted(files)
    found: list[Measurement] = []
    for file in wanted:
        found += read(files[file].read_text(encoding="utf-8"), f"experiments/{file}")
    return tuple(found)


class Taken(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The conditions of a process as they were taken; the file says what each field is."""

    resin: str
    temperature: Annotated[Number, Plausible("K", 250.0, 700.0)]
    pressure: Annotated[Number, Plausible("Pa", 0.0, 1e8)]
    bag: Annotated[Number, Plausible("Pa", 0.0, 1.1e5)]
    share: Annotated[Number, Plausible("", 0.0, 1.0)]
    humidity: Annotated[Number, Plausible("", 0.0, 1.0)]
    entrained: Annotated[Number, Plausible("", 0.0, 0.5)]
    fibre_fraction: Annotated[Number, Plausible("", 0.0, 0.9)]
    duration: Annotated[Number, Plausible("s", 1.0, 1e6)]
    path_open: bool
    air: Annotated[Number | None, Plausible("Pa", 0.0, 1.1e5)] = None
    fill: Annotated[Number | None, Plausible("Pa", 0.0, 1.1e5)] = None
    front: bool = False
    sets: str = ""


class Workshop(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What was taken alike for all of them."""

    temperature: Annotated[Number, Plausible("K", 250.0, 320.0)]
    barometer: Annotated[Number, Plausible("Pa", 5e4, 1.1e5)]
    humidity: Annotated[Number, Plausible("", 0.0, 1.0)]
    fill_time: Annotated[Number, Plausible("s", 1.0, 1e5)]
    pot_time: Annotated[Number, Plausible("s", 1.0, 1e5)]
    pot_pressure: Annotated[Number, Plausible("Pa", 0.0, 1.1e5)]


def _checked(kind: Any, raw: Any, where: str) -> Any:
    try:
        record = data.converted(raw, kind)
    except msgspec.ValidationError as error:
        raise DataError(f"{TAKEN_FILE}: {where}: {error}") from None
    check_fields(record, f"{TAKEN_FILE}: {where}")
    return record


@data.kept
def workshop() -> Workshop:
    """Return what was taken alike for all measurements."""
    record: Workshop = _checked(Workshop, data.table(TAKEN_FILE)["shop"], "shop")
    return record


def taken(row: Measurement) -> Taken:
    """Return what was taken for a measurement: its process, and its study where that differs."""
    raw = data.table(TAKEN_FILE)
    if row.process not in raw["process"]:
        raise DataError(
            f"{TAKEN_FILE}: no process {row.process!r}; there are {', '.join(raw['process'])}"
        )
    own = raw["study"].get(row.study, {})
    record: Taken = _checked(Taken, {**raw["process"][row.process], **own}, row.study)
    return record


def sets(row: Measurement) -> str:
    """Return the constant of the gas balance that a study was used to set, '' where none."""
    return str(data.table(TAKEN_FILE)["study"].get(row.study, {}).get("sets", ""))
