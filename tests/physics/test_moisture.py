import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.physics import moisture


@pytest.mark.published
@pytest.mark.parametrize(
    ("celsius", "humidity", "per_cent"),
    # Wood Handbook, equilibrium moisture content, as printed at 70 degF; and one value at 60 degC
    [
        (21.1, 0.25, 5.3),
        (21.1, 0.60, 11.1),
        (21.1, 0.84, 17.6),
        (21.1, 0.87, 19.0),
        (60.0, 0.55, 8.4),
    ],
)
def test_wood_holds_what_the_handbook_says(celsius, humidity, per_cent):
    got = 100 * moisture.wood_moisture(humidity, celsius + 273.15)
    assert got == pytest.approx(per_cent, abs=0.2)


@given(celsius=st.floats(-5.0, 95.0), a=st.floats(0.0, 1.0))
def test_wood_holds_the_same_by_the_constants_for_fahrenheit(celsius, a):
    """Those of Simpson (1998) for degF, from memory: other numbers, fitted to the same table."""
    F = 1.8 * celsius + 32.0
    W = 330.0 + 0.452 * F + 0.00415 * F**2
    K = 0.791 + 4.63e-4 * F - 8.44e-7 * F**2
    K1 = 6.34 + 7.75e-4 * F - 9.35e-5 * F**2
    K2 = 1.09 + 2.84e-2 * F - 9.04e-5 * F**2
    h = K * a
    top = K1 * h + 2.0 * K1 * K2 * h**2
    wanted = 18.0 / W * (h / (1.0 - h) + top / (1.0 + K1 * h + K1 * K2 * h**2))
    got = moisture.wood_moisture(a, celsius + 273.15)
    assert got == pytest.approx(wanted, rel=2e-3, abs=1e-9)


def test_warming_wood_raises_its_water_activity():
    held = moisture.wood_moisture(0.60, 293.15)
    assert held == pytest.approx(0.110, abs=0.002)
    assert moisture.wood_activity(held, 333.15) == pytest.approx(0.70, abs=0.02)


@given(a=st.floats(0.01, 0.97), T=st.floats(275.0, 360.0))
def test_wood_activity_undoes_wood_moisture(a, T):
    assert moisture.wood_activity(float(moisture.wood_moisture(a, T)), T) == pytest.approx(
        a, abs=1e-6
    )


def test_wood_wetter_than_the_air_can_make_it_is_at_one():
    assert moisture.wood_activity(0.6, 300.0) == 1.0


@given(T=st.floats(275.0, 360.0))
def test_wood_moisture_rises_with_humidity(T):
    assert np.all(np.diff(moisture.wood_moisture(np.linspace(0.0, 1.0, 50), T)) > 0)


def test_a_cold_tool_is_wetter_than_the_air_up_to_the_dew_point():
    assert moisture.activity_at_surface(0.5, 3000.0, 2000.0) == pytest.approx(0.75)
    assert moisture.activity_at_surface(0.9, 3000.0, 2000.0) == 1.0


def test_wood_that_holds_nothing_is_dry_and_one_just_short_of_soaked_is_just_short_of_one():
    assert moisture.wood_activity(0.0, 300.0) == pytest.approx(0.0, abs=1e-8)
    most = float(moisture.wood_moisture(1.0, 300.0))
    assert moisture.wood_activity(most, 300.0) == 1.0
    assert moisture.wood_activity(0.999 * most, 300.0) == pytest.approx(1.0, abs=1e-3)
    assert moisture.wood_activity(0.999 * most, 300.0) < 1.0
