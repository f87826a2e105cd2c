"""How deep the gas lets a bag go: limits for a target, their safe side, and the voids expected.

A limit is the highest pressure at which the target fails, looked for from above, so that what lies
under a failure is never called safe.

The safe side moves one number at a time to the worse of its two ends and adds what each move alone
adds to the limit, as the root of squares: the numbers are independent. Nothing is subtracted. The
voids expected follow the same rule turned round: the high end at a pressure is the void content for
which that pressure is the safe limit, so that a limit and an expectation cannot disagree. Their low
end, on which nothing rests, is the nominal less the root of squares of what the moves take away.

All moved cases are worked as one array: their axis comes first, those of the case after it.
"""

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.laminate.gas_balance import Gas, Outcome, Step, run

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Flags: TypeAlias = NDArray[np.bool_]
    Numbers: TypeAlias = float | Floats

# From the pressure that is asked for to the steps of the job.
StepsAt: TypeAlias = Callable[["Floats"], Sequence[Step]]
# The two ends of each uncertain number, by its name in Gas.
Moves: TypeAlias = Mapping[str, tuple["Numbers", "Numbers"]]

VAPOUR_MOVE: "Moves" = {"vapour_moved": (0.0, 1.0)}
SCAN = 65  # pressures of the first look, closer together towards zero
REFINE = (17, 9, 9, 9, 9)  # each look again where it first fails
CURVE = 257  # pressures of a curve of voids
HALVINGS = 30  # of the void content looked for, to 1e-9 of its range
DEEPEST_DEPTH = 1e6  # stands for the depth of a froth


@dataclass(frozen=True, slots=True)
class KnownGas:
    """The numbers of a gas balance as they are known: nominal, and the two ends of each."""

    gas: Gas
    ends: Moves

    @property
    def moves(self) -> Moves:
        """The ends of all that is moved: of each number, and of the vapour."""
        return {**self.ends, **VAPOUR_MOVE}


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What a laminate may hold: a void fraction, an optical depth, or both; inf where free."""

    fibre_fraction: "Numbers"
    thickness_m: "Numbers" = 1e-3
    void: "Numbers" = np.inf
    depth: "Numbers" = np.inf

    def excess(self, outcome: Outcome) -> "Floats":
        """Return how many times the target is reached; it fails from one up."""
        excess = outcome.void_fraction(self.fibre_fraction) / self.void
        if np.isfinite(self.depth).any():
            deep = outcome.optical_depth(self.fibre_fraction, self.thickness_m)
            excess = np.maximum(excess, np.minimum(deep, DEEPEST_DEPTH) / self.depth)
        return np.asarray(excess)


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit [Pa], nominal and safe, and what each number adds; inf: it needs a press.

    moved has what each number's worse end does to the limit alone, in Pa; inf where that end fails
    even at the highest pressure.
    """

    nominal: "Floats"
    safe: "Floats"
    moved: dict[str, "Floats"]


@dataclass(frozen=True, slots=True)
class Expected:
    """What a laminate is expected to hold: nominal, with the ends of the 95 % range."""

    nominal: "Floats"
    low: "Floats"
    high: "Floats"


@dataclass(frozen=True, slots=True)
class Advised:
    """The limit of the better of two courses, and where it is the one with a debulk."""

    nominal: "Floats"
    safe: "Floats"
    debulk: "Flags"


def limit(gas: Gas, course: StepsAt, target: Target, highest_Pa: "Numbers") -> "Floats":
    """Return the highest pressure at which the target fails [Pa].

    inf where it fails at highest_Pa already (the barometer: it then needs a press), 0 where it
    never fails. What is returned passes: it lies above the failure by less than
    1e-4 of highest_Pa.
    """
    highest = np.asarray(highest_Pa, dtype=float)
    shape = target.excess(run(gas, course(highest))).shape
    grid = np.linspace(1.0, 0.0, SCAN)[:-1].reshape(-1, *(1,) * len(shape)) ** 2
    above, below, where = _bracket(gas, course, target, highest * grid)
    for points in REFINE:
        share = np.linspace(0.0, 1.0, points).reshape(-1, *(1,) * len(shape))
        above, below, _ = _bracket(gas, course, target, above + share * (below - above))
    found = np.where(where < 0, 0.0, above)
    return np.asarray(np.where(where == 0, np.inf, found))


def _bracket(
    gas: Gas, course: StepsAt, target: Target, pressures: "Floats"
) -> tuple["Floats", "Floats", NDArray[np.int_]]:
    """Return the pressures around the first failure down the first axis, and its index.

    0 where it fails from the start, -1 where it never does.
    """
    fails = target.excess(run(gas, course(pressures))) >= 1.0
    first = np.where(fails.any(axis=0), fails.argmax(axis=0), -1)
    at = np.where(first < 0, len(pressures) - 1, np.maximum(first, 1))[None]
    spread = np.broadcast_to(pressures, fails.shape)
    above, below = np.take_along_axis(spread, at - 1, 0), np.take_along_axis(spread, at, 0)
    return above[0], below[0], first


def varied(gas: Gas, moves: Moves, shape: tuple[int, ...]) -> Gas:
    """Return the gas as it stands, then with each number at its low and its high end in turn.

    The new axis comes first: 1 + 2 len(moves) long, before the shape of the case.
    """
    count = 1 + 2 * len(moves)
    changed: dict[str, Floats] = {}
    for i, (name, ends) in enumerate(moves.items()):
        value = np.asarray(getattr(gas, name), dtype=float)
        rows = np.broadcast_to(value, (count, *shape)).copy()
        rows[1 + 2 * i], rows[2 + 2 * i] = ends
        changed[name] = rows
    return dataclasses.replace(gas, **changed)


