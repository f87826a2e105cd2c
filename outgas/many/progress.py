"""How far a long piece of work has come, on a terminal."""

import sys
import time
from collections.abc import Iterator, Sequence
from typing import TypeVar

Part = TypeVar("Part")
QUIET_S = 2.0  # work that takes no longer says nothing


def shown(parts: "Sequence[Part]", cases: int, wanted: bool | None) -> "Iterator[Part]":
    """Go through parts and say on the terminal's error stream how many of the cases are done."""
    if wanted is None:
        wanted = sys.stderr.isatty()
    begun, last = time.monotonic(), 0.0
    for i, part in enumerate(parts):
        passed = time.monotonic() - begun
        if wanted and passed > QUIET_S and passed - last > 0.5:
            last = passed
            left = passed * (len(parts) - i) / max(i, 1)
            sys.stderr.write(f"\r{cases * i // len(parts)} of {cases} cases, {left:.0f} s left   ")
            sys.stderr.flush()
        yield part
    if last:
        sys.stderr.write(f"\r{cases} cases{' ' * 30}\n")
