import json
import subprocess
import sys

import pytest

import outgas
from outgas.cli.main import main
from outgas.show import dial

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]


@pytest.fixture
def run(capsys):
    def go(*arguments):
        code = main(list(arguments))
        got = capsys.readouterr()
        return code, got.out, got.err

    return go


def test_the_main_job(run):
    code, out, err = run("advise", UP, *SHOP, "--process", "wet layup")
    assert (code, err) == (0, "")
    first, second = out.splitlines()[:2]
    assert first.startswith("Cure at 10.5 inHg vacuum (653 mbar absolute)")
    assert second.startswith(
        "Debulk first at 26.5 inHg vacuum (111 mbar absolute), never deeper than 27.3"
    )
    assert out.index("air 991") < out.index("water 14") < out.index("styrene 9")
    for words in ("peroxide last", "safety data sheet", "styrene vapour", "no glass"):
        assert words in out.replace("\n    ", " ")


def test_json_is_what_the_library_says(run):
    code, out, _ = run("advise", UP, *SHOP, "--json")
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    assert code == 0
    assert json.loads(out) == json.loads(outgas.advise(UP, shop).to_json())


def test_text_is_what_the_library_says(run):
    _, out, _ = run("advise", UP, *SHOP)
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    assert out == str(outgas.advise(UP, shop)) + "\n"


def test_every_option_reaches_the_library(run):
    code, out, err = run(
        "advise",
        "epoxy-laminating",
        *["--temperature", "79F", "--humidity", "0.5", "--altitude", "300m"],
        *["--barometer", "1010 hPa", "--tool-temperature", "24C", "--process", "core-bonding"],
        *["--hottest", "40C", "--degassed", "200 mbar", "--entrained", "0.4%"],
        *[
            "--water-activity",
            "0.4",
            "--contaminant",
            "acetone=0.5%",
            "--contaminant",
            "ethanol 1 %",
        ],
        *["--void-target", "3%", "--vapour-share", "40%", "--confidence", "90%"],
        *["--ply", "2 x 400 g/m2 woven glass", "--core", "15 mm PVC foam", "--area", "0.8 m2"],
        *["--tool", "6 mm glass plate", "--bag-side", "peel ply", "--bag-side", "breather"],
        *["--pump-ultimate", "5 mbar", "--hold-error", "10 mbar", "--reads-with", "sensor 5 mbar"],
        *["--bag", "500 mbar", "--dial", "bar", "--json"],
    )
    assert err == ""
    got = json.loads(out)
    shop = outgas.Shop(
        temperature="79 F",
        humidity=0.5,
        altitude="300 m",
        barometer="1010 hPa",
        tool_temperature="24 degC",
    )
    with pytest.warns(outgas.OutgasWarning):
        want = outgas.advise(
            "epoxy-laminating",
            shop,
            process="core bonding",
            hottest="40 degC",
            degassed="200 mbar",
            entrained="0.4 %",
            water_activity=0.4,
            contaminants={"acetone": "0.5 %", "ethanol": "1 %"},
            void_target="3 %",
            vapour_share="40 %",
            confidence="90 %",
            layup=outgas.Layup(
                plies=["2 x 400 g/m2 woven glass"],
                core="15 mm PVC foam",
                area="0.8 m2",
                tool="6 mm glass plate",
                bag_side=["peel ply", "breather"],
            ),
            rig=outgas.Rig(pump_ultimate="5 mbar", hold_error="10 mbar"),
            reads_with="sensor 5 mbar",
            bag_pressure="500 mbar",
        )
    assert got == json.loads(want.to_json())
    assert code == (0 if want.safe else 1)


def test_a_bag_that_boils_exits_one(run):
    code, out, _ = run(
        *["advise", UP, "--temperature", "30C", "--humidity", "60%"], "--bag", "29.6 inHg vacuum"
    )
    assert code == 1
    assert "too deep, likely boiling" in out
    assert "0 and 36 mbar" in out


def test_minus_signs_are_values(run):
    code, _, err = run("advise", UP, "--temperature", "-5C", "--humidity", "60%")
    assert code == 1
    assert err == (
        "outgas: refused: -5.0 degC is below the 15 degC that orthophthalic polyester, "
        "general-purpose laminating needs; warm the shop, the tool and the resin first\n"
    )
    code, out, _ = run("advise", UP, *SHOP, "--bag", "-0.94 bar gauge")
    assert code == 1
    assert "Your bag: " in out


def test_polystyrene_is_refused_with_exit_one(run):
    code, out, err = run("advise", UP, *SHOP, "--core", "20 mm EPS")
    assert (code, out) == (1, "")
    assert err.count("\n") == 1
    assert "dissolves" in err


