"""Defaults filled in from the tables: the hottest moment, the air in the resin, the case."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError, OutgasError
from outgas.job.job import Job, working_time
from outgas.laminate.batch import batch_of
from outgas.laminate.case import Case, Hottest, degassed
from outgas.laminate.liquid import Liquid, liquid_of
from outgas.laminate.vapour import vapour, warmest_known
from outgas.physics.chance import Band
from outgas.show.amounts import celsius, duration
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming

FEWEST_TOGETHER = 2  # heat runs that are worth running together
SLOW_TO_GEL = ("epoxy",)  # families that stay thin for an hour


def default_hottest(job: Job, liquid: Liquid, warming: "Warming | None" = None) -> Hottest:
    """Return the hottest moment: as given, by the resin's cure, by heat, or a stated rise.

    warming: the heat of its layup, where that was run already.
    """
    shop, resin = job.shop, job.resin
    base = max(shop.temperature_K, shop.tool_temperature_K)
    if job.hottest_K is not None:
        if job.hottest_K < base - 1e-9:
            raise InputError(
                f"hottest is {celsius(job.hottest_K, 1)}, below the shop or tool at "
                f"{celsius(base, 1)}; it is the warmest the laminate gets before it holds"
            )
        hot, high = job.hottest_K, _hot_side(job, liquid, job.hottest_K)
        text = f"hottest moment: {celsius(hot)}, up to {high - ZERO_CELSIUS_K:.0f}, as given"
        return Hottest(hot, high, text)
    if job.process.pot:
        text = f"hottest moment: {celsius(base)}, the pot at the shop's temperature"
        return Hottest(base, base, text, known=False)
    if resin.cure_temperature is not None:
        hot = max(base, resin.cure_temperature.si)
        text = f"hottest moment: {celsius(hot)}, the resin's usual cure"
        return Hottest(hot, hot, text, known=False)
    if not job.layup.plies:
        hot = base + catalogue.practice().margins.default_rise.si
        text = f"hottest moment: {celsius(hot)}, {hot - base:.0f} K over the shop"
        return Hottest(hot, hot, f"{text}, no layup given (estimate)", known=False)
    return _computed(job, liquid, base, warming)


def _hot_side(job: Job, liquid: Liquid, hot: float) -> float:
    """Return how hot a moment that was named may be, as far as the vapours are known."""
    doubt = catalogue.practice().margins.named_doubt.si
    if job.hottest_high_K is not None:
        doubt = job.hottest_high_K - hot
    return max(hot, min(hot + liquid.k * doubt, warmest_known(liquid)))


def _computed(job: Job, liquid: Liquid, base: float, warming: "Warming | None") -> Hottest:
    """Return the hottest moment of a layup by its own heat."""
    from outgas.laminate.warming import adiabatic_bound, warming_of

    thick = job.layup.laminate_thickness_m * 1e3
    if warming is None and (batch := batch_of(job)) is not None:
        warming = warming_of(job, batch, liquid)
    if warming is None:
        rise, high = adiabatic_bound(job, liquid)
        text = (
            f"hottest moment: {celsius(base + rise)}, if the laminate lost no heat (the "
            "resin has no gel time to compute with)"
        )
        return Hottest(base + rise, base + high, text)
    holds = f" at {duration(warming.hold_s, hours=False)}" if math.isfinite(warming.hold_s) else ""
    sides = "" if job.layup.tool is not None else ", tool not named: it takes up no heat"
    text = (
        f"hottest moment: {celsius(warming.hot_K)}, up to "
        f"{warming.hot_high_K - ZERO_CELSIUS_K:.0f}, by the heat of {thick:.1f} mm of "
        f"laminate until its gel can hold a bubble{holds}{sides}"
    )
    return Hottest(warming.hot_K, warming.hot_high_K, text, warming)


def is_heated(job: Job) -> bool:
    """Return whether the heat of a layup sets the hottest moment of a job."""
    named = job.hottest_K is not None or job.process.pot or job.resin.cure_temperature is not None
    return bool(job.layup.plies) and not named


def case_of(job: Job, warming: "Warming | None" = None) -> Case:
    """Return the case that the limits are computed from; defaults filled in from the tables.

    warming: the heat of its layup, where that was run already.
    """
    margins, gas = catalogue.practice().margins, catalogue.gas()
    liquid = liquid_of(job)
    hottest = default_hottest(job, liquid, warming)
    lasts = lasting(job, hottest)
    case = Case.of(
        liquid,
        hottest=hottest,
        entrained=margins.entrained.band if job.entrained is None else Band.exact(job.entrained),
        dissolved_Pa=Band.exact(0.0),
        trapped=job.trapped or gas.laminate.trapped.band,
        connected=job.connected or gas.laminate.connected.band,
        path_open=path_is_open(job),
        low_gas=job.low_gas,
        early_s=lasts.early_s,
        hold_s=lasts.hold_s,
        cup_s=lasts.cup_s,
        fibre_fraction=fibre_fraction_of(job),
        thickness_m=job.layup.laminate_thickness_m or gas.look.thickness.si,
        finish=job.finish,
        void_target=job.void_target,
        vapour_share=job.vapour_share,
        exact=job.exact,
        learnt=job.learnt,
    )
    # What got in by mistake came after the air had settled: it drives none of it out.
    cool = vapour(case.but(contaminants=()), case.shop_K).nominal
    full = max(0.0, case.barometer_Pa - cool)
    if job.air_Pa is not None:
        return case.but(dissolved_Pa=Band.exact(min(job.air_Pa, case.barometer_Pa)))
    case = case.but(dissolved_Pa=Band.exact(full))
    return case if job.pot is None else degassed(case, job.pot)


def cases_of(jobs: Sequence[Job]) -> "list[Case | OutgasError]":
    """Return the case of each job, or why it has none; the heat of all is run together."""
    warmings = _warmings(jobs)
    found: list[Case | OutgasError] = []
    for i, job in enumerate(jobs):
        try:
            found.append(case_of(job, warmings.get(i)))
        except OutgasError as error:
            found.append(error)
    return found


def _warmings(jobs: Sequence[Job]) -> "dict[int, Warming]":
    """Return the heat of each job that needs it; what cannot be run together is left out."""
    heated = [i for i, job in enumerate(jobs) if is_heated(job)]
    if len(heated) < FEWEST_TOGETHER:
        return {}
    from outgas.laminate.warming import Heated, follow_many

    asked: dict[int, Heated] = {}
    for i in heated:
        job = jobs[i]
        try:
            batch = batch_of(job)
        except OutgasError:
            continue  # told of where the case is made
        if batch is not None:
            asked[i] = Heated(job.shop, job.layup, job.process, batch, liquid_of(job))
    which = list(asked)
    try:
        return {which[i]: warming for i, warming in follow_many(list(asked.values()))}
    except OutgasError:
        return {}  # one of them cannot be followed: each alone, to find which


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long the steps of a course last [s]: before any vacuum, early, and until it thickens."""

    cup_s: float
    early_s: float
    hold_s: float


