"""Water in a laminate: by humidity, drum, wood and cold tools, and what drying leaves of it."""

import functools

from outgas.laminate import prepreg
from outgas.laminate.liquid import Liquid
from outgas.physics import moisture, saturation
from outgas.tables import catalogue
from outgas.tables.volatiles import Volatile

WATER = "water"  # its activity is given by the air, not by its share
DRY_COLDEST_K = 263.15  # below this the dew point is no concern of a shop


@functools.cache
def water() -> Volatile:
    """Return water's record."""
    return catalogue.volatile(WATER)


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


def condenses_from(humidity: float, air_K: float, tool_K: float) -> float | None:
    """Return the dew point [K] of a shop's air where its tool is colder; None where it is not."""
    dew = dew_point(humidity, air_K)
    return dew if tool_K < min(dew, air_K) else None


def surface_humidity(liquid: Liquid) -> float:
    """Return the relative humidity at the tool's face; 1 at or below the dew point."""
    if liquid.tool_K >= liquid.shop_K:
        return liquid.humidity
    air, tool = water_pressure(liquid.shop_K), water_pressure(liquid.tool_K)
    return float(moisture.activity_at_surface(liquid.humidity, air, tool))


def core_activity(liquid: Liquid, T: float) -> float:
    """Return the activity of the water that a core may give off at T [K], 0 for none.

    Wood holds what the shop's air gave it, or more where it is told to; what another core is told
    to hold stands free in its cells, for how it is bound there is not known.
    """
    core, told = liquid.core, liquid.core_moisture
    if core is None:
        return 0.0
    if not core.wood:
        return 1.0 if told else 0.0
    low, high = moisture.WOOD_RANGE_K
    before, after = min(max(liquid.shop_K, low), high), min(max(T, low), high)
    held = max(float(moisture.wood_moisture(liquid.humidity, before)), told or 0.0)
    return moisture.wood_activity(held, after)


def water_activity(liquid: Liquid, T: float) -> tuple[float, float]:
    """Return the activity of water in the laminate at T [K], nominal and upper.

    An open layup ends between the drum's water and the air's; a closed one keeps the drum's, but
    cloth and core bring the air's. Prepreg that was dried has what the slow end of its drying left.
    Resin and fibre keep their activity on heating, a damp core raises it.
    """
    drum = liquid.resin.water_activity.band
    air_side, core_side = surface_humidity(liquid), core_activity(liquid, T)
    if liquid.given_water is not None:
        nominal = upper = liquid.given_water
    elif liquid.process.preimpregnated:
        nominal = upper = liquid.humidity
    elif any(part.volatile == WATER for part in liquid.resin.part):
        nominal, upper = drum.nominal, max(drum.high, air_side)
    elif liquid.process.open_to_air:
        uptake = catalogue.practice().margins.open_uptake.si
        nominal = drum.nominal + uptake * (air_side - drum.nominal)
        upper = max(drum.high, air_side)  # in a shop drier than the drum may be, the drum's
    else:
        nominal, upper = drum.nominal, max(drum.high, air_side)
    if liquid.dried_s:
        nominal, upper = prepreg.after_drying(liquid, liquid.dried_s, nominal, upper)
    upper = max(upper, nominal, core_side)
    spilt = sum(share for volatile, share in liquid.contaminants if volatile.name == water().name)
    if spilt > 0.0:  # liquid water that got in is held until the resin is saturated
        holds = catalogue.transport(liquid.resin.family).water_saturation
        nominal, upper = nominal + spilt / holds.si, upper + spilt / holds.low_si
    nominal = min(1.0, nominal)
    return nominal, min(1.0, nominal + liquid.k * (max(upper, nominal) - nominal))


def water_push(liquid: Liquid, T: float) -> tuple[float, float]:
    """Return what the water in the laminate pushes with at T [K], nominal and upper end [Pa]."""
    pure, above = water_pressure(T), water_spread(T)
    a, a_high = water_activity(liquid, T)
    return a * pure, a_high * pure * (1.0 + liquid.k * above)
