"""Flow through the rig: holes, hoses, needles, pumps, leaks, and the weight on a plate.

Symbols: p absolute pressure [Pa], p_up and p_down before and behind a hole, T temperature [K],
d bore [m], L length [m], A area [m2], S pumping speed [m3/s], q throughput, pressure times volume
per time at T [Pa m3/s] (10 mbar l/s are 1), V volume [m3], m mass flow [kg/s]. Air as an ideal
gas. SI floats and arrays.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.constants import GAS_CONSTANT, STANDARD_GRAVITY

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

GAMMA = 1.4  # of air, a diatomic gas
AIR_MOLAR_MASS = 0.0289652  # kg/mol, dry air
R_AIR = GAS_CONSTANT / AIR_MOLAR_MASS
# Sutherland's law for air: 18.27 uPa s at 291.15 K, constant 120 K.
SUTHERLAND_VISCOSITY, SUTHERLAND_AT_K, SUTHERLAND_K = 18.27e-6, 291.15, 120.0
CRITICAL_RATIO = (2.0 / (GAMMA + 1.0)) ** (GAMMA / (GAMMA - 1.0))  # 0.528
BLASIUS, BLASIUS_POWER = 0.3164, 0.25  # Darcy friction factor of a smooth pipe
ENDS_LOSS = 1.5  # velocity heads lost at a sharp entry and at the exit of a needle
HALVINGS = 60  # of a bisection: to the last digit of a float
SWEEPS = 30  # of the friction factor's fixed point, which halves its miss each time
NEWTON_STEPS = 10  # for the choking ratio, from above
HELD_HALVINGS = 44  # of a pressure between two: to a thousandth of a pascal


@dataclass(frozen=True, slots=True)
class Orifice:
    """A sharp hole: its area [m2] and discharge coefficient, 0.6 to 0.9 for real ones."""

    area: "Numbers"
    discharge: "Numbers" = 1.0


@dataclass(frozen=True, slots=True)
class Tube:
    """A needle or a hose: bore and length [m], and the velocity heads lost at its ends."""

    bore: "Numbers"
    length: "Numbers"
    ends: float = ENDS_LOSS


@dataclass(frozen=True, slots=True)
class Pull:
    """What pulls a bag: a pump's speed [m3/s] and ultimate [Pa], and the leak against it [Pa m3/s].

    What it draws is speed (p - ultimate).
    """

    speed: "Numbers"
    ultimate: "Numbers" = 0.0
    leak: "Numbers" = 0.0


def viscosity(T: "Numbers") -> "Numbers":
    """Return the viscosity of air [Pa s] by Sutherland's law; 170 to 1900 K."""
    return (
        SUTHERLAND_VISCOSITY
        * (SUTHERLAND_AT_K + SUTHERLAND_K)
        / (T + SUTHERLAND_K)
        * (T / SUTHERLAND_AT_K) ** 1.5
    )


def _plain(value: "Numbers") -> "Numbers":
    """Return a float for an array of no dimension."""
    return float(value) if np.ndim(value) == 0 else value


def bisect(
    miss: Callable[["Floats"], "Floats"],
    low: "Numbers",
    high: "Numbers",
    halvings: int = HALVINGS,
) -> "Numbers":
    """Return where miss, rising, passes zero between low and high; arrays side by side."""
    a, b = np.array(low, dtype=float), np.array(high, dtype=float)
    a, b = (np.array(x) for x in np.broadcast_arrays(a, b))
    for _ in range(halvings):
        middle = 0.5 * (a + b)
        under = miss(middle) < 0.0
        a, b = np.where(under, middle, a), np.where(under, b, middle)
    return _plain(0.5 * (a + b))


# Holes ----------------------------------------------------------------------------------------


def critical_flow_function() -> float:
    """Return C* of an ideal gas: m = A C* p / sqrt(R T) through a choked nozzle.

    >>> round(critical_flow_function(), 5)
    0.68473
    """
    power = (GAMMA + 1.0) / (2.0 * (GAMMA - 1.0))
    return math.sqrt(GAMMA) * math.pow(2.0 / (GAMMA + 1.0), power)


