"""Built tables: shipped, cached for the user, or made now and cached."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import msgspec

from outgas.tables.catalogue import table

Product = TypeVar("Product", bound=msgspec.Struct)


def product(
    kind: type[Product], name: str, record: str, key: str, make: Callable[[], Product]
) -> Product:
    """Return a built table: shipped as data/name.toml, cached for the user, or made and cached."""
    shipped = table(f"{name}.toml").get(record)
    if shipped is not None and shipped["record"] == key:
        return msgspec.convert(shipped, kind)
    cached = _cache_file(name, key)
    try:
        return msgspec.json.decode(cached.read_bytes(), type=kind)
    except (OSError, msgspec.DecodeError, msgspec.ValidationError):
        pass  # not there, or not readable: build it
    made = make()
    try:
        cached.parent.mkdir(parents=True, exist_ok=True)
        scratch = cached.with_suffix(f".{os.getpid()}")
        scratch.write_bytes(msgspec.json.encode(made))
        scratch.replace(cached)
    except OSError:
        pass  # no place to keep it: it is built again next time
    return made


def _cache_file(name: str, key: str) -> Path:
    import platformdirs

    return platformdirs.user_cache_path("outgas") / f"{name}-{key}.json"
