"""Processes: their names, what each is like, and their figures of shop practice."""

from outgas.errors import InputError, UnknownNameError
from outgas.tables import catalogue
from outgas.tables.practice import Process

PROCESSES = ("wet layup", "infusion", "prepreg", "degassing", "core bonding", "pressing")


def read_process(process: str) -> str:
    """Return a process's name; a hyphen reads like a space."""
    if not isinstance(process, str):
        raise InputError(f"process is {process!r}; it is one of {', '.join(PROCESSES)}")
    name = " ".join(process.lower().replace("-", " ").replace("_", " ").split())
    if name not in PROCESSES:
        raise UnknownNameError("process", process, PROCESSES)
    return name


# Processes in which the resin lies open in the shop's air before it is closed in.
OPEN_TO_AIR = ("wet layup", "core bonding", "pressing")
# Processes in which freed gas is meant to leave, so that it sets no limit.
GAS_IS_MEANT_TO_LEAVE = ("degassing", "prepreg")


def process_of(name: str) -> Process:
    """Return a process's figures of shop practice."""
    return catalogue.practice().process[name.replace(" ", "-")]


SOFT_CORE_PROCESSES = ("wet layup", "infusion", "core bonding")

BAGGED = ("wet layup", "infusion", "core bonding", "prepreg")

WITH_DEBULK = ("wet layup", "core bonding")

LAID_UP = ("wet layup", "core bonding", "pressing")
