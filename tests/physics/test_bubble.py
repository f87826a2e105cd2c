import dataclasses

import bubble_references as reference
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from outgas.errors import OutOfRangeError
from outgas.physics import air, bubble, bubble_start

GAS_CONSTANT, SPHERE = reference.GAS_CONSTANT, reference.SPHERE
NO_EXCHANGE = 1e-15  # an Ostwald coefficient of a gas that stays in its bubble


def grow(conditions, start, times, **options):
    return bubble.grow(conditions, start, np.asarray(times, dtype=float), **options)


# Against other reckonings -----------------------------------------------------------------------


def test_a_population_agrees_with_solve_ivp_bubble_by_bubble():
    conditions, start = reference.shop(50)
    times = np.linspace(0.0, 3600.0, 61)
    fine = grow(conditions, start, times, tolerance=3e-7)
    for k in (0, 20):
        alone = reference.single(conditions, start, k, times, 1e-6)
        assert np.abs(np.log(fine.radius[:, k] / alone)).max() < 1e-4
    usual = grow(conditions, start, times)
    assert np.abs(np.log(usual.radius / fine.radius)).max() < 0.02
    assert np.abs(np.log(usual.radius / fine.radius)[-1]).max() < 0.005


def test_a_tighter_tolerance_is_nearer_to_the_truth():
    conditions, start = reference.shop(20)
    times = np.linspace(0.0, 3600.0, 61)
    truth = grow(conditions, start, times, tolerance=1e-7).radius
    off = [
        np.abs(np.log(grow(conditions, start, times, tolerance=tol).radius / truth)).max()
        for tol in (3e-3, 3e-4, 3e-5)
    ]
    assert off[0] > 2.0 * off[1] > 4.0 * off[2]


@pytest.mark.parametrize("d", [0.02, 0.2])
def test_a_dissolving_bubble_agrees_with_a_moving_grid(d):
    R0, D, p = 1e-5, 1e-9, 1e5
    scale = R0**2 / (2.0 * D * d)
    conditions = reference.steady(p=p, H=(d,), D=(D,), span=1.2 * scale)
    times = np.linspace(0.0, 1.2 * scale, 600)
    start = reference.bubbles(R0, p=p, H=(d,), cell=60.0)
    grown = grow(conditions, start, times, nodes=80, tolerance=1e-5)
    half = np.interp(-0.5 * R0, -grown.radius[:, 0], times) / scale
    assert half == pytest.approx(reference.half_life(d), rel=2e-3)


@pytest.mark.parametrize("d", [5e-4, 2e-3])
def test_dissolving_is_delayed_by_the_first_order_of_the_transient(d):
    """Time over R0^2/(2 D d) is 1 - 2 sqrt(d/2 pi) to first order: the memory of a fading sink."""
    R0, D = 1e-5, 1e-9
    scale = R0**2 / (2.0 * D * d)
    conditions = reference.steady(H=(d,), D=(D,), span=1.2 * scale)
    start = reference.bubbles(R0, H=(d,), cell=100.0)
    grown = grow(conditions, start, [0.0, 1.2 * scale], nodes=80, tolerance=1e-6)
    assert grown.dissolved_at[0] / scale == pytest.approx(
        1.0 - 2.0 * np.sqrt(d / (2.0 * np.pi)), abs=3e-3
    )


def test_finer_shells_converge_on_scriven_at_second_order():
    exact = reference.scriven_beta(1.0)
    off = [abs(reference.grown_beta(1.0, n, tolerance=1e-5) / exact - 1.0) for n in (20, 40, 80)]
    assert off[1] < 0.02
    assert off[0] > 2.5 * off[1]
    assert off[1] > 2.0 * off[2]


