"""A schedule in words: the answer first, then one paragraph a stage, in the units on the dial."""

import math
import textwrap
from dataclasses import dataclass

from outgas.plan.plan import Break, Schedule
from outgas.plan.stage import Paragraphs, Stage, span, stage_of
from outgas.show.amounts import MINUTE_S, celsius, clock
from outgas.show.report import WIDTH, Block, Line, Report, Short, Table, block, joined, lines

HEAD = 6  # lines of a short plan, the cautions among them, beside one a stage
ROUNDING_MIN = 1e-9  # so that a whole minute is not rounded past itself


@dataclass(frozen=True, slots=True)
class Broken(Block):
    """One rule that is not kept, its first line, and what would mend it."""

    def text(self, barometer: float, dial: str | None, us: bool = False) -> str:
        """Return it wrapped, with a list where something mends it."""
        first, *changes = (line.on(barometer, dial, us) for line in self.lines)
        title = textwrap.fill(first, WIDTH)
        if not changes:
            return title
        return block(f"{title}. Any of these would mend it, or part of it:", changes)


def told(plan: Schedule) -> Report:
    """Return the whole plan as lines; the first two are the answer."""
    stages = tuple(line for stage in plan.stages for line in stage.lines)
    title = f"Plan, minutes from {_zero(plan)}"
    return Report(
        plan.barometer_Pa,
        answer(plan),
        (
            Block("", lines(_facts(plan)), bare=True),
            *(_broken(each) for each in plan.breaks),
            Paragraphs(title, stages, part="do"),
            Block("Assumed", plan.assumed),
            Block("Cautions", plan.cautioned),
        ),
        page=(
            Table(("start", "for", "stage", "hold", "watch for"), tuple(map(_row, plan.stages))),
            Block("", plan.cautioned),
        ),
        short=_short(plan),
    )


def _short(plan: Schedule) -> Short:
    """Return the plan in a few lines and one a stage: what to hold, whether it fits, the stages."""
    stages = tuple(stage.short for stage in plan.stages)
    lead = joined((_lead(plan, brief=True), "."))
    if plan.fits:
        return Short((lead, joined((_gel(plan), _fits(plan))), *stages), (), HEAD + len(stages))
    others = len(plan.breaks) - 1
    rules = "rule" if others == 1 else "rules"
    also = f" {others} more {rules} broken: --why." if others else ""
    broken = joined(("The plan does not hold: ", plan.breaks[0].line, f".{also}"))
    gel = _gel(plan).strip()
    more = (lead, *((Line(gel),) if gel else ()))
    return Short((broken, *stages), more, HEAD + len(stages))


def _gel(plan: Schedule) -> str:
    """Say when the laminate gels, and how hot it gets."""
    if plan.gel_s is None:
        return ""
    low, high = plan.gel_interval_s or (plan.gel_s, plan.gel_s)
    peak = "" if plan.peak_K is None else f", hottest {celsius(plan.peak_K)}"
    return f"Gels {span(plan.gel_s)} after {_zero(plan)} ({span(low)} to {span(high)}){peak}. "


def _row(stage: Stage) -> tuple[tuple[Line, ...], ...]:
    cells = (
        *(clock(stage.start_s), span(stage.duration_s), stage.name),
        *(stage.held, stage.watch_for),
    )
    return tuple(lines([cell]) for cell in cells)


def _facts(plan: Schedule) -> list[str]:
    if plan.batch_kg is None or plan.pot_life_s is None:
        return []
    return [
        f"Mix {plan.batch_kg:.2g} kg; in one cup it stays workable for {span(plan.pot_life_s)} "
        "(a cup gels before the laminate does)."
    ]


def answer(plan: Schedule) -> tuple[Line, ...]:
    """Return the first two lines: what to hold when, and whether the clock allows it."""
    lead = joined((_lead(plan), "."))
    if plan.gel_s is None:
        return lead, _fits(plan)
    low, high = plan.gel_interval_s or (plan.gel_s, plan.gel_s)
    peak = "" if plan.peak_K is None else f", hottest {celsius(plan.peak_K)}"
    gel = (
        f"The laminate gels {span(plan.gel_s)} after {_zero(plan)} ({span(low)} to {span(high)})"
        f"{peak}. "
    )
    return lead, joined((gel, _fits(plan)))


def _lead(plan: Schedule, *, brief: bool = False) -> Line:
    """Return what to hold for the cure, or in the pot."""
    if plan.facts.pressed:
        return Line("Cure in the press, with no vacuum")
    if not any(s.vacuum and not s.dry for s in plan.stages):
        return Line(f"{'Degas' if plan.facts.pot else 'Cure'} with no vacuum")
    verb, last = "Cure", stage_of(plan.stages, "hold", "cure") or plan.stages[-1]
    if plan.facts.pot:
        verb, last = "Degas", [s for s in plan.stages if s.vacuum and not s.dry][-1]
    between = {"nothing": " with ", "the pump's end": " "}.get(last.holds, " at ")
    return joined((verb, between, last.held_short if brief else last.held))


def _zero(plan: Schedule) -> str:
    words = {"prepreg": "oven start", "degassing": "closing the lid"}
    return words.get(plan.facts.told_like, "mixing")


def _fits(plan: Schedule) -> Line:
    least = plan.fits_if_gel_after_s
    if plan.fits and least is not None:
        minutes = math.ceil(least / MINUTE_S - ROUNDING_MIN)
        return Line(f"The plan fits only if your cup gels after {minutes} min.")
    if plan.fits:
        return Line("The plan fits the clock.")
    return joined(("The plan does not hold: ", plan.breaks[0].line, "."))


def _broken(broken: Break) -> Block:
    return Broken("", (joined(("Does not hold: ", broken.line)), *broken.mends))
