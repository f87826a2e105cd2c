"""How warm a laminate gets before its gel can hold a bubble, and when it gels.

From a layup to a heat run, and from the run to what the limits need: the hottest moment (nominal
and on the hot side), the gel, the moment the gel holds, the peak.
"""

import dataclasses
import functools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.job.job import Job
from outgas.job.layup import Layup, slabs_of
from outgas.job.shop import Shop
from outgas.laminate.batch import GELS_FOLLOWED, Batch
from outgas.laminate.liquid import Liquid, at_stated_confidence
from outgas.laminate.vapour import NOTHING_PA, upper_ends, vapour, warmest_known
from outgas.physics import cure, gelling, heat
from outgas.tables import catalogue
from outgas.tables.data import remembered
from outgas.tables.materials import Consumable
from outgas.tables.number import Number
from outgas.tables.practice import Process
from outgas.tables.rates import Curing

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SHORTEST_S, LONGEST_S = 3600.0, 2.0 * 86400.0
LEAST_GELS = 2.5  # even if that is longer than LONGEST_S: the gel must lie inside the run
SAMPLES = 481  # of an oven's run, beside the own steps
AT_ONCE = 160  # laminates whose runs are held at the same time
CELLS, RTOL = 30, 1e-6  # within a few hundredths of a kelvin, enough beside the data's own errors
OVEN_RTOL = 3e-7  # a prepreg's law jumps where one rate constant takes over from another
NODES = 24
NODE_TOP_K = 423.15  # where the monomers' curves end


class ToItsEnd:
    """A heat run that was cut short where it had settled, run to its end once that is asked for."""

    def __init__(self, case: heat.HeatCase) -> None:
        self._case = dataclasses.replace(case, asked=(math.inf, 0.0))

    @functools.cached_property
    def run(self) -> heat.HeatRun:
        """The whole of it."""
        ((_, run),) = _run([self._case])
        return run


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Warming:
    """What a laminate does: temperatures [K] and times [s] from the moment it is mixed.

    run goes on until its gel holds and it is past its peak, and from there on it only cools; whole
    goes on to the end, as plans ask.
    """

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
    rest: ToItsEnd | None = None  # None where run is the whole

    @property
    def whole(self) -> heat.HeatRun:
        """The run to its end."""
        return self.run if self.rest is None else self.rest.run


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


def pressure_curve(liquid: Liquid, low: float, high: float) -> "Callable[[Floats], Floats]":
    """Return the 95 % vapour pressure as a quick function of temperature between two ends.

    At 95 % whatever the confidence asked for: when a gel holds is not a matter of taste.
    """
    sure = at_stated_confidence(liquid)
    T = np.linspace(low, min(high, NODE_TOP_K), NODES)
    p = upper_ends(sure, T)
    u, logs = 1.0 / T[::-1], np.log(np.maximum(p[::-1], NOTHING_PA))

    def at(temperature: "Floats") -> "Floats":
        return np.asarray(np.exp(np.interp(1.0 / temperature, u, logs)))

    return at


# What makes a gel hold later than thought. The modulus itself is not among them: ten times what
# rubber needs is asked of it, and that margin is there for what is not known of it.
LATENESS = ("gel_conversion", "modulus_exponent")


def holding_of(curing: Curing, late: str = "") -> gelling.Holding:
    """Return what the resin's gel needs to hold a bubble.

    late names one of LATENESS to be taken at the end that makes it hold later.
    """
    family, general = curing.family, curing.general
    steep, gel = family.modulus_exponent, curing.gel
    network = cure.Network(
        family.modulus.si,
        steep.high_si if late == "modulus_exponent" else steep.si,
        gel.high_si if late == "gel_conversion" else gel.si,
    )
    return gelling.Holding(network, general.modulus_over_pressure.si, general.after_gel.si)


@dataclass(frozen=True, slots=True)
class Heated:
    """All that the heat of a laminate depends on, and nothing else."""

    shop: Shop
    layup: Layup
    process: Process
    batch: Batch
    liquid: Liquid


def warming_of(job: Job, batch: Batch, liquid: Liquid) -> Warming:
    """Return what the laminate does from mixing to past its peak.

    Kept by what the heat depends on: ways out and influences move much that it does not.
    """
    return _followed(Heated(job.shop, job.layup, job.process, batch, liquid))


@remembered(256)
def _followed(heated: Heated) -> Warming:
    return follow(heated)


