"""Answers that know what they were asked: to a dict and back, and asked again otherwise."""

import json
import pickle
import random
from pathlib import Path

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, SeveralMistakesError, UnitError, UnknownNameError

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
UP = "orthophthalic-polyester"
SHOP = outgas.Shop(temperature="22 degC", humidity="50 %", altitude="20 m")
LAYUP = outgas.Layup(
    plies=["2 x 400 g/m2 woven glass"], core="15 mm PVC foam", area="0.5 m2", bag_side=["peel ply"]
)
PREPREG = "out-of-autoclave-epoxy-prepreg"
ASKED = [
    {},
    {"layup": LAYUP, "rig": "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag"},
    {"process": "vacuum infusion", "hottest": "35C up to 42C", "confidence": "90 %"},
    {"degassed": "90 mbar for 10 min, stirred", "bag_pressure": "28 inHg vacuum"},
    {"degassed": "27 inHg vacuum, still", "bag_pressure": "60 mbar", "finish": "clear"},
    {"air_pressure": "27 mbar", "contaminants": "acetone=1%, toluene = 0.5 %"},
    {"void_target": "1 %", "trapped": "6 %", "connected": 0.8, "entrained": "0.3 %"},
    {"water_activity": 0.4, "vapour_share": 0.3, "no_debulk": True, "reads_with": "sensor 5 mbar"},
    {"layup": LAYUP, "initiator": "1.5 %", "gel_time": "18 min", "low_gas_initiator": True},
    {"bag_pressure": outgas.Quantity(60.0, "mbar"), "hottest": outgas.Quantity(308.0, "K")},
]


def through_json(answer):
    return json.loads(answer.to_json())


@pytest.mark.parametrize("asked", ASKED)
def test_an_advice_goes_to_a_dict_and_back_whatever_was_asked(asked):
    advice = outgas.advise(UP, SHOP, **asked)
    again = outgas.Advice.from_dict(through_json(advice))
    assert again == advice
    assert again.to_dict() == advice.to_dict()
    assert again.to_text() == advice.to_text()


@pytest.mark.parametrize(
    "asked", [{}, {"batch": "300 g", "wet_out": "8 min", "degas": False}, {"no_debulk": True}]
)
def test_a_schedule_goes_to_a_dict_and_back(asked):
    plan = outgas.schedule(UP, SHOP, layup=LAYUP, **asked)
    again = outgas.Schedule.from_dict(through_json(plan))
    assert again == plan
    assert again.to_text("mbar") == plan.to_text("mbar")
    assert again.but(temperature="24 degC").gel_s < plan.gel_s


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"seen": ["where=on strands", "Bubbles=fine"], "bag_pressure": "28 inHg vacuum"},
        {"seen": {"where": "on-strands"}, "bag_pressure": ("40 mbar", "90 mbar")},
        {"bag_pressure": "very good bag", "layup": LAYUP},
        {"bag_pressure": "40 to 90 mbar", "degassed": "90 mbar"},
    ],
)
def test_a_diagnosis_goes_to_a_dict_and_back(asked):
    found = outgas.diagnose(UP, SHOP, **asked)
    again = outgas.Diagnosis.from_dict(through_json(found))
    assert again == found
    assert again.to_dict() == found.to_dict()


def test_random_jobs_come_out_again_the_same():
    from drawn import draw

    asked = 0
    for seed in range(16):
        try:
            advice = draw(random.Random(seed), 0.1).advise()
        except outgas.OutgasError:
            continue
        asked += 1
        assert outgas.Advice.from_dict(through_json(advice)) == advice, seed
    assert asked > 8


def test_what_was_asked_is_told_in_si_however_it_was_said():
    said = outgas.advise(UP, SHOP, hottest="35 C", confidence="95 %", contaminants=["acetone=1%"])
    told = said.to_dict()["asked"]
    assert told["hottest"] == "308.15 K"
    assert told["contaminants"] == {"acetone": 0.01}
    assert told["shop"] == SHOP.to_dict()
    assert "confidence" not in told  # it is the usual one
    assert outgas.advise(UP, SHOP, hottest="35 degC", contaminants={"acetone": 0.01}) == said


def test_a_number_that_does_not_come_out_again_is_told_and_never_handed_on():
    told = through_json(outgas.advise(UP, SHOP))
    stored = told["deepest_Pa"]
    told["deepest_Pa"] = 0.8 * stored
    with pytest.raises(InputError, match=r"^deepest_Pa of this .* another version"):
        outgas.Advice.from_dict(told)
    assert outgas.Advice.from_dict(told, anew=True).deepest_Pa == pytest.approx(stored)


