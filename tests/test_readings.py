"""What a builder says of a pressure, in the words of gauges and pumps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError, UnitError
from outgas.readings import dial_readings, read_absolute, read_reading

AIR = 100000.0


@pytest.mark.parametrize(
    ("said", "pascal", "by_dial"),
    [
        ("60 mbar", 6000.0, False),
        ("60 hPa", 6000.0, False),
        ("6000 Pa", 6000.0, False),
        ("0.5 atm", 50662.5, False),
        ("76 torr", 10132.5, False),
        ("0 mbar", 0.0, False),
        ("0.06 bar absolute", 6000.0, False),
        ("0.06 bara", 6000.0, False),
        ("6 kPa (a)", 6000.0, False),
        ("6 kPa abs", 6000.0, False),
        ("-0.9 bar", 10000.0, True),
        ("-0.9 barg", 10000.0, True),
        ("-90 kPa gage", 10000.0, True),
        ("0.2 bar gauge", 120000.0, True),  # above the air: a press, a pot under pressure
        ("0 bar gauge", AIR, True),
        ("0.9 bar vacuum", 10000.0, True),
        ("-0.9 bar vacuum", 10000.0, True),
        ("900 mbar of vacuum", 10000.0, True),
        ("900 mbar below atmosphere", 10000.0, True),
        ("95 % vacuum", 5000.0, True),
        ("95 percent vac", 5000.0, True),
        ("0 % vacuum", AIR, True),
        ("100 % vacuum", 0.0, True),
    ],
)
def test_each_way_to_say_a_pressure(said, pascal, by_dial):
    reading = read_reading(said, AIR)
    assert reading.absolute_Pa == pytest.approx(pascal, abs=1e-6)
    assert reading.by_dial is by_dial


@pytest.mark.parametrize("said", ["inHg", "in Hg", "inches of mercury", "in. Hg", '" Hg'])
def test_inches_of_mercury_however_they_are_spelled(said):
    got = read_reading(f"20 {said} vacuum", AIR).absolute_Pa
    assert got == pytest.approx(AIR - 20.0 * 3386.389, abs=0.1)  # ISO 80000-4, from memory


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ("60", "no unit"),
        ("60 mbarx", "pressures are in mbar"),
        ("60 foot", "pressures are in mbar"),
        ("0.9 barg vacuum", "pressures are in mbar"),
        ("60 mbar deep", "not 'deep'"),
        ("28 inHg", "two meanings"),
        ("0 bar", "two meanings"),
        ("95 %", "0 to 100 % vacuum"),
        ("95 % absolute", "0 to 100 % vacuum"),
        ("101 % vacuum", "0 to 100 % vacuum"),
        ("-1 % vacuum", "0 to 100 % vacuum"),
        ("-5 mbar absolute", "cannot be below zero"),
        ("1e308 atm", "too large"),
    ],
)
def test_what_could_mean_two_things_or_none_is_refused(said, message):
    with pytest.raises(InputError, match=message):
        read_reading(said, AIR)


def test_a_vacuum_deeper_than_all_the_air_is_refused_and_all_the_air_is_not():
    assert read_reading("1000 mbar vacuum", AIR).absolute_Pa == 0.0
    with pytest.raises(InputError, match=r"more than the barometer's 1000\.0 mbar"):
        read_reading("1000.1 mbar vacuum", AIR)


@pytest.mark.parametrize("said", ["-0.9 bar", "28 inHg vacuum", "95 % vacuum"])
def test_a_dial_needs_the_air_it_hangs_in(said):
    with pytest.raises(UnitError, match="needs the barometer beside it"):
        read_reading(said, None)


def test_both_meanings_are_told_with_their_numbers_or_why_there_is_but_one():
    with pytest.raises(UnitError, match=r"'0.9 bar vacuum' is 100.0 mbar absolute"):
        read_reading("0.9 bar", AIR)
    with pytest.raises(UnitError, match="so not possible"):
        read_reading("1.2 bar", AIR)
    with pytest.raises(UnitError, match="that much below the barometer"):
        read_reading("0.9 bar", None)


def test_a_barometer_is_absolute_or_nothing():
    assert read_absolute("29.92 inHg", "barometer") == pytest.approx(101320.0, abs=5.0)
    assert read_absolute("0.5 mbar", "barometer") == pytest.approx(50.0)
    assert read_absolute("0 mbar", "barometer") == 0.0
    assert read_absolute(outgas.Quantity(0.0, "Pa"), "barometer") == 0.0
    for said, message in [
        ("-1 mbar", "below zero"),
        ("95 %", "give an absolute"),
        ("1 bar gauge", "give an absolute"),
        ("1 bar vacuum", "give an absolute"),
        ("1003", "no unit"),
    ]:
        with pytest.raises(InputError, match=message):
            read_absolute(said, "barometer")


@given(pressure=st.floats(0.0, AIR))
def test_every_dial_is_read_back_as_the_pressure_that_it_shows(pressure):
    shown = dial_readings(pressure, AIR)
    said = {
        "absolute_mbar": "mbar absolute", "vacuum_inHg": "inHg vacuum", "gauge_bar": "bar gauge",
        "vacuum_mmHg": "mmHg vacuum", "gauge_kPa": "kPa gauge", "gauge_psi": "psi gauge",
        "vacuum_percent": "% vacuum", "absolute_torr": "torr",
    }  # fmt: skip
    assert set(said) == set(shown)
    for name, words in said.items():
        value = max(shown[name], 0.0) if "vacuum" in name else min(shown[name], 1e9)
        got = read_reading(f"{value:.12f} {words}", AIR * (1.0 + 1e-12))
        assert got.absolute_Pa == pytest.approx(pressure, abs=1e-4)
