"""How warm the resin of a stage may be: the lowest of what is known, and none where nothing is.

What boils at the stage's pressure, the flash point less a clearance where resin stands open, the
resin's own sheet, and where mixed resin would no longer last as long as the stage needs it to.
"""

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from outgas.job.job import Job
from outgas.laminate.batch import Batch, pot_lives, slowed
from outgas.laminate.case import Case
from outgas.laminate.vapour import vapour, warmest_known
from outgas.show.amounts import celsius
from outgas.show.caution import Caution, Harm
from outgas.tables import catalogue
from outgas.tables.materials import Resin
from outgas.tables.volatiles import Volatile
from outgas.window.cautions import named_in_brief
from outgas.window.limits import vapour_borne

COLDEST_K = 263.15  # where every volatile's vapour curve begins
JUST_LONGER = 1.01  # a cup is followed no longer than it is asked about
COLD_CUP_K, HOT_CUP_K = 273.15, 333.15  # between which a cup is worked
BISECTIONS = 40
CUP_LOOKS, CUP_POINTS = 2, 8  # to less than a kelvin, on its cool side: cups are run together


@dataclass(frozen=True, slots=True)
class Lasts:
    """How long mixed resin is needed [s] from mixing.

    cup: in its cup; gel: how late the laminate may gel at the soonest; laid: how long what has
    left the cup still lies open.
    """

    cup: float = 0.0
    gel: float = 0.0
    laid: float = 0.0


@dataclass(frozen=True, slots=True)
class Mixed:
    """What was mixed for a job: how fast it reacts, the batch in its cup [kg], the gel [s]."""

    job: Job
    pace: Batch
    batch: float | None
    gel: float


def lowest(*caps: float | None) -> float | None:
    """Return the lowest cap that is known."""
    return min((cap for cap in caps if cap is not None), default=None)


def warmest_where(holds: Callable[[float], bool], low: float, high: float, steps: int) -> float:
    """Return the warmest [K] between two ends at which something still holds; low if nowhere."""
    if holds(high):
        return high
    for _ in range(steps):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def boil_cap(case: Case, pressure: float, *, pot: bool = False) -> float | None:
    """Return the warmest [K] at which the vapour lets the bag be at a pressure; None: any.

    In a pot nobody followed the warmth: it keeps the wider margin of its own band.
    """
    borne = vapour_borne(case, pressure, known=not pot and case.hottest.warming is not None)
    known = warmest_known(case)
    at = warmest_where(lambda T: vapour(case, T).high <= borne, COLDEST_K, known, BISECTIONS)
    return at if at < known else None


def sheet_cap(resin: Resin) -> float | None:
    """Return the warmest [K] that a sheet knows of once resin sets: its cure, its mass's peak."""
    known = resin.cure_temperature or resin.peak_temperature
    return None if known is None else known.high_si


def _flashes(volatiles: list[Volatile]) -> list[tuple[Volatile, float]]:
    """Return what has a flash point, and how warm [K] it may stand open."""
    clear = catalogue.practice().clock.flash_clearance.si
    return [(v, v.flash_point.si - clear) for v in volatiles if v.flash_point is not None]


def flash_cap(resin: Resin, expected: float) -> float | None:
    """Return how warm [K] a resin may stand open, by those flash points that a shop can obey.

    Clear of the flash point; in a shop too warm for that clearance but still below the flash
    point, the flash point itself, and near_flash says so. One beyond what a cup is worked at
    would only invite heat: it is left out.
    """
    own = catalogue.monomers(resin)
    coldest, clear = resin.minimum_temperature.si, catalogue.practice().clock.flash_clearance.si
    cap = lowest(*(T for _, T in _flashes(own) if coldest <= T <= HOT_CUP_K))
    return cap + clear if cap is not None and cap < expected < cap + clear else cap


