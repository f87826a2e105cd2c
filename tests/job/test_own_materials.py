"""Cores, cloths, tools and pumps of one's own: a file with few numbers, the rest of a relative."""

import json
import pickle

import pytest

import outgas
from outgas.errors import DataError, InputError, UnknownNameError
from outgas.job.material_words import read_core
from outgas.tables import catalogue
from outgas.tables.materials import Core, Reinforcement

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
SHOP = outgas.Shop(temperature="22 degC", humidity="50 %")
UP = "orthophthalic-polyester"
CORE = """
[hull-foam]
like = "pvc-foam"
density = "100 kg/m3"
compressive_strength = { value = "1.8 MPa", how = "measured" }
"""
CLOTH = '[bargain-cloth]\nlike = "woven glass"\nfibre_fraction = "45 %"\n'
PUMP = '[garage-pump]\nlike = "single-stage"\nultimate = "5 mbar"\n'


@pytest.fixture
def files(tmp_path, monkeypatch):
    for name, text in (("foam", CORE), ("cloth", CLOTH), ("pump", PUMP)):
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def shipped(kind, file, name):
    return catalogue.by_words(kind, "record", file, name)


def test_a_core_of_ones_own_holds_what_its_file_says_and_the_rest_of_its_relative(files):
    own, like = read_core("15 mm foam.toml").record, shipped(Core, "cores.toml", "pvc-foam")
    assert own.density.si == pytest.approx(100.0)
    assert (own.density.how, own.density.source) == ("sheet", "sheet")
    assert own.compressive_strength.si == pytest.approx(1.8e6)
    assert (own.compressive_strength.how, own.compressive_strength.source) == (
        "measured",
        "measured",
    )
    assert own.title == "hull foam"
    assert not own.polystyrene
    assert own.maximum_temperature.how == "estimate"
    assert own.maximum_temperature.low_si < like.maximum_temperature.low_si


def test_a_perforated_one_is_open_and_a_density_beside_its_file_is_refused(files):
    assert read_core("15 mm perforated foam.toml").is_open
    with pytest.raises(InputError, match="is in its file"):
        read_core("15 mm 80 kg/m3 foam.toml")


