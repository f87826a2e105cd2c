"""Bubbles in resin: growth, collapse and dissolution of many at once, with several gases.

Each bubble sits in the middle of its own cell of liquid and is small, round and free of inertia:

    (1 - f)(4 eta dR/dt / R + s) = sum p_i - p - 2 sigma/R,      f = R^3/(R^3 + 3 V/(4 pi))
    ds/dt = G dh/dt,  h = (5 - 4/l - 1/l^4)/2,  l = R/(R at gel)  (neo-Hookean for constant G)
    d(p_i R^3/(3 Rg T))/dt = R^2 D_i dc_i/dr at the wall,  c_i = H_i p_i/(Rg T) there

1 - f is what a shell of finite thickness leaves of the drag, and of a gel's pull while it is small;
a network that firms while it stretches counts as unstretched since the gel, which lets bubbles grow
rather more than less. Diffusion through the cell is resolved, gas by gas (bubble_grid). H_i is the
Ostwald coefficient: of air a tenth or so, of a condensable its concentration in the resin x Rg T
over its own partial pressure, so that a vapour is a gas with a great store behind it.

All bubbles take the same variable steps of the second-order backward formula (BDF2). Per step the
liquid is eliminated down to two numbers per gas; what is left is a scalar Newton in ln R for each
bubble. Amounts of gas close to rounding, whatever the step. A free bubble that shrinks below
SMALLEST is dissolved: its gas goes to the liquid and it is out of the reckoning.

Symbols: T temperature [K], p pressure in the resin [Pa], eta viscosity [Pa s], G shear modulus
[Pa], sigma surface tension [N/m], D diffusivity [m2/s], R radius [m], V liquid in a cell [m3],
N shells, I gases, B bubbles, K times. SI arrays.
"""

from dataclasses import dataclass, field, fields
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.errors import OutOfRangeError
from outgas.physics.bubble_shells import Floats, Sweep, conductances, faces
from outgas.physics.bubble_start import (
    SMALLEST,
    Bubbles,
    Conditions,
    Growth,
    Histories,
    Moment,
    stiffness,
    strain,
)

Mask: TypeAlias = NDArray[np.bool_]

TOLERANCE = 3e-4  # of ln R, each step
NODES = 40  # Scriven's constants come out within 2 %
FIRST_STEP = 1e-8  # of the whole time: the layer starts as the root of time
# Of the whole time. A bubble past Blake's threshold runs away faster than inertia would let it; in
# a step this short it may go where it ends, and its error is not asked.
SMALLEST_STEP = 1e-13
MOST_STEPS = 100_000
GROWTH = 2.0  # of one step over the last; BDF2 is stable up to 2.41
SHRINK = 0.25
SAFETY = 0.85
LARGEST = 100.0  # of the cell's own radius; beyond it the liquid is a millionth, and all is froth
NEWTON_STEPS = 15
NEWTON_REACH = 0.7  # largest change of ln R in one iteration
NEWTON_SHARE = 1e-3  # of the tolerance
PREDICTED_REACH = 2.0  # largest change of ln R that a prediction may make
TO_VOLUME = 4.0 * np.pi / 3.0


@dataclass(slots=True)
class _State:
    """The live bubbles: three past values of x = ln R, two of the amounts and stresses.

    m is gas in the bubble and u gas in the shells, both per 4 pi/3.
    """

    index: NDArray[np.intp]
    Y: Floats
    least: Floats
    largest: Floats
    free: Mask
    widths: Floats
    nodes: Floats
    gaps: Floats
    first: Floats
    most: Floats
    x: list[Floats]
    m: list[Floats]
    u: list[Floats]
    s: list[Floats]
    h: list[Floats]
    gel: Floats

    def keep(self, mask: Mask) -> "_State":
        """Return the state of some of the bubbles."""

        def kept(value: Any) -> Any:
            return [kept(v) for v in value] if isinstance(value, list) else value[..., mask]

        return _State(*(kept(getattr(self, f.name)) for f in fields(self)))


