"""The typed records behind the tables about pumps, holes, plates and leaks."""

from typing import Annotated, Literal

import msgspec

from outgas.tables.number import Named, Number, Plausible


class Pump(Named, frozen=True, kw_only=True):
    """A kind of pump: what it reaches, and how its speed falls on the way there."""

    title: str
    words: tuple[str, ...]
    ultimate: Annotated[Number, Plausible("Pa", 0.0001, 100000.0)]
    roll_off: Annotated[Number, Plausible("", 0.5, 5.0)]


class Hole(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A hole that can be had: its bore and, for a needle, its length."""

    name: str
    kind: Literal["drill", "welding tip", "needle"]
    bore: Annotated[Number, Plausible("m", 1e-05, 0.1)]
    length: Annotated[Number, Plausible("m", 0.0001, 1.0)] | None = None


class Weight(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something heavy in the shop."""

    name: str
    material_density: Annotated[Number, Plausible("kg/m3", 100.0, 25000.0)]


class LeakRule(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How fast a shut bag may lose vacuum in one process, as shops say it."""

    rule_rise: Annotated[Number, Plausible("Pa/s", 0.001, 1000.0)]


class RigFigures(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Figures about holes, plates, bags and leaks."""

    discharge: Annotated[Number, Plausible("", 0.1, 1.0)]
    displacement_share: Annotated[Number, Plausible("", 0.05, 1.5)]
    worn_share: Annotated[Number, Plausible("", 0.05, 1.0)]
    bore_error: Annotated[Number, Plausible("m", 0.0, 0.01)]
    seat_excess: Annotated[Number, Plausible("m", 0.0, 0.02)]
    mass_error: Annotated[Number, Plausible("", 0.0, 0.5)]
    sticking: Annotated[Number, Plausible("Pa", 0.0, 20000.0)]
    breather_depth: Annotated[Number, Plausible("m", 0.0, 0.1)]
    pot_volume: Annotated[Number, Plausible("m3", 0.0, 1.0)]
    rule_volume: Annotated[Number, Plausible("m3", 0.0001, 1.0)]
    rule_area: Annotated[Number, Plausible("m2", 0.01, 100.0)]
    pressure_given_up: Annotated[Number, Plausible("Pa", 0.0, 10000.0)]
    silicone_permeation: Annotated[Number, Plausible("Pa m3/s", 0.0, 10.0)]
    silicone_thickness: Annotated[Number, Plausible("m", 1e-05, 0.1)]
    pinhole: tuple[Annotated[Number, Plausible("m", 1e-06, 0.01)], ...]
    weight: tuple[Weight, ...]
    leak_rule: dict[str, LeakRule]


class Holes(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Every hole that can be had."""

    hole: tuple[Hole, ...]
