"""A saved job: read with every mistake named, taken in place of resin and shop, overridden."""

import pathlib
import pickle
import re
import warnings

import pytest

import outgas
from outgas.errors import InputError, SeveralMistakesError, UnknownNameError
from outgas.job import saved
from outgas.job.job_keys import KEYS

WORDS = dict(
    resin="orthophthalic-polyester",
    temperature="22C",
    humidity="55%",
    altitude="20m",
    ply=["2 x 400 g/m2 woven glass"],
    core="15 mm PVC foam",
    area="0.5 m2",
    tool="6 mm glass plate",
    rig="5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve",
)
SHOP = outgas.Shop(temperature="22C", humidity="55%", altitude="20m")
LAYUP = outgas.Layup(plies=WORDS["ply"], core=WORDS["core"], area=WORDS["area"], tool=WORDS["tool"])
RIG = outgas.Rig.from_words(WORDS["rig"])


@pytest.fixture
def write(tmp_path):
    def made(text, name="deck.toml", encoding="utf-8"):
        path = tmp_path / name
        path.write_bytes(text.encode(encoding))
        return path

    return made


def mistakes(path):
    with pytest.raises(SeveralMistakesError) as caught:
        outgas.read_job(path)
    return caught.value.mistakes


def test_a_job_is_the_shop_the_layup_and_the_rig_that_its_words_make():
    job = outgas.Job(**WORDS)
    assert (job.shop, job.layup, job.rig) == (SHOP, LAYUP, RIG)
    assert (job.resin, job.process, job.dial) == ("orthophthalic-polyester", "wet layup", None)


def test_an_advice_of_a_job_is_that_of_its_parts():
    by_parts = outgas.advise(WORDS["resin"], SHOP, layup=LAYUP, rig=RIG)
    assert outgas.advise(outgas.Job(**WORDS)).to_dict() == by_parts.to_dict()


def test_a_schedule_of_a_job_is_that_of_its_parts_and_leaves_out_degassing_when_told_to():
    by_parts = outgas.schedule(WORDS["resin"], SHOP, layup=LAYUP, rig=RIG, degas=False)
    plan = outgas.schedule(outgas.Job(**WORDS, no_degas=True, hottest="30C"))
    assert plan.to_dict() == by_parts.to_dict()
    assert "degas" not in [stage.name for stage in plan]


def test_a_diagnosis_of_a_job_is_that_of_its_parts():
    seen = dict(seen={"where": "on strands"}, bag_pressure="28 inHg vacuum")
    by_parts = outgas.diagnose(WORDS["resin"], SHOP, layup=LAYUP, rig=RIG, **seen)
    assert outgas.diagnose(outgas.Job(**WORDS), **seen).to_dict() == by_parts.to_dict()


def test_what_is_named_beside_a_job_goes_before_it_even_a_usual_value():
    job = outgas.Job(**WORDS, finish="clear", reads_with="sensor 5 mbar", no_debulk=True)
    assert outgas.advise(job).no_debulk
    plain = outgas.advise(job, finish="structural", reads_with="dial", no_debulk=False)
    assert plain.to_dict() == outgas.advise(outgas.Job(**WORDS)).to_dict()
    cold = outgas.Shop(temperature="20C", humidity="55%")
    assert outgas.advise(job, cold).shop_K == cold.temperature_K
    assert outgas.advise(job, shop=cold).shop_K == cold.temperature_K


def test_of_two_ways_to_say_one_thing_the_one_named_beside_the_job_stands():
    job = outgas.Job(**WORDS, degassed="90 mbar")
    named = outgas.advise(job, air_pressure="27 mbar")
    assert named.partial_pressures_Pa["air"] == pytest.approx(2700.0)


def test_a_bag_is_judged_for_a_job():
    bag = outgas.BagPressure.unknown(SHOP.barometer).sensor("60 mbar", "2 mbar")
    judged = bag.advise(outgas.Job(**WORDS))
    assert judged.to_dict() == bag.advise(WORDS["resin"], SHOP, layup=LAYUP, rig=RIG).to_dict()


def test_a_warning_points_at_the_line_that_asked():
    job = outgas.Job(resin="epoxy-laminating", temperature="22C", humidity="50%")
    with pytest.warns(outgas.OutgasWarning) as caught:
        outgas.advise(job, process="infusion")
    assert {pathlib.Path(w.filename).name for w in caught} == {"test_saved.py"}
    slow = dict(layup=LAYUP, wet_out="40 min")
    with pytest.warns(outgas.OutgasWarning) as caught:
        outgas.schedule(WORDS["resin"], SHOP, **slow)
    assert {pathlib.Path(w.filename).name for w in caught} == {"test_saved.py"}


