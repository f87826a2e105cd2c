"""How fast resin bleeds through a laminate, and what that leaves to the resin of prepreg."""

import numpy as np

from outgas.laminate.prepreg import ResinPressure
from outgas.physics import bed
from outgas.physics.cure import arrhenius
from outgas.plan.basis import Ground
from outgas.plan.stage import Stage
from outgas.tables import catalogue, rates
from outgas.window.limits import core_limit
from outgas.window.prepreg import outside, resin_of

SHORTEST_S = 1e-6  # of a bleed: one without plies is over at once


def bed_viscosity(eta: float, E: float, T: float) -> float:
    """Return the viscosity of fresh resin at T [Pa s]."""
    return eta / float(arrhenius(E, T))


def bleed_times(
    g: Ground, T: float | None = None, clamp: float | None = None
) -> tuple[float, float]:
    """Return how long resin takes to bleed through the laminate [s], quick and slow ends.

    At the shop's warmth under the debulk, unless a temperature [K] and a clamp [Pa] are named.
    """
    resin, kozeny = g.job.resin, catalogue.practice().bed.kozeny
    family, T = rates.family_of(resin), g.base if T is None else T
    clamp = max(g.here - g.debulk.hold if clamp is None else clamp, 1.0)
    ends = []
    for k, eta in (
        (kozeny.low_si, resin.viscosity.low_si),
        (kozeny.high_si, resin.viscosity.high_si),
    ):
        warm = bed_viscosity(eta, family.viscosity_energy.si, T)
        total = 0.0
        for ply in g.job.layup.plies:
            cloth = ply.fabric
            K = float(bed.permeability(cloth.fibre_diameter.si, k, cloth.fibre_fraction.si))
            total += float(
                np.sqrt(bed.bleed_time(ply.thickness, warm, K, clamp, cloth.compaction_b.si))
            )
        ends.append(total**2)
    return ends[0], ends[1]


def consolidation(g: Ground, until: float) -> float:
    """Return the most that prepreg can have consolidated by a time [s] from the oven's start.

    As fresh resin, at the quick end, in the warmth it had; under the hold before the oven too.
    """
    clamp = outside(g.job) - core_limit(g.case)[1]

    def rate(T: float) -> float:
        return 1.0 / max(bleed_times(g, T, clamp)[0], SHORTEST_S)

    tau = (g.job.dried_s or 0.0) * rate(g.base)
    if g.warming is None:
        return float(bed.consolidated(tau + until * rate(g.base)))
    run = g.warming.run
    t = np.append(run.t[run.t < until], until)
    T = np.interp(t, run.t, run.T[run.reacts].max(axis=0))
    rates_now = np.array([rate(float(x)) for x in T])
    return float(bed.consolidated(tau + float(np.trapezoid(rates_now, t))))


def resin_in(g: Ground, stage: Stage) -> ResinPressure:
    """Return the pressure in prepreg's resin at the end of a stage of its oven [Pa], with its ends.

    In the cure a bed that bleeds has come to its end: how far it gets is in its range.
    """
    return resin_by(g, stage.kind, stage.end_s)


def resin_by(g: Ground, kind: str, end_s: float) -> ResinPressure:
    """Return the same of a stage that is still to be laid out, by its kind and its end [s]."""
    U = 1.0 if kind == "cure" else consolidation(g, end_s)
    return resin_of(g.job, g.case, U)
