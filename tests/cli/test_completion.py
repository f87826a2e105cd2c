"""A shell completes values, not options alone; a function's name for an option is taken too."""

import json
import os
import subprocess
import sys

import pytest
from click.shell_completion import BashComplete

import outgas
from outgas.cli.commands.listed import KINDS
from outgas.cli.commands.schema import described
from outgas.cli.main import LAZY_COMMANDS, outgas_group
from outgas.job.job_keys import BY_OPTION, KEYS

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "22C", "--humidity", "50%"]


def completed(*words):
    *before, last = words
    shell = BashComplete(outgas_group, {}, "outgas", "_OUTGAS_COMPLETE")
    return [item.value for item in shell.get_completions(list(before), last)]


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (["advise", "ortho"], [UP]),
        (["no-gauge", "next", "epoxy-lam"], ["epoxy-laminating"]),
        (["resins", "show", "novolac"], ["novolac-vinyl-ester"]),
        (["volatiles", "show", "styr"], ["styrene"]),
        (["advise", UP, "--process", "core"], ["core bonding"]),
        (["advise", UP, "--core", "15 mm pvc"], ["15 mm pvc-foam"]),
        (["advise", UP, "--core", "al"], ["aluminium-honeycomb"]),
        (["advise", UP, "--ply", "2 x 400 g/m2 woven-c"], ["2 x 400 g/m2 woven-carbon"]),
        (["advise", UP, "--tool", "6 mm glass-p"], ["6 mm glass-plate"]),
        (["schedule", UP, "--bag-side", "peel"], ["peel-ply"]),
        (["no-gauge", "hold", "--rig", "5 m3/h two"], ["5 m3/h two-stage"]),
        (["advise", UP, "--dial", "p"], ["psi", "percent"]),
        (["advise", UP, "--finish", "c"], ["clear"]),
        (["advise", UP, "--contaminant", "acet"], ["acetone="]),
        (["resins", "new", "--family", "vinyl"], ["vinyl ester"]),
        (["list", "bag"], ["bag-sides"]),
        (["schema", "drop"], ["drop-test"]),
        (["diagnose", UP, "--seen", "where=on s"], ["where=on strands"]),
        (["no-gauge", "telltale", UP, "--stage", "d"], ["debulk"]),
        (["advise", UP, "--temperature", "2"], []),
    ],
)
def test_the_value_that_was_begun_is_completed(words, wanted):
    got = completed(*words)
    assert got == wanted or (wanted and got[: len(wanted)] == wanted)


def test_an_empty_word_offers_all_there_is():
    assert set(outgas.resins()) <= set(completed("advise", ""))
    assert completed("list", "") == list(KINDS)
    assert completed("schema", "") == described()
    assert set(completed("diagnose", UP, "--seen", "")) == {f"{q}=" for q in outgas.questions()}
    assert completed("advise", UP, "--process", "") == list(outgas.processes())


def test_what_is_completed_is_itself_taken(run):
    core = completed("advise", UP, "--core", "15 mm pvc")[0]
    ply = completed("advise", UP, "--ply", "2 x 400 g/m2 woven-g")[0]
    assert run("advise", UP, *SHOP, "--core", core, "--ply", ply)[0] in (0, 1)


def test_options_are_completed_as_before():
    assert "--temperature" in completed("advise", "--temp")


def test_a_shell_asks_the_program_itself():
    asked = {"_OUTGAS_COMPLETE": "bash_complete", "COMP_WORDS": "outgas advise ortho"}
    done = subprocess.run(
        [sys.executable, "-m", "outgas"],
        env={**os.environ, **asked, "COMP_CWORD": "2"},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (done.stdout, done.returncode) == (f"plain,{UP}\n", 0), done.stderr


def test_the_names_that_functions_have_for_options_are_taken(run):
    own = ["--bag", "60 mbar", "--contaminant", "acetone=1%", "--ply", "400 g/m2 woven glass"]
    other = ["--bag-pressure", "60 mbar", "--contaminants=acetone=1%"]
    other += ["--plies", "400 g/m2 woven glass"]
    a, b = (run("advise", UP, *SHOP, *more, "--json")[1] for more in (own, other))
    assert json.loads(a) == json.loads(b)
    assert run("advise", UP, *SHOP, "--minimum-temperature", "25C")[0] == 1


def _own(flag):
    own = {other: name for name, other in BY_OPTION.items()}[flag[2:].replace("-", "_")]
    return f"--{own.replace('_', '-')}"


def test_no_name_of_a_function_is_an_option_that_means_something_else():
    context = outgas_group.make_context("outgas", ["list", "cores"])
    flags = {f"--{other.replace('_', '-')}" for other in BY_OPTION.values()}
    for name in LAZY_COMMANDS:
        command = outgas_group.get_command(context, name)
        for inner in (command, *getattr(command, "commands", {}).values()):
            for parameter in inner.params:
                if flags & set(parameter.opts):  # then it has the option's own name as well
                    assert {_own(flag) for flag in flags & set(parameter.opts)} <= {*parameter.opts}
    assert set(BY_OPTION) <= {*KEYS, "bag"}