def _start(bubbles: Bubbles, nodes: int) -> _State:
    B, gases = bubbles.radius.shape[0], bubbles.concentration.shape[0]
    Y = bubbles.liquid / TO_VOLUME
    y = faces(bubbles.radius, Y, nodes)
    widths, centres = np.diff(y, axis=0), 0.5 * (y[1:] + y[:-1])
    gaps = np.diff(centres, axis=0, prepend=0.0)
    x, none = np.log(bubbles.radius), np.zeros(B)
    m = bubbles.gas / TO_VOLUME
    u = widths[:, None, :] * bubbles.concentration[None, :, None]
    assert u.shape == (nodes, gases, B)
    least, free = np.log(np.maximum(bubbles.floor, SMALLEST)), bubbles.floor == 0.0
    largest = np.log(LARGEST * np.cbrt(Y))
    index, total = np.arange(B, dtype=np.intp), m + u.sum(axis=0)
    return _State(
        index, Y, least, largest, free, widths, centres, gaps, total, x, [x] * 3, [m] * 3, [u, u],
        [none] * 2, [none] * 2, none,
    )  # fmt: skip


@dataclass(slots=True)
class _Step:
    """One step tried: its length, the weights of the past, and what came of it."""

    dt: float
    past: tuple[float, float]
    now: Moment
    weights: tuple[float, float] = field(init=False)
    gdt: float = field(init=False)
    share: float = field(init=False)
    x: Floats = field(init=False)
    guess: Floats = field(init=False)
    m: Floats = field(init=False)
    u: Floats = field(init=False)
    s: Floats = field(init=False)
    h: Floats = field(init=False)

    def __post_init__(self) -> None:
        h, (h1, h2) = self.dt, self.past
        w = h / h1
        self.weights = (1.0 + w) ** 2 / (1.0 + 2.0 * w), w * w / (1.0 + 2.0 * w)
        self.gdt = h * (1.0 + w) / (1.0 + 2.0 * w)
        # local errors are these times x''': of the formula, and of the quadratic that predicts
        formula = h**3 * (1.0 + w) ** 2 / (6.0 * w * (1.0 + 2.0 * w))
        predictor = h * (h + h1) * (h + h1 + h2) / 6.0
        self.share = formula / (formula + predictor)

    def past_of(self, values: list[Floats]) -> Floats:
        """Return the formula's weighting of the last two values."""
        found: Floats = self.weights[0] * values[0] - self.weights[1] * values[1]
        return found

    def predict(self, values: list[Floats]) -> Floats:
        """Return the quadratic through the last three values, carried on."""
        h, (h1, h2) = self.dt, self.past
        slope = (values[0] - values[1]) / h1
        bend = (slope - (values[1] - values[2]) / h2) / (h1 + h2)
        reach = h * slope + h * (h + h1) * bend
        found: Floats = values[0] + np.clip(reach, -PREDICTED_REACH, PREDICTED_REACH)
        return found


@dataclass(frozen=True, slots=True)
class _Wall:
    """What a bubble's liquid is down to at the end of a step: two numbers per gas, and its drag.

    The gas of a bubble of radius R pushes with supply R T / (R^3 + store), gas by gas.
    """

    store: Floats
    supply: Floats
    drag: Floats


def _newton(step: _Step, state: _State, wall: _Wall, sigma: float, close: float) -> Floats | None:
    """Return ln R that balances each bubble at the end of the step, or None if none was found."""
    now, drag = step.now, wall.drag
    rate = 4.0 * now.eta / step.gdt
    x_past, s_past, h_past = (step.past_of(v) for v in (state.x, state.s, state.h))
    x = np.clip(step.guess, state.least, state.largest)
    for _ in range(NEWTON_STEPS):
        R = np.exp(x)
        cube = R**3
        room = cube + wall.store
        share = now.RT * wall.supply / room
        tension = 2.0 * sigma / R
        balance = drag * rate * (x - x_past) - share.sum(axis=0) + now.p + tension
        slope = drag * rate + 3.0 * cube * (share / room).sum(axis=0) - tension
        if now.G > 0.0:
            stretch = x - state.gel
            balance += drag * (s_past + now.G * (strain(stretch) - h_past))
            slope += drag * now.G * stiffness(stretch)
        # past Blake's threshold the slope turns: walk downhill there instead of to a false root
        move = np.clip(-balance / np.where(slope > 0.0, slope, np.inf), -NEWTON_REACH, NEWTON_REACH)
        move = np.where(slope > 0.0, move, np.sign(-balance) * NEWTON_REACH)
        moved: Floats = np.clip(x + move, state.least, state.largest)
        change = float(np.max(np.abs(moved - x)))
        x = moved
        if change < close:
            return x
        if not np.isfinite(change):
            return None
    return None


