"""What panels taught, told."""

import pytest
from some_panels import rows

import outgas
from outgas.panels.numbers import NUMBERS
from outgas.panels.words import TOLD_IN, UNITS, next_told


def test_every_number_is_told_in_a_unit():
    assert set(TOLD_IN) == set(UNITS) == set(NUMBERS)


def test_the_short_answer_says_how_many_what_moved_and_which_next(known):
    text = known.to_text()
    assert text.splitlines()[0] == "10 panels learnt from."
    assert "which halve what is possible" in text
    assert "gas beyond that finds its way out: 80 (40 to 100) % before, now" in text
    assert "make the next test panel at" in text
    assert len(text.splitlines()) <= 14
    assert "scrap" in text


@pytest.mark.parametrize("dial", ["bar", "mbar", "percent"])
def test_pressures_follow_the_dial(known, dial):
    assert "inHg" not in known.to_text(dial, full=True)
    assert "inHg" in known.to_text("inHg", full=True)


def test_the_next_panel_is_told_with_its_cautions(known):
    text = next_told(known).text("mbar")
    assert text.startswith("make the next test panel at")
    assert "never try a deeper bag on the job itself" in text
    assert text.count("clear,") >= 7


def test_one_panel_says_little_and_that_is_said(shop):
    known = outgas.learn(rows((950, "clear")), shop)
    assert known.to_text().startswith("1 panel learnt from.")
    assert "these panels say little" in known.to_text(full=True)


def test_what_was_left_out_is_told_by_its_line(shop):
    log = [*rows((500, "clear")), *rows((500, "clear"), process="pressing")]
    known = outgas.learn(log, shop)
    assert known.panels == 1
    assert "; 1 left out." in known.to_text()
    assert "line 2: " in known.to_text(full=True)
