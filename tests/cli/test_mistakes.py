"""Bad input on the command line: each mistake in its line, all at once, in a builder's words."""

import re

import pytest

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%"]
# What nobody without Python could make sense of.
PYTHON = re.compile(
    r"\b(None|True|False|NoneType|TypeError|ValueError|KeyError|AttributeError|Traceback|dict|"
    r"tuple|float|str|int|lambda|self|kwargs)\b|outgas\.\w|\b(Layup|Rig|Shop|Job)\(|\{'|object at"
)


def lines_of(run, *arguments):
    code, out, err = run(*arguments)
    assert (code, out) == (2, ""), (code, err)
    lines = err.splitlines()
    assert all(line.startswith("outgas: ") for line in lines)
    assert not PYTHON.search(err), err
    return lines


@pytest.mark.parametrize("command", [["advise"], ["schedule"], ["no-gauge", "next"], ["diagnose"]])
def test_every_mistake_is_told_at_once(run, command):
    lines = lines_of(
        run, *command, "epoxi", "--temperature", "26", "--humidity", "wet", "--ply", "foo",
        "--core", "15 mm cheese", "--contaminant", "acetone", "--reads-with", "eyes",
        "--process", "spray", "--void-target", "lots", "--gel-time", "soon",
    )  # fmt: skip
    words = (
        *("temperature is '26'", "humidity is 'wet'", "ply is 'foo'", "core is called 'cheese'"),
        *("contaminant is 'acetone'", "'eyes'", "process is called 'spray'", "is 'lots'"),
        *("is 'soon'", "resin is called 'epoxi'"),
    )
    assert len(lines) == len(words)
    for word in words:
        assert sum(word in line for line in lines) == 1, word


def test_mistakes_beside_a_sound_shop_are_told_at_once_too(run):
    lines = lines_of(
        run, "advise", UP, *SHOP, "--process", "spray", "--hottest", "zz", "--initiator", "9%"
    )
    assert len(lines) == 3


def test_one_mistake_in_a_shop_brings_no_other_with_it(run):
    assert len(lines_of(run, "advise", UP, "--temperature", "26", "--humidity", "60%")) == 1


@pytest.mark.parametrize(
    "arguments",
    [
        ["schedule", UP, *SHOP],
        ["schedule", UP, *SHOP, "--process", "core-bonding", "--ply", "400 g/m2 woven glass"],
        ["press", UP, *SHOP, "--ply", "400 g/m2 woven glass"],
        ["press", UP, *SHOP, "--ply", "400 g/m2 woven glass", "--area", "-1 m2"],
        ["bleed", UP],
        ["bleed", UP, "--ply", "400 g/m2 woven glass", "--gained", "60 g"],
        ["bleed", UP, "--ply", "400 g/m2 woven glass", "--spot", "8 mm"],
        ["advise", UP, *SHOP, "--core", ""],
        ["advise", UP, *SHOP, "--ply", ""],
        ["advise", UP, *SHOP, "--ply", "core"],
        ["advise", "", *SHOP],
        ["advise", UP, *SHOP, "--pump-ultimate", "nan mbar"],
        ["advise", UP, *SHOP, "--humidity", "nan"],
        ["advise", UP, *SHOP, "--confidence", "inf"],
        ["advise", UP, *SHOP, "--trapped", "0"],
        ["advise", UP, *SHOP, "--degassed", "90 mbar for ever"],
        ["advise", UP, *SHOP, "--degassed", ", stirred"],
        ["advise", UP, *SHOP, "--hottest", "35C up to 30C"],
        ["advise", UP, *SHOP, "--hottest", " up to "],
        ["advise", UP, *SHOP, "--bag", ""],
        ["advise", UP, *SHOP, "--bag", "2000 mbar"],
        ["advise", UP, *SHOP, "--dried", "8 h"],
        ["advise", UP, *SHOP, "--finish", "shiny"],
        ["advise", UP, *SHOP, "--finish", "clear", "--void-target", "5%"],
        ["advise", UP, *SHOP, "--reads-with", "sensor"],
        ["advise", UP, *SHOP, "--contaminant", "=1%"],
        ["advise", UP, *SHOP, "--contaminant", "acetone=90%"],
        ["schedule", UP, *SHOP, "--ply", "400 g/m2 woven glass", "--batch", "0 kg"],
        ["schedule", UP, *SHOP, "--ply", "400 g/m2 woven glass", "--wet-out", "a while"],
        ["diagnose", UP, *SHOP, "--seen", "where"],
        ["diagnose", UP, *SHOP, "--seen", "where=everywhere"],
        ["diagnose", UP, *SHOP, "--bag", "middling bag"],
        ["diagnose", UP, *SHOP, "--process", "degassing"],
        ["no-gauge", "belief", UP],
        ["no-gauge", "belief", "--syringe", "1 ml"],
        ["no-gauge", "belief", "--thermometer", "hot"],
        ["no-gauge", "belief", "--milky", "epoxi, 26C"],
        ["no-gauge", "belief", "--rig", ""],
        ["no-gauge", "hold", "--rig", "pump"],
        ["no-gauge", "hold", "--rig", "wings", "--setpoint", "60 mbar"],
        ["no-gauge", "hold", "--rig", "pump", "--setpoint", "60 mbar", "--bore", "x"],
        ["no-gauge", "telltale", UP, *SHOP, "--stage", "later"],
        ["no-gauge", "drop-test", "--rise", "-1 mbar", "--time", "5 min", "--rig", "10 l bag"],
        ["no-gauge", "drop-test", "--rise", "1 mbar", "--time", "5 min", "--rig", "pump"],
        ["convert", "28"],
        ["convert", "28 inHg"],
        ["convert", "60 mbar", "--barometer", "3 bar"],
        ["resins", "show", ""],
        ["resins", "new", "--family", "wood"],
        ["resins", "new", "--family", "polyester", "--viscosity", "x", "--gel-time", "20 min"],
        ["resins", "check", "nowhere.toml"],
        ["resins", "check", "."],
        ["volatiles", "show", "watr"],
        ["list", "boats"],
        ["job", "show"],
        ["job", "show", "nowhere.toml"],
        ["job", "new", "--out", "", UP, *SHOP],
        ["advise", "--job", "nowhere.toml"],
    ],
)
def test_no_mistake_is_told_in_python(run, arguments, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    lines_of(run, *arguments)
