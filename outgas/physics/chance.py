"""A belief about one positive quantity, held as weights on a grid of its logarithm.

Symbols: ln_p logarithm of the pressure on an even grid, w weight of each point (they sum to one),
x an excess in some unit. Likelihoods are arrays over the grid whose greatest value is one.

A point stands for its whole cell, half a step to either side. A likelihood that may be narrower
than a cell is averaged over it, never read at its point: there a sharp one would be nothing
everywhere, and the observation would go unheard. The averages of a bell, an edge and a slab are
known in closed form: those ending in _over take the two ends of each cell in place of its point.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import Z95

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats


@dataclass(frozen=True, slots=True)
class Band:
    """A nominal value and its 95 % ends."""

    nominal: float
    low: float
    high: float

    @classmethod
    def exact(cls, value: float) -> "Band":
        """Take a value that was stated."""
        return cls(value, value, value)

    def scaled(self, k: float) -> "Band":
        """Return the ends moved to another confidence: k times as far out."""
        low = self.nominal - k * (self.nominal - self.low)
        return Band(self.nominal, low, self.nominal + k * (self.high - self.nominal))


_REACH, _POINTS = 8.0, 4001  # of the table of the normal distribution; 1e-6 by interpolation
ROOT_TAU = math.sqrt(2.0 * math.pi)
_AT = np.linspace(-_REACH, _REACH, _POINTS)
_CDF = np.array([0.5 * math.erfc(-x / math.sqrt(2.0)) for x in _AT])
CLOSE = (
    0.1  # cells narrower than this are read at their middle: within 0.0004, where tables are not
)
NODES = 48  # of equal chance, standing for one spread-out part of an excess
EXCESS_STEP_K = 0.02


def normal_cdf(x: "Floats") -> "Floats":
    """Return the standard normal distribution function, from a table (1e-6)."""
    made: Floats = np.interp(x, _AT, _CDF)
    return made


def normal_quantile(share: float) -> float:
    """Return the standard normal quantile, from the same table (for 1e-6 to 1 - 1e-6)."""
    return float(normal_quantiles(np.asarray(share)))


def normal_quantiles(shares: "Floats") -> "Floats":
    """Return standard normal quantiles, as normal_quantile does."""
    made: Floats = np.interp(shares, _CDF, _AT)
    return made


def bell(x: "Floats", floor: float = 0.0) -> "Floats":
    """Return exp(-x**2/2), with a floor under it."""
    made: Floats = np.exp(-0.5 * x * x)
    return np.maximum(made, floor) if floor else made


def _over(
    middle: "Floats", low: "Floats", high: "Floats", rise: Callable[["Floats"], "Floats"]
) -> "Floats":
    """Return the average over each cell of what has this rise; that of close ones by middle."""
    width = high - low
    far = np.abs(width) > CLOSE
    made: Floats = np.where(far, (rise(high) - rise(low)) / np.where(far, width, 1.0), middle)
    return made


def bell_over(low: "Floats", high: "Floats") -> "Floats":
    """Return the average of exp(-x**2/2) from low to high.

    >>> [round(float(bell_over(np.array(-x), np.array(x))), 4) for x in (0.01, 1.0, 100.0)]
    [1.0, 0.8556, 0.0125]
    """
    return _over(bell(0.5 * (low + high)), low, high, lambda x: ROOT_TAU * normal_cdf(x))


def _ramp(x: "Floats") -> "Floats":
    """Return the integral of the normal distribution function up to x."""
    made: Floats = x * normal_cdf(x) + bell(x) / ROOT_TAU
    return made


def cdf_over(low: "Floats", high: "Floats") -> "Floats":
    """Return the average of the standard normal distribution function from low to high."""
    return _over(normal_cdf(0.5 * (low + high)), low, high, _ramp)


def slab_over(
    miss: tuple["Floats", "Floats"], low: "Numbers", high: "Numbers", sd: "Numbers"
) -> "Floats":
    """Return slab() averaged over cells whose miss runs between two ends; never below zero."""
    one, two = miss
    after = cdf_over((one - low) / sd, (two - low) / sd)
    before = cdf_over((one - high) / sd, (two - high) / sd)
    made: Floats = np.maximum(after - before, 0.0)
    return made


def edges(ln_p: "Floats") -> "tuple[Floats, Floats]":
    """Return where each point's cell begins and ends: none below the grid, nothing beyond its top.

    What lies deeper than the grid belongs to its deepest cell, so that a reading of nothing at all
    ends there. In pressure, not in its logarithm.
    """
    between = np.exp(0.5 * (ln_p[1:] + ln_p[:-1]))
    top = math.exp(float(ln_p[-1]))
    return np.concatenate([[0.0], between]), np.concatenate([between, [top]])


def log_spread(low: float, high: float) -> float:
    """Return the standard deviation of the logarithm from 95 % ends."""
    return math.log(high / low) / (2.0 * Z95)


def log_nodes(value: float, low: float, high: float, n: int = NODES) -> "Floats":
    """Return n values of equal chance of a log-normal with this median and 95 % width."""
    shares = (np.arange(n) + 0.5) / n
    return value * np.exp(log_spread(low, high) * np.interp(shares, _CDF, _AT))


@dataclass(frozen=True, slots=True, eq=False)
class Excess:
    """How a sum of one-sided parts and a two-sided error is distributed: tables over x."""

    x: "Floats"
    density: "Floats"
    below: "Floats"

    def chance_below(self, x: "Floats") -> "Floats":
        """Return the distribution function at x."""
        return np.interp(x, self.x, self.below)

    def density_at(self, x: "Floats") -> "Floats":
        """Return the density at x, none outside the table."""
        return np.interp(x, self.x, self.density, left=0.0, right=0.0)

    def density_over(self, low: "Floats", high: "Floats") -> "Floats":
        """Return the density averaged from low to high, from how the chance rises between them."""
        width = high - low
        far = np.abs(width) > EXCESS_STEP_K
        rise = self.chance_below(high) - self.chance_below(low)
        return np.where(far, rise / np.where(far, width, 1.0), self.density_at(0.5 * (low + high)))

    def quantile(self, share: float) -> float:
        """Return the x below which this share lies."""
        return float(np.interp(share, self.below, self.x))


def excess(parts: "list[Floats]", minus: "list[Floats]", sd: float) -> Excess:
    """Return the distribution of the sum of parts less minus, with a normal error of sd.

    Each part is a set of values of equal chance; the parts are independent.
    """
    total = np.zeros(1)
    for values, sign in [*((v, 1.0) for v in parts), *((v, -1.0) for v in minus)]:
        total = np.sort((total[:, None] + sign * values[None, :]).ravel())
        if total.size > NODES * NODES:  # thin out again, by equal chance
            shares = (np.arange(NODES * 8) + 0.5) / (NODES * 8)
            total = np.quantile(total, shares)
    x = np.arange(total[0] - 5.0 * sd, total[-1] + 5.0 * sd + EXCESS_STEP_K, EXCESS_STEP_K)
    below = np.zeros(x.size)
    for value in total:
        below += normal_cdf((x - value) / sd)
    below /= total.size
    return Excess(x, np.gradient(below, EXCESS_STEP_K), below)


def slab(miss: "Floats", low: "Numbers", high: "Numbers", sd: "Numbers") -> "Floats":
    """Return the likelihood of a miss spread evenly from low to high, blurred by sd; most is one.

    Ends and blur may be arrays.
    """
    made: Floats = normal_cdf((miss - low) / sd) - normal_cdf((miss - high) / sd)
    return made


def weights(ln_weight: "Floats") -> "Floats":
    """Return weights that sum to one from logarithms of any offset."""
    w = np.exp(ln_weight - ln_weight.max())
    made: Floats = w / w.sum()
    return made


def cumulative(w: "Floats") -> "Floats":
    """Return the chance below each grid point: half of its own weight counted."""
    total = np.cumsum(w)
    made: Floats = total - 0.5 * w
    return made


def quantile(ln_p: "Floats", below: "Floats", share: "Numbers") -> "Numbers":
    """Return the pressure below which a share of the belief lies."""
    got = np.exp(np.interp(share, below, ln_p))
    return float(got) if np.ndim(share) == 0 else got


def chance_below(ln_p: "Floats", below: "Floats", p: "Numbers") -> "Numbers":
    """Return the share of the belief below a pressure; none below the grid, all above it."""
    got = np.interp(np.log(np.maximum(p, 1e-300)), ln_p, below, left=0.0, right=1.0)
    return float(got) if np.ndim(p) == 0 else got


def bits(chances: "Floats") -> "Numbers":
    """Return the entropy of chances along the last axis, in bits."""
    with np.errstate(divide="ignore", invalid="ignore"):
        parts = np.where(chances > 0.0, -chances * np.log2(chances), 0.0)
    got = parts.sum(axis=-1)
    return float(got) if np.ndim(got) == 0 else got


def class_chances(w: "Floats", classes: "NDArray[np.int64]") -> "Floats":
    """Return the chance of each class that occurs; w may have rows, each summing to one."""
    return np.stack([np.where(classes == c, w, 0.0).sum(axis=-1) for c in np.unique(classes)], -1)


def information(w: "Floats", classes: "NDArray[np.int64]", outcomes: "Floats") -> float:
    """Return how many bits an observation is expected to tell about the class of p.

    outcomes[i, j] is the chance of outcome i at grid point j; its columns sum to one.
    """
    of_outcome = outcomes @ w
    after = outcomes * w / np.maximum(of_outcome, 1e-300)[:, None]
    left = of_outcome @ np.atleast_1d(bits(class_chances(after, classes)))
    return max(0.0, float(bits(class_chances(w, classes)) - left))


def information_of_readings(
    w: "Floats", classes: "NDArray[np.int64]", likelihoods: "Floats"
) -> float:
    """Return the same for an instrument, from readings that are as likely as one another.

    likelihoods[i, j] is that of reading i at grid point j, up to a factor.
    """
    after = likelihoods * w
    after /= after.sum(axis=1, keepdims=True)
    left = float(np.mean(bits(class_chances(after, classes))))
    return max(0.0, float(bits(class_chances(w, classes))) - left)
