"""Refusals gathered while options are read, so that all are told at once."""

from collections.abc import Callable, Collection
from typing import Any, TypeVar

import click

from outgas.errors import InputError, OutgasError, RefusedError

Read = TypeVar("Read")


class Refusals:
    """What was refused so far; read() goes on after a refusal, done() raises them all in one."""

    def __init__(self) -> None:
        self._found: list[OutgasError] = []

    def read(self, reader: Callable[[], Read]) -> Read | None:
        """Return what was read, or None where it was refused."""
        try:
            return reader()
        except OutgasError as error:
            self._found.append(error)
            return None

    def add(self, message: str) -> None:
        """Take in one more."""
        self._found.append(InputError(message))

    def done(self) -> None:
        """Raise what was refused: one as it is, several joined, each told once."""
        if not self._found:
            return
        if len(self._found) == 1:
            raise self._found[0]
        message = "; ".join(dict.fromkeys(str(error) for error in self._found))
        for_safety = all(isinstance(error, RefusedError) for error in self._found)
        raise RefusedError(message) if for_safety else InputError(message)


def unused(refusals: Refusals, used: Collection[str], needs: str) -> None:
    """Refuse the options of this command that were given though nothing here uses them."""
    from click.core import ParameterSource

    context = click.get_current_context()
    told = [
        f"{option.opts[-1]} {_shown(context.params[option.name])}"
        for option in context.command.params
        if option.name not in used
        and context.get_parameter_source(option.name) is ParameterSource.COMMANDLINE
    ]
    if told:
        refusals.add(f"{', '.join(told)}: not used without {needs}; give it, or leave them out")


def _shown(value: Any) -> str:
    return ", ".join(value) if isinstance(value, tuple) else str(value)
