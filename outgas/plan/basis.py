"""What a schedule stands on: the window, the heat, the batch, and the clock, all in SI floats."""

import math
from dataclasses import dataclass

import numpy as np

from outgas.errors import InputError
from outgas.job.degassed import usual
from outgas.job.job import Job, working_time
from outgas.job.process import potting
from outgas.laminate.batch import Batch, batch_of, pot_life
from outgas.laminate.case import Case
from outgas.laminate.liquid import Liquid, liquid_of
from outgas.laminate.vapour import vapour
from outgas.laminate.warming import Warming
from outgas.physics.cure import conversion_of_glass
from outgas.plan.caps import Lasts, Mixed, lasting_cap
from outgas.show.dial import coarsest_step
from outgas.tables import catalogue
from outgas.tables.practice import Clock
from outgas.window.defaults import case_of
from outgas.window.limits import core_limit, margin_over
from outgas.window.window import Window, margin_of, reach_of, window_of


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
    cure: Pressures
    safe_from: float  # what the cure needs for safety, errors of reading counted [Pa]
    opens: bool

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


def pot_band(job: Job, liquid: Liquid) -> Pressures:
    """Return where to hold a degassing pot: clear of boiling, and within what the pump reaches.

    A hold weaker than the band's end takes out too little to be worth the time.
    """
    plain = vapour(liquid, liquid.shop_K)
    low = margin_over(job, plain.nominal, plain.high, known=False)[1]
    hold = max(low + margin_of(job.but(process=potting()), low), reach_of(job) or 0.0)
    weakest = potting().weakest_bag
    here = liquid.barometer_Pa
    high = here if weakest is None else min(weakest.si, here)
    return Pressures(min(low, here), min(hold, here), high)


def cure_band(job: Job, case: Case, window: Window) -> tuple[Pressures, float, bool]:
    """Return the pressures to cure at, what safety needs, and whether a window opens.

    Where no window opens, no vacuum: nothing is held that is unsafe, or that clamps too little.
    """
    here = case.barometer_Pa
    none = Pressures(here, here, here)
    if window.setpoint is not None:
        band = Pressures(window.deepest, window.setpoint, window.shallowest)
        return band, window.setpoint, True
    margin = 0.0 if job.process.preimpregnated else window.margin
    return none, window.deepest + margin, False


def mixed_mass(job: Job, given: float | None) -> float | None:
    """Return how much is mixed [kg]: as given, or what the cloth holds and some to spare."""
    if not job.process.mixed:
        return given
    if given is not None:
        return given
    spare = 1.0 + catalogue.practice().clock.spare_resin.si
    area = job.layup.area_m2 or 1.0
    return job.layup.resin_mass(job.resin.density.si) * area * spare


def ground_of(
    job: Job,
    *,
    batch: float | None,
    wet_out: float | None,
    fill: float | None,
    degas: bool,
) -> Ground:
    """Return what a schedule stands on; refuses what no plan can be made of."""
    job = job.but(wet_out_s=wet_out, fill_s=fill)
    pot, here = pot_band(job, liquid_of(job)), job.shop.barometer_Pa
    degas = degas and job.process.mixed and job.air_Pa is None
    degas = degas and pot.hold + coarsest_step(here) <= pot.high and pot.hold < here
    if degas and job.pot is None:
        job = job.but(pot=usual(pot.hold, worked=True))
    case = case_of(job)
    window = window_of(job, case)
    pace = None if job.process.pot else batch_of(job)
    if pace is None and not job.process.pot:
        raise InputError(
            f"{job.resin.name}: its record has no gel_time, and a plan runs against the gel; "
            "add it from the data sheet"
        )
    mixed = mixed_mass(job, batch)
    life = None
    if mixed is not None and pace is not None and not job.process.preimpregnated:
        life = pot_life(job, pace, mixed)
    band, safe_from, opens = cure_band(job, case, window)
    return Ground(
        job=job,
        case=case,
        window=window,
        warming=case.hottest.warming,
        pace=pace,
        batch=mixed,
        pot_life=life,
        works=working_time(job),
        told=frozenset(k for k, v in (("wet_out", wet_out), ("fill", fill)) if v is not None),
        degas=degas,
        pot=pot,
        cure=band,
        safe_from=safe_from,
        opens=opens,
    )
