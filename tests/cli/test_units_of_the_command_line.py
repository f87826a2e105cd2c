"""The units of the command line are a table of its own: as pint's, and no cache to damage."""

import importlib
import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import pint
import pytest

from outgas import units
from outgas.cli.main import LAZY_COMMANDS
from outgas.cli.options import ready
from outgas.errors import UnitError
from outgas.tables import data

# Exact by definition, for names that pint lacks or takes otherwise: 'mil' is an angle to it, 'cps'
# counts, 'cfm' a length.
INCH_M, FOOT_M = 0.0254, 0.3048
BY_DEFINITION = {
    "Torr": (101325.0 / 760.0, "Pa"),
    "cfm": (FOOT_M**3 / 60.0, "m**3/s"),
    "cubic_feet_per_minute": (FOOT_M**3 / 60.0, "m**3/s"),
    "cps": (1e-3, "Pa*s"),
    "cuft": (FOOT_M**3, "m**3"),
    "kp": (9.80665, "N"),
    "mil": (INCH_M / 1000.0, "m"),
    "sqft": (FOOT_M**2, "m**2"),
}
SIGNS = {"%": "percent", "°C": "degC", "°F": "degF"}  # pint writes these as words before it reads
DEFINED = [
    name.strip()
    for line in data.table("units.toml")["definitions"]
    if "- = " not in line
    for i, name in enumerate(re.sub(r";[^=]*", "", line).split("="))
    if i != 1
]
PREFIXED = ("hPa", "kPa", "MPa", "mm", "cm", "km", "kg", "mg", "ml", "mL", "cl", "dl", "µm", "um")


@pytest.fixture(scope="module")
def default():
    return pint.UnitRegistry()


@pytest.fixture(autouse=True)
def of_the_command_line():
    ready()


def in_si(registry, name):
    """One of a unit, or one degree above two: its offset and its step in SI."""
    ends = [registry.Quantity(x, name).to_base_units() for x in (1.0, 2.0)]
    return [end.to_root_units().m for end in ends], str(ends[0].to_root_units().units)


@pytest.mark.parametrize("name", [*sorted(set(DEFINED) - {*BY_DEFINITION}), *PREFIXED])
def test_every_unit_converts_as_pints_own_does(name, default):
    name = SIGNS.get(name, name)
    found, dimension = in_si(units.registry(), name)
    expected, same = in_si(default, name)
    assert dimension == same
    assert found == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("name", sorted(BY_DEFINITION))
def test_a_unit_that_pint_lacks_converts_as_it_is_defined(name):
    value, unit = BY_DEFINITION[name]
    assert units.registry().Quantity(1.0, name).m_as(unit) == pytest.approx(value, rel=1e-12)


def test_the_names_by_definition_are_of_the_table_and_not_as_pint_has_them(default):
    assert set(BY_DEFINITION) <= set(DEFINED)
    assert len(DEFINED) > 100
    for name, (value, unit) in BY_DEFINITION.items():
        try:
            theirs = default.Quantity(1.0, name).m_as(unit)
        except pint.PintError:
            continue
        assert not math.isclose(theirs, value, rel_tol=1e-6), name


LB, OZ = 0.45359237, 0.45359237 / 16.0
WRITTEN = [
    ("5000ft", "m", 1524.0),
    ("20m", "m", 20.0),
    ("15 mm", "m", 0.015),
    ("0.5 in", "m", 0.0127),
    ("6 mil", "m", 152.4e-6),
    ("3 thou", "m", 76.2e-6),
    ("2 feet", "m", 0.6096),
    ("0.8 m2", "m**2", 0.8),
    ("0.8 m²", "m**2", 0.8),
    ("10 sqft", "m**2", 10 * FOOT_M**2),
    ("400 g/m2", "kg/m**2", 0.4),
    ("400 g/m^2", "kg/m**2", 0.4),
    ("12 oz/yd2", "kg/m**2", 12 * OZ / 0.9144**2),
    ("1.5 oz/ft2", "kg/m**2", 1.5 * OZ / FOOT_M**2),
    ("5 m3/h", "m**3/s", 5.0 / 3600.0),
    ("80 l/min", "m**3/s", 0.08 / 60.0),
    ("3 cfm", "m**3/s", 3 * FOOT_M**3 / 60.0),
    ("1 mbar l/s", "Pa*m**3/s", 0.1),
    ("1 mbar*l/s", "Pa*m**3/s", 0.1),
    ("1 ml", "m**3", 1e-6),
    ("2 cc", "m**3", 2e-6),
    ("1 gallon", "m**3", 231 * INCH_M**3),
    ("20 min", "s", 1200.0),
    ("20 minutes", "s", 1200.0),
    ("1.5 h", "s", 5400.0),
    ("2 hours", "s", 7200.0),
    ("1 inHg", "Pa", 25.4 * 133.322387415),
    ("5 mbar", "Pa", 500.0),
    ("14.7 psi", "Pa", 14.7 * LB * 9.80665 / INCH_M**2),
    ("1.15 kg", "kg", 1.15),
    ("2 lb", "kg", 2 * LB),
    ("150 N", "N", 150.0),
    ("30 lbf", "N", 30 * LB * 9.80665),
    ("600 W/m2", "W/m**2", 600.0),
    ("1130 kg/m3", "kg/m**3", 1130.0),
    ("350 cP", "Pa*s", 0.35),
    ("0.35 Pa*s", "Pa*s", 0.35),
]


