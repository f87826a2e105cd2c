"""Built tables: shipped, cached for the user, or made now and cached.

A cached table is checked before it is believed: it carries a digest of its own content, and its
name is keyed by the record it was built from and by the code that built it. What is damaged, or
was made by other code, is built again.
"""

import contextlib
import hashlib
from collections.abc import Callable
from importlib.resources import files as package_files
from pathlib import Path
from typing import TypeVar

import msgspec

from outgas import files
from outgas.tables.data import converted, decoded, table

Product = TypeVar("Product", bound=msgspec.Struct)

# Modules whose code decides what a built table holds.
BUILDERS = ("curve_fit.py", "saturation.py", "data_sheet.py", "cure.py")
KEY_DIGITS = 16


def product(
    kind: type[Product], name: str, record: str, key: str, make: Callable[[], Product]
) -> Product:
    """Return a built table: shipped as data/name.toml, cached for the user, or made and cached."""
    shipped = table(f"{name}.toml").get(record)
    if shipped is not None and shipped["record"] == key:
        return converted(shipped, kind)
    cached = cache_file(name, key)
    found = _read(kind, cached)
    if found is not None:
        return found
    made = make()
    content = msgspec.json.encode(made)
    with contextlib.suppress(OSError):  # no place to keep it: it is built again next time
        files.write_atomic(cached, _digest(content).encode() + b"\n" + content)
    return made


def _read(kind: type[Product], cached: Path) -> Product | None:
    """Return a cached table that is whole and as it was written; None for anything else."""
    try:
        digest, _, content = files.read_bounded(cached).partition(b"\n")
        if digest.decode("ascii") != _digest(content):
            return None
        return decoded(content, kind)
    except (OSError, UnicodeDecodeError, msgspec.DecodeError, msgspec.ValidationError):
        return None


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def code_key() -> str:
    """Return a digest of the code that builds tables."""
    code = hashlib.sha256()
    for module in BUILDERS:
        code.update((package_files("outgas.physics") / module).read_bytes())
    return code.hexdigest()[:KEY_DIGITS]


def cache_file(name: str, key: str) -> Path:
    """Return where a user's built table is kept."""
    import platformdirs

    return platformdirs.user_cache_path("outgas") / f"{name}-{key}-{code_key()}.json"
