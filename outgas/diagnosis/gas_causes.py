"""Could it have been gas? Boiling, dissolved and entrained air, water, cleaner, peroxide.

Each gate gives a room between 0 and 1 (how surely the cause would show, if what it needs was
there), the share of voids and their radius, the pressure at which it would act, and words for and
against. A room of 0 is impossible; where only a number speaks against a cause, a trace of room is
left, for the number may be wrong.
"""

import math
from statistics import NormalDist
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.constants import Z95
from outgas.diagnosis.case import (
    Gate,
    Inspection,
    air_left,
    clamp_needed,
    told,
    tool_humidity,
    wetness,
)
from outgas.diagnosis.gas import (
    LEAST_SHOWN,
    STIRRED_IN,
    added,
    air_alone,
    gas_of,
    initiator_alone,
    middle,
    noticed,
    ordered,
    pushed_by,
    seen_surely,
    sizes,
    stirred_in_alone,
    with_gas,
    would_make,
)
from outgas.laminate.course import Course
from outgas.laminate.vapour import Vapour, vapour
from outgas.laminate.water import water_activity, water_pressure, water_spread
from outgas.show.amounts import celsius, mbar_up
from outgas.show.report import Line, joined
from outgas.tables import catalogue
from outgas.tables.causes import Cause

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

JUST_ABOVE = 1.1  # a boil is counted from a tenth above the vapour pressure
SPEAKS_FOR, SPEAKS_AGAINST = 0.3, 0.15  # room from which, and below which, it is said so
WORTH_A_WORD = 0.1  # chance of boiling from which it counts as evidence for it
FULL_PUSH = 3.0  # boiling is the resin's own where its monomers make a third of the push or more


def _normal(x: "Floats") -> "Floats":
    """Return the normal distribution's share below each x; too few to load scipy for."""
    below = NormalDist().cdf
    return np.array([below(float(value)) for value in x])


def chance_it_boils(inspection: Inspection) -> float:
    """Return the chance that the pressure in the resin was below its vapour pressure."""
    p_v = inspection.hot.nominal
    deviation = max(1e-6, math.log(inspection.upper_Pa / p_v) / Z95)
    return inspection.resin.mean(_normal(np.log(p_v / inspection.resin.pressure) / deviation))


def _trace(inspection: Inspection, room: float, limit: float) -> float:
    """Leave a trace of room where the pressure might still have been below a limit."""
    if inspection.resin.quantile(0.025) > limit:
        return 0.0
    return max(room, catalogue.signs().weight.ruled_out.si)


def boiling(_cause: Cause, inspection: Inspection) -> Gate:
    """Compare the pressure in the resin with what its vapours push."""
    hot = inspection.hot
    monomers = hot.nominal - hot.partial["water"]
    if monomers <= 0.0:
        return Gate(0.0, cons=("nothing in this resin boils but its water",))
    own = min(1.0, FULL_PUSH * monomers / hot.nominal)
    boils = chance_it_boils(inspection)
    room = _trace(inspection, boils * own, inspection.least_Pa)
    under = min(float(middle(inspection)[0]), hot.nominal)
    ends = np.array([JUST_ABOVE * hot.nominal, under])
    void, _ = gas_of(inspection, inspection.course.outcome(ends))
    acts = told(
        f"boils below {{}} in the resin at {celsius(inspection.case.hottest_K)}, perhaps already "
        "below {}",
        hot.nominal,
        inspection.upper_Pa,
    )
    median = inspection.resin.median
    pros: tuple[Line, ...] = ()
    cons: tuple[Line | str, ...] = ()
    if boils >= WORTH_A_WORD:
        pros = (
            told(
                "the resin was at about {}, against the {} it boils at: a "
                f"{boils:.0%} chance that it did",
                median,
                hot.nominal,
            ),
        )
    elif inspection.resin.quantile(0.025) > inspection.upper_Pa:
        said = "the resin was at about {}, well above the {} it boils at"
        cons = (told(said, median, hot.nominal),)
    if own < 1.0:
        cons = (*cons, "most of what pushes is water, not monomer")
    radius = sizes(inspection, inspection.course, ends)
    return Gate(room, ordered(void), radius, acts, pros, cons)


