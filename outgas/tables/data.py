"""The shipped tables as they stand in data/, parsed but not yet checked.

What is read of them is kept until they are read from another root.
"""

import contextlib
import functools
import tomllib
from collections.abc import Callable, Iterator
from importlib.resources import files as package_files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar, cast

from outgas.errors import DataError

_elsewhere: list[Path] = []  # where a test has its tables, the last one named
_kept: list[Any] = []  # what was read of the tables and is kept

Read = TypeVar("Read", bound=Callable[..., Any])


def kept(read: Read) -> Read:
    """Keep what a function reads of the tables, until they are read from another root."""
    cached = functools.cache(read)
    _kept.append(cached)
    return cast("Read", cached)


@contextlib.contextmanager
def reading_from(root: Path) -> Iterator[None]:
    """Read all tables from another folder for a while: a test's own shop."""
    _elsewhere.append(root)
    _forget()
    try:
        yield
    finally:
        _elsewhere.remove(root)
        _forget()


def _forget() -> None:
    for cached in _kept:
        cached.cache_clear()


def root() -> Traversable:
    """Return the folder of tables: outgas/data in a wheel, data/ beside outgas/ in a checkout."""
    if _elsewhere:
        return _elsewhere[-1]
    packaged = package_files("outgas") / "data"
    if packaged.is_dir():
        return packaged
    beside = Path(__file__).resolve().parents[2] / "data"
    if beside.is_dir():
        return beside
    raise DataError(f"no tables at {packaged} (installed) nor at {beside} (checkout)")


@kept
def table(file: str) -> dict[str, Any]:
    """Return a shipped table, parsed but not yet checked record by record."""
    return tomllib.loads((root() / file).read_text(encoding="utf-8"))
