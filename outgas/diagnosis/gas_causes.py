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

from outgas.constants import GAS_CONSTANT, Z95
from outgas.diagnosis.case import (
    JUST_ABOVE,
    Gate,
    Inspection,
    air_left,
    clamp_needed,
    told,
    tool_humidity,
    wetness,
)
from outgas.diagnosis.gas import LEAST_SHOWN, gas, kept, noticed, sizes, span
from outgas.laminate.vapour import vapour
from outgas.laminate.water import water_activity, water_pressure, water_spread
from outgas.physics import air
from outgas.physics.chance import Band
from outgas.show.amounts import celsius, mbar_up
from outgas.show.report import Line, joined
from outgas.tables import catalogue
from outgas.tables.causes import Cause
from outgas.window.limits import freed_limit

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

PEROXIDE_MOLAR_MASS = 0.034015  # hydrogen peroxide, kg/mol
OXYGEN_PER_PEROXIDE = 0.5  # 2 H2O2 -> 2 H2O + O2
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


def boiling(cause: Cause, inspection: Inspection) -> Gate:
    """Compare the pressure in the resin with what its vapours push."""
    hot = inspection.hot
    monomers = hot.nominal - hot.partial["water"]
    if monomers <= 0.0:
        return Gate(0.0, cons=("nothing in this resin boils but its water",))
    own = min(1.0, FULL_PUSH * monomers / hot.nominal)
    boils = chance_it_boils(inspection)
    room = _trace(inspection, boils * own, inspection.least_Pa)
    low = float(
        kept(inspection, gas(inspection, np.array([0.0]), hot.nominal, 0.0, air_left(inspection)))[
            0
        ]
    )
    void = (low, 1.0)
    acts = told(
        f"boils below {{}} in the resin at {celsius(inspection.case.hottest_K)}, perhaps already "
        "below {}",
        hot.nominal,
        inspection.upper_Pa,
    )
    middle = inspection.resin.median
    pros: tuple[Line, ...] = ()
    cons: tuple[Line | str, ...] = ()
    if boils >= WORTH_A_WORD:
        pros = (
            told(
                "the resin was at about {}, against the {} it boils at: a "
                f"{boils:.0%} chance that it did",
                middle,
                hot.nominal,
            ),
        )
    elif inspection.resin.quantile(0.025) > inspection.upper_Pa:
        said = "the resin was at about {}, well above the {} it boils at"
        cons = (told(said, middle, hot.nominal),)
    if own < 1.0:
        cons = (*cons, "most of what pushes is water, not monomer")
    return Gate(room, void, sizes(cause, void), acts, pros, cons)


def _air_alone(inspection: Inspection, p: "Floats") -> "Floats":
    """Return what the air left in the resin frees at pressures, per volume of cool, dry resin."""
    T = inspection.case.shop_K
    cold = air.ClosedCell(
        solubility=inspection.case.resin.air_solubility.si,
        air_Pa=air_left(inspection),
        entrained=0.0,
        mixed_vapour_Pa=0.0,
        mixed_Pa=0.0,
        mixed_K=T,
    )
    return np.asarray(air.gas_per_resin(cold, p, 0.0, T))


def dissolved(cause: Cause, inspection: Inspection) -> Gate:
    """Count the air alone, as cold as the shop: what vapour and warmth add is others' doing."""
    case = inspection.case

    def void_at(p: "Floats") -> "Floats":
        return kept(inspection, _air_alone(inspection, p))

    void = span(inspection, void_at)
    found = noticed(cause, inspection, void_at(inspection.resin.pressure))
    found = max(found, catalogue.signs().weight.ruled_out.si)
    if case.process.preimpregnated:
        room = min(found, catalogue.signs().gate.unknown.si)
        return Gate(room, void, sizes(cause, void), cons=("prepreg holds little dissolved air",))
    cell = case.but(entrained=Band.exact(0.0))
    clear = cell.but(void_target=catalogue.practice().margins.clear_target.si)
    hot, cool = vapour(case, case.hottest_K), vapour(case, case.shop_K)
    shows, coarse = freed_limit(clear, hot, cool)[0], freed_limit(cell, hot, cool)[0]
    acts = told(
        f"shows below about {{}}, and makes {case.void_target:.0%} of voids below {{}}",
        min(shows, inspection.barometer),
        min(coarse, inspection.barometer),
    )
    pros: tuple[Line, ...] = ()
    cons: tuple[str, ...] = ()
    if void[1] < LEAST_SHOWN:
        left = mbar_up(air_left(inspection))
        cons = (f"the air left in the resin ({left} mbar) stays dissolved at this pressure",)
    elif found > 0.5:
        full = inspection.barometer - vapour(case, case.shop_K).nominal
        how = "undegassed resin" if air_left(inspection) > 0.99 * full else "this resin"
        middle = inspection.resin.median
        volume = float(_air_alone(inspection, np.array([middle]))[0])
        pros = (told(f"{how} frees {volume:.2g} times its own volume of air at {{}}", middle),)
    return Gate(found, void, sizes(cause, void), acts, pros, cons)


