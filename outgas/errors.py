"""What outgas raises and warns of.

OutgasError
    InputError              what was given cannot be used (also a ValueError)
        UnitError           a unit is missing, unknown or of the wrong kind
        UnknownNameError    no such resin, volatile, process ... with the nearest names
        SeveralMistakesError    all that was wrong, one line each
    OutOfRangeError         a model was asked beyond its range (also a ValueError)
    RefusedError            it can be computed, but doing it would be unsafe (also a ValueError)
    DataError               a table, shipped or the user's own, is broken

OutgasWarning               the answer stands, but read this first
"""

import difflib
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar, cast

Read = TypeVar("Read")


class OutgasError(Exception):
    """Root of everything outgas raises on purpose.

    Examples
    --------
    >>> issubclass(UnitError, OutgasError) and issubclass(DataError, OutgasError)
    True
    """


class InputError(OutgasError, ValueError):
    """What was given cannot be used.

    Examples
    --------
    >>> import outgas
    >>> outgas.Layup(plies="400 g/m2 woven glass")
    Traceback (most recent call last):
        ...
    outgas.errors.InputError: plies and bag_side are lists, as ['400 g/m2 woven glass']
    """


class UnitError(InputError):
    """A unit is missing, unknown, ambiguous or of the wrong kind.

    Examples
    --------
    >>> import outgas
    >>> try:
    ...     outgas.read_pressure("60")
    ... except UnitError:
    ...     print("a pressure needs a unit")
    a pressure needs a unit
    """


class OutOfRangeError(OutgasError, ValueError):
    """A model was asked beyond the range in which it holds.

    Examples
    --------
    >>> import outgas
    >>> try:
    ...     outgas.barometer("20 km")
    ... except OutOfRangeError:
    ...     print("beyond the lowest layer of the atmosphere")
    beyond the lowest layer of the atmosphere
    """


class RefusedError(OutgasError, ValueError):
    """It can be computed, but doing it would be unsafe.

    Examples
    --------
    >>> import outgas
    >>> rig = outgas.Rig(pump_displacement="5 m3/h")
    >>> try:
    ...     outgas.hold("60 mbar", rig, "1013 mbar", deepest="90 mbar")
    ... except RefusedError as error:
    ...     print(error)
    setpoint is 60 mbar, deeper than the deepest safe 90 mbar
    """


class DataError(OutgasError, ValueError):
    """A table is broken; the message names the file, the record and the field.

    Examples
    --------
    >>> str(DataError("resins.toml: my-resin.density: expected a number"))
    'resins.toml: my-resin.density: expected a number'
    """


class OutgasWarning(UserWarning):
    """The answer stands, but read this first.

    Examples
    --------
    A script that must not go on may turn it into an error:

    >>> import warnings
    >>> import outgas
    >>> with warnings.catch_warnings():
    ...     warnings.simplefilter("error", OutgasWarning)
    ...     try:
    ...         outgas.read_pressure("29.9 inHg vacuum", "1013 mbar")
    ...     except OutgasWarning:
    ...         print("a dial cannot tell")
    a dial cannot tell
    """


class UnknownNameError(InputError):
    """No such name; the message lists the nearest ones.

    Attributes
    ----------
    kind, given, nearest
        What was looked for ('resin'), what was given, and close names that exist.

    Examples
    --------
    >>> error = UnknownNameError("volatile", "stirene", ["styrene", "water"])
    >>> error.nearest
    ['styrene']
    >>> print(error)
    no volatile is called 'stirene'; did you mean styrene?
    """

    def __init__(self, kind: str, given: str, known: Iterable[str]) -> None:
        names = sorted(known)
        self.kind, self.given = kind, given
        self.nearest = difflib.get_close_matches(given[:60].lower(), names, n=3, cutoff=0.4)
        hint = (
            f"did you mean {' or '.join(self.nearest)}?"
            if self.nearest
            else f"known are {', '.join(names)}"
        )
        super().__init__(f"no {kind} is called {given[:60]!r}; {hint}")

    @classmethod
    def several(cls, kind: str, given: str, names: Sequence[str]) -> "UnknownNameError":
        """Return the error of a word that could be several names, the likeliest first.

        Examples
        --------
        >>> print(UnknownNameError.several("core", "foam", ["pvc-foam", "san-foam"]))
        foam: say which; pvc-foam is what most shops mean; also san-foam
        """
        first, *others = names
        also = f"; also {', '.join(others)}" if others else ""
        text = f"{given[:60]}: say which; {first} is what most shops mean{also}"
        return _rebuild_unknown(kind, given, list(names), text)

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild_unknown, (self.kind, self.given, self.nearest, str(self)))


def _rebuild_unknown(kind: str, given: str, nearest: list[str], text: str) -> UnknownNameError:
    """Rebuild the pickled error without the list of known names."""
    error = UnknownNameError(kind, given, nearest)
    error.args, error.nearest = (text,), nearest
    return error


class SeveralMistakesError(InputError):
    """What cannot be used, one line for each mistake.

    Attributes
    ----------
    mistakes
        The lines.

    Examples
    --------
    >>> error = SeveralMistakesError(["temperature is cold", "humidity is wet"])
    >>> print(error)
    temperature is cold; humidity is wet
    >>> len(error.mistakes)
    2
    """

    def __init__(self, mistakes: Sequence[str]) -> None:
        super().__init__("; ".join(mistakes))
        self.mistakes = tuple(mistakes)

    def __reduce__(self) -> tuple[object, ...]:
        return (SeveralMistakesError, (self.mistakes,))


class Mistakes:
    """Refusals gathered while several things are read, so that all are told at once.

    Examples
    --------
    >>> def refuse(text):
    ...     raise InputError(f"{text} is nothing")
    >>> read = Mistakes()
    >>> one, other = read(refuse, "this"), read(refuse, "that")
    >>> stands_on_it = read(str.upper, one)  # not read: what it needs was refused
    >>> read.done()
    Traceback (most recent call last):
        ...
    outgas.errors.SeveralMistakesError: this is nothing; that is nothing
    """

    def __init__(self) -> None:
        self._found: list[OutgasError] = []
        self._refused = object()

    def __call__(self, reader: Callable[..., Read], *given: Any) -> Read:
        """Return what was read; where it was refused something that done() never lets out."""
        nothing = cast(Read, self._refused)
        if any(value is self._refused for value in given):
            return nothing
        try:
            return reader(*given)
        except OutgasError as error:
            self._found.append(error)
            return nothing

    def done(self) -> None:
        """Raise what was refused: one as it is, several as lines of one error."""
        if not self._found:
            return
        if len(self._found) == 1:
            raise self._found[0]
        lines: list[str] = []
        for error in self._found:
            lines += error.mistakes if isinstance(error, SeveralMistakesError) else [str(error)]
        raise SeveralMistakesError(list(dict.fromkeys(lines)))
