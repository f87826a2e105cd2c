"""The three limits of one case, on SI floats: vapour, air and core, nominal and on the safe side.

A Case holds all that a limit depends on, so that one input can be moved and the rest kept. The
safe side ('95') adds to the nominal value what the uncertain inputs, each moved to its bad end,
would add: straight for the vapour pressures, as the root of squares for the independent rest.
Nothing is ever subtracted, so more uncertainty can only ask for less vacuum.
"""

import dataclasses
import functools
import math
from dataclasses import dataclass

from outgas import catalogue
from outgas.advice.pressures import pushes
from outgas.numbers import Number
from outgas.physics import air, moisture, saturation
from outgas.records import Core, Process, Resin, Volatile

STATED_CONFIDENCE = 0.95  # of every uncertainty in the tables
# Processes in which the resin lies open in the shop's air before it is closed in.
OPEN_TO_AIR = ("wet layup", "core bonding", "pressing")
# Processes in which freed gas is meant to leave, so that it sets no limit.
GAS_IS_MEANT_TO_LEAVE = ("degassing", "prepreg")


@dataclass(frozen=True, slots=True)
class Band:
    """A nominal value and its 95 % ends."""

    value: float
    low: float
    high: float

    @classmethod
    def of(cls, number: Number) -> "Band":
        """Take a table's number in SI units."""
        return cls(number.si, number.low_si, number.high_si)

    @classmethod
    def exact(cls, value: float) -> "Band":
        """Take a value that was stated."""
        return cls(value, value, value)

    def scaled(self, k: float) -> "Band":
        """Return the ends moved to another confidence: k times as far out."""
        low = self.value - k * (self.value - self.low)
        return Band(self.value, low, self.value + k * (self.high - self.value))


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """All that the limits depend on; SI floats, temperatures in K."""

    resin: Resin
    process: str
    shop_K: float
    tool_K: float
    hottest_K: float
    hottest_high_K: float
    humidity: float
    barometer_Pa: float
    given_water: float | None
    contaminants: tuple[tuple[Volatile, float], ...]
    entrained: Band
    dissolved_Pa: Band
    gas_kept: float
    void_target: float
    vapour_share: float
    core: Core | None
    k: float = 1.0
    early_K: float = 0.0  # the warmest while the pressure may still be changed; 0 if not known

    def but(self, **changes: object) -> "Case":
        """Return this case with some inputs changed."""
        return dataclasses.replace(self, **changes)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Vapour:
    """Partial pressures at one temperature [Pa]: nominal by name, their sum, and its upper end."""

    partial: dict[str, float]
    nominal: float
    high: float


@dataclass(frozen=True, slots=True)
class Limits:
    """Lowest pressures in the resin [Pa] by criterion, nominal and on the safe side."""

    nominal: dict[str, float]
    safe: dict[str, float]

    @property
    def limiting(self) -> str:
        """The criterion that asks for the most pressure."""
        return max(self.safe, key=lambda name: self.safe[name])

    @property
    def deepest(self) -> float:
        """The most that any criterion asks for, on the safe side."""
        return max(self.safe.values())


def confidence_factor(confidence: float) -> float:
    """Return how many 95 % half-widths a two-sided confidence is."""
    if confidence == STATED_CONFIDENCE:
        return 1.0
    from statistics import NormalDist

    normal = NormalDist()
    return normal.inv_cdf(0.5 + 0.5 * confidence) / normal.inv_cdf(0.5 + 0.5 * STATED_CONFIDENCE)


def process_of(name: str) -> Process:
    """Return a process's figures of shop practice."""
    return catalogue.practice().process[name.replace(" ", "-")]


@functools.cache
def water() -> Volatile:
    """Return water's record."""
    return catalogue.volatile("water")


@functools.lru_cache(maxsize=4096)
def water_pressure(T: float) -> float:
    """Return the saturation pressure of water [Pa] at T [K]."""
    return float(saturation.pressure(catalogue.curve(water()), T, "temperature of water"))


def water_spread(T: float) -> float:
    """Return by which share water's saturation pressure may be higher at T [K]."""
    return catalogue.spread(water(), T)[0]


def surface_humidity(case: Case) -> float:
    """Return the relative humidity at the tool's face; 1 at or below the dew point."""
    if case.tool_K >= case.shop_K:
        return case.humidity
    return float(
        moisture.activity_at_surface(
            case.humidity, water_pressure(case.shop_K), water_pressure(case.tool_K)
        )
    )


def water_activity(case: Case, T: float) -> tuple[float, float]:
    """Return the activity of water in the laminate at T [K], nominal and upper.

    An open layup ends between the drum's water and the air's; a closed one keeps the drum's, but
    cloth and core bring the air's. Resin and fibre keep their activity on heating, wood raises it.
    """
    drum = Band.of(case.resin.water_activity)
    air_side = surface_humidity(case)
    if case.given_water is not None:
        nominal = upper = case.given_water
    elif case.process == "prepreg":
        nominal = upper = case.humidity
    elif any(part.volatile == "water" for part in case.resin.part):
        nominal, upper = drum.value, max(drum.high, air_side)
    elif case.process in OPEN_TO_AIR:
        uptake = catalogue.practice().margins.open_uptake.si
        nominal = drum.value + uptake * (air_side - drum.value)
        upper = max(drum.value, air_side)
    else:
        nominal, upper = drum.value, max(drum.value, air_side)
    if case.core is not None and case.core.wood:
        low, high = moisture.WOOD_RANGE_K
        before, after = min(max(case.shop_K, low), high), min(max(T, low), high)
        held = float(moisture.wood_moisture(case.humidity, before))
        upper = max(upper, moisture.wood_activity(held, after))
    upper = max(upper, nominal)
    return nominal, min(1.0, nominal + case.k * (upper - nominal))


