"""A wrong line in the safety path is noticed: a seeded sample of edits, and sixteen with a name."""

import ast
import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import run
from edits import edits_of

LOOKED_AT = 20  # edits of each file
SAMPLE, PARTS = 60, 4  # parts, so that every worker of the gate has a share


def tried(*arguments):
    """What became of each edit: its name, and the test that noticed it."""
    done = subprocess.run(
        [sys.executable, run.__file__, *arguments], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    return {run.Edit(**row["edit"]).name: row["noticed_by"] for row in rows}


@pytest.mark.parametrize("part", range(PARTS))
def test_a_drawn_edit_of_the_safety_path_is_noticed(part):
    found = tried(f"--sample={SAMPLE}", f"--part={part}/{PARTS}")
    went_by = [name for name, test in found.items() if not test and name not in run.equivalent()]
    assert len(found) == SAMPLE // PARTS
    assert went_by == []


@pytest.mark.parametrize("part", range(2))
def test_each_of_sixteen_edits_that_would_do_harm_is_noticed(part):
    found = tried("--named", f"--part={part}/2")
    assert len(found) == 8
    assert [name for name, test in found.items() if not test] == []


@pytest.mark.parametrize("file", run.safety_path())
def test_an_edit_leaves_a_file_that_can_be_read_and_says_something_else(file):
    source = (run.ROOT / file).read_text(encoding="utf-8")
    edits = edits_of(run.ROOT, file)
    assert edits
    assert len({edit.name for edit in edits}) == len(edits)
    for edit in edits[:: max(1, len(edits) // LOOKED_AT)]:
        made = edit.made(source)
        if file.endswith(".toml"):
            assert tomllib.loads(made) != tomllib.loads(source)
        else:
            assert ast.dump(ast.parse(made)) != ast.dump(ast.parse(source)), edit.name


def test_every_test_of_the_safety_path_is_there_and_none_compares_with_the_printed_examples():
    for tests in run.safety_path().values():
        for test in tests:
            assert (run.ROOT / test).is_file(), test
            assert "test_docs" not in test
            assert "/cli/" not in test


def test_what_is_called_equivalent_is_still_an_edit_and_has_a_reason():
    there = {e.name for file in run.safety_path() for e in edits_of(run.ROOT, file)}
    for name, reason in run.equivalent().items():
        assert name in there, name
        assert len(reason.split()) >= 5


def test_the_draw_is_the_same_each_time_and_a_smaller_one_is_its_beginning():
    assert run.drawn(17, 20) == run.drawn(17, 40)[:20]
    assert run.drawn(17, 20) != run.drawn(18, 20)
