"""What the physics leaves room for: for each cause, could it have acted, and what would it make?

A gate gives a room between 0 and 1 (how surely the cause would show, if what it needs was there),
the share of voids and their radius, the pressure at which it would act, and words for and against.
Gas is counted in a closed cell, with the share kept that the process's record says. A room of 0 is
impossible (no mat, no core, nothing that boils); where only a number speaks against a cause, a
trace of room is left, for the number may be wrong.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas import catalogue, units
from outgas.advice import look
from outgas.advice.asked import Inputs
from outgas.advice.limits import (
    Band,
    Case,
    Vapour,
    air_limit,
    monomer_pressures,
    process_of,
    surface_humidity,
    vapour,
    water_activity,
    water_pressure,
    water_spread,
)
from outgas.advice.seen import NORMAL_95, Belief
from outgas.evidence import Cause
from outgas.physics import air

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

Span: TypeAlias = tuple[float, float]
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA
PEROXIDE_MOLAR_MASS = 0.034015  # hydrogen peroxide, kg/mol
OXYGEN_PER_PEROXIDE = 0.5  # 2 H2O2 -> 2 H2O + O2
JUST_ABOVE = 1.1  # a closed cell boils without limit at p_v: gas is counted from a tenth above it
FULL_PUSH = 3.0  # boiling is the resin's own where its monomers make a third of the push or more
LEAST_SHOWN = 1e-4  # share of voids below which none is worth naming
COLDER_K = 0.5  # a tool this much below the air is a cold one
ZERO = units.ZERO_CELSIUS_K


@dataclass(frozen=True, slots=True)
class Gate:
    """What the physics says of one cause."""

    room: float
    void: Span | None = None
    radius: Span | None = None
    acts: str = ""
    pros: tuple[str, ...] = ()
    cons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """All that the gates look at."""

    inputs: Inputs
    case: Case
    bag: Belief
    resin: Belief
    seen: dict[str, str]
    hot: Vapour
    upper_Pa: float
    least_Pa: float
    thickness: float | None = field(default=None)

    @property
    def barometer(self) -> float:
        """The air pressure [Pa]."""
        return self.case.barometer_Pa

    @property
    def clamp(self) -> float:
        """The pressure of the air on the bag, in the middle of what is believed [Pa]."""
        return max(0.0, self.barometer - self.bag.median)


def scene_of(inputs: Inputs, case: Case, bag: Belief, resin: Belief, seen: dict[str, str]) -> Scene:
    """Return the scene; the vapour's upper end counts warmth that nobody measured."""
    gate = catalogue.evidence().gate
    hot = vapour(case, case.hottest_K)
    upper = hot.high
    if inputs.hottest_K is None and case.resin.cure_temperature is None:
        upper = vapour(case, case.hottest_K + gate.warmer.si).high
    plies = inputs.layup.plies
    return Scene(
        inputs=inputs,
        case=case,
        bag=bag,
        resin=resin,
        seen=seen,
        hot=hot,
        upper_Pa=upper,
        least_Pa=hot.high / case.vapour_share,
        thickness=inputs.layup.laminate_thickness_m if plies else None,
    )


def gate_of(cause: Cause, scene: Scene) -> Gate:
    """Return what the physics says of a cause."""
    return _GATES[cause.name](cause, scene)


# Helpers ----------------------------------------------------------------------------------------


def _mbar(pressure: float) -> str:
    return f"{pressure / 100:.0f} mbar"


def _held(cause: Cause) -> tuple[Span, Span]:
    """Return void and radius as the table has them."""
    assert cause.void is not None
    assert cause.radius is not None
    return (
        (cause.void.low_si, cause.void.high_si),
        (cause.radius.low_si, cause.radius.high_si),
    )


def _kept(scene: Scene, volume: "Floats") -> "Floats":
    """Return the void fraction that gas per volume of resin makes, of which a share stays."""
    return np.asarray(air.void_fraction(scene.case.gas_kept * volume))


def _gas(scene: Scene, p: "Floats", p_v: float, entrained: float, dissolved: float) -> "Floats":
    """Return gas per volume of resin in a closed cell; just above p_v where p is at or below it."""
    case = scene.case
    cool = vapour(case, case.shop_K).nominal
    at = np.maximum(p, JUST_ABOVE * p_v)
    return np.asarray(
        air.gas_per_resin(
            at,
            p_v,
            case.resin.air_solubility.si,
            dissolved,
            entrained,
            cool,
            case.barometer_Pa,
            case.hottest_K,
            case.shop_K,
        )
    )


