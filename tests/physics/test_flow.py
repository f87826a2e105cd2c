import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from outgas.physics import flow

ATM, T = 101325.0, 293.15
POSITIVE = st.floats(1e-6, 1e-3)


def test_a_hole_is_choked_below_the_critical_ratio_and_still_at_no_difference():
    deep = flow.orifice_mass_flow(ATM, np.array([0.0, 1000.0, 0.5 * ATM]), 1e-6, T)
    assert deep == pytest.approx(deep[0])
    assert flow.orifice_mass_flow(ATM, ATM, 1e-6, T) == 0.0
    assert flow.orifice_mass_flow(ATM, 1.1 * ATM, 1e-6, T) == 0.0
    assert isinstance(flow.orifice_mass_flow(ATM, 7e4, 1e-6, T), float)


def test_flow_falls_as_the_pressure_behind_the_hole_rises():
    p = np.linspace(0.53 * ATM, ATM, 200)
    assert np.all(np.diff(flow.orifice_mass_flow(ATM, p, 1e-6, T)) < 0)


def test_subsonic_flow_is_incompressible_where_the_difference_is_small():
    rho = ATM / (flow.R_AIR * T)
    got = flow.orifice_mass_flow(ATM, ATM - 50.0, 1e-6, T)
    assert got == pytest.approx(1e-6 * math.sqrt(2 * rho * 50.0), rel=1e-3)


@given(area=st.floats(1e-9, 1e-4), p=st.floats(0.0, 1.0e5))
def test_area_is_the_inverse_of_throughput(area, p):
    q = flow.orifice_throughput(ATM, p, area, T, 0.7)
    assert flow.orifice_area(q, ATM, p, T, 0.7) == pytest.approx(area, rel=1e-12)


@given(d=st.floats(2e-4, 2e-3), p=st.floats(100.0, 1.0e5), length=st.floats(0.005, 0.1))
def test_a_needle_passes_less_than_its_hole_and_less_when_longer(d, p, length):
    m = flow.needle_mass_flow(ATM, p, flow.Tube(d, length), T)
    assert 0.0 <= m < flow.orifice_mass_flow(ATM, p, flow.circle(d), T)
    assert flow.needle_mass_flow(ATM, p, flow.Tube(d, 2 * length), T) < m
    assert flow.needle_mass_flow(ATM, p, flow.Tube(1.1 * d, length), T) > m


def test_a_fine_long_needle_follows_hagen_and_poiseuille():
    d, L, p = 1e-4, 0.5, 9e4
    q = flow.throughput(flow.needle_mass_flow(ATM, p, flow.Tube(d, L, ends=0.0), T), T)
    laminar = flow.poiseuille_conductance(0.5 * (ATM + p), d, L, T) * (ATM - p)
    assert q == pytest.approx(laminar, rel=1e-3)


def test_a_needle_chokes():
    needle = flow.Tube(5e-4, 0.03)
    deep = flow.needle_mass_flow(ATM, np.array([10.0, 100.0, 1000.0]), needle, T)
    assert deep == pytest.approx(deep[0], rel=1e-9)
    speed = deep[0] / flow.circle(5e-4)
    assert speed > 0


def test_a_hose_goes_from_laminar_to_molecular_through_knudsens_minimum():
    d, L = 0.008, 2.0
    dense = flow.hose_conductance(1e4, d, L, T)
    assert dense == pytest.approx(flow.poiseuille_conductance(1e4, d, L, T), rel=0.01)
    thin = flow.hose_conductance(1e-4, d, L, T)
    assert thin == pytest.approx(flow.molecular_conductance(d, L, T), rel=1e-3)
    p = np.geomspace(1e-3, 1e3, 400)
    c = flow.hose_conductance(p, d, L, T) / flow.molecular_conductance(d, L, T)
    assert 0.90 < c.min() < 0.99  # Knudsen's minimum, near 0.95
    assert c[-1] > 10


def test_a_pump_stops_at_its_ultimate_and_gives_its_displacement_far_above():
    assert flow.pump_speed(100.0, 2e-3, 100.0) == 0.0
    assert flow.pump_speed(1e5, 2e-3, 100.0) == pytest.approx(2e-3, rel=2e-3)
    assert flow.pump_speed(300.0, 2e-3, 100.0, 2.0) < flow.pump_speed(300.0, 2e-3, 100.0)


@pytest.mark.parametrize("roll_off", [1.0, 1.7])
def test_steady_pressure_takes_what_leaks_in(roll_off):
    p = flow.pump_pressure(0.05, 1.4e-3, 200.0, roll_off)
    assert p * flow.pump_speed(p, 1.4e-3, 200.0, roll_off) == pytest.approx(0.05, rel=1e-9)


def test_bisection_agrees_with_brentq():
    area, S, ult = flow.circle(1.1e-3), 1.4e-3, 300.0

    def miss(p):
        return S * (p - ult) - flow.orifice_throughput(ATM, p, area, T, 0.75) - 0.02

    ours = flow.held_pressure(flow.Pull(S, ult, 0.02), flow.Orifice(area, 0.75), ATM, T)
    assert ours == pytest.approx(brentq(miss, ult, ATM, xtol=1e-9), rel=1e-9)

    def miss_hose(p):
        return (p - 700.0) * flow.hose_conductance(0.5 * (p + 700.0), 0.006, 3.0, T) - 0.4

    ours = flow.bag_pressure(0.4, 700.0, 0.006, 3.0, T)
    assert ours == pytest.approx(brentq(miss_hose, 700.0, 1e5), rel=1e-9)


