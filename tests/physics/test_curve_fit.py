import dataclasses

import chemicals
import numpy as np
import pytest
from iapws import IAPWS97

import outgas
from outgas.errors import DataError
from outgas.physics import curve_fit, saturation
from outgas.physics.curve_fit import Source

STYRENE = outgas.volatile("styrene").cubic()
RANGE = (285.0, 400.0)


def test_a_correlation_form_that_is_unknown_is_refused():
    with pytest.raises(DataError, match="no correlation form"):
        curve_fit.correlation("cox", (1.0, 2.0, 3.0), np.array([300.0]))


def test_a_curve_too_hard_for_the_degree_is_refused():
    with pytest.raises(DataError, match="no polynomial"):
        curve_fit.tabulate(lambda T: np.exp(np.abs(T - 300.0)), 263.15, 423.15, 1e-9, 6)


# Antoine's equation for water, as textbooks print it (from memory): log10(p/mmHg) = 8.07131 -
# 1730.63 / (233.426 + t/degC), for 1 to 100 degC.
A, B, C = 8.07131 + np.log10(133.322387415), 1730.63, 233.426 - 273.15


def test_both_forms_of_antoine_give_waters_steam_table():
    T = np.array([293.15, 333.15, 373.15])
    steam = [IAPWS97(T=float(t), x=0).P * 1e6 for t in T]
    ten = curve_fit.correlation("antoine-log10", (A, B, C), T)
    assert ten == pytest.approx(steam, rel=5e-3)
    natural = curve_fit.correlation("antoine-ln", (A * np.log(10), B * np.log(10), C), T)
    assert natural == pytest.approx(ten, rel=1e-12)


def test_all_forms_are_those_of_another_library():
    T = np.array([290.0, 350.0, 420.0])
    wagner = (635.0, 3.9e6, -7.3, 1.6, -2.2, -3.4)  # made up, of the usual size
    Tc, pc, *c = wagner
    ours = curve_fit.correlation("wagner-2.5-5", wagner, T)
    assert ours == pytest.approx([chemicals.Wagner(float(t), Tc, pc, *c) for t in T], rel=1e-12)
    assert curve_fit.correlation("wagner-2.5-5", wagner, np.array([Tc]))[0] == pytest.approx(pc)
    for form, base in (("antoine-ln", np.e), ("antoine-log10", 10.0)):
        theirs = [chemicals.Antoine(float(t), 9.5, 1574.0, -49.0, base=base) for t in T]
        assert curve_fit.correlation(form, (9.5, 1574.0, -49.0), T) == pytest.approx(theirs)


def test_each_term_of_wagners_form_has_its_own_power():
    # at T = Tc/2 t is 1/2, so ln(p/pc) = 2 (A/2 + B/2^1.5 + C/2^2.5 + D/2^5)
    for place, want in enumerate((1.0, 0.70710678, 0.35355339, 0.0625)):
        c = [600.0, 1.0, 0.0, 0.0, 0.0, 0.0]
        c[2 + place] = 1.0
        got = curve_fit.correlation("wagner-2.5-5", c, np.array([300.0]))[0]
        assert np.log(got) == pytest.approx(want)


def test_nodes_run_from_hot_to_cold_and_are_chebyshevs_of_the_inverse():
    T = curve_fit.inverse_nodes(250.0, 500.0, 5)
    assert np.all(np.diff(T) < 0.0)
    assert T[2] == pytest.approx(2.0 / (1.0 / 250.0 + 1.0 / 500.0))
    x = (1.0 / T - 0.003) / 0.001  # the middle and the half-width of 1/T, by hand
    assert np.cos(5.0 * np.arccos(np.clip(x, -1, 1))) == pytest.approx(np.zeros(5), abs=1e-9)


def test_a_table_follows_what_it_was_made_from_and_maps_its_ends_to_one():
    def exact(T):
        return np.exp(20.0 - 4000.0 / T + 50.0 * (300.0 / T) ** 4)

    got = curve_fit.tabulate(exact, 300.0, 400.0, 1e-8, 12)
    assert got.scale / 300.0 - got.offset == pytest.approx(1.0)
    assert got.scale / 400.0 - got.offset == pytest.approx(-1.0)
    T = np.linspace(300.0, 400.0, 371)
    assert saturation.pressure((got,), T) == pytest.approx(exact(T), rel=1e-8)
    assert len(got.coefficients) == 5  # a quartic in 1/T: nothing more is needed


