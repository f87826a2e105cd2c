"""outgas draw: what a command answers, as a picture."""

import pytest

from outgas.show import draw

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]
COMMANDS = {
    "advise": [UP, *SHOP],
    "schedule": [UP, *SHOP, "--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2"],
    "diagnose": [UP, *SHOP, "--seen", "where=on strands"],
    "belief": ["--altitude", "20m", "--boiled", "29C"],
}
BEGINS = {"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF"}


@pytest.mark.parametrize("kind", draw.FORMATS)
@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_draws_into_every_kind_of_file(run, tmp_path, command, kind):
    path = tmp_path / f"picture.{kind}"
    _, out, err = run("draw", command, *COMMANDS[command], "--out", str(path))
    assert err == ""
    assert out.startswith(f"{path}: ")
    assert path.read_bytes().startswith(BEGINS[kind])


def test_the_exit_code_is_that_of_the_command_itself(run, tmp_path):
    out = ["--out", str(tmp_path / "a.svg")]
    for arguments in (
        ["advise", UP, *SHOP],
        ["advise", UP, *SHOP, "--bag", "29 inHg vacuum"],
        ["advise", UP, *SHOP, "--no-debulk"],
        ["schedule", *COMMANDS["schedule"]],
        ["diagnose", *COMMANDS["diagnose"]],
    ):
        assert run("draw", *arguments, *out)[0] == run(*arguments)[0], arguments
    looks = COMMANDS["belief"]
    assert run("draw", "belief", *looks, *out)[0] == run("no-gauge", "belief", *looks)[0]


def test_a_chart_is_chosen_by_name_and_on_a_dial(run, tmp_path):
    path = tmp_path / "a.svg"
    where = ["--out", str(path), "--chart", "voids", "--dial", "bar"]
    code, out, _ = run("draw", "advise", UP, *SHOP, *where)
    assert code == 0
    assert out == f"{path}: Voids to expect against the pressure of the cure\n"
    text = path.read_text(encoding="utf-8")
    assert "bar gauge" in text
    assert "inHg" not in text


def test_the_other_charts_are_named_where_none_was_chosen(run, tmp_path):
    _, out, _ = run("draw", "advise", UP, *SHOP, "--out", str(tmp_path / "a.svg"))
    assert "other charts, by --chart: temperature, humidity, altitude, voids" in out


def test_dark_is_another_ground(run, tmp_path):
    light, dark = tmp_path / "light.svg", tmp_path / "dark.svg"
    run("draw", "advise", UP, *SHOP, "--out", str(light))
    run("draw", "advise", UP, *SHOP, "--out", str(dark), "--dark")
    assert draw.DARK.paper in dark.read_text()
    assert draw.DARK.paper not in light.read_text()


@pytest.mark.parametrize("command", COMMANDS)
def test_an_unknown_suffix_is_one_line_and_bad_input_before_any_work(run, tmp_path, command):
    path = tmp_path / "a.jpeg"
    code, out, err = run("draw", command, *COMMANDS[command], "--out", str(path))
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert ".svg, .png, .pdf" in err
    assert not path.exists()


def test_an_unknown_chart_is_one_line_with_the_nearest(run, tmp_path):
    where = ["--out", str(tmp_path / "a.svg"), "--chart", "humid"]
    code, out, err = run("draw", "advise", UP, *SHOP, *where)
    assert (code, out) == (2, "")
    assert "did you mean humidity" in err


def test_without_matplotlib_the_line_names_what_installs_it(run, tmp_path, monkeypatch):
    monkeypatch.setattr(draw, "can_draw", lambda: False)
    path = tmp_path / "a.svg"
    code, out, err = run("draw", "advise", UP, *SHOP, "--out", str(path))
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "python -m pip install matplotlib" in err
    assert not path.exists()


def test_an_old_picture_stays_whole_where_a_new_one_is_refused(run, tmp_path):
    path = tmp_path / "a.svg"
    path.write_text("old")
    run("draw", "advise", UP, *SHOP, "--out", str(path), "--chart", "none")
    assert path.read_text() == "old"


def test_a_saved_job_is_drawn_as_its_options_are(run, tmp_path):
    job = tmp_path / "deck.toml"
    job.write_text(f'resin = "{UP}"\ntemperature = "26C"\nhumidity = "60%"\naltitude = "20m"\n')
    by_job, by_options = tmp_path / "a.svg", tmp_path / "b.svg"
    assert run("draw", "advise", "--job", str(job), "--out", str(by_job))[0] == 0
    run("draw", "advise", UP, *SHOP, "--out", str(by_options))
    assert by_job.read_bytes() == by_options.read_bytes()


def test_options_of_a_resins_case_are_refused_without_a_resin(run, tmp_path):
    where = ["--out", str(tmp_path / "a.svg"), "--temperature", "22C"]
    code, _, err = run("draw", "belief", *COMMANDS["belief"], *where)
    assert code == 2
    assert "--temperature 22C: not used without a RESIN" in err
