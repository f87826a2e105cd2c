"""The window turned into a timed plan: outgas.schedule."""

import dataclasses
import math
import warnings
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import rates, units
from outgas.advice import heating, oven, pace
from outgas.advice import stages as lay
from outgas.advice.asked import read_inputs, refuse
from outgas.advice.ground import Ground, celsius, ground_of, minutes, top_of
from outgas.advice.opening import resin_pressure
from outgas.advice.plan import Break, Schedule, Stage
from outgas.advice.ways import ways_out
from outgas.advice.window import assemble
from outgas.errors import InputError, OutgasWarning, OutOfRangeError
from outgas.job.layup import Layup
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.physics import bed
from outgas.records import Resin

if TYPE_CHECKING:
    from outgas.units import Measure

BATCH_RANGE_KG = (0.005, 500.0)
TIME_RANGE_S = (10.0, 86400.0)
MOST_CUPS = 12
INITIATOR_STEP = 1e-3  # a tenth of a per cent
ROUNDING_S = 1.0
LAID_UP = ("wet layup", "core bonding", "pressing")
OVEN_RUN_S = 12.0 * 3600.0
BLEED_POINTS = 13
HISTORY_POINTS = 61
CHANGE_S = 20.0  # how long a change of pressure takes


def schedule(
    resin: str | Resin,
    shop: Shop,
    *,
    process: str = "wet layup",
    layup: Layup | None = None,
    rig: Rig | None = None,
    batch: "Measure | None" = None,
    wet_out: "Measure | None" = None,
    fill: "Measure | None" = None,
    degas: bool = True,
    initiator: Any = None,
    gel_time: "Measure | None" = None,
    air_pressure: "Measure | None" = None,
    degassed: "Measure | None" = None,
    entrained: Any = None,
    water_activity: Any = None,
    contaminants: dict[str, Any] | None = None,
    void_target: Any = "2 %",
    vapour_share: Any = None,
    confidence: Any = 0.95,
    reads_with: str = "dial",
) -> Schedule:
    """Return a plan for a job, minute by minute, against the gel clock.

    Parameters
    ----------
    resin, shop, process, layup, rig
        As in outgas.advise; the layup is needed, but for a degassing pot. Without an area, one
        square metre is planned for.
    batch
        What is mixed in one cup: '1.2 kg'; what the cloth holds and some to spare if not given.
    wet_out, fill
        How long wetting out, or an infusion's fill, takes you: '12 min'; by layers and area, or 15
        min, if not given.
    degas
        Whether plain resin is degassed first; the cure then stands on what that leaves.
    initiator
        Mass fraction, inside the sheet's range; the sheet's own if not given.
    gel_time
        Of a cup of this batch in this shop, as measured.
    air_pressure, degassed, entrained, water_activity, contaminants, void_target, vapour_share, \
confidence, reads_with
        As in outgas.advise.

    Returns
    -------
    A Schedule: a sequence of Stage with start, duration, pressures, temperature limit, what to
    watch for and why; .fits, .breaks; str(), to_dict(), to_csv().

    Raises
    ------
    RefusedError
        What no advice is given for: see outgas.advise.
    InputError, OutOfRangeError, UnitError
        One line each: what was given and what is allowed.

    Warns
    -----
    OutgasWarning
        For a rule that the plan cannot keep, and for flags of the advice.

    Notes
    -----
    Rules of the clock (common practice, no source): mixing and wet-out end within the pot life of
    the batch, the last change of pressure within 0.7 of the laminate's gel time.
    """
    asked = read_inputs(
        resin,
        shop,
        process=process,
        layup=layup,
        rig=rig,
        vapour_share=vapour_share,
        confidence=confidence,
        hottest=None,
        air_pressure=air_pressure,
        degassed=degassed,
        entrained=entrained,
        water_activity=water_activity,
        contaminants=contaminants,
        void_target=void_target,
        reads_with=reads_with,
        initiator=initiator,
        gel_time=gel_time,
    )
    refuse(asked)
    if asked.process != "degassing" and not asked.layup.plies:
        raise InputError("a plan needs the layup; give Layup(plies=['2 x 400 g/m2 woven glass'])")
    if asked.process == "core bonding" and asked.layup.core is None:
        raise InputError("core bonding needs the core; give Layup(core='15 mm PVC foam')")
    if not isinstance(degas, bool):
        raise InputError(f"degas is {degas!r}; it is True or False")
    ground = ground_of(
        asked,
        batch=_inside(batch, "kg", BATCH_RANGE_KG, "batch"),
        wet_out=_inside(wet_out, "s", TIME_RANGE_S, "wet-out"),
        fill=_inside(fill, "s", TIME_RANGE_S, "fill"),
        degas=degas and asked.pot_Pa is None,
    )
    if asked.process == "prepreg":
        ground = _in_the_oven(ground)
    found, ground = lay.build(ground)
    if ground.warming is not None and not math.isfinite(ground.warming.last_gel_s):
        hours = float(ground.warming.run.t[-1]) / 3600.0
        raise OutOfRangeError(
            f"{asked.resin.name}: this laminate does not gel within {hours:.0f} h of heat "
            "followed, so no plan; warm the shop and the tool, or check gel_time in its record"
        )
    breaks = rules(ground, found)
    for broken in breaks:
        warnings.warn(broken.text, OutgasWarning, stacklevel=2)
    return _assembled(ground, found, breaks)