@pytest.mark.parametrize("ending", [".TOML", ".toml"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_capital_endings_and_byte_order_marks_are_read(tmp_path, ending, mark):
    file = tmp_path / f"mine{ending}"
    file.write_text(mark + CORE, encoding="utf-8")
    assert read_core(f"15 mm {file}").record.density.si == pytest.approx(100.0)


def test_a_layup_of_own_files_goes_to_a_dict_and_back_and_into_an_advice(files):
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 cloth.toml"], core="15 mm foam.toml", tool="6 mm glass plate"
    )
    assert layup.plies[0].fabric.fibre_fraction.si == pytest.approx(0.45)
    assert outgas.Layup.from_dict(json.loads(json.dumps(layup.to_dict()))) == layup == layup.but()
    assert pickle.loads(pickle.dumps(layup)) == layup
    advice = outgas.advise(UP, SHOP, layup=layup, rig="5 m3/h pump.toml, 0.6 m2 bag")
    assert outgas.Advice.from_dict(json.loads(advice.to_json())) == advice
    assert outgas.schedule(UP, SHOP, layup=layup).gel_s > 0.0
    found = outgas.diagnose(UP, SHOP, layup=layup)
    assert found.seen["cloth"] == "woven"  # as the cloth that it is like
    assert found.seen["core kind"] == "foam"


def test_a_pump_of_ones_own_reaches_what_its_file_says(files):
    for words in ("pump.toml", "5 m3/h pump.toml", "5 m3/h pump.toml pump, 2 m of 8 mm hose"):
        rig = outgas.Rig.from_words(words)
        assert rig.kind.ultimate.si == pytest.approx(500.0)
        assert outgas.Rig.from_dict(rig.to_dict()) == rig == rig.but()
    assert rig.pump_displacement == pytest.approx(5 / 3600)
    reach = outgas.advise(UP, SHOP, rig="5 m3/h pump.toml").reach_Pa
    assert reach >= outgas.advise(UP, SHOP, rig="5 m3/h two-stage pump").reach_Pa


def test_a_weaker_core_of_ones_own_asks_for_no_more_vacuum(tmp_path):
    deepest = []
    for strength in ("0.4 MPa", "0.2 MPa", "0.1 MPa"):
        file = tmp_path / "weak.toml"
        file.write_text(f'[weak]\nlike="pvc-foam"\ncompressive_strength = "{strength}"\n')
        layup = outgas.Layup(core=f"15 mm {file}")
        deepest.append(outgas.advise("epoxy-laminating", SHOP, layup=layup).limits_Pa["core"])
    assert deepest == sorted(deepest)
    assert deepest[-1] > deepest[0]


def test_a_core_lighter_than_its_relative_must_say_its_strength(tmp_path):
    file = tmp_path / "light.toml"
    file.write_text('[light]\nlike = "pvc-foam"\ndensity = "40 kg/m3"\n')
    with pytest.raises(DataError, match="compressive_strength is missing: at 40 kg/m3"):
        read_core(f"15 mm {file}")


@pytest.mark.parametrize(
    ("text", "error", "said"),
    [
        ('[a]\ndensity = "100 kg/m3"\n', DataError, "conductivity.* missing; give them, or like"),
        ('[a]\nlike = "pvc-fom"\n', UnknownNameError, "did you mean pvc"),
        ('[a]\nlike = "pvc-foam"\ndensity = "9 degC"\n', InputError, "a.density is '9 degC'"),
        ('[a]\nlike = "pvc-foam"\ndensity = "90000 kg/m3"\n', DataError, "is outside"),
        ('[a]\nlike = "pvc-foam"\ncolour = "red"\n', DataError, "colour"),
        ('[a]\nlike = "pvc-foam"\n[b]\nlike = "pvc-foam"\n', DataError, "holds 2 records"),
        ("a = 1\n", DataError, "a is not a table"),
        ("[a\n", DataError, "not valid TOML"),
        (
            '[a]\nlike = "pvc-foam"\ndensity = { value = "9 g/cm3", how = "guessed" }\n',
            DataError,
            "one of read, library, memory, estimate, sheet, measured",
        ),
    ],
)
def test_a_broken_file_is_one_line_that_names_it(tmp_path, text, error, said):
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(error, match=said) as caught:
        read_core(f"15 mm {file}")
    assert "\n" not in str(caught.value)


def test_a_job_file_looks_for_them_beside_itself(files, tmp_path, monkeypatch):
    job = outgas.Job(
        resin=UP, temperature="22C", humidity="50%", ply=["2 x 400 g/m2 cloth.toml"],
        core="15 mm foam.toml", rig="5 m3/h pump.toml, 0.6 m2 bag",
    )  # fmt: skip
    job.save("deck.toml")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(elsewhere)
    again = outgas.read_job(files / "deck.toml")
    assert again.layup.core.density.si == pytest.approx(100.0)
    assert again.rig.kind.ultimate.si == pytest.approx(500.0)
    again.save("moved.toml")
    assert outgas.read_job("moved.toml").layup.laminate_thickness_m == pytest.approx(
        again.layup.laminate_thickness_m
    )
    assert "../foam.toml" in (elsewhere / "moved.toml").read_text(encoding="utf-8")


def test_the_shipped_tables_hold_nobodys_own_numbers():
    for kind, file in ((Core, "cores.toml"), (Reinforcement, "reinforcements.toml")):
        for name in catalogue.names_of(file):
            record = shipped(kind, file, name)
            for field in kind.__struct_fields__:
                assert getattr(getattr(record, field), "how", "") not in ("sheet", "measured")