def near_flash(resin: Resin, expected: float) -> tuple[str, ...]:
    """Return a caution for what stands open nearer to its flash point than is wished."""
    return tuple(
        Caution(
            f"{v.title} stands open here within a few kelvin of its flash point "
            f"({celsius(v.flash_point.si)}, closed cup): cool resin and shop if you can, "
            "ventilate, no spark, flame or hot tool near",
            Harm.FUMES,
            named_in_brief(v.title, "is near its flash point: no spark"),
        )
        for v, T in _flashes(catalogue.monomers(resin))
        if v.flash_point is not None and T < expected < v.flash_point.si
    )


def ignitable(job: Job) -> tuple[str, ...]:
    """Return a caution for what burns over the resin at any temperature it can be worked at."""
    spilt = (volatile for volatile, _ in job.contaminants)
    held = [*catalogue.monomers(job.resin), *spilt]
    return tuple(
        Caution(
            f"an ignitable vapour stands over {v.title} at any shop temperature (flash point "
            f"{celsius(v.flash_point.si)}, closed cup): no spark, flame, switch or hot tool near "
            "open resin",
            Harm.FUMES,
            named_in_brief(v.title, "burns in any shop: no spark or flame"),
        )
        for v, T in _flashes(held)
        if v.flash_point is not None and job.resin.minimum_temperature.si > T
    )


def cup_lasts(job: Job, pace: Batch, batch: float, needed: float, T: float) -> bool:
    """Return whether a batch lasts in its cup for a time [s] with resin and shop at T [K]."""
    return cups_last(job, pace, batch, needed, [T])[0]


def cups_last(
    job: Job, pace: Batch, batch: float, needed: float, at: Sequence[float]
) -> list[bool]:
    """Return the same with resin and shop at each of some temperatures [K]."""
    warmed = [job.but(shop=job.shop._moved(temperature_K=T)) for T in at]
    lives = pot_lives(warmed, pace, batch, until=JUST_LONGER * needed)
    return [life is None or life >= needed for life in lives]


@functools.lru_cache(maxsize=512)
def cup_cap(job: Job, pace: Batch, batch: float, needed: float) -> float | None:
    """Return the warmest [K] resin and shop at which a batch lasts in its cup [s]; None: any."""
    low, high = COLD_CUP_K, HOT_CUP_K
    for _ in range(CUP_LOOKS):
        step = (high - low) / CUP_POINTS
        at = [low + i * step for i in range(CUP_POINTS + 1)]
        lasts = cups_last(job, pace, batch, needed, at)
        if all(lasts):
            return None if high == HOT_CUP_K else high
        first = lasts.index(False)
        low, high = at[max(first - 1, 0)], at[first]
    return low


def gel_cap(job: Job, T: float, gel: float, needed: float) -> float | None:
    """Return the warmest [K] at which what gels so late at T is late enough [s]; None: any."""
    if needed <= 0.0 or gel == float("inf"):
        return None
    at = slowed(job, T, needed / gel)
    return at if at < HOT_CUP_K else None


def lasting_cap(mixed: Mixed, expected: float, lasts: Lasts) -> float | None:
    """Return the warmest [K] at which mixed resin lasts as long as is needed.

    In its cup a quick batch counts, and the cup's own heat even after it is poured out; but what
    lasts with the sheet's own batch at the temperature it will have is not forbidden.
    """
    job, pace, batch = mixed.job, mixed.pace, mixed.batch
    hard = gel_cap(job, expected, mixed.gel, lasts.gel)
    if batch is None or max(lasts.cup, lasts.laid) <= 0.0:
        return hard
    factor, gel = pace.factor / pace.shorter, pace.gel_s * pace.shorter
    quick = Batch(pace.curing, factor, 1.0, 1.0, gel)
    cups = [cup_cap(job, quick, batch, lasts.cup)] if lasts.cup > 0.0 else []
    cups += [cup_cap(job, pace, batch, lasts.laid)] if lasts.laid > 0.0 else []
    soft = lowest(hard, *cups)
    if soft is None or soft >= expected:
        return soft
    if lasts.cup > 0.0 and not cup_lasts(job, pace, batch, lasts.cup, expected):
        hard = lowest(hard, cup_cap(job, pace, batch, lasts.cup))
    return expected if hard is None else max(soft, min(hard, expected))
