"""A weight on a plate inside the pot that holds a bag, and its twin that hangs below a hole.

Both weigh m g = (p_atm - p) A, A the area of the hole: a force balance. The plate inside stands on
its hole by its weight and is lifted by the air of the room below it; laid outside on a lid the air
would press it shut. The twin is held up by the air and falls where the clamp is less.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.errors import InputError
from outgas.job.gauge import read_barometer, read_setpoint
from outgas.job.rig import Rig, as_rig
from outgas.no_gauge.cautions import HOLDING, PLATE
from outgas.no_gauge.held import figures, in_mbar, may_be, weak_end
from outgas.no_gauge.observations import SHOP_K
from outgas.physics import flow
from outgas.show.answer import Answer
from outgas.show.report import Amount, At, Block, Line, Report, Short, joined, lines
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

VERSION = 1
BORE_RANGE_M = (0.003, 0.15)
PLATE_M, LAND_M = 0.1, 0.015  # side of a plate to weigh with; by which it must overlap its hole
HEAVY_KG = 20.0  # the most to stack on a plate
HOW = (
    "flat plate, soft clean rubber seat, wiped dry; knock it once while it lifts: a tacky seat "
    "holds on deeper",
    "level, guided so that it cannot jam or slide off (pins round it, with play), a filter over "
    "the hole from below so that nothing is sucked in; in the catch pot on the pump side, not in "
    "the bag",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliefValve(Answer):
    """A weighted plate inside the pot, which the room's air lifts where the bag gets too deep.

    mass_kg is what is printed, rounded down, and lifts_Pa where that lifts: no deeper than the
    setpoint. low_Pa and high_Pa are where it may really lift (95 %): bore, the ring that seals,
    mass, and a tacky seat, which holds on deeper.

    Examples
    --------
    >>> import outgas
    >>> valve = outgas.relief_valve("653 mbar", "20 mm", "1013 mbar")
    >>> valve.low_Pa < valve.lifts_Pa < valve.high_Pa, valve.lifts_Pa >= valve.setpoint_Pa
    (True, True)
    >>> valve.too_heavy, valve.to_dict()["kind"]
    (False, 'outgas relief valve')
    """

    setpoint_Pa: float
    barometer_Pa: float
    bore_m: float
    mass_kg: float
    lifts_Pa: float
    low_Pa: float
    high_Pa: float
    lift_m: float | None
    weights: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = (*PLATE, *HOLDING)

    @property
    def mass(self) -> "Quantity":
        """Of plate and weights together [kg]."""
        return units.quantity(self.mass_kg, "kg")

    @property
    def interval(self) -> "tuple[Quantity, Quantity]":
        """Where it may really lift, 95 % [Pa]."""
        return units.quantity(self.low_Pa, "Pa"), units.quantity(self.high_Pa, "Pa")

    @property
    def too_heavy(self) -> bool:
        """Whether it is more than stands on a plate safely."""
        return self.mass_kg > HEAVY_KG

    @property
    def what(self) -> str:
        """What it is and where it stands, for a sentence."""
        return str(self.what_line)

    @property
    def mass_place(self) -> Amount:
        """Its mass in a line: never printed heavier, for that holds deeper."""
        return Amount(self.mass_kg, "kg", f"{self.mass_kg:g}", up=False)

    @property
    def bore_place(self) -> Amount:
        """The bore in a line: never printed smaller, for on a smaller hole it lifts deeper."""
        return Amount(self.bore_m * 1e3, "mm", f"{self.bore_m * 1e3:g}", up=True)

    @property
    def what_line(self) -> Line:
        """What it is and where it stands, for a line."""
        text = (
            "{}, plate and steel together, inside the pot over a {} hole in its floor, open to the "
            "room below"
        )
        return Line(text, (self.mass_place, self.bore_place))

    @property
    def weight_line(self) -> Line:
        """Slabs that weigh as much, or a little less."""
        return joined(_weights(self.mass_kg, self.bore_m), "; or ")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas relief valve",
            "version": VERSION,
            "setpoint_Pa": self.setpoint_Pa,
            "barometer_Pa": self.barometer_Pa,
            "bore_m": self.bore_m,
            "mass_kg": self.mass_kg,
            "lifts_Pa": self.lifts_Pa,
            "low_Pa": self.low_Pa,
            "high_Pa": self.high_Pa,
            "lift_m": self.lift_m,
            "weights": list(self.weights),
            "notes": list(self.notes),
            "cautions": list(map(str, self.cautions)),
        }

    @property
    def lines(self) -> tuple[Line, ...]:
        """The plate in one line, what weighs as much, and how it is used."""
        at = Line("{}, ", (in_mbar(self.lifts_Pa, weaker=True),))
        return lines(
            [
                joined([self.what_line, "; it lifts at ", at, may_be(self.low_Pa, self.high_Pa)]),
                joined(["the weight: ", self.weight_line]),
                *self.notes,
            ]
        )

    @property
    def report(self) -> Report:
        """The plate told: what to put on it, how, and what to beware of."""
        first = joined([Line("Hold {} with ", (At(self.lifts_Pa),)), self.what_line, "."])
        end = joined(["Where it lifts ", may_be(self.low_Pa, self.high_Pa), "."])
        few = Short((first, end), (joined(["The weight: ", self.weight_line, "."]),))
        blocks = (
            Block("Weighted plate", self.lines),
            Block("Cautions", lines(self.cautions)),
        )
        return Report(self.barometer_Pa, (first,), blocks, fixed=True, short=few)


@dataclass(frozen=True, slots=True, kw_only=True)
class HangingWeight:
    """A weight hung from a plate below a hole, which falls off where the bag gets too weak.

    mass_kg is rounded up, so that it falls in time; low_Pa to high_Pa (95 %) is where it may
    really fall: a wide ring or a tacky seat lets it hang on weaker.
    """

    barometer_Pa: float
    bore_m: float
    mass_kg: float
    falls_Pa: float
    low_Pa: float
    high_Pa: float

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {
            "bore_m": self.bore_m,
            "mass_kg": self.mass_kg,
            "falls_Pa": self.falls_Pa,
            "low_Pa": self.low_Pa,
            "high_Pa": self.high_Pa,
        }

    @property
    def lines(self) -> tuple[Line, ...]:
        """What hangs where, what it tells, and what to beware of."""
        mass = Amount(self.mass_kg, "kg", f"{self.mass_kg:g}", up=True)
        bore = Amount(self.bore_m * 1e3, "mm", f"{self.bore_m * 1e3:g}", up=False)
        hangs = Line(
            "{}, plate and weight together, hanging from a plate below a {} hole: the air holds it "
            "up, and it falls off where the bag is too weak, at ",
            (mass, bore),
        )
        still = Line("while it hangs the bag is no weaker than {}", (weak_end(self.high_Pa),))
        at = Line("{}, ", (in_mbar(self.falls_Pa),))
        return lines(
            [
                joined([hangs, at, may_be(self.low_Pa, self.high_Pa)]),
                still,
                "hold it up by hand until the pump holds it; when it falls its hole is open and "
                "the bag loses its vacuum: on a cord over something soft, a stopper at hand, feet "
                "and hands away from below it",
            ]
        )


def relief_valve(
    setpoint: "Measure", bore: "Measure", barometer: "Measure", *, rig: Rig | str | None = None
) -> ReliefValve:
    """Return the weight on a plate inside the pot that holds a bag at a pressure.

    Parameters
    ----------
    setpoint
        Absolute, or a reading under the barometer.
    bore
        Of the hole in the pot's floor that the plate covers: '20 mm'; 3 to 150 mm.
    barometer
        The shop's own air pressure, 200 to 1100 hPa.
    rig
        A Rig or its words, with its pump's displacement: says how far the plate lifts.

    Returns
    -------
    A ReliefValve: mass [kg], where it lifts, and where it may really lift [Pa].

    Raises
    ------
    InputError, OutOfRangeError
        A setpoint above the barometer, a bore out of range or too small for the pump.

    Notes
    -----
    m g_0 = (p_atm - p) pi d^2 / 4: a balance of forces. How far it lifts: the area pi d x that
    passes the pump's flow, as in outgas.bleed_hole.

    Examples
    --------
    >>> round(relief_valve("100 mbar", "20 mm", "1013 mbar").mass_kg, 1)
    2.9
    >>> try:
    ...     relief_valve("1100 mbar", "20 mm", "1013 mbar")
    ... except InputError as error:
    ...     print(str(error).partition(";")[0])
    setpoint is 1100 mbar
    """
    here = read_barometer(barometer)
    p = read_setpoint(setpoint, here)
    d, rig = read_bore(bore), as_rig(rig)
    mass = figures(float(flow.plate_mass(p, here, flow.circle(d))))
    lifts = float(flow.plate_pressure(mass, here, flow.circle(d)))
    clamp = here - lifts
    deeper, shallower = _off(clamp, d)
    lift = None
    if rig is not None and rig.pump_displacement is not None:
        lift = _lift(rig.pump_displacement, lifts, here, d)
    return ReliefValve(
        setpoint_Pa=p,
        barometer_Pa=here,
        bore_m=d,
        mass_kg=mass,
        lifts_Pa=lifts,
        low_Pa=max(0.0, lifts - deeper - catalogue.rigs().sticking.high_si),
        high_Pa=min(here, lifts + shallower),
        lift_m=lift,
        weights=tuple(map(str, _weights(mass, d))),
        notes=_notes(clamp, here, lift),
    )


def hanging_weight(weakest: "Measure", bore: "Measure", barometer: "Measure") -> HangingWeight:
    """Return the weight that falls from below a hole where a bag gets weaker than a pressure.

    Parameters
    ----------
    weakest
        Absolute, or a reading under the barometer: the least clamp that will do.
    bore
        Of the hole over the plate.
    barometer
        The shop's own air pressure.

    Returns
    -------
    A HangingWeight: mass [kg], where it falls, and where it may really fall [Pa].
    """
    here = read_barometer(barometer)
    p = read_setpoint(weakest, here)
    d = read_bore(bore)
    mass = figures(float(flow.plate_mass(p, here, flow.circle(d))), up=True)
    falls = float(flow.plate_pressure(mass, here, flow.circle(d)))
    early, late = _off(here - falls, d)
    return HangingWeight(
        barometer_Pa=here,
        bore_m=d,
        mass_kg=mass,
        falls_Pa=falls,
        low_Pa=max(0.0, falls - early),
        high_Pa=min(here, falls + late + catalogue.rigs().sticking.high_si),
    )


def read_bore(bore: "Measure") -> float:
    """Return the bore of a hole that a plate can cover [m]."""
    d = units.positive(bore, "m", "bore")
    units.inside(d * 1e3, BORE_RANGE_M[0] * 1e3, BORE_RANGE_M[1] * 1e3, "bore", "mm")
    return d


def _off(clamp: float, d: float) -> tuple[float, float]:
    """Return by how much less and more the air may push than bore and mass say [Pa], 95 %."""
    f = catalogue.rigs()
    measured = 2.0 * f.bore_error.si / d, f.mass_error.si
    wide = 1.0 - (d / (d + f.seat_excess.high_si)) ** 2
    return math.hypot(*measured) * clamp, math.hypot(*measured, wide) * clamp


def _notes(clamp: float, here: float, lift: float | None) -> tuple[str, ...]:
    lifts = (
        () if lift is None else (f"it lifts about {lift * 1e3:.2g} mm to pass what the pump moves",)
    )
    return (
        *lifts,
        f"weigh plate and weights together; 1 % of mass is {clamp * 0.01 / 100:.1f} mbar",
        *HOW,
        f"a worn pump changes nothing; the air does: it holds {clamp / 100:.0f} mbar under an air "
        f"pressure of {here / 100:.0f} mbar, and where the air has 10 mbar less, for weather or "
        "height, the bag is 10 mbar deeper",
    )


def _lift(displacement: float, p: float, here: float, bore: float) -> float:
    """Return how far a plate lifts to pass a pump's flow [m]; refuse a bore that cannot."""
    needed = float(
        flow.orifice_area(displacement * p, here, p, SHOP_K, catalogue.rigs().discharge.low_si)
    )
    if needed > flow.circle(bore):
        least = figures(2e3 * math.sqrt(needed / math.pi), up=True)
        raise InputError(
            f"bore is {bore * 1e3:.1f} mm, too small for this pump at {p / 100:.0f} mbar: it "
            f"needs {least:g} mm or more"
        )
    return needed / (math.pi * bore)


def _weights(mass: float, bore: float) -> tuple[Line, ...]:
    """Return slabs of metal that weigh this much, or a little less; the heaviest of their kind."""
    if mass > HEAVY_KG:
        return (Line(f"{mass:g} kg stands on no plate safely: take a smaller hole"),)
    side = max(PLATE_M, math.ceil((bore + 2.0 * LAND_M) * 1e3) * 1e-3)
    found = []
    for weight in catalogue.rigs().weight:
        thick = figures(mass / (weight.material_density.high_si * side**2) * 1e3)
        across = Amount(side * 1e3, "mm", f"{side * 1e3:.0f}", up=False, named=False)
        slab = (across, across, Amount(thick, "mm", f"{thick:g}", up=False))
        found.append(Line(f"{weight.name} {{}} x {{}} x {{}}, the plate in it", slab))
    return tuple(found)
