"""Prepreg: what the fibres leave to the resin, the humidity it stands, and drying it first.

Symbols: s share of the clamp on the fibres, p_bag and p_outside what lies under and over the bag
[Pa], U degree of consolidation, T temperatures [K]. SI floats; cycles are arrays in time.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np

from outgas.laminate.liquid import Liquid
from outgas.physics import bed, drying
from outgas.physics.chance import Band
from outgas.tables import catalogue

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

State = Literal["passed", "at its limit", "void-prone"]

RANGES_STAND_AT_K = 298.15  # where the range of the diffusivity was set; elsewhere energy widens it


@dataclass(frozen=True, slots=True)
class Carried:
    """The share of the clamp that fibres carry in the end, and whether resin is kept in."""

    share: Band
    sealed: bool


@dataclass(frozen=True, slots=True)
class ResinPressure:
    """Pressure in the resin [Pa], nominal and 95 % ends; floats, or arrays along a cycle."""

    nominal: "Numbers"
    low: "Numbers"
    high: "Numbers"


@dataclass(frozen=True, slots=True)
class Push:
    """What the condensables push with at the upper end [Pa], and water's part of that."""

    high: "Numbers"
    water_high: "Numbers"


@dataclass(frozen=True, slots=True)
class PrepregVerdict:
    """How a prepreg's water stands against its resin, at the worst moment.

    ratio and margin_Pa are at the 95 % ends: the upper push against the lower resin pressure.
    needs_Pa is what the resin must carry more than; passes_below_share the share of the clamp that
    its fibres must stay under for that, None where even resin that carries all of it is too little.
    """

    state: State
    ratio: float
    margin_Pa: float
    needs_Pa: float
    passes_below_share: float | None


@dataclass(frozen=True, slots=True)
class DryingRate:
    """How fast prepreg dries: seconds per Fourier number, channel's activity, isotherm."""

    scale_s: Band
    at_channel: Band
    isotherm: Band


def usual(sealed: bool) -> Carried:
    """Return what fibres usually carry, under a bag that keeps the resin in or lets it out."""
    table = catalogue.prepreg().carried
    return Carried((table.sealed if sealed else table.bleeding).band, sealed)


@dataclass(frozen=True, slots=True)
class Compaction:
    """How a bed of fibres packs: its fibre fraction is a p^b, p the pressure on it."""

    a: Band
    b: Band


def carried_by_bed(
    V: float, bed_of: Compaction, p_bag: float, p_outside: float, dry: Band | None = None
) -> Band:
    """Return the share of the clamp on a sealed bed of fibre fraction V, its dry tows filled.

    The ends take each number in turn to its worse end, and add
    what that moves as root of squares.
    """
    tows = catalogue.prepreg().carried.dry_tows.band if dry is None else dry

    def share(of: list[float]) -> float:
        of_a, of_b, of_dry = of
        sigma = bed.filled(bed.carried(of_a, of_b, V), of_b, of_dry)
        return float(bed.fibre_share(sigma, p_bag, p_outside))

    bands = (bed_of.a, bed_of.b, tows)
    middle = [band.nominal for band in bands]
    nominal = share(middle)
    up = down = 0.0
    for i, band in enumerate(bands):
        ends = [share([*middle[:i], end, *middle[i + 1 :]]) for end in (band.low, band.high)]
        up += max(0.0, *(x - nominal for x in ends)) ** 2
        down += max(0.0, *(nominal - x for x in ends)) ** 2
    return Band(nominal, max(0.0, nominal - math.sqrt(down)), min(1.0, nominal + math.sqrt(up)))


def resin_pressures(
    carried: Carried,
    p_bag: "Numbers",
    p_outside: "Numbers",
    U: "Numbers" = 1.0,
    start: Band | None = None,
) -> ResinPressure:
    """Return the pressure in the resin, with its ends, along a cycle.

    A sealed bed carries its share from the start. A bleeding one starts at start (what a sealed
    one carries, if not given) and goes to its own share with U, that of the lowest viscosity.
    """
    first = usual(sealed=True).share if start is None else start

    def pressure(begins: float, ends: float) -> "Numbers":
        s = ends if carried.sealed else bed.share_after(min(begins, ends), U, ends)
        return bed.resin_pressure(p_bag, p_outside, s)

    s = carried.share
    return ResinPressure(
        pressure(first.nominal, s.nominal),
        pressure(first.high, s.high),
        pressure(first.low, s.low),
    )


def humidity_limit(
    share: "Numbers", p_bag: "Numbers", p_outside: "Numbers", pure: "Numbers"
) -> "Numbers":
    """Return the relative humidity (0 to 1) whose water just balances the resin.

    pure is water's saturation pressure at the hottest moment [Pa]; nothing else pushes.
    """
    return np.minimum(1.0, bed.resin_pressure(p_bag, p_outside, share) / pure)


