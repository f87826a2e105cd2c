"""From what was asked to the window: defaults filled in, limits computed, the setpoint placed."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from outgas import catalogue, units
from outgas.advice.asked import Inputs
from outgas.advice.limits import (
    Band,
    Case,
    Limits,
    after_pull,
    confidence_factor,
    debulk_limit,
    limits,
    process_of,
    vapour,
)
from outgas.errors import InputError
from outgas.physics import air

if TYPE_CHECKING:
    from outgas.advice.heating import Warming

SOFT_CORE_PROCESSES = ("wet layup", "infusion", "core bonding")


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Between deepest and shallowest, if the pressure can be held there [Pa]."""

    limits: Limits
    deepest: float
    shallowest: float
    margin: float
    setpoint: float | None
    debulk_limit: float
    debulk_hold: float


@dataclass(frozen=True, slots=True)
class Hottest:
    """The hottest moment before the gel holds a bubble [K], its hot side, and how it was got."""

    kelvin: float
    high: float
    text: str
    warming: "Warming | None" = None


def default_hottest(inputs: Inputs, case: Case) -> Hottest:
    """Return the hottest moment: as given, by the resin's cure, by heat, or a stated rise."""
    shop, resin = inputs.shop, inputs.resin
    base = max(shop.temperature_K, shop.tool_temperature_K)
    zero = units.ZERO_CELSIUS_K
    if inputs.hottest_K is not None:
        if inputs.hottest_K < base - 1e-9:
            raise InputError(
                f"hottest is {inputs.hottest_K - zero:.1f} degC, below the shop or tool at "
                f"{base - zero:.1f} degC; it is the warmest the laminate gets before it holds"
            )
        text = f"hottest moment: {inputs.hottest_K - zero:.0f} degC, as given"
        return Hottest(inputs.hottest_K, inputs.hottest_K, text)
    if inputs.process == "degassing":
        text = f"hottest moment: {base - zero:.0f} degC, the pot at the shop's temperature"
        return Hottest(base, base, text)
    if resin.cure_temperature is not None:
        hot = max(base, resin.cure_temperature.si)
        return Hottest(hot, hot, f"hottest moment: {hot - zero:.0f} degC, the resin's usual cure")
    if not inputs.layup.plies:
        hot = base + catalogue.practice().margins.default_rise.si
        text = f"hottest moment: {hot - zero:.0f} degC, {hot - base:.0f} K over the shop"
        return Hottest(hot, hot, f"{text}, no layup given (estimate)")
    return _computed(inputs, case, base)


def _computed(inputs: Inputs, case: Case, base: float) -> Hottest:
    """Return the hottest moment of a layup by its own heat."""
    from outgas.advice import heating

    zero, thick = units.ZERO_CELSIUS_K, inputs.layup.laminate_thickness_m * 1e3
    warming = heating.warming_of(inputs, case)
    if warming is None:
        rise, high = heating.adiabatic_bound(inputs, case)
        text = (
            f"hottest moment: {base + rise - zero:.0f} degC, if the laminate lost no heat (the "
            "resin has no gel time to compute with)"
        )
        return Hottest(base + rise, base + high, text)
    holds = f" at {warming.hold_s / 60:.0f} min" if math.isfinite(warming.hold_s) else ""
    sides = "" if inputs.layup.tool is not None else ", tool not named: it takes up no heat"
    text = (
        f"hottest moment: {warming.hot_K - zero:.0f} degC, up to {warming.hot_high_K - zero:.0f}, "
        f"by the heat of {thick:.1f} mm of laminate until its gel can hold a bubble{holds}{sides}"
    )
    return Hottest(warming.hot_K, warming.hot_high_K, text, warming)