# Limits -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("p", [50000.0, 20000.0, 9000.0])
def test_in_a_closed_cell_it_ends_where_equilibrium_says(p):
    """The long-time limit is the closed-cell formula: air by Ostwald, vapour from a great store."""
    L, e, p_v, T, atm = 0.1, 0.005, 2000.0, 300.0, 101325.0
    R = np.array([30e-6, 50e-6])
    RT = GAS_CONSTANT * T
    store = 1e6  # of vapour: does not run down
    V = SPHERE * R**3
    gas = np.array([(atm - p_v) * V, p_v * V]) / RT
    held = np.array([L * (atm - p_v), store * p_v]) / RT
    start = bubble_start.Bubbles(R, V / e, np.zeros(2), gas, held)
    conditions = reference.steady(
        p=[atm, p, p], T=T, eta=0.6, H=(L, store), D=(1e-10, 1e-10), at=[0.0, 60.0, 3e5]
    )
    grown = grow(conditions, start, [0.0, 3e5])
    freed = SPHERE * grown.radius[-1] ** 3 / start.liquid
    cell = air.ClosedCell(
        solubility=L, air_Pa=atm - p_v, entrained=e, mixed_vapour_Pa=p_v, mixed_Pa=atm, mixed_K=T
    )
    wanted = air.gas_per_resin(cell, p, p_v, T)
    assert freed == pytest.approx(wanted, rel=1e-3)


@pytest.mark.parametrize("p", [50000.0, 10000.0, 1000.0])
def test_a_sealed_bubble_ends_where_boyle_and_laplace_balance(p):
    R0, p0, sigma, p_v, T = 10e-6, 101325.0, 0.035, 601.0, 300.0
    RT = GAS_CONSTANT * T
    inside = p0 + 2 * sigma / R0
    gas = np.array([[inside - p_v], [p_v]]) * SPHERE * R0**3 / RT
    start = bubble_start.Bubbles(
        np.array([R0]), np.array([SPHERE * (100 * R0) ** 3]), np.zeros(1), gas,
        np.array([0.0, 1e8 * p_v / RT]),
    )  # fmt: skip
    conditions = reference.steady(
        p=[p0, p, p], T=T, eta=0.1, H=(NO_EXCHANGE, 1e8), D=(1e-10, 1e-8), sigma=sigma,
        at=[0.0, 10.0, 100.0],
    )  # fmt: skip
    found = grow(conditions, start, [0.0, 100.0]).radius[-1, 0]

    def balance(r):
        return (inside - p_v) * (R0 / r) ** 3 + p_v - 2 * sigma / r - p

    assert found == pytest.approx(brentq(balance, R0, 100 * R0), rel=1e-4)


def test_a_bubble_at_rest_in_saturated_liquid_stays():
    """No tension, no change: nothing may happen, however many steps are taken."""
    start = reference.bubbles([5e-6, 50e-6, 5e-4], full=(1.0,))
    grown = grow(reference.steady(eta=0.5), start, [0.0, 1800.0, 3600.0])
    assert np.abs(grown.radius / start.radius - 1.0).max() < 1e-9


def test_the_gel_holds_what_the_liquid_would_not():
    R0, p0, p1 = 50e-6, 101325.0, 5000.0

    def ends(G):
        conditions = reference.steady(
            p=[p0, p0, p1, p1], eta=100.0, G=[0.0, G, G, G], H=(NO_EXCHANGE,),
            at=[0.0, 10.0, 60.0, 3600.0],
        )  # fmt: skip
        start = reference.bubbles(R0, p=p0, H=(NO_EXCHANGE,), cell=100.0)
        return grow(conditions, start, [0.0, 3600.0]).radius[-1, 0] / R0

    loose, soft, firm = ends(0.0), ends(3e4), ends(1e7)
    assert loose == pytest.approx((p0 / p1) ** (1 / 3), rel=1e-4)
    assert firm == pytest.approx(1.0 + (p0 - p1) / (4.0 * 1e7 + 3.0 * p0), rel=2e-3)
    assert 1.0 < firm < soft < loose

    def balance(q):
        return p0 / q**3 - p1 - 3e4 * 0.5 * (5.0 - 4.0 / q - q**-4)

    # the cell is a hundred radii wide, so the share of liquid that resists is all but one
    assert soft == pytest.approx(brentq(balance, 1.0, 3.0), rel=1e-3)


