"""The help: every example and every literal in it runs, options stand in groups with defaults."""

import re
import shlex

import click
import pytest

from outgas.cli import helps
from outgas.cli.helps import EXAMPLES, HERE_ONLY, ORDER, every_example
from outgas.cli.main import main, outgas_group


def commands(command=outgas_group, path=()):
    """Yield every command with its path."""
    yield path, command
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            yield from commands(command.get_command(context, name), (*path, name))


ALL = dict(commands())


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with the files that examples name."""
    made = tmp_path_factory.mktemp("examples")
    rows = "\n".join(f"{30 * i},{1013 if i < 10 else 560},26" for i in range(90))
    (made / "bag.csv").write_text(f"time [s],pressure [mbar absolute],temperature [C]\n{rows}\n")
    return made


@pytest.mark.parametrize("line", list(every_example()))
def test_every_example_of_a_help_runs(line, folder, monkeypatch, capsys):
    monkeypatch.chdir(folder)
    makers = {
        "deck.toml": EXAMPLES["job"][0],
        "my.toml": EXAMPLES["resins new"][0],
        "panels.toml": EXAMPLES["panels add"][0],
    }
    for needed, first in makers.items():
        if needed in line and not (folder / needed).exists():
            assert main(shlex.split(first)) == 0
            capsys.readouterr()
    code = main(shlex.split(line)[1:])
    out, err = capsys.readouterr()
    assert code in (0, 1), err  # 1: the verdict, which an example may show
    assert err == ""
    assert out.strip() or "--out" in line


def test_each_command_has_two_examples_of_its_own():
    assert {" ".join(path) for path in ALL} == set(EXAMPLES)
    for path, texts in EXAMPLES.items():
        assert len(texts) == 2, path
        assert all(text.startswith(path.partition(" ")[0]) for text in texts), path


@pytest.mark.parametrize("path", list(ALL), ids=" ".join)
def test_a_help_shows_groups_in_order_examples_and_fits_the_width(path, capsys):
    assert main([*path, "--help"]) == 0
    out = capsys.readouterr().out
    titles = re.findall(r"^([A-Z][\w ,]*):$", out, flags=re.MULTILINE)
    named = [title for title in titles if title in ORDER]
    assert named == sorted(named, key=ORDER.index)
    assert titles[-1] == "Examples"
    shown = out.split("\nExamples:\n")[1].splitlines()
    assert shown == [f"  outgas {text}" for text in EXAMPLES[" ".join(path)]]
    assert max(map(len, out.split("\nExamples:\n")[0].splitlines())) <= 100


def test_the_options_of_an_advice_stand_in_seven_groups_with_their_defaults(capsys):
    main(["advise", "--help"])
    out = " ".join(capsys.readouterr().out.split())
    for title in ("The shop:", "The layup:", "The rig:", "What is printed:"):
        assert title in out
    for default in ("wet layup", "inHg", "metric", "dial", "95 %", "(2%)", "debulk"):
        assert f"[default: {default}]" in out
    assert out.index("--temperature") > out.index("The shop:")
    assert out.index("--temperature") < out.index("The layup:")


def test_every_option_of_a_job_stands_under_its_own_title():
    for path, command in ALL.items():
        for option in command.params:
            if isinstance(option, click.Option) and option.name in helps.KEYS:
                expected = helps.TITLES[helps.KEYS[option.name].group]
                if option.name not in helps.PRINTING:
                    assert helps.group_of(option) == expected, (path, option.name)
    assert helps.group_of(click.Option(["--setpoint"])) == HERE_ONLY


QUOTED = re.compile(r"(?<!\w)'([^']+)'(?!\w)")
BARE = re.compile(r"(?:: |, |; )(-?\d[\w./%]*[\w%])(?=[.,;]|$)")
FOR = {  # a command that reads what an option's help shows as an example
    "advise": ["orthophthalic-polyester"],
    "schedule": ["orthophthalic-polyester", "--ply", "400 g/m2 woven glass"],
    "press": ["orthophthalic-polyester", "--area", "1 m2"],
    "diagnose": ["orthophthalic-polyester"],
}
SHOP = {"--temperature": "26C", "--humidity": "60%"}


def literals(command):
    """Return each option of a command with each value that its help shows."""
    found = []
    for option in command.params:
        if isinstance(option, click.Option) and option.help and not option.is_flag:
            said = QUOTED.findall(option.help) + BARE.findall(QUOTED.sub("", option.help))
            found += [(option.opts[-1], value) for value in said]
    return found


CASES = list(
    {pair: (name, *pair) for name in reversed(FOR) for pair in literals(ALL[(name,)])}.values()
)  # each once, with the first command that has it


@pytest.mark.parametrize(("name", "option", "value"), CASES)
def test_every_value_that_a_help_shows_is_understood(name, option, value, capsys):
    given = {**SHOP, option: value}
    resin = [name, *FOR[name]]
    if option == "--dried":
        resin = [name, "out-of-autoclave-epoxy-prepreg", "--process", "prepreg", *FOR[name][1:]]
    if option == "--moisture":
        given["--core"] = "12 mm end-grain balsa 150 kg/m3"
    if option == "--autoclave" and name != "press":
        resin = [name, "autoclave-epoxy-prepreg", "--process", "prepreg", *FOR[name][1:]]
    code = main([*resin, *(x for pair in given.items() for x in pair), "--json"])
    err = capsys.readouterr().err
    assert code in (0, 1), err
    assert err == "" or code == 1


def test_the_helps_show_values_to_try():
    assert len(CASES) > 25
    assert ("advise", "--temperature", "26C") in CASES
    assert ("advise", "--bag", "28 inHg vacuum") in CASES
