"""The resin as it lies in this shop: what is in it, how wet it may be, under which air."""

import dataclasses
from dataclasses import dataclass

from outgas.job.job import Job
from outgas.tables.materials import Core, Resin
from outgas.tables.practice import Process
from outgas.tables.volatiles import Volatile

STATED_CONFIDENCE = 0.95  # of every uncertainty in the tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Liquid:
    """All that the vapours over a resin depend on; SI floats, temperatures in K.

    k: how many 95 % half-widths the confidence asked for is. dried_s: how long prepreg stood under
    full vacuum before its heat [s], None where it did not.
    """

    resin: Resin
    process: Process
    shop_K: float
    tool_K: float
    humidity: float
    barometer_Pa: float
    given_water: float | None
    contaminants: tuple[tuple[Volatile, float], ...]
    core: Core | None
    k: float = 1.0
    dried_s: float | None = None
    core_moisture: float | None = None  # of the core's dry mass; None where it was not said

    @property
    def base_K(self) -> float:
        """The warmer of air and tool [K]."""
        return max(self.shop_K, self.tool_K)


def liquid_of(job: Job) -> Liquid:
    """Return the resin of a job as it lies in its shop."""
    return Liquid(
        resin=job.resin,
        process=job.process,
        shop_K=job.shop.temperature_K,
        tool_K=job.shop.tool_temperature_K,
        humidity=job.shop.humidity,
        barometer_Pa=job.shop.barometer_Pa,
        given_water=job.water,
        contaminants=job.contaminants,
        core=job.layup.core,
        k=confidence_factor(job.confidence),
        dried_s=job.dried_s,
        core_moisture=job.layup.core_moisture,
    )


def at_stated_confidence(liquid: Liquid) -> Liquid:
    """Return the liquid with every number at its 95 % end, whatever confidence was asked for."""
    return dataclasses.replace(liquid, k=1.0)


def confidence_factor(confidence: float) -> float:
    """Return how many 95 % half-widths a two-sided confidence is."""
    if confidence == STATED_CONFIDENCE:
        return 1.0
    from statistics import NormalDist

    normal = NormalDist()
    return normal.inv_cdf(0.5 + 0.5 * confidence) / normal.inv_cdf(0.5 + 0.5 * STATED_CONFIDENCE)
