"""What one observation says of a bag's pressure: likelihoods on a grid, in SI floats.

Each function returns an array over the grid whose greatest value is one, with a floor under it:
the chance that the observation means nothing. Errors are one-sided where nature is: they make the
bag deeper than it seems. How large they are stands in data/observations.toml.
"""

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas import constants, units
from outgas.errors import InputError, OutOfRangeError
from outgas.job.job import FINISHES
from outgas.job.process import process_of
from outgas.job.rig import Rig
from outgas.laminate.case import Case, Hottest
from outgas.laminate.course import course_of, target_of
from outgas.laminate.gas.balance import run
from outgas.laminate.gas.limits import DEEPEST_DEPTH, varied
from outgas.laminate.liquid import Liquid
from outgas.laminate.vapour import monomer_pressures, vapour
from outgas.laminate.water import water, water_pressure
from outgas.physics import chance, flow, saturation
from outgas.tables import catalogue
from outgas.tables.materials import Resin
from outgas.tables.number import Number
from outgas.window.case.lasting import SLOW_TO_GEL

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]

LOWEST_PA = 10.0  # of the grid: 0.1 mbar, below what a shop's pump and bag reach together
POINTS = 1500  # of the grid: steps of 0.6 %
WATER_DENSITY = 997.0  # kg/m3 at 25 degC; within 1 % from 4 to 50 degC
SHOP_K = 293.15  # of leaks and pumps, where the shop's temperature hardly matters
PUMP_NODES = 15
FREED = 2.2  # frictions that a bag must have over the deepest pull to push a plunger back
PRACTICAL_WATER_K = (constants.ZERO_CELSIUS_K + 1.0, constants.ZERO_CELSIUS_K + 99.0)
TABLE_TOP_K = constants.ZERO_CELSIUS_K + 105.0
TINY = 1e-12  # so that no pressure is ever ruled out for good
MILK_POINTS = 201  # pressures at which a laminate's look is worked out; between them it is even
FAINTEST = 1e-3  # optical depth that nobody sees
NOT_DEGASSED = 0.9  # chance that a laminate that went milky held its air, nothing being said


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Pressures from 0.1 mbar to the barometer, even in their logarithm, and what water does.

    Each stands for its cell, from p_low to p_high; the deepest cell holds all that is deeper.
    """

    barometer_Pa: float
    ln_p: "Floats"
    p: "Floats"
    vial_boils_K: "Floats"
    p_low: "Floats"
    p_high: "Floats"

    def thinned(self, step: int) -> "Grid":
        """Return every so many of its points, each with a cell as much wider."""
        cut = slice(None, None, step)
        ln_p = self.ln_p[cut]
        return Grid(
            self.barometer_Pa, ln_p, self.p[cut], self.vial_boils_K[cut], *chance.edges(ln_p)
        )

    def missed_by(self, seen: float) -> "tuple[Floats, Floats]":
        """Return how far what was seen [Pa] lies above each cell, at its deep and its weak end."""
        return seen - self.p_low, seen - self.p_high

    def boils_over(self, head: float) -> "tuple[Floats, Floats]":
        """Return where water under a head [Pa] boils at the ends of each cell [K]."""
        deepest = np.maximum(self.p_low, TINY)
        return boils_at(deepest + head), boils_at(self.p_high + head)


class WhiteCause(Protocol):
    """A cause of a white laminate."""

    @property
    def title(self) -> str:
        """What it is called."""


class WhiteLaminate(Protocol):
    """What a belief takes in of a laminate that went white at the bag's pressure."""

    @property
    def process(self) -> str:
        """By which it was made."""

    @property
    def resin_title(self) -> str:
        """What its resin is called."""

    @property
    def of_bag(self) -> tuple[tuple[float, float], ...]:
        """How well each bag pressure [Pa] agrees with what was seen."""

    @property
    def leading(self) -> WhiteCause:
        """The likeliest cause."""


@functools.lru_cache(maxsize=64)
def grid_of(barometer: float) -> Grid:
    """Return the grid under a barometer [Pa]."""
    ln_p = np.linspace(math.log(LOWEST_PA), math.log(barometer), POINTS)
    p = np.exp(ln_p)
    made = (ln_p, p, boils_at(p + catalogue.evidence().vial_head.si), *chance.edges(ln_p))
    for array in made:
        array.setflags(write=False)
    return Grid(barometer, *made)


@functools.cache
def _water_table() -> "tuple[Floats, Floats]":
    curve = water().curve
    T = np.linspace(curve[0].T_low, TABLE_TOP_K, 2000)
    return np.log(saturation.pressure(curve, T)), T


def boils_at(p: "Floats") -> "Floats":
    """Return where water boils at each pressure [K], held at its table's ends (-10, 105 degC).

    Holding the cold end makes water there seem warmer than it is, which is the deeper side.
    """
    ln_p, T = _water_table()
    return np.interp(np.log(p), ln_p, T)