def test_a_thin_shell_of_liquid_drags_less():
    """An empty hole in a finite shell: R/(R^3 + Y)^(1/3) falls as exp(-p t/4 eta), exactly."""
    R0, p, eta, cell, seconds = 1e-4, 2000.0, 50.0, 1.1, 0.03
    conditions = reference.steady(p=p, eta=eta, H=(NO_EXCHANGE,), span=seconds)
    start = bubble_start.Bubbles(
        np.array([R0]), np.array([SPHERE * (cell * R0) ** 3]), np.zeros(1), np.zeros((1, 1)),
        np.zeros(1),
    )  # fmt: skip
    left = grow(conditions, start, [0.0, seconds], tolerance=1e-6).radius[-1, 0] / R0
    Y, endless = cell**3, np.exp(-p * seconds / (4.0 * eta))
    before, after = 1.0 / (1.0 + Y) ** (1 / 3), left / (left**3 + Y) ** (1 / 3)
    assert after / before == pytest.approx(endless, rel=1e-4)
    assert left < endless - 0.02


@pytest.mark.parametrize("over", [0.97, 1.03])
def test_a_soft_solid_cavitates_past_five_halves_of_its_modulus(over):
    """Gent and Lindley: a cavity at constant inside pressure grows without end past 5 G/2."""
    G, R0 = 1e4, 20e-6
    push = 2.5 * G * over
    # a gas with a great store keeps its pressure; the network starts unstretched at the start
    conditions = reference.steady(
        p=[push, push, 0.0, 0.0], eta=10.0, G=[0.0, G, G, G], H=(1e7,), D=(1e-8,),
        at=[0.0, 1e-3, 10.0, 400.0],
    )  # fmt: skip
    start = reference.bubbles(R0, p=push, H=(1e7,), full=(1.0,), cell=1000.0)
    stretch = grow(conditions, start, [0.0, 400.0]).radius[-1, 0] / R0
    assert (stretch > 100.0) == (over > 1.0)


# Conservation -------------------------------------------------------------------------------------


@given(
    mbar=st.lists(st.floats(0.0, 6000.0), min_size=3, max_size=6),
    celsius=st.lists(st.floats(5.0, 120.0), min_size=2, max_size=3),
    full=st.floats(0.0, 1.2),
    micron=st.lists(st.floats(0.3, 500.0), min_size=1, max_size=4),
)
def test_no_gas_is_made_or_lost_and_nothing_is_ever_nan(mbar, celsius, full, micron):
    t = np.linspace(0.0, 1800.0, 61)
    p = np.interp(t, np.linspace(0.0, 1800.0, len(mbar)), np.array(mbar) * 100.0)
    T = 273.15 + np.interp(t, np.linspace(0.0, 1800.0, len(celsius)), celsius)
    p_v = 800.0 * np.exp(-5000.0 * (1.0 / T - 1.0 / 298.15))
    H = np.stack([np.full_like(t, 0.1), 4000.0 * GAS_CONSTANT * T / p_v], axis=1)
    conditions = bubble_start.Conditions(
        t, p, T, np.full_like(t, 0.6), np.zeros_like(t), H, np.full_like(H, 1e-10), 0.033
    )
    R = np.array(micron) * 1e-6
    inside = np.maximum(p[0] + 2 * 0.033 / R - p_v[0], 1.0)
    gas = np.array([inside, np.full_like(R, p_v[0])]) * SPHERE * R**3 / (GAS_CONSTANT * T[0])
    held = np.array([0.1 * full * 1e5 / (GAS_CONSTANT * T[0]), 4000.0])
    start = bubble_start.Bubbles(R, SPHERE * R**3 / 0.01, np.zeros_like(R), gas, held)
    grown = grow(conditions, start, t)
    assert grown.mass_error.max() < 1e-10
    assert np.isfinite(grown.radius).all()
    assert np.isfinite(grown.gas).all()
    assert (grown.radius >= 0.0).all()
    assert (grown.gas >= 0.0).all()
    gone = np.isfinite(grown.dissolved_at)
    assert (grown.radius[-1][gone] == 0.0).all()
    assert (grown.radius[-1][~gone] > 0.0).all()


