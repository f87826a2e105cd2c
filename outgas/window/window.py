"""The window between deepest and shallowest, and the setpoint in it."""

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from outgas import readings
from outgas.errors import OutgasError
from outgas.job.job import Job
from outgas.laminate.case import Case, holds_of
from outgas.laminate.course import Course, after_early, course_of
from outgas.laminate.gas.limits import Limit
from outgas.physics import bed
from outgas.physics.chance import Band
from outgas.show.dial import coarsest_step
from outgas.tables import catalogue
from outgas.window.case.defaults import case_of, cases_of
from outgas.window.limits import Limits, air_limits, debulk_limit, limits_with
from outgas.window.prepreg import Held, held_of
from outgas.window.prepreg import autoclave_pressure as autoclave_pressure
from outgas.window.reach import margin_of, reach_of, shallowest_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Between deepest and shallowest, if the pressure can be held there [Pa], and what it is of.

    deepest and debulk_limit are what the resin stands; setpoint and debulk_hold are never deeper
    than reach_Pa, what the pump gets to at its weakest, None where no pump was told of. room is
    what the setpoint keeps from shallowest, so that no dial shows it beyond it. course is what the
    limits are of: with a debulk or a fill where that helps; straight has the limits without one.
    air_after is the air's limit with the early step, whether it helps or not. clear_Pa and shut_Pa
    are that limit by this course for a clear laminate, and with no debulk and no way out; None
    where they were not asked for. by_tables_Pa is deepest without a shop's own panels, None where
    there are none.
    """

    job: Job
    case: Case
    course: Course
    limits: Limits
    straight: Limits
    deepest: float
    deepest_straight: float
    shallowest: float
    margin: float
    setpoint: float | None
    debulk_limit: float
    debulk_hold: float
    reach_Pa: float | None = None
    room: float = 0.0
    air_after: Limit | None = None
    clear_Pa: float | None = None
    shut_Pa: float | None = None
    by_tables_Pa: float | None = None
    held: Held | None = None  # what holds a prepreg's water down

    @property
    def debulk(self) -> float | None:
        """Where to debulk or fill [Pa]: as deep as the pump reaches; None where it cannot.

        None too where the cure alone is as good: a shallow debulk leaves few big bubbles.
        """
        if self.course.early_Pa is None and not self.job.process.preimpregnated:
            return None
        return self.debulk_hold if self.debulk_hold < self.job.shop.barometer_Pa else None

    @property
    def pump_needs(self) -> float | None:
        """What the pump should reach to clamp and does not [Pa]; None where it does."""
        if self.reach_Pa is None or self.reach_Pa + self.room <= self.shallowest:
            return None
        return self.shallowest if self.reach_Pa > self.shallowest else self.shallowest - self.room


def window_of(job: Job, case: Case | None = None) -> Window:
    """Return the window of a job: a setpoint that is safe, clamps enough and can be reached."""
    return windows_of([(job, case_of(job) if case is None else case)])[0]


Trial: TypeAlias = Job | tuple[Job, Case]  # what is only tried; with its case where that is known


def windows_for(trials: Sequence[Trial]) -> "list[Window | OutgasError]":
    """Return the window of each, or why it has none; the heat of all is run together, and the gas.

    Nobody is refused: whether it may be done at all is asked by who tries it.
    """
    told = iter(cases_of([each for each in trials if isinstance(each, Job)]))
    pairs = [(each, next(told)) if isinstance(each, Job) else each for each in trials]
    good = [(job, case) for job, case in pairs if not isinstance(case, OutgasError)]
    try:
        windows: Iterator[Window | OutgasError] = iter(windows_of(good))
    except OutgasError:  # of one of them: each alone, to find which
        windows = (_window_or_why(job, case) for job, case in good)
    return [case if isinstance(case, OutgasError) else next(windows) for _, case in pairs]


def _window_or_why(job: Job, case: Case) -> Window | OutgasError:
    """Return the window of a job and its case, or why it has none."""
    try:
        return window_of(job, case)
    except OutgasError as error:
        return error


def windows_of(cases: Sequence[tuple[Job, Case]], *, more: bool = False) -> list[Window]:
    """Return the window of each job and its case, the gas of all of them worked as one array.

    more: with what a clear laminate asks for, and what the gas does where it cannot leave.
    """
    begun = [_begin(job, case) for job, case in cases]
    held = [[start.held(hold) for hold in dict.fromkeys(holds_of(start.case))] for start in begun]
    sought = [each for starts in held for start in starts for each in start.sought(more=more)]
    found = iter(air_limits(sought))
    worst = [_worst([start.found(found, more=more) for start in starts]) for starts in held]
    return [_window(start, air) for start, air in zip(begun, worst, strict=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """The air's limits of one case: straight and after an early step, and the same if clear."""

    straight: Limit
    after: Limit | None
    clear: Limit | None = None
    clear_after: Limit | None = None
    shut: Limit | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Begun:
    """What is known of a window before its limits: the courses that there are to choose from."""

    job: Job
    case: Case
    early: float
    early_hold: float
    straight: Course
    course: Course | None  # with its early step, where there may be one

    def held(self, seconds: float) -> "_Begun":
        """Return the same held so long until it thickens."""
        course = None if self.course is None else self.course.but(hold_s=seconds)
        return dataclasses.replace(self, straight=self.straight.but(hold_s=seconds), course=course)

    def sought(self, *, more: bool) -> list[tuple[Case, Course, str | None]]:
        """Return the air's limits that are wanted."""
        courses = [self.straight] if self.course is None else [self.straight, self.course]
        sought: list[tuple[Case, Course, str | None]] = [(self.case, c, None) for c in courses]
        if more:
            sought += [(self.case, course, "clear") for course in courses]
            sought.append((self.case, self.straight.but(path_open=False), None))
        return sought

    def found(self, limits: Iterator[Limit], *, more: bool) -> _Found:
        """Take what was sought, in its order."""
        both = self.course is not None
        straight, after = next(limits), next(limits) if both else None
        if not more:
            return _Found(straight=straight, after=after)
        clear, clear_after = next(limits), next(limits) if both else None
        return _Found(
            straight=straight,
            after=after,
            clear=clear,
            clear_after=clear_after,
            shut=next(limits),
        )


