"""Sixty shops with a story of their own: how often the limit is deeper than their truth."""

import pytest
from panel_calibration import calibrated

SHOPS, SEED = 60, 16
# Bounds: of sixty shops a share of 5 % is 9 % in one run of forty, and one of 93 % is 86 %.
MOST_DEEPER, LEAST_COVERED = 0.09, 0.86


@pytest.fixture(scope="module")
def table():
    return {row.panels: row for row in calibrated(SHOPS, SEED)}


def test_the_limit_is_deeper_than_the_truth_in_few_shops(table):
    for row in table.values():
        assert row.deeper <= MOST_DEEPER, row


def test_the_truth_lies_in_the_interval_in_most_shops(table):
    for row in list(table.values())[1:]:
        assert row.covered >= LEAST_COVERED, row
        assert row.refused <= 0.05, row


def test_panels_narrow_it_and_let_more_shops_go_deeper(table):
    rows = list(table.values())[1:]
    assert [row.width for row in rows] == sorted((row.width for row in rows), reverse=True)
    assert rows[-1].width < 0.5 * rows[0].width
    assert rows[-1].past_tables > 0.4
    assert all(abs(row.bias) < 40.0 for row in rows)


def test_the_story_of_the_shops_is_another_than_the_balance_s():
    """Else it would judge itself: their limits are spread otherwise, shop by shop."""
    import numpy as np
    import panel_shops as shops

    of = shops.shops(40, 3)
    debulked, straight = shops.limits(of, True), shops.limits(of, False)
    assert (straight >= debulked).mean() > 0.9
    voids, depth = shops.laminate(of, np.full(40, 3e4), True)
    assert ((voids >= 0.0) & (voids < 0.2)).all()
    assert (depth >= 0.0).all()
