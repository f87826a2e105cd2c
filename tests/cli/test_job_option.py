"""--job and OUTGAS_JOB: the file stands in for options, and options go before it."""

import json

import click
import pytest

from outgas.cli.main import LAZY_COMMANDS, outgas_group
from outgas.job.job_keys import KEYS

UP = "orthophthalic-polyester"
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"
OPTIONS = [
    *[UP, "--temperature", "22C", "--humidity", "55%", "--altitude", "20m"],
    *["--ply", "2 x 400 g/m2 woven glass", "--core", "15 mm PVC foam", "--area", "0.5 m2"],
]
FILE = f"""
resin = "{UP}"
temperature = "22C"
humidity = "55%"
altitude = "20m"
ply = ["2 x 400 g/m2 woven glass"]
core = "15 mm PVC foam"
area = "0.5 m2"
"""

# Options of one run: what was seen, what is asked, and the form of the answer.
OF_ONE_RUN = {
    *("job", "json_out", "csv_out", "bag", "seen", "questions", "spot", "gained", "stage"),
    *("out", "chart", "dark", "log", "follow", "mixed", "sensor_error"),
    *("pressure_column", "time_column", "temperature_column"),
    *("setpoint", "rise", "time", "silicone", "thickness", "reused"),
    *("boiled", "boiled_on_chip", "quiet", "quiet_on_chip", "fell_quiet", "thermometer", "ice"),
    *("ice_while_bleeding", "syringe", "tube", "pull", "plate", "sensor", "milky"),
    *("full", "why", "do", "cautions", "quiet_out"),
    "panels",  # a log of many jobs
    *("how", "voids", "draws", "source", "name", "weakest", "grades"),  # of many cases
}


@pytest.fixture
def job(tmp_path):
    path = tmp_path / "deck.toml"

    def written(more=""):
        path.write_text(FILE + more, encoding="utf-8")
        return str(path)

    return written


def commands():
    """Every command that takes --job, with its name."""
    for name in LAZY_COMMANDS:
        command = outgas_group.get_command(click.Context(outgas_group), name)
        inner = command.commands if isinstance(command, click.Group) else {"": command}
        for sub, one in inner.items():
            if any(option.name == "job" for option in one.params):
                yield f"{name} {sub}".strip(), one


def test_every_command_of_a_job_takes_a_saved_one():
    assert {name for name, _ in commands()} == {
        *("advise", "schedule", "press", "diagnose", "bleed", "read-log"),
        *("sweep", "uncertainty", "wall-chart", "sources", "card"),
        *(f"draw {sub}" for sub in ("advise", "schedule", "diagnose", "belief")),
        *(f"no-gauge {sub}" for sub in ("belief", "next", "telltale", "hold", "drop-test")),
    }


def test_every_option_that_describes_a_job_may_stand_in_its_file_and_in_the_same_form():
    for name, command in commands():
        for option in command.params:
            if option.name in OF_ONE_RUN:
                continue
            assert option.name in KEYS, (name, option.name)
            kind = KEYS[option.name].kind
            assert (kind == "several") == bool(getattr(option, "multiple", False)), option.name
            assert (kind == "flag") == bool(getattr(option, "is_flag", False)), option.name


def test_every_key_is_an_option_of_a_command():
    taken = {option.name for _, command in commands() for option in command.params}
    assert set(KEYS) <= taken


@pytest.mark.parametrize(
    "command",
    [
        ["advise"],
        ["schedule"],
        ["press"],
        ["diagnose"],
        ["no-gauge", "belief"],
        ["no-gauge", "next"],
        ["no-gauge", "telltale"],
        ["no-gauge", "hold", "--rig", RIG],
    ],
)
def test_a_command_says_of_a_file_what_it_says_of_the_options(run, job, command):
    by_options = run(*command, *OPTIONS, "--json")
    by_file = run(*command, "--job", job(), "--json")
    assert by_file == by_options
    assert by_file[2] == ""


def test_a_bleed_takes_its_cloth_from_the_file_with_a_core_in_it(run, job):
    spots = ["--spot", "10 mm", "--json"]
    path = job('pitch = "25 mm"\nresin_used = "0.5 kg"\n').replace("", "")
    by_file = run("bleed", "--full", "--job", path, *spots)
    by_options = run(
        *["bleed", UP, "--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2"],
        *["--pitch", "25 mm", "--resin-used", "0.5 kg", *spots],
    )
    assert by_file == by_options


def test_a_drop_test_takes_rig_process_and_barometer_from_the_file(run, job):
    rise = ["--rise", "0.3 inHg", "--time", "5 min", "--json"]
    by_file = run(
        "no-gauge", "drop-test", "--full", "--job", job(f'rig = "{RIG}"\nprocess="infusion"'), *rise
    )
    by_options = run(
        *["no-gauge", "drop-test", "--rig", RIG, "--process", "infusion", "--altitude", "20m"],
        *rise,
    )
    assert by_file == by_options


