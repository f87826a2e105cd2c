"""How far a long piece of work has come, told to whoever listens; to nobody if nobody does.

Work says what it does and how much of it is done; the command line listens where there is a
terminal to show it on. A program or a notebook hears nothing unless it sets a listener.

>>> heard = []
>>> with listening(lambda doing, done, whole: heard.append((doing, done, whole))):
...     tell("counting", 1, 3)
>>> tell("counting", 2, 3)
>>> heard
[('counting', 1, 3)]
"""

import contextlib
from collections.abc import Callable, Iterator
from contextvars import ContextVar
from typing import TypeAlias

Listener: TypeAlias = Callable[[str, int, int], None]

_listener: ContextVar[Listener | None] = ContextVar("listener", default=None)


def tell(doing: str, done: int, whole: int) -> None:
    """Tell what is being done, and how much of it is."""
    listener = _listener.get()
    if listener is not None:
        listener(doing, done, whole)


@contextlib.contextmanager
def listening(listener: Listener | None) -> Iterator[None]:
    """Let a listener hear what is told within."""
    before = _listener.set(listener)
    try:
        yield
    finally:
        _listener.reset(before)