def test_a_bubble_does_not_feel_its_neighbours_in_the_batch():
    conditions, start = reference.shop(6)
    times = np.linspace(0.0, 3600.0, 13)
    many = grow(conditions, start, times, tolerance=1e-6)
    one = bubble_start.Bubbles(
        start.radius[2:3], start.liquid[2:3], start.floor[2:3], start.gas[:, 2:3],
        start.concentration,
    )  # fmt: skip
    alone = grow(conditions, one, times, tolerance=1e-6)
    assert np.abs(np.log(many.radius[:, 2] / alone.radius[:, 0])).max() < 5e-4


# Dissolving and crevices --------------------------------------------------------------------------


def collapse(count=200, **changes):
    conditions, start = reference.shop(count, gels=False)
    ones = np.ones_like(conditions.time)
    still = dataclasses.replace(
        conditions, pressure=101325.0 * ones, temperature=298.15 * ones, viscosity=0.6 * ones,
        solubility=np.tile(conditions.solubility[0], (ones.size, 1)),
    )  # fmt: skip
    thirsty = dataclasses.replace(
        start, concentration=start.concentration * [0.3, 1.0, 1.0], **changes
    )
    return grow(still, thirsty, np.linspace(0.0, 3600.0, 61))


def test_bubbles_in_thirsty_resin_dissolve_and_their_gas_stays_in_the_resin():
    grown = collapse()
    gone = np.isfinite(grown.dissolved_at)
    assert gone.mean() > 0.9
    assert grown.mass_error.max() < 1e-12
    for k in np.flatnonzero(gone)[:20]:
        after = grown.time > grown.dissolved_at[k]
        assert (grown.radius[after, k] == 0.0).all()
        assert (grown.gas[after][:, :, k] == 0.0).all()
        assert (grown.radius[~after, k] > 0.0).all()
    assert grown.steps < 500


def test_a_smaller_bubble_is_gone_first():
    grown = collapse()
    gone = np.isfinite(grown.dissolved_at)
    order = np.argsort(grown.radius[0, gone])
    assert (np.diff(grown.dissolved_at[gone][order]) >= -1.0).all()


def test_a_crevice_keeps_its_nucleus_and_it_grows_again():
    t = np.array([0.0, 1800.0, 1860.0, 3600.0])
    conditions = reference.steady(
        p=[1e5, 1e5, 2e4, 2e4], eta=0.5, H=(0.1,), D=(1e-10,), sigma=0.033, at=t
    )
    start = reference.bubbles(10e-6, H=(0.1,), full=(0.6,), sigma=0.033, floor=2e-6, cell=40.0)
    grown = grow(conditions, start, [0.0, 1700.0, 3600.0])
    assert grown.radius[1, 0] == pytest.approx(2e-6, rel=1e-9)
    assert grown.radius[2, 0] > 2e-5
    assert np.isinf(grown.dissolved_at[0])
    assert grown.mass_error.max() < 1e-12


def test_pumped_then_pressed_ends_dissolved_and_not_nan():
    conditions, start = reference.shop(30, gels=False)
    t = conditions.time
    p = np.where(t < 600.0, 101325.0, np.where(t < 1200.0, 2000.0, 1e6))
    grown = grow(dataclasses.replace(conditions, pressure=p), start, t)
    assert np.isfinite(grown.radius).all()
    assert np.isfinite(grown.dissolved_at).all()
    pulled = grown.dissolved_at > 600.0  # the smallest were gone before the pump was on
    assert pulled.sum() > 20
    assert (grown.radius.max(axis=0) > 5.0 * start.radius)[pulled].all()


