"""Numbers as the tables hold them: value, unit, 95 % range, source, and how each was got.

Which units there are, what each field of a table is and what is plausible in it, and the record of
one number.
"""

import math
from typing import Any, Literal

import msgspec

from outgas.errors import DataError
from outgas.physics.chance import Band

# The SI unit each becomes, the factor, and the offset.
RIG_UNITS: dict[str, tuple[str, float, float]] = {
    "mbar l/s": ("Pa m3/s", 0.1, 0.0),
    "mbar/min": ("Pa/s", 100.0 / 60.0, 0.0),
    "l/s": ("m3/s", 1e-3, 0.0),
    "m3/h": ("m3/s", 1.0 / 3600.0, 0.0),
    "l": ("m3", 1e-3, 0.0),
    "m2": ("m2", 1.0, 0.0),
}

# What each field of a number is: its SI unit, and what is plausible in it.
RIG_FIELDS: dict[str, tuple[str, float, float]] = {
    "mistake": ("", 0.0, 0.5),
    "thermometer": ("K", 0.0, 10.0),
    "superheat": ("K", 0.0, 100.0),
    "superheat_chip": ("K", 0.0, 50.0),
    "cooling": ("K", 0.0, 30.0),
    "stop_superheat": ("K", 0.0, 20.0),
    "lag": ("K", 0.0, 20.0),
    "overshoot": ("K", 0.0, 20.0),
    "bulb_superheat": ("K", 0.0, 20.0),
    "vial_head": ("Pa", 0.0, 5e3),
    "ice_supercooling": ("K", 0.0, 40.0),
    "ice_lift": ("K", 0.0, 40.0),
    "ice_bled": ("Pa", 100.0, 1e5),
    "syringe_friction": ("Pa", 0.0, 1e5),
    "syringe_reading": ("", 0.0, 0.5),
    "syringe_asymmetry": ("", 0.0, 2.0),
    "tube_head": ("Pa", 0.0, 1e4),
    "tube_relative": ("", 0.0, 0.5),
    "tube_reading": ("", 0.0, 0.1),
    "pull_error": ("", 0.0, 0.5),
    "pull_loss": ("", 0.0, 0.5),
    "chip_floor": ("Pa", 0.0, 1e5),
    "chip_error": ("Pa", 0.0, 1e5),
    "milky_void": ("", 1e-5, 1.0),
    "milky_otherwise": ("", 0.0, 1.0),
    "unknown_leak": ("Pa m3/s", 0.0, 100.0),
    "pump_wear": ("", 0.5, 1000.0),
    "displacement_share": ("", 0.05, 1.5),
    "vial_gap": ("K", 0.5, 30.0),
    "minutes": ("s", 1.0, 1e5),
    "ultimate": ("Pa", 1e-4, 1e5),
    "roll_off": ("", 0.5, 5.0),
    "bore": ("m", 1e-5, 0.1),
    "length": ("m", 1e-4, 1.0),
    "discharge": ("", 0.1, 1.0),
    "seat_excess": ("m", 0.0, 0.02),
    "bore_error": ("m", 0.0, 0.01),
    "mass_error": ("", 0.0, 0.5),
    "sticking": ("Pa", 0.0, 2e4),
    "worn_share": ("", 0.05, 1.0),
    "material_density": ("kg/m3", 100.0, 25000.0),
    "breather_depth": ("m", 0.0, 0.1),
    "pot_volume": ("m3", 0.0, 1.0),
    "rule_rise": ("Pa/s", 1e-3, 1e3),
    "rule_volume": ("m3", 1e-4, 1.0),
    "rule_area": ("m2", 0.01, 100.0),
    "pressure_given_up": ("Pa", 0.0, 1e4),
    "silicone_permeation": ("Pa m3/s", 0.0, 10.0),
    "pinhole": ("m", 1e-6, 0.01),
}

How = Literal["read", "library", "memory", "estimate"]

