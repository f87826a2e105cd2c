"""From the numbers of a data sheet to rate constants.

A sheet prints when a standard mass gels, when it is hottest, and how hot. Three numbers give three
unknowns: the induction time, the rate, and how fast the standard mass loses heat, which no sheet
states. The heat of reaction comes from chemistry and not from the peak: to blame a low peak on
little heat would make thick laminates too cool.

Where the gel time is that of a thin film (systems that gel late), it gives the rate, and the
start ratio k1/k2 takes the place of the induction time.

Symbols: as in cure.py; c heat capacity [J/(kg K)], loss of the standard mass [W/K].
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import DataError
from outgas.physics.cure import Kamal, inhibitor_rate, rate, time_to

LOSS_RANGE = (0.003, 3.0)  # W/K: from a cup in a vacuum flask to one in running water
RATIO_RANGE = (0.002, 5.0)
TOLERANCE = 1e-3  # of the logarithms of both times, and of the peak's rise
RTOL = 1e-9
STEP = 3e-4  # of finite differences: well above the solver's own error
STARTING_LOSSES = (0.3, 0.1, 1.0)
STARTING_RATIOS = (0.05, 0.4)
LONGEST = 6.0  # how many stated peak times are followed
SAMPLES = 20000


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A rate law and the heat loss [W/K] of the standard mass that go with a sheet."""

    law: Kamal
    loss: float | None
    residual: float


@dataclass(frozen=True, slots=True)
class CupRun:
    """A standard mass: time of gel, of the peak [s], and the peak temperature [K]."""

    gel: float
    peak_time: float
    peak: float


def cup(law: Kamal, mass: float, c: float, loss: float, T: float, longest: float) -> CupRun:
    """Return what a mass of resin [kg] in air at T does: one temperature, losing loss [W/K]."""
    from scipy.integrate import solve_ivp

    def slope(_: float, y: Any) -> list[float]:
        speed = float(rate(law, y[1], y[2], y[0]))
        cooling = loss / (mass * c) * (y[0] - T)
        return [law.heat / c * speed - cooling, speed, float(inhibitor_rate(law, y[0]))]

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


def _law(shape: Shape, induction: float, k2: float, ratio: float) -> Kamal:
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
    )


def check_sheet(gel: float, peak_time: float, peak: float, T: float, shape: Shape) -> None:
    """Raise DataError, in words, for numbers that contradict each other on their face."""
    ceiling = T + shape.heat / shape.heat_capacity
    if peak_time <= gel:
        raise DataError(
            f"time to peak {peak_time / 60:.0f} min is not after the gel time {gel / 60:.0f} min"
        )
    if not T < peak < ceiling:
        raise DataError(
            f"peak temperature {peak - ZERO_CELSIUS_K:.0f} degC is outside "
            f"{T - ZERO_CELSIUS_K:.0f} to {ceiling - ZERO_CELSIUS_K:.0f} degC, all that the heat "
            "of reaction could reach"
        )


def from_cup(
    gel: float, peak_time: float, peak: float, T: float, mass: float, shape: Shape
) -> Solved:
    """Return the law and the loss that a standard mass's gel, peak time [s] and peak [K] need."""
    from scipy.optimize import least_squares

    check_sheet(gel, peak_time, peak, T, shape)

    def law(q: Any) -> tuple[Kamal, float]:
        induction, k2, loss = np.exp(q)
        return _law(shape, float(induction), float(k2), shape.ratio), float(loss)

    def misses(q: Any) -> list[float]:
        made, loss = law(q)
        run = cup(made, mass, shape.heat_capacity, loss, T, LONGEST * peak_time)
        late = np.log(max(run.peak_time - run.gel, 1.0) / (peak_time - gel))
        return [np.log(run.gel / gel), late, (run.peak - peak) / (peak - T)]

    span = peak_time - gel
    starts = [np.log([0.6 * gel, 0.8 / span, w]) for w in STARTING_LOSSES]
    low = np.log([1e-3 * gel, 1e-3 / peak_time, LOSS_RANGE[0]])
    high = np.log([1.2 * gel, 1e3 / peak_time, LOSS_RANGE[1]])
    found = _closest(
        least_squares(misses, q, bounds=(low, high), diff_step=[STEP] * 3, x_scale=[0.3] * 3)
        for q in starts
    )
    return _checked(*law(found.x), found.fun)


def from_film(
    gel: float,
    T_gel: float,
    shape: Shape,
    *,
    peak_time: float | None = None,
    peak: float | None = None,
    T: float = 0.0,
    mass: float = 0.0,
) -> Solved:
    """Return the law that gives a film's gel time [s] at T_gel, and a mass's peak if stated."""
    from scipy.optimize import least_squares

    def law(ratio: float) -> Kamal:
        trial = _law(shape, 0.0, 1.0, ratio)
        return _law(shape, 0.0, time_to(trial, shape.gel, T_gel) / gel, ratio)

    if peak_time is None or peak is None:
        return Solved(law=law(shape.ratio), loss=None, residual=0.0)
    check_sheet(0.0, peak_time, peak, T, shape)

    def misses(q: Any) -> list[float]:
        made = law(float(np.exp(q[0])))
        longest = LONGEST * peak_time
        run = cup(made, mass, shape.heat_capacity, float(np.exp(q[1])), T, longest)
        return [np.log(run.peak_time / peak_time), (run.peak - peak) / (peak - T)]

    low, high = (np.log([r, w]) for r, w in zip(RATIO_RANGE, LOSS_RANGE, strict=True))
    found = _closest(
        least_squares(misses, q, bounds=(low, high), diff_step=[STEP] * 2, x_scale=[0.5, 0.3])
        for q in (np.log([r, STARTING_LOSSES[0]]) for r in STARTING_RATIOS)
    )
    return _checked(law(float(np.exp(found.x[0]))), float(np.exp(found.x[1])), found.fun)


def _closest(tried: Iterable[Any]) -> Any:
    """Return the first fit that meets the tolerance, else the closest."""
    best: Any = None
    for found in tried:
        if best is None or found.cost < best.cost:
            best = found
        if float(np.max(np.abs(found.fun))) < TOLERANCE:
            break
    return best


def _checked(law: Kamal, loss: float, misses: Any) -> Solved:
    worst = float(np.max(np.abs(misses)))
    if worst > TOLERANCE:
        raise DataError(
            "gel time, time to peak and peak temperature contradict each other: no rate and heat "
            f"loss give all three (they miss by {worst:.0%})"
        )
    return Solved(law=law, loss=loss, residual=worst)