@pytest.mark.parametrize("key", ["safe", "limits_Pa", "freed_gas", "hottest_K", "cure"])
def test_any_number_or_truth_that_differs_is_seen(key):
    told = through_json(outgas.advise(UP, SHOP, layup=LAYUP))
    value = told[key]
    if isinstance(value, bool):
        told[key] = not value
    elif isinstance(value, dict):
        told[key] = {name: 1.5 * v if isinstance(v, float) else v for name, v in value.items()}
    elif isinstance(value, list):
        told[key] = value[:-1]
    else:
        told[key] = value + 1.0
    with pytest.raises(InputError, match=f"^{key}.* of this outgas advice is"):
        outgas.Advice.from_dict(told)


def test_words_may_change_from_version_to_version():
    told = through_json(outgas.advise(UP, SHOP))
    told["cautions"] = ["as it was said before"]
    assert outgas.Advice.from_dict(told).cautions != ("as it was said before",)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kind": "outgas schedule"}, "is no outgas advice"),
        ({"version": 1}, "outgas advice of version 1; this reads"),
        ({"asked": None}, "does not hold what was asked"),
        ({"asked": {"resin": UP}}, "asked is"),
        ({"asked": {"resin": UP, "shop": SHOP.to_dict(), "colour": 1}}, "called 'colour'"),
    ],
)
def test_what_is_no_such_answer_is_refused_in_one_line(change, said):
    with pytest.raises(InputError, match=said) as caught:
        outgas.Advice.from_dict({**through_json(outgas.advise(UP, SHOP)), **change})
    assert "\n" not in str(caught.value)


def test_an_advice_inside_a_plan_was_not_asked_by_itself():
    plan = outgas.schedule(UP, SHOP, layup=LAYUP)
    assert plan.to_dict()["advice"]["asked"] is None
    with pytest.raises(InputError, match="part of another"):
        plan.advice.but(temperature="30 degC")
    with pytest.raises(InputError, match="part of another"):
        outgas.Advice.from_dict(plan.advice.to_dict())


def test_a_belief_beside_it_is_kept_by_pickle_alone():
    bag = outgas.BagPressure.unknown(SHOP.barometer).fell_quiet("43C")
    found = outgas.diagnose(UP, SHOP, bag_pressure=bag)
    assert found.to_dict()["asked"] is None
    with pytest.raises(InputError, match="keep it by pickle"):
        outgas.Diagnosis.from_dict(found.to_dict())
    assert pickle.loads(pickle.dumps(found)) == found


def test_answers_survive_pickle_with_what_they_were_asked():
    for answer in (
        outgas.advise(UP, SHOP, rig="5 m3/h two-stage pump"),
        outgas.schedule(UP, SHOP, layup=LAYUP),
        outgas.diagnose(UP, SHOP, seen="where=on strands"),
    ):
        again = pickle.loads(pickle.dumps(answer))
        assert again == answer
        assert again.but(temperature="30 degC") == answer.but(temperature="30 degC") != answer
        assert len(repr(answer)) < 200


def test_an_answer_is_asked_again_by_the_names_of_shop_layup_rig_and_its_own():
    advice = outgas.advise(UP, SHOP, layup=LAYUP, rig="5 m3/h two-stage pump", degassed="90 mbar")
    other = advice.but(
        temperature="30 degC", area="1 m2", pump_ultimate="30 mbar", air_pressure="27 mbar"
    )
    asked = other.asking
    assert asked.shop == SHOP.but(temperature="30 degC")
    assert asked.given["layup"] == LAYUP.but(area="1 m2")
    assert asked.given["rig"].pump_ultimate == 3000.0
    assert asked.given["rig"].pump == "two-stage"
    assert "degassed" not in asked.given
    assert other.partial_pressures_Pa["air"] == pytest.approx(2700.0)
    assert advice.but(resin="epoxy-laminating").resin == "epoxy-laminating"
    assert advice.but(air_pressure=None, degassed=None).to_dict()["asked"].keys() == {
        *("resin", "shop", "layup", "rig")
    }
    assert advice.but() == advice


def test_a_name_that_nothing_has_is_told_with_the_nearest():
    with pytest.raises(UnknownNameError, match="did you mean temperature"):
        outgas.advise(UP, SHOP).but(temprature="30 degC")