def test_no_window_exits_one_with_ways_out(run):
    code, out, _ = run(
        *["advise", UP, "--temperature", "26C", "--humidity", "60%", "--altitude", "1600m"]
    )
    assert code == 1
    assert out.startswith("No safe vacuum")
    assert "Ways out" in out


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


def test_lists_name_every_record(run):
    for command, names in (("resins", outgas.resins()), ("volatiles", outgas.volatiles())):
        code, out, _ = run(command)
        assert code == 0
        for name in names:
            assert name in out
        code, out, _ = run(command, "--json")
        assert set(json.loads(out)) == set(names)


def test_show_explains_numbers_with_range_how_and_source(run):
    code, out, _ = run("resins", "show", UP)
    assert code == 0
    assert "0.35 to 0.45" in out
    assert "from memory" in out
    assert "polyester-data-sheets" in out
    code, out, _ = run("volatiles", "show", "styrene")
    assert "Peng-Robinson" in out
    assert "VDI Heat Atlas" in out
    code, out, _ = run("volatiles", "show", "water")
    assert "reference equation of state" in out
    code, out, _ = run("resins", "show", "polyurethane-infusion")
    assert "carbon dioxide" in out


def test_show_as_json_keeps_unit_and_source_beside_each_number(run):
    _, out, _ = run("resins", "show", UP, "--json")
    record = json.loads(out)
    assert record["viscosity"]["unit"] == "mPa s"
    assert record["viscosity"]["source"] == "polyester-data-sheets"


def test_a_users_own_file_works_on_the_command_line(run, tmp_path):
    from outgas.tables import catalogue

    text = (catalogue.data_root() / "resins.toml").read_text(encoding="utf-8")
    block = text[text.index(f"[{UP}]") : text.index("\n[isophthalic-polyester]")]
    path = tmp_path / "mine.toml"
    path.write_text(block.replace(UP, "mine"), encoding="utf-8")
    code, out, _ = run("advise", str(path), *SHOP)
    assert code == 0
    assert out.startswith("Cure at 10.5 inHg")
    path.write_text(block.replace(UP, "mine").replace('source = "memory", ', "", 1))
    code, out, err = run("advise", str(path), *SHOP)
    assert (code, out) == (2, "")
    assert "missing required field `source`" in err


def test_convert_a_weather_app_at_altitude(run):
    code, out, _ = run(
        *["convert", "24 inHg vacuum", "--altitude", "1600m", "--barometer", "1015 hPa"]
    )
    assert code == 0
    assert out.startswith("24 inHg vacuum: 23.9 mbar absolute")
    assert "a dial cannot tell" in out
    code, out, _ = run("convert", "--altitude", "1500m", "--json")
    assert json.loads(out)["barometer_Pa"] == pytest.approx(84560, abs=20)


def test_press_on_the_command_line(run):
    code, out, _ = run("press", UP, *SHOP, "--area", "0.8 m2")
    assert code == 0
    assert "4,079 kg" in out
    code, out, _ = run("press", UP, *SHOP, "--area", "0.8 m2", "--clamp", "200 mbar", "--json")
    assert json.loads(out)["force_N"] == pytest.approx(16000)


@pytest.mark.parametrize("name", list(dial.DIALS))
def test_the_answer_is_on_the_users_dial(run, name):
    _, out, _ = run("advise", UP, *SHOP, "--dial", name)
    first, second = out.splitlines()[:2]
    words = dial.DIALS[name][2]
    assert words in first
    assert words in second
    assert "mbar absolute" in first


def test_a_dial_is_rounded_to_the_safe_side():
    here = 101325.0
    for name, (key, step, _, falls) in dial.DIALS.items():
        for p in (8642.0, 62766.9, 30111.1):
            true = __import__("outgas.units", fromlist=["x"]).dial_readings(p, here)[key]
            shown = float(dial.on_dial(p, here, name).split()[0])
            assert abs(shown - true) <= step + 1e-9
            assert shown >= true - 1e-9 if falls else shown <= true + 1e-9
            weak = float(dial.on_dial(p, here, name, weaker=False).split()[0])
            assert weak <= true + 1e-9 if falls else weak >= true - 1e-9


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


LAID = ["--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2", "--tool", "18 mm plywood"]


def test_a_schedule_opens_with_the_answer_and_is_what_the_library_says(run):
    code, out, err = run("schedule", UP, *SHOP, *LAID)
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2", tool="18 mm plywood")
    assert (code, err) == (0, "")
    assert out.startswith("Cure at ")
    assert out == str(outgas.schedule(UP, shop, layup=layup)) + "\n"
    code, out, _ = run("schedule", UP, *SHOP, *LAID, "--json")
    assert json.loads(out)["fits"] is True