def _sizes(cause: Cause, void: Span) -> Span:
    """Return the radii [m] that a void fraction makes of the cause's nuclei, all alike."""
    assert cause.nuclei is not None

    def radius(f: float, n: float) -> float:
        gas = min(max(f, LEAST_SHOWN), look.DENSEST)
        return float((3.0 * gas / (4.0 * math.pi * n)) ** (1.0 / 3.0))

    return radius(void[0], cause.nuclei.high_si), radius(void[1], cause.nuclei.low_si)


def _shows(cause: Cause, scene: Scene, void: "Floats") -> float:
    """Return how surely gas of these shares, at the belief's pressures, would be noticed."""
    if cause.nuclei is not None:
        n = cause.nuclei.si
        radii = [
            (3.0 * min(max(f, 1e-9), look.DENSEST) / (4.0 * math.pi * n)) ** (1 / 3) for f in void
        ]
    else:
        assert cause.radius is not None
        radii = [cause.radius.si] * len(void)
    noticed = [
        look.shows(min(float(f), 1.0), r, scene.thickness) for f, r in zip(void, radii, strict=True)
    ]
    return scene.resin.mean(np.asarray(noticed))


def _span(scene: Scene, void_at: Callable[["Floats"], "Floats"]) -> Span:
    """Return void fractions at the two ends of the middle of the belief, the smaller first."""
    ends = sorted(float(v) for v in void_at(np.asarray(scene.resin.interval)))
    return ends[0], ends[1]


def _normal(x: "Floats") -> "Floats":
    from scipy.special import ndtr

    return np.asarray(ndtr(x))


def chance_it_boils(scene: Scene) -> float:
    """Return the chance that the pressure in the resin was below its vapour pressure."""
    p_v = scene.hot.nominal
    deviation = max(1e-6, math.log(scene.upper_Pa / p_v) / NORMAL_95)
    return scene.resin.mean(_normal(np.log(p_v / scene.resin.pressure) / deviation))


def _trace(scene: Scene, room: float, limit: float) -> float:
    """Leave a trace of room where the pressure might still have been below a limit."""
    if scene.resin.quantile(0.025) > limit:
        return 0.0
    return max(room, catalogue.evidence().weight.ruled_out.si)


# Gas and vapour ---------------------------------------------------------------------------------


def _boiling(cause: Cause, scene: Scene) -> Gate:
    hot, celsius = scene.hot, scene.case.hottest_K - ZERO
    monomers = hot.nominal - hot.partial["water"]
    if monomers <= 0.0:
        return Gate(0.0, cons=("nothing in this resin boils but its water",))
    own = min(1.0, FULL_PUSH * monomers / hot.nominal)
    boils = chance_it_boils(scene)
    room = _trace(scene, boils * own, scene.least_Pa)
    low = float(_kept(scene, _gas(scene, np.array([0.0]), hot.nominal, 0.0, _air(scene)))[0])
    void = (low, 1.0)
    acts = (
        f"boils below {_mbar(hot.nominal)} in the resin at {celsius:.0f} degC, perhaps already "
        f"below {_mbar(scene.upper_Pa)}"
    )
    middle = _mbar(scene.resin.median)
    pros, cons = (), ()
    if boils >= 0.5:
        pros = (f"the resin was at about {middle}, where it boils below {_mbar(hot.nominal)}",)
    elif scene.resin.quantile(0.025) > scene.upper_Pa:
        cons = (
            f"the resin was at about {middle}, well above the {_mbar(hot.nominal)} it boils at",
        )
    if own < 1.0:
        cons = (*cons, "most of what pushes is water, not monomer")
    return Gate(room, void, _sizes(cause, void), acts, pros, cons)


def _air(scene: Scene) -> float:
    return scene.case.dissolved_Pa.value


