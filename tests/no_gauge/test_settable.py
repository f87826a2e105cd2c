"""An advice for a shop without a gauge names what can be set, no deeper than it allows."""

import re

import pytest

import outgas
from outgas.no_gauge import settable
from outgas.no_gauge.settable import told_without_gauge

UP = "orthophthalic-polyester"
RIG = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"
CASES = [
    {},
    {"air_pressure": "27 mbar"},
    {"process": "infusion"},
    {"no_debulk": True, "air_pressure": "100 mbar"},
]
pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")


def shop(**more):
    return outgas.Shop(**{"temperature": "26 degC", "humidity": "60 %", "altitude": "20 m", **more})


def told(reads_with, rig=None, **asked):
    rig = rig or outgas.Rig()
    advice = outgas.advise(UP, shop(), reads_with=reads_with, rig=rig, **asked)
    return advice, told_without_gauge(advice, rig)


@pytest.mark.parametrize("rig", [None, RIG], ids=["no rig", "rig"])
@pytest.mark.parametrize("reads_with", ["water", "plate", "none"])
@pytest.mark.parametrize("asked", CASES, ids=str)
def test_what_is_set_is_at_its_worst_no_deeper_than_the_advice_allows(reads_with, asked, rig):
    known = None if rig is None else outgas.Rig.from_words(rig)
    advice, _ = told(reads_with, known, **asked)
    for stage in settable._stages(advice):
        p, deep = settable._of(advice, stage)
        way = settable._way(advice, stage, known or outgas.Rig(), p, deep)
        if isinstance(way, outgas.Telltale):
            assert way.floor_Pa >= deep - 0.1
        elif isinstance(way, tuple):
            assert way[1].low_Pa >= deep
        elif way is not None:
            assert way.low_Pa >= deep
            assert not way.too_heavy


def test_water_names_the_two_vials_of_the_debulk_and_a_plate_where_water_cannot():
    advice, report = told("water")
    first, *rest = report.brief().splitlines()
    vials = outgas.telltale(advice, "debulk")
    assert f"water at {vials.must_boil.m_as('degC'):.1f} degC boils" in first
    text = " ".join(rest)
    assert "Then come up and cure with " in text
    assert "over a 20 mm hole" in text
    assert "inHg" not in text.split("Expect")[0]


def test_a_plate_is_told_by_its_mass_its_bore_and_its_range():
    advice, report = told("plate")
    text = " ".join(report.brief().split())
    mass, low, high = re.search(
        r"cure with ([\d.]+) kg, .* the bag may be (\d+) to (\d+) mbar", text
    ).groups()
    valve = outgas.relief_valve(advice.setpoint, "20 mm", shop().barometer)
    assert float(mass) <= valve.mass_kg  # lighter holds weaker
    assert float(low) * 100 >= advice.deepest_Pa - 100.0
    assert float(high) > float(low)
    assert "stands inside the pot" in " ".join(report.text().split())


def test_nothing_at_all_takes_whichever_is_least_deep_at_its_worst():
    advice, report = told("none", outgas.Rig.from_words(RIG), air_pressure="27 mbar")
    p, deep = settable._of(advice, "cure")
    rig = outgas.Rig.from_words(RIG)
    plate, hole = settable._plate(advice, rig, p, deep), settable._hole(advice, rig, p, deep)
    chosen = settable._way(advice, "cure", rig, p, deep)
    lows = [x for x in (plate and plate.low_Pa, hole and hole[1].low_Pa) if x]
    got = chosen[1].low_Pa if isinstance(chosen, tuple) else chosen.low_Pa
    assert got == max(lows)
    assert "bleed" in report.text() or "plate" in report.text()


def test_a_dial_a_sensor_and_what_is_not_held_are_told_as_ever():
    for reads_with in ("dial", "sensor 5 mbar"):
        advice, report = told(reads_with)
        assert report.brief() == advice.to_text()
    got = outgas.advise(UP, shop(altitude="2500 m"), reads_with="none")
    assert told_without_gauge(got, outgas.Rig()).brief() == got.to_text()
    press = outgas.advise(UP, shop(), process="pressing", reads_with="plate")
    assert told_without_gauge(press, outgas.Rig()).brief() == press.to_text()


def test_the_cautions_of_what_is_set_and_of_the_resin_both_stand_each_once():
    _, report = told("water")
    cautions = [str(x) for b in report.blocks if b.belongs == "cautions" for x in b.lines]
    assert len(cautions) == len(set(cautions))
    assert any("plate laid on a lid" in c for c in cautions)
    assert any("water only" in c for c in cautions)
    assert any("peroxide" in c for c in cautions)
    assert report.brief().splitlines()[-3].startswith("! promoter first")


def test_the_bounds_in_absolute_mbar_are_rounded_to_be_safe():
    advice, report = told("plate")
    early, cure, weak = map(
        int, re.search(r"debulk (\d+), cure (\d+) mbar absolute; never weaker than (\d+)",
                       " ".join(report.brief().split())).groups()
    )  # fmt: skip
    assert early * 100 >= advice.debulk_limit_Pa
    assert cure * 100 >= advice.deepest_Pa
    assert weak * 100 <= advice.shallowest_Pa


def test_how_it_is_set_stands_in_what_to_do():
    _, report = told("water")
    do = report.text(parts=("do",))
    assert "How to set it" in do
    assert "two plastic vials" in do
    assert "the weight: steel" in do
