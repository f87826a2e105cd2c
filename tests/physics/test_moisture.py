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
