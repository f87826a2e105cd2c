"""Which panel to make next."""

import numpy as np
import pytest

from outgas.panels.next_panel import CANDIDATES, next_panels
from outgas.panels.numbers import NUMBERS
from outgas.panels.panel import panel_of
from outgas.panels.told import made_of
from outgas.panels.weighing import points

ROW = {"resin": "orthophthalic-polyester", "cure": "500 mbar", "debulk": "90 mbar"}


@pytest.fixture
def made(shop):
    return made_of([panel_of({**ROW, "look": "clear"})], shop)[0][0][2]


def test_where_all_is_known_no_panel_teaches(made):
    some = next_panels(made, np.zeros((len(NUMBERS), 64)), 2e4, 7e4)
    assert len(some) == CANDIDATES
    assert max(panel.bits for panel in some) == pytest.approx(0.0, abs=1e-9)


def test_the_most_telling_stands_first_and_looks_add_up(made):
    some = next_panels(made, points(256, 1), 2e4, 7e4)
    assert [p.bits for p in some] == sorted((p.bits for p in some), reverse=True)
    assert some[0].bits > 0.1
    for panel in some:
        assert sum(panel.looks) == pytest.approx(1.0)
        assert 2e4 <= panel.pressure_Pa <= 7.001e4
    by_depth = sorted(some, key=lambda panel: panel.pressure_Pa)
    assert by_depth[0].looks[2] > by_depth[-1].looks[2]