def _dissolved(cause: Cause, scene: Scene) -> Gate:
    """Count the air alone, as cold as the shop: what vapour and warmth add is others' doing."""
    case = scene.case

    def freed(p: "Floats") -> "Floats":
        L, T = case.resin.air_solubility.si, case.shop_K
        return np.asarray(air.gas_per_resin(p, 0.0, L, _air(scene), 0.0, 0.0, 0.0, T, T))

    def void_at(p: "Floats") -> "Floats":
        return _kept(scene, freed(p))

    void = _span(scene, void_at)
    found = _shows(cause, scene, void_at(scene.resin.pressure))
    found = max(found, catalogue.evidence().weight.ruled_out.si)
    if case.process == "prepreg":
        room = min(found, catalogue.evidence().gate.unknown.si)
        return Gate(room, void, _sizes(cause, void), cons=("prepreg holds little dissolved air",))
    # As a process that sets an air limit; the share kept stays this case's own.
    cell = case.but(process="wet layup", entrained=Band.exact(0.0))
    clear = cell.but(void_target=catalogue.practice().margins.clear_target.si)
    hot, cool = vapour(case, case.hottest_K), vapour(case, case.shop_K)
    shows, coarse = air_limit(clear, hot, cool)[0], air_limit(cell, hot, cool)[0]
    acts = (
        f"shows below about {_mbar(min(shows, scene.barometer))}, and makes "
        f"{case.void_target:.0%} of voids below {_mbar(min(coarse, scene.barometer))}"
    )
    pros, cons = (), ()
    if void[1] < LEAST_SHOWN:
        left = _mbar(_air(scene))
        cons = (f"the air left in the resin ({left}) stays dissolved at this pressure",)
    elif found > 0.5:
        full = scene.barometer - vapour(case, case.shop_K).nominal
        how = "undegassed resin" if _air(scene) > 0.99 * full else "this resin"
        middle = scene.resin.median
        volume = float(freed(np.array([middle]))[0])
        pros = (f"{how} frees {volume:.2g} times its own volume of air at {_mbar(middle)}",)
    return Gate(found, void, _sizes(cause, void), acts, pros, cons)


def _entrained(cause: Cause, scene: Scene) -> Gate:
    assert cause.radius is not None
    e, p_v = scene.case.entrained.value, scene.hot.nominal

    def swollen(p: "Floats") -> "Floats":
        return _kept(scene, e * scene.barometer / np.maximum(p, JUST_ABOVE * p_v))

    growth = (scene.barometer / max(scene.resin.median, p_v)) ** (1.0 / 3.0)
    needed = _clamp_needed(scene)
    room = 1.0 / (1.0 + scene.clamp / needed) if needed > 0.0 else 1.0
    pros, cons = (), ()
    if scene.bag.stated and scene.clamp < 1.5 * needed:
        pros = (f"a clamp of {_mbar(scene.clamp)} moves little air",)
    elif scene.bag.stated:
        cons = (f"a clamp of {_mbar(scene.clamp)} moves most of it",)
    radius = (cause.radius.low_si * growth, cause.radius.high_si * growth)
    acts = "there before any vacuum; swells as the bag goes deeper"
    return Gate(room, _span(scene, swollen), radius, acts, pros, cons)


def _clamp_needed(scene: Scene) -> float:
    process = process_of(scene.case.process)
    if process.clamp is not None:
        return process.clamp.si
    return max(0.0, scene.barometer - (process.weakest_bag.si if process.weakest_bag else 0.0))


def _leak(cause: Cause, scene: Scene) -> Gate:
    void, radius = _held(cause)
    if scene.case.process == "pressing":
        return Gate(0.0, cons=("a press has no bag to leak",))
    half = catalogue.evidence().gate.leaky.si
    room = scene.bag.mean(scene.bag.pressure / (scene.bag.pressure + half))
    cons = ()
    if scene.bag.stated and scene.bag.median < half:
        cons = (f"a bag that reaches {_mbar(scene.bag.median)} leaks little",)
    acts = "draws air in at any vacuum, the more the deeper"
    return Gate(room, void, radius, acts, cons=cons)


def wetness(scene: Scene) -> tuple[float, str]:
    """Return from 0 to 1 how wet cloth, core and tool may have been, and why."""
    gate, seen = catalogue.evidence().gate, scene.seen
    humidity = surface_humidity(scene.case)
    if seen.get("cloth-store") == "damp":
        return 1.0, "the cloth came from a damp store"
    if scene.case.core is not None and scene.case.core.wood:
        return 1.0, "a wood core brings water of its own"
    wet = (humidity - gate.dry.si) / (gate.damp.si - gate.dry.si)
    where = "the air"
    if scene.case.tool_K < scene.case.shop_K - COLDER_K:
        where = f"the face of a tool at {scene.case.tool_K - ZERO:.0f} degC"
    return min(1.0, max(0.0, wet)), f"{humidity:.0%} humidity at {where}"


