"""The JSON schemas hold what is really printed, all of it, and change only on purpose.

`python tests/cli/test_schema.py` writes the snapshot anew: do it with the commit that changes a
key, and raise the answer's version where a key changed its meaning or went.
"""

import copy
import json
import random
from pathlib import Path

import jsonschema
import pytest

import outgas
from outgas.cli.commands.schema import described, schema
from outgas.errors import OutgasError

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
SNAPSHOT = Path(__file__).with_name("schemas.json")
UP = "orthophthalic-polyester"
PREPREG = "out-of-autoclave-epoxy-prepreg"
S = ["--temperature", "22C", "--humidity", "50%"]
PLY = ["--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2"]
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, leak 0.2 mbar l/s"
DROP = ["--rise", "5 mbar", "--time", "5 min"]
LOOKS = [
    *["--boiled", "25C", "--quiet-on-chip", "43C", "--thermometer", "38C, 30 mm", "--ice"],
    *["--syringe", "1 ml, 1.5 ml, 1.7 ml", "--tube", "200 mm, 20 mm", "--pull", "150 N, 50 mm"],
    *["--plate", "1.15 kg, 20 mm", "--sensor", "60 mbar, 10 mbar, 5 mbar"],
    *["--milky", f"{UP}, 26C", "--rig", RIG],
]
PRINTED = [
    ("advise", ["advise", UP, *S]),
    ("advise", ["advise", UP, *S, *PLY, "--core", "15 mm PVC foam", "--bag", "28 inHg vacuum"]),
    ("advise", ["advise", UP, *S, "--degassed", "90 mbar", "--contaminant", "acetone=1%"]),
    ("advise", ["advise", UP, "--temperature", "38C", "--humidity", "90%", "--altitude", "4000m"]),
    ("advise", ["advise", PREPREG, *S, "--process", "prepreg", "--dried", "8 h"]),
    ("schedule", ["schedule", UP, *S, *PLY]),
    ("schedule", ["schedule", UP, *S, "--process", "degassing"]),
    ("schedule", ["schedule", UP, *S, *PLY, "--process", "infusion", "--fill", "40 min"]),
    ("schedule", ["schedule", PREPREG, *S, *PLY, "--process", "prepreg"]),
    ("diagnose", ["diagnose", UP, *S]),
    ("diagnose", ["diagnose", UP, *S, *PLY, "--bag", "60 mbar", "--seen", "where=on strands"]),
    ("belief", ["no-gauge", "belief", *LOOKS]),
    ("belief", ["no-gauge", "belief", UP, *S, "--fell-quiet", "43C", "--rig", RIG]),
    ("next", ["no-gauge", "next", UP, *S]),
    ("telltale", ["no-gauge", "telltale", UP, *S]),
    ("telltale", ["no-gauge", "telltale", UP, *S, "--degassed", "27 mbar", "--stage", "cure"]),
    ("hold", ["no-gauge", "hold", UP, *S, "--rig", RIG]),
    ("hold", ["no-gauge", "hold", "--setpoint", "500 mbar", "--rig", "pump"]),
    ("drop-test", ["no-gauge", "drop-test", *DROP, "--rig", RIG]),
    ("drop-test", ["no-gauge", "drop-test", *DROP, "--rig", "10 l bag", "--silicone"]),
    ("press", ["press", UP, *S, *PLY]),
    ("bleed", ["bleed", UP, *PLY, "--pitch", "25 mm", "--spot", "8 mm"]),
    ("bleed", ["bleed", UP, *PLY, "--gained", "60 g", "--resin-used", "0.9 kg"]),
    ("convert", ["convert", "-24 inHg", "--altitude", "20m"]),
    ("convert", ["convert"]),
    ("convert", ["convert", "29.9 inHg vacuum"]),
]
PANELS = {"panels-learn", "panels-show"}  # of a file, which a test of their own writes


def strict(found):
    """Return a schema that allows no key beside those it names."""
    found = copy.deepcopy(found)
    for record in found["$defs"].values():
        record["additionalProperties"] = False
    return found


def faults(answer, told):
    check = jsonschema.Draft202012Validator(strict(schema(answer)))
    return [f"{error.json_path}: {error.message[:200]}" for error in check.iter_errors(told)]