class _Run:
    """The stepping of one population."""

    def __init__(self, c: Conditions, b: Bubbles, times: Floats, tol: float, nodes: int) -> None:
        self.sigma, self.tol = c.surface_tension, tol
        self.at = Histories(c)
        self.state = _start(b, nodes)
        gases, B = b.gas.shape
        self.sweep = Sweep(nodes, gases, B)
        self.times = times
        self.radius = np.zeros((times.shape[0], B))
        self.gas = np.zeros((times.shape[0], gases, B))
        self.dissolved_at = np.full(B, np.inf)
        self.error = np.zeros(gases)
        self.written = 0
        self.elastic = False

    def attempt(self, step: _Step) -> float:
        """Try one step; return its error as a multiple of the tolerance, infinite if it failed."""
        state, now = self.state, step.now
        step.guess = np.minimum(step.predict(state.x), state.largest)
        R = np.exp(step.guess)
        ways = conductances(R, state.nodes, state.gaps)
        s = ways[:, None, :] * (step.gdt * now.D)
        held = step.weights[0] * state.u[0]
        held -= step.weights[1] * state.u[1]
        E, drawn = self.sweep.inward(s, state.widths, held)
        A = E * now.H
        B = step.past_of(state.m) + drawn
        drag = state.Y / (R**3 + state.Y)
        x = _newton(step, state, _Wall(A, B, drag), self.sigma, NEWTON_SHARE * self.tol)
        if x is None:
            return np.inf
        cube = np.exp(3.0 * x)
        wall = B / (cube + A) * now.H  # Ostwald x amount per volume of the bubble
        step.x, step.m = x, wall * cube / now.H
        step.u = held  # its room is free again
        self.sweep.outward(wall, step.u)
        step.u *= state.widths[:, None, :]
        step.h = strain(x - state.gel) if self.elastic else state.h[0]
        step.s = step.past_of(state.s) + now.G * (step.h - step.past_of(state.h))
        # a bubble on its way out counts by the volume it has left of the most it had: timing its
        # last moments by the relative radius would cost a thousand steps and change nothing
        size = np.exp(3.0 * np.minimum(np.minimum(x, state.x[0]) - state.most, 0.0))
        return float(np.max(np.abs(x - step.guess) * size)) * step.share / self.tol

    def accept(self, step: _Step, t: float) -> None:
        """Take the step that ended at t."""
        state = self.state
        gone = state.free & (step.x <= state.least)
        ends = self.ends(step, t) if gone.any() else None
        self.write(step, t, gone, ends)
        if gone.any():
            step.u[0] += np.where(gone, step.m, 0.0)
            self.close(step.u[..., gone].sum(axis=0), state.first[..., gone])
            assert ends is not None
            self.dissolved_at[state.index[gone]] = ends[gone]
        state.x = [step.x, *state.x[:2]]
        state.most = np.maximum(state.most, step.x)
        state.m = [step.m, *state.m[:2]]
        state.u = [step.u, state.u[0]]
        state.s, state.h = [step.s, state.s[0]], [step.h, state.h[0]]
        if gone.any():
            self.state = state.keep(~gone)
            self.sweep = Sweep(*self.state.u[0].shape)

    def ends(self, step: _Step, t: float) -> Floats:
        """Return when within the step R^2, which falls evenly near its end, comes to nothing."""
        now, before = np.exp(2.0 * self.state.x[0]), np.exp(2.0 * self.state.x[1])
        fall = np.maximum(before - now, now * step.past[0] / step.dt)  # no later than t
        found: Floats = t - step.dt + now * step.past[0] / fall
        return found

    def close(self, last: Floats, first: Floats) -> None:
        """Note how far amounts have strayed."""
        if last.size:
            off = np.abs(last - first) / np.where(first > 0.0, first, 1.0)
            self.error = np.maximum(self.error, off.max(axis=1))

    def write(self, step: _Step, t: float, gone: Mask, ends: Floats | None) -> None:
        """Write radii and gas at the times asked for up to t, by the quadratic through the step."""
        state = self.state
        t0, t1 = t - step.dt, t - step.dt - step.past[0]
        while self.written < self.times.shape[0] and self.times[self.written] <= t:
            at, k = self.times[self.written], self.written
            a = (at - t0) * (at - t1) / ((t - t0) * (t - t1))
            b = (at - t) * (at - t1) / ((t0 - t) * (t0 - t1))
            c = (at - t) * (at - t0) / ((t1 - t) * (t1 - t0))
            R = np.exp(np.maximum(a * step.x + b * state.x[0] + c * state.x[1], state.least))
            m = a * step.m + b * state.m[0] + c * state.m[1]
            if ends is not None:  # those that end in this step: R^2 falls evenly to nothing
                left = np.sqrt(np.clip((ends - at) / (ends - t0), 0.0, 1.0))
                R = np.where(gone, np.exp(state.x[0]) * left, R)
                m = np.where(gone, state.m[0] * left**3, m)
            self.radius[k, state.index] = R
            self.gas[k][:, state.index] = np.maximum(m, 0.0) * TO_VOLUME
            self.written += 1


