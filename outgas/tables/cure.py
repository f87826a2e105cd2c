"""The typed records behind data/cure.toml: what data sheets leave out of cure."""

from typing import Annotated

import msgspec

from outgas.tables.number import How, Number, Plausible


class CureGeneral(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The standard mass of data sheets, and what a gel needs to hold a bubble."""

    mass: Annotated[Number, Plausible("kg", 0.001, 100.0)]
    temperature: Annotated[Number, Plausible("K", 250.0, 400.0)]
    cup_loss: Annotated[Number, Plausible("W/K", 0.0, 100.0)]
    modulus_over_pressure: Annotated[Number, Plausible("", 0.1, 100.0)]
    after_gel: Annotated[Number, Plausible("", 0.0, 0.9)]
    gel_reading: Annotated[Number, Plausible("", 0.0, 1.0)]
    published_spread: Annotated[Number, Plausible("", 0.0, 0.9)]


class CureFamily(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a sheet does not print of a family of resins: rates, heat, thickening, gel, glass."""

    activation_energy: Annotated[Number, Plausible("J/mol", 0.0, 300000.0)]
    order_m: Annotated[Number, Plausible("", 0.0, 5.0)]
    order_n: Annotated[Number, Plausible("", 0.0, 5.0)]
    start_ratio: Annotated[Number, Plausible("", 0.0, 10.0)]
    heat: Annotated[Number, Plausible("J/kg", 0.0, 2000000.0)]
    heat_capacity: Annotated[Number, Plausible("J/(kg K)", 100.0, 5000.0)]
    heat_capacity_slope: Annotated[Number, Plausible("J/(kg K2)", 0.0, 20.0)]
    conductivity: Annotated[Number, Plausible("W/(m K)", 0.005, 500.0)]
    viscosity_energy: Annotated[Number, Plausible("J/mol", 0.0, 300000.0)]
    viscosity_exponent: Annotated[Number, Plausible("", 0.0, 20.0)]
    modulus: Annotated[Number, Plausible("Pa", 1000.0, 10000000000.0)]
    modulus_exponent: Annotated[Number, Plausible("", 0.5, 6.0)]
    gel_conversion: Annotated[Number, Plausible("", 0.001, 0.95)]
    glass_fresh: Annotated[Number, Plausible("K", 100.0, 400.0)]
    glass_full: Annotated[Number, Plausible("K", 250.0, 650.0)]
    glass_lambda: Annotated[Number, Plausible("", 0.05, 1.0)]
    induction_energy: Annotated[Number, Plausible("J/mol", 0.0, 300000.0)] | None = None
    initiator_exponent: Annotated[Number, Plausible("", 0.0, 2.0)] | None = None
    cup_loss: Annotated[Number, Plausible("W/K", 0.0, 100.0)] | None = None


class PublishedRates(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A published rate law of the form of Lee, Loos and Springer."""

    source: str
    how: How
    factors_per_min: tuple[float, float, float]
    energies_J_per_mol: tuple[float, float, float]
    limit: float
    switch: float


class CureTable(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All of data/cure.toml."""

    general: CureGeneral
    family: dict[str, CureFamily]
    published: dict[str, PublishedRates]
