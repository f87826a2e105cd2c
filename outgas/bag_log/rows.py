"""The rows of a log, read a piece at a time into plain arrays: what cannot be read is counted."""

import math
from array import array
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from outgas.bag_log.columns import Layout, day_seconds, is_clock, split

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DAY_s = 86400.0


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
        at_T = -1 if lay.temperature is None else lay.temperature.index
        most = max(at_t, at_p, at_T)
        for line in lines:
            fields = split(line, lay.delimiter) if '"' in line else line.split(lay.delimiter)
            if len(fields) <= most:
                self.unreadable += bool(line.strip())
                continue
            try:
                t = self._time(fields[at_t])
            except ValueError:
                self.unreadable += 1
                continue
            p = self._number(fields[at_p])
            self.unreadable += p != p  # nan
            self.times.append(t)
            self.pressures.append(p)
            self.temperatures.append(self._number(fields[at_T]) if at_T >= 0 else math.nan)

    def _number(self, text: str) -> float:
        try:
            value = float(text.replace(",", ".")) if self.layout.comma else float(text)
        except ValueError:
            return math.nan
        return value if math.isfinite(value) else math.nan

    def _time(self, text: str) -> float:
        if not self.kind:
            self.kind = self._kind_of(text)
        if self.kind == "number":
            value = float(text.replace(",", ".")) if self.layout.comma else float(text)
            if not math.isfinite(value):
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
