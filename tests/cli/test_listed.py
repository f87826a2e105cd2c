"""Lists of all that a job can be made of, on the command line."""

import json

import pytest

import outgas
from outgas.cli.commands.listed import KINDS
from outgas.job.process import processes

NAMES = {
    "cores": outgas.cores,
    "reinforcements": outgas.reinforcements,
    "tools": outgas.tools,
    "pumps": outgas.pumps,
    "bag-sides": outgas.bag_sides,
    "processes": processes,
    "questions": outgas.questions,
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_list_names_all_of_its_kind_as_text_and_as_json(run, kind):
    code, text, err = run("list", kind)
    assert (code, err) == (0, "")
    code, out, _ = run("list", kind, "--json")
    assert code == 0
    assert set(json.loads(out)) == set(NAMES[kind]())
    for name in NAMES[kind]():
        assert name in text


def test_what_else_a_thing_is_called_is_listed_but_its_own_name_is_not_repeated(run):
    _, out, _ = run("list", "reinforcements")
    row = next(line for line in out.splitlines() if line.startswith("chopped-strand-mat"))
    assert "csm" in row
    assert "chopped strand mat, csm" not in row


def test_numbers_of_a_list_keep_unit_and_source(run):
    _, out, _ = run("list", "cores", "--json")
    assert json.loads(out)["pvc-foam"]["density"]["unit"] == "kg/m3"


def test_a_kind_that_there_is_not_is_answered_with_those_there_are(run):
    code, out, err = run("list", "foams")
    assert (code, out) == (2, "")
    assert all(kind in err for kind in KINDS)
    assert err.count("\n") == 1