def _nodes(number: Number) -> "Floats":
    return chance.log_nodes(number.si, number.low_si, number.high_si)


def _thermometer() -> float:
    return catalogue.evidence().thermometer.si / constants.Z95


@functools.cache
def boiling_needs(chip: bool) -> chance.Excess:
    """Return how far over its boiling point [K] water must read before it is seen to boil."""
    e = catalogue.evidence()
    superheat = e.superheat_chip if chip else e.superheat
    return chance.excess([_nodes(superheat), _nodes(e.cooling)], [], _thermometer())


@functools.cache
def quiet_excess() -> chance.Excess:
    """Return how far over the boiling point [K] water reads that fell quiet while bled up."""
    e = catalogue.evidence()
    return chance.excess(
        [_nodes(e.stop_superheat), _nodes(e.lag)], [_nodes(e.overshoot)], _thermometer()
    )


@functools.cache
def bulb_excess() -> chance.Excess:
    """Return how far over the boiling point at its depth [K] a bulb in boiling water reads."""
    return chance.excess([_nodes(catalogue.evidence().bulb_superheat)], [], _thermometer())


@functools.cache
def freezing_needs() -> chance.Excess:
    """Return how far below 0 degC [K] water must boil before it freezes in still vapour."""
    e = catalogue.evidence()
    return chance.excess([_nodes(e.ice_supercooling), _nodes(e.ice_lift)], [], 0.2)


def read_water(temperature: object, name: str = "temperature") -> float:
    """Return a water temperature [K] between freezing and boiling."""
    T = units.one(temperature, "K", name)
    zero = constants.ZERO_CELSIUS_K
    low, high = (t - zero for t in PRACTICAL_WATER_K)
    units.inside(T - zero, low, high, f"{name} of the water", "degC")
    return T


def mistaken(likelihood: "Floats") -> "Floats":
    """Return a likelihood, greatest value one, blended with the chance that it means nothing.

    Such an observation says the same of every pressure: its own average over the grid.
    """
    share = catalogue.evidence().mistake.si
    blended = (1.0 - share) * likelihood + (share * float(likelihood.mean()) + TINY)
    made: Floats = blended / blended.max()
    return made


# Water ----------------------------------------------------------------------------------------


def boiling(grid: Grid, T: float, chip: bool) -> "Floats":
    """Return what it says that water which read T was seen to boil: deeper, by a superheat."""
    return mistaken(boiling_needs(chip).chance_below(T - grid.vial_boils_K))


def quiet(grid: Grid, T: float, chip: bool) -> "Floats":
    """Return what it says that water which read T stayed quiet: little, superheat is ordinary."""
    return mistaken(1.0 - boiling_needs(chip).chance_below(T - grid.vial_boils_K))


def fell_quiet(grid: Grid, T: float) -> "Floats":
    """Return what it says that boiling water fell quiet at T as the bag was bled up."""
    cold, warm = grid.boils_over(catalogue.evidence().vial_head.si)
    return mistaken(quiet_excess().density_over(T - warm, T - cold))


def thermometer(grid: Grid, T: float, depth: float) -> "Floats":
    """Return what a thermometer in boiling water says, settled at T, its bulb at a depth [m]."""
    under = flow.head(WATER_DENSITY, depth)
    cold, warm = grid.boils_over(float(under))
    return mistaken(bulb_excess().density_over(T - warm, T - cold))


def ice(grid: Grid, bleeding: bool) -> "Floats":
    """Return what ice says: below 6 mbar in still vapour, many times that where air is bled in."""
    if bleeding:
        figure = catalogue.evidence().ice_bled
        spread = chance.log_spread(figure.low_si, figure.high_si)
        return mistaken(chance.normal_cdf((math.log(figure.si) - grid.ln_p) / spread))
    below_zero = constants.ZERO_CELSIUS_K - boils_at(grid.p)
    return mistaken(freezing_needs().chance_below(below_zero))


# Syringe, tube, cup, sensor -------------------------------------------------------------------


