"""A weight on a plate that holds a bag at a pressure."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.errors import InputError
from outgas.job.gauge import read_barometer, read_setpoint
from outgas.job.rig import Rig
from outgas.no_gauge.cautions import HOLDING
from outgas.no_gauge.held import in_mbar, may_be
from outgas.no_gauge.observations import SHOP_K
from outgas.physics import flow
from outgas.show.answer import Answer
from outgas.show.report import At, Block, Line, Report, joined, lines
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

VERSION = 1
BORE_RANGE_M = (0.003, 0.15)
PLATE_M = 0.1  # side of a plate to weigh with
BOTTLE_KG, HEAVY_KG = 5.0, 20.0  # the most water in one bottle; the most to stack on a plate


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliefValve(Answer):
    """A weighted plate on a seat, which lifts and lets air in where the bag gets too deep.

    low_Pa and high_Pa are where it may really lift (95 %): bore, the ring that seals, mass, and a
    tacky seat, which holds on deeper.
    """

    setpoint_Pa: float
    barometer_Pa: float
    bore_m: float
    mass_kg: float
    low_Pa: float
    high_Pa: float
    lift_m: float | None
    weights: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = HOLDING

    @property
    def mass(self) -> "Quantity":
        """Of plate and weights together [kg]."""
        return units.quantity(self.mass_kg, "kg")

    @property
    def interval(self) -> "tuple[Quantity, Quantity]":
        """Where it may really lift, 95 % [Pa]."""
        return units.quantity(self.low_Pa, "Pa"), units.quantity(self.high_Pa, "Pa")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas relief valve",
            "version": VERSION,
            "setpoint_Pa": self.setpoint_Pa,
            "barometer_Pa": self.barometer_Pa,
            "bore_m": self.bore_m,
            "mass_kg": self.mass_kg,
            "low_Pa": self.low_Pa,
            "high_Pa": self.high_Pa,
            "lift_m": self.lift_m,
            "weights": list(self.weights),
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }

    @property
    def lines(self) -> tuple[Line, ...]:
        """The plate in one line, what weighs as much, and how it is used."""
        size = (
            f"{self.mass_kg:.2f} kg, plate and weights together, on a {self.bore_m * 1e3:.0f} mm "
            "hole; lifts at "
        )
        at = Line("{}, ", (in_mbar(self.setpoint_Pa, weaker=True),))
        return lines(
            [
                joined([size, at, may_be(self.low_Pa, self.high_Pa)]),
                f"the weight: {'; or '.join(self.weights)}",
                *self.notes,
            ]
        )

    @property
    def report(self) -> Report:
        """The plate told: what to put on it, how, and what to beware of."""
        first = Line(
            f"Hold {{}} with {self.mass_kg:.2f} kg on a {self.bore_m * 1e3:.0f} mm hole: plate and "
            "weights together.",
            (At(self.setpoint_Pa),),
        )
        blocks = (
            Block("Weighted plate", self.lines),
            Block("Cautions", lines(self.cautions)),
        )
        return Report(self.barometer_Pa, (first,), blocks, fixed=True)


def relief_valve(
    setpoint: "Measure", bore: "Measure", barometer: "Measure", *, rig: Rig | None = None
) -> ReliefValve:
    """Return the weight on a plate that holds a bag at a pressure.

    Parameters
    ----------
    setpoint
        Absolute, or a reading under the barometer.
    bore
        Of the hole that the plate covers: '20 mm'.
    barometer
        The shop's own air pressure.
    rig
        With its pump's displacement: says how far the plate lifts.

    Returns
    -------
    A ReliefValve: mass [kg], where it may really lift [Pa].

    Raises
    ------
    InputError, OutOfRangeError
        A setpoint above the barometer, a bore out of range or too small for the pump.
    """
    here = read_barometer(barometer)
    p = read_setpoint(setpoint, here)
    d = units.positive(bore, "m", "bore")
    units.inside(d * 1e3, BORE_RANGE_M[0] * 1e3, BORE_RANGE_M[1] * 1e3, "bore", "mm")
    f = catalogue.rigs()
    mass = float(flow.plate_mass(p, here, flow.circle(d)))
    clamp = here - p
    deeper = math.hypot(2.0 * f.bore_error.si / d, f.mass_error.si) * clamp + f.sticking.high_si
    wide = 1.0 - (d / (d + f.seat_excess.high_si)) ** 2
    shallower = math.hypot(2.0 * f.bore_error.si / d, f.mass_error.si, wide) * clamp
    lift, notes = None, []
    if rig is not None and rig.pump_displacement is not None:
        lift = _lift(rig.pump_displacement, p, here, d)
        notes.append(f"it lifts about {lift * 1e3:.2g} mm to pass all that the pump moves")
    notes += [
        f"weigh plate and weights together; 1 % of mass is {clamp * 0.01 / 100:.1f} mbar",
        "flat plate, soft clean rubber seat, wiped dry; knock it once while it lifts: a tacky seat "
        "holds on deeper",
        "level, guided so that it cannot slide off, a filter or a rag round it so that nothing is "
        "sucked under; on the pot or the pump's manifold, not on the bag",
        f"a worn pump changes nothing; the air does: it holds {clamp / 100:.0f} mbar under an air "
        f"pressure of {here / 100:.0f} mbar, and where the air has 10 mbar less, for weather or "
        "height, the bag is 10 mbar deeper",
    ]
    return ReliefValve(
        setpoint_Pa=p,
        barometer_Pa=here,
        bore_m=d,
        mass_kg=mass,
        low_Pa=max(0.0, p - deeper),
        high_Pa=min(here, p + shallower),
        lift_m=lift,
        weights=_weights(mass),
        notes=tuple(notes),
    )


def _lift(displacement: float, p: float, here: float, bore: float) -> float:
    """Return how far a plate lifts to pass a pump's flow [m]; refuse a bore that cannot."""
    needed = float(
        flow.orifice_area(displacement * p, here, p, SHOP_K, catalogue.rigs().discharge.low_si)
    )
    if needed > flow.circle(bore):
        raise InputError(
            f"bore is {bore * 1e3:.1f} mm, too small for this pump at {p / 100:.0f} mbar: it "
            f"needs {2e3 * math.sqrt(needed / math.pi):.1f} mm or more"
        )
    return needed / (math.pi * bore)


def _weights(mass: float) -> tuple[str, ...]:
    """Return things from the shop that weigh this much."""
    found = []
    if mass <= BOTTLE_KG:
        found.append(f"a bottle with {mass:.2f} l of water in it, less what the bottle weighs")
    if mass > HEAVY_KG:
        return (f"{mass:.0f} kg stands on no plate safely: take a smaller hole",)
    for weight in catalogue.rigs().weight:
        thick = mass / (weight.material_density.si * PLATE_M**2)
        found.append(
            f"{weight.name} {PLATE_M * 1e3:.0f} x {PLATE_M * 1e3:.0f} x {thick * 1e3:.1f} mm"
        )
    return tuple(found)
