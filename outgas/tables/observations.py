"""The typed records behind data/observations.toml: what can be seen of a bag without a gauge."""

import msgspec

from outgas.tables.number import Number


class Observation(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One cheap observation: what it takes, how it is done, how long, and how it misleads."""

    title: str
    needs: str
    recipe: tuple[str, ...]
    misleads: str
    minutes: Number


class EvidenceFigures(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How far each observation of the bag pressure may be off, and to which side."""

    mistake: Number
    thermometer: Number
    superheat: Number
    superheat_chip: Number
    cooling: Number
    stop_superheat: Number
    lag: Number
    overshoot: Number
    bulb_superheat: Number
    vial_head: Number
    vial_gap: Number
    ice_supercooling: Number
    ice_lift: Number
    ice_bled: Number
    syringe_friction: Number
    syringe_reading: Number
    syringe_asymmetry: Number
    tube_head: Number
    tube_relative: Number
    tube_reading: Number
    pull_error: Number
    pull_loss: Number
    chip_floor: Number
    chip_error: Number
    milky_void: Number
    milky_otherwise: Number
    unknown_leak: Number
    pump_wear: Number
    look: dict[str, Observation]
