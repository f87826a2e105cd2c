"""A stage as a record: what is held, how warm, and how it is told."""

import dataclasses

import pytest
from plan_grounds import stage
from window_jobs import HERE_PA

from outgas.constants import ZERO_CELSIUS_K
from outgas.plan.stage import span, stage_of, whole_degc


def degc(t):
    return t + ZERO_CELSIUS_K


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
    assert "this does not hold" in hot.to_text(full=True)
    assert "this does not hold" not in warm.to_text(full=True)
    assert not stage(expected_K=999.0).too_warm  # nothing bounds it
    assert stage().warmest == ""
    assert "resin about 22 degC expected" in stage().to_text(full=True)
    assert "resin" not in stage(dry=True, limit_K=None).to_text(full=True)


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
