"""The command line before and during the job: advise, schedule, press and convert."""

import json

import pytest

import outgas

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]
COOL = ["--temperature", "22C", "--humidity", "60%", "--altitude", "20m"]
LAID = ["--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2", "--tool", "18 mm plywood"]


def test_the_main_job(run):
    code, out, err = run("advise", "--full", UP, *SHOP, "--process", "wet layup")
    assert (code, err) == (0, "")
    first, second, third = out.splitlines()[:3]
    assert first == (
        "Debulk at 26.5 inHg vacuum (111 mbar absolute) for 10 min or more, while the resin is "
        "thin; when it goes quiet come up and cure at 13.4 inHg vacuum (557 mbar absolute)."
    )
    assert second == (
        "Never deeper: debulk 27.3 inHg (86 mbar), cure 14.1 inHg (532 mbar); never weaker than "
        "10.1 inHg (670 mbar)."
    )
    assert third.startswith("Expect 0.0% voids (0 to 2), ")
    assert out.index("air 991") < out.index("water 14") < out.index("styrene 9")
    for words in ("peroxide last", "safety data sheet", "styrene vapour", "no glass"):
        assert words in out.replace("\n    ", " ")


def test_json_is_what_the_library_says(run):
    code, out, _ = run("advise", "--full", UP, *SHOP, "--json")
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    assert code == 0
    assert json.loads(out) == json.loads(outgas.advise(UP, shop).to_json())


def test_text_is_what_the_library_says(run):
    _, out, _ = run("advise", "--full", UP, *SHOP)
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    assert out == outgas.advise(UP, shop).to_text(full=True) + "\n"


def test_every_option_reaches_the_library(run):
    code, out, err = run(
        "advise",
        "--full",
        "epoxy-laminating",
        *["--temperature", "79F", "--humidity", "0.5", "--altitude", "300m"],
        *["--barometer", "1010 hPa", "--tool-temperature", "24C", "--process", "core-bonding"],
        *["--hottest", "40C", "--degassed", "200 mbar for 10 min, stirred", "--entrained", "0.4%"],
        *["--trapped", "5%", "--connected", "70%", "--no-debulk", "--low-gas-initiator"],
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
            degassed="200 mbar for 10 min, stirred",
            entrained="0.4 %",
            trapped="5 %",
            connected="70 %",
            no_debulk=True,
            low_gas_initiator=True,
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
        *["advise", "--full", UP, "--temperature", "30C", "--humidity", "60%"],
        "--bag",
        "29.6 inHg vacuum",
    )
    assert code == 1
    assert "too deep, likely boiling" in out
    assert "0 and 36 mbar" in out


def test_minus_signs_are_values(run):
    code, _, err = run("advise", "--full", UP, "--temperature", "-5C", "--humidity", "60%")
    assert code == 1
    assert err == (
        "outgas: refused: -5.0 degC is below the 15 degC that orthophthalic polyester, "
        "general-purpose laminating needs; warm the shop, the tool and the resin first\n"
    )
    code, out, _ = run("advise", "--full", UP, *SHOP, "--bag", "-0.94 bar gauge")
    assert code == 1
    assert "Your bag: " in out


def test_polystyrene_is_refused_with_exit_one(run):
    code, out, err = run("advise", "--full", UP, *SHOP, "--core", "20 mm EPS")
    assert (code, out) == (1, "")
    assert err.count("\n") == 1
    assert "dissolves" in err


def test_no_window_exits_one_with_ways_out(run):
    code, out, _ = run(
        *["advise", "--full", UP, "--temperature", "26C", "--humidity", "60%"],
        *["--altitude", "3000m"],
    )
    assert code == 1
    assert out.startswith("No safe vacuum")
    assert "Ways out" in out


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
    code, out, _ = run("press", "--full", UP, *SHOP, "--area", "0.8 m2")
    assert code == 0
    assert "4,079 kg" in out
    code, out, _ = run(
        "press", "--full", UP, *SHOP, "--area", "0.8 m2", "--clamp", "200 mbar", "--json"
    )
    assert json.loads(out)["force_N"] == pytest.approx(16000)


