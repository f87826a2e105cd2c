"""A needle's flow by ours and by another code, for the checks of it."""

import math

from outgas.physics import flow

ATM, T20 = 101325.0, 293.15


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
