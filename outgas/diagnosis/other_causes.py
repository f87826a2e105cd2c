"""What the physics leaves room for: the gate of every cause, gas in gas_gates.py, the rest here.

See gas_gates.py for what a gate says.
"""

import numpy as np

from outgas.diagnosis.case import Gate, Scene, clamp_needed, mbar, swept, wetness
from outgas.diagnosis.gas import held
from outgas.tables import catalogue
from outgas.tables.causes import Cause


def _leak(cause: Cause, scene: Scene) -> Gate:
    void, radius = held(cause)
    if scene.case.process == "pressing":
        return Gate(0.0, cons=("a press has no bag to leak",))
    half = catalogue.signs().gate.leaky.si
    room = scene.bag.mean(scene.bag.pressure / (scene.bag.pressure + half))
    cons: tuple[str, ...] = ()
    if scene.bag.stated and scene.bag.median < half:
        cons = (f"a bag that reaches {mbar(scene.bag.median)} leaks little",)
    acts = "draws air in at any vacuum, the more the deeper"
    return Gate(room, void, radius, acts, cons=cons)


def _starved(cause: Cause, scene: Scene) -> Gate:
    void, radius = held(cause)
    trace = catalogue.signs().weight.ruled_out.si
    acts = "the more clamp and the longer before the gel, the more resin leaves"
    if scene.job.layup.lets_gas_out is False and "bleed" not in scene.seen:
        reason = "nothing on the bag side lets resin out"
        return Gate(trace, void, radius, acts, cons=(reason,))
    needed = clamp_needed(scene)
    clamp = (
        needed if scene.case.process == "pressing" else scene.clamp
    )  # a press gives what it needs
    room = clamp / (clamp + needed) if needed > 0.0 else 0.5
    weak = f"a clamp of {mbar(clamp)} squeezes little out"
    cons = (weak,) if scene.bag.stated and clamp < 0.5 * needed else ()
    return Gate(max(room, trace), void, radius, acts, cons=cons)


def _dry(cause: Cause, _scene: Scene) -> Gate:
    return Gate(1.0, *held(cause), acts="at any pressure")


def _binder(cause: Cause, scene: Scene) -> Gate:
    void, radius = held(cause)
    for part in scene.case.resin.monomers:
        monomer = catalogue.volatile(part.volatile)
        if monomer.dissolves_polystyrene:
            return Gate(0.0, cons=(f"{monomer.title} dissolves the binder of mat",))
    cloth = scene.seen.get("cloth")
    if cloth is not None and cloth != "chopped mat":
        return Gate(0.0, cons=(f"{cloth} cloth has no such binder",))
    room = 1.0 if cloth is not None else catalogue.signs().gate.unknown.si
    pros: tuple[str, ...] = ()
    if cloth is not None:
        pros = ("bound mat, in a resin with nothing in it that dissolves the binder",)
    return Gate(room, void, radius, "at any pressure", pros)


def _bridging(cause: Cause, scene: Scene) -> Gate:
    spoken = scene.seen.get("where") == "in corners" or "tap" in scene.seen
    room = 1.0 if spoken else catalogue.signs().gate.unknown.si
    return Gate(room, *held(cause), acts="as soon as the bag pulls tight over a corner")


def _blush(_cause: Cause, scene: Scene) -> Gate:
    resin = scene.case.resin
    if resin.family == "epoxy":
        wet, why = wetness(scene)
        room = max(wet, catalogue.signs().gate.unknown.si)
        pros = (f"epoxy at {why}",) if wet > 0.5 else ()
        return Gate(room, acts="where slow amine meets damp, cold air", pros=pros)
    if resin.initiator == "peroxide":
        return Gate(1.0, acts="where air reaches a surface that cures slowly")
    return Gate(catalogue.signs().gate.unknown.si, acts="where air reaches the surface")


def _shrinkage(cause: Cause, scene: Scene) -> Gate:
    family = scene.case.resin.family.replace(" ", "_")
    table = catalogue.signs().shrinkage
    number = getattr(table, family, table.epoxy)
    room = min(1.0, number.si / table.polyester.si)
    acts = f"as it cures and cools: about {number.si:.0%} of its volume goes"
    cons = ("epoxy shrinks little",) if family == "epoxy" else ()
    return Gate(room, *held(cause), acts=acts, cons=cons)


def _core(cause: Cause, scene: Scene) -> Gate:
    void, radius = held(cause)
    core, said = scene.case.core, scene.seen.get("core-kind")
    if said == "none" or (core is None and said is None and scene.job.layup.plies):
        return Gate(0.0, cons=("there is no core",))
    room = 1.0 if core is not None or said is not None else catalogue.signs().gate.unknown.si
    acts = "pulled, or warmed: the gas of its cut cells leaves for as long"
    pros: tuple[str, ...] = ()
    cons: tuple[str, ...] = ()
    if core is not None and scene.case.hottest_K > core.maximum_temperature.low_si:
        pros = (f"{core.title} softens and gives gas near this temperature",)
    return Gate(room, void, radius, acts, pros, cons)


def _stripped(cause: Cause, scene: Scene) -> Gate:
    void, radius = held(cause)
    monomers = scene.hot.nominal - scene.hot.partial["water"]
    if monomers <= 0.0:
        return Gate(0.0, cons=("this resin has no monomer to lose",))
    if scene.case.process == "pressing":
        return Gate(0.0, cons=("a press has no bag to leak",))
    gate = catalogue.signs().gate
    share = np.minimum(1.0, monomers / scene.bag.pressure)
    leaky = scene.bag.pressure / (scene.bag.pressure + gate.leaky.si)
    room = scene.bag.mean(share / (share + gate.swept.si) * leaky)
    acts = (
        f"every cubic metre of air swept through at bag pressure takes {swept(scene):.0f} g of "
        "monomer"
    )
    return Gate(room, void, radius, acts)


def _front(cause: Cause, scene: Scene) -> Gate:
    if scene.case.process != "infusion":
        return Gate(0.0, cons=("there is no resin front in this process",))
    return Gate(1.0, *held(cause), acts="where the gaps of the cloth fill before its strands")
