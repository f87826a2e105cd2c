"""Records as plain types, and back: what is refused of a dict that is none of ours."""

import json
import math
from collections.abc import Collection, Iterator, Mapping
from typing import Any

from outgas import units
from outgas.errors import InputError, UnknownNameError

SAME = 1e-6  # to which numbers of a stored answer must come out again: rounding of other machines


def of_kind(plain: Any, kind: str, version: int) -> Mapping[str, Any]:
    """Return a record's dict if it is of this kind and version."""
    if not isinstance(plain, Mapping) or plain.get("kind") != kind:
        raise InputError(f"{str(plain)[:60]!r} is no {kind}; give what its to_dict() gave")
    if plain.get("version") != version:
        raise InputError(f"{kind} of version {plain.get('version')!r}; this reads {version}")
    found: Mapping[str, Any] = plain
    return found


def opened(plain: Any, kind: str, version: int, keys: Collection[str]) -> Mapping[str, Any]:
    """Return a record's dict if it is of this kind and version and has these keys alone."""
    of_kind(plain, kind, version)
    for key in keys:
        if key not in plain:
            raise InputError(f"{kind}: {key} is missing")
    for key in plain:
        if key not in ("kind", "version", *keys):
            raise UnknownNameError(f"key of an {kind}", str(key), keys)
    found: Mapping[str, Any] = plain
    return found


def number(value: Any, name: str) -> float:
    """Return a number of a plain dict."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"{name} is {str(value)[:40]!r}; it is a number")
    return float(value)


def amount(value: Any, unit: str, name: str) -> Any:
    """Return a number of a plain dict as a quantity, to be checked like any other; None stays."""
    return None if value is None else units.quantity(number(value, name), unit)


def part(value: Any, keys: Collection[str], name: str) -> Mapping[str, Any]:
    """Return a table inside a plain dict, if it has just these keys."""
    if not isinstance(value, Mapping) or set(value) != set(keys):
        raise InputError(f"{name} is {str(value)[:60]!r}; it has {', '.join(keys)}")
    return value


def listed(value: Any, name: str) -> list[Any]:
    """Return a list inside a plain dict."""
    if not isinstance(value, list | tuple):
        raise InputError(f"{name} is {str(value)[:40]!r}; it is a list")
    return list(value)


def known_names(told: Mapping[str, Any], names: Collection[str], of: str) -> None:
    """Refuse what is no argument of a record's constructor, with the nearest that is."""
    for name in told:
        if name not in names:
            raise UnknownNameError(f"argument of {of}", name, names)


def same_numbers(
    found: Mapping[str, Any], now: Mapping[str, Any], kind: str, without: Collection[str]
) -> None:
    """Refuse a stored answer if a number or a truth in it is not what comes out now.

    Words may change from version to version, and keys may be added.
    """
    now = json.loads(json.dumps(now))
    for key in sorted(found.keys() - set(without)):
        for where, stored, comes in _unlike(key, found[key], now.get(key)):
            raise InputError(
                f"{where} of this {kind} is {stored}, and {comes} now: it was made by another "
                "version of outgas or of its tables; ask anew with from_dict(..., anew=True)"
            )


def _unlike(where: str, stored: Any, now: Any) -> Iterator[tuple[str, Any, Any]]:
    """Yield numbers and truths that differ."""
    if isinstance(stored, str) and isinstance(now, str):
        return
    if isinstance(stored, Mapping) and isinstance(now, Mapping):
        for key in sorted(stored.keys() & now.keys()):
            yield from _unlike(f"{where}.{key}", stored[key], now[key])
    elif isinstance(stored, list | tuple) and isinstance(now, list):
        if len(stored) != len(now) and not all(isinstance(x, str) for x in (*stored, *now)):
            yield where, f"{len(stored)} entries", f"{len(now)} entries"
        for i, (one, other) in enumerate(zip(stored, now, strict=False)):
            yield from _unlike(f"{where}[{i}]", one, other)
    elif not _same(stored, now):
        yield where, stored, now


def _same(stored: Any, now: Any) -> bool:
    numbers = all(isinstance(x, int | float) and not isinstance(x, bool) for x in (stored, now))
    if numbers:
        return math.isclose(stored, now, rel_tol=SAME, abs_tol=SAME)
    return type(stored) is type(now) and bool(stored == now)
