"""All that is uncertain of a gas moved at once: what numbers do together that none does alone.

JOINT draws of all numbers, the same for every case, lie on a lattice (Korobov 1959; from memory),
so that each number's own draws are spread evenly. Each number is two half bells that meet at its
nominal. One that can only do harm on one side (gas that stays, air that is there) is moved to that
side alone: there nothing is subtracted. Of the others either side may be the worse.

A safe limit is at least where no more draws fail than the confidence leaves.

SI floats and arrays; the axis of the draws comes first.
"""

import dataclasses
import functools
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import Z95
from outgas.laminate.gas.balance import Gas
from outgas.physics.chance import Band, normal_cdf, normal_quantiles

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

# The two ends of each uncertain number, by its name in Gas.
Moves: TypeAlias = Mapping[str, tuple["Numbers", "Numbers"]]

VAPOUR_MOVE: "Moves" = {"vapour_moved": (0.0, 1.0)}
JOINT, GENERATOR = 257, 57  # points of the lattice, a prime, and the number that spreads them well
STRICTER = 0.85  # times the draws that may fail: so few are not quite the share that all would be
# What is known to a factor, not by a sum.
BY_A_FACTOR = ("diffusivity_m2_s", "spacing_m", "entrained_radius_m", "initiator_half_time_s")
MOST = {"trapped": 0.5, "connected": 1.0, "boiling_extra": 0.5}  # what a number can be
# The side that can do harm, of the numbers whose other side cannot.
HARM = {
    **dict.fromkeys(("trapped", "boiling_extra", "entrained", "air_Pa", "vapour_moved"), "high"),
    "initiator_gas": "high",
    "connected": "low",
}
# Each number's direction of the lattice: one that is new goes last, so that no draw changes.
_DIRECTIONS = (
    *("trapped", "connected", "boiling_extra", "entrained", "entrained_radius_m"),
    *("diffusivity_m2_s", "solubility", "air_Pa", "spacing_m", "exponent", "vapour_moved"),
    *("initiator_gas", "initiator_half_time_s"),
)
DRAWS_KEPT = 512  # numbers whose draws are remembered, of 2 kB each
AROUND = 2  # draws on either side of the worst that counts, that count with it
HALVINGS, LEAST_VALUE = 40, 1e-12  # of a value looked for, and what stands for none
MOST_EXCESS = 1e9  # stands for one without end
RAISES, RAISED_PA = 60, 1.0  # steps towards where the draws pass, and how near it is found
FIRST, FIRST_PA = 0.02, 50.0  # how far above a limit the first step looks; a limit may be nothing
GROWS = 4.0  # how much further each
SAME_EARLY_PA = 2500.0  # the same of two early steps: the error of a dial
SAME_AIR = 0.05  # by which the air of two resins may differ and still be called the same
NEAREST = 0.02  # the least share of the way that a step goes


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What a shop's own panels showed of a gas: draws of its numbers, all as likely.

    columns: JOINT draws of each number, as they belong together. times: of how many times the gas
    of the balance a laminate holds. eye: of how much less than the table's depth already shows.
    unshown: the same gas without them. good: the cure, the early step (None: straight) and the
    dissolved air [Pa] of each panel that came out well.
    """

    columns: Mapping[str, "Floats"]
    times: "Floats"
    eye: "Floats"
    unshown: "KnownGas"
    good: tuple[tuple[float, float | None, float], ...]

    def borne(self, early_Pa: float | None, air_Pa: float) -> float:
        """Return the deepest cure that a good panel bears out [Pa]; inf where none does.

        A panel that was debulked says nothing of a straight pull nor of a weaker debulk, which
        takes out less, nor one of degassed resin anything of resin that holds more air.
        """
        same = (
            cure
            for cure, early, air in self.good
            if _as_weak(early, early_Pa) and air_Pa <= air * (1.0 + SAME_AIR)
        )
        return min(same, default=np.inf)


def _as_weak(early: float | None, asked: float | None) -> bool:
    """Return whether a panel's early step was no deeper than one that is asked for."""
    if early is None or asked is None:
        return early is asked
    return early >= asked - SAME_EARLY_PA