@pytest.mark.parametrize("name", ["deck.toml", "DECK.TOML", "deck", "bénch dèck.toml"])
def test_any_name_of_a_file_will_do_as_text_or_as_a_path(write, name):
    path = write('temperature = "22C"\n', name)
    assert outgas.read_job(path) == outgas.read_job(str(path)) == outgas.Job(temperature="22C")


def test_a_byte_order_mark_and_the_line_ends_of_another_system_are_no_mistake(write):
    path = write('temperature = "22C"\r\nhumidity = 0.5\r\n', encoding="utf-8-sig")
    assert dict(outgas.read_job(path).told) == {"temperature": "22C", "humidity": "0.5"}


def test_a_hyphen_in_a_key_reads_like_an_underscore_but_not_beside_it(write):
    job = outgas.read_job(write('tool-temperature = "24C"'))
    assert job == outgas.Job(tool_temperature="24C")
    with pytest.raises(InputError, match=r"deck\.toml: tool_temperature is told twice"):
        outgas.read_job(write('tool-temperature = "24C"\ntool_temperature = "24C"'))


def test_every_mistake_of_a_file_is_one_line_with_file_and_key_all_at_once(write):
    path = write(
        'temprature = "26C"\nhumidity = 60\naltitude = "20 kg"\ncore = "15 mm cheese"\n'
        'ply = ["400 g/m2 woven glass", "3 x wool"]\nno_debulk = "yes"\narea = [1]\n[shop]\nsun=1\n'
    )
    found = mistakes(path)
    assert all(text.startswith(f"{path}: ") and "\n" not in text for text in found)
    for key in ("humidity", "altitude", "core", "ply", "no_debulk", "area"):
        assert sum(f"{path}: {key}: " in text for text in found) == 1, key
    assert sum("'temprature'; did you mean temperature" in text for text in found) == 1
    assert sum("'shop'" in text for text in found) == 1
    assert len(found) == 8


def test_what_makes_no_sense_together_names_the_file(write):
    path = write(
        'resin = "orthophthalic-polyester"\ntemperature = "22C"\nhumidity = "50%"\n'
        'degassed = "90 mbar"\nair_pressure = "27 mbar"\n'
    )
    (text,) = mistakes(path)
    assert (
        text == f"{path}: give degassed or air_pressure, not both: each says how much air is left"
    )
    (text,) = mistakes(write('ply = ["core", "400 g/m2 woven glass"]\n'))
    assert "only with a core given" in text


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("temperature = 26C", "is not valid TOML"),
        ("\xff", "is not valid TOML"),
        ("a = " + "[" * 5000, "is not valid TOML"),
        ('temperature = "26C"\n' * 2, "is not valid TOML"),
        ("# " + "x" * 200_000, "bytes, more than 100000"),
    ],
)
def test_a_file_that_is_no_job_is_one_line(write, content, said):
    path = write(content, encoding="latin-1")
    with pytest.raises(InputError, match=said) as caught:
        outgas.read_job(path)
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("path", [None, "", 3])
def test_what_is_no_path_says_what_to_give(path):
    with pytest.raises(InputError, match="give the path of a job file"):
        outgas.read_job(path)


def test_a_folder_and_a_file_that_is_not_there_are_said_so(tmp_path):
    for path in (tmp_path, tmp_path / "none.toml"):
        with pytest.raises(InputError, match="cannot read"):
            outgas.read_job(path)