def _inside(value: Any, unit: str, span: tuple[float, float], name: str) -> float | None:
    if value is None:
        return None
    got = units.positive(value, unit, name)
    if unit == "s":
        units.inside(got / 60, span[0] / 60, span[1] / 60, name, "min")
        return got
    return units.inside(got, *span, name, unit)


def _in_the_oven(ground: Ground) -> Ground:
    """Return the ground with the heat of the oven cycle in it."""
    if ground.pace is None:
        raise InputError(f"{ground.asked.resin.name}: no rate of cure, so no plan")
    times, air = oven.oven_air(ground)
    run = heating.oven_run(ground.asked, ground.pace, times, air, float(times[-1]) + OVEN_RUN_S)
    return dataclasses.replace(ground, warming=run)


# The rules of the clock -----------------------------------------------------------------------


def rules(g: Ground, found: list[Stage]) -> tuple[Break, ...]:
    """Return the rules that the plan cannot keep, each with what would mend it."""
    broken = [_pot_life_rule(g, found), _last_change_rule(g, found), _window_rule(g)]
    broken.append(_runaway_rule(g))
    if g.asked.process == "prepreg":
        broken.append(_moisture_rule(g, found))
    if g.asked.process == "degassing":
        broken = [_window_rule(g)]
    return tuple(b for b in broken if b is not None)


def _pot_life_rule(g: Ground, found: list[Stage]) -> Break | None:
    """Hold mixing and wet-out, or mixing and filling, to the batch's pot life."""
    names = ("wet out", "bed the core", "fill")
    last = next((s for s in found if s.name in names), None)
    if last is None or g.pot_life is None or g.batch is None:
        return None
    if last.end_s <= g.pot_life + ROUNDING_S:
        return None
    changes = [_cups(g, last.end_s), *_slower(g, last.end_s / g.pot_life), *_less_work(last)]
    text = (
        f"{last.name} ends {minutes(last.end_s)} after mixing, past the {minutes(g.pot_life)} pot "
        f"life of {g.batch:.2g} kg in one cup"
    )
    return Break(last.name, text, tuple(c for c in changes if c))


def _last_change_rule(g: Ground, found: list[Stage]) -> Break | None:
    """Hold the last change of pressure to its share of the laminate's gel time."""
    hold = next((s for s in found if s.name in ("hold to the gel", "heat up")), None)
    if hold is None or g.asked.resin.cure_temperature is not None:
        return None
    if hold.start_s <= g.last_change + ROUNDING_S:
        return None
    changed = found[found.index(hold) - 1]
    longest = max((s for s in found if 0.0 < s.start_s < hold.start_s), key=lambda s: s.duration_s)
    text = (
        f"{changed.name} ends at {minutes(hold.start_s)}, later than {g.clock.last_change.si:.0%} "
        f"of the laminate's {minutes(g.gel)} gel time: {longest.name} takes too long"
    )
    changes = [*_slower(g, hold.start_s / g.last_change), *_less_work(longest)]
    return Break(changed.name, text, tuple(c for c in changes if c))


