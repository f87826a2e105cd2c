"""What must be said beside a number: cautions that apply, flags, and what was assumed."""

from typing import TYPE_CHECKING

from outgas import catalogue, units
from outgas.advice.asked import Inputs
from outgas.advice.limits import OPEN_TO_AIR, Case, Vapour, process_of, water_activity
from outgas.advice.opening import Window, autoclave_pressure, default_hottest
from outgas.physics import saturation

if TYPE_CHECKING:
    from outgas.advice.heating import Warming

BAGGED = ("wet layup", "infusion", "core bonding", "prepreg")
WORKING_RANGE_K = (278.15, 313.15)  # where a flammable-limit temperature is worth naming


def lower_flammable_temperature(case: Case) -> tuple[str, float] | None:
    """Return the monomer whose vapour reaches its lower flammable limit coolest, and where [K]."""
    best: tuple[str, float] | None = None
    for part in case.resin.monomers:
        monomer = catalogue.volatile(part.volatile)
        if monomer.lower_flammable_limit is None:
            continue
        curve = catalogue.curve(monomer)
        wanted = monomer.lower_flammable_limit.si * case.barometer_Pa
        if wanted <= saturation.pressure(curve, curve[0].T_low):
            T = curve[0].T_low
        else:
            T = float(saturation.temperature(curve, wanted))
        if best is None or best[1] > T:
            best = (monomer.title, T)
    return best


def cautions(asked: Inputs, case: Case) -> tuple[str, ...]:
    """Return the cautions that apply, the ones that can hurt first."""
    resin, found = asked.resin, []
    zero = units.ZERO_CELSIUS_K
    peroxide = resin.initiator == "peroxide"
    if peroxide and resin.promoter:
        found.append(
            "promoter into the resin first, stir, peroxide last: never the two together, "
            "they explode; keep peroxide from acetone, rust and dust"
        )
    elif peroxide:
        found.append("peroxide goes in last; keep it from promoters, acetone, rust and dust")
    if peroxide:
        found.append("initiator never below or above the range on the resin's sheet")
    if asked.process == "prepreg":
        found.append("oven and autoclave: follow the maker's cure cycle and the vessel's licence")
    else:
        found.append("never degas resin in bulk once initiator or hardener is in: it runs away")
        found.append(
            "spread left-over mixed resin and soaked breather outdoors until cold; "
            "in a bin they catch fire"
        )
    flammable = lower_flammable_temperature(case)
    if flammable is not None:
        name, T = flammable
        where = f"from {T - zero:.0f} degC" if WORKING_RANGE_K[0] < T else "even in a cold shop"
        found.append(
            f"{name} vapour over the liquid can burn {where}, and harms well below that: "
            "ventilate, wear the mask its sheet names, pump exhaust outdoors, no sparks"
        )
    if asked.process in (*BAGGED, "degassing"):
        found.append("no glass, food jars or crazed plastic under vacuum, they implode; no mercury")
    if asked.process in ("infusion", "wet layup", "core bonding", "degassing"):
        found.append("keep hands off a vacuum inlet; catch pot before the pump")
    if asked.process == "pressing":
        found.append("block the press: what is lifted can fall; keep hands and face clear")
    if resin.family == "polyurethane":
        found.append("isocyanate can make you allergic for life: read its sheet, full protection")
    if resin.family == "phenolic":
        found.append("phenol burns through gloves and skin, formaldehyde comes off: read its sheet")
    if resin.family == "epoxy":
        found.append("amine hardeners burn and make skin allergic: gloves, no skin contact")
    if resin.reaction_gas:
        found.append(f"this resin makes gas of its own ({resin.reaction_gas}): {resin.note}")
    found.append("the safety data sheet, local rules and licensed practice stand above this advice")
    return tuple(found)


