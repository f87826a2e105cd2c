"""A plan is numbers and lines: rewording breaks no rule, and its pressures follow the dial."""

import pickle
import re

import pytest

import outgas
from outgas.laminate.runaway import Runaway
from outgas.plan.stage import stage_of
from outgas.show.report import Line

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")

UP = "orthophthalic-polyester"
PROSE = {"text", "changes", "cautions", "assumptions", "why", "watch_for"}
ON_DIAL = re.compile(r"-?[\d.]+ bar( gauge)? \([\d.]+ mbar( absolute)?\)")
# Losses, what pushes and what the resin itself is at: on no dial.
NOT_A_BAG = re.compile(
    r"^(air pressure: |air in the resin: )[\d.]+ mbar|\([\d.]+ to [\d.]+ mbar left|"
    r"no more than [\d.]+ mbar in|the resin drifts to about [\d.]+ mbar|"
    r"\(air pressure [\d.]+ mbar or less\)"
    r"|of it, [\d.]+ mbar at the least"
    r"|the resin needs [\d.]+ mbar, more than the atmosphere has"
)


def shop(temperature="24 degC"):
    return outgas.Shop(temperature=temperature, humidity="55 %", altitude="20 m")


def layup(plies="4 x 400 g/m2 woven glass", **more):
    return outgas.Layup(plies=[plies], area="0.5 m2", tool="6 mm glass plate", **more)


CASES = [
    {"layup": layup()},
    {"layup": layup(), "wet_out": "30 min", "batch": "8 kg"},
    {"layup": layup("30 x 400 g/m2 woven glass"), "initiator": "2 %"},
    {"layup": layup(core="15 mm PVC foam"), "process": "core bonding"},
    {"layup": layup(), "process": "infusion", "fill": "40 min"},
    {"layup": layup(), "process": "pressing"},
    {"process": "degassing"},
    {"layup": layup(), "degas": False, "void_target": "0.2 %"},
]


def choices(value):
    """Return what a script would go by: of prose only how many lines there are."""
    if isinstance(value, dict):
        return {
            k: (len(v) if isinstance(v, list) else None) if k in PROSE else choices(v)
            for k, v in value.items()
        }
    return [choices(x) for x in value] if isinstance(value, list | tuple) else value


def held(plan):
    return (
        choices(plan.to_dict()),
        *(plan.fits, plan.to_csv(), [b.stage for b in plan.breaks]),
        [(s.kind, s.holds, s.held.pressures, s.limit_K) for s in plan],
    )


@pytest.mark.parametrize("case", CASES)
def test_rewording_every_line_breaks_no_rule_and_moves_no_stage(case, monkeypatch):
    plan = outgas.schedule(UP, shop(), **case)
    text, told = plan.to_text(full=True), held(plan)
    made = Line.__init__

    def nonsense(self, text, pressures=(), *_, **__):
        made(self, "zq" + " {}" * len(pressures), pressures)

    monkeypatch.setattr(Line, "__init__", nonsense)
    again = outgas.schedule(UP, shop(), **case)
    assert held(again) == told
    assert "zq" in again.to_text(full=True)
    assert again.to_text(full=True) != text


def test_rewording_a_runaway_leaves_the_break_its_remedy(monkeypatch):
    deep = outgas.Layup(plies=["30 x 450 g/m2 chopped strand mat"], area="0.01 m2")
    hot = {"layup": deep, "wet_out": "1 min"}
    told = outgas.schedule(UP, shop(), **hot)
    broken = next(b for b in told.breaks if b.stage == "exotherm watch")
    assert broken.text.startswith("runaway")
    assert broken.changes == (
        "thinner stages, less initiator within the sheet, a cooler shop or a metal tool",
    )
    made = Runaway.__init__

    def other(self, limit_K, said, remedy):
        made(self, limit_K, "it runs off", "do otherwise")

    monkeypatch.setattr(Runaway, "__init__", other)
    again = outgas.schedule(UP, shop(), **hot)
    broken = next(b for b in again.breaks if b.stage == "exotherm watch")
    assert (broken.text, broken.changes) == ("it runs off", ("do otherwise",))


@pytest.mark.parametrize("case", CASES)
def test_every_pressure_of_a_plan_follows_the_dial_that_is_chosen(case):
    plan = outgas.schedule(UP, shop(), **case)
    for line in plan.report.every_line():
        shown = line.on(plan.barometer_Pa, "bar")
        left = NOT_A_BAG.sub("", ON_DIAL.sub("", shown.strip()))
        assert not re.search(r"[\d.]+ mbar", left), shown
    assert ON_DIAL.search(plan.to_text("bar", full=True)) or case.get("process") == "pressing"


def test_stages_are_looked_up_by_kind_and_named_as_they_were():
    plan = outgas.schedule(UP, shop(), layup=layup(core="15 mm PVC foam"), process="core bonding")
    assert stage_of(plan, "wet out") == plan.stage("bed the core")
    assert stage_of(plan, "hold", "heat") == plan.stage("hold to the gel")
    assert stage_of(plan, "fill") is None
    assert "kind" not in plan.stage("mix").to_dict()


def test_a_stage_shows_itself_with_its_cautions():
    plan = outgas.schedule(UP, shop(), layup=layup())
    stage = plan.stage("mix")
    assert stage.to_text(full=True).splitlines()[0] in plan.to_text(full=True)
    for caution in stage.cautions:
        assert caution[:40] in stage.to_text(full=True)
    debulk = plan.stage("debulk")
    assert "mmHg vacuum" in debulk.to_text("mmHg", full=True)
    assert "inHg" not in debulk.to_text("mmHg", full=True)
    assert debulk.to_json().startswith("{")
    assert "<b>" in debulk._repr_html_()
    hold = plan.stage("hold to the gel")
    assert re.search(r"went quiet \(\d+ mbar in the debulk\)", hold.why)
    why = " ".join(hold.to_text(full=True).split("why: ")[1].split())
    assert why.startswith(hold.why)


def test_a_plan_survives_pickling_with_its_words():
    plan = outgas.schedule(UP, shop(), layup=layup())
    again = pickle.loads(pickle.dumps(plan))
    assert again.to_dict() == plan.to_dict()
    assert again.to_text("percent", full=True) == plan.to_text("percent", full=True)
