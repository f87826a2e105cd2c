"""Answers are equal when equal, survive pickle, and are shown briefly."""

import pickle

import pytest

import outgas

SHOP = outgas.Shop(temperature="22C", humidity="50%")
LAYUP = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
UP = "orthophthalic-polyester"


def bag(temperature):
    return outgas.BagPressure.unknown(SHOP.barometer).saw_boiling(temperature)


# Each answer, and one that is not quite it.
MADE = {
    "advice": (lambda: outgas.advise(UP, SHOP), lambda: outgas.advise(UP, SHOP, void_target="3%")),
    "schedule": (
        lambda: outgas.schedule(UP, SHOP, layup=LAYUP),
        lambda: outgas.schedule(UP, SHOP, layup=LAYUP, wet_out="5 min"),
    ),
    "diagnosis": (
        lambda: outgas.diagnose(UP, SHOP),
        lambda: outgas.diagnose(UP, SHOP, seen={"bubbles": "fine"}),
    ),
    "bag": (lambda: bag("30C"), lambda: bag("31C")),
    "judged": (lambda: bag("30C").advise(UP, SHOP), lambda: bag("31C").advise(UP, SHOP)),
}


@pytest.mark.parametrize("name", MADE)
def test_two_answers_to_one_question_are_equal_and_to_two_are_not(name):
    make, other = MADE[name]
    one, again, apart = make(), make(), other()
    assert one == again
    assert hash(one) == hash(again)
    assert one != apart
    assert one != one.to_dict()


@pytest.mark.parametrize("name", MADE)
def test_an_answer_survives_pickle_with_what_it_says(name):
    one = MADE[name][0]()
    again = pickle.loads(pickle.dumps(one))
    assert again == one
    assert str(again) == str(one)
    assert again.to_dict() == one.to_dict()


@pytest.mark.parametrize("name", ["advice", "schedule", "diagnosis", "bag"])
def test_an_answer_is_shown_on_one_short_line(name):
    one = MADE[name][0]()
    assert repr(one).startswith(f"{type(one).__name__}(")
    assert len(repr(one)) < 200
    assert "\n" not in repr(one)


def test_an_advice_is_shown_with_what_it_advises():
    advice = outgas.advise(UP, SHOP)
    assert f"setpoint_Pa={advice.setpoint_Pa:.6g}" in repr(advice)
    assert f"deepest_Pa={advice.deepest_Pa:.6g}" in repr(advice)
