"""One case: the liquid, how warm it gets, and the gas in it, each worked out once and handed on."""

import dataclasses
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from outgas.laminate.liquid import Liquid
from outgas.laminate.vapour import Vapour, vapour
from outgas.physics.chance import Band

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming


_LIQUID = tuple(f.name for f in fields(Liquid))


@dataclass(frozen=True, slots=True)
class Hottest:
    """The hottest moment before the gel holds a bubble [K], its hot side, and how it was got.

    warming is the heat run it was read from; None where it was named or a stated rise.
    """

    kelvin: float
    high: float
    text: str
    warming: "Warming | None" = None

    @property
    def early_K(self) -> float:
        """The warmest while the pressure may still be changed [K]; 0 if not known."""
        return 0.0 if self.warming is None else self.warming.early_K


@dataclass(frozen=True, slots=True, kw_only=True)
class Case(Liquid):
    """All that the limits depend on, so that one input can be moved and the rest kept."""

    hottest: Hottest
    entrained: Band
    dissolved_Pa: Band
    gas_kept: float
    void_target: float
    vapour_share: float

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

    def but(self, **changes: Any) -> "Case":
        """Return this case with some inputs changed."""
        return dataclasses.replace(self, **changes)

    def at(self, kelvin: float) -> "Case":
        """Return this case with a hottest moment that is known."""
        return self.but(hottest=Hottest(kelvin, kelvin, self.hottest.text, self.hottest.warming))


def hottest_vapour(case: Case) -> Vapour:
    """Return what pushes at the hottest moment; its upper end at the hot side of that moment."""
    nominal = vapour(case, case.hottest_K)
    if case.hottest_high_K <= case.hottest_K:
        return nominal
    return Vapour(nominal.partial, nominal.nominal, vapour(case, case.hottest_high_K).high)
