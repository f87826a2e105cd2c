"""A stage and a plan as records: what is held, rounded and told to a controller."""

import csv
import dataclasses
import io

import pytest
from plan_grounds import SHOP_K, stage
from window_jobs import HERE_PA, UP

import outgas
from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.plan.stage import Break, span, stage_of, whole_degc
from outgas.show.report import At, Line, bound


def degc(t):
    return t + ZERO_CELSIUS_K


@pytest.fixture(scope="module")
def pot():
    shop = outgas.Shop(temperature="22 degC", humidity="50 %", barometer="1013.25 hPa")
    return outgas.schedule(UP, shop, process="degassing")


def made(pot, *stages, **more):
    return dataclasses.replace(pot, stages=stages, **more)


def rows(plan):
    return list(csv.DictReader(io.StringIO(plan.to_csv())))


@pytest.mark.parametrize(
    ("changes", "holds", "held"),
    [
        ({}, "a band", "600 mbar; never deeper than 500 mbar, never weaker than 700 mbar"),
        ({"vacuum": False}, "nothing", "no vacuum"),
        ({"low_Pa": HERE_PA}, "nothing", "no vacuum"),
        ({"high_Pa": HERE_PA}, "a band", "600 mbar; never deeper than 500 mbar"),
        (
            {"low_Pa": 0.0, "setpoint_Pa": None, "high_Pa": 5090.0},
            "the pump's end",
            "as deep as the pump goes, 50 mbar or deeper",
        ),
        (
            {"low_Pa": 0.0, "high_Pa": HERE_PA},
            "until cold",
            "vacuum on until it is cold, then off",
        ),
        (
            {"setpoint_Pa": 60010.0, "low_Pa": 50010.0, "high_Pa": 70090.0},
            "a band",
            "601 mbar; never deeper than 501 mbar, never weaker than 700 mbar",
        ),
    ],
)
def test_what_is_held_follows_from_the_band(changes, holds, held):
    assert stage(**changes).holds == holds
    assert str(stage(**changes).held) == held


def test_a_cap_is_told_down_to_a_whole_degree_and_half_a_kelvin_over_it_is_forgiven():
    assert whole_degc(degc(26.99)) == "26 degC"
    assert whole_degc(degc(27.0)) == "27 degC"
    assert whole_degc(degc(-0.5)) == "-1 degC"
    warm = stage(limit_K=300.0, expected_K=300.4)
    assert not warm.too_warm
    hot = dataclasses.replace(warm, expected_K=300.6)
    assert hot.too_warm
    assert "this does not hold" in hot.to_text()
    assert "this does not hold" not in warm.to_text()
    assert not stage(expected_K=999.0).too_warm  # nothing bounds it
    assert stage().warmest == ""
    assert "resin about 22 degC expected" in stage().to_text()
    assert "resin" not in stage(dry=True, limit_K=None).to_text()


def test_short_spans_are_told_in_seconds():
    assert span(89.0) == "89 s"
    assert span(90.0) == "2 min"
    assert span(3600.0 * 3) == "3.0 h"


def test_a_stage_ends_after_it_lasted_and_shows_its_quantities():
    one = stage(start_s=-300.0, duration_s=600.0, limit_K=310.0)
    assert one.end_s == 300.0
    assert one.start.m_as("min") == pytest.approx(-5.0)
    assert one.duration.m_as("min") == pytest.approx(10.0)
    assert [p.m_as("mbar") for p in one.pressure] == pytest.approx([500.0, 700.0])
    assert one.setpoint.m_as("mbar") == pytest.approx(600.0)
    assert one.temperature_limit.m_as("K") == pytest.approx(310.0)
    assert stage(setpoint_Pa=None).setpoint is stage().temperature_limit is None
    assert one.lines[0].text.startswith("    -5:00  hold to the gel, 10 min: ")
    got = stage(dry=True).to_dict()
    assert got["resin_present"] is False
    assert (got["pressure_low_Pa"], got["pressure_high_Pa"]) == (50000.0, 70000.0)


def test_the_first_stage_of_a_kind_is_found():
    found = [stage(kind="fill", name="a"), stage(name="b"), stage(name="c")]
    assert stage_of(found, "heat", "hold").name == "b"
    assert stage_of(found, "debulk") is None


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
    lived = ((0.0, SHOP_K, 0.0, 9e4), (60.0, SHOP_K + 1.0, 0.1, 6e4))
    history = dataclasses.replace(pot, history_rows=lived).history
    assert list(history["time"].m_as("s")) == [0.0, 60.0]
    assert list(history["temperature"].m_as("K")) == [SHOP_K, SHOP_K + 1.0]
    assert list(history["conversion"].m) == [0.0, 0.1]
    assert list(history["pressure"].m_as("Pa")) == [9e4, 6e4]
    assert pot.history["time"].size == 0
    with pytest.raises(InputError, match="no laminate to follow bubbles in"):
        pot.bubbles()
    got = dataclasses.replace(pot, gel_interval_s=(1.0, 2.0), history_rows=lived).to_dict()
    assert (got["gel_time_low_s"], got["gel_time_high_s"]) == (1.0, 2.0)
    assert got["history"][1]["bag_Pa"] == 6e4
    assert (got["air_left_Pa"], got["air_left_high_Pa"]) == pot.air_left_Pa
