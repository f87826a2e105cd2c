"""Ways out for wet prepreg: laid up drier, dried longer, its resin kept in, or pressed harder."""

import math

from outgas.job.job import Job
from outgas.laminate.case import Case, hottest_vapour
from outgas.laminate.prepreg import drying_K
from outgas.show.amounts import HOUR_S, celsius
from outgas.show.report import Line
from outgas.tables import catalogue
from outgas.window.behind import WayOut
from outgas.window.prepreg import Held, held_of, pressure_to_pass, sealed_in
from outgas.window.verdict import hours_of


def ways_of_prepreg(job: Job, case: Case, held: Held) -> tuple[WayOut, ...]:
    """Say how dry, how long dried, or how hard pressed prepreg must be, the bag at full vacuum."""
    found = [_laid_up_drier(held)]
    if held.found.state != "passed":
        found += [
            _dried(case, held),
            _bled_less(job, case, held),
            _pressed_on(job, case, held),
        ]
    return tuple(sorted((way for way in found if way is not None), key=lambda way: not way.opens))


def _laid_up_drier(held: Held) -> WayOut | None:
    """Find how damp prepreg may be laid up."""
    most = 0 if held.drying.activity is None else math.floor(held.drying.activity * 100.0)
    if not 0 < most < 100:
        return None
    text = f"keep what it takes up below {most}% humidity: dry room, sealed bags, short lay-up"
    return WayOut("humidity", Line(text), None, True)


def _dried(case: Case, held: Held) -> WayOut | None:
    """Find how long prepreg dries under vacuum until it passes."""
    if not math.isfinite(held.drying.likely_s):
        return None
    shops = catalogue.prepreg().drying.hold
    low, high = (end / HOUR_S for end in (shops.low_si, shops.high_si))
    text = (
        f"dry it before the heat, under full vacuum at {celsius(drying_K(case))}: in all "
        f"{hours_of(held.drying)} (shops hold {low:.0f} to {high:.0f} h)"
    )
    return WayOut("vacuum drying", Line(text), None, math.isfinite(held.drying.slow_s))


def _bled_less(job: Job, case: Case, held: Held) -> WayOut | None:
    """Keep the resin in, where that is enough for it to hold its water down."""
    if (
        held.sealed
        or held_of(job, case, hottest_vapour(case), sealed_in(case)).found.state != "passed"
    ):
        return None
    text = "bag it so that no resin leaves it: solid film, dammed edges, breather over the film"
    return WayOut("no bleed", Line(text), None, True)


def _pressed_on(job: Job, case: Case, held: Held) -> WayOut | None:
    """Find how hard the bag must be pressed on for the resin to hold its water down."""
    more = pressure_to_pass(job, case, held)
    if more is None:
        return None
    bar = math.ceil(more / 1e4) / 10  # up to the next tenth
    text = f"cure with {bar:.1f} bar or more on the bag, in an autoclave or a press"
    return WayOut("pressure", Line(text), None, True)
