import bubble_references as reference
import numpy as np
import pytest

from outgas import constants
from outgas.physics import bubble_start


def test_histories_are_straight_between_samples_and_even_in_the_logarithm():
    conditions = reference.steady(
        p=[1e5, 5e4], T=[300.0, 310.0], eta=[1.0, 100.0], G=[0.0, 8.0], at=[0.0, 10.0]
    )
    now = bubble_start.Histories(conditions)(5.0)
    assert now.p == pytest.approx(7.5e4)
    assert pytest.approx(305.0 * constants.GAS_CONSTANT) == now.RT
    assert now.eta == pytest.approx(10.0)
    assert pytest.approx(4.0) == now.G
    assert pytest.approx(0.1) == now.H[0, 0]
    assert now.H.shape == now.D.shape == (1, 1)


def test_corners_are_kept_and_straight_runs_are_not():
    t = np.linspace(0.0, 100.0, 101)
    p = np.interp(t, [0.0, 40.0, 41.0, 100.0], [1e5, 1e5, 2e4, 2e4])
    found = bubble_start.Histories(reference.steady(p=p, at=t)).corners()
    assert found.tolist() == [40.0, 41.0, 100.0]


def test_the_start_of_the_gel_is_a_corner_however_gently_it_comes():
    t = np.linspace(0.0, 100.0, 101)
    G = np.where(t > 63.0, (t - 63.0) ** 3, 0.0)
    assert 63.0 in bubble_start.Histories(reference.steady(G=G, at=t)).corners()


def test_a_smooth_curve_needs_few_corners():
    t = np.linspace(0.0, 100.0, 2001)
    T = 300.0 + 20.0 * np.sin(t / 20.0)
    found = bubble_start.Histories(reference.steady(T=T, at=t)).corners()
    assert found[-1] == 100.0
    assert found.size < 20


def test_strain_starts_as_four_and_stops_at_five_halves():
    x = np.array([1e-6, 50.0])
    assert bubble_start.strain(x) == pytest.approx([4e-6, 2.5], rel=1e-5)
    assert bubble_start.stiffness(np.zeros(1)) == pytest.approx(4.0)
    h = 1e-6
    for at in (-0.3, 0.2, 1.0):
        slope = (
            bubble_start.strain(np.array([at + h])) - bubble_start.strain(np.array([at - h]))
        ) / (2 * h)
        assert bubble_start.stiffness(np.array([at])) == pytest.approx(slope, rel=1e-6)
    assert np.isfinite(bubble_start.strain(np.array([-1e4, 1e4]))).all()