# Units that tables may use: the SI unit each becomes, the factor, and the offset.
UNITS: dict[str, tuple[str, float, float]] = {
    "1": ("", 1.0, 0.0),
    "%": ("", 0.01, 0.0),
    "kg/mol": ("kg/mol", 1.0, 0.0),
    "g/mol": ("kg/mol", 1e-3, 0.0),
    "K": ("K", 1.0, 0.0),
    "degC": ("K", 1.0, 273.15),
    "Pa": ("Pa", 1.0, 0.0),
    "hPa": ("Pa", 100.0, 0.0),
    "mbar": ("Pa", 100.0, 0.0),
    "kPa": ("Pa", 1e3, 0.0),
    "bar": ("Pa", 1e5, 0.0),
    "MPa": ("Pa", 1e6, 0.0),
    "kg/m3": ("kg/m3", 1.0, 0.0),
    "g/cm3": ("kg/m3", 1e3, 0.0),
    "Pa s": ("Pa s", 1.0, 0.0),
    "mPa s": ("Pa s", 1e-3, 0.0),
    "s": ("s", 1.0, 0.0),
    "min": ("s", 60.0, 0.0),
    "h": ("s", 3600.0, 0.0),
    "m": ("m", 1.0, 0.0),
    "mm": ("m", 1e-3, 0.0),
    "um": ("m", 1e-6, 0.0),
    "1/m3": ("1/m3", 1.0, 0.0),
    "kg/m2": ("kg/m2", 1.0, 0.0),
    "g/m2": ("kg/m2", 1e-3, 0.0),
    "kg": ("kg", 1.0, 0.0),
    "g": ("kg", 1e-3, 0.0),
    "1/s": ("1/s", 1.0, 0.0),
    "1/min": ("1/s", 1.0 / 60.0, 0.0),
    "1/K": ("1/K", 1.0, 0.0),
    "J/mol": ("J/mol", 1.0, 0.0),
    "kJ/mol": ("J/mol", 1e3, 0.0),
    "J/kg": ("J/kg", 1.0, 0.0),
    "kJ/kg": ("J/kg", 1e3, 0.0),
    "J/(kg K)": ("J/(kg K)", 1.0, 0.0),
    "W/(m K)": ("W/(m K)", 1.0, 0.0),
    "W/(m2 K)": ("W/(m2 K)", 1.0, 0.0),
    "min/m2": ("s/m2", 60.0, 0.0),
    "s/m2": ("s/m2", 1.0, 0.0),
    "K/min": ("K/s", 1.0 / 60.0, 0.0),
    "W/K": ("W/K", 1.0, 0.0),
    "m2/s": ("m2/s", 1.0, 0.0),
    "mN/m": ("N/m", 1e-3, 0.0),
    **RIG_UNITS,
}

