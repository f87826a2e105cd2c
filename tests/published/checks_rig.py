"""The checks of rig, holes, leaks and water without a gauge against outside sources.

As in checks.py: through the public API where it reaches, else through the kernel that it calls.
"""

from checks import Check
from needles import fluids_needle, our_needle

import outgas
from outgas.physics import flow

ATM = 101325.0
T20 = 293.15


def _const(value: float):
    return lambda: value


def litres_per_cm2(celsius: float) -> float:
    """Volume of upstream air through a choked square centimetre [l/s], no discharge loss."""
    T = celsius + 273.15
    return float(flow.orifice_throughput(ATM, 0.0, 1e-4, T)) / ATM * 1e3


def iapws_kelvin(mbar: float) -> float:
    from iapws.iapws97 import _TSat_P

    return float(_TSat_P(mbar * 1e-4))


def thermometer_kelvin(mbar: float) -> float:
    """Where the program's vials boil, from the property that recipes are made of."""
    return float(outgas.boiling_temperature("water", f"{mbar} mbar").m_as("K"))


def molecular(d: float, L: float) -> float:
    """Conductance of a long tube in molecular flow [l/s]."""
    return float(flow.molecular_conductance(d, L, T20)) * 1e3


CHECKS: list[Check] = [
    Check(
        "air through a sharp choked square centimetre at 20 degC, l/s",
        "vacuum-handbooks",
        lambda: litres_per_cm2(20.0),
        _const(20.0),
        0.01,
        "handbooks round 19.86 to 20",
        (),
    ),
    *(
        Check(
            f"needle {d * 1e3:g} mm, {L * 1e3:g} mm long, to {p / 100:g} mbar",
            "fluids-compressible",
            lambda p=p, d=d, L=L: our_needle(p, d, L),
            lambda p=p, d=d, L=L: fluids_needle(p, d, L),
            tolerance,
            why,
            (),
        )
        for p, d, L, tolerance, why in (
            (7.0e4, 1e-3, 0.30, 0.03, "turbulent: Blasius against Colebrook"),
            (5.0e4, 2e-3, 1.00, 0.03, "turbulent: Blasius against Colebrook"),
        )
    ),
    *(
        Check(
            f"molecular flow, {d * 100:g} cm bore, {L * 100:g} cm long, l/s",
            "vacuum-handbooks",
            lambda d=d, L=L: molecular(d, L),
            _const(12.1 * (d * 100) ** 3 / (L * 100)),
            0.01,
            "12.1 d3/L for air at 20 degC, rounded",
            (),
        )
        for d, L in ((0.01, 1.0), (0.05, 2.0))
    ),
    Check(
        "viscous flow, 1 cm bore, 1 m long at 1 mbar mean, l/s",
        "vacuum-handbooks",
        lambda: float(flow.poiseuille_conductance(100.0, 0.01, 1.0, T20)) * 1e3,
        _const(135.0 * 1.0 / 100.0),
        0.02,
        "135 d4 p/L for air at 20 degC, rounded",
        (),
    ),
    *(
        Check(
            f"where water boils at {mbar} mbar, K",
            "iapws-library",
            lambda mbar=mbar: thermometer_kelvin(mbar),
            lambda mbar=mbar: iapws_kelvin(mbar),
            3e-5,
            "two formulations: ten millikelvin",
            ("water",),
        )
        for mbar in (63, 86)  # the rest of the range is in checks.py
    ),
    Check(
        "wet bulb: what freezing water leaves room for at 60 mbar",
        "glossary-of-meteorology",
        lambda: float(
            outgas.BagPressure.unknown("1013 hPa")
            .ice_formed(bleeding=True)
            .chance_below("400 mbar")
            > 0.95
        ),
        # ice needs e_s(0) = RH e_s(T) p/p_atm + 5.82e-4 p (T - 0): p = 314 mbar at 20 degC, 30 %
        lambda: float(611.0 / (0.3 * 2339.0 / 101325.0 + 5.82e-4 * 20.0) / 100.0 < 400.0),
        0.0,
        "an ordering: beyond the wet-bulb limit ice is not believed",
        (),
    ),
]
