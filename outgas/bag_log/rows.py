"""The rows of a log, read a piece at a time into plain arrays: what cannot be read is counted."""

import math
from array import array
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from outgas.bag_log.columns import Layout, day_seconds, is_clock, split

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DAY_s = 86400.0
LARGEST = 1e300  # what is no more than a number: neither endless nor none


@dataclass(slots=True)
class Rows:
    """What was read so far, as it stood in the file: times, pressures, temperatures.

    A row whose time cannot be read is left out, one whose pressure cannot has none (nan); both are
    counted. nights is how often a clock went past midnight.
    """

    layout: Layout
    times: "array[float]" = field(default_factory=lambda: array("d"))
    pressures: "array[float]" = field(default_factory=lambda: array("d"))
    temperatures: "array[float]" = field(default_factory=lambda: array("d"))
    unreadable: int = 0
    nights: int = 0
    first: datetime | None = None
    kind: str = ""  # number, stamp or clock, by the first row

    def feed(self, lines: Iterable[str]) -> None:
        """Take in lines of the file after its header."""
        lay = self.layout
        at_t, at_p = lay.time.index, lay.pressure.index
        at_T = at_p if lay.temperature is None else lay.temperature.index
        read_time = self._quick()
        keep_t, keep_p, keep_T = (a.append for a in (self.times, self.pressures, self.temperatures))
        for line in lines:
            if read_time is None:
                self._take(line)
                read_time = self._quick()
                continue
            # Most rows of most logs: a time and two numbers, read as fast as can be.
            text = line.replace(",", ".") if lay.comma else line
            fields = text.split(lay.delimiter)
            try:
                t, p, T = read_time(fields[at_t]), float(fields[at_p]), float(fields[at_T])
            except (ValueError, IndexError, TypeError):
                self._take(line)
                continue
            if -LARGEST < t < LARGEST and -LARGEST < p < LARGEST and -LARGEST < T < LARGEST:
                keep_t(t)
                keep_p(p)
                keep_T(T if lay.temperature is not None else math.nan)
            else:
                self._take(line)

    def _quick(self) -> Callable[[str], float] | None:
        """Return what reads a time quickly; None where only the slow way is right."""
        first = self.first
        if self.kind == "number":
            return float
        if self.kind != "stamp" or first is None:
            return None
        return lambda text: (datetime.fromisoformat(text) - first).total_seconds()

    def _take(self, line: str) -> None:
        """Take in one line with whatever it holds."""
        lay = self.layout
        indices = [c.index for c in (lay.time, lay.pressure, lay.temperature) if c is not None]
        fields = split(line, lay.delimiter)
        if len(fields) <= max(indices):
            self.unreadable += bool(line.strip())
            return
        try:
            t = self._time(fields[indices[0]])
        except ValueError:
            self.unreadable += 1
            return
        p = self._number(fields[indices[1]])
        self.unreadable += p != p  # nan
        self.times.append(t)
        self.pressures.append(p)
        self.temperatures.append(self._number(fields[indices[2]]) if len(indices) > 2 else math.nan)

    def _number(self, text: str) -> float:
        try:
            value = float(text.replace(",", ".")) if self.layout.comma else float(text)
        except ValueError:
            return math.nan
        return value if -LARGEST < value < LARGEST else math.nan

    def _time(self, text: str) -> float:
        if not self.kind:
            self.kind = self._kind_of(text)
        if self.kind == "number":
            value = float(text.replace(",", ".")) if self.layout.comma else float(text)
            if not -LARGEST < value < LARGEST:
                raise ValueError(text)
            return value
        if self.kind == "stamp":
            stamp = datetime.fromisoformat(text.strip())
            if self.first is None:
                self.first = stamp
            try:
                return (stamp - self.first).total_seconds()
            except TypeError:  # one with a time zone, one without
                raise ValueError(text) from None
        value = day_seconds(text) + self.nights * DAY_s
        if self.times and value < self.times[-1] - DAY_s / 2.0:
            self.nights += 1
            value += DAY_s
        return value

    @staticmethod
    def _kind_of(text: str) -> str:
        if not is_clock(text):
            return "number"
        try:
            datetime.fromisoformat(text.strip())
        except ValueError:
            return "clock"
        return "stamp"

    def arrays(self) -> tuple["Floats", "Floats", "Floats"]:
        """Return times, pressures and temperatures as arrays; they share the memory."""
        columns = self.times, self.pressures, self.temperatures
        t, p, T = (np.frombuffer(a) if len(a) else np.empty(0) for a in columns)
        return t, p, T