def test_a_schedule_opens_with_the_answer_and_is_what_the_library_says(run):
    code, out, err = run("schedule", "--full", UP, *SHOP, *LAID)
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2", tool="18 mm plywood")
    assert (code, err) == (0, "")
    assert out.startswith("Cure at ")
    assert out == outgas.schedule(UP, shop, layup=layup).to_text(full=True) + "\n"
    code, out, _ = run("schedule", "--full", UP, *SHOP, *LAID, "--json")
    assert json.loads(out)["fits"] is True


def test_a_schedule_as_csv_and_one_that_does_not_hold(run):
    code, out, _ = run("schedule", "--full", UP, *SHOP, *LAID, "--csv")
    assert code == 0
    assert out.splitlines()[0].startswith("time_s,setpoint_Pa")
    code, out, _ = run(
        "schedule", "--full", UP, *SHOP, *LAID, "--wet-out", "30 min", "--batch", "3 kg"
    )
    assert code == 1
    assert "The plan does not hold: wet out ends" in out
    code, _, err = run("schedule", "--full", UP, *SHOP, *LAID, "--csv", "--json")
    assert (code, err) == (2, "outgas: give --csv or --json, not both\n")
    code, _, err = run("schedule", "--full", UP, *SHOP)
    assert code == 2
    assert "a plan needs the layup" in err


def test_every_option_of_a_schedule_reaches_the_library(run):
    code, out, err = run(
        *["schedule", "--full", UP, *COOL, *LAID],
        *["--no-degas", "--initiator", "1.2%", "--gel-time", "22 min"],
        "--sun", "20 W/m2", "--batch", "0.4 kg", "--wet-out", "3 min", "--dial", "mbar", "--json",
    )  # fmt: skip
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert found["batch_kg"] == 0.4
    assert "degas" not in [stage["name"] for stage in found["stages"]]
    assert any("as measured" in text for text in found["assumptions"])


def test_csv_and_json_are_not_given_together(run):
    code, out, err = run("schedule", "--full", UP, *SHOP, *LAID, "--csv", "--json")
    assert (code, out) == (2, "")
    assert "not both" in err


def test_what_a_dial_reading_is_on_every_other_dial(run):
    """24 inHg are 812.73 mbar; under 1003 mbar that leaves 190.27."""
    _, out, _ = run("convert", "24 inHg vacuum", "--barometer", "1003 hPa")
    first = " ".join(out.split("air pressure")[0].split())
    for words in ("190.3 mbar absolute", "24.00 inHg vacuum", "609.6 mmHg vacuum"):
        assert words in first
    for words in (
        "-0.813 bar gauge",
        "-81.3 kPa gauge",
        "-11.79 psi gauge",
        "81.0 % vacuum",
        "142.7 torr absolute",
    ):
        assert words in first
    assert "note" not in out


def test_a_dial_that_cannot_tell_is_flagged_and_an_absolute_reading_is_not(run):
    near = ["--barometer", "1003 hPa", "--json"]
    assert "flag" in json.loads(run("convert", "29 inHg vacuum", *near)[1])
    assert "flag" not in json.loads(run("convert", "20 mbar", *near)[1])
    assert "absolute_Pa" not in json.loads(run("convert", *near)[1])


def test_a_press_is_what_the_library_says_and_one_that_is_not_safe_exits_one(run):
    """Much acetone in a warm shop high up: it boils, pressed or not."""
    air = ["--temperature", "33C", "--humidity", "60%", "--altitude", "4000m"]
    told = ["--area", "0.8 m2", "--contaminant", "acetone=8%", "--clamp", "500 mbar"]
    shop = outgas.Shop(temperature="33 degC", humidity="60 %", altitude="4000 m")
    layup = outgas.Layup(area="0.8 m2")
    with pytest.warns(outgas.OutgasWarning):
        advice = outgas.advise(
            UP, shop, process="pressing", layup=layup, contaminants={"acetone": "8 %"}
        )
    want = outgas.press_instead(advice, layup, "500 mbar")
    assert not want.safe
    assert run("press", "--full", UP, *air, *told) == (1, want.to_text(full=True) + "\n", "")


