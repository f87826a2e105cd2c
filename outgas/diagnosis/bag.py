"""What was seen says of the bag, and what the bag says of the resin."""

import dataclasses

import numpy as np

from outgas.diagnosis.case import Inspection
from outgas.diagnosis.causes import gate_of
from outgas.diagnosis.weights import Entry, likelihood, weight_of_unlisted
from outgas.job.job import Job
from outgas.job.told_pressure import DEEPEST_PA, ToldPressure, certain
from outgas.show.report import Line, joined
from outgas.tables import catalogue
from outgas.window.window import autoclave_pressure

BAG_POINTS = 21  # pressures at which what was seen is weighed anew


def pressure_in_resin(job: Job, bag: ToldPressure) -> ToldPressure:
    """Return the pressure in the resin: the bag's, once resin can bleed or meets the vent."""
    here = job.shop.barometer_Pa
    if job.process.preimpregnated:
        here += autoclave_pressure(job)
        return certain(here, "the air on the bag, carried by the resin")
    if job.process.pressed:
        return certain(here, "the air; a press adds what the fibres do not carry")
    return bag


def causes_with_room(inspection: Inspection) -> tuple[list[Entry], dict[str, Line]]:
    """Return the causes that the physics leaves room for, and why the others are ruled out."""
    entries: list[Entry] = []
    ruled_out: dict[str, Line] = {}
    for cause in catalogue.signs().cause.values():
        gate = gate_of(cause, inspection)
        if gate.room <= 0.0:
            ruled_out[cause.name] = joined(gate.cons, "; ")
        else:
            entries.append(Entry(cause, gate, cause.prior.si * gate.room))
    return entries, ruled_out


def agreement_of_bag(inspection: Inspection) -> tuple[tuple[float, float], ...]:
    """Return how well each bag pressure [Pa] agrees with what was seen; the best is 1.

    Empty where the bag does not set the pressure in the resin.
    """
    case = inspection.case
    if not case.process.bag_sets_resin:
        return ()
    trust, other = catalogue.signs().weight.trust.si, weight_of_unlisted(case.resin)
    found = []
    for p in np.geomspace(DEEPEST_PA, case.barometer_Pa, BAG_POINTS):
        there = certain(float(p), "")
        entries, _ = causes_with_room(dataclasses.replace(inspection, bag=there, resin=there))
        found.append((float(p), likelihood(entries, inspection.seen, trust, other)))
    best = max(weight for _, weight in found)
    return tuple((p, weight / best) for p, weight in found)