def judge(
    push: "Numbers", resin: ResinPressure, p_bag: "Numbers", p_outside: "Numbers"
) -> PrepregVerdict:
    """Return the verdict at the worst moment of a cycle, at 95 %, from the upper push [Pa].

    Passed: that push stays clear of the lower resin pressure. Void-prone: it is over even the
    nominal one. Between the two, or within a few per cent of one, at its limit.
    """
    within = catalogue.prepreg().verdict.within.si
    high, low, nominal, under, over = np.broadcast_arrays(
        push, resin.low, resin.nominal, p_bag, p_outside
    )
    ratio = _worst(high, low)
    if ratio <= 1.0 - within:
        state: State = "passed"
    elif _worst(high, nominal) <= 1.0 + within:
        state = "at its limit"
    else:
        state = "void-prone"
    clamp = over - under
    left = np.where(clamp > 0.0, (over - high) / np.where(clamp > 0.0, clamp, 1.0), over - high)
    left = np.minimum(left, 1.0).ravel()
    tight = int(np.argmin(left))  # the moment that leaves least to the fibres
    return PrepregVerdict(
        state=state,
        ratio=ratio,
        margin_Pa=float(np.min(low - high)),
        needs_Pa=float(high.ravel()[tight]),
        passes_below_share=float(left[tight]) if left[tight] > 0.0 else None,
    )


def _worst(push: "Floats", resin: "Floats") -> float:
    """Return the greatest ratio of push to resin; endless where the resin carries nothing."""
    carries = resin > 0.0
    return float(np.max(np.where(carries, push / np.where(carries, resin, 1.0), np.inf)))


# Drying ---------------------------------------------------------------------------------------


def drying_rate(T: float, channels: Band | None = None) -> DryingRate:
    """Return how fast prepreg dries at T [K], with open channels so far apart [m].

    The time's ends are the root of squares of the logarithms of what diffusivity, its energy and
    the channels' distance each do alone.
    """
    table = catalogue.prepreg().drying
    apart = table.channels.band if channels is None else channels
    D, E = table.prefactor.band, table.energy.band
    lean = 1.0 / RANGES_STAND_AT_K - 1.0 / T
    scale = (0.5 * apart.nominal) ** 2 / float(drying.diffusivity(T, D.nominal, E.nominal))
    warmth = sorted((E.nominal - end) * lean for end in (E.low, E.high))  # of ln time
    slower = math.hypot(
        math.log(D.nominal / D.low), 2.0 * math.log(apart.high / apart.nominal), warmth[1]
    )
    faster = math.hypot(
        math.log(D.high / D.nominal), 2.0 * math.log(apart.nominal / apart.low), warmth[0]
    )
    band = Band(scale, scale * math.exp(-faster), scale * math.exp(slower))
    return DryingRate(band, table.at_channel.band, table.isotherm.band)


def activity_after(activity: Band, time_s: float, rate: DryingRate) -> Band:
    """Return the water's activity after so long under vacuum; its high end is the slow one."""

    def left(end: Callable[[Band], float]) -> float:
        share = drying.share_left(time_s / end(rate.scale_s))
        sorption = drying.Sorption(end(rate.at_channel), end(rate.isotherm))
        return float(drying.activity_left(end(activity), share, sorption))

    return Band(left(_nominal), left(_low), left(_high))


def drying_K(liquid: Liquid) -> float:
    """Return how warm prepreg is while it dries [K]: the colder of the shop's air and the tool."""
    return min(liquid.shop_K, liquid.tool_K)


def after_drying(
    liquid: Liquid, time_s: float, nominal: float, upper: float
) -> tuple[float, float]:
    """Return the activity that so long under full vacuum leaves, nominal and at the slow end.

    Wetter than the isotherm holds, it is dried as if it were soaked, and no wetter than it was.
    """
    start = upper if in_range(upper) else 1.0
    rate = drying_rate(drying_K(liquid))
    left = activity_after(Band(nominal, nominal, start), time_s, rate)
    return left.nominal, min(left.high, upper)


def time_to(activity: Band, wanted: float, rate: DryingRate) -> Band:
    """Return the time [s] under vacuum until the activity is down to wanted.

    0 where it is dry enough, infinite where vapour in the channels keeps it wetter.
    """

    def needed(end: Callable[[Band], float]) -> float:
        sorption = drying.Sorption(end(rate.at_channel), end(rate.isotherm))
        F = drying.drying_time(end(activity), wanted, 1.0, 1.0, sorption)
        return float(F) * end(rate.scale_s)

    return Band(needed(_nominal), needed(_low), needed(_high))


def activity_to_pass(activity: Band, push: Push, resin: ResinPressure) -> float | None:
    """Return the activity of water at which a prepreg passes; None if dry it would not pass.

    What else pushes is not dried away. No more than the activity that it has.
    """
    within = catalogue.prepreg().verdict.within.si
    others = np.subtract(push.high, push.water_high)
    room = (1.0 - within) * np.asarray(resin.low) - others
    share = float(np.min(room / np.maximum(push.water_high, np.finfo(float).tiny)))
    return activity.high * min(share, 1.0) if share > 0.0 else None


def in_range(activity: float) -> bool:
    """Tell whether moisture still goes as a power of an activity, on which drying rests."""
    return activity <= catalogue.prepreg().drying.proportional_below.si


def _nominal(band: Band) -> float:
    return band.nominal


def _low(band: Band) -> float:
    return band.low


def _high(band: Band) -> float:
    return band.high
