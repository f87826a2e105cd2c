"""Cure: how fast a resin reacts, when it gels, how thick it gets, when it can hold a bubble.

Symbols: X conversion (0 to 1, of the reaction that gives the heat), z share of the inhibitor used
up (the reaction opens at 1), T temperature [K], t time [s], k rate constants [1/s], E activation
energies [J/mol], eta viscosity [Pa s], G shear modulus [Pa]. SI floats and arrays.

Sources: Kamal and Sourour (1973) for the autocatalytic law; Lee, Loos and Springer (1982) for the
prepreg law; Castro and Macosko (1980) for the viscosity. Forms from memory.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import GAS_CONSTANT

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

REFERENCE_K = 298.15  # at which the rate constants are stated
OPENING = 0.03  # width in z over which the reaction opens: smooth, so that a stiff solver can step
_FAR = 60.0  # beyond this a logistic is 0 or 1 in double precision


@dataclass(frozen=True, slots=True, kw_only=True)
class Kamal:
    """An autocatalytic law behind an induction time; rate constants at 25 degC.

    dX/dt = S(z) (k1 + k2 X^m) (Xf - X)^n,  dz/dt = 1 / induction,  k ~ exp(-E / R T)

    X counts all groups that could react, and stops at the final conversion Xf: the glass that
    forms, and groups walled in, leave the rest unreacted. So all the heat that comes is heat Xf,
    while gel, monomer left and modulus keep their own conversions.
    """

    induction: float  # [s] at 25 degC; 0 for none
    induction_energy: float
    k1: float
    k2: float
    energy: float
    m: float
    n: float
    heat: float  # [J/kg] of resin
    gel: float
    seed: float = 0.0  # conversion to start from, for a law that cannot start by itself
    final: float = 1.0  # Xf


@dataclass(frozen=True, slots=True, kw_only=True)
class LeeLoosSpringer:
    """A law of three rate constants for a hot-cured prepreg, no induction; factors [1/s]."""

    factors: tuple[float, float, float]
    energies: tuple[float, float, float]
    limit: float
    switch: float
    heat: float
    gel: float
    seed: float = 0.0


Kinetics: TypeAlias = Kamal | LeeLoosSpringer


def arrhenius(E: float, T: "Numbers") -> "Numbers":
    """Return how many times faster a step of activation energy E is at T than at 25 degC.

    Between 20 and 30 degC, 50 kJ/mol doubles the rate:

    >>> round(float(arrhenius(5e4, 303.15) / arrhenius(5e4, 293.15)), 3)
    1.967
    """
    return np.exp(E / GAS_CONSTANT * (1.0 / REFERENCE_K - 1.0 / np.asarray(T, dtype=float)))


def opened(law: Kinetics, z: "Numbers") -> "Numbers":
    """Return how far the reaction is open, 0 to 1, when a share z of the inhibitor is used up."""
    if isinstance(law, LeeLoosSpringer) or law.induction <= 0.0:
        return np.ones_like(np.asarray(z, dtype=float))
    return 1.0 / (1.0 + np.exp(np.clip((1.0 - np.asarray(z)) / OPENING, -_FAR, _FAR)))


def inhibitor_rate(law: Kinetics, T: "Numbers") -> "Numbers":
    """Return dz/dt [1/s]; zero where there is no inhibitor."""
    if isinstance(law, LeeLoosSpringer) or law.induction <= 0.0:
        return np.zeros_like(np.asarray(T, dtype=float))
    return arrhenius(law.induction_energy, T) / law.induction


def rate(law: Kinetics, X: "Numbers", z: "Numbers", T: "Numbers") -> "Numbers":
    """Return dX/dt [1/s]; X out of range is taken at its end, so that a solver may overshoot."""
    if isinstance(law, Kamal):
        x = np.minimum(np.maximum(X, 0.0), law.final)
        speed = arrhenius(law.energy, T)
        return opened(law, z) * speed * (law.k1 + law.k2 * x**law.m) * (law.final - x) ** law.n
    x = np.minimum(np.maximum(X, 0.0), 1.0)
    k1, k2, k3 = (
        A * np.exp(-E / (GAS_CONSTANT * np.asarray(T)))
        for A, E in zip(law.factors, law.energies, strict=True)
    )
    early = (k1 + k2 * x) * (1.0 - x) * (law.limit - x)
    return np.maximum(np.where(x <= law.switch, early, k3 * (1.0 - x)), 0.0)


def speeds(law: Kinetics) -> "Callable[[Floats, Floats, Floats], tuple[Floats, Floats]]":
    """Return a function of (X, z, T) that gives (dX/dt, dz/dt): rate and inhibitor_rate at once.

    For solvers: the same numbers with one exponential less and nothing looked up twice.
    """
    if not isinstance(law, Kamal) or law.induction <= 0.0:
        return lambda X, z, T: (np.asarray(rate(law, X, z, T)), np.zeros_like(T))
    E, k1, k2, m, n = law.energy / GAS_CONSTANT, law.k1, law.k2, law.m, law.n
    final = law.final
    Ei, ti, same = (
        law.induction_energy / GAS_CONSTANT,
        law.induction,
        law.induction_energy == law.energy,
    )

    def both(X: "Floats", z: "Floats", T: "Floats") -> "tuple[Floats, Floats]":
        warmth = 1.0 / REFERENCE_K - 1.0 / T
        speed = np.exp(E * warmth)
        dz = (speed if same else np.exp(Ei * warmth)) / ti
        x = np.minimum(np.maximum(X, 0.0), final)
        dX = speed * (k1 + k2 * x**m) * (final - x) ** n
        if z.min() < 1.0 + _FAR * OPENING:
            dX /= 1.0 + np.exp(np.minimum((1.0 - z) / OPENING, _FAR))
        return dX, dz

    return both


def faster(law: Kinetics, factor: float) -> Kinetics:
    """Return the law with all its rates times a factor: more initiator, a quicker batch."""
    import dataclasses

    if isinstance(law, Kamal):
        return dataclasses.replace(
            law, induction=law.induction / factor, k1=law.k1 * factor, k2=law.k2 * factor
        )
    A = law.factors
    return dataclasses.replace(law, factors=(A[0] * factor, A[1] * factor, A[2] * factor))


# Of time_to: tanh-sinh nodes, which crowd at both ends so that a rate that is nothing there, or
# steep, costs no accuracy (Takahasi and Mori 1974, from memory). Steps of 1/32 over 3.2 either way
# leave 1e-9 of a smooth integral and 1e-7 of one that starts as a power of X.
NODES_EACH_WAY, NODE_STEP = 104, 1.0 / 32.0


def _nodes() -> "tuple[Floats, Floats, Floats]":
    """Return distances from the lower and from the upper end of 0 to 1, and weights."""
    s = NODE_STEP * np.arange(-NODES_EACH_WAY, NODES_EACH_WAY + 1)
    far = np.pi * np.sinh(s)
    low, high = 1.0 / (1.0 + np.exp(-far)), 1.0 / (1.0 + np.exp(far))
    return low, high, NODE_STEP * np.pi * np.cosh(s) * low * high


def time_to(law: Kinetics, X: float, T: float) -> float:
    """Return the time [s] to reach conversion X from fresh resin held at T.

    Quadrature of dX / rate after the induction time; inf where the law stops short of X.
    """
    if isinstance(law, Kamal) and law.final <= X:
        return float("inf")
    wait = 1.0 / float(inhibitor_rate(law, T)) if getattr(law, "induction", 0.0) > 0.0 else 0.0
    switch = law.switch if isinstance(law, LeeLoosSpringer) else law.seed
    breaks = [switch] if law.seed < switch < X else []
    ends = [law.seed, *breaks, X]
    total = 0.0
    below, above, weights = _nodes()
    for low, high in itertools.pairwise(ends):
        wide = high - low
        x = np.where(below < above, low + wide * below, high - wide * above)
        if low in breaks:  # past the switch, where the later law holds
            x = np.maximum(x, np.nextafter(low, 1.0))
        speed = np.asarray(rate(law, x, np.inf, T))
        if speed.min() <= 0.0:
            return float("inf")
        total += wide * float((weights / speed).sum())
    return wait + total


def gel_factor(E: float, T: float) -> float:
    """Return the gel time at T over that at 25 degC, for one activation energy."""
    return float(1.0 / arrhenius(E, T))


@dataclass(frozen=True, slots=True)
class Thickening:
    """How a resin thickens: viscosity at 25 degC [Pa s], energy of flow [J/mol], rise to the gel.

    exponent says how steeply it rises towards the conversion of the gel; 0 is a resin that does
    not cure.
    """

    fresh: float
    energy: float
    exponent: float = 0.0
    gel: float = 1.0


@dataclass(frozen=True, slots=True)
class Network:
    """What a gel grows into: shear modulus when cured [Pa], how steeply it comes, gel point."""

    modulus: float
    exponent: float
    gel: float


def viscosity(liquid: Thickening, X: "Numbers", T: "Numbers") -> "Numbers":
    """Return the viscosity [Pa s]: that of 25 degC, thinner when warm, endless at the gel.

    eta exp(E/R (1/T - 1/T_ref)) (gel / (gel - X))^exponent
    """
    left = np.maximum(liquid.gel - np.asarray(X, dtype=float), 0.0)
    with np.errstate(divide="ignore"):
        rise = (liquid.gel / left) ** liquid.exponent
        return liquid.fresh / arrhenius(liquid.energy, T) * rise


def modulus(network: Network, X: "Numbers") -> "Numbers":
    """Return the shear modulus [Pa] past the gel: nothing at the gel point, G when cured."""
    grown = np.maximum(np.asarray(X, dtype=float) - network.gel, 0.0) / (1.0 - network.gel)
    return np.asarray(network.modulus * grown**network.exponent)


def holding_conversion(p_v: "Numbers", network: Network, over: float, after: float) -> "Numbers":
    """Return the conversion from which the gel can hold a bubble that pushes with p_v [Pa].

    The modulus must be over times p_v, and the conversion at least after beyond the gel point.
    """
    gel = network.gel
    need = (over * np.asarray(p_v, dtype=float) / network.modulus) ** (1.0 / network.exponent)
    return np.minimum(np.maximum(gel + after, gel + (1.0 - gel) * need), 1.0)


def glass_transition(X: float, fresh: float, full: float, lam: float) -> float:
    """Return the glass transition [K] at conversion X.

    DiBenedetto's equation: (Tg - Tg0) / (Tg_inf - Tg0) = lam X / (1 - (1 - lam) X), with lam the
    ratio of the heat-capacity steps of the full and the fresh network (Pascault and Williams).
    """
    return fresh + (full - fresh) * lam * X / (1.0 - (1.0 - lam) * X)


def conversion_of_glass(T: float, fresh: float, full: float, lam: float) -> float:
    """Return the conversion at which the glass transition lies at T [K]; above one: never."""
    share = (T - fresh) / (full - fresh)
    if share <= 0.0:
        return 0.0
    return share / (lam + (1.0 - lam) * share)
