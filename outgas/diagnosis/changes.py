"""What to change next time, cause by cause, each with its number where there is one."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from outgas import units
from outgas.diagnosis.case import Inspection, swept
from outgas.diagnosis.diagnosis import Along, Change
from outgas.job.job import Job
from outgas.laminate.case import Case
from outgas.laminate.course import look_of, target_of
from outgas.laminate.vapour import vapour
from outgas.laminate.water import dew_point
from outgas.show.amounts import celsius, minutes_up, voids_of
from outgas.show.report import At, Line, joined
from outgas.tables import catalogue
from outgas.window.behind import WayOut
from outgas.window.reach import margin_of
from outgas.window.ways.ways_out import DRY_AIR, ways_out
from outgas.window.window import Window, window_of

CLEAR_OF_DEW_K = 3.0  # how far a tool is kept above the dew point, common practice
COOLER_K = 10.0  # a step of warmth to say what it is worth
SLOWLY = "go down slowly, it froths"
_WITH: dict[str, Along] = {"debulk": "debulk", "pot": "degas", "air out": "degas"}


@dataclass(frozen=True, slots=True)
class Plan:
    """What the next try can be set to: the window of the same case, and its ways out."""

    job: Job
    case: Case
    inspection: Inspection
    window: Window
    ways: tuple[WayOut, ...]

    @property
    def early(self) -> bool:
        """Whether the window's setpoint stands on a debulk or a fill before it."""
        return self.window.course.early_Pa is not None

    @property
    def along(self) -> Along:
        """What comes with the next try that the laminate which failed did not have."""
        return "debulk" if self.early and self.inspection.course.early_Pa is None else ""

    @property
    def first(self) -> str:
        """What the setpoint stands on, in words that open a sentence."""
        if not self.early:
            return ""
        return "after the fill " if self.job.process.filled else "after the debulk "

    @property
    def failed_Pa(self) -> float:
        """What failed [Pa], which nothing may go deeper than alone; 0 where nobody said."""
        return self.inspection.failed_Pa or 0.0

    def cure(self) -> tuple[float, float] | None:
        """Return where to hold the bag for the cure, and its deepest [Pa]; None for nowhere.

        No deeper than what failed, unless a debulk comes with it that was not there.
        """
        window = self.window
        if window.setpoint is None:
            return None
        if self.along or self.failed_Pa <= window.setpoint:
            return window.setpoint, max(window.deepest, 0.0 if self.along else self.failed_Pa)
        if self.failed_Pa + window.room > window.shallowest:
            return None
        return self.failed_Pa, self.failed_Pa


def plan_of(job: Job, case: Case, inspection: Inspection) -> Plan:
    """Return the plan of a case."""
    window = window_of(job, case)
    return Plan(job, case, inspection, window, ways_out(window))


def changes(name: str, plan: Plan) -> tuple[Change, ...]:
    """Return what to change against a cause, the most useful first."""
    return tuple(_CHANGES[name](plan))


def _hold(plan: Plan) -> list[Change]:
    """Say where to hold the bag for the cure, or that no vacuum is safe as it stands."""
    window, process = plan.window, plan.job.process
    if process.preimpregnated:
        return [Change.to("keep full vacuum: less of it would be the wrong cure")]
    if process.pressed:
        return []
    cure = plan.cure()
    if cure is not None:
        text = f"{plan.first}hold the bag at {{}} for the cure, never deeper than {{}}"
        return [Change.to(text, *cure, along=plan.along)]
    if window.setpoint is not None:
        text = (
            "no vacuum that clamps, {} or deeper, is weaker than the {} that failed: it takes less "
            "gas in the laminate"
        )
        return [Change(Line(text, (_weakest(window), At(plan.failed_Pa, nearest=True))))]
    text = (
        "no vacuum is safe for the cure as it stands: it needs {} or above and the clamp needs "
        "{} or deeper; see outgas advise for the ways out"
    )
    return [Change(Line(text, (At(window.deepest), _weakest(window))))]


