"""A table for the wall: where to debulk, to cure, and where it boils, by the warmth of the shop."""

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.job.saved import Job as SavedJob
from outgas.job.shop import Shop
from outgas.laminate.case import hottest_vapour
from outgas.many.cases import BAG, Reader, asked_of, cases_of
from outgas.many.exact import Answered, answered
from outgas.show.answer import Answer
from outgas.show.dial import DEFAULT_DIAL, on_dial, read_dial
from outgas.show.report import NARROW, Block, Line, Part, Report, lines
from outgas.window.case.defaults import case_of
from outgas.window.cautions import cautions

if TYPE_CHECKING:
    from outgas.tables.materials import Resin

VERSION = 1
WARMTHS_C = (15.0, 18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 30.0, 32.0, 35.0)
HUMIDITIES = (0.3, 0.5, 0.7)
NONE = "none"
COLUMNS = ("debulk", "cure", "boils")
MOST_CAUTIONS = 3
READ_ON = (
    "For this resin and layup alone, in this air: read on to the next warmer row and the next "
    "wetter column, never between. The resin's own sheet and local rules go before it."
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One shop of the chart: pressures [Pa], None where there is no safe window, or why not.

    boils_Pa: where it may boil at its warmest, by the upper ends of its vapours.
    """

    celsius: float
    humidity: float
    debulk_Pa: float | None
    setpoint_Pa: float | None
    deepest_Pa: float | None
    boils_Pa: float | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class WallChart(Answer):
    """Debulk, cure and boiling for one resin by warmth and humidity, at one air pressure.

    Examples
    --------
    >>> import outgas
    >>> chart = outgas.wall_chart("orthophthalic-polyester", altitude="0 m")
    >>> len(chart.cells), chart.cells[0].celsius
    (30, 15.0)
    """

    _shown = ("resin", "process", "barometer_Pa")

    resin: str
    resin_title: str
    process: str
    barometer_Pa: float
    cells: tuple[Cell, ...]
    cautions: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas wall chart",
            "version": VERSION,
            "resin": self.resin,
            "process": self.process,
            "barometer_Pa": self.barometer_Pa,
            "cells": [
                {
                    "temperature_K": round(cell.celsius + ZERO_CELSIUS_K, 6),
                    "humidity": cell.humidity,
                    "debulk_Pa": cell.debulk_Pa,
                    "setpoint_Pa": cell.setpoint_Pa,
                    "deepest_Pa": cell.deepest_Pa,
                    "boils_Pa": cell.boils_Pa,
                    "why": cell.why,
                }
                for cell in self.cells
            ],
            "cautions": list(self.cautions),
        }

    @property
    def humidities(self) -> tuple[float, ...]:
        """The humidities that it has columns for."""
        return tuple(dict.fromkeys(cell.humidity for cell in self.cells))

    @property
    def warmths(self) -> tuple[float, ...]:
        """The temperatures that it has rows for [degC]."""
        return tuple(dict.fromkeys(cell.celsius for cell in self.cells))

    def table(self, dial: str | None = None) -> list[list[str]]:
        """Return it as rows of words on a dial, the first of them the heads of the columns."""
        shown = read_dial(dial or DEFAULT_DIAL)
        head = ["shop"]
        for humidity in self.humidities:
            head += [f"{what}, {humidity:.0%}" for what in COLUMNS]
        found = [head]
        by = {(cell.celsius, cell.humidity): cell for cell in self.cells}
        for celsius in self.warmths:
            row = [f"{celsius:g} degC"]
            for humidity in self.humidities:
                cell = by[celsius, humidity]
                pressures = (cell.debulk_Pa, cell.setpoint_Pa, cell.boils_Pa)
                row += [self._on(p, shown) for p in pressures]
            found.append(row)
        return found

    def _on(self, pressure: float | None, dial: str) -> str:
        if pressure is None:
            return NONE
        if pressure > self.barometer_Pa:
            return NONE
        return on_dial(pressure, self.barometer_Pa, dial).rsplit(" ", 1)[0].split(" ")[0]

    def to_csv(self, dial: str | None = None) -> str:
        """Return the table as CSV, on a dial."""
        import csv
        import io

        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(self.table(dial))
        return out.getvalue()

    def to_text(
        self,
        dial: str | None = None,
        *,
        full: bool = True,
        part: Part | None = None,
        units: str = "metric",
        width: int = NARROW,
    ) -> str:
        """Return the chart in words, all of it, on a dial; UnknownNameError for one there is not.

        full, part, units and width are those of other answers: a chart has one form.
        """
        del full, part, units, width
        return self._report(dial).text()

    @property
    def report(self) -> Report:
        """The chart told, on the usual dial."""
        return self._report(None)

    def to_html(self, dial: str | None = None) -> str:
        """Return the chart as one page of HTML to print, with nothing else to fetch."""
        rows = self.table(dial)
        head = "".join(f"<th>{escape(text)}</th>" for text in rows[0])
        body = "".join(
            "<tr>" + "".join(f"<td>{escape(text)}</td>" for text in row) + "</tr>"
            for row in rows[1:]
        )
        notes = "".join(f"<p>{escape(text)}</p>" for text in (READ_ON, *self.cautions))
        return _PAGE.format(title=escape(self._title(dial)), head=head, body=body, notes=notes)

    def _title(self, dial: str | None) -> str:
        shown = read_dial(dial or DEFAULT_DIAL)
        unit = on_dial(0.0, self.barometer_Pa, shown).split(" ", 1)[1]
        return (
            f"{self.resin_title}, {self.process}: {unit}, barometer "
            f"{self.barometer_Pa / 100.0:.0f} mbar"
        )

    def _report(self, dial: str | None) -> Report:
        rows = self.table(dial)
        widths = [max(len(row[i]) for row in rows[1:]) for i in range(len(rows[0]))]
        widths = [max(width, 7) for width in widths]
        groups = "  ".join(
            f"{f'{humidity:.0%} humidity':^{sum(widths[1 + 3 * i : 4 + 3 * i]) + 2}}"
            for i, humidity in enumerate(self.humidities)
        )
        heads = ["", *COLUMNS * len(self.humidities)]
        table = [f"{'':{widths[0]}}  {groups}".rstrip()]
        for row in (heads, *rows[1:]):
            cells = [f"{text:>{width}}" for text, width in zip(row[1:], widths[1:], strict=True)]
            parts = [" ".join(cells[i : i + 3]) for i in range(0, len(cells), 3)]
            table.append("  ".join([f"{row[0]:{widths[0]}}", *parts]))
        said = "Debulk, then come up and cure, no deeper than this; past 'boils' it may boil."
        title = Line(f"{self._title(dial)}. {said}")
        blocks = (
            Block("", lines(tuple(table)), bare=True),
            Block("Mind", lines((READ_ON, *self.cautions))),
        )
        return Report(self.barometer_Pa, (title,), blocks)


_PAGE = """<!doctype html>
<html lang="en"><meta charset="utf-8"><title>{title}</title>
<style>
body {{ font: 11pt sans-serif; margin: 1.5em; }}
table {{ border-collapse: collapse; }}
th, td {{ border: 1px solid #444; padding: .3em .6em; text-align: right; }}
th:first-child, td:first-child {{ font-weight: bold; text-align: left; }}
tr:nth-child(even) {{ background: #eee; }}
</style>
<h1>{title}</h1>
<table><tr>{head}</tr>{body}</table>
{notes}
</html>
"""


def wall_chart(
    resin: "str | Resin | SavedJob",
    shop: Shop | None = None,
    *,
    temperatures: Any = None,
    humidities: Any = None,
    **told: Any,
) -> WallChart:
    """Return where to debulk, to cure and where it boils, for the shops of a year.

    Parameters
    ----------
    resin, shop, **told
        As of advise; a shop's own temperature and humidity are left out.
    temperatures
        A list, as ['18 degC', '24 degC']; 15 to 35 degC if not given.
    humidities
        A list, as ['40 %', '70 %']; 30, 50 and 70 % if not given.

    Returns
    -------
    A WallChart: pressures [Pa]; words on a dial, CSV and HTML.

    Raises
    ------
    InputError, OutOfRangeError
        As of advise, for what can be used in no cell; what is refused in one is told in it.

    Notes
    -----
    Each cell is that of advise, by its equations and sources; 'boils' is where the upper ends of
    the vapours reach the pressure, sum a_i p_sat,i(T) = p, at the warmest moment (Flory 1953).

    Examples
    --------
    >>> import outgas
    >>> chart = wall_chart("orthophthalic-polyester", altitude="0 m", temperatures=["20 degC"])
    >>> [cell.setpoint_Pa > cell.deepest_Pa for cell in chart.cells]
    [True, True, True]
    """
    asked = asked_of(resin, shop, {k: v for k, v in told.items() if k != BAG})
    asked["temperature"] = list(temperatures or [f"{t:g} degC" for t in WARMTHS_C])
    asked["humidity"] = list(humidities or HUMIDITIES)
    cases = cases_of(asked)
    if [axis.name for axis in cases.axes] != ["temperature", "humidity"]:
        extra = [a.name for a in cases.axes if a.name not in ("temperature", "humidity")]
        raise InputError(f"{extra[0]} has several values; a wall chart is of one")
    found = answered(cases, range(cases.size))
    good = [each for each in found if each.window is not None]
    if not good:
        raise InputError(f"no cell of the chart can be answered: {found[0].refused}")
    window = good[0].window
    assert window is not None
    job = window.job
    reader = Reader(cases)
    return WallChart(
        resin=job.resin.name,
        resin_title=job.resin.title,
        process=job.process.name,
        barometer_Pa=job.shop.barometer_Pa,
        cells=tuple(_cell(reader, i, each) for i, each in enumerate(found)),
        cautions=cautions(job, case_of(job))[:MOST_CAUTIONS],
    )


def _cell(reader: Reader, number: int, each: Answered) -> Cell:
    shop = reader.shop(number)
    celsius, humidity = round(shop.temperature_K - ZERO_CELSIUS_K, 6), shop.humidity
    window = each.window
    if window is None:
        return Cell(celsius, humidity, None, None, None, None, str(each.refused))
    boils = hottest_vapour(window.case).high
    if window.setpoint is None:
        return Cell(celsius, humidity, None, None, None, boils, "no safe window")
    return Cell(celsius, humidity, window.debulk, window.setpoint, window.deepest, boils)