def test_a_schedule_as_csv_and_one_that_does_not_hold(run):
    code, out, _ = run("schedule", UP, *SHOP, *LAID, "--csv")
    assert code == 0
    assert out.splitlines()[0].startswith("time_s,setpoint_Pa")
    code, out, _ = run("schedule", UP, *SHOP, *LAID, "--wet-out", "30 min", "--batch", "3 kg")
    assert code == 1
    assert "The plan does not hold: wet out ends" in out
    code, _, err = run("schedule", UP, *SHOP, *LAID, "--csv", "--json")
    assert (code, err) == (2, "outgas: give --csv or --json, not both\n")
    code, _, err = run("schedule", UP, *SHOP)
    assert code == 2
    assert "a plan needs the layup" in err


COOL = ["--temperature", "22C", "--humidity", "60%", "--altitude", "20m"]


def test_every_option_of_a_schedule_reaches_the_library(run):
    code, out, err = run(
        "schedule", UP, *COOL, *LAID, "--no-degas", "--initiator", "1.2%", "--gel-time", "22 min",
        "--sun", "20 W/m2", "--batch", "0.4 kg", "--wet-out", "3 min", "--dial", "mbar", "--json",
    )  # fmt: skip
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert found["batch_kg"] == 0.4
    assert "degas" not in [stage["name"] for stage in found["stages"]]
    assert any("as measured" in text for text in found["assumptions"])


def test_reading_a_bleed(run):
    plies = ["--ply", "2 x 400 g/m2 woven glass"]
    code, out, _ = run("bleed", UP, *plies, "--pitch", "25 mm", "--spot", "10 mm")
    assert code == 0
    assert out.startswith("Bleed: good")
    code, out, _ = run("bleed", UP, *plies, "--pitch", "10 mm", "--spot", "10 mm", "--json")
    assert code == 1
    assert json.loads(out)["state"] == "flooded"
    code, _, err = run("bleed", UP, *plies, "--spot", "10 mm")
    assert code == 2
    assert err.count("\n") == 1


def test_a_dial_left_alone_is_not_a_dial_chosen(run):
    _, alone, _ = run("advise", UP, *SHOP)
    _, chosen, _ = run("advise", UP, *SHOP, "--dial", "inHg")
    assert alone.splitlines()[:2] == chosen.splitlines()[:2]
    alone, chosen = (text.split("To go deeper")[1].split("Cautions")[0] for text in (alone, chosen))
    assert "inHg" not in alone
    assert "inHg vacuum" in chosen


def test_rewording_every_line_leaves_the_exit_code(run, monkeypatch):
    from outgas.show.report import Line

    deep = ["advise", UP, *SHOP, "--bag", "29.6 inHg vacuum"]
    jobs = [deep, ["advise", UP, *SHOP], ["schedule", UP, *SHOP, "--process", "degassing"]]
    codes = [run(*job)[0] for job in jobs]
    assert codes == [1, 0, 0]
    made = Line.__init__

    def nonsense(self, text, pressures=()):
        made(self, "zq" + " {}" * len(pressures), pressures)

    monkeypatch.setattr(Line, "__init__", nonsense)
    assert [run(*job)[0] for job in jobs] == codes
    assert "zq" in run(*deep)[1]


# Several mistakes at once ---------------------------------------------------------------------


def test_every_mistake_of_a_command_is_told_on_its_own_line(run):
    code, out, err = run(
        *["advise", UP, "--temperature", "26 bananas", "--humidity", "160%"],
        *["--altitude", "20 kg", "--core", "20 mm cheese", "--ply", "3 x 400 g/m2 wool"],
        *["--pump-ultimate", "2 apples", "--hold-error", "far", "--contaminant", "acetone"],
    )
    assert (code, out) == (2, "")
    lines = err.splitlines()
    assert all(line.startswith("outgas: ") for line in lines)
    for word in ("bananas", "160", "kg", "cheese", "wool", "apples", "far", "acetone=1%"):
        assert sum(word in line for line in lines) == 1, (word, lines)
    assert len(lines) == 8


@pytest.mark.parametrize("command", ["advise", "schedule", "press"])
def test_two_mistakes_in_two_groups_are_two_lines_in_every_command(run, command):
    code, _, err = run(command, UP, "--temperature", "26", "--humidity", "50%", "--area", "0.5 kg")
    assert code == 2
    assert len(err.splitlines()) == 2
    assert "temperature" in err
    assert "area" in err


def test_one_mistake_is_one_line_and_names_it_once(run):
    code, _, err = run("advise", UP, *SHOP, "--core", "20 mm cheese")
    assert code == 2
    assert err.count("\n") == 1


def test_what_only_together_makes_no_sense_is_told_too(run):
    """Each option may be read alone, and yet not beside another."""
    code, _, err = run("advise", UP, *SHOP, "--ply", "core", "--area", "0.5 kg")
    assert code == 2
    assert len(err.splitlines()) == 2
