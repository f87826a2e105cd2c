"""What pump and gauge allow: how deep it gets, what still clamps, how far a reading is off."""

from typing import TYPE_CHECKING, Any

from outgas.job.job import Job
from outgas.physics import flow
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.units import Numbers


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
        roll_off = 1.0 if kind is None else kind.roll_off.high_si
        ultimate = float(flow.pump_pressure(rig.leak, speed, ultimate, roll_off))
    return min(ultimate, job.shop.barometer_Pa)


def shallowest_of(job: Job) -> float:
    """Return the highest bag pressure that still clamps enough [Pa]."""
    process, here = job.process, job.shop.barometer_Pa
    if job.process.pressed:
        return here
    if process.weakest_bag is not None:
        return min(process.weakest_bag.si, here)
    assert process.clamp is not None  # a process asks for one or the other
    clamp = process.clamp.si
    core = job.layup.core
    if core is not None and core.clamp_needed and job.process.soft_core:
        clamp = min(clamp, core.clamp_needed.si)
    return max(0.0, here - clamp)


def reading_error(job: Job, pressure: "Numbers") -> Any:
    """Return how far a pressure read in this shop may be off [Pa]; of an array, each."""
    errors = catalogue.practice().reading
    return {
        "dial": errors.dial.high_si,
        "water": errors.water.si * pressure,
        "sensor": job.sensor_Pa,
        # what a weight or a hole sets is taken as no surer than what a dial shows
        "plate": errors.dial.high_si,
        "none": errors.dial.high_si,
    }[job.reads_with]


def margin_of(job: Job, deepest: float) -> float:
    """Return how far the setpoint keeps from deepest: the error of reading and of holding [Pa]."""
    if not job.process.bag_sets_resin:
        return 0.0
    return max(float(reading_error(job, deepest)), job.rig.hold_error or 0.0)
