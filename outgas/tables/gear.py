"""The typed records behind the tables about pumps, holes, plates and leaks."""

from typing import Literal

import msgspec

from outgas.tables.number import Named, Number


class Pump(Named, frozen=True, kw_only=True):
    """A kind of pump: what it reaches, and how its speed falls on the way there."""

    title: str
    words: tuple[str, ...]
    ultimate: Number
    roll_off: Number


class Hole(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A hole that can be had: its bore and, for a needle, its length."""

    name: str
    kind: Literal["drill", "welding tip", "needle"]
    bore: Number
    length: Number | None = None


class Weight(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something heavy in the shop."""

    name: str
    material_density: Number


class LeakRule(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How fast a shut bag may lose vacuum in one process, as shops say it."""

    rule_rise: Number


class RigFigures(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Figures about holes, plates, bags and leaks."""

    discharge: Number
    displacement_share: Number
    worn_share: Number
    bore_error: Number
    seat_excess: Number
    mass_error: Number
    sticking: Number
    breather_depth: Number
    pot_volume: Number
    rule_volume: Number
    rule_area: Number
    pressure_given_up: Number
    silicone_permeation: Number
    pinhole: tuple[Number, ...]
    weight: tuple[Weight, ...]
    leak_rule: dict[str, LeakRule]


class Holes(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Every hole that can be had."""

    hole: tuple[Hole, ...]
