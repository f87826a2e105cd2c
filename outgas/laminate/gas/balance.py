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

from outgas.physics.air import SEA_LEVEL_PA

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Flags: TypeAlias = NDArray[np.bool_]
    Numbers: TypeAlias = float | Floats

SPHERE = 4.0 * np.pi / 3.0
FEWEST = 1e-30  # bubbles per m3 that stand for none, so that a spacing stays finite
NO_GAS = 1e-12  # of the resin's volume: what rounding leaves
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


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a laminate holds after a step: gas per volume of resin (inf where it froths), bubbles.

    boiled and frothed: in this step or before it; a froth is a boil with no way out. left_Pa is G.
    """

    gas_per_resin: "Floats"
    nuclei: "Floats"
    left_Pa: "Floats"
    boiled: "Flags"
    frothed: "Flags"

    @property
    def dissolved(self) -> "Flags":
        """Whether no gas is left undissolved."""
        return np.asarray(self.gas_per_resin < NO_GAS)

    @property
    def radius_m(self) -> "Floats":
        """The radius of the bubbles, R^3 = 3 V / (4 pi n)."""
        each = self.gas_per_resin / (SPHERE * np.maximum(self.nuclei, FEWEST))
        return np.asarray(np.cbrt(each))

    def void_fraction(self, fibre_fraction: "Numbers") -> "Floats":
        """Return the share of the laminate that is gas, V (1 - V_f) / (1 + V (1 - V_f))."""
        return void_fraction(self.gas_per_resin, fibre_fraction)

    def optical_depth(self, fibre_fraction: "Numbers", thickness_m: "Numbers") -> "Floats":
        """Return 3 f h / (2 R), for bubbles that take twice their shadow out of the light."""
        voids = self.void_fraction(fibre_fraction)
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = 1.5 * voids * thickness_m / self.radius_m
        depth = np.where(self.gas_per_resin > 0.0, depth, 0.0)
        return np.where(np.isinf(self.gas_per_resin), np.inf, depth)


def void_fraction(V: "Numbers", fibre_fraction: "Numbers") -> "Floats":
    """Return the share of a laminate that is gas, from gas per volume of resin; 1 for a froth.

    >>> float(void_fraction(0.25, 0.0))
    0.2
    """
    V = np.asarray(V, dtype=float)
    gas = np.where(np.isinf(V), 0.0, V) * (1.0 - np.asarray(fibre_fraction))
    return np.where(np.isinf(V), 1.0, gas / (1.0 + gas))


def look(depth: "Numbers", clear: float, milky: float) -> NDArray[np.str_]:
    """Return how a laminate looks by its optical depth: clear, hazy from one depth, then milky.

    >>> look(np.array([0.1, 0.5, 2.0]), 0.3, 1.0).tolist()
    ['clear', 'hazy', 'milky']
    """
    words = np.array(["clear", "hazy", "milky"])
    return np.asarray(words[np.searchsorted([clear, milky], np.asarray(depth), side="right")])


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
    after, V, boils = _advance(gas, state, step, elapsed)
    boiled = so_far.boiled | boils
    frothed = so_far.frothed | (boils & ~np.asarray(step.path_open))
    outcome = Outcome(*np.broadcast_arrays(V, after.nuclei, after.total_Pa, boiled, frothed))
    return SoFar(after, state, elapsed, step, boiled, frothed), outcome


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
    return (
        np.equal(a.pressure_Pa, b.pressure_Pa)
        & np.equal(a.vapour_Pa, b.vapour_Pa)
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


def _nuclei(gas: Gas, before: State, x: "Numbers") -> tuple["Floats", "Floats"]:
    """Return the bubbles by supersaturation alone, and with all pockets open where it boils."""
    pockets = 1.0 / (SPHERE * np.asarray(gas.spacing_m) ** 3)
    over = np.clip((gas.air_Pa - np.maximum(x, 0.0)) / SEA_LEVEL_PA, 0.0, 1.0)
    entrained = _entrained_nuclei(gas)
    pulled = np.maximum(before.nuclei, entrained + pockets * over**gas.exponent)
    boils = np.asarray(x) <= 0.0
    if not boils.any():
        return pulled, pulled
    return pulled, np.where(boils, np.maximum(pulled, entrained + pockets), pulled)


def _cell_area(n: "Numbers") -> "Floats":
    """Return s^2 [m2] of the cell of each bubble."""
    radius = np.cbrt(1.0 / (SPHERE * np.maximum(n, FEWEST)))
    return np.asarray(radius * radius)


def _drained(gas: Gas, area: "Floats", t: "Numbers") -> "Floats":
    """Return the share y of the way to equilibrium that diffusion goes in t."""
    return np.asarray(-np.expm1(-t * (np.pi**2) * gas.diffusivity_m2_s / area))


def _freshly_made(gas: Gas, before: State, t: "Numbers") -> "Numbers":
    """Return the initiator's gas of the next t seconds [Pa]."""
    if not np.any(gas.initiator_gas):
        return 0.0
    begun = np.exp2(-before.clock_s / gas.initiator_half_time_s)
    done = np.exp2(-(before.clock_s + t) / gas.initiator_half_time_s)
    made: Numbers = gas.initiator_gas * SEA_LEVEL_PA * (begun - done)
    return made


