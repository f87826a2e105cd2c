"""How warm a laminate gets before its gel can hold a bubble, and when it gels.

From a layup to a heat run, and from the run to what the limits need: the hottest moment (nominal
and on the hot side), the gel, the moment the gel holds, the peak.
"""

import dataclasses
import functools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.job.job import Job
from outgas.job.layup import Layup
from outgas.job.shop import Shop
from outgas.laminate.batch import GELS_FOLLOWED, Batch, law_of
from outgas.laminate.liquid import Liquid, at_stated_confidence
from outgas.laminate.vapour import vapour
from outgas.physics import cure, heat
from outgas.show.amounts import celsius
from outgas.tables import catalogue, rates
from outgas.tables.materials import Consumable, Resin
from outgas.tables.number import Number
from outgas.tables.practice import Process

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SHORTEST_S, LONGEST_S = 3600.0, 2.0 * 86400.0
LEAST_GELS = 2.5  # even if that is longer than LONGEST_S: the gel must lie inside the run
SAMPLES = 481  # beside the solver's own steps
CELLS, RTOL = 30, 1e-6  # within a few hundredths of a kelvin, enough beside the data's own errors
NODES = 24
NODE_TOP_K = 423.15  # where the monomers' curves end


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Warming:
    """What a laminate does: temperatures [K] and times [s] from the moment it is mixed."""

    run: heat.HeatRun
    gel_s: float  # of the hottest cell, the first to gel
    last_gel_s: float
    gel_interval_s: tuple[float, float]
    gel_K: float  # of the hottest cell as it gels
    hold_s: float  # when the last cell can hold a bubble
    hot_K: float
    hot_high_K: float
    hot_conversion: float
    peak_K: float
    peak_high_K: float  # on the hot side
    peak_s: float
    start_K: float
    early_K: float = 0.0  # the warmest up to the last change of pressure, on the hot side


def usual_bag_side(process: Process) -> tuple[Consumable, ...]:
    """Return what usually lies over the laminate in a process."""
    return tuple(catalogue.consumable(name) for name in process.bag_side)


def films(*, still: bool = False) -> tuple[heat.Film, heat.Film]:
    """Return how a free tool's underside and the bag's face lose heat to the shop's air.

    still takes the least: stiller air over a larger face, and a face that radiates less.
    """
    practice = catalogue.practice().heat
    length = practice.face.high_si if still else practice.face.si

    def film(emissivity: Number, rising: Number) -> heat.Film:
        shines, rises = (n.low_si if still else n.si for n in (emissivity, rising))
        return heat.Film(emissivity=shines, rising=rises / length**0.25)

    return (
        film(practice.emissivity_tool, practice.rising_down),
        film(practice.emissivity_bag, practice.rising_up),
    )


def surroundings(
    heated: "Heated", film_held: float | None = None, *, still: bool = False
) -> heat.Surroundings:
    """Return what lies around a bagged laminate: air over, the tool's temperature under.

    Without a tool the underside passes no heat, or film_held where that is given.
    """
    practice, shop = catalogue.practice().heat, heated.shop
    under, over = shop.tool_temperature_K, shop.temperature_K
    film_tool, film_bag = films(still=still)
    free = film_tool if heated.layup.tool is not None else 0.0
    return heat.Surroundings(
        film_tool=free if film_held is None else film_held,
        film_bag=film_bag,
        times=np.array([0.0, 1.0]),
        under=np.array([under, under]),
        over=np.array([over, over]),
        sun=shop.sun_W_m2 * practice.sun_absorbed.high_si,
    )


def start_of(heated: "Heated", slabs: heat.Slabs) -> "Floats":
    """Return each layer's temperature at the start: the tool its own, the rest the air's."""
    start = np.full(slabs.thickness.size, heated.shop.temperature_K)
    if heated.layup.tool is not None:
        start[0] = heated.shop.tool_temperature_K
    elif heated.shop.tool_temperature_K != heated.shop.temperature_K:
        start[:] = max(heated.shop.tool_temperature_K, heated.shop.temperature_K)
    return start


NOTHING_PA = 1e-3  # in place of no pressure at all, which has no logarithm: a bone-dry resin's


def pressure_curve(liquid: Liquid, low: float, high: float) -> "Callable[[Floats], Floats]":
    """Return the 95 % vapour pressure as a quick function of temperature between two ends.

    At 95 % whatever the confidence asked for: when a gel holds is not a matter of taste.
    """
    sure = at_stated_confidence(liquid)
    T = np.linspace(low, min(high, NODE_TOP_K), NODES)
    p = np.array([vapour(sure, float(x)).high for x in T])
    u, logs = 1.0 / T[::-1], np.log(np.maximum(p[::-1], NOTHING_PA))

    def at(temperature: "Floats") -> "Floats":
        return np.asarray(np.exp(np.interp(1.0 / temperature, u, logs)))

    return at


