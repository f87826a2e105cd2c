"""The typed records behind data/practice.toml: shop practice, its margins, clock and processes."""

import msgspec

from outgas.tables.number import Number


class Margins(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Margins and defaults that hold for every process."""

    vapour_share: Number
    entrained: Number
    clear_target: Number
    contaminant_chi: Number
    default_rise: Number
    open_uptake: Number


class Gas(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How much dissolved air a pull takes out."""

    debulk_removed: Number
    pot_removed: Number
    seeded_removed: Number
    pot_pressure: Number


class ReadingErrors(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far a reading may be off."""

    dial: Number
    water: Number


class Heat(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How heat leaves a bagged laminate, and what the sun brings."""

    film_bag: Number
    film_tool: Number
    film_held: Number
    film_oven: Number
    sun_absorbed: Number


class Clock(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How long the steps of a job take, and the rules of the clock."""

    mix: Number
    wet_out: Number
    wet_out_least: Number
    bag: Number
    leak_check: Number
    drop_test_time: Number
    drop_allowed: Number
    debulk: Number
    debulk_least: Number
    degas: Number
    rest: Number
    fill: Number
    close: Number
    last_change: Number
    hard: Number
    cool_within: Number
    thickened: Number
    spare_resin: Number
    prepreg_debulk: Number
    plies_per_debulk: Number
    thaw: Number
    ramp_rate: Number
    cure_hold: Number
    dwell: Number
    dwell_below: Number
    head_space: Number
    pot_fill: Number


class BleedReading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far a bleed may be misread, and when it counts as starved."""

    spot_error: Number
    pitch_error: Number
    weighed_error: Number
    starved: Number


class Bed(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How hard it is for resin to leave a fibre bed."""

    kozeny: Number


class Process(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a process needs of its bag, and how much freed gas stays in the laminate."""

    title: str
    gas_kept: Number
    bag_side: tuple[str, ...] = ()
    clamp: Number | None = None
    weakest_bag: Number | None = None

    def __post_init__(self) -> None:
        if (self.clamp is None) == (self.weakest_bag is None):
            raise ValueError("give either clamp or weakest_bag")


class Practice(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Shop practice: margins, gas, instruments, heat and processes."""

    margins: Margins
    gas: Gas
    reading: ReadingErrors
    heat: Heat
    clock: Clock
    bleed: BleedReading
    bed: Bed
    process: dict[str, Process]
