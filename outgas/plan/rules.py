"""The rules of the clock: which a plan cannot keep, and what would mend it."""

import math

from outgas.constants import ZERO_CELSIUS_K
from outgas.laminate import batch
from outgas.laminate.runaway import runaway
from outgas.laminate.vapour import warmest_known
from outgas.plan.basis import Ground
from outgas.plan.bleed import resin_in
from outgas.plan.caps import boil_cap
from outgas.plan.plan import Break
from outgas.plan.stage import (
    EXOTHERM_WATCH,
    HOLD_AND_STIR,
    HOLD_TO_THE_GEL,
    Stage,
    stage_of,
    whole_degc,
)
from outgas.show.amounts import celsius, duration
from outgas.show.report import At, Line, joined, lines
from outgas.window.prepreg import sure_of
from outgas.window.ways.ways_out import ways_out
from outgas.window.window import window_of

MOST_CUPS = 12
INITIATOR_STEP = 1e-3  # a tenth of a per cent
ROUNDING_S, ROUNDING_PA = 1.0, 1e-3

# The rules of the clock -----------------------------------------------------------------------


def rules(g: Ground, found: list[Stage]) -> tuple[Break, ...]:
    """Return the rules that the plan cannot keep, each with what would mend it."""
    broken = [_pot_life_rule(g, found), _last_change_rule(g, found), _window_rule(g)]
    broken.append(_runaway_rule(g))
    if g.job.process.preimpregnated:
        broken.append(_moisture_rule(g, found))
    if g.job.process.pot:
        broken = [_window_rule(g)]
    kept = tuple(b for b in broken if b is not None)
    return (*kept, *held_rules(tuple(found), _told(g, found, kept), g))


def _told(g: Ground, found: list[Stage], kept: tuple[Break, ...]) -> set[str]:
    """Return the stages whose being too warm another rule has told of."""
    names = {b.stage for b in kept}
    if EXOTHERM_WATCH in names:
        names |= {s.name for s in found[[s.name for s in found].index(EXOTHERM_WATCH) :]}
    if g.job.process.preimpregnated and any(s.name in names for s in found):
        names |= {s.name for s in found if not s.dry}
    return names


def held_rules(
    found: tuple[Stage, ...], told: set[str], g: Ground | None = None
) -> tuple[Break, ...]:
    """Return what no stage may do and still fit: be too warm, or be held outside its band."""
    broken = []
    warm = [s for s in found if s.too_warm and s.name not in told]
    if warm:
        worst = min(warm, key=lambda s: s.limit_K or 0.0)
        also = ", ".join(s.name for s in warm if s is not worst)
        text = (
            f"{worst.name}: {worst.warmest}, but about {celsius(worst.expected_K)} is expected"
            f"{f' (too warm as well: {also})' if also else ''}"
        )
        broken.append(Break(worst.name, Line(text), lines(_cooler(worst, g))))
    for s in found:
        if s.setpoint_Pa is None or not s.vacuum or s.name in told:
            continue
        if not s.low_Pa - ROUNDING_PA <= s.setpoint_Pa <= s.high_Pa + ROUNDING_PA:
            ends = At(s.low_Pa, brief=True), At(s.high_Pa, weaker=False, brief=True)
            said = "{} would be held, never deeper than {}, never weaker than {}"
            line = joined((f"{s.name}: ", Line(said, (At(s.setpoint_Pa), *ends))))
            broken.append(Break(s.name, line, ()))
    return tuple(broken)


def _cooler(stage: Stage, g: Ground | None) -> list[str]:
    """Say how cool it must be, if the resin may be that cool."""
    cap = stage.limit_K
    if cap is None or g is None or cap < g.job.resin.minimum_temperature.si:
        return ["thinner stages, or a slower resin or hardener, by its maker's own table"]
    return [f"shop, tool and resin at {whole_degc(cap)} or below"]


def fits_if_gel_after(g: Ground, found: list[Stage]) -> float | None:
    """Return the earliest gel of a cup [s] that a plan still fits; None if a quick batch fits too.

    The laminate's gel and the pot life go with the cup's.
    """
    if g.pace is None or not g.job.process.mixed:
        return None
    shares = [0.0]
    hold, last = stage_of(found, "hold", "heat"), stage_of(found, "wet out", "fill")
    if hold is not None and g.job.resin.cure_temperature is None and math.isfinite(g.gel):
        shares.append(hold.start_s / g.last_change)
    if last is not None and g.pot_life is not None:
        shares.append(last.end_s / g.pot_life)
    share = max(shares)
    return share * g.pace.gel_s if share > g.pace.shorter else None


def _pot_life_rule(g: Ground, found: list[Stage]) -> Break | None:
    """Hold mixing and wet-out, or mixing and filling, to the batch's pot life."""
    last = stage_of(found, "wet out", "fill")
    if last is None or g.pot_life is None or g.batch is None:
        return None
    if last.end_s <= g.pot_life + ROUNDING_S:
        return None
    changes = [_cups(g, last.end_s), *_slower(g, last.end_s / g.pot_life), *_less_work(last)]
    text = (
        f"{last.name} ends {duration(last.end_s)} after mixing, past the {duration(g.pot_life)} "
        f"pot life of {g.batch:.2g} kg in one cup"
    )
    return Break(last.name, Line(text), lines(c for c in changes if c))