# What makes a gel hold later than thought. The modulus itself is not among them: ten times what
# rubber needs is asked of it, and that margin is there for what is not known of it.
LATENESS = ("gel_conversion", "modulus_exponent")


def holding(resin: Resin, p: "Floats", late: str = "") -> "Floats":
    """Return the conversion from which the gel holds bubbles of pressure p [Pa].

    late names one of LATENESS to be taken at the end that makes it hold later.
    """
    family, general = rates.family_of(resin), rates.cure().general
    gel = resin.gel_conversion or family.gel_conversion
    network = cure.Network(
        family.modulus.si,
        (family.modulus_exponent.high_si if late == "modulus_exponent" else None)
        or family.modulus_exponent.si,
        gel.high_si if late == "gel_conversion" else gel.si,
    )
    needs = general.modulus_over_pressure.si, general.after_gel.si
    return np.asarray(cure.holding_conversion(p, network, *needs))


@dataclass(frozen=True, slots=True)
class Heated:
    """All that the heat of a laminate depends on, and nothing else."""

    resin: Resin
    shop: Shop
    layup: Layup
    process: Process
    batch: Batch
    liquid: Liquid


def warming_of(job: Job, batch: Batch, liquid: Liquid) -> Warming:
    """Return what the laminate does from mixing to past its peak.

    Kept by what the heat depends on: ways out and influences move much that it does not.
    """
    return _followed(Heated(job.resin, job.shop, job.layup, job.process, batch, liquid))


@functools.lru_cache(maxsize=256)
def _followed(heated: Heated) -> Warming:
    return follow(heated)


def follow(heated: Heated) -> Warming:
    """Run the heat of a laminate: nominal, a quicker batch, more resin in stiller air; read all.

    On a heated table of which no more is known both ends are tried, a face that passes no heat
    and one held at its temperature: the earlier gel is taken, and the hotter of each temperature.
    """
    held: list[float | None] = [None]
    if heated.layup.tool is None and heated.shop.tool_temperature_K > heated.shop.temperature_K:
        held.append(catalogue.practice().heat.film_held.si)
    tried = [_follow(heated, each) for each in held]
    first, hottest = min(tried, key=lambda w: w.gel_s), max(tried, key=lambda w: w.peak_K)
    return dataclasses.replace(
        first,
        hot_K=max(w.hot_K for w in tried),
        hot_high_K=max(w.hot_high_K for w in tried),
        early_K=max(w.early_K for w in tried),
        peak_K=hottest.peak_K,
        peak_high_K=max(w.peak_high_K for w in tried),
        peak_s=hottest.peak_s,
    )


@dataclass(frozen=True, slots=True)
class _Runs:
    """The heat of a laminate: nominal, of a quicker batch, with much resin in still air."""

    nominal: heat.HeatRun
    quick: heat.HeatRun
    rich: heat.HeatRun

    def span(self) -> tuple[float, float]:
        """Return the coldest and the hottest of them all [K]."""
        all_runs = (self.nominal, self.quick, self.rich)
        low = float(min(r.T.min() for r in all_runs))
        return low, max(float(max(r.T.max() for r in all_runs)), low + 1.0)


def _follow(heated: Heated, film_held: float | None) -> Warming:
    law = law_of(heated.resin, heated.batch)
    slabs = heated.layup.slabs(heated.resin, usual_bag_side(heated.process))
    start = start_of(heated, slabs)
    coolest = min(heated.shop.temperature_K, float(start.min()))
    slow = cure.time_to(law, law.gel, coolest)
    if not math.isfinite(slow):
        slow = LONGEST_S
    until = min(max(GELS_FOLLOWED * slow, SHORTEST_S), max(LONGEST_S, LEAST_GELS * slow))
    times = np.linspace(0.0, until, SAMPLES)

    def run(of: cure.Kinetics, *, rich: bool = False) -> heat.HeatRun:
        layers = slabs
        if rich:  # much resin, in still air
            layers = heated.layup.slabs(heated.resin, usual_bag_side(heated.process), rich=True)
        around = surroundings(heated, film_held, still=rich)
        return heat.solve(
            layers, of, around, start, times, cells=CELLS, rtol=RTOL, atol=RTOL / 10, own_steps=True
        )

    quick = cure.faster(law, 1.0 / heated.batch.shorter)
    return _read(heated, law, _Runs(run(law), run(quick), run(law, rich=True)))