def _window_rule(g: Ground) -> Break | None:
    if g.opens:
        return None
    ways = tuple(str(w) for w in ways_out(g.asked, g.case, g.window) if w.opens)
    text = (
        f"no vacuum is both safe and tight enough to cure at: {g.cure.hold / 100:.0f} mbar is held "
        "for safety, and clamps too little"
    )
    stage = "hold and stir" if g.asked.process == "degassing" else "hold to the gel"
    return Break(stage, text, ways)


def _runaway_rule(g: Ground) -> Break | None:
    """Hold the peak to what the sheet's standard mass reaches: beyond it is a fire."""
    text = "" if g.warming is None else heating.runaway(g.asked, g.warming)
    if not text:
        return None
    said, _, changes = text.partition(": thinner")
    return Break("exotherm watch", said, (f"thinner{changes}",))


def _moisture_rule(g: Ground, found: list[Stage]) -> Break | None:
    """Compare the water of prepreg with the resin's pressure at every temperature."""
    wet = [s for s in found if not s.dry]  # the last one cools what has set
    hot = [s for s in wet[:-1] if s.expected_K > s.limit_K]
    if not hot:
        return None
    text = (
        f"its water pushes harder than the resin's pressure above {celsius(hot[0].limit_K)}, and "
        f"{hot[0].name} reaches {celsius(hot[0].expected_K)}"
    )
    worst = min(max(s.expected_K for s in hot), top_of(g.case))
    case = g.case.but(hottest_K=worst, hottest_high_K=worst)
    ways = ways_out(g.asked, case, g.window)
    return Break(hot[0].name, text, tuple(str(w) for w in ways))


def _cups(g: Ground, end: float) -> str:
    """Say in how many cups to mix it, if that is enough."""
    if g.batch is None or g.pace is None:
        return ""
    for cups in range(2, MOST_CUPS + 1):
        each = g.batch / cups
        life = pace.pot_life(g.asked, g.pace, each)
        share = g.clock.mix.si + (end - g.clock.mix.si) / cups
        if life is not None and share <= life:
            return (
                f"mix it in {cups} cups of {each:.2g} kg, one after another: each lasts "
                f"{minutes(life)}"
            )
    return ""


def _slower(g: Ground, factor: float) -> list[str]:
    """Say how little initiator, or how cool a shop, makes the gel factor times later."""
    resin, said = g.asked.resin, []
    level, family = resin.initiator_level, rates.family_of(resin)
    if level is not None and family.initiator_exponent is not None and g.asked.gel_s is None:
        now = g.asked.initiator if g.asked.initiator is not None else level.si
        needed = now * factor ** (-1.0 / family.initiator_exponent.si)
        needed = math.floor(needed / INITIATOR_STEP) * INITIATOR_STEP  # down to what is weighed
        if level.low_si - 1e-12 <= needed < now:
            said.append(f"{needed:.1%} of initiator instead of {now:.1%} (the sheet allows it)")
    celsius_now = pace.slowed(g.asked, g.case.shop_K, factor) - units.ZERO_CELSIUS_K
    T = units.ZERO_CELSIUS_K + math.floor(celsius_now)  # down to a whole degree
    if resin.minimum_temperature.si <= T < g.case.shop_K:
        said.append(f"shop, tool and resin at {celsius(T)}")
    if not said:
        said.append("a slower resin or hardener, by its maker's own table")
    return said


def _less_work(stage: Stage) -> list[str]:
    if stage.name not in ("wet out", "bed the core", "fill"):
        return [f"{stage.name} faster than {minutes(stage.duration_s)}: all cut and laid ready"]
    if stage.name == "fill":
        return ["more feed lines or flow mesh, a thinner resin, or a smaller part per shot"]
    return ["fewer layers or less area in one go, or a second pair of hands"]


# Putting it together --------------------------------------------------------------------------


