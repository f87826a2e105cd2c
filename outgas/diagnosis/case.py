"""What the causes are judged by: one case, one bag, what was seen."""

import dataclasses
from dataclasses import dataclass

import numpy as np

from outgas.constants import GAS_CONSTANT
from outgas.diagnosis.diagnosis import Span
from outgas.job.job import Job
from outgas.job.told_pressure import ToldPressure
from outgas.laminate import whiteness
from outgas.laminate.case import Case
from outgas.laminate.course import Course, course_of, target_of
from outgas.laminate.gas.limits import limit
from outgas.laminate.vapour import Vapour, monomer_pressures, vapour, warmest_known
from outgas.laminate.water import surface_humidity
from outgas.show.amounts import celsius
from outgas.show.report import At, Line
from outgas.tables import catalogue
from outgas.window.limits import margin_over
from outgas.window.window import window_of

COLDER_K = 0.5  # a tool this much below the air is a cold one


@dataclass(frozen=True, slots=True)
class Gate:
    """What the physics says of one cause: how much room it leaves, and what speaks for and against.

    room is 0 (impossible) to 1; void and radius [m] are what the cause would make.
    """

    room: float
    void: Span | None = None
    radius: Span | None = None
    acts: Line | str = ""
    pros: tuple[Line | str, ...] = ()
    cons: tuple[Line | str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """A white laminate as it is judged: how it was made, what the bag was at, what was seen.

    bag and resin are what the pressure may have been in the bag and in the resin; course is what
    the laminate went through: straight to the bag's pressure, unless a debulk was told; air_limits
    are where its air shows, and misses the void target.
    """

    job: Job
    case: Case
    course: Course
    bag: ToldPressure
    resin: ToldPressure
    seen: dict[str, str]
    hot: Vapour
    upper_Pa: float
    least_Pa: float
    air_limits: Span

    @property
    def barometer(self) -> float:
        """The air pressure [Pa]."""
        return self.case.barometer_Pa

    @property
    def thickness(self) -> float:
        """Of the laminate looked through [m]: as the layup has it, else the table's."""
        return self.case.thickness_m

    @property
    def index(self) -> float:
        """The index of refraction of the cured resin."""
        return whiteness.index_of(self.case.resin.family)

    @property
    def failed_Pa(self) -> float | None:
        """What the bag was at when the laminate failed [Pa]; None where nobody said."""
        known = self.bag.stated and self.case.process.bag_sets_resin
        return self.bag.median if known else None

    @property
    def clamp(self) -> float:
        """The pressure of the air on the bag, in the middle of what is believed [Pa]."""
        return max(0.0, self.barometer - self.bag.median)


def inspection_of(
    job: Job, case: Case, bag: ToldPressure, resin: ToldPressure, seen: dict[str, str]
) -> Inspection:
    """Return the inspection; the vapour's upper end counts warmth that nobody measured."""
    gate = catalogue.signs().gate
    course = course_of(case, early_of(job, case) if seen.get("debulk") == "yes" else None)
    hot = vapour(case, case.hottest_K)
    upper = hot.high
    if job.hottest_K is None and case.resin.cure_temperature is None:
        known = max(case.hottest_K, warmest_known(case))
        upper = vapour(case, min(case.hottest_K + gate.warmer.si, known)).high
    return Inspection(
        job=job,
        case=case,
        course=course,
        bag=bag,
        resin=resin,
        seen=seen,
        hot=hot,
        upper_Pa=upper,
        least_Pa=margin_over(case, hot.nominal, hot.high, known=case.hottest.known)[1],
        air_limits=limits_of_air(case, course),
    )


def early_of(job: Job, case: Case) -> float | None:
    """Return where a debulk or a fill of a job is held [Pa]; None where none can be."""
    held = window_of(job, case).debulk_hold
    return held if held < case.barometer_Pa else None


def limits_of_air(case: Case, course: Course) -> Span:
    """Return below which pressure the air of a course shows, and misses the void target [Pa].

    Nominal. The initiator's gas is left out: it is a cause of its own.
    """
    target, here = target_of(case, "clear"), case.barometer_Pa
    seen = dataclasses.replace(target, void=np.inf)
    held_to = dataclasses.replace(target, depth=np.inf)
    gas = dataclasses.replace(course.known.gas, initiator_gas=0.0)
    shows, misses = (float(limit(gas, course.steps, wanted, here)) for wanted in (seen, held_to))
    return min(shows, here), min(misses, here)


def told(text: str, *pressures: float) -> Line:
    """Return words with a pressure [Pa] in each place, in mbar until a dial is chosen."""
    return Line(text, tuple(At(p, plain=True) for p in pressures))


def clamp_needed(inspection: Inspection) -> float:
    """Return the clamp that the process needs [Pa]."""
    process = inspection.case.process
    if process.clamp is not None:
        return process.clamp.si
    return max(0.0, inspection.barometer - (process.weakest_bag.si if process.weakest_bag else 0.0))


def wetness(inspection: Inspection) -> tuple[float, str]:
    """Return from 0 to 1 how wet cloth, core and tool may have been, and why."""
    gate, seen, case = catalogue.signs().gate, inspection.seen, inspection.case
    if seen.get("cloth-store") == "damp":
        return 1.0, "the cloth came from a damp store"
    if seen.get("core-kind") == "balsa" or (case.core is not None and case.core.wood):
        return 1.0, "a wood core brings water of its own"
    humidity, where = tool_humidity(inspection)
    wet = (humidity - gate.dry.si) / (gate.damp.si - gate.dry.si)
    hidden = 0.0 if seen.get("cloth-store") == "dry and wrapped" else gate.hidden_damp.si
    return min(1.0, max(hidden, wet)), f"{humidity:.0%} humidity at {where}"


def tool_humidity(inspection: Inspection) -> tuple[float, str]:
    """Return the humidity at the tool's face, and what to call the place.

    A tool said to be colder than the air, with no temperature given, is taken a stated step below.
    """
    case, seen = inspection.case, inspection.seen
    if case.tool_K < case.shop_K - COLDER_K:
        place = f"the face of a tool at {celsius(case.tool_K)}"
        return surface_humidity(case), place
    if seen.get("tool") == "colder than the air":
        below = catalogue.signs().gate.colder.si
        colder = case.but(tool_K=case.shop_K - below)
        return surface_humidity(colder), f"a tool taken as {below:.0f} K colder than the air"
    return case.humidity, "the laminate"


def swept(inspection: Inspection) -> float:
    """Return the monomer [g] that a cubic metre of swept gas takes, saturated, at shop warmth."""
    case = inspection.case
    partial = dict(monomer_pressures(case.resin, (), case.k, case.shop_K)[0])
    return sum(
        1e3 * p * catalogue.volatile(name).molar_mass.si / (GAS_CONSTANT * case.shop_K)
        for name, p in partial.items()
    )


def air_left(inspection: Inspection) -> float:
    """Return the pressure that the dissolved air is in equilibrium with [Pa]."""
    return inspection.case.dissolved_Pa.nominal
