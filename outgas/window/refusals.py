"""What is refused, whatever the vacuum."""

from outgas import constants
from outgas.errors import RefusedError
from outgas.job.job import Job
from outgas.laminate.water import water_pressure
from outgas.tables import catalogue

REFUSED_MONOMER_FRACTION = 0.01  # of a monomer that dissolves polystyrene


def refuse(job: Job) -> None:
    """Raise RefusedError for what must not be done, whatever the vacuum."""
    found = reason(job)
    if found is not None:
        raise RefusedError(f"refused: {found}")


def reason(job: Job) -> str | None:
    """Return why it must not be done, whatever the vacuum; None where nothing forbids it."""
    resin, shop, core = job.resin, job.shop, job.layup.core
    zero = constants.ZERO_CELSIUS_K
    if core is not None and core.polystyrene:
        for part in resin.monomers:
            monomer = catalogue.volatile(part.volatile)
            if monomer.dissolves_polystyrene and part.fraction.si >= REFUSED_MONOMER_FRACTION:
                return (
                    f"the {monomer.title} in {resin.title} dissolves {core.title}; take "
                    "an epoxy, or a PVC, PET or SAN foam"
                )
    coldest = min(shop.temperature_K, shop.tool_temperature_K)
    least = resin.minimum_temperature.si - zero
    if coldest - zero < least:
        return (
            f"{coldest - zero:.1f} degC is below the {least:.0f}"
            f" degC that {resin.title} needs; warm the shop, the tool and the resin first"
        )
    if shop.tool_temperature_K < shop.temperature_K:
        wet = water_pressure(shop.temperature_K) / water_pressure(shop.tool_temperature_K)
        if shop.humidity * wet > 1.0:
            return (
                f"the tool at {shop.tool_temperature_K - zero:.1f} degC is below the dew "
                f"point of the shop's air ({shop.humidity:.0%} at {shop.temperature_K - zero:.1f} "
                "degC); water condenses on it: warm the tool or dry the air"
            )
    return None
