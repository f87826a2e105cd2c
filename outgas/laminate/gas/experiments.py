"""A published measurement as a job of the gas balance, and what the balance makes of it.

What the source says is taken from the measurement; what it does not say from data/experiments.toml,
and each such figure is named. So a void content here is never better than those guesses, and a
series that itself set a constant of the balance is no check of it.
"""

import math
from dataclasses import dataclass

from outgas.laminate.gas import pot as gas_pot
from outgas.laminate.gas.balance import Gas, Step, run
from outgas.laminate.gas.held import Outcome
from outgas.laminate.pressures import bubble_pressure
from outgas.physics.bed import resin_pressure
from outgas.tables import catalogue
from outgas.tables import experiments as tables
from outgas.tables.experiments import Measurement, Taken
from outgas.tables.number import Number

# The names that may be given instead, and the field of Taken that each stands for.
NAMES = {
    "temperature_K": "temperature",
    "pressure_Pa": "pressure",
    "bag_Pa": "bag",
    "share": "share",
    "humidity": "humidity",
    "entrained": "entrained",
    "fibre_fraction": "fibre_fraction",
    "duration_s": "duration",
    "air_Pa": "air",
    "fill_Pa": "fill",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Experiment:
    """A measurement as a job: its gas, its steps, and what had to be taken to reckon it.

    taken: one line for each figure that the source does not give. sets: the constant of the balance
    that the series was used to set, '' where it is a check.
    """

    measurement: Measurement
    gas: Gas
    steps: tuple[Step, ...]
    fibre_fraction: float
    taken: tuple[str, ...]
    sets: str

    @property
    def outcome(self) -> Outcome:
        """What the laminate holds at the end."""
        return run(self.gas, self.steps)

    @property
    def void(self) -> float:
        """The void fraction of the laminate, nominal; 1 for a froth."""
        return float(self.outcome.void_fraction(self.fibre_fraction))

    @property
    def misfit(self) -> float:
        """How far the void fraction lies over the measured range, or under it (negative).

        0 inside; NaN where the source gives no range.
        """
        row, void = self.measurement, self.void
        if math.isnan(row.low):
            return math.nan
        return max(void - row.high, 0.0) + min(void - row.low, 0.0)

    @property
    def within_two(self) -> bool:
        """Whether the void fraction lies within a factor of two of the measured range."""
        return self.measurement.low / 2.0 <= self.void <= 2.0 * self.measurement.high


def experiment(row: Measurement, **instead: float) -> Experiment:
    """Return a measurement of voids as a job of the gas balance.

    Parameters
    ----------
    row
        Of outgas.tables.experiments.measurements().
    instead
        Figures in SI to use in place of those of the source or those taken, by NAMES: to follow a
        series that a source describes without its figures ('at lower pressure').
    """
    unknown = instead.keys() - NAMES.keys()
    if unknown:
        raise TypeError(f"no {', '.join(sorted(unknown))}; there are {', '.join(NAMES)}")
    took = tables.taken(row)
    found, words = _figures(row, took, instead)
    gas = _gas(took, found)
    return Experiment(
        measurement=row,
        gas=gas,
        steps=_steps(took, found),
        fibre_fraction=found["fibre_fraction"],
        taken=words,
        sets=took.sets,
    )


def _figures(
    row: Measurement, took: Taken, instead: dict[str, float]
) -> tuple[dict[str, float], tuple[str, ...]]:
    """Return every figure by its name: given instead, else said by the source, else taken."""
    found: dict[str, float] = {}
    words = []
    for name, field in NAMES.items():
        said = getattr(row, name, math.nan)
        number: Number | None = getattr(took, field)
        if name in instead:
            found[name] = float(instead[name])
        elif not math.isnan(said):
            found[name] = said
        elif number is not None:
            found[name] = number.si
            unit = "" if number.unit == "1" else f" {number.unit}"
            note = f" ({number.note})" if number.note else ""
            words.append(f"{field.replace('_', ' ')} {number.value:g}{unit}{note}")
    return found, tuple(words)


def _vapour(resin: str, temperature_K: float, humidity: float) -> float:
    """Return the vapour pressure of resin in balance with air of a humidity [Pa]."""
    pressure = bubble_pressure(resin, f"{temperature_K!r} K", water_activity=humidity)
    return float(pressure.m_as("Pa"))


def _gas(took: Taken, found: dict[str, float]) -> Gas:
    """Return the gas of a resin mixed in the workshop, or with the air that was left in it."""
    shop, laminate = tables.workshop(), catalogue.gas().laminate
    record = catalogue.resin(took.resin)
    now = _vapour(took.resin, shop.temperature.si, found["humidity"])
    mixed, entrained = shop.barometer.si, found["entrained"]
    if took.front:  # the mould's air, trapped where the flow ends, at the pressure of the mould
        mixed = max(found["pressure_Pa"], now)
        entrained = laminate.trapped.si / (1.0 - laminate.trapped.si)
    return Gas(
        trapped=laminate.trapped.si,
        connected=laminate.connected.si,
        boiling_extra=laminate.boiling_extra.si,
        spacing_m=laminate.spacing.si,
        exponent=laminate.exponent.si,
        entrained=entrained,
        entrained_radius_m=laminate.entrained_radius.si,
        diffusivity_m2_s=catalogue.transport(record.family).air_diffusivity.si,
        solubility=record.air_solubility.si,
        least_drive=laminate.least_drive.si,
        mixed_Pa=mixed,
        mixed_vapour_Pa=now,
        air_Pa=found.get("air_Pa", shop.barometer.si - now),
    )


def _steps(took: Taken, found: dict[str, float]) -> tuple[Step, ...]:
    """Return the fill, where there is one, and the cure."""
    shop = tables.workshop()
    T, humidity = found["temperature_K"], found["humidity"]
    outside = shop.barometer.si if took.front else found["pressure_Pa"]
    held = float(resin_pressure(found["bag_Pa"], outside, found["share"]))
    cure = Step(
        held,
        _vapour(took.resin, T, humidity),
        found["duration_s"],
        took.path_open,
        expansion=T / shop.temperature.si,
    )
    if "fill_Pa" not in found:
        return (cure,)
    now = _vapour(took.resin, shop.temperature.si, humidity)
    return Step(found["fill_Pa"], now, shop.fill_time.si, took.path_open), cure


def air_after_pot(
    resin: str, worked: bool, pot_Pa: float | None = None, duration_s: float | None = None
) -> tuple[float, float]:
    """Return the pressure of the air that a pot leaves dissolved [Pa], and the share it removed.

    worked: seeded and stirred or sparged; else still, with no seeds but the bubbles stirred in.
    The pressure and the time of the pot are taken where they are not given.
    """
    shop, record = tables.workshop(), catalogue.resin(resin)
    vapour = _vapour(resin, shop.temperature.si, shop.humidity.si)
    air = shop.barometer.si - vapour
    pot = gas_pot.pot_of(record, air, vapour, worked=worked)
    pressure = shop.pot_pressure.si if pot_Pa is None else pot_Pa
    seconds = shop.pot_time.si if duration_s is None else duration_s
    left = float(gas_pot.air_left(pot, air, pressure, vapour, seconds))
    return left, 1.0 - left / air
