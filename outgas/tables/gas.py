"""The typed records behind data/gas.toml: the gas balance of a laminate and of a pot."""

from typing import Annotated

import msgspec

from outgas.tables.number import Number, Plausible


class LaminateGas(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What gas does in wet cloth: what is trapped, what connects, what it starts from."""

    trapped: Annotated[Number, Plausible("", 0.001, 0.5)]
    connected: Annotated[Number, Plausible("", 0.0, 1.0)]
    boiling_extra: Annotated[Number, Plausible("", 0.0, 0.5)]
    spacing: Annotated[Number, Plausible("m", 1e-6, 0.01)]
    exponent: Annotated[Number, Plausible("", 0.5, 20.0)]
    entrained_radius: Annotated[Number, Plausible("m", 1e-6, 0.01)]
    least_drive: Annotated[Number, Plausible("", 0.0, 0.5)]


class InitiatorGas(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What an initiator gives off in cobalt-promoted vinyl ester."""

    gas: Annotated[Number, Plausible("", 0.0, 2.0)]
    half_time: Annotated[Number, Plausible("s", 1.0, 1e5)]


class OxygenEaten(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What radicals leave of the dissolved air."""

    air_left: Annotated[Number, Plausible("", 0.0, 1.0)]


class Appearance(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What voids are aimed for, and how they look."""

    structural: Annotated[Number, Plausible("", 0.0, 0.5)]
    bond_line: Annotated[Number, Plausible("", 0.0, 0.5)]
    clear: Annotated[Number, Plausible("", 0.0, 10.0)]
    milky: Annotated[Number, Plausible("", 0.0, 100.0)]
    thickness: Annotated[Number, Plausible("m", 1e-5, 0.1)]


class Putty(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Thick putty under a core."""

    diffusivity: Annotated[Number, Plausible("m2/s", 1e-14, 1e-8)]


class GasMinutes(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How long steps last where no clock of the job is known."""

    hold: Annotated[Number, Plausible("s", 1.0, 1e5)]
    hold_epoxy: Annotated[Number, Plausible("s", 1.0, 1e5)]
    putty_hold: Annotated[Number, Plausible("s", 1.0, 1e5)]
    cup: Annotated[Number, Plausible("s", 1.0, 1e5)]


class PotGas(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What seeds and stirring do in a degassing pot."""

    seed_spacing: Annotated[Number, Plausible("m", 1e-5, 0.1)]
    stirring: Annotated[Number, Plausible("", 0.1, 1000.0)]


class GasTable(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All of data/gas.toml."""

    laminate: LaminateGas
    initiator: dict[str, InitiatorGas]
    oxygen: OxygenEaten
    look: Appearance
    putty: Putty
    time: GasMinutes
    pot: PotGas
