import math
import subprocess
import sys
import time

import numpy as np
import pint
import pytest
import xarray as xr

import outgas
from outgas import readings, units
from outgas.errors import InputError, UnitError

BAROMETER = "1003 hPa"


@pytest.mark.parametrize(
    ("text", "mbar"),
    [
        ("60 mbar", 60.0),
        ("60 mbar abs", 60.0),
        ("60 hPa", 60.0),
        ("45 torr", 45 * 1013.25 / 760),
        ("6000 Pa", 60.0),
        ("-0.94 bar gauge", 63.0),
        ("-0.94 bar", 63.0),
        ("−0.94 bar", 63.0),
        ("-28 inHg", 1003 - 28 * 33.8638864),
        ("28 inHg vacuum", 1003 - 28 * 33.8638864),
        ('28 "Hg vacuum', 1003 - 28 * 33.8638864),
        ("28 inches of mercury vacuum", 1003 - 28 * 33.8638864),
        ("95 % vacuum", 50.15),
        ("95% vacuum", 50.15),
        ("710 mmHg vacuum", 1003 - 710 * 1.33322387),
        ("13 psi vacuum", 1003 - 13 * 68.9475729),
        ("90 kPa vacuum", 103.0),
        ("2 psia", 2 * 68.9475729),
        ("0.5 bara", 500.0),
        ("1 atm", 1013.25),
    ],
)
def test_a_reading_becomes_absolute(text, mbar):
    got = outgas.read_pressure(text, barometer=BAROMETER)
    assert got.m_as("mbar") == pytest.approx(mbar, rel=1e-6)


@pytest.mark.parametrize("text", ["29.1 inHg", "0.9 bar", "700 mmHg", "13 psi", "95 kPa"])
def test_an_ambiguous_reading_is_refused_with_both_meanings(text):
    with pytest.raises(UnitError, match=r"two meanings: '.* absolute' is .* '.* vacuum' is "):
        outgas.read_pressure(text, barometer=BAROMETER)


def test_both_meanings_of_29_inches_carry_their_numbers():
    with pytest.raises(UnitError, match=r"982\.1 mbar absolute; '29 inHg vacuum' is 20\.9 mbar"):
        outgas.read_pressure("29 inHg", barometer=BAROMETER)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("31 inHg vacuum", "more than the barometer's 1003.0 mbar"),
        ("-1.2 bar", "more than the barometer's"),
        ("-5 mbar abs", "cannot be below zero"),
        ("120 % vacuum", "0 to 100 % vacuum"),
        ("95 %", "0 to 100 % vacuum"),
        ("60", "with no unit"),
        ("1,5 mbar", "decimal point"),
        ("60 mbra", "pressures are in"),
        ("60 mbar upwards", "absolute, gauge or vacuum"),
        ("deep", "start with a number"),
        ("", "start with a number"),
        ("1e999 mbar", "too large"),
    ],
)
def test_an_impossible_reading_is_refused_with_the_reason(text, why):
    with pytest.raises(InputError, match=why) as caught:
        outgas.read_pressure(text, barometer=BAROMETER)
    assert "\n" not in str(caught.value)


def test_a_gauge_reading_needs_the_barometer():
    with pytest.raises(UnitError, match="needs the barometer"):
        outgas.read_pressure("28 inHg vacuum")


def test_the_pressure_units_are_pints():
    registry = pint.get_application_registry()
    names = {"inhg": "inHg", "mmhg": "mmHg", "hpa": "hPa", "kpa": "kPa", "pa": "Pa"}
    for unit, pascal in readings.PASCAL_PER.items():
        assert registry.Quantity(1.0, names.get(unit, unit)).m_as("Pa") == pytest.approx(
            pascal, rel=2e-6
        )


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [
        ("26 degC", 299.15),
        ("26C", 299.15),
        ("-5C", 268.15),
        ("26 °C", 299.15),
        ("79 F", 299.26111),
        ("300 K", 300.0),
        ("26 celsius", 299.15),
    ],
)
def test_temperatures_as_people_write_them(text, kelvin):
    assert units.one(text, "K", "temperature") == pytest.approx(kelvin, rel=1e-7)


@pytest.mark.parametrize(
    ("value", "unit", "si"),
    [
        ("15 mm", "m", 0.015),
        ("5000 ft", "m", 1524.0),
        ("0.8 m2", "m**2", 0.8),
        ("0.8 m²", "m**2", 0.8),
        ("400 g/m2", "kg/m**2", 0.4),
        ("12 oz/yd2", "kg/m**2", 0.40689),
        ("5 m3/h", "m**3/s", 5 / 3600),
        ("1 mbar l/s", "Pa*m**3/s", 0.1),
        ("12 l", "m**3", 0.012),
    ],
)
def test_other_quantities_as_people_write_them(value, unit, si):
    assert units.one(value, unit, "it") == pytest.approx(si, rel=1e-4)


