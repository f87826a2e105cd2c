"""How white it looks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.errors import OutOfRangeError
from outgas.laminate import whiteness

voids = st.floats(1e-5, 0.7)
radii = st.floats(4e-6, 1e-3)
plates = st.floats(2e-4, 2e-2)


@given(f=voids, R=radii, h=plates)
def test_optical_depth_is_what_crosses_the_voids(f, R, h):
    got = whiteness.predicted(f, R, h)
    number = f / (4.0 / 3.0 * 3.141592653589793 * R**3)  # spheres per volume
    shaded = number * 3.141592653589793 * R**2 * h  # share of the plate they shade, once
    # large spheres scatter twice what they shade, small ones up to a fifth more
    low, high = 2.0 * shaded, 2.3 * shaded
    assert low <= got.depth * (1 + 1e-9)
    assert got.depth <= high


@given(f=voids, R=radii, h=plates)
def test_the_same_gas_in_smaller_bubbles_is_whiter_and_more_of_it_too(f, R, h):
    here = whiteness.predicted(f, R, h)
    assert whiteness.predicted(f, R / 2.0, h).reflected > here.reflected
    assert whiteness.predicted(f, R, 2.0 * h).reflected > here.reflected
    assert whiteness.predicted(f / 2.0, R, h).reflected < here.reflected
    assert 0.0 <= here.reflected < 1.0
    assert 0.0 <= float(whiteness.shows(f, R, h)) < 1.0


def test_two_per_cent_of_fine_voids_is_structural_but_not_clear():
    got = whiteness.predicted(0.02, 10e-6, 1e-3)
    assert got.depth == pytest.approx(3.1, abs=0.1)
    assert 0.1 < got.contrast < 0.2
    assert got.words == "milky"
    assert whiteness.predicted(0.02, 1e-3, 1e-3).words == "clear"
    assert whiteness.predicted(0.2, 10e-6, 1e-3).words == "white"
    assert whiteness.predicted(0.002, 10e-6, 1e-3).words == "a trace of haze"


def test_nothing_is_clear_and_a_froth_is_as_white_as_closest_packing():
    assert whiteness.predicted(0.0, 1e-5).words == "clear"
    assert (
        whiteness.predicted(1.0, 1e-5).depth == whiteness.predicted(whiteness.DENSEST, 1e-5).depth
    )


@pytest.mark.parametrize(("f", "R"), [(-0.1, 1e-5), (1.1, 1e-5), (0.1, 0.0), (float("nan"), 1e-5)])
def test_what_cannot_be_is_refused(f, R):
    with pytest.raises(OutOfRangeError):
        whiteness.predicted(f, R)


def test_it_is_the_haze_kernels_own_answer():
    from outgas.physics import haze

    f, R, h, n = 0.02, 20e-6, 1e-3, whiteness.index_of("polyester")
    N = np.array([f / (4.0 / 3.0 * np.pi * R**3)])
    mu, g = haze.scattering(np.array([R]), N, n)
    got = whiteness.predicted(f, R, h)
    assert got.depth == pytest.approx(mu * h, rel=1e-9)
    assert got.reflected == pytest.approx(float(haze.reflectance(mu * h, g, n, 0.0)), rel=1e-9)
