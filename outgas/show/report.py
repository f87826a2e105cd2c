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
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import ClassVar, Literal, TypeAlias, overload

from outgas.show.amounts import mbar, mbar_down, mbar_up
from outgas.show.caution import Caution, Harm
from outgas.show.dial import DEFAULT_DIAL, both, on_dial
from outgas.show.us import amount, in_us

WIDTH = 92
NARROW = 80  # of a short answer, where no terminal says how wide it is
MOST_LINES = 14  # of a short answer
CAUTIONS_SHOWN = 3
CAUTIONS = "Cautions"  # the title of the block that holds them

Part: TypeAlias = Literal["why", "do", "cautions"]
PARTS: tuple[Part, ...] = ("why", "do", "cautions")


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
class Brief(At):
    """A bag pressure in a short line: its number, with the dial's unit and mbar where wanted.

    named: the unit stands after it. absolute: mbar absolute in brackets, where that is not the
    dial. What is no vacuum is told in mbar, with its name.
    """

    named: bool = True
    absolute: bool = False

    def on(self, barometer: float, dial: str | None) -> str:
        """Return it on a dial; inHg where none was chosen."""
        p, shown = self.pressure_Pa, dial or DEFAULT_DIAL
        if p > barometer:
            return f"{self._safe()} mbar"
        number, _, unit = on_dial(p, barometer, shown, weaker=self.weaker).partition(" ")
        if not self.named:
            return number
        if self.absolute and not unit.endswith("absolute"):  # the brackets say which it is
            unit = unit if unit.startswith("%") else unit.partition(" ")[0]
            return f"{number} {unit} ({self._safe()} mbar)"
        return f"{number} {unit}"


