"""What is refused, whatever the vacuum."""

from outgas.errors import RefusedError
from outgas.job.job import Job
from outgas.laminate.water import water_pressure
from outgas.show.amounts import celsius
from outgas.tables import catalogue

REFUSED_MONOMER_FRACTION = 0.01  # of a monomer that dissolves polystyrene


def refuse(job: Job) -> None:
    """Raise RefusedError for what must not be done, whatever the vacuum."""
    resin, shop, core = job.resin, job.shop, job.layup.core
    if core is not None and core.polystyrene:
        for part in resin.monomers:
            monomer = catalogue.volatile(part.volatile)
            if monomer.dissolves_polystyrene and part.fraction.si >= REFUSED_MONOMER_FRACTION:
                raise RefusedError(
                    f"refused: the {monomer.title} in {resin.title} dissolves {core.title}; take "
                    "an epoxy, or a PVC, PET or SAN foam"
                )
    coldest = min(shop.temperature_K, shop.tool_temperature_K)
    if coldest < resin.minimum_temperature.si:
        raise RefusedError(
            f"refused: {celsius(coldest, 1)} is below the {celsius(resin.minimum_temperature.si)} "
            f"that {resin.title} needs; warm the shop, the tool and the resin first"
        )
    if shop.tool_temperature_K < shop.temperature_K:
        wet = water_pressure(shop.temperature_K) / water_pressure(shop.tool_temperature_K)
        if shop.humidity * wet > 1.0:
            raise RefusedError(
                f"refused: the tool at {celsius(shop.tool_temperature_K, 1)} is below the dew "
                f"point of the shop's air ({shop.humidity:.0%} at "
                f"{celsius(shop.temperature_K, 1)}); water condenses on it: warm the tool or dry "
                "the air"
            )