def test_no_pressure_at_all_boils_without_end_but_stays_a_number():
    conditions, start = reference.shop(5, gels=False)
    none = np.interp(conditions.time, [0.0, 60.0], [101325.0, 0.0])
    grown = grow(dataclasses.replace(conditions, pressure=none), start, [0.0, 3600.0])
    assert np.isfinite(grown.radius).all()
    assert (grown.radius[-1] > 50.0 * start.radius).all()
    assert grown.mass_error.max() < 1e-10


# What drives it -----------------------------------------------------------------------------------


def test_less_pressure_more_gas_thicker_resin_later():
    conditions, start = reference.shop(10, gels=False)
    times = np.linspace(0.0, 600.0, 7)

    def size(**changes):
        return grow(dataclasses.replace(conditions, **changes), start, times).radius.mean(axis=1)

    base = size()
    assert (size(pressure=0.8 * conditions.pressure)[1:] > base[1:]).all()
    assert (size(viscosity=1e4 * conditions.viscosity)[1] < base[1]).all()
    assert (size(diffusivity=0.1 * conditions.diffusivity)[2:5] < base[2:5]).all()


def test_the_steps_land_on_a_sudden_pull():
    """A pull and its return within one sample of a long calm are not stepped over."""
    t = np.array([0.0, 3000.0, 3001.0, 3011.0, 3012.0, 6000.0])
    p = [1e5, 1e5, 1e4, 1e4, 1e5, 1e5]
    conditions = reference.steady(p=p, eta=0.5, H=(NO_EXCHANGE,), at=t)
    start = reference.bubbles(5e-5, H=(NO_EXCHANGE,), cell=50.0)
    grown = grow(conditions, start, [0.0, 3010.0, 6000.0])
    assert grown.radius[1, 0] / 5e-5 == pytest.approx(10 ** (1 / 3), rel=1e-3)
    assert grown.radius[2, 0] / 5e-5 == pytest.approx(1.0, rel=1e-3)


# Bad input ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"at": [0.0, 10.0, 5.0], "p": [1e5, 1e5, 1e5]}, "must rise"),
        ({"p": -1.0}, "cannot be below zero"),
        ({"eta": np.nan}, "gap"),
        ({"eta": np.inf}, "infinite"),
        ({"eta": 0.0}, "above zero"),
        ({"T": 0.0}, "above zero"),
        ({"H": (0.0,)}, "above zero"),
        ({"sigma": -0.1}, "surface tension"),
    ],
)
def test_histories_that_cannot_be_are_refused(changes, said):
    with pytest.raises(OutOfRangeError, match=said):
        reference.steady(**changes)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"radius": np.array([0.0])}, "radii must be above"),
        ({"liquid": np.array([0.0])}, "cells above zero"),
        ({"floor": np.array([1.0])}, "crevice"),
        ({"gas": np.array([[-1.0]])}, "below zero"),
        ({"gas": np.array([[1.0, 2.0]])}, "amount of each gas"),
        ({"liquid": np.array([1.0, 2.0])}, "each bubble needs"),
    ],
)
def test_bubbles_that_cannot_be_are_refused(changes, said):
    with pytest.raises(OutOfRangeError, match=said):
        dataclasses.replace(reference.bubbles(1e-5), **changes)


def test_times_and_settings_out_of_range_are_refused():
    conditions, start = reference.steady(), reference.bubbles(1e-5)
    for times in ([0.0, 4000.0], [-1.0, 10.0], [10.0, 5.0], []):
        with pytest.raises(OutOfRangeError, match="times asked for"):
            grow(conditions, start, times)
    for options in ({"tolerance": 0.0}, {"tolerance": 1.0}, {"nodes": 2}):
        with pytest.raises(OutOfRangeError, match="tolerance must be"):
            grow(conditions, start, [0.0, 1.0], **options)
    with pytest.raises(OutOfRangeError, match="each gas needs"):
        grow(reference.steady(H=(0.1, 0.2), D=(1e-10, 1e-10)), start, [0.0, 1.0])


def test_histories_need_one_value_per_time():
    good = reference.steady()
    with pytest.raises(OutOfRangeError, match="one value per time"):
        dataclasses.replace(good, pressure=np.array([1e5, 1e5, 1e5]))