def test_degassing_first_is_left_out_only_when_told(run):
    told = ["schedule", UP, *SHOP, *LAID, "--json"]
    plain, without = (json.loads(run(*told, *more)[1]) for more in ([], ["--no-degas"]))
    assert any(stage["name"] == "degas" for stage in plain["stages"])
    assert not any(stage["name"] == "degas" for stage in without["stages"])


def test_drying_reaches_the_library_from_advise_and_schedule_and_only_for_prepreg(run):
    damp = ["out-of-autoclave-epoxy-prepreg", *COOL, "--process", "prepreg"]
    code, out, _ = run("advise", "--full", *damp, "--json")
    told = json.loads(out)["verdict"]
    assert (code, told["state"]) == (1, "void-prone")
    code, out, _ = run(
        "advise", "--full", *damp, "--dried", f"{told['prepreg']['drying_slow_s']} s", "--json"
    )
    assert (code, json.loads(out)["verdict"]["state"]) == (0, "passed")
    laid = ["--ply", "6 x 200 g/m2 woven carbon", "--dried", "5 h", "--json"]
    stages = json.loads(run("schedule", "--full", *damp, *laid)[1])["stages"]
    assert [s["duration_s"] for s in stages if s["name"] == "hold under full vacuum"] == [18000.0]
    code, _, err = run("advise", "--full", UP, *COOL, "--dried", "8 h")
    assert code == 2
    assert err.count("\n") == 1
    assert "only prepreg is dried" in err


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (["--finish", "shiny"], "no finish is called 'shiny'"),
        (["--finish", "clear", "--void-target", "5%"], "disagree; give one of them"),
        (["--finish", "structural", "--void-target", "5%"], "disagree; give one of them"),
        (["--trapped", "40%"], "trapped"),
        (["--trapped", "little"], "trapped"),
        (["--connected", "120%"], "connected"),
        (["--connected", "-1%"], "connected"),
        (["--degassed", "27 mbar for 2 days"], "degassed, for"),
        (["--degassed", "27 mbar for 10"], "degassed, for"),
        (["--degassed", "27 mbar for 10 min, shaken"], "after the comma it is one of stirred"),
        (["--degassed", "2000 mbar for 10 min"], "above the barometer"),
        (["--degassed", "27 mbar", "--air-pressure", "90 mbar"], "not both"),
        (["--dried", "8 h"], "only prepreg is dried"),
        (["--no-debulk", "yes"], "unexpected extra argument"),
    ],
)
@pytest.mark.parametrize("command", ["advise", "schedule"])
def test_each_wrong_word_about_the_gas_is_one_line_and_exit_two(run, command, given, words):
    code, out, err = run(command, UP, *COOL, *LAID, *given)
    assert (code, out) == (2, "")
    assert err.startswith("outgas: ")
    assert err.count("\n") == 1
    assert words in err


def test_a_clear_finish_and_its_own_void_target_agree(run):
    code, _, err = run("advise", "--full", UP, *COOL, "--finish", "clear", "--void-target", "2%")
    assert (code in (0, 1), err) == (True, "")


def test_a_clear_finish_reaches_the_library_and_is_never_deeper(run):
    plain, clear = (
        json.loads(run("advise", "--full", UP, *COOL, "--json", *more)[1])
        for more in ([], ["--finish", "clear"])
    )
    assert (plain["finish"], clear["finish"]) == ("structural", "clear")
    assert clear["deepest_Pa"] == plain["deepest_clear_Pa"] >= plain["deepest_Pa"]


def test_no_debulk_is_told_straight_and_never_deeper(run):
    dry = ["--degassed", "27 mbar for 10 min, stirred"]
    code, out, err = run("advise", "--full", UP, *COOL, *dry, "--no-debulk")
    assert (code, err) == (0, "")
    assert out.startswith("Cure at ")
    assert "go there at once" in out.splitlines()[0]
    assert "debulk" not in " ".join(out.splitlines()[:3]).lower()
    with_one, without = (
        json.loads(run("advise", "--full", UP, *COOL, *dry, "--json", *more)[1])
        for more in ([], ["--no-debulk"])
    )
    assert without["debulk_Pa"] is None
    assert without["deepest_Pa"] == with_one["deepest_no_debulk_Pa"] > with_one["deepest_Pa"]
    names = [s["name"] for s in json.loads(run(*_plan(), "--no-debulk")[1])["stages"]]
    assert "debulk" not in names
    assert "debulk" in [s["name"] for s in json.loads(run(*_plan())[1])["stages"]]


