"""Which input would change the answer most: one moved at a time."""

from dataclasses import dataclass
from typing import TypeAlias

from outgas.errors import OutgasError
from outgas.job.job import Job
from outgas.show.amounts import celsius, mbar
from outgas.tables import catalogue
from outgas.window.window import Window, windows_for

WARMER_K = 3.0
WETTER = 0.10
WEATHER_PA = 1500.0  # an ordinary swing of the barometer
TRACE = 0.01
FINER_VOIDS = 0.5
LESS_AIR = 0.8


@dataclass(frozen=True, slots=True)
class Influence:
    """One input moved alone: with advise(..., argument=to) deepest comes change_Pa nearer the air.

    Counted from the barometer, as a dial counts: it is the change of deepest for every input but
    the barometer itself.
    """

    argument: str
    to: str
    text: str
    change_Pa: float


def influences(window: Window) -> tuple[Influence, ...]:
    """Move one input at a time and return what each does to deepest, the greatest first.

    A lower barometer takes dissolved air along with it, but the dial takes it along whole: so a
    change is counted from the air on the bag, towards which the limit comes.
    """
    found, job = [], window.job
    moves = _moves(window)
    tried = windows_for([moved for *_, moved in moves])
    for (argument, to, text, moved), after in zip(moves, tried, strict=True):
        if isinstance(after, OutgasError):
            continue  # the move leaves a model's range
        if job.process.preimpregnated:
            change = after.limits.safe["vapour"] - window.limits.safe["vapour"]
        else:
            change = after.deepest - window.deepest
        change += job.shop.barometer_Pa - moved.shop.barometer_Pa
        if change < 0.0 and argument != "air_pressure":
            continue  # less air dissolves, or more of it runs out: no gain to count on
        found.append(Influence(argument, to, text, change))
    return tuple(sorted(found, key=lambda i: -abs(i.change_Pa)))


Move: TypeAlias = tuple[str, str, str, Job]  # argument, new value, in words, moved inputs


def _moves(window: Window) -> list[Move]:
    """Return every input moved alone, the shop's first."""
    job, case = window.job, window.case
    hot = case.hottest_K + WARMER_K
    high = hot + (case.hottest_high_K - case.hottest_K) / case.k  # the doubt moves along
    text = f"a laminate {WARMER_K:.0f} K hotter ({celsius(hot)})"
    hotter = job.but(hottest_K=hot, hottest_high_K=high)
    moves = _moves_of_the_shop(window)
    moves.append(("hottest", f"{hot:.9g} K up to {high:.9g} K", text, hotter))
    void = FINER_VOIDS * job.void_target
    text = f"a void target of {void * 100:.2g} %"
    moves.append(("void_target", f"{void * 100:.9g} %", text, job.but(void_target=void)))
    margins = catalogue.practice().margins
    twice = 2.0 * (margins.entrained.si if job.entrained is None else job.entrained)
    if twice <= 1.0:
        text = f"{twice:.1%} of air stirred in"
        moves.append(("entrained", f"{twice * 100:.9g} %", text, job.but(entrained=twice)))
    less = LESS_AIR * case.dissolved_Pa.nominal
    text = f"a fifth less air in the resin ({mbar(less)} mbar, known and not guessed)"
    moved = job.but(air_Pa=less, pot=None)
    moves.append(("air_pressure", f"{less / 100:.9g} mbar", text, moved))
    if not any(v.name == "acetone" for v, _ in job.contaminants):
        trace = ((catalogue.volatile("acetone"), TRACE),)
        text = f"{TRACE:.0%} of acetone left in the rollers"
        moved = job.but(contaminants=(*job.contaminants, *trace))
        moves.append(("contaminants", "acetone=1 %", text, moved))
    return moves


def _moves_of_the_shop(window: Window) -> list[Move]:
    """Return the shop's warmth, humidity and barometer, each moved to where it is worse.

    Not where the air limit lies above the air, where no bag goes: it moves by how much air
    dissolves in the first place, and a warmer, wetter shop would be told as a gain.
    """
    job, moves = window.job, []
    shop = job.shop
    if window.deepest >= shop.barometer_Pa and window.limits.limiting == "air":
        return []

    def add(argument: str, to: str, text: str, **si: float) -> None:
        moves.append((argument, to, text, job.but(shop=shop._moved(**si))))

    if job.hottest_K is None:
        warmer = shop.temperature_K + WARMER_K
        text = f"a shop {WARMER_K:.0f} K warmer"
        add("temperature", f"{warmer:.9g} K", text, temperature_K=warmer)
    if job.water is None and shop.humidity < 1.0:
        wetter = min(1.0, shop.humidity + WETTER)
        text = f"humidity at {wetter:.0%}"
        add("humidity", f"{wetter * 100:.9g} %", text, humidity=wetter)
    lower = shop.barometer_Pa - WEATHER_PA
    text = f"a barometer {mbar(WEATHER_PA)} mbar lower"
    add("barometer", f"{lower / 100:.9g} mbar", text, barometer_Pa=lower)
    return moves
