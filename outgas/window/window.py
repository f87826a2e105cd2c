"""The window between deepest and shallowest, and the setpoint in it."""

from dataclasses import dataclass

from outgas import units
from outgas.job.job import Job
from outgas.job.process import SOFT_CORE_PROCESSES, process_of
from outgas.laminate.case import Case
from outgas.laminate.dissolved_air import after_pull
from outgas.tables import catalogue
from outgas.window.defaults import case_of
from outgas.window.limits import Limits, debulk_limit, limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Between deepest and shallowest, if the pressure can be held there [Pa]."""

    limits: Limits
    deepest: float
    shallowest: float
    margin: float
    setpoint: float | None
    debulk_limit: float
    debulk_hold: float


def shallowest_of(job: Job) -> float:
    """Return the highest bag pressure that still clamps enough [Pa]."""
    process, here = process_of(job.process), job.shop.barometer_Pa
    if job.process == "pressing":
        return here
    if process.weakest_bag is not None:
        return min(process.weakest_bag.si, here)
    clamp = process.clamp.si if process.clamp else 0.0
    core = job.layup.core
    if core is not None and core.clamp_needed and job.process in SOFT_CORE_PROCESSES:
        clamp = min(clamp, core.clamp_needed.si)
    return max(0.0, here - clamp)


def reading_error(job: Job, pressure: float) -> float:
    """Return how far a pressure read in this shop may be off [Pa]."""
    errors = catalogue.practice().reading
    return {
        "dial": errors.dial.high_si,
        "water": errors.water.si * pressure,
        "sensor": job.sensor_Pa,
    }[job.reads_with]


def margin_of(job: Job, deepest: float) -> float:
    """Return how far the setpoint keeps from deepest: the error of reading and of holding [Pa]."""
    if job.process in ("prepreg", "pressing"):
        return 0.0
    return max(reading_error(job, deepest), job.rig.hold_error or 0.0)


def window_of(job: Job, case: Case | None = None) -> Window:
    """Return the window of what was job."""
    case = case_of(job) if case is None else case
    found = limits(case)
    deepest, shallowest = found.deepest, shallowest_of(job)
    if job.process == "prepreg":
        deepest = found.safe["core"]
    margin = margin_of(job, deepest)
    setpoint: float | None = deepest + margin
    if job.process == "pressing":
        setpoint = shallowest
    if deepest + margin > shallowest:
        setpoint = None
    early = debulk_limit(case)
    return Window(
        limits=found,
        deepest=deepest,
        shallowest=shallowest,
        margin=margin,
        setpoint=setpoint,
        debulk_limit=early,
        debulk_hold=early + margin_of(job, early),
    )


def debulked(case: Case, window: Window) -> Case:
    """Return the case with the air that the recommended debulk leaves in the resin."""
    return after_pull(case, window.debulk_hold, catalogue.practice().gas.debulk_removed)


def autoclave_pressure(job: Job) -> float:
    """Return the pressure on the bag above the atmosphere [Pa]: stated, or the usual's low end."""
    if job.rig.autoclave is not None:
        return job.rig.autoclave
    applied = job.resin.applied_pressure
    return applied.low_si if applied is not None else 0.0


def resin_pressure(job: Job, window: Window, reading: units.Reading | None) -> float:
    """Return the pressure in the resin during the cure [Pa], fibres taken at their worst.

    Resin that can bleed, or that meets the vent, ends at the bag's pressure. Prepreg without
    bleed carries the atmosphere and the autoclave. In a press the fibres may carry all the force.
    """
    here = job.shop.barometer_Pa
    if job.process == "prepreg":
        return here + autoclave_pressure(job)
    if job.process == "pressing":
        return here
    if reading is not None:
        return reading.absolute_Pa
    return window.setpoint if window.setpoint is not None else window.shallowest
