"""Bubbles and haze against outside sources: growth, dissolving, thresholds, scattering.

Most of the classic papers were not seen: their equations are from memory and their values are
worked out here from those, by other means than the project's. The comparison is with the kernels;
nothing in data/ enters.
"""

import math
from collections.abc import Callable

import bubble_references as reference
import numpy as np
from checks import Check

from outgas.physics import bubble, bubble_start, haze

ATM = 101325.0
R_GAS = 8.314462618


def _const(value: float) -> Callable[[], float]:
    return lambda: value


def scriven_checks() -> list[Check]:
    why = "forty shells, and growth that starts from a bubble of finite size"
    found = [
        Check(
            f"growth constant at a drive of {S:g}", "scriven-1959",
            lambda S=S: reference.grown_beta(S), lambda S=S: reference.scriven_beta(S),
            0.02, why, (),
        )
        for S in (0.1, 0.5, 1.0, 2.0, 10.0)
    ]  # fmt: skip
    limits = {0.003: math.sqrt(0.0015), 200.0: math.sqrt(3.0 / math.pi) * 200.0}
    found += [
        Check(
            f"growth constant at a drive of {S:g}, limit", "scriven-1959",
            lambda S=S: reference.grown_beta(S, nodes=160, times=100.0, tolerance=3e-5),
            _const(limit), 0.05, "the limits themselves are 4 % and 0.7 % off at these drives", (),
        )
        for S, limit in limits.items()
    ]  # fmt: skip
    return found


def dissolving_time(R0: float, saturated: float, tension: float) -> float:
    """Seconds that an air bubble lives in water at one atmosphere, the transient made small.

    The published times leave the transient out: it is small where the gas hardly dissolves. With a
    hundredth of the solubility and a hundred times the diffusivity those times stay as they are.
    """
    d, D = 0.02 / 100.0, 2e-9 * 100.0
    span = (
        1.3
        * {0.0: 1.25, 0.5: 1.96, 1.0: 6.64}[saturated]
        * (R0 / 1e-5) ** (3.0 if saturated == 1.0 else 2.0)
    )
    conditions = reference.steady(
        p=ATM, T=298.15, eta=1e-3, H=(d,), D=(D,), sigma=tension, span=span
    )
    start = reference.bubbles(
        R0, p=ATM, T=298.15, H=(d,), full=(saturated,), cell=1000.0, sigma=tension
    )
    grown = bubble.grow(conditions, start, np.array([0.0, span]), tolerance=1e-5, nodes=80)
    return float(grown.dissolved_at[0])


def epstein_plesset_checks() -> list[Check]:
    why = "1 % of transient is left, and the time of the last moments"
    cases = [(1e-5, 0.0, 0.0728, 1.166), (1e-5, 0.5, 0.0728, 1.955), (1e-5, 1.0, 0.0728, 6.633),
             (1e-4, 1.0, 0.0728, 5883.0), (1e-5, 0.0, 0.0, 1.25)]  # fmt: skip
    return [
        Check(
            f"bubble of {R0 * 1e6:.0f} um, liquid {f:.0%} full, tension {s:g}",
            "epstein-plesset-1950",
            lambda R0=R0, f=f, s=s: dissolving_time(R0, f, s), _const(seconds), 0.02, why, (),
        )
        for R0, f, s, seconds in cases
    ]  # fmt: skip


def blake_margin(R0: float) -> float:
    """Pressure below the vapour's [Pa] at which a nucleus with fixed gas runs away."""
    sigma, p_v, T = 0.035, 60000.0, 300.0
    RT = R_GAS * T
    gas = np.array([[ATM + 2 * sigma / R0 - p_v], [p_v]])
    gas = gas * reference.SPHERE * R0**3 / RT
    start = bubble_start.Bubbles(
        np.array([R0]), np.array([reference.SPHERE * (3000 * R0) ** 3]), np.zeros(1), gas,
        np.array([0.0, 1e9 * p_v / RT]),
    )  # fmt: skip

    def grows(p: float) -> bool:
        conditions = reference.steady(
            p=[ATM, p, p], T=T, eta=1e-3, H=(1e-15, 1e9), D=(1e-9, 1e-6), sigma=sigma,
            at=[0.0, 10.0, 300.0],
        )  # fmt: skip
        R = bubble.grow(conditions, start, np.array([0.0, 300.0])).radius[-1, 0]
        return bool(R > 100.0 * R0)

    low, high = 0.0, ATM
    while high - low > 30.0:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if grows(middle) else (low, middle)
    return p_v - 0.5 * (low + high)


def blake_checks() -> list[Check]:
    def expected(R0: float) -> float:
        sigma, p_v = 0.035, 60000.0
        critical = R0 * math.sqrt(3.0 * R0 * (ATM - p_v + 2 * sigma / R0) / (2.0 * sigma))
        return 4.0 * sigma / (3.0 * critical)

    return [
        Check(
            f"a nucleus of {R0 * 1e6:g} um runs away this far below the vapour pressure, Pa",
            "blake-1949", lambda R0=R0: blake_margin(R0), lambda R0=R0: expected(R0), 0.02,
            "found by halving to 30 Pa", (),
        )
        for R0 in (0.8e-6, 1.5e-6, 3e-6)
    ]  # fmt: skip


