"""Which outside checks notice that a constant of the answer is off by a fifth.

`python tests/published/noticed.py` prints the table that stands in the contributor guide. Each
number that a limit of the usual cases stands on is moved by 20 % either way, alone, and every check
is made again.
"""

import functools
import importlib
import math
import multiprocessing
import sys
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from outgas.errors import DataError, OutgasError, SeveralMistakesError
from outgas.job.layup import Layup
from outgas.laminate.gas.experiments import experiment
from outgas.many.every_number import Sourced, moved_to, named
from outgas.many.weakest import weakest
from outgas.tables import experiments
from outgas.tables.data import putting

HERE = Path(__file__).parent
OFF = (0.8, 1.2)
LEAST_PA = 10.0  # of deepest: a number that moves it by less is none that it rests on
CASES = (
    {},
    {"process": "infusion"},
    {"resin": "epoxy-laminating"},
    {"resin": "bisphenol-a-vinyl-ester"},
    {"degassed": "90 mbar for 10 min, stirred"},
    {"finish": "clear"},
    {"process": "core bonding"},
    {"resin": "out-of-autoclave-epoxy-prepreg", "process": "prepreg"},
)
THICK = {"plies": ["4 x 450 g/m2 chopped strand mat"], "core": "15 mm PVC foam", "area": "0.5 m2"}
HOLDS = ("gas.time.hold", "gas.time.hold_epoxy", "gas.time.putty_hold")
HEAD = "| constant | value and range | grade | checks that notice a fifth |\n|---|---|---|---|"


def find_helpers() -> None:
    """Let the checks import what lies beside the tests of other rooms, as pytest does."""
    sys.path += [str(HERE.parent / room) for room in ("laminate", "tables", "physics", "no_gauge")]


@dataclass(frozen=True)
class MeasuredVoids:
    """Whether reckoned voids lie within a factor of two of those that were measured."""

    row: experiments.Measurement

    @property
    def source(self) -> str:
        """The study."""
        return self.row.study

    def agrees(self) -> bool:
        """Reckon them anew."""
        return experiment(self.row).within_two


def checks():
    """Every outside check, and every measured void content that set no constant itself."""
    published = [
        check
        for path in sorted(HERE.glob("checks*.py"))
        for check in importlib.import_module(path.stem).CHECKS
    ]
    measured = [
        MeasuredVoids(row)
        for row in experiments.measurements()
        if row.measured == "voids" and not math.isnan(row.low) and not experiments.sets(row)
    ]
    return published + measured


def constants() -> list[str]:
    """The numbers that the limits of the usual cases stand on, those of the standard case first.

    Holds last: a limit is by the worst of their range already, so moving them adds nothing.
    """
    cases = (*CASES, {"layup": Layup(**THICK)})
    found = (m for told in cases for m in weakest(**told).numbers if m.deepest_Pa >= LEAST_PA)
    return list(dict.fromkeys([*(m.of.name for m in found), *HOLDS]))


def forget() -> None:
    """Empty every cache of outgas and of the checks: what is remembered hides a moved number."""
    for name, module in list(sys.modules.items()):
        if name.startswith(("outgas", "checks")):
            for thing in list(vars(module).values()):
                if isinstance(thing, functools._lru_cache_wrapper):
                    thing.cache_clear()


def holds(check) -> bool:
    """Whether a check comes out; one that cannot be made does not.

    A number that its table refuses, being no such number, says nothing of a check.
    """
    try:
        return check.agrees()
    except (DataError, SeveralMistakesError):
        return True
    except (OutgasError, ValueError, ZeroDivisionError):
        return False


def noticing(number: Sourced, every) -> list[str]:
    """The sources of the checks that fail where a number is off, one for each check."""
    missed: dict[int, str] = {}
    for factor in OFF:
        forget()
        with putting(moved_to(number, factor * number.number.value)):
            missed |= {i: c.source for i, c in enumerate(every) if not holds(c)}
    forget()
    return list(missed.values())


def known(number: Sourced) -> str:
    """A line's name, range and grade."""
    return f"| `{number.name}` | {number.told(*number.number.ends)} | {number.number.how} |"


def said(found: list[str]) -> str:
    """The sources that notice, each with how many of its checks do."""
    told = ", ".join(f"{source} ({found.count(source)})" for source in dict.fromkeys(found))
    return told or "none outside: its range stands for it"


@functools.cache
def _holding() -> list:
    """The checks that come out as the tables are, made once in each process."""
    return [check for check in checks() if holds(check)]


def row(name: str) -> str:
    """One line of the table."""
    (number,) = named(name)
    return f"{known(number)} {said(noticing(number, _holding()))} |"


def table() -> Iterator[str]:
    """The table, line by line, as many at once as there are cores."""
    yield HEAD
    with multiprocessing.Pool(initializer=warnings.simplefilter, initargs=("ignore",)) as pool:
        yield from pool.imap(row, constants())


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    find_helpers()
    for line in table():
        sys.stdout.write(line + "\n")
        sys.stdout.flush()
