"""A log that still grows, followed: an alarm while the bag is under what its resin stands.

What cannot be known is told too: a logger that fell silent, a file that began anew.
"""

import time as clocks
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import numpy as np

from outgas.bag_log.columns import LOOKED_AT, layout_of
from outgas.bag_log.kinds import Kind
from outgas.bag_log.read_log import advice_for, error_of, mixed_at
from outgas.bag_log.rows import Rows
from outgas.bag_log.samples import Samples, samples_of
from outgas.bag_log.stood import Stood
from outgas.errors import InputError
from outgas.job.saved import Job
from outgas.job.shop import Shop
from outgas.show.amounts import clock, duration, mbar_up
from outgas.show.report import At, Line
from outgas.tables.materials import Resin

if TYPE_CHECKING:
    from outgas.units import Measure

LOOK_s = 1.0  # between two looks at the file
SILENT_s = 30.0  # without a new row, before it is said
LEAST_ROWS = 3
AGAIN_s = 10.0  # of the log, between two alarms while it stays too deep
BYTES = 4_000_000  # read at a time

EventKind: TypeAlias = Literal["begun", "alarm", "clear", "silent", "anew", "holds"]


@dataclass(frozen=True, slots=True)
class Event:
    """Something to say of a growing log: what kind, and in words."""

    kind: EventKind
    line: Line

    def on(self, barometer_Pa: float, dial: str | None) -> str:
        """Return it with its pressures on a dial."""
        return self.line.on(barometer_Pa, dial)


class Followed:
    """A growing file against a resin: look() yields what is new to say.

    The whole file is judged again with each look that finds new rows, its last row first: the
    limits are those of outgas.read_log, at the deep end of the sensor's error.
    """

    def __init__(
        self,
        path: str | Path,
        resin: str | Path | Resin | Job,
        shop: Shop | None = None,
        *,
        columns: tuple[str | None, str | None, str | None] = (None, None, None),
        mixed: "Measure | None" = None,
        sensor_error: "Measure | None" = None,
        **asked: Any,
    ) -> None:
        self.path, self._columns, self._mixed = Path(path), columns, mixed
        self.advice = advice_for(resin, shop, **asked)
        self._error = error_of(sensor_error, self.advice)
        self._stood = Stood.of(self.advice.behind.window)
        self._begin()

    def _begin(self) -> None:
        self._rows: Rows | None = None
        self._kind: Kind | None = None
        self._read, self._rest, self._head = 0, b"", ""
        self._told = 0
        self._alarmed: float | None = None
        self._over = False
        self._read_last = 0.0

    @property
    def over(self) -> bool:
        """Whether the gel holds a bubble: no later pressure counts."""
        return self._over

    def look(self) -> Iterator[Event]:
        """Yield what is new since the last look; InputError where the file cannot be read."""
        lines, anew = self._new_lines()
        if anew:
            yield Event("anew", Line("the file began anew: so does this"))
        if not lines:
            return
        if self._rows is None:
            self._head += "".join(lines)
            head = self._head.splitlines(keepends=True)
            try:
                layout = layout_of(head[:LOOKED_AT], *self._columns)
            except InputError:
                if len(head) < LOOKED_AT:
                    return  # there may be no row yet
                raise
            self._rows = Rows(layout)
            self._rows.feed(head[layout.skipped :])
        else:
            self._rows.feed(lines)
        if len(self._rows.times) >= LEAST_ROWS:
            yield from self._judged(samples_of(self._rows, self.advice.barometer_Pa))

    def _new_lines(self) -> tuple[list[str], bool]:
        """Return whole new lines of the file, and whether it began anew."""
        try:
            anew = self.path.stat().st_size < self._read
            if anew:
                self._begin()
            with self.path.open("rb") as source:
                source.seek(self._read)
                new = source.read(BYTES)
        except OSError as error:
            raise InputError(f"{self.path} cannot be read: {error.strerror or error}") from None
        self._read += len(new)
        whole, _, self._rest = (self._rest + new).rpartition(b"\n")
        text = whole.decode("utf-8-sig", errors="replace")
        return [f"{line}\n" for line in text.splitlines()] if whole else [], anew

    def _judged(self, found: Samples) -> Iterator[Event]:
        """Yield what the rows since the last look say."""
        assert self._rows is not None
        if self._kind is None:
            self._kind = found.kind
            yield Event("begun", Line("; ".join(found.taken)))
        t = found.time_s - mixed_at(self._mixed, self._rows)
        first, self._told = self._told, t.size
        part = slice(first, t.size)
        T = self._stood.warmth(t[part], found.temperature_K[part])
        limit = self._stood.limit(t[part], T)
        p = found.pressure_Pa[part]
        for i in np.flatnonzero(t[part] >= 0.0):
            yield from self._row(float(t[first + i]), float(p[i]), float(limit[i]))

    def _row(self, t: float, p: float, limit: float) -> Iterator[Event]:
        if t > self._stood.holds_s and not self._over:
            self._over = True
            yield Event("holds", Line(f"{clock(t)}: the gel holds a bubble; judging ends here"))
        if p == p:
            self._read_last = t
        elif t - self._read_last >= SILENT_s:
            self._read_last = t
            text = f"{clock(t)}: no pressure that can be read: the bag may be anywhere, look at it"
            yield Event("silent", Line(text))
        under = limit - (p - self._error)
        if under > 0.0:
            if self._alarmed is None or t - self._alarmed >= AGAIN_s:
                self._alarmed = t
                text = (
                    f"ALARM {clock(t)} after mixing: {{}}, {mbar_up(under)} mbar too deep at the "
                    "deep end of the sensor's error: let air in, to {} or weaker"
                )
                yield Event("alarm", Line(text, (At(p), At(limit + self._error))))
        elif self._alarmed is not None and p == p and limit == limit:
            self._alarmed = None
            yield Event("clear", Line(f"{clock(t)}: back above the limit, at {{}}", (At(p),)))


def follow(
    followed: Followed,
    *,
    sleep: Callable[[float], None] = clocks.sleep,
    now: Callable[[], float] = clocks.monotonic,
) -> Iterator[Event]:
    """Yield what there is to say of a growing log until its gel holds a bubble.

    Says once when no new row has come for a while: a logger that fell silent gives no alarm.
    """
    last, rows, said = now(), 0, False
    while not followed.over:
        yield from followed.look()
        if followed._told > rows:
            last, rows, said = now(), followed._told, False
        elif now() - last >= SILENT_s and not said:
            said = True
            quiet = duration(now() - last, seconds_below=120.0, whole=True)
            text = f"no new row for {quiet}: the bag may be anywhere, look at it"
            yield Event("silent", Line(text))
        if not followed.over:
            sleep(LOOK_s)
