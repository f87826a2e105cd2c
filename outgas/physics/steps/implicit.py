"""The implicit part of a step: conduction and what the faces lose by the kelvin, for all runs.

(C / (gamma h) + conduction) x = C / (gamma h) b. Many runs are swept over their cells as arrays of
runs; for a few one matrix of all of them is quicker, since a call of numpy costs as much as a
hundred numbers.
"""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.physics.steps.cells import Cells

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Mask: TypeAlias = NDArray[np.bool_]

FEW = 6  # runs up to which one matrix of all is quicker than sweeps
FARTHEST = 600.0  # logarithm of what two cells may have to do with each other, in double precision


def inverse_of(diagonal: "Floats", inner: "Floats") -> "Floats":
    """Return the inverse of a tridiagonal matrix with -inner beside its diagonal.

    Between two cells it falls by the product of inner over the pivots in between; its own diagonal
    is what pivots from both ends leave.
    """
    a, k = diagonal.tolist(), inner.tolist()
    up, down = [a[0]], [a[-1]]
    for here, link in zip(a[1:], k, strict=True):
        up.append(here - link * link / up[-1])
    for here, link in zip(a[-2::-1], k[::-1], strict=True):
        down.append(here - link * link / down[-1])
    pivots = np.array(up)
    own = 1.0 / (pivots + np.array(down[::-1]) - diagonal)
    falls = np.zeros(diagonal.size)
    with np.errstate(divide="ignore"):
        np.cumsum(np.maximum(np.log(inner / pivots[:-1]), -FARTHEST), out=falls[1:])
    if falls[-1] > -FARTHEST:  # the product of two vectors
        rising = np.exp(falls)
        upper = np.multiply.outer(1.0 / rising, rising * own)
    else:
        upper = np.exp(np.minimum(falls[None, :] - falls[:, None], 0.0)) * own
    cells = np.arange(diagonal.size)
    return np.where(cells[:, None] <= cells, upper, upper.T)


class Implicit:
    """The matrix of each run, and the solution for all of them."""

    def __init__(self, cells: Cells) -> None:
        n, B = cells.capacity.shape
        self.cells, self.few = cells, B <= FEW
        if self.few:
            self.inverse = np.zeros((n, B, n, B))
            self.flat = self.inverse.reshape(n * B, n * B)
        else:
            self.D, self.over = np.ones((n, B)), np.ones((n, B))
            self.below = np.empty((n - 1, B))

    def renew(self, D: "Floats") -> None:
        """Take over C / (gamma h), and what the faces lose by the kelvin now."""
        inner, steep, last = self.cells.inner, self.cells.faces.steep, self.cells.last
        over = D.copy()
        over[:-1] += inner
        over[1:] += inner
        over[0] += steep[0]
        over[last, np.arange(D.shape[1])] += steep[1]
        if self.few:
            for b in range(D.shape[1]):
                self.inverse[:, b, :, b] = inverse_of(over[:, b], inner[:, b]) * D[:, b]
            return
        part, below = np.empty(D.shape[1]), self.below
        np.divide(1.0, over[0], out=over[0])
        for i in range(D.shape[0] - 1):
            np.multiply(inner[i], over[i], out=below[i])
            np.multiply(below[i], inner[i], out=part)
            np.subtract(over[i + 1], part, out=part)
            np.divide(1.0, part, out=over[i + 1])
        self.D, self.over = D, over

    def solve(self, b: "Floats") -> "Floats":
        """Return x (n, B)."""
        if self.few:
            return np.asarray((self.flat @ b.reshape(-1)).reshape(b.shape))
        x, part, below = self.D * b, np.empty(b.shape[1]), self.below
        for i in range(b.shape[0] - 1):
            np.multiply(below[i], x[i], out=part)
            np.add(x[i + 1], part, out=x[i + 1])
        x *= self.over
        for i in range(b.shape[0] - 2, -1, -1):
            np.multiply(below[i], x[i + 1], out=part)
            np.add(x[i], part, out=x[i])
        return x
