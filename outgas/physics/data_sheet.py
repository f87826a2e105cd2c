"""From the numbers of a data sheet to rate constants.

A sheet prints when a standard mass gels, when it is hottest, and how hot. Three numbers give three
unknowns: the induction time, the rate, and the conversion at which the reaction stops. The heat of
reaction comes from chemistry, and how fast a cup loses heat from the cup: 100 g have some 120 cm2
of wall and surface. To blame a low peak on the loss alone asks for three times what a cup in air
loses, and such a cup would not warm at all in a cool shop.

Where the gel time is that of a thin film (systems that gel late), it gives the rate, and the
start ratio k1/k2 takes the place of the induction time.

Symbols: as in cure.py; c heat capacity [J/(kg K)] at 25 degC and its slope with temperature
[J/(kg K2)], loss of the standard mass [W/K].
"""

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import DataError
from outgas.physics.cure import REFERENCE_K, Kamal, inhibitor_rate, rate, time_to
from outgas.physics.heat import adiabatic_rise
from outgas.physics.steps.gather import Run, trails_of
from outgas.physics.steps.march import Tolerance
from outgas.physics.steps.output import between

MOST_FINAL = 1.0  # no more than all of it reacts
PAST_GEL = 1.02  # a reaction that stops short of its gel point has no gel time
RATIO_RANGE = (0.002, 5.0)
TOLERANCE = 1e-3  # of the logarithms of both times, and of the peak's rise
RTOL = 1e-9
STEP = 3e-4  # of finite differences: well above the solver's own error
LOSS_SCALE = 0.1  # a heat loss moves less readily than what no one knows
STARTING_FINALS = (0.85, 0.98)
STARTING_RATIOS = (0.05, 0.15, 0.4)
LONGEST = 6.0  # how many stated peak times are followed
SAMPLES = 20000
CUP_TOLERANCE = Tolerance(kelvin=5e-3, conversion=1e-7, share=3e-5, inhibitor=1e-6)  # a step
CUP_PARTS = 16  # of a step, linear between


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """What the sheet does not print: energies [J/mol], orders, k1/k2, heat [J/kg], c, gel point."""

    energy: float
    induction_energy: float
    m: float
    n: float
    ratio: float
    heat: float
    heat_capacity: float
    gel: float
    heat_capacity_slope: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A rate law that goes with a sheet, and the heat loss [W/K] of its standard mass, if any.

    most_final is the final conversion that the largest heat loss asks for, never under the law's.
    """

    law: Kamal
    loss: float | None
    residual: float
    most_final: float


@dataclass(frozen=True, slots=True)
class CupRun:
    """A standard mass: time of gel, of the peak [s], and the peak temperature [K]."""

    gel: float
    peak_time: float
    peak: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cup:
    """A mass of resin [kg] in air at air_K, all at one temperature, that loses loss [W/K]."""

    mass: float
    heat_capacity: float
    loss: float
    air_K: float
    heat_capacity_slope: float = 0.0


def in_cup(law: Kamal, cup: Cup, longest: float) -> CupRun:
    """Return what a cup does by itself, followed for no longer than asked [s]."""
    from scipy.integrate import solve_ivp

    mass, loss, T = cup.mass, cup.loss, cup.air_K
    c, c_slope = cup.heat_capacity, cup.heat_capacity_slope

    def slope(_: float, y: Any) -> list[float]:
        speed = float(rate(law, y[1], y[2], y[0]))
        kept = law.heat * speed - loss / mass * (y[0] - T)
        warmed = kept / (c + c_slope * (y[0] - REFERENCE_K))
        return [warmed, speed, float(inhibitor_rate(law, y[0]))]

    run = solve_ivp(
        slope,
        (0.0, longest),
        [T, law.seed, 0.0],
        method="LSODA",
        rtol=RTOL,
        atol=1e-10,
        dense_output=True,
        max_step=longest / 400.0,
    )
    top = int(np.argmax(run.y[0]))
    if run.sol is None:
        raise DataError("the standard mass could not be followed")
    t = np.linspace(0.0, run.t[min(top + 2, len(run.t) - 1)], SAMPLES)
    y = run.sol(t)
    hottest = int(np.argmax(y[0]))
    gel = float(np.interp(law.gel, y[1], t)) if y[1].max() > law.gel else longest
    return CupRun(gel, float(t[hottest]), float(y[0][hottest]))


def gel_in_cup(law: Kamal, cup: Cup, longest: float) -> float:
    """Return when a cup gels by itself [s], no later than asked; in_cup's, without its peak."""
    return gels_in_cups([(law, cup, longest)])[0]


