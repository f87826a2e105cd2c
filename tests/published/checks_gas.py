"""The gas balance against outside sources: when it boils, how a bubble dissolves.

Void contents of laminates are not here: where a paper gives them it gives a range, and the balance
is held to those, misfits and all, in tests/laminate/test_gas_experiments.py.
"""

import math
from collections.abc import Callable

import numpy as np
from checks import Check

from outgas.laminate.gas.balance import Gas, Step, run
from outgas.laminate.gas.experiments import experiment
from outgas.tables import catalogue, experiments

ATM = 101325.0


def _const(value: float) -> Callable[[], float]:
    return lambda: value


def bisected(reached: Callable[[float], bool], low: float, high: float) -> float:
    """Where a condition starts to hold, or nan where it does at the low end or never."""
    if reached(low) or not reached(high):
        return math.nan
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if reached(middle) else (middle, high)
    return 0.5 * (low + high)


# When a laminate boils ------------------------------------------------------------------------


def boils_from(celsius: float, atmospheres: float) -> float:
    """The humidity [%] from which wet prepreg boils, its resin at a pressure."""
    row = next(r for r in experiments.measurements() if r.process == "autoclave")
    given = {"temperature_K": celsius + 273.15, "pressure_Pa": atmospheres * ATM}

    def boils(humidity: float) -> bool:
        return bool(experiment(row, humidity=humidity, **given).outcome.boiled)

    return 100.0 * bisected(boils, 0.01, 0.99)


def kardos_humidity(celsius: float, atmospheres: float) -> float:
    """Where 4962 exp(-4892/T) RH % reaches a pressure [%]."""
    return atmospheres / (4962.0 * math.exp(-4892.0 / (celsius + 273.15)))


def boiling_checks() -> list[Check]:
    return [
        Check(
            f"prepreg boils from this humidity at {t} degC and {p:g} atm, %", "kardos-1986",
            lambda t=t, p=p: boils_from(t, p), lambda t=t, p=p: kardos_humidity(t, p), 0.035,
            "its own fit of water is up to 2.5 % off the steam tables in this range",
            ("water", "out-of-autoclave-epoxy-prepreg"), answer="voids",
        )
        for t, p in ((121, 1.0), (177, 6.0))
    ]  # fmt: skip


# How a bubble dissolves ---------------------------------------------------------------


def bubbles(R: float, air: float, D: float, L: float, entrained: float, drive: float) -> Gas:
    """Bubbles of one size in a bare liquid that does not boil, with no way out."""
    return Gas(
        trapped=0.06, connected=0.8, boiling_extra=0.0, spacing_m=np.inf, exponent=5.0,
        entrained=entrained, entrained_radius_m=R, diffusivity_m2_s=D, solubility=L,
        least_drive=drive, mixed_Pa=ATM, mixed_vapour_Pa=0.0, air_Pa=air,
    )  # fmt: skip


def dissolving_time(R: float, full: float) -> float:
    """Seconds that an air bubble lives in water at one atmosphere, so few that it stays as full."""
    drive = catalogue.gas().laminate.least_drive.si
    gas = bubbles(R, full * ATM, 2e-9, 0.02, 1e-6, drive)

    def gone(t: float) -> bool:
        return bool(run(gas, [Step(ATM, 0.0, t, False)]).dissolved)

    return bisected(gone, 1e-3, 1e6)


def dissolving_checks() -> list[Check]:
    return [
        Check(
            "balance: bubble of 10 um in liquid without air, s", "epstein-plesset-1950",
            lambda: dissolving_time(1e-5, 0.0), _const(1.166), 0.1,
            "tension hastens the source's, and is left out here", (),
        )
    ]  # fmt: skip


CHECKS: list[Check] = [*boiling_checks(), *dissolving_checks()]