@pytest.mark.parametrize(
    ("value", "unit", "why"),
    [
        (26, "K", r"temperature is 26, with no unit; write text with one, as '26 degC'"),
        ("26", "K", "with no unit"),
        ("26 bar", "K", "write it in C, F or K"),
        ("15 C", "m", "not known|must be like"),
        ("1,5 mm", "m", "decimal point"),
        ("3 m**9**9", "m", "not a unit"),
        ("3 import os", "m", "not known|must be like"),
        ("3 __class__", "m", "not a unit"),
        (True, "m", "give text such as"),
        (None, "m", "give text such as"),
        ("nan m", "m", "start with a number"),
        ("15 kg", "m", "must be like"),
    ],
)
def test_what_cannot_be_a_quantity_says_what_to_write(value, unit, why):
    with pytest.raises(UnitError, match=why):
        units.one(value, unit, "temperature")


def test_a_quantity_with_the_wrong_dimension_says_so():
    with pytest.raises(UnitError, match="is in bar"):
        units.one(outgas.Quantity(1.0, "bar"), "K", "temperature")


@pytest.mark.parametrize(
    ("value", "share"),
    [(0.6, 0.6), ("60 %", 0.6), ("60%", 0.6), ("0.6", 0.6), (1, 1.0), ("0 %", 0.0)],
)
def test_shares(value, share):
    assert units.fraction(value, "humidity") == pytest.approx(share)


def test_a_share_as_a_quantity():
    assert units.fraction(outgas.Quantity(60, "percent"), "humidity") == pytest.approx(0.6)


@pytest.mark.parametrize("value", [60, "60", 1.2, "120 %", -0.1, math.nan, "x", None, True, "5 mm"])
def test_what_cannot_be_a_share_is_refused(value):
    with pytest.raises(InputError, match=r"humidity is|start with"):
        units.fraction(value, "humidity")


def test_a_share_above_one_says_to_write_per_cent():
    with pytest.raises(InputError, match="write '60 %'"):
        units.fraction(60, "humidity")


def test_the_registry_is_the_applications_own_at_call_time():
    before = pint.get_application_registry().get()
    mine = pint.UnitRegistry()
    pint.set_application_registry(mine)
    try:
        total = outgas.vapour_pressure("water", "20 degC") + mine.Quantity(1.0, "Pa")
        assert total.m_as("Pa") == pytest.approx(2340.0, abs=1.0)
        assert outgas.Quantity is mine.Quantity
    finally:
        pint.set_application_registry(before)


def test_arrays_keep_their_shape():
    T = outgas.Quantity(np.array([[20.0, 30.0], [40.0, 50.0]]), "degC")
    assert outgas.vapour_pressure("styrene", T).shape == (2, 2)


@pytest.mark.parametrize(
    "text",
    ["1 9^(9^9)", "1 m**(9**9)", "2 9**9", "1 m^-(9^9)", "1 m**9**9", "1 m**99"],
)
def test_a_tower_of_powers_is_refused_at_once(text):
    began = time.perf_counter()
    with pytest.raises(UnitError, match="altitude is"):
        units.one(text, "m", "altitude")
    assert time.perf_counter() - began < 0.5


def test_threads_may_be_the_first_to_read_a_unit():
    code = (
        "import threading\n"
        "from outgas import units\n"
        "found, start = [], threading.Barrier(16)\n"
        "def read():\n"
        "    start.wait()\n"
        "    try:\n"
        "        found.append(units.one('400 g/m2', 'kg/m**2', 'ply'))\n"
        "    except Exception as error:\n"
        "        found.append(str(error))\n"
        "jobs = [threading.Thread(target=read) for _ in range(16)]\n"
        "[job.start() for job in jobs]; [job.join() for job in jobs]\n"
        "print(set(found))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "{0.4}"


def test_a_labelled_array_that_contradicts_its_own_unit_is_refused():
    warm = outgas.Quantity(np.array([68.0, 77.0]), "degF")
    honest = xr.DataArray(warm, dims="t")
    got = outgas.vapour_pressure("styrene", honest)
    assert np.asarray(got.data)[0] == pytest.approx(
        outgas.vapour_pressure("styrene", "68 degF").m_as("Pa"), rel=1e-9
    )
    lying = xr.DataArray(warm, dims="t", attrs={"units": "degC"})
    with pytest.raises(UnitError, match="make them agree"):
        outgas.vapour_pressure("styrene", lying)


@pytest.mark.parametrize(
    ("si", "written"), [(si, text) for si, table in units._PER_SI.items() for text in table]
)
def test_what_is_read_without_pint_is_what_pint_makes_of_it(si, written):
    made = pint.UnitRegistry().Quantity(3.0, written).m_as(si)
    assert units._PER_SI[si][written] * 3.0 == pytest.approx(made, rel=1e-14)


def test_a_registry_is_made_when_a_unit_first_asks_for_it():
    made = []

    def make():
        made.append(pint.UnitRegistry())
        return made[0]

    before = pint.get_application_registry()
    try:
        units.made_when_needed(make)
        assert units.positive("15 mm", "m", "length") == 0.015
        assert not made
        assert units.positive("1 furlong", "m", "length") == pytest.approx(201.168, rel=1e-4)
        assert len(made) == 1
        assert units.is_quantity(units.quantity(1.0, "m"))
        assert not units.is_quantity(1.0)
    finally:
        units._made_by.clear()
        pint.set_application_registry(before)
