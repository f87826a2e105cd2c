"""The three limits of one case, on SI floats: vapour, air and core, nominal and on the safe side.

A Case holds all that a limit depends on, so that one input can be moved and the rest kept. The
safe side ('95') adds to the nominal value what the uncertain inputs, each moved to its bad end,
would add: straight for the vapour pressures, as the root of squares for the independent rest.
Nothing is ever subtracted, so more uncertainty can only ask for less vacuum.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from outgas.job.job import Job
from outgas.laminate.case import Case, hottest_vapour
from outgas.laminate.course import Course, course_of, target_of
from outgas.laminate.gas.limits import Limit, Target
from outgas.laminate.gas.together import limits_of
from outgas.laminate.vapour import vapour
from outgas.tables import catalogue

NO_LIMIT = Limit(np.asarray(0.0), np.asarray(0.0), {})  # where the gas is meant to leave


@dataclass(frozen=True, slots=True)
class Limits:
    """Lowest pressures in the resin [Pa] by criterion, nominal and on the safe side."""

    nominal: dict[str, float]
    safe: dict[str, float]
    moved: dict[str, float] = field(
        default_factory=dict
    )  # what each number of the gas, at its worse end, adds to the air's [Pa]
    unshown_air: float | None = None  # the air's by the tables alone; None without panels

    @property
    def limiting(self) -> str:
        """The criterion that asks for the most pressure."""
        return max(self.safe, key=lambda name: self.safe[name])

    @property
    def deepest(self) -> float:
        """The most that any criterion asks for, on the safe side."""
        return max(self.safe.values())

    @property
    def by_tables(self) -> float | None:
        """What deepest would be without a shop's own panels; None where there are none."""
        if self.unshown_air is None:
            return None
        return max(self.unshown_air, *(p for name, p in self.safe.items() if name != "air"))


def core_limit(case: Case) -> tuple[float, float]:
    """Return the bag pressure below which the air crushes the core, nominal and safe [Pa]."""
    if case.core is None or (case.process.pot or case.process.pressed):
        return 0.0, 0.0
    strength, creep = case.core.compressive_strength, case.core.creep_factor
    bears = strength.si * creep.si
    short = math.hypot(1.0 - strength.low_si / strength.si, 1.0 - creep.low_si / creep.si)
    sure = bears * max(0.0, 1.0 - case.k * short)
    return max(0.0, case.barometer_Pa - bears), max(0.0, case.barometer_Pa - sure)


def margin_over(of: Case | Job, nominal: float, high: float, *, known: bool) -> tuple[float, float]:
    """Return a vapour pressure and its safe side with the margin kept over them [Pa].

    known: the warmth was computed or named, so that its doubt is in the safe side already; else a
    bubble may be vapour to a stated share, against warmth that nobody foresaw. A share that was
    asked for replaces both.
    """
    margins = catalogue.practice().margins
    if of.vapour_share is not None or not known:
        share = margins.vapour_share.si if of.vapour_share is None else of.vapour_share
        return nominal / share, high / share
    times, clear = margins.vapour_times.si, margins.vapour_clear.si
    return max(times * nominal, nominal + clear), max(times * high, high + clear)


def vapour_borne(case: Case, pressure: float, *, known: bool) -> float:
    """Return the vapour pressure whose margin just ends at a pressure: margin_over turned round."""
    margins = catalogue.practice().margins
    if case.process.preimpregnated:
        return pressure
    if case.vapour_share is not None or not known:
        return pressure * (
            margins.vapour_share.si if case.vapour_share is None else case.vapour_share
        )
    return min(pressure / margins.vapour_times.si, pressure - margins.vapour_clear.si)


def vapour_limit(case: Case) -> tuple[float, float]:
    """Return the pressure above which the resin does not boil, nominal and safe [Pa].

    Prepreg is compared with the resin's own pressure, so it has no margin here.
    """
    hot = hottest_vapour(case)
    if case.process.preimpregnated:
        return hot.nominal, hot.high
    return margin_over(case, hot.nominal, hot.high, known=case.hottest.known)


def early_vapour_limit(case: Case) -> float:
    """Return what the vapour asks for while the pressure may still be changed, safe side [Pa]."""
    now = vapour(case, case.early_K)
    known = case.hottest.warming is not None
    return margin_over(case, now.nominal, now.high, known=known)[1]


def limits(case: Case, course: Course | None = None) -> Limits:
    """Return the three limits of a case in the resin, up to its hottest moment.

    course: with its early step; straight if not given.
    """
    return limits_with(case, air_limit(case, course or course_of(case, None)))


def limits_with(case: Case, air: Limit) -> Limits:
    """Return the three limits of a case whose air's is known."""
    nominal, safe = {}, {}
    nominal["vapour"], safe["vapour"] = vapour_limit(case)
    nominal["air"], safe["air"] = float(air.nominal), float(air.safe)
    nominal["core"], safe["core"] = core_limit(case)
    unshown = None if air.unshown is None else float(air.unshown)
    return Limits(nominal, safe, {name: float(by) for name, by in air.moved.items()}, unshown)


def air_limit(case: Case, course: Course, finish: str | None = None) -> Limit:
    """Return the pressure at which the gas just makes the target, nominal and safe [Pa]."""
    return air_limits([(case, course, finish)])[0]


def air_limits(asked: Sequence[tuple[Case, Course, str | None]]) -> list[Limit]:
    """Return the air's limit of each case by a course, for its own finish or another."""
    sought = [
        (course, target_of(case, finish))
        for case, course, finish in asked
        if not case.process.gas_leaves
    ]
    found = iter(
        _drawn(limit, course, target) if course.exact and course.known.shown is None else limit
        for limit, (course, target) in zip(limits_of(sought), sought, strict=True)
    )
    return [NO_LIMIT if case.process.gas_leaves else next(found) for case, _, _ in asked]


def _drawn(limit: Limit, course: Course, target: Target) -> Limit:
    from outgas.laminate.draws import exact_limit  # brings scipy: only where it is asked for

    return exact_limit(course, target, limit)


def debulk_limit(case: Case) -> float:
    """Return how deep the bag may go early, at the present temperature, on the safe side [Pa]."""
    if case.process.preimpregnated:
        return core_limit(case)[1]
    return max(early_vapour_limit(case), core_limit(case)[1])
