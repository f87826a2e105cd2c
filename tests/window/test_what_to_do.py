"""What to do with one's hands: the process's steps, each pressure in its place."""

import dataclasses

import pytest
from window_jobs import AUTOCLAVE, told_advice

from outgas.window import words
from outgas.window.what_to_do import what_to_do


@pytest.fixture(scope="module")
def bag():
    """An advice with every pressure a little over a whole millibar."""
    return dataclasses.replace(
        told_advice(), setpoint_Pa=60010.0, debulk_hold_Pa=9010.0, debulk_Pa=8010.0
    )


def told(found):
    return [str(line) for line in found]


def test_what_to_do_follows_the_process_and_is_nothing_without_a_window(bag):
    assert what_to_do(dataclasses.replace(bag, setpoint_Pa=None)) == []
    text = " | ".join(told(what_to_do(bag)))
    assert text.index("pull to 91 mbar") < text.index("come back up to 601 mbar")
    infusion = " | ".join(told(what_to_do(dataclasses.replace(bag, process="infusion"))))
    assert infusion.index("fill at 91 mbar") < infusion.index("shut the inlet")
    assert infusion.index("line runs clear") < infusion.index("let the vent up to 601 mbar")
    assert "hold full vacuum" in " ".join(
        told(what_to_do(told_advice(AUTOCLAVE, process="prepreg")))
    )


@pytest.mark.parametrize("early", [{"debulk_Pa": None}, {"debulk_hold_Pa": 60010.0}])
@pytest.mark.parametrize("process", ["wet layup", "infusion", "core bonding"])
def test_nothing_to_do_pulls_deeper_first_where_the_bag_goes_to_its_cure_at_once(
    bag, process, early
):
    """The steps told a debulk at 91 mbar under a first line that told to go there and stay."""
    straight = dataclasses.replace(bag, process=process, **early)
    first, text = told(words.answer(straight))[0], " | ".join(told(what_to_do(straight)))
    assert "601 mbar: go there at once" in first
    assert "601 mbar" in text
    assert " 91 mbar" not in text
    assert "come" not in text
