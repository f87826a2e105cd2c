"""A diagnosis in words, and its command."""

import json
import re
import subprocess
import sys

import pytest

import outgas
from outgas.cli.main import main

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "22C", "--humidity", "50%"]


@pytest.fixture
def run(capsys):
    def go(*arguments):
        code = main.main(["diagnose", *arguments])
        got = capsys.readouterr()
        return code, got.out, got.err

    return go


def test_the_first_lines_are_the_answer_and_the_next_question(run):
    code, out, err = run(UP, *SHOP, "--bag", "very good bag", "--seen", "degassed=no")
    first, second = out.splitlines()[:2]
    assert (code, err) == (0, "")
    assert first.startswith(
        "Cannot tell from this alone. Most likely air dissolved in the resin came out"
    )
    assert "then the resin boiled" in first
    assert second.startswith("Check this: what was the bag's pressure?")
    for title in ("How it matters", "Less likely", "Ruled out", "Assumed", "Cautions"):
        assert f"\n\n{title}\n" in out


def test_a_clear_lead_is_said_as_likely_never_as_certain(run):
    _, out, _ = run("bisphenol-a-vinyl-ester", *SHOP, "--seen", "cup=foamed", "--seen", "tap=sound")
    assert out.startswith("Most likely the initiator gave off gas (")
    assert "next " in out.splitlines()[0]
    assert "100%" not in out
    assert "To be surer: " in out


def test_pressures_to_change_stand_on_the_users_dial(run):
    inHg = run(UP, *SHOP, "--bag", "60 mbar")[1]
    bar = run(UP, *SHOP, "--bag", "60 mbar", "--dial", "bar")[1]
    assert "inHg vacuum" in inHg
    assert "bar gauge" in bar
    assert "inHg" not in bar


def test_no_dial_is_asked_for_more_than_the_air_and_other_gas_is_named_in_front(run):
    out = run("resole-phenolic", *SHOP, "--bag", "28 inHg vacuum")[1]
    assert not re.search(r"-\d+\.\d inHg", out)
    assert "mbar absolute or above and the clamp needs" in " ".join(out.split())
    assert "Most likely something not in the list (" in out.splitlines()[0]


def test_json_and_text_are_what_the_library_says(run):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], core="15 mm PVC foam", area="0.8 m2")
    lib = outgas.diagnose(
        UP,
        shop,
        process="core bonding",
        seen={"where": "core side", "leak test": "passed"},
        bag_pressure="40 to 90 mbar",
        layup=layup,
        hottest="35 degC",
        degassed="200 mbar",
        entrained="0.4 %",
        water_activity=0.4,
        contaminants={"acetone": "1 %"},
        rig=outgas.Rig(autoclave="1 bar"),
        reads_with="sensor 5 mbar",
    )
    options = [
        *SHOP,
        *["--process", "core-bonding", "--bag", "40 to 90 mbar", "--hottest", "35C"],
        *["--seen", "where=core side", "--seen", "leak-test=passed", "--degassed", "200 mbar"],
        *["--entrained", "0.4%", "--water-activity", "0.4", "--contaminant", "acetone=1%"],
        *[
            "--autoclave",
            "1 bar",
            "--reads-with",
            "sensor 5 mbar",
            "--ply",
            "2 x 400 g/m2 woven glass",
        ],
        *["--core", "15 mm PVC foam", "--area", "0.8 m2"],
    ]
    assert run(UP, *options)[1] == str(lib) + "\n"
    code, out, _ = run(UP, *options, "--json")
    assert code == 0
    assert json.loads(out) == json.loads(lib.to_json())


def test_the_questions_are_listed_without_a_resin(run):
    code, out, _ = run("--questions")
    assert code == 0
    for question, answers in outgas.questions().items():
        assert f"\n{question}: " in out
        for answer in answers:
            assert f"  {answer}" in out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--seen", "wear=on strands"], "no question is called 'wear'; did you mean where"),
        (["--seen", "where=on strand"], "did you mean on strands"),
        (["--seen", "where"], "write it as 'where=on strands'"),
        (["--bag", "god bag"], "did you mean good bag"),
        (["--bag", "29 inHg"], "two meanings"),
        (["--dial", "furlong"], "no dial is called"),
        (["--process", "degassing"], "a pot has no laminate"),
        (["--contaminant", "acetone"], "write it as 'acetone=1%'"),
    ],
)
def test_bad_input_is_one_line_and_code_2(run, arguments, message):
    code, out, err = run(UP, *SHOP, *arguments)
    assert code == 2
    assert out == ""
    assert message in err
    assert err.count("\n") == 1


def test_what_should_not_have_been_laid_up_is_said_and_exits_0(run):
    code, out, _ = run(
        "epoxy-laminating", "--temperature", "24C", "--humidity", "90%", "--tool-temperature", "18C"
    )
    assert code == 0
    assert out.splitlines()[2].startswith("Whatever the cause, it should not have been laid up:")


def test_it_runs_as_a_program():
    done = subprocess.run(
        [sys.executable, "-m", "outgas", "diagnose", UP, *SHOP],
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stdout.startswith("Cannot tell")
