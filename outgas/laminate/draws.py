"""Every uncertain number of a limit drawn at once, spread evenly: what a limit may be, and by what.

Each number is known by a nominal value and its two 95 % ends, so each is drawn from two half bells
that meet at the nominal; what is known to a factor is drawn so in its logarithm. Vapours move
together, as they do in the limits. Draws are Sobol's points (Owen scrambled, from a fixed seed), so
that the same case always gives the same answer.

Indices say which share of the spread of an answer a number makes: alone (first order), or with all
that it does together with others (total), after Saltelli et al. 2010 (Computer Physics
Communications 181, 259), as scipy has them.
"""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.constants import Z95
from outgas.laminate.course import PRESSED, Course
from outgas.laminate.gas.balance import Gas, run
from outgas.laminate.gas.joint import BY_A_FACTOR, MOST, along
from outgas.laminate.gas.limits import Limit, Target, limit
from outgas.physics.chance import Band, normal_cdf

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

DRAWS = 1024  # a power of two, as Sobol's points want
SEED = 20  # any; fixed, so that an answer can be had again
LEAST = {"vapour_moved": -np.inf}  # what a number can be, where it can be under nothing
SPREAD = 1e-9  # of an answer: below that there is none
EDGE = 1e-9  # of a share, so that no draw is endless


@dataclass(frozen=True, slots=True)
class Index:
    """Which share of the spread of an answer a number makes: alone, and with others."""

    name: str
    first: float
    total: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """What can be drawn of a course, and how each number is known."""

    course: Course
    bands: "dict[str, Band]"

    @classmethod
    def of(cls, course: Course) -> "Drawn":
        """Return what a course leaves open, its vapours last."""
        known = course.known
        bands = {
            name: Band(float(getattr(known.gas, name)), float(low), float(high))
            for name, (low, high) in known.ends.items()
        }
        return cls(course, {**bands, "vapour_moved": Band(0.0, -1.0, 1.0)})

    @property
    def names(self) -> tuple[str, ...]:
        """The numbers that are drawn, in order."""
        return tuple(self.bands)

    def way(self, shares: "Floats") -> "Floats":
        """Return how many half-widths of its ends each share of a bell lies from its middle."""
        from scipy.special import ndtri

        ways = ndtri(np.clip(shares, EDGE, 1.0 - EDGE)) / (Z95 * self.course.known.k)
        return np.asarray(ways)

    def gas(self, shares: "Floats") -> Gas:
        """Return the gas whose numbers stand at shares, 0 to 1, of their bells; a row a number."""
        from scipy.special import ndtri

        ways = ndtri(np.clip(shares, EDGE, 1.0 - EDGE)) / (Z95 * self.course.known.k)
        drawn = {
            name: along(
                (band.nominal, band.low, band.high),
                way,
                factor=name in BY_A_FACTOR,
                least=LEAST.get(name, 0.0),
                most=MOST.get(name, np.inf),
            )
            for (name, band), way in zip(self.bands.items(), ways, strict=True)
        }
        still: dict[str, Floats] = {"initiator_gas": np.asarray(0.0)}
        return dataclasses.replace(self.course.known.gas, **{**still, **drawn})

    def limits(self, shares: "Floats", target: Target) -> "Floats":
        """Return the air's limit of each draw [Pa], up to a press."""
        gas, course = self.gas(shares), self.course
        found = limit(gas, course.steps, target, course.highest_Pa)
        beyond = np.isinf(found)
        if beyond.any():
            most = PRESSED * course.highest_Pa
            pressed = limit(gas, course.steps, target, most)
            found = np.where(beyond, np.minimum(pressed, most), found)
        return np.asarray(found)

    def voids(self, shares: "Floats", fibre_fraction: float, pressure: float) -> "Floats":
        """Return the void fraction that each draw leaves after a cure at a pressure [Pa]."""
        held = run(self.gas(shares), self.course.steps(pressure))
        return held.void_fraction(fibre_fraction)


def exact_limit(course: Course, target: Target, found: Limit, draws: int = DRAWS) -> Limit:
    """Return a limit whose safe side is that of the draws, at the confidence of the course."""
    drawn = Drawn.of(course)
    limits = drawn.limits(points(len(drawn.names), draws), target)
    share = float(normal_cdf(np.asarray(course.known.k * Z95))) * 2.0 - 1.0
    safe = np.maximum(found.nominal, np.quantile(limits, share))
    return Limit(found.nominal, safe, found.moved)


def points(numbers: int, draws: int) -> "Floats":
    """Return Sobol's points between 0 and 1, a row a number; draws is a power of two."""
    from scipy.stats import qmc

    return np.asarray(qmc.Sobol(numbers, rng=SEED).random(draws).T)


def indices(
    names: "tuple[str, ...]", answer: "Callable[[Floats], Floats]", draws: int
) -> tuple[Index, ...]:
    """Return which share of the spread of an answer each number makes, the greatest total first.

    answer takes shares, a row a number, and gives one value a column. All nothing where the answer
    does not spread.
    """
    from scipy.stats import sobol_indices, uniform

    seen = answer(points(len(names), draws))
    if float(np.std(seen)) <= SPREAD * max(abs(float(np.mean(seen))), SPREAD):
        return tuple(Index(name, 0.0, 0.0) for name in names)
    found = sobol_indices(
        func=answer,
        n=draws,
        dists=[uniform()] * len(names),  # type: ignore[list-item]
        rng=np.random.default_rng(SEED),
    )
    pairs = zip(names, found.first_order, found.total_order, strict=True)
    made = [Index(name, float(first), float(total)) for name, first, total in pairs]
    return tuple(sorted(made, key=lambda index: -index.total))
