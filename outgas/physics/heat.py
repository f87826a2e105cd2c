"""Heat through a bagged laminate: conduction across its layers, with the reaction's own heat.

One dimension, finite volumes, from the tool's underside (0) to the bag's face. Each cell has a
temperature, and where resin is, a conversion and the used-up share of its inhibitor:

    rho c(T) dT/dt = d/dx(k dT/dx) + m H dX/dt

A face in still air radiates, and warms air that then rises by itself:

    h = emissivity sigma (T^4 - Ta^4) / (T - Ta) + B ((T - Ta) / L)^(1/4)

Symbols: k conductivity [W/(m K)], C heat capacity per volume [J/(m3 K)], m resin per volume
[kg/m3], H heat of reaction [J/kg], h film coefficient [W/(m2 K)], T the wall's and Ta the air's
temperature. SI floats and arrays.

Source: the quarter power is that of laminar free convection, with B for room air as handbooks of
heat transfer simplify it (from memory).
"""

import functools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import STEFAN_BOLTZMANN
from outgas.errors import OutOfRangeError
from outgas.physics.cure import REFERENCE_K, Kinetics
from outgas.physics.steps.gather import Run, trails_of
from outgas.physics.steps.march import Tolerance
from outgas.physics.steps.output import at_times, between

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

RTOL, ATOL = 1e-8, 1e-9  # temperatures then lie within some mK of a run at 1e-10
# What a step may be off by: in temperature, in conversion near none, as a share of it or of what
# is used up of the inhibitor. A little conversion early moves the gel by much, and with it all.
KELVIN, TINY, SHARE, WAIT = 2e4, 1.0, 100.0, 3.0
PARTS = 4  # of each own step
FINEST_CELLS = 3  # through a layer of laminate, however thin
COARSEST_CELLS = 2  # through any other layer
WALL_STEPS = 4  # of Newton, for a wall: a thick cell of foam needs them, a thin one two


