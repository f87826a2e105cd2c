"""The ways to hold a bag, ranked by how deep each may let it go at its worst."""

import math
from dataclasses import dataclass
from typing import Any

from outgas.no_gauge.bleed_hole import BleedHole
from outgas.no_gauge.held import Held
from outgas.no_gauge.switching import Switching
from outgas.no_gauge.weighted_plate import ReliefValve

PLATE, HOLE = "weighted plate", "bleed hole"
VALVE, SWITCH = "hand valve", "pump on and off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way to hold a bag: the deepest it may let it go [Pa], and whether that is no harm.

    deep_Pa is None where there is no such way with this rig.
    """

    name: str
    deep_Pa: float | None
    sure: bool

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {"name": self.name, "deep_end_Pa": self.deep_Pa, "sure": self.sure}


def ranked(
    plate: ReliefValve,
    hole: BleedHole | None,
    valve_deep_Pa: float,
    switching: Switching | None,
    window: tuple[float | None, float | None],
) -> tuple[Way, ...]:
    """Return the ways, the sure ones first, then by their worst deep ends, the least deep first.

    valve_deep_Pa: what the pump reaches at best, for a valve may be shut, or drift, or block.
    window: deepest and shallowest, as far as they were told.
    """
    p = plate.setpoint_Pa
    floor = least_sure(p, valve_deep_Pa, window[0])
    real = None if hole is None else nearest(hole, window[1])
    ends = {
        PLATE: plate.low_Pa,
        HOLE: None if real is None else real.low_Pa,
        SWITCH: None if switching is None else switching.late_Pa,
        VALVE: valve_deep_Pa,
    }
    fit = {
        PLATE: not plate.too_heavy,
        SWITCH: switching is not None and switching.practical,
    }
    ways = [
        Way(name=n, deep_Pa=end, sure=end is not None and end >= floor and fit.get(n, True))
        for n, end in ends.items()
    ]
    return tuple(sorted(ways, key=_worst_last))


def _worst_last(way: Way) -> tuple[bool, float]:
    return not way.sure, math.inf if way.deep_Pa is None else -way.deep_Pa


def least_sure(p: float, reach: float, deepest: float | None) -> float:
    """Return the deep end [Pa] that a way to hold p must stay above.

    The deepest safe; where none was told, what is nearer to p than to full vacuum.
    """
    return 0.5 * (p + min(reach, p)) if deepest is None else deepest


def nearest(hole: BleedHole, shallowest: float | None) -> Held | None:
    """Return the real hole that holds nearest to the setpoint.

    The hole names none that clamps too little; where that was not told, its range must hold it.
    """
    p = hole.setpoint_Pa
    found = [h for h in hole.holes if shallowest is not None or h.low_Pa <= p <= h.high_Pa]
    if not found:
        return None
    return min(found, key=lambda h: abs(math.log(h.pressure_Pa / hole.setpoint_Pa)))