def entrained(cause: Cause, inspection: Inspection) -> Gate:
    """Trapped air swells with the vacuum, and the clamp moves it."""
    assert cause.radius is not None
    e, p_v = inspection.case.entrained.nominal, inspection.hot.nominal

    def swollen(p: "Floats") -> "Floats":
        return kept(inspection, e * inspection.barometer / np.maximum(p, JUST_ABOVE * p_v))

    growth = (inspection.barometer / max(inspection.resin.median, p_v)) ** (1.0 / 3.0)
    needed = clamp_needed(inspection)
    room = 1.0 / (1.0 + inspection.clamp / needed) if needed > 0.0 else 1.0
    pros: tuple[str, ...] = ()
    cons: tuple[str, ...] = ()
    if inspection.bag.stated and inspection.clamp < 1.5 * needed:
        pros = (f"a clamp of {mbar_up(inspection.clamp)} mbar moves little air",)
    elif inspection.bag.stated:
        cons = (f"a clamp of {mbar_up(inspection.clamp)} mbar moves most of it",)
    radius = (cause.radius.low_si * growth, cause.radius.high_si * growth)
    acts = "there before any vacuum; swells as the bag goes deeper"
    return Gate(room, span(inspection, swollen), radius, acts, pros, cons)


def moisture(cause: Cause, inspection: Inspection) -> Gate:
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

    def more(p: "Floats") -> "Floats":
        return _swollen(inspection, p, p_w, 0.0)

    room = wet * noticed(cause, inspection, more(inspection.resin.pressure))
    room = max(room, catalogue.signs().weight.ruled_out.si)
    void = span(inspection, more)
    acts = told(
        f"wet material (activity {a:.2f}) pushes {mbar_up(p_w_high)} mbar at "
        f"{celsius(case.hottest_K)}: its water boils below that, and is "
        f"{case.vapour_share:.0%} of every bubble at {{}}",
        p_w_high / case.vapour_share,
    )
    middle = told(
        f"{why}; its water pushes {mbar_up(p_w)} mbar against {{}} in the resin",
        inspection.resin.median,
    )
    pros = (middle,) if room > SPEAKS_FOR else ()
    against: Line | str = why if wet < 0.5 else middle
    cons = (against,) if room < SPEAKS_AGAINST else ()
    return Gate(room, void, sizes(cause, void), acts, pros, cons)


def _swollen(inspection: Inspection, p: "Floats", p_v: float, without: float) -> "Floats":
    """Return the voids that a vapour p_v adds to those there would be with only a part of it."""
    e = inspection.case.entrained.nominal
    dissolved = (
        0.0 if inspection.case.process.preimpregnated else air_left(inspection)
    )  # it holds little
    at = np.maximum(p, JUST_ABOVE * p_v)
    added = gas(inspection, at, p_v, e, dissolved) - gas(inspection, at, without, e, dissolved)
    return np.where(p <= p_v, 1.0, kept(inspection, np.maximum(0.0, added)))  # boiling has no limit


def cleaner(cause: Cause, inspection: Inspection) -> Gate:
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

    def more(p: "Floats") -> "Floats":
        return _swollen(inspection, p, p_v, p_v - push)

    room = noticed(cause, inspection, more(inspection.resin.pressure))
    if said is None and not case.contaminants:
        room *= gate.unsaid_cleaner.si
    void = span(inspection, more)
    names = ", ".join(f"{w:.1%} of {v.title}" for v, w in traces)
    boils = told("boils below {} instead of {}", p_v, p_v - push)
    acts = joined([f"{names} pushes {mbar_up(push)} mbar more: ", boils])
    pros: tuple[str, ...] = ()
    if case.contaminants or said == "still wet":
        pros = (f"{names} in the resin pushes {mbar_up(push)} mbar at {celsius(case.hottest_K)}",)
    return Gate(room, void, sizes(cause, void), acts, pros)


def peroxide(cause: Cause, inspection: Inspection) -> Gate:
    """Count the oxygen that the free hydrogen peroxide of the initiator can give."""
    gate, resin = catalogue.signs().gate, inspection.case.resin
    if resin.initiator != "peroxide" or not resin.promoter:
        return Gate(0.0, cons=("this resin is not cured by peroxide and cobalt",))
    family = 1.0 if resin.family == "vinyl ester" else gate.polyester_peroxide.si
    level = resin.initiator_level.si if resin.initiator_level is not None else 0.0
    moles = resin.density.si * level * gate.free_peroxide.si / PEROXIDE_MOLAR_MASS
    oxygen = OXYGEN_PER_PEROXIDE * moles * GAS_CONSTANT * inspection.case.shop_K

    def void_at(p: "Floats") -> "Floats":
        return kept(inspection, oxygen / np.maximum(p, JUST_ABOVE * inspection.hot.nominal))

    room = family * noticed(cause, inspection, void_at(inspection.resin.pressure))
    void = span(inspection, void_at)
    acts = (
        f"at any pressure: {level:.1%} of ordinary ketone peroxide can free "
        f"{oxygen / inspection.barometer:.2g} times the resin's volume of oxygen in the open cup"
    )
    return Gate(room, void, sizes(cause, void), acts)
