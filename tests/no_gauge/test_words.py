"""An answer is numbers and lines: words carry no numbers, and every bag pressure is on the dial."""

import dataclasses
import json
import pickle
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas import readings
from outgas.no_gauge import belief, bleed_hole, drop_test, hold, telltale, weighted_plate, words
from outgas.no_gauge.cautions import LOOKING
from outgas.no_gauge.telltale import no_vials
from outgas.show.dial import DIALS
from outgas.show.report import Line, Report

UP = "orthophthalic-polyester"
HERE = "1005 hPa"
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose, 5 l bag, leak 0.5 mbar l/s"


def shop():
    return outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")


def advice(**asked):
    return outgas.advise(UP, shop(), **asked)


def held(rig=RIG, setpoint="300 mbar", **limits):
    return outgas.hold(setpoint, outgas.Rig.from_words(rig), HERE, **limits)


def bag():
    return outgas.BagPressure.unknown(shop().barometer).plate_lifts("1.15 kg", "20 mm")


LIMITS = {"deepest": "250 mbar", "shallowest": "280 mbar"}
ANSWERS = {
    "belief": bag,
    "nothing known": lambda: outgas.BagPressure.unknown(HERE),
    "torn": lambda: bag().saw_boiling("20 degC"),
    "bag advice": lambda: bag().advise(UP, shop()),
    "prepreg": lambda: outgas.BagPressure.unknown(shop().barometer).advise(
        "out-of-autoclave-epoxy-prepreg", shop(), process="prepreg"
    ),
    "hold": held,
    "hold between limits": lambda: held(**LIMITS),
    "hold with a pump that hardly gets there": lambda: held("5 m3/h dry vane pump", "100 mbar"),
    "plate": lambda: outgas.relief_valve("653 mbar", "20 mm", HERE),
    "hole": lambda: outgas.bleed_hole("400 mbar", outgas.Rig.from_words(RIG)),
    "tell-tale": lambda: outgas.telltale(advice(air_pressure="27 mbar", void_target="5 %")),
    "drop test": lambda: outgas.drop_test("5 mbar", "5 min", rig=outgas.Rig.from_words(RIG)),
}

# A difference, a rate, a pressure in the resin, or what an instrument can do: mbar on every dial.
NOT_OF_THE_BAG = re.compile(
    r"1 % of mass is [\d.]+ mbar|it holds [\d.]+ mbar under|pressure of\s+[\d.]+ mbar|10 mbar|"
    r"holds the bag [\d.]+ mbar over|by [\d.]+ mbar over|[\d.]+ mbar a minute|mbar l/s|"
    r"read(s down to|\s+no lower than) 300 mbar|its water pushes.*? in the resin|"
    r"air pressure: [\d.]+ mbar|hundreds of mbar|a hundred mbar"
)


def left_in_mbar(text):
    """Return the pressures of a text that stand in mbar alone, not in brackets after a dial's."""
    text = NOT_OF_THE_BAG.sub("", " ".join(text.split()))
    bracketed = re.sub(r"\([\d.]+ mbar( absolute)?\)", "", text)
    return re.findall(r"[\d.]+ mbar", bracketed)


@pytest.mark.parametrize("name", ANSWERS)
@pytest.mark.parametrize("dial", ["bar", "percent", "inHg"])
def test_every_bag_pressure_of_an_answer_follows_a_chosen_dial(name, dial):
    answer = ANSWERS[name]()
    assert left_in_mbar(answer.to_text(dial, full=True)) == []


def test_a_chosen_dial_moves_what_stands_in_mbar_without_one():
    assert left_in_mbar(held(**LIMITS).to_text(full=True))
    assert "lifts at 303 mbar, may be 2" in " ".join(held().to_text(full=True).split())
    told = " ".join(held().to_text("bar", full=True).split())
    assert "lifts at -0.700 bar gauge (303 mbar absolute), may be -0." in told
    assert "lets it fall to -0." in told


def test_the_ends_of_a_range_are_rounded_outwards_on_a_dial():
    plate = outgas.relief_valve("653 mbar", "20 mm", HERE)
    for dial, step in (("mbar", 1.0), ("torr", 1.3332)):
        low, high = re.search(r"may be ([\d.]+)\D.*? to ([\d.]+)", flat(plate, dial)).groups()
        unit = 100.0 if dial == "mbar" else 133.322
        assert plate.low_Pa - step * 100.0 <= float(low) * unit <= plate.low_Pa
        assert plate.high_Pa <= float(high) * unit <= plate.high_Pa + step * 100.0


def flat(answer, dial):
    return " ".join(answer.to_text(dial, full=True).split())


def test_why_there_is_no_hole_follows_the_dial_too():
    found = held("5 m3/h two-stage pump, 5 l bag, leak 100 mbar l/s", "83 mbar")
    assert found.no_hole.startswith("setpoint is 83.0 mbar; this pump with this leak reaches ")
    assert found.no_hole in " ".join(found.to_text(full=True).split())
    assert "none: setpoint is -0.92" in flat(found, "bar")
    assert left_in_mbar(found.to_text("bar", full=True)) == []
    assert pickle.loads(pickle.dumps(found)) == found


def test_why_water_cannot_serve_follows_the_dial_too():
    report = no_vials(advice(), "cure")
    assert outgas.better_instrument(advice()) in report.text()
    assert re.search(r"for 5\d\d mbar: hold it", report.text())
    assert left_in_mbar(report.text("bar")) == []
    assert "bar gauge (5" in report.text("bar")