def _plan():
    return ["schedule", UP, *COOL, *LAID, "--json"]


def test_an_undegassed_infusion_has_a_window_and_exits_zero(run):
    code, out, err = run("advise", "--full", UP, *COOL, "--process", "infusion")
    assert (code, err) == (0, "")
    first, second, third = out.splitlines()[:3]
    assert first.startswith("Fill at ")
    assert "inlet shut, wait until the line runs clear, then let the vent up to" in first
    assert second.startswith("Never deeper: fill ")
    assert third.startswith("Expect ")
    assert "no debulk" not in third


def test_a_degassing_that_took_longer_or_was_worked_leaves_less_air(run):
    def deepest(how):
        return json.loads(run("advise", "--full", UP, *COOL, "--degassed", how, "--json")[1])[
            "deepest_Pa"
        ]

    assert deepest("27 mbar for 20 min, stirred") < deepest("27 mbar for 1 min, stirred")
    assert deepest("27 mbar for 10 min, stirred") < deepest("27 mbar for 10 min, still")


def test_a_low_gas_initiator_reaches_the_library(run):
    ordinary, low = (
        json.loads(run("advise", "--full", "bisphenol-a-vinyl-ester", *COOL, "--json", *more)[1])
        for more in ([], ["--low-gas-initiator"])
    )
    assert low["voids_at_setpoint"][2] < ordinary["voids_at_setpoint"][2]


def test_a_shops_own_shares_of_the_gas_reach_the_library(run):
    usual, tight, loose = (
        json.loads(run("advise", "--full", UP, *COOL, "--json", *more)[1])["deepest_Pa"]
        for more in ([], ["--connected", "100%"], ["--connected", "10%"])
    )
    assert tight < usual < loose


def test_what_a_bag_at_its_own_pressure_leaves_stands_under_its_verdict(run):
    code, out, _ = run("advise", "--full", UP, *COOL, "--bag", "200 mbar")
    assert code == 1
    said = json.loads(run("advise", "--full", UP, *COOL, "--bag", "200 mbar", "--json")[1])
    verdict, cured = out.splitlines()[3:5]
    assert verdict.startswith("Your bag: fit for the debulk only")
    assert cured.startswith(f"Cured at 200 mbar: expect {said['voids_at_bag'][0]:.1%} voids (")
    assert cured.endswith(f", {said['look_at_bag']}.")


@pytest.mark.parametrize(
    "words",
    [
        ["-24 inHg"],
        ["-24", "inHg"],
        ["−24 inHg"],
        ["–24 inches of mercury"],
        ["24 inHg vacuum"],
        ["--", "-24 inHg"],
        ["--barometer", "1013.25 hPa", "-24 inHg"],
        ["-24 inHg", "--barometer=1013.25 hPa"],
    ],
)
def test_a_reading_with_a_minus_sign_is_that_much_vacuum(run, words):
    code, out, err = run("convert", *words)
    assert (code, err) == (0, "")
    assert "200.5 mbar absolute, 24.00 inHg vacuum" in out


def test_an_option_may_take_what_begins_with_a_minus_sign_and_stays_one(run):
    _, out, _ = run("convert", "--altitude", "-20m", "--json")
    assert json.loads(out)["barometer_Pa"] > 101325.0
    code, _, err = run("convert", "-x")
    assert code == 2
    assert "No such option" in err


def test_a_bag_may_be_told_as_a_dial_below_zero_shows_it(run):
    told = [
        run("advise", "--full", "orthophthalic-polyester", *SHOP, "--bag", bag)
        for bag in ("-24 inHg", "24 inHg vacuum")
    ]
    assert told[0] == told[1]


def test_a_bare_family_of_resins_ends_with_one_line_and_code_two(run):
    code, out, err = run("advise", "--full", "polyester", *SHOP)
    assert (code, out) == (2, "")
    assert err.startswith("outgas: polyester: say which; orthophthalic-polyester is what most")
    assert err.count("\n") == 1
