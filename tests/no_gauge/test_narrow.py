"""An observation narrower than the belief's own steps still counts, whatever it is."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.no_gauge import observations as says
from outgas.physics import chance, flow

HERE = "1013.25 hPa"
UP = "orthophthalic-polyester"
STEP = math.log(101325.0 / says.LOWEST_PA) / (says.POINTS - 1)


def unknown(barometer=HERE):
    return outgas.BagPressure.unknown(barometer)


def test_400_readings_of_a_precise_sensor_all_move_the_belief_onto_the_reading():
    for mbar in np.geomspace(0.5, 1013.0, 400):
        bag = unknown().sensor(f"{mbar} mbar", "0.2 mbar")
        off = max(20.0, 1.5 * STEP * mbar * 100.0)  # the reading's own error, or the grid's step
        assert abs(bag.pressure_at(0.5) - mbar * 100.0) < off
        assert bag.pressure_at(0.95) - bag.pressure_at(0.05) < 4.0 * off


@given(mbar=st.floats(0.2, 1000.0), error=st.floats(0.001, 20.0))
def test_a_sensor_of_any_error_puts_most_of_the_belief_where_it_read(mbar, error):
    bag = unknown().sensor(f"{mbar} mbar", f"{error} mbar")
    wide = max(error, 0.02, 3.0 * STEP * mbar)  # none is taken to be better than a pascal
    near = bag.chance_under((mbar + wide) * 100.0) - bag.chance_under((mbar - wide) * 100.0)
    assert near > 0.6


def test_a_reading_of_nothing_is_the_deep_end_and_does_not_vanish():
    for error in ("0.001 mbar", "0.2 mbar", "1 mbar"):
        bag = unknown().sensor("0 mbar", error)
        assert bag.pressure_at(0.5) < 100.0
        assert bag.chance_below("2 mbar") > 0.9


def test_a_sensor_that_reads_deep_is_never_outvoted_into_safe_by_a_plate():
    bag = outgas.BagPressure.unknown("1010.8 hPa").plate_lifts("1.15 kg", "20 mm")
    bag = bag.syringe("1 ml", "1.45 ml", "1.62 ml").sensor("300 mbar", "0.2 mbar")
    assert bag.contradictions
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    assert not bag.advise(UP, shop).safe


@pytest.mark.parametrize("newtons", [0.05, 0.11, 0.2, 0.5, 1.0])
def test_a_weak_pull_is_read_though_it_is_narrower_than_a_step(newtons):
    bag = unknown().pull(f"{newtons} N", "50 mm")
    difference = newtons / float(flow.circle(0.05))
    assert bag.chance_under(101325.0 - 3.0 * STEP * 101325.0 - difference) < 0.1


@pytest.mark.parametrize(
    "see",
    [
        lambda b: b.sensor("700 mbar", "0.001 mbar"),
        lambda b: b.sensor("700 mbar", "0.01 mbar", floor="700 mbar"),
        lambda b: b.plate_lifts("0.0005 kg", "20 mm"),
        lambda b: b.plate_lifts("0.02 kg", "3 mm"),
        lambda b: b.pull("0.05 N", "50 mm"),
        lambda b: b.inverted_tube("200 mm", "0.1 mm"),
        lambda b: b.inverted_tube("200 mm", "200 mm"),
        lambda b: b.syringe("1 ml", "1 ml"),
        lambda b: b.syringe("1 ml", "9000 ml"),
        lambda b: b.boiling_thermometer("1.5 degC", "0 mm"),
        lambda b: b.fell_quiet("1.5 degC"),
    ],
)
def test_no_observation_is_ever_as_if_it_had_not_been_made(see):
    (seen,) = see(unknown()).evidence
    assert seen.likelihood.min() < 0.1 * seen.likelihood.max()


@given(centre=st.floats(-3.0, 3.0), width=st.floats(1e-6, 300.0))
def test_an_average_over_a_cell_is_what_many_points_in_it_average_to(centre, width):
    low, high = np.array([centre - 0.5 * width]), np.array([centre + 0.5 * width])
    x = centre + width * (np.arange(20001) / 20000 - 0.5)
    many = np.exp(-0.5 * x * x)
    assert float(chance.bell_over(low, high)[0]) == pytest.approx(many.mean(), abs=2e-3)
    cdf = np.array([0.5 * math.erfc(-v / math.sqrt(2.0)) for v in x[::20]])
    assert float(chance.cdf_over(low, high)[0]) == pytest.approx(cdf.mean(), abs=2e-3)


@given(mbar=st.floats(1.0, 900.0), share=st.floats(1e-4, 0.3), more=st.floats(1.0, 100.0))
def test_a_wider_error_never_makes_the_deep_end_shallower(mbar, share, more):
    errors = share * mbar, min(share * more, 0.3) * mbar  # beyond that it is near the grid's end
    one, two = (unknown().sensor(f"{mbar} mbar", f"{e} mbar").pressure_at(0.05) for e in errors)
    assert two <= one * (1.0 + STEP)


def test_a_thinned_grid_keeps_its_cells_whole():
    grid = says.grid_of(101325.0).thinned(5)
    assert np.all(grid.p_low[1:] == pytest.approx(grid.p_high[:-1]))
    assert np.all((grid.p_low < grid.p) | (grid.p_low == 0.0))
    sharp = says.sensor(grid, 30000.0, 20.0, None)
    assert grid.p[int(np.argmax(sharp))] == pytest.approx(30000.0, rel=0.02)
