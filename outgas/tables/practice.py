"""The typed records behind data/practice.toml: shop practice, its margins, clock and processes."""

from typing import Annotated, Literal

import msgspec

from outgas.tables.number import Number, Plausible


class Margins(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Margins and defaults that hold for every process."""

    vapour_times: Annotated[Number, Plausible("", 1.0, 10.0)]
    vapour_clear: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]
    vapour_share: Annotated[Number, Plausible("", 0.01, 1.0)]
    entrained: Annotated[Number, Plausible("", 0.0, 1.0)]
    contaminant_chi: Annotated[Number, Plausible("", -3.0, 3.0)]
    default_rise: Annotated[Number, Plausible("K", 0.0, 200.0)]
    named_doubt: Annotated[Number, Plausible("K", 0.0, 50.0)]
    open_uptake: Annotated[Number, Plausible("", 0.0, 1.0)]
    core_density_above: Annotated[Number, Plausible("", 0.0, 1.0)]


class Gas(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How much dissolved air a pot takes out, and how deep a debulk goes."""

    pot_removed: Annotated[Number, Plausible("", 0.0, 1.0)]
    pot_pressure: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]
    debulk_pressure: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]


class ReadingErrors(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far a reading may be off."""

    dial: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]
    sensor: Annotated[Number, Plausible("Pa", 0.0, 100000.0)]
    water: Annotated[Number, Plausible("", 0.0, 1.0)]


class Heat(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How heat leaves a bagged laminate, and what the sun brings."""

    emissivity_bag: Annotated[Number, Plausible("", 0.0, 1.0)]
    emissivity_tool: Annotated[Number, Plausible("", 0.0, 1.0)]
    rising_up: Annotated[Number, Plausible("W/(m1.75 K1.25)", 0.0, 10.0)]
    rising_down: Annotated[Number, Plausible("W/(m1.75 K1.25)", 0.0, 10.0)]
    smokes: Annotated[Number, Plausible("K", 300.0, 600.0)]
    face: Annotated[Number, Plausible("m", 0.01, 100.0)]
    film_held: Annotated[Number, Plausible("W/(m2 K)", 0.0, 10000.0)]
    film_oven: Annotated[Number, Plausible("W/(m2 K)", 0.0, 1000.0)]
    sun_absorbed: Annotated[Number, Plausible("", 0.0, 1.0)]


class Clock(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How long the steps of a job take, and the rules of the clock."""

    mix: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    wet_out: Annotated[Number, Plausible("s/m2", 0.0, 100000.0)]
    wet_out_least: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    bag: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    leak_check: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    drop_test_time: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    drop_allowed: Annotated[Number, Plausible("Pa/s", 0.0, 10000.0)]
    debulk: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    debulk_least: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    degas: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    rest: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    fill: Annotated[Number, Plausible("s", 0.0, 1000000.0)]
    settle: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    close: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    last_change: Annotated[Number, Plausible("", 0.1, 1.0)]
    hard: Annotated[Number, Plausible("", 0.1, 1.0)]
    hard_above_shop: Annotated[Number, Plausible("K", 0.0, 100.0)]
    post_cure: Annotated[Number, Plausible("s", 0.0, 1000000.0)]
    flash_clearance: Annotated[Number, Plausible("K", 0.0, 50.0)]
    cool_within: Annotated[Number, Plausible("K", 0.0, 100.0)]
    thickened: Annotated[Number, Plausible("", 1.0, 100.0)]
    spare_resin: Annotated[Number, Plausible("", 0.0, 1.0)]
    prepreg_debulk: Annotated[Number, Plausible("s", 0.0, 100000.0)]
    plies_per_debulk: Annotated[Number, Plausible("", 1.0, 50.0)]
    thaw: Annotated[Number, Plausible("s", 0.0, 1000000.0)]
    ramp_rate: Annotated[Number, Plausible("K/s", 0.0, 1.0)]
    cure_hold: Annotated[Number, Plausible("s", 0.0, 1000000.0)]
    dwell: Annotated[Number, Plausible("s", 0.0, 1000000.0)]
    dwell_below: Annotated[Number, Plausible("K", 0.0, 300.0)]
    head_space: Annotated[Number, Plausible("", 1.0, 20.0)]
    pot_fill: Annotated[Number, Plausible("", 0.01, 1.0)]


class BleedReading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far a bleed may be misread, and when it counts as starved."""

    spot_error: Annotated[Number, Plausible("m", 0.0, 0.01)]
    pitch_error: Annotated[Number, Plausible("", 0.0, 1.0)]
    weighed_error: Annotated[Number, Plausible("", 0.0, 1.0)]
    starved: Annotated[Number, Plausible("", 0.0, 1.0)]


class Bed(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How hard it is for resin to leave a fibre bed."""

    kozeny: Annotated[Number, Plausible("", 0.1, 1000.0)]


class SheetReading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How far a data sheet's figures may be off, and the shop that resins are compared in."""

    wider: Annotated[Number, Plausible("", 1.0, 10.0)]
    density: Annotated[Number, Plausible("", 0.0, 1.0)]
    viscosity: Annotated[Number, Plausible("", 0.0, 1.0)]
    gel_time: Annotated[Number, Plausible("", 0.0, 1.0)]
    time_to_peak: Annotated[Number, Plausible("", 0.0, 1.0)]
    peak_temperature: Annotated[Number, Plausible("K", 0.0, 50.0)]
    initiator_level: Annotated[Number, Plausible("", 0.0, 1.0)]
    minimum_temperature: Annotated[Number, Plausible("K", 0.0, 50.0)]
    gel_temperature: Annotated[Number, Plausible("K", 0.0, 50.0)]
    fraction: Annotated[Number, Plausible("", 0.0, 1.0)]
    any_temperature: Annotated[Number, Plausible("K", 0.0, 50.0)]
    any_other: Annotated[Number, Plausible("", 0.0, 1.0)]
    shop_temperature: Annotated[Number, Plausible("K", 274.0, 330.0)]
    shop_humidity: Annotated[Number, Plausible("", 0.0, 1.0)]

    def spread(self, field: str, unit: str) -> Number:
        """Return how far a field's figure may be off; unit is the SI unit of the field."""
        found: Number | None = getattr(self, field, None)
        if found is not None:
            return found
        return self.any_temperature if unit == "K" else self.any_other


class Process(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a process is like, as facts, and what it needs of its bag.

    open_to_air: resin lies open in the shop's air before it is closed in, rolled out by hand.
    filled: resin is drawn into dry cloth. preimpregnated: cloth comes with its resin, as damp as
    its room, and takes all the vacuum there is. pot: plain resin, no laminate. pressed: closed in a
    press, no bag. bagged: under a bag. debulk: pulled deep early, then brought up. gas_leaves:
    freed gas is meant to leave, so that it sets no limit. path: how freed gas gets out while the
    resin is thin: open, shut, or by the holes of the core. putty: thick, with no fibres for gas to
    start from. fibre_fraction: where no layup says it. soft_core: a core may ask for less clamp.
    bonds_core: it needs a core. like: whose stages and words it shares.
    """

    name: str
    title: str
    like: str = ""
    open_to_air: bool = False
    filled: bool = False
    preimpregnated: bool = False
    pot: bool = False
    pressed: bool = False
    bagged: bool = False
    debulk: bool = False
    gas_leaves: bool = False
    soft_core: bool = False
    bonds_core: bool = False
    putty: bool = False
    path: Literal["open", "shut", "core"]
    fibre_fraction: Annotated[Number, Plausible("", 0.0, 0.9)]
    bag_side: tuple[str, ...] = ()
    clamp: Annotated[Number, Plausible("Pa", 0.0, 1000000.0)] | None = None
    weakest_bag: Annotated[Number, Plausible("Pa", 0.0, 100000.0)] | None = None

    def __post_init__(self) -> None:
        if (self.clamp is None) == (self.weakest_bag is None):
            raise ValueError("give either clamp or weakest_bag")

    @property
    def told_like(self) -> str:
        """The process whose stages and words it shares: its own where none is named."""
        return self.like or self.name

    @property
    def bag_sets_resin(self) -> bool:
        """Whether the resin ends at the pressure of the bag or the pot."""
        return not (self.preimpregnated or self.pressed)

    @property
    def mixed(self) -> bool:
        """Whether resin is mixed in the shop, on the clock of its gel."""
        return not (self.preimpregnated or self.pot)

    @property
    def wet_bag(self) -> bool:
        """Whether wet resin stands under a bag that sets its pressure."""
        return self.bagged and self.bag_sets_resin


class Practice(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Shop practice: margins, gas, instruments, heat and processes."""

    margins: Margins
    gas: Gas
    reading: ReadingErrors
    heat: Heat
    clock: Clock
    bleed: BleedReading
    bed: Bed
    sheet: SheetReading
    process: dict[str, Process]
