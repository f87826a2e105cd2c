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

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import STEFAN_BOLTZMANN
from outgas.errors import OutOfRangeError
from outgas.physics.cure import REFERENCE_K, Kinetics, speeds

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

RTOL, ATOL = 1e-8, 1e-9  # temperatures then lie within some mK of a run at 1e-10
FINEST_CELLS = 3  # through a layer of laminate, however thin
COARSEST_CELLS = 2  # through any other layer
PER_CELL = 3  # unknowns: temperature, conversion, inhibitor
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


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatRun:
    """Temperatures [K] and conversions by cell (rows) and time (columns), and where they are.

    x [m] from the tool's underside; layer is the index of the slab that a cell lies in.
    """

    t: "Floats"
    x: "Floats"
    layer: "NDArray[np.intp]"
    T: "Floats"
    X: "Floats"
    reacts: "NDArray[np.bool_]"


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
        Of the solver.
    own_steps
        Whether the solver's own steps and their middles are added to times: they are short where
        things happen fast, so that no peak falls between two times.

    Raises
    ------
    OutOfRangeError
        Where a layer has no thickness, or the solver cannot go on.
    """
    from scipy.integrate import solve_ivp

    grid = _grid_of(slabs, cells, law.heat)
    layers, y = slabs.thickness.shape, np.zeros(PER_CELL * grid.layer.size)
    y[0::PER_CELL] = np.broadcast_to(np.asarray(start, dtype=float), layers)[grid.layer]
    y[1::PER_CELL] = np.where(grid.reacts, law.seed, 0.0)
    run = solve_ivp(
        _slope(grid, law, around),
        (float(times[0]), float(times[-1])),
        y,
        method="LSODA",
        lband=PER_CELL,
        uband=PER_CELL,
        rtol=rtol,
        atol=atol,
        t_eval=None if own_steps else times,
        dense_output=own_steps,
    )
    if not run.success or not np.all(np.isfinite(run.y)):
        raise OutOfRangeError(f"the heat in these layers could not be followed: {run.message}")
    t, values = run.t, run.y
    if run.sol is not None:
        t = np.unique(np.concatenate([times, run.t, 0.5 * (run.t[:-1] + run.t[1:])]))
        values = run.sol(t)
    return HeatRun(
        t=np.asarray(t),
        x=grid.x,
        layer=grid.layer,
        T=values[0::PER_CELL],
        X=np.clip(values[1::PER_CELL], 0.0, 1.0),
        reacts=grid.reacts,
    )


def _slope(grid: _Grid, law: Kinetics, around: Surroundings) -> "Callable[[float, Floats], Floats]":
    """Return how fast all unknowns change, as a function of time and of them.

    It is called some thousand times a run, so all that does not change is worked out before.
    """
    out = np.zeros(PER_CELL * grid.layer.size)
    dT = out[0::PER_CELL]
    conduct, react = _conduction(grid, around, dT), _reaction(grid, law, out)
    capacity, steeper, even = grid.capacity, grid.steeper, not grid.steeper.any()

    def slope(t: float, y: "Floats") -> "Floats":
        T = y[0::PER_CELL]
        conduct(t, T)
        if react is not None:
            react(y)
        np.divide(dT, capacity if even else capacity + steeper * (T - REFERENCE_K), out=dT)
        return out.copy()

    return slope


def _conduction(
    grid: _Grid, around: Surroundings, into: "Floats"
) -> "Callable[[float, Floats], None]":
    """Return what puts into each cell what flows in from its sides [W/m2]."""
    flux, inner = np.empty(grid.layer.size + 1), grid.inner
    down = _leaving(around.film_tool, float(grid.half[0]), 0.0)
    up = _leaving(around.film_bag, float(grid.half[-1]), around.sun)
    still = float(np.ptp(around.under)) == 0.0 and float(np.ptp(around.over)) == 0.0
    under, over = float(around.under[0]), float(around.over[0])

    def conduct(t: float, T: "Floats") -> None:
        below, above = under, over
        if not still:
            below = float(np.interp(t, around.times, around.under))
            above = float(np.interp(t, around.times, around.over))
        np.subtract(T[:-1], T[1:], out=flux[1:-1])
        flux[1:-1] *= inner
        flux[0] = -down(float(T[0]), below)
        flux[-1] = up(float(T[-1]), above)
        np.subtract(flux[:-1], flux[1:], out=into)

    return conduct


def _reaction(grid: _Grid, law: Kinetics, into: "Floats") -> "Callable[[Floats], None] | None":
    """Return what puts in the rates and adds their heat; None where nothing reacts."""
    if not grid.reacts.any():
        return None
    inside = np.flatnonzero(grid.reacts)
    low, high = int(inside[0]), int(inside[-1]) + 1
    reacts, heating, both = grid.reacts[low:high], grid.source[low:high], speeds(law)
    inert = None if reacts.all() else ~reacts  # a core between the skins
    dT, dX, dz = (into[i::PER_CELL][low:high] for i in range(PER_CELL))

    def react(y: "Floats") -> None:
        T, X, z = y[0::PER_CELL], y[1::PER_CELL], y[2::PER_CELL]
        dX[:], dz[:] = both(X[low:high], z[low:high], T[low:high])
        if inert is not None:
            dX[inert] = 0.0
        np.add(dT, heating * dX, out=dT)

    return react


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


def _leaving(film: float | Film, half: float, gain: float) -> "Callable[[float, float], float]":
    """Return what leaves a face [W/m2] as a function of its cell's and the air's temperature."""
    if isinstance(film, Film):

        def still(inner: float, air: float) -> float:
            return (inner - float(wall_temperature(film, inner, air, half, gain))) / half

        return still
    g = 0.0 if film <= 0.0 else 1.0 / (1.0 / film + half)
    taken = gain * g / film if film > 0.0 else gain
    return lambda inner, air: g * (inner - air) - taken


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
