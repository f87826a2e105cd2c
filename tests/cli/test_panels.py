"""A shop's own panels on the command line."""

import json

import pytest

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "22C", "--humidity", "50%"]
COMMON = f'resin = "{UP}"\ntemperature = "22C"\nhumidity = "50%"\ndebulk = "90 mbar"\n'


@pytest.fixture
def log(tmp_path):
    told = [(600, "clear"), (500, "clear"), (450, "clear"), (440, "clear"), (350, "milky")]
    rows = "".join(f'[[panel]]\ncure = "{p} mbar"\nlook = "{look}"\n' for p, look in told)
    path = tmp_path / "panels.toml"
    path.write_text(COMMON + rows + '[[panel]]\ncure = "nowhere"\nlook = "clear"\n')
    return str(path)


def test_a_panel_is_added_shown_and_learnt_from(run, tmp_path):
    path = str(tmp_path / "own.toml")
    panel = ["--resin", UP, *SHOP, "--cure", "600 mbar", "--look", "clear"]
    code, out, err = run("panels", "add", path, *panel, "--ply", "2 x 400 g/m2 woven glass")
    assert (code, err) == (0, "")
    assert "outgas panels learn" in out
    assert "cure 600 mbar, clear" in run("panels", "show", path)[1]
    code, out, _ = run("panels", "learn", path)
    assert code == 0
    assert out.startswith("1 panel learnt from.")


def test_an_advice_says_what_it_rests_on_and_by_how_much_it_moved(run, log):
    code, out, err = run("advise", UP, *SHOP, "--panels", log)
    assert (code, err) == (0, "")
    assert "By 5 of your panels: the limit lies" in out
    told = json.loads(run("advise", UP, *SHOP, "--panels", log, "--json")[1])
    assert told["deepest_Pa"] < told["deepest_by_tables_Pa"]
    assert told["asked"] is None
    setpoint = run("advise", UP, *SHOP, "--panels", log, "--quiet", "--dial", "mbar")[1]
    assert float(setpoint.split()[0]) * 100.0 == pytest.approx(told["setpoint_Pa"], abs=100.0)


def test_a_row_that_cannot_be_read_is_named_and_the_rest_is_learnt(run, log):
    _, out, _ = run("panels", "learn", log, "--full")
    assert "5 panels learnt from; 1 left out." in out
    assert "line 20: no bag is called 'nowhere'" in " ".join(out.split())


def test_the_next_panel_has_its_candidates_and_cautions(run, log):
    code, out, _ = run("panels", "next", log, "--full", "--dial", "mbar")
    assert code == 0
    assert "Candidates" in out
    assert "never try a deeper bag on the job itself" in " ".join(out.split())


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (["panels", "learn", "none.toml"], "cannot read none.toml"),
        (["panels", "show", "none.csv"], "cannot read none.csv"),
        (["advise", UP, *SHOP, "--panels", "none.toml"], "cannot read none.toml"),
        (["panels", "add", "x.toml", "--resin", UP, "--look", "clera"], "did you mean clear?"),
        (["panels", "add", "x.toml", "--look", "clear", "--cure", "1 bar"], "says no resin"),
    ],
)
def test_what_cannot_be_used_is_refused_in_a_line_and_nothing_is_written(
    run, tmp_path, monkeypatch, command, words
):
    monkeypatch.chdir(tmp_path)
    code, out, err = run(*command)
    assert (code, out) == (2, "")
    assert words in err
    assert all(line.startswith("outgas: ") for line in err.splitlines())
    assert list(tmp_path.iterdir()) == []


def test_a_shop_may_be_told_beside_a_log(run, tmp_path):
    path = tmp_path / "panels.toml"
    path.write_text(f'[[panel]]\nresin = "{UP}"\ncure = "600 mbar"\nlook = "clear"\n')
    code, _, err = run("panels", "learn", str(path))
    assert code == 2
    assert "no panel can be learnt from: line 1: no temperature is told" in err
    assert run("panels", "learn", str(path), *SHOP)[0] == 0
    assert "add --humidity" in run("panels", "learn", str(path), "--temperature", "22C")[2]


def test_schedule_diagnose_sweep_and_pictures_take_a_log(run, log, tmp_path):
    ply = ["--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2"]
    assert run("schedule", UP, *SHOP, *ply, "--panels", log)[2] == ""
    assert run("diagnose", UP, *SHOP, "--bag", "400 mbar", "--panels", log)[:1] == (0,)
    picture = str(tmp_path / "why.svg")
    assert run("draw", "diagnose", UP, *SHOP, "--panels", log, "--out", picture)[0] == 0
    table = str(tmp_path / "map.csv")
    asked = ["sweep", UP, "--temperature", "20C, 24C", "--humidity", "50%", "--out", table]
    assert run(*asked, "--panels", log, "--quiet")[0] == 0
