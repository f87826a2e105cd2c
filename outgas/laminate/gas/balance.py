"""The gas of a laminate: what comes out of the resin, what leaves, and what goes back.

All of it per unit volume of resin, carried through the steps of a job. Air is counted as pressure
times volume, so that free and dissolved air add up and neither needs a temperature or a mass.

G total air, free and dissolved [Pa]    V free gas per volume of resin    n bubbles [1/m3]
x = p - p_v, the pressure left for air [Pa]    L Ostwald solubility    D diffusivity of air [m2/s]

Nuclei. Entrained bubbles are there from the start, n_e = e / (4/3 pi R_e^3). Pockets of air between
filaments open when the supersaturation exceeds what surface tension holds, 2 sigma cos(theta) / r;
for pockets of many sizes, n = n_e + n_1 min(1, (p_air - x) / 1 atm)^m with n_1 = 3 / (4 pi s_1^3).
Boiling opens them all, and none closes again.

Growing, with V_eq = max(0, G / x - L) above what is free: each bubble drains a cell of radius s,
s^3 = 3 / (4 pi n), in the slowest mode of diffusion: a share y = 1 - exp(-t pi^2 D / s^2) of the
way is gone (Crank, The Mathematics of Diffusion, 1975, chapter 6: the first term of the sphere).

Shrinking: V - V_eq falls as (1 - t / t_d)^1.5 with t_d = R^2 / (2 D L max(least, 1 - x_d / x)), x_d
the pressure of the dissolved air: quasi-steady dissolution without surface tension, R^2 straight
in time (Epstein and Plesset 1950). The least drive stands for surface tension.

Leaving. While the path out is open, free gas over V_r = S_r / (1 - S_r) connects and leaves:
V = V_r, and G falls by y max(0, G - (V_r + L) x - d) with d = (1 - c) max(0, G_0 - (V_r + L) x).
c is the share that connects over all steps together, G_0 all the air there ever was. S_r, c and
the exponents are estimates: a laminate of bubbles has not been measured that way.

Boiling (x <= 0), path open: trapped saturation S_r + dS min(1, p_v / p - 1)^(1/3) (a guess), and
the same law of leaving with x -> 0 and the nuclei of a pull to just above boiling: boiling strips
no more air than that. Path shut: froth without limit.

Gas of the initiator: y_i resin volumes at 1 atm by a first-order decay from mixing. What comes in
the cup is gone, what comes in a step joins G there.

SI floats and arrays; all fields of a Gas and of a Step broadcast against each other.
"""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.laminate.gas.held import FEWEST, SPHERE, Held, Outcome
from outgas.physics.air import SEA_LEVEL_PA

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Flags: TypeAlias = NDArray[np.bool_]
    Numbers: TypeAlias = float | Floats

LEAST_PA = 1.0  # no pump goes deeper: keeps ratios to a pressure finite


@dataclass(frozen=True, slots=True, kw_only=True)
class Gas:
    """The numbers of one gas balance; each a float, or an array over cases and draws.

    Attributes
    ----------
    trapped
        Share S_r of the pore space that gas fills before it connects and leaves.
    connected
        Share c of the gas over that which connects, over all steps together.
    boiling_extra
        What boiling adds to the trapped share, at the most.
    spacing_m
        Radius of a cell, s_1, with all pockets open; inf where there are no fibres.
    exponent
        How steeply the pockets open with supersaturation, m.
    entrained, entrained_radius_m
        Air stirred in, per volume of resin at the pressure of mixing, and its bubbles' radius.
    diffusivity_m2_s, solubility
        D and L of air in the resin.
    least_drive
        Least share of its pressure with which a bubble dissolves in saturated resin.
    mixed_Pa, mixed_vapour_Pa
        Pressure and vapour pressure when the air was stirred in.
    air_Pa
        Pressure of the dissolved air, p_air: for resin stirred in open air mixed_Pa less
        mixed_vapour_Pa, for degassed resin what its pot has left.
    initiator_gas, initiator_half_time_s, cup_s
        Gas of the initiator in resin volumes at 1 atm, its half-time, and the time from mixing to
        the first step.
    vapour_moved
        How far the vapour pressures of all steps are moved to their high ends, 0 to 1.
    """

    trapped: "Numbers"
    connected: "Numbers"
    boiling_extra: "Numbers"
    spacing_m: "Numbers"
    exponent: "Numbers"
    entrained: "Numbers"
    entrained_radius_m: "Numbers"
    diffusivity_m2_s: "Numbers"
    solubility: "Numbers"
    least_drive: "Numbers"
    mixed_Pa: "Numbers"
    mixed_vapour_Pa: "Numbers"
    air_Pa: "Numbers"
    initiator_gas: "Numbers" = 0.0
    initiator_half_time_s: "Numbers" = np.inf
    cup_s: "Numbers" = 0.0
    vapour_moved: "Numbers" = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """A time at one pressure in the resin.

    expansion is T / T0, T0 the temperature of mixing; worth giving in an oven, where a few kelvin
    are far within the other numbers. path_open: gas can leave, and the resin is still thin.
    vapour_high_Pa is the 95 % end of the vapour pressure, for limits; the same if not given.
    """

    pressure_Pa: "Numbers"
    vapour_Pa: "Numbers"
    duration_s: "Numbers"
    path_open: "bool | Flags" = True
    expansion: "Numbers" = 1.0
    vapour_high_Pa: "Numbers | None" = None


