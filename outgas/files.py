"""Files of ours and of users: written whole or not at all, read within bounds."""

import contextlib
import os
import stat
import tempfile
import tomllib
from pathlib import Path
from typing import Any

MOST_IN_A_LINE = 4000  # characters of TOML: a key of ten thousand parts takes minutes to read
MOST_BYTES = 4_000_000  # of a file that a person wrote: no table or job comes near it


def write_atomic(path: Path, content: bytes, *, shown: bool = False) -> None:
    """Write a file so that a reader sees the old one or the new one, never half of it.

    The folder is made where it is missing. shown: for others to read too, as far as the user lets
    them read his files; else for him alone. OSError where it cannot be written; nothing is left
    behind then.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, scratch = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            if shown and hasattr(os, "fchmod"):
                umask = os.umask(0)
                os.umask(umask)
                os.fchmod(out.fileno(), 0o666 & ~umask)
            out.flush()
            os.fsync(out.fileno())
        Path(scratch).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(scratch).unlink()
        raise


def read_bounded(path: Path, most: int | None = None) -> bytes:
    """Return a regular file's content; OSError for what is no regular file, or is too large."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)  # a pipe without a writer would wait forever
    with os.fdopen(os.open(path, flags), "rb") as source:
        found = os.fstat(source.fileno())
        if not stat.S_ISREG(found.st_mode):
            raise OSError(f"{path} is not a regular file")
        most = MOST_BYTES if most is None else most
        if found.st_size > most:
            raise OSError(f"{path} holds {found.st_size} bytes, more than {most}")
        return source.read(most + 1)[:most]


def toml_of(content: bytes) -> dict[str, Any]:
    """Return TOML as plain types; ValueError for what is none or takes minutes to read."""
    text = content.decode("utf-8-sig")
    longest = max(map(len, text.splitlines()), default=0)
    if longest > MOST_IN_A_LINE:
        raise ValueError(f"a line of {longest} characters, more than {MOST_IN_A_LINE}; break it up")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise ValueError("nested too deep") from None
