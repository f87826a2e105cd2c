"""Panels as they were told, made into what the gas balance takes: each by its own job."""

import dataclasses
import inspect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas import units
from outgas.errors import InputError, OutgasError, RefusedError
from outgas.job.job import Job, job_of
from outgas.job.learnt import Good, Kind
from outgas.job.saved import arguments_of, layup_of, rig_of, shop_of
from outgas.job.shop import Shop
from outgas.job.told_pressure import ToldPressure, read_told_pressure
from outgas.laminate.batch import cup_gel
from outgas.laminate.case import Case
from outgas.laminate.course import Course, course_of
from outgas.laminate.gas.balance import Step
from outgas.panels.made import DEEPEST_Pa, Made, Seen
from outgas.panels.numbers import INITIATOR
from outgas.panels.panel import Panel, air_of, read_look, void_of
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.case.defaults import cases_of
from outgas.window.reach import reading_error

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

_SHOP = ("temperature", "humidity", "altitude", "barometer", "tool_temperature", "sun")
_UNSAID: dict[str, Any] = {
    name: None
    for name, taken in inspect.signature(job_of).parameters.items()
    if taken.default is taken.empty and name not in ("resin", "shop")
}
# Three pressures that stand for a bell (Gauss and Hermite), and five for what is told as a range.
BELL_AT, BELL_WEIGHTS = (-(3.0**0.5), 0.0, 3.0**0.5), (1.0 / 6.0, 2.0 / 3.0, 1.0 / 6.0)
RANGE = " to "  # between the two ends of a pressure
RANGE_AT = (0.1, 0.3, 0.5, 0.7, 0.9)
WEAK_END = 0.975  # of what a bag may have been at, for what a panel bears out


@dataclass(frozen=True, slots=True)
class Fault:
    """A panel that was left out: its line, and why."""

    line: int
    text: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.text}"


def made_of(
    panels: Sequence[Panel], shop: Shop | None
) -> tuple[list[tuple[Panel, Job, Made]], list[Fault]]:
    """Return each panel with its job and what the balance takes, and those that were left out.

    shop: where those were made that say no temperature, humidity or air pressure of their own.
    """
    faults: list[Fault] = []
    jobs: list[tuple[Panel, Job]] = []
    for panel in panels:
        try:
            jobs.append((panel, job_of_panel(panel, shop)))
        except OutgasError as error:
            faults.append(Fault(panel.line, str(error)))
    alike: dict[Any, Job] = {}  # panels of one job are worked once: their heat is costly
    for panel, job in jobs:
        alike.setdefault(panel.told, job)
    cases = dict(zip(alike, cases_of(list(alike.values())), strict=True))
    found: list[tuple[Panel, Job, Made]] = []
    for panel, job in jobs:
        case = cases[panel.told]
        try:
            if isinstance(case, OutgasError):
                raise case
            found.append((panel, job, _made(panel, job, case)))
        except OutgasError as error:
            faults.append(Fault(panel.line, str(error)))
    return found, sorted(faults, key=lambda fault: fault.line)


def job_of_panel(panel: Panel, shop: Shop | None) -> Job:
    """Return the job of a panel; InputError where its shop is told neither by it nor beside it."""
    told = dict(panel.told)
    asked = arguments_of(told)
    known = inspect.signature(job_of).parameters
    given = {**_UNSAID, **{name: value for name, value in asked.items() if name in known}}
    given |= {"layup": layup_of(told), "rig": rig_of(told)}
    job = job_of(str(told["resin"]), _shop(told, shop), **given)
    process = job.process
    if process.pressed or process.preimpregnated or process.pot or not process.bag_sets_resin:
        raise RefusedError(
            f"process is {process.name}; panels teach only where the resin comes to the bag's "
            "pressure: wet layup, infusion, core bonding"
        )
    return job


def _shop(told: Mapping[str, Any], shop: Shop | None) -> Shop:
    own = {key: told[key] for key in _SHOP if key in told}
    if shop is None:
        for key in ("temperature", "humidity"):
            if key not in own:
                raise InputError(
                    f"no {key} is told; add {key} = {'26C' if key == 'temperature' else '60%'!r}, "
                    "or give shop="
                )
        return shop_of(told)
    return shop.but(**own) if own else shop


