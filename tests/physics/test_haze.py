import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from outgas.errors import OutOfRangeError
from outgas.physics import haze

ONE = np.array([10e-6])


def test_two_per_cent_of_ten_micron_voids_is_an_optical_depth_of_three():
    N = 0.02 / (4.0 * np.pi / 3.0 * ONE**3)
    mu, g = haze.scattering(ONE, N, 1.55)
    assert mu * 1e-3 == pytest.approx(3.0, rel=0.03)
    assert haze.plate(mu * 1e-3, g)[1] == pytest.approx(1 / 3, abs=0.04)


def test_the_same_voids_in_smaller_bubbles_are_whiter():
    def seen(R):
        R = np.array([R])
        mu, g = haze.scattering(R, 0.01 / (4.0 * np.pi / 3.0 * R**3), 1.55)
        return haze.reflectance(mu * 2e-3, g, 1.55, 0.05)

    assert seen(5e-6) > seen(50e-6) > seen(500e-6) > haze.reflectance(0.0, 0.0, 1.55, 0.05)


def test_a_mixture_scatters_as_the_sum_of_its_parts():
    R, N = np.array([3e-6, 40e-6]), np.array([1e12, 1e9])
    mu, g = haze.scattering(R, N, 1.55)
    parts = [haze.scattering(R[i : i + 1], N[i : i + 1], 1.55) for i in (0, 1)]
    assert mu == pytest.approx(sum(part[0] for part in parts))
    assert min(p[1] for p in parts) < g < max(p[1] for p in parts)
    assert haze.scattering(R[:0], N[:0], 1.55) == (0.0, 0.0)


def monte_carlo(tau, g, photons=40_000, seed=4):
    """Share of a straight beam that a plate sends back, photon by photon (Henyey-Greenstein)."""
    rng = np.random.default_rng(seed)
    z, mu = np.zeros(photons), np.ones(photons)
    back, alive = 0, np.ones(photons, dtype=bool)
    while alive.any():
        n = int(alive.sum())
        z[alive] += mu[alive] * rng.exponential(size=n)
        back += int((z[alive] < 0.0).sum())
        alive &= (z >= 0.0) & (z <= tau)
        n = int(alive.sum())
        xi = rng.random(n)
        cos = (1 + g * g - ((1 - g * g) / (1 - g + 2 * g * xi)) ** 2) / (2 * g)
        turn = np.cos(2 * np.pi * rng.random(n))
        m = mu[alive]
        mu[alive] = m * cos + np.sqrt((1 - m * m) * np.maximum(0.0, 1 - cos * cos)) * turn
    return back / photons


@pytest.mark.parametrize("tau", [1.0, 3.0, 10.0, 30.0])
def test_the_two_streams_agree_with_photons_one_by_one(tau):
    """The method is good to a few hundredths of the light; thick plates are better."""
    assert haze.plate(tau, 0.76)[0] == pytest.approx(monte_carlo(tau, 0.76), abs=0.025)


@given(st.floats(0.0, 1e4), st.floats(0.0, 0.95), st.floats(0.0, 1.0), st.floats(1.45, 1.62))
def test_light_is_a_share_and_more_scattering_sends_more_back(tau, g, background, n):
    straight, diffuse = haze.plate(tau, g)
    assert 0.0 <= straight <= diffuse < 1.0
    seen = haze.reflectance(tau, g, n, background)
    assert 0.0 <= seen <= 1.0 + 1e-12
    assert haze.reflectance(tau + 0.1, g, n, 0.0) >= haze.reflectance(tau, g, n, 0.0)
    assert seen >= haze.reflectance(tau, g, n, 0.0) - 1e-12


def test_a_white_background_under_no_loss_sends_all_light_back():
    for tau in (0.0, 0.5, 20.0):
        assert haze.reflectance(tau, 0.76, 1.55, 1.0) == pytest.approx(1.0)


def test_bubbles_show_over_black_and_hide_over_white():
    def change(background):
        return haze.reflectance(2.0, 0.76, 1.55, background) - haze.reflectance(
            0.0, 0.0, 1.55, background
        )

    assert change(0.05) > 0.05
    assert change(0.05) > abs(change(0.8))


@pytest.mark.parametrize("n", [1.3, 1.5, 1.6])
def test_diffuse_light_on_a_face_is_fresnel_s_law_summed(n):
    def fresnel(c):
        s = np.sqrt(1.0 - (1.0 - c * c) / n**2)
        across, along = (c - n * s) / (c + n * s), (n * c - s) / (n * c + s)
        return 0.5 * (across**2 + along**2) * 2.0 * c

    outside = quad(fresnel, 0.0, 1.0)[0]
    assert haze.face(n)[1] == pytest.approx(1.0 - (1.0 - outside) / n**2, abs=1e-6)
    assert haze.face(n)[0] == pytest.approx(fresnel(1.0) / 2.0)


def test_a_dry_strand_is_white_and_a_wet_one_is_not():
    mu, g = haze.dry_fibres(8e-6, 0.5, 1.0)
    assert haze.reflectance(mu * 0.3e-3, g, 1.55, 0.05) > 0.4
    assert haze.dry_fibres(8e-6, 0.5, 0.0)[0] == 0.0
    # shadow 2 R per length, a length of fraction/(pi R^2) per volume
    assert mu == pytest.approx(2.0 * 0.5 * 2 * 8e-6 / (np.pi * (8e-6) ** 2))


def test_what_the_formulas_do_not_cover_is_refused():
    with pytest.raises(OutOfRangeError, match=r"too small .* from 1.7 um up"):
        haze.scattering(np.array([0.5e-6]), np.ones(1), 1.55)
    with pytest.raises(OutOfRangeError, match=r"index .* outside 1.45 to 1.62"):
        haze.scattering(ONE, np.ones(1), 1.33)
    with pytest.raises(OutOfRangeError, match="0 to 1"):
        haze.reflectance(1.0, 0.7, 1.55, 1.2)
    with pytest.raises(OutOfRangeError):
        haze.size_parameter(np.nan, 1.55)


@pytest.mark.parametrize("tau", [-1.0, np.nan, np.inf, np.array([1.0, np.nan])])
def test_an_optical_depth_that_cannot_be_is_refused(tau):
    with pytest.raises(OutOfRangeError, match="optical depth"):
        haze.reflectance(tau, 0.75, 1.5, 0.05)
