"""The table of constants and the checks that notice them stands in the guide, and can notice."""

from pathlib import Path

import checks_answers
import noticed
import pytest
from checks import Check

import outgas
from outgas.many.every_number import named
from outgas.many.weakest import weakest

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_constant_that_a_limit_rests_on_stands_in_the_guide_with_its_grade():
    assert noticed.HEAD in GUIDE
    assert "python tests/published/noticed.py" in GUIDE
    found = noticed.constants()
    for name in found:
        assert noticed.known(named(name)[0]) in GUIDE
    assert weakest().numbers[0].of.name in found


def through_advise():
    """A check as if the limit of the standard case stood in print, and one of nothing at all."""
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    now = outgas.advise("orthophthalic-polyester", shop).deepest_Pa

    def got():
        return outgas.advise("orthophthalic-polyester", shop).deepest_Pa

    return Check("deepest", "print", got, lambda: now, 0.001, "to the thousandth", ())


def test_a_constant_that_a_check_stands_on_is_noticed_and_one_that_none_does_is_not():
    check = through_advise()
    assert noticed.holds(check)
    assert noticed.noticing(named("gas.laminate.connected")[0], [check]) == ["print"]
    assert noticed.noticing(named("gas.pot.stirring")[0], [check]) == []
    assert noticed.holds(check)


@pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
@pytest.mark.parametrize(
    ("name", "noticing"),
    [
        ("practice.process.wet-layup.fibre_fraction", ["boating-magazine"] * 2),
        ("resins.orthophthalic-polyester.air_solubility", ["tsuji-2021"]),
        ("practice.gas.debulk_pressure", []),
    ],
)
def test_the_checks_of_the_answers_notice_what_the_guide_says(name, noticing):
    every = [check for check in checks_answers.void_checks() if noticed.holds(check)]
    assert len(every) > 5
    (number,) = named(name)
    assert f"{noticed.known(number)} {noticed.said(noticing)}" in GUIDE
    assert noticed.noticing(number, every) == noticing
