"""The numbers that panels teach."""

import numpy as np
import pytest

from outgas.panels.numbers import (
    FAMILY,
    MISFIT,
    NAMES,
    NUMBERS,
    OWN,
    SHOP,
    misfit,
    thresholds,
    ways_of,
)
from outgas.tables import catalogue


def test_every_number_belongs_to_one_level_and_has_a_name():
    assert len(set(NUMBERS)) == len(NUMBERS) == len(OWN) + len(SHOP) + len(FAMILY)
    assert set(NAMES) == set(NUMBERS)


def test_a_draw_at_its_95_percent_end_is_the_table_s_end():
    z = np.zeros((len(NUMBERS), 3))
    z[NUMBERS.index(MISFIT)] = (-1.96, 0.0, 1.96)
    z[NUMBERS.index("clear")] = (-1.96, 0.0, 1.96)
    ways, look = ways_of(z), catalogue.gas().look
    band = catalogue.panels().misfit.band
    assert misfit(ways) == pytest.approx([band.low, band.nominal, band.high], rel=1e-3)
    ends = (look.clear.low_si, look.clear.si, look.clear.high_si)
    assert thresholds(ways)[0] == pytest.approx(ends, rel=1e-3)


def test_an_eye_never_calls_milky_what_it_still_calls_clear():
    z = 4.0 * np.random.default_rng(0).standard_normal((len(NUMBERS), 500))
    clear, milky = thresholds(ways_of(z))
    assert (milky > clear).all()