def dissolved(_cause: Cause, inspection: Inspection) -> Gate:
    """Count the air alone, as cold as the shop: what vapour and warmth add is others' doing."""
    case, course = inspection.case, air_alone(inspection.course)
    void, radius = would_make(inspection, course)
    found = max(noticed(inspection, course), catalogue.signs().weight.ruled_out.si)
    if case.process.preimpregnated:
        room = min(found, catalogue.signs().gate.unknown.si)
        return Gate(room, void, radius, cons=("prepreg holds little dissolved air",))
    acts = told(
        f"shows below about {{}}, and makes {case.void_target:.0%} of voids below {{}}"
        + (", after its debulk" if course.early_Pa is not None else ""),
        *inspection.air_limits,
    )
    pros: tuple[Line, ...] = ()
    cons: tuple[str, ...] = ()
    if void[1] < LEAST_SHOWN:
        left = mbar_up(air_left(inspection))
        cons = (f"the air left in the resin ({left} mbar) stays dissolved at this pressure",)
        if course.early_Pa is not None:
            cons = ("what the debulk left of the air stays dissolved at this pressure",)
    elif found > 0.5:
        full = inspection.barometer - vapour(case, case.shop_K).nominal
        how = "undegassed resin" if air_left(inspection) > 0.99 * full else "this resin"
        median = inspection.resin.median
        volume = max(0.0, case.resin.air_solubility.si * (air_left(inspection) / median - 1.0))
        pros = (told(f"{how} frees {volume:.2g} times its own volume of air at {{}}", median),)
    return Gate(found, void, radius, acts, pros, cons)


def entrained(_cause: Cause, inspection: Inspection) -> Gate:
    """Trapped air swells with the vacuum, and the clamp moves it."""
    void, radius = would_make(inspection, stirred_in_alone(inspection.course), STIRRED_IN)
    needed = clamp_needed(inspection)
    room = 1.0 / (1.0 + inspection.clamp / needed) if needed > 0.0 else 1.0
    pros: tuple[str, ...] = ()
    cons: tuple[str, ...] = ()
    if inspection.bag.stated and inspection.clamp < 1.5 * needed:
        pros = (f"a clamp of {mbar_up(inspection.clamp)} mbar moves little air",)
    elif inspection.bag.stated:
        cons = (f"a clamp of {mbar_up(inspection.clamp)} mbar moves most of it",)
    acts = "there before any vacuum; swells as the bag goes deeper"
    return Gate(room, void, radius, acts, pros, cons)


def _pushing(p_v: float) -> Vapour:
    return Vapour({}, p_v, p_v)


def _steamed(
    inspection: Inspection, soiled: Course, clean: Course
) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """Return how surely the gas that a vapour adds is noticed, its voids and radii [m]."""
    p = inspection.resin.pressure
    _, radius = gas_of(inspection, soiled.outcome(p))
    found = seen_surely(inspection, added(inspection, soiled, clean, p), radius)
    ends = middle(inspection)
    void = ordered(added(inspection, soiled, clean, ends))
    return found, void, sizes(inspection, soiled, ends)


