"""Rate laws, viscosity and the gel that holds: limits, pinned arithmetic, closed forms."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

import outgas
from outgas.physics import cure, data_sheet
from outgas.tables import rates

UP = rates.kinetics(outgas.resin("orthophthalic-polyester"))
PREPREG = rates.kinetics(outgas.resin("autoclave-epoxy-prepreg"))


def kamal(**changes):
    base = dict(
        induction=600.0, induction_energy=5e4, k1=1e-5, k2=5e-4, energy=5e4, m=0.8, n=1.2,
        heat=3.6e5, gel=0.05,
    )  # fmt: skip
    return cure.Kamal(**{**base, **changes})


def cup_of(s, loss, **changes):
    """The standard mass of a sheet's numbers in air at the sheet's temperature."""
    usual = dict(mass=s["mass"], heat_capacity=s["heat_capacity"], air_K=s["temperature"])
    return data_sheet.Cup(**{**usual, "loss": loss, **changes})


def test_the_time_to_a_conversion_is_that_of_the_differential_equation():
    law = kamal()
    run = solve_ivp(
        lambda t, y: [
            float(cure.rate(law, y[0], y[1], 310.0)),
            float(cure.inhibitor_rate(law, 310.0)),
        ],
        (0.0, 2e4),
        [0.0, 0.0],
        method="LSODA",
        rtol=1e-10,
        atol=1e-12,
        dense_output=True,
    )
    t = np.linspace(0.0, 2e4, 40001)
    X = run.sol(t)[0]
    for level in (0.05, 0.3, 0.8):
        exact = cure.time_to(law, level, 310.0)
        # the smooth opening lets some of the reaction by before the induction time is over
        assert np.interp(level, X, t) == pytest.approx(exact, rel=0.02)


@pytest.mark.parametrize(
    "law",
    [
        *(rates.kinetics(outgas.resin(name)) for name in outgas.resins()),
        kamal(induction=0.0, k1=0.0, k2=2e-3, m=0.524, n=1.476, seed=1e-3),
        kamal(induction=0.0, k1=0.0, k2=2e-3, m=0.5),  # starts as a power of X that is endless
        kamal(k1=1e-8, final=0.9),
    ],
)
def test_the_time_to_a_conversion_is_what_a_general_quadrature_finds(law):
    end = getattr(law, "final", 1.0)
    switch = getattr(law, "switch", None)
    for X in (law.gel, 0.29, 0.31, 0.5 * end, 0.99 * end):
        if end <= X:
            continue
        ends = [law.seed, *([switch] if switch is not None and switch < X else []), X]
        wait = 1.0 / cure.inhibitor_rate(law, 330.0) if getattr(law, "induction", 0.0) else 0.0
        parts = [
            quad(lambda x: 1.0 / float(cure.rate(law, x, np.inf, 330.0)),
                 low + (1e-15 if low == switch else 0.0), high, limit=500, epsrel=1e-10)[0]
            for low, high in itertools.pairwise(ends)
        ]  # fmt: skip
        assert cure.time_to(law, X, 330.0) == pytest.approx(float(wait) + sum(parts), rel=1e-7)


def test_a_law_that_cannot_start_by_itself_follows_its_closed_form():
    # k X^m (1-X)^(2-m) has u = X/(1-X): t = (u^(1-m) - u0^(1-m)) / (k (1-m))
    law = kamal(induction=0.0, k1=0.0, k2=2e-3, m=0.524, n=1.476, seed=1e-3)
    for X in (0.1, 0.5, 0.9):
        u, u0 = X / (1 - X), law.seed / (1 - law.seed)
        closed = (u ** (1 - law.m) - u0 ** (1 - law.m)) / (law.k2 * (1 - law.m))
        assert cure.time_to(law, X, cure.REFERENCE_K) == pytest.approx(closed, rel=1e-6)


def test_the_prepreg_law_gives_its_authors_shape_at_177_degc():
    # pinned arithmetic on the transcribed constants, per minute
    for X, expected in ((0.0, 0.42699), (0.1, 0.23959), (0.2, 0.11459), (0.5, 0.026521)):
        got = 60.0 * float(cure.rate(PREPREG, X, np.inf, 450.15))
        assert got == pytest.approx(expected, rel=1e-3)


def test_solvers_get_the_same_speeds_as_everyone_else():
    X, z, T = np.linspace(0.0, 0.99, 50), np.linspace(0.0, 3.0, 50), np.linspace(280.0, 430.0, 50)
    for law in (UP, PREPREG, kamal(induction_energy=8e4), kamal(induction=0.0)):
        dX, dz = cure.speeds(law)(X, z, T)
        assert dX == pytest.approx(cure.rate(law, X, z, T), rel=1e-12)
        assert dz == pytest.approx(cure.inhibitor_rate(law, T), rel=1e-12)


def test_a_reaction_that_stops_short_is_a_whole_one_on_a_smaller_scale():
    # X = Xf u gives du/dt = Xf^(n-1) (k1 + k2 Xf^m u^m) (1 - u)^n, a law that goes to one
    short = kamal(final=0.8)
    scale = 0.8 ** (short.n - 1.0)
    whole = kamal(k1=short.k1 * scale, k2=short.k2 * scale * 0.8**short.m)
    for u in (0.05, 0.4, 0.9):
        assert cure.time_to(short, 0.8 * u, 305.0) == pytest.approx(
            cure.time_to(whole, u, 305.0), rel=1e-6
        )
    assert math.isinf(cure.time_to(short, 0.8, 305.0))
    assert float(cure.rate(short, 0.9, np.inf, 305.0)) == 0.0


@given(X=st.floats(-0.2, 1.2), z=st.floats(0.0, 5.0), T=st.floats(263.0, 480.0))
def test_a_reaction_never_runs_backwards(X, z, T):
    for law in (UP, PREPREG):
        assert float(cure.rate(law, X, z, T)) >= 0.0


@given(T=st.floats(270.0, 420.0), step=st.floats(0.5, 20.0))
def test_warmer_always_gels_sooner(T, step):
    assert cure.time_to(UP, UP.gel, T + step) < cure.time_to(UP, UP.gel, T)


def test_gel_time_halves_every_ten_kelvin_within_the_energy_it_is_given():
    ratio = cure.gel_factor(UP.energy, 293.15) / cure.gel_factor(UP.energy, 303.15)
    assert 1.7 < ratio < 2.3


def test_faster_scales_every_law():
    for law in (UP, PREPREG):
        twice = cure.time_to(cure.faster(law, 2.0), law.gel, 400.0)
        assert twice == pytest.approx(0.5 * cure.time_to(law, law.gel, 400.0), rel=1e-6)


def test_viscosity_is_the_sheets_at_first_and_endless_at_the_gel():
    liquid = cure.Thickening(0.6, 3e4, 1.5, 0.05)
    assert float(cure.viscosity(liquid, 0.0, 298.15)) == pytest.approx(0.6)
    assert float(cure.viscosity(liquid, 0.0, 313.15)) < 0.6
    assert math.isinf(float(cure.viscosity(liquid, 0.05, 298.15)))


def test_a_gel_holds_nothing_at_the_gel_point_and_more_pressure_later():
    network = cure.Network(5e6, 2.7, 0.05)
    assert float(cure.modulus(network, 0.05)) == 0.0
    hold = cure.holding_conversion(np.array([0.0, 1e3, 1e4, 1e5]), network, 4.0, 0.1)
    assert hold[0] == pytest.approx(0.15)
    assert np.all(np.diff(hold) >= 0.0)
    at = hold[-1]
    assert float(cure.modulus(network, at)) == pytest.approx(4.0 * 1e5, rel=1e-9)


def test_the_sheet_is_given_back_by_the_law_that_was_solved_from_it():
    for name in ("orthophthalic-polyester", "bisphenol-a-vinyl-ester", "acrylic-infusion"):
        resin = outgas.resin(name)
        s, found = rates.sheet(resin), rates.built(resin)
        cup = cup_of(s, found.cup_loss_W_per_K, heat_capacity_slope=s["heat_capacity_slope"])
        run = data_sheet.in_cup(rates.kinetics(resin), cup, 6 * s["time_to_peak"])
        assert run.gel == pytest.approx(s["gel_time"], rel=2e-3)
        assert run.peak_time == pytest.approx(s["time_to_peak"], rel=2e-3)
        assert run.peak == pytest.approx(s["peak_temperature"], abs=0.5)


def test_a_bigger_cup_is_hotter_and_sooner():
    resin = outgas.resin("epoxy-laminating")
    s, law = rates.sheet(resin), rates.kinetics(resin)
    loss = rates.built(resin).cup_loss_W_per_K
    runs = [
        data_sheet.in_cup(law, cup_of(s, loss * (m / 0.1) ** (2 / 3), mass=m), 4e4)
        for m in (0.05, 0.1, 1.0)
    ]
    assert [r.peak for r in runs] == sorted(r.peak for r in runs)
    assert [r.gel for r in runs] == sorted((r.gel for r in runs), reverse=True)


def test_a_cup_that_loses_nothing_reaches_the_adiabatic_rise():
    law = kamal()
    held = dict(mass=0.1, loss=0.0, air_K=298.15)
    run = data_sheet.in_cup(law, data_sheet.Cup(heat_capacity=1900.0, **held), 3e4)
    assert run.peak - 298.15 == pytest.approx(law.heat / 1900.0, rel=2e-3)
    # stopping short, and taking more heat when hot: (1750 + 3.5/2 rise) rise = heat x final
    short = kamal(final=0.85)
    growing = data_sheet.Cup(heat_capacity=1750.0, heat_capacity_slope=3.5, **held)
    run = data_sheet.in_cup(short, growing, 3e4)
    rise = run.peak - 298.15
    assert (1750.0 + 1.75 * rise) * rise == pytest.approx(0.85 * short.heat, rel=2e-3)


def test_the_standard_cup_of_polyester_still_runs_away_in_a_shop_of_15_degc():
    resin = outgas.resin("orthophthalic-polyester")
    s, law, loss = rates.sheet(resin), rates.kinetics(resin), rates.built(resin).cup_loss_W_per_K
    warm, cold = (
        data_sheet.in_cup(
            law,
            cup_of(s, loss, air_K=T, heat_capacity_slope=s["heat_capacity_slope"]),
            12 * s["time_to_peak"],
        )
        for T in (298.15, 288.15)
    )
    assert cold.peak - 273.15 > 100.0
    assert cold.peak < warm.peak
    assert 1.8 < cold.gel / warm.gel < 2.3  # twice as long for 10 K
    assert 1.8 < cold.peak_time / warm.peak_time < 2.8
    # a cup that loses three and a half times as much would hardly warm
    leaky = data_sheet.in_cup(law, cup_of(s, 0.53, air_K=288.15), 4e4)
    assert leaky.peak - 273.15 < 45.0


def test_a_polyester_stops_near_six_sevenths_and_where_its_cup_loses_more_it_goes_further():
    found = rates.built(outgas.resin("orthophthalic-polyester"))
    assert found.cup_loss_W_per_K == pytest.approx(0.15)
    assert found.final_conversion == pytest.approx(0.85, abs=0.03)
    assert found.most_final_conversion > found.final_conversion + 0.03


@pytest.mark.parametrize("lam", [0.3, 0.5, 1.0])
@pytest.mark.parametrize("X", [0.05, 0.4, 0.9])
def test_the_glass_rises_from_fresh_to_full_and_is_found_again(X, lam):
    fresh, full = 230.0, 400.0
    assert cure.glass_transition(0.0, fresh, full, lam) == fresh
    assert cure.glass_transition(1.0, fresh, full, lam) == pytest.approx(full)
    T = cure.glass_transition(X, fresh, full, lam)
    assert fresh < T < full
    assert cure.conversion_of_glass(T, fresh, full, lam) == pytest.approx(X)


def test_a_gel_time_is_itself_at_25_degc_and_shorter_where_it_is_warmer():
    assert cure.gel_factor(60e3, 298.15) == pytest.approx(1.0)
    assert cure.gel_factor(60e3, 308.15) < 1.0 < cure.gel_factor(60e3, 288.15)


def test_a_resin_of_which_no_gel_is_told_thickens_without_end_only_at_full_conversion():
    thick = cure.Thickening(0.5, 40e3, exponent=1.0)
    assert cure.viscosity(thick, 0.5, 298.15) == pytest.approx(1.0)  # twice 0.5 Pa s
    assert cure.viscosity(thick, 1.0, 298.15) == np.inf


@pytest.mark.parametrize("z", [0.9, 1.0, 1.02, 1.05, 1.2, 2.0, 3.0])
def test_solvers_open_the_reaction_as_everyone_else_does(z):
    X, T, law = np.array([0.1, 0.4]), np.array([300.0, 330.0]), kamal()
    dX, _ = cure.speeds(law)(X, np.full(2, z), T)
    assert dX == pytest.approx(cure.rate(law, X, z, T), rel=1e-12)
    assert cure.opened(law, z) == pytest.approx(1.0 / (1.0 + math.exp((1.0 - z) / 0.03)), rel=1e-9)


def test_an_induction_however_short_is_one():
    assert float(cure.opened(kamal(induction=0.5), 0.0)) < 1e-12
    assert float(cure.inhibitor_rate(kamal(induction=0.5), cure.REFERENCE_K)) == pytest.approx(2.0)
    assert float(cure.opened(kamal(induction=0.0), 0.0)) == 1.0


@pytest.mark.parametrize("law", [kamal(), kamal(final=0.8), PREPREG])
def test_conversion_out_of_range_is_taken_at_its_end(law):
    end = getattr(law, "final", 1.0)
    for out, at in ((-0.3, 0.0), (end + 0.3, end)):
        ours, ends = (float(cure.rate(law, X, np.inf, 400.0)) for X in (out, at))
        assert ours == ends
    assert float(cure.rate(law, end, np.inf, 400.0)) == 0.0
    assert float(cure.rate(law, end - 1e-3, np.inf, 400.0)) > 0.0


def test_no_gel_need_be_more_than_cured():
    network = cure.Network(1e5, 2.7, 0.05)
    assert float(cure.holding_conversion(1e9, network, 4.0, 0.1)) == 1.0
    assert float(cure.holding_conversion(0.0, network, 4.0, 0.99)) == 1.0


@pytest.mark.parametrize(("X", "T"), [(0.0, 298.15), (0.02, 310.0), (0.04, 330.0)])
def test_viscosity_and_modulus_by_their_formulas(X, T):
    liquid = cure.Thickening(0.6, 3e4, 1.5, 0.05)
    warm = math.exp(3e4 / 8.314462618 * (1.0 / T - 1.0 / 298.15))
    wanted = 0.6 * warm * (0.05 / (0.05 - X)) ** 1.5
    assert float(cure.viscosity(liquid, X, T)) == pytest.approx(wanted)
    grown = cure.modulus(cure.Network(5e6, 2.7, 0.05), 0.1 + X)
    assert float(grown) == pytest.approx(5e6 * ((0.05 + X) / 0.95) ** 2.7)


def test_the_prepreg_law_by_hand_on_either_side_of_its_switch():
    """Lee, Loos and Springer (1982): two reactions until the switch, one after it."""
    law, T = PREPREG, 440.0
    k = [
        A * math.exp(-E / (8.314462618 * T)) for A, E in zip(law.factors, law.energies, strict=True)
    ]
    for X in (0.05, law.switch):
        wanted = (k[0] + k[1] * X) * (1.0 - X) * (law.limit - X)
        assert float(cure.rate(law, X, 0.0, T)) == pytest.approx(max(wanted, 0.0), rel=1e-9)
    for X in (law.switch + 1e-6, 0.7):
        assert float(cure.rate(law, X, 0.0, T)) == pytest.approx(k[2] * (1.0 - X), rel=1e-9)


def test_where_nothing_else_is_told_all_reacts_from_nothing():
    usual = kamal()
    assert (usual.final, usual.seed) == (1.0, 0.0)
    assert PREPREG.seed == 0.0
    assert cure.Thickening(0.6, 3e4).gel == 1.0
