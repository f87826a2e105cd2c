"""The fibre bed: inverses, limits, consolidation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.physics import bed


@given(V=st.floats(0.15, 0.6), a=st.floats(0.04, 0.4), b=st.floats(0.03, 0.2))
def test_carried_is_the_inverse_of_packed(V, a, b):
    p = float(bed.carried(a, b, V))
    if p < 1e7:
        assert float(bed.packed(a, b, p)) == pytest.approx(V, rel=1e-9)


def test_a_denser_bed_carries_more_and_lets_less_through():
    V = np.linspace(0.35, 0.6, 20)
    assert np.all(np.diff(bed.carried(0.305, 0.046, V)) > 0)
    assert np.all(np.diff(bed.permeability(16e-6, 6.0, V)) < 0)
    assert np.all(np.diff(bed.gutowski(np.linspace(0.51, 0.7, 20), 0.5, 0.829, 159.0)) > 0)


def test_gutowskis_curve_at_its_constants():
    # pinned arithmetic, V0 0.50, Va 0.829, 159 Pa
    for V, expected in ((0.55, 2890.0), (0.60, 16000.0), (0.65, 79670.0), (0.70, 480000.0)):
        assert float(bed.gutowski(V, 0.5, 0.829, 159.0)) == pytest.approx(expected, rel=5e-3)


def test_consolidation_starts_as_a_square_root_and_ends_whole():
    assert float(bed.consolidated(0.0)) == pytest.approx(0.0, abs=2e-3)
    assert float(bed.consolidated(0.01)) == pytest.approx(2 * np.sqrt(0.01 / np.pi), rel=1e-3)
    assert float(bed.consolidated(5.0)) == pytest.approx(1.0, abs=1e-4)


def test_resin_pressure_goes_from_the_air_to_the_bag_as_the_cloth_takes_over():
    start = float(bed.resin_pressure(1e4, 1e5, 1.0, 0.0))
    end = float(bed.resin_pressure(1e4, 1e5, 1.0, 1.0))
    assert (start, end) == (1e5, 1e4)
    assert float(bed.resin_pressure(1e4, 1e5, 0.5)) == pytest.approx(5.5e4)


def test_a_thicker_stack_and_a_thicker_resin_bleed_slower():
    base = float(bed.bleed_time(0.005, 0.6, 2e-12, 9e4, 0.046))
    assert float(bed.bleed_time(0.01, 0.6, 2e-12, 9e4, 0.046)) == pytest.approx(4 * base)
    assert float(bed.bleed_time(0.005, 1.2, 2e-12, 9e4, 0.046)) == pytest.approx(2 * base)
