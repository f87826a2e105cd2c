"""A plan in words: what to hold first, then whether the clock allows it, rounded to be safe."""

import dataclasses

import pytest
from plan_grounds import stage
from window_jobs import HERE_PA, UP

import outgas
from outgas.plan import words
from outgas.plan.plan import Break
from outgas.show.report import At, Line


@pytest.fixture(scope="module")
def pot():
    shop = outgas.Shop(temperature="22 degC", humidity="50 %", barometer="1013.25 hPa")
    return outgas.schedule(UP, shop, process="degassing")


def made(pot, *stages, process="wet layup", **more):
    return dataclasses.replace(pot, process=process, stages=stages or (stage(),), **more)


def first(plan):
    return str(words.answer(plan)[0])


def test_the_answer_is_what_is_held_for_the_cure_on_its_safe_side(pot):
    hold = stage(low_Pa=50010.0, setpoint_Pa=60010.0, high_Pa=70090.0)
    after = stage(kind="exotherm", setpoint_Pa=65000.0)
    said = "Cure at 601 mbar; never deeper than 501 mbar, never weaker than 700 mbar."
    assert first(made(pot, stage(kind="debulk"), hold, after)) == said


def test_a_pot_is_told_by_its_last_pull_and_no_vacuum_as_none(pot):
    deep = stage(kind="", setpoint_Pa=8010.0, low_Pa=7010.0, high_Pa=20000.0)
    rest = stage(kind="", vacuum=False)
    said = first(made(pot, stage(kind=""), deep, rest, process="degassing"))
    assert said.startswith("Degas at 81 mbar; never deeper than 71 mbar, never weaker than 200")
    assert first(made(pot, rest, process="degassing")) == "Degas with no vacuum."
    assert first(made(pot, rest, stage(dry=True))) == "Cure with no vacuum."
    assert first(made(pot, stage(), process="pressing")) == "Cure in the press, with no vacuum."
    shut = stage(low_Pa=HERE_PA)  # under a bag that was debulked, cured at the air
    assert first(made(pot, stage(kind="debulk"), shut)) == "Cure with no vacuum."
    pumped = stage(kind="cure", low_Pa=0.0, setpoint_Pa=None, high_Pa=5000.0)
    said = first(made(pot, pumped, process="prepreg"))
    assert said == "Cure as deep as the pump goes, 50 mbar or deeper."


def test_the_second_line_tells_the_gel_with_its_span_and_the_peak(pot):
    plan = made(pot, gel_s=1200.0, gel_interval_s=(900.0, 1800.0), peak_K=330.15)
    second = str(words.answer(plan)[1])
    assert second == (
        "The laminate gels 20 min after mixing (15 min to 30 min), hottest 57 degC. The plan fits "
        "the clock."
    )
    unsure = dataclasses.replace(plan, gel_interval_s=None, peak_K=None, process="prepreg")
    said = "The laminate gels 20 min after oven start (20 min to 20 min). The plan"
    assert str(words.answer(unsure)[1]).startswith(said)
    assert str(words.answer(made(pot))[1]) == "The plan fits the clock."


@pytest.mark.parametrize(("least_s", "minutes"), [(1200.0, 20), (1200.1, 21), (1259.9, 21)])
def test_a_cup_that_must_be_slow_is_told_in_minutes_rounded_up(pot, least_s, minutes):
    said = str(words.answer(made(pot, fits_if_gel_after_s=least_s))[1])
    assert said == f"The plan fits only if your cup gels after {minutes} min."


def test_what_does_not_hold_is_told_first_and_each_with_what_would_mend_it(pot):
    mends = (Line("hold {}", (At(4010.0),)), Line("wait"))
    broken = (Break("a", Line("needs {}", (At(50010.0),)), mends), Break("b", Line("late"), ()))
    plan = made(pot, breaks=broken, fits_if_gel_after_s=None)
    assert str(words.answer(plan)[1]) == "The plan does not hold: needs 501 mbar."
    text = words.told(plan).text("mbar")
    assert "Does not hold: needs 501 mbar absolute. Any of these would mend it" in text
    assert "  - hold 41 mbar absolute\n  - wait" in text
    assert text.count("would mend it") == 1  # nothing mends the other


def test_the_batch_is_told_with_its_pot_life_where_there_is_one(pot):
    mixed = words.told(made(pot, batch_kg=1.234, pot_life_s=750.0)).text()
    assert "Mix 1.2 kg; in one cup it stays workable for 12 min" in mixed
    for missing in ({"batch_kg": None, "pot_life_s": 1.0}, {"batch_kg": 1.0, "pot_life_s": None}):
        assert "Mix " not in words.told(made(pot, **missing)).text()


def test_every_stage_is_a_paragraph_and_a_row_of_the_page(pot):
    found = (stage(name="one", start_s=-90.0), stage(name="two", duration_s=45.0))
    report = words.told(made(pot, *found))
    assert "Plan, minutes from mixing" in report.text()
    assert report.text().index("one, 10 min") < report.text().index("two, 45 s")
    rows = [[str(cell[0]) for cell in row] for row in report.page[0].rows]
    assert [row[:3] for row in rows] == [["-1:30", "10 min", "one"], ["0:00", "45 s", "two"]]
    assert rows[0][3:] == [str(found[0].held), "froth"]
    closed = words.told(made(pot, process="degassing")).text()
    assert "minutes from closing the lid" in closed