def moisture(_cause: Cause, inspection: Inspection) -> Gate:
    """Compare the water of what was damp with the pressure in the resin."""
    case = inspection.case
    wet, why = wetness(inspection)
    if wet <= 0.0:
        return Gate(0.0, cons=(f"dry: {why}, no damp cloth, wood or cold tool",))
    a = max(water_activity(case, case.hottest_K)[1], tool_humidity(inspection)[0])
    if inspection.seen.get("cloth-store") == "damp":
        a = 1.0
    p_w = a * water_pressure(case.hottest_K)
    p_w_high = p_w * (1.0 + water_spread(case.hottest_K))
    course = with_gas(inspection.course, initiator_gas=0.0)
    if case.process.preimpregnated:
        course = with_gas(course, air_Pa=0.0)  # it holds little
    damp = pushed_by(course, _pushing(a * water_pressure(case.early_K)), _pushing(p_w))
    found, void, radius = _steamed(
        inspection, damp, pushed_by(course, _pushing(0.0), _pushing(0.0))
    )
    room = max(wet * found, catalogue.signs().weight.ruled_out.si)
    share = case.vapour_share or catalogue.practice().margins.vapour_share.si
    acts = told(
        f"wet material (activity {a:.2f}) pushes {mbar_up(p_w_high)} mbar at "
        f"{celsius(case.hottest_K)}: its water boils below that, and is "
        f"{share:.0%} of every bubble at {{}}",
        p_w_high / share,
    )
    pushes = told(
        f"{why}; its water pushes {mbar_up(p_w)} mbar against {{}} in the resin",
        inspection.resin.median,
    )
    pros = (pushes,) if room > SPEAKS_FOR else ()
    against: Line | str = why if wet < 0.5 else pushes
    cons = (against,) if room < SPEAKS_AGAINST else ()
    return Gate(room, void, radius, acts, pros, cons)


def cleaner(_cause: Cause, inspection: Inspection) -> Gate:
    """Count what a trace of solvent adds to the vapours."""
    gate, case = catalogue.signs().gate, inspection.case
    said = inspection.seen.get("cleaner")
    if said == "none":
        return Gate(0.0, cons=("no cleaner was used",))
    traces = case.contaminants
    if not traces:
        traces = ((catalogue.volatile("acetone"), gate.acetone.si),)
    # Beyond its table's end a solvent has long boiled: its pressure there is enough to say so.
    T = min(case.hottest_K, *(v.warmest_K for v, _ in traces))
    soiled, clean = case.but(contaminants=traces), case.but(contaminants=())
    push = vapour(soiled, T).nominal - vapour(clean, T).nominal
    p_v = inspection.hot.nominal if case.contaminants else inspection.hot.nominal + push
    cool = [_pushing(vapour(one, case.shop_K).nominal) for one in (soiled, clean)]
    course = with_gas(inspection.course, initiator_gas=0.0)
    wet, dry = (
        pushed_by(course, *pair)
        for pair in zip(cool, (_pushing(p_v), _pushing(p_v - push)), strict=True)
    )
    room, void, radius = _steamed(inspection, wet, dry)
    if said is None and not case.contaminants:
        room *= gate.unsaid_cleaner.si
    room = max(room, catalogue.signs().weight.ruled_out.si)
    names = ", ".join(f"{w:.1%} of {v.title}" for v, w in traces)
    boils = told("boils below {} instead of {}", p_v, p_v - push)
    acts = joined([f"{names} pushes {mbar_up(push)} mbar more: ", boils])
    pros: tuple[str, ...] = ()
    if case.contaminants or said == "still wet":
        pros = (f"{names} in the resin pushes {mbar_up(push)} mbar at {celsius(case.hottest_K)}",)
    return Gate(room, void, radius, acts, pros)


def peroxide(_cause: Cause, inspection: Inspection) -> Gate:
    """Count the oxygen that the free hydrogen peroxide of the initiator can give."""
    resin = inspection.case.resin
    if resin.initiator != "peroxide" or not resin.promoter:
        return Gate(0.0, cons=("this resin is not cured by peroxide and cobalt",))
    family = 1.0 if resin.family == "vinyl ester" else catalogue.signs().gate.polyester_peroxide.si
    course = initiator_alone(inspection.course)
    void, radius = would_make(inspection, course)
    room = family * noticed(inspection, course)
    cons: tuple[str, ...] = ()
    if inspection.case.low_gas:
        room, cons = catalogue.signs().weight.ruled_out.si, ("a low-gas initiator went in",)
    made = catalogue.gas().initiator["ordinary"]
    acts = (
        f"at any pressure: ordinary ketone peroxide can free {made.gas.si:.2g} times the resin's "
        f"volume of oxygen, the half of it in about {made.half_time.si / 60:.0f} min"
    )
    if family < 1.0:
        acts += "; in vinyl ester, and far less in this resin"
    return Gate(room, void, radius, acts, cons=cons)
