"""A log as a few pieces of one pressure each."""

import numpy as np
import pytest

from outgas.bag_log.gas_of import MOST_STEPS, pieces_of


def test_pieces_follow_each_other_and_hold_the_logs_mean():
    rng = np.random.default_rng(7)
    t = np.arange(0.0, 3000.0, 0.5)
    p = np.where(t < 600.0, 101325.0, np.where(t < 1200.0, 9000.0, 54000.0))
    p = p + rng.normal(0.0, 60.0, t.size)
    pieces = pieces_of(t, p, np.full(t.size, 295.0), 1200.0, 3000.0)
    assert len(pieces) <= 2 * MOST_STEPS
    ends = [piece.start_s + piece.duration_s for piece in pieces]
    assert ends[:-1] == pytest.approx([piece.start_s for piece in pieces[1:]])
    assert (pieces[0].start_s, ends[-1]) == pytest.approx((0.0, 3000.0))
    whole = sum(piece.pressure_Pa * piece.duration_s for piece in pieces) / 3000.0
    assert whole == pytest.approx(p.mean(), rel=5e-3)
    assert any(piece.start_s == pytest.approx(1200.0) for piece in pieces)
    held = [q.pressure_Pa for q in pieces if q.start_s >= 1200.0]
    assert held == pytest.approx([54000.0] * len(held), abs=300.0)


@pytest.mark.parametrize("deep_first", [True, False])
def test_where_nothing_was_logged_the_deeper_and_the_warmer_neighbour_holds(deep_first):
    t = np.concatenate([np.arange(0.0, 500.0), np.arange(900.0, 1500.0)])
    before, after = (20000.0, 54000.0) if deep_first else (54000.0, 20000.0)
    p = np.where(t < 600.0, before, after)
    T = np.where(t < 600.0, 295.0, 305.0)
    pieces = pieces_of(t, p, T, 100.0, 1500.0)
    inside = [q for q in pieces if 510.0 < q.start_s + 0.5 * q.duration_s < 890.0]
    lone = [q for q in pieces if q.start_s <= 510.0 and q.start_s + q.duration_s >= 890.0]
    assert inside or lone
    deep = sum(q.duration_s for q in pieces if q.pressure_Pa == pytest.approx(20000.0, rel=0.02))
    assert deep >= 399.0 + (399.0 if deep_first else 599.0)


def test_a_log_that_ends_early_is_held_on_at_what_it_ended_with():
    t = np.arange(0.0, 600.0)
    p = np.where(t < 500.0, 101325.0, 30000.0)
    pieces = pieces_of(t, p, np.full(t.size, 295.0), 0.0, 2000.0)
    assert pieces[-1].pressure_Pa == pytest.approx(30000.0)
    assert pieces[-1].start_s + pieces[-1].duration_s == pytest.approx(2000.0)
