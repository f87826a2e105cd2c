"""outgas job: a file written from options, and one read back as it is understood."""

import json
import sys
from io import StringIO

import pytest

import outgas

UP = "orthophthalic-polyester"
NEEDED = ["--temperature", "26C", "--humidity", "60%"]


@pytest.fixture
def out(tmp_path):
    return tmp_path / "deck.toml"


def test_what_is_written_is_what_was_told_and_reads_back(run, out):
    code, text, err = run(
        *["job", "new", UP, "--out", str(out), *NEEDED, "--ply", "2 x 400 g/m2 woven glass"],
        *["--ply", "core", "--core", "15 mm PVC foam", "--no-debulk", "--dial", "mbar"],
    )
    assert (code, err) == (0, "")
    assert text == f"{out} written. Try: outgas advise --job {out}\n"
    assert outgas.read_job(out) == outgas.Job(
        resin=UP, temperature="26C", humidity="60%", ply=["2 x 400 g/m2 woven glass", "core"],
        core="15 mm PVC foam", no_debulk=True, dial="mbar",
    )  # fmt: skip


def test_as_json_the_job_stands_beside_its_file(run, out):
    code, text, _ = run("job", "new", UP, "--out", str(out), *NEEDED, "--json")
    got = json.loads(text)
    assert code == 0
    assert got["file"] == str(out)
    assert outgas.Job.from_dict(got["job"]) == outgas.read_job(out)


def test_without_a_terminal_what_is_missing_is_an_error_and_nothing_is_written(run, out):
    code, text, err = run("job", "new", "--out", str(out), "--humidity", "160%", "--core", "cheese")
    assert (code, text) == (2, "")
    lines = err.splitlines()
    assert [line.split(" is ")[0] for line in lines] == [
        "outgas: resin",
        "outgas: temperature",
        "outgas: humidity: humidity",
        "outgas: core: core",
    ]
    assert "give --temperature, as 26C" in lines[1]
    assert list(out.parent.iterdir()) == []


def test_on_a_terminal_it_asks_for_what_is_missing_alone(run, out, monkeypatch):
    typed = StringIO("26C\n60%\n")
    typed.isatty = lambda: True
    monkeypatch.setattr(sys, "stdin", typed)
    code, text, _ = run("job", "new", UP, "--out", str(out))
    assert code == 0
    assert "Temperature, air in the shop, as 26C" in text
    assert "Resin" not in text
    assert outgas.read_job(out) == outgas.Job(resin=UP, temperature="26C", humidity="60%")


def test_a_file_that_stands_there_is_kept_but_for_force(run, out):
    out.write_text("mine", encoding="utf-8")
    code, _, err = run("job", "new", UP, "--out", str(out), *NEEDED)
    assert code == 2
    assert err == f"outgas: {out} is there already; --force writes over it\n"
    assert out.read_text(encoding="utf-8") == "mine"
    assert run("job", "new", UP, "--out", str(out), *NEEDED, "--force")[0] == 0
    assert outgas.read_job(out).resin == UP


def test_a_wrong_answer_leaves_the_old_file_even_with_force(run, out):
    out.write_text("mine", encoding="utf-8")
    assert run("job", "new", UP, "--out", str(out), "--temperature", "x", "--force")[0] == 2
    assert out.read_text(encoding="utf-8") == "mine"


def test_what_is_shown_is_how_it_is_understood_and_what_is_not_said(run, out):
    out.write_text(
        'temperature = "79F"\nply = ["2 x 400 g/m2 woven glass"]\nno_debulk = true\n',
        encoding="utf-8",
    )
    code, text, err = run("job", "show", str(out))
    assert (code, err) == (0, "")
    lines = text.splitlines()
    assert lines[0] == f"{out}: 3 keys, understood as"
    assert "  - temperature 79F: 26.11 degC" in lines
    assert "  - ply 2 x 400 g/m2 woven glass: 2 x 400 g/m2 woven glass cloth" in lines
    assert "  - no_debulk true: yes" in lines
    assert lines[-1] == "Not said: resin, humidity; give them on the command line."


def test_a_job_is_shown_as_json_and_from_the_shell_too(run, out, monkeypatch):
    run("job", "new", UP, "--out", str(out), *NEEDED)
    monkeypatch.setenv("OUTGAS_JOB", str(out))
    got = json.loads(run("job", "show", "--json")[1])
    assert outgas.Job.from_dict(got["job"]) == outgas.read_job(out)
    assert got["understood"]["temperature"] == "26 degC"
    assert got["missing"] == []


def test_a_broken_job_is_shown_no_better_than_it_is_read(run, out):
    out.write_text('temprature = "26C"\ndried = "8 days ago"\n', encoding="utf-8")
    code, text, err = run("job", "show", str(out))
    assert (code, text) == (2, "")
    assert len(err.splitlines()) == 2
