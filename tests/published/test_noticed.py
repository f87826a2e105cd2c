"""The table of constants and the checks that notice them stands in the guide, and can notice."""

from pathlib import Path

import checks_prepreg
import noticed
import pytest

from outgas.many.every_number import named
from outgas.many.weakest import weakest

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_constant_that_a_limit_rests_on_stands_in_the_guide_with_its_grade():
    assert noticed.HEAD in GUIDE
    assert "python tests/published/noticed.py" in GUIDE
    for name in noticed.constants():
        assert f"| `{name}` | {named(name)[0].number.how} |" in GUIDE
    assert weakest().numbers[0].of.name in noticed.constants()


@pytest.mark.filterwarnings("ignore")
def test_a_constant_that_checks_stand_on_is_noticed_and_one_that_none_does_is_not():
    every = [check for check in checks_prepreg.CHECKS if noticed.holds(check)]
    assert every
    assert noticed.noticing(named("prepreg.drying.prefactor")[0], every)
    assert not noticed.noticing(named("gas.look.milky")[0], every)
