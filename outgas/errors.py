"""What outgas raises and warns of.

OutgasError
    InputError              what was given cannot be used (also a ValueError)
        UnitError           a unit is missing, unknown or of the wrong kind
        UnknownNameError    no such resin, volatile, process ... with the nearest names
    OutOfRangeError         a model was asked beyond its range (also a ValueError)
    RefusedError            it can be computed, but doing it would be unsafe (also a ValueError)
    DataError               a table, shipped or the user's own, is broken

OutgasWarning               the answer stands, but read this first
"""

import difflib
from collections.abc import Iterable


class OutgasError(Exception):
    """Root of everything outgas raises on purpose."""


class InputError(OutgasError, ValueError):
    """What was given cannot be used."""


class UnitError(InputError):
    """A unit is missing, unknown, ambiguous or of the wrong kind."""


class OutOfRangeError(OutgasError, ValueError):
    """A model was asked beyond the range in which it holds."""


class RefusedError(OutgasError, ValueError):
    """It can be computed, but doing it would be unsafe."""


class DataError(OutgasError, ValueError):
    """A table is broken; the message names the file, the record and the field."""


class OutgasWarning(UserWarning):
    """The answer stands, but read this first."""


class UnknownNameError(InputError):
    """No such name; the message lists the nearest ones.

    Attributes
    ----------
    kind, given, nearest
        What was looked for ('resin'), what was given, and close names that exist.
    """

    def __init__(self, kind: str, given: str, known: Iterable[str]) -> None:
        names = sorted(known)
        self.kind, self.given = kind, given
        self.nearest = difflib.get_close_matches(given.lower(), names, n=3, cutoff=0.4)
        hint = (
            f"did you mean {' or '.join(self.nearest)}?"
            if self.nearest
            else f"known are {', '.join(names)}"
        )
        super().__init__(f"no {kind} is called {given[:60]!r}; {hint}")

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild_unknown, (self.kind, self.given, self.nearest, str(self)))


def _rebuild_unknown(kind: str, given: str, nearest: list[str], text: str) -> UnknownNameError:
    """Rebuild the pickled error without the list of known names."""
    error = UnknownNameError(kind, given, nearest)
    error.args, error.nearest = (text,), nearest
    return error
