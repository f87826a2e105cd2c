"""Which panel to make next: at which pressure its look would teach the most.

What a look teaches is what it is expected to take off the doubt: the entropy of the look over all
draws, less the mean of its entropy in each (mutual information; Lindley 1956, from memory).
"""

import dataclasses
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.panels.experience import NextPanel
from outgas.panels.likelihood import chances_of_looks
from outgas.panels.made import Made, predicted
from outgas.panels.numbers import ways_of
from outgas.tables import catalogue

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

CANDIDATES = 7  # pressures that are looked at, spread evenly in their logarithm
LEAST = 1e-12  # of a chance, so that its logarithm is finite
THOUGHT_OF = 512  # draws are enough to rank a few pressures


def next_panels(made: Made, z: "Floats", deepest_Pa: float, weakest_Pa: float) -> list[NextPanel]:
    """Return candidates for the next panel, made like one before, the most telling first.

    z: draws that are all as likely.
    """
    ways = ways_of(z[:, :THOUGHT_OF])
    at = np.geomspace(deepest_Pa, weakest_Pa, CANDIDATES)
    asked = dataclasses.replace(made, pressures=at, weights=np.full(at.size, 1.0 / at.size))
    chances = chances_of_looks(predicted(asked, ways).depth, ways)
    wrong = catalogue.panels().mistake.si
    chances = (1.0 - wrong) * chances + wrong / len(chances)
    mean = chances.mean(axis=-1)
    bits = _entropy(mean) - _entropy(chances).mean(axis=-1)
    found = [
        NextPanel(float(p), float(max(b, 0.0)), (float(c[0]), float(c[1]), float(c[2])))
        for p, b, c in zip(at, bits, mean.T, strict=True)
    ]
    return sorted(found, key=lambda panel: -panel.bits)


def _entropy(chances: "Floats") -> "Floats":
    """Return the entropy of looks, along the first axis [bits]."""
    some = np.maximum(chances, LEAST)
    return np.asarray(-(some * np.log2(some)).sum(axis=0))