@dataclass(frozen=True, slots=True)
class State:
    """What a step hands to the next: G, all air there ever was, free air [Pa], n, and the clock."""

    total_Pa: "Numbers"
    ever_Pa: "Numbers"
    free_Pa: "Numbers"
    nuclei: "Numbers"
    clock_s: "Numbers"


def start(gas: Gas) -> State:
    """Return the resin as it is laid up: G = e (p_0 - p_v0) + L p_air, all of e free."""
    free = gas.entrained * (gas.mixed_Pa - gas.mixed_vapour_Pa)
    total = free + gas.solubility * gas.air_Pa
    return State(total, total, free, _entrained_nuclei(gas), gas.cup_s)


def run(gas: Gas, steps: Sequence[Step]) -> Outcome:
    """Return what the laminate holds after the last step.

    Cutting a step in two changes nothing: steps at one pressure, vapour pressure, temperature and
    path are worked as one.
    """
    return history(gas, steps)[-1]


def history(gas: Gas, steps: Sequence[Step]) -> list[Outcome]:
    """Return what the laminate holds after each step."""
    so_far, found = begun(gas), []
    for step in steps:
        so_far, outcome = gone_on(gas, so_far, step)
        found.append(outcome)
    return found


@dataclass(frozen=True, slots=True)
class SoFar:
    """How far a laminate has come: its state, and what a next step needs to know of the last.

    before and elapsed are of all the last steps that are worked as one.
    """

    state: State
    before: State
    elapsed_s: "Numbers"
    last: Step | None
    boiled: "Flags"
    frothed: "Flags"


def begun(gas: Gas) -> SoFar:
    """Return a laminate before its first step."""
    first = start(gas)
    return SoFar(first, first, 0.0, None, np.asarray(False), np.asarray(False))


def gone_on(gas: Gas, so_far: SoFar, step: Step) -> tuple[SoFar, Outcome]:
    """Return how far a laminate has come after one more step, and what it then holds."""
    state, elapsed = so_far.state, step.duration_s
    same = np.asarray(so_far.last is not None and _same(so_far.last, step))
    if same.any():
        state = _choose(same, so_far.before, state)
        elapsed = np.where(same, so_far.elapsed_s, 0.0) + elapsed
    taken = Ahead.of(gas, state, step, elapsed).taken(step.pressure_Pa)
    after, boiled = taken.state(), so_far.boiled | taken.boils
    frothed = so_far.frothed | (taken.boils & ~np.asarray(step.path_open))
    outcome = Outcome(*np.broadcast_arrays(taken.V, after.nuclei, after.total_Pa, boiled, frothed))
    return SoFar(after, state, elapsed, step, boiled, frothed), outcome


def ahead(gas: Gas, so_far: SoFar, step: Step) -> "Ahead | Afresh":
    """Return one more step, to be looked at under many pressures in place of its own."""
    if so_far.last is not None and np.any(_alike(so_far.last, step)):
        return Afresh(gas, so_far, step)  # at the last one's pressure it would go on as that
    return Ahead.of(gas, so_far.state, step, step.duration_s)


