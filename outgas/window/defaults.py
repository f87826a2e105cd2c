"""Defaults filled in from the tables: the hottest moment, the air in the resin, the case."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.job.job import Job
from outgas.laminate.case import Case, confidence_factor
from outgas.laminate.dissolved_air import after_pull
from outgas.laminate.vapour import vapour, warmest_known
from outgas.physics.chance import Band
from outgas.show.amounts import celsius, duration
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming


@dataclass(frozen=True, slots=True)
class Hottest:
    """The hottest moment before the gel holds a bubble [K], its hot side, and how it was got."""

    kelvin: float
    high: float
    text: str
    warming: "Warming | None" = None


def default_hottest(job: Job, case: Case) -> Hottest:
    """Return the hottest moment: as given, by the resin's cure, by heat, or a stated rise."""
    shop, resin = job.shop, job.resin
    base = max(shop.temperature_K, shop.tool_temperature_K)
    if job.hottest_K is not None:
        if job.hottest_K < base - 1e-9:
            raise InputError(
                f"hottest is {celsius(job.hottest_K, 1)}, below the shop or tool at "
                f"{celsius(base, 1)}; it is the warmest the laminate gets before it holds"
            )
        hot, high = job.hottest_K, _hot_side(job, case, job.hottest_K)
        text = f"hottest moment: {celsius(hot)}, up to {high - ZERO_CELSIUS_K:.0f}, as given"
        return Hottest(hot, high, text)
    if job.process.pot:
        text = f"hottest moment: {celsius(base)}, the pot at the shop's temperature"
        return Hottest(base, base, text)
    if resin.cure_temperature is not None:
        hot = max(base, resin.cure_temperature.si)
        return Hottest(hot, hot, f"hottest moment: {celsius(hot)}, the resin's usual cure")
    if not job.layup.plies:
        hot = base + catalogue.practice().margins.default_rise.si
        text = f"hottest moment: {celsius(hot)}, {hot - base:.0f} K over the shop"
        return Hottest(hot, hot, f"{text}, no layup given (estimate)")
    return _computed(job, case, base)


def _hot_side(job: Job, case: Case, hot: float) -> float:
    """Return how hot a moment that was named may be, as far as the vapours are known."""
    doubt = catalogue.practice().margins.named_doubt.si
    if job.hottest_high_K is not None:
        doubt = job.hottest_high_K - hot
    return max(hot, min(hot + case.k * doubt, warmest_known(case)))


def _computed(job: Job, case: Case, base: float) -> Hottest:
    """Return the hottest moment of a layup by its own heat."""
    from outgas.laminate.warming import adiabatic_bound, warming_of

    thick = job.layup.laminate_thickness_m * 1e3
    warming = warming_of(job, case)
    if warming is None:
        rise, high = adiabatic_bound(job, case)
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


def case_of(job: Job) -> Case:
    """Return the case that the limits are computed from; defaults filled in from the tables."""
    practice = catalogue.practice()
    kept = job.process.gas_kept.si
    if job.layup.lets_gas_out is False:
        kept = 1.0
    entrained = practice.margins.entrained
    case = Case(
        resin=job.resin,
        process=job.process,
        shop_K=job.shop.temperature_K,
        tool_K=job.shop.tool_temperature_K,
        hottest_K=job.shop.temperature_K,
        hottest_high_K=job.shop.temperature_K,
        humidity=job.shop.humidity,
        barometer_Pa=job.shop.barometer_Pa,
        given_water=job.water,
        contaminants=job.contaminants,
        entrained=entrained.band if job.entrained is None else Band.exact(job.entrained),
        dissolved_Pa=Band.exact(0.0),
        gas_kept=kept,
        void_target=job.void_target,
        vapour_share=job.vapour_share,
        core=job.layup.core,
        k=confidence_factor(job.confidence),
    )
    hottest = default_hottest(job, case)
    case = case.but(hottest_K=hottest.kelvin, hottest_high_K=hottest.high)
    if hottest.warming is not None:
        case = case.but(early_K=hottest.warming.early_K)
    # What got in by mistake came after the air had settled: it drives none of it out.
    cool = vapour(case.but(contaminants=()), case.shop_K).nominal
    full = max(0.0, case.barometer_Pa - cool)
    if job.air_Pa is not None:
        return case.but(dissolved_Pa=Band.exact(min(job.air_Pa, case.barometer_Pa)))
    case = case.but(dissolved_Pa=Band.exact(full))
    if job.pot_Pa is not None:
        gas = practice.gas
        removed = gas.seeded_removed if job.seeded else gas.pot_removed
        return after_pull(case, job.pot_Pa, removed)
    return case
