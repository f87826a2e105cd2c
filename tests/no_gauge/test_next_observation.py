"""Which look tells most: information is that of an independent sum, classes are the advice's."""

import numpy as np
import pytest

import outgas
from outgas.no_gauge import next_observation as looks
from outgas.no_gauge import observations as says

UP = "orthophthalic-polyester"


def shop():
    return outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")


@pytest.fixture(scope="module")
def advice():
    return outgas.advise(UP, shop())


@pytest.fixture(scope="module")
def unknown():
    return outgas.BagPressure.unknown(shop().barometer)


def entropy(shares):
    shares = shares[shares > 0.0]
    return float(-(shares * np.log2(shares)).sum())


def test_the_classes_lie_between_boiling_the_debulk_the_deepest_and_the_weakest(advice):
    boil, debulk, deep, weak = looks.boundaries(advice)
    assert boil == advice.bubble_pressure_Pa[1]
    assert debulk == advice.debulk_limit_Pa
    assert (deep, weak) == (advice.deepest_Pa, advice.shallowest_Pa)
    assert boil < debulk < deep < weak


def test_the_bits_of_ice_are_the_mean_fall_of_entropy_over_yes_and_no(advice, unknown):
    """Shannon 1948, summed by hand over the classes."""
    grid = says.grid_of(unknown.barometer_Pa).thinned(looks.THIN)
    w = unknown.weights[:: looks.THIN] / unknown.weights[:: looks.THIN].sum()
    kinds = sum((grid.p > edge).astype(int) for edge in looks.boundaries(advice))
    yes = says.ice(grid, False)
    left = 0.0
    for chance in (yes, 1.0 - yes):
        joint = np.array([(w * chance)[kinds == k].sum() for k in range(5)])
        left += joint.sum() * entropy(joint / joint.sum())
    prior = entropy(np.array([w[kinds == k].sum() for k in range(5)]))
    ice = next(c for c in looks.candidates(unknown, advice) if c.name == "ice")
    assert ice.bits == pytest.approx(prior - left, abs=1e-3)


def test_no_look_tells_more_than_there_is_to_know_nor_less_than_nothing(advice, unknown):
    for bag in (unknown, unknown.saw_boiling("26 degC", chip=True)):
        for look in looks.candidates(bag, advice):
            assert -1e-9 <= look.bits <= np.log2(5.0)


def test_both_ways_with_a_syringe_tell_more_than_one_way_where_the_bag_can_push(advice, unknown):
    weak = unknown.sensor("650 mbar", "100 mbar")
    bits = {c.name: c.bits for c in looks.candidates(weak, advice)}
    assert bits["syringe-both"] > bits["syringe"] > 0.0
    assert set(bits) == {
        *("thermometer", "syringe", "syringe-both", "tube", "pull", "chip", "ice", "vial"),
    }


def test_a_chip_tells_little_of_a_bag_that_is_surely_below_its_floor(advice, unknown):
    deep = unknown.sensor("60 mbar", "10 mbar")
    bits = {c.name: c.bits for c in looks.candidates(deep, advice)}
    assert bits["chip"] < 0.1
    assert bits["thermometer"] > 2.0 * bits["chip"]


def test_only_the_vial_says_how_warm_its_water_is_and_its_title_names_it(advice, unknown):
    found = {c.name: c for c in looks.candidates(unknown, advice)}
    T = found.pop("vial").temperature_K
    assert T in looks.VIAL_K
    assert all(c.temperature_K is None for c in found.values())
    vial = next(c for c in looks.candidates(unknown, advice) if c.name == "vial")
    assert f"{T - 273.15:.0f} degC" in vial.title
    assert "{" not in vial.title


def test_the_best_is_the_quicker_of_two_alike_and_none_where_nothing_is_told(monkeypatch):
    def look(name, bits, minutes):
        return looks.Candidate(name, name, bits, minutes, "", (), "")

    def of(*found):
        monkeypatch.setattr(looks, "candidates", lambda bag, advice: found)
        best = looks.best(None, None)
        return None if best is None else best.name

    assert of(look("slow", 1.0, 9.0), look("quick", 0.96, 2.0)) == "quick"
    assert of(look("slow", 1.0, 9.0), look("quick", 0.94, 2.0)) == "slow"
    assert of(look("slow", 0.021, 9.0)) == "slow"
    assert of(look("slow", 0.019, 9.0)) is None


def test_a_candidate_is_told_in_words_and_in_si():
    made = looks.Candidate("ice", "ice in a vial", 0.456, 7.4, "a vial", ("look",), "it lifts")
    assert str(made) == "ice in a vial: 0.46 bits in about 7 minutes"
    assert made.to_dict()["minutes"] == 7.4
    assert made.to_dict()["recipe"] == ["look"]