@pytest.mark.parametrize("error", [1e-2, 1e-5, 1e-8])
def test_a_table_is_no_longer_than_its_error_needs_and_keeps_it(error):
    def exact(T):
        return np.exp(10.0 + np.sin(4000.0 / T))

    T = np.linspace(300.0, 400.0, 371)
    got = curve_fit.tabulate(exact, 300.0, 400.0, error, 20)
    miss = np.abs(np.log(saturation.pressure((got,), T) / exact(T))).max()
    assert 1e-3 * error < miss <= error
    shorter = len(got.coefficients) - 2
    with pytest.raises(DataError, match=f"up to degree {shorter} follows 300-400 K"):
        curve_fit.tabulate(exact, 300.0, 400.0, error, shorter)


def test_the_fit_finds_the_alpha_that_made_the_pressures():
    made = (0.83, -0.17, 0.61)
    T = np.linspace(280.0, 400.0, 9)
    p = saturation.exact_cubic(dataclasses.replace(STYRENE, alpha=made), T)
    assert curve_fit.fit_alpha(STYRENE, T, p) == pytest.approx(made, abs=2e-3)


ANTOINE = Source("antoine-ln", (21.487333, 3677.2353, -49.03))


def test_a_cubics_curve_follows_its_correlation_and_says_how_far_it_strays():
    got = curve_fit.build(STYRENE, "", [ANTOINE], RANGE, (300.0, 350.0))
    T = np.linspace(*RANGE, 200)
    want = curve_fit.correlation(ANTOINE.form, ANTOINE.coefficients, T)
    miss = np.abs(saturation.pressure(got.curve, T) / want - 1.0)
    assert miss.max() <= 1.2 * got.residual_extended + 1e-6
    stated = miss[(T >= 300.0) & (T <= 350.0)].max()
    assert got.residual_stated == pytest.approx(stated, rel=0.2)
    assert 0.0 < got.residual_stated < got.residual_extended < 0.01
    assert [(s.T_low, s.T_high) for s in got.curve] == [RANGE]
    assert any(got.alpha)


def test_a_blend_is_the_weighted_sum_of_its_sources():
    whole = curve_fit.build(STYRENE, "", [ANTOINE], RANGE, RANGE)
    parts = [dataclasses.replace(ANTOINE, weight=w) for w in (0.3, 0.7)]
    blend = curve_fit.build(STYRENE, "", parts, RANGE, RANGE)
    T = np.linspace(*RANGE, 50)
    assert saturation.pressure(blend.curve, T) == pytest.approx(
        saturation.pressure(whole.curve, T), rel=1e-6
    )


def test_a_reference_fluid_is_split_where_all_curves_are_and_joins_there():
    got = curve_fit.build(None, "Water", [], (280.0, 460.0), (280.0, 460.0))
    assert [(s.T_low, s.T_high) for s in got.curve] == [(280.0, 423.15), (423.15, 460.0)]
    for T in (300.0, 423.15, 423.16, 450.0):
        want = IAPWS97(T=T, x=0).P * 1e6
        assert saturation.pressure(got.curve, T) == pytest.approx(want, rel=1e-3)
    assert (got.alpha, got.residual_stated, got.residual_extended) == ((0.0, 0.0, 0.0), 0.0, 0.0)


@pytest.mark.parametrize(
    ("source", "message"),
    [
        (Source("antoine-ln", (5.0, -3677.0, -49.03)), "does not rise with temperature"),
        (Source("antoine-ln", (-1e3, 3677.0, -49.03)), "does not rise with temperature"),
        (Source("antoine-ln", (30.0, 3677.2353, -49.03)), "no alpha function follows"),
    ],
)
def test_a_correlation_that_no_fluid_has_is_refused(source, message):
    with pytest.raises(DataError, match=message):
        curve_fit.build(STYRENE, "", [source], RANGE, RANGE)


def test_a_cubic_that_strays_further_than_the_limit_is_refused(monkeypatch):
    monkeypatch.setattr(curve_fit, "fit_alpha", lambda *_: (0.9, 0.0, 0.0))
    with pytest.raises(DataError, match=r"misses the correlation by \d+%"):
        curve_fit.build(STYRENE, "", [ANTOINE], RANGE, RANGE)
