"""How likely what was seen is."""

import dataclasses

import numpy as np
import pytest

from outgas.panels.likelihood import LOOKS, chance_and_mistake, chances_of_looks
from outgas.panels.made import Predicted, Seen
from outgas.panels.numbers import NUMBERS, ways_of
from outgas.panels.panel import panel_of
from outgas.panels.told import made_of
from outgas.physics.chance import Band
from outgas.tables import catalogue

MIDDLE = ways_of(np.zeros((len(NUMBERS), 1)))


@pytest.fixture
def made(shop):
    row = {"resin": "orthophthalic-polyester", "cure": "400 mbar", "look": "clear"}
    return made_of([panel_of(row)], shop)[0][0][2]


def of(void, depth):
    return Predicted(np.full((3, 1), void), np.full((3, 1), depth))


def likely(made, predicted, ways=MIDDLE, **seen):
    some = dataclasses.replace(made, seen=Seen(**seen))
    return tuple(float(x[0]) for x in chance_and_mistake(some, predicted, ways))


def test_looks_add_up_and_go_from_clear_to_milky_with_depth():
    depth = np.array([[0.0, 0.05, 0.3, 0.6, 1.0, 5.0]])
    chances = chances_of_looks(depth, ways_of(np.zeros((len(NUMBERS), 6))))
    assert chances.sum(axis=0) == pytest.approx(1.0)
    assert (np.diff(chances[0, 0]) <= 0.0).all()
    assert (np.diff(chances[2, 0]) >= 0.0).all()
    assert chances[0, 0, 2] == pytest.approx(0.5, abs=1e-6)
    assert chances[2, 0, 4] == pytest.approx(0.5, abs=1e-6)


def test_no_note_is_ever_impossible_and_the_unlikely_one_is_likely_wrong(made):
    wrong = catalogue.panels().mistake.si
    chance, doubt = likely(made, of(0.0, 0.0), look="milky")
    assert chance == pytest.approx(wrong / len(LOOKS), rel=1e-3)
    assert doubt == pytest.approx(1.0, abs=1e-3)
    chance, doubt = likely(made, of(0.0, 0.0), look="clear")
    assert chance > 0.9
    assert doubt < 0.05


def test_a_void_content_is_likeliest_where_the_balance_makes_it(made):
    chances = [likely(made, of(v, 1.0), void=(0.02, 0.003))[0] for v in (0.0, 0.01, 0.018, 0.05)]
    assert max(chances) == chances[2]
    assert min(chances) > 0.0


def test_a_degassing_test_speaks_of_the_pot(made):
    left = dataclasses.replace(made, left=Band(5e4, 3e4, 7e4))
    z = np.zeros((len(NUMBERS), 2))
    z[NUMBERS.index("air_Pa")] = (0.0, -1.96)
    some = dataclasses.replace(left, seen=Seen(air_Pa=(3e4, 5e3)))
    chance, _ = chance_and_mistake(some, of(0.0, 0.0), ways_of(z))
    assert chance[1] > 5.0 * chance[0]


def test_a_cup_s_gel_speaks_of_the_batch(made):
    z = np.zeros((len(NUMBERS), 2))
    z[NUMBERS.index("gel")] = (0.0, 1.96)
    some = dataclasses.replace(made, gel=Band(1200.0, 800.0, 1800.0), seen=Seen(gel_s=1750.0))
    chance, _ = chance_and_mistake(some, of(0.0, 0.0), ways_of(z))
    assert chance[1] > 2.0 * chance[0]
