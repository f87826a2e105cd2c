"""Which input would change the answer most: one moved at a time."""

import dataclasses
from typing import Any

from outgas.errors import OutgasError
from outgas.job.job import Job
from outgas.show.amounts import celsius, mbar
from outgas.tables import catalogue
from outgas.window.advice import Influence
from outgas.window.defaults import case_of
from outgas.window.window import Window, window_of

WARMER_K = 3.0
WETTER = 0.10
WEATHER_PA = 1500.0  # an ordinary swing of the barometer
TRACE = 0.01
FINER_VOIDS = 0.5
LESS_AIR = 0.8

# What would change it most --------------------------------------------------------------------


def influences(job: Job, window: Window) -> tuple[Influence, ...]:
    """Move one input at a time and return what each does to deepest, the greatest first.

    A lower barometer takes dissolved air along with it, but the dial takes it along whole: so a
    change is counted from the air on the bag, towards which the limit comes.
    """
    found = []
    for argument, to, text, moved in _moves(job, window):
        try:
            after = window_of(moved)
        except OutgasError:
            continue  # the move leaves a model's range
        if job.process == "prepreg":
            change = after.limits.safe["vapour"] - window.limits.safe["vapour"]
        else:
            change = after.deepest - window.deepest
        change += job.shop.barometer_Pa - moved.shop.barometer_Pa
        found.append(Influence(argument, to, text, change))
    return tuple(sorted(found, key=lambda i: -abs(i.change_Pa)))


def _moves(job: Job, window: Window) -> list[tuple[str, str, str, Job]]:
    """Return (argument, new value as text, what it is in words, moved inputs)."""
    shop = job.shop
    warmer = shop.temperature_K + WARMER_K
    moves: list[tuple[str, str, str, Job]] = []

    def add(argument: str, to: str, text: str, **changes: Any) -> None:
        moves.append((argument, to, text, dataclasses.replace(job, **changes)))

    def add_shop(argument: str, to: str, text: str, **si: float) -> None:
        add(argument, to, text, shop=shop.but(**si))

    here = shop.barometer_Pa
    # Above the air, where no bag goes, the air limit moves by how much air dissolves in the first
    # place: a warmer, wetter shop or a lower barometer would be told as a gain.
    beyond = window.deepest >= here and window.limits.limiting == "air"
    if job.hottest_K is None and not beyond:
        text = f"a shop {WARMER_K:.0f} K warmer"
        add_shop("temperature", f"{warmer:.9g} K", text, temperature_K=warmer)
    case = case_of(job)
    hot = case.hottest_K + WARMER_K
    high = hot + (case.hottest_high_K - case.hottest_K) / case.k  # the doubt moves along
    text = f"a laminate {WARMER_K:.0f} K hotter ({celsius(hot)})"
    add("hottest", f"{hot:.9g} K up to {high:.9g} K", text, hottest_K=hot, hottest_high_K=high)
    if job.water is None and shop.humidity < 1.0 and not beyond:
        wetter = min(1.0, shop.humidity + WETTER)
        text = f"humidity at {wetter:.0%}"
        add_shop("humidity", f"{wetter * 100:.9g} %", text, humidity=wetter)
    if not beyond:
        lower = here - WEATHER_PA
        text = f"a barometer {mbar(WEATHER_PA)} mbar lower"
        add_shop("barometer", f"{lower / 100:.9g} mbar", text, barometer_Pa=lower)
    void = FINER_VOIDS * job.void_target
    text = f"a void target of {void * 100:.2g} %"
    add("void_target", f"{void * 100:.9g} %", text, void_target=void)
    margins = catalogue.practice().margins
    twice = 2.0 * (margins.entrained.si if job.entrained is None else job.entrained)
    if twice <= 1.0:
        text = f"{twice:.1%} of air stirred in"
        add("entrained", f"{twice * 100:.9g} %", text, entrained=twice)
    less = LESS_AIR * case_of(job).dissolved_Pa.nominal
    text = f"a fifth less air in the resin ({mbar(less)} mbar, known and not guessed)"
    add("air_pressure", f"{less / 100:.9g} mbar", text, air_Pa=less, pot_Pa=None)
    if not any(v.name == "acetone" for v, _ in job.contaminants):
        trace = ((catalogue.volatile("acetone"), TRACE),)
        text = f"{TRACE:.0%} of acetone left in the rollers"
        add("contaminants", "acetone=1 %", text, contaminants=(*job.contaminants, *trace))
    return moves
