"""What a schedule stands on: the window, the heat, the batch, and the clock, all in SI floats."""

import math
from dataclasses import dataclass

import numpy as np

from outgas.errors import InputError
from outgas.job.job import Job
from outgas.job.process import WITH_DEBULK
from outgas.laminate.batch import Pace, pace_of, pot_life, slowed
from outgas.laminate.case import Case
from outgas.laminate.vapour import hottest_vapour, vapour, warmest_known
from outgas.laminate.warming import Warming
from outgas.tables import catalogue
from outgas.tables.practice import Clock
from outgas.window.defaults import case_of, default_hottest
from outgas.window.limits import core_limit
from outgas.window.window import Window, debulked, margin_of, window_of

LIMIT_SPAN_K = (263.15, 423.15)  # where every volatile's vapour curve holds
BISECTIONS = 40


@dataclass(frozen=True, slots=True)
class Pressures:
    """Pressures of a stage [Pa]: never deeper, where to hold, never weaker."""

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
    pace: Pace | None
    batch: float | None
    pot_life: float | None
    wet_out: float
    fill: float
    told: frozenset[str]
    degas: bool
    pot: Pressures
    cure: Pressures
    after_debulk: bool
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
    def working_life(self) -> float | None:
        """How long mixed resin may be worked [s]: to the gel, or the pot life if it gels hot."""
        return self.gel if math.isfinite(self.gel) else self.pot_life

    @property
    def dry(self) -> Pressures:
        """A dry bag: only the core can be hurt; as deep as the pump goes."""
        floor = core_limit(self.case)[1]
        ultimate = self.job.rig.pump_ultimate or 0.0
        hold = max(floor, ultimate)
        return Pressures(floor, hold, max(hold, self.window.shallowest))

    @property
    def debulk(self) -> Pressures:
        """Early, while the resin is thin: deepest at the present temperature, and clear of it."""
        low, hold = self.window.debulk_limit, min(self.window.debulk_hold, self.here)
        return Pressures(min(low, self.here), hold, min(hold + max(hold - low, 0.0), self.here))

    def warmest(self, start: float, end: float) -> float:
        """Return the warmest the laminate should get between two times [K]."""
        if self.warming is None or end <= 0.0:
            return self.base
        run = self.warming.run
        T = run.T[run.reacts].max(axis=0)
        inside = (run.t >= start) & (run.t <= end)
        ends = np.interp([max(start, 0.0), min(end, run.t[-1])], run.t, T)
        return max(float(ends.max()), float(T[inside].max()) if inside.any() else 0.0)

    def limit(self, pressure: float) -> float:
        """Return the warmest [K] at which the vapour still lets the bag be at a pressure."""
        low, high = LIMIT_SPAN_K[0], warmest_known(self.case)
        if _asks(self.case, high) <= pressure:
            return high
        if _asks(self.case, low) > pressure:
            return low
        for _ in range(BISECTIONS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if _asks(self.case, middle) <= pressure else (low, middle)
        return low

    @property
    def set_limit(self) -> float:
        """Return the warmest [K] the laminate may be once its gel holds: what its sheet knows.

        No bubble grows then; beyond it is a runaway. Where no sheet says, where the curves end.
        """
        resin = self.job.resin
        if resin.peak_temperature is not None:
            return resin.peak_temperature.high_si
        if resin.cure_temperature is not None:
            return resin.cure_temperature.high_si
        return LIMIT_SPAN_K[1]

    def working_limit(self, T: float, needed: float, lasts: float | None) -> float:
        """Return the warmest [K] at which what lasts this long at T lasts as needed [s]."""
        if lasts is None or not math.isfinite(lasts) or needed <= 0.0:
            return LIMIT_SPAN_K[1]
        return min(slowed(self.job, T, needed / lasts), LIMIT_SPAN_K[1])


def _asks(case: Case, T: float) -> float:
    if case.process == "prepreg":
        return vapour(case, T).high
    return vapour(case, T).high / case.vapour_share


def pot_band(job: Job, case: Case) -> Pressures:
    """Return where to hold a degassing pot: clear of boiling, and no weaker than is worth it."""
    low = vapour(case, case.shop_K).high / case.vapour_share
    hold = low + margin_of(job.but(process="degassing"), low)
    weakest = catalogue.practice().process["degassing"].weakest_bag
    high = max(weakest.si if weakest is not None else hold, hold)
    here = case.barometer_Pa
    return Pressures(min(low, here), min(hold, here), min(high, here))


def cure_band(job: Job, case: Case, window: Window) -> tuple[Pressures, bool, bool]:
    """Return the pressures to cure at, whether they lean on the debulk, whether there is a window.

    Where there is none, still the safe side: clear of the limit, though it clamps too little.
    """
    here = case.barometer_Pa
    if job.process == "prepreg":
        low = window.deepest
        hold = window.setpoint if window.setpoint is not None else low
        return (
            Pressures(low, hold, max(window.shallowest, hold)),
            False,
            window.setpoint is not None,
        )
    if window.setpoint is not None:
        return Pressures(window.deepest, window.setpoint, window.shallowest), False, True
    after, leans = window, False
    if job.process in WITH_DEBULK:
        after, leans = window_of(job, debulked(case, window)), True
    low = max(after.deepest, hottest_vapour(case).high / case.vapour_share)
    if after.setpoint is not None:
        return Pressures(low, after.setpoint, after.shallowest), leans, True
    hold = min(low + after.margin, here)
    return Pressures(min(low, here), hold, min(hold + after.margin, here)), leans, False


def batch_of(job: Job, given: float | None) -> float | None:
    """Return how much is mixed [kg]: as given, or what the cloth holds and some to spare."""
    if job.process in ("prepreg", "degassing"):
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
    plain = case_of(job)
    pot = pot_band(job, plain)
    degas = degas and job.process not in ("prepreg", "degassing") and job.air_Pa is None
    if degas and job.pot_Pa is None and pot.hold < plain.barometer_Pa:
        job = job.but(pot_Pa=pot.hold, seeded=True)
    case = case_of(job)
    window = window_of(job, case)
    pace = None if job.process == "degassing" else pace_of(job)
    if pace is None and job.process != "degassing":
        raise InputError(
            f"{job.resin.name}: its record has no gel_time, and a plan runs against the gel; "
            "add it from the data sheet"
        )
    mixed = batch_of(job, batch)
    life = None
    if mixed is not None and pace is not None and job.process != "prepreg":
        life = pot_life(job, pace, mixed)
    clock = catalogue.practice().clock
    layers = sum(ply.count for ply in job.layup.plies)
    rolled = clock.wet_out.si * layers * (job.layup.area_m2 or 1.0)
    band, leans, opens = cure_band(job, case, window)
    return Ground(
        job=job,
        case=case,
        window=window,
        warming=default_hottest(job, case).warming,
        pace=pace,
        batch=mixed,
        pot_life=life,
        wet_out=max(rolled, clock.wet_out_least.si) if wet_out is None else wet_out,
        fill=clock.fill.si if fill is None else fill,
        told=frozenset(k for k, v in (("wet_out", wet_out), ("fill", fill)) if v is not None),
        degas=degas,
        pot=pot,
        cure=band,
        after_debulk=leans,
        opens=opens,
    )