# What each field of a table is: its SI unit, and what is plausible in it.
FIELDS: dict[str, tuple[str, float, float]] = {
    "molar_mass": ("kg/mol", 1e-3, 1e4),
    "critical_temperature": ("K", 100.0, 1500.0),
    "critical_pressure": ("Pa", 1e5, 1e8),
    "acentric": ("", -1.0, 2.0),
    "density": ("kg/m3", 5.0, 9000.0),
    "lower_flammable_limit": ("", 0.0, 1.0),
    "fraction": ("", 0.0, 1.0),
    "chi": ("", -3.0, 3.0),
    "minimum_temperature": ("K", 250.0, 400.0),
    "cure_temperature": ("K", 250.0, 620.0),
    "peak_temperature": ("K", 250.0, 700.0),
    "applied_pressure": ("Pa", 0.0, 5e6),
    "air_solubility": ("", 0.0, 2.0),
    "water_activity": ("", 0.0, 1.0),
    "viscosity": ("Pa s", 1e-4, 1e5),
    "gel_time": ("s", 1.0, 1e6),
    "time_to_peak": ("s", 1.0, 1e6),
    "initiator_level": ("", 0.0, 0.2),
    "gel_conversion": ("", 0.0, 1.0),
    "fibre_density": ("kg/m3", 500.0, 5000.0),
    "fibre_fraction": ("", 0.02, 0.9),
    "compaction_a": ("", 0.0, 1.0),
    "compaction_b": ("", 0.0, 1.0),
    "compressive_strength": ("Pa", 1e3, 1e9),
    "creep_factor": ("", 0.01, 1.0),
    "maximum_temperature": ("K", 250.0, 700.0),
    "clamp_needed": ("Pa", 0.0, 1e6),
    "areal_mass": ("kg/m2", 0.0, 50.0),
    "resin_uptake": ("kg/m2", 0.0, 10.0),
    "clamp": ("Pa", 0.0, 1e6),
    "weakest_bag": ("Pa", 0.0, 1e5),
    "gas_kept": ("", 0.001, 1.0),
    "vapour_share": ("", 0.01, 1.0),
    "entrained": ("", 0.0, 1.0),
    "clear_target": ("", 0.0, 1.0),
    "contaminant_chi": ("", -3.0, 3.0),
    "open_uptake": ("", 0.0, 1.0),
    "default_rise": ("K", 0.0, 200.0),
    "debulk_removed": ("", 0.0, 1.0),
    "seeded_removed": ("", 0.0, 1.0),
    "pot_removed": ("", 0.0, 1.0),
    "pot_pressure": ("Pa", 0.0, 1e5),
    "dial": ("Pa", 0.0, 1e5),
    "water": ("", 0.0, 1.0),
    "thickness": ("m", 0.0, 1.0),
    # cure and heat
    "gel_temperature": ("K", 250.0, 600.0),
    "heat": ("J/kg", 0.0, 2e6),
    "conductivity": ("W/(m K)", 0.005, 500.0),
    "heat_capacity": ("J/(kg K)", 100.0, 5000.0),
    "fibre_conductivity": ("W/(m K)", 0.005, 500.0),
    "fibre_diameter": ("m", 1e-6, 1e-3),
    "activation_energy": ("J/mol", 0.0, 3e5),
    "induction_energy": ("J/mol", 0.0, 3e5),
    "order_m": ("", 0.0, 5.0),
    "order_n": ("", 0.0, 5.0),
    "start_ratio": ("", 0.0, 10.0),
    "viscosity_energy": ("J/mol", 0.0, 3e5),
    "viscosity_exponent": ("", 0.0, 20.0),
    "initiator_exponent": ("", 0.0, 2.0),
    "modulus": ("Pa", 1e3, 1e10),
    "modulus_exponent": ("", 0.5, 6.0),
    "published_spread": ("", 0.0, 0.9),
    "gel_reading": ("", 0.0, 1.0),
    "after_gel": ("", 0.0, 0.9),
    "modulus_over_pressure": ("", 0.1, 100.0),
    "mass": ("kg", 1e-3, 100.0),
    "temperature": ("K", 250.0, 400.0),
    "cup_loss": ("W/K", 0.0, 100.0),
    "film_bag": ("W/(m2 K)", 0.0, 1000.0),
    "film_held": ("W/(m2 K)", 0.0, 1e4),
    "film_oven": ("W/(m2 K)", 0.0, 1000.0),
    "film_tool": ("W/(m2 K)", 0.0, 1000.0),
    "sun_absorbed": ("", 0.0, 1.0),
    "kozeny": ("", 0.1, 1000.0),
    # the clock of a job
    "mix": ("s", 0.0, 1e5),
    "wet_out": ("s/m2", 0.0, 1e5),
    "wet_out_least": ("s", 0.0, 1e5),
    "bag": ("s", 0.0, 1e5),
    "leak_check": ("s", 0.0, 1e5),
    "drop_test_time": ("s", 0.0, 1e5),
    "drop_allowed": ("Pa/s", 0.0, 1e4),
    "debulk": ("s", 0.0, 1e5),
    "debulk_least": ("s", 0.0, 1e5),
    "degas": ("s", 0.0, 1e5),
    "rest": ("s", 0.0, 1e5),
    "fill": ("s", 0.0, 1e6),
    "close": ("s", 0.0, 1e5),
    "last_change": ("", 0.1, 1.0),
    "hard": ("", 0.1, 1.0),
    "cool_within": ("K", 0.0, 100.0),
    "thickened": ("", 1.0, 100.0),
    "spare_resin": ("", 0.0, 1.0),
    "prepreg_debulk": ("s", 0.0, 1e5),
    "plies_per_debulk": ("", 1.0, 50.0),
    "thaw": ("s", 0.0, 1e6),
    "ramp_rate": ("K/s", 0.0, 1.0),
    "dwell": ("s", 0.0, 1e6),
    "dwell_below": ("K", 0.0, 300.0),
    "cure_hold": ("s", 0.0, 1e6),
    "head_space": ("", 1.0, 20.0),
    "spot_error": ("m", 0.0, 0.01),
    "pitch_error": ("", 0.0, 1.0),
    "weighed_error": ("", 0.0, 1.0),
    "starved": ("", 0.0, 1.0),
    "pot_fill": ("", 0.01, 1.0),
    "air_diffusivity": ("m2/s", 1e-14, 1e-8),
    "monomer_diffusivity": ("m2/s", 1e-14, 1e-8),
    "water_diffusivity": ("m2/s", 1e-14, 1e-8),
    "diffusion_energy": ("J/mol", 0.0, 2e5),
    "water_saturation": ("", 1e-5, 1.0),
    "surface_tension": ("N/m", 0.005, 0.1),
    "refractive_index": ("", 1.3, 1.8),
    "prior": ("", 0.0, 10.0),
    "void": ("", 0.0, 1.0),
    "radius": ("m", 1e-8, 0.1),
    "nuclei": ("1/m3", 1e3, 1e18),
    "typical": ("", 1.0, 100.0),
    "fits": ("", 1.0, 100.0),
    "against": ("", 0.001, 1.0),
    "hardly": ("", 0.001, 1.0),
    "trust": ("", 0.1, 1.0),
    "unlisted": ("", 0.0, 1.0),
    "own_gas": ("", 0.0, 10.0),
    "clear_lead": ("", 1.0, 100.0),
    "enough": ("", 0.0, 1.0),
    "ruled_out": ("", 1e-6, 0.1),
    "pressure": ("Pa", 0.0, 1.1e5),
    "trace": ("", 0.0, 100.0),
    "milky": ("", 0.0, 100.0),
    "white": ("", 0.0, 100.0),
    "loupe": ("m", 1e-7, 1e-3),
    "dry": ("", 0.0, 1.0),
    "damp": ("", 0.0, 1.0),
    "unsaid_cleaner": ("", 0.0, 1.0),
    "hidden_damp": ("", 0.0, 1.0),
    "colder": ("K", 0.0, 100.0),
    "warmer": ("K", 0.0, 100.0),
    "unknown": ("", 0.0, 1.0),
    "polyester_peroxide": ("", 0.0, 1.0),
    "free_peroxide": ("", 0.0, 0.2),
    "acetone": ("", 0.0, 0.1),
    "leaky": ("Pa", 0.0, 1.1e5),
    "drop_test": ("Pa", 0.0, 1e4),
    "swept": ("", 0.0, 1.0),
    "shear_per_void": ("", 0.0, 30.0),
    "polyester": ("", 0.0, 0.3),
    "vinyl_ester": ("", 0.0, 0.3),
    "acrylic": ("", 0.0, 0.3),
    "epoxy": ("", 0.0, 0.3),
    "phenolic": ("", 0.0, 0.3),
    "polyurethane": ("", 0.0, 0.3),
    **RIG_FIELDS,
}


