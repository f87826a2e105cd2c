"""Where a number of the tables comes from, how sure it is, and what it moves."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from outgas import readings
from outgas.errors import OutgasError
from outgas.many.every_number import (
    Sourced,
    every_number,
    grades_of,
    grades_table,
    moved_to,
    named,
)
from outgas.many.weakest import BUILT_FROM, STANDARD, counts, voids_of, window_of_told
from outgas.show.answer import Answer
from outgas.show.report import At, Block, Line, Report, lines
from outgas.tables import catalogue
from outgas.tables.data import putting
from outgas.tables.materials import Resin
from outgas.window.window import Window

VERSION = 1
LEAST_SHARE = 1e-4  # of a figure, worth telling that it moves
PLY, CORE, TOOL = "2 x 400 g/m2 {}", "20 mm {}", "10 mm {}"  # a layup with one of a kind
AREA = "0.5 m2"
BUILT = ("cure.toml", "volatiles.toml")  # curves and rates are built from all of them
# Which answers read a table, the one that leans on it most first; by the part of a table that has
# readers of its own.
READ_BY: dict[str, tuple[str, ...]] = {
    "causes": ("diagnose", "bleed"),
    "consumables": ("advise", "schedule"),
    "cores": ("advise", "schedule", "diagnose"),
    "cure": ("schedule", "advise", "read-log"),
    "experiments": (),
    "gas": ("advise", "schedule", "diagnose", "no-gauge telltale"),
    "gas.pot": ("advise", "schedule"),
    "holes": ("no-gauge hold",),
    "observations": ("no-gauge belief", "no-gauge next", "no-gauge telltale"),
    "panels": ("panels learn",),
    "practice": ("advise", "schedule", "diagnose"),
    "practice.bleed": ("bleed", "diagnose"),
    "practice.clock": ("schedule", "advise"),
    "practice.sheet": ("resins check",),
    "prepreg": ("advise", "schedule"),
    "pumps": ("no-gauge hold", "advise", "schedule"),
    "questions": ("diagnose",),
    "reinforcements": ("schedule", "advise", "bleed"),
    "resins": ("advise", "schedule", "diagnose"),
    "rigs": ("no-gauge hold", "no-gauge drop-test", "schedule"),
    "tools": ("schedule", "advise"),
    "transport": ("advise", "schedule", "diagnose"),
    "volatiles": ("advise", "schedule", "no-gauge telltale"),
}


@dataclass(frozen=True, slots=True)
class Effect:
    """A figure of advise as it is, and were a number known to be at its low or at its high end.

    key: as in the dict of an advice, in SI. None where an end gives no such figure.
    """

    key: str
    now: float
    low: float | None
    high: float | None

    @property
    def share(self) -> float:
        """How far it moves at most, as a share of what it is."""
        ends = [end for end in (self.low, self.high) if end is not None]
        most = max((abs(end - self.now) for end in ends), default=0.0)
        return most / max(abs(self.now), 1e-3)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Sources(Answer):
    """Numbers of the tables with range, grade and source; what a single one moves.

    numbers: as the tables have them. read_by: the answers that read them, the most first. case,
    effects: of a single number the figures of advise that it moves, the most first, and the case
    they are of; None where it cannot be moved alone, as what curves are built from.

    Examples
    --------
    >>> import outgas
    >>> found = outgas.sources("gas.laminate")
    >>> len(found.numbers), found.grades["estimate"]
    (7, 7)
    """

    _shown = ("name", "grades")

    name: str | None
    numbers: tuple[Sourced, ...]
    read_by: tuple[str, ...]
    case: str | None = None
    effects: tuple[Effect, ...] | None = None

    @property
    def grades(self) -> dict[str, int]:
        """How many of the numbers are of each grade."""
        return grades_of(self.numbers)

    @property
    def grades_table(self) -> str:
        """The shares of the grades as a table for a document.

        Examples
        --------
        >>> import outgas
        >>> print(outgas.sources("gas.oxygen").grades_table.splitlines()[0])
        | grade | numbers | share |
        """
        return grades_table(self.numbers)

    def to_dict(self) -> dict[str, Any]:
        """Return plain types; numbers in their own units, effects in SI, with a version."""
        effects = None
        if self.effects is not None:
            effects = [
                {"key": e.key, "now": e.now, "low": e.low, "high": e.high} for e in self.effects
            ]
        return {
            "kind": "outgas sources",
            "version": VERSION,
            "numbers": [each.to_dict() for each in self.numbers],
            "grades": self.grades,
            "read_by": list(self.read_by),
            "case": self.case,
            "effects": effects,
        }

    @property
    def report(self) -> Report:
        """The answer told: one number in full, many a line each."""
        here = readings.PASCAL_PER["atm"]  # of the standard case
        if len(self.numbers) > 1:
            rows = (
                f"{n.name}: {n.told(*n.number.ends)}, {n.number.how}, {_origin(n)}"
                for n in self.numbers
            )
            counted = ", ".join(f"{n} {grade}" for grade, n in self.grades.items() if n)
            total = f"{len(self.numbers)} numbers: {counted}"
            return Report(here, lines((total,)), (Block("", lines(rows), bare=True),))
        (number,) = self.numbers
        told = [f"grade: {number.number.how}", f"source: {_origin(number)}"]
        if number.number.note:
            told.append(f"note: {number.number.note}")
        told.append(f"read by: {', '.join(self.read_by) or 'the checks of the gas balance alone'}")
        return Report(
            here,
            lines((f"{number.name}: {number.told(*number.number.ends)}",)),
            (Block("Where it comes from", lines(told)), *self._moves()),
        )

    def _moves(self) -> Iterator[Block]:
        """Yield what a single number moves."""
        if self.effects is None:
            yield Block("What it moves", lines((_why_not(self.numbers[0]),)))
        elif not self.effects:
            yield Block("What it moves", lines((f"nothing of advise ({self.case})",)))
        else:
            yield Block(
                f"What it moves of advise ({self.case}): now; at its low end; at its high end",
                tuple(map(_effect_line, self.effects)),
            )


def _origin(each: Sourced) -> str:
    return each.title if each.title else each.number.source


def _why_not(each: Sourced) -> str:
    low, high = each.number.ends
    if low == high:
        return "not moved: its range is this one value"
    if each.file in BUILT or (each.file == "resins.toml" and each.way[-1] in BUILT_FROM):
        return "not moved: the curves and rates that are built from it would have to be built anew"
    return "not moved: the window of this case takes none of it"


def _effect_line(effect: Effect) -> Line:
    ends = (effect.now, effect.low, effect.high)
    if effect.key.endswith("_Pa"):
        places = tuple(At(end, plain=True, nearest=True) for end in ends if end is not None)
        text = "; ".join("none" if end is None else "{}" for end in ends)
        return Line(f"{_words(effect.key)}: {text}", places)
    text = "; ".join("none" if end is None else f"{end:.2%}" for end in ends)
    return Line(f"{_words(effect.key)}: {text}")


def _words(key: str) -> str:
    return key.removesuffix("_Pa").replace("_", " ")


def sources(name: str | None = None) -> Sources:
    """Return numbers of the tables: value, range, grade, source, and what a single one moves.

    Parameters
    ----------
    name
        Of a number, a record, a table, or a field: 'gas.laminate.trapped',
        'orthophthalic-polyester.gel_time', 'cores', 'density'; all of them if not given.

    Returns
    -------
    A Sources: numbers in the units of the tables; effects in SI, pressures [Pa] absolute.

    Raises
    ------
    UnknownNameError
        With the nearest names.

    Notes
    -----
    effect = (a figure of advise, were the number known to be at an end of its 95 % range); this
    project's own derivation. The case is orthophthalic polyester at 22 degC and
    50 %, with the resin, process, cloth, core or tool of the number in its place.

    Examples
    --------
    >>> import outgas
    >>> found = sources("gas.laminate.trapped")
    >>> number = found.numbers[0]
    >>> number.number.value, number.number.ends, number.number.how
    (6.0, (3.0, 12.0), 'estimate')
    >>> "deepest_Pa" in [effect.key for effect in found.effects]
    True
    >>> sources("gas.laminate.traped")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    outgas.errors.UnknownNameError: no number is called 'gas.laminate.traped'; did you mean ...
    """
    numbers = every_number() if name is None else named(name)
    found = Sources(name=name, numbers=numbers, read_by=_read_by(numbers))
    if len(numbers) > 1:
        return found
    told = _case_with(numbers[0])
    case = ", ".join(" ".join(v) if isinstance(v, list) else str(v) for v in told.values())
    return Sources(
        name=name,
        numbers=numbers,
        read_by=found.read_by,
        case=case,
        effects=_effects(numbers[0], told),
    )


def _read_by(numbers: tuple[Sourced, ...]) -> tuple[str, ...]:
    """Return the answers that read some numbers, each once."""
    found: dict[str, None] = {}
    for each in numbers:
        table, section = each.name.split(".")[:2]
        found.update(dict.fromkeys(READ_BY.get(f"{table}.{section}", READ_BY[table])))
    return tuple(found)


def _case_with(number: Sourced) -> dict[str, Any]:
    """Return what is told of the standard case, with what a number is of in it."""
    told: dict[str, Any] = dict(STANDARD)
    top = str(number.way[0])
    ply = {"ply": [PLY.format("woven glass")], "area": AREA}
    if number.file == "resins.toml":
        told |= {"resin": top, "process": catalogue.resin(top).processes[0]}
    elif number.file == "transport.toml":
        told["resin"] = _first(lambda r: r.family.replace(" ", "-") == top)
    elif number.file == "practice.toml" and top == "process":
        process = str(number.way[1]).replace("-", " ")
        if process not in catalogue.resin(STANDARD["resin"]).processes:
            told["resin"] = _first(lambda r: process in r.processes)
        told["process"] = process
    elif number.file == "prepreg.toml":
        told |= {"resin": _first(lambda r: "prepreg" in r.processes), "process": "prepreg"}
    elif number.file == "reinforcements.toml":
        told |= {**ply, "ply": [PLY.format(top)]}
    elif number.file == "cores.toml":
        told["core"] = CORE.format(top)
    elif number.file == "tools.toml":
        told |= {**ply, "tool": TOOL.format(top)}
    elif number.file == "consumables.toml" or (number.file, top) == ("practice.toml", "heat"):
        told |= ply
    return told


def _first(fits: Callable[[Resin], bool]) -> str:
    """Return the first resin that fits, one for the standard's process before others."""
    usual = catalogue.resin(STANDARD["resin"]).processes[0]
    every = sorted(
        catalogue.resins(), key=lambda name: usual not in catalogue.resin(name).processes
    )
    return next((name for name in every if fits(catalogue.resin(name))), STANDARD["resin"])


