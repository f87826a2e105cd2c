"""Saturation pressure of a pure volatile: the fast table and the exact engine behind it.

Symbols: T temperature [K], p absolute pressure [Pa], u = 1/T. Numbers only, SI floats and arrays.

One engine stands behind every value: CoolProp's reference equation of state where it has the
fluid, its Peng-Robinson equation with a Mathias-Copeman alpha function fitted to a published
correlation where it has not. Both are too slow to call in a loop, so each curve is tabulated
once as ln p, a polynomial in 1/T, and evaluated by Horner's rule.
"""

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import OutOfRangeError

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

CHUNK = 32768  # temperatures worked on at a time, so that the work arrays stay in cache
NEWTON_STEPS = 30
NEWTON_TOLERANCE = 1e-12  # of ln p


@dataclass(frozen=True, slots=True)
class Segment:
    """ln p as a polynomial in x = scale/T - offset, which runs from -1 to 1, hot to cold."""

    T_low: float
    T_high: float
    scale: float
    offset: float
    coefficients: tuple[float, ...]  # of x**0, x**1, ...


Curve: TypeAlias = tuple[Segment, ...]  # from cold to hot, each starting where the last ends


@dataclass(frozen=True, slots=True)
class Cubic:
    """A fluid for the Peng-Robinson equation: critical point, size, and three alpha numbers."""

    name: str
    T_critical: float
    p_critical: float
    acentric: float
    molar_mass: float
    alpha: tuple[float, float, float] = (0.0, 0.0, 0.0)


def pressure(curve: Curve, T: "Numbers", name: str = "temperature") -> "Numbers":
    """Return the saturation pressure [Pa] at T [K], a float for a float, else an array.

    Raises OutOfRangeError outside the curve's temperatures, NaN included.
    """
    if isinstance(T, float):
        return math.exp(_ln_scalar(_segment_of(curve, T, name), T))
    return weighted_pressure([curve], [1.0], T, name)


def _ln_scalar(segment: Segment, T: float) -> float:
    x = segment.scale / T - segment.offset
    total = 0.0
    for coefficient in reversed(segment.coefficients):
        total = total * x + coefficient
    return total


LEGIBLE_DEGC = 1e5  # beyond it a number is told by its power of ten


def check_range(curve: Curve, T: float, name: str) -> None:
    """Raise OutOfRangeError unless T [K] lies on the curve; NaN does not."""
    low, high = curve[0].T_low, curve[-1].T_high
    if not low <= T <= high:
        at, cold, hot = (t - ZERO_CELSIUS_K for t in (T, low, high))
        shown = f"{at:.1f}" if abs(at) < LEGIBLE_DEGC else f"{at:.3g}"
        raise OutOfRangeError(f"{name} is {shown} degC, outside {cold:.1f} to {hot:.1f} degC")


def _segment_of(curve: Curve, T: float, name: str) -> Segment:
    check_range(curve, T, name)
    return next(segment for segment in curve if segment.T_high >= T)


def weighted_pressure(
    curves: Sequence[Curve], weights: Sequence["Numbers"], T: "Numbers", name: str = "temperature"
) -> "Floats":
    """Return the sum of weight times saturation pressure [Pa] over T [K].

    Weights (activities) are floats or arrays of T's shape. One pass in cache-sized chunks; where
    the curves share one mapping of 1/T, that is computed once.
    """
    shape = np.shape(T)
    flat = np.ascontiguousarray(T, dtype=float).reshape(-1)
    if not flat.size:
        return np.zeros(shape)
    coldest, hottest = float(flat.min()), float(flat.max())
    for curve in curves:
        check_range(curve, coldest, name)
        check_range(curve, hottest, name)
    if all(hottest <= curve[0].T_high for curve in curves):
        total = np.empty(flat.size)
        _sum_chunks([curve[0] for curve in curves], weights, flat, total, shape)
        return total.reshape(shape)
    total = np.zeros(flat.size)
    for curve, weight in zip(curves, weights, strict=True):
        start = -math.inf
        for segment in curve:
            here = (flat > start) & (flat <= segment.T_high)
            start = segment.T_high
            if here.any():
                some, part = flat[here], np.empty(int(here.sum()))
                _sum_chunks([segment], [_picked(weight, shape, here)], some, part, some.shape)
                total[here] += part
    return total.reshape(shape)


def _picked(weight: "Numbers", shape: tuple[int, ...], here: NDArray[np.bool_]) -> "Numbers":
    if isinstance(weight, float) or np.ndim(weight) == 0:
        return weight
    return np.broadcast_to(weight, shape).reshape(-1)[here]


def _sum_chunks(
    segments: Sequence[Segment],
    weights: Sequence["Numbers"],
    flat: "Floats",
    total: "Floats",
    shape: tuple[int, ...],
) -> None:
    """Fill total with the sum of the segments' weighted pressures."""
    x_buffer, y_buffer = np.empty(min(CHUNK, flat.size)), np.empty(min(CHUNK, flat.size))
    wide = [
        w if np.ndim(w) == 0 else np.ascontiguousarray(np.broadcast_to(w, shape)).reshape(-1)
        for w in weights
    ]
    for start in range(0, flat.size, CHUNK):
        T, into = flat[start : start + CHUNK], total[start : start + CHUNK]
        x, y = x_buffer[: T.size], y_buffer[: T.size]
        mapped = None
        for i, (segment, weight) in enumerate(zip(segments, wide, strict=True)):
            if mapped != (segment.scale, segment.offset):
                mapped = (segment.scale, segment.offset)
                np.divide(segment.scale, T, out=x)
                x -= segment.offset
            c = segment.coefficients
            np.multiply(x, c[-1], out=y)
            for coefficient in c[-2:0:-1]:
                y += coefficient
                y *= x
            y += c[0]
            pure = np.exp(y, out=y if i else into)
            if np.ndim(weight):
                pure *= cast("Floats", weight)[start : start + T.size]
            elif weight != 1.0:
                pure *= weight
            if i:
                into += pure


