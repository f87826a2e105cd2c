"""Prepreg: its water against the pressure in its own resin, and how long it dries until it passes.

The bag is taken as deep as it may go, whatever it is held at: less vacuum is never credited with
the pressure that it would leave in the resin.
"""

import math
from dataclasses import dataclass
from typing import Any

from outgas.job.job import DRIED_RANGE_S, Job
from outgas.laminate import prepreg
from outgas.laminate.case import Case
from outgas.laminate.prepreg import Carried, PrepregVerdict, Push, ResinPressure
from outgas.laminate.vapour import Vapour, monomer_pressures
from outgas.laminate.water import water_activity, water_pressure, water_spread
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.limits import core_limit

HALVINGS = 30  # of a month: to a few milliseconds


@dataclass(frozen=True, slots=True)
class Drying:
    """How long prepreg must stand under full vacuum in all [s]: likely, and at the slow end.

    0 where it passes undried, infinite where no such time brings it to pass. activity is the
    water's activity at which it passes, None where it would not pass dry.
    """

    likely_s: float
    slow_s: float
    activity: float | None


@dataclass(frozen=True, slots=True)
class Held:
    """What holds a prepreg's water down, what that comes to, and what would mend it.

    push_Pa: what pushes, at its upper end. sealed: no resin leaves, so that the fibres carry less.
    """

    found: PrepregVerdict
    push_Pa: float
    resin: ResinPressure
    share: Band
    sealed: bool
    drying: Drying

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key; null for a time that never comes."""
        times = (
            t if math.isfinite(t) else None for t in (self.drying.likely_s, self.drying.slow_s)
        )
        likely, slow = times
        return {
            "sealed": self.sealed,
            "fibre_share": self.share.nominal,
            "fibre_share_low": self.share.low,
            "fibre_share_high": self.share.high,
            "resin_pressure_nominal_Pa": float(self.resin.nominal),
            "resin_pressure_low_Pa": float(self.resin.low),
            "resin_pressure_high_Pa": float(self.resin.high),
            "needs_Pa": self.found.needs_Pa,
            "passes_below_share": self.found.passes_below_share,
            "passes_below_activity": self.drying.activity,
            "drying_s": likely,
            "drying_slow_s": slow,
        }


def autoclave_pressure(job: Job) -> float:
    """Return the pressure on the bag above the atmosphere [Pa]: stated, or the usual's low end."""
    if job.rig.autoclave is not None:
        return job.rig.autoclave
    applied = job.resin.applied_pressure
    return applied.low_si if applied is not None else 0.0


def is_sealed(job: Job) -> bool:
    """Return whether the bag keeps the resin in: unless its layers are said to let gas out."""
    return job.layup.lets_gas_out is not True


def outside(job: Job) -> float:
    """Return the pressure on the bag [Pa]: the air's and the autoclave's."""
    return job.shop.barometer_Pa + autoclave_pressure(job)


def carried_of(job: Job, case: Case) -> Carried:
    """Return the share of the clamp on the fibres in the end, at the confidence asked for."""
    return _carried(is_sealed(job), case.k)


def sealed_in(case: Case) -> Carried:
    """Return the share of the clamp on fibres whose resin cannot leave."""
    return _carried(True, case.k)


def _carried(sealed: bool, k: float) -> Carried:
    share = prepreg.usual(sealed).share.scaled(k)
    low, high = max(share.low, 0.0), min(share.high, 1.0)
    return Carried(Band(share.nominal, low, high), sealed)


def resin_of(job: Job, case: Case, U: float = 1.0, carried: Carried | None = None) -> ResinPressure:
    """Return the pressure in the resin, with its ends [Pa], when a bed has consolidated by U.

    p_bag + (1 - s) (p_outside - p_bag), s the share of the clamp on the fibres; by the bag's
    layers where no share is named. A bed that is sealed carries its share from the start.
    """
    p_bag, over = core_limit(case)[1], outside(job)
    carried = carried or carried_of(job, case)
    return prepreg.resin_pressures(carried, p_bag, over, U, sealed_in(case).share)


def sure_of(resin: ResinPressure) -> float:
    """Return what the resin is sure to hold down [Pa]: its lower end, clear of its limit."""
    return (1.0 - catalogue.prepreg().verdict.within.si) * float(resin.low)


def held_of(job: Job, case: Case, hot: Vapour, carried: Carried | None = None) -> Held:
    """Return what comes of a prepreg, by what pushes at its hottest moment.

    A bed that bleeds is taken to have come to its end by then: how far it gets is in its range.
    """
    carried, high_K = carried or carried_of(job, case), case.hottest_high_K
    resin = resin_of(job, case, carried=carried)
    others = monomer_pressures(case.resin, case.contaminants, case.k, high_K)[1]
    found = prepreg.judge(hot.high, resin, core_limit(case)[1], outside(job))
    wet = water_pressure(high_K) * (1.0 + case.k * water_spread(high_K))
    soaked = Push(others + wet, wet)
    wanted = prepreg.activity_to_pass(Band.exact(1.0), soaked, resin)
    return Held(found, hot.high, resin, carried.share, carried.sealed, drying_of(case, wanted))


def drying_of(case: Case, wanted: float | None) -> Drying:
    """Return how long prepreg must be under full vacuum in all for an activity that is wanted."""
    if wanted is None:
        return Drying(math.inf, math.inf, None)
    likely, slow = (_time_to(case, wanted, end) for end in (0, 1))
    return Drying(likely, slow, wanted)


def _time_to(case: Case, wanted: float, end: int) -> float:
    """Return the time [s] until an end of the activity, nominal or upper, is as low as wanted."""

    def dry(seconds: float) -> bool:
        return water_activity(case.but(dried_s=seconds), case.hottest_high_K)[end] <= wanted

    low, high = DRIED_RANGE_S
    if dry(low):
        return 0.0
    if not dry(high):
        return math.inf
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if dry(middle) else (middle, high)
    return high


def pressure_to_pass(job: Job, case: Case, held: Held) -> float | None:
    """Return the pressure above the air on the bag [Pa] at which a prepreg passes; None: at none.

    The fibres are taken to carry the most that they may.
    """
    needs = held.push_Pa / (1.0 - catalogue.prepreg().verdict.within.si)
    carries, p_bag = 1.0 - held.share.high, core_limit(case)[1]
    if carries <= 0.0:
        return None
    return p_bag + (needs - p_bag) / carries - job.shop.barometer_Pa
