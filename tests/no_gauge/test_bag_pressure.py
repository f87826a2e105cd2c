"""The belief that a builder keeps: what it adds to a belief, and that it stays what it is."""

import pytest

import outgas
from outgas.errors import InputError
from outgas.no_gauge.bag_advice import BagAdvice
from outgas.no_gauge.words import bag_report, belief_report

UP = "orthophthalic-polyester"


def shop():
    return outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")


def unknown():
    return outgas.BagPressure.unknown(shop().barometer)


def test_it_tells_of_itself_as_a_belief_and_on_a_dial():
    bag = unknown().sensor("60 mbar", "2 mbar")
    assert bag.to_text(full=True) == belief_report(bag).text(None)
    assert bag.to_text("bar", full=True) == belief_report(bag).text("bar")
    assert bag.to_text("bar", full=True) != bag.to_text(full=True)


def test_an_observation_keeps_it_a_bag_pressure_and_leaves_the_old_one():
    bag = unknown()
    seen = bag.saw_boiling("26 degC", chip=True)
    assert isinstance(seen, outgas.BagPressure)
    assert (len(bag.evidence), len(seen.evidence)) == (0, 1)
    assert seen.pressure_at(0.5) < bag.pressure_at(0.5)


def test_what_it_advises_is_of_this_bag_and_with_what_was_asked():
    bag = unknown().sensor("655 mbar", "5 mbar")
    said = bag.advise(UP, shop(), void_target="2 %")
    advice = outgas.advise(UP, shop(), void_target="2 %")
    assert isinstance(said, BagAdvice)
    assert said.bag is bag
    assert said.advice.deepest_Pa == advice.deepest_Pa
    assert said.too_deep == pytest.approx(bag.chance_under(advice.deepest_Pa))
    strict = bag.advise(UP, shop(), void_target="0.5 %")
    assert strict.advice.deepest_Pa > advice.deepest_Pa
    assert strict.too_deep >= said.too_deep
    assert said.to_text(full=True) == bag_report(said).text(None)


def test_the_bag_cannot_be_told_twice_nor_be_elsewhere():
    with pytest.raises(InputError, match="bag_pressure is what the belief stands for"):
        unknown().advise(UP, shop(), bag_pressure="60 mbar")
    with pytest.raises(InputError, match="barometer of 900 mbar, the shop's is"):
        outgas.BagPressure.unknown("900 mbar").advise(UP, shop())


def test_observations_are_ranked_and_the_next_is_among_the_best_and_quickest():
    bag, advice = unknown(), outgas.advise(UP, shop())
    looks = bag.observations(advice)
    bits = [look.bits for look in looks]
    assert len(looks) == 8
    assert bits == sorted(bits, reverse=True)
    chosen = bag.next_observation(advice)
    assert chosen in looks
    assert chosen.bits >= 0.95 * bits[0]
    assert chosen.minutes == min(look.minutes for look in looks if look.bits >= 0.95 * bits[0])


def test_a_bag_that_is_known_has_no_next_observation():
    advice = outgas.advise(UP, shop())
    known = unknown()
    for _ in range(9):  # half way between deepest and shallowest
        known = known.sensor("649 mbar", "4 mbar")
    assert known.next_observation(advice) is None
    assert len(known.observations(advice)) == 8
