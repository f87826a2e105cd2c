"""outgas no-gauge from the command line: every answer in words and as JSON."""

import json

import pytest

import outgas
from outgas.cli.main import main

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"


@pytest.fixture
def run(capsys):
    def go(*arguments):
        whole = [] if arguments[0] == "--help" else ["--full"]
        code = main(["no-gauge", arguments[0], *whole, *arguments[1:]])
        got = capsys.readouterr()
        return code, got.out, got.err

    return go


def test_help_names_every_sub_command(run):
    code, out, _ = run("--help")
    assert code == 0
    for name in ("belief", "next", "telltale", "hold", "drop-test"):
        assert name in out


@pytest.mark.parametrize(
    ("options", "low", "high", "at"),
    [
        (["--quiet", "43C"], 0.10, 1.0, "86 mbar"),
        (["--ice-while-bleeding"], 0.5, 0.95, "60 mbar"),
        (["--milky", f"{UP}, 26C"], 0.0, 0.9, "25 mbar"),
        (["--thermometer", "38.0C 30mm"], 0.3, 0.7, "63 mbar"),
    ],
)
def test_the_acceptance_cases_from_the_command_line(run, options, low, high, at):
    code, out, err = run("belief", *options, "--barometer", "1013.25 hPa", "--json")
    assert (code, err) == (0, "")
    got = json.loads(out)
    assert got["low_5_Pa"] < got["median_Pa"] < got["high_95_Pa"]
    code, text, _ = run("belief", *options, "--barometer", "1013.25 hPa")
    assert code == 0
    assert "mbar absolute" in text.splitlines()[0]
    bag = outgas.BagPressure.unknown("1013.25 hPa")
    bag = {
        "--quiet": lambda: bag.stayed_quiet("43C"),
        "--ice-while-bleeding": lambda: bag.ice_formed(bleeding=True),
        "--milky": lambda: bag.went_milky(UP, "26C"),
        "--thermometer": lambda: bag.boiling_thermometer("38.0C", "30mm"),
    }[options[0]]()
    assert got == json.loads(bag.to_json())  # the command line is what the library says
    assert low <= bag.chance_below(at) <= high


def test_a_thermometer_under_water_prints_63_mbar(run):
    _, out, _ = run("belief", "--thermometer", "38.0C 30mm")
    assert "(63 mbar absolute)" in out.splitlines()[0]


def test_contradictions_lead_and_exit_one(run):
    code, out, _ = run("belief", "--boiled", "20C", "--quiet", "60C")
    assert code == 1
    assert out.startswith("These cannot both be right: 'water boiled at 20.0 degC, no chip' and ")
    code, out, _ = run("belief", "--boiled", "20C", "--quiet", "60C", "--json")
    assert code == 1
    assert len(json.loads(out)["contradictions"]) == 1


def test_every_observation_reaches_the_library(run):
    code, out, err = run(
        *["belief", "--boiled", "50C", "--boiled-on-chip", "48C", "--quiet", "20C"],
        *["--quiet-on-chip", "22C", "--fell-quiet", "40C", "--thermometer", "40C"],
        *[
            "--ice-while-bleeding",
            "--ice",
            "--syringe",
            "1 ml, 8 ml",
            "--syringe",
            "1 ml, 8 ml, 9 ml",
        ],
        *["--tube", "200 mm, 15 mm", "--pull", "180 N, 50 mm", "--plate", "2.9 kg, 20 mm"],
        *["--sensor", "75 mbar, 5 mbar", "--sensor", "300 mbar, 5 mbar, 300 mbar"],
        *["--milky", f"{UP}, 26C", "--rig", RIG, "--altitude", "20m", "--json"],
    )
    assert err == ""
    assert code == 1  # ice in still vapour contradicts the rest
    got = json.loads(out)
    kinds = [e["kind"] for e in got["evidence"]]
    assert len(kinds) == 17
    assert set(kinds) == {
        *("pump", "boiling", "quiet", "fell quiet", "thermometer", "ice", "syringe", "tube"),
        *("pull", "plate", "sensor", "milky"),
    }


def test_a_resin_makes_it_a_verdict_with_the_next_observation(run):
    code, out, _ = run("belief", UP, *SHOP, "--quiet", "43C")
    assert code == 1
    lines = out.splitlines()
    assert lines[0].startswith("Your bag: cannot tell")
    assert lines[1].startswith("Chance that it boils")
    assert lines[2].startswith("Until that is known let air in at the pump")
    assert "Look next at" in lines[2]
    code, out, _ = run("belief", UP, *SHOP, "--plate", "1.15 kg, 20 mm", "--json")
    got = json.loads(out)
    assert (code, got["state"]) == (0, "safe")
    assert got["chance_too_deep"] < 0.05


def test_next_ranks_eight_observations(run):
    code, out, _ = run("next", UP, *SHOP, "--rig", RIG)
    assert code == 0
    assert out.startswith("Look at ")
    assert "How to look" in out
    code, out, _ = run("next", UP, *SHOP, "--rig", RIG, "--json")
    got = json.loads(out)
    assert len(got["observations"]) == 8
    assert got["next"]["recipe"]