def closing(sigma: float, p: float, seconds: float) -> float:
    """Radius [um] of an empty hole of 100 um in a liquid of 50 Pa s."""
    conditions = reference.steady(p=p, eta=50.0, H=(1e-15,), D=(1e-10,), sigma=sigma, span=seconds)
    start = bubble_start.Bubbles(
        np.array([1e-4]), np.array([1e-3]), np.zeros(1), np.zeros((1, 1)), np.zeros(1)
    )
    grown = bubble.grow(conditions, start, np.array([0.0, seconds]), tolerance=1e-5)
    return float(grown.radius[-1, 0] * 1e6)


def collapse_checks() -> list[Check]:
    found = [
        Check(
            f"a hole under {p / 100:.0f} mbar after {seconds:g} s, um", "poritsky-1952",
            lambda p=p, s=seconds: closing(0.0, p, s),
            _const(100.0 * math.exp(-p * seconds / 200.0)), 1e-3,
            "exact: R falls as exp(-p t/4 eta)", (),
        )
        for p, seconds in ((1000.0, 0.3), (20000.0, 0.02))
    ]  # fmt: skip
    found += [
        Check(
            f"a hole closed by its tension after {seconds:g} s, um", "frenkel-1945",
            lambda s=seconds: closing(0.035, 0.0, s),
            _const(100.0 - 0.035 * seconds / 100.0 * 1e6), 5e-3,
            "exact: R falls by sigma/2 eta; the batch times a hole by the volume it has left", (),
        )
        for seconds in (0.05, 0.2)
    ]  # fmt: skip
    return found


def cavity(G: float, push: float) -> float:
    """Stretch of a cavity in a soft solid under a constant pressure inside, none outside."""
    conditions = reference.steady(
        p=[push, push, 0.0, 0.0], eta=10.0, G=[0.0, G, G, G], H=(1e7,), D=(1e-8,),
        at=[0.0, 1e-3, 10.0, 300.0],
    )  # fmt: skip
    start = reference.bubbles(2e-5, p=push, H=(1e7,), full=(1.0,), cell=1000.0)
    grown = bubble.grow(conditions, start, np.array([0.0, 300.0]))
    return float(grown.radius[-1, 0] / 2e-5)


def cavitation_threshold(G: float) -> float:
    low, high = 2.0 * G, 3.0 * G
    while high - low > 0.01 * G:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if cavity(G, middle) > 100.0 else (middle, high)
    return 0.5 * (low + high)


def cavitation_checks() -> list[Check]:
    return [
        Check(
            f"a cavity in a solid of modulus {G:g} Pa runs away past, Pa", "gent-lindley-1959",
            lambda G=G: cavitation_threshold(G), _const(2.5 * G), 0.01,
            "5 G/2 in an endless solid; found by halving to G/100", (),
        )
        for G in (1e4, 1e6)
    ]  # fmt: skip


def full_series(R: float, n: float, which: int) -> float:
    """Q (0) or g (3) by the full series, over a tenth of spread in size."""
    import miepython

    x = 2.0 * math.pi * n * R / haze.WAVELENGTH * np.exp(np.linspace(-0.1, 0.1, 21))
    parts = np.array([miepython.efficiencies_mx(1.0 / n, float(one)) for one in x])
    weight = x**2 if which == 0 else x**2 * parts[:, 0]
    return float(np.sum(weight * parts[:, which]) / np.sum(weight))


def mie_checks() -> list[Check]:
    found = []
    for um, n in ((1.8, 1.50), (5.0, 1.46), (5.0, 1.59), (20.0, 1.55), (130.0, 1.52)):
        R = um * 1e-6
        found += [
            Check(
                f"Q of a bubble of {um:g} um in resin of index {n:g}", "miepython",
                lambda R=R, n=n: float(haze.efficiency(haze.size_parameter(R, n))),
                lambda R=R, n=n: full_series(R, n, 0), haze.Q_ERROR, "the stated error", (),
            ),
            Check(
                f"g of a bubble of {um:g} um in resin of index {n:g}", "miepython",
                lambda R=R, n=n: float(haze.mean_cosine(haze.size_parameter(R, n), n)),
                lambda R=R, n=n: full_series(R, n, 3), haze.G_ERROR / 0.75, "the stated error", (),
            ),
        ]  # fmt: skip
    return found


def light_checks() -> list[Check]:
    found = [
        Check(
            f"what goes through a plate {paths:g} transport paths thick", "ishimaru-1978",
            lambda L=paths: 1.0 - float(haze.plate(L / 0.24, 0.76)[0]),
            lambda L=paths: (5.0 / 3.0) / (L + 4.0 / 3.0), 1e-3,
            "the same approximation, once the straight beam is gone", (),
        )
        for paths in (10.0, 100.0)
    ]  # fmt: skip
    found.append(
        Check(
            "diffuse light that a face of index 1.5 sends back inside", "judd-1942",
            lambda: haze.face(1.5)[1], _const(0.596), 1e-3, "printed to three digits", (),
        )
    )  # fmt: skip
    return found


CHECKS: list[Check] = [
    *scriven_checks(),
    *epstein_plesset_checks(),
    *blake_checks(),
    *collapse_checks(),
    *cavitation_checks(),
    *mie_checks(),
    *light_checks(),
]
