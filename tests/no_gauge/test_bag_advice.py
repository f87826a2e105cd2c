"""What a belief means for a resin: chances, the verdict, and what to look at next."""

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError

UP = "orthophthalic-polyester"
HERE = "1013.25 hPa"


def unknown(barometer=HERE):
    return outgas.BagPressure.unknown(barometer)


def shop():
    return outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")


# For a resin ----------------------------------------------------------------------------------


def test_the_chances_for_a_resin_add_up_and_the_verdict_is_on_the_deep_side():
    bag = unknown(shop().barometer).saw_boiling("26 degC", chip=True)
    got = bag.advise(UP, shop())
    advice = outgas.advise(UP, shop())
    assert got.too_deep == pytest.approx(bag.chance_below(advice.deepest), abs=1e-9)
    assert got.boils == pytest.approx(bag.chance_under(advice.bubble_pressure_Pa[1]))
    assert got.boils <= got.debulk_too_deep <= got.too_deep
    assert got.in_window + got.too_deep + got.too_weak == pytest.approx(1.0)
    assert got.state == "boiling"
    assert not got.safe


@pytest.mark.parametrize(
    ("see", "state"),
    [
        (lambda b: b.sensor("15 mbar", "5 mbar"), "boiling"),
        (lambda b: b.sensor("70 mbar", "5 mbar").sensor("70 mbar", "5 mbar"), "inside margin"),
        (lambda b: b.sensor("400 mbar", "5 mbar").sensor("400 mbar", "5 mbar"), "debulk only"),
        (lambda b: b.sensor("655 mbar", "10 mbar"), "safe"),
        (lambda b: b.sensor("800 mbar", "10 mbar"), "too weak"),
        (lambda b: b.sensor("535 mbar", "10 mbar"), "cannot tell"),
        (lambda b: b, "cannot tell"),
    ],
)
def test_the_verdict_names_the_deeper_side(see, state):
    assert see(unknown(shop().barometer)).advise(UP, shop()).state == state


@given(extra=st.floats(1.0, 3.0))
def test_a_wider_error_never_makes_it_safer(extra):
    start = unknown(shop().barometer)
    sharp = start.sensor("655 mbar", "10 mbar").advise(UP, shop())
    blunt = start.sensor("655 mbar", f"{10 * extra} mbar").advise(UP, shop())
    assert blunt.too_deep >= sharp.too_deep - 1e-9


def test_a_contradiction_is_never_safe():
    start = unknown(shop().barometer)
    torn = start.sensor("655 mbar", "10 mbar").sensor("300 mbar", "10 mbar")
    assert torn.contradictions
    assert torn.advise(UP, shop()).state == "cannot tell"


def test_a_belief_made_elsewhere_is_refused():
    with pytest.raises(InputError, match="begin with BagPressure"):
        unknown("845 hPa").advise(UP, shop())
    with pytest.raises(InputError, match="leave it out"):
        unknown(shop().barometer).advise(UP, shop(), bag_pressure="60 mbar")


# What to look at next -------------------------------------------------------------------------


def test_the_next_observation_is_the_one_that_tells_most_and_has_a_recipe():
    bag, advice = unknown(shop().barometer), outgas.advise(UP, shop())
    ranked = bag.observations(advice)
    assert len(ranked) == 8
    assert [c.bits for c in ranked] == sorted((c.bits for c in ranked), reverse=True)
    best = bag.next_observation(advice)
    assert best.bits >= 0.95 * ranked[0].bits
    assert len(best.recipe) >= 1
    assert best.needs
    assert best.misleads
    assert all(0.0 <= c.bits < 2.4 for c in ranked)  # five classes
    (vial,) = (c for c in ranked if c.temperature_K is not None)
    assert f"a vial of water at {vial.temperature_K - 273.15:.0f} degC in" in vial.title
    assert not any("{" in c.title for c in ranked)


def test_what_has_settled_it_leaves_nothing_worth_looking_at():
    advice = outgas.advise(UP, shop())
    bag = unknown(shop().barometer)
    for _ in range(6):
        bag = bag.sensor("655 mbar", "4 mbar")
    best = bag.next_observation(advice)
    assert best is None or best.bits < 0.2


