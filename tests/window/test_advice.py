"""An advice as a record: what is worked out once, what is plain, and what has a unit."""

import dataclasses
import json

import pytest
from window_jobs import CURE, HERE_PA, UP

import outgas
from outgas.physics.chance import Band
from outgas.show.report import Line
from outgas.window.verdict import Verdict


@pytest.fixture(scope="module")
def advice():
    shop = outgas.Shop(temperature="22 degC", humidity="50 %", barometer="1013.25 hPa")
    return outgas.advise(UP, shop)


def test_what_hangs_on_a_layup_is_none_without_one(advice):
    assert advice.gel_time is advice.peak is advice.deepest_over_time is None
    heated = dataclasses.replace(advice, cure=CURE)
    assert heated.gel_time.m_as("min") == pytest.approx(20.0)
    assert heated.peak.m_as("K") == pytest.approx(330.0)
    t, p = heated.deepest_over_time
    assert list(t.m_as("s")) == [0.0, 1500.0]
    assert list(p.m_as("Pa")) == [8000.0, 11000.0]
    assert heated.to_dict()["cure"] == CURE.to_dict()


def test_safe_takes_a_window_and_no_unsafe_verdict(advice):
    good, bad = (Verdict(state, 0.0, 1.0, Line(state)) for state in ("safe", "debulk only"))
    assert advice.verdict is None
    assert advice.safe
    assert dataclasses.replace(advice, verdict=good).safe
    assert not dataclasses.replace(advice, verdict=bad).safe
    shut = dataclasses.replace(advice, setpoint_Pa=None, debulk_Pa=None, verdict=good)
    assert not shut.has_window
    assert not shut.safe
    assert shut.setpoint is shut.debulk is None


def test_quantities_are_the_fields_in_pascals(advice):
    for name in (
        "deepest", "setpoint", "shallowest", "debulk", "resin_pressure", "deepest_no_debulk",
        "deepest_clear",
    ):  # fmt: skip
        assert getattr(advice, name).m_as("Pa") == pytest.approx(getattr(advice, f"{name}_Pa"))
    assert advice.hottest.m_as("K") == pytest.approx(advice.hottest_K)
    for name, fields in (
        ("limits", advice.limits_Pa),
        ("nominal_limits", advice.nominal_limits_Pa),
        ("partial_pressures", advice.partial_pressures_Pa),
    ):
        got = {key: p.m_as("Pa") for key, p in getattr(advice, name).items()}
        assert got == pytest.approx(fields)
    other = dataclasses.replace(advice, limiting="vapour")
    nominal, safe = (p.m_as("Pa") for p in other.interval())
    assert nominal == pytest.approx(advice.nominal_limits_Pa["vapour"])
    assert safe == pytest.approx(advice.limits_Pa["vapour"])


def test_a_dict_is_plain_and_its_ends_stand_under_their_own_names(advice):
    got = dataclasses.replace(
        advice, deepest_if_shut_Pa=9e4, weakest_numbers=(("gas", Band(0.2, 0.1, 0.4), 55.0),),
        water_activity=(0.4, 0.6),
        bubble_pressure_Pa=(2e3, 3e3), boils_in_air_K=(370.0, None),
    ).to_dict()  # fmt: skip
    assert got["deepest_if_shut_Pa"] == 9e4
    weakest = {"name": "gas", "value": 0.2, "low": 0.1, "high": 0.4, "adds_Pa": 55.0}
    assert got["weakest_numbers"] == [weakest]
    voids, bag = advice.expected_voids, got["voids_at_bag"]
    assert got["voids_at_setpoint"] == [voids.nominal, voids.low, voids.high]
    assert (got["look_at_setpoint"], bag) == (advice.look, None)
    assert (got["water_activity_nominal"], got["water_activity_high"]) == (0.4, 0.6)
    assert (got["bubble_pressure_nominal_Pa"], got["bubble_pressure_high_Pa"]) == (2e3, 3e3)
    assert (got["boils_in_air_K"], got["boils_in_air_dry_K"]) == (370.0, None)
    assert json.loads(json.dumps(got)) == got
    for key in ("deepest", "setpoint", "shallowest", "debulk"):
        assert got["dials"][key] == outgas.readings.dial_readings(got[f"{key}_Pa"], HERE_PA)
    assert dataclasses.replace(advice, debulk_Pa=None).to_dict()["dials"]["debulk"] is None
    assert [way["text"] for way in got["alternatives"]] == [w.text for w in advice.alternatives]