def hottest_before_hold(
    run: heat.HeatRun, resin: Resin, curve: "Callable[[Floats], Floats]", late: str = ""
) -> tuple[float, float, float]:
    """Return the hottest temperature before each cell holds, the conversion there, and the hold."""
    T, X = run.T[run.reacts], run.X[run.reacts]
    need = holding(resin, curve(T), late)
    hold = heat.first_time(run.t, X - need, 0.0)
    before = run.t[None, :] <= hold[:, None]
    ends = np.minimum(hold, run.t[-1])
    at_hold = np.array([np.interp(end, run.t, row) for end, row in zip(ends, T, strict=True)])
    seen = np.where(before, T, -np.inf).max(axis=1)
    hottest = np.maximum(seen, np.where(np.isfinite(hold), at_hold, -np.inf))
    cell = int(hottest.argmax())
    when = float(run.t[int(np.where(before[cell], T[cell], -np.inf).argmax())])
    when = float(hold[cell]) if at_hold[cell] >= seen[cell] and np.isfinite(hold[cell]) else when
    conversion = float(np.interp(when, run.t, X[cell]))
    return float(hottest[cell]), conversion, float(hold.max())


def _read(heated: Heated, law: cure.Kinetics, runs: _Runs) -> Warming:
    nominal, quick, rich = runs.nominal, runs.quick, runs.rich
    curve = pressure_curve(heated.liquid, *runs.span())
    family, pace = rates.family_of(heated.resin), heated.batch
    hot, conversion, hold = hottest_before_hold(nominal, heated.resin, curve)
    base = heated.liquid.base_K
    later = [hottest_before_hold(nominal, heated.resin, curve, end)[0] for end in LATENESS]
    faster = hottest_before_hold(quick, heated.resin, curve)[0]
    richer = hottest_before_hold(rich, heated.resin, curve)[0]
    # two ways to more heat than thought: the reaction's own, and one that goes on for longer
    warmth = (heated.resin.heat or family.heat).high_si / law.heat - 1.0
    onward = rates.most_final(heated.resin) - 1.0
    rise = max(0.0, hot - base)
    parts = (
        *(max(0.0, T - hot) for T in (*later, faster, richer)),
        rise * warmth,
        rise * onward,
    )
    T, X = nominal.T[nominal.reacts], nominal.X[nominal.reacts]
    gels = heat.first_time(nominal.t, X, law.gel)
    first = int(gels.argmin())
    gel = float(gels[first])
    cell = int(T.max(axis=1).argmax())
    peak = float(T.max())
    hotter = (
        *(float(r.T[r.reacts].max()) - peak for r in (quick, rich)),
        *(max(0.0, peak - base) * more for more in (warmth, onward)),
    )
    hot_K = min(max(hot, base), NODE_TOP_K)
    high_K = min(max(hot, base) + heated.liquid.k * math.hypot(*parts), NODE_TOP_K)
    early, doubt = _early(heated, runs, law.gel, (warmth, onward))
    return Warming(
        run=nominal,
        gel_s=gel,
        last_gel_s=float(gels.max()),
        gel_interval_s=(gel * pace.shorter, gel * pace.longer),
        gel_K=float(np.interp(min(gel, nominal.t[-1]), nominal.t, T[first])),
        hold_s=hold,
        hot_K=hot_K,
        hot_high_K=high_K,
        hot_conversion=conversion,
        peak_K=peak,
        peak_high_K=peak + math.hypot(*(max(0.0, x) for x in hotter)),
        peak_s=float(nominal.t[int(T[cell].argmax())]),
        start_K=base,
        early_K=min(early + heated.liquid.k * doubt, high_K),
    )


def _early(
    heated: Heated, runs: _Runs, gel: float, more: tuple[float, float]
) -> tuple[float, float]:
    """Return the warmest up to the last change of pressure [K], and its doubt upwards [K].

    Each batch is followed up to the same share of its own gel. more are the shares by which the
    reaction's heat may be larger.
    """
    share, base = catalogue.practice().clock.last_change.si, heated.liquid.base_K

    def warmest(run: heat.HeatRun) -> float:
        gels = float(heat.first_time(run.t, run.X[run.reacts], gel).min())
        return max(base, _warmest_until(run, share * gels))

    at = warmest(runs.nominal)
    parts = [max(0.0, warmest(run) - at) for run in (runs.quick, runs.rich)]
    return at, math.hypot(*parts, *((at - base) * part for part in more))


