"""A belief goes to a dict and back by looking again."""

import json
import pickle

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, UnknownNameError

BAG = outgas.BagPressure.unknown("1013 mbar")
SHOP = outgas.Shop(temperature="22 degC", humidity="50 %")
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag"


def white():
    return outgas.diagnose("epoxy-laminating", SHOP, seen={"where": "on strands"})


LOOKS = {
    "saw_boiling": lambda bag: bag.saw_boiling("77F", chip=True),
    "stayed_quiet": lambda bag: bag.stayed_quiet("43C"),
    "fell_quiet": lambda bag: bag.fell_quiet(outgas.Quantity(30.0, "degC")),
    "boiling_thermometer": lambda bag: bag.boiling_thermometer("38 C", depth="30 mm"),
    "ice_formed": lambda bag: bag.ice_formed(bleeding=True),
    "syringe": lambda bag: bag.syringe("1 ml", "1.5 ml", "1.7 ml"),
    "inverted_tube": lambda bag: bag.inverted_tube("200 mm", "20 mm"),
    "pull": lambda bag: bag.pull("15 kg", "50 mm"),
    "plate_lifts": lambda bag: bag.plate_lifts("1.15 kg", "20 mm"),
    "sensor": lambda bag: bag.sensor("28 inHg vacuum", "25 mbar", floor="20 mbar"),
    "went_milky": lambda bag: bag.went_milky("orthophthalic-polyester", "26C"),
    "saw_white": lambda bag: bag.saw_white(white()),
    "pump": lambda bag: bag.pump(RIG),
    "saw": lambda bag: bag.saw("guess", "not deep", np.linspace(0.0, 1.0, bag.weights.size)),
}


@pytest.mark.parametrize("method", LOOKS)
def test_each_look_is_taken_in_again_from_json(method):
    bag = LOOKS[method](BAG)
    told = json.loads(bag.to_json())
    assert told["evidence"][0]["look"]["method"] == method
    again = outgas.BagPressure.from_dict(told)
    assert again == bag
    assert again.to_dict() == bag.to_dict()
    assert pickle.loads(pickle.dumps(bag)) == bag


def test_every_look_of_a_belief_has_its_row_here():
    named = {
        name for name in dir(BAG) if hasattr(getattr(BAG, name), "__wrapped__")
    }  # those that a dict may name
    assert named | {"saw"} == set(LOOKS)


def test_several_looks_keep_their_order_and_go_on_growing():
    bag = LOOKS["pump"](LOOKS["fell_quiet"](BAG))
    again = outgas.BagPressure.from_dict(bag.to_dict())
    assert [e.kind for e in again.evidence] == ["fell quiet", "pump"]
    assert again.saw_boiling("25 degC") == bag.saw_boiling("25 degC")
    assert len(repr(again)) < 120


def test_a_look_is_kept_in_si_however_it_was_told():
    assert BAG.pull("15 kg", "50 mm").to_dict()["evidence"][0]["look"] == {
        "method": "pull",
        "force": f"{15 * 9.80665!r} N",
        "diameter": "0.05 m",
    }


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kind": "outgas hold"}, "is no outgas bag pressure"),
        ({"version": 7}, "of version 7"),
        ({"evidence": "wet"}, "evidence is 'wet'; it is a list"),
        ({"evidence": [{"kind": "boiling"}]}, "give what to_dict"),
        ({"evidence": [{"look": {"method": "to_dict"}}]}, "is no look"),
        ({"evidence": [{"look": {"method": "__init__"}}]}, "is no look"),
        ({"evidence": [{"look": {"method": "fell_quiet"}}]}, "look fell_quiet"),
        ({"evidence": [{"look": {"method": "saw", "likelihood": [1.0]}}]}, "one number of 0"),
    ],
)
def test_what_is_no_belief_is_refused_in_one_line(change, said):
    with pytest.raises(InputError, match=said) as caught:
        outgas.BagPressure.from_dict({**BAG.to_dict(), **change})
    assert "\n" not in str(caught.value)


def test_a_look_told_by_a_wrong_name_names_the_nearest():
    look = {"look": {"method": "fell_quiet", "temprature": "30 degC"}}
    with pytest.raises(UnknownNameError, match="did you mean temperature"):
        outgas.BagPressure.from_dict({**BAG.to_dict(), "evidence": [look]})


def test_a_belief_whose_numbers_do_not_come_out_again_is_not_handed_on():
    told = LOOKS["fell_quiet"](BAG).to_dict()
    deeper = {**told, "median_Pa": 0.5 * told["median_Pa"]}
    with pytest.raises(InputError, match="median_Pa of this outgas bag pressure is"):
        outgas.BagPressure.from_dict(deeper)
    assert outgas.BagPressure.from_dict(deeper, anew=True).to_dict() == told
