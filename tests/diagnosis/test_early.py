"""What was done before the cure, what the mat was, and what the next laminate is to be."""

import pytest
from white_laminates import EP, SHOP, UP, VE, gate, inspected, p, said, why

import outgas
from outgas.diagnosis.next_question import _applies
from outgas.errors import InputError
from outgas.tables import catalogue


def test_a_debulk_speaks_for_a_dry_weave_and_against_the_air():
    seen = {"where": "on strands", "bubbles": "fine"}
    at = {"bag_pressure": "450 mbar"}
    yes, none, unsaid = (
        why(UP, {**seen, **({"debulk": said} if said else {})}, **at)
        for said in ("yes", "none", "")
    )
    assert p(yes, "dissolved-air") < 0.3 * p(unsaid, "dissolved-air") < p(unsaid, "dissolved-air")
    assert p(none, "dissolved-air") > p(unsaid, "dissolved-air")
    # against a cause that an early debulk says nothing of
    bled = [p(got, "starved") / p(got, "shrinkage") for got in (yes, unsaid, none)]
    assert bled[0] > bled[1] > bled[2]
    assert any("debulked at 90 mbar first" in line for line in yes.assumptions)
    assert any(line == "straight to the bag's pressure" for line in none.assumptions)
    assert any("no debulk being spoken of" in line for line in unsaid.assumptions)


def test_a_debulk_is_asked_for_where_it_separates_the_two_and_only_of_a_layup():
    question = catalogue.signs().question["debulk"]
    assert _applies(question, inspected())
    assert not _applies(question, inspected(process="infusion"))
    assert set(outgas.questions()["debulk"]) == {"yes", "none"}
    causes = catalogue.signs().cause
    assert causes["dissolved-air"].sign_of("debulk").fits == ("none",)


def test_a_flag_that_an_answer_denies_is_refused_and_else_it_is_that_answer():
    for asked, seen in (
        ({"no_debulk": True}, {"debulk": "yes"}),
        ({"low_gas_initiator": True}, {"initiator": "ordinary ketone peroxide"}),
    ):
        with pytest.raises(InputError, match="drop one"):
            why(VE, seen, **asked)
    assert why(UP, no_debulk=True).seen["debulk"] == "none"
    assert why(VE, low_gas_initiator=True).seen["initiator"] == "low hydrogen peroxide"
    assert "debulk" not in why(UP).seen


def test_the_binder_of_the_mat_is_told_by_its_kind():
    seen = {"where": "along mat fibres"}
    unsaid = p(why(EP, seen), "mat-binder")
    emulsion, powder, made_for_it = (
        p(why(EP, {**seen, "mat binder": kind}), "mat-binder")
        for kind in ("emulsion", "powder", "made for epoxy")
    )
    assert emulsion > powder > made_for_it
    assert emulsion > unsaid
    bound = gate("mat-binder", EP, {"mat binder": "powder"})
    assert bound.room == 1.0 > gate("mat-binder", EP).room  # a bound mat there was
    assert "bound mat" in said(bound.pros)
    assert why(UP, {**seen, "mat binder": "emulsion"}).cause("mat-binder") is None


def test_what_the_next_laminate_is_to_be_sets_where_it_is_held():
    for asked in (
        {"finish": "clear", "trapped": "3 %", "connected": "90 %"},
        {"void_target": "1 %"},
        {"trapped": "3 %"},
        {"connected": "1"},
    ):
        advice = outgas.advise(UP, outgas.Shop(**SHOP), **asked)
        found = why(UP, bag_pressure="60 mbar", **asked)
        held = [x for c in found.cause("dissolved-air").change for x in c.pressures_Pa]
        assert advice.setpoint_Pa in held, asked
    plain = outgas.advise(UP, outgas.Shop(**SHOP)).setpoint_Pa
    assert plain not in held