@pytest.mark.parametrize(("text", "unit", "value"), WRITTEN, ids=str)
def test_what_builders_write_is_read(text, unit, value):
    assert units.one(text, unit, "it") == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("text", ["1 furlong", "2 m/fortnight", "1 lightyear"])
def test_a_unit_outside_the_table_is_refused_by_name(text):
    with pytest.raises(UnitError, match=rf"the unit '{text[2:]}' is not known"):
        units.one(text, "m", "altitude")


ROOT = Path(__file__).parents[2]
AMOUNT = re.compile(r"(?<![\w.-])\d+(?:\.\d+)? ?([A-Za-zµ°][\w°²³/]*)")
NO_UNITS = {
    "x",
    "to",
    "if",
    "where",
    "C",
    "F",
}  # '3 x 400 g/m2', '40 to 90 mbar'; '26C' has its own reader


def told():
    """Each unit in a help text or in a command of the README."""
    shown = []

    def walk(command):
        for option in command.params:
            shown.extend([getattr(option, "help", None) or "", str(option.default or "")])
        shown.append(command.help or "")
        for each in getattr(command, "commands", {}).values():
            walk(each)

    for module, attribute in LAZY_COMMANDS.values():
        walk(getattr(importlib.import_module(module), attribute))
    readme = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    shown.extend(line for line in readme if line.startswith("$ outgas"))
    return {unit for text in shown for unit in AMOUNT.findall(text)} - NO_UNITS


def test_every_unit_of_a_help_text_or_the_readme_is_known():
    found = told()
    assert {"m3/h", "g/m2", "inHg", "W/m2", "ft", "min", "hPa", "mm", "ml", "kg", "N"} <= found
    registry = units.registry()
    for unit in sorted(found):
        assert registry.parse_units(re.sub(r"([a-z])([23])\b", r"\1**\2", unit)), unit


CONVERT = ["convert", "24 inHg vacuum", "--altitude", "5000ft", "--json"]
GARBAGE = (b"", b"\x80\x05garbage", "half")
TOGETHER = 20


def state(folder):
    return {p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def start(cache):
    return subprocess.Popen(
        [sys.executable, "-m", "outgas", *CONVERT],
        env={**os.environ, "XDG_CACHE_HOME": str(cache)},
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_twenty_commands_at_once_neither_read_nor_write_a_cache_of_pints(tmp_path, monkeypatch):
    """An empty, a stray and a half-written file bricked every command, each in its own way."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "0"))
    pint.UnitRegistry(cache_folder=":auto:")
    whole = state(tmp_path / "0")
    assert len(whole) >= 2
    assert {path.suffix for path in whole} >= {".pickle"}
    for i, garbage in enumerate(GARBAGE):
        for path, content in whole.items():
            file = tmp_path / str(i) / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content[: len(content) // 2] if garbage == "half" else garbage)
    fresh = len(GARBAGE)
    (tmp_path / str(fresh)).mkdir()
    before = [state(tmp_path / str(i) / "pint") for i in range(fresh + 1)]
    running = [start(tmp_path / str(i % (fresh + 1))) for i in range(TOGETHER)]
    ended = [(*each.communicate(timeout=120), each.returncode) for each in running]
    assert {(error, code) for _, error, code in ended} == {("", 0)}
    (out,) = {out for out, _, _ in ended}
    # 5000 ft are 1524 m, where ISO 2533 has 843.07 hPa
    assert json.loads(out)["barometer_Pa"] == pytest.approx(84307.0, abs=2.0)
    assert [state(tmp_path / str(i) / "pint") for i in range(fresh + 1)] == before
