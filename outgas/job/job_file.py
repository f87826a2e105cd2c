"""A job file: TOML in the words of the command line's options; read in bounds, written whole."""

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any

from outgas.errors import InputError
from outgas.files import read_bounded, toml_of, write_atomic
from outgas.job.job_keys import GROUPS, KEYS, TITLES, Told
from outgas.names import on_one_line
from outgas.tables.catalogue import is_path

MOST_BYTES = 100_000  # a job is a page; a hundred times that is another file
_WITH_FILES = ("ply", "core", "tool", "bag_side", "breather", "rig")  # beside the resin
_OWN_FILE = re.compile(r"\S+\.toml\b", re.IGNORECASE)
_HEAD = (
    "A job for outgas, as in: outgas advise --job FILE",
    "An option on the command line goes before what stands here; lines with # say nothing.",
)


@dataclass(frozen=True, slots=True)
class FileTold:
    """What a job file tells, by key, and the path that it was read from."""

    path: str
    told: dict[str, Any]


def read_file(path: "str | PathLike[str]") -> FileTold:
    """Return what a job file tells, its values as they stand; InputError where it cannot be read.

    A hyphen in a key reads like an underscore; files of one's own are looked for beside the job's.
    """
    if not isinstance(path, str | PathLike) or not os.fspath(path):  # type: ignore[redundant-expr]
        raise InputError(f"job is {path!r}; give the path of a job file, as 'deck.toml'")
    name = os.fsdecode(path)
    try:
        raw = toml_of(read_bounded(Path(name), MOST_BYTES))
    except OSError as error:
        raise InputError(f"cannot read {on_one_line(name)}: {error.strerror or error}") from None
    except ValueError as error:  # also what is no UTF-8, or no name for a file
        raise InputError(f"{name} is not valid TOML: {error}") from None
    told: dict[str, Any] = {}
    for key, value in raw.items():
        plain = key.replace("-", "_")
        if plain in told:
            raise InputError(f"{name}: {plain} is told twice, with - and with _")
        told[plain] = value
    return FileTold(name, _beside(name, told))


def _beside(name: str, told: dict[str, Any]) -> dict[str, Any]:
    """Return what was told with the paths of a user's own files taken from the job's folder."""
    folder = Path(name).parent
    return _moved(told, lambda file: str(folder / file))


def _moved(told: Mapping[str, Any], move: Callable[[str], str]) -> dict[str, Any]:
    """Return what was told with the paths of a user's own files moved."""

    def moved(value: Any) -> Any:
        if isinstance(value, list | tuple):
            return type(value)(moved(part) for part in value)
        if not isinstance(value, str):
            return value
        return _OWN_FILE.sub(lambda found: move(found[0]), value)

    found = {key: moved(value) if key in _WITH_FILES else value for key, value in told.items()}
    resin = told.get("resin")
    if isinstance(resin, str) and is_path(resin):
        found["resin"] = move(resin)
    return found


def to_toml(told: Mapping[str, Told]) -> str:
    """Return the text of a job file: what was told, and the rest of the keys as comments.

    >>> told = to_toml({"temperature": "26C"}).splitlines()
    >>> print(next(line for line in told if line.startswith("temperature")))
    temperature = "26C"  # air in the shop
    """
    parts = [f"# {line}" for line in _HEAD]
    for group in GROUPS:
        parts += ["", f"# {TITLES[group]}"]
        for key, about in KEYS.items():
            if about.group == group:
                given = told.get(key)
                mark = "# " if given is None else ""
                value = toml_value(about.example if given is None else given)
                parts.append(f"{mark}{key} = {value}  # {about.what}")
    return "\n".join(parts) + "\n"


def toml_value(value: "Told | list[str]") -> str:
    r"""Return a value as a TOML file has it.

    >>> toml_value(["a", 'b"c']), toml_value(True)
    ('["a", "b\\"c"]', 'true')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple | list):
        return f"[{', '.join(toml_value(text) for text in value)}]"
    return f'"{"".join(_escaped(ch) for ch in value)}"'


def _escaped(ch: str) -> str:
    if ch in '"\\':
        return f"\\{ch}"
    return ch if ch.isprintable() else f"\\U{ord(ch):08X}"


def may_write(path: "str | PathLike[str]", *, force: bool) -> None:
    """Refuse what is no file's path, and to write over a file that stands there, but for force."""
    if not os.fspath(path):
        raise InputError("file is ''; give the path of a job file, as 'deck.toml'")
    target = Path(path)
    if not force and (target.exists() or target.is_symlink()):
        raise InputError(f"{path} is there already; --force writes over it")


def write_file(path: "str | PathLike[str]", told: Mapping[str, Told], *, force: bool) -> None:
    """Write a job file whole or not at all; InputError where one stands there, but for force."""
    may_write(path, force=force)
    target = Path(path)
    told = _moved(told, lambda file: _from_folder(file, target.parent))
    try:
        write_atomic(target, to_toml(told).encode("utf-8"))
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or error
        raise InputError(f"cannot write {path}: {said}") from None


def _from_folder(file: str, folder: Path) -> str:
    """Return a file's path as it is read from a folder."""
    try:
        found = Path(os.path.relpath(file, folder))
    except ValueError:  # on another drive
        return str(Path(file).resolve())
    return str(found) if is_path(str(found)) else f"{os.curdir}{os.sep}{found}"