def test_the_next_observation_follows_the_dial_too():
    said = bag().advise(UP, shop())
    report = words.next_report(said)
    assert "bar gauge" in report.text("bar")
    assert left_in_mbar(report.text("bar")) == []


def scramble(report):
    """Return a report whose every line says the same nonsense."""
    nonsense = lambda shown: tuple(Line("xyzzy") for _ in shown)  # noqa: E731
    blocks = tuple(
        dataclasses.replace(b, title="?", lines=nonsense(b.lines)) for b in report.blocks
    )
    return Report(report.barometer_Pa, nonsense(report.answer), blocks)


@pytest.mark.parametrize("name", ANSWERS)
def test_nonsense_for_every_line_leaves_every_number_and_choice(name, monkeypatch):
    before = json.loads(ANSWERS[name]().to_json())
    real = Report.text
    for module in (belief, bleed_hole, drop_test, hold, telltale, weighted_plate, words):
        if hasattr(module, "Report"):
            made = module.Report
            monkeypatch.setattr(module, "Report", lambda *a, _made=made, **k: scramble(_made(*a)))
    answer = ANSWERS[name]()
    assert set(re.findall(r"\w+", real(answer.report))) == {"xyzzy"}
    assert json.loads(answer.to_json()) == before


def test_a_belief_of_any_kind_stays_what_it_is():
    class Mine(outgas.BagPressure):
        pass

    assert type(Mine.unknown(HERE).ice_formed()) is Mine
    bag = outgas.BagPressure.unknown(HERE).ice_formed()
    assert type(bag) is outgas.BagPressure
    assert repr(bag).startswith("BagPressure(barometer_Pa=100500, median")
    assert str(pickle.loads(pickle.dumps(bag))) == bag.to_text()
    said = bag.advise(UP, outgas.Shop(temperature="26 degC", humidity="60 %", barometer=HERE))
    assert str(pickle.loads(pickle.dumps(said))) == said.to_text()


def test_a_chosen_dial_reaches_the_command_line_and_none_changes_nothing(capsys):
    from outgas.cli.main import main

    arguments = ["no-gauge", "hold", "--full", "--setpoint", "300 mbar", "--rig", RIG]
    assert main(arguments) == 0
    plain = capsys.readouterr().out
    assert "lifts at 302 mbar, may be" in " ".join(plain.split())
    assert main([*arguments, "--dial", "INHG"]) == 0
    chosen = capsys.readouterr().out
    assert left_in_mbar(chosen) == []
    assert chosen.splitlines()[0] == plain.splitlines()[0]
    where = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]
    assert main(["no-gauge", "telltale", "--full", UP, *where, "--dial", "bar"]) == 0
    assert left_in_mbar(capsys.readouterr().out) == []


@pytest.mark.parametrize("name", ANSWERS)
def test_every_answer_carries_its_cautions(name):
    answer = ANSWERS[name]()
    cautions = answer.to_text(full=True).split("\n\nCautions\n")[1]
    said = " ".join(cautions.split())
    assert "the safety data sheet, local rules and licensed practice stand above" in said
    for caution in getattr(answer, "cautions", cautioned(answer)):
        assert caution in said


def cautioned(answer):
    return (*LOOKING, *answer.advice.cautions) if hasattr(answer, "advice") else LOOKING


@pytest.mark.parametrize("dial", ["inHg", "bar", "torr"])
@pytest.mark.parametrize("kelvin", [20.0, 33.0, 43.0])
def test_the_ends_of_a_belief_are_rounded_outwards_on_a_dial(dial, kelvin):
    bag = outgas.BagPressure.unknown("1013.25 hPa").fell_quiet(f"{kelvin} degC")
    key = DIALS[dial][0]
    ends = re.search(
        r"between (-?[\d.]+) .*? and (-?[\d.]+) ", bag.to_text(dial, full=True).splitlines()[0]
    )
    shown = [float(end) for end in ends.groups()]
    true = [
        readings.dial_readings(bag.pressure_at(share), bag.barometer_Pa)[key]
        for share in (0.05, 0.95)
    ]
    if not DIALS[dial][3]:  # a number that grows with depth
        shown, true = shown[::-1], true[::-1]
    assert shown[0] <= true[0] < true[1] <= shown[1]


@given(kelvin=st.floats(10.0, 60.0))
def test_the_ends_of_a_belief_in_mbar_are_rounded_outwards_too(kelvin):
    bag = outgas.BagPressure.unknown("1013.25 hPa").fell_quiet(f"{kelvin} degC")
    for dial in (None, "inHg", "mbar"):
        first = bag.to_text(dial, full=True).splitlines()[0].split("between")[1]
        low, high = (float(x) for x in re.findall(r"([\d.]+) mbar absolute", first))
        assert low * 100.0 <= bag.pressure_at(0.05) + 1e-3
        assert high * 100.0 >= bag.pressure_at(0.95) - 1e-3


@pytest.mark.parametrize(
    ("mbar", "said"),
    [
        ("15 mbar", "Let air in at the pump first"),
        ("70 mbar", "Let air in at the pump first"),
        ("535 mbar", "Until that is known let air in at the pump"),
        ("400 mbar", "Come up before the resin thickens"),
    ],
)
def test_a_bag_too_deep_or_perhaps_too_deep_is_let_up(mbar, said):
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    bag = outgas.BagPressure.unknown(shop.barometer)
    for _ in range(2):
        bag = bag.sensor(mbar, "10 mbar" if mbar == "535 mbar" else "5 mbar")
    assert said in str(bag.advise("orthophthalic-polyester", shop))
