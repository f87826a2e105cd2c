"""Water in a laminate: its activity by humidity, drum, wood and cold tools."""

import functools

from outgas.laminate import prepreg
from outgas.laminate.liquid import Liquid
from outgas.physics import moisture, saturation
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables.volatiles import Volatile

DRY_COLDEST_K = 263.15  # below this the dew point is no concern of a shop


@functools.cache
def water() -> Volatile:
    """Return water's record."""
    return catalogue.volatile("water")


@functools.lru_cache(maxsize=4096)
def water_pressure(T: float) -> float:
    """Return the saturation pressure of water [Pa] at T [K]."""
    return float(saturation.pressure(water().curve, T, "temperature of water"))


def water_spread(T: float) -> float:
    """Return by which share water's saturation pressure may be higher at T [K]."""
    return water().spread(T)[0]


def dew_point(humidity: float, T: float) -> float:
    """Return the temperature [K] at which air of a humidity at T would wet a surface."""
    p = humidity * water_pressure(T)
    curve = water().curve
    floor = float(saturation.pressure(curve, DRY_COLDEST_K))
    return DRY_COLDEST_K if p <= floor else float(saturation.temperature(curve, p))


def surface_humidity(liquid: Liquid) -> float:
    """Return the relative humidity at the tool's face; 1 at or below the dew point."""
    if liquid.tool_K >= liquid.shop_K:
        return liquid.humidity
    air, tool = water_pressure(liquid.shop_K), water_pressure(liquid.tool_K)
    return float(moisture.activity_at_surface(liquid.humidity, air, tool))


def drying_K(liquid: Liquid) -> float:
    """Return how warm prepreg is while it dries [K]: the colder of the shop's air and the tool."""
    return min(liquid.shop_K, liquid.tool_K)


def after_drying(
    liquid: Liquid, time_s: float, nominal: float, upper: float
) -> tuple[float, float]:
    """Return the activity that so long under full vacuum leaves, nominal and at the slow end.

    Wetter than the isotherm holds, it is dried as if it were soaked, and no wetter than it was.
    """
    start = upper if prepreg.in_range(upper) else 1.0
    rate = prepreg.drying_rate(drying_K(liquid))
    left = prepreg.activity_after(Band(nominal, nominal, start), time_s, rate)
    return left.nominal, min(left.high, upper)


def water_activity(liquid: Liquid, T: float) -> tuple[float, float]:
    """Return the activity of water in the laminate at T [K], nominal and upper.

    An open layup ends between the drum's water and the air's; a closed one keeps the drum's, but
    cloth and core bring the air's. Prepreg that was dried has what the slow end of its drying left.
    Resin and fibre keep their activity on heating, wood raises it.
    """
    drum = liquid.resin.water_activity.band
    air_side = surface_humidity(liquid)
    if liquid.given_water is not None:
        nominal = upper = liquid.given_water
    elif liquid.process.preimpregnated:
        nominal = upper = liquid.humidity
    elif any(part.volatile == "water" for part in liquid.resin.part):
        nominal, upper = drum.nominal, max(drum.high, air_side)
    elif liquid.process.open_to_air:
        uptake = catalogue.practice().margins.open_uptake.si
        nominal = drum.nominal + uptake * (air_side - drum.nominal)
        upper = max(drum.nominal, air_side)
    else:
        nominal, upper = drum.nominal, max(drum.nominal, air_side)
    if liquid.dried_s:
        nominal, upper = after_drying(liquid, liquid.dried_s, nominal, upper)
    if liquid.core is not None and liquid.core.wood:
        low, high = moisture.WOOD_RANGE_K
        before, after = min(max(liquid.shop_K, low), high), min(max(T, low), high)
        held = float(moisture.wood_moisture(liquid.humidity, before))
        upper = max(upper, moisture.wood_activity(held, after))
    upper = max(upper, nominal)
    spilt = sum(share for volatile, share in liquid.contaminants if volatile.name == water().name)
    if spilt > 0.0:  # liquid water that got in is held until the resin is saturated
        holds = catalogue.transport(liquid.resin.family).water_saturation
        nominal, upper = nominal + spilt / holds.si, upper + spilt / holds.low_si
    nominal = min(1.0, nominal)
    return nominal, min(1.0, nominal + liquid.k * (max(upper, nominal) - nominal))
