import warnings

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, OutgasWarning, OutOfRangeError
from outgas.job import gauge
from outgas.tables.catalogue import practice

BAROMETER = "1003 hPa"


def test_a_dial_near_its_end_cannot_tell():
    with pytest.warns(OutgasWarning, match="cannot tell where between 0 and 36 mbar"):
        outgas.read_pressure("29.6 inHg vacuum", barometer="1013.25 hPa")


def test_a_dial_well_up_does_not_warn():
    assert outgas.read_pressure("20 inHg vacuum", barometer=BAROMETER).m_as("mbar") > 300


def test_a_weather_app_at_altitude_is_not_the_shop():
    here = outgas.barometer("1600 m", "1015 hPa")
    with pytest.warns(OutgasWarning):
        got = outgas.read_pressure("24 inHg vacuum", here)
    assert got.m_as("mbar") == pytest.approx(24.0, abs=0.5)


def test_dials_of_one_pressure():
    dials = outgas.dials("60 mbar", "1003 hPa")
    assert dials == pytest.approx(
        {
            "absolute_mbar": 60.0,
            "vacuum_inHg": 943 / 33.8638864,
            "vacuum_mmHg": 943 / 1.33322387,
            "gauge_bar": -0.943,
            "gauge_kPa": -94.3,
            "gauge_psi": -94.3 / 6.89475729,
            "vacuum_percent": 100 * 943 / 1003,
            "absolute_torr": 6000 / 133.322368,
        },
        rel=1e-6,
    )


def test_the_dial_error_in_the_tables_is_what_the_flag_uses():
    assert practice().reading.dial.high_si == 2500.0


def standard(h):
    """Return the standard atmosphere's pressure [Pa], from gravity, gas constant and lapse."""
    exponent = 9.80665 * 0.0289644 / (8.31432 * 0.0065)  # constants of the standard itself
    return 101325.0 * (1.0 - 0.0065 * h / 288.15) ** exponent


def test_the_barometer_of_many_altitudes_is_that_of_each_and_scales_with_the_weather():
    h = np.array([-430.0, 0.0, 1600.0, 11000.0])
    got = outgas.barometer(outgas.Quantity(h, "m"))
    assert got.m_as("Pa") == pytest.approx(standard(h), rel=1e-5)
    low = outgas.barometer("1600 m", "980 hPa").m_as("Pa")
    assert low == pytest.approx(standard(1600.0) * 980.0 / 1013.25, rel=1e-5)


@pytest.mark.parametrize("heights", [[0.0, 11001.0], [-431.0, 0.0], [np.nan, 0.0]])
def test_one_altitude_out_of_range_among_many_is_refused(heights):
    with pytest.raises(OutOfRangeError, match="altitude"):
        outgas.barometer(outgas.Quantity(heights, "m"))


@pytest.mark.parametrize(("inside", "outside"), [("200 hPa", "199 hPa"), ("1100 hPa", "1101 hPa")])
def test_the_ends_of_a_barometer_are_taken_and_no_more(inside, outside):
    assert gauge.read_barometer(inside) > 0.0
    with pytest.raises(OutOfRangeError, match="outside 200 to 1100 hPa"):
        gauge.read_barometer(outside)


def test_the_air_of_a_shop_says_how_it_was_got():
    assert gauge.station_air(None, None) == (
        101325.0,
        "air pressure: 1013.2 mbar, sea level in average weather (assumed)",
    )
    high, note = gauge.station_air("1600 m", None)
    assert high == pytest.approx(standard(1600.0), rel=1e-5)
    assert "average weather at 1600 m (assumed)" in note
    own, note = gauge.station_air(None, "836 hPa")
    assert own == 83600.0
    assert "836.0 mbar, the shop's own barometer" in note
    here, note = gauge.station_air("1600 m", "1000 hPa")
    assert here == pytest.approx(standard(1600.0) / 1.01325, rel=1e-5)
    assert "from a sea-level 1000.0 hPa at 1600 m" in note


@pytest.mark.parametrize(
    ("usual", "odd"), [("1063 hPa", "1065 hPa"), ("963 hPa", "962 hPa")]
)  # 5 % of 1013.25 hPa either way: 1063.9 and 962.6
def test_weather_that_no_weather_brings_is_refused_at_both_ends(usual, odd):
    assert gauge.station_air("800 m", usual)[0] < 98000.0
    with pytest.raises(InputError, match="give it without the altitude"):
        gauge.station_air("800 m", odd)


def test_a_setpoint_lies_below_the_air():
    assert gauge.read_setpoint("60 mbar", 1e5) == 6000.0
    assert gauge.read_setpoint("20 inHg vacuum", 1e5) == pytest.approx(1e5 - 20 * 3386.389, abs=1.0)
    for said in ("0 mbar", "1000 mbar", "1100 mbar"):
        with pytest.raises(InputError, match="between 0 and the barometer's 1000 mbar"):
            gauge.read_setpoint(said, 1e5)


def test_a_quantity_is_absolute_and_no_dial_stands_behind_it():
    for given in (outgas.Quantity(20.0, "mbar"), "20 mbar"):
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            assert outgas.read_pressure(given, BAROMETER).m_as("Pa") == pytest.approx(2000.0)
    assert gauge.reading_of(outgas.Quantity(0.0, "mbar"), None).by_dial is False
    with pytest.raises(InputError, match="zero or more"):
        gauge.reading_of(outgas.Quantity(-1.0, "mbar"), None)


def test_the_flag_is_raised_just_within_the_dials_error():
    with pytest.warns(OutgasWarning, match="cannot tell where between 0 and 49 mbar absolute"):
        outgas.read_pressure("-976 mbar gauge", "1000 hPa")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        outgas.read_pressure("-974 mbar gauge", "1000 hPa")


def test_what_cannot_be_told_reaches_the_error_both_ways_but_not_below_none():
    assert gauge.cannot_tell(9000.0, 2500.0) == (
        "a dial cannot tell where between 65 and 115 mbar absolute this is"
    )
    assert "between 0 and 35 mbar" in gauge.cannot_tell(1000.0, 2500.0)


def test_a_dial_may_be_asked_of_another_dials_reading():
    got = outgas.dials("20 inHg vacuum", BAROMETER)
    assert got["vacuum_inHg"] == pytest.approx(20.0)
    assert got["absolute_mbar"] == pytest.approx(1003 - 20 * 33.8638864, rel=1e-6)


@pytest.mark.parametrize(("share", "mbar"), [(0, 1000.0), (40, 600.0), (95, 50.0)])
def test_a_share_of_vacuum_is_what_is_gone_from_the_air(share, mbar):
    reading = gauge.reading_of(f"{share} % vacuum", 100000.0)
    assert reading.absolute_Pa == pytest.approx(100.0 * mbar)


def test_an_absolute_pressure_needs_no_barometer():
    assert outgas.read_pressure("60 mbar").m_as("Pa") == pytest.approx(6000.0)


def test_the_least_setpoint_is_a_thousandth_of_a_pascal():
    assert gauge.read_setpoint("0.001 Pa", 1e5) == pytest.approx(1e-3)
    with pytest.raises(InputError, match="between 0 and the barometer"):
        gauge.read_setpoint("0.0009 Pa", 1e5)


def test_no_altitude_at_all_has_no_air():
    assert outgas.barometer(outgas.Quantity(np.array([]), "m")).m_as("Pa").size == 0
