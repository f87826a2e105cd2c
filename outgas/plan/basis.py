"""What a schedule stands on: the window, the heat, the batch, and the clock, all in SI floats."""

import math
from dataclasses import dataclass

import numpy as np

from outgas.errors import InputError
from outgas.job.degassed import usual
from outgas.job.job import Job, mixed_mass, working_time
from outgas.laminate.batch import Batch, batch_of, pot_life
from outgas.laminate.case import Case
from outgas.laminate.liquid import liquid_of
from outgas.laminate.warming import Warming, warming_of
from outgas.physics.cure import conversion_of_glass
from outgas.plan.caps import Lasts, Mixed, lasting_cap
from outgas.show.dial import coarsest_step
from outgas.tables import catalogue
from outgas.tables.practice import Clock
from outgas.window.case.defaults import case_with
from outgas.window.limits import core_limit
from outgas.window.pot import pot_ends
from outgas.window.refusals import refuse
from outgas.window.window import Window, windows_of


@dataclass(frozen=True, slots=True)
class Pressures:
    """Pressures of a stage [Pa]: never deeper, where to hold, never weaker.

    A hold of 0 stands for as deep as the pump goes, where what it reaches is not known.
    """

    low: float
    hold: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """All that the stages are laid out from."""

    job: Job
    case: Case
    window: Window
    warming: Warming | None
    pace: Batch | None
    batch: float | None
    pot_life: float | None
    works: float  # wetting out, or the fill [s]
    told: frozenset[str]
    degas: bool
    pot: Pressures

    @property
    def clock(self) -> Clock:
        """How long things take."""
        return catalogue.practice().clock

    @property
    def here(self) -> float:
        """The barometer [Pa]."""
        return self.case.barometer_Pa

    @property
    def base(self) -> float:
        """The warmer of air and tool [K]."""
        return max(self.case.shop_K, self.case.tool_K)

    @property
    def gel(self) -> float:
        """When the laminate gels [s]; endless for a pot of plain resin."""
        return math.inf if self.warming is None else self.warming.gel_s

    @property
    def last_change(self) -> float:
        """When the last change of pressure must be done [s]."""
        return self.clock.last_change.si * self.gel

    @property
    def free(self) -> Pressures:
        """No vacuum."""
        return Pressures(self.here, self.here, self.here)

    @property
    def opens(self) -> bool:
        """Whether there is a pressure to cure at."""
        return self.window.setpoint is not None

    @property
    def cure(self) -> Pressures:
        """Where to cure; no vacuum where no window opens: nothing unsafe or too weak is held."""
        w = self.window
        return self.free if w.setpoint is None else Pressures(w.deepest, w.setpoint, w.shallowest)

    @property
    def safe_from(self) -> float:
        """What the cure needs for safety, errors of reading counted [Pa]."""
        margin = 0.0 if self.job.process.preimpregnated else self.window.margin
        at = self.window.setpoint
        return self.window.deepest + margin if at is None else at

    @property
    def dry(self) -> Pressures:
        """A dry bag: only the core can be hurt; as deep as the pump goes."""
        floor = core_limit(self.case)[1]
        hold = min(max(floor, self.window.reach_Pa or 0.0), self.here)
        return Pressures(min(floor, hold), hold, max(hold, self.window.shallowest))

    @property
    def debulks(self) -> bool:
        """Whether the bag goes deeper early than it cures at."""
        early = self.window.debulk
        return early is not None and (not self.opens or early < self.cure.hold)

    @property
    def debulk(self) -> Pressures:
        """Early, while the resin is thin: deepest at the present temperature, and clear of it.

        As much weaker is held to as it keeps from the deepest, and a step of any dial at the least.
        """
        low, hold = self.window.debulk_limit, min(self.window.debulk_hold, self.here)
        above = max(hold - low, coarsest_step(self.here))
        return Pressures(min(low, self.here), hold, min(hold + above, self.here))

    def warmest(self, start: float, end: float) -> float:
        """Return the warmest the laminate should get between two times [K]."""
        if self.warming is None or end <= 0.0:
            return self.base
        run = self.warming.whole
        T = run.T[run.reacts].max(axis=0)
        inside = (run.t >= start) & (run.t <= end)
        ends = np.interp([max(start, 0.0), min(end, run.t[-1])], run.t, T)
        return max(float(ends.max()), float(T[inside].max()) if inside.any() else 0.0)

    def lasting(self, expected: float, lasts: Lasts) -> float | None:
        """Return the warmest [K] at which mixed resin lasts as long as a stage needs it to."""
        if self.pace is None:
            return None
        return lasting_cap(Mixed(self.job, self.pace, self.batch, self.gel), expected, lasts)

    @property
    def hard(self) -> float:
        """The conversion at which the laminate is hard: its glass well over the shop."""
        family, c = self.job.curing.family, self.clock
        glass = family.glass_fresh.si, family.glass_full.si, family.glass_lambda.si
        return max(conversion_of_glass(self.case.shop_K + c.hard_above_shop.si, *glass), c.hard.si)


def ground_of(
    job: Job,
    *,
    batch: float | None,
    wet_out: float | None,
    fill: float | None,
    degas: bool,
) -> Ground:
    """Return what a schedule stands on; refuses what no plan can be made of."""
    _plannable(job)
    job = job.but(wet_out_s=wet_out, fill_s=fill)
    liquid, mixed, here = liquid_of(job), mixed_mass(job, batch), job.shop.barometer_Pa
    pot = Pressures(*pot_ends(job, liquid))
    degas = degas and job.process.mixed and job.air_Pa is None
    degas = degas and pot.hold + coarsest_step(here) <= pot.high and pot.hold < here
    if degas and job.pot is None:
        job = job.but(pot=usual(pot.hold, worked=True))
    pace, life, warming = None if job.process.pot else batch_of(job), None, None
    if pace is not None and mixed is not None and not job.process.preimpregnated:
        life = pot_life(job, pace, mixed)
    if pace is not None and job.heats:
        warming = warming_of(job, pace, liquid)
    case = case_with(job, liquid, warming)
    (window,) = windows_of([(job, case)])
    return Ground(
        job=job,
        case=case,
        window=window,
        warming=warming,
        pace=pace,
        batch=mixed,
        pot_life=life,
        works=working_time(job),
        told=frozenset(k for k, v in (("wet_out", wet_out), ("fill", fill)) if v is not None),
        degas=degas,
        pot=pot,
    )


def _plannable(job: Job) -> None:
    """Refuse what no advice is given for, and a job without the layup that a plan needs."""
    refuse(job)
    if not job.process.pot and not job.layup.plies:
        raise InputError("a plan needs the layup; name its plies, as '2 x 400 g/m2 woven glass'")
    if job.process.bonds_core and job.layup.core is None:
        raise InputError("core bonding needs the core; name it, as '15 mm PVC foam'")
    if not job.process.pot and job.resin.gel_time is None and not job.resin.published:
        raise InputError(
            f"{job.resin.name}: its record has no gel_time, and a plan runs against the gel; "
            "add it from the data sheet"
        )