def test_the_expected_bits_are_what_the_observations_bring_on_average():
    """Against a direct count: draw a pressure, observe, measure the fall of the entropy."""
    from outgas.physics import chance

    bag, advice = unknown(shop().barometer), outgas.advise(UP, shop())
    told = {c.name: c.bits for c in bag.observations(advice)}
    edges = np.array(
        [
            advice.bubble_pressure_Pa[1],
            advice.debulk_limit_Pa,
            advice.deepest_Pa,
            advice.shallowest_Pa,
        ]
    )

    def entropy(b):
        at = np.array([0.0, *(b.chance_under(e) for e in edges), 1.0])
        return chance.bits(np.diff(at))

    rng = np.random.default_rng(2)
    before, gained = entropy(bag), []
    for _ in range(600):
        p = 10.0 * (bag.barometer_Pa / 10.0) ** rng.random()
        wrong = rng.random() < 0.02
        X = (10.0 * (bag.barometer_Pa / 10.0) ** rng.random()) if wrong else p
        seen = X + rng.uniform(30.0, 320.0) + rng.normal(0.0, np.hypot(0.02 * X, 0.004 * 1e5))
        ratio = float(np.clip(seen / bag.barometer_Pa, 1e-4, 1.0))
        after = bag.inverted_tube("1 m", f"{ratio} m")
        gained.append(before - entropy(after))
    assert np.mean(gained) == pytest.approx(told["tube"], abs=0.12)


def test_in_doubt_the_advice_is_to_let_air_in():
    said = unknown(shop().barometer).advise(UP, shop())
    assert said.state == "cannot tell"
    assert (
        said.to_text(full=True)
        .splitlines()[2]
        .startswith("Until that is known let air in at the pump")
    )


def prepreg(bag, resin="autoclave-epoxy-prepreg", humidity="20 %"):
    room = outgas.Shop(temperature="22 degC", humidity=humidity, altitude="20 m")
    return bag(unknown(room.barometer)).advise(resin, room, process="prepreg")


def test_a_prepreg_is_safe_only_where_the_bag_is_surely_deep():
    assert prepreg(lambda b: b).state == "cannot tell"
    assert prepreg(lambda b: b.ice_formed()).state == "safe"
    assert prepreg(lambda b: b.sensor("300 mbar", "10 mbar")).state == "too weak"
    wet = prepreg(lambda b: b.ice_formed(), "out-of-autoclave-epoxy-prepreg", "60 %")
    assert not wet.safe
    assert "let air in" not in str(wet).lower()
    assert "no bag pressure mends it" in str(wet).splitlines()[2]


def test_pressing_has_no_bag_to_judge():
    with pytest.raises(InputError, match="pressing has no bag"):
        unknown(shop().barometer).advise("epoxy-laminating", shop(), process="pressing")


def test_where_no_vacuum_is_safe_no_dial_is_read_backwards():
    said = unknown(shop().barometer).advise("resole-phenolic", shop(), process="infusion")
    first = said.to_text(full=True).splitlines()[0]
    assert "no vacuum at all is safe" in first
    assert "-" not in first


def test_the_advice_on_a_bag_in_words_and_as_json():
    said = unknown(shop().barometer).saw_boiling("26 degC").advise(UP, shop())
    first, second, third = said.to_text(full=True).splitlines()[:3]
    assert first.startswith("Your bag: ")
    assert second.startswith("Chance that it boils")
    assert "Look next at" in third
    assert third.startswith("Let air in at the pump first")
    for words in ("peroxide last", "safety data sheet", "no glass", "water only"):
        assert words in said.to_text(full=True).replace("\n    ", " ")
    got = json.loads(said.to_json())
    assert got["state"] == said.state
    assert got["chance_boils"] == pytest.approx(said.boils)
    assert len(got["observations"]) == 8


def test_where_two_observations_fight_the_advice_is_to_let_air_in_whatever_the_chances_say():
    bag = outgas.BagPressure.unknown(shop().barometer).plate_lifts("1.15 kg", "20 mm")
    torn = bag.syringe("1 ml", "1.45 ml", "1.62 ml").sensor("300 mbar", "0.2 mbar")
    said = torn.advise(UP, shop())
    assert said.state == "cannot tell"
    assert said.too_deep < 0.05  # two against one, but the one may be right
    assert "let air in at the pump: it may be too deep" in said.to_text(full=True)