def _made(panel: Panel, job: Job, case: Case) -> Made:
    own = panel.own
    straight, here = course_of(case, None), job.shop.barometer_Pa
    error = float(reading_error(job, here))
    cure = _pressure(own.get("cure"), here, error)
    early = _pressure(own.get("debulk"), here, error)
    course = _course(straight, own, early)
    by_reading = cure is not None and cure.read and RANGE not in own["cure"]
    pressures, weights = _nodes(cure, here, by_reading=by_reading)
    known = course.known
    bands = {
        name: Band(float(getattr(known.gas, name)), float(low), float(high))
        for name, (low, high) in known.ends.items()
    }
    if course.made is not None:
        bands[INITIATOR] = course.made.gas.band
    told = cure is not None and cure.stated
    return Made(
        kind=job.kind,
        gas=known.gas,
        bands=bands,
        steps=_steps(course, here),
        pressures=pressures,
        weights=weights,
        dial_Pa=error if by_reading else 0.0,
        fibre_fraction=case.fibre_fraction,
        thickness_m=case.thickness_m,
        seen=_seen(own),
        key=_key(panel),
        left=case.dissolved_Pa if job.pot is not None else None,
        gel=_gel(job),
        good=_good(cure, course, case, error) if told and cure is not None else None,
    )


def _pressure(said: str | None, here: float, error: float) -> ToldPressure | None:
    return None if said is None else read_told_pressure(said, here, error)


def _course(straight: Course, own: Mapping[str, str], early: ToldPressure | None) -> Course:
    """Return the course of a panel, with its own minutes where they were told."""
    changes: dict[str, float] = {}
    if "cure_time" in own:
        changes["hold_s"] = units.positive(own["cure_time"], "s", "cure time")
    if "debulk_time" in own:
        changes["early_s"] = units.positive(own["debulk_time"], "s", "debulk time")
    if early is None:  # straight: the time before the cure is the cure's, but where it was told
        changes["early_s"] = 0.0 if "cure_time" in own else straight.early_s
        return straight.but(**changes)
    return straight.but(early_Pa=early.median, **changes)


def _steps(course: Course, here: float) -> Any:
    """Return the steps of a course for pressures of the cure and how far the dial is out."""

    def steps(cure: "Floats", shift: "Floats") -> list[Step]:
        *early, last = course.steps(np.minimum(cure, here))
        if course.early_Pa is None:
            return [last]
        held = np.clip(course.early_Pa + shift, DEEPEST_Pa, here)
        return [*(dataclasses.replace(step, pressure_Pa=held) for step in early), last]

    return steps


def _nodes(cure: ToldPressure | None, here: float, *, by_reading: bool) -> "tuple[Floats, Floats]":
    """Return the pressures that stand for a cure's, with their weights.

    A reading is as wide as panels made alike differ; how far its dial is out is drawn beside.
    """
    if cure is None:
        return np.array([here]), np.array([1.0])
    wide = catalogue.panels().pressure.si
    if by_reading:
        at = cure.median * np.exp(wide * np.array(BELL_AT))
        return np.minimum(at, here), np.array(BELL_WEIGHTS)
    at = np.array([cure.quantile(share) for share in RANGE_AT])
    return np.minimum(at, here), np.full(len(RANGE_AT), 1.0 / len(RANGE_AT))


def _seen(own: Mapping[str, str]) -> Seen:
    gel = own.get("cup_gel")
    return Seen(
        look=read_look(own["look"]) if "look" in own else None,
        void=void_of(own),
        air_Pa=air_of(own),
        gel_s=None if gel is None else units.positive(gel, "s", "cup gel"),
    )


def _gel(job: Job) -> Band | None:
    """Return the gel time of a cup of a batch here by its sheet [s]; None where it has none."""
    found = cup_gel(job.curing, job.shop.temperature_K, job.initiator)
    if found is None:
        return None
    return Band(found.gel_s, found.gel_s * found.shorter, found.gel_s * found.longer)


def _good(cure: ToldPressure, course: Course, case: Case, error: float) -> Good:
    """Return what a panel bears out, were it good: at the weak end of what its bag was."""
    weak = cure.quantile(WEAK_END)
    if cure.read:  # a reading's own bell has its error in it already, but for a range of two
        weak = max(weak, cure.median + error)
    return Good(min(weak, case.barometer_Pa), course.early_Pa, case.dissolved_Pa.nominal)


def _key(panel: Panel) -> tuple[Any, ...]:
    """Return what makes two panels the same job, whatever came out of them."""
    beside = ("cure", "cure_time", "debulk", "debulk_time")
    return panel.told, tuple((key, panel.own.get(key)) for key in beside)


def kind_title(kind: Kind) -> str:
    """Return a kind of panel in words."""
    return f"{kind.process} of {kind.family} in {kind.cloth}"
