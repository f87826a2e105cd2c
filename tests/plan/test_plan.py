"""A plan as a record: its rules, what it lives through, and what a controller is told."""

import csv
import dataclasses
import io

import pytest
from plan_grounds import SHOP_K, stage
from window_jobs import HERE_PA, UP

import outgas
from outgas.errors import InputError
from outgas.plan.plan import Break, Lived
from outgas.show.report import At, Line, bound


@pytest.fixture(scope="module")
def pot():
    shop = outgas.Shop(temperature="22 degC", humidity="50 %", barometer="1013.25 hPa")
    return outgas.schedule(UP, shop, process="degassing")


def made(pot, *stages, **more):
    return dataclasses.replace(pot, stages=stages, **more)


def rows(plan):
    return list(csv.DictReader(io.StringIO(plan.to_csv())))


def test_a_break_rounds_its_pressures_to_less_vacuum():
    broken = Break("cure", Line("needs {}", (At(50010.0),)), (Line("hold {}", (bound(4010.0),)),))
    assert str(broken) == broken.text == "needs 501 mbar"
    assert broken.changes == ("hold 41 mbar",)


def test_a_controller_gets_whole_pascals_on_the_safe_side(pot):
    odd = stage(low_Pa=50000.2, setpoint_Pa=60000.2, high_Pa=70000.8)
    deep = stage(low_Pa=0.0, setpoint_Pa=None, high_Pa=5000.9, start_s=600.0)
    off = stage(vacuum=False, setpoint_Pa=HERE_PA, start_s=1200.0)
    low = stage(low_Pa=60000.5, setpoint_Pa=60000.0, start_s=1800.0)  # within the rounding
    first, second, third, fourth, last = rows(made(pot, odd, deep, off, low))
    columns = ("setpoint_Pa", "never_deeper_Pa", "never_weaker_Pa", "vacuum")
    assert [first[c] for c in columns] == ["60001", "50001", "70000", "1"]
    assert [second[c] for c in columns] == ["", "", "5000", "1"]
    assert [third[c] for c in columns] == ["101325", "101325", "101325", "0"]
    assert [fourth[c] for c in columns[:2]] == ["60001", "60001"]
    assert [last[c] for c in ("time_s", *columns, "stage")] == [
        "2400", "101325", "101325", "101325", "0", "end",
    ]  # fmt: skip


def test_a_plan_is_its_stages_in_order(pot):
    plan = made(pot, stage(name="a", start_s=-60.0), stage(name="b", start_s=540.0))
    assert (len(plan), plan[1].name, [s.name for s in plan[:1]]) == (2, "b", ["a"])
    assert plan.stage("b") is plan[1]
    with pytest.raises(KeyError, match="no stage 'c'; there are a, b"):
        plan.stage("c")
    assert plan.total.m_as("s") == pytest.approx(1200.0)
    assert plan.to_dict()["total_s"] == pytest.approx(1200.0)


def test_a_plan_fits_without_a_break_and_says_when_its_cup_must_be_slow(pot):
    assert pot.fits
    assert pot.fits_if_gel_after is None
    assert not dataclasses.replace(pot, breaks=(Break("a", Line("no"), ()),)).fits
    slow = dataclasses.replace(pot, fits_if_gel_after_s=1200.0, gel_s=900.0, pot_life_s=600.0)
    assert slow.fits_if_gel_after.m_as("min") == pytest.approx(20.0)
    assert slow.gel_time.m_as("min") == pytest.approx(15.0)
    assert slow.pot_life.m_as("min") == pytest.approx(10.0)
    assert pot.gel_time is pot.pot_life is None


def test_what_it_lives_through_stands_in_columns_and_bubbles_need_some(pot):
    lived = (Lived(0.0, SHOP_K, 0.0, 9e4), Lived(60.0, SHOP_K + 1.0, 0.1, 6e4))
    history = dataclasses.replace(pot, lived=lived).history
    assert list(history["time"].m_as("s")) == [0.0, 60.0]
    assert list(history["temperature"].m_as("K")) == [SHOP_K, SHOP_K + 1.0]
    assert list(history["conversion"].m) == [0.0, 0.1]
    assert list(history["pressure"].m_as("Pa")) == [9e4, 6e4]
    assert pot.history["time"].size == 0
    with pytest.raises(InputError, match="no laminate to follow bubbles in"):
        pot.bubbles()
    got = dataclasses.replace(pot, gel_interval_s=(1.0, 2.0), lived=lived).to_dict()
    assert (got["gel_time_low_s"], got["gel_time_high_s"]) == (1.0, 2.0)
    assert got["history"][1]["bag_Pa"] == 6e4
    assert (got["air_left_Pa"], got["air_left_high_Pa"]) == pot.air_left_Pa
