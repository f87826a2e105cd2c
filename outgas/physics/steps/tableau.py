"""Coefficients of an implicit-explicit Runge-Kutta method of order four.

    y_i = y + h sum_j (A_ij f_explicit(y_j) + B_ij f_implicit(y_j))
    y_next = y + h sum_j b_j (f_explicit(y_j) + f_implicit(y_j))

with A strictly lower, B lower with one number on its diagonal after the first stage, and the same
weights b for both parts. error holds the weights of the estimate of a step's error: b less those of
an embedded method of one order less.

Source: Kennedy and Carpenter (2003), Applied Numerical Mathematics 44, ARK4(3)6L[2]SA (from
memory; the order conditions are the check).
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tableau:
    """An implicit-explicit method: matrices of both parts, weights, error weights, stage times."""

    explicit: "Floats"
    implicit: "Floats"
    b: "Floats"
    error: "Floats"
    c: "Floats"
    order: int

    @property
    def stages(self) -> int:
        """How many stages a step has, the first explicit."""
        return int(self.c.size)

    @property
    def diagonal(self) -> float:
        """The number on the diagonal of the implicit part."""
        return float(self.implicit[-1, -1])

    def interleaved(self, of: "Floats", implicit: "Floats | None" = None) -> "Floats":
        """Return weights of all stages in the order f0, f1, i1, f2, i2, ... (i: implicit parts)."""
        rest = np.zeros(of.size) if implicit is None else implicit
        pairs = np.stack([of, rest], axis=1).reshape(-1)
        return np.asarray(np.delete(pairs, 1))

    def mixture(self, stage: int) -> "Floats":
        """Return the weights of what a stage knows, where f is the sum of both parts.

        A f_explicit + B f_implicit = A f + (B - A) f_implicit, and the first stage's implicit part,
        linear about itself, is nothing.
        """
        A, B = self.explicit[stage], self.implicit[stage]
        return self.interleaved(A, B - A)[: 2 * stage - 1]


def _lower(rows: list[list[float]]) -> "Floats":
    full = np.zeros((len(rows), len(rows)))
    for i, row in enumerate(rows):
        full[i, : len(row)] = row
    return full


_DIAGONAL = 0.25
_WEIGHTS = [82889 / 524892, 0.0, 15625 / 83664, 69875 / 102672, -2260 / 8211, _DIAGONAL]
_EMBEDDED = [
    4586570599 / 29645900160,
    0.0,
    178811875 / 945068544,
    814220225 / 1159782912,
    -3700637 / 11593932,
    61727 / 225920,
]
_EXPLICIT: list[list[float]] = [
    [],
    [0.5],
    [13861 / 62500, 6889 / 62500],
    [
        -116923316275 / 2393684061468,
        -2731218467317 / 15368042101831,
        9408046702089 / 11113171139209,
    ],
    [
        -451086348788 / 2902428689909,
        -2682348792572 / 7519795681897,
        12662868775082 / 11960479115383,
        3355817975965 / 11060851509271,
    ],
    [
        647845179188 / 3216320057751,
        73281519250 / 8382639484533,
        552539513391 / 3454668386233,
        3354512671639 / 8306763924573,
        4040 / 17871,
    ],
]
_IMPLICIT: list[list[float]] = [
    [],
    [_DIAGONAL, _DIAGONAL],
    [8611 / 62500, -1743 / 31250, _DIAGONAL],
    [5012029 / 34652500, -654441 / 2922500, 174375 / 388108, _DIAGONAL],
    [
        15267082809 / 155376265600,
        -71443401 / 120774400,
        730878875 / 902184768,
        2285395 / 8070912,
        _DIAGONAL,
    ],
    _WEIGHTS,
]

FOURTH = Tableau(
    explicit=_lower(_EXPLICIT),
    implicit=_lower(_IMPLICIT),
    b=np.array(_WEIGHTS),
    error=np.array(_WEIGHTS) - np.array(_EMBEDDED),
    c=np.array([0.0, 0.5, 0.332, 0.62, 0.85, 1.0]),
    order=4,
)
