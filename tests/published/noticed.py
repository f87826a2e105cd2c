"""Which outside checks notice that a constant of the answer is off by a fifth.

`python tests/published/noticed.py` prints the table that stands in the contributor guide. Each
number that a limit of the usual cases stands on is moved by 20 % either way, alone, and every check
is made again.
"""

import functools
import importlib
import sys
import warnings
from collections.abc import Iterator
from pathlib import Path

from outgas.errors import OutgasError
from outgas.many.every_number import Sourced, moved_to, named
from outgas.many.weakest import weakest
from outgas.tables.data import putting

HERE = Path(__file__).parent
OFF = (0.8, 1.2)
LEAST_PA = 100.0  # of deepest: a number that moves it by less is none that it rests on
CASES = ({}, {"process": "infusion"}, {"resin": "epoxy-laminating"})
HEAD = "| constant | grade | checks that notice a fifth |\n|---|---|---|"


def find_helpers() -> None:
    """Let the checks import what lies beside the tests of other rooms, as pytest does."""
    sys.path += [str(HERE.parent / room) for room in ("laminate", "tables", "physics", "no_gauge")]


def checks():
    """Every outside check."""
    return [
        check
        for path in sorted(HERE.glob("checks*.py"))
        for check in importlib.import_module(path.stem).CHECKS
    ]


def constants() -> list[str]:
    """The numbers that the limits of the usual cases stand on, those of the standard case first."""
    found = (m for told in CASES for m in weakest(**told).numbers if m.deepest_Pa >= LEAST_PA)
    return list(dict.fromkeys(m.of.name for m in found))


def forget() -> None:
    """Empty every cache of outgas and of the checks: what is remembered hides a moved number."""
    for name, module in list(sys.modules.items()):
        if name.startswith(("outgas", "checks")):
            for thing in list(vars(module).values()):
                if isinstance(thing, functools._lru_cache_wrapper):
                    thing.cache_clear()


def holds(check) -> bool:
    """Whether a check comes out; one that cannot be made does not."""
    try:
        return check.agrees()
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


def row(name: str, every) -> str:
    """One line of the table."""
    (number,) = named(name)
    found = noticing(number, every)
    said = ", ".join(f"{source} ({found.count(source)})" for source in dict.fromkeys(found))
    return f"| `{name}` | {number.number.how} | {said or 'none outside: its range stands for it'} |"


def table() -> Iterator[str]:
    """The table, line by line."""
    every = [check for check in checks() if holds(check)]
    yield HEAD
    for name in constants():
        yield row(name, every)


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    find_helpers()
    for line in table():
        sys.stdout.write(line + "\n")
        sys.stdout.flush()