def _last_change_rule(g: Ground, found: list[Stage]) -> Break | None:
    """Hold the last change of pressure to its share of the laminate's gel time."""
    hold = stage_of(found, "hold", "heat")
    if hold is None or g.job.resin.cure_temperature is not None:
        return None
    if hold.start_s <= g.last_change + ROUNDING_S:
        return None
    changed = found[found.index(hold) - 1]
    longest = max((s for s in found if 0.0 < s.start_s < hold.start_s), key=lambda s: s.duration_s)
    text = (
        f"{changed.name} ends at {duration(hold.start_s)}, later than {g.clock.last_change.si:.0%} "
        f"of the laminate's {duration(g.gel)} gel time: {longest.name} takes too long"
    )
    changes = [*_slower(g, hold.start_s / g.last_change), *_less_work(longest)]
    return Break(changed.name, Line(text), lines(c for c in changes if c))


def _window_rule(g: Ground) -> Break | None:
    if g.opens:
        return None
    ways = tuple(w.line for w in ways_out(g.window) if w.opens)
    pot = g.job.process.pot
    weakest = At(g.window.shallowest, weaker=False, plain=True)
    verb, asks = ("degas", "the pot") if pot else ("cure", "the clamp")
    beyond = ", more than the atmosphere has" if g.safe_from > g.here else " or weaker"
    said = Line(
        f"no vacuum is both safe and {'deep' if pot else 'tight'} enough to {verb} at: the resin "
        f"needs {{}}{beyond}, {asks} {{}} or deeper",
        (At(g.safe_from, plain=True), weakest),
    )
    if g.window.reach_Pa is not None and g.window.pump_needs is not None:
        needs = At(g.window.pump_needs, weaker=False, plain=True)
        said = Line(
            f"the pump is too weak: it is sure of {{}} only, and {asks} needs {{}} or deeper",
            (At(g.window.reach_Pa, plain=True), needs),
        )
    return Break(HOLD_AND_STIR if pot else _held(g), said, ways)


def _held(g: Ground) -> str:
    """Return the stage that a missing window breaks."""
    return "cure" if g.job.process.preimpregnated else HOLD_TO_THE_GEL


def _runaway_rule(g: Ground) -> Break | None:
    """Hold the peak to what the sheet's standard mass reaches: beyond it is a fire."""
    beyond = None if g.warming is None else runaway(g.job, g.warming)
    if beyond is None:
        return None
    return Break(EXOTHERM_WATCH, Line(beyond.said), (Line(beyond.remedy),))


def _moisture_rule(g: Ground, found: list[Stage]) -> Break | None:
    """Compare the water of prepreg with what its resin is sure to hold down, stage by stage.

    The oven's own temperature counts in the cure, as in a verdict, whatever the laminate gets to.
    """
    too_hot: list[tuple[Stage, float, float]] = []
    for s in [s for s in found if not s.dry][:-1]:  # the last one cools what has set
        boil = boil_cap(g.case, sure_of(resin_in(g, s)))
        T = max(s.expected_K, g.case.hottest_K) if s.kind == "cure" else s.expected_K
        if boil is not None and boil < T:
            too_hot.append((s, T, boil))
    if not too_hot:
        return None
    first, T, boil = too_hot[0]
    text = (
        "its water pushes harder than the resin is sure to hold down above "
        f"{whole_degc(boil)}, and {first.name} reaches {celsius(T)}"
    )
    worst = min(max(T for _, T, _ in too_hot), warmest_known(g.case))
    ways = ways_out(window_of(g.job, g.case.at(worst)))
    return Break(first.name, Line(text), tuple(w.line for w in ways))


def _cups(g: Ground, end: float) -> str:
    """Say in how many cups to mix it, if that is enough."""
    if g.batch is None or g.pace is None:
        return ""
    for cups in range(2, MOST_CUPS + 1):
        each = g.batch / cups
        life = batch.pot_life(g.job, g.pace, each)
        share = g.clock.mix.si + (end - g.clock.mix.si) / cups
        if life is not None and share <= life:
            return (
                f"mix it in {cups} cups of {each:.2g} kg, one after another: each lasts "
                f"{duration(life)}"
            )
    return ""


def _slower(g: Ground, factor: float) -> list[str]:
    """Say how little initiator, or how cool a shop, makes the gel factor times later."""
    resin, said = g.job.resin, []
    level, family = resin.initiator_level, g.job.curing.family
    if level is not None and family.initiator_exponent is not None and g.job.gel_s is None:
        now = g.job.initiator if g.job.initiator is not None else level.si
        needed = now * factor ** (-1.0 / family.initiator_exponent.si)
        needed = math.floor(needed / INITIATOR_STEP) * INITIATOR_STEP  # down to what is weighed
        if level.low_si - 1e-12 <= needed < now:
            said.append(f"{needed:.1%} of initiator instead of {now:.1%} (the sheet allows it)")
    celsius_now = batch.slowed(g.job, g.case.shop_K, factor) - ZERO_CELSIUS_K
    T = ZERO_CELSIUS_K + math.floor(celsius_now)  # down to a whole degree
    if resin.minimum_temperature.si <= T < g.case.shop_K:
        said.append(f"shop, tool and resin at {celsius(T)}")
    if not said:
        said.append("a slower resin or hardener, by its maker's own table")
    return said


def _less_work(stage: Stage) -> list[str]:
    if stage.kind not in ("wet out", "fill"):
        return [f"{stage.name} faster than {duration(stage.duration_s)}: all cut and laid ready"]
    if stage.kind == "fill":
        return ["more feed lines or flow mesh, a thinner resin, or a smaller part per shot"]
    return ["fewer layers or less area in one go, or a second pair of hands"]
