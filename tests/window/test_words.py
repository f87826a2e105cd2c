"""The words of an advice: the right pressure in the right place, rounded to the safe side."""

import dataclasses

import pytest
from window_jobs import PREPREG
from window_jobs import told_advice as ask

from outgas.physics.chance import Band
from outgas.show.amounts import voids_of
from outgas.show.report import Line
from outgas.window import words
from outgas.window.behind import Behind, Cure
from outgas.window.ways.influences import Influence


@pytest.fixture(scope="module")
def bag():
    """An advice with every pressure a little over, or under, a whole millibar."""
    return dataclasses.replace(
        ask(), setpoint_Pa=60010.0, deepest_Pa=50010.0, shallowest_Pa=67090.0,
        debulk_hold_Pa=9010.0, debulk_limit_Pa=8010.0, debulk_Pa=8010.0,
        deepest_no_debulk_Pa=63010.0, deepest_clear_Pa=70010.0, limiting="air",
    )  # fmt: skip


def told(found):
    return [str(line) for line in found]


def test_a_bag_is_told_to_cure_between_its_bounds_each_on_its_safe_side(bag):
    first, second, third = told(words.answer(bag))
    assert first == (
        "Debulk at 91 mbar for 10 min or more, while the resin is thin; when it goes quiet come up "
        "and cure at 601 mbar."
    )
    assert second == ("Never deeper: debulk 81 mbar, cure 501 mbar; never weaker than 670 mbar.")
    assert third.endswith("With no debulk: cure no deeper than 631 mbar.")
    filled = dataclasses.replace(bag, process="infusion")
    assert told(words.answer(filled))[0].startswith("Fill at 91 mbar; inlet shut, wait")
    assert "let the vent up to 601 mbar" in told(words.answer(filled))[0]
    assert (
        "no vacuum is both safe and tight"
        in told(words.answer(dataclasses.replace(bag, deepest_no_debulk_Pa=67110.0)))[2]
    )


def test_a_debulk_is_told_as_long_as_its_limit_counts_on_in_whole_minutes_up(bag):
    for seconds, said in ((541.0, "10 min"), (540.0, "9 min"), (60.0, "1 min")):
        lasting = dataclasses.replace(bag, debulk_s=seconds)
        assert f"for {said} or more, while" in told(words.answer(lasting))[0]
        assert f"Debulk {said} or more, until it is quiet" in str(lasting)
        assert f"wait {said} or more, until no bubbles" in str(lasting.to_text(full=True)).replace(
            "\n    ", " "
        )
        assert lasting.debulk_time.m_as("s") == seconds
        assert lasting.to_dict()["debulk_s"] == seconds
    settled = dataclasses.replace(bag, process="infusion", debulk_s=541.0)
    assert "Inlet shut, 10 min or more, until the line runs clear" in str(settled)
    assert dataclasses.replace(bag, debulk_Pa=None).debulk_time is None


def test_a_bag_that_needs_no_debulk_goes_to_its_cure_at_once(bag):
    straight = dataclasses.replace(bag, debulk_Pa=None)
    first, second, third = told(words.answer(straight))
    assert first.startswith("Cure at 601 mbar: go there at once")
    assert second == "Never deeper than 501 mbar, never weaker than 670 mbar."
    assert "debulk" not in third
    deep = dataclasses.replace(bag, debulk_hold_Pa=60010.0)
    assert told(words.answer(deep))[0].startswith("Cure at 601 mbar: go there at once")


def test_what_the_laminate_should_hold_is_told_at_the_setpoint_and_at_the_bag(bag):
    voids = bag.expected_voids
    assert told(words.answer(bag))[2].startswith(f"Expect {voids_of(voids)}, {bag.look}.")
    read = ask(bag_pressure="300 mbar")
    last = told(words.answer(read))[-1]
    there = read.voids_at("300 mbar")
    assert last == f"Cured at 300 mbar: expect {voids_of(there)}, {read.look_at('300 mbar')}."
    assert there.high > read.expected_voids.high