@dataclass(frozen=True, slots=True)
class Afresh:
    """A step of which it hangs on its pressure whether it goes on as the last one."""

    gas: Gas
    so_far: SoFar
    step: Step

    def held(self, pressure: "Numbers") -> Held:
        """Return what laminates hold after it at a pressure [Pa]."""
        at = dataclasses.replace(self.step, pressure_Pa=pressure)
        return gone_on(self.gas, self.so_far, at)[1]


def either(which: "Flags", a: SoFar, b: SoFar) -> SoFar:
    """Return how far laminates have come: a where it is so, elsewhere b, which took no step."""
    last = a.last
    if last is not None:  # what took no step goes on from nothing
        last = dataclasses.replace(last, pressure_Pa=np.where(which, last.pressure_Pa, np.nan))
    return SoFar(
        _choose(which, a.state, b.state),
        _choose(which, a.before, b.before),
        np.where(which, a.elapsed_s, b.elapsed_s),
        last,
        np.where(which, a.boiled, b.boiled),
        np.where(which, a.frothed, b.frothed),
    )


def _same(a: Step, b: Step) -> "bool | Flags":
    """Return where a step goes on as the one before it."""
    return np.equal(a.pressure_Pa, b.pressure_Pa) & _alike(a, b)


def _alike(a: Step, b: Step) -> "bool | Flags":
    """Return where a step differs from the one before it by no more than its pressure."""
    return (
        np.equal(a.vapour_Pa, b.vapour_Pa)
        & np.equal(a.expansion, b.expansion)
        & np.equal(a.path_open, b.path_open)
    )


def _choose(which: "Flags", a: State, b: State) -> State:
    """Return a where it is so, b elsewhere."""
    return State(
        np.where(which, a.total_Pa, b.total_Pa),
        np.where(which, a.ever_Pa, b.ever_Pa),
        np.where(which, a.free_Pa, b.free_Pa),
        np.where(which, a.nuclei, b.nuclei),
        np.where(which, a.clock_s, b.clock_s),
    )


def _entrained_nuclei(gas: Gas) -> "Numbers":
    """Return the bubbles stirred in, per volume of resin."""
    return gas.entrained / (SPHERE * gas.entrained_radius_m**3)


