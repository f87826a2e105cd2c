"""The shipped tables as they stand in data/, parsed but not yet checked.

What is read of them is kept until they are read from another root.
"""

import contextlib
import functools
import threading
import tomllib
from collections.abc import Callable, Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field
from importlib.resources import files as package_files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar, cast

import msgspec

from outgas.errors import DataError

_elsewhere: list[Path] = []  # where a test has its tables, the last one named
_kept: list[Any] = []  # what was read of the tables and is kept

Record = TypeVar("Record")
Read = TypeVar("Read", bound=Callable[..., Any])


_CONVERTING = threading.RLock()


def converted(raw: Any, kind: type[Record]) -> Record:
    """Return plain types as a record, msgspec's ValidationError where they are none.

    One thread at a time: msgspec learns a record's fields on first use, and two threads that make
    it learn them at once end the process.
    """
    with _CONVERTING:
        return msgspec.convert(raw, kind)


def decoded(content: bytes, kind: type[Record]) -> Record:
    """Return JSON as a record, one thread at a time."""
    with _CONVERTING:
        return msgspec.json.decode(content, type=kind)


@dataclass(frozen=True, slots=True)
class _Put:
    """Tables that stand in place of the shipped ones, and what was read while they do."""

    tables: Mapping[str, dict[str, Any]]
    read: dict[Any, Any] = field(default_factory=dict)


# Of this thread or task alone: who asks beside it reads the shipped tables all the while.
_PUT: ContextVar[_Put | None] = ContextVar("put", default=None)


def kept(read: Read) -> Read:
    """Keep what a function reads of the tables, until they are read from another root."""
    return _keeping(read, None)


def remembered(most: int) -> Callable[[Read], Read]:
    """Keep so many of a function's latest answers, which stand on the tables too."""
    return lambda read: _keeping(read, most)


def _keeping(read: Read, most: int | None) -> Read:
    cached = functools.lru_cache(maxsize=most)(read)

    @functools.wraps(read)
    def found(*given: Any) -> Any:
        put = _PUT.get()
        if put is None:
            return cached(*given)
        key = (cached, given)
        if key not in put.read:
            put.read[key] = read(*given)
        return put.read[key]

    found.cache_clear = cached.cache_clear  # type: ignore[attr-defined]
    _kept.append(cached)
    return cast("Read", found)


@contextlib.contextmanager
def putting(tables: Mapping[str, dict[str, Any]]) -> Iterator[None]:
    """Read some tables as they are given for a while, file by file, and the others as they stand.

    For one number moved in memory. Nothing that is read meanwhile is kept beyond it, and nobody
    beside this thread or task reads it.
    """
    before = _PUT.get()
    token = _PUT.set(_Put({**(before.tables if before else {}), **tables}))
    try:
        yield
    finally:
        _PUT.reset(token)


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


def table(file: str) -> dict[str, Any]:
    """Return a shipped table, parsed but not yet checked record by record."""
    put = _PUT.get()
    if put is not None and file in put.tables:
        return put.tables[file]
    return _parsed(file)


@functools.cache
def _parsed(file: str) -> dict[str, Any]:
    return tomllib.loads((root() / file).read_text(encoding="utf-8"))


_kept.append(_parsed)
