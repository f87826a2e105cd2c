"""What a builder reads off a meter and a sheet: water in a core, and the coldest to work at."""

import json

import pytest

import outgas
from outgas.errors import InputError, RefusedError
from outgas.laminate.liquid import Liquid
from outgas.laminate.water import core_activity, water_activity
from outgas.window.case.defaults import case_of

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
SHOP = outgas.Shop(temperature="22 degC", humidity="50 %")
EPOXY, UP = "epoxy-laminating", "orthophthalic-polyester"


def vapour(core, moisture, **asked):
    layup = outgas.Layup(core=core, core_moisture=moisture)
    return outgas.advise(EPOXY, SHOP, layup=layup, **asked).limits_Pa["vapour"]


@pytest.mark.parametrize("core", ["15 mm balsa", "10 mm plywood", "15 mm PVC foam", "10 mm cork"])
def test_more_water_in_a_core_never_asks_for_more_vacuum(core):
    said = [None, "0 %", "6 %", "12 %", "20 %", "40 %"]
    limits = [vapour(core, share) for share in said]
    assert limits == sorted(limits)
    assert limits[-1] > limits[0]


def test_a_wood_core_is_never_drier_than_the_shops_air_makes_it():
    assert vapour("15 mm balsa", "1 %") == vapour("15 mm balsa", None)


def test_water_in_a_foam_counts_as_free_and_none_as_none():
    assert vapour("15 mm PVC foam", "0 %") == vapour("15 mm PVC foam", None)
    assert vapour("15 mm PVC foam", "0.1 %") == vapour("15 mm PVC foam", "30 %")
    wet = outgas.Layup(core="15 mm PVC foam", core_moisture="5 %")
    advice = outgas.advise(EPOXY, SHOP, layup=wet)
    assert advice.water_activity[1] == 1.0
    assert advice.water_activity[0] < 1.0  # its likely value is not moved


def test_a_known_water_activity_does_not_hide_a_damp_core():
    dry, damp = (vapour("15 mm PVC foam", m, water_activity=0.2) for m in (None, "5 %"))
    assert damp > dry


def test_the_activity_of_a_core_stays_between_nothing_and_one():
    job = outgas.Job(resin=EPOXY, temperature="22C", humidity="50%", core="15 mm balsa")
    for share in (None, 0.0, 0.12, 1.0):
        layup = job.layup.but(core_moisture=share)
        liquid: Liquid = case_of(_asked(layup))
        for T in (285.0, 300.0, 340.0, 380.0):
            assert 0.0 <= core_activity(liquid, T) <= 1.0
            assert water_activity(liquid, T)[1] >= core_activity(liquid, T) - 1e-12


def _asked(layup):
    from outgas.job.job import job_of

    none = dict.fromkeys(
        ("process", "rig", "vapour_share", "confidence", "hottest", "air_pressure", "degassed")
    )
    more = dict.fromkeys(
        ("entrained", "water_activity", "contaminants", "void_target", "reads_with")
    )
    return job_of(EPOXY, SHOP, layup=layup, **none, **more)


def test_moisture_is_kept_by_a_layup_and_told_by_the_advice():
    layup = outgas.Layup(core="15 mm balsa", core_moisture="12 %")
    assert outgas.Layup.from_dict(json.loads(json.dumps(layup.to_dict()))) == layup
    assert layup.but(core=None).core_moisture is None
    old = layup.to_dict()
    del old["core"]["moisture"]  # as it was written before
    assert outgas.Layup.from_dict(old) == layup.but(core_moisture=None)
    advice = outgas.advise(EPOXY, SHOP, layup=layup)
    assert any("the core holds 12% of water, as given" in text for text in advice.assumptions)
    assert outgas.Advice.from_dict(advice.to_dict()) == advice
    with pytest.raises(InputError, match="moisture is '12 %', of a core; name the core too"):
        outgas.Layup(core_moisture="12 %")


def test_colder_than_the_sheet_at_hand_is_refused_and_warmer_is_not():
    cool = outgas.Shop(temperature="17 degC", humidity="50 %")
    assert outgas.advise(UP, cool).resin == UP
    with pytest.raises(RefusedError, match=r"below the 18 degC that"):
        outgas.advise(UP, cool, minimum_temperature="18 degC")
    with pytest.raises(RefusedError, match=r"below the 18 degC that"):
        outgas.schedule(UP, cool, process="degassing", minimum_temperature="18 degC")
    advice = outgas.advise(UP, SHOP, minimum_temperature="18 degC")
    assert advice.to_dict()["asked"]["minimum_temperature"] == "291.15 K"
    assert any("18 degC by the sheet at hand, by the table" in t for t in advice.assumptions)
    assert advice.deepest_Pa == outgas.advise(UP, SHOP).deepest_Pa
    assert "18 degC" in outgas.diagnose(UP, cool, minimum_temperature="18 degC").refusal


@pytest.mark.parametrize("wrong", ["cold", "18", "200 degC"])
def test_no_temperature_of_a_shop_is_refused_in_one_line(wrong):
    with pytest.raises(outgas.OutgasError, match="minimum temperature is"):
        outgas.advise(UP, SHOP, minimum_temperature=wrong)


def test_both_are_options_and_keys_of_a_job(tmp_path):
    from outgas.cli.main import main

    file = str(tmp_path / "deck.toml")
    told = ["--temperature", "17C", "--humidity", "50%", "--core", "15 mm balsa"]
    more = ["--moisture", "12%", "--min-temperature", "18C"]
    assert main(["job", "new", UP, *told, *more, "--out", file]) == 0
    job = outgas.read_job(file)
    assert job.layup.core_moisture == 0.12
    with pytest.raises(RefusedError):
        outgas.advise(job)
    assert main(["advise", "--job", file]) == 1
    assert main(["advise", "--job", file, "--min-temperature", "15C"]) in (0, 1)
    assert outgas.advise(job, minimum_temperature="15C").resin == UP
