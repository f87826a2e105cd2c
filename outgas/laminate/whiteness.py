"""How white a share of voids looks: the haze kernel asked for one size of bubble.

The optical depth of a laminate with a share f of voids of radius R, h thick, is 3 f Q h / (4 R).
The same gas in smaller bubbles is whiter.

>>> seen = predicted(0.02, 10e-6, 1e-3)
>>> round(seen.depth, 1), round(seen.contrast, 2), seen.words
(3.1, 0.11, 'milky')
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.errors import OutOfRangeError
from outgas.physics import haze
from outgas.tables import catalogue

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

DENSEST = 0.74  # closest packing of spheres: more gas than this is a froth and as white as can be
USUAL_FAMILY = "polyester"  # whose index is taken where none is given
BLACK = 0.0  # what a black background sends back


@dataclass(frozen=True, slots=True)
class Whiteness:
    """How white: optical depth, share of light sent back over black, that less a clear one's."""

    depth: float
    reflected: float
    contrast: float
    words: str


def index_of(family: str) -> float:
    """Return the index of refraction of a cured family of resins."""
    return catalogue.transport(family).refractive_index.si


def _scattered(
    void: "Numbers", radius: "Numbers", thickness: float | None, index: float | None
) -> "tuple[Floats, Floats, float]":
    """Return optical depth, mean cosine and index; smaller bubbles count as the least."""
    n = index_of(USUAL_FAMILY) if index is None else index
    h = catalogue.signs().look.thickness.si if thickness is None else thickness
    least = haze.LEAST_SIZE * haze.WAVELENGTH / (2.0 * np.pi * n)
    R = np.maximum(np.asarray(radius, dtype=float), least * (1.0 + 1e-9))
    x = np.asarray(haze.size_parameter(R, n))
    tau = 0.75 * np.asarray(haze.efficiency(x)) * np.minimum(void, DENSEST) * h / R
    return np.asarray(tau), np.asarray(haze.mean_cosine(x, n)), n


def predicted(
    void: float, radius: float, thickness: float | None = None, index: float | None = None
) -> Whiteness:
    """Return how white a laminate looks that holds a share void of gaps of a radius [m].

    void 0 to 1; radius above zero, counted as 1.7 um where smaller; thickness of the laminate
    looked through [m], the table's usual one if not given; index of the resin.
    """
    if not 0.0 <= void <= 1.0 or not radius > 0.0:
        raise OutOfRangeError(f"void {void:g} and radius {radius:g} m: 0 to 1, and above zero")
    tau, g, n = _scattered(void, radius, thickness, index)
    seen = float(haze.reflectance(float(tau), float(g), n, BLACK))
    clear = float(haze.reflectance(0.0, float(g), n, BLACK))
    limits = catalogue.signs().look
    words = "clear"
    for limit, name in (
        (limits.trace.si, "a trace of haze"),
        (limits.milky.si, "milky"),
        (limits.white.si, "white"),
    ):
        if tau >= limit:
            words = name
    return Whiteness(float(tau), seen, max(0.0, seen - clear), words)


def shows(
    void: "Numbers", radius: "Numbers", thickness: float | None = None, index: float | None = None
) -> "Floats":
    """Return from 0 to 1 how surely it would be noticed: a half where it turns milky."""
    tau, _, _ = _scattered(void, radius, thickness, index)
    return np.asarray(tau / (tau + catalogue.signs().look.milky.si))
