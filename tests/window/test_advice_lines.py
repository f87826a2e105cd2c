"""An advice is numbers and lines: rewording changes no number, and every bag pressure is placed."""

import pickle
import re

import pytest

import outgas
from outgas.errors import OutgasWarning
from outgas.show.amounts import mbar_up
from outgas.show.report import At, Line
from outgas.window.behind import WayKind

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")

UP = "orthophthalic-polyester"
PROSE = {"text", "cautions", "assumptions", "notes"}
ON_DIAL = re.compile(r"-?[\d.]+ bar( gauge)? \([\d.]+ mbar( absolute)?\)")
# What pushes, limits in the resin, differences, and what lies above the atmosphere: on no dial.
NOT_A_BAG = re.compile(
    r"^(air pressure: |air in the resin: )[\d.]+ mbar|\([\d.]+ to [\d.]+ mbar left|"
    r"^Limited by .*: [\d.]+ mbar nominal|"
    r"a barometer [\d.]+ mbar lower|\([\d.]+ mbar, known"
)


def shop(temperature="26 degC"):
    return outgas.Shop(temperature=temperature, humidity="60 %", altitude="20 m")


LAYUP = outgas.Layup(
    plies=["4 x 400 g/m2 woven glass"],
    core="15 mm PVC foam",
    area="0.5 m2",
    tool="6 mm glass plate",
)
CASES = [
    {"bag_pressure": "29.6 inHg vacuum"},
    {"bag_pressure": "300 mbar"},
    {"process": "infusion", "bag_pressure": "24 inHg vacuum"},
    {"process": "core bonding", "layup": LAYUP, "bag_pressure": "25 inHg vacuum"},
    {"process": "degassing", "bag_pressure": "60 mbar"},
    {"degassed": "20 mbar", "rig": outgas.Rig(pump_ultimate="200 mbar")},
    {"layup": LAYUP, "initiator": "2 %"},
    {"void_target": "0.2 %"},
]


def choices(value):
    """Return what a script would go by: all of a dict but its prose."""
    if isinstance(value, dict):
        return {k: choices(v) for k, v in value.items() if k not in PROSE}
    return [choices(x) for x in value] if isinstance(value, list | tuple) else value


def scramble(monkeypatch):
    """Have every line made from now on say nonsense, with as many places as it has pressures."""
    made = Line.__init__

    def nonsense(self, text, pressures=(), *_, **__):
        made(self, "zq" + " {}" * len(pressures), pressures)

    monkeypatch.setattr(Line, "__init__", nonsense)


def held(got):
    """Return every number and choice of an advice."""
    return (
        choices(got.to_dict()),
        *(got.safe, got.has_window, got.limiting, got.verdict and got.verdict.state),
        [(way.kind, way.deepest_Pa, way.opens, way.line.pressures) for way in got.alternatives],
        *(len(got.cautions), len(got.assumptions)),
    )


@pytest.mark.parametrize("case", CASES)
def test_rewording_every_line_changes_no_number_and_no_choice(case, monkeypatch):
    said = outgas.advise(UP, shop(), **case)
    text, told = said.to_text(full=True), held(said)
    scramble(monkeypatch)
    got = outgas.advise(UP, shop(), **case)
    assert held(got) == told
    assert "zq" in got.to_text(full=True)
    assert got.to_text(full=True) != text


def test_rewording_changes_neither_a_press_nor_its_verdict(monkeypatch):
    def press():
        return outgas.press_instead(outgas.advise(UP, shop(), layup=LAYUP), LAYUP)

    told = press()
    scramble(monkeypatch)
    assert choices(press().to_dict()) == choices(told.to_dict())
    assert press().safe == told.safe
    assert "zq" in press().to_text(full=True)


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("temperature", ["21 degC", "30 degC"])
def test_every_bag_pressure_follows_the_dial_that_is_chosen(case, temperature):
    got = outgas.advise(UP, shop(temperature), **case)
    limits = (got.deepest_no_debulk_Pa, got.deepest_clear_Pa, got.deepest_Pa)
    above = {f"{mbar_up(p)} mbar" for p in limits if p > got.barometer_Pa}
    for line in got.report.every_line():
        placed = ["" if at.off_dial else at.on(got.barometer_Pa, "bar") for at in line.pressures]
        shown = line.text.format(*placed) if placed else line.text
        left = NOT_A_BAG.sub("", ON_DIAL.sub("", shown))
        alone = set(re.findall(r"[\d.]+ mbar", left))
        over = {x for x in alone if float(x.split()[0]) > got.barometer_Pa / 100 and x in above}
        assert alone == over, shown
    assert ON_DIAL.search(got.to_text("bar", full=True))


