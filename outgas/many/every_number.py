"""Every number of the tables by a name of its own, and how many are of which grade."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, get_args

import msgspec

from outgas.errors import InputError, UnknownNameError
from outgas.tables import data
from outgas.tables.number import How, Number

GRADES: tuple[How, ...] = get_args(How)
# What tells one item of a list from the others; else its place does.
_LABELS = ("volatile", "name")
_SUFFIX = ".toml"
_FIELDS = frozenset(field.name for field in msgspec.structs.fields(Number))

Way = tuple[str | int, ...]  # keys and places from a table down to a number


@dataclass(frozen=True, slots=True)
class Sourced:
    """A number of the tables: its name from the table down, where it stands, its source's title.

    Examples
    --------
    >>> trapped, = named("gas.laminate.trapped")
    >>> trapped.file, trapped.way, trapped.number.how
    ('gas.toml', ('laminate', 'trapped'), 'estimate')
    """

    name: str
    file: str
    way: Way
    number: Number
    title: str

    @property
    def short(self) -> str:
        """Its name without the table's."""
        return self.name.partition(".")[2]

    def told(self, *values: float) -> str:
        """Return its value and others of its unit, which stands apart in brackets.

        So that no system of units takes one of them for another's.
        """
        first, *rest = (f"{value:g}" for value in (self.number.value, *values))
        unit = "" if self.number.unit == "1" else f" [{self.number.unit}]"
        return f"{first} ({' to '.join(rest)}){unit}"

    def to_dict(self) -> dict[str, Any]:
        """Return plain types, in the number's own unit."""
        low, high = self.number.ends
        return {
            "name": self.name,
            "value": self.number.value,
            "unit": self.number.unit,
            "low": low,
            "high": high,
            "how": self.number.how,
            "source": self.number.source,
            "title": self.title,
            "note": self.number.note,
        }


@data.kept
def every_number() -> tuple[Sourced, ...]:
    """Return every number of the tables, table by table.

    A number is whatever says how it was got and has a value: rows of words, curves and built
    tables are none.
    """
    titles = {key: source["title"] for key, source in data.table("sources.toml").items()}
    found: list[Sourced] = []
    files = sorted(file.name for file in data.root().iterdir() if file.name.endswith(_SUFFIX))
    for file in files:
        for labels, way, raw in _numbers(data.table(file), (), ()):
            number = data.converted(raw, Number)
            name = ".".join((file.removesuffix(_SUFFIX), *labels))
            found.append(Sourced(name, file, way, number, titles.get(number.source, "")))
    return tuple(found)


def _numbers(held: Any, labels: tuple[str, ...], way: Way) -> Iterator[tuple[Any, Way, Any]]:
    """Yield labels, way and fields of each number that a table holds."""
    if isinstance(held, Mapping):
        if {"value", "how"} <= held.keys() <= _FIELDS:
            yield labels, way, held
            return
        for key, value in held.items():
            yield from _numbers(value, (*labels, key), (*way, key))
    elif isinstance(held, list):
        for i, item in enumerate(held):
            yield from _numbers(item, (*labels, _label(item, i)), (*way, i))


def _label(item: Any, place: int) -> str:
    words = [item[key] for key in _LABELS if key in item] if isinstance(item, Mapping) else []
    return str(words[0]) if words else str(place + 1)


def named(name: str) -> tuple[Sourced, ...]:
    """Return the numbers that a name means: one, or all of a record, a table, or a field.

    A name is a run of the words between the dots of the whole one: 'gas.laminate.trapped',
    'orthophthalic-polyester', 'gel_time'. Capitals, spaces, hyphens and underscores count alike;
    what begins with a table goes before what lies in one.

    UnknownNameError, with the nearest.
    """
    if not isinstance(name, str):
        raise InputError(f"name is {name!r}; give a number's, as 'gas.laminate.trapped'")
    asked = f".{_plain(name)}."
    found = tuple(n for n in every_number() if asked in f".{_plain(n.name)}.")
    if not found or not asked.strip("."):
        raise _unknown(name)
    whole = [n for n in found if _plain(n.name) == asked.strip(".")]
    from_top = [n for n in found if f".{_plain(n.name)}.".startswith(asked)]
    return tuple(whole or from_top or found)


def _plain(name: str) -> str:
    return re.sub(r"[-_\s]+", "-", name.strip().lower())


def _unknown(name: str) -> UnknownNameError:
    """Return the error of a name that is none: near it, or the tables that there are."""
    every = every_number()
    tables = {each.name.partition(".")[0] for each in every}
    whole = name.partition(".")[0].lower() in tables
    error = UnknownNameError("number", name, {n.name if whole else n.short for n in every})
    return error if error.nearest else UnknownNameError("number or table", name, tables)


def grades_of(numbers: Iterable[Sourced]) -> dict[str, int]:
    """Return how many numbers are of each grade."""
    counted = Counter(each.number.how for each in numbers)
    return {grade: counted[grade] for grade in GRADES}


def grades_table(numbers: Iterable[Sourced]) -> str:
    """Return the shares of the grades as a table for a document."""
    counted = grades_of(numbers)
    most = max(sum(counted.values()), 1)
    rows = [f"| {grade} | {n} | {n / most:.1%} |" for grade, n in counted.items()]
    head = ("| grade | numbers | share |", "|---|---|---|")
    return "\n".join((*head, *rows, f"| all | {sum(counted.values())} | |"))


def moved_to(number: Sourced, value: float) -> dict[str, dict[str, Any]]:
    """Return a number's table with it known to be at a value, as `putting` takes it.

    Where it is the share of a part of a resin, the other parts keep what they have of the rest.
    """
    top: dict[str, Any] = dict(data.table(number.file))
    at: Any = top
    for step in number.way[:-1]:
        at[step] = at[step].copy()  # a table or a list: its own copy, the rest as it is
        at = at[step]
    last = number.way[-1]
    known = {key: at[last][key] for key in at[last] if key != "u95"}
    at[last] = {**known, "value": value, "low": value, "high": value}
    if number.file == "resins.toml" and number.way[1:2] == ("part",) and last == "fraction":
        _share_out(top[str(number.way[0])]["part"], int(number.way[2]), number.number.value, value)
    return {number.file: top}


def _share_out(parts: list[dict[str, Any]], moved: int, before: float, after: float) -> None:
    """Give the other parts of a resin what one leaves, in the proportion that they had."""
    if before >= 1.0:
        return
    for i, part in enumerate(parts):
        if i == moved:
            continue
        share = part["fraction"]
        value = share["value"] * (1.0 - after) / (1.0 - before)
        low, high = Number(**share).ends
        ends = {"low": min(low, value), "high": max(high, value)}
        kept = {key: share[key] for key in share if key != "u95"}
        parts[i] = {**part, "fraction": {**kept, "value": value, **ends}}