def _worst(found: Sequence[_Found]) -> _Found:
    """Return of each course the limit that asks for the least vacuum, whatever the hold.

    Before a course is chosen: the lower one of some hold may be the higher of another.
    """
    names = (field.name for field in dataclasses.fields(_Found))
    return _Found(**{name: _weakest([getattr(each, name) for each in found]) for name in names})


def _weakest(limits: Sequence[Limit | None]) -> Any:
    known = [limit for limit in limits if limit is not None]
    if not known:
        return None
    by_tables = [limit.unshown for limit in known if limit.unshown is not None]
    weakest = max(known, key=lambda limit: float(limit.safe))
    return dataclasses.replace(weakest, unshown=max(by_tables, default=None))


def _begin(job: Job, case: Case) -> _Begun:
    """Return where a debulk or a fill would be held, and the courses with and without it."""
    here, early = job.shop.barometer_Pa, debulk_limit(case)
    floor = reach_of(job) or 0.0
    hold = min(max(early + margin_of(job, early), floor, _least_debulk(job)), here)
    doubt = case.hold_ends if len(holds_of(case)) > 1 else None
    straight, course = course_of(case, None).but(hold_ends=doubt), None
    if (job.process.filled or (job.process.debulk and job.debulk)) and hold < here:
        course = after_early(straight, case, hold)
        course = None if course.early_Pa is None else course
    return _Begun(
        job=job, case=case, early=early, early_hold=hold, straight=straight, course=course
    )


def _window(start: _Begun, air: _Found) -> Window:
    """Return a window by the course whose limit is lower.

    By the safe limit of the air, on which a setpoint stands. An infusion is filled either way.
    """
    job, case, here = start.job, start.case, start.job.shop.barometer_Pa
    straight = limits_with(case, air.straight)
    after = None if air.after is None else limits_with(case, air.after)
    by_tables = _by_tables(job, straight, after)
    shallowest, reach = shallowest_of(job), reach_of(job)
    alone = straight.deepest + margin_of(job, straight.deepest)
    course, found, clear = start.straight, straight, air.clear
    if start.course is not None and after is not None:
        # an early step that is weaker than the cure would be is none
        helps = after.safe["air"] < straight.safe["air"] and start.early_hold < alone
        if job.process.filled or helps:
            course, found, clear = start.course, after, air.clear_after
    deepest = found.safe["core"] if job.process.preimpregnated else found.deepest
    margin = margin_of(job, deepest)
    room = 0.0 if job.process.pressed else coarsest_step(here)
    held = max(deepest + margin, reach or 0.0, course.early_Pa or 0.0)
    setpoint: float | None = held
    if job.process.pressed:
        setpoint = shallowest if deepest + margin <= shallowest else None
    elif held + room > shallowest or shallowest >= here:
        setpoint = None
    return Window(
        job=job,
        case=case,
        course=course,
        limits=found,
        straight=straight,
        deepest=deepest,
        deepest_straight=max(straight.deepest, deepest),
        shallowest=shallowest,
        margin=margin,
        setpoint=setpoint,
        debulk_limit=start.early,
        debulk_hold=start.early_hold,
        reach_Pa=reach,
        room=room,
        air_after=air.after,
        clear_Pa=None if clear is None else float(clear.safe),
        shut_Pa=None if air.shut is None else float(air.shut.safe),
        by_tables_Pa=by_tables,
        held=held_of(job, case, course.hot) if job.process.preimpregnated else None,
    )


