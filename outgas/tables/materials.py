"""The typed records of materials: resins, cloth, cores, consumables, tools.

A record checks itself when it is made; units and plausible ranges are checked by check_fields of
number.py.
"""

from typing import Annotated, Literal

import msgspec

from outgas.tables.number import Named, Number, Plausible

FRACTION_TOLERANCE = 0.005  # fractions are printed to half a per cent


class Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One part of a resin by mass: the prepolymer, or a volatile dissolved in it."""

    fraction: Annotated[Number, Plausible("", 0.0, 1.0)]
    name: str = ""
    volatile: str = ""
    density: Annotated[Number, Plausible("kg/m3", 5.0, 9000.0)] | None = None
    molar_mass: Annotated[Number, Plausible("kg/mol", 0.001, 10000.0)] | None = None
    chi: Annotated[Number, Plausible("", -3.0, 3.0)] | None = None
    volatile_digest: str = ""  # of a user's own file, so that an edited one is another part

    def __post_init__(self) -> None:
        if bool(self.name) == bool(self.volatile):
            raise ValueError("a part has either a name ('prepolymer') or a volatile")
        if self.name and (self.density is None or self.molar_mass is None):
            raise ValueError(f"part {self.name!r} needs density and molar_mass")
        if self.volatile and self.volatile != "water" and self.chi is None:
            raise ValueError(f"part {self.volatile!r} needs chi")


class Resin(Named, frozen=True, kw_only=True, cache_hash=True):
    """A resin system as its data sheet describes it, and what the models need beside."""

    title: str
    family: str
    initiator: Literal["peroxide", "acid", "none"]
    processes: tuple[str, ...]
    minimum_temperature: Annotated[Number, Plausible("K", 250.0, 400.0)]
    air_solubility: Annotated[Number, Plausible("", 0.0, 2.0)]
    water_activity: Annotated[Number, Plausible("", 0.0, 1.0)]
    density: Annotated[Number, Plausible("kg/m3", 5.0, 9000.0)]
    viscosity: Annotated[Number, Plausible("Pa s", 0.0001, 100000.0)]
    part: tuple[Part, ...]
    promoter: bool = False
    note: str = ""
    reaction_gas: str = ""
    gel_time: Annotated[Number, Plausible("s", 1.0, 1000000.0)] | None = None
    gel_of: Literal["cup", "film"] = "cup"
    gel_temperature: Annotated[Number, Plausible("K", 250.0, 600.0)] | None = None
    heat: Annotated[Number, Plausible("J/kg", 0.0, 2000000.0)] | None = None
    published: str = ""
    initiator_level: Annotated[Number, Plausible("", 0.0, 0.2)] | None = None
    time_to_peak: Annotated[Number, Plausible("s", 1.0, 1000000.0)] | None = None
    peak_temperature: Annotated[Number, Plausible("K", 250.0, 700.0)] | None = None
    gel_conversion: Annotated[Number, Plausible("", 0.001, 0.95)] | None = None
    cure_temperature: Annotated[Number, Plausible("K", 250.0, 620.0)] | None = None
    post_cure_temperature: Annotated[Number, Plausible("K", 250.0, 620.0)] | None = None
    applied_pressure: Annotated[Number, Plausible("Pa", 0.0, 5000000.0)] | None = None

    def __post_init__(self) -> None:
        total = sum(part.fraction.si for part in self.part)
        if abs(total - 1.0) > FRACTION_TOLERANCE:
            raise ValueError(f"the fractions of its parts sum to {total:.1%}, not 100 %")
        if sum(1 for part in self.part if part.name) != 1:
            raise ValueError("one part, and only one, is the prepolymer")

    @property
    def prepolymer(self) -> Part:
        """The part that cannot boil."""
        return next(part for part in self.part if part.name)

    @property
    def monomers(self) -> tuple[Part, ...]:
        """The volatile parts, water left out: its activity is given, not computed."""
        return tuple(p for p in self.part if p.volatile and p.volatile != "water")


class Reinforcement(Named, frozen=True, kw_only=True):
    """A fabric: what its fibres weigh and how densely it packs under a bag."""

    title: str
    words: tuple[str, ...]
    fibre_density: Annotated[Number, Plausible("kg/m3", 500.0, 5000.0)]
    fibre_fraction: Annotated[Number, Plausible("", 0.02, 0.9)]
    compaction_a: Annotated[Number, Plausible("", 0.0, 1.0)]
    compaction_b: Annotated[Number, Plausible("", 0.0, 1.0)]
    fibre_diameter: Annotated[Number, Plausible("m", 1e-06, 0.001)]
    fibre_conductivity: Annotated[Number, Plausible("W/(m K)", 0.005, 500.0)]
    heat_capacity: Annotated[Number, Plausible("J/(kg K)", 100.0, 5000.0)]


class Core(Named, frozen=True, kw_only=True):
    """A core material: what crushes it and what attacks it.

    kind: of which there are several records, one for each density. offered: whether it is named to
    a builder who needs a stronger core; a honeycomb is not, for resin runs into its cells.
    """

    title: str
    words: tuple[str, ...]
    kind: str = ""
    honeycomb: bool = False
    offered: bool = True
    polystyrene: bool
    wood: bool
    density: Annotated[Number, Plausible("kg/m3", 5.0, 9000.0)]
    compressive_strength: Annotated[Number, Plausible("Pa", 1000.0, 1000000000.0)]
    creep_factor: Annotated[Number, Plausible("", 0.01, 1.0)]
    maximum_temperature: Annotated[Number, Plausible("K", 250.0, 700.0)]
    conductivity: Annotated[Number, Plausible("W/(m K)", 0.005, 500.0)]
    heat_capacity: Annotated[Number, Plausible("J/(kg K)", 100.0, 5000.0)]
    clamp_needed: Annotated[Number, Plausible("Pa", 0.0, 1000000.0)] | None = None


class Consumable(Named, frozen=True, kw_only=True):
    """What lies between laminate and bag."""

    title: str
    words: tuple[str, ...]
    passes_gas: bool
    areal_mass: Annotated[Number, Plausible("kg/m2", 0.0, 50.0)]
    thickness: Annotated[Number, Plausible("m", 0.0, 1.0)]
    conductivity: Annotated[Number, Plausible("W/(m K)", 0.005, 500.0)]
    heat_capacity: Annotated[Number, Plausible("J/(kg K)", 100.0, 5000.0)]
    resin_uptake: Annotated[Number, Plausible("kg/m2", 0.0, 10.0)] | None = None
    fibre_density: Annotated[Number, Plausible("kg/m3", 500.0, 5000.0)] | None = None


class Tool(Named, frozen=True, kw_only=True):
    """What a panel is laid up on: how it holds and passes heat."""

    title: str
    words: tuple[str, ...]
    density: Annotated[Number, Plausible("kg/m3", 5.0, 9000.0)]
    conductivity: Annotated[Number, Plausible("W/(m K)", 0.005, 500.0)]
    heat_capacity: Annotated[Number, Plausible("J/(kg K)", 100.0, 5000.0)]
    maximum_temperature: Annotated[Number, Plausible("K", 250.0, 700.0)]


class Reference(Named, frozen=True, kw_only=True):
    """A source of numbers."""

    author: str
    year: str
    title: str
    kind: Literal["paper", "standard", "library", "trade", "practice", "memory", "judgement"]
    note: str = ""


class Transport(Named, frozen=True, kw_only=True):
    """Diffusion, water uptake, surface tension, and the index of refraction."""

    title: str
    air_diffusivity: Annotated[Number, Plausible("m2/s", 1e-14, 1e-08)]
    monomer_diffusivity: Annotated[Number, Plausible("m2/s", 1e-14, 1e-08)]
    water_diffusivity: Annotated[Number, Plausible("m2/s", 1e-14, 1e-08)]
    diffusion_energy: Annotated[Number, Plausible("J/mol", 0.0, 200000.0)]
    water_saturation: Annotated[Number, Plausible("", 1e-05, 1.0)]
    surface_tension: Annotated[Number, Plausible("N/m", 0.005, 0.1)]
    refractive_index: Annotated[Number, Plausible("", 1.3, 1.8)]
