"""The hottest moment of a laminate: by its own heat, as named, by its cure, or as stated."""

import math
from typing import TYPE_CHECKING

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.job.job import Job
from outgas.laminate.case import Hottest
from outgas.laminate.liquid import Liquid
from outgas.laminate.vapour import warmest_known
from outgas.show.amounts import celsius, duration
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming


def hottest_of(job: Job, liquid: Liquid, warming: "Warming | None") -> Hottest:
    """Return the hottest moment: by its heat, as given, by the resin's cure, or a stated rise.

    warming: the heat of its layup; None where there is none to follow.
    """
    base = max(job.shop.temperature_K, job.shop.tool_temperature_K)
    if warming is not None:
        return _by_its_heat(job, warming)
    if job.hottest_K is not None:
        return _named(job, liquid, base, job.hottest_K)
    if job.process.pot:
        text = f"hottest moment: {celsius(base)}, the pot at the shop's temperature"
        return Hottest(base, base, text, known=False)
    if job.resin.cure_temperature is not None:
        hot = max(base, job.resin.cure_temperature.si)
        text = f"hottest moment: {celsius(hot)}, the resin's usual cure"
        return Hottest(hot, hot, text, known=False)
    if not job.layup.plies:
        hot = base + catalogue.practice().margins.default_rise.si
        text = f"hottest moment: {celsius(hot)}, {hot - base:.0f} K over the shop"
        return Hottest(hot, hot, f"{text}, no layup given (estimate)", known=False)
    from outgas.laminate.warming import adiabatic_bound

    rise, high = adiabatic_bound(job, liquid)
    text = (
        f"hottest moment: {celsius(base + rise)}, if the laminate lost no heat (the "
        "resin has no gel time to compute with)"
    )
    return Hottest(base + rise, base + high, text)


def _by_its_heat(job: Job, warming: "Warming") -> Hottest:
    """Return the hottest moment that the heat of a layup was followed to."""
    thick = job.layup.laminate_thickness_m * 1e3
    holds = f" at {duration(warming.hold_s, hours=False)}" if math.isfinite(warming.hold_s) else ""
    sides = "" if job.layup.tool is not None else ", tool not named: it takes up no heat"
    text = (
        f"hottest moment: {celsius(warming.hot_K)}, up to "
        f"{warming.hot_high_K - ZERO_CELSIUS_K:.0f}, by the heat of {thick:.1f} mm of "
        f"laminate until its gel can hold a bubble{holds}{sides}"
    )
    return Hottest(warming.hot_K, warming.hot_high_K, text, warming)


def _named(job: Job, liquid: Liquid, base: float, hot: float) -> Hottest:
    """Return a moment that was named, and how hot it may be, as far as the vapours are known."""
    if hot < base - 1e-9:
        raise InputError(
            f"hottest is {celsius(hot, 1)}, below the shop or tool at {celsius(base, 1)}; it is "
            "the warmest the laminate gets before it holds"
        )
    doubt = catalogue.practice().margins.named_doubt.si
    if job.hottest_high_K is not None:
        doubt = job.hottest_high_K - hot
    high = max(hot, min(hot + liquid.k * doubt, warmest_known(liquid)))
    text = f"hottest moment: {celsius(hot)}, up to {high - ZERO_CELSIUS_K:.0f}, as given"
    return Hottest(hot, high, text)
