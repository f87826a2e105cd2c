"""Which kind of pressure a column holds, absolute, gauge or vacuum: said, or shown at rest.

A bag at rest, before the pump or after it, is at the barometer: an absolute column then reads the
barometer, a gauge or a vacuum column nothing. What the head says and the rest contradicts is
refused, and so is what neither tells: to take a vacuum for an absolute pressure would turn a deep
bag into a shallow one.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.bag_log.columns import Column, pascal_per
from outgas.errors import InputError
from outgas.readings import ABSOLUTE_UNLESS_SAID, PRESSURE_NAMES

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NEAR = 0.04  # of the barometer: as far as weather, and a gauge's zero, stray
REST = 0.02  # of the rows at either end are looked at for a bag at rest
MOVED = 0.25  # of the barometer: a bag that was pulled
COMMON = ("mbar", "kpa", "bar", "torr", "psi", "inhg", "pa")  # tried where no unit was said


@dataclass(frozen=True, slots=True)
class Kind:
    """A pressure column as it is taken: its unit, its kind, and how that was known."""

    unit: str
    kind: str
    how: str

    def absolute(self, values: "Floats", barometer_Pa: float) -> "Floats":
        """Return what was read as absolute pressures [Pa]."""
        p = values * pascal_per(self.unit, barometer_Pa)
        if self.kind == "absolute":
            return p
        return barometer_Pa + p if self.kind == "gauge" else barometer_Pa - np.abs(p)


def kind_of(column: Column, values: "Floats", barometer_Pa: float) -> Kind:
    """Return which kind of pressure a column holds, or refuse it in one line.

    values: as they stand in the file; nan where one could not be read.
    """
    known = values[np.isfinite(values)]
    if not known.size:
        raise InputError(f"pressure column {column.head!r} holds no number")
    unit, guessed = column.unit, ""
    if not unit:
        unit = _unit_at_rest(column, known, barometer_Pa)
        guessed = f"unit guessed from {known[0]:.6g} at rest; "
    shares = known * (pascal_per(unit, barometer_Pa) / barometer_Pa)
    shown = _at_rest(shares)
    said = column.qualifier or ("vacuum" if unit == "%" else "")
    if said:
        _agree(column, said, shown, shares)
        return Kind(unit, said, f"{guessed}{said}, as its head or you said")
    if shown:
        _agree(column, shown, shown, shares)
        if shown != "absolute" and unit in ABSOLUTE_UNLESS_SAID:
            raise InputError(_two(column, unit, f"it reads as {shown} at rest"))
        return Kind(unit, shown, f"{guessed}{shown}, by what it reads at rest")
    if unit in ABSOLUTE_UNLESS_SAID and float(shares.min()) >= 0.0:
        return Kind(unit, "absolute", f"{guessed}absolute, as {_name(unit)} is unless it is said")
    raise InputError(_two(column, unit, "the bag is never at rest in it"))


def _name(unit: str) -> str:
    return PRESSURE_NAMES.get(unit, unit)


def _two(column: Column, unit: str, why: str) -> str:
    name = _name(unit)
    return (
        f"pressure column {column.head!r} may be absolute or below the air ({why}); say which, as "
        f"'{column.head or column.index + 1} [{name} absolute]', '[{name} gauge]' or "
        f"'[{name} vacuum]'"
    )


def _at_rest(shares: "Floats") -> str:
    """Return the kind that the ends of a log show, '' where neither is at rest; in barometers."""
    count = max(1, int(REST * shares.size))
    ends = float(np.median(shares[:count])), float(np.median(shares[-count:]))
    low, high = float(shares.min()), float(shares.max())
    if any(abs(end - 1.0) <= NEAR for end in ends) and low >= -NEAR:
        return "absolute" if low < 1.0 - MOVED or high <= 1.0 + NEAR else ""
    if low < -NEAR:
        return "gauge"
    if any(abs(end) <= NEAR for end in ends) and high > MOVED:
        return "vacuum"
    return ""


def _agree(column: Column, said: str, shown: str, shares: "Floats") -> None:
    """Refuse a kind that the numbers contradict."""
    low, high = float(shares.min()), float(shares.max())
    wrong = ""
    if said == "absolute" and low < -NEAR:
        wrong = f"it falls to {low:.2f} of the barometer, below nothing"
    elif said == "absolute" and shown in ("gauge", "vacuum"):
        wrong = f"it reads like {shown}: nothing at rest, where absolute reads the barometer"
    elif said in ("gauge", "vacuum") and shown == "absolute":
        wrong = "it reads the barometer at rest, where gauge and vacuum read nothing"
    elif said == "gauge" and (low < -1.0 - NEAR or high > MOVED):
        wrong = f"it runs from {low:.2f} to {high:.2f} of the barometer"
    elif said == "vacuum" and max(abs(low), abs(high)) > 1.0 + NEAR:
        wrong = f"it reaches {max(abs(low), abs(high)):.2f} of the barometer"
    if wrong:
        raise InputError(f"pressure column {column.head!r} is said to be {said}, but {wrong}")


def _unit_at_rest(column: Column, values: "Floats", barometer_Pa: float) -> str:
    """Return the one unit in which a bag at rest reads the barometer."""
    count = max(1, int(REST * values.size))
    for end in (float(np.median(values[:count])), float(np.median(values[-count:]))):
        for unit in COMMON:
            if abs(end * pascal_per(unit, barometer_Pa) / barometer_Pa - 1.0) <= NEAR:
                return unit
    raise InputError(
        f"pressure column {column.head!r} has no unit, and no bag at rest shows it; write it as "
        f"'{column.head or column.index + 1} [mbar absolute]'"
    )
