"""The window between deepest and shallowest, and the setpoint in it."""

from dataclasses import dataclass

from outgas import units
from outgas.job.job import Job
from outgas.laminate.case import Case, after_pull
from outgas.physics import flow
from outgas.show.dial import coarsest_step
from outgas.tables import catalogue
from outgas.window.defaults import case_of
from outgas.window.limits import Limits, debulk_limit, limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Between deepest and shallowest, if the pressure can be held there [Pa], and what it is of.

    deepest and debulk_limit are what the resin stands; setpoint and debulk_hold are never deeper
    than reach_Pa, what the pump gets to at its weakest, None where no pump was told of. room is
    what the setpoint keeps from shallowest, so that no dial shows it beyond it.
    """

    job: Job
    case: Case
    limits: Limits
    deepest: float
    shallowest: float
    margin: float
    setpoint: float | None
    debulk_limit: float
    debulk_hold: float
    reach_Pa: float | None = None
    room: float = 0.0

    @property
    def debulk(self) -> float | None:
        """Where to debulk or fill [Pa]: as deep as the pump reaches; None where it cannot."""
        return self.debulk_hold if self.debulk_hold < self.job.shop.barometer_Pa else None

    @property
    def pump_needs(self) -> float | None:
        """What the pump should reach to clamp and does not [Pa]; None where it does."""
        if self.reach_Pa is None or self.reach_Pa + self.room <= self.shallowest:
            return None
        return self.shallowest if self.reach_Pa > self.shallowest else self.shallowest - self.room


def reach_of(job: Job) -> float | None:
    """Return what the pump reaches at its weakest [Pa], None where it was not told.

    As stated, else the high end of its kind; with a leak and a displacement what the leak adds.
    Never more than the barometer. A press has no pump.
    """
    rig, kind = job.rig, job.rig.kind
    if job.process.pressed or (rig.pump_ultimate is None and kind is None):
        return None
    ultimate = rig.pump_ultimate
    if ultimate is None:
        assert kind is not None
        ultimate = kind.ultimate.high_si
    if rig.leak and rig.pump_displacement:
        speed = rig.pump_displacement * catalogue.rigs().displacement_share.low_si
        roll_off = 1.0 if kind is None else kind.roll_off.si
        ultimate = float(flow.pump_pressure(rig.leak, speed, ultimate, roll_off))
    return min(ultimate, job.shop.barometer_Pa)


def shallowest_of(job: Job) -> float:
    """Return the highest bag pressure that still clamps enough [Pa]."""
    process, here = job.process, job.shop.barometer_Pa
    if job.process.pressed:
        return here
    if process.weakest_bag is not None:
        return min(process.weakest_bag.si, here)
    clamp = process.clamp.si if process.clamp else 0.0
    core = job.layup.core
    if core is not None and core.clamp_needed and job.process.soft_core:
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
    if not job.process.bag_sets_resin:
        return 0.0
    return max(reading_error(job, deepest), job.rig.hold_error or 0.0)


def window_of(job: Job, case: Case | None = None) -> Window:
    """Return the window of a job: a setpoint that is safe, clamps enough and can be reached."""
    case = case_of(job) if case is None else case
    here = job.shop.barometer_Pa
    found = limits(case)
    deepest, shallowest = found.deepest, shallowest_of(job)
    if job.process.preimpregnated:
        deepest = found.safe["core"]
    margin = margin_of(job, deepest)
    reach = reach_of(job)
    floor = 0.0 if reach is None else reach
    room = 0.0 if job.process.pressed else coarsest_step(here)
    setpoint: float | None = max(deepest + margin, floor)
    if job.process.pressed:
        setpoint = shallowest if deepest + margin <= shallowest else None
    elif max(deepest + margin, floor) + room > shallowest or shallowest >= here:
        setpoint = None
    early = debulk_limit(case)
    return Window(
        job=job,
        case=case,
        limits=found,
        deepest=deepest,
        shallowest=shallowest,
        margin=margin,
        setpoint=setpoint,
        debulk_limit=early,
        debulk_hold=min(max(early + margin_of(job, early), floor), here),
        reach_Pa=reach,
        room=room,
    )


def debulked(window: Window) -> Case:
    """Return the case with the air that the recommended debulk leaves in the resin."""
    return after_debulk(window.case, window.debulk_hold)


def after_debulk(case: Case, pull: float) -> Case:
    """Return the case with the air that a debulk at a pressure leaves in the resin."""
    return after_pull(case, pull, catalogue.practice().gas.debulk_removed)


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
    if job.process.preimpregnated:
        return here + autoclave_pressure(job)
    if job.process.pressed:
        return here
    if reading is not None:
        return reading.absolute_Pa
    return window.setpoint if window.setpoint is not None else window.shallowest
