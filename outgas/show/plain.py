"""Records as plain types, and back: what is refused of a dict that is none of ours."""

from collections.abc import Collection, Mapping
from typing import Any

from outgas import units
from outgas.errors import InputError, UnknownNameError


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
