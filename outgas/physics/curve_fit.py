"""From a published correlation to a fast table: the alpha fit and the polynomial.

Run at build time for the shipped volatiles, and once for a volatile of the user's own.
Symbols: T temperature [K], p absolute pressure [Pa].
"""

import dataclasses
import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.errors import DataError, OutOfRangeError
from outgas.physics.saturation import (
    Cubic,
    Curve,
    Segment,
    cubic_probe,
    exact_cubic,
    exact_reference,
)

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]

CHEBYSHEV_NODES = 200
ALPHA_TEMPERATURES = 33
ALPHA_BRACKET = (0.2, 1.4)  # further up the cubic finds a wrong root when cold
SPLIT_K = 423.15  # all curves share this first stretch, and so one mapping of 1/T
TABLE_ERROR = 2e-7  # relative, of the table against the exact engine
TABLE_DEGREE = 20
RESIDUAL_LIMIT = 0.06  # a worse fit than this means a broken correlation


@dataclass(frozen=True, slots=True)
class Source:
    """One published correlation and its weight in a blend."""

    form: str
    coefficients: tuple[float, ...]
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Built:
    """A curve, with the alpha it stands on and how far the cubic strays from its correlation.

    residual_stated and residual_extended are relative: inside the correlation's stated range,
    and over the whole curve.
    """

    curve: Curve
    alpha: tuple[float, float, float]
    residual_stated: float
    residual_extended: float


def correlation(form: str, c: Sequence[float], T: "Floats") -> "Floats":
    """Return a published correlation's pressure [Pa] at T [K].

    'wagner-2.5-5': c is Tc, pc, A, B, C, D; 'antoine-ln': ln p = A - B/(T + C);
    'antoine-log10': log10 p = A - B/(T + C).
    """
    if form == "wagner-2.5-5":
        T_critical, p_critical, A, B, C, D = c
        t = 1.0 - T / T_critical
        exponent = (A * t + B * t**1.5 + C * t**2.5 + D * t**5) * T_critical / T
        return np.asarray(p_critical * np.exp(exponent))
    A, B, C = c
    if form == "antoine-ln":
        return np.asarray(np.exp(A - B / (T + C)))
    if form == "antoine-log10":
        return np.asarray(10.0 ** (A - B / (T + C)))
    raise DataError(f"no correlation form is called {form!r}")


def fit_alpha(cubic: Cubic, T: "Floats", p: "Floats") -> tuple[float, float, float]:
    """Return the three Mathias-Copeman numbers that make the cubic follow p [Pa] at T [K].

    Starts from the linear fit of the square root of alpha, found temperature by temperature;
    other starts stall. Then least squares on ln p through the engine itself.
    """
    from scipy.optimize import brentq, least_squares

    ln_p = cubic_probe(cubic)

    def miss(c: float, temperature: float, wanted: float) -> float:
        return ln_p(temperature, (c, 0.0, 0.0)) - wanted

    root = 1.0 - np.sqrt(T / cubic.T_critical)
    pairs = list(zip(T, np.log(p), strict=True))
    single = np.array([brentq(miss, *ALPHA_BRACKET, args=pair) for pair in pairs])
    powers = np.stack([root, root**2, root**3], axis=1)
    start = np.linalg.lstsq(powers, single * root, rcond=None)[0]

    def misses(c: "Floats") -> "Floats":
        return np.array([ln_p(at, c.tolist()) - wanted for at, wanted in pairs])

    # the engine iterates to about 1e-8 of ln p: wider steps, or the slope is noise
    best = least_squares(
        misses, start, method="lm", diff_step=np.full(3, 1e-3), xtol=1e-13, ftol=1e-13, gtol=1e-13
    )
    c1, c2, c3 = (float(c) for c in best.x)
    return c1, c2, c3


# The table ------------------------------------------------------------------------------------


def inverse_nodes(T_low: float, T_high: float, count: int) -> "Floats":
    """Return Chebyshev's nodes of 1/T over a range, as temperatures from hot to cold [K]."""
    x = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    a, b = 1.0 / T_high, 1.0 / T_low
    return np.asarray(1.0 / (0.5 * (a + b) - 0.5 * (b - a) * x))


def tabulate(
    exact: Callable[["Floats"], "Floats"], T_low: float, T_high: float, error: float, degree: int
) -> Segment:
    """Return the shortest polynomial that follows the exact engine to a relative error.

    Judged at temperatures between the nodes it is fitted at; raises DataError if degree is not
    enough.
    """
    a, b = 1.0 / T_high, 1.0 / T_low
    scale, offset = 2.0 / (b - a), (a + b) / (b - a)
    T = inverse_nodes(T_low, T_high, CHEBYSHEV_NODES)
    between = inverse_nodes(T_low, T_high, 3 * CHEBYSHEV_NODES + 1)
    x, ln_p, ln_between = scale / T - offset, np.log(exact(T)), np.log(exact(between))
    for n in range(4, degree + 1):
        series = np.polynomial.Chebyshev.fit(x, ln_p, n, domain=[-1, 1])
        c = series.convert(kind=np.polynomial.Polynomial).coef
        segment = Segment(T_low, T_high, scale, offset, tuple(float(v) for v in c))
        fit = np.polynomial.Polynomial(c)(scale / between - offset)
        if float(np.max(np.abs(fit - ln_between))) <= error:
            return segment
    raise DataError(f"no polynomial up to degree {degree} follows {T_low:.0f}-{T_high:.0f} K")


def build(
    cubic: Cubic | None,
    fluid: str,
    sources: Sequence[Source],
    T_range: tuple[float, float],
    stated: tuple[float, float],
) -> Built:
    """Return a volatile's curve: from a reference fluid, or from a cubic fitted to correlations.

    Raises DataError where the correlation falls with temperature, or the cubic cannot follow it.
    """
    alpha, residuals = (0.0, 0.0, 0.0), (0.0, 0.0)

    def exact(T: "Floats") -> "Floats":
        return exact_reference(fluid, T)

    if cubic is not None:
        T = inverse_nodes(*T_range, ALPHA_TEMPERATURES)
        p = sum((s.weight * correlation(s.form, s.coefficients, T) for s in sources), np.zeros(()))
        if not (np.all(np.isfinite(p)) and np.all(p > 0) and np.all(np.diff(p) < 0)):
            raise DataError("the correlation does not rise with temperature over its range")
        try:
            alpha = fit_alpha(cubic, T, np.asarray(p))
        except ValueError as error:
            raise DataError(f"no alpha function follows the correlation ({error})") from None
        fitted = dataclasses.replace(cubic, alpha=alpha)
        miss = np.abs(exact_cubic(fitted, T) / p - 1.0)
        within = (stated[0] <= T) & (stated[1] >= T)
        residuals = (float(miss[within].max(initial=0.0)), float(miss.max()))
        if not residuals[1] <= RESIDUAL_LIMIT:
            raise DataError(f"the cubic misses the correlation by {residuals[1]:.0%}")

        def exact(T: "Floats") -> "Floats":
            return exact_cubic(fitted, T)

    low, high = T_range
    ends = [low, SPLIT_K, high] if low < SPLIT_K < high else [low, high]
    try:
        curve = tuple(
            tabulate(exact, a, b, TABLE_ERROR, TABLE_DEGREE) for a, b in itertools.pairwise(ends)
        )
    except OutOfRangeError as error:
        raise DataError(str(error)) from None
    return Built(curve, alpha, *residuals)