def _weakest(window: Window) -> At:
    """Return the highest pressure that still clamps, never printed higher."""
    return At(window.shallowest, weaker=False)


def _expect(plan: Plan, pressure: float) -> str:
    """Say what the next laminate should hold after a cure at a pressure [Pa]."""
    course, target = plan.window.course, target_of(plan.case)
    likely, worst = look_of(course.depth(pressure, target))
    voids = voids_of(course.voids(pressure, target))
    if likely != "clear":
        return f"expect {'haze' if likely == 'hazy' else 'milk'}, {voids}"
    return f"expect {voids}, {likely if likely == worst else f'{likely} to {worst}'}"


def _debulk(plan: Plan) -> list[Change]:
    """Say where to debulk or fill, where that helps, and where to come up to."""
    pull = plan.window.debulk
    if pull is None or not plan.job.process.wet_bag:
        return []
    verb = "fill" if plan.job.process.filled else "debulk first"
    least = minutes_up(plan.window.case.early_s)
    text = (
        f"{verb} at {{}} while the resin is thin ({SLOWLY}), {least} or more, until it is quiet; "
        "then come up"
    )
    cure = plan.cure()
    if cure is None:
        return [Change.to(text, pull, along="debulk")]
    text += f" and cure at {{}}, never deeper than {{}}: {_expect(plan, cure[0])}"
    return [Change.to(text, pull, *cure, along="debulk")]


def _no_debulk(plan: Plan) -> list[Change]:
    """Say where the bag could be held with no debulk, where that is not what failed."""
    window, deepest = plan.window, plan.window.deepest_straight
    if not plan.early or plan.job.process.filled or window.setpoint is None:
        return []
    hold = max(deepest + margin_of(plan.job, deepest), window.reach_Pa or 0.0)
    if hold + window.room > window.shallowest:
        return [Change(Line("without a debulk no vacuum is both safe and tight enough"))]
    if hold < plan.failed_Pa:
        return []
    deepest = max(deepest, plan.failed_Pa)
    return [Change.to("without a debulk hold the bag at {}, never deeper than {}", hold, deepest)]


def _ways(plan: Plan, *kinds: str) -> list[Change]:
    """Return the ways out of some kinds; they carry their own numbers."""
    found = []
    for way in plan.ways:
        if way.kind not in kinds:
            continue
        along = _WITH.get(way.kind, plan.along)
        if not along and way.deepest_Pa is not None and way.deepest_Pa < plan.failed_Pa:
            continue
        more = f", {plan.first.strip()}" if plan.early else ""
        if way.kind == "debulk":
            more = f" ({SLOWLY})"
        found.append(Change(joined([way.line, more]), along=along))
    return found


def _boiling(plan: Plan) -> list[Change]:
    first = _debulk(plan)
    found = [*first, *_no_debulk(plan)]
    if not first or plan.cure() is None:
        found += _hold(plan)
    hot = plan.case.hottest_K
    cooler = vapour(plan.case, max(plan.case.shop_K, hot - COOLER_K)).high
    if hot - COOLER_K >= plan.case.shop_K:
        text = f"build it thinner or in stages: 10 K cooler than {celsius(hot)} it boils at {{}}"
        found.append(Change(Line(text, (At(cooler),))))
    return found


def _dissolved(plan: Plan) -> list[Change]:
    first = _debulk(plan)
    found = [*first, *_ways(plan, "debulk", "pot"), *_no_debulk(plan)]
    return found if first and plan.cure() is not None else [*found, *_hold(plan)]