def orifice_mass_flow(
    p_up: "Numbers", p_down: "Numbers", A: "Numbers", T: "Numbers", discharge: "Numbers" = 1.0
) -> "Numbers":
    """Return the air through a sharp hole [kg/s], choked below 0.528 of p_up; none backwards.

    Isentropic flow of an ideal gas times the hole's discharge coefficient (0.6 to 0.9 for real
    holes).
    """
    ratio = np.clip(np.asarray(p_down) / p_up, CRITICAL_RATIO, 1.0)
    shape = np.sqrt(
        2.0 * GAMMA / (GAMMA - 1.0) * (ratio ** (2.0 / GAMMA) - ratio ** ((GAMMA + 1.0) / GAMMA))
    )
    return _plain(discharge * A * p_up / np.sqrt(R_AIR * T) * shape)


def throughput(m: "Numbers", T: "Numbers") -> "Numbers":
    """Return a mass flow of air [kg/s] as pressure times volume per time [Pa m3/s] at T."""
    return m * R_AIR * T


def orifice_throughput(
    p_up: "Numbers", p_down: "Numbers", A: "Numbers", T: "Numbers", discharge: "Numbers" = 1.0
) -> "Numbers":
    """Return the air through a sharp hole as throughput [Pa m3/s]."""
    return throughput(orifice_mass_flow(p_up, p_down, A, T, discharge), T)


def orifice_area(
    q: "Numbers", p_up: "Numbers", p_down: "Numbers", T: "Numbers", discharge: "Numbers" = 1.0
) -> "Numbers":
    """Return the hole [m2] that passes a throughput: the inverse of orifice_throughput."""
    return q / orifice_throughput(p_up, p_down, 1.0, T, discharge)


def circle(d: "Numbers") -> "Numbers":
    """Return the area of a bore [m2]."""
    return 0.25 * math.pi * d * d


# Needles and hoses ----------------------------------------------------------------------------


def friction_factor(reynolds: "Numbers") -> "Numbers":
    """Return Darcy's friction factor of a smooth bore: the larger of laminar and Blasius.

    Continuous; up to a quarter high between Reynolds 1200 and 2300, where nature is not settled.
    """
    re = np.maximum(np.asarray(reynolds, dtype=float), 1e-9)
    return _plain(np.maximum(64.0 / re, BLASIUS * re**-BLASIUS_POWER))


def needle_mass_flow(p_up: "Numbers", p_down: "Numbers", needle: Tube, T: "Numbers") -> "Numbers":
    """Return the air that friction lets through a narrow tube [kg/s].

    Isothermal compressible flow in a smooth tube, with losses at its ends, choked where the exit
    would pass the isothermal sonic speed. Laminar or turbulent by Reynolds number.
    """
    given = np.broadcast_arrays(p_up, p_down, needle.bore, needle.length, T)
    p_up, p_down, d, L, T = (np.asarray(x, dtype=float) for x in given)
    mu, area = viscosity(T), circle(d)
    p_down = np.minimum(p_down, p_up)
    f = np.full(d.shape, 0.05)
    for _ in range(SWEEPS):
        drag = f * L / d + needle.ends
        m = area * _isothermal_flux(p_up, p_down, drag, T)
        re = 4.0 * m / (math.pi * d * mu)
        f = np.asarray(friction_factor(re))
    return _plain(m)


def _isothermal_flux(p_up: "Floats", p_down: "Floats", drag: "Floats", T: "Floats") -> "Floats":
    """Return mass per area and time [kg/(m2 s)] for a drag f L/d plus end losses."""
    # choked where x**2 - 1 - 2 ln x = drag, x = p_up/p: convex, so Newton's steps fall onto it
    choked = 2.0 + np.sqrt(drag)
    for _ in range(NEWTON_STEPS):
        miss = choked * choked - 1.0 - 2.0 * np.log(choked) - drag
        choked -= miss / (2.0 * choked - 2.0 / choked)
    p_exit = np.maximum(p_down, p_up / choked)
    ratio = np.minimum(p_exit / p_up, 1.0)
    return p_up * np.sqrt((1.0 - ratio**2) / (R_AIR * T * (drag - 2.0 * np.log(ratio))))


def poiseuille_conductance(
    p_mean: "Numbers", d: "Numbers", L: "Numbers", T: "Numbers"
) -> "Numbers":
    """Return the conductance of a long tube in laminar flow [m3/s], at a mean pressure."""
    return math.pi * d**4 * p_mean / (128.0 * viscosity(T) * L)


