"""Drying by diffusion to open channels: the slab's series, its inverse, the activity left."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.physics import bed, drying

D21 = float(drying.diffusivity(294.15, 1.05e-7, 2817.0))
IN_PROPORTION = drying.Sorption()

activities = st.floats(0.02, 0.8)
exponents = st.floats(1.0, 2.0)
hours = st.floats(0.0, 100.0)


def steps_left(F: float, cells: int = 200) -> float:
    """Solve the slab by implicit steps in time: half of it, shut at its middle, dry at its face."""
    h, n = 1.0 / cells, 800
    A = (
        np.diag(np.full(cells, -2.0))
        + np.diag(np.ones(cells - 1), 1)
        + np.diag(np.ones(cells - 1), -1)
    )
    A[0, 0], A[-1, -1] = -1.0, -3.0  # symmetry; the face half a cell away
    forward = np.linalg.inv(np.eye(cells) - F / n / h**2 * A)
    c = np.linalg.matrix_power(forward, n) @ np.ones(cells)
    return float(c.mean())


@pytest.mark.parametrize("F", [0.02, 0.1, 0.3, 1.0])
def test_the_series_is_what_stepping_the_diffusion_equation_gives(F):
    assert float(drying.share_left(F)) == pytest.approx(steps_left(F), rel=4e-3)


def test_drying_and_consolidation_are_one_equation():
    F = np.geomspace(0.01, 3.0, 60)
    assert drying.share_left(F) == pytest.approx(1.0 - bed.consolidated(F), abs=1e-8)


def test_early_and_late_forms_meet():
    just = drying.EARLY_F * np.array([1.0 - 1e-12, 1.0 + 1e-12])
    early, late = drying.share_left(just)
    assert early == pytest.approx(late, rel=1e-9)
    assert early >= late - 1e-12


@given(share=st.floats(1e-9, 1.0 - 1e-9))
def test_fourier_is_the_inverse_of_the_share_left(share):
    assert float(drying.share_left(drying.fourier(share))) == pytest.approx(share, rel=1e-9)


def test_fourier_at_its_ends():
    assert drying.fourier(np.array([1.5, 1.0])) == pytest.approx(0.0)
    assert np.all(np.isinf(drying.fourier(np.array([0.0, -0.3]))))


@pytest.mark.parametrize(("apart_mm", "hours_to_half"), [(0.5, 0.5), (2.0, 7.5)])
def test_half_is_gone_in_half_an_hour_by_close_channels_and_in_a_shift_by_far_ones(
    apart_mm, hours_to_half
):
    t = float(drying.drying_time(0.5, 0.25, 0.5e-3 * apart_mm, D21, IN_PROPORTION)) / 3600.0
    assert t == pytest.approx(hours_to_half, rel=0.07)


def test_late_drying_falls_to_one_over_e_in_the_time_constant():
    channel = 0.5e-3
    tau = float(drying.time_constant(channel, D21))
    F = D21 * np.array([3.0 * tau, 4.0 * tau]) / channel**2
    before, after = drying.share_left(F)
    assert before / after == pytest.approx(np.e, rel=1e-6)


@given(a=activities, m=exponents, kept=st.floats(0.0, 0.1), t=hours, more=hours)
def test_more_drying_never_leaves_it_wetter_and_never_drier_than_its_channels(a, m, kept, t, more):
    F = np.array([t, t + more]) * 3600.0 * D21 / 0.5e-3**2
    first, then = drying.activity_left(a, drying.share_left(F), drying.Sorption(kept, m))
    assert then <= first + 1e-12
    assert first <= a + 1e-12
    assert then >= min(a, kept) - 1e-12


@given(a=activities, part=st.floats(0.3, 0.99), m=exponents)
def test_drying_for_the_time_found_leaves_what_was_wanted(a, part, m):
    sorption = drying.Sorption(0.005, m)
    t = drying.drying_time(a, part * a, 0.5e-3, D21, sorption)
    left = drying.activity_left(a, drying.share_left(t * D21 / 0.5e-3**2), sorption)
    assert float(left) == pytest.approx(part * a, rel=1e-8)


@given(a=activities, part=st.floats(0.2, 0.99), m=st.floats(1.0, 1.9))
def test_a_steeper_isotherm_dries_slower(a, part, m):
    steep, flat = drying.Sorption(0.0, m + 0.1), drying.Sorption(0.0, m)
    slow, quick = (drying.drying_time(a, part * a, 5e-4, D21, s) for s in (steep, flat))
    assert slow > quick


def test_what_the_channels_keep_wet_is_never_reached():
    damp = drying.Sorption(at_channel=0.1)
    assert np.isinf(drying.drying_time(0.5, 0.1, 5e-4, D21, damp))
    assert float(drying.drying_time(0.3, 0.4, 5e-4, D21, IN_PROPORTION)) == 0.0
    assert float(drying.drying_time(0.05, 0.06, 5e-4, D21, damp)) == 0.0
    wetter = drying.Sorption(at_channel=0.2)
    assert float(drying.activity_left(0.05, 0.5, wetter)) == pytest.approx(0.05)


def test_arrays_go_through_whole():
    a, wanted = np.array([0.5, 0.4])[:, None], np.array([0.1, 0.2, 0.3])
    t = drying.drying_time(a, wanted, 5e-4, D21, IN_PROPORTION)
    assert t.shape == (2, 3)
    assert np.all(np.diff(t, axis=1) < 0)
    assert np.all(t[0] > t[1])