@dataclass(frozen=True, slots=True)
class KnownGas:
    """The numbers of a gas balance as they are known: nominal, and the two ends of each.

    k: how many 95 % half-widths the ends lie from nominal. shown: what a shop's own panels showed,
    None where there are none; nominal and ends are then of its draws.
    """

    gas: Gas
    ends: Moves
    k: float = 1.0
    shown: Shown | None = None

    def band(self, name: str) -> Band:
        """Return a number with its ends; both where it stands where it has none."""
        value = float(getattr(self.gas, name))
        low, high = self.ends.get(name, (value, value))
        return Band(value, float(low), float(high))

    @property
    def moves(self) -> Moves:
        """The ends of all that is moved: of each number, and of the vapour."""
        return {**self.ends, **VAPOUR_MOVE}


@functools.cache
def _ways(name: str) -> "Floats":
    """Return where each draw lies on a number's bell, in 95 % half-widths, harm alone if one side.

    What cannot do harm is moved as far as its draw goes, to nowhere.
    """
    step = pow(GENERATOR, _DIRECTIONS.index(name), JOINT)
    shares = (step * np.arange(JOINT) % JOINT + 0.5) / JOINT
    ways = normal_quantiles(shares) / Z95
    side = HARM.get(name)
    if side is None:
        return ways
    return np.asarray(np.maximum(ways, 0.0) if side == "high" else np.minimum(ways, 0.0))


def along(
    band: "tuple[Numbers, Numbers, Numbers]",
    way: "Floats",
    *,
    factor: bool = False,
    least: float = -np.inf,
    most: float = np.inf,
) -> "Floats":
    """Return a number so many half-widths from its nominal, by the end that lies on that side.

    band is nominal, low, high; what is known to a factor is moved by factors. A putty has no cloth
    for gas to start in, at endless distance: what its ends are too stays as it is.
    """
    nominal, low, high = band
    end = np.where(way > 0.0, high, low)
    if factor:
        apart = np.ones(np.broadcast_shapes(np.shape(end), np.shape(nominal)))
        np.divide(end, nominal, out=apart, where=end != nominal)
        return np.asarray(nominal * apart ** np.abs(way))
    return np.asarray(np.clip(nominal + np.abs(way) * (end - nominal), least, most))


def joint(known: KnownGas, shape: tuple[int, ...] = ()) -> Gas:
    """Return the gas of the joint draws, on a first axis before the shape of the case."""
    drawn = {}
    columns = {} if known.shown is None else known.shown.columns
    for name, ends in known.moves.items():
        if name in columns:
            drawn[name] = columns[name].reshape(-1, *(1,) * len(shape))
            continue
        value = np.asarray(getattr(known.gas, name), dtype=float)
        way = _ways(name).reshape(-1, *(1,) * len(shape)) / known.k
        drawn[name] = _moved(name, (value, *ends), way)
    return dataclasses.replace(known.gas, **drawn)


def draws_of(known: KnownGas, name: str) -> "Floats":
    """Return the joint draws of one number of a single case; as it stands where it is not moved.

    Most numbers are those of the tables, alike in every case.
    """
    if known.shown is not None and name in known.shown.columns:
        return known.shown.columns[name]
    stands = getattr(known.gas, name)
    return _draws_between(name, stands, *known.moves.get(name, (stands, stands)), known.k)


@functools.lru_cache(DRAWS_KEPT)
def _draws_between(name: str, nominal: float, low: float, high: float, k: float) -> "Floats":
    drawn = _moved(name, (nominal, low, high), _ways(name) / k)
    drawn.setflags(write=False)
    return drawn


