"""A log made good: one clock that only goes on, absolute pressures, kelvins, and what was wrong."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.bag_log.columns import TEMPERATURE_UNITS, TIME_UNITS, Column, to_kelvin
from outgas.bag_log.kinds import Kind, kind_of
from outgas.bag_log.rows import Rows
from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GAP_STEPS, GAP_s = 5.0, 20.0  # a pause of so many usual steps, and so long, is a gap
LEAST_SPAN_s = 300.0  # no cure is logged in less: a time without a unit is then not in seconds
OVER = 1.05  # barometers: above it a bag's sensor reads wrong
ROOM_degC = (5.0, 45.0)  # between which a bare temperature is taken for degrees Celsius
ROOM_K = (270.0, 450.0)
WORST_degC = (-30.0, 260.0)  # outside, a probe is broken


@dataclass(frozen=True, slots=True, kw_only=True)
class Samples:
    """A log in SI: times from its first row, absolute pressures, temperatures; nan where unknown.

    gaps are (start, end) of pauses; jumps is how often the clock went back, and was set on.
    dropped is how many readings of pressure no bag can have; read is the column as it was taken.
    """

    time_s: "Floats"
    pressure_Pa: "Floats"
    temperature_K: "Floats"
    step_s: float
    gaps: tuple[tuple[float, float], ...]
    jumps: int
    dropped: int
    unreadable: int
    kind: Kind
    taken: tuple[str, ...]

    @property
    def missing_s(self) -> float:
        """How long there are no readings, all gaps together [s]."""
        return sum(end - start for start, end in self.gaps)


def samples_of(rows: Rows, barometer_Pa: float) -> Samples:
    """Return a log made good; InputError where it cannot be."""
    raw_t, raw_p, raw_T = rows.arrays()
    if raw_t.size < 2:
        raise InputError("the log has fewer than two rows that can be read")
    lay = rows.layout
    per, time_said = _time_unit(rows, raw_t)
    t, step, gaps, jumps = _one_clock(raw_t * per if per != 1.0 else raw_t)
    kind = kind_of(lay.pressure, raw_p, barometer_Pa)
    p = kind.absolute(raw_p, barometer_Pa)
    wrong = (p > OVER * barometer_Pa) | (p < (1.0 - OVER) * barometer_Pa)
    dropped = int(np.count_nonzero(wrong))
    p[wrong] = np.nan
    np.clip(p, 0.0, None, out=p)
    unread = np.flatnonzero(~np.isfinite(p))
    T, warm_said = _kelvins(lay.temperature, raw_T)
    said = f"pressure: column {_shown(lay.pressure)} in {kind.unit}, {kind.how}"
    return Samples(
        time_s=t,
        pressure_Pa=p,
        temperature_K=T,
        step_s=step,
        gaps=_with_unread(gaps, t, unread, step),
        jumps=jumps,
        dropped=dropped,
        unreadable=rows.unreadable,
        kind=kind,
        taken=(f"time: column {_shown(lay.time)}, {time_said}", said, warm_said),
    )


def _shown(column: Column) -> str:
    return f"{column.index + 1} {column.head!r}"


def _time_unit(rows: Rows, t: "Floats") -> tuple[float, str]:
    """Return seconds per unit of the time column, and how it was taken."""
    if rows.kind != "number":
        return 1.0, "a clock"
    unit = rows.layout.time.unit
    if unit:
        return TIME_UNITS[unit], f"in {unit}"
    if float(np.ptp(t)) < LEAST_SPAN_s:
        head = rows.layout.time.head or rows.layout.time.index + 1
        raise InputError(
            f"time column {head!r} has no unit and spans {np.ptp(t):.4g}; write it as "
            f"'{head} [min]', [h] or [s]"
        )
    return 1.0, "guessed to be seconds"


def _one_clock(t: "Floats") -> tuple["Floats", float, tuple[tuple[float, float], ...], int]:
    """Return times from nought that only go on, the usual step, the gaps, how often it went back.

    Where the clock went back, the next row is taken to follow by the usual step.
    """
    steps = np.diff(t)
    ahead = steps[steps > 0.0]
    step = float(np.median(ahead)) if ahead.size else 1.0
    back = steps < 0.0
    jumps = int(np.count_nonzero(back))
    if jumps:
        steps = np.where(back, step, steps)
    long = np.flatnonzero(steps > max(GAP_STEPS * step, GAP_s))
    whole = np.empty_like(t)
    whole[0] = 0.0
    np.cumsum(steps, out=whole[1:])
    gaps = tuple((float(whole[i]), float(whole[i + 1])) for i in long)
    return whole, step, gaps, jumps


def _with_unread(
    gaps: tuple[tuple[float, float], ...], t: "Floats", unread: "NDArray[np.int_]", step: float
) -> tuple[tuple[float, float], ...]:
    """Return the gaps with those runs of rows in which no pressure could be read."""
    if not unread.size:
        return gaps
    runs = np.split(unread, np.flatnonzero(np.diff(unread) > 1) + 1)
    found = list(gaps)
    for run in runs:
        start, end = float(t[max(run[0] - 1, 0)]), float(t[min(run[-1] + 1, t.size - 1)])
        if end - start > max(GAP_STEPS * step, GAP_s):
            found.append((start, end))
    return tuple(sorted(found))


def _kelvins(column: Column | None, raw: "Floats") -> tuple["Floats", str]:
    """Return temperatures [K], nan where a probe is broken, and how they were taken."""
    if column is None:
        return raw, "temperature: no column; the laminate's own warming is taken instead"
    known = raw[np.isfinite(raw)]
    if not known.size:
        return raw, f"temperature: column {_shown(column)} holds no number, and is left out"
    unit, how = TEMPERATURE_UNITS.get(column.unit, ""), "as its head or you said"
    if not unit:
        middle = float(np.median(known))
        how = f"guessed from {middle:.4g}"
        if ROOM_degC[0] <= middle <= ROOM_degC[1]:
            unit = "C"
        elif ROOM_K[0] <= middle <= ROOM_K[1]:
            unit = "K"
        else:
            head = column.head or column.index + 1
            raise InputError(
                f"temperature column {head!r} has no unit, and {middle:.4g} may be degrees C or F; "
                f"write it as '{head} [C]' or '[F]'"
            )
    T = np.asarray(to_kelvin(raw, unit))
    low, high = (x + ZERO_CELSIUS_K for x in WORST_degC)
    return np.where((low < T) & (high > T), T, np.nan), (
        f"temperature: column {_shown(column)} in {unit}, {how}"
    )
