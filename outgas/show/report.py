"""An answer as lines: text with places for pressures, put on a dial only when it is printed.

>>> line = Line("Cure at {}: never deeper than {}.", (At(65300.0), At(62800.0, brief=True)))
>>> line.on(101085.0, "inHg")
'Cure at 10.5 inHg vacuum (653 mbar absolute): never deeper than 11.3 inHg (628 mbar).'
>>> at = At(45810.0, plain=True)
>>> at.on(101085.0, None), at.on(101085.0, "bar")
('459 mbar', '-0.550 bar gauge (459 mbar absolute)')
>>> At(45810.0, plain=True, nearest=True, unit="").on(101085.0, None)
'458'
"""

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from html import escape
from typing import TypeAlias

from outgas.show.amounts import mbar, mbar_down, mbar_up
from outgas.show.dial import DEFAULT_DIAL, both, on_dial

WIDTH = 92


@dataclass(frozen=True, slots=True)
class At:
    """A bag pressure [Pa] in a line, rounded towards less vacuum, or with weaker=False to more.

    brief leaves out 'vacuum' and 'absolute' where the line has said them. plain prints mbar alone
    until a dial is chosen, to the nearest where it only explains, with unit after the number.
    believed gives the mbar to the nearest that is known: where a bag is, not where to hold it.
    off_dial is for a pressure in the resin or a difference of pressures: in mbar on every dial.
    """

    pressure_Pa: float
    weaker: bool = True
    brief: bool = False
    plain: bool = False
    believed: bool = False
    nearest: bool = False
    unit: str = "mbar"
    off_dial: bool = False

    def in_mbar(self) -> str:
        """Return it in absolute mbar, rounded to the safe side or to the nearest."""
        value = mbar(self.pressure_Pa) if self.nearest else self._safe()
        return f"{value} {self.unit}" if self.unit else value

    def _safe(self) -> str:
        return str(mbar_up(self.pressure_Pa) if self.weaker else mbar_down(self.pressure_Pa))

    def on(self, barometer: float, dial: str | None) -> str:
        """Return it on a dial; None where none was chosen."""
        p, shown = self.pressure_Pa, dial or DEFAULT_DIAL
        if self.off_dial or (self.plain and (dial is None or p > barometer)):
            return self.in_mbar()
        if p > barometer:
            return f"{self._safe()} mbar absolute"
        if self.believed:
            absolute = f"{mbar(p, fine=True)} mbar absolute"
            if shown == "mbar":
                return absolute
            return f"{on_dial(p, barometer, shown, weaker=self.weaker)} ({absolute})"
        return both(p, barometer, shown, weaker=self.weaker, brief=self.brief)