def follow(heated: Heated) -> Warming:
    """Run the heat of a laminate: nominal, a quicker batch, more resin in stiller air; read all.

    On a heated table of which no more is known both ends are tried, a face that passes no heat
    and one held at its temperature: the earlier gel is taken, and the hotter of each temperature.
    """
    ((_, warming),) = follow_many([heated])
    return warming


def follow_many(laminates: "Sequence[Heated]") -> "Iterator[tuple[int, Warming]]":
    """Run the heat of many laminates together, and give the number of each with its warming.

    Each is what follow gives for it alone. They come as their runs are done, in an order of their
    own; a warming holds its nominal run, so who has many keeps of each what is needed.
    """
    for low in range(0, len(laminates), AT_ONCE):
        some = [_Followed(heated) for heated in laminates[low : low + AT_ONCE]]
        cases = [case for followed in some for case in followed.cases]
        whose = [i for i, followed in enumerate(some) for _ in followed.cases]
        which = [k for followed in some for k in range(len(followed.cases))]
        for at, run in _run(cases):
            followed = some[whose[at]]
            followed.runs[which[at]] = run
            if len(followed.runs) == len(followed.cases):
                yield low + whose[at], followed.read()
                followed.runs = {}


def _run(cases: "Sequence[heat.HeatCase]") -> "Iterator[tuple[int, heat.HeatRun]]":
    """Run heat as finely as the data deserve."""
    return heat.solve_many(cases, cells=CELLS, rtol=RTOL, atol=RTOL / 10)


class _Followed:
    """A laminate's cases, three for each way its table may hold it, and the runs that are done."""

    def __init__(self, heated: Heated) -> None:
        self.heated = heated
        held: list[float | None] = [None]
        if heated.layup.tool is None and heated.shop.tool_temperature_K > heated.shop.temperature_K:
            held.append(catalogue.practice().heat.film_held.si)
        self.cases = [case for each in held for case in _cases(heated, each)]
        self.runs: dict[int, heat.HeatRun] = {}

    def read(self) -> Warming:
        """Return what all runs say: the earliest gel, and the hottest of each temperature."""
        starts = range(0, len(self.cases), 3)
        tried = [
            dataclasses.replace(
                _read(self.heated, gelling.Runs(*(self.runs[i + k] for k in range(3)))),
                rest=ToItsEnd(self.cases[i]),
            )
            for i in starts
        ]
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


def _cases(heated: Heated, film_held: float | None) -> list[heat.HeatCase]:
    """Return the nominal case, a quicker batch, and much resin in still air."""
    batch = heated.batch
    usual, rich = both_slabs(heated.layup, batch.curing, heated.process)
    start = start_of(heated, usual)
    near, still = (surroundings(heated, film_held, still=end) for end in (False, True))
    end = _followed_for(heated, batch.law, float(start.min()))
    # The second and third are read for how warm they get, and for when the first cell gels.
    held, gels = _surely_holds(heated), (batch.law.gel, 0.0)
    ways = (
        (usual, batch.law, near, held),
        (usual, batch.quick_law, near, gels),
        (rich, batch.law, still, gels),
    )
    return [
        heat.HeatCase(slabs=slabs, law=law, around=around, start=start, end=end, asked=asked)
        for slabs, law, around, asked in ways
    ]


def _surely_holds(heated: Heated) -> tuple[float, float]:
    """Return a conversion from which a gel holds its bubbles, at 25 degC and more by the kelvin.

    The chord of what it needs, from the coldest to the hottest that it may be: that curve is bent
    upwards, as every vapour pressure is, so the chord lies over it.
    """
    liquid = at_stated_confidence(heated.liquid)
    cold = min(heated.shop.temperature_K, heated.shop.tool_temperature_K)
    ends = np.array([cold, min(NODE_TOP_K, warmest_known(liquid))])
    low, high = holding_of(heated.batch.curing).conversion(upper_ends(liquid, ends))
    if high >= 1.0:
        return math.inf, 0.0  # where it is as much as there is, it is cut off there
    steep = (high - low) / (ends[1] - ends[0])
    return float(low + steep * (cure.REFERENCE_K - ends[0])), float(steep)


def both_slabs(layup: Layup, curing: Curing, process: Process) -> tuple[heat.Slabs, heat.Slabs]:
    """Return the layers with the usual share of resin, and rich in it: the hot end."""
    side = usual_bag_side(process)
    usual, rich = (slabs_of(layup, curing, side, rich=end) for end in (False, True))
    return usual, rich


