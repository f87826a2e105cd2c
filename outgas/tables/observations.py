"""The typed records behind data/observations.toml: what can be seen of a bag without a gauge."""

from typing import Annotated

import msgspec

from outgas.tables.number import Number, Plausible


class Observation(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One cheap observation: what it takes, how it is done, how long, and how it misleads."""

    title: str
    needs: str
    recipe: tuple[str, ...]
    misleads: str
    minutes: Annotated[Number, Plausible("s", 1.0, 100000.0)]


class EvidenceFigures(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How far each observation of the bag pressure may be off, and to which side."""

    mistake: Annotated[Number, Plausible("", 0.0, 0.5)]
    thermometer: Annotated[Number, Plausible("K", 0.0, 10.0)]
    superheat: Annotated[Number, Plausible("K", 0.0, 100.0)]
    superheat_chip: Annotated[Number, Plausible("K", 0.0, 50.0)]
    cooling: Annotated[Number, Plausible("K", 0.0, 30.0)]
    stop_superheat: Annotated[Number, Plausible("K", 0.0, 20.0)]
    lag: Annotated[Number, Plausible("K", 0.0, 20.0)]
    overshoot: Annotated[Number, Plausible("K", 0.0, 20.0)]
    bulb_superheat: Annotated[Number, Plausible("K", 0.0, 20.0)]
    vial_head: Annotated[Number, Plausible("Pa", 0.0, 5000.0)]
    vial_gap: Annotated[Number, Plausible("K", 0.5, 30.0)]
    ice_supercooling: Annotated[Number, Plausible("K", 0.0, 40.0)]
    ice_lift: Annotated[Number, Plausible("K", 0.0, 40.0)]
    ice_bled: Annotated[Number, Plausible("Pa", 100.0, 100000.0)]
    syringe_friction: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]
    syringe_reading: Annotated[Number, Plausible("", 0.0, 0.5)]
    syringe_asymmetry: Annotated[Number, Plausible("", 0.0, 2.0)]
    tube_head: Annotated[Number, Plausible("Pa", 0.0, 10000.0)]
    tube_relative: Annotated[Number, Plausible("", 0.0, 0.5)]
    tube_reading: Annotated[Number, Plausible("", 0.0, 0.1)]
    pull_error: Annotated[Number, Plausible("", 0.0, 0.5)]
    pull_loss: Annotated[Number, Plausible("", 0.0, 0.5)]
    chip_floor: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]
    chip_error: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]
    milky_otherwise: Annotated[Number, Plausible("", 0.0, 1.0)]
    unknown_leak: Annotated[Number, Plausible("Pa m3/s", 0.0, 100.0)]
    pump_wear: Annotated[Number, Plausible("", 0.5, 1000.0)]
    look: dict[str, Observation]
