"""The records of a diagnosis: rounding, units at the door, and what is written down."""

import pytest
from white_laminates import EP, UP, why

import outgas
from outgas.diagnosis.diagnosis import Change
from outgas.show.report import Line


def test_pressures_in_a_script_are_rounded_to_less_vacuum_too():
    change = outgas.diagnosis.diagnosis.Change.to("hold {}, never below {}", 47730.0, 30000.0)
    assert str(change) == "hold 478 mbar, never below 300 mbar"
    assert str(outgas.diagnosis.case.told("{}", 1520.0)) == "16 mbar"


def test_a_change_sets_the_pressures_it_names_in_their_order():
    change = Change.to("from {} to {}", 20010.0, 45000.0)
    assert change.pressures_Pa == (20010.0, 45000.0)
    assert change.text == "from {} to {}"
    assert str(change) == "from 201 mbar to 450 mbar"
    assert Change(Line("a way out")).pressures_Pa == ()


def test_a_cause_that_is_ruled_out_is_none_and_has_its_reason():
    got = why(UP)
    assert got.cause("mat-binder") is None
    assert got.impossible["mat-binder"]
    assert got.cause(got.causes[1].name) is got.causes[1]
    assert got.leading is got.causes[0]
    assert got.leading.probability == max(c.probability for c in got.causes)


def test_radii_have_units_and_a_film_has_none():
    got = why(EP)
    film = got.cause("blushed-surface")
    assert film.radius is None
    assert film.to_dict()["radius_m"] is None
    air = got.cause("dissolved-air")
    low, high = air.radius
    assert (low.m_as("um"), high.m_as("um")) == pytest.approx(tuple(r * 1e6 for r in air.radius_m))
    assert low < high


def test_what_is_written_down_is_what_was_found():
    got = why(UP, {"where": "on strands"}, bag_pressure="60 mbar", reads_with="sensor 5 mbar")
    told = got.to_dict()
    assert told["bag_low_Pa"] < 60e2 < told["bag_high_Pa"]
    assert told["unlisted_probability"] == got.unlisted
    assert sum(c["probability"] for c in told["causes"]) + got.unlisted == pytest.approx(1.0)
    assert told["of_bag"] == [{"bag_Pa": p, "agreement": a} for p, a in got.of_bag]
    assert told["seen"] == {"where": "on strands"}
    assert told["ask"]["bits"] == got.ask.bits
    assert told["bag"] == got.bag_text
    assert told["cautions"] == list(got.cautions)
    assert told["assumptions"] == list(got.assumptions)
    first, record = told["causes"][0], got.leading
    assert first["evidence_for"] == list(record.evidence_for)
    assert first["evidence_against"] == list(record.evidence_against)
    assert first["void_fraction"] == list(record.void)
    assert [c["text"] for c in first["change"]] == [str(c) for c in record.change]
    assert [c["along"] for c in first["change"]] == [c.along for c in record.change]
    assert {"", "debulk"} < {c.along for cause in got.causes for c in cause.change}
    assert told["version"] == 2


def test_a_question_says_its_answers_and_a_bag_pressure_as_a_line():
    ask = why(UP, {"degassed": "no"}, bag_pressure="very good bag").ask
    assert str(ask) == f"{ask.text} ({' / '.join(ask.points)})"
    assert ask.question == "bag pressure"
    for answer in ask.points:
        assert ask.answer(answer).pressures
    assert str(ask.answer("none of these")) == "none of these"


def test_evidence_is_told_in_mbar_until_a_dial_is_chosen():
    got = why(UP, bag_pressure="20 mbar")
    boils = got.cause("resin-boiling")
    assert " mbar" in boils.acts
    assert "{}" not in boils.acts + "".join(boils.evidence_for + boils.evidence_against)
