"""A resin of one's own on the command line, from its data sheet to a plan and a diagnosis."""

import io
import json

import pytest

import outgas

SHEET = [
    *("--family", "polyester", "--monomer", "styrene=40%", "--density", "1.1"),
    *("--viscosity", "450 cP", "--gel-time", "20 min", "--time-to-peak", "36 min"),
    *("--peak-temperature", "155C", "--initiator-level", "1 to 2 %"),
    *("--minimum-temperature", "15C", "--name", "my-resin"),
]
SHOP = ["--temperature", "20C", "--humidity", "50%"]
LAID = ["--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2", "--tool", "18 mm plywood"]


@pytest.fixture(autouse=True)
def nobody_answers(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO(""))


def test_a_data_sheet_becomes_a_resin_that_every_command_takes(run, tmp_path):
    assert sum(word.startswith("--") for word in SHEET) < 12
    path = str(tmp_path / "my.toml")
    assert run("resins", "new", *SHEET, "--out", path) == (0, "", "")
    code, out, err = run("resins", "check", path)
    assert (code, err) == (0, "")
    assert "wrong" not in out
    assert "missing" not in out
    assert "doubtful" not in out
    assert "advises: my-resin" in out
    code, out, err = run("resins", "show", path)
    assert (code, err) == (0, "")
    code, out, err = run("advise", "--full", path, *SHOP, "--process", "wet lay-up", "--json")
    assert (code, err) == (0, "")
    assert json.loads(out)["resin"] == "my-resin"
    code, out, err = run("schedule", "--full", path, *SHOP, *LAID)
    assert (code in (0, 1), err) == (True, "")
    assert "min" in out
    code, out, err = run("diagnose", "--full", path, *SHOP, "--bag", "-28 inHg", *LAID)
    assert (code, err) == (0, "")
    assert out


def test_without_out_the_file_goes_to_standard_output(run, tmp_path):
    code, out, err = run("resins", "new", *SHEET)
    assert (code, err) == (0, "")
    path = tmp_path / "my.toml"
    path.write_text(out, encoding="utf-8")
    assert outgas.resin(path).name == "my-resin"


def test_a_file_that_is_there_is_replaced_only_when_forced(run, tmp_path):
    path = tmp_path / "my.toml"
    path.write_text("mine\n")
    code, out, err = run("resins", "new", *SHEET, "--out", str(path))
    assert (code, out) == (2, "")
    assert "is there already" in err
    assert path.read_text() == "mine\n"
    assert run("resins", "new", *SHEET, "--out", str(path), "--force")[0] == 0
    assert outgas.resin(path).name == "my-resin"


def test_a_sheet_that_is_refused_leaves_no_file(run, tmp_path):
    path = tmp_path / "my.toml"
    code, _, err = run("resins", "new", *SHEET, "--time-to-peak", "10 min", "--out", str(path))
    assert code == 2
    assert "not after the gel time" in err
    assert list(tmp_path.iterdir()) == []


def test_what_is_missing_is_told_by_its_option_and_nothing_is_asked(run):
    code, out, err = run("resins", "new", "--monomer", "styrene=40%")
    assert (code, out) == (2, "")
    for option in ("--family", "--viscosity", "--gel-time"):
        assert f"give {option}, as" in err
    told = ["--viscosity", "600 cP", "--gel-time", "30 min"]
    code, _, err = run("resins", "new", "--family", "polyester", *told)
    assert (code, err) == (2, "outgas: give --monomer, as 'styrene=40%'\n")
    code, _, err = run("resins", "new", "--family", "epoxy", *told)
    assert code == 2
    assert "--gel-of is missing" in err


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_at_a_terminal_what_is_missing_is_asked(run, monkeypatch):
    monkeypatch.setattr("sys.stdin", Terminal("polyester\n450 cP\n20 min\nstyrene=40%\n"))
    code, out, err = run("resins", "new")
    assert code == 0
    assert 'family = "polyester"' in out
    assert "monomer, as 'styrene=40%'" in err


def test_a_file_that_cannot_be_used_ends_with_code_two_and_says_why_in_json(run, tmp_path):
    path = tmp_path / "my.toml"
    _, out, _ = run("resins", "new", *SHEET)
    path.write_text(out.replace('"peroxide"', '"peroxid"'), encoding="utf-8")
    code, out, _ = run("resins", "check", str(path), "--json")
    assert code == 2
    found = json.loads(out)
    assert (found["kind"], found["usable"]) == ("outgas resin check", False)
    assert found["remarks"][0]["field"] == "initiator"
