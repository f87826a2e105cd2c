"""How gas is counted in an inspected laminate: its voids, their size, how surely they show.

Gas is counted in a closed cell, with the share kept that the process's record says; the size of
bubbles follows from how many there are (nuclei), or is the table's own.
"""

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.diagnosis.case import JUST_ABOVE, Inspection
from outgas.diagnosis.diagnosis import Span
from outgas.laminate import whiteness
from outgas.laminate.vapour import vapour
from outgas.physics import air
from outgas.tables.causes import Cause

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

LEAST_SHOWN = 1e-4  # share of voids below which none is worth naming
LEAST_GAS = 1e-9  # so that a bubble has a size


def held(cause: Cause) -> tuple[Span, Span]:
    """Return void and radius as the table has them."""
    assert cause.void is not None
    assert cause.radius is not None
    return (
        (cause.void.low_si, cause.void.high_si),
        (cause.radius.low_si, cause.radius.high_si),
    )


def kept(inspection: Inspection, volume: "Floats") -> "Floats":
    """Return the void fraction that gas per volume of resin makes, of which a share stays."""
    return np.asarray(air.void_fraction(inspection.case.gas_kept * volume))


def gas(
    inspection: Inspection, p: "Floats", p_v: float, entrained: float, dissolved: float
) -> "Floats":
    """Return gas per volume of resin in a closed cell; just above p_v where p is at or below it."""
    case = inspection.case
    cool = vapour(case, case.shop_K).nominal
    at = np.maximum(p, JUST_ABOVE * p_v)
    cell = air.ClosedCell(
        solubility=case.resin.air_solubility.si,
        air_Pa=dissolved,
        entrained=entrained,
        mixed_vapour_Pa=cool,
        mixed_Pa=case.barometer_Pa,
        mixed_K=case.shop_K,
    )
    return np.asarray(air.gas_per_resin(cell, at, p_v, case.hottest_K))


def radius_of(void: "Floats | float", nuclei: float) -> "Floats":
    """Return the radius [m] of equal bubbles, so many per volume, that make a void fraction."""
    gas = np.clip(void, LEAST_GAS, whiteness.DENSEST)
    return np.asarray((3.0 * gas / (4.0 * math.pi * nuclei)) ** (1.0 / 3.0))


def sizes(cause: Cause, void: Span) -> Span:
    """Return the radii [m] that a void fraction makes of the cause's nuclei: from least to most."""
    assert cause.nuclei is not None
    least = max(void[0], LEAST_SHOWN)
    most = max(void[1], LEAST_SHOWN)
    return (
        float(radius_of(least, cause.nuclei.high_si)),
        float(radius_of(most, cause.nuclei.low_si)),
    )


def noticed(cause: Cause, inspection: Inspection, void: "Floats") -> float:
    """Return how surely gas of these shares, at the belief's pressures, would be noticed."""
    assert cause.nuclei is not None
    radius = radius_of(void, cause.nuclei.si)
    return inspection.resin.mean(
        whiteness.shows(np.minimum(void, 1.0), radius, inspection.thickness, inspection.index)
    )


def span(inspection: Inspection, void_at: Callable[["Floats"], "Floats"]) -> Span:
    """Return void fractions at the two ends of the middle of the belief, the smaller first."""
    ends = sorted(float(v) for v in void_at(np.asarray(inspection.resin.interval)))
    return ends[0], ends[1]