@dataclass(frozen=True, slots=True)
class Amount:
    """What binds and is no pressure: a mass, a hole, a force; printed is its metric number.

    up: in US units it is rounded up; else down. named: its unit stands after it.
    """

    off_dial: ClassVar[bool] = True  # as a place for a pressure that no dial shows
    plain: ClassVar[bool] = True

    value: float
    unit: str
    printed: str
    up: bool
    named: bool = True

    def in_mbar(self) -> str:
        """Return it as it is printed in metric units."""
        return f"{self.printed} {self.unit}" if self.named else self.printed

    def on(self, _: float, __: str | None) -> str:
        """Return it as it is printed in metric units, whatever the dial."""
        return self.in_mbar()

    def in_us(self) -> str:
        """Return it in US units, rounded the way it binds."""
        said = amount(self.value, self.unit, up=self.up)
        return said if self.named else said.partition(" ")[0]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an answer: text with a {} where each of its pressures goes.

    A caution has harm, and brief: the same in one short line.
    """

    text: str
    pressures: tuple[At | Amount, ...] = ()
    harm: Harm | None = field(default=None, compare=False)
    brief: str = field(default="", compare=False)

    def on(self, barometer: float, dial: str | None, us: bool = False) -> str:
        """Return the line with its pressures on a dial; None where none was chosen.

        us: what is no pressure is said in US units.
        """
        text = in_us(self.text) if us else self.text
        if not self.pressures:
            return text
        return text.format(
            *(
                at.in_us() if us and isinstance(at, Amount) else at.on(barometer, dial)
                for at in self.pressures
            )
        )

    def briefly(self) -> "Line":
        """Return the line with its dial readings in short: '27.3 inHg (86 mbar)'."""
        places = tuple(map(_shortened, self.pressures))
        return Line(self.text, places, self.harm, self.brief)

    def __str__(self) -> str:
        """Return the line with its pressures in absolute mbar."""
        if not self.pressures:
            return self.text
        return self.text.format(*(at.in_mbar() for at in self.pressures))


def _shortened(at: At | Amount) -> At | Amount:
    """Return a plain dial reading in short, and what says itself in its own way as it is."""
    if not isinstance(at, At) or type(at) is not At or at.plain or at.off_dial or at.believed:
        return at
    return Brief(at.pressure_Pa, at.weaker, absolute=True)


Lines: TypeAlias = Iterable[Line | str]


def lines(given: Lines) -> tuple[Line, ...]:
    """Return lines; plain text is a line without pressures."""
    return tuple(x if isinstance(x, Line) else _line(x) for x in given)


def _line(text: str) -> Line:
    if isinstance(text, Caution):
        return Line(str(text), (), text.harm, text.brief)
    return Line(text)


def joined(parts: Lines, between: str = "") -> Line:
    """Return one line made of several."""
    made = lines(parts)
    text = between.join(x.text if x.pressures else _literal(x.text) for x in made)
    pressures = tuple(at for x in made for at in x.pressures)
    return Line(text if pressures else between.join(x.text for x in made), pressures)


def as_caution(line: Line) -> str:
    """Return a caution as text, pressures in mbar, with the harm and the brief that it has."""
    return str(line) if line.harm is None else Caution(str(line), line.harm, line.brief)


def sentence(said: Line | str) -> Line:
    """Return a line of a list as a sentence: a capital first, a full stop last."""
    (line,) = lines([said])
    return joined([Line(line.text[:1].upper() + line.text[1:], line.pressures), "."])


def _literal(text: str) -> str:
    """Return text that stands as it is beside places for pressures."""
    return text.replace("{", "{{").replace("}", "}}")


class Later(Sequence[Line]):
    """Lines that cost something to work out, made when they are first looked at."""

    def __init__(self, make: Callable[[], Lines]) -> None:
        self._make = make
        self._made: tuple[Line, ...] | None = None

    def _lines(self) -> tuple[Line, ...]:
        if self._made is None:
            self._made = lines(self._make())
        return self._made

    @overload
    def __getitem__(self, index: int) -> Line: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Line, ...]: ...
    def __getitem__(self, index: int | slice) -> Line | tuple[Line, ...]:
        return self._lines()[index]

    def __len__(self) -> int:
        return len(self._lines())


@dataclass(frozen=True, slots=True)
class Block:
    """Lines under a title; bare ones stand without a bullet, as they are.

    part: what of an answer it belongs to, why it is so or what to do.
    """

    title: str
    lines: Sequence[Line]
    bare: bool = False
    part: Part = "why"

    @property
    def belongs(self) -> Part:
        """The part of the answer that it is printed with."""
        return "cautions" if self.title == CAUTIONS else self.part

    def text(self, barometer: float, dial: str | None, us: bool = False) -> str:
        """Return the block as plain text, wrapped with a hanging indent; nothing for no lines."""
        shown = [line.on(barometer, dial, us) for line in self.lines]
        if self.bare:
            return "\n".join([self.title, *shown] if self.title else shown)
        return block(self.title, shown)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads, for a page; a cell of several lines is a list."""

    heads: tuple[str, ...]
    rows: tuple[tuple[tuple[Line, ...], ...], ...]

    def html(self, barometer: float, dial: str | None, us: bool = False) -> str:
        """Return the table as HTML that needs no style sheet."""

        def cell(held: tuple[Line, ...]) -> str:
            if len(held) == 1:
                return escape(held[0].on(barometer, dial, us))
            return _items(line.on(barometer, dial, us) for line in held)

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
class Short:
    """What a short answer says: lines that always stand, and more while there is room.

    most: how many printed lines it may take, the cautions among them.
    """

    must: tuple[Line, ...]
    more: tuple[Line, ...] = ()
    most: int = MOST_LINES

    @property
    def first(self) -> tuple[Line, ...]:
        """The lines that stand before everything else."""
        return (*self.must, *self.more)