def _assembled(g: Ground, found: list[Stage], breaks: tuple[Break, ...]) -> Schedule:
    w = g.warming
    advice = assemble(g.asked, g.case, g.window, None, ways_too=False)
    return Schedule(
        resin=g.asked.resin.name,
        resin_title=g.asked.resin.title,
        resin_record=g.asked.resin,
        process=g.asked.process,
        barometer_Pa=g.here,
        stages=tuple(found),
        breaks=breaks,
        advice=advice,
        batch_kg=g.batch,
        pot_life_s=g.pot_life,
        gel_s=None if w is None else w.gel_s,
        gel_interval_s=None if w is None else w.gel_interval_s,
        hold_s=None if w is None or not math.isfinite(w.hold_s) else w.hold_s,
        peak_K=None if w is None else w.peak_K,
        peak_s=None if w is None else w.peak_s,
        resin_pressure_Pa=pressures_in_resin(g, found),
        history_rows=lived_through(g, found),
        air_left_Pa=(g.case.dissolved_Pa.value, g.case.dissolved_Pa.high),
        assumptions=(*_assumed(g), *advice.assumptions),
        cautions=advice.cautions,
    )


def pressures_in_resin(g: Ground, found: list[Stage]) -> tuple[tuple[float, float], ...]:
    """Return time and pressure in the resin through the debulk, as cloth takes over the clamp."""
    stage = next((s for s in found if s.name == "debulk"), None)
    if stage is None:
        return ()
    quick, _ = lay.bleed_times(g)
    t = np.linspace(0.0, stage.duration_s, BLEED_POINTS)
    U = np.asarray(bed.consolidated(t / max(quick, 1e-6)))
    p = np.asarray(bed.resin_pressure(stage.setpoint_Pa, g.here, 1.0, U))
    return tuple((stage.start_s + float(a), float(b)) for a, b in zip(t, p, strict=True))


def lived_through(g: Ground, found: list[Stage]) -> tuple[tuple[float, float, float, float], ...]:
    """Return time, temperature, conversion of the hottest layer and pressure, mixing to hold.

    The pressure is the bag's, which resin that can bleed comes to; a change of it takes CHANGE_S,
    and before the bag is on it is the air's. Prepreg carries the air and the autoclave throughout,
    and in a press resin has the air's where fibres carry the force.
    """
    w = g.warming
    if w is None:
        return ()
    run, end = w.run, w.hold_s if math.isfinite(w.hold_s) else float(w.run.t[-1])
    cell = int(run.T[run.reacts].max(axis=1).argmax())
    T, X = run.T[run.reacts][cell], run.X[run.reacts][cell]
    corners, pressures, last = [0.0], [g.here], g.here
    carried = g.asked.process in ("prepreg", "pressing")
    if carried:
        pressures = [resin_pressure(g.asked, g.window, None)]
    for stage in found:
        if carried or stage.end_s <= 0.0 or stage.setpoint_Pa == last:
            continue
        start = max(stage.start_s, corners[-1])
        corners += [start + 1e-3, start + min(CHANGE_S, 0.5 * stage.duration_s)]
        pressures += [last, stage.setpoint_Pa]
        last = stage.setpoint_Pa
    even = np.linspace(0.0, end, HISTORY_POINTS)
    t = np.unique(np.concatenate([even, [c for c in corners if c < end]]))
    p = np.interp(t, corners, pressures)
    rows = zip(t, np.interp(t, run.t, T), np.interp(t, run.t, X), p, strict=True)
    return tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in rows)


def _assumed(g: Ground) -> list[str]:
    """Return what the plan takes for granted, beside what the advice does."""
    said, c = [], g.clock
    if g.asked.layup.plies and g.asked.layup.area_m2 is None and g.asked.process != "prepreg":
        said.append("area: 1 m2, none given")
    if g.asked.process in LAID_UP:
        how = "as given" if "wet_out" in g.told else "by layers and area (common practice)"
        said.append(f"wet-out: {minutes(g.wet_out)}, {how}")
    if g.asked.process == "infusion":
        how = "as given" if "fill" in g.told else "a small part (common practice)"
        said.append(f"fill: {minutes(g.fill)}, {how}")
    if g.pace is not None and g.warming is not None and g.asked.process != "prepreg":
        low, high = g.warming.gel_interval_s
        how = "as measured" if g.asked.gel_s is not None else "by the sheet"
        said.append(
            f"laminate gels at {minutes(g.gel)} ({minutes(low)} to {minutes(high)}), {how}: try a "
            "cup of this batch in this shop, and give gel_time"
        )
        if low * c.last_change.si < g.gel * c.last_change.si and g.asked.gel_s is None:
            said.append(
                f"at the quick end the last change must come by {minutes(low * c.last_change.si)}"
            )
    if g.after_debulk:
        said.append("the cure leans on the debulk having taken out its share of the air")
    return said
