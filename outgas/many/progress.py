"""How far a map has come: told to who listens, and on the error stream where it is asked for."""

import sys
import time
from collections.abc import Iterator, Sequence
from typing import TypeVar

from outgas.show.progress import tell

Part = TypeVar("Part")
BETWEEN_S = 0.5  # two lines on the error stream


def shown(parts: "Sequence[Part]", cases: int, wanted: bool | None) -> "Iterator[Part]":
    """Go through parts and tell how many of the cases are done; wanted: on the error stream too."""
    begun, last = time.monotonic(), 0.0
    for i, part in enumerate(parts):
        done = cases * i // len(parts)
        if wanted is not False:
            tell("working the cases", done, cases)
        passed = time.monotonic() - begun
        if wanted and passed - last > BETWEEN_S:
            last = passed
            left = passed * (len(parts) - i) / max(i, 1)
            sys.stderr.write(f"\r{done} of {cases} cases, {left:.0f} s left   ")
            sys.stderr.flush()
        yield part
    if last:
        sys.stderr.write(f"\r{cases} cases{' ' * 30}\n")