@functools.lru_cache(maxsize=4096)
def monomer_pressures(
    resin: Resin, contaminants: tuple[tuple[Volatile, float], ...], k: float, T: float
) -> tuple[tuple[tuple[str, float], ...], float]:
    """Return the nominal pressure [Pa] of each volatile but water, and the sum of upper ends."""
    partial: list[tuple[str, float]] = []
    high = 0.0
    for push in pushes(resin, contaminants):
        curve, name = catalogue.curve(push.volatile), push.volatile.name
        p = push.activity * float(saturation.pressure(curve, T, f"temperature of {name}"))
        above = catalogue.spread(push.volatile, T)[0]
        partial.append((name, p))
        high += p * (1.0 + k * math.hypot(push.above, above))
    return tuple(partial), high


def vapour(case: Case, T: float) -> Vapour:
    """Return what the condensables push with at T [K]; the upper ends add up."""
    monomers, high = monomer_pressures(case.resin, case.contaminants, case.k, T)
    a, a_high = water_activity(case, T)
    pure = water_pressure(T)
    partial = {**dict(monomers), "water": a * pure}
    high += a_high * pure * (1.0 + case.k * water_spread(T))
    return Vapour(partial, sum(partial.values()), high)


def hottest_vapour(case: Case) -> Vapour:
    """Return what pushes at the hottest moment; its upper end at the hot side of that moment."""
    nominal = vapour(case, case.hottest_K)
    if case.hottest_high_K <= case.hottest_K:
        return nominal
    return Vapour(nominal.partial, nominal.nominal, vapour(case, case.hottest_high_K).high)


def air_limit(case: Case, hot: Vapour, cool: Vapour) -> tuple[float, float]:
    """Return the pressure at which freed gas just makes the void target, nominal and safe [Pa]."""
    if case.process in GAS_IS_MEANT_TO_LEAVE:
        return 0.0, 0.0
    F = float(air.gas_allowed(case.void_target, case.gas_kept))
    L = Band.of(case.resin.air_solubility).scaled(case.k)
    e, dissolved = case.entrained.scaled(case.k), case.dissolved_Pa.scaled(case.k)

    def at(p_v: float, L: float, p_air: float, e: float) -> float:
        fixed = (cool.nominal, case.barometer_Pa, case.hottest_K, case.shop_K)
        return float(air.pressure_for_gas(F, p_v, max(L, 0.0), max(p_air, 0.0), e, *fixed))

    best = (hot.nominal, L.value, dissolved.value, case.entrained.value)
    nominal = at(*best)
    worse = (
        at(hot.high, *best[1:]),
        max(at(best[0], end, *best[2:]) for end in (L.low, L.high)),
        at(*best[:2], dissolved.high, best[3]),
        at(*best[:3], e.high),
    )
    return nominal, nominal + math.hypot(*(max(0.0, p - nominal) for p in worse))


def core_limit(case: Case) -> tuple[float, float]:
    """Return the bag pressure below which the air crushes the core, nominal and safe [Pa]."""
    if case.core is None or case.process in ("pressing", "degassing"):
        return 0.0, 0.0
    strength, creep = case.core.compressive_strength, case.core.creep_factor
    bears = strength.si * creep.si
    short = math.hypot(1.0 - strength.low_si / strength.si, 1.0 - creep.low_si / creep.si)
    sure = bears * max(0.0, 1.0 - case.k * short)
    return max(0.0, case.barometer_Pa - bears), max(0.0, case.barometer_Pa - sure)


def limits(case: Case) -> Limits:
    """Return the three limits of a case in the resin, up to its hottest moment."""
    hot, cool = hottest_vapour(case), vapour(case, case.shop_K)
    nominal = {"vapour": hot.nominal / case.vapour_share}
    safe = {"vapour": hot.high / case.vapour_share}
    if case.process == "prepreg":  # compared with the resin's pressure: no share, no margin
        nominal, safe = {"vapour": hot.nominal}, {"vapour": hot.high}
    nominal["air"], safe["air"] = air_limit(case, hot, cool)
    nominal["core"], safe["core"] = core_limit(case)
    return Limits(nominal, safe)


def debulk_limit(case: Case) -> float:
    """Return how deep the bag may go early, at the present temperature, on the safe side [Pa]."""
    now = max(case.shop_K, case.tool_K, case.early_K)
    if case.process == "prepreg":
        return core_limit(case)[1]
    return max(vapour(case, now).high / case.vapour_share, core_limit(case)[1])


def after_pull(case: Case, pressure: float, share: Number) -> Case:
    """Return the case with the air that a pull to a pressure leaves in the resin."""
    cool, d = vapour(case, case.shop_K).nominal, case.dissolved_Pa
    removed = removal(share, pressure, d.value, cool)

    def left(p_air: float, share: float) -> float:
        return float(air.air_left(p_air, pressure, cool, share))

    ends = left(d.low, removed.high), left(d.high, removed.low)
    return case.but(dissolved_Pa=Band(left(d.value, removed.value), *ends))


def removal(share: Number, pressure: float, p_air: float, p_v: float) -> Band:
    """Return the share of dissolved air that a pull takes out at a pressure, in a pot or a bag.

    share holds at the pot pressure of the table; it is scaled by how far each pull lies below
    saturation, so a weaker pull takes out less.
    """
    stated = Band.of(share)
    at = catalogue.practice().gas.pot_pressure.si
    reach = max(0.0, p_air - max(0.0, pressure - p_v))
    reach_stated = max(1.0, p_air - max(0.0, at - p_v))
    scale = min(reach / reach_stated, 1.0 / stated.high)
    return Band(stated.value * scale, stated.low * scale, stated.high * scale)