def grow(
    conditions: Conditions,
    bubbles: Bubbles,
    times: Floats,
    *,
    tolerance: float = TOLERANCE,
    nodes: int = NODES,
) -> Growth:
    """Return what becomes of a population under histories of pressure, heat and cure.

    times must rise and lie within the histories; the first is the start. tolerance is the error of
    ln R allowed per step, nodes the shells of liquid round each bubble. Raises OutOfRangeError.
    """
    first, last = float(conditions.time[0]), float(conditions.time[-1])
    if times.shape[0] < 1 or times[0] < first or times[-1] > last or np.any(np.diff(times) <= 0):
        raise OutOfRangeError("times asked for must rise and lie within the histories")
    if not 1e-9 < tolerance < 0.1 or not 4 <= nodes <= 2000:
        raise OutOfRangeError("tolerance must be 1e-9 to 0.1 and nodes 4 to 2000")
    if bubbles.concentration.shape[0] != conditions.solubility.shape[1]:
        raise OutOfRangeError("each gas needs a solubility, a diffusivity and an amount")
    run = _Run(conditions, bubbles, times, tolerance, nodes)
    span = last - first
    t, dt, least = first, FIRST_STEP * span, SMALLEST_STEP * span
    past = (dt, dt)
    if times[0] == first:
        run.radius[0], run.gas[0], run.written = bubbles.radius, bubbles.gas, 1
    stops = run.at.corners()
    steps = 0
    while run.written < times.shape[0] and run.state.index.size:
        stop = float(stops[np.searchsorted(stops, t, side="right")])
        lands = t + 1.01 * dt >= stop
        length = stop - t if lands else dt
        step = _Step(length, past, run.at(stop if lands else t + length))
        if step.now.G > 0.0 and not run.elastic:
            run.elastic, run.state.gel = True, run.state.x[0]
        error = run.attempt(step)
        factor = SAFETY * error ** (-1.0 / 3.0) if error > 0.0 else GROWTH
        if not (error <= 1.0 or (np.isfinite(error) and length <= least)):
            if length <= least:
                raise OutOfRangeError(f"the bubbles could not be followed past {t:.6g} s")
            dt = max(length * max(SHRINK, min(factor, 0.9)), least)
            continue
        t = stop if lands else t + length
        run.accept(step, t)
        past = (length, past[0])
        dt = max(length * min(GROWTH, max(SHRINK, factor)), least)
        steps += 1
        if steps > MOST_STEPS:
            raise OutOfRangeError(f"the bubbles took more than {MOST_STEPS} steps")
    run.close(run.state.u[0].sum(axis=0) + run.state.m[0], run.state.first)
    return Growth(times, run.radius, run.gas, run.dissolved_at, run.error, steps)
