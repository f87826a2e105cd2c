"""What to change next time, cause by cause, each with its number where there is one."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from outgas import units
from outgas.diagnosis.case import Inspection, swept
from outgas.diagnosis.diagnosis import Change
from outgas.job.job import Job
from outgas.laminate.case import Case
from outgas.laminate.vapour import vapour
from outgas.laminate.water import dew_point
from outgas.show.amounts import celsius
from outgas.show.report import At
from outgas.tables import catalogue
from outgas.window.advice import WayOut
from outgas.window.ways_out import DRY_AIR, ways_out
from outgas.window.window import Window, after_debulk, window_of

CLEAR_OF_DEW_K = 3.0  # how far a tool is kept above the dew point, common practice


@dataclass(frozen=True, slots=True)
class Plan:
    """What the next try can be set to: the window of the same case, and its ways out."""

    job: Job
    case: Case
    inspection: Inspection
    window: Window
    ways: tuple[WayOut, ...]


def plan_of(job: Job, case: Case, inspection: Inspection) -> Plan:
    """Return the plan of a case."""
    window = window_of(job, case)
    return Plan(job, case, inspection, window, ways_out(window))


def changes(name: str, plan: Plan) -> tuple[Change, ...]:
    """Return what to change against a cause, the most useful first."""
    return tuple(_CHANGES[name](plan))


def _hold(plan: Plan, where: str = "") -> list[Change]:
    """Say where to hold the bag for the cure, or that no vacuum is safe as it stands."""
    window, process = plan.window, plan.job.process
    if process.preimpregnated:
        return [Change.to("keep full vacuum: less of it would be the wrong cure")]
    if process.pressed:
        return []
    if window.setpoint is not None:
        text = f"{where}hold the bag at {{}} for the cure, never deeper than {{}}"
        return [Change.to(text, window.setpoint, window.deepest)]
    return [
        Change.to(
            "no vacuum is safe for the cure as it stands: it needs {} or above and the clamp needs "
            "{} or deeper; see outgas advise for the ways out",
            window.deepest,
            _weakest(window),
        )
    ]


def _weakest(window: Window) -> At:
    """Return the highest pressure that still clamps, never printed higher."""
    return At(window.shallowest, weaker=False)


def _debulk(plan: Plan) -> list[Change]:
    if not plan.job.process.wet_bag:
        return []
    pull = plan.window.debulk
    if pull is None:
        return []
    cure = window_of(plan.job, after_debulk(plan.case, pull)).setpoint
    verb = "fill" if plan.job.process.filled else "debulk first"
    text = f"{verb} at {{}}, while the resin is thin, until it is quiet"
    if cure is not None:
        return [Change.to(text + "; then come up and cure at {}", pull, cure)]
    return [Change.to(text + "; then come up", pull)]


def _ways(plan: Plan, *kinds: str) -> list[Change]:
    """Return the ways out of some kinds; they carry their own numbers."""
    return [Change(way.line) for way in plan.ways if way.kind in kinds]


def _boiling(plan: Plan) -> list[Change]:
    found = [*_debulk(plan), *_hold(plan, "with no debulk " if _debulk(plan) else "")]
    hot = plan.case.hottest_K
    cooler = vapour(plan.case, max(plan.case.shop_K, hot - 10.0)).high
    if hot - 10.0 >= plan.case.shop_K:
        text = f"build it thinner or in stages: 10 K cooler than {celsius(hot)} it boils at {{}}"
        found.append(Change.to(text, cooler))
    return found


def _dissolved(plan: Plan) -> list[Change]:
    found = [*_debulk(plan), *_ways(plan, "pot")]
    return [*found, *_hold(plan, "without that " if found else "")]


def _entrained(plan: Plan) -> list[Change]:
    found = [
        Change.to("stir slowly by hand, let it stand five minutes, roll from the middle outwards"),
        *_debulk(plan),
    ]
    window = plan.window
    if not plan.job.process.bag_sets_resin or window.setpoint is None:
        return [*found, *_hold(plan)]
    text = "clamp it: hold {} for the cure; {} is the weakest that clamps, never deeper than {}"
    return [*found, Change.to(text, window.setpoint, _weakest(window), window.deepest)]


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
    if plan.window.setpoint is not None and plan.job.process.bag_sets_resin:
        found.append(
            Change.to(
                "less clamp once it is quiet: {} holds, {} is the weakest that clamps",
                plan.window.setpoint,
                _weakest(plan.window),
            )
        )
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
    return [
        Change.to(
            "an initiator low in free hydrogen peroxide, as the resin's sheet names it, within "
            "its range"
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
    fill, vent = plan.window.debulk, plan.window.setpoint
    found = [
        Change.to(
            "throttle the inlet so that strands fill with the gaps; stop the flow medium short "
            "of the edge; no open channel along it"
        )
    ]
    if fill is None or vent is None:  # nothing that clamps is safe to hold
        return [*found, *_debulk(plan)]
    return [*found, Change.to("fill at {}, then hold the vent at {}", fill, vent)]


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
