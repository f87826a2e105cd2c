"""What a plan looks like: its stages on one clock, and the bag against its limit over time."""

import math
from collections.abc import Mapping
from functools import partial

from outgas.constants import ZERO_CELSIUS_K
from outgas.plan.plan import Schedule
from outgas.plan.stage import Stage
from outgas.show.amounts import clock
from outgas.show.chart import Chart, Maker
from outgas.show.shapes import Curve, Mark, Note, Rows, Scale
from outgas.window.charts.over_time import MINUTE_s, gel_area, temperature_scale
from outgas.window.charts.zones import MBAR_Pa, bag_scale, said

LONGEST, AFTER_HOLD = 3.0, 1.3  # of the time until the gel holds: if longer, shown up to here
ROOM_FOR_WORDS = 0.65  # of the time shown, to the right of the bars
CAPTION = (
    "Minutes from mixing. Watch for what each stage says, and read the cautions of the plan: the "
    "clock of your own cup stands above this one."
)
OVER_TIME = (
    "Limits are on the safe side (95 %). The pressure is the bag's; resin that can bleed comes to "
    "it."
)
IN_RESIN = "The pressure is the least in the resin itself, fibres as loaded as they may be."


def charts(plan: Schedule) -> Mapping[str, Maker]:
    """Return the charts of a plan by name, its stages first."""
    found: dict[str, Maker] = {"plan": partial(_stages, plan)}
    if plan.lived:
        found["time"] = partial(_over_time, plan)
    for name, make in plan.advice.makers.items():
        if name != "time":  # the plan's own says more
            found.setdefault(name, make)
    return found


def _stages(plan: Schedule, dial: str) -> Chart:
    """Return the stages as bars on one clock, each with what to hold."""
    rows = Rows(tuple(stage.name for stage in plan))
    start, end = plan[0].start_s / MINUTE_s, _end(plan) / MINUTE_s
    words_at = end + 0.01 * (end - start)
    bars = [
        rows.bar(
            "bar" if stage.holds != "nothing" else "pale bar",
            "vacuum on" if stage.holds != "nothing" else "no vacuum",
            i,
            stage.start_s / MINUTE_s,
            min(stage.end_s / MINUTE_s, end),
        )
        for i, stage in enumerate(plan)
        if stage.start_s / MINUTE_s < end
    ]
    notes = tuple(
        Note(_later(s, end) + _held(s, dial), words_at, rows.at(i)) for i, s in enumerate(plan)
    )
    return Chart(
        name="plan",
        title=f"The plan: {plan.resin_title}",
        x=Scale("from mixing", "min", start, end + ROOM_FOR_WORDS * (end - start)),
        y=rows.scale(),
        areas=tuple(bars),
        marks=_moments(plan),
        notes=notes,
        caption=CAPTION if plan.fits else f"It does not keep: {plan.breaks[0].text}. {CAPTION}",
    )


def _end(plan: Schedule) -> float:
    """Return up to when a plan is shown [s]: not the hours that it cures on."""
    last = plan[-1].end_s
    if plan.hold_s is None or last <= LONGEST * plan.hold_s:
        return last
    return AFTER_HOLD * plan.hold_s


def _later(stage: Stage, end: float) -> str:
    """Say when a stage begins, or ends, that lies past what is shown [min]."""
    if stage.start_s / MINUTE_s >= end:
        return f"from {clock(stage.start_s)}: "
    return f"to {clock(stage.end_s)}: " if stage.end_s / MINUTE_s > end else ""


def _held(stage: Stage, dial: str) -> str:
    """Return what a stage holds, as a chart says it."""
    here = stage.barometer_Pa
    if stage.holds == "nothing":
        return "no vacuum"
    if stage.holds == "until cold":
        return "until cold"
    if stage.holds == "the pump's end":
        return f"{said(stage.high_Pa, here, dial, weaker=False)} or deeper"
    return said(stage.setpoint_Pa or stage.low_Pa, here, dial)


def _moments(plan: Schedule) -> tuple[Mark, ...]:
    """Return when it gels, and when the gel holds a bubble."""
    found = [("gel", plan.gel_s), ("the gel holds", plan.hold_s)]
    end = _end(plan)
    return tuple(
        Mark("guide", name, x=t / MINUTE_s) for name, t in found if t is not None and t <= end
    )


def _over_time(plan: Schedule, dial: str) -> Chart:
    """Return pressure, limits and warmth from mixing until the gel holds a bubble."""
    t, kelvins, pressures = (
        tuple(getattr(m, name) for m in plan.lived)
        for name in ("time_s", "temperature_K", "pressure_Pa")
    )
    minutes = tuple(x / MINUTE_s for x in t)
    top = max(plan.barometer_Pa, *pressures)
    scale = bag_scale(plan.barometer_Pa, dial) if top <= plan.barometer_Pa else _above(top)
    in_resin = plan.facts.preimpregnated or plan.facts.pressed
    return Chart(
        name="time",
        title=f"{'Resin' if in_resin else 'Bag'} and limits until the gel holds a bubble",
        x=Scale("from mixing", "min", 0.0, minutes[-1]),
        y=scale,
        areas=() if plan.gel_interval_s is None else (gel_area(plan.gel_interval_s, scale.high),),
        curves=(
            *_limits(plan, minutes[-1], in_resin=in_resin),
            Curve(
                "set",
                "in the resin" if in_resin else "hold",
                minutes,
                tuple(p / MBAR_Pa for p in pressures),
            ),
            Curve(
                "third",
                "temperature (right)",
                minutes,
                tuple(k - ZERO_CELSIUS_K for k in kelvins),
                right=True,
            ),
        ),
        marks=tuple(m for m in _moments(plan) if m.label == "gel"),
        right=temperature_scale(kelvins),
        caption=IN_RESIN if in_resin else OVER_TIME,
    )


def _above(top: float) -> Scale:
    """Return a scale for pressures above the air's, on no dial."""
    return Scale("in the resin", "mbar", 0.0, 1.05 * top / MBAR_Pa)


def _limits(plan: Schedule, end: float, *, in_resin: bool) -> list[Curve]:
    """Return how deep each stage may go, and what the vapour alone asks for."""
    found = []
    held = [s for s in plan if s.vacuum and not s.dry and s.end_s > 0.0 and s.low_Pa > 0.0]
    if held and not in_resin:
        x, y = [], []
        for stage in held:
            last = min(stage.end_s / MINUTE_s, end)
            x += [max(0.0, stage.start_s / MINUTE_s), last, last]
            y += [stage.low_Pa / MBAR_Pa, stage.low_Pa / MBAR_Pa, math.nan]
        found.append(Curve("limit", "never deeper", tuple(x), tuple(y)))
    cure = plan.advice.cure
    if cure is not None:
        t, _, p = zip(*cure.over_time, strict=True)
        words = "vapour: never below" if in_resin else "vapour alone: never deeper"
        x_, y_ = tuple(a / MINUTE_s for a in t), tuple(b / MBAR_Pa for b in p)
        found.append(Curve("second", words, x_, y_))
    return found
