"""One case: the liquid, how warm it gets, and the gas in it; what a pull takes out and frees."""

import dataclasses
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from outgas.laminate.liquid import Liquid
from outgas.laminate.vapour import Vapour, vapour
from outgas.physics import air
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables.number import Number

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


def after_pull(case: Case, pressure: float, share: Number) -> Case:
    """Return the case with the air that a pull to a pressure leaves in the resin."""
    cool, d = vapour(case, case.shop_K).nominal, case.dissolved_Pa
    removed = removal(share, pressure, d.nominal, cool)

    def left(p_air: float, share: float) -> float:
        return float(air.air_left(p_air, pressure, cool, share))

    ends = left(d.low, removed.high), left(d.high, removed.low)
    return case.but(dissolved_Pa=Band(left(d.nominal, removed.nominal), *ends))


def removal(share: Number, pressure: float, p_air: float, p_v: float) -> Band:
    """Return the share of dissolved air that a pull takes out at a pressure, in a pot or a bag.

    share holds at the pot pressure of the table; it is scaled by how far each pull lies below
    saturation, so a weaker pull takes out less.
    """
    stated = share.band
    at = catalogue.practice().gas.pot_pressure.si
    reach = max(0.0, p_air - max(0.0, pressure - p_v))
    reach_stated = max(1.0, p_air - max(0.0, at - p_v))
    scale = min(reach / reach_stated, 1.0 / stated.high)
    return Band(stated.nominal * scale, stated.low * scale, stated.high * scale)


def freed(case: Case, pressure: float) -> float:
    """Return the gas that the resin would free at a pressure, per volume of resin, if none left."""
    p_v, T = vapour(case, case.shop_K).nominal, case.shop_K
    cell = air.ClosedCell(
        solubility=case.resin.air_solubility.si,
        air_Pa=case.dissolved_Pa.nominal,
        entrained=case.entrained.nominal,
        mixed_vapour_Pa=p_v,
        mixed_Pa=case.barometer_Pa,
        mixed_K=T,
    )
    return float(air.gas_per_resin(cell, pressure, p_v, T))
