"""The rules of the clock: which a plan cannot keep, and what would mend it."""

import math

from outgas.constants import ZERO_CELSIUS_K
from outgas.laminate import batch, warming
from outgas.laminate.vapour import warmest_known
from outgas.plan.basis import Ground
from outgas.plan.stage import (
    EXOTHERM_WATCH,
    HOLD_AND_STIR,
    HOLD_TO_THE_GEL,
    Break,
    Stage,
    stage_of,
)
from outgas.show.amounts import celsius, duration
from outgas.show.report import At, Line, lines
from outgas.tables import rates
from outgas.window.ways_out import ways_out

MOST_CUPS = 12
INITIATOR_STEP = 1e-3  # a tenth of a per cent
ROUNDING_S = 1.0

# The rules of the clock -----------------------------------------------------------------------


def rules(g: Ground, found: list[Stage]) -> tuple[Break, ...]:
    """Return the rules that the plan cannot keep, each with what would mend it."""
    broken = [_pot_life_rule(g, found), _last_change_rule(g, found), _window_rule(g)]
    broken.append(_runaway_rule(g))
    if g.job.process == "prepreg":
        broken.append(_moisture_rule(g, found))
    if g.job.process == "degassing":
        broken = [_window_rule(g)]
    return tuple(b for b in broken if b is not None)


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
    ways = tuple(w.line for w in ways_out(g.job, g.case, g.window) if w.opens)
    said = Line(
        "no vacuum is both safe and tight enough to cure at: {} is held for safety, and clamps "
        "too little",
        (At(g.cure.hold, plain=True, nearest=True),),
    )
    stage = HOLD_AND_STIR if g.job.process == "degassing" else HOLD_TO_THE_GEL
    return Break(stage, said, ways)


def _runaway_rule(g: Ground) -> Break | None:
    """Hold the peak to what the sheet's standard mass reaches: beyond it is a fire."""
    beyond = None if g.warming is None else warming.runaway(g.job, g.warming)
    if beyond is None:
        return None
    return Break(EXOTHERM_WATCH, Line(beyond.said), (Line(beyond.remedy),))


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
    worst = min(max(s.expected_K for s in hot), warmest_known(g.case))
    case = g.case.but(hottest_K=worst, hottest_high_K=worst)
    ways = ways_out(g.job, case, g.window)
    return Break(hot[0].name, Line(text), tuple(w.line for w in ways))


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
    level, family = resin.initiator_level, rates.family_of(resin)
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
