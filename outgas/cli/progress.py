"""Progress on a terminal for work that takes more than two seconds; never in a pipe.

It stands on standard error, and is gone before the first line of the answer is printed.
"""

import contextlib
import sys
import threading
from collections.abc import Iterator
from typing import TYPE_CHECKING, TextIO

from outgas.show import progress

if TYPE_CHECKING:
    from rich.progress import Progress

AFTER_s = 2.0  # shorter work needs none


class Shown:
    """What is told of the work, shown on a stream from AFTER_s on until done()."""

    def __init__(self, stream: TextIO, after_s: float = AFTER_s) -> None:
        self._stream, self._lock = stream, threading.RLock()
        self._doing, self._done, self._whole = "working", 0, 0
        self._bar: Progress | None = None
        self._ended = False
        self._timer = threading.Timer(after_s, self._begin)
        self._timer.daemon = True

    def start(self) -> None:
        """Wait in the background; what is shown comes by itself."""
        self._timer.start()

    def hear(self, doing: str, done: int, whole: int) -> None:
        """Take in how far the work has come."""
        with self._lock:
            self._doing, self._done, self._whole = doing, done, whole
            self._update()

    def done(self) -> None:
        """Take it off the terminal; nothing is shown after that."""
        self._timer.cancel()
        with self._lock:
            self._ended = True
            if self._bar is not None:
                self._bar.stop()
                self._bar = None

    def _begin(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

        with self._lock:
            if self._ended:
                return
            columns = TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn()
            console = Console(file=self._stream)
            self._bar = Progress(*columns, console=console, transient=True)
            self._bar.add_task(self._doing, total=None)
            self._bar.start()
            self._update()

    def _update(self) -> None:
        if self._bar is not None:
            task = self._bar.tasks[0].id
            whole = self._whole if self._whole > 1 else None
            self._bar.update(task, description=self._doing, completed=self._done, total=whole)


_now: list[Shown] = []  # what is shown just now; one at most


def stop() -> None:
    """Take what is shown off the terminal: something is about to be printed."""
    for shown in _now:
        shown.done()


@contextlib.contextmanager
def watching(*, quiet: bool = False, stream: TextIO | None = None) -> Iterator[None]:
    """Show how far the work within has come, on a terminal alone; quiet: not there either."""
    stream = sys.stderr if stream is None else stream
    if quiet or not stream.isatty():
        yield
        return
    shown = Shown(stream)
    _now.append(shown)
    shown.start()
    try:
        with progress.listening(shown.hear):
            yield
    finally:
        shown.done()
        _now.remove(shown)