def syringe(grid: Grid, ratio: float, back: float | None) -> "Floats":
    """Return what it says that trapped air grew to 1/ratio, and coming back up to 1/back.

    Going down the plunger hangs back by its friction, evenly likely anywhere in its range. Coming
    back it hangs back the other way, but only where the bag has more than twice the friction to
    push it with; below that it stays where the deeper pull had left it.
    """
    e = catalogue.evidence()
    friction, here = e.syringe_friction, grid.barometer_Pa
    reading = e.syringe_reading.si / constants.Z95
    down = here * ratio
    sd = reading * down
    rubs = down - grid.p
    least = min(friction.low_si, down)  # a plunger that came so far rubs by no more than is left
    one = chance.slab_over(grid.missed_by(down), least, friction.high_si, sd)
    if back is None:
        return mistaken(one)
    up = here * back
    unlike = e.syringe_asymmetry.si / constants.Z95 * friction.si
    wide = math.hypot(sd, reading * up, unlike)
    moved = chance.normal_cdf((grid.p - FREED * rubs) / (0.3 * np.abs(rubs) + sd))
    off = ((down + up - 2.0 * p) / wide for p in (grid.p_low, grid.p_high))
    came_back = chance.bell_over(*off) / (wide * chance.ROOT_TAU)
    stuck = chance.slab(up - rubs, 0.0, grid.p, wide) / grid.p
    return mistaken(one * (moved * came_back + (1.0 - moved) * stuck))


def tube(grid: Grid, ratio: float) -> "Floats":
    """Return what it says that an inverted tube over oil kept this share of its air."""
    e = catalogue.evidence()
    seen = grid.barometer_Pa * ratio
    sd = (
        math.hypot(e.tube_relative.si * seen, e.tube_reading.si * grid.barometer_Pa) / constants.Z95
    )
    head = e.tube_head
    return mistaken(chance.slab_over(grid.missed_by(seen), head.low_si, head.high_si, sd))


def pull(grid: Grid, difference: float) -> "Floats":
    """Return what a cup's pull says that came to this difference from the atmosphere [Pa]."""
    e = catalogue.evidence()
    sd = e.pull_error.si / constants.Z95 * difference
    short = grid.missed_by(grid.barometer_Pa - difference)
    lost = e.pull_loss.low_si * difference, e.pull_loss.high_si * difference
    return mistaken(chance.slab_over(short, *lost, sd))


def plate(grid: Grid, mass: float, bore: float) -> "Floats":
    """Return what a weighted plate says that lifts: a tacky seat deeper, a wide ring shallower."""
    f = catalogue.rigs()
    clamp = flow.plate_mass(0.0, 1.0, flow.circle(bore))  # kg for one pascal
    difference = mass / float(clamp)
    tacky = f.sticking.high_si  # evenly likely from none to this: its mean, and its blur
    measured = (
        math.hypot(2.0 * f.bore_error.si / bore, f.mass_error.si) / constants.Z95 * difference
    )
    sd = math.hypot(measured, tacky / math.sqrt(12.0))
    wide = 1.0 - (bore / (bore + f.seat_excess.high_si)) ** 2
    under = grid.missed_by(grid.barometer_Pa - difference - 0.5 * tacky)
    return mistaken(chance.slab_over(under, -wide * difference, 0.0, sd))


def sensor(grid: Grid, reading: float, error: float, floor: float | None) -> "Floats":
    """Return what a sensor's reading says, 95 % error; at its floor it says only 'no higher'."""
    sd = max(error, 1.0) / constants.Z95
    if floor is not None and reading <= floor + error:
        low, high = grid.missed_by(max(reading, floor))
        return mistaken(chance.cdf_over(low / sd, high / sd))
    low, high = grid.missed_by(reading)
    return mistaken(chance.bell_over(low / sd, high / sd))


# Resin and pump -------------------------------------------------------------------------------


def milky(grid: Grid, resin: Resin, T: float) -> "Floats":
    """Return what milk in a laminate says: it boiled, or its air came out, or something else."""
    e = catalogue.evidence()
    dry, high = monomer_pressures(resin, (), 1.0, T)
    nominal = sum(p for _, p in dry) + resin.water_activity.si * water_pressure(T)
    high += water_pressure(T)  # an open resin may take up all that the air holds
    middle = math.sqrt(nominal * high)
    spread = max(chance.log_spread(nominal, high), 0.05)
    boiled = chance.normal_cdf((math.log(middle) - grid.ln_p) / spread)
    ln_p, by_air = _air_looks_milky(grid.barometer_Pa, resin, T)
    seen = np.interp(grid.ln_p, ln_p, by_air)
    clear = (1.0 - boiled) * (1.0 - NOT_DEGASSED * seen) * (1.0 - e.milky_otherwise.si)
    return mistaken(1.0 - clear)


@functools.lru_cache(maxsize=64)
def _air_looks_milky(barometer: float, resin: Resin, T: float) -> "tuple[Floats, Floats]":
    """Return ln p, and the chance that the air of resin pulled straight there looks milky.

    By the nominal optical depth of the gas balance, blurred by what each of its numbers moves it by
    and by how differently people see.
    """
    ln_p = np.linspace(math.log(LOWEST_PA), math.log(barometer), MILK_POINTS)
    case = _pulled_straight(barometer, resin, T)
    course, target = course_of(case, None), target_of(case)
    gas = varied(course.known.gas, course.known.ends, ln_p.shape)
    held = run(gas, course.steps(np.exp(ln_p)))
    depth = held.optical_depth(target.fibre_fraction, target.thickness_m)
    ln = np.log(np.clip(depth, FAINTEST, DEEPEST_DEPTH))
    moved = np.abs(np.diff(ln[1:].reshape(-1, 2, ln_p.size), axis=1)[:, 0]) / (2.0 * constants.Z95)
    eye = catalogue.gas().look.milky
    own = chance.log_spread(eye.low_si, eye.high_si)
    blur = np.sqrt(own**2 + np.square(moved).sum(axis=0))
    return ln_p, chance.normal_cdf((ln[0] - math.log(eye.si)) / blur)


