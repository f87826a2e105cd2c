"""Gauge against absolute: what is told, what shows, and what is refused."""

import numpy as np
import pytest

from outgas.bag_log.columns import Column
from outgas.bag_log.kinds import kind_of
from outgas.errors import InputError

HERE = 101325.0
ABSOLUTE = np.concatenate([np.full(20, 1013.0), np.full(20, 90.0), np.full(60, 600.0)])


def kind(values, unit="mbar", said=""):
    return kind_of(Column("P", 1, unit, said), np.asarray(values), HERE)


def test_a_bag_at_rest_shows_which_kind_it_is():
    assert kind(ABSOLUTE).kind == "absolute"
    inches = (1013.25 - ABSOLUTE) / 33.86389
    assert kind(inches, "inhg").kind == "vacuum"
    assert kind(-inches, "inhg").kind == "gauge"
    assert kind((1013.25 - ABSOLUTE) / 10.1325, "%").kind == "vacuum"


@pytest.mark.parametrize("said", ["gauge", "vacuum", "absolute"])
def test_every_kind_comes_to_the_same_absolute_pressure(said):
    values = {
        "absolute": ABSOLUTE,
        "gauge": ABSOLUTE - 1013.25,
        "vacuum": 1013.25 - ABSOLUTE,
    }[said]
    found = kind(values, said=said)
    assert found.absolute(values, HERE) == pytest.approx(100.0 * ABSOLUTE)


@pytest.mark.parametrize("turned", [ABSOLUTE - 1013.25, 1013.25 - ABSOLUTE])
def test_a_vacuum_in_mbar_is_never_taken_to_be_absolute(turned):
    with pytest.raises(InputError, match="may be absolute or below the air"):
        kind(turned)
    with pytest.raises(InputError, match="is said to be absolute, but"):
        kind(turned, said="absolute")


@pytest.mark.parametrize("said", ["gauge", "vacuum"])
def test_an_absolute_column_that_is_said_to_be_another_kind_is_refused(said):
    with pytest.raises(InputError, match="reads the barometer at rest"):
        kind(ABSOLUTE, said=said)


def test_what_cannot_be_is_refused():
    with pytest.raises(InputError, match="of the barometer"):
        kind([0.0, -1500.0, -200.0], said="gauge")
    with pytest.raises(InputError, match="reaches"):
        kind([0.0, 1500.0, 200.0], said="vacuum")
    with pytest.raises(InputError, match="holds no number"):
        kind([np.nan, np.nan])


def test_never_at_rest_an_mbar_is_absolute_and_a_dials_unit_is_refused():
    assert "unless it is said" in kind([90.0, 600.0, 600.0]).how
    with pytest.raises(InputError, match="never at rest"):
        kind([20.0, 10.0, 10.0], "inhg")


def test_a_log_without_a_unit_or_a_rest_is_refused():
    with pytest.raises(InputError, match="has no unit"):
        kind([90.0, 600.0, 600.0], "")


def test_that_it_was_taken_to_be_absolute_is_a_caution(read, advice):
    from loggers import course, csv

    t, p = course(advice.setpoint_Pa / 100.0)
    keep = t > 610.0
    log = read(csv(t[keep] - 620.0, p[keep]), mixed="-620 s")
    assert "if it counts vacuum, all of this is turned round" in log.cautions[0]