def test_telltale_for_both_stages(run):
    code, out, _ = run("telltale", UP, *SHOP)
    assert code == 0
    assert out.startswith("For the cure, no vials of water: ")
    assert "For the debulk, two vials of water" in out
    code, out, _ = run("telltale", UP, *SHOP, "--json")
    got = json.loads(out)
    assert got["cure"] is None
    assert "weighted plate" in got["instead"]["cure"]
    assert got["debulk"]["must_boil_K"] > got["debulk"]["must_not_boil_K"]
    code, out, _ = run("telltale", UP, *SHOP, "--stage", "cure")
    assert code == 1


def test_hold_a_resins_setpoint_or_a_stated_one(run):
    code, out, _ = run("hold", UP, *SHOP, "--rig", RIG)
    assert code == 0
    assert out.startswith("Hold 13.3 inHg vacuum (559 mbar absolute) with 1.45 kg, plate and")
    code, out, _ = run("hold", "--setpoint", "120 mbar", "--rig", RIG, "--bore", "12 mm", "--json")
    got = json.loads(out)
    assert code == 0
    assert got["setpoint_Pa"] == pytest.approx(12000)
    assert got["bleed_hole"]["holes"]


def test_drop_test_says_yes_or_no(run):
    code, out, _ = run(
        *["drop-test", "--rise", "0.3 inHg", "--time", "5 min", "--rig", RIG, "--reused"]
    )
    assert code == 0
    assert out.startswith("This bag will do")
    code, out, _ = run(
        *["drop-test", "--rise", "3 inHg", "--time", "1 min", "--rig", RIG],
        *["--process", "infusion", "--silicone", "--json"],
    )
    assert code == 1
    got = json.loads(out)
    assert got["passed"] is False
    assert got["membrane_Pa_m3_s"] > 0


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["belief", "--syringe", "3 ml, 1 ml"], "above the barometer"),
        (["belief", "--syringe", "3 ml"], "write it as '1 ml, 1.5 ml, 1.7 ml'"),
        (["belief", "--sensor", "60 mbar"], "write it as '60 mbar, 10 mbar'"),
        (["belief", "--rig", "a pump of sorts"], "kind of pump"),
        (["belief", UP, "--quiet", "43C"], "give --temperature and --humidity too"),
        (["belief", "--dial", "furlong"], "no dial"),
        (["hold", "--rig", RIG], "give --setpoint"),
        (["hold", "--setpoint", "1 mbar", "--rig", RIG, "--bore", "9 m"], "outside 3 to 150 mm"),
        (["drop-test", "--rise", "-1 inHg", "--time", "5 min", "--rig", RIG], "deeper by itself"),
        (["drop-test", "--rise", "1 inHg", "--time", "5 min", "--rig", "9 l bog"], "mean bag"),
        (["telltale", UP, *SHOP, "--stage", "lunch"], "'cure' or 'debulk'"),
        (["belief", "--boiled", "20"], "no unit"),
    ],
)
def test_bad_input_is_one_line_and_exit_code_two(run, arguments, message):
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert message in err
    assert err.count("\n") == 1


def test_a_setpoint_deeper_than_safe_is_refused_for_a_resin(run):
    code, _, err = run("hold", UP, *SHOP, "--rig", RIG, "--setpoint", "300 mbar")
    assert code == 1
    assert "deeper than the deepest safe 532 mbar" in err


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["epoxy-laminating", "--process", "infusion", "--altitude", "3000m"], 1, "no safe vacuum"),
        (["epoxy-laminating", "--process", "pressing"], 2, "pressing has no bag"),
        (["autoclave-epoxy-prepreg", "--process", "prepreg"], 2, "all the vacuum there is"),
    ],
)
def test_a_process_that_holds_nothing_says_so_in_one_line(run, arguments, code, said):
    got, out, err = run("hold", *arguments, *SHOP[:4], "--rig", RIG)
    assert got == code
    assert out == ""
    assert said in err
    assert err.count("\n") == 1


def test_a_setpoint_too_weak_or_beyond_the_pump_says_so_first(run):
    _, out, _ = run("hold", UP, *SHOP, "--rig", RIG, "--setpoint", "900 mbar")
    assert "Too weak to clamp" in "".join(out.splitlines()[:3])
    _, out, _ = run("hold", "--setpoint", "100 mbar", "--rig", "5 m3/h dry vane pump")
    assert "no plate lifts, nothing" in " ".join(out.split())


def test_json_stays_json_where_the_leak_beats_the_pump(run):
    leaky = "5 m3/h two-stage pump, 1 m2 bag, leak 300 mbar l/s"
    code, out, err = run("hold", "--setpoint", "60 mbar", "--rig", leaky, "--json")
    assert (code, out) == (2, "")
    assert "nothing holds it there" in err
    code, out, _ = run("hold", "--setpoint", "250 mbar", "--rig", leaky, "--json")
    assert code == 0
    got = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))
    assert got["switched_pump"] is None
    assert "does not get down" in got["no_switched_pump"]