def molecular_conductance(
    d: "Numbers", L: "Numbers", T: "Numbers", molar_mass: float = AIR_MOLAR_MASS
) -> "Numbers":
    """Return the conductance of a long tube where molecules meet only the wall [m3/s]."""
    return d**3 / (6.0 * L) * np.sqrt(2.0 * math.pi * GAS_CONSTANT * T / molar_mass)


def hose_conductance(p_mean: "Numbers", d: "Numbers", L: "Numbers", T: "Numbers") -> "Numbers":
    """Return the conductance of a long hose for air [m3/s], from viscous to molecular flow.

    Knudsen's formula: laminar plus molecular times a factor between 0.81 and 1. Laminar only at
    the dense end; in the hose of a tight bag the flow is.
    """
    knudsen = d * np.sqrt(AIR_MOLAR_MASS / (GAS_CONSTANT * T)) * p_mean / viscosity(T)
    factor = (1.0 + knudsen) / (1.0 + 1.24 * knudsen)
    viscous = poiseuille_conductance(p_mean, d, L, T)
    return _plain(viscous + factor * molecular_conductance(d, L, T))


# Pump and bag ---------------------------------------------------------------------------------


def pump_speed(p: "Numbers", S: "Numbers", ultimate: "Numbers", roll_off: float = 1.0) -> "Numbers":
    """Return a pump's speed at its inlet [m3/s]: its displacement, falling to none at ultimate.

    S (1 - ultimate/p) ** roll_off; one is a pump with a constant internal leak, more is a pump
    whose dead volume tells earlier.
    """
    left = np.clip(1.0 - ultimate / np.maximum(p, 1e-9), 0.0, 1.0)
    return _plain(S * left**roll_off)


def effective_speed(S: "Numbers", conductance: "Numbers") -> "Numbers":
    """Return the speed at the far end of a hose [m3/s]: 1/S_eff = 1/S + 1/C."""
    return S * conductance / (S + conductance)


def pump_pressure(
    q: "Numbers", S: "Numbers", ultimate: "Numbers", roll_off: float = 1.0
) -> "Numbers":
    """Return the steady inlet pressure of a pump that swallows a throughput q [Pa]."""
    if roll_off == 1.0:
        return ultimate + q / S
    high = ultimate + roll_off * (ultimate + q / S) * 2.0 + 1.0
    return bisect(lambda p: p * pump_speed(p, S, ultimate, roll_off) - q, ultimate, high)


def bag_pressure(
    q_bag: "Numbers", p_pump: "Numbers", d: "Numbers", L: "Numbers", T: "Numbers"
) -> "Numbers":
    """Return the pressure at the far end of a hose that carries q_bag to p_pump [Pa]."""
    smallest = molecular_conductance(d, L, T) * 0.5
    high = p_pump + q_bag / smallest
    return bisect(
        lambda p: (p - p_pump) * hose_conductance(0.5 * (p + p_pump), d, L, T) - q_bag,
        p_pump,
        high,
    )


def held_pressure(pull: Pull, hole: Orifice, p_atm: "Numbers", T: "Numbers") -> "Numbers":
    """Return where a pump and a bleed hole at its manifold meet [Pa]."""

    def over(p: "Floats") -> "Floats":
        passed = orifice_throughput(p_atm, p, hole.area, T, hole.discharge)
        return np.asarray(pull.speed * (p - pull.ultimate) - passed - pull.leak)

    parts = (hole.area, pull.speed, hole.discharge, pull.leak)
    shape = np.broadcast_shapes(*(np.shape(x) for x in parts))
    return bisect(over, np.broadcast_to(pull.ultimate, shape), p_atm)


def held_by_needle(pull: Pull, needle: Tube, p_atm: "Numbers", T: "Numbers") -> "Numbers":
    """Return where a pump and a bleed needle at its manifold meet [Pa]."""

    def over(p: "Floats") -> "Floats":
        passed = throughput(needle_mass_flow(p_atm, p, needle, T), T)
        return np.asarray(pull.speed * (p - pull.ultimate) - passed - pull.leak)

    parts = (needle.bore, needle.length, pull.speed, pull.leak)
    shape = np.broadcast_shapes(*(np.shape(x) for x in parts))
    return bisect(over, np.broadcast_to(pull.ultimate, shape), p_atm, HELD_HALVINGS)