@pytest.mark.parametrize("case", CASES)
def test_without_a_dial_only_the_answer_and_what_to_do_are_on_one(case):
    got = outgas.advise(UP, shop(), **case)
    for line in got.report.every_line():
        if all(at.plain for at in line.pressures):
            assert "inHg" not in line.on(got.barometer_Pa, None)
            assert str(line) == line.on(got.barometer_Pa, None)
    assert "inHg" in got.to_text(full=True).splitlines()[0]


def test_a_way_out_on_a_dial_is_never_deeper_than_it_is():
    ways = [way for way in outgas.advise(UP, shop()).alternatives if way.deepest_Pa is not None]
    assert ways
    for way in ways:
        shown = way.line.on(101325.0, "mbar")
        first = float(re.search(r"cure at (\d+) mbar absolute", shown).group(1))
        assert first * 100 >= way.deepest_Pa - 0.1


def test_a_pressure_above_the_air_is_on_no_dial_and_rounded_to_less_vacuum():
    assert At(120010.0).on(101325.0, "bar") == "1201 mbar absolute"
    assert At(120010.0, plain=True).on(101325.0, "bar") == "1201 mbar"


def test_each_way_out_has_a_kind_of_its_own():
    kinds = set(WayKind.__args__)
    met = set()
    for process in ("wet layup", "infusion", "degassing", "pressing"):
        for name in (UP, "resole-phenolic"):
            try:
                got = outgas.advise(name, shop(), process=process, layup=LAYUP)
            except outgas.errors.OutgasError:
                continue
            here = [way.kind for way in got.alternatives]
            assert len(here) == len(set(here))
            met |= set(here)
    wet = outgas.Shop(temperature="21 degC", humidity="90 %", altitude="20 m")
    prepreg = outgas.advise("out-of-autoclave-epoxy-prepreg", wet, process="prepreg")
    assert {way.kind for way in prepreg.alternatives} == {"humidity", "pressure", "vacuum drying"}
    thick = outgas.Layup(plies=["30 x 450 g/m2 chopped strand mat"], area="0.5 m2")
    met |= {way.kind for way in outgas.advise(UP, shop("22 degC"), layup=thick).alternatives}
    assert met < kinds
    met |= {way.kind for way in outgas.advise(UP, shop(), no_debulk=True).alternatives}
    assert {"debulk", "pot", "stages", "press"} <= met


def test_an_advice_survives_pickling_with_its_words():
    got = outgas.advise(UP, shop(), bag_pressure="500 mbar")
    again = pickle.loads(pickle.dumps(got))
    assert again.to_dict() == got.to_dict()
    assert again.to_text("torr", full=True) == got.to_text("torr", full=True)


def test_a_press_shows_itself_like_any_answer():
    press = outgas.press_instead(outgas.advise(UP, shop(), layup=LAYUP), LAYUP)
    assert press.to_text(full=True) == press.to_text("bar", full=True)
    assert '"kind": "outgas press"' in press.to_json()
    assert "<b>Press with" in press._repr_html_()
    for caution in press.cautions:
        assert f"  - {caution}" in press.to_text(full=True)


def test_a_flag_is_warned_of_in_plain_words():
    with pytest.warns(OutgasWarning, match="a pot at 20 mbar may have boiled the resin"):
        outgas.advise(UP, shop(), degassed="20 mbar")
