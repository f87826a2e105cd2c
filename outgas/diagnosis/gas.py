"""How gas is counted in an inspected laminate: its voids, their size, how surely they show.

All of it by the gas balance of the limits (laminate/gas/balance.py), along the course that the
laminate went through; a cause alone is that course with the gas of the others left out.
"""

import dataclasses
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas.diagnosis.case import Inspection
from outgas.diagnosis.diagnosis import Span
from outgas.laminate import whiteness
from outgas.laminate.course import Course
from outgas.laminate.gas.held import SPHERE, Outcome, void_fraction
from outgas.laminate.gas.pot import seeds
from outgas.laminate.vapour import Vapour
from outgas.tables import catalogue
from outgas.tables.causes import Cause

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

LEAST_SHOWN = 1e-4  # share of voids below which none is worth naming
DENSEST_GAS = whiteness.DENSEST / (1.0 - whiteness.DENSEST)  # the same per volume of resin
POCKETS = "spacing_m"  # what the number of bubbles hangs on where they start between filaments
STIRRED_IN = "entrained_radius_m"  # and where they were stirred in
DRY = Vapour({}, 0.0, 0.0)


def held(cause: Cause) -> tuple[Span, Span]:
    """Return void and radius as the table has them."""
    assert cause.void is not None
    assert cause.radius is not None
    return (
        (cause.void.low_si, cause.void.high_si),
        (cause.radius.low_si, cause.radius.high_si),
    )


def with_gas(course: Course, **changes: Any) -> Course:
    """Return a course that starts from other numbers of its gas."""
    known = course.known
    return course.but(
        known=dataclasses.replace(known, gas=dataclasses.replace(known.gas, **changes))
    )


def pushed_by(course: Course, now: Vapour, hot: Vapour) -> Course:
    """Return a course under other vapours, early and at its warmest."""
    return course.but(now=now, hot=hot)


def air_alone(course: Course) -> Course:
    """Return a course with the dissolved air only: nothing stirred in, no vapour, no warmth."""
    air = with_gas(course, entrained=0.0, initiator_gas=0.0)
    return pushed_by(air, DRY, DRY).but(expansion=1.0)


def stirred_in_alone(course: Course) -> Course:
    """Return a course in which bubbles that were stirred in swell, and nothing else happens."""
    swells = with_gas(course, solubility=0.0, spacing_m=np.inf, initiator_gas=0.0)
    return pushed_by(swells, DRY, DRY).but(expansion=1.0)


def initiator_alone(course: Course) -> Course:
    """Return a course in which the initiator gives gas to resin that holds all it can.

    So none of it dissolves; and it comes off everywhere, from all pockets.
    """
    made = catalogue.gas().initiator["ordinary"]
    froths = with_gas(
        course,
        entrained=0.0,
        solubility=0.0,
        exponent=0.0,
        initiator_gas=made.gas.si,
        initiator_half_time_s=made.half_time.si,
    )
    return pushed_by(froths, DRY, DRY)


def gas_of(inspection: Inspection, outcome: Outcome) -> tuple["Floats", "Floats"]:
    """Return the void fraction of the laminate and the radius of its bubbles [m]."""
    void = outcome.void_fraction(inspection.case.fibre_fraction)
    stirred_in, size = catalogue.practice().margins.entrained, catalogue.gas().laminate
    fewest = stirred_in.low_si * seeds(size.entrained_radius.high_si)
    V = np.clip(outcome.gas_per_resin, LEAST_SHOWN, DENSEST_GAS)
    each = V / (SPHERE * np.maximum(outcome.nuclei, fewest))
    return void, np.asarray(np.cbrt(each))


def sizes(
    inspection: Inspection, course: Course, pressures: "Floats", hang_on: str = POCKETS
) -> Span:
    """Return the radii [m] of bubbles at pressures, from least to most.

    hang_on: the number of the gas that decides how many there are, moved to its ends.
    """
    ends = (getattr(course.known.gas, hang_on), *course.known.ends.get(hang_on, ()))
    moved = with_gas(course, **{hang_on: np.array(ends)[:, None]})
    _, radii = gas_of(inspection, moved.outcome(pressures))
    return float(np.min(radii)), float(np.max(radii))


def seen_surely(inspection: Inspection, void: "Floats", radius: "Floats") -> float:
    """Return how surely gas at the belief's pressures would be noticed."""
    shown = whiteness.shows(np.minimum(void, 1.0), radius, inspection.thickness, inspection.index)
    return inspection.resin.mean(shown)


def noticed(inspection: Inspection, course: Course) -> float:
    """Return how surely what a course makes at the belief's pressures would be noticed."""
    return seen_surely(inspection, *gas_of(inspection, course.outcome(inspection.resin.pressure)))


def middle(inspection: Inspection) -> "Floats":
    """Return the two ends of the middle of what is believed of the resin's pressure [Pa]."""
    return np.asarray(inspection.resin.interval)


def ordered(ends: "Floats") -> Span:
    """Return two ends, the smaller first."""
    low, high = sorted(float(end) for end in ends)
    return low, high


def would_make(inspection: Inspection, course: Course, hang_on: str = POCKETS) -> tuple[Span, Span]:
    """Return voids and radii [m] of a course at the ends of the middle of the belief."""
    p = middle(inspection)
    void, _ = gas_of(inspection, course.outcome(p))
    return ordered(void), sizes(inspection, course, p, hang_on)


def added(inspection: Inspection, soiled: Course, clean: Course, pressures: "Floats") -> "Floats":
    """Return the voids that a vapour adds: soiled has it, clean is the same course without it.

    Never less than its share of each bubble: where gas over what is trapped leaves, the bubbles
    are no larger for it, yet hold it. A boil that it brings about is all its own.
    """
    full, without = soiled.outcome(pressures), clean.outcome(pressures)
    V, less = (np.where(full.boiled, 0.0, one.gas_per_resin) for one in (full, without))
    push = soiled.hot.nominal - clean.hot.nominal
    more = np.maximum(np.minimum(1.0, push / pressures) * V, V - less)
    more = np.where(full.boiled, full.gas_per_resin, more)
    return void_fraction(more, inspection.case.fibre_fraction)