def test_without_a_window_it_says_what_the_resin_needs_and_the_clamp(bag):
    shut = dataclasses.replace(bag, setpoint_Pa=None)
    first, second = told(words.answer(shut))
    assert "the window, from 501 mbar up to 670 mbar, is too narrow to hold by a dial" in first
    assert "Debulk first at 91 mbar, never deeper than 81 mbar" in second
    assert "helps but is not enough" in second
    past = dataclasses.replace(shut, deepest_Pa=68010.0)
    first = told(words.answer(past))[0]
    assert "no deeper than 681 mbar is safe, and the clamp needs 670 mbar or deeper" in first
    left = dataclasses.replace(ask(no_debulk=True), setpoint_Pa=None)
    assert told(words.answer(left))[1] == "See the ways out."
    beyond = dataclasses.replace(shut, deepest_Pa=110010.0)
    assert "needs 1101 mbar, more than the atmosphere has" in told(words.answer(beyond))[0]


def test_a_core_that_limits_is_told_by_the_clamp_it_bears_rounded_down(bag):
    cored = dataclasses.replace(bag, limiting="core", limits_Pa={**bag.limits_Pa, "core": 50010.0})
    first = told(words.answer(cored))[1]
    assert "this core bears about 513 mbar of clamp" in first  # 101325 - 50010 Pa
    assert "this core" not in told(words.answer(bag))[0]


def test_prepreg_is_told_full_vacuum_or_a_stronger_core():
    wet = ask(PREPREG, process="prepreg")
    deep = dataclasses.replace(wet, setpoint_Pa=2010.0, shallowest_Pa=5090.0)
    first, second, verdict = told(words.answer(deep))
    assert "full vacuum, 21 mbar, and never weaker than 50 mbar" in first
    assert "21 mbar, every few plies" in second
    assert verdict.startswith("Your prepreg: ")
    crushed = dataclasses.replace(deep, setpoint_Pa=None, deepest_Pa=20010.0)
    first = told(words.answer(crushed))[0]
    assert "crushes beyond 201 mbar; prepreg needs 50 mbar" in first


def test_a_pot_is_told_its_band_and_that_nothing_useful_is_left_where_it_shuts():
    pot = dataclasses.replace(
        ask(process="degassing"), setpoint_Pa=9010.0, deepest_Pa=8010.0, shallowest_Pa=20090.0
    )
    first = told(words.answer(pot))[0]
    assert first.startswith("Degas at 91 mbar: never deeper than 81 mbar, and weaker than 200 mbar")
    shut = told(words.answer(dataclasses.replace(pot, setpoint_Pa=None)))[0]
    assert "deeper than 81 mbar, and weaker than 200 mbar takes out too little" in shut


def test_a_press_is_told_what_the_resin_needs_and_has_or_how_much_more():
    press = dataclasses.replace(
        ask(process="pressing"), setpoint_Pa=101325.0, deepest_Pa=90010.0,
        resin_pressure_Pa=101399.0,
    )  # fmt: skip
    first = told(words.answer(press))[0]
    assert "the resin needs 901 mbar and has at least 1013" in first
    shut = dataclasses.replace(press, setpoint_Pa=None, deepest_Pa=111335.0)
    first = told(words.answer(shut))[0]
    assert "it needs 1114 mbar, so 101 mbar of press" in first  # 111335 - 101325 = 10010 Pa


def test_what_pushes_is_ranked_and_blamed(bag):
    def said(limiting="air", **partial):
        return words.pushing(
            dataclasses.replace(bag, partial_pressures_Pa=partial, limiting=limiting)
        )

    text = said(styrene=800.0, air=90000.0, water=1300.0)
    assert "mbar: air 900, water 13, styrene 8; air pushes hardest" in text
    assert "water pushes hardest" in said(styrene=800.0, water=1300.0, air=5.0)
    assert "styrene pushes hardest" in said(styrene=1800.0, water=1300.0)
    vapour = said("vapour", styrene=800.0, air=90000.0, water=1300.0)
    assert "what limits is the vapour, most of it water" in vapour
    assert "what limits is the core" in said("core", air=90000.0)
    assert "nothing" not in said(air=90000.0, nothing=0.5)


def influenced(advice, *changes):
    found = tuple(Influence("humidity", "60 %", f"move {i}", c) for i, c in enumerate(changes))
    return dataclasses.replace(advice, behind=Behind(None, lambda *_: (), lambda *_: found))


