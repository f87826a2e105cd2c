"""The resin round each bubble: shells of liquid that move with it, and diffusion through them.

Lagrangian volume coordinate y = r^3 - R^3 (Arefmanesh and Advani's choice, too): the liquid between
two values of y stays the same liquid while the bubble grows, so nothing is carried across a face
but by diffusion, and what leaves one shell enters the next to the last digit. Between two nodes the
flux is that of the steady sphere, 4 pi D (c_a - c_b)/(1/r_a - 1/r_b), exact where the profile has
settled and second order where it has not.

Symbols: R radius of the bubble [m], Y = 3 V/(4 pi) of the liquid V in the cell [m3], c
concentration [mol/m3], D diffusivity [m2/s], N shells, G gases, B bubbles. Amounts are per 4 pi/3.
SI arrays, shells first and bubbles last.
"""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]

FIRST_SHELL = 0.02  # of R0^3: resolves the layer round a bubble that grows thirtyfold within 2 %
NARROWEST = 1e-9  # least spread of the shells' sizes, so that equal shells do not divide by zero


def faces(R0: Floats, Y: Floats, nodes: int) -> Floats:
    """Return the y of the shells' faces, nodes + 1 per bubble, in geometric progression.

    The first shell is FIRST_SHELL of R0^3 thick, or the cell in equal parts where that is thinner.
    """
    first = np.minimum(FIRST_SHELL * R0**3 / Y, 1.0 / nodes)
    # y/Y = expm1(k i/N)/expm1(k): solve for k so that y_1/Y = first, by bisection on all at once
    low, high = np.full_like(Y, NARROWEST), np.full_like(Y, 700.0)
    for _ in range(60):
        k = 0.5 * (low + high)
        too_thick = np.expm1(k / nodes) / np.expm1(k) > first
        low, high = np.where(too_thick, k, low), np.where(too_thick, high, k)
    steps = np.arange(nodes + 1.0)[:, None] / nodes
    shape = np.expm1(k * steps) / np.expm1(k)
    found: Floats = Y * shape
    return found


def conductances(R: Floats, y_nodes: Floats, gaps: Floats) -> Floats:
    """Return 3/(1/r_a - 1/r_b) of the way into each shell from the one inside it [m].

    The first way starts at the bubble's wall; gaps are the differences in y along each way. Times
    D (c_a - c_b) it is the flux per 4 pi/3.
    """
    radii = np.empty((y_nodes.shape[0] + 1, R.shape[0]))
    radii[0] = R
    np.add(y_nodes, R**3, out=radii[1:])
    np.cbrt(radii[1:], out=radii[1:])
    # r_b - r_a = gap/(r_a^2 + r_a r_b + r_b^2): no digits lost however close the two are
    product = radii[:-1] * radii[1:]
    found: Floats = radii[:-1] + radii[1:]
    found *= found
    found -= product
    found *= product
    found *= 3.0
    found /= gaps
    return found


class Sweep:
    """One implicit step of diffusion for many bubbles and gases: out to in, then in to out.

    inward() eliminates the shells from the outermost to the wall. It returns, per gas and bubble,
    the admittance E [m3] of all the liquid seen from the wall and the amount s b that an empty wall
    would draw: (amount in the bubble) = old + s b - E c_wall. outward() then gives the shells.
    """

    def __init__(self, *shape: int) -> None:
        self.share = np.empty(shape)
        self.base = np.empty(shape)

    def inward(self, s: Floats, widths: Floats, held: Floats) -> tuple[Floats, Floats]:
        """Eliminate: s = dt D g (N, G, B), shells' widths in y (N, B), held = widths c_old."""
        a, b = self.share, self.base
        seen = np.zeros(held.shape[1:])
        outer = np.zeros(held.shape[1:])
        room, drawn = np.empty_like(seen), np.empty_like(seen)
        for j in range(held.shape[0] - 1, -1, -1):
            np.add(seen, widths[j], out=room)
            np.add(held[j], outer, out=drawn)
            way = s[j]
            np.add(room, way, out=seen)
            np.divide(way, seen, out=a[j])
            np.divide(drawn, seen, out=b[j])
            np.multiply(room, a[j], out=seen)
            np.multiply(way, b[j], out=outer)
        return seen, outer

    def outward(self, wall: Floats, out: Floats) -> None:
        """Fill in the concentrations of the shells from that at the wall (G, B)."""
        np.multiply(self.share[0], wall, out=out[0])
        out[0] += self.base[0]
        for j in range(1, out.shape[0]):
            np.multiply(self.share[j], out[j - 1], out=out[j])
            out[j] += self.base[j]