def bound(
    pressure: float, *, weaker: bool = True, off_dial: bool = False, unit: str = "mbar"
) -> At:
    """Return a limit [Pa] that someone acts on, never printed on its unsafe side.

    weaker: it is not to be passed towards more vacuum; else (a weakest clamp, what a core bears)
    not towards less. off_dial: in the resin or of a press, on no dial.
    """
    return At(pressure, weaker=weaker, plain=True, off_dial=off_dial, unit=unit)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an answer: text with a {} where each of its pressures goes."""

    text: str
    pressures: tuple[At, ...] = ()

    def on(self, barometer: float, dial: str | None) -> str:
        """Return the line with its pressures on a dial; None where none was chosen."""
        if not self.pressures:
            return self.text
        return self.text.format(*(at.on(barometer, dial) for at in self.pressures))

    def __str__(self) -> str:
        """Return the line with its pressures in absolute mbar."""
        if not self.pressures:
            return self.text
        return self.text.format(*(at.in_mbar() for at in self.pressures))


Lines: TypeAlias = Iterable[Line | str]


def lines(given: Lines) -> tuple[Line, ...]:
    """Return lines; plain text is a line without pressures."""
    return tuple(x if isinstance(x, Line) else Line(x) for x in given)


def joined(parts: Lines, between: str = "") -> Line:
    """Return one line made of several."""
    made = lines(parts)
    text = between.join(x.text if x.pressures else _literal(x.text) for x in made)
    pressures = tuple(at for x in made for at in x.pressures)
    return Line(text if pressures else between.join(x.text for x in made), pressures)


def _literal(text: str) -> str:
    """Return text that stands as it is beside places for pressures."""
    return text.replace("{", "{{").replace("}", "}}")


@dataclass(frozen=True, slots=True)
class Block:
    """Lines under a title; bare ones stand without a bullet, as they are."""

    title: str
    lines: tuple[Line, ...]
    bare: bool = False

    def text(self, barometer: float, dial: str | None) -> str:
        """Return the block as plain text, wrapped with a hanging indent; nothing for no lines."""
        shown = [line.on(barometer, dial) for line in self.lines]
        if self.bare:
            return "\n".join([self.title, *shown] if self.title else shown)
        return block(self.title, shown)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads, for a page; a cell of several lines is a list."""

    heads: tuple[str, ...]
    rows: tuple[tuple[tuple[Line, ...], ...], ...]

    def html(self, barometer: float, dial: str | None) -> str:
        """Return the table as HTML that needs no style sheet."""

        def cell(held: tuple[Line, ...]) -> str:
            if len(held) == 1:
                return escape(held[0].on(barometer, dial))
            return _items(line.on(barometer, dial) for line in held)

        heads = "".join(f"<th>{escape(head)}</th>" for head in self.heads)
        rows = "".join(
            "<tr>" + "".join(f"<td>{cell(held)}</td>" for held in row) + "</tr>"
            for row in self.rows
        )
        return f"<table><tr>{heads}</tr>{rows}</table>"


def block(title: str, shown: Iterable[str]) -> str:
    """Return a titled list, wrapped with a hanging indent; nothing for no lines."""
    wrapped = [
        textwrap.fill(line, WIDTH, initial_indent="  - ", subsequent_indent="    ")
        for line in shown
    ]
    return "\n".join([title, *wrapped]) if wrapped else ""


def _items(shown: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in shown) + "</ul>"


@dataclass(frozen=True, slots=True)
class Report:
    """An answer told: its first lines, then blocks; page is what a notebook shows of it instead.

    A page that is not given is the blocks; fixed sets the whole text in one width, as it stands.
    barometer_Pa is what makes dial readings of pressures; apart is what stands between the blocks.
    """

    barometer_Pa: float
    answer: tuple[Line, ...]
    blocks: tuple[Block, ...] = ()
    page: tuple[Table | Block, ...] = field(default=())
    fixed: bool = False
    apart: str = "\n\n"

    def text(self, dial: str | None = None) -> str:
        """Return it as plain text; the first lines are the answer."""
        first = "\n".join(line.on(self.barometer_Pa, dial) for line in self.answer)
        rest = (block.text(self.barometer_Pa, dial) for block in self.blocks)
        return self.apart.join(part for part in (first, *rest) if part)

    def html(self, dial: str | None = None) -> str:
        """Return it as HTML that needs no style sheet, the first line bold."""
        if self.fixed:
            return f"<pre>{escape(self.text(dial))}</pre>"
        first, *more = (line.on(self.barometer_Pa, dial) for line in self.answer)
        said = "".join(f"<p>{escape(line)}</p>" for line in more)
        parts = "".join(
            _on_page(part, self.barometer_Pa, dial) for part in self.page or self.blocks
        )
        return f"<div><p><b>{escape(first)}</b></p>{said}{parts}</div>"

    def every_line(self) -> Iterator[Line]:
        """Yield every line of the text, in order."""
        yield from self.answer
        for block in self.blocks:
            yield from block.lines


def _on_page(part: Table | Block, barometer: float, dial: str | None) -> str:
    if isinstance(part, Table):
        return part.html(barometer, dial)
    shown = [line.on(barometer, dial) for line in part.lines]
    title = f"<p>{escape(part.title)}</p>" if part.title else ""
    if not shown:
        return ""
    if part.bare:
        return title + "".join(f"<p>{escape(line)}</p>" for line in shown)
    return title + _items(shown)
