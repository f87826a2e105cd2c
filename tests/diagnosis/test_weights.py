"""How answers weigh: Bayes by hand on causes of the table."""

import math

import pytest
from white_laminates import EP, why

import outgas
from outgas.diagnosis.case import Gate
from outgas.diagnosis.weights import (
    Entry,
    chances,
    leads_clearly,
    likelihood,
    posterior,
    ranked,
    weight_of_unlisted,
)
from outgas.tables import catalogue


def test_a_cause_outside_the_list_keeps_a_chance():
    got = why(EP, {"where": "near edges", "appeared": "as it cooled", "tap": "sound"})
    assert got.unlisted > why(EP, {"where": "on strands"}).unlisted


def test_a_resin_that_makes_its_own_gas_leaves_more_outside_the_list():
    foam = why("polyurethane-infusion", process="infusion", bag_pressure="100 mbar")
    epoxy = why("epoxy-infusion", process="infusion", bag_pressure="100 mbar")
    assert foam.unlisted > 3.0 * epoxy.unlisted
    assert any("carbon dioxide" in line for line in foam.assumptions)


def entry(name, weight):
    return Entry(catalogue.signs().cause[name], Gate(1.0), weight)


BOILING, AIR, LEAK = (entry("resin-boiling", 0.4), entry("dissolved-air", 0.4), entry("leak", 0.2))


def test_without_an_answer_the_weights_are_the_shares():
    found, unlisted = posterior([BOILING, AIR, LEAK], {}, 1.0, 0.25)
    assert found == pytest.approx({"resin-boiling": 0.32, "dissolved-air": 0.32, "leak": 0.16})
    assert unlisted == pytest.approx(0.2)
    assert likelihood([BOILING, AIR, LEAK], {}, 1.0, 0.25) == pytest.approx(1.25)


def test_the_chances_of_a_questions_answers_sum_to_one_and_stand_as_its_weights():
    questions, weight = catalogue.signs().question, catalogue.signs().weight
    for trust in (0.5, 1.0):
        found = chances(LEAK.cause, questions["gauge"], trust)
        assert sum(found.values()) == pytest.approx(1.0)
        ratio = (weight.typical.si / weight.hardly.si) ** trust
        assert found["fell back"] / found["held"] == pytest.approx(ratio)
    nobody = chances(None, questions["gauge"], 1.0)
    assert list(nobody.values()) == pytest.approx([1.0 / len(nobody)] * len(nobody))


def test_each_answer_multiplies_the_odds_by_its_chances():
    seen, questions = {"gauge": "fell back", "tap": "sound"}, catalogue.signs().question
    found, unlisted = posterior([BOILING, LEAK], seen, 0.7, 0.1)

    def product(cause, weight):
        return weight * math.prod(chances(cause, questions[q], 0.7)[a] for q, a in seen.items())

    by_hand = [product(BOILING.cause, 0.4), product(LEAK.cause, 0.2), product(None, 0.1)]
    whole = sum(by_hand)
    assert [*found.values(), unlisted] == pytest.approx([x / whole for x in by_hand])
    assert likelihood([BOILING, LEAK], seen, 0.7, 0.1) == pytest.approx(whole)


def test_the_likeliest_stands_first_and_equals_by_name():
    assert ranked({"b": 0.2, "a": 0.2, "c": 0.6}) == [("c", 0.6), ("a", 0.2), ("b", 0.2)]


def test_a_lead_is_clear_only_when_likely_far_ahead_and_ahead_of_the_unlisted():
    weight = catalogue.signs().weight
    lead, enough = weight.clear_lead.si, weight.enough.si

    def clear(first, second, unlisted=1e-6):
        return leads_clearly([entry("leak", first), entry("starved", second)], {}, unlisted)

    assert clear(1.01 * lead, 1.0)
    assert not clear(0.99 * lead, 1.0)
    assert clear(1.0, 1e-9, unlisted=0.99)
    assert not clear(1.0, 1e-9, unlisted=1.01)
    names = ("starved", "moisture", "bridging", "shrinkage", "core-gas", "mat-binder")
    for share, likely in ((1.02 * enough, True), (0.98 * enough, False)):
        each = (1.0 / share - 1.0) / len(names)
        assert lead * each < 1.0  # far enough ahead of each, whatever they are together
        many = [entry("leak", 1.0), *(entry(name, each) for name in names)]
        assert leads_clearly(many, {}, 1e-9) is likely


def test_one_cause_alone_leads_where_it_is_likely():
    assert leads_clearly([LEAK], {}, 1e-3)
    assert not leads_clearly([LEAK], {}, 1.0)


def test_no_lead_is_clear_that_turns_with_how_far_the_answers_are_trusted():
    """A small cause that the answer speaks for: it leads at full trust only."""
    weight, seen = catalogue.signs().weight, {"gauge": "held"}
    questions = catalogue.signs().question

    def odds(trust):
        return math.prod(
            chances(c, questions["gauge"], trust)["held"] ** n
            for c, n in ((AIR.cause, 1), (LEAK.cause, -1))
        )

    assert odds(weight.trust.low_si) < odds(weight.trust.high_si)
    between = math.sqrt(odds(weight.trust.low_si) * odds(weight.trust.si))
    assert not leads_clearly([entry("dissolved-air", 1.0), entry("leak", between)], seen, 1e-9)


def test_a_resin_with_gas_of_its_own_weighs_the_unlisted_by_that():
    weight = catalogue.signs().weight
    assert weight_of_unlisted(outgas.resin("polyurethane-infusion")) == weight.own_gas.si
    assert weight_of_unlisted(outgas.resin("epoxy-infusion")) == weight.unlisted.si
    assert weight.own_gas.si > weight.unlisted.si