@pytest.mark.parametrize(
    "text", ["38.0C 30mm", "38.0 degC 30 mm", "38.0 degC, 30 mm", "38.0C, 30mm", "100.4F 30 mm"]
)
def test_a_thermometer_is_read_however_it_is_written(run, text):
    _, out, _ = run("belief", "--thermometer", text, "--json")
    assert json.loads(out)["median_Pa"] == pytest.approx(6270.0, abs=30.0)
    _, out, _ = run("belief", "--thermometer", text.split("30")[0].strip(" ,"))
    assert "over boiling water" in out


@pytest.mark.parametrize("text", ["38", "30mm 38C", "warm", "38.0C 30", ""])
def test_a_thermometer_that_cannot_be_read_is_one_line(run, text):
    code, out, err = run("belief", "--thermometer", text)
    assert (code, out, err.count("\n")) == (2, "", 1)


def test_an_assumed_air_pressure_is_said(run):
    _, out, _ = run("belief", "--sensor", "24 inHg vacuum, 20 mbar")
    assert "sea level in average weather (assumed)" in out
    _, out, _ = run("belief", "--sensor", "24 inHg vacuum, 20 mbar", "--altitude", "1600m")
    assert "at 1600 m" in out
    _, out, _ = run("hold", "--setpoint", "60 mbar", "--rig", RIG)
    assert "air pressure of 1013 mbar" in out.replace("\n    ", " ")


def test_an_empty_rig_is_not_nothing_known(run):
    code, _, err = run("belief", "--rig", "")
    assert code == 2
    assert "rig is ''" in err


def test_the_commands_load_only_when_named():
    import subprocess
    import sys

    code = (
        "import sys, outgas.cli.main as c, io, contextlib\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        "    c.main(['convert', '60 mbar'])\n"
        "print('outgas.cli.commands.no_gauge' in sys.modules)\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        "    c.main(['no-gauge', 'belief', '--quiet', '43C'])\n"
        "heavy = ('CoolProp', 'scipy.optimize', 'matplotlib', 'rich')\n"
        "print([m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert done.stdout.split("\n")[:2] == ["False", "[]"]


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--humidity", "-7"),
        ("--temperature", "26C"),
        ("--tool-temperature", "20C"),
        ("--sun", "600 W/m2"),
        ("--process", "infusion"),
        ("--hottest", "35C"),
        ("--degassed", "90 mbar"),
        ("--contaminant", "acetone=1%"),
        ("--void-target", "1 %"),
        ("--ply", "3 x 400 g/m2 woven glass"),
        ("--core", "15 mm PVC foam"),
        ("--pump-ultimate", "2 mbar"),
        ("--reads-with", "water"),
    ],
)
@pytest.mark.parametrize("command", ["belief", "hold"])
def test_an_option_that_is_not_used_is_refused_in_one_line(run, command, option, value):
    rest = ["--quiet", "43C"] if command == "belief" else ["--setpoint", "653 mbar", "--rig", RIG]
    code, out, err = run(command, *rest, option, value)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert option in err
    assert "RESIN" in err
    assert run(command, *rest)[0] == 0


def test_several_unused_options_are_named_together(run):
    code, _, err = run("belief", "--humidity", "-7", "--ply", "x", "--quiet", "43C")
    assert code == 2
    assert "--humidity" in err
    assert "--ply" in err


def test_several_refused_looks_are_reported_together(run):
    code, _, err = run(
        *["belief", "--boiled", "120C", "--pull", "9 N, 5 m", "--plate", "9 kg, 20 mm"],
        *["--sensor", "60 mbar"],
    )
    assert code == 2
    for what in ("outside 1 to 99 degC", "outside 3 to 500 mm", "cannot lift", "60 mbar, 10 mbar"):
        assert what in err
    assert err.count("\n") == 1


def test_what_a_resin_lacks_and_what_else_is_wrong_are_said_together(run):
    code, _, err = run("belief", UP, "--boiled", "120C")
    assert code == 2
    for what in ("--temperature", "--humidity", "outside 1 to 99 degC"):
        assert what in err
    code, _, err = run(
        "hold", "--setpoint", "nonsense", "--rig", "a pump of sorts", "--bore", "20 bananas"
    )
    assert code == 2
    for what in ("setpoint", "kind of pump", "bore"):
        assert what in err


def test_a_refusal_for_safety_among_others_keeps_its_exit_code(run):
    code, _, err = run("hold", UP, *SHOP, "--setpoint", "86 mbar", "--rig", RIG)
    assert code == 1
    assert "deeper than the deepest safe" in err


def test_drop_test_refusals_are_reported_together(run):
    code, _, err = run(
        *["drop-test", "--rise", "-1 inHg", "--time", "1 s", "--rig", "9 l bog"],
        *["--barometer", "12 mbar"],
    )
    assert code == 2
    for what in ("deeper by itself", "outside 5", "mean bag", "barometer"):
        assert what in err