def _by_tables(job: Job, straight: Limits, after: Limits | None) -> float | None:
    """Return what deepest would be without panels, by the course that would then be lower [Pa]."""
    alone, early = straight.by_tables, None if after is None else after.by_tables
    if alone is None or early is None or job.process.filled:
        return alone if early is None else early
    return min(alone, early)


def _least_debulk(job: Job) -> float:
    """Return the pressure below which a debulk only froths more [Pa]; a fill is drawn deeper."""
    return catalogue.practice().gas.debulk_pressure.si if job.process.debulk else 0.0


def deepest_clear(window: Window) -> float:
    """Return how deep the cure may go for a laminate that is clear, by the same course [Pa]."""
    others = [p for name, p in window.limits.safe.items() if name != "air"]
    if window.job.process.preimpregnated:
        return window.deepest
    return max(_with_more(window).clear_Pa or 0.0, *others)


def if_shut(window: Window) -> float:
    """Return what the air alone asks for with no debulk and no way out for the gas [Pa]."""
    return _with_more(window).shut_Pa or 0.0


def _with_more(window: Window) -> Window:
    """Return the same window with what was not asked for before."""
    if window.shut_Pa is not None:
        return window
    return windows_of([(window.job, window.case)], more=True)[0]


def shut_pressure(job: Job, vent: float) -> float:
    """Return what resin comes to when inlet and vent are shut at a vent's pressure, unrested [Pa].

    Of a stack that cannot yield and of cloth that does, the lower: it keeps less gas dissolved.
    """
    shut, here = catalogue.prepreg().shut, job.shop.barometer_Pa
    yields = [ply.fabric.compaction_b.si for ply in job.layup.plies]
    rigid = float(bed.shut_rigid(vent, here, shut.mean.si))
    eased = (float(bed.shut_compacting(vent, here, b, shut.laid.si)) for b in yields)
    return min((rigid, *eased))


WEAKEST = 2  # numbers worth naming
NUMBER_NAMES = {
    "trapped": "gas trapped in wet cloth",
    "connected": "gas that finds its way out",
    "boiling_extra": "gas that boiling leaves",
    "entrained": "air stirred in",
    "entrained_radius_m": "the size of the bubbles stirred in",
    "diffusivity_m2_s": "how fast air moves in the resin",
    "solubility": "how much air the resin dissolves",
    "air_Pa": "the air left by the pot",
    "spacing_m": "how close gas can start between the fibres",
    "exponent": "how readily it starts",
    "vapour_moved": "the vapour pressure",
}


def weakest_numbers(window: Window) -> tuple[tuple[str, Band, float], ...]:
    """Return the numbers of the gas that move the limit most: name, band, what each adds [Pa].

    None adds more than all of them do: how far a limit is looked for ends at a press.
    """
    gas, ends, found = window.course.known.gas, window.course.known.ends, window.limits
    most = found.safe["air"] - found.nominal["air"]
    ranked = sorted(found.moved.items(), key=lambda item: -item[1])
    return tuple(
        (
            NUMBER_NAMES[name],
            Band(float(getattr(gas, name)), float(ends[name][0]), float(ends[name][1])),
            min(by, most),
        )
        for name, by in ranked[:WEAKEST]
        if min(by, most) > 0.0 and name in ends
    )


def resin_pressure(job: Job, window: Window, reading: readings.Reading | None) -> float:
    """Return the pressure in the resin during the cure [Pa], fibres taken at their worst.

    Resin that can bleed, or that meets the vent, ends at the bag's pressure. In prepreg it carries
    what its fibres may leave to it. In a press the fibres may carry all the force.
    """
    here = job.shop.barometer_Pa
    if job.process.preimpregnated:
        assert window.held is not None
        return float(window.held.resin.low)
    if job.process.pressed:
        return here
    if reading is not None:
        return reading.absolute_Pa
    return window.setpoint if window.setpoint is not None else window.shallowest
