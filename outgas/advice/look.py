"""How white a share of voids looks: one small formula, in one place, so that it can be replaced.

Light that crosses a plate with a share f of voids of radius R, thickness h, meets an optical depth
tau = 3 f h / (2 R) (large spheres scatter twice what they shade, Q = 2). Of what is scattered most
goes on forwards (mean cosine g), so what counts for whiteness is tau' = tau (1 - g), and a plate of
tau' sends back about R_d = (3/4) tau' / (1 + (3/4) tau') of diffuse light (two-stream, nothing
absorbed). The same gas in smaller bubbles is whiter.

>>> seen = predicted(0.02, 10e-6, 1e-3)
>>> round(seen.depth, 2), round(seen.reflected, 2), seen.words
(3.0, 0.35, 'milky')
"""

from dataclasses import dataclass

from outgas import catalogue
from outgas.errors import OutOfRangeError

EXTINCTION = 2.0  # Q of a sphere much larger than the wavelength: what it shades, and as much again
DENSEST = 0.74  # closest packing of spheres: more gas than this is a froth and as white as can be


@dataclass(frozen=True, slots=True)
class Look:
    """How white: optical depth, share of light sent back, and the words for it."""

    depth: float
    reflected: float
    words: str


def predicted(void: float, radius: float, thickness: float | None = None) -> Look:
    """Return how white a laminate looks that holds a share void of gaps of a radius [m].

    void 0 to 1; radius above zero; thickness of the laminate looked through [m], the table's usual
    one if not given.
    """
    if not 0.0 <= void <= 1.0 or not radius > 0.0:
        raise OutOfRangeError(f"void {void:g} and radius {radius:g} m: 0 to 1, and above zero")
    look = catalogue.signs().look
    h = look.thickness.si if thickness is None else thickness
    depth = 0.75 * EXTINCTION * min(void, DENSEST) * h / radius
    scattered = 0.75 * depth * (1.0 - look.forward.si)
    words = "clear"
    for limit, name in (
        (look.trace.si, "a trace of haze"),
        (look.milky.si, "milky"),
        (look.white.si, "white"),
    ):
        if depth >= limit:
            words = name
    return Look(depth, scattered / (1.0 + scattered), words)


def shows(void: float, radius: float, thickness: float | None = None) -> float:
    """Return from 0 to 1 how surely it would be noticed: a half where it turns milky."""
    depth = predicted(void, radius, thickness).depth
    return depth / (depth + catalogue.signs().look.milky.si)
