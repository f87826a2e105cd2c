"""Air in the resin: what a pull takes out, and what it would free."""

from outgas.laminate.case import Case
from outgas.laminate.vapour import vapour
from outgas.physics import air
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables.number import Number


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
