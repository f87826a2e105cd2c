"""What is refused, whatever the vacuum."""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.errors import RefusedError
from outgas.job.job import Job
from outgas.laminate.water import condenses_from, water
from outgas.physics import saturation
from outgas.show.amounts import celsius
from outgas.tables import catalogue

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Flags: TypeAlias = NDArray[np.bool_]

REFUSED_MONOMER_FRACTION = 0.01  # of a monomer that dissolves polystyrene, or may be


def refuse(job: Job) -> None:
    """Raise RefusedError for what must not be done, whatever the vacuum, all reasons at once."""
    found = reasons(job)
    if found:
        raise RefusedError(f"refused: {'; and '.join(found)}")


def reasons(job: Job) -> tuple[str, ...]:
    """Return every reason why it must not be done, whatever the vacuum."""
    found = (_dissolves(job), _too_cold(job), _below_dew(job))
    return tuple(text for text in found if text)


def refused_where(job: Job, air_K: "Floats", tool_K: "Floats", humidity: "Floats") -> "Flags":
    """Return where a job must not be done, for many shops: the same reasons, on arrays."""
    if _dissolves(job):
        return np.ones(air_K.shape, dtype=bool)
    curve = water().curve
    wet = humidity * saturation.pressure(curve, air_K) / saturation.pressure(curve, tool_K)
    cold = np.minimum(air_K, tool_K) < job.resin.minimum_temperature.si
    return np.asarray(cold | ((tool_K < air_K) & (wet > 1.0)))


def _dissolves(job: Job) -> str:
    """Say which monomer dissolves the core."""
    resin, core = job.resin, job.layup.core
    if core is None or not core.polystyrene:
        return ""
    for part, monomer in zip(resin.monomers, catalogue.monomers(resin), strict=True):
        if monomer.dissolves_polystyrene and part.fraction.high_si >= REFUSED_MONOMER_FRACTION:
            return (
                f"the {monomer.title} in {resin.title} dissolves {core.title}; take "
                "an epoxy, or a PVC, PET or SAN foam"
            )
    return ""


def _too_cold(job: Job) -> str:
    """Say what the resin needs where shop or tool is colder than its sheet allows."""
    coldest = min(job.shop.temperature_K, job.shop.tool_temperature_K)
    least = job.resin.minimum_temperature.si
    if coldest >= least:
        return ""
    return (
        f"{celsius(coldest, 1)} is below the {celsius(least)} that {job.resin.title} needs; warm "
        "the shop, the tool and the resin first"
    )


def _below_dew(job: Job) -> str:
    """Say where the dew point lies that the tool is below."""
    shop = job.shop
    dew = condenses_from(shop.humidity, shop.temperature_K, shop.tool_temperature_K)
    if dew is None:
        return ""
    return (
        f"the tool at {celsius(shop.tool_temperature_K, 1)} is below the dew point of the shop's "
        f"air, {celsius(dew, 1)} ({shop.humidity:.0%} at {celsius(shop.temperature_K, 1)}); water "
        "condenses on it: warm the tool or dry the air"
    )
