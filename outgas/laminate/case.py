"""One case: the liquid, how warm it gets, and the gas in it; what a pot takes out of it."""

import dataclasses
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from outgas.job.degassed import Degassed
from outgas.job.learnt import Learnt
from outgas.laminate.gas.pot import air_left_by
from outgas.laminate.liquid import Liquid
from outgas.laminate.vapour import Vapour, vapour
from outgas.physics.chance import Band

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming


_LIQUID = tuple(f.name for f in fields(Liquid))


@dataclass(frozen=True, slots=True)
class Hottest:
    """The hottest moment before the gel holds a bubble [K], its hot side, and how it was got.

    warming is the heat run it was read from; None where it was named or a stated rise. known: it
    was computed, named, or an oven's, so that high carries its doubt.
    """

    kelvin: float
    high: float
    text: str
    warming: "Warming | None" = None
    known: bool = True

    @property
    def early_K(self) -> float:
        """The warmest while the pressure may still be changed [K]; 0 if not known."""
        return 0.0 if self.warming is None else self.warming.early_K


@dataclass(frozen=True, slots=True, kw_only=True)
class Case(Liquid):
    """All that the limits depend on, so that one input can be moved and the rest kept.

    entrained, trapped, connected are shares; dissolved_Pa what the air in the resin is in
    equilibrium with. path_open: freed gas can get out while the resin is thin. early_s, hold_s,
    cup_s: of the debulk or the fill, of the cure until it thickens, and before any vacuum.
    vapour_share replaces the margin over the vapour pressure; None where none was asked for.
    exact: the air's limit is made safe by many draws. learnt: what the shop's own panels showed.
    """

    hottest: Hottest
    entrained: Band
    dissolved_Pa: Band
    trapped: Band
    connected: Band
    path_open: bool
    low_gas: bool
    early_s: float
    hold_s: float
    cup_s: float
    fibre_fraction: float
    thickness_m: float
    finish: str
    void_target: float
    vapour_share: float | None
    exact: bool = False
    learnt: Learnt | None = None
    hold_ends: tuple[float, float] | None = None  # of hold_s; None where that is told

    @classmethod
    def of(cls, liquid: Liquid, **more: Any) -> "Case":
        """Return a liquid with its warmth and its gas."""
        return cls(**{name: getattr(liquid, name) for name in _LIQUID}, **more)

    @property
    def hottest_K(self) -> float:
        """The hottest moment before the gel holds a bubble [K]."""
        return self.hottest.kelvin

    @property
    def hottest_high_K(self) -> float:
        """The hot side of that moment [K]."""
        return self.hottest.high

    @property
    def early_K(self) -> float:
        """The warmest while the pressure may still be changed [K]: now, as far as is known."""
        return max(self.shop_K, self.tool_K, self.hottest.early_K)

    def but(self, **changes: Any) -> "Case":
        """Return this case with some inputs changed; a hold that is told has no ends."""
        if "hold_s" in changes:
            changes = {"hold_ends": None, **changes}
        return dataclasses.replace(self, **changes)

    def at(self, kelvin: float) -> "Case":
        """Return this case with a hottest moment that is known."""
        return self.but(hottest=dataclasses.replace(self.hottest, kelvin=kelvin, high=kelvin))


def holds_of(case: Case) -> tuple[float, ...]:
    """Return the holds of which the worst sets a limit [s]: what is likely, and its ends.

    Which is worst hangs on the gas: bubbles grow on in resin full of air, dissolve in degassed
    resin, and may do one after the other. By the tables' holds, wide apart, the ends are the worst
    within a fifth of a millibar: there the likely one is not asked.
    """
    if case.hold_ends is None or case.process.gas_leaves:
        return (case.hold_s,)
    return case.hold_ends if case.hottest.warming is None else (case.hold_s, *case.hold_ends)


def hottest_vapour(case: Case) -> Vapour:
    """Return what pushes at the hottest moment; its upper end at the hot side of that moment."""
    nominal = vapour(case, case.hottest_K)
    if case.hottest_high_K <= case.hottest_K:
        return nominal
    return Vapour(nominal.partial, nominal.nominal, vapour(case, case.hottest_high_K).high)


def degassed(case: Case, pot: Degassed) -> Case:
    """Return the case with the air that a pot leaves in its resin."""
    cool = vapour(case, case.shop_K).nominal
    left = air_left_by(pot, case.resin, case.dissolved_Pa.nominal, cool)
    return case.but(dissolved_Pa=left)
