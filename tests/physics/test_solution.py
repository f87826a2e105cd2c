import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.physics import solution

V_STYRENE = 115.67e-6


def one(phi, r, chi):
    got = solution.activities(
        np.array([phi]), np.array([V_STYRENE]), r * V_STYRENE, np.array([chi])
    )
    return float(got[0])


def test_forty_per_cent_styrene():
    phi = solution.volume_fractions(np.array([0.4, 0.6]), np.array([900.4, 1200.0]))
    assert phi[0] == pytest.approx(0.47048, abs=1e-5)
    assert one(float(phi[0]), 15.0, 0.45) == pytest.approx(0.87493, abs=1e-5)


@given(r=st.floats(1.0, 1e4), chi=st.floats(-1.0, 1.0))
def test_a_pure_liquid_keeps_its_pressure(r, chi):
    assert one(1.0, r, chi) == pytest.approx(1.0, abs=1e-12)


@given(phi=st.floats(0.01, 0.99))
def test_equal_sizes_and_no_interaction_is_raoult(phi):
    assert one(phi, 1.0, 0.0) == pytest.approx(phi, rel=1e-12)


@given(phi=st.floats(0.001, 1.0), r=st.floats(1.0, 1e4), share=st.floats(0.0, 1.0))
def test_no_activity_passes_one_while_the_mixture_is_one_liquid(phi, r, share):
    chi = share * 0.5 * (1.0 + r**-0.5) ** 2
    assert one(phi, r, chi) <= 1.0 + 1e-9


def test_raoult_by_weight_would_be_unsafe_by_a_factor_of_two():
    assert one(0.47048, 15.0, 0.45) > 2.0 * 0.4


@given(
    a=st.floats(0.05, 0.45),
    b=st.floats(0.05, 0.45),
    chi=st.tuples(st.floats(-0.5, 1.0), st.floats(-0.5, 1.0)),
    r=st.floats(2.0, 200.0),
)
def test_gibbs_and_duhem(a, b, chi, r):
    """sum_i n_i d ln a_i = 0 along any path, the polymer's own activity included."""
    V = np.array([V_STYRENE, 106.7e-6])
    Vp = r * V_STYRENE
    step = 1e-6

    def ln_small(n):
        volume = n * np.array([*V, Vp])
        phi = volume / volume.sum()
        return np.log(solution.activities(phi[:2], V, Vp, np.array(chi)))

    def ln_polymer(n):
        # the polymer's activity from the same free energy, by a numerical derivative of it
        def energy(m):
            volume = m * np.array([*V, Vp])
            phi = volume / volume.sum()
            mixing = float(np.sum(m * np.log(phi)))
            return mixing + float(np.sum(np.array(chi) * volume[:2] / V * phi[2]))

        h = 1e-5 * n[2]
        up, down = n.copy(), n.copy()
        up[2] += h
        down[2] -= h
        return (energy(up) - energy(down)) / (2 * h)

    n = np.array([a / V[0], b / V[1], (1.0 - a - b) / Vp])
    for i in range(2):
        up, down = n.copy(), n.copy()
        up[i] *= 1.0 + step
        down[i] *= 1.0 - step
        change = np.append(ln_small(up) - ln_small(down), ln_polymer(up) - ln_polymer(down))
        scale = float(np.sum(np.abs(n * change))) + 1e-12
        assert abs(float(np.sum(n * change))) < 2e-3 * scale + 1e-9 * float(n.sum())


@given(a=st.floats(0.05, 0.45), b=st.floats(0.05, 0.45), r=st.floats(2.0, 200.0))
def test_activities_are_the_derivative_of_the_free_energy(a, b, r):
    V, Vp, chi = np.array([V_STYRENE, 106.7e-6]), r * V_STYRENE, np.array([0.45, 0.2])

    def energy(n):
        volume = n * np.array([*V, Vp])
        phi = volume / volume.sum()
        return float(np.sum(n * np.log(phi)) + np.sum(chi * volume[:2] / V * phi[2]))

    n = np.array([a / V[0], b / V[1], (1.0 - a - b) / Vp])
    volume = n * np.array([*V, Vp])
    got = np.log(solution.activities((volume / volume.sum())[:2], V, Vp, chi))
    for i in range(2):
        h = 1e-5 * n[i]
        up, down = n.copy(), n.copy()
        up[i] += h
        down[i] -= h
        assert got[i] == pytest.approx((energy(up) - energy(down)) / (2 * h), abs=1e-4)


def test_arrays_along_later_axes():
    phi = np.array([[0.3, 0.4, 0.5]])
    got = solution.activities(phi, np.array([V_STYRENE]), 15 * V_STYRENE, np.array([0.45]))
    assert got[0] == pytest.approx([one(p, 15.0, 0.45) for p in phi[0]], rel=1e-12)


def test_past_the_gel_the_polymer_is_endless():
    low = one(0.3, 1e9, 0.45)
    assert one(0.3, np.inf, 0.45) == pytest.approx(low, rel=1e-6)


def test_nothing_there_pushes_nothing():
    assert one(0.0, 15.0, 0.45) == 0.0


def test_a_trace_follows_the_full_form_when_dilute():
    V, Vp = np.array([V_STYRENE, 74e-6]), 15 * V_STYRENE
    phi = np.array([0.47, 1e-6])
    mean = 1.0 / (np.sum(phi / V) + (1 - phi.sum()) / Vp)
    full = solution.activities(phi, V, Vp, np.array([0.0, 0.3]))[1]
    trace = solution.dilute_activity(1e-6, 74e-6, mean, 0.3 * 0.53)
    assert trace == pytest.approx(full, rel=1e-3)


def test_what_has_reacted_no_longer_pushes():
    w = solution.cured_fractions(np.array([0.4, 0.1]), np.array([0.0, 0.5, 1.0]))
    assert w == pytest.approx(np.array([[0.4, 0.2, 0.0], [0.1, 0.05, 0.0]]))


def test_monomers_given_along_a_cure_react_where_they_stand():
    along = np.array([[0.4, 0.3, 0.2], [0.1, 0.1, 0.1]])
    w = solution.cured_fractions(along, np.array([0.0, 0.5, 1.0]))
    assert w == pytest.approx(np.array([[0.4, 0.15, 0.0], [0.1, 0.05, 0.0]]))
