"""Processes: what each is like, and its figures of shop practice; records of facts.

Nothing else compares a process's name: what a process is like is asked of its record. A new one
is a row of data/practice.toml, told and planned like the one it names in `like`.
"""

from outgas.errors import InputError
from outgas.tables import catalogue
from outgas.tables.practice import Process


def processes() -> tuple[str, ...]:
    """Return the names of all processes, as they are said.

    Returns
    -------
    A tuple of names, no units, for every argument called process.

    Examples
    --------
    >>> "wet layup" in processes()
    True
    """
    return tuple(name.replace("-", " ") for name in catalogue.practice().process)


def process_of(name: str) -> Process:
    """Return a process's facts and figures of shop practice."""
    return catalogue.practice().process[name.replace(" ", "-")]


def pressing() -> Process:
    """Return the process of pressing, to press a panel instead of bagging it."""
    return next(p for p in catalogue.practice().process.values() if p.pressed)


def potting() -> Process:
    """Return the process of degassing plain resin in a pot."""
    return next(p for p in catalogue.practice().process.values() if p.pot)


def read_process(process: str) -> Process:
    """Return the process that a name means, as shops spell it: 'wet lay-up', 'Wet Layups'."""
    known = processes()
    if not isinstance(process, str):
        raise InputError(f"process is {process!r}; it is one of {', '.join(known)}")
    name = catalogue.said("process", process, {name: name for name in known})
    if name is None:
        raise catalogue.unknown("process", process, known)
    return process_of(name)
