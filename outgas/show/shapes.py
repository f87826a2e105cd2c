"""What a chart is made of: areas, curves and marks on two scales, in the units they are read in.

Nothing here draws; what a role looks like is for draw.py to say, so that a chart can be tested,
stored and drawn by anything.

>>> scale = Scale("bag", "mbar absolute", 0.0, 1000.0, beside=dial_beside(100000.0, "inHg"))
>>> scale.beside.title, scale.beside.ticks[0]
('inHg vacuum', (1000.0, '0'))
"""

import math
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias, TypeVar

from outgas import readings
from outgas.show.dial import DIALS

VERSION = 1  # of to_dict(); raised whenever a key changes its meaning

# What an area says: never here, early only, here, too weak, both too deep and too weak; a 95 %
# range; a time that is not known better; a bar, and a bar that stands back.
AreaRole: TypeAlias = Literal[
    "danger", "early", "safe", "weak", "neither", "range", "doubt", "bar", "pale bar"
]
# What a line says: the answer, what it must not pass, where to hold, and others apart from it.
LineRole: TypeAlias = Literal["main", "limit", "set", "second", "third", "fourth", "guide"]
Ticks: TypeAlias = tuple[tuple[float, str], ...]

CLOSEST = 0.09  # of a scale's length, between two figures of a dial beside it
# The steps that a dial is lettered in, coarse before fine, by the size of its full scale.
LETTERED = (0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001)


@dataclass(frozen=True, slots=True)
class Beside:
    """A second lettering of a scale: what it counts, and its figures at places of the first."""

    title: str
    ticks: Ticks


