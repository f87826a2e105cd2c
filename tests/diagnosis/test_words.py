"""A diagnosis in words, and its command."""

import json
import pickle
import re
import subprocess
import sys

import pytest

import outgas
from outgas.cli.main import main
from outgas.show import report

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "22C", "--humidity", "50%"]


@pytest.fixture
def run(capsys):
    def go(*arguments):
        code = main(["diagnose", "--full", *arguments])
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
    assert "100%" not in out.split("Assumed")[0]
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
        trapped="4 %",
        connected="70 %",
        finish="clear",
        no_debulk=True,
        low_gas_initiator=True,
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
        *["--core", "15 mm PVC foam", "--area", "0.8 m2", "--trapped", "4%"],
        *["--connected", "70%", "--finish", "clear", "--no-debulk", "--low-gas-initiator"],
    ]
    assert run(UP, *options)[1] == lib.to_text(full=True) + "\n"
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


# Numbers and lines ------------------------------------------------------------------------------

CASES = [
    (UP, {"where": "on strands", "degassed": "yes"}, "wet layup", "40 to 90 mbar"),
    (UP, {"bubbles": "fine"}, "infusion", "weak bag"),
    ("epoxy-laminating", {"tap": "hollow"}, "wet layup", "150 mbar"),
    ("resole-phenolic", {}, "wet layup", "28 inHg vacuum"),
]


def why(resin, seen, process, bag):
    shop = outgas.Shop(temperature="22 degC", humidity="60 %")
    return outgas.diagnose(resin, shop, seen=seen, process=process, bag_pressure=bag)


@pytest.mark.parametrize("case", CASES)
def test_nothing_but_the_words_changes_when_every_line_is_nonsense(case, monkeypatch):
    def choices(found):
        given = found.to_dict()
        given.pop("bag")
        given["impossible"] = list(given["impossible"])
        for key in ("assumptions", "cautions"):
            given[key] = len(given[key])
        for cause in given["causes"]:
            for key in ("evidence_for", "evidence_against"):
                cause[key] = len(cause[key])
            cause.pop("acts")
            cause["change"] = [change["pressures_Pa"] for change in cause["change"]]
        if given["ask"] is not None:  # the answers that are pressures are words too
            given["ask"]["points"] = list(given["ask"]["points"].values())
        return given

    sense = choices(why(*case))
    plain = report.Line.__init__

    def nonsense(line, text, pressures=(), *_, **__):
        plain(line, "glim " + " ".join("{}" for _ in pressures), pressures)

    monkeypatch.setattr(report.Line, "__init__", nonsense)
    scrambled = why(*case)
    assert "glim" in scrambled.causes[0].acts
    assert choices(scrambled) == sense


BAG_PRESSURE = re.compile(r"(?<!\()\b(\d+(?:\.\d+)?) mbar\b(?! absolute\))")
# What pushes back, what is left, a clamp and a loss are no reading of the bag.
NO_READING = (
    re.compile(r"pushes \d+ mbar( more)?"),
    re.compile(r"the air left in the resin \(\d+ mbar\)"),
    re.compile(r"a clamp of \d+ mbar"),
    re.compile(r"it may lose \d+ mbar \([\d.]+ inHg\)[^)]*in five minutes[^)]*\)"),
)


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("dial", ["bar", "inHg", "percent"])
def test_every_bag_pressure_of_a_cause_follows_a_chosen_dial(case, dial):
    found = why(*case)
    of_causes = [
        line.on(found.barometer_Pa, dial)
        for cause in found.causes
        for line in (
            *cause.speaks_for,
            *cause.speaks_against,
            cause.when,
            *(change.line for change in cause.change if change.pressures_Pa),
        )
    ]
    told = [found.bag.on(found.barometer_Pa, dial)]
    told += [line.on(found.barometer_Pa, dial) for line in found.ruled_out.values()]
    told += [found.ask.answer(said).on(found.barometer_Pa, dial) for said in found.ask.points]
    for line in (*of_causes, *told):
        rest = line
        for allowed in NO_READING:
            rest = allowed.sub("", rest)
        left = [float(number) for number in BAG_PRESSURE.findall(rest)]
        assert all(mbar * 100.0 > found.barometer_Pa for mbar in left), line


def test_a_pressure_that_is_asked_for_is_asked_on_the_chosen_dial():
    found = why(UP, {"degassed": "no"}, "wet layup", "very good bag")
    assert found.ask.question == "bag pressure"
    assert "inHg vacuum" not in found.to_text(full=True).splitlines()[1]
    assert found.to_text("inHg", full=True).splitlines()[1].count("inHg vacuum") >= 2
    assert " mbar or" not in found.to_text("bar", full=True).splitlines()[1]
    for said in found.ask.points:
        assert said.endswith(" mbar")
        assert found.ask.answer(said).on(found.barometer_Pa, None) == said
        assert "bar gauge (" in found.ask.answer(said).on(found.barometer_Pa, "bar")
        assert not BAG_PRESSURE.search(found.ask.answer(said).on(found.barometer_Pa, "bar"))


def test_a_diagnosis_can_be_kept_in_a_file_and_read_again():
    found = why(*CASES[0])
    again = pickle.loads(pickle.dumps(found))
    assert again.to_text("bar", full=True) == found.to_text("bar", full=True)
    assert again.to_json() == found.to_json()


def test_more_than_the_air_is_named_in_mbar_on_any_dial():
    """In an autoclave the resin's pressure is above the air's, where no vacuum dial reads."""
    found = outgas.diagnose(
        "out-of-autoclave-epoxy-prepreg",
        outgas.Shop(temperature="22 degC", humidity="60 %"),
        process="prepreg",
        rig=outgas.Rig(autoclave="5 bar"),
    )
    (pushed,) = found.cause("moisture").speaks_against
    for dial in (None, "bar", "inHg"):
        assert "against 6014 mbar in the resin" in pushed.on(found.barometer_Pa, dial)


def test_a_bag_that_was_read_is_not_told_what_would_agree_better():
    seen = {"where": "on strands", "bubbles": "fine"}
    for bag, told in (
        ("700 mbar", False),
        ("20 inHg vacuum", False),
        ("600 to 700 mbar", False),
        ("weak bag", True),
        (None, True),
    ):
        found = why(UP, seen, "wet layup", bag)
        assert ("What it says of the bag" in found.to_text(full=True)) is told, bag
        assert ("agrees best" in found.to_text(full=True)) is told, bag
        assert found.to_dict()["bag_read"] is not told
        assert found.of_bag  # a script may still ask