def _figures(window: Window) -> dict[str, float | None]:
    """Return the figures of advise that a window has; voids at its own setpoint."""
    cured_at = window.shallowest if window.setpoint is None else window.setpoint
    return {
        "deepest_Pa": window.deepest,
        "resin_needs_Pa": window.limits.safe["vapour"],
        "setpoint_Pa": window.setpoint,
        "debulk_hold_Pa": window.debulk,
        "shallowest_Pa": window.shallowest,
        "voids_at_setpoint": voids_of(window.case, window.course, cured_at),
    }


def _effects(number: Sourced, told: dict[str, Any]) -> tuple[Effect, ...] | None:
    """Return what a number moves of advise, the most first; None where it cannot be moved."""
    try:
        window = window_of_told(told)
    except OutgasError:
        return None
    if not counts(number, window.job):
        return None
    now, ends = _figures(window), []
    for end in number.number.ends:
        try:
            with putting(moved_to(number, end)):
                ends.append(_figures(window_of_told(told)))
        except OutgasError:
            ends.append({})
    low, high = ends
    found = [
        Effect(key, was, low.get(key), high.get(key)) for key, was in now.items() if was is not None
    ]
    return tuple(sorted((e for e in found if e.share > LEAST_SHARE), key=lambda e: -e.share))
