"""What a shop's own panels showed, in the form that a job takes it.

Draws that are all as likely, of how far each number of the gas lies from its nominal: in 95 %
half-widths, so that they fit the job at hand, whatever its own band is.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, TypeAlias, runtime_checkable

import numpy as np

from outgas.errors import InputError
from outgas.job.layup import Layup

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

NO_CLOTH = "no cloth named"


@dataclass(frozen=True, slots=True, order=True)
class Kind:
    """What panels must share to teach all of the gas: resin family, process, cloth."""

    family: str
    process: str
    cloth: str

    def __str__(self) -> str:
        return f"{self.family}, {self.process}, {self.cloth}"


@dataclass(frozen=True, slots=True)
class Good:
    """A panel that came out well: the weak end of its cure, its early step, its dissolved air [Pa].

    early_Pa is None where it went straight to the cure.
    """

    cure_Pa: float
    early_Pa: float | None
    air_Pa: float


@dataclass(frozen=True, slots=True, eq=False)
class Learnt:
    """What panels showed for one kind of job.

    ways: of each number, draws in 95 % half-widths of its band. times: draws of how many times the
    gas of the balance a laminate here holds. eye: of the least optical depth seen as haze, over the
    table's, never above one. good: the panels that came out well. panels: how many were of this
    kind; beside: how many others of the shop spoke of what a shop shares.
    """

    ways: Mapping[str, "Floats"]
    times: "Floats"
    eye: "Floats"
    good: tuple[Good, ...]
    panels: int
    beside: int


@runtime_checkable
class Experienced(Protocol):
    """Whatever knows what a shop's panels showed: an outgas.Experience."""

    def learnt_for(self, kind: Kind) -> Learnt | None:
        """Return what was learnt for a kind of job; None for nothing."""
        ...


def cloth_of(layup: Layup) -> str:
    """Return the cloths of a layup by name, each once: their order and number teach nothing new."""
    names = sorted({ply.fabric.name for ply in layup.plies})
    return " + ".join(names) or NO_CLOTH


def read_experience(given: object) -> Experienced | None:
    """Return an experience as it was given, or None; refuses what is none."""
    if given is None or isinstance(given, Experienced):
        return given
    raise InputError(f"experience is {str(given)[:40]!r}; give what outgas.learn(panels) returns")
