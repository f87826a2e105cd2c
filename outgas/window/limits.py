"""The three limits of one case, on SI floats: vapour, air and core, nominal and on the safe side.

A Case holds all that a limit depends on, so that one input can be moved and the rest kept. The
safe side ('95') adds to the nominal value what the uncertain inputs, each moved to its bad end,
would add: straight for the vapour pressures, as the root of squares for the independent rest.
Nothing is ever subtracted, so more uncertainty can only ask for less vacuum.
"""

import math
from dataclasses import dataclass

from outgas.laminate.case import Case, hottest_vapour
from outgas.laminate.vapour import Vapour, vapour
from outgas.physics import air


@dataclass(frozen=True, slots=True)
class Limits:
    """Lowest pressures in the resin [Pa] by criterion, nominal and on the safe side."""

    nominal: dict[str, float]
    safe: dict[str, float]

    @property
    def limiting(self) -> str:
        """The criterion that asks for the most pressure."""
        return max(self.safe, key=lambda name: self.safe[name])

    @property
    def deepest(self) -> float:
        """The most that any criterion asks for, on the safe side."""
        return max(self.safe.values())


def air_limit(case: Case, hot: Vapour, cool: Vapour) -> tuple[float, float]:
    """Return the pressure at which freed gas just makes the void target, nominal and safe [Pa]."""
    return (0.0, 0.0) if case.process.gas_leaves else freed_limit(case, hot, cool)


def freed_limit(case: Case, hot: Vapour, cool: Vapour) -> tuple[float, float]:
    """Return the same limit, also for a process whose gas is meant to leave."""
    F = float(air.gas_allowed(case.void_target, case.gas_kept))
    L = case.resin.air_solubility.band.scaled(case.k)
    e, dissolved = case.entrained.scaled(case.k), case.dissolved_Pa.scaled(case.k)

    def at(p_v: float, L: float, p_air: float, e: float) -> float:
        cell = air.ClosedCell(
            solubility=max(L, 0.0),
            air_Pa=max(p_air, 0.0),
            entrained=e,
            mixed_vapour_Pa=cool.nominal,
            mixed_Pa=case.barometer_Pa,
            mixed_K=case.shop_K,
        )
        return float(air.pressure_for_gas(cell, F, p_v, case.hottest_K))

    best = (hot.nominal, L.nominal, dissolved.nominal, case.entrained.nominal)
    nominal = at(*best)
    worse = (
        at(hot.high, *best[1:]),
        max(at(best[0], end, *best[2:]) for end in (L.low, L.high)),
        at(*best[:2], dissolved.high, best[3]),
        at(*best[:3], e.high),
    )
    return nominal, nominal + math.hypot(*(max(0.0, p - nominal) for p in worse))


def core_limit(case: Case) -> tuple[float, float]:
    """Return the bag pressure below which the air crushes the core, nominal and safe [Pa]."""
    if case.core is None or (case.process.pot or case.process.pressed):
        return 0.0, 0.0
    strength, creep = case.core.compressive_strength, case.core.creep_factor
    bears = strength.si * creep.si
    short = math.hypot(1.0 - strength.low_si / strength.si, 1.0 - creep.low_si / creep.si)
    sure = bears * max(0.0, 1.0 - case.k * short)
    return max(0.0, case.barometer_Pa - bears), max(0.0, case.barometer_Pa - sure)


def limits(case: Case) -> Limits:
    """Return the three limits of a case in the resin, up to its hottest moment."""
    hot, cool = hottest_vapour(case), vapour(case, case.shop_K)
    nominal = {"vapour": hot.nominal / case.vapour_share}
    safe = {"vapour": hot.high / case.vapour_share}
    if case.process.preimpregnated:  # compared with the resin's pressure: no share, no margin
        nominal, safe = {"vapour": hot.nominal}, {"vapour": hot.high}
    nominal["air"], safe["air"] = air_limit(case, hot, cool)
    nominal["core"], safe["core"] = core_limit(case)
    return Limits(nominal, safe)


def debulk_limit(case: Case) -> float:
    """Return how deep the bag may go early, at the present temperature, on the safe side [Pa]."""
    now = max(case.shop_K, case.tool_K, case.hottest.early_K)
    if case.process.preimpregnated:
        return core_limit(case)[1]
    return max(vapour(case, now).high / case.vapour_share, core_limit(case)[1])