class Number(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A value with unit, 95 % uncertainty (u95, or low and high), source and how it was got."""

    value: float
    unit: str
    source: str
    how: How
    u95: float | None = None
    low: float | None = None
    high: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise ValueError(f"unit {self.unit!r} is not one of {', '.join(UNITS)}")
        if not self.source.strip():
            raise ValueError("source is empty; say where the number comes from")
        if (self.u95 is None) == (self.low is None or self.high is None):
            raise ValueError("give either u95, or both low and high")
        if not all(math.isfinite(x) for x in (self.value, *self._ends())):
            raise ValueError("value, u95, low and high must be finite numbers")
        if not self._ends()[0] <= self.value <= self._ends()[1]:
            raise ValueError(f"value {self.value:g} lies outside its own low and high")

    def _ends(self) -> tuple[float, float]:
        if self.u95 is not None:
            return self.value - self.u95, self.value + self.u95
        return float(self.low or 0.0), float(self.high or 0.0)

    def _si(self, number: float) -> float:
        _, factor, offset = UNITS[self.unit]
        return number * factor + offset

    @property
    def si(self) -> float:
        """The value in its SI unit."""
        return self._si(self.value)

    @property
    def low_si(self) -> float:
        """The lower 95 % end in the SI unit."""
        return self._si(self._ends()[0])

    @property
    def high_si(self) -> float:
        """The upper 95 % end in the SI unit."""
        return self._si(self._ends()[1])

    @property
    def band(self) -> Band:
        """The value with its 95 % ends, in the SI unit."""
        return Band(self.si, self.low_si, self.high_si)


class Named(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every record has: the name it goes by."""

    name: str


def check_fields(record: Any, where: str) -> None:
    """Check each number's kind of unit and plausibility; walks nested records."""
    for field in record.__struct_fields__:
        value = getattr(record, field)
        items = value if isinstance(value, tuple) else (value,)
        for item in items:
            if isinstance(item, Number):
                _check_number(item, field, where)
            elif isinstance(item, msgspec.Struct):
                check_fields(item, f"{where}.{field}")


def _check_number(number: Number, field: str, where: str) -> None:
    unit, low, high = FIELDS[field]
    given = UNITS[number.unit][0]
    if given != unit:
        fitting = ", ".join(name for name, (kind, _, _) in UNITS.items() if kind == unit)
        raise DataError(f"{where}.{field}: unit {number.unit!r} does not fit; use {fitting}")
    if not low <= number.si <= high:
        raise DataError(
            f"{where}.{field}: {number.value:g} {number.unit} is outside {low:g} to {high:g} "
            f"{unit or '(as a share)'}"
        )