@pytest.mark.parametrize(("answer", "command"), PRINTED)
def test_what_is_printed_is_what_the_schema_says_and_nothing_else(run, answer, command):
    code, out, err = run(*command, "--json")
    assert (code in (0, 1), err) == (True, "")
    assert faults(answer, json.loads(out)) == []


def test_a_job_and_a_resins_check_are_described_too(run, tmp_path):
    file = tmp_path / "deck.toml"
    _, out, _ = run("job", "new", UP, *S, *PLY, "--no-debulk", "--out", str(file), "--json")
    assert faults("job", json.loads(out)) == []
    assert faults("job", json.loads(run("job", "show", str(file), "--json")[1])) == []
    own = tmp_path / "own.toml"
    sheet = ["--monomer", "styrene=42%", "--viscosity", "450 cP", "--gel-time", "20 min"]
    run("resins", "new", "--family", "polyester", *sheet, "--out", str(own))
    assert faults("resins-check", json.loads(run("resins", "check", str(own), "--json")[1])) == []


def test_what_panels_teach_is_described_too(run, tmp_path):
    file = tmp_path / "panels.toml"
    panel = ["--resin", UP, *S, "--debulk", "90 mbar"]
    for cure, look in (("600 mbar", "clear"), ("450 mbar", "clear"), ("300 mbar", "milky")):
        run("panels", "add", str(file), *panel, "--cure", cure, "--look", look)
    file.write_text(file.read_text() + '[[panel]]\nlook = "odd"\n')
    shown = json.loads(run("panels", "show", str(file), "--json")[1])
    assert faults("panels-show", shown) == []
    assert [row["line"] for row in shown["left_out"]]
    for command in ("learn", "next"):
        told = json.loads(run("panels", command, str(file), "--json")[1])
        assert faults("panels-learn", told) == []
    advised = json.loads(run("advise", UP, *S, "--panels", str(file), "--json")[1])
    assert faults("advise", advised) == []
    assert advised["panels"] == 3


def test_random_jobs_print_what_the_schema_says():
    from drawn import draw

    asked = 0
    for seed in range(40):
        try:
            advice = draw(random.Random(seed), 0.15).advise()
        except OutgasError:
            continue
        asked += 1
        assert faults("advise", json.loads(advice.to_json())) == [], seed
    assert asked > 20


def test_every_answer_is_printed_here_and_every_schema_is_one():
    assert {answer for answer, _ in PRINTED} | {"job", "resins-check"} | PANELS == set(described())
    for answer in described():
        jsonschema.Draft202012Validator.check_schema(schema(answer))


@pytest.mark.parametrize(
    ("key", "wrong"),
    [("deepest_Pa", "deep"), ("safe", 1), ("version", 1), ("limiting", "luck"), ("cautions", None)],
)
def test_a_wrong_value_or_a_lost_key_is_found(key, wrong):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    told = json.loads(outgas.advise(UP, shop).to_json())
    assert faults("advise", told) == []
    assert len(faults("advise", {**told, key: wrong})) == 1
    assert len(faults("advise", {name: v for name, v in told.items() if name != key})) == 1


def test_asking_for_a_schema_leaves_the_table_as_it_was():
    assert schema("advise") == schema("advise") != {}


def test_units_are_told_where_the_key_names_them():
    advice = schema("advise")["$defs"]["advice"]["properties"]
    assert advice["setpoint_Pa"]["description"].endswith("; pascal, absolute")
    assert advice["hottest_K"]["description"] == "kelvin"
    assert "description" not in advice["resin"]


def snapshot():
    """Every record once, and what each answer begins with."""
    found = {answer: schema(answer) for answer in described()}
    records = {name: record for one in found.values() for name, record in one.pop("$defs").items()}
    return {"answers": found, "records": records}


def test_the_schemas_are_those_of_the_snapshot():
    kept = json.loads(SNAPSHOT.read_text(encoding="utf-8"))
    assert snapshot() == kept, "see the head of this file"


def test_the_command_prints_one_and_lists_them_all(run):
    assert json.loads(run("schema", "drop test")[1]) == schema("drop-test")
    code, out, _ = run("schema")
    assert (code, out.split()) == (0, described())
    code, _, err = run("schema", "advice")
    assert code == 2
    assert "did you mean advise" in err


if __name__ == "__main__":
    SNAPSHOT.write_text(json.dumps(snapshot(), indent=1, sort_keys=True) + "\n", encoding="utf-8")