def test_what_matters_is_told_by_the_most_it_rises_and_the_least_it_falls(bag):
    found = told(words.what_matters(influenced(bag, 1010.0, -1090.0, 49.0, 51.0, 900.0)))
    assert found == [
        "move 0: the cure limit rises by 11 mbar",
        "move 1: the cure limit falls by 10 mbar",
        "move 3: the cure limit rises by 1 mbar",
    ]  # the small one is not worth saying, the fifth is one too many


def test_a_barometer_is_told_by_how_near_the_limit_comes_to_the_air(bag):
    for change, way in ((1510.0, "16 mbar nearer to"), (-1510.0, "15 mbar further from")):
        found = (Influence("barometer", "1000 mbar", "lower", change),)
        moved = dataclasses.replace(bag, behind=Behind(None, lambda *_: (), lambda *_, f=found: f))
        assert f"comes {way} the air's pressure" in told(words.what_matters(moved))[0]


CURE = Cure(
    gel_s=1200.0, gel_interval_s=(900.0, 1800.0), gel_K=301.15, hold_s=1500.0,
    conversion_at_hottest=0.2, peak_K=330.15, peak_s=2400.0,
    over_time=((0.0, 295.0, 8010.0), (1500.0, 302.0, 11010.0)),
)  # fmt: skip


def test_the_warming_is_told_with_what_it_asks_for_at_the_start_and_the_end(bag):
    heated = dataclasses.replace(bag, cure=CURE, limits_Pa={**bag.limits_Pa, "core": 0.0})
    text = str(words.warming(heated))
    assert text.startswith("It gels at 20 min (15 to 30), then 28 degC; the gel holds")
    assert "holds a bubble at 25 min; the peak is 57 degC at 40 min" in text
    assert "asks for 81 mbar when mixed and 111 mbar when the gel holds" in text
    never = dataclasses.replace(heated, cure=dataclasses.replace(CURE, hold_s=float("inf")))
    assert "holds a bubble at no time followed" in str(words.warming(never))
    cored = dataclasses.replace(heated, limits_Pa={**bag.limits_Pa, "core": 8010.0})
    assert "The core asks for 81 mbar all the while, the vapour for 111 mbar" in str(
        words.warming(cored)
    )
    flat = dataclasses.replace(CURE, over_time=((0.0, 295.0, 8010.0), (1500.0, 302.0, 8010.0)))
    assert "the vapour for" not in str(words.warming(dataclasses.replace(cored, cure=flat)))
    assert words.warming(bag) == Line("")


def test_clear_is_out_of_reach_only_beyond_the_weakest_clamp(bag):
    assert "no bag here clamps at" in words.clear_needs(bag)
    assert words.clear_needs(dataclasses.replace(bag, deepest_clear_Pa=bag.shallowest_Pa)) == ""


def test_why_names_the_limit_its_two_values_and_the_gas_that_is_worth_naming(bag):
    found = dataclasses.replace(
        bag, freed_gas=((9010.0, 1.2), (60010.0, 0.004)),
        weakest_numbers=(("gas trapped", Band(0.06, 0.03, 0.12), 3010.0),),
        nominal_limits_Pa={"vapour": 1.0, "air": 40000.0, "core": 0.0},
        limits_Pa={"vapour": 8010.0, "air": 50010.0, "core": 0.0},
    )  # fmt: skip
    text = " | ".join(told(words.why(found)))
    assert "air coming out of the resin: 400 mbar nominal, 501 mbar on the safe side (95%)" in text
    assert "limits, mbar: vapour 81, air 501, core 0." in text
    assert "free 1.2 times its own volume at 91 mbar." in text
    assert "Weakest numbers here: gas trapped (0.06, 0.03 to 0.12) adds up to 31 mbar;" in text


def test_the_page_sets_nominal_beside_safe(bag):
    table = words.told(bag).page[0]
    assert [str(cell[0]) for row in table.rows for cell in row[:1]] == list(bag.limits_Pa)
    for name, (_, nominal, safe) in zip(bag.limits_Pa, table.rows, strict=True):
        assert float(str(nominal[0])) * 100.0 == pytest.approx(bag.nominal_limits_Pa[name], abs=50)
        assert float(str(safe[0])) * 100.0 >= bag.limits_Pa[name] - 0.1
