"""The entry of the command line: what there is, and how each command ends."""

import subprocess
import sys

import click
import pytest

from outgas.cli import main as entry
from outgas.cli.options import FAULT, INTERRUPTED
from outgas.errors import InputError, RefusedError, SeveralMistakesError

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["advise"], "Missing argument 'RESIN'"),
        (["advise", UP], "Missing option '--temperature'"),
        (["advise", "orthoftalic", *SHOP], "did you mean orthophthalic-polyester"),
        (["advise", UP, *SHOP, "--humidity", "60"], "write '60 %'"),
        (["advise", UP, *SHOP, "--temperature", "26"], "with no unit"),
        (["advise", UP, *SHOP, "--altitude", "30km"], "outside -430 to 11000 m"),
        (["advise", UP, *SHOP, "--dial", "feet"], "no dial is called"),
        (["advise", UP, *SHOP, "--process", "spray"], "no process is called"),
        (["advise", UP, *SHOP, "--bag", "29 inHg"], "two meanings"),
        (["advise", UP, *SHOP, "--contaminant", "acetone"], "acetone=1%"),
        (["advise", UP, *SHOP, "--colour", "red"], "No such option"),
        (["advise", "none.toml", *SHOP], "cannot read"),
        (["press", UP, *SHOP], "no area"),
        (["resins", "show", "epoxi"], "epoxy"),
        (["volatiles", "show", "watr"], "water"),
        (["convert", "31 inHg vacuum", "--barometer", "1003 hPa"], "more than the barometer"),
        (["convert", "--altitude", "x"], "start with a number"),
        (["melt"], "No such command"),
    ],
)
def test_bad_input_is_one_line_and_exit_two(run, arguments, words):
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert err.startswith("outgas: ")
    assert err.count("\n") == 1
    assert words in err


def test_no_command_shows_what_there_is(run):
    code, out, _ = run()
    assert code == 2
    for name in ("advise", "press", "resins", "volatiles", "convert"):
        assert name in out


def test_heavy_libraries_load_only_where_used():
    code = (
        "import sys, outgas.cli.main as c, io, contextlib\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        f"    c.main(['advise', '{UP}', '--temperature', '26C', '--humidity', '60%'])\n"
        "print([m for m in ('CoolProp', 'scipy.optimize', 'matplotlib', 'rich', 'xarray') "
        "if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("verb", ["advise", "schedule"])
def test_a_layup_loads_neither_a_solver_library_nor_pint(verb):
    asked = [verb, UP, "--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]
    asked += ["--ply", "3 x 400 g/m2 woven glass", "--core", "15 mm PVC foam", "--area", "0.5 m2"]
    code = (
        "import sys, outgas.cli.main as c, io, contextlib\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        f"    c.main({asked})\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('scipy', 'pint')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert done.stdout.strip() == "[]"


def test_importing_outgas_loads_almost_nothing():
    code = (
        "import sys, outgas; print([m for m in ('numpy', 'pint', 'msgspec') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert done.stdout.strip() == "[]"


def test_the_installed_command_gives_the_exit_code():
    done = subprocess.run(
        [sys.executable, "-m", "outgas", "advise", "nothing", *SHOP],
        check=False,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 2
    assert done.stderr.startswith("outgas: no resin")
    assert "Traceback" not in done.stderr


def test_rewording_every_line_leaves_the_exit_code(run, monkeypatch):
    from outgas.show.report import Line

    deep = ["advise", UP, *SHOP, "--bag", "29.6 inHg vacuum"]
    jobs = [deep, ["advise", UP, *SHOP], ["schedule", UP, *SHOP, "--process", "degassing"]]
    codes = [run(*job)[0] for job in jobs]
    assert codes == [1, 0, 0]
    made = Line.__init__

    def nonsense(self, text, pressures=(), *_, **__):
        made(self, "zq" + " {}" * len(pressures), pressures)

    monkeypatch.setattr(Line, "__init__", nonsense)
    assert [run(*job)[0] for job in jobs] == codes
    assert "zq" in run(*deep)[1]


@pytest.mark.parametrize(
    ("raised", "code", "said"),
    [
        (InputError("two\n  lines"), 2, "outgas: two lines\n"),
        (RefusedError("no"), 1, "outgas: no\n"),
        (SeveralMistakesError(["a", "b"]), 2, "outgas: a\noutgas: b\n"),
        (click.UsageError("how"), 2, "outgas: how\n"),
        (click.Abort(), 130, "outgas: stopped\n"),
        (KeyboardInterrupt(), 130, "outgas: stopped\n"),
    ],
)
def test_each_way_to_end_has_its_code_and_its_lines(run, monkeypatch, raised, code, said):
    def command(*_, **__):
        raise raised

    monkeypatch.setattr(entry.outgas_group, "invoke", command)
    got = run("resins")
    assert got[0] == code
    assert got[1] == ""
    assert got[2].lstrip("\n") == said


def test_every_command_is_listed_in_order_and_loads_with_a_help(run):
    names = entry.outgas_group.list_commands(None)
    assert names == sorted(entry.LAZY_COMMANDS)
    for name in names:
        code, out, err = run(name, "-h")
        assert (code, err) == (0, "")
        assert out.startswith(f"Usage: outgas {name}")


def test_the_version_is_the_packages(run):
    code, out, _ = run("--version")
    assert (code, out.split()[0]) == (0, "outgas")
    assert out.split()[1][0].isdigit()


def test_the_exit_code_of_a_command_is_handed_on(run, monkeypatch):
    for code in (0, 1, None):
        monkeypatch.setattr(entry.outgas_group, "invoke", lambda context, code=code: code)
        assert run("resins")[0] == (code or 0)


def test_a_reader_that_went_away_is_neither_a_verdict_nor_told_anything():
    """The pipe is shut before a line is written."""
    code = (
        "import os, sys\n"
        "from outgas.cli.main import main\n"
        "read, write = os.pipe(); os.close(read); os.dup2(write, 1)\n"
        "sys.stdout = os.fdopen(1, 'w', buffering=1)\n"
        "code = main(['convert', '--altitude', '20m'])\n"
        "os.dup2(os.open(os.devnull, os.O_WRONLY), 1)\n"
        "os._exit(code)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (INTERRUPTED, "")


def test_a_traceback_never_exits_as_an_unsafe_answer_does(run, monkeypatch):
    def broken(*_, **__):
        raise KeyError("a bug")

    monkeypatch.setattr("outgas.advise", broken, raising=False)
    code, out, err = run("advise", UP, *SHOP)
    assert (code, out) == (FAULT, "")
    assert FAULT not in (0, 1, 2, INTERRUPTED)
    lines = err.splitlines()
    assert lines[0].startswith("Traceback")
    assert lines[-1].startswith("outgas: this is a fault of outgas")