def pump_down_time(V: "Numbers", pull: Pull, p0: "Numbers", p: "Numbers") -> "Numbers":
    """Return the time to pump a volume from p0 to p [s]; infinite below what pump and leak allow.

    >>> round(pump_down_time(0.010, Pull(0.001), 101325.0, 5000.0), 2)
    30.09
    """
    end = pull.ultimate + pull.leak / pull.speed
    with np.errstate(divide="ignore", invalid="ignore"):
        t = V / pull.speed * np.log((p0 - end) / (np.asarray(p) - end))
    return _plain(np.where(np.asarray(p) > end, t, np.inf))


def net_throughput(p_bag: "Numbers", pull: Pull, hose: Tube, T: "Numbers") -> "Numbers":
    """Return what a pump draws from a bag through a hose at a bag pressure [Pa m3/s].

    The leak is not in it: it comes out of the same bag.
    """

    def over(p: "Floats") -> "Floats":
        conductance = hose_conductance(0.5 * (p_bag + p), hose.bore, hose.length, T)
        return np.asarray(pull.speed * (p - pull.ultimate) - (p_bag - p) * conductance)

    p_pump = bisect(over, np.minimum(pull.ultimate, p_bag), p_bag)
    return _plain(pull.speed * np.maximum(p_pump - pull.ultimate, 0.0))


def pump_down_history(V: float, pull: Pull, hose: Tube, path: "Floats", T: float) -> "Floats":
    """Return the time at which a bag on a hose reaches each pressure of a falling path [s].

    From the first of them, at nought. V dp/dt = leak - what the pump draws; by the trapezium rule
    on ln p. Infinite where it never gets.
    """
    falls = np.asarray(net_throughput(path, pull, hose, T)) - pull.leak
    with np.errstate(divide="ignore"):
        per_ln = np.where(falls > 0.0, V * path / falls, np.inf)
    steps = 0.5 * (per_ln[1:] + per_ln[:-1]) * -np.diff(np.log(path))
    return np.cumsum(np.concatenate([[0.0], steps]))


def boiling_pressure(
    S: "Numbers", ultimate: "Numbers", p_v: "Numbers", k: "Numbers", q: "Numbers" = 0.0
) -> "Numbers":
    """Return the steady pressure over a liquid that boils into the pump [Pa].

    The liquid gives off k (p_v - p) [Pa m3/s], k [m3/s] being its surface times a speed. Where k
    is large beside S the liquid pins the pressure just under p_v.
    """
    dry = ultimate + q / S
    pinned = (S * ultimate + q + k * p_v) / (S + k)
    return _plain(np.where(np.asarray(dry) < p_v, pinned, dry))


def swept_mass(S: "Numbers", p_v: "Numbers", molar_mass: "Numbers", T: "Numbers") -> "Numbers":
    """Return the vapour that air swept over a liquid carries off at most [kg/s]: S p_v M/(R T)."""
    return S * p_v * molar_mass / (GAS_CONSTANT * T)


# Leaks ----------------------------------------------------------------------------------------


def leak_from_rise(V: "Numbers", rise: "Numbers", time: "Numbers") -> "Numbers":
    """Return the leak of a shut bag from how its pressure rose [Pa m3/s]: V dp/dt."""
    return V * rise / time


def rise_time(V: "Numbers", q: "Numbers", rise: "Numbers") -> "Numbers":
    """Return how long a leak takes to raise a shut bag's pressure [s]; for ever with none."""
    with np.errstate(divide="ignore"):
        return _plain(np.divide(V * rise, q))


# Weight and water -----------------------------------------------------------------------------


def plate_mass(p: "Numbers", p_atm: "Numbers", A: "Numbers") -> "Numbers":
    """Return the mass on a seat of area A that lifts when the pressure behind it falls to p [kg].

    >>> round(plate_mass(61325.0, 101325.0, circle(0.020)), 2)
    1.28
    """
    return (p_atm - p) * A / STANDARD_GRAVITY


def plate_pressure(mass: "Numbers", p_atm: "Numbers", A: "Numbers") -> "Numbers":
    """Return the pressure at which a mass on a seat of area A lifts [Pa]."""
    return p_atm - mass * STANDARD_GRAVITY / A


def head(density: "Numbers", depth: "Numbers") -> "Numbers":
    """Return the pressure of a column of liquid [Pa]."""
    return density * STANDARD_GRAVITY * depth