def _freshly_made(gas: Gas, before: State, t: "Numbers") -> "Numbers":
    """Return the initiator's gas of the next t seconds [Pa]."""
    if not np.any(gas.initiator_gas):
        return 0.0
    begun = np.exp2(-before.clock_s / gas.initiator_half_time_s)
    done = np.exp2(-(before.clock_s + t) / gas.initiator_half_time_s)
    made: Numbers = gas.initiator_gas * SEA_LEVEL_PA * (begun - done)
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """A step of t seconds that lies ahead, with all that does not depend on its pressure.

    before has the gas of the initiator in it; vapour_Pa is as far moved as it is; entrained and
    pockets are bubbles per volume of resin; trapped is V_r; spread is D t.
    """

    gas: Gas
    before: State
    path_open: "Flags"
    expansion: "Numbers"
    vapour_Pa: "Numbers"
    t: "Numbers"
    entrained: "Numbers"
    pockets: "Numbers"
    trapped: "Numbers"
    spread: "Numbers"

    @classmethod
    def of(cls, gas: Gas, before: State, step: Step, t: "Numbers") -> "Ahead":
        """Return t seconds of a step after a state, whatever their pressure."""
        p_v, made = step.vapour_Pa, _freshly_made(gas, before, t)
        if step.vapour_high_Pa is not None:
            p_v = p_v + gas.vapour_moved * (step.vapour_high_Pa - p_v)
        total, ever = before.total_Pa + made, before.ever_Pa + made
        return cls(
            gas=gas,
            before=State(total, ever, before.free_Pa, before.nuclei, before.clock_s),
            path_open=np.asarray(step.path_open),
            expansion=step.expansion,
            vapour_Pa=p_v,
            t=t,
            entrained=_entrained_nuclei(gas),
            pockets=1.0 / (SPHERE * np.asarray(gas.spacing_m) ** 3),
            trapped=gas.trapped / (1.0 - gas.trapped),
            spread=t * gas.diffusivity_m2_s,
        )

    def held(self, pressure: "Numbers") -> Held:
        """Return what laminates hold after it at a pressure [Pa]."""
        taken = self.taken(pressure)
        return Held(taken.V, taken.nuclei)

    def taken(self, pressure: "Numbers") -> "_Taken":
        """Return the step as it is taken at a pressure [Pa]."""
        x = np.asarray(pressure - self.vapour_Pa, dtype=float)
        boils = np.asarray(x <= 0.0)
        boiling = bool(boils.any())
        x_safe = np.maximum(x, LEAST_PA)  # boiling counts as the last pressure above it
        pulled, nuclei = self._nuclei(x, boils if boiling else None)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            V, y = self._volume(_cell_area(pulled), self.expansion / x_safe)
        over = self.trapped < V
        leaves = self.path_open & (boils | over if boiling else over)
        V = stays = np.where(leaves, self.trapped, V)
        if boiling:
            froth = np.where(self.path_open, self._boiling(pressure), np.inf)
            V = np.where(boils, froth, V)
        return _Taken(self, x, x_safe, boils, leaves, y, V, stays, nuclei)

    def _nuclei(self, x: "Floats", boils: "Flags | None") -> tuple["Floats", "Floats"]:
        """Return the bubbles by supersaturation alone, and with all pockets open where it boils."""
        over = (self.gas.air_Pa - np.maximum(x, 0.0)) / SEA_LEVEL_PA
        over = np.minimum(np.maximum(over, 0.0), 1.0)
        opened = self.entrained + self.pockets * over**self.gas.exponent
        pulled = np.maximum(self.before.nuclei, opened)
        if boils is None:
            return pulled, pulled
        every = np.maximum(pulled, self.entrained + self.pockets)
        return pulled, np.where(boils, every, pulled)

    def _volume(self, area: "Floats", per_Pa: "Floats") -> tuple["Floats", "Floats"]:
        """Return the free gas after it without boiling or leaving, and y; per_Pa is T / (T0 x)."""
        total, free, L = self.before.total_Pa, self.before.free_Pa, self.gas.solubility
        settled = np.maximum(0.0, total * per_Pa - L)
        V = free * per_Pa
        y = -np.expm1(self.spread * -(np.pi**2) / area)
        beyond = V - settled
        after = V - y * beyond
        shrinks = beyond > 0.0
        if shrinks.any():
            short = L - (total - free) * per_Pa  # L (1 - x_d / x)
            drive = np.maximum(self.gas.least_drive * L, short)
            edge = np.cbrt(V)
            fall = 2.0 * self.spread * drive / (area * edge * edge)
            left = np.maximum(0.0, 1.0 - fall)
            after = np.where(shrinks, settled + beyond * left * np.sqrt(left), after)
        return np.asarray(after), np.asarray(y)

    def _boiling(self, p: "Numbers") -> "Floats":
        """Return the gas per volume of resin that stays in a laminate boiling, its path open."""
        beyond = np.clip((self.vapour_Pa - np.asarray(p)) / np.maximum(p, LEAST_PA), 0.0, 1.0)
        share = np.asarray(self.gas.trapped + self.gas.boiling_extra * np.cbrt(beyond))
        return np.asarray(share / (1.0 - share))


@dataclass(frozen=True, slots=True)
class _Taken:
    """A step as it is taken at a pressure: V free gas by volume, stays what of it does not boil."""

    step: Ahead
    x: "Floats"
    x_safe: "Floats"
    boils: "Flags"
    leaves: "Flags"
    drained: "Floats"
    V: "Floats"
    stays: "Floats"
    nuclei: "Floats"

    def state(self) -> State:
        """Return the state after it."""
        step, gas, before = self.step, self.step.gas, self.step.before
        kept = (step.trapped + gas.solubility) * np.maximum(self.x, 0.0) / step.expansion
        stays = (1.0 - gas.connected) * np.maximum(0.0, before.ever_Pa - kept)
        gone = self.drained * np.maximum(0.0, before.total_Pa - kept - stays)
        total = np.where(self.leaves, before.total_Pa - gone, before.total_Pa)
        free = self.stays * self.x_safe / step.expansion
        return State(total, before.ever_Pa, free, self.nuclei, before.clock_s + step.t)


def _cell_area(n: "Numbers") -> "Floats":
    """Return s^2 [m2] of the cell of each bubble."""
    radius = np.cbrt(1.0 / (SPHERE * np.maximum(n, FEWEST)))
    return np.asarray(radius * radius)