def _moved(name: str, band: "tuple[Numbers, Numbers, Numbers]", way: "Floats") -> "Floats":
    """Return a number of the gas so many half-widths from its nominal."""
    return along(band, way, factor=name in BY_A_FACTOR, least=0.0, most=MOST.get(name, np.inf))


def may_fail(k: float) -> int:
    """Return how many of the draws may fail at a confidence of k half-widths of 95 %."""
    beyond = 2.0 * (1.0 - float(normal_cdf(np.asarray(k * Z95))))
    return int(STRICTER * beyond * JOINT)


def _worst(drawn: "Floats", spare: "int | NDArray[np.intp]") -> "Floats":
    """Return the worst draws of each case but the spare ones, with those next to it on both sides.

    As many on either side: so few draws lie apart, and a doubt that grows reorders them.
    """
    ranked, spare = np.sort(drawn, axis=0), np.asarray(spare)
    near = np.arange(-AROUND, AROUND + 1).reshape(-1, *(1,) * (drawn.ndim - 1))
    half = np.minimum(AROUND, spare)
    at = np.broadcast_to(
        JOINT - 1 - spare + np.clip(near, -half, half), (len(near), *drawn.shape[1:])
    )
    return np.asarray(np.take_along_axis(ranked, at, 0))


def fails_by(excess: "Floats", spare: "int | NDArray[np.intp]") -> "Floats":
    """Return by how much the worst draw that counts fails, from -1 to 1, from its excess.

    The mean of it and its neighbours, each on a scale on which none counts without end.
    """
    worst = np.minimum(_worst(excess, spare), MOST_EXCESS)
    return np.asarray(((worst - 1.0) / (worst + 1.0)).mean(axis=0))


def worst_of(drawn: "Floats", spare: "int | NDArray[np.intp]") -> "Floats":
    """Return the value that the worst draw that counts just reaches: as a target it would fail."""
    worst = _worst(drawn, spare)
    low, high = worst.min(axis=0), worst.max(axis=0)
    for _ in range(HALVINGS):
        middle = np.maximum(0.5 * (low + high), LEAST_VALUE)
        reached = ((worst - middle) / (worst + middle)).mean(axis=0) >= 0.0
        low, high = np.where(reached, middle, low), np.where(reached, high, middle)
    return np.asarray(high)


def raised(
    safe: "Floats",
    excess: "Callable[[Floats], Floats]",
    spare: "NDArray[np.intp]",
    most: "Numbers",
) -> "Floats":
    """Return safe limits raised to where no more draws fail than may [Pa]; inf above most.

    excess gives how many times each draw reaches its target at a pressure. Where the worst draw
    that counts stops failing is found by straight lines and halves, each limit by itself.
    """

    def beyond(pressure: "Floats") -> "Floats":
        return fails_by(excess(pressure), spare)

    low = np.where(np.isfinite(safe), safe, most)
    at_low = beyond(low)
    short = np.isfinite(safe) & (at_low >= 0.0)
    if not short.any():
        return safe
    top = np.broadcast_to(np.asarray(most, dtype=float), low.shape)
    high, at_high, held = low, at_low, ~short
    for i in range(RAISES):
        up, near = ~held & (high < top), held & short & (high - low > RAISED_PA)
        if not (up | near).any():
            break
        share = at_low / np.where(at_low > at_high, at_low - at_high, 1.0)
        share = np.clip(share, NEAREST, 1.0 - NEAREST) if i % 3 else np.full(low.shape, 0.5)
        further = np.minimum(low + np.maximum(FIRST * low, FIRST_PA) * GROWS**i, top)
        middle = np.where(up, further, low + np.where(near, share, 0.0) * (high - low))
        at = beyond(middle)
        fails, passes = (up | near) & (at >= 0.0), (up | near) & (at < 0.0)
        low, at_low = np.where(fails, middle, low), np.where(fails, at, at_low)
        high = np.where(passes | (fails & up), middle, high)
        at_high = np.where(passes, at, at_high)
        held = held | passes
    return np.asarray(np.where(short, np.where(held, high, np.inf), safe))