def case_of(inputs: Inputs) -> Case:
    """Return the case that the limits are computed from; defaults filled in from the tables."""
    practice = catalogue.practice()
    kept = process_of(inputs.process).gas_kept.si
    if inputs.layup.lets_gas_out is False:
        kept = 1.0
    entrained = practice.margins.entrained
    case = Case(
        resin=inputs.resin,
        process=inputs.process,
        shop_K=inputs.shop.temperature_K,
        tool_K=inputs.shop.tool_temperature_K,
        hottest_K=inputs.shop.temperature_K,
        hottest_high_K=inputs.shop.temperature_K,
        humidity=inputs.shop.humidity,
        barometer_Pa=inputs.shop.barometer_Pa,
        given_water=inputs.water,
        contaminants=inputs.contaminants,
        entrained=Band.of(entrained) if inputs.entrained is None else Band.exact(inputs.entrained),
        dissolved_Pa=Band.exact(0.0),
        gas_kept=kept,
        void_target=inputs.void_target,
        vapour_share=inputs.vapour_share,
        core=inputs.layup.core,
        k=confidence_factor(inputs.confidence),
    )
    hottest = default_hottest(inputs, case)
    case = case.but(hottest_K=hottest.kelvin, hottest_high_K=hottest.high)
    if hottest.warming is not None:
        case = case.but(early_K=hottest.warming.early_K)
    cool = vapour(case, case.shop_K).nominal
    full = max(0.0, case.barometer_Pa - cool)
    if inputs.air_Pa is not None:
        return case.but(dissolved_Pa=Band.exact(min(inputs.air_Pa, case.barometer_Pa)))
    case = case.but(dissolved_Pa=Band.exact(full))
    if inputs.pot_Pa is not None:
        gas = practice.gas
        removed = gas.seeded_removed if inputs.seeded else gas.pot_removed
        return after_pull(case, inputs.pot_Pa, removed)
    return case


def shallowest_of(inputs: Inputs) -> float:
    """Return the highest bag pressure that still clamps enough [Pa]."""
    process, here = process_of(inputs.process), inputs.shop.barometer_Pa
    if inputs.process == "pressing":
        return here
    if process.weakest_bag is not None:
        return min(process.weakest_bag.si, here)
    clamp = process.clamp.si if process.clamp else 0.0
    core = inputs.layup.core
    if core is not None and core.clamp_needed and inputs.process in SOFT_CORE_PROCESSES:
        clamp = min(clamp, core.clamp_needed.si)
    return max(0.0, here - clamp)


def reading_error(inputs: Inputs, pressure: float) -> float:
    """Return how far a pressure read in this shop may be off [Pa]."""
    errors = catalogue.practice().reading
    return {
        "dial": errors.dial.high_si,
        "water": errors.water.si * pressure,
        "sensor": inputs.sensor_Pa,
    }[inputs.reads_with]


def margin_of(inputs: Inputs, deepest: float) -> float:
    """Return how far the setpoint keeps from deepest: the error of reading and of holding [Pa]."""
    if inputs.process in ("prepreg", "pressing"):
        return 0.0
    return max(reading_error(inputs, deepest), inputs.rig.hold_error or 0.0)


def window_of(inputs: Inputs, case: Case | None = None) -> Window:
    """Return the window of what was asked."""
    case = case_of(inputs) if case is None else case
    found = limits(case)
    deepest, shallowest = found.deepest, shallowest_of(inputs)
    if inputs.process == "prepreg":
        deepest = found.safe["core"]
    margin = margin_of(inputs, deepest)
    setpoint: float | None = deepest + margin
    if inputs.process == "pressing":
        setpoint = shallowest
    if deepest + margin > shallowest:
        setpoint = None
    early = debulk_limit(case)
    return Window(
        limits=found,
        deepest=deepest,
        shallowest=shallowest,
        margin=margin,
        setpoint=setpoint,
        debulk_limit=early,
        debulk_hold=early + margin_of(inputs, early),
    )


def debulked(case: Case, window: Window) -> Case:
    """Return the case with the air that the recommended debulk leaves in the resin."""
    return after_pull(case, window.debulk_hold, catalogue.practice().gas.debulk_removed)


def freed(case: Case, pressure: float) -> float:
    """Return the gas that the resin would free at a pressure, per volume of resin, if none left."""
    p_v, T = vapour(case, case.shop_K).nominal, case.shop_K
    L, p_air, e = case.resin.air_solubility.si, case.dissolved_Pa.value, case.entrained.value
    return float(air.gas_per_resin(pressure, p_v, L, p_air, e, p_v, case.barometer_Pa, T, T))


def autoclave_pressure(asked: Inputs) -> float:
    """Return the pressure on the bag above the atmosphere [Pa]: stated, or the usual's low end."""
    if asked.rig.autoclave is not None:
        return asked.rig.autoclave
    applied = asked.resin.applied_pressure
    return applied.low_si if applied is not None else 0.0


def resin_pressure(asked: Inputs, window: Window, reading: units.Reading | None) -> float:
    """Return the pressure in the resin during the cure [Pa], fibres taken at their worst.

    Resin that can bleed, or that meets the vent, ends at the bag's pressure. Prepreg without
    bleed carries the atmosphere and the autoclave. In a press the fibres may carry all the force.
    """
    here = asked.shop.barometer_Pa
    if asked.process == "prepreg":
        return here + autoclave_pressure(asked)
    if asked.process == "pressing":
        return here
    if reading is not None:
        return reading.absolute_Pa
    return window.setpoint if window.setpoint is not None else window.shallowest
