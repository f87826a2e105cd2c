"""How fast the resins of many runs react: the rates of cure.py in the form for the hot loop.

Powers are exponentials of logarithms, which numpy works out many at a time, and what multiplies is
added before the one exponential:

    dX/dt = exp(E u + n ln(Xf - X)) (k1 + exp(ln k2 + m ln X)) S(z),   u = 1/T_ref - 1/T

Rows are cells and columns runs; a law's numbers are one a column. SI arrays.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import GAS_CONSTANT
from outgas.physics.cure import OPENING, REFERENCE_K, Kamal, Kinetics, LeeLoosSpringer

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]

SMALLEST = 1e-300  # in place of nothing, which has no logarithm
FULLY_OPEN = 10.0  # a share of inhibitor used up at which the reaction is open in double precision


class Speeds(Protocol):
    """The rate laws of a batch of runs."""

    waits: bool  # whether any has an inhibitor

    def into(self, T: "Floats", X: "Floats", z: "Floats", dX: "Floats", dz: "Floats") -> None:
        """Put dX/dt and dz/dt [1/s] into dX and dz; dz is left alone where none waits."""

    def slowing(self, X: "Floats", dX: "Floats") -> "Floats":
        """Return about how fast a rate dX falls with conversion [1/s], never below nothing."""


@dataclass(slots=True)
class KamalSpeeds:
    """Autocatalytic laws, a number of each a run."""

    waits: bool
    energy: "Floats"  # over the gas constant [K]
    k1: "Floats"
    ln_k2: "Floats"
    m: "Floats"
    n: "Floats"
    final: "Floats"
    same: bool  # the inhibitor's energy is the reaction's
    waiting_energy: "Floats"
    per_induction: "Floats"  # [1/s], 0 where there is none

    def into(self, T: "Floats", X: "Floats", z: "Floats", dX: "Floats", dz: "Floats") -> None:
        """Put dX/dt and dz/dt [1/s] into dX and dz; dz is left alone where none waits."""
        warmth = np.divide(-1.0, T)
        warmth += 1.0 / REFERENCE_K
        speed = self.energy * warmth
        if self.waits:
            if not self.same:
                warmth *= self.waiting_energy
            np.exp(speed if self.same else warmth, out=dz)
            dz *= self.per_induction
        x = np.maximum(X, SMALLEST)
        left = np.subtract(self.final, x, out=warmth)
        np.maximum(left, SMALLEST, out=left)
        np.log(left, out=left)
        left *= self.n
        speed += left
        np.exp(speed, out=dX)
        np.log(x, out=x)
        x *= self.m
        x += self.ln_k2
        np.exp(x, out=x)
        x += self.k1
        dX *= x
        if self.waits:
            shut = np.subtract(1.0, z, out=x)
            shut *= 1.0 / OPENING
            np.exp(shut, out=shut)
            shut += 1.0
            dX /= shut

    def slowing(self, X: "Floats", dX: "Floats") -> "Floats":
        """Return about how fast a rate dX falls with conversion [1/s], never below nothing."""
        return np.asarray(self.n * dX / np.maximum(self.final - X, NEARLY_DONE))


NEARLY_DONE = 1e-9  # conversion that is left, below which a rate no longer counts


@dataclass(slots=True)
class PrepregSpeeds:
    """Laws of three rate constants, a number of each a run."""

    waits: bool
    factors: "Floats"  # (3, runs) [1/s]
    energies: "Floats"  # (3, runs), over the gas constant [K]
    limit: "Floats"
    switch: "Floats"

    def into(self, T: "Floats", X: "Floats", z: "Floats", dX: "Floats", dz: "Floats") -> None:
        """Put dX/dt [1/s] into dX; there is no inhibitor."""
        del z, dz
        cold = np.divide(-1.0, T)
        k1, k2, k3 = (
            A * np.exp(E * cold) for A, E in zip(self.factors, self.energies, strict=True)
        )
        x = np.minimum(np.maximum(X, 0.0), 1.0)
        left = 1.0 - x
        early = (k1 + k2 * x) * (self.limit - x)
        np.multiply(np.where(x <= self.switch, early, k3), left, out=dX)
        np.maximum(dX, 0.0, out=dX)

    def slowing(self, X: "Floats", dX: "Floats") -> "Floats":
        """Return about how fast a rate dX falls with conversion [1/s], never below nothing."""
        late = self.switch < X
        return np.asarray(
            dX / np.maximum(1.0 - X, NEARLY_DONE)
            + np.where(late, 0.0, dX / np.where(late, 1.0, self.limit - X))
        )


def speeds_of(laws: Sequence[Kinetics]) -> Speeds:
    """Return the speeds of runs whose laws are all of one form."""
    if isinstance(laws[0], LeeLoosSpringer):
        prepreg = [law for law in laws if isinstance(law, LeeLoosSpringer)]
        return PrepregSpeeds(
            waits=False,
            factors=np.array([law.factors for law in prepreg]).T.copy(),
            energies=np.array([law.energies for law in prepreg]).T / GAS_CONSTANT,
            limit=np.array([law.limit for law in prepreg]),
            switch=np.array([law.switch for law in prepreg]),
        )
    kamal = [law for law in laws if isinstance(law, Kamal)]
    energy, waiting = (
        np.array([getattr(law, name) for law in kamal]) / GAS_CONSTANT
        for name in ("energy", "induction_energy")
    )
    waits = np.array([law.induction > 0.0 for law in kamal])
    k2 = np.array([law.k2 for law in kamal])
    return KamalSpeeds(
        waits=bool(waits.any()),
        energy=energy,
        k1=np.array([law.k1 for law in kamal]),
        ln_k2=np.log(np.maximum(k2, SMALLEST)),
        m=np.array([law.m for law in kamal]),
        n=np.array([law.n for law in kamal]),
        final=np.array([law.final for law in kamal]),
        same=bool(np.all((energy == waiting) | ~waits)),
        waiting_energy=waiting,
        per_induction=np.array(
            [1.0 / law.induction if law.induction > 0.0 else 0.0 for law in kamal]
        ),
    )