def _entrained(plan: Plan) -> list[Change]:
    found = [
        Change.to("stir slowly by hand, let it stand five minutes, roll from the middle outwards"),
        *_debulk(plan),
    ]
    window, cure, along = plan.window, plan.cure(), plan.along
    degassed = plan.job.pot is not None or plan.job.air_Pa is not None
    with_it = plan.first
    if degassed and window.setpoint is not None and not along:
        # a clamp too weak to move air is not what makes degassed resin froth deeper
        cure, along, with_it = (window.setpoint, window.deepest), "degas", "resin degassed again, "
    if not plan.job.process.bag_sets_resin or cure is None:
        return [*found, *_hold(plan)]
    text = (
        f"clamp it: {with_it}hold {{}} for the cure; {{}} is the weakest that clamps, never "
        "deeper than {}"
    )
    hold, deepest = cure
    return [*found, Change.to(text, hold, _weakest(window), deepest, along=along)]


def _leak(_plan: Plan) -> list[Change]:
    most = catalogue.signs().gate.drop_test
    low, likely, high = (p / 100 for p in (most.low_si, most.si, most.high_si))
    inches = units.quantity(most.si, "Pa").m_as("inHg")
    return [
        Change.to(  # a loss, not a reading: it stays in the text, rounded to the stricter
            f"pump the dry bag down, shut it off: it may lose {math.floor(likely)} mbar "
            f"({math.floor(10.0 * inches) / 10.0:.1f} inHg) in five minutes, less in a small "
            f"bag (limits from {low:.0f} to {high:.0f} mbar are in print)"
        ),
        Change.to(
            "listen along the seal, press the tape again when it is warm, double it at pleats"
        ),
    ]


def _moisture(plan: Plan) -> list[Change]:
    case = plan.case
    dew = dew_point(case.humidity, case.shop_K)
    found = []
    if case.tool_K < dew + CLEAR_OF_DEW_K:
        found.append(
            Change.to(
                f"warm the tool to {celsius(dew + CLEAR_OF_DEW_K)} or more: this air wets "
                f"anything below {celsius(dew)}"
            )
        )
    if plan.job.process.preimpregnated:
        return [*found, *_ways(plan, "humidity", "pressure"), *_hold(plan)]
    found.append(
        Change.to(
            f"dry shop, cloth and core to {DRY_AIR:.0%} humidity or less; keep cloth wrapped, and "
            "warm it before unwrapping"
        )
    )
    return [*found, *_ways(plan, "drier"), *_hold(plan)]


def _starved(plan: Plan) -> list[Change]:
    found = [
        Change.to(
            "less bleed: film with fewer holes, a thinner or smaller bleeder, a film beyond it"
        ),
    ]
    hold = plan.window.setpoint
    if hold is not None and plan.job.process.bag_sets_resin and hold >= plan.failed_Pa:
        text = (
            f"less clamp once it is quiet: {plan.first}{{}} holds, {{}} is the weakest that clamps"
        )
        found.append(Change.to(text, hold, _weakest(plan.window), along=plan.along))
    found.append(Change.to("change a breather that feels stiff; no deep vacuum until the gel"))
    return found


def _dry(plan: Plan) -> list[Change]:
    resin = plan.case.resin
    mPas = resin.viscosity.si * 1e3
    return [
        Change.to("wet the tool first and lay the cloth into the resin; wait until it is clear"),
        Change.to(
            f"warm resin and cloth to 25 degC (it is {mPas:.0f} mPa s there, thicker in the cold), "
            f"never below {celsius(resin.minimum_temperature.si)}; mix less at a time"
        ),
        Change.to("cloth with the finish for this resin, dry and not years old"),
    ]


def _binder(_plan: Plan) -> list[Change]:
    return [
        Change.to("stitched mat, or mat sold for epoxy; or a resin with styrene for bound mat"),
        Change.to("try a hand's width first: it must go clear before any bag"),
    ]


def _bridging(_plan: Plan) -> list[Change]:
    return [
        Change.to(
            "cut the cloth at the corner and lap it; press it in before the bag, with a fillet"
        ),
        Change.to(
            "a pleat of bag on each side of every inside corner, and push the bag in by hand "
            "at a weak vacuum before going deeper"
        ),
    ]