def _volume(
    gas: Gas, held: State, area: "Floats", per_Pa: "Numbers", t: "Numbers"
) -> tuple["Floats", "Floats"]:
    """Return the free gas after t without boiling or leaving, and y; per_Pa is T / (T0 x)."""
    total, free = held.total_Pa, held.free_Pa
    settled = np.maximum(0.0, total * per_Pa - gas.solubility)
    V = free * per_Pa
    y = _drained(gas, area, t)
    beyond = V - settled
    after = V - y * beyond
    shrinks = beyond > 0.0
    if shrinks.any():
        short = gas.solubility - (total - free) * per_Pa  # L (1 - x_d / x)
        drive = np.maximum(gas.least_drive * gas.solubility, short)
        edge = np.cbrt(V)
        fall = t * 2.0 * gas.diffusivity_m2_s * drive / (area * edge * edge)
        left = np.maximum(0.0, 1.0 - fall)
        after = np.where(shrinks, settled + beyond * left * np.sqrt(left), after)
    return np.asarray(after), y


def _advance(gas: Gas, before: State, step: Step, t: "Numbers") -> tuple[State, "Floats", "Flags"]:
    """Return the state after t in a step, the free gas per volume of resin, and where it boils."""
    p_v = step.vapour_Pa
    if step.vapour_high_Pa is not None:
        p_v = p_v + gas.vapour_moved * (step.vapour_high_Pa - p_v)
    x = np.asarray(step.pressure_Pa - p_v, dtype=float)
    boils = np.asarray(x <= 0.0)
    x_safe = np.maximum(x, LEAST_PA)  # boiling counts as the last pressure above it
    made = _freshly_made(gas, before, t)
    total, ever = before.total_Pa + made, before.ever_Pa + made
    held = dataclasses.replace(before, total_Pa=total, ever_Pa=ever)
    pulled, nuclei = _nuclei(gas, before, x)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        area = _cell_area(pulled)
        V, y = _volume(gas, held, area, step.expansion / x_safe, t)
    trapped = np.asarray(gas.trapped / (1.0 - gas.trapped))
    is_open = np.asarray(step.path_open)
    leaves = is_open & (boils | (trapped < V))
    kept = (trapped + gas.solubility) * np.maximum(x, 0.0) / step.expansion
    stays = (1.0 - gas.connected) * np.maximum(0.0, ever - kept)
    total = np.where(leaves, total - y * np.maximum(0.0, total - kept - stays), total)
    V = np.where(leaves, trapped, V)
    free = V * x_safe / step.expansion
    if boils.any():
        V = np.where(boils, np.where(is_open, _boiling(gas, step.pressure_Pa, p_v), np.inf), V)
    return State(total, ever, free, nuclei, before.clock_s + t), V, boils


def _boiling(gas: Gas, p: "Numbers", p_v: "Numbers") -> "Floats":
    """Return the gas per volume of resin that stays in a laminate boiling with its path open."""
    beyond = np.clip((p_v - np.asarray(p)) / np.maximum(p, LEAST_PA), 0.0, 1.0)
    share = np.asarray(gas.trapped + gas.boiling_extra * np.cbrt(beyond))
    return np.asarray(share / (1.0 - share))