def _moisture(cause: Cause, scene: Scene) -> Gate:
    case = scene.case
    wet, why = wetness(scene)
    a = max(water_activity(case, case.hottest_K)[1], surface_humidity(case))
    if scene.seen.get("cloth-store") == "damp":
        a = 1.0
    p_w = a * water_pressure(case.hottest_K)
    p_w_high = p_w * (1.0 + water_spread(case.hottest_K))
    share = np.minimum(1.0, p_w / scene.resin.pressure / case.vapour_share)
    room = wet * scene.resin.mean(share)
    if case.given_water is None and wet > 0.0:
        room = max(room, catalogue.evidence().weight.ruled_out.si)
    e = case.entrained.value

    def more(p: "Floats") -> "Floats":
        with_water = _gas(scene, p, p_w, e, _air(scene))
        dry = _gas(scene, np.maximum(p, JUST_ABOVE * p_w), 0.0, e, _air(scene))
        return _kept(scene, np.maximum(0.0, with_water - dry))

    void = _span(scene, more)
    if scene.resin.median <= p_w:
        void = (void[0], 1.0)
    celsius = case.hottest_K - ZERO
    acts = (
        f"wet material (activity {a:.2f}) pushes {_mbar(p_w_high)} at {celsius:.0f} degC: a third "
        f"of every bubble below {_mbar(p_w_high / case.vapour_share)}"
    )
    middle = f"{why}; its water pushes {_mbar(p_w)} against {_mbar(scene.resin.median)}"
    pros = (middle,) if room > 0.3 else ()
    cons = (why if wet < 0.5 else middle,) if room < 0.15 else ()
    return Gate(room, void, _sizes(cause, void), acts, pros, cons)


def _cleaner(cause: Cause, scene: Scene) -> Gate:
    gate, case = catalogue.evidence().gate, scene.case
    said = scene.seen.get("cleaner")
    if said == "none":
        return Gate(0.0, cons=("no cleaner was used",))
    traces = case.contaminants
    if not traces:
        traces = ((catalogue.volatile("acetone"), gate.acetone.si),)
    partial = dict(monomer_pressures(case.resin, traces, case.k, case.hottest_K)[0])
    push = sum(partial[v.name] for v, _ in traces)
    p_v = scene.hot.nominal if case.contaminants else scene.hot.nominal + push
    share = np.minimum(1.0, push / scene.resin.pressure / case.vapour_share)
    room = scene.resin.mean(share)
    if said is None and not case.contaminants:
        room *= gate.unknown.si
    e = case.entrained.value

    def more(p: "Floats") -> "Floats":
        with_it = _gas(scene, p, p_v, e, _air(scene))
        without = _gas(scene, np.maximum(p, JUST_ABOVE * p_v), p_v - push, e, _air(scene))
        return _kept(scene, np.maximum(0.0, with_it - without))

    void = _span(scene, more)
    if scene.resin.median <= p_v:
        void = (void[0], 1.0)
    names = ", ".join(f"{w:.1%} of {v.title}" for v, w in traces)
    acts = f"{names} pushes {_mbar(push)} more: boils below {_mbar(p_v)} instead of " + _mbar(
        p_v - push
    )
    pros = ()
    if case.contaminants or said == "still wet":
        pros = (f"{names} in the resin pushes {_mbar(push)} at {case.hottest_K - ZERO:.0f} degC",)
    return Gate(room, void, _sizes(cause, void), acts, pros)


def _peroxide(cause: Cause, scene: Scene) -> Gate:
    gate, resin = catalogue.evidence().gate, scene.case.resin
    if resin.initiator != "peroxide" or not resin.promoter:
        return Gate(0.0, cons=("this resin is not cured by peroxide and cobalt",))
    family = 1.0 if resin.family == "vinyl ester" else gate.polyester_peroxide.si
    level = resin.initiator_level.si if resin.initiator_level is not None else 0.0
    moles = resin.density.si * level * gate.free_peroxide.si / PEROXIDE_MOLAR_MASS
    gas = OXYGEN_PER_PEROXIDE * moles * GAS_CONSTANT * scene.case.shop_K

    def void_at(p: "Floats") -> "Floats":
        return _kept(scene, gas / np.maximum(p, JUST_ABOVE * scene.hot.nominal))

    room = family * _shows(cause, scene, void_at(scene.resin.pressure))
    void = _span(scene, void_at)
    acts = (
        f"at any pressure: {level:.1%} of ordinary ketone peroxide can free "
        f"{gas / scene.barometer:.2g} times the resin's volume of oxygen in the open cup"
    )
    return Gate(room, void, _sizes(cause, void), acts)


# Resin and fibre --------------------------------------------------------------------------------


def _starved(cause: Cause, scene: Scene) -> Gate:
    void, radius = _held(cause)
    needed = _clamp_needed(scene)
    room = scene.clamp / (scene.clamp + needed) if needed > 0.0 else 0.5
    acts = "the more clamp and the longer before the gel, the more resin leaves"
    if scene.inputs.layup.lets_gas_out is False and "bleed" not in scene.seen:
        return Gate(
            catalogue.evidence().weight.ruled_out.si,
            void,
            radius,
            acts,
            cons=("nothing on the bag side lets resin out",),
        )
    return Gate(room, void, radius, acts)


