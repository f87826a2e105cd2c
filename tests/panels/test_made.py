"""What the balance makes of a panel, draw by draw."""

import numpy as np
import pytest

from outgas.laminate.gas.balance import run
from outgas.panels.made import predicted, predicted_all
from outgas.panels.numbers import NUMBERS, ways_of
from outgas.panels.panel import panel_of
from outgas.panels.told import made_of

ROW = {"resin": "orthophthalic-polyester", "cure": "400 mbar", "look": "clear"}


@pytest.fixture
def panels(shop):
    rows = [ROW, {**ROW, "look": "milky"}, {**ROW, "cure": "700 mbar"}]
    return [made for *_, made in made_of([panel_of(row) for row in rows], shop)[0]]


def test_a_draw_in_the_middle_is_the_balance_itself(panels):
    ways = ways_of(np.zeros((len(NUMBERS), 1)))
    found = predicted(panels[0], ways)
    for i, p in enumerate(panels[0].pressures):
        held = run(panels[0].gas, panels[0].steps(np.array(p), np.array(0.0)))
        assert found.void[i, 0] == pytest.approx(float(held.void_fraction(0.45)), rel=1e-9)


def test_a_dial_that_reads_too_deep_is_a_panel_that_was_held_weaker(panels):
    z = np.zeros((len(NUMBERS), 2))
    z[NUMBERS.index("dial")] = (-1.96, 1.96)
    depth = predicted(panels[0], ways_of(z)).depth[1]
    assert depth[0] > depth[1]


def test_panels_made_alike_are_worked_once(panels):
    found = predicted_all(panels, ways_of(np.zeros((len(NUMBERS), 4))))
    assert found[0] is found[1]
    assert found[0] is not found[2]
