"""How likely what was seen of a panel is, draw by draw.

With tau the optical depth that the balance makes, times its misfit, and s what eyes and panels made
alike differ by (in its logarithm), an eye with thresholds c and m says

    clear  Phi((ln c - ln tau) / s)      milky  1 - Phi((ln m - ln tau) / s)      hazy  the rest

and a void content is a bell around what the balance makes, as wide as its error and what panels
made alike differ by. Each is averaged over the pressures that the panel may have had, and blended
with a share of panels whose note is wrong, for which anything is as likely.
"""

import math
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.constants import Z95
from outgas.laminate.batch import GEL
from outgas.laminate.course import drawn_along
from outgas.panels.made import Made, Predicted
from outgas.panels.numbers import POT, misfit, thresholds
from outgas.physics.chance import Band, normal_cdf
from outgas.tables import catalogue, rates

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.panels.numbers import Ways

    Floats: TypeAlias = NDArray[np.float64]

LOOKS = ("clear", "hazy", "milky")
LEAST_DEPTH = 1e-6  # stands for none, so that its logarithm is finite
LEAST_CHANCE = 1e-300  # of a number that no draw makes
ROOT_TAU = math.sqrt(2.0 * math.pi)


def chances_of_looks(depth: "Floats", ways: "Ways") -> "Floats":
    """Return how likely each look is, in the order of LOOKS on a new first axis."""
    figures = catalogue.panels()
    spread = math.hypot(math.log(figures.scatter.si), math.log(figures.judging.si))
    clear, milky = thresholds(ways)
    seen = np.log(np.maximum(depth * misfit(ways), LEAST_DEPTH))
    under = normal_cdf((np.log(clear) - seen) / spread)
    below = np.maximum(normal_cdf((np.log(milky) - seen) / spread), under)
    return np.stack([under, below - under, 1.0 - below])


def _of_void(told: tuple[float, float], void: "Floats", ways: "Ways") -> "Floats":
    """Return the density of a void content that was measured."""
    figures = catalogue.panels()
    value, error = told
    made = np.minimum(void * misfit(ways), 1.0)
    unseen = figures.unseen.si
    wide = np.sqrt((error / Z95) ** 2 + unseen**2 + (math.log(figures.scatter.si) * made) ** 2)
    return np.asarray(np.exp(-0.5 * ((value - unseen - made) / wide) ** 2) / (ROOT_TAU * wide))


def _bell(value: "float", error: float, middle: "Floats") -> "Floats":
    wide = error / Z95
    return np.asarray(np.exp(-0.5 * ((value - middle) / wide) ** 2) / (ROOT_TAU * wide))


def chance_and_mistake(made: Made, of: Predicted, ways: "Ways") -> "tuple[Floats, Floats]":
    """Return how likely what was seen is, a draw a number, and how much of that is a wrong note.

    Of several things seen of one panel each may be mistaken by itself; the share that is a wrong
    note is that of the least believable.
    """
    figures = catalogue.panels()
    wrong = figures.mistake.si
    parts: list[tuple[Floats, float]] = []
    seen = made.seen
    if seen.look is not None:
        looks = chances_of_looks(of.depth, ways)[LOOKS.index(seen.look)]
        parts.append((made.weights @ looks, 1.0 / len(LOOKS)))
    if seen.void is not None:
        parts.append(
            (made.weights @ _of_void(seen.void, of.void, ways), 1.0 / figures.void_most.si)
        )
    if seen.air_Pa is not None and made.left is not None:
        middle = drawn_along(POT, made.left, ways[POT])
        parts.append((_bell(*seen.air_Pa, middle), 1.0 / max(made.left.high, seen.air_Pa[0])))
    if seen.gel_s is not None and made.gel is not None:
        parts.append(_of_gel(seen.gel_s, made.gel, ways))
    chance, doubt = np.ones_like(ways[POT]), np.zeros_like(ways[POT])
    for one, anything in parts:
        blended = np.maximum((1.0 - wrong) * one + wrong * anything, LEAST_CHANCE)
        chance = chance * blended
        doubt = np.maximum(doubt, wrong * anything / blended)
    return chance, doubt


def _of_gel(told: float, expected: Band, ways: "Ways") -> "tuple[Floats, float]":
    """Return the density of a cup's gel over the sheet's, in its logarithm, and of a mistake."""
    off = math.log(1.0 + rates.cure().general.gel_reading.si)
    share = np.abs(ways[GEL])
    ends = np.where(
        ways[GEL] > 0.0,
        math.log(expected.high / expected.nominal),
        math.log(expected.low / expected.nominal),
    )
    chance = _bell(math.log(told / expected.nominal), off, share * ends)
    return chance, 1.0 / (2.0 * math.log(expected.high / expected.low))