def _pulled_straight(barometer: float, resin: Resin, T: float) -> Case:
    """Return a wet layup of resin that was not degassed, thin as where no layup is given."""
    table, process = catalogue.gas(), process_of("wet layup")
    time = table.time.hold_epoxy if resin.family in SLOW_TO_GEL else table.time.hold
    liquid = Liquid(
        resin=resin,
        process=process,
        shop_K=T,
        tool_K=T,
        humidity=1.0,
        barometer_Pa=barometer,
        given_water=resin.water_activity.si,
        contaminants=(),
        core=None,
    )
    air = max(0.0, barometer - vapour(liquid, T).nominal)
    return Case.of(
        liquid,
        hottest=Hottest(T, T, ""),
        entrained=catalogue.practice().margins.entrained.band,
        dissolved_Pa=chance.Band.exact(air),
        trapped=table.laminate.trapped.band,
        connected=table.laminate.connected.band,
        path_open=True,
        low_gas=True,  # gas of the initiator says nothing of the bag
        early_s=0.0,
        hold_s=time.si,
        cup_s=table.time.cup.si,
        fibre_fraction=process.fibre_fraction.si,
        thickness_m=table.look.thickness.si,
        finish=FINISHES[0],
        void_target=table.look.structural.si,
        vapour_share=None,
    )


def white(grid: Grid, of_bag: tuple[tuple[float, float], ...]) -> "Floats":
    """Return what a white laminate says, weighed at some pressures [Pa] and read between them."""
    p, agreement = np.array(of_bag).T
    ln = np.interp(grid.ln_p, np.log(p), np.log(agreement))
    return mistaken(np.exp(ln - ln.max()))


@functools.lru_cache(maxsize=64)
def pump_spread(rig: Rig) -> tuple[float, float]:
    """Return median and standard deviation of the logarithm of what a rig pulls a shut bag to."""
    e, figures = catalogue.evidence(), catalogue.rigs()
    S, kind = rig.pump_displacement, rig.kind
    wear = chance.log_nodes(e.pump_wear.si, e.pump_wear.low_si, e.pump_wear.high_si, PUMP_NODES)
    if rig.pump_ultimate is not None:
        reach = max(rig.pump_ultimate, LOWEST_PA / 10.0) * wear
    elif kind is not None:
        u = kind.ultimate
        reach = chance.log_nodes(u.si, u.low_si, u.high_si, PUMP_NODES) * math.sqrt(e.pump_wear.si)
    else:
        raise InputError("rig says neither the pump's ultimate nor its kind; give one of them")
    if S is None:
        return float(np.log(reach).mean()), max(float(np.log(reach).std()), 0.3)
    leak = e.unknown_leak
    if rig.leak is None:
        leaks = chance.log_nodes(leak.si, leak.low_si, leak.high_si, PUMP_NODES)
    else:
        leaks = rig.leak * np.array([0.7, 0.85, 1.0, 1.15, 1.3])  # a drop test knows it to a third
    share = figures.displacement_share
    speeds = S * np.array([share.low_si, share.si, share.high_si])
    ultimate, q, speed = (x.ravel() for x in np.meshgrid(reach, leaks, speeds, indexing="ij"))
    p = flow.pump_pressure(q, speed, ultimate)
    if rig.hose_size is not None:
        p = flow.bag_pressure(q, p, rig.hose_size.bore_m, rig.hose_size.length_m, SHOP_K)
    ln_p = np.log(p)
    return float(np.median(ln_p)), max(float(ln_p.std()), 0.1)


def pump(grid: Grid, rig: Rig) -> "Floats":
    """Return what the rig says: this pump, perhaps a leak; a bleed can only lift the bag."""
    middle, sd = pump_spread(rig)
    if middle > grid.ln_p[-1]:
        raise OutOfRangeError(
            f"rig: this pump and leak come to {math.exp(middle) / 100:.0f} mbar, above the "
            f"barometer's {grid.barometer_Pa / 100:.0f} mbar"
        )
    away = (grid.ln_p - middle) / sd
    if rig.bleed:
        return mistaken(chance.normal_cdf(away))
    return mistaken(chance.bell(away))