def limit_95(known: KnownGas, course: StepsAt, target: Target, highest_Pa: "Numbers") -> Limit:
    """Return the limit, and its safe side by the root of squares of one-at-a-time moves."""
    gas, moves = known.gas, known.moves
    shape = target.excess(run(gas, course(np.asarray(highest_Pa, dtype=float)))).shape
    all_limits = limit(varied(gas, moves, shape), course, target, highest_Pa)
    nominal, safe, worst = _safe_side(all_limits)
    return Limit(nominal, safe, dict(zip(moves, worst, strict=True)))


def _safe_side(limits: "Floats") -> tuple["Floats", "Floats", "Floats"]:
    """Return the nominal limit, the safe one, and what the worse end of each number adds.

    From the limits of varied gas. Where the nominal limit is inf, so is the safe one.
    """
    nominal, moved = limits[0], limits[1:].reshape(-1, 2, *limits.shape[1:])
    with np.errstate(invalid="ignore"):
        worst = moved.max(axis=1) - nominal
    worst = np.where(np.isinf(nominal), 0.0, worst)
    by = np.sqrt(np.square(np.maximum(worst, 0.0)).sum(axis=0))
    return nominal, nominal + by, worst


def expected_voids(
    known: KnownGas,
    course: StepsAt,
    fibre_fraction: "Numbers",
    pressure_Pa: "Numbers",
    highest_Pa: "Numbers",
) -> Expected:
    """Return the void fraction at a pressure: nominal, and its 95 % range by the rule of limits."""

    def measure(outcome: Outcome) -> "Floats":
        return outcome.void_fraction(fibre_fraction)

    return _expected(known, course, measure, pressure_Pa, highest_Pa)


def expected_depth(
    known: KnownGas,
    course: StepsAt,
    target: Target,
    pressure_Pa: "Numbers",
    highest_Pa: "Numbers",
) -> Expected:
    """Return the optical depth at a pressure of a target's laminate, by the same rule."""

    def measure(outcome: Outcome) -> "Floats":
        deep = outcome.optical_depth(target.fibre_fraction, target.thickness_m)
        return np.minimum(deep, DEEPEST_DEPTH)

    return _expected(known, course, measure, pressure_Pa, highest_Pa)


def _expected(
    known: KnownGas,
    course: StepsAt,
    measure: Callable[[Outcome], "Floats"],
    pressure_Pa: "Numbers",
    highest_Pa: "Numbers",
) -> Expected:
    """Return a measure at a pressure and the values whose moved limits are that pressure."""
    gas, moves = known.gas, known.moves
    pressure = np.asarray(pressure_Pa, dtype=float)
    nominal = measure(run(gas, course(pressure)))
    shape = nominal.shape
    steps = np.linspace(1.0, 0.0, CURVE)[:-1].reshape(-1, *(1,) * (len(shape) + 1)) ** 2
    pressures = np.asarray(highest_Pa, dtype=float) * steps
    curves = measure(run(varied(gas, moves, shape), course(pressures)))
    pressures = np.broadcast_to(pressures, curves.shape)
    high = _value_at(pressures, curves, pressure)
    here = measure(run(varied(gas, moves, shape), course(pressure)))
    less = np.maximum(nominal - here[1:].reshape(-1, 2, *shape).min(axis=1), 0.0)
    low = np.maximum(nominal - np.sqrt(np.square(less).sum(axis=0)), 0.0)
    return Expected(nominal, low, np.maximum(high, nominal))


def _value_at(pressures: "Floats", curves: "Floats", pressure: "Floats") -> "Floats":
    """Return the highest value of the curves whose safe limit is not under a pressure."""
    high = np.asarray(curves.max(axis=(0, 1)))
    low = np.zeros_like(high)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        reached = _safe_side(_crossing(pressures, curves, middle))[1] >= pressure
        low, high = np.where(reached, middle, low), np.where(reached, high, middle)
    return low


def _crossing(pressures: "Floats", curves: "Floats", value: "Floats") -> "Floats":
    """Return the highest pressure at which each curve reaches a value; 0 if nowhere."""
    fails = curves >= value
    first = fails.argmax(axis=0)
    at = np.maximum(first, 1)[None]
    p_out, p_in = (np.take_along_axis(pressures, i, 0)[0] for i in (at - 1, at))
    v_out, v_in = (np.take_along_axis(curves, i, 0)[0] for i in (at - 1, at))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip((value - v_out) / (v_in - v_out), 0.0, 1.0)
    found = p_out + np.where(np.isnan(share), 1.0, share) * (p_in - p_out)
    return np.asarray(np.where(fails.any(axis=0), found, 0.0))


def better_course(
    known: KnownGas,
    straight: StepsAt,
    debulked: StepsAt,
    target: Target,
    highest_Pa: "Numbers",
) -> Advised:
    """Return the limit of the course with a debulk where that lowers it, else of the straight one.

    By the safe limit, for that is what a setpoint stands on. A shallow debulk may leave a few big
    bubbles that cannot redissolve; none is advised that does not help.
    """
    a = limit_95(known, straight, target, highest_Pa)
    b = limit_95(known, debulked, target, highest_Pa)
    helps = np.asarray(b.safe < a.safe)
    return Advised(np.where(helps, b.nominal, a.nominal), np.where(helps, b.safe, a.safe), helps)
