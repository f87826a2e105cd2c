"""How long the steps of a course last, where no plan lays them out."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from outgas.job.job import Job, working_time
from outgas.physics.chance import Band
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming

SLOW_TO_GEL = ("epoxy",)  # families that stay thin for an hour


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long the steps of a course last [s]: before any vacuum, early, and until it thickens.

    The last with its ends, by the gel or by the table: when it thickens is the resin's to say.
    """

    cup_s: float
    early_s: float
    hold: Band


def lasting(job: Job, warming: "Warming | None") -> Lasting:
    """Return how long the steps are reckoned with: by the laminate's own gel where it is known.

    The early step ends within the last change of pressure's share of the gel, and is no longer
    than is usual. What is left to the gel is the hold's, from the quick to the slow end of it.
    """
    clock, time = catalogue.practice().clock, catalogue.gas().time
    early = clock.settle.si if job.process.filled else clock.debulk.si
    hold = time.hold
    if job.process.putty:
        hold = time.putty_hold
    elif job.resin.family in SLOW_TO_GEL:
        hold = time.hold_epoxy
    if warming is None or not math.isfinite(warming.gel_s):
        return Lasting(time.cup.si, early, hold.band)
    cup = clock.mix.si + working_time(job)
    least = clock.settle.si
    if not job.process.filled:
        cup += clock.bag.si + clock.leak_check.si
        least = clock.debulk_least.si
    left = clock.last_change.si * warming.gel_s - cup
    early = min(max(left, least), early)
    gels = (warming.gel_s, *warming.gel_interval_s)
    return Lasting(
        cup, early, Band(*(max(gel - cup - early, clock.debulk_least.si) for gel in gels))
    )