def gels_in_cups(cups: Sequence[tuple[Kamal, Cup, float]]) -> list[float]:
    """Return when each of some cups gels by itself [s], no later than is asked of it.

    Each is stepped as one cell that loses heat by one face, all of them together, so that no
    solver library has to be loaded.
    """
    found = [longest for _, _, longest in cups]
    for i, trail in trails_of([_one_cell(*each) for each in cups], CUP_TOLERANCE):
        law = cups[i][0]
        t, (_, X) = between(trail, CUP_PARTS)
        if X[0, -1] > law.gel:
            found[i] = float(np.interp(law.gel, X[0], t))
    return found


def _one_cell(law: Kamal, cup: Cup, longest: float) -> Run:
    return Run(
        inner=np.zeros(0),
        capacity=np.array([cup.mass * cup.heat_capacity]),
        steeper=np.array([cup.mass * cup.heat_capacity_slope]),
        source=np.array([cup.mass * law.heat]),
        T=np.array([cup.air_K]),
        law=law,
        faces=((cup.loss, 0.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0, 0.0)),
        times=np.array([0.0]),
        air=np.full((2, 1), cup.air_K),
        start=0.0,
        end=longest,
        asked=(law.gel, 0.0),
        peaks=False,
    )


def _law(shape: Shape, induction: float, k2: float, ratio: float, final: float) -> Kamal:
    return Kamal(
        induction=induction,
        induction_energy=shape.induction_energy,
        k1=ratio * k2,
        k2=k2,
        energy=shape.energy,
        m=shape.m,
        n=shape.n,
        heat=shape.heat,
        gel=shape.gel,
        final=final,
    )


@dataclass(frozen=True, slots=True)
class Losses:
    """The heat loss of the standard mass [W/K]: what is taken first, and its range."""

    usual: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """What a sheet says of a standard mass's peak: when [s], how hot [K], and of which cup.

    mass [kg] of resin in air at air_K [K], that loses so much heat.
    """

    at_s: float
    kelvin: float
    air_K: float
    mass: float
    losses: Losses

    def run(self, law: Kamal, shape: Shape, loss: float) -> CupRun:
        """Return what that mass does by a law, followed well past the stated peak."""
        cup = Cup(
            mass=self.mass,
            heat_capacity=shape.heat_capacity,
            heat_capacity_slope=shape.heat_capacity_slope,
            loss=loss,
            air_K=self.air_K,
        )
        return in_cup(law, cup, LONGEST * self.at_s)

    def too_hot(self, run: CupRun) -> float:
        """Return by which share of the stated rise a run gets too hot."""
        return (run.peak - self.kelvin) / (self.kelvin - self.air_K)


def check_sheet(gel: float, peak: Peak, shape: Shape) -> None:
    """Raise DataError, in words, for numbers that contradict each other on their face."""
    c, slope, T = shape.heat_capacity, shape.heat_capacity_slope, peak.air_K
    ceiling = T + float(adiabatic_rise(1.0, shape.heat, c, slope, T))
    if peak.at_s <= gel:
        raise DataError(
            f"time to peak {peak.at_s / 60:.0f} min is not after the gel time {gel / 60:.0f} min"
        )
    if not T < peak.kelvin < ceiling:
        raise DataError(
            f"peak temperature {peak.kelvin - ZERO_CELSIUS_K:.0f} degC is outside "
            f"{T - ZERO_CELSIUS_K:.0f} to {ceiling - ZERO_CELSIUS_K:.0f} degC, all that the heat "
            "of reaction could reach"
        )


def from_cup(gel: float, peak: Peak, shape: Shape) -> Solved:
    """Return the law that a standard mass's gel time [s] and its peak need."""
    check_sheet(gel, peak, shape)
    span = peak.at_s - gel
    low = [1e-3 * gel, 1e-3 / peak.at_s, PAST_GEL * shape.gel]
    high = [1.2 * gel, 1e3 / peak.at_s, MOST_FINAL]
    starts = [[0.6 * gel, 0.8 / span, final] for final in STARTING_FINALS]

    def law(q: Any) -> Kamal:
        return _law(shape, float(q[0]), float(q[1]), shape.ratio, float(q[2]))

    def misses(made: Kamal, loss: float) -> list[float]:
        run = peak.run(made, shape, loss)
        late = np.log(max(run.peak_time - run.gel, 1.0) / span)
        return [np.log(run.gel / gel), late, peak.too_hot(run)]

    named = ("gel time", "time from gel to peak", "peak temperature")
    return _closed(_Search(law, misses, starts, low, high, [0.3, 0.3, 0.3]), peak.losses, named)


