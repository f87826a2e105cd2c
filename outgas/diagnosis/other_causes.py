"""Could it have been something else than gas? Leak, fibre, surface, core, front.

See gas_causes.py for what a gate says.
"""

import numpy as np

from outgas.diagnosis.case import Gate, Inspection, clamp_needed, swept, told, wetness
from outgas.diagnosis.gas import held
from outgas.show.amounts import mbar_up
from outgas.show.report import Line
from outgas.tables import catalogue
from outgas.tables.causes import Cause


def leak(cause: Cause, inspection: Inspection) -> Gate:
    """Ask how deep the bag got: one that leaks does not reach deep."""
    void, radius = held(cause)
    if inspection.case.process.pressed:
        return Gate(0.0, cons=("a press has no bag to leak",))
    half = catalogue.signs().gate.leaky.si
    room = inspection.bag.mean(inspection.bag.pressure / (inspection.bag.pressure + half))
    cons: tuple[Line, ...] = ()
    if inspection.bag.stated and inspection.bag.median < half:
        cons = (told("a bag that reaches {} leaks little", inspection.bag.median),)
    acts = "draws air in at any vacuum, the more the deeper"
    return Gate(room, void, radius, acts, cons=cons)


def starved(cause: Cause, inspection: Inspection) -> Gate:
    """Compare the clamp with what squeezes resin out, where it can leave."""
    void, radius = held(cause)
    trace = catalogue.signs().weight.ruled_out.si
    acts = "the more clamp and the longer before the gel, the more resin leaves"
    if inspection.job.layup.lets_gas_out is False and "bleed" not in inspection.seen:
        reason = "nothing on the bag side lets resin out"
        return Gate(trace, void, radius, acts, cons=(reason,))
    needed = clamp_needed(inspection)
    clamp = (
        needed if inspection.case.process.pressed else inspection.clamp
    )  # a press gives what it needs
    room = clamp / (clamp + needed) if needed > 0.0 else 0.5
    weak = f"a clamp of {mbar_up(clamp)} mbar squeezes little out"
    cons = (weak,) if inspection.bag.stated and clamp < 0.5 * needed else ()
    return Gate(max(room, trace), void, radius, acts, cons=cons)


def dry_fibre(cause: Cause, _scene: Inspection) -> Gate:
    """Leave it room: no figure of the case speaks against strands that stayed dry."""
    return Gate(1.0, *held(cause), acts="at any pressure")


def mat_binder(cause: Cause, inspection: Inspection) -> Gate:
    """Ask whether anything in the resin dissolves the binder of bound mat."""
    void, radius = held(cause)
    for part in inspection.case.resin.monomers:
        monomer = catalogue.volatile(part.volatile)
        if monomer.dissolves_polystyrene:
            return Gate(0.0, cons=(f"{monomer.title} dissolves the binder of mat",))
    cloth = inspection.seen.get("cloth")
    if cloth is not None and cloth != "chopped mat":
        return Gate(0.0, cons=(f"{cloth} cloth has no such binder",))
    bound = cloth is not None or "mat-binder" in inspection.seen
    room = 1.0 if bound else catalogue.signs().gate.unknown.si
    pros: tuple[str, ...] = ()
    if bound:
        pros = ("bound mat, in a resin with nothing in it that dissolves the binder",)
    return Gate(room, void, radius, "at any pressure", pros)


def bridging(cause: Cause, inspection: Inspection) -> Gate:
    """Leave it room where corners or a hollow sound were spoken of."""
    spoken = inspection.seen.get("where") == "in corners" or "tap" in inspection.seen
    room = 1.0 if spoken else catalogue.signs().gate.unknown.si
    return Gate(room, *held(cause), acts="as soon as the bag pulls tight over a corner")


def blushed_surface(_cause: Cause, inspection: Inspection) -> Gate:
    """Ask whether the surface cures slowly in damp air, or in any."""
    resin = inspection.case.resin
    if resin.family == "epoxy":
        wet, why = wetness(inspection)
        room = max(wet, catalogue.signs().gate.unknown.si)
        pros = (f"epoxy at {why}",) if wet > 0.5 else ()
        return Gate(room, acts="where slow amine meets damp, cold air", pros=pros)
    if resin.initiator == "peroxide":
        return Gate(1.0, acts="where air reaches a surface that cures slowly")
    return Gate(catalogue.signs().gate.unknown.si, acts="where air reaches the surface")


def shrinkage(cause: Cause, inspection: Inspection) -> Gate:
    """Compare what the family of resin shrinks by with what polyester does."""
    family = inspection.case.resin.family.replace(" ", "_")
    table = catalogue.signs().shrinkage
    number = getattr(table, family, table.epoxy)
    room = min(1.0, number.si / table.polyester.si)
    acts = f"as it cures and cools: about {number.si:.0%} of its volume goes"
    cons = ("epoxy shrinks little",) if family == "epoxy" else ()
    return Gate(room, *held(cause), acts=acts, cons=cons)


def core_gas(cause: Cause, inspection: Inspection) -> Gate:
    """Ask for a core, and how near it came to softening."""
    void, radius = held(cause)
    core, said = inspection.case.core, inspection.seen.get("core-kind")
    if said == "none" or (core is None and said is None and inspection.job.layup.plies):
        return Gate(0.0, cons=("there is no core",))
    room = 1.0 if core is not None or said is not None else catalogue.signs().gate.unknown.si
    acts = "pulled, or warmed: the gas of its cut cells leaves for as long"
    pros: tuple[str, ...] = ()
    cons: tuple[str, ...] = ()
    if core is not None and inspection.case.hottest_K > core.maximum_temperature.low_si:
        pros = (f"{core.title} softens and gives gas near this temperature",)
    return Gate(room, void, radius, acts, pros, cons)


def stripped(cause: Cause, inspection: Inspection) -> Gate:
    """Compare what sweeping air carries off with what the monomers push."""
    void, radius = held(cause)
    monomers = inspection.hot.nominal - inspection.hot.partial["water"]
    if monomers <= 0.0:
        return Gate(0.0, cons=("this resin has no monomer to lose",))
    if inspection.case.process.pressed:
        return Gate(0.0, cons=("a press has no bag to leak",))
    gate = catalogue.signs().gate
    share = np.minimum(1.0, monomers / inspection.bag.pressure)
    leaky = inspection.bag.pressure / (inspection.bag.pressure + gate.leaky.si)
    room = inspection.bag.mean(share / (share + gate.swept.si) * leaky)
    acts = (
        "every cubic metre of air swept through at bag pressure takes "
        f"{swept(inspection):.0f} g of monomer"
    )
    return Gate(room, void, radius, acts)


def front_too_fast(cause: Cause, inspection: Inspection) -> Gate:
    """Ask for a front of resin that can fill gaps before strands."""
    if not inspection.case.process.filled:
        return Gate(0.0, cons=("there is no resin front in this process",))
    return Gate(1.0, *held(cause), acts="where the gaps of the cloth fill before its strands")
