"""How deep the gas lets a bag go: limits for a target, their safe side, and the voids expected.

A limit is the highest pressure at which the target fails, looked for from above, so that what lies
under a failure is never called safe.

The safe side moves one number at a time to the worse of its two ends and adds what each move alone
adds to the limit, as the root of squares: the numbers are independent. Nothing is subtracted. What
numbers do together is in the joint draws (joint.py).

The voids expected follow the same rule turned round: their high end at a pressure is the void
content for which that pressure is the safe limit, so that a limit and an expectation cannot
disagree. Their low end, on which nothing rests, is the nominal less the root of squares of what the
moves take away.

All moved cases are worked as one array: their axis comes first, those of the case after it.
"""

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import Z95
from outgas.laminate.gas.balance import Gas, Step, run
from outgas.laminate.gas.held import Held, Outcome
from outgas.laminate.gas.joint import MOST_EXCESS, KnownGas, Moves, joint, may_fail, worst_of
from outgas.physics.chance import normal_cdf

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Flags: TypeAlias = NDArray[np.bool_]
    Numbers: TypeAlias = float | Floats

# From the pressure that is asked for to the steps of the job.
StepsAt: TypeAlias = Callable[["Floats"], Sequence[Step]]
# How many times a target is reached at pressures.
Excess: TypeAlias = Callable[["Floats"], "Floats"]

SCAN = 65  # pressures of the first look, closer together towards zero
LOOKS = 9  # more looks between the last that passes and the first that fails, at the most
EVEN = (0.25, 0.5, 0.75)  # where each look is, of the way between them: what a jump needs
NEAR = (-0.06, -0.01, -0.001, 0.001, 0.01, 0.06)  # and around where a straight line fails
CLOSE_PA = 0.02  # how near a limit is to what fails
CURVE = 257  # pressures of a curve of voids
HALVINGS = 30  # of the void content looked for, to 1e-9 of its range
DEEPEST_DEPTH = 1e6  # stands for the depth of a froth


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What a laminate may hold: a void fraction, an optical depth, or both; inf where free."""

    fibre_fraction: "Numbers"
    thickness_m: "Numbers" = 1e-3
    void: "Numbers" = np.inf
    depth: "Numbers" = np.inf

    def excess(self, held: Held) -> "Floats":
        """Return how many times the target is reached; it fails from one up."""
        voids = held.void_fraction(self.fibre_fraction)
        excess = voids / self.void
        if np.isfinite(self.depth).any():
            deep = held.depth_of(voids, self.thickness_m)
            excess = np.maximum(excess, np.minimum(deep, DEEPEST_DEPTH) / self.depth)
        return np.asarray(excess)


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit [Pa], nominal and safe, and what each number adds; inf: it needs a press.

    moved has what each number's worse end does to the limit alone, in Pa; inf where that end fails
    even at the highest pressure. unshown is the safe limit by the tables alone, None where no
    panels of the shop stand behind it.
    """

    nominal: "Floats"
    safe: "Floats"
    moved: dict[str, "Floats"]
    unshown: "Floats | None" = None


@dataclass(frozen=True, slots=True)
class Expected:
    """What a laminate is expected to hold: nominal, with the ends of the 95 % range."""

    nominal: "Floats"
    low: "Floats"
    high: "Floats"


def limit(gas: Gas, course: StepsAt, target: Target, highest_Pa: "Numbers") -> "Floats":
    """Return the highest pressure at which the target fails [Pa].

    inf where it fails at highest_Pa already (the barometer: it then needs a press), 0 where it
    never fails. What is returned passes: it lies above the failure by less than CLOSE_PA.
    """
    highest = np.asarray(highest_Pa, dtype=float)

    def excess(pressure: "Floats") -> "Floats":
        return target.excess(run(gas, course(pressure)))

    shape = excess(highest).shape
    pressures = scanned(highest, shape)
    return highest_failing(pressures, excess(pressures), excess)


def scanned(highest_Pa: "Numbers", shape: tuple[int, ...]) -> "Floats":
    """Return the pressures of the first look, from above, on a first axis before a shape."""
    grid = np.linspace(1.0, 0.0, SCAN)[:-1].reshape(-1, *(1,) * len(shape)) ** 2
    return np.asarray(np.asarray(highest_Pa, dtype=float) * grid)


def highest_failing(pressures: "Floats", first: "Floats", excess: Excess) -> "Floats":
    """Return the highest pressure [Pa] that fails: inf where the first does, 0 where none does.

    first is the excess at the pressures of the first look, which fall along the first axis; excess
    gives that of later looks. Each limit is left as it stands once it is known to CLOSE_PA, so
    that none depends on the others.
    """
    gap, where = _gap(pressures, first)
    at_all = where > 0
    for _ in range(LOOKS):
        wide = at_all & (gap[0] - gap[1] > CLOSE_PA)
        if not wide.any():
            break
        looks = _looks(*gap)
        nearer, _ = _gap(looks, np.concatenate([gap[2:3], excess(looks[1:-1]), gap[3:]]))
        gap = np.where(wide, nearer, gap)
    found = np.where(where < 0, 0.0, gap[0])
    return np.asarray(np.where(where == 0, np.inf, found))