def from_film(gel: float, T_gel: float, shape: Shape, peak: Peak | None = None) -> Solved:
    """Return the law that gives a film's gel time [s] at T_gel, and a mass's peak if stated.

    Where no peak is stated, all of the resin is taken to react: the hot side.
    """

    def law(ratio: float, final: float) -> Kamal:
        trial = _law(shape, 0.0, 1.0, ratio, final)
        return _law(shape, 0.0, time_to(trial, shape.gel, T_gel) / gel, ratio, final)

    if peak is None:
        whole = law(shape.ratio, MOST_FINAL)
        return Solved(law=whole, loss=None, residual=0.0, most_final=MOST_FINAL)
    check_sheet(0.0, peak, shape)
    low, high = zip(RATIO_RANGE, (PAST_GEL * shape.gel, MOST_FINAL), strict=True)
    starts = [[ratio, final] for final in STARTING_FINALS for ratio in STARTING_RATIOS]

    def misses(made: Kamal, loss: float) -> list[float]:
        run = peak.run(made, shape, loss)
        return [np.log(run.peak_time / peak.at_s), peak.too_hot(run)]

    def of(q: Any) -> Kamal:
        return law(float(q[0]), float(q[1]))

    search = _Search(of, misses, starts, low, high, [0.5, 0.3])
    return _closed(search, peak.losses, ("time to peak", "peak temperature"))


@dataclass(frozen=True, slots=True)
class _Search:
    """What is varied to close a cup, between which ends, and by how much the sheet is missed."""

    law: "Callable[[Any], Kamal]"
    misses: "Callable[[Kamal, float], list[float]]"
    starts: "Sequence[Sequence[float]]"
    low: "Sequence[float]"
    high: "Sequence[float]"
    scale: "Sequence[float]"

    def fit(self, loss: float, ends: tuple[float, float] | None = None) -> "_Fit":
        """Return the closest law, with the loss as given, or free between two ends."""
        from scipy.optimize import least_squares

        low, high, scale, more = self.low, self.high, self.scale, []
        if ends is not None:
            low, high = [*low, ends[0]], [*high, ends[1]]
            scale, more = [*scale, LOSS_SCALE], [loss]

        def at(q: Any) -> tuple[Kamal, float]:
            return self.law(np.exp(q)), loss if ends is None else float(np.exp(q[-1]))

        def missed(q: Any) -> list[float]:
            return self.misses(*at(q))

        found = _closest(
            least_squares(
                missed,
                np.log([*start, *more]),
                bounds=(np.log(low), np.log(high)),
                diff_step=[STEP] * len(scale),
                x_scale=scale,
            )
            for start in self.starts
        )
        return _Fit(*at(found.x), found.fun, np.exp(found.x[: len(self.scale)]))


@dataclass(frozen=True, slots=True)
class _Fit:
    """A law, its cup's heat loss, by how much the sheet is missed, and where the search ended."""

    law: Kamal
    loss: float
    misses: Any
    at: Any

    @property
    def worst(self) -> float:
        return float(np.max(np.abs(self.misses)))


def _closest(tried: Iterable[Any]) -> Any:
    """Return the first fit that meets the tolerance, else the closest."""
    best: Any = None
    for found in tried:
        if best is None or found.cost < best.cost:
            best = found
        if float(np.max(np.abs(found.fun))) < TOLERANCE:
            break
    return best


def _closed(search: _Search, losses: Losses, of: tuple[str, ...]) -> Solved:
    """Return the law for the usual heat loss, or one in its range; DataError if for none."""
    found = search.fit(losses.usual)
    if found.worst > TOLERANCE:
        found = search.fit(losses.usual, (losses.low, losses.high))
    if found.worst > TOLERANCE:
        off = ", ".join(f"{name} by {abs(m):.1%}" for name, m in zip(of, found.misses, strict=True))
        raise DataError(
            "gel time, time to peak and peak temperature contradict each other: no rate and final "
            f"conversion give them all in a cup that loses {losses.low:g} to {losses.high:g} W/K "
            f"(at best they miss: {off})"
        )
    leaky = dataclasses.replace(search, starts=[found.at]).fit(losses.high)
    # where the largest loss asks for more than all of it: all
    most = max(leaky.law.final, found.law.final) if leaky.worst <= TOLERANCE else MOST_FINAL
    return Solved(law=found.law, loss=found.loss, residual=found.worst, most_final=most)
