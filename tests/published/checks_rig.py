"""The checks of rig, holes, leaks and water without a gauge against outside sources.

As in checks.py: through the public API where it reaches, else through the kernel that it calls.
"""

import math

from checks import Check

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


def leak(rise: str, time: str, volume: str) -> float:
    """Leak that a drop test finds [mbar l/s]."""
    rig = outgas.Rig(bag_volume=volume)
    return outgas.drop_test(rise, time, rig=rig).leak_Pa_m3_s * 10.0


def rate(rise: str, time: str) -> float:
    """Rise of a litre's pressure [mbar/min]."""
    return leak(rise, time, "1 l") * 60.0


def fluids_choked() -> float:
    from fluids.compressible import P_critical_flow

    return float(P_critical_flow(ATM, 1.4)) / ATM


def fluids_needle(p_down: float, d: float, L: float) -> float:
    """Mass flow of the same tube by fluids' isothermal equation and its friction factor."""
    from fluids import friction_factor, isothermal_gas
    from scipy.optimize import brentq

    mu, R = float(flow.viscosity(T20)), flow.R_AIR

    def miss(m: float) -> float:
        re = 4.0 * m / (math.pi * d * mu)
        fd = friction_factor(Re=re, eD=0.0)
        rho = ATM / (R * T20)  # at the inlet, where P1 is
        return float(isothermal_gas(rho=rho, fd=fd, P1=ATM, P2=p_down, L=L, D=d)) - m

    return float(brentq(miss, 1e-9, 1e-3))


def our_needle(p_down: float, d: float, L: float) -> float:
    return float(flow.needle_mass_flow(ATM, p_down, flow.Tube(d, L, ends=0.0), T20))


def fluids_isothermal_choke(drag: float) -> float:
    """Pressure ratio at which an isothermal pipe chokes, by fluids."""
    from fluids.compressible import P_isothermal_critical_flow

    return float(P_isothermal_critical_flow(P=ATM, fd=drag, D=1.0, L=1.0)) / ATM


def our_isothermal_choke(drag: float) -> float:
    """The same from where our flux stops growing."""
    import numpy as np

    p = np.linspace(0.01, 0.99, 200001) * ATM
    flux = np.sqrt((ATM**2 - p**2) / (drag + 2.0 * np.log(ATM / p)))
    at = p[np.argmax(flux)] / ATM
    limited = flow._isothermal_flux(
        np.array([ATM]), np.array([1.0]), np.array([drag]), np.array([T20])
    )
    assert limited[0] * math.sqrt(flow.R_AIR * T20) <= flux.max() * (1 + 1e-6)
    return float(at)


def iapws_kelvin(mbar: float) -> float:
    from iapws.iapws97 import _TSat_P

    return float(_TSat_P(mbar * 1e-4))


def thermometer_kelvin(mbar: float) -> float:
    """Where the program's vials boil, from the property that recipes are made of."""
    return float(outgas.boiling_temperature("water", f"{mbar} mbar").m_as("K"))


def fluids_isa(h: float) -> float:
    from fluids.atmosphere import ATMOSPHERE_1976

    return float(ATMOSPHERE_1976(h).P)


def plate(clamp_mbar: float, mm: float) -> float:
    here = ATM / 100.0
    valve = outgas.relief_valve(f"{here - clamp_mbar} mbar", f"{mm} mm", f"{here} hPa")
    return valve.mass_kg


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
    Check(
        "critical flow function of an ideal diatomic gas",
        "iso-9300",
        flow.critical_flow_function,
        _const(0.684731),
        1e-5,
        "the ideal-gas value; real air lies 0.1 % off",
        (),
    ),
    Check(
        "sonic conductance of an ideal square millimetre, dm3/(s bar)",
        "iso-6358",
        lambda: float(flow.orifice_mass_flow(1e5, 0.0, 1e-6, T20)) / 1.185 * 1e3,
        _const(0.199),
        0.01,
        "reference air of 1.185 kg/m3; printed to three digits",
        (),
    ),
    Check(
        "critical pressure ratio",
        "fluids-compressible",
        lambda: flow.CRITICAL_RATIO,
        fluids_choked,
        1e-9,
        "the same formula by another code",
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
            (9.0e4, 2e-4, 0.05, 0.002, "laminar: one factor, one equation"),
            (6.0e4, 1e-4, 0.03, 0.002, "laminar: one factor, one equation"),
            (7.0e4, 1e-3, 0.30, 0.03, "turbulent: Blasius against Colebrook"),
            (5.0e4, 2e-3, 1.00, 0.03, "turbulent: Blasius against Colebrook"),
        )
    ),
    *(
        Check(
            f"isothermal choking ratio at a drag of {drag:g}",
            "fluids-compressible",
            lambda drag=drag: our_isothermal_choke(drag),
            lambda drag=drag: fluids_isothermal_choke(drag),
            2e-4,
            "a grid's step",
            (),
        )
        for drag in (5.0, 50.0)
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
    Check(
        "pumping speed for 6 m3 to 5 mbar in 180 s, l/s",
        "pump-sizing-example",
        lambda: 177.0 / 180.0 * float(flow.pump_down_time(6.0, flow.Pull(0.177), ATM, 500.0)),
        _const(177.0),
        0.003,
        "printed to three digits",
        (),
    ),
    Check(
        "one inch of mercury in five minutes, mbar/min",
        "infusion-drop-test-notes-figures",
        lambda: rate("1 inHg", "5 min"),
        _const(6.77),
        1e-3,
        "printed to three digits",
        (),
    ),
    Check(
        "the good part: 0.09 inHg in five minutes, mbar/min",
        "infusion-drop-test-notes-figures",
        lambda: rate("0.09 inHg", "5 min"),
        _const(0.61),
        5e-3,
        "printed to two digits",
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
        "water's triple point, Pa",
        "iapws-triple-point",
        lambda: float(outgas.vapour_pressure("water", "273.16 K").m_as("Pa")),
        _const(611.657),
        1e-4,
        "611.657 Pa by definition of the scale's fixed points",
        ("water",),
    ),
    *(
        Check(
            f"air pressure at {h} m",
            "us-standard-atmosphere-1976",
            lambda h=h: float(outgas.barometer(f"{h} m").m_as("Pa")),
            lambda h=h: fluids_isa(float(h)),
            5e-4,
            "geometric against geopotential height: half a metre at 3000 m",
            (),
        )
        for h in (0, 500, 1000, 1500, 2000, 3000)
    ),
    Check(
        "weight for 400 mbar of clamp on a 20 mm bore, kg",
        "mechanics",
        lambda: plate(400.0, 20.0),
        _const(4e4 * math.pi * 1e-4 / 9.80665),
        0.01,
        "force over area; the mass is rounded down to three figures, to be weighed",
        (),
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
