"""All that the limits depend on, in SI floats, so that one input can be moved and the rest kept."""

import dataclasses
from dataclasses import dataclass

from outgas.physics.chance import Band
from outgas.tables.materials import Core, Resin, Volatile
from outgas.tables.practice import Process

STATED_CONFIDENCE = 0.95  # of every uncertainty in the tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """All that the limits depend on; SI floats, temperatures in K."""

    resin: Resin
    process: Process
    shop_K: float
    tool_K: float
    hottest_K: float
    hottest_high_K: float
    humidity: float
    barometer_Pa: float
    given_water: float | None
    contaminants: tuple[tuple[Volatile, float], ...]
    entrained: Band
    dissolved_Pa: Band
    gas_kept: float
    void_target: float
    vapour_share: float
    core: Core | None
    k: float = 1.0
    early_K: float = 0.0  # the warmest while the pressure may still be changed; 0 if not known

    def but(self, **changes: object) -> "Case":
        """Return this case with some inputs changed."""
        return dataclasses.replace(self, **changes)  # type: ignore[arg-type]


def confidence_factor(confidence: float) -> float:
    """Return how many 95 % half-widths a two-sided confidence is."""
    if confidence == STATED_CONFIDENCE:
        return 1.0
    from statistics import NormalDist

    normal = NormalDist()
    return normal.inv_cdf(0.5 + 0.5 * confidence) / normal.inv_cdf(0.5 + 0.5 * STATED_CONFIDENCE)