def _blush(plan: Plan) -> list[Change]:
    dew = dew_point(plan.case.humidity, plan.case.shop_K) + CLEAR_OF_DEW_K
    if plan.case.resin.family == "epoxy":
        damp = catalogue.signs().gate.damp.low_si
        return [
            Change.to("wash with warm water before any bonding, sanding or paint"),
            Change.to(
                f"next time below {damp:.0%} humidity, everything at {celsius(dew)} or warmer "
                "until it has cured; peel ply over it takes the film off"
            ),
        ]
    least = celsius(plan.case.resin.minimum_temperature.si)
    return [
        Change.to("keep air off it: film or bag tight on the surface until it is hard"),
        Change.to(f"resin, shop and tool at {least} or warmer, initiator within the sheet's range"),
    ]


def _shrinkage(plan: Plan) -> list[Change]:
    return [
        Change.to("build it in thinner stages, each below its peak before the next"),
        Change.to(
            "a slower initiator within its sheet's range, or a resin that peaks lower; "
            f"cool a laminate that passes {celsius(plan.case.hottest_K + 20.0)}"
        ),
    ]


def _core(plan: Plan) -> list[Change]:
    found = [
        Change.to("prime the core with resin and let it gel, or take it perforated or grooved"),
        Change.to("pull the dry core in the bag for some hours before any resin"),
        *_hold(plan),
    ]
    core = plan.case.core
    if core is not None:
        found.insert(
            2, Change.to(f"keep {core.title} below {celsius(core.maximum_temperature.low_si)}")
        )
    return found


def _cleaner(plan: Plan) -> list[Change]:
    return [
        Change.to("dry rollers and brushes before they touch resin; keep acetone from peroxide"),
        *_hold(plan),
        Change.to("test the hardness: solvent left in keeps it soft"),
    ]


def _peroxide(_plan: Plan) -> list[Change]:
    half = catalogue.gas().initiator["ordinary"].half_time
    likely, low, high = (f"{s / 60:.0f}" for s in (half.si, half.low_si, half.high_si))
    return [
        Change.to(
            "a low-gas initiator (low in free hydrogen peroxide), as the resin's sheet names it, "
            "within its range"
        ),
        Change.to(
            f"or let the mixed cup stand, always within its gel time: the half of the gas is gone "
            f"in about {likely} min ({low} to {high})"
        ),
        Change.to("mix a cup and watch it: no laying up until one stays quiet"),
    ]


def _stripped(plan: Plan) -> list[Change]:
    return [
        *_leak(plan),
        Change.to(
            "bleed air only at the pump or the pot, never through the bag: each cubic metre swept "
            f"through takes {swept(plan.inspection):.0f} g of monomer"
        ),
    ]


def _front(plan: Plan) -> list[Change]:
    fill, cure = plan.window.debulk, plan.cure()
    found = [
        Change.to(
            "throttle the inlet so that strands fill with the gaps; stop the flow medium short "
            "of the edge; no open channel along it"
        )
    ]
    if fill is None or cure is None:  # nothing that clamps is safe to hold
        return [*found, *_debulk(plan)]
    text = f"fill at {{}} ({SLOWLY}), then hold the vent at {{}}"
    return [*found, Change.to(text, fill, cure[0], along="debulk")]


_CHANGES: dict[str, Callable[[Plan], list[Change]]] = {
    "resin-boiling": _boiling,
    "dissolved-air": _dissolved,
    "entrained-air": _entrained,
    "leak": _leak,
    "moisture": _moisture,
    "starved": _starved,
    "dry-fibre": _dry,
    "mat-binder": _binder,
    "bridging": _bridging,
    "blushed-surface": _blush,
    "shrinkage": _shrinkage,
    "core-gas": _core,
    "cleaner-residue": _cleaner,
    "peroxide-gas": _peroxide,
    "stripped": _stripped,
    "front-too-fast": _front,
}