def test_a_resin_of_ones_own_is_looked_for_beside_its_job(write, tmp_path, monkeypatch):
    from outgas.tables import data

    raw = (data.root() / "resins.toml").read_text(encoding="utf-8")
    (own,) = re.findall(r"^\[epoxy-laminating\]\n.*?(?=^\[[^\[])", raw, flags=re.M | re.S)
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "own.toml").write_text(own, encoding="utf-8")
    file = tmp_path / "jobs" / "deck.toml"
    file.write_text('resin = "own.toml"\n', encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    job = outgas.read_job("jobs/deck.toml")
    assert outgas.resin(job.resin).name == "epoxy-laminating"
    job.save(tmp_path / "copy.toml")
    assert 'resin = "jobs/own.toml"' in (tmp_path / "copy.toml").read_text(encoding="utf-8")


def test_a_job_that_lacks_something_says_which_key_to_add(write):
    job = outgas.read_job(write('resin = "epoxy-laminating"\n'))
    with pytest.raises(InputError, match=r"deck\.toml: the job says no temperature; add temp"):
        outgas.advise(job)
    with pytest.raises(InputError, match="the job says no resin"):
        outgas.advise(outgas.Job(temperature="22C", humidity="50%"))


def test_a_job_is_equal_when_equal_survives_pickle_and_goes_to_a_dict_and_back():
    job = outgas.Job(**WORDS)
    assert job == outgas.Job(**dict(reversed(WORDS.items())))
    assert job != job.but(humidity="50%")
    assert hash(job) == hash(outgas.Job(**WORDS))
    assert pickle.loads(pickle.dumps(job)) == job
    assert outgas.Job.from_dict(job.to_dict()) == job
    assert repr(job) == "Job(orthophthalic-polyester, wet layup, 22C, 55%)"


@pytest.mark.parametrize(
    "plain", [None, [], {}, {"kind": "outgas shop"}, {"kind": "outgas job", "version": 2}]
)
def test_a_dict_of_something_else_is_refused(plain):
    with pytest.raises(InputError, match="outgas job"):
        outgas.Job.from_dict(plain)


def test_a_job_told_otherwise_leaves_the_old_one_and_drops_the_rival():
    job = outgas.Job(temperature="22C", void_target="3%")
    assert job.but(finish="clear").told == (("temperature", "22C"), ("finish", "clear"))
    assert dict(job.told)["void_target"] == "3%"
    assert job.but(temperature=None) == outgas.Job(void_target="3%")
    with pytest.raises(SeveralMistakesError, match="did you mean temperature"):
        job.but(temprature="3C")


def test_what_is_named_for_no_key_is_a_job_all_the_same():
    assert outgas.Job() == outgas.Job(temperature=None)
    assert outgas.Job().layup == outgas.Layup()
    assert outgas.Job().rig == outgas.Rig()


def test_every_key_reaches_what_it_is_told_for():
    """A key that only a command uses is no argument of advise and its kin."""
    of_commands = {"pitch", "breather", "resin_used", "bore", "clamp", "dial", "units"}
    shown = {*saved._SHOP, *saved._LAYUP, *saved._PLAIN, *saved.ON_RIG}
    others = {"resin", "ply", "bag_side", "rig", "contaminant", "no_degas"}
    others |= {"moisture", "min_temperature"}  # of Layup, and of the functions by a longer name
    assert shown | others | of_commands == set(KEYS)


def test_a_wrapped_function_still_tells_its_arguments_and_refuses_others():
    with pytest.raises(InputError, match="no argument of advise is called 'colour'"):
        outgas.advise(outgas.Job(**WORDS), colour="red")
    with pytest.raises(InputError, match="did you mean contaminants"):
        outgas.advise(outgas.Job(**WORDS), contaminents="acetone=1%")
    with pytest.raises(InputError, match="shop is 'None'; give outgas"):
        outgas.advise("epoxy-laminating")


def test_a_job_holds_the_setpoint_of_its_own_advice_with_its_own_rig():
    job = outgas.Job(**WORDS, bore="25 mm")
    advice = outgas.advise(job)
    limits = dict(deepest=advice.deepest, shallowest=advice.shallowest, bore="25 mm")
    by_parts = outgas.hold(advice.setpoint, RIG, SHOP.barometer, **limits)
    assert outgas.hold(job).to_dict() == by_parts.to_dict()
    assert outgas.hold(job, bore="30 mm").plate.bore_m == pytest.approx(0.03)


def test_a_setpoint_of_ones_own_is_held_within_the_limits_of_the_job():
    job = outgas.Job(**WORDS)
    assert outgas.hold("600 mbar", job).setpoint_Pa == 60000.0
    with pytest.raises(outgas.RefusedError, match="deeper than the deepest safe"):
        outgas.hold("100 mbar", job)
    with pytest.raises(InputError, match="prepreg is not held"):
        outgas.hold(outgas.Job(
            resin="out-of-autoclave-epoxy-prepreg", temperature="21C", humidity="45%",
            process="prepreg",
        ))  # fmt: skip


def test_the_vials_of_a_job_are_those_of_its_advice():
    job = outgas.Job(**WORDS)
    assert outgas.telltale(job, "debulk") == outgas.telltale(outgas.advise(job), "debulk")


def test_nothing_is_warned_of_while_a_job_is_read(write):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert outgas.read_job(write('degassed = "29.9 inHg vacuum"\n')).told


def test_an_unknown_name_in_a_job_is_the_nearest(write):
    (text,) = mistakes(write('resin = "orthoftalic"\n'))
    assert "resin: no resin is called 'orthoftalic'; did you mean orthophthalic-polyester" in text
    assert issubclass(SeveralMistakesError, InputError)
    assert not issubclass(SeveralMistakesError, UnknownNameError)


def test_the_names_that_functions_have_for_a_key_are_taken_for_it():
    layup = {"core": "15 mm balsa"}
    job = outgas.Job(plies=["400 g/m2 woven glass"], contaminants=["acetone=1%"], **layup)
    assert job == outgas.Job(ply=["400 g/m2 woven glass"], contaminant=["acetone=1%"], **layup)
    assert job.but(core_moisture="12%") == job.but(moisture="12%")
    with pytest.raises(InputError, match="ply is told twice, as plies too"):
        outgas.Job(plies=["400 g/m2 woven glass"], ply=["400 g/m2 woven glass"])
