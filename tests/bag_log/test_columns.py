import sys
from pathlib import Path

import numpy as np
import pytest

from outgas.bag_log.columns import day_seconds, layout_of
from outgas.errors import InputError

sys.path.insert(0, str(Path(__file__).parent))
from loggers import course, csv


def laid(*lines, time=None, temperature=None, pressure=None):
    return layout_of([f"{line}\n" for line in lines], time, temperature, pressure)


@pytest.mark.parametrize(
    ("head", "row", "where"),
    [
        ("time,temp,pressure", "0,22.1,1013", (0, 1, 2)),
        ("Zeit;Temperatur;Druck", "0;22,1;1013,2", (0, 1, 2)),
        ("Temps;Température;Pression", "0;22.1;1013", (0, 1, 2)),
        ("Tiempo\tTemperatura\tPresión", "0\t22.1\t1013", (0, 1, 2)),
        ("No,Elapsed (min),Vacuum (inHg),Probe 1 (F)", "1,0.0,0.0,72.1", (1, 3, 2)),
        ("Date,Time,P [mbar abs],T1 temp [°C]", "2026-03-01,13:00:00,1013,22", (1, 3, 2)),
    ],
)
def test_columns_are_found_by_their_heads_in_several_languages(head, row, where):
    lay = laid(head, row)
    assert (lay.time.index, lay.temperature.index, lay.pressure.index) == where


def test_units_and_kinds_are_read_from_the_heads():
    lay = laid("Elapsed (min),Vac (inHg vacuum),Probe [F]", "0,0,72")
    assert (lay.time.unit, lay.pressure.unit, lay.temperature.unit) == ("min", "inhg", "f")
    assert lay.pressure.qualifier == "vacuum"
    for head, unit, kind in (
        ("pressure [mbar abs]", "mbar", "absolute"),
        ("pressure / kPa", "kpa", ""),
        ("P_bar(g) pressure", "bar", ""),
        ("pressure psia", "psi", "absolute"),
        ("pressure barg", "bar", "gauge"),
        ("Druck (Torr, absolut)", "torr", "absolute"),
        ("pressure", "", ""),
    ):
        column = laid(f"t,{head}".replace("Torr, ", "Torr "), "0,1").pressure
        assert (column.unit, column.qualifier) == (unit, kind), head


def test_a_column_may_be_named_by_head_or_by_number_with_its_unit():
    lines = "a,b,c", "0,20,1013"
    lay = laid(*lines, time="a [min]", temperature="2 [C]", pressure="C [mbar absolute]")
    assert (lay.time.index, lay.temperature.index, lay.pressure.index) == (0, 1, 2)
    assert (lay.time.unit, lay.pressure.unit, lay.pressure.qualifier) == ("min", "mbar", "absolute")


def test_a_column_that_there_is_not_is_told_with_those_there_are():
    with pytest.raises(InputError, match=r"1 'time', 2 'pressure'"):
        laid("time,pressure", "0,1013", pressure="vacuum [mbar]")


def test_two_columns_that_may_be_it_are_refused():
    with pytest.raises(InputError, match="pressure column: several found"):
        laid("time,pressure 1,pressure 2", "0,1013,1013")
    with pytest.raises(InputError, match="pressure column: none found"):
        laid("time,a,b", "0,1,2")


def test_lines_before_the_header_are_passed_over():
    lay = laid("Logger 7", "Serial: 12, 34", "", "time [s],pressure [mbar]", "0,1013")
    assert lay.skipped == 4
    assert lay.pressure.head == "pressure [mbar]"


def test_decimal_commas_are_read_between_semicolons_and_refused_between_commas():
    assert laid("Zeit [s];Druck [mbar]", "0,5;1013,25").comma
    assert not laid("Zeit [s];Druck [mbar]", "0.5;1013.25").comma
    with pytest.raises(InputError, match="a decimal comma"):
        laid("time [s],pressure [mbar]", "0,5,1013,25")


