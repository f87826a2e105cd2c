"""The README runs as printed, and the documents name what there is."""

import contextlib
import doctest
import io
import re
import shlex
import subprocess
import sys
from pathlib import Path

import click
import pytest

import outgas
from outgas.cli.main import main, outgas_group
from outgas.tables import data

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
FILES = re.findall(r"```(?:toml|csv)\n# (\S+)\n(.*?)```", README, flags=re.DOTALL)
SESSIONS = re.findall(r"```console\n\$ ([^\n]+)\n(.*?)```", README, flags=re.DOTALL)


@pytest.mark.parametrize(("line", "printed"), SESSIONS, ids=[line[:60] for line, _ in SESSIONS])
def test_the_session_in_the_readme_is_what_the_program_prints(line, printed, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name, text in FILES:
        Path(name).write_text(text, encoding="utf-8")
    if " | grep" in line:
        piped = line.replace("outgas", f"{shlex.quote(sys.executable)} -m outgas", 1)
        done = subprocess.run(piped, shell=True, capture_output=True, text=True, check=True)
        assert done.stdout.rstrip("\n").splitlines() == printed.rstrip("\n").splitlines()
        return
    command, _, head = line.partition(" | head -")
    program, *arguments = shlex.split(command)
    assert program == "outgas"
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        main(arguments)
    lines = out.getvalue().splitlines()
    assert lines[: int(head)] if head else lines
    assert (lines[: int(head)] if head else lines) == printed.rstrip("\n").splitlines()


def test_there_is_a_session_with_each_kind_of_answer():
    assert len(SESSIONS) >= 5


def test_the_python_in_the_readme_runs():
    result = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert result.attempted >= 8
    assert result.failed == 0


def test_the_readme_opens_with_the_job_and_names_every_command():
    first = README.split("\n\n")[1]
    for word in ("deepest", "dial", "styrene", "ways out"):
        assert word in " ".join(first.split())
    context = click.Context(outgas_group)
    for command in outgas_group.list_commands(context):
        assert f"outgas {command}" in README


def test_each_readme_command_is_one_line():
    blocks = re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)
    assert len(blocks) == 2
    assert all(block.count("\n") == 1 for block in blocks)


def test_the_number_of_volatiles_in_the_readme_is_right():
    words = {16: "sixteen", 17: "seventeen", 18: "eighteen"}
    assert f"styrene, water and {words[len(outgas.volatiles()) - 2]} other" in " ".join(
        README.split()
    )


def test_the_contributor_guide_names_every_module_and_table():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for path in (ROOT / "outgas").rglob("*.py"):
        if path.name != "__init__.py":
            assert path.name in guide, path.name
    for path in Path(str(data.root())).glob("*.toml"):
        assert path.name in guide, path.name


def test_the_top_level_is_what_the_guide_says():
    wanted = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "outgas",
        "tests",
        "notebooks",
        "data",
    }
    assert wanted <= {path.name for path in ROOT.iterdir()}