@given(d=st.floats(3e-4, 3e-3), S=POSITIVE, leak=st.floats(0.0, 0.5))
def test_a_bigger_hole_or_leak_or_a_weaker_pump_holds_shallower(d, S, leak):
    area = flow.circle(d)
    pull, hole = flow.Pull(S, 200.0, leak), flow.Orifice(area, 0.7)
    p = flow.held_pressure(pull, hole, ATM, T)
    assert flow.held_pressure(pull, flow.Orifice(1.2 * area, 0.7), ATM, T) >= p
    assert flow.held_pressure(flow.Pull(S, 200.0, leak + 0.1), hole, ATM, T) >= p
    assert flow.held_pressure(flow.Pull(0.8 * S, 200.0, leak), hole, ATM, T) >= p
    assert flow.held_pressure(pull, hole, 0.85 * ATM, T) <= p + 1e-6


def test_pump_down_against_the_integrated_equation():
    V, S, ult, q = 0.012, 1.4e-3, 200.0, 0.03
    pull = flow.Pull(S, ult, q)
    got = flow.pump_down_time(V, pull, ATM, 1000.0)
    run = solve_ivp(lambda t, p: (q - S * (p - ult)) / V, (0.0, got), [ATM], rtol=1e-10, atol=1e-8)
    assert run.y[0, -1] == pytest.approx(1000.0, rel=1e-6)
    assert math.isinf(flow.pump_down_time(V, pull, ATM, 150.0))


def test_pump_down_through_a_hose_against_the_integrated_equation():
    V, pull, hose = 0.012, flow.Pull(1.4e-3, 200.0, 0.03), flow.Tube(0.006, 3.0)
    times = flow.pump_down_history(V, pull, hose, np.geomspace(ATM, 600.0, 4000), T)
    got = times[-1]

    def fall(t, p):
        return (pull.leak - flow.net_throughput(p, pull, hose, T)) / V

    run = solve_ivp(fall, (0.0, got), [ATM], method="LSODA", rtol=1e-8, atol=1e-4)
    assert run.y[0, -1] == pytest.approx(600.0, rel=1e-3)
    assert times[0] == 0.0
    assert got > flow.pump_down_time(V, pull, ATM, 600.0)


def test_a_wide_short_hose_is_no_hose():
    V, pull = 0.012, flow.Pull(1.4e-3, 200.0, 0.03)
    path = np.geomspace(ATM, 600.0, 4000)
    got = flow.pump_down_history(V, pull, flow.Tube(0.1, 0.1), path, T)[-1]
    assert got == pytest.approx(flow.pump_down_time(V, pull, ATM, 600.0), rel=1e-3)


def test_a_boiling_liquid_pins_the_pressure():
    p_v = 2339.0
    assert flow.boiling_pressure(1e-3, 10.0, p_v, 1.0) == pytest.approx(p_v, rel=2e-3)
    assert flow.boiling_pressure(1e-3, 10.0, p_v, 1e-9) == pytest.approx(10.0, abs=0.1)
    assert flow.boiling_pressure(1e-3, 10.0, p_v, 1.0, q=10.0) == pytest.approx(10010.0)
    for k in (1e-4, 1e-2, 1.0):
        assert 10.0 < flow.boiling_pressure(1e-3, 10.0, p_v, k) < p_v


def test_a_leak_and_its_rise_are_one():
    q = flow.leak_from_rise(0.005, 677.3, 60.0)
    assert flow.rise_time(0.005, q, 677.3) == pytest.approx(60.0)
    assert math.isinf(flow.rise_time(0.005, 0.0, 100.0))


@given(p=st.floats(0.0, 1.0e5), d=st.floats(0.005, 0.05))
def test_a_plate_lifts_where_it_was_weighed_for(p, d):
    area = flow.circle(d)
    mass = flow.plate_mass(p, ATM, area)
    assert flow.plate_pressure(mass, ATM, area) == pytest.approx(p, abs=1e-6)


def test_swept_vapour_is_the_ideal_gas_that_the_pump_moves():
    p, S = 715.0, 5 / 3600
    moles = p * S / (8.314462618 * 298.15)
    assert flow.swept_mass(S, p, 0.10415, 298.15) == pytest.approx(moles * 0.10415)
    assert flow.swept_mass(S, p, 0.10415, 298.15) * 60e3 == pytest.approx(2.5, abs=0.05)  # g/min


def test_wider_needles_and_arrays_agree_with_one_at_a_time():
    d = np.array([2e-4, 5e-4, 9e-4])
    pull = flow.Pull(1.2e-3, 10.0)
    together = flow.held_by_needle(pull, flow.Tube(d, 0.03), ATM, T)
    for bore, p in zip(d, together, strict=True):
        alone = flow.held_by_needle(pull, flow.Tube(float(bore), 0.03), ATM, T)
        assert alone == pytest.approx(p)
    assert np.all(np.diff(together) > 0)