def test_the_words_of_the_command_line_are_taken_too():
    bag = outgas.advise(UP, SHOP, bag_pressure="60 mbar", contaminants={"acetone": "1 %"})
    assert outgas.advise(UP, SHOP, bag="60 mbar", contaminant=["acetone=1%"]) == bag
    assert outgas.Layup(ply=["400 g/m2 woven glass"]).layers == 1
    assert bag.but(bag="70 mbar").bag_Pa == pytest.approx(7000.0)


def test_rig_words_go_wherever_a_rig_goes():
    words = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag"
    rig = outgas.Rig.from_words(words)
    assert outgas.advise(UP, SHOP, rig=words) == outgas.advise(UP, SHOP, rig=rig)
    for ask in (
        lambda it: outgas.hold("500 mbar", it, "1013 mbar").to_dict(),
        lambda it: outgas.bleed_hole("500 mbar", it).to_dict(),
        lambda it: outgas.drop_test("5 mbar", "5 min", rig=it).to_dict(),
    ):
        assert ask(words) == ask(rig)
    valve = outgas.relief_valve("500 mbar", "20 mm", "1013 mbar", rig=words)
    assert valve.lift_m is not None
    for ask in (
        lambda: outgas.advise(UP, SHOP, rig=5),
        lambda: outgas.hold("500 mbar", 5, "1013 mbar"),
        lambda: outgas.drop_test("5 mbar", "5 min", rig=5),
    ):
        with pytest.raises(InputError, match="rig is not a Rig; give"):
            ask()


def test_none_is_not_said():
    said = ("process", "reads_with", "no_debulk", "low_gas_initiator", "finish", "rig")
    nothing = dict.fromkeys(said)
    assert outgas.advise(UP, SHOP, **nothing, confidence=None) == outgas.advise(UP, SHOP)
    pot = {"process": "degassing"}
    assert outgas.schedule(UP, SHOP, **pot, degas=None) == outgas.schedule(UP, SHOP, **pot)
    assert outgas.diagnose(UP, SHOP, **nothing, seen=None) == outgas.diagnose(UP, SHOP)
    assert outgas.Layup(plies=None) == outgas.Layup()
    with pytest.raises(UnitError, match="humidity is missing; write a share as '60 %'"):
        outgas.Shop(temperature="22 degC", humidity=None)


def test_several_mistakes_are_told_at_once_each_in_its_line():
    with pytest.raises(SeveralMistakesError) as caught:
        outgas.advise(
            UP, SHOP, process="spray", reads_with="eyes", hottest="warm", initiator="9 %",
            contaminants="acetone", confidence=3.0, gel_time="20",
        )  # fmt: skip
    lines = caught.value.mistakes
    for line, word in zip(
        lines,
        ("process", "reads_with", "hottest", "confidence", "contaminant", "initiator", "gel time"),
        strict=True,
    ):
        assert word in line
        assert "\n" not in line
    with pytest.raises(UnknownNameError):  # one alone stays what it is
        outgas.advise("epoxi", SHOP)


def test_labelled_arrays_and_columns_are_read_by_their_own_units():
    xarray, pandas = pytest.importorskip("xarray"), pytest.importorskip("pandas")
    K = outgas.Quantity(np.array(295.15), "K")
    half = xarray.DataArray(outgas.Quantity(np.array(50.0), "%"))
    warm = pandas.Series([71.6])
    warm.attrs["units"] = "degF"
    for told in (
        xarray.DataArray(K),
        xarray.DataArray([22.0], attrs={"units": "degC"}),
        warm,
        pandas.Series(["22 degC"]),
        pandas.Series([outgas.Quantity(22.0, "degC")]),
    ):
        shop = outgas.Shop(temperature=told, humidity=half)
        assert shop.temperature_K == pytest.approx(295.15)
        assert shop.humidity == pytest.approx(0.5)
    deep = xarray.DataArray(outgas.Quantity(np.array(50.0), "mbar"))
    assert outgas.read_pressure(deep).m == 5000.0
    with pytest.raises(InputError, match="is an array; this takes one case"):
        outgas.Shop(temperature=pandas.Series(["22 degC", "23 degC"]), humidity=0.5)
    with pytest.raises(UnitError, match=r"a column with no attrs\['units'\]"):
        outgas.Shop(temperature=pandas.Series([22.0]), humidity=0.5)


def test_the_path_of_a_file_may_be_pathlibs(tmp_path):
    job = outgas.Job(resin=UP, temperature="22C", humidity="50%")
    job.save(tmp_path / "deck.toml")
    assert outgas.advise(outgas.read_job(Path(tmp_path, "deck.toml"))) == outgas.advise(job)
