"""A panel as the gas balance takes it, and what the balance makes of it draw by draw.

SI floats and arrays; pressures that a panel may have had come first, draws last.
"""

import dataclasses
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.job.learnt import Good, Kind
from outgas.laminate.course import VAPOUR, drawn_along
from outgas.laminate.gas.balance import Gas, Step, run
from outgas.panels.numbers import DIAL, INITIATOR
from outgas.physics.chance import Band

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.panels.numbers import Ways

    Floats: TypeAlias = NDArray[np.float64]

    # From the cure's pressures [Pa] and how far the dial is out [Pa] to the steps of a panel.
    StepsOf: TypeAlias = Callable[[Floats, Floats], Sequence[Step]]

DEEPEST_Pa = 10.0  # no shop's bag is deeper than a tenth of a millibar


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What came out of a panel; None where nobody looked.

    look: clear, hazy or milky. void and air_Pa: a value with its 95 % error. gel_s: of a cup.
    """

    look: str | None = None
    void: tuple[float, float] | None = None
    air_Pa: tuple[float, float] | None = None
    gel_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A panel: its gas as it is known, its steps, the pressures it may have been cured at.

    bands: of each number of the gas that is not told; pressures [Pa] with their weights, which sum
    to one; dial_Pa: 95 % of how far the dial may be out. left: the air that its pot left, as it is
    expected; gel: of a cup here. key: what makes two panels the same job. good: what it bears out
    if it came out well, None where a pressure of its cure is not known.
    """

    kind: Kind
    gas: Gas
    bands: Mapping[str, Band]
    steps: "StepsOf"
    pressures: "Floats"
    weights: "Floats"
    dial_Pa: float
    fibre_fraction: float
    thickness_m: float
    seen: Seen
    key: Hashable
    left: Band | None = None
    gel: Band | None = None
    good: Good | None = None


@dataclass(frozen=True, slots=True)
class Predicted:
    """What the balance makes of a panel: void fraction and optical depth, pressures by draws."""

    void: "Floats"
    depth: "Floats"


def predicted(made: Made, ways: "Ways") -> Predicted:
    """Return what the balance makes of a panel for draws of its numbers."""
    columns = {
        name: drawn_along(name, band, ways[name])
        for name, band in made.bands.items()
        if name in ways and name != INITIATOR
    }
    if INITIATOR in made.bands:
        columns[INITIATOR] = drawn_along(INITIATOR, made.bands[INITIATOR], ways[INITIATOR])
    columns[VAPOUR] = ways[VAPOUR]
    shift = made.dial_Pa * ways[DIAL]
    at = np.maximum(made.pressures[:, None] + shift, DEEPEST_Pa)
    held = run(dataclasses.replace(made.gas, **columns), made.steps(at, shift))
    void = np.broadcast_to(held.void_fraction(made.fibre_fraction), at.shape)
    depth = np.broadcast_to(held.optical_depth(made.fibre_fraction, made.thickness_m), at.shape)
    return Predicted(void, depth)


def predicted_all(panels: Sequence[Made], ways: "Ways") -> list[Predicted]:
    """Return what the balance makes of each panel; panels made alike are worked once."""
    found: dict[Hashable, Predicted] = {}
    return [
        found[made.key] if made.key in found else found.setdefault(made.key, predicted(made, ways))
        for made in panels
    ]
