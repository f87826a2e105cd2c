"""The window between deepest and shallowest, and the setpoint in it."""

from dataclasses import dataclass

from outgas import units
from outgas.job.job import Job
from outgas.laminate.case import Case
from outgas.laminate.course import Course, course_of
from outgas.physics import bed, flow
from outgas.physics.chance import Band
from outgas.show.dial import coarsest_step
from outgas.tables import catalogue
from outgas.window import prepreg
from outgas.window.defaults import case_of
from outgas.window.limits import Limits, air_limit, debulk_limit, limits
from outgas.window.prepreg import autoclave_pressure as autoclave_pressure


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Between deepest and shallowest, if the pressure can be held there [Pa], and what it is of.

    deepest and debulk_limit are what the resin stands; setpoint and debulk_hold are never deeper
    than reach_Pa, what the pump gets to at its weakest, None where no pump was told of. room is
    what the setpoint keeps from shallowest, so that no dial shows it beyond it. course is what the
    limits are of: with a debulk or a fill where that helps; straight has the limits without one.
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
        # what a weight or a hole sets is taken as no surer than what a dial shows
        "plate": errors.dial.high_si,
        "none": errors.dial.high_si,
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
    reach = reach_of(job)
    floor = 0.0 if reach is None else reach
    early = debulk_limit(case)
    early_hold = min(max(early + margin_of(job, early), floor, _least_debulk(job)), here)
    course, found, straight = _better(job, case, early_hold)
    shallowest = shallowest_of(job)
    deepest = found.safe["core"] if job.process.preimpregnated else found.deepest
    margin = margin_of(job, deepest)
    room = 0.0 if job.process.pressed else coarsest_step(here)
    held = max(deepest + margin, floor, course.early_Pa or 0.0)
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
        debulk_limit=early,
        debulk_hold=early_hold,
        reach_Pa=reach,
        room=room,
    )


def _least_debulk(job: Job) -> float:
    """Return the pressure below which a debulk only froths more [Pa]; a fill is drawn deeper."""
    return catalogue.practice().gas.debulk_pressure.si if job.process.debulk else 0.0


def _better(job: Job, case: Case, early_hold: float) -> tuple[Course, Limits, Limits]:
    """Return the course whose limit is lower, its limits, and those of the straight one.

    By the safe limit of the air, on which a setpoint stands. An infusion is filled either way.
    """
    straight = course_of(case, None)
    alone = limits(case, straight)
    wanted = job.process.filled or (job.process.debulk and job.debulk)
    if not wanted or early_hold >= job.shop.barometer_Pa:
        return straight, alone, alone
    course = course_of(case, early_hold)
    if course.early_Pa is None:
        return straight, alone, alone
    after = limits(case, course)
    if job.process.filled or after.safe["air"] < alone.safe["air"]:
        return course, after, alone
    return straight, alone, alone


def deepest_for(window: Window, finish: str) -> float:
    """Return how deep the cure may go for another finish, by the same course [Pa]."""
    air = float(air_limit(window.case, window.course, finish).safe)
    others = [p for name, p in window.limits.safe.items() if name != "air"]
    return window.deepest if window.job.process.preimpregnated else max(air, *others)


def if_shut(window: Window) -> float:
    """Return what the air alone asks for with no debulk and no way out for the gas [Pa]."""
    return float(air_limit(window.case, window.course.straight.but(path_open=False)).safe)


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
_GAS_NAMES = {
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
            _GAS_NAMES[name],
            Band(float(getattr(gas, name)), float(ends[name][0]), float(ends[name][1])),
            min(by, most),
        )
        for name, by in ranked[:WEAKEST]
        if min(by, most) > 0.0 and name in ends
    )


def resin_pressure(job: Job, window: Window, reading: units.Reading | None) -> float:
    """Return the pressure in the resin during the cure [Pa], fibres taken at their worst.

    Resin that can bleed, or that meets the vent, ends at the bag's pressure. In prepreg it carries
    what its fibres may leave to it. In a press the fibres may carry all the force.
    """
    here = job.shop.barometer_Pa
    if job.process.preimpregnated:
        return float(prepreg.resin_of(job, window.case).low)
    if job.process.pressed:
        return here
    if reading is not None:
        return reading.absolute_Pa
    return window.setpoint if window.setpoint is not None else window.shallowest
