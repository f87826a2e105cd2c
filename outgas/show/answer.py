"""What every answer can do: be a dict, JSON, words on a dial, and a page in a notebook."""

import dataclasses
import json
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from operator import attrgetter
from typing import Any, ClassVar

import numpy as np

from outgas.errors import InputError, UnknownNameError
from outgas.show.chart import Chart, Charts, Maker
from outgas.show.dial import read_dial
from outgas.show.report import NARROW, PARTS, Line, Part, Report, as_caution

SYSTEMS = ("metric", "us")


class Answer(ABC):
    """An answer that shows itself; a subclass gives to_dict() and a report of numbers and lines.

    Two of one kind are equal where all that they hold is; a subclass of many fields names the few
    that its repr shows.
    """

    __slots__ = ()
    _shown: ClassVar[tuple[str, ...]] = ()

    @abstractmethod
    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""

    @property
    @abstractmethod
    def report(self) -> Report:
        """The answer told: lines with places for pressures."""

    @property
    def exit_code(self) -> int:
        """With what the command line ends: 0, or 1 for what should not be done as it was asked.

        2 is bad input, which raises here; 70 is a fault of outgas itself.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> deep = outgas.advise("orthophthalic-polyester", shop, bag_pressure="29 inHg vacuum")
        >>> deep.safe, deep.exit_code, outgas.diagnose("orthophthalic-polyester", shop).exit_code
        (False, 1, 0)
        """
        return 0 if self._well else 1

    @property
    def _well(self) -> bool:
        """Whether it may be done as it was asked; an answer that judges nothing is well."""
        return bool(getattr(self, "safe", True))

    def to_json(self) -> str:
        """Return to_dict() as JSON text.

        Examples
        --------
        >>> import outgas
        >>> valve = outgas.relief_valve("653 mbar", "20 mm", "1013 mbar")
        >>> json.loads(valve.to_json()) == valve.to_dict()
        True
        """
        return json.dumps(self.to_dict(), indent=2, ensure_ascii=False)

    def to_text(
        self,
        dial: str | None = None,
        *,
        full: bool = False,
        part: Part | None = None,
        units: str = "metric",
        width: int = NARROW,
    ) -> str:
        """Return the answer in words: in a few lines, in full, or one part of it.

        dial: inHg, mmHg, bar, kPa, psi, percent, mbar or torr; every bag pressure follows one that
        is chosen. Without one the first lines are in inHg and the rest in mbar. part: 'why', 'do'
        or 'cautions', as the full text has it. units: 'metric' or 'us', of all that is no
        pressure. width: columns of the short form.

        UnknownNameError for a dial, a part or units that there are not.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> advice = outgas.advise("orthophthalic-polyester", shop)
        >>> "inHg" in advice.to_text("inHg"), "inHg" in advice.to_text("mbar")
        (True, False)
        >>> len(advice.to_text().splitlines()) <= 14 < len(advice.to_text(full=True).splitlines())
        True
        >>> "degF" in advice.to_text(part="why", units="us")
        True
        """
        on, us = None if dial is None else read_dial(dial), read_units(units) == "us"
        if part is not None:
            if part not in PARTS:
                raise UnknownNameError("part", str(part), PARTS)
            return self.report.text(on, us, (part,))
        return self.report.text(on, us) if full else self.report.brief(on, us, width)

    @property
    def makers(self) -> Mapping[str, Maker]:
        """The charts that it has, each by what makes it, the one to look at first in front."""
        return {}

    def charts(self, dial: str | None = None) -> Charts:
        """Return its charts by name, each made when it is asked for.

        dial: which one stands beside mbar; inHg if not given. In a notebook a chart shows itself;
        chart.save("name.svg") writes it, chart.to_dict() is its data.

        UnknownNameError for a dial, or of the charts for a name, that there is not.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> advice = outgas.advise("orthophthalic-polyester", shop)
        >>> list(advice.charts())
        ['window', 'temperature', 'humidity', 'altitude', 'voids']
        >>> chart = advice.charts("bar")["humidity"]
        >>> chart.x.label, chart.y.beside.title, chart.curve("hold").x[:2]
        ('relative humidity, %', 'bar gauge', (10.0, 20.0))
        """
        return Charts(self.makers, dial)

    @property
    def chart(self) -> Chart | None:
        """The chart to look at first; None for an answer that has none."""
        found = self.charts()
        return found[next(iter(found))] if found else None

    def plot(
        self,
        ax: Any = None,
        *,
        name: str | None = None,
        dial: str | None = None,
        dark: bool = False,
    ) -> Any:
        """Draw one of its charts with matplotlib and return the Axes.

        ax: where to, a new figure if not given; name: which of charts(), the first if not given.
        dark: on a dark ground.

        InputError without matplotlib, or for an answer without charts; UnknownNameError for a name.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> from matplotlib.figure import Figure
        >>> axes = outgas.advise("orthophthalic-polyester", shop).plot(Figure().add_subplot())
        >>> axes.get_ylabel()
        'bag, mbar absolute'
        """
        found = self.charts(dial)
        if not found:
            raise InputError(f"{type(self).__name__} has no chart")
        return found[next(iter(found)) if name is None else name].plot(ax, dark=dark)

    def __eq__(self, other: object) -> bool:
        if self is other:
            return True
        if type(other) is not type(self):
            return NotImplemented
        names = [f.name for f in dataclasses.fields(self) if f.compare]  # type: ignore[arg-type]
        return all(_same(getattr(self, name), getattr(other, name)) for name in names)

    def __hash__(self) -> int:
        return hash((type(self), repr(self)))

    def __repr__(self) -> str:
        parts = [f"{name}={_brief(attrgetter(name)(self))}" for name in self._shown]
        return f"{type(self).__name__}({', '.join(parts)})"

    def __str__(self) -> str:
        return self.to_text()

    def _repr_html_(self) -> str:
        chart = self.chart
        drawn = None if chart is None else chart._repr_svg_()
        return self.report.html() + (drawn or "")


class ToldAnswer(Answer):
    """An answer that holds the lines that are told of it, and what tells and draws it."""

    __slots__ = ()
    assumed: tuple[Line, ...]
    cautioned: tuple[Line, ...]
    words: Callable[[Any], Report]
    pictures: Callable[[Any], Mapping[str, Maker]]

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What was taken for granted, each with its number."""
        return tuple(str(line) for line in self.assumed)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can hurt, and what needs reading first."""
        return tuple(map(as_caution, self.cautioned))

    @property
    def report(self) -> Report:
        """The answer told: what was asked first, then what it rests on."""
        return self.words(self)

    @property
    def makers(self) -> Mapping[str, Maker]:
        """Its charts, each by what makes it."""
        return self.pictures(self)


def read_units(name: str) -> str:
    """Return a system of units, whatever its case."""
    found = str(name).strip().lower()
    if found not in SYSTEMS:
        raise UnknownNameError("units", str(name), SYSTEMS)
    return found


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other)
    return bool(one == other)


def _brief(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, float) else repr(value)
