"""A schedule in words: the answer first, then one paragraph a stage, in the units on the dial."""

import textwrap
from html import escape

from outgas import constants
from outgas.plan.stage import Break, Schedule, Stage
from outgas.show.dial import DEFAULT_DIAL, both, read_dial
from outgas.show.report import WIDTH, block

ROOM = 16  # columns for the clock
HOUR_S = 3600.0
TOO_WARM_K = 0.5  # less is lost in the rounding


def clock(seconds: float) -> str:
    """Return a moment as minutes and seconds, or hours and minutes, with its sign.

    >>> clock(-600.0), clock(754.0), clock(7500.0)
    ('-10:00', '12:34', '2 h 05')
    """
    sign, s = ("-", -seconds) if seconds < 0.0 else ("", seconds)
    if s >= 2.0 * HOUR_S:
        whole = round(s / 60.0)
        return f"{sign}{whole // 60} h {whole % 60:02d}"
    whole = round(s)
    return f"{sign}{whole // 60}:{whole % 60:02d}"


def span(seconds: float) -> str:
    """Return a duration as it is said."""
    if seconds >= 2.0 * HOUR_S:
        return f"{seconds / HOUR_S:.1f} h"
    return f"{seconds / 60.0:.0f} min" if seconds >= 90.0 else f"{seconds:.0f} s"


def _celsius(kelvin: float) -> str:
    return f"{kelvin - constants.ZERO_CELSIUS_K:.0f} degC"


def held(stage: Stage, barometer: float, dial: str) -> str:
    """Return where to hold a stage, and between which pressures."""
    if not stage.vacuum or stage.low_Pa >= barometer:
        return "no vacuum"
    if stage.low_Pa <= 0.0 and stage.high_Pa >= barometer:
        return "vacuum on until it is cold, then off"
    if stage.low_Pa <= 0.0:
        weak = both(stage.high_Pa, barometer, dial, weaker=False)
        return f"as deep as the pump goes, {weak} or deeper"
    hold = both(stage.setpoint_Pa, barometer, dial)
    low = both(stage.low_Pa, barometer, dial, brief=True)
    if stage.high_Pa >= barometer:
        return f"{hold}; never deeper than {low}"
    high = both(stage.high_Pa, barometer, dial, weaker=False, brief=True)
    return f"{hold}; never deeper than {low}, never weaker than {high}"


def answer(plan: Schedule, dial: str) -> list[str]:
    """Return the first two lines: what to hold when, and whether the clock allows it."""
    here = plan.barometer_Pa
    final = [s for s in plan.stages if s.vacuum and not s.dry]
    if final:
        last = final[-1] if plan.process == "degassing" else _curing(plan)
        where = held(last, here, dial)
        verb = "Degas" if plan.process == "degassing" else "Cure"
        lead = f"{verb} {where}" if where.startswith("as deep") else f"{verb} at {where}"
        lead = f"{verb} with {where}" if where == "no vacuum" else lead
    else:
        lead = "Cure with no vacuum"
    if plan.process == "pressing":
        lead = "Cure in the press, with no vacuum"
    if plan.gel_s is None:
        return [f"{lead}.", _fits(plan)]
    low, high = plan.gel_interval_s or (plan.gel_s, plan.gel_s)
    peak = "" if plan.peak_K is None else f", hottest {_celsius(plan.peak_K)}"
    gel = (
        f"The laminate gels {span(plan.gel_s)} after {_zero(plan)} ({span(low)} to {span(high)})"
        f"{peak}. {_fits(plan)}"
    )
    return [f"{lead}.", gel]


def _zero(plan: Schedule) -> str:
    words = {"prepreg": "oven start", "degassing": "closing the lid"}
    return words.get(plan.process, "mixing")


def _curing(plan: Schedule) -> Stage:
    names = ("hold to the gel", "cure")
    return next((s for s in plan.stages if s.name in names), plan.stages[-1])


def _fits(plan: Schedule) -> str:
    if plan.fits:
        return "The plan fits the clock."
    return f"The plan does not hold: {plan.breaks[0].text}."


def stage_text(stage: Stage, barometer: float, dial: str) -> str:
    """Return one stage as a short paragraph under its clock."""
    when = f"{clock(stage.start_s):>9}  "
    head = f"{when}{stage.name}, {span(stage.duration_s)}: {held(stage, barometer, dial)}"
    warm = "" if stage.dry else f"resin no warmer than {_celsius(stage.limit_K)}"
    lines = [head, f"watch: {stage.watch_for}", f"why: {stage.why}"]
    if warm:
        about = f"about {_celsius(stage.expected_K)} expected"
        over = stage.expected_K > stage.limit_K + TOO_WARM_K
        lines.insert(1, f"{warm}, but {about}: this does not hold" if over else f"{warm} ({about})")
    blank = " " * len(when)
    return "\n".join(
        textwrap.fill(line, WIDTH, initial_indent="" if i == 0 else blank, subsequent_indent=blank)
        for i, line in enumerate(lines)
    )


def schedule_text(plan: Schedule, dial: str = DEFAULT_DIAL) -> str:
    """Return the whole plan as plain text; the first two lines are the answer."""
    dial = read_dial(dial)
    first = "\n".join(answer(plan, dial))
    facts = []
    if plan.batch_kg is not None and plan.pot_life_s is not None:
        facts.append(
            f"Mix {plan.batch_kg:.2g} kg; in one cup it stays workable for {span(plan.pot_life_s)} "
            "(a cup gels before the laminate does)."
        )
    stages = [stage_text(s, plan.barometer_Pa, dial) for s in plan.stages]
    body = "\n".join([f"Plan, minutes from {_zero(plan)}", *stages])
    parts = [
        first,
        "\n".join(facts),
        *(_broken(b) for b in plan.breaks),
        body,
        block("Assumed", list(plan.assumptions)),
        block("Cautions", list(plan.cautions)),
    ]
    return "\n\n".join(part for part in parts if part)


def _broken(broken: Break) -> str:
    """Return one rule that is not kept, and what would mend it."""
    title = textwrap.fill(f"Does not hold: {broken.text}", WIDTH)
    if not broken.changes:
        return title
    return block(f"{title}. Any of these would mend it, or part of it:", list(broken.changes))


def schedule_html(plan: Schedule) -> str:
    """Return the plan as HTML that needs no style sheet."""
    rows = "".join(
        f"<tr><td>{escape(clock(s.start_s))}</td><td>{escape(span(s.duration_s))}</td>"
        f"<td>{escape(s.name)}</td><td>{escape(held(s, plan.barometer_Pa, DEFAULT_DIAL))}</td>"
        f"<td>{escape(s.watch_for)}</td></tr>"
        for s in plan.stages
    )
    lines = "".join(f"<p>{escape(line)}</p>" for line in answer(plan, DEFAULT_DIAL))
    cautions = "".join(f"<li>{escape(text)}</li>" for text in plan.cautions)
    return (
        f"<div>{lines}<table><tr><th>start</th><th>for</th><th>stage</th><th>hold</th>"
        f"<th>watch for</th></tr>{rows}</table><ul>{cautions}</ul></div>"
    )
