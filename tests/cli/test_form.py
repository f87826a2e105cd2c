"""How much is printed: short, full, a part, quiet; on which dial, how wide."""

import json

import pytest

from outgas.cli import form

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag"
COMMANDS = [
    ["advise", UP, *SHOP],
    ["schedule", UP, *SHOP, "--process", "degassing"],
    ["press", UP, *SHOP, "--area", "1 m2"],
    ["bleed", UP, "--ply", "400 g/m2 woven glass", "--area", "1 m2", "--gained", "60 g"],
    ["diagnose", UP, *SHOP, "--bag", "28 inHg vacuum"],
    ["no-gauge", "belief", UP, *SHOP, "--boiled", "20C"],
    ["no-gauge", "belief", "--boiled", "20C"],
    ["no-gauge", "next", UP, *SHOP],
    ["no-gauge", "telltale", UP, *SHOP],
    ["no-gauge", "hold", UP, *SHOP, "--rig", RIG],
    ["no-gauge", "drop-test", "--rise", "1 inHg", "--time", "1 h 5 min", "--rig", RIG],
]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: " ".join(c[:3]))
def test_every_command_is_short_by_default_and_tells_all_when_asked(run, command):
    code, brief, err = run(*command)
    assert err == ""
    lines = brief.splitlines()
    assert len(lines) <= 14
    assert max(map(len, lines)) <= 80
    again, full, _ = run(*command, "--full")
    assert again == code
    assert len(full) > len(brief)
    _, careful, _ = run(*command, "--cautions")
    shown = [line for line in lines if line.startswith("! ")]
    assert 1 <= len(shown) <= 3
    for line in careful.splitlines():
        assert line in full
    assert careful.strip()
    assert json.loads(run(*command, "--json")[1])["version"] >= 1


def test_parts_are_those_of_the_full_text(run):
    _, full, _ = run("advise", UP, *SHOP, "--full")
    for part, title in (("--why", "Why"), ("--do", "What to do"), ("--cautions", "Cautions")):
        _, text, _ = run("advise", UP, *SHOP, part)
        assert text.startswith(f"{title}\n")
        assert text.rstrip("\n") in full
    _, two, _ = run("advise", UP, *SHOP, "--do", "--cautions")
    assert "Cautions\n" in two
    assert "Assumed\n" not in two
    _, none, _ = run("no-gauge", "belief", "--boiled", "20C", "--do")
    assert none == "Nothing of that here; see --full.\n"
    _, change, _ = run("diagnose", UP, *SHOP, "--do")
    assert change.startswith("What to change\n")


def test_quiet_prints_the_setpoint_alone_and_nothing_without_one(run):
    assert run("advise", UP, *SHOP, "--quiet") == (0, "13.4 inHg vacuum\n", "")
    assert run("advise", UP, *SHOP, "--quiet", "--dial", "mbar") == (0, "557 mbar absolute\n", "")
    assert run("advise", UP, *SHOP, "--quiet", "--altitude", "2500m") == (1, "", "")
    code, out, _ = run("advise", UP, *SHOP, "--quiet", "--bag", "29 inHg vacuum")
    assert (code, out) == (1, "13.4 inHg vacuum\n")


@pytest.mark.parametrize(
    "two", [["--full", "--why"], ["--quiet", "--full"], ["--json", "--cautions"]], ids=str
)
def test_two_ways_to_print_are_refused(run, two):
    code, out, err = run("advise", UP, *SHOP, *two)
    assert (code, out) == (2, "")
    assert all(option in err for option in two)


def test_json_keeps_all_whatever_units_are_printed(run):
    _, metric, _ = run("advise", UP, *SHOP, "--json")
    _, us, _ = run("advise", UP, *SHOP, "--json", "--units", "us", "--full")
    assert metric == us
    assert len(json.loads(us)["cautions"]) == 8


def test_units_and_dials_there_are_not_are_refused_by_name(run):
    assert "no units is called 'imperial'" in run("advise", UP, *SHOP, "--units", "imperial")[2]
    assert run("advise", UP, *SHOP, "--dial", "PSI")[1].startswith("Debulk at -13.")


def test_it_is_as_wide_as_the_terminal_and_eighty_in_a_pipe(monkeypatch):
    assert form.columns() == 80
    monkeypatch.setattr(form.sys, "stdout", type("Screen", (), {"isatty": lambda self: True})())
    monkeypatch.setenv("COLUMNS", "132")
    assert form.columns() == 132
    monkeypatch.setenv("COLUMNS", "12")
    assert form.columns() == form.NARROWEST