def test_a_file_without_numbers_is_refused():
    with pytest.raises(InputError, match="no row of numbers"):
        laid("hello", "world")


def test_times_of_day_are_read_with_dates_and_halves():
    assert day_seconds("01/03/2026 01:05:30.5 PM") == 13 * 3600 + 330.5
    assert day_seconds("12:00 am") == 0.0
    with pytest.raises(ValueError, match="noon"):
        day_seconds("noon")


@pytest.fixture(scope="module")
def held(advice):
    return advice.setpoint_Pa / 100.0


def test_a_german_log_with_decimal_commas_says_the_same_as_an_english_one(read, held):
    t, p = course(held)
    plain = read(csv(t, p))
    heads = ("Zeit [s]", "Druck [mbar]")
    german = csv(t, p, heads=heads, delimiter=";").replace(".", ",")
    assert read(german).least_margin_Pa == pytest.approx(plain.least_margin_Pa)
    latin = csv(t, p, np.full(t.size, 22.0), heads=(*heads, "Temperatur °C"), delimiter=";")
    assert read(latin, encoding="latin-1").safe


@pytest.mark.parametrize(
    ("head", "per"),
    [
        ("pressure [mbar]", 1.0),
        ("pressure [kPa absolute]", 10.0),
        ("pressure [psia]", 68.94757),
        ("pressure [torr]", 1.3332237),
        ("pressure [bar]", 1000.0),
        ("pressure", 1.3332237),
        ("pressure", 10.0),
    ],
)
def test_units_are_read_or_known_by_a_bag_at_rest(read, held, head, per):
    t, p = course(held)
    rows = "\n".join(f"{a:.1f},{b / per:.6f}" for a, b in zip(t, p, strict=True))
    log = read(f"time [s],{head}\n{rows}\n")
    assert log.safe
    assert min(point.pressure_Pa for point in log.points) == pytest.approx(9000.0, rel=1e-3)


@pytest.mark.parametrize(
    ("temperature", "safe"), [("C", True), ("F", True), ("K", True)], ids=["C", "F", "K"]
)
def test_temperatures_are_read_in_their_unit(read, held, temperature, safe):
    t, p = course(held)
    own = {"C": 22.0, "F": 71.6, "K": 295.15}[temperature]
    heads = ("time [s]", "pressure [mbar]", f"temp [{temperature}]")
    log = read(csv(t, p, np.full(t.size, own), heads=heads))
    assert log.safe == safe
    assert log.points[0].temperature_K == pytest.approx(295.15)


def test_a_bare_temperature_is_guessed_only_where_it_can_mean_one_thing(read, held):
    t, p = course(held)
    heads = ("time [s]", "pressure [mbar]", "temp")
    log = read(csv(t, p, np.full(t.size, 22.0), heads=heads))
    assert "in C, guessed from 22" in " ".join(log.taken)
    with pytest.raises(InputError, match="degrees C or F"):
        read(csv(t, p, np.full(t.size, 72.0), heads=heads))


def test_a_bare_time_is_seconds_unless_that_is_no_cure(read, held):
    t, p = course(held)
    log = read(csv(t, p, heads=("time", "pressure [mbar]")))
    assert "guessed to be seconds" in " ".join(log.taken)
    with pytest.raises(InputError, match=r"write it as 'time \[min\]'"):
        read(csv(t / 60.0, p, heads=("time", "pressure [mbar]")))
    minutes = read(csv(t / 60.0, p, heads=("time", "pressure [mbar]")), time_column="time [min]")
    assert minutes.safe


@pytest.mark.parametrize("control", ["\x0b", "\x1e", "\x85", "\u2028"])
def test_a_control_character_in_a_head_breaks_no_line(control):
    lines = [f"time {control}x;bag [mbar]", "0;1013", "10;900"]
    assert "\n" not in layout_of(lines, None, None, None).time.head
    assert len(layout_of(lines, None, None, None).time.head.splitlines()) == 1
