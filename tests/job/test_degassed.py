"""How the resin was degassed, in words."""

import pytest

from outgas import Quantity
from outgas.errors import InputError, OutOfRangeError, UnitError
from outgas.job.degassed import Degassed, read_degassed, usual
from outgas.physics.chance import Band
from outgas.tables import catalogue

HERE_PA = 101325.0


def read(text):
    return read_degassed(text, HERE_PA)


def test_a_pressure_alone_is_held_as_long_as_is_usual_and_not_said_how():
    got = read("27 mbar")
    assert got == usual(2700.0) == Degassed(2700.0, catalogue.practice().clock.degas.band, None)
    assert read(Quantity(27.0, "mbar")).pressure_Pa == pytest.approx(2700.0)
    assert read("28 inHg vacuum").pressure_Pa == pytest.approx(HERE_PA - 28 * 3386.389, rel=1e-5)
    assert read(None) is None


def test_a_time_and_how_it_was_worked_are_read():
    got = read("27 mbar for 20 min, stirred")
    assert (got.pressure_Pa, got.seconds, got.worked) == (2700.0, Band.exact(1200.0), True)
    assert read("27 mbar FOR 90 s , Still").worked is False
    assert read("27 mbar, seeded and stirred").worked is True
    assert read("27 mbar, seeded and stirred").seconds == usual(2700.0).seconds


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("27 mbar for 20 min, shaken", InputError, "after the comma it is one of stirred, seeded"),
        ("27 mbar for 2 s", OutOfRangeError, "outside 0.166667 to 1440 min"),
        ("27 mbar for 20", UnitError, "degassed, for"),
        ("27 mbar for -5 min", InputError, "degassed, for"),
        ("27,0 mbar", UnitError, "decimal point"),
        ("27", UnitError, "degassed"),
        ("27 mbar, ", InputError, "after the comma"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(text, kind, says):
    with pytest.raises(kind) as caught:
        read(text)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)
