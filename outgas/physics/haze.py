"""How white a clear laminate looks with bubbles in it, or with dry fibres.

Bubbles scatter: each takes Q times its shadow out of the beam and sends the light mostly forward,
with mean cosine g. A plate of them is reckoned by the two-stream method in its delta-Eddington
form, which for thick plates is diffusion theory; no light is absorbed. The plate's face sends part
of the light back (Fresnel), more of it from inside, and a background is bonded to the other side.

Q and g are Mie's for an empty sphere in resin, as short formulas. Averaged over a tenth in size, as
any real population is, they lie within Q_ERROR and G_ERROR of the full series for size parameters
from LEAST_SIZE up and indices in INDEX_RANGE.

Symbols: R radius [m], N bubbles per volume of laminate [1/m3], n index of the resin, mu scattering
[1/m], tau = mu x thickness, x = 2 pi n R / wavelength. After: Mie 1908; Joseph, Wiscombe and
Weinman 1976 (delta-Eddington); Meador and Weaver 1980 (two-stream); Saunderson 1942 (faces);
Duntley 1942 (diffuse light on a face). SI floats and arrays.
"""

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.errors import OutOfRangeError

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

WAVELENGTH = 550e-9  # m in vacuum, where the eye is keenest
LEAST_SIZE = 30.0  # size parameter, a radius of 1.7 um; for smaller bubbles use the full series
INDEX_RANGE = (1.45, 1.62)
# Fitted to the full series for x 25 to 3000 and eight indices; the first term is geometry.
Q_TERMS = (2.0, 2.11, -4.56)  # 1, x^(-2/3), 1/x
G_TERMS = (0.7538, -0.3425, 0.290, 0.270)  # 1, n - 1.55, its square, x^(-2/3)
G_CENTRE = 1.55
Q_ERROR = 0.025  # of Q
G_ERROR = 0.006
# A dry glass fibre in air: both sides of its shadow, and the mean cosine of a glass sphere in air.
FIBRE_Q = 2.0
FIBRE_G = 0.80


def size_parameter(R: "Numbers", n: float, wavelength: float = WAVELENGTH) -> "Numbers":
    """Return 2 pi n R / wavelength, or raise OutOfRangeError where the formulas do not hold."""
    low, high = INDEX_RANGE
    if not low <= n <= high:
        raise OutOfRangeError(f"the index of the resin is {n:.4g}, outside {low} to {high}")
    x = 2.0 * np.pi * n * np.asarray(R, dtype=float) / wavelength
    if x.size and not float(np.min(x)) >= LEAST_SIZE:
        least = LEAST_SIZE * wavelength / (2.0 * np.pi * n)
        raise OutOfRangeError(
            f"a bubble of {float(np.min(R)) * 1e6:.3g} um is too small for the formula of its "
            f"haze, which holds from {least * 1e6:.2g} um up"
        )
    return float(x) if x.ndim == 0 else x


def efficiency(x: "Numbers") -> "Numbers":
    """Return Q, what a bubble takes out of the beam over its shadow.

    >>> round(efficiency(1000.0), 3)
    2.017
    """
    return Q_TERMS[0] + Q_TERMS[1] * x ** (-2.0 / 3.0) + Q_TERMS[2] / x


def mean_cosine(x: "Numbers", n: float) -> "Numbers":
    """Return g, the mean cosine of the light that a bubble scatters.

    >>> round(mean_cosine(200.0, 1.55), 3)
    0.762
    """
    off = n - G_CENTRE
    return G_TERMS[0] + G_TERMS[1] * off + G_TERMS[2] * off * off + G_TERMS[3] * x ** (-2.0 / 3.0)


def scattering(
    R: "Floats", N: "Floats", n: float, wavelength: float = WAVELENGTH
) -> tuple[float, float]:
    """Return mu and g of a population: radii and how many of each there are per volume."""
    if R.size == 0:
        return 0.0, 0.0
    x = size_parameter(R, n, wavelength)
    each = N * np.pi * R**2 * efficiency(x)
    mu = float(np.sum(each))
    return mu, float(np.sum(each * mean_cosine(x, n)) / mu) if mu > 0.0 else 0.0


def dry_fibres(R: float, fraction: float, dry: float) -> tuple[float, float]:
    """Return mu and g of fibres of radius R and volume fraction, of which a share is not wetted.

    A fibre shows 2 R per length, so Q 2 fraction/(pi R) in all. What is wetted is left out: its
    face sends back ten thousand times less.
    """
    return FIBRE_Q * 2.0 * fraction * dry / (np.pi * R), FIBRE_G


def plate(tau: "Numbers", g: "Numbers") -> tuple["Numbers", "Numbers"]:
    """Return the share that a plate sends back of a straight beam, and of diffuse light.

    The rest goes through. Delta-Eddington: the forward peak, g^2 of the scattered light, counts as
    not scattered. With k = 3(1 - g) tau/4 diffuse light comes back as k/(1 + k), a straight beam as
    (k - (1 - e^-t)/4)/(1 + k), t = (1 - g^2) tau.

    >>> straight, diffuse = plate(3.0, 0.757)
    >>> round(straight, 3), round(diffuse, 3)
    (0.237, 0.353)
    """
    tau, g = np.asarray(tau, dtype=float), np.asarray(g, dtype=float)
    thin = (1.0 - g * g) * tau
    k = 0.75 * (1.0 - g) * tau
    straight = (k + 0.25 * np.expm1(-thin)) / (1.0 + k)
    diffuse = k / (1.0 + k)
    if straight.ndim == 0:
        return float(straight), float(diffuse)
    return straight, diffuse


def face(n: float) -> tuple[float, float]:
    """Return what a resin's face sends back: of a straight beam outside, of diffuse light inside.

    >>> outside, inside = face(1.5)
    >>> round(outside, 4), round(inside, 3)
    (0.04, 0.596)
    """
    straight = ((n - 1.0) / (n + 1.0)) ** 2
    s = n * n
    diffuse = (
        0.5
        + (n - 1.0) * (3.0 * n + 1.0) / (6.0 * (n + 1.0) ** 2)
        + s * (s - 1.0) ** 2 / (s + 1.0) ** 3 * np.log((n - 1.0) / (n + 1.0))
        - 2.0 * n**3 * (s + 2.0 * n - 1.0) / ((s + 1.0) * (s * s - 1.0))
        + 8.0 * s * s * (s * s + 1.0) / ((s + 1.0) * (s * s - 1.0) ** 2) * np.log(n)
    )
    return straight, float(1.0 - (1.0 - diffuse) / s)


def reflectance(tau: "Numbers", g: "Numbers", n: float, background: float) -> "Numbers":
    """Return the share of light that comes back from a laminate bonded to a background.

    tau and g of the laminate, n of its resin, background the share that it would send back of
    diffuse light. What the clear laminate sends back is reflectance(0, 0, n, background).
    """
    if not 0.0 <= background <= 1.0:
        raise OutOfRangeError(f"the background sends back {background:.4g}; it is 0 to 1")
    if not np.all((np.asarray(tau) >= 0.0) & np.isfinite(tau)):
        raise OutOfRangeError("the optical depth of a laminate is a number, zero or more")
    straight, diffuse = plate(tau, g)
    between = 1.0 - background * diffuse
    first = straight + (1.0 - straight) * background * (1.0 - diffuse) / between
    again = diffuse + (1.0 - diffuse) ** 2 * background / between
    outside, inside = face(n)
    return outside + (1.0 - outside) * (1.0 - inside) * first / (1.0 - inside * again)
