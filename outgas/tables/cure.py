"""The typed records behind data/cure.toml: what data sheets leave out of cure."""

import msgspec

from outgas.tables.number import How, Number


class CureGeneral(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The standard mass of data sheets, and what a gel needs to hold a bubble."""

    mass: Number
    temperature: Number
    cup_loss: Number
    modulus_over_pressure: Number
    after_gel: Number
    gel_reading: Number
    published_spread: Number


class CureFamily(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a data sheet does not print of a family of resins: rates, heat, thickening, gel."""

    activation_energy: Number
    order_m: Number
    order_n: Number
    start_ratio: Number
    heat: Number
    heat_capacity: Number
    conductivity: Number
    viscosity_energy: Number
    viscosity_exponent: Number
    modulus: Number
    modulus_exponent: Number
    gel_conversion: Number
    induction_energy: Number | None = None
    initiator_exponent: Number | None = None


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
