"""A log made good: one clock, absolute pressures, kelvins, and what was wrong with it."""

import numpy as np
import pytest

from outgas.bag_log.columns import Column, Layout
from outgas.bag_log.rows import Rows
from outgas.bag_log.samples import samples_of
from outgas.errors import InputError

AIR = 101325.0


def rows_of(t, p, T=None, time_unit="s", pressure="mbar", qualifier="absolute", probe="c"):
    layout = Layout(
        ",", False, 1, Column("clock", 0, time_unit), Column("bag", 1, pressure, qualifier),
        None if T is None else Column("probe", 2, probe),
    )  # fmt: skip
    rows = Rows(layout, kind="number")
    rows.times.extend(map(float, t))
    rows.pressures.extend(map(float, p))
    rows.temperatures.extend(np.full(len(t), np.nan) if T is None else map(float, T))
    return rows


def evenly(count=100, step=10.0):
    return step * np.arange(count)


def test_times_are_from_the_first_row_and_pressures_in_pascals():
    got = samples_of(rows_of(500.0 + evenly(), np.full(100, 90.0)), AIR)
    assert got.time_s[:3].tolist() == [0.0, 10.0, 20.0]
    assert got.pressure_Pa.tolist() == [9000.0] * 100
    assert (got.step_s, got.gaps, got.jumps, got.dropped, got.missing_s) == (10.0, (), 0, 0, 0)


@pytest.mark.parametrize(("unit", "seconds"), [("min", 60.0), ("h", 3600.0), ("s", 1.0)])
def test_a_time_is_in_its_own_unit(unit, seconds):
    got = samples_of(rows_of(evenly(), np.full(100, 90.0), time_unit=unit), AIR)
    assert got.step_s == 10.0 * seconds
    assert f"in {unit}" in got.taken[0]


def test_a_time_without_a_unit_is_seconds_unless_no_cure_is_as_short():
    got = samples_of(rows_of(evenly(), np.full(100, 90.0), time_unit=""), AIR)
    assert got.step_s == 10.0
    assert "guessed to be seconds" in got.taken[0]
    with pytest.raises(InputError, match=r"has no unit and spans 29\.9"):
        samples_of(rows_of(evenly(300, 0.1), np.full(300, 90.0), time_unit=""), AIR)


def test_a_clock_that_goes_back_goes_on_by_the_usual_step():
    t = np.array([0.0, 10.0, 20.0, 5.0, 15.0, 25.0])
    got = samples_of(rows_of(t, np.full(6, 90.0)), AIR)
    assert got.time_s.tolist() == [0.0, 10.0, 20.0, 30.0, 40.0, 50.0]
    assert got.jumps == 1


def test_a_pause_longer_than_five_steps_and_twenty_seconds_is_a_gap():
    t = np.concatenate([evenly(50), 490.0 + 51.0 + evenly(50)])
    got = samples_of(rows_of(t, np.full(100, 90.0)), AIR)
    assert got.gaps == ((490.0, 541.0),)
    assert got.missing_s == 51.0
    short = np.concatenate([evenly(50), 490.0 + 50.0 + evenly(50)])
    assert samples_of(rows_of(short, np.full(100, 90.0)), AIR).gaps == ()
    quick = np.concatenate([evenly(50, 1.0), 49.0 + 19.0 + evenly(50, 1.0)])
    assert samples_of(rows_of(quick, np.full(100, 90.0)), AIR).gaps == ()


def test_rows_without_a_pressure_are_a_gap_where_there_are_enough_of_them():
    p = np.full(100, 90.0)
    p[40:46] = np.nan
    p[60] = np.nan
    got = samples_of(rows_of(evenly(), p), AIR)
    assert got.gaps == ((390.0, 460.0),)


def test_pressures_that_no_bag_can_have_are_dropped_and_counted():
    p = np.full(100, 90.0)
    p[3], p[9], p[11] = 1100.0, -20.0, 1050.0
    got = samples_of(rows_of(evenly(), p), AIR)
    assert got.dropped == 1
    assert np.isnan(got.pressure_Pa[3])
    assert got.pressure_Pa[9] == 0.0  # a little below nought is a sensor's own error
    assert got.pressure_Pa[11] == 105000.0


def test_a_gauge_reading_counts_from_the_air():
    got = samples_of(rows_of(evenly(), np.full(100, -900.0), qualifier="gauge"), AIR)
    assert got.pressure_Pa[0] == pytest.approx(AIR - 90000.0)


@pytest.mark.parametrize(
    ("unit", "given", "kelvin"),
    [("c", 25.0, 298.15), ("k", 298.15, 298.15), ("", 25.0, 298.15), ("", 298.15, 298.15)],
)
def test_temperatures_are_kelvins_by_their_unit_or_by_what_a_shop_can_be(unit, given, kelvin):
    got = samples_of(rows_of(evenly(), np.full(100, 90.0), np.full(100, given), probe=unit), AIR)
    assert got.temperature_K[0] == pytest.approx(kelvin)
    assert ("guessed" in got.taken[2]) == (not unit)


def test_a_bare_temperature_that_may_be_either_is_refused():
    with pytest.raises(InputError, match="may be degrees C or F"):
        samples_of(rows_of(evenly(), np.full(100, 90.0), np.full(100, 75.0), probe=""), AIR)


def test_a_broken_probe_is_no_temperature():
    T = np.full(100, 25.0)
    T[5], T[6], T[7], T[8] = 999.0, -50.0, 259.0, -29.0
    got = samples_of(rows_of(evenly(), np.full(100, 90.0), T), AIR)
    assert np.isnan(got.temperature_K[[5, 6]]).all()
    assert np.isfinite(got.temperature_K[[7, 8]]).all()
    none = samples_of(rows_of(evenly(), np.full(100, 90.0), np.full(100, np.nan)), AIR)
    assert "holds no number" in none.taken[2]


def test_one_row_is_no_log():
    with pytest.raises(InputError, match="fewer than two rows"):
        samples_of(rows_of([0.0], [90.0]), AIR)