@dataclass(frozen=True, slots=True)
class Scale:
    """What an axis counts and in which unit, from where to where; ticks only where they are words.

    beside is the same in another unit, on the opposite side of the chart.
    """

    title: str
    unit: str
    low: float
    high: float
    log: bool = False
    ticks: Ticks = ()
    beside: Beside | None = None

    @property
    def label(self) -> str:
        """Its title with its unit."""
        return f"{self.title}, {self.unit}" if self.unit else self.title

    @property
    def rows(self) -> bool:
        """Whether it letters rows, one word each, and counts nothing."""
        return bool(self.ticks) and not self.unit

    def share(self, value: float) -> float:
        """Return how far along the scale a value lies: 0 at its low end, 1 at its high end."""
        if self.log:
            return math.log(value / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Area:
    """What lies between two edges over x."""

    role: AreaRole
    label: str
    x: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A line; right: on the second scale, stepped: it holds its value until the next x."""

    role: LineRole
    label: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    right: bool = False
    stepped: bool = False
    dots: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A point, or with one of x and y left out a line across the chart there; label beside it."""

    role: LineRole
    label: str
    x: float | None = None
    y: float | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """Words to the right of a place; tied: with a line to it, moved clear of others if need be."""

    text: str
    x: float
    y: float
    tied: bool = False
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shapes:
    """What is on one picture of an answer, in order from back to front, and its scales.

    right is a second scale for what is not of y's kind. caption is what it rests on, and what to
    beware of. shape is a hint to who draws it.
    """

    name: str
    title: str
    x: Scale
    y: Scale
    areas: tuple[Area, ...] = ()
    curves: tuple[Curve, ...] = ()
    marks: tuple[Mark, ...] = ()
    notes: tuple[Note, ...] = ()
    right: Scale | None = None
    caption: str = ""
    shape: Literal["wide", "tall", "low"] = "wide"

    def area(self, label: str) -> Area:
        """Return an area by its label; KeyError with the labels there are."""
        return _labelled(self.areas, label)

    def curve(self, label: str) -> Curve:
        """Return a curve by its label; KeyError with the labels there are."""
        return _labelled(self.curves, label)

    def mark(self, label: str) -> Mark:
        """Return a mark by its label; KeyError with the labels there are."""
        return _labelled(self.marks, label)

    def to_dict(self) -> dict[str, Any]:
        """Return plain types, with a version; numbers are in the unit that their scale names."""
        return {
            "kind": "outgas chart",
            "version": VERSION,
            "name": self.name,
            "title": self.title,
            "x": _plain(self.x),
            "y": _plain(self.y),
            "right": None if self.right is None else _plain(self.right),
            "areas": [_plain(a) for a in self.areas],
            "curves": [_plain(c) for c in self.curves],
            "marks": [_plain(m) for m in self.marks],
            "notes": [_plain(n) for n in self.notes],
            "caption": self.caption,
        }


Labelled = TypeVar("Labelled", Area, Curve, Mark)


def _labelled(found: tuple[Labelled, ...], label: str) -> Labelled:
    for one in found:
        if one.label == label:
            return one
    raise KeyError(f"no {label!r}; there are {', '.join(one.label for one in found)}")


def _plain(part: Any) -> dict[str, Any]:
    """Return a part's fields as plain types; no number stands for what is not finite."""
    return {name: _value(getattr(part, name)) for name in part.__slots__}


def _value(value: Any) -> Any:
    if isinstance(value, Beside):
        return _plain(value)
    if isinstance(value, tuple):
        return [_value(x) for x in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value


def dial_beside(
    barometer_Pa: float, dial: str, low: float = 0.0, high: float = 0.0, *, log: bool = False
) -> Beside | None:
    """Return a dial's lettering beside a scale in mbar absolute, from low to high [mbar].

    high: the barometer if not given. Round figures of the dial, coarse before fine, none closer
    than is readable. None beside mbar itself, which needs no second one.
    """
    if dial == "mbar":
        return None
    key, _, words, _ = DIALS[dial]
    here = barometer_Pa / 100.0
    high = high or here
    scale = Scale("", "", max(low, 1e-9) if log else low, high, log=log)
    full = readings.dial_readings(0.0, barometer_Pa)[key]
    none = readings.dial_readings(barometer_Pa, barometer_Pa)[key]
    chosen: dict[float, float] = {}
    for part in LETTERED:
        step = _round_step(abs(full - none) * part)
        for i in range(math.floor(max(abs(full), abs(none)) / step + 1e-9) + 1):
            reading = math.copysign(i * step, full - none if abs(full) > abs(none) else 1.0)
            at = here * (reading - full) / (none - full)
            if not scale.low <= at <= high * (1.0 + 1e-9):
                continue
            share = scale.share(at)
            if all(abs(share - scale.share(p)) >= CLOSEST for p in chosen):
                chosen[at] = reading
    ordered = sorted(chosen.items(), reverse=True)
    return Beside(words, tuple((at, f"{reading + 0.0:.6g}") for at, reading in ordered))


def _round_step(step: float) -> float:
    """Return the round number (1, 2 or 5) nearest under a step.

    >>> _round_step(5.98), _round_step(0.024), _round_step(152.0)
    (5.0, 0.02, 100.0)
    """
    size = 10.0 ** math.floor(math.log10(step))
    return round(max(n for n in (1.0, 2.0, 5.0) if n * size <= step * (1.0 + 1e-9)) * size, 12)


@dataclass(frozen=True, slots=True)
class Rows:
    """Words down the left of a chart, the first at the top; at(i) is where a row lies."""

    names: tuple[str, ...]
    half: float = field(default=0.32)

    def scale(self, title: str = "") -> Scale:
        """Return the scale that letters them."""
        ticks = tuple((self.at(i), name) for i, name in enumerate(self.names))
        return Scale(title, "", -0.6, len(self.names) - 0.4, ticks=ticks)

    def at(self, i: int) -> float:
        """Return where a row lies."""
        return float(len(self.names) - 1 - i)

    def bar(self, role: AreaRole, label: str, i: int, low: float, high: float) -> Area:
        """Return a bar in a row."""
        y = self.at(i)
        edges = (y - self.half,) * 2, (y + self.half,) * 2
        return Area(role, label, (low, high), *edges)