@dataclass(frozen=True, slots=True)
class Report:
    """An answer told: its first lines, then blocks; page is what a notebook shows of it instead.

    A page that is not given is the blocks; fixed sets the whole text in one width, as it stands.
    barometer_Pa is what makes dial readings of pressures; apart is what stands between the blocks.
    short is the answer in a few lines, where it has them; beside is what only a part shows, which
    the full text says in other places.
    """

    barometer_Pa: float
    answer: tuple[Line, ...]
    blocks: tuple[Block, ...] = ()
    page: tuple[Table | Block, ...] = field(default=())
    fixed: bool = False
    apart: str = "\n\n"
    short: Short | None = None
    beside: tuple[Block, ...] = ()

    def text(self, dial: str | None = None, us: bool = False, parts: Sequence[Part] = PARTS) -> str:
        """Return it as plain text; the first lines are the answer, which no part alone has."""
        first, blocks = "", (*self.beside, *self.blocks)
        if len(parts) == len(PARTS):
            first = "\n".join(line.on(self.barometer_Pa, dial, us) for line in self.answer)
            blocks = self.blocks
        rest = (b.text(self.barometer_Pa, dial, us) for b in blocks if b.belongs in parts)
        return self.apart.join(part for part in (first, *rest) if part)

    def brief(self, dial: str | None = None, us: bool = False, width: int = NARROW) -> str:
        """Return it in a few lines: the answer, what there is room for, the worst cautions.

        An answer that has no short form is printed whole.
        """
        short = self.short
        if short is None:
            return self.text(dial, us)
        here = self.barometer_Pa

        def shown(line: Line) -> list[str]:
            text = line.briefly().on(here, dial, us)
            return textwrap.wrap(text, width, subsequent_indent="  ") or [""]

        careful = self._careful(dial, us, width)
        said = [text for line in short.must for text in shown(line)]
        for line in short.more:
            more = shown(line)
            if len(said) + len(more) + len(careful) <= short.most:
                said += more
        return "\n".join([*said, *careful])

    def _careful(self, dial: str | None, us: bool, width: int) -> list[str]:
        """Return the worst cautions, the last line saying how many more there are."""
        found = [x for b in self.blocks if b.belongs == "cautions" for x in b.lines]
        ranked = sorted(found, key=lambda x: Harm.SPOILS if x.harm is None else x.harm)
        here = self.barometer_Pa
        said = [(Line(x.brief) if x.brief else x).on(here, dial, us) for x in ranked]
        first, left = said[:CAUTIONS_SHOWN], len(said) - CAUTIONS_SHOWN
        if left > 0:
            first[-1] += f" ({left} more: --cautions)"
        return [
            text
            for one in first
            for text in textwrap.wrap(f"! {one}", width, subsequent_indent="  ")
        ]

    def html(self, dial: str | None = None, us: bool = False) -> str:
        """Return it as HTML that needs no style sheet: the short answer, the parts folded.

        One without a short form stands whole.
        """
        if self.short is None and self.fixed:
            return f"<pre>{escape(self.text(dial, us))}</pre>"
        first, *more = (x.on(self.barometer_Pa, dial, us) for x in (self.short or self).first)
        said = "".join(f"<p>{escape(line)}</p>" for line in more)
        rest = "".join(
            _on_page(part, self.barometer_Pa, dial, us) for part in self.page or self.blocks
        )
        if self.short is not None:
            rest = self._folded(dial, us)
        return f"<div><p><b>{escape(first)}</b></p>{said}{rest}</div>"

    @property
    def first(self) -> tuple[Line, ...]:
        """The lines that stand before everything else."""
        return self.answer

    def _folded(self, dial: str | None, us: bool) -> str:
        """Return what stands behind the first lines, each part under a summary to open."""
        careful = [x for b in self.blocks if b.belongs == "cautions" for x in b.lines]
        worst = "".join(f"<li>{escape(x)}</li>" for x in self._careful(dial, us, 10_000))
        titles = {"why": "Why", "do": "What to do", "cautions": f"All {len(careful)} cautions"}
        parts = [(titles[part], self._part_html(part, dial, us)) for part in PARTS]
        page = "".join(_on_page(part, self.barometer_Pa, dial, us) for part in self.page)
        return (f"<ul>{worst}</ul>" if worst else "") + "".join(
            f"<details><summary>{escape(title)}</summary>{inside}</details>"
            for title, inside in (("Side by side", page), *parts)
            if inside
        )

    def _part_html(self, part: Part, dial: str | None, us: bool) -> str:
        held = [b for b in self.blocks if b.belongs == part]
        if self.fixed and part != "cautions":
            text = self.apart.join(b.text(self.barometer_Pa, dial, us) for b in held)
            return f"<pre>{escape(text)}</pre>" if text else ""
        return "".join(_on_page(b, self.barometer_Pa, dial, us) for b in held)

    def every_line(self) -> Iterator[Line]:
        """Yield every line of the text, in order."""
        yield from self.answer
        for block in self.blocks:
            yield from block.lines


def _on_page(part: Table | Block, barometer: float, dial: str | None, us: bool) -> str:
    if isinstance(part, Table):
        return part.html(barometer, dial, us)
    shown = [line.on(barometer, dial, us) for line in part.lines]
    title = f"<p>{escape(part.title)}</p>" if part.title else ""
    if not shown:
        return ""
    if part.bare:
        return title + "".join(f"<p>{escape(line)}</p>" for line in shown)
    return title + _items(shown)