def temperature(curve: Curve, p: "Numbers", name: str = "pressure") -> "Numbers":
    """Return the temperature [K] at which the saturation pressure is p [Pa].

    Newton's method on ln p against 1/T, which is close to a straight line, so it always closes.
    """
    wanted = np.asarray(p, dtype=float)
    low, high = pressure(curve, curve[0].T_low), pressure(curve, curve[-1].T_high)
    if not wanted.size:
        return wanted
    if not (np.all(wanted >= low) and np.all(wanted <= high)):
        worst = wanted.flat[int(np.argmax(~((wanted >= low) & (wanted <= high))))]
        raise OutOfRangeError(f"{name} is {worst:.4g} Pa, outside {low:.4g} to {high:.4g} Pa")
    found = np.empty(wanted.shape)
    start = 0.0
    for segment in curve:
        top = math.exp(_ln_scalar(segment, segment.T_high))
        last = segment is curve[-1]
        here = (wanted > start) & ((wanted <= top) | last)
        if here.any():
            found[here] = _invert(segment, np.log(wanted[here]))
        start = top
    return float(found) if found.ndim == 0 else found


def _polynomial(coefficients: "Sequence[float]", x: "Floats") -> "Floats":
    """Return the value of a polynomial, lowest power first, by Horner's rule."""
    total = np.zeros_like(x)
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


def _invert(segment: Segment, ln_p: "Floats") -> "Floats":
    slope = [power * c for power, c in enumerate(segment.coefficients)][1:]
    x = np.zeros_like(ln_p)
    for _ in range(NEWTON_STEPS):
        miss = _polynomial(segment.coefficients, x) - ln_p
        x = np.clip(x - miss / _polynomial(slope, x), -1.0, 1.0)
        if float(np.max(np.abs(miss))) < NEWTON_TOLERANCE:
            break
    inverse: Floats = segment.scale / (x + segment.offset)
    return inverse


# The exact engine -----------------------------------------------------------------------------


def exact_reference(fluid: str, T: "Floats") -> "Floats":
    """Return the saturation pressure [Pa] of CoolProp's reference equation of state."""
    from CoolProp.CoolProp import PropsSI  # over a second to import, so only when used

    return _checked(fluid, T, np.atleast_1d(PropsSI("P", "T", np.atleast_1d(T), "Q", 0.0, fluid)))


def exact_cubic(cubic: Cubic, T: "Floats") -> "Floats":
    """Return the saturation pressure [Pa] of CoolProp's Peng-Robinson equation with cubic's alpha.

    The registered name carries the numbers: CoolProp keeps the first ones given under a name.
    """
    from CoolProp.CoolProp import PropsSI

    fluid = f"PR::{_register(cubic)}"
    return _checked(fluid, T, np.atleast_1d(PropsSI("P", "T", np.atleast_1d(T), "Q", 0.0, fluid)))


def _checked(fluid: str, T: "Floats", p: Any) -> "Floats":
    """Refuse infinities and curves that fall: CoolProp returns both, without a word."""
    order = np.argsort(np.atleast_1d(T), kind="stable")
    real = bool(np.all(np.isfinite(p)) and np.all(p > 0.0))
    if not (real and np.all(np.diff(np.log(p[order])) >= -1e-9)):
        raise OutOfRangeError(f"the equation of state of {fluid} breaks down in this range")
    return np.asarray(p, dtype=float)


_registered: set[str] = set()


def _register(cubic: Cubic) -> str:
    import hashlib

    from CoolProp.CoolProp import add_fluids_as_JSON

    numbers = (cubic.T_critical, cubic.p_critical, cubic.acentric, cubic.molar_mass, *cubic.alpha)
    digest = hashlib.sha256(repr((cubic.name, numbers)).encode()).hexdigest()[:12]
    name = f"outgas {cubic.name} {digest}"
    if name not in _registered:
        record: dict[str, Any] = {
            "name": name,
            "CAS": digest,
            "aliases": [],
            "Tc": cubic.T_critical,
            "Tc_units": "K",
            "pc": cubic.p_critical,
            "pc_units": "Pa",
            "acentric": cubic.acentric,
            "molemass": cubic.molar_mass,
            "molemass_units": "kg/mol",
        }
        if any(cubic.alpha):
            record["alpha"] = {"type": "Mathias-Copeman", "c": list(cubic.alpha), "BibTeX": ""}
        add_fluids_as_JSON("PR", json.dumps([record]))
        _registered.add(name)
    return name


def cubic_probe(cubic: Cubic) -> Callable[[float, Sequence[float]], float]:
    """Return a function of T [K] and three alpha numbers that gives ln p, for fitting them."""
    from CoolProp.CoolProp import QT_INPUTS, AbstractState

    state = AbstractState("PR", _register(cubic))

    def ln_p(T: float, alpha: Sequence[float]) -> float:
        state.set_cubic_alpha_C(0, "MC", *map(float, alpha))
        state.update(QT_INPUTS, 0.0, T)
        return math.log(state.p())

    return ln_p