def _warmest_until(run: heat.HeatRun, until: float) -> float:
    """Return the warmest [K] that any layer gets up to a moment [s] and at it.

    Between two samples the moment itself is interpolated: heat runs away just then.
    """
    T = run.T[run.reacts]
    at = max(float(np.interp(until, run.t, row)) for row in T)
    return max(at, float(T[:, run.t <= until].max()))


def oven_run(job: Job, pace: Batch, times: "Floats", air: "Floats", until: float) -> Warming:
    """Return what a laminate does in an oven whose air follows air [K] at times [s]."""
    law = law_of(job.resin, pace)
    slabs = job.layup.slabs(job.resin, usual_bag_side(job.process))
    film = catalogue.practice().heat.film_oven.si
    around = heat.Surroundings(film_tool=film, film_bag=film, times=times, under=air, over=air)
    grid = np.linspace(0.0, until, SAMPLES)
    run = heat.solve(
        slabs, law, around, float(air[0]), grid, cells=CELLS, rtol=RTOL, own_steps=True
    )
    T, X = run.T[run.reacts], run.X[run.reacts]
    gels = heat.first_time(run.t, X, law.gel)
    first = int(gels.argmin())
    after = rates.cure().general.after_gel.si
    cell = int(T.max(axis=1).argmax())
    return Warming(
        run=run,
        gel_s=float(gels[first]),
        last_gel_s=float(gels.max()),
        gel_interval_s=(float(gels[first]) * pace.shorter, float(gels[first]) * pace.longer),
        gel_K=float(np.interp(min(float(gels[first]), until), run.t, T[first])),
        hold_s=float(heat.first_time(run.t, X, min(law.gel + after, 1.0)).max()),
        hot_K=float(T.max()),
        hot_high_K=float(T.max()),
        hot_conversion=law.gel,
        peak_K=float(T.max()),
        peak_high_K=float(T.max()),
        peak_s=float(run.t[int(T[cell].argmax())]),
        start_K=float(air[0]),
    )


def adiabatic_bound(job: Job, liquid: Liquid) -> tuple[float, float]:
    """Return the rise [K], nominal and high, of a laminate that loses no heat until it holds.

    For a resin without a gel time: the most its heat could do.
    """
    side, family = usual_bag_side(job.process), rates.family_of(job.resin)
    usual, rich = (job.layup.slabs(job.resin, side, rich=end) for end in (False, True))
    wet = usual.resin > 0.0
    base = max(job.shop.temperature_K, job.shop.tool_temperature_K)
    p = np.array([vapour(liquid, base).high])
    of = job.resin.heat or family.heat

    def rise(number: float, late: str, slabs: heat.Slabs = usual) -> float:
        X = float(holding(job.resin, p, late)[0])
        slope = np.broadcast_to(slabs.capacity_slope, wet.shape)[wet]
        each = heat.adiabatic_rise(slabs.resin[wet], X * number, slabs.capacity[wet], slope, base)
        return float(np.max(each))

    nominal = rise(of.si, "")
    worse = [rise(of.high_si, ""), rise(of.si, "", rich), *(rise(of.si, end) for end in LATENESS)]
    return nominal, nominal + math.hypot(*(r - nominal for r in worse))


@dataclass(frozen=True, slots=True)
class Runaway:
    """A laminate hotter than its sheet knows: up to where [K], what then, what to change."""

    limit_K: float
    said: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.said}: {self.remedy}"


def runaway(job: Job, warming: Warming) -> Runaway | None:
    """Return a fire caution for a laminate that gets, or on the hot side may get, too hot.

    Too hot is beyond all that the sheet's standard mass reaches, or on the hot side beyond what
    it usually reaches where a laminate smokes.
    """
    peak = job.resin.peak_temperature
    if peak is None:
        return None
    limit, would, mass = peak.high_si, "would", "the most its sheet's standard mass reaches"
    if warming.peak_K <= limit:
        smokes = catalogue.practice().heat.smokes.si
        limit, would, mass = peak.si, "may", "what its sheet's standard mass reaches"
        if smokes > limit:
            limit, mass = smokes, "hotter than its sheet's standard mass"
        if warming.peak_high_K <= limit:
            return None
    return Runaway(
        limit,
        f"runaway: this laminate {would} pass {celsius(limit)}, {mass}; it smokes, cracks and may "
        "catch fire. No number beyond that is to be trusted",
        "thinner stages, less initiator within the sheet, a cooler shop or a metal tool",
    )