def lasting(job: Job, hottest: Hottest) -> Lasting:
    """Return how long the steps are reckoned with: by the laminate's own gel where it is known.

    The early step ends within the last change of pressure's share of the gel, and is no longer
    than is usual; what is left to the gel is the hold's.
    """
    clock, time = catalogue.practice().clock, catalogue.gas().time
    early = clock.settle.si if job.process.filled else clock.debulk.si
    hold = time.hold
    if job.process.putty:
        hold = time.putty_hold
    elif job.resin.family in SLOW_TO_GEL:
        hold = time.hold_epoxy
    warming = hottest.warming
    if warming is None or not math.isfinite(warming.gel_s):
        return Lasting(time.cup.si, early, hold.si)
    cup = clock.mix.si + working_time(job)
    least = clock.settle.si
    if not job.process.filled:
        cup += clock.bag.si + clock.leak_check.si
        least = clock.debulk_least.si
    left = clock.last_change.si * warming.gel_s - cup
    early = min(max(left, least), early)
    return Lasting(cup, early, max(warming.gel_s - cup - early, clock.debulk_least.si))


def path_is_open(job: Job) -> bool:
    """Return whether freed gas can get out while the resin is thin.

    By the process, by what lies under the bag, and under a core by its holes alone.
    """
    if job.process.path == "core":
        return job.layup.core_is_open
    return job.process.path == "open" and job.layup.lets_gas_out is not False


def fibre_fraction_of(job: Job) -> float:
    """Return the fibre fraction of the laminate: by its cloth, else the process's usual."""
    plies = job.layup.plies
    if job.process.putty or not plies:
        return job.process.fibre_fraction.si
    fibre = sum(ply.thickness * ply.fabric.fibre_fraction.si for ply in plies)
    return fibre / job.layup.laminate_thickness_m
