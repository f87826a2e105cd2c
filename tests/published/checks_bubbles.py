"""Bubbles and haze against outside sources: growth, dissolving, scattering.

Most of the classic papers were not seen: their equations are from memory and their values are
worked out here from those, by other means than the project's. The comparison is with the kernels;
nothing in data/ enters.
"""

import math
from collections.abc import Callable

import bubble_references as reference
import numpy as np
from checks import Check

from outgas.physics import bubble, haze

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


CHECKS: list[Check] = [
    *scriven_checks(),
    *epstein_plesset_checks(),
    *mie_checks(),
]
