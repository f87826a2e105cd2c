"""Many cases from the command line: ranges, tables, charts for the wall, doubt."""

import csv
import io
import json

import pytest

from outgas.cli.commands.many import steps_of
from outgas.errors import InputError

UP = "orthophthalic-polyester"
HERE = ("--temperature", "24C", "--humidity", "50%")


def test_ranges_and_lists_become_steps_and_single_values_stay():
    assert steps_of("15 C to 35 C in 3") == ["15 C", "25 C", "35 C"]
    assert steps_of("40 %, 60 %") == ["40 %", "60 %"]
    assert steps_of("35C up to 42C") == "35C up to 42C"
    assert steps_of("27 mbar for 10 min, stirred") == ["27 mbar for 10 min", "stirred"]
    for wrong in ("15 C to 35 F in 3", "15 C to 35 C in 1", "15 C to 35 C in 999999999"):
        with pytest.raises(InputError, match="one unit"):
            steps_of(wrong)


def test_a_sweep_is_written_and_counted(run, tmp_path):
    path = tmp_path / "map.csv"
    code, out, _ = run(
        "sweep", UP, "--temperature", "16 C to 30 C in 8", "--humidity", "50%", "--out", str(path)
    )
    assert (code, out.splitlines()[0]) == (0, f"8 cases, 8 answered: {path}")
    assert out.splitlines()[1].startswith("Mind: ")
    rows = list(csv.DictReader(path.read_text().splitlines()))
    assert [float(row["temperature"]) for row in rows] == [16, 18, 20, 22, 24, 26, 28, 30]
    picture = tmp_path / "map.svg"
    code, _, _ = run(
        "sweep", UP, "--temperature", "16C, 30C", "--humidity", "50%", "--out", str(picture)
    )
    assert code == 0
    assert picture.exists()


def test_a_file_of_no_kind_is_one_line_and_nothing_is_written(run, tmp_path):
    path = tmp_path / "map.xls"
    code, out, err = run("sweep", UP, *HERE, "--out", str(path))
    assert code == 2
    assert not out
    assert len(err.splitlines()) == 1
    assert not path.exists()


def test_a_wall_chart_is_printed_or_written(run, tmp_path):
    code, out, _ = run("wall-chart", UP, "--altitude", "20m", "--dial", "mbar")
    assert code == 0
    assert "26 degC" in out
    code, out, _ = run("wall-chart", UP, "--json")
    assert len(json.loads(out)["cells"]) == 30
    for suffix in (".html", ".csv", ".txt"):
        path = tmp_path / f"chart{suffix}"
        assert run("wall-chart", UP, "--out", str(path))[0] == 0
        assert path.stat().st_size > 500
        assert path.stat().st_mode & 0o777 != 0o600  # for others to read too, as the user lets them
    code, _, err = run("wall-chart", UP, "--out", str(tmp_path / "chart.doc"))
    assert code == 2
    assert ".html" in err


def test_doubt_is_told_with_what_makes_it(run):
    code, out, _ = run("uncertainty", UP, *HERE, "--draws", "64")
    assert code == 0
    assert "alone" in out
    assert run("uncertainty", UP, *HERE, "--draws", "65")[0] == 2


def test_where_a_number_comes_from_is_told_and_the_weakest_are_ranked(run):
    code, out, _ = run("sources", "gas.laminate.trapped")
    assert code == 0
    assert "6 (3 to 12) [%]" in out
    assert "grade: estimate" in out
    assert "deepest" in out
    code, out, _ = run("sources", "--grades")
    assert (code, out.splitlines()[0]) == (0, "| grade | numbers | share |")
    code, out, _ = run("sources", "--weakest", "--temperature", "24C", "--json")
    told = json.loads(out)
    assert (code, told["kind"]) == (0, "outgas weakest numbers")
    assert told["numbers"][0]["name"] == "gas.laminate.connected"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["gas.laminate.traped"], "did you mean gas.laminate.trapped"),
        (["gas", "--weakest"], "ranks all numbers"),
        (["gas", "--temperature", "24C"], "--temperature tells a case"),
    ],
)
def test_what_sources_cannot_do_is_one_line(run, given, said):
    code, out, err = run("sources", *given)
    assert (code, out, len(err.splitlines())) == (2, "", 1)
    assert said in err


TABLE = "#name,temperature,humidity\na,24C,50%\nb,4C,50%\nc,25C,\n"


def test_a_table_of_jobs_is_answered_and_bad_rows_are_kept_apart(run, tmp_path):
    source, out = tmp_path / "jobs.csv", tmp_path / "answers.csv"
    source.write_text(TABLE)
    code, _, err = run(
        "advise", UP, "--from", str(source), "--out", str(out), "--no-voids", "--altitude", "20m"
    )
    assert code == 2
    assert "line 3:" in err
    assert "line 4:" in err
    rows = list(csv.DictReader(out.read_text().splitlines()))
    assert [row["#name"] for row in rows] == ["a"]
    apart = list(csv.DictReader((tmp_path / "answers.refused.csv").read_text().splitlines()))
    assert [row["#name"] for row in apart] == ["b", "c"]


def test_a_table_comes_by_a_pipe_and_leaves_by_one(run, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO(TABLE.splitlines()[0] + "\na,24C,50%\n"))
    code, out, err = run("advise", UP, "--from", "-", "--no-voids")
    assert (code, err[:5]) == (0, "Mind:")
    assert next(csv.DictReader(io.StringIO(out)))["outcome"] == "answered"


def test_a_bad_header_writes_nothing(run, tmp_path):
    source, out = tmp_path / "jobs.csv", tmp_path / "answers.csv"
    source.write_text("temperatur\n24C\n")
    code, _, err = run("advise", UP, "--from", str(source), "--out", str(out))
    assert code == 2
    assert "temperature" in err
    assert list(tmp_path.iterdir()) == [source]
    assert run("advise", UP, "--from", str(tmp_path / "none.csv"))[0] == 2