def _dry(cause: Cause, _scene: Scene) -> Gate:
    return Gate(1.0, *_held(cause), acts="at any pressure")


def _binder(cause: Cause, scene: Scene) -> Gate:
    void, radius = _held(cause)
    for part in scene.case.resin.monomers:
        monomer = catalogue.volatile(part.volatile)
        if monomer.dissolves_polystyrene:
            return Gate(0.0, cons=(f"{monomer.title} dissolves the binder of mat",))
    cloth = scene.seen.get("cloth")
    if cloth is not None and cloth != "chopped mat":
        return Gate(0.0, cons=(f"{cloth} cloth has no such binder",))
    room = 1.0 if cloth is not None else catalogue.evidence().gate.unknown.si
    pros = ()
    if cloth is not None:
        pros = ("bound mat, in a resin with nothing in it that dissolves the binder",)
    return Gate(room, void, radius, "at any pressure", pros)


def _bridging(cause: Cause, scene: Scene) -> Gate:
    spoken = scene.seen.get("where") == "in corners" or "tap" in scene.seen
    room = 1.0 if spoken else catalogue.evidence().gate.unknown.si
    return Gate(room, *_held(cause), acts="as soon as the bag pulls tight over a corner")


def _blush(_cause: Cause, scene: Scene) -> Gate:
    resin = scene.case.resin
    if resin.family == "epoxy":
        wet, why = wetness(scene)
        room = max(wet, catalogue.evidence().gate.unknown.si)
        pros = (f"epoxy at {why}",) if wet > 0.5 else ()
        return Gate(room, acts="where slow amine meets damp, cold air", pros=pros)
    if resin.initiator == "peroxide":
        return Gate(1.0, acts="where air reaches a surface that cures slowly")
    return Gate(catalogue.evidence().gate.unknown.si, acts="where air reaches the surface")


def _shrinkage(cause: Cause, scene: Scene) -> Gate:
    family = scene.case.resin.family.replace(" ", "_")
    table = catalogue.evidence().shrinkage
    number = getattr(table, family, table.epoxy)
    room = min(1.0, number.si / table.polyester.si)
    acts = f"as it cures and cools: about {number.si:.0%} of its volume goes"
    cons = ("epoxy shrinks little",) if family == "epoxy" else ()
    return Gate(room, *_held(cause), acts=acts, cons=cons)


def _core(cause: Cause, scene: Scene) -> Gate:
    void, radius = _held(cause)
    core, said = scene.case.core, scene.seen.get("core-kind")
    if said == "none" or (core is None and said is None and scene.inputs.layup.plies):
        return Gate(0.0, cons=("there is no core",))
    room = 1.0 if core is not None or said is not None else catalogue.evidence().gate.unknown.si
    acts = "pulled, or warmed: the gas of its cut cells leaves for as long"
    pros, cons = (), ()
    if core is not None and scene.case.hottest_K > core.maximum_temperature.low_si:
        pros = (f"{core.title} softens and gives gas near this temperature",)
    return Gate(room, void, radius, acts, pros, cons)


def _stripped(cause: Cause, scene: Scene) -> Gate:
    void, radius = _held(cause)
    monomers = scene.hot.nominal - scene.hot.partial["water"]
    if monomers <= 0.0:
        return Gate(0.0, cons=("this resin has no monomer to lose",))
    if scene.case.process == "pressing":
        return Gate(0.0, cons=("a press has no bag to leak",))
    gate = catalogue.evidence().gate
    share = np.minimum(1.0, monomers / scene.bag.pressure)
    leaky = scene.bag.pressure / (scene.bag.pressure + gate.leaky.si)
    room = scene.bag.mean(share / (share + gate.swept.si) * leaky)
    acts = (
        f"every cubic metre of air swept through at bag pressure takes {swept(scene):.0f} g of "
        "monomer"
    )
    return Gate(room, void, radius, acts)


def swept(scene: Scene) -> float:
    """Return the monomer [g] that a cubic metre of swept gas takes, saturated, at shop warmth."""
    case = scene.case
    partial = dict(monomer_pressures(case.resin, (), case.k, case.shop_K)[0])
    return sum(
        1e3 * p * catalogue.volatile(name).molar_mass.si / (GAS_CONSTANT * case.shop_K)
        for name, p in partial.items()
    )


def _front(cause: Cause, scene: Scene) -> Gate:
    if scene.case.process != "infusion":
        return Gate(0.0, cons=("there is no resin front in this process",))
    return Gate(1.0, *_held(cause), acts="where the gaps of the cloth fill before its strands")


_GATES: dict[str, Callable[[Cause, Scene], Gate]] = {
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