def flags(asked: Inputs, case: Case, window: Window, cool: Vapour) -> tuple[str, ...]:
    """Return warnings about this case that stop short of a refusal."""
    found, zero = [], units.ZERO_CELSIUS_K
    core = asked.layup.core
    warming = default_hottest(asked, case).warming
    warmest = case.hottest_K if warming is None else max(case.hottest_K, warming.peak_K)
    if core is not None and warmest > core.maximum_temperature.low_si:
        found.append(
            f"{core.title} softens near {core.maximum_temperature.si - zero:.0f} degC and this "
            f"laminate may reach {warmest - zero:.0f} degC: thinner, or in stages"
        )
    if warming is not None:
        found += [text for text in (_runaway(asked, warming),) if text]
    if asked.pot_Pa is not None and asked.pot_Pa < cool.high:
        found.append(
            f"a pot at {asked.pot_Pa / 100:.0f} mbar may have boiled the resin (from "
            f"{cool.high / 100:.0f} mbar): monomer lost, so the cure may be off"
        )
    ultimate = asked.rig.pump_ultimate
    if ultimate is not None and ultimate > window.debulk_limit and asked.process in BAGGED:
        found.append(f"this pump's {ultimate / 100:.0f} mbar is weaker than the debulk could use")
    for volatile, fraction in case.contaminants:
        found.append(f"{fraction:.1%} of {volatile.title} counted in: get it out of the rollers")
        if core is not None and core.polystyrene and volatile.dissolves_polystyrene:
            found.append(f"{volatile.title} attacks {core.title}")
    return tuple(found)


def _runaway(asked: Inputs, warming: "Warming") -> str:
    from outgas.advice.heating import runaway

    return runaway(asked, warming)


def _water_from(asked: Inputs) -> str:
    """Say where the water in the laminate is taken to come from."""
    if asked.process == "prepreg":
        return "the prepreg holds the humidity it was laid up in"
    if any(part.volatile == "water" for part in asked.resin.part):
        return "the resin holds water of its own"
    if asked.process == "degassing":
        return "the drum's water, or the shop's humidity if it stood open"
    if asked.process in OPEN_TO_AIR:
        return "open resin ends between the drum's water and the shop's humidity"
    return "drum-dry resin, cloth and core as damp as the shop"


def assumptions(asked: Inputs, case: Case) -> tuple[str, ...]:
    """Return what was taken for granted, each with its number."""
    a, a_high = water_activity(case, case.hottest_K)
    air, air_low, air_high = (
        p / 100 for p in (case.dissolved_Pa.value, case.dissolved_Pa.low, case.dissolved_Pa.high)
    )
    found = [asked.shop.barometer_note, default_hottest(asked, case).text]
    given = "as given" if asked.water is not None else _water_from(asked)
    found.append(f"water activity {a:.2f}, up to {a_high:.2f}: {given}")
    if asked.process not in ("prepreg", "degassing"):
        how = "as given" if asked.air_Pa is not None else "stirred in open air, not degassed"
        if asked.pot_Pa is not None:
            how = (
                f"left by a pot at {asked.pot_Pa / 100:.0f} mbar, which removes only part of "
                f"it ({air_low:.0f} to {air_high:.0f} mbar left; a pot's pressure is not the air's)"
            )
        found.append(f"air in the resin: {air:.0f} mbar, {how}")
        e = case.entrained
        span = "as given" if asked.entrained is not None else f"{e.low:.1%} to {e.high:.1%}"
        found.append(f"air stirred in: {e.value:.1%} by volume ({span})")
        found.append(
            f"void target {case.void_target:.1%}; {case.gas_kept:.0%} of freed gas stays to gel "
            f"({process_of(asked.process).gas_kept.note or 'estimate'})"
        )
    if asked.process == "prepreg":
        extra = autoclave_pressure(asked)
        if extra > 0.0:
            how = "as given" if asked.rig.autoclave is not None else "the low end of the usual"
            found.append(f"pressure on the bag: {extra / 1e5:.1f} bar above the air, {how}")
        found.append("the fibre bed carries none of the clamp (no bleed); if it does, less is safe")
    else:
        found.append(f"at most {case.vapour_share:.0%} of a bubble may be vapour")
    for part in asked.resin.monomers:
        monomer = catalogue.volatile(part.volatile)
        s = monomer.saturation
        if not s.stated_low_K <= case.hottest_K <= s.stated_high_K:
            above = catalogue.spread(monomer, case.hottest_K)[0]
            found.append(
                f"{monomer.title}: correlation extended beyond its stated range, "
                f"taken up to {above:.0%} higher"
            )
    return tuple(found)