def _followed_for(heated: Heated, law: cure.Kinetics, coldest: float) -> float:
    """Return how long the heat is followed [s]: some gel times, at least until the gel."""
    slow = cure.time_to(law, law.gel, min(heated.shop.temperature_K, coldest))
    if not math.isfinite(slow):
        slow = LONGEST_S
    return min(max(GELS_FOLLOWED * slow, SHORTEST_S), max(LONGEST_S, LEAST_GELS * slow))


def _read(heated: Heated, runs: gelling.Runs) -> Warming:
    """Return what the runs say of a laminate, as sure as was asked for."""
    pace, liquid = heated.batch, heated.liquid
    curing, law = pace.curing, pace.law
    found = gelling.read(
        runs,
        gelling.Judged(
            gel=law.gel,
            holds=holding_of(curing),
            later=tuple(holding_of(curing, end) for end in LATENESS),
            pressure=pressure_curve(liquid, *runs.span()),
            base_K=liquid.base_K,
            # two ways to more heat than thought: the reaction's own, and one that goes on longer
            more=(curing.heat.high_si / law.heat - 1.0, curing.further - 1.0),
            last_change=catalogue.practice().clock.last_change.si,
        ),
    )
    warmest, gel, peak = max(found.hot.kelvin, liquid.base_K), found.gel, found.peak
    high_K = min(warmest + liquid.k * found.hot_doubt, NODE_TOP_K)
    return Warming(
        run=runs.nominal,
        gel_s=gel.first_s,
        last_gel_s=gel.last_s,
        gel_interval_s=(gel.first_s * pace.shorter, gel.first_s * pace.longer),
        gel_K=gel.kelvin,
        hold_s=found.hot.hold_s,
        hot_K=min(warmest, NODE_TOP_K),
        hot_high_K=high_K,
        hot_conversion=found.hot.conversion,
        peak_K=peak.kelvin,
        peak_high_K=peak.kelvin + found.peak_doubt,
        peak_s=peak.at_s,
        start_K=liquid.base_K,
        early_K=min(found.early_K + liquid.k * found.early_doubt, high_K),
    )


def oven_run(job: Job, pace: Batch, times: "Floats", air: "Floats", until: float) -> Warming:
    """Return what a laminate does in an oven whose air follows air [K] at times [s]."""
    law = pace.law
    slabs = slabs_of(job.layup, job.curing, usual_bag_side(job.process))
    film = catalogue.practice().heat.film_oven.si
    around = heat.Surroundings(film_tool=film, film_bag=film, times=times, under=air, over=air)
    grid = np.linspace(0.0, until, SAMPLES)
    run = heat.solve(
        slabs,
        law,
        around,
        float(air[0]),
        grid,
        cells=CELLS,
        rtol=OVEN_RTOL,
        atol=OVEN_RTOL / 10,
        own_steps=True,
    )
    gel, peak = gelling.gel_of(run, law.gel), gelling.peak_of(run)
    after = min(law.gel + job.curing.general.after_gel.si, 1.0)
    return Warming(
        run=run,
        gel_s=gel.first_s,
        last_gel_s=gel.last_s,
        gel_interval_s=(gel.first_s * pace.shorter, gel.first_s * pace.longer),
        gel_K=gel.kelvin,
        hold_s=gelling.gel_of(run, after).last_s,
        hot_K=peak.kelvin,
        hot_high_K=peak.kelvin,
        hot_conversion=law.gel,
        peak_K=peak.kelvin,
        peak_high_K=peak.kelvin,
        peak_s=peak.at_s,
        start_K=float(air[0]),
    )


def adiabatic_bound(job: Job, liquid: Liquid) -> tuple[float, float]:
    """Return the rise [K], nominal and high, of a laminate that loses no heat until it holds.

    For a resin without a gel time: the most its heat could do.
    """
    usual, rich = both_slabs(job.layup, job.curing, job.process)
    wet = usual.resin > 0.0
    base = max(job.shop.temperature_K, job.shop.tool_temperature_K)
    p = np.array([vapour(liquid, base).high])
    of = job.curing.heat

    def rise(number: float, late: str, slabs: heat.Slabs = usual) -> float:
        X = float(holding_of(job.curing, late).conversion(p)[0])
        slope = np.broadcast_to(slabs.capacity_slope, wet.shape)[wet]
        each = heat.adiabatic_rise(slabs.resin[wet], X * number, slabs.capacity[wet], slope, base)
        return float(np.max(each))

    nominal = rise(of.si, "")
    worse = [rise(of.high_si, ""), rise(of.si, "", rich), *(rise(of.si, end) for end in LATENESS)]
    return nominal, nominal + math.hypot(*(r - nominal for r in worse))
