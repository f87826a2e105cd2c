"""The rows of a log: whatever a logger writes in one is read, or counted as not."""

import math

import pytest

from outgas.bag_log.columns import Column, Layout
from outgas.bag_log.rows import Rows


def rows_of(*lines, delimiter=",", comma=False, temperature=True):
    probe = Column("T", 2, "C") if temperature else None
    layout = Layout(delimiter, comma, 1, Column("t", 0, "s"), Column("p", 1, "mbar"), probe)
    rows = Rows(layout)
    rows.feed(lines)
    return rows


def columns(rows):
    return [a.tolist() for a in rows.arrays()]


def test_numbers_are_read_as_they_stand_the_first_row_as_the_others():
    rows = rows_of("0,1013,21", "10,900.5,22", "20,90,23.5")
    assert columns(rows) == [[0.0, 10.0, 20.0], [1013.0, 900.5, 90.0], [21.0, 22.0, 23.5]]
    assert (rows.kind, rows.unreadable, rows.nights) == ("number", 0, 0)


def test_a_decimal_comma_is_a_point_in_every_row():
    rows = rows_of("0,5;1013,2;21", "1,5;900,5;22,5", delimiter=";", comma=True)
    assert columns(rows) == [[0.5, 1.5], [1013.2, 900.5], [21.0, 22.5]]


def test_without_a_probe_there_is_no_temperature():
    _, _, T = columns(rows_of("0,1013", "10,900", temperature=False))
    assert all(math.isnan(x) for x in T)


@pytest.mark.parametrize("bad", ["", "x", "nan", "inf", "1e400"])
def test_a_pressure_that_is_no_number_leaves_its_row_and_is_counted(bad):
    rows = rows_of("0,1013,21", f"10,{bad},22", "20,90,23")
    t, p, T = columns(rows)
    assert t == [0.0, 10.0, 20.0]
    assert math.isnan(p[1])
    assert T[1] == 22.0
    assert rows.unreadable == 1


@pytest.mark.parametrize("bad", ["", "x", "nan", "inf"])
def test_a_row_whose_time_is_none_is_left_out_and_counted(bad):
    rows = rows_of("0,1013,21", f"{bad},900,22", "20,90,23")
    assert columns(rows)[0] == [0.0, 20.0]
    assert rows.unreadable == 1


def test_a_broken_probe_spoils_its_own_reading_alone():
    rows = rows_of("0,1013,21", "10,900,---", "20,90,inf")
    _, p, T = columns(rows)
    assert p == [1013.0, 900.0, 90.0]
    assert [math.isnan(x) for x in T] == [False, True, True]
    assert rows.unreadable == 0


def test_a_row_cut_short_is_counted_and_an_empty_one_is_none():
    rows = rows_of("0,1013,21", "10,900", "", "  ", "20,90,23")
    assert columns(rows)[0] == [0.0, 20.0]
    assert rows.unreadable == 1


def test_stamps_are_seconds_from_the_first_and_one_that_is_none_is_counted():
    rows = rows_of("2025-05-01 23:59:50,1013,21", "2025-05-02 00:00:10,900,22", "later,90,23")
    assert columns(rows)[0] == [0.0, 20.0]
    assert (rows.kind, rows.unreadable) == ("stamp", 1)
    zoned = rows_of("2025-05-01 12:00:00,1013,21", "2025-05-01 12:00:10+02:00,900,22")
    assert columns(zoned)[0] == [0.0]
    assert zoned.unreadable == 1


def test_a_clock_goes_on_past_midnight():
    rows = rows_of("23:59:50,1013,21", "00:00:10,900,22", "00:00:30,90,23")
    t = columns(rows)[0]
    assert [x - t[0] for x in t] == [0.0, 20.0, 40.0]
    assert (rows.kind, rows.nights) == ("clock", 1)
    back = rows_of("12:00:00,1013,21", "11:59:00,900,22")  # set back, not a night
    assert back.nights == 0


def test_of_nothing_there_are_empty_columns():
    assert columns(rows_of()) == [[], [], []]


@pytest.mark.parametrize("bad", ["1e308", "-1e305"])
def test_a_number_beyond_all_use_is_none(bad):
    rows = rows_of("0,1013,21", f"{bad},900,22", f"10,{bad},23", f"20,90,{bad}")
    t, p, T = columns(rows)
    assert t == [0.0, 10.0, 20.0]
    assert math.isnan(p[1])
    assert math.isnan(T[2])
    assert rows.unreadable == 2