def test_the_file_may_be_named_in_the_shell(run, job, monkeypatch):
    monkeypatch.setenv("OUTGAS_JOB", job())
    assert run("advise", "--full") == run("advise", "--full", *OPTIONS)
    monkeypatch.setenv("OUTGAS_JOB", "none.toml")
    code, out, err = run("advise", "--full")
    assert (code, out) == (2, "")
    assert err == (
        "outgas: cannot read none.toml: No such file or directory (OUTGAS_JOB names it)\n"
    )
    assert run("advise", "--full", "--job", job())[0] in (0, 1)
    assert run("convert", "60 mbar")[0] == 0  # what takes no job does not look at it


def test_an_option_goes_before_the_file(run, job):
    path = job('dial = "bar"\nno_debulk = true\nprocess = "infusion"\n')
    with_file = run(
        *["advise", "--full", "--job", path, "--temperature", "24C", "--process", "wet layup"],
        *["--ply", "400 g/m2 woven glass", "--debulk", "--dial", "torr"],
    )
    options = [{"22C": "24C", "2 x 400 g/m2 woven glass": "400 g/m2 woven glass"}.get(o, o)
               for o in OPTIONS]  # fmt: skip
    assert with_file == run("advise", "--full", *options, "--dial", "torr")


def test_a_dial_of_the_file_is_a_dial_chosen(run, job):
    assert run("advise", "--full", "--job", job('dial = "bar"')) == run(
        "advise", "--full", *OPTIONS, "--dial", "bar"
    )


def test_the_units_of_the_file_are_the_units_chosen(run, job):
    by_file = run("advise", "--full", "--job", job('units = "us"'))
    assert by_file == run("advise", "--full", *OPTIONS, "--units", "us")
    assert "degF" in by_file[1]


def test_of_two_ways_to_say_one_thing_the_option_drops_that_of_the_file(run, job):
    path = job('degassed = "90 mbar"\nvoid_target = "3%"\n')
    asked = ["--air-pressure", "27 mbar", "--finish", "clear"]
    assert run("advise", "--full", "--job", path, *asked) == run(
        "advise", "--full", *OPTIONS, *asked
    )


def test_the_rig_of_the_file_bounds_every_answer(run, job):
    """A venturi reaches less than a vane pump, whatever is asked."""
    path = job('rig = "venturi"\n')
    for command in (["advise"], ["no-gauge", "telltale"], ["diagnose"]):
        assert (
            run(*command, "--full", "--job", path)[1]
            != (run(*command, "--full", "--job", job())[1])
        ), command
        path = job('rig = "venturi"\n')
    got = json.loads(run("advise", "--full", "--job", path, "--json")[1])
    assert got["pump_reach_Pa"] > 5000.0


def test_every_mistake_of_the_file_is_a_line_with_file_and_key(run, job):
    path = job('sun = "bright"\ntrapped = "90%"\ncolour = "red"\n')
    code, out, err = run("advise", "--full", "--job", path)
    assert (code, out) == (2, "")
    lines = err.splitlines()
    assert len(lines) == 3
    assert all(line.startswith(f"outgas: {path}: ") for line in lines)
    for words in ("sun: sun is", "trapped: trapped is", "no key of a job is called 'colour'"):
        assert any(words in line for line in lines)


def test_what_is_wrong_only_beside_the_rest_names_the_file_that_said_it(run, job):
    path = job('initiator = "9%"\n')
    code, _, err = run("advise", "--full", "--job", path)
    assert code == 2
    assert err.startswith(f"outgas: {path}: initiator: initiator is 9.00%, outside the ")
    code, _, err = run("advise", "--full", "--job", job(), "--initiator", "9%")
    assert err.startswith("outgas: initiator is 9.00%")


def test_what_neither_says_is_missing_as_ever(run, tmp_path):
    path = tmp_path / "part.toml"
    path.write_text('temperature = "22C"\n', encoding="utf-8")
    assert "Missing argument 'RESIN'" in run("advise", "--full", "--job", str(path))[2]
    assert "Missing option '--humidity'" in run("advise", "--full", UP, "--job", str(path))[2]
    code, _, err = run("no-gauge", "belief", "--full", UP, "--job", str(path))
    assert code == 2
    assert "with a resin give --humidity too" in err


def test_a_file_without_a_resin_tells_the_air_of_a_belief_and_nothing_unused(run, tmp_path):
    path = tmp_path / "air.toml"
    path.write_text('altitude = "1600m"\ncore = "15 mm PVC foam"\n', encoding="utf-8")
    got = run("no-gauge", "belief", "--full", "--job", str(path), "--quiet", "43C")
    assert got == run("no-gauge", "belief", "--full", "--altitude", "1600m", "--quiet", "43C")
    assert got[0] == 0


def test_a_refusal_for_safety_stays_one(run, job):
    code, _, err = run("advise", "--full", "--job", job(), "--temperature", "5C")
    assert code == 1
    assert err.count("\n") == 1
