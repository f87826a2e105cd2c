import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.physics import air

ATM = 101325.0
AT_EASE = air.ClosedCell(
    solubility=0.1, air_Pa=ATM, entrained=0.0, mixed_vapour_Pa=0.0, mixed_Pa=ATM, mixed_K=300.0
)


def test_an_open_pot_frees_nothing():
    cell = dataclasses.replace(AT_EASE, air_Pa=ATM - 2500.0, mixed_vapour_Pa=2500.0)
    assert air.gas_per_resin(cell, ATM, 2500.0, 300.0) == 0.0


def test_undegassed_resin_at_86_mbar_frees_more_than_its_own_volume():
    p_v = 700.0 + 1500.0
    cell = air.ClosedCell(
        solubility=0.1,
        air_Pa=ATM - p_v,
        entrained=0.005,
        mixed_vapour_Pa=p_v,
        mixed_Pa=ATM,
        mixed_K=298.15,
    )
    freed = air.gas_per_resin(cell, 8600.0, p_v, 298.15)
    assert freed == pytest.approx(1.53, abs=0.05)


@pytest.mark.parametrize(("mbar", "volume"), [(500.0, 0.10265), (50.0, 1.9265)])
def test_half_an_atmosphere_of_air_at_ostwald_a_tenth(mbar, volume):
    got = air.gas_per_resin(AT_EASE, mbar * 100, 0.0, 300.0)
    assert got == pytest.approx(volume, rel=1e-4)


def test_it_boils_where_the_pressure_meets_the_vapour():
    p = np.array([2000.0, 1000.0, 500.0])
    got = air.gas_per_resin(AT_EASE, p, 1000.0, 300.0)
    assert np.isinf(got[1:]).all()
    assert np.isfinite(got[0])
    assert air.void_fraction(got)[1] == 1.0


@given(
    p_v=st.floats(0.0, 2e4),
    L=st.floats(0.01, 0.5),
    p_air=st.floats(0.0, ATM),
    e=st.floats(0.0, 0.02),
    T=st.floats(280.0, 360.0),
    more=st.floats(1.0, 1e5),
)
def test_free_and_dissolved_gas_add_up_to_all_the_air_there_is(p_v, L, p_air, e, T, more):
    cell = air.ClosedCell(
        solubility=L,
        air_Pa=p_air,
        entrained=e,
        mixed_vapour_Pa=min(p_v, 5e3),
        mixed_Pa=ATM,
        mixed_K=293.15,
    )
    V, x = air.gas_per_resin(cell, p_v + more, p_v, T), more
    if V > 0.0:
        assert (V + L) * x == pytest.approx(cell.held(T), rel=1e-6)
    else:
        assert L * x >= cell.held(T) * (1.0 - 1e-9)


def test_void_fraction_of_gas_per_resin():
    assert air.void_fraction(1.0) == 0.5
    assert air.void_fraction(np.array([0.0, np.inf])) == pytest.approx([0.0, 1.0])


@pytest.mark.parametrize("metres", [-400.0, 1500.0, 5000.0, 10000.0])
def test_the_air_over_a_shop_is_what_the_weight_of_the_air_above_leaves(metres):
    """dp/dh = -p g M / (R T), T falling by 6.5 K a kilometre: stepped, not by the closed form."""
    heights = np.linspace(0.0, metres, 20001)
    T = 288.15 - 0.0065 * 0.5 * (heights[1:] + heights[:-1])
    weight = 9.80665 * 0.0289644 / (8.31446 * T)
    wanted = 101325.0 * float(np.exp(-(weight * np.diff(heights)).sum()))
    assert air.station_pressure(metres) == pytest.approx(wanted, rel=1e-4)


def test_gas_that_would_all_dissolve_leaves_no_negative_gas():
    assert air.gas_per_resin(AT_EASE, 10.0 * ATM, 0.0, 300.0) == 0.0


def test_a_cell_holds_the_gas_that_was_stirred_in_and_the_gas_that_was_dissolved():
    """Counted in moles, R T n: vapour in a bubble is no air, and warmth pushes all of it harder."""
    R, mixed_K, T = 8.314462618, 293.15, 333.15
    cell = air.ClosedCell(
        solubility=0.08,
        air_Pa=60000.0,
        entrained=0.02,
        mixed_vapour_Pa=2500.0,
        mixed_Pa=95000.0,
        mixed_K=mixed_K,
    )
    stirred = 0.02 * (95000.0 - 2500.0) / (R * mixed_K)
    dissolved = 0.08 * 60000.0 / (R * mixed_K)
    assert cell.held(T) == pytest.approx((stirred + dissolved) * R * T)
    assert cell.held(mixed_K) < cell.held(T)


def test_one_number_gives_one_number_and_an_array_an_array():
    assert type(air.gas_per_resin(AT_EASE, 5e4, 0.0, 300.0)) is float
    assert type(air.void_fraction(1.0)) is float
    assert air.gas_per_resin(AT_EASE, np.array([5e4]), 0.0, 300.0).shape == (1,)
    assert air.void_fraction(np.array([1.0])).shape == (1,)