@dataclass(frozen=True, slots=True, kw_only=True)
class Slabs:
    """Layers from the tool's underside to the bag: plain arrays, one entry a layer.

    thickness [m], conductivity [W/(m K)], capacity [J/(m3 K)] at 25 degC and its slope with
    temperature [J/(m3 K2)], resin [kg/m3, 0 where none].
    """

    thickness: "Floats"
    conductivity: "Floats"
    capacity: "Floats"
    resin: "Floats"
    capacity_slope: "Numbers" = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """How a face in still air loses heat: by radiation, and to air that rises by itself.

    rising is B / L^(1/4) [W/(m2 K^(5/4))], the film coefficient at one kelvin without radiation.
    """

    emissivity: float
    rising: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What lies beyond both faces; temperatures [K] against time [s], linear between points.

    A film is a coefficient [W/(m2 K)], 0 for a face that passes no heat, or the law of a face in
    still air. sun is what the bag's face takes up
    [W/m2].
    """

    film_tool: float | Film
    film_bag: float | Film
    times: "Floats"
    under: "Floats"
    over: "Floats"
    sun: float = 0.0


@dataclass(frozen=True, kw_only=True)
class HeatRun:
    """Temperatures [K] and conversions by cell (rows) and time (columns), and where they are.

    x [m] from the tool's underside; layer is the index of the slab that a cell lies in. What is
    asked of a run again and again, of the cells where resin is alone, is worked out once.
    """

    t: "Floats"
    x: "Floats"
    layer: "NDArray[np.intp]"
    T: "Floats"
    X: "Floats"
    reacts: "NDArray[np.bool_]"

    @functools.cached_property
    def wet_T(self) -> "Floats":
        """The temperatures where resin is [K]."""
        return self.T[self.reacts]

    @functools.cached_property
    def wet_X(self) -> "Floats":
        """The conversions where resin is."""
        return self.X[self.reacts]

    @functools.cached_property
    def warmest(self) -> "Floats":
        """The warmest that each cell with resin has been by each time [K]."""
        return np.asarray(np.maximum.accumulate(self.wet_T, axis=1))

    @functools.cached_property
    def least_X(self) -> "Floats":
        """The least conversion at each time where resin is."""
        return np.asarray(self.wet_X.min(axis=0))

    @functools.cached_property
    def most_X(self) -> "Floats":
        """The greatest conversion at each time."""
        return np.asarray(self.wet_X.max(axis=0))


def steady(
    T: float, film_tool: float | Film, film_bag: float | Film, sun: float = 0.0
) -> Surroundings:
    """Return surroundings at one temperature on both sides."""
    flat = np.array([T, T])
    return Surroundings(
        film_tool=film_tool,
        film_bag=film_bag,
        times=np.array([0.0, 1.0]),
        under=flat,
        over=flat,
        sun=sun,
    )


def cells_for(slabs: Slabs, cells: int) -> "NDArray[np.intp]":
    """Return how many cells each layer gets: by the square root of its diffusion time.

    Reacting layers get no fewer than a third of an even share, so that thin skins are resolved.
    """
    resistance = slabs.thickness / np.sqrt(slabs.conductivity / slabs.capacity)
    even = np.where(slabs.resin > 0.0, np.maximum(resistance, resistance.mean() / 3.0), resistance)
    least = np.where(slabs.resin > 0.0, FINEST_CELLS, COARSEST_CELLS)
    return np.asarray(np.maximum(least, np.round(cells * even / even.sum())).astype(np.intp))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """The layers cut into cells: an entry a cell, and of inner one a face between two of them."""

    layer: "NDArray[np.intp]"
    dx: "Floats"
    half: "Floats"  # resistance from a cell's middle to its face
    inner: "Floats"
    capacity: "Floats"
    steeper: "Floats"
    source: "Floats"  # J/m2 per unit of conversion

    @property
    def reacts(self) -> "NDArray[np.bool_]":
        """Where resin gives heat."""
        return self.source > 0.0

    @property
    def x(self) -> "Floats":
        """The middle of each cell [m]."""
        edges = np.concatenate([[0.0], np.cumsum(self.dx)])
        return np.asarray(0.5 * (edges[:-1] + edges[1:]))


def _grid_of(slabs: Slabs, cells: int, heat: float) -> _Grid:
    if np.any(slabs.thickness <= 0.0):
        raise OutOfRangeError("a layer has no thickness")
    n = cells_for(slabs, cells)
    layer = np.repeat(np.arange(n.size), n)
    dx = (slabs.thickness / n)[layer]
    half = 0.5 * dx / slabs.conductivity[layer]
    return _Grid(
        layer=layer,
        dx=dx,
        half=half,
        inner=1.0 / (half[:-1] + half[1:]),
        capacity=slabs.capacity[layer] * dx,
        steeper=np.broadcast_to(slabs.capacity_slope, n.shape)[layer] * dx,
        source=slabs.resin[layer] * dx * heat,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatCase:
    """Layers, how their resin reacts, what surrounds them, each layer's start [K], the end [s].

    asked: the run may end before, once all its resin has come to a conversion, at 25 degC and more
    by the kelvin, and nothing will warm again; then it is the same run, cut short, and its hottest
    and coldest are those of the whole.
    """

    slabs: Slabs
    law: Kinetics
    around: Surroundings
    start: "Numbers"
    end: float
    asked: tuple[float, float] = (np.inf, 0.0)


def solve(
    slabs: Slabs,
    law: Kinetics,
    around: Surroundings,
    start: "Numbers",
    times: "Floats",
    *,
    cells: int = 60,
    rtol: float = RTOL,
    atol: float = ATOL,
    own_steps: bool = False,
) -> HeatRun:
    """Return temperature and conversion through the layers at the times asked for.

    Parameters
    ----------
    slabs, law, around
        Layers, how the resin reacts, what surrounds them.
    start
        Temperature of each layer at the start [K], or one for all.
    times
        Increasing [s]; the first is the start.
    cells
        How many through everything; layers get theirs by cells_for.
    rtol, atol
        Of the stepper: a step may be off by KELVIN times rtol [K] in temperature, and in conversion
        by TINY times atol and SHARE times rtol of what has reacted.
    own_steps
        Whether the stepper's own steps, each cut into parts, are added to times: they are short
        where things happen fast, so that no peak falls between two times.

    Raises
    ------
    OutOfRangeError
        Where a layer has no thickness, or the stepper cannot go on.
    """
    times = np.asarray(times, dtype=float)
    case = HeatCase(slabs=slabs, law=law, around=around, start=start, end=float(times[-1]))
    grid = _grid_of(slabs, cells, law.heat)
    run = _run_of(case, grid, float(times[0]))
    ((_, trail),) = trails_of([run], _tolerance(rtol, atol))
    t = times
    if own_steps:
        t = np.unique(np.concatenate([times, between(trail, PARTS)[0]]))
    return _heat_run(grid, t, at_times(trail, t))


def solve_many(
    cases: "Sequence[HeatCase]",
    *,
    cells: int = 60,
    rtol: float = RTOL,
    atol: float = ATOL,
) -> "Iterator[tuple[int, HeatRun]]":
    """Step many cases together from time 0, and give the number of each with its run.

    Each takes the steps that it would take alone; its times are those steps, cut into parts, up to
    its end, or to where it has settled. They come in an order of their own, some at a time, so that
    who reads and drops them never holds many.
    """
    grids = [_grid_of(case.slabs, cells, case.law.heat) for case in cases]
    runs = [_run_of(case, grid, 0.0) for case, grid in zip(cases, grids, strict=True)]
    for i, trail in trails_of(runs, _tolerance(rtol, atol)):
        yield i, _heat_run(grids[i], *between(trail, PARTS))


def _tolerance(rtol: float, atol: float) -> Tolerance:
    return Tolerance(
        kelvin=KELVIN * rtol, conversion=TINY * atol, share=SHARE * rtol, inhibitor=WAIT * rtol
    )


def _heat_run(grid: _Grid, t: "Floats", values: "Floats") -> HeatRun:
    return HeatRun(
        t=t,
        x=grid.x,
        layer=grid.layer,
        T=values[0],
        # a step may overshoot by its tolerance; conversion only rises
        X=np.maximum.accumulate(np.clip(values[1], 0.0, 1.0), axis=1),
        reacts=grid.reacts,
    )


def _run_of(case: HeatCase, grid: _Grid, start: float) -> Run:
    """Return a case as the arrays that are stepped."""
    around, layers = case.around, case.slabs.thickness.shape
    films = zip(
        (around.film_tool, around.film_bag), grid.half[[0, -1]], (0.0, around.sun), strict=True
    )
    under, over = (_face(film, float(half), gain) for film, half, gain in films)
    return Run(
        inner=grid.inner,
        capacity=grid.capacity,
        steeper=grid.steeper,
        source=grid.source,
        T=np.broadcast_to(np.asarray(case.start, dtype=float), layers)[grid.layer],
        law=case.law,
        faces=(under, over),
        times=np.asarray(around.times, dtype=float),
        air=np.stack([around.under, around.over]),
        start=start,
        end=case.end,
        asked=case.asked,
    )


def _face(film: float | Film, half: float, gain: float) -> tuple[float, ...]:
    """Return a face as its constant, radiating and rising parts, what lies before it, its gain."""
    if isinstance(film, Film):
        return 0.0, film.emissivity * STEFAN_BOLTZMANN, film.rising, half, gain
    return max(film, 0.0), 0.0, 0.0, half, gain


def coefficient(film: Film, wall: "Numbers", air: "Numbers") -> "Numbers":
    """Return the film coefficient [W/(m2 K)] of a wall in still air; temperatures in K.

    A warm laminate a few kelvin over the shop, and at its peak:

    >>> bag = Film(emissivity=0.9, rising=1.32 / 0.4**0.25)
    >>> [round(float(coefficient(bag, 298.15 + rise, 298.15)), 1) for rise in (3.0, 111.0)]
    [7.7, 14.6]
    """
    radiation = film.emissivity * STEFAN_BOLTZMANN * (wall + air) * (wall * wall + air * air)
    return np.asarray(radiation + film.rising * np.abs(wall - air) ** 0.25)


def wall_temperature(
    film: Film, inner: "Numbers", air: "Numbers", half: "Numbers", gain: "Numbers" = 0.0
) -> "Numbers":
    """Return the temperature of a wall [K] that a resistance half [m2 K/W] parts from inner.

    What comes through that, and the gain [W/m2] of the sun, leaves by the film. A fixed number of
    Newton's steps, so that the answer is smooth in all it depends on.
    """
    T = inner
    for _ in range(WALL_STEPS):
        over = np.abs(T - air) ** 0.25
        radiated = film.emissivity * STEFAN_BOLTZMANN * (T**4 - air**4)
        out = radiated + film.rising * over * (T - air)
        steep = 4.0 * film.emissivity * STEFAN_BOLTZMANN * T**3 + 1.25 * film.rising * over
        T = T - (T - inner + half * (out - gain)) / (1.0 + half * steep)
    return T


def adiabatic_rise(
    resin: "Numbers",
    heat: "Numbers",
    capacity: "Numbers",
    slope: "Numbers" = 0.0,
    start: "Numbers" = REFERENCE_K,
) -> "Numbers":
    """Return the rise [K] of a layer that loses nothing: resin [kg/m3] x heat / capacity.

    capacity is that at 25 degC and slope how it grows [J/(m3 K2)]; start is where the rise begins.
    """
    at = capacity + slope * (start - REFERENCE_K)
    given = resin * heat
    # the smaller root of slope/2 rise^2 + at rise = given, in the form that slope 0 does not break
    return np.asarray(2.0 * given / (at + np.sqrt(at * at + 2.0 * slope * given)))


def across_fibres(k_resin: float, k_fibre: float, V: float) -> float:
    """Return the conductivity across the fibres of a laminate with fibre fraction V.

    Halpin and Tsai's form with a shape number of one (from memory).

    >>> round(across_fibres(0.2, 1.1, 0.45), 2)
    0.38
    """
    ratio = (k_fibre / k_resin - 1.0) / (k_fibre / k_resin + 1.0)
    return k_resin * (1.0 + ratio * V) / (1.0 - ratio * V)
