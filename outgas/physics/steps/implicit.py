"""The implicit part of a step: conduction and what the faces lose by the kelvin, for all runs.

(C / (gamma h) + conduction) x = C / (gamma h) b. Many runs are swept over their cells as arrays of
runs; for a few, sums along the cells are quicker, since a call of numpy costs as much as a hundred
numbers.
"""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.physics.steps.cells import Cells

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Mask: TypeAlias = NDArray[np.bool_]

FEW = 6  # runs up to which sums along the cells are quicker than sweeps over them
APART = -40.0  # logarithm of what cells have to do with those beyond a run's last: nothing
FARTHEST = 600.0  # logarithm of what two cells may have to do with each other, in double precision


def pivots(diagonal: list[float], inner: list[float]) -> list[float]:
    """Return the pivots of a tridiagonal matrix with -inner beside its diagonal, from its start."""
    found = [diagonal[0]]
    for here, link in zip(diagonal[1:], inner, strict=True):
        found.append(here - link * link / found[-1])
    return found


class Implicit:
    """The matrix of each run, and the solution for all of them.

    The inverse falls, from its diagonal own, by the product of inner over the pivots in between:
    own_j r_j / r_i for j >= i. So a solution is two sums along the cells, without a matrix.
    """

    def __init__(self, cells: Cells) -> None:
        n, B = cells.capacity.shape
        self.cells, self.few = cells, B <= FEW
        self.D, self.over, self.below = np.ones((n, B)), np.ones((n, B)), np.empty((n - 1, B))
        self.steep = cells.faces.steep
        self.summed, self.falling, self.rising = False, self.D, self.D
        self.links = cells.inner.T.tolist() if self.few else []
        self.linked = cells.inner > 0.0
        self.apart = np.where(np.arange(n - 1)[:, None] == cells.last, APART, 0.0)

    def renew(self, D: "Floats") -> None:
        """Take over C / (gamma h), and what the faces lose by the kelvin now."""
        inner, steep, last = self.cells.inner, self.cells.faces.steep, self.cells.last
        over = D.copy()
        over[:-1] += inner
        over[1:] += inner
        over[0] += steep[0]
        over[last, np.arange(D.shape[1])] += steep[1]
        self.D, self.over, self.steep = D, over, steep
        self.summed = self.few and self._sums()
        if self.summed:
            return
        part, below = np.empty(D.shape[1]), self.below
        np.divide(1.0, over[0], out=over[0])
        for i in range(D.shape[0] - 1):
            np.multiply(inner[i], over[i], out=below[i])
            np.multiply(below[i], inner[i], out=part)
            np.subtract(over[i + 1], part, out=part)
            np.divide(1.0, part, out=over[i + 1])

    def _sums(self) -> bool:
        """Make ready for sums along the cells; False where they pass double precision."""
        columns = self.over.T.tolist()
        each = list(zip(columns, self.links, strict=True))
        up = np.array([pivots(a, k) for a, k in each]).T
        down = np.array([pivots(a[::-1], k[::-1])[::-1] for a, k in each]).T
        falls = np.zeros(up.shape)
        ratios = np.where(self.linked, self.cells.inner / up[:-1], 1.0)
        np.cumsum(np.log(ratios) + self.apart, axis=0, out=falls[1:])
        if float(falls[-1].min()) < -FARTHEST:
            return False
        r = np.exp(falls)
        self.falling = r / (up + down - self.over)
        self.rising = 1.0 / r
        return True

    def solve(self, b: "Floats", warmer: "Floats | None" = None) -> "Floats":
        """Return x (n, B); warmer is by how much the air has changed since [K]."""
        x = self.D * b
        if warmer is not None:
            brought = self.steep * warmer
            x[0] += brought[0]
            x[self.cells.last, np.arange(x.shape[1])] += brought[1]
        if self.summed:
            x_falling = x * self.falling
            after = np.add.accumulate(x_falling[::-1], axis=0)[::-1]
            x *= self.rising
            before = np.add.accumulate(x, axis=0)
            before -= x
            before *= self.falling
            after *= self.rising
            return np.asarray(after + before)
        part, below = np.empty(b.shape[1]), self.below
        for i in range(b.shape[0] - 1):
            np.multiply(below[i], x[i], out=part)
            np.add(x[i + 1], part, out=x[i + 1])
        x *= self.over
        for i in range(b.shape[0] - 2, -1, -1):
            np.multiply(below[i], x[i + 1], out=part)
            np.add(x[i], part, out=x[i])
        return x