def _gap(pressures: "Floats", excess: "Floats") -> "tuple[Floats, NDArray[np.int_]]":
    """Return what lies around the first failure down the first axis, and the index of that.

    The last pressure that passes, the first that fails, and the excess at both. The index is 0
    where it fails from the start, -1 where it never does.
    """
    fails = excess >= 1.0
    first = fails.argmax(axis=0)
    rows, cases = first.shape, first.size
    first = np.where(np.take(fails, first.ravel() * cases + np.arange(cases)), first.ravel(), -1)
    at = np.where(first < 0, len(pressures) - 1, np.maximum(first, 1)) * cases + np.arange(cases)
    spread = np.broadcast_to(pressures, fails.shape)
    around = np.stack([at - cases, at])
    ends = np.concatenate([np.take(spread, around), np.take(excess, around)])
    return ends.reshape(4, *rows), first.reshape(rows)


def _looks(above: "Floats", below: "Floats", passes: "Floats", fails: "Floats") -> "Floats":
    """Return the ends of a gap and the pressures to look at between them, falling."""
    # (e - 1) / (e + 1) is bounded and as smooth as the excess, from no gas to a froth
    over, under = ((e - 1.0) / (e + 1.0) for e in (passes, np.minimum(fails, MOST_EXCESS)))
    way = over - under
    straight = np.where(way < 0.0, over / np.where(way < 0.0, way, 1.0), 0.5)
    shape = (-1, *(1,) * above.ndim)
    near = np.clip(straight + np.reshape(NEAR, shape), 0.0, 1.0)
    even = np.broadcast_to(np.reshape(EVEN, shape), (len(EVEN), *above.shape))
    ends = np.broadcast_to(np.reshape([0.0, 1.0], shape), (2, *above.shape))
    shares = np.sort(np.concatenate([ends, even, near]), axis=0)
    looks = above + shares * (below - above)
    looks[0], looks[-1] = above, below
    return np.asarray(looks)


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


def _of_moves(limits: "Floats") -> tuple["Floats", "Floats", "Floats"]:
    """Return the nominal limit, the safe one, and what each number adds, from varied gas."""
    return safe_side(limits[0], limits[1:].reshape(-1, 2, *limits.shape[1:]).max(axis=1))


def safe_side(nominal: "Floats", worst: "Floats") -> tuple["Floats", "Floats", "Floats"]:
    """Return the nominal limit, the safe one, and what each number adds.

    worst has the limit with each number at its worse end. Where the nominal limit is inf, so is
    the safe one.
    """
    with np.errstate(invalid="ignore"):
        by = np.where(np.isinf(nominal), 0.0, worst - nominal)
    adds = np.sqrt(np.square(np.maximum(by, 0.0)).sum(axis=0))
    return nominal, nominal + adds, by


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
    if known.shown is not None:
        return _shown(known, nominal, measure(run(joint(known, shape), course(pressure))))
    steps = np.linspace(1.0, 0.0, CURVE)[:-1].reshape(-1, *(1,) * (len(shape) + 1)) ** 2
    pressures = np.asarray(highest_Pa, dtype=float) * steps
    curves = measure(run(varied(gas, moves, shape), course(pressures)))
    pressures = np.broadcast_to(pressures, curves.shape)
    high = _value_at(pressures, curves, pressure)
    here = measure(run(varied(gas, moves, shape), course(pressure)))
    less = np.maximum(nominal - here[1:].reshape(-1, 2, *shape).min(axis=1), 0.0)
    low = np.maximum(nominal - np.sqrt(np.square(less).sum(axis=0)), 0.0)
    drawn = worst_of(measure(run(joint(known, shape), course(pressure))), may_fail(known.k))
    high = np.maximum(high, drawn)
    return Expected(nominal, low, np.maximum(high, nominal))


def _shown(known: KnownGas, nominal: "Floats", drawn: "Floats") -> Expected:
    """Return what the draws of a shop's own panels expect: by the draws that set its limits."""
    assert known.shown is not None
    times = known.shown.times.reshape(-1, *(1,) * nominal.ndim)
    drawn = np.minimum(drawn * times, DEEPEST_DEPTH)
    beyond = 1.0 - normal_cdf(np.asarray(known.k * Z95))
    low, high = np.quantile(drawn, float(beyond), axis=0), worst_of(drawn, may_fail(known.k))
    return Expected(np.clip(nominal, low, high), low, high)


def _value_at(pressures: "Floats", curves: "Floats", pressure: "Floats") -> "Floats":
    """Return the highest value of the curves whose safe limit is not under a pressure."""
    high = np.asarray(curves.max(axis=(0, 1)))
    low = np.zeros_like(high)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        reached = _of_moves(_crossing(pressures, curves, middle))[1] >= pressure
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
    found = p_out + np.where(np.isnan(share), 0.0, share) * (p_in - p_out)
    return np.asarray(np.where(fails.any(axis=0), found, 0.0))
