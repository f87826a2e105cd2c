"""The gas balance against its own figures, worked out apart, and piece by piece.

The figures were set beforehand, some with shop practice in view: they keep the kernel to its
equations, and are no evidence for them.
"""

import dataclasses
import math

import numpy as np
import pytest
from gas_cases import job, limit_95, reference, si, table, targets

from outgas.laminate.gas.balance import Gas, Step, ahead, begun, gone_on, history, run, start
from outgas.laminate.gas.held import look, void_fraction
from outgas.laminate.gas.joint import KnownGas
from outgas.laminate.gas.limits import expected_voids, limit

POLYESTER, VINYL_ESTER, EPOXY = (
    "orthophthalic-polyester",
    "bisphenol-a-vinyl-ester",
    "epoxy-infusion",
)
WET = targets(0.45)
WITHIN = 0.02


@pytest.fixture(scope="module")
def hot_shop():
    return job(POLYESTER, 26, 0.60, 20)


def mbar(found):
    return [round(float(found.nominal) / 100.0), round(float(found.safe) / 100.0)]


def limits_of(job, course, target):
    """Nominal, and by the root of squares alone: joint draws may only ask for more."""
    found = limit_95(job.known, course, target, job.barometer)
    by = math.hypot(*(max(0.0, float(each)) for each in found.moved.values()))
    assert float(found.safe) >= float(found.nominal) + by - 1e-6
    return float(found.nominal) / 100.0, (float(found.nominal) + by) / 100.0


@pytest.mark.parametrize(
    ("shop", "finish", "nominal", "safe"),
    [
        ((26, 0.60, 20), "structural", 243, 516),
        ((26, 0.60, 20), "clear", 298, 643),
        ((22, 0.40, 900), "structural", 227, 469),
        ((22, 0.40, 900), "clear", 274, 574),
        ((22, 0.40, 2500), "structural", 202, 417),
        ((22, 0.40, 2500), "clear", 231, 467),
    ],
)
def test_limits_after_a_debulk_at_90_mbar(shop, finish, nominal, safe):
    here = job(POLYESTER, *shop)
    assert limits_of(here, here.after(90), WET[finish]) == pytest.approx(
        (nominal, safe), rel=WITHIN
    )


def test_limits_without_a_debulk_leave_a_hot_shop_no_window(hot_shop):
    found = limits_of(hot_shop, hot_shop.straight(), WET["structural"])
    assert found == pytest.approx((753, 836), rel=WITHIN)
    found = limits_of(hot_shop, hot_shop.straight(), WET["clear"])
    assert found == pytest.approx((595, 782), rel=WITHIN)
    assert found[1] > hot_shop.barometer / 100.0 - 340.0  # the clamp that a wet layup needs


@pytest.mark.parametrize(
    ("air", "debulk", "nominal", "safe"),
    [
        (27, None, 145, 235),
        (27, 60, 88, 138),
        (27, 90, 126, 153),
        (300, None, 268, 330),
        (300, 90, 208, 271),
    ],
)
def test_limits_of_degassed_resin(hot_shop, air, debulk, nominal, safe):
    here = hot_shop.but(air_Pa=air * 100.0)
    course = here.straight() if debulk is None else here.after(debulk)
    assert limits_of(here, course, WET["structural"]) == pytest.approx((nominal, safe), rel=WITHIN)


@pytest.mark.parametrize(
    ("pressure", "void", "depth", "radius"),
    [
        (900, 0.74, 0.04, 276),
        (700, 2.8, 0.17, 244),
        (600, 3.4, 0.29, 173),
        (400, 3.4, 0.56, 91),
        (200, 3.4, 0.89, 57),
        (60, 3.4, 1.16, 44),
        (20, 6.5, 1.94, 50),
    ],
)
def test_a_straight_pull_of_undegassed_resin(hot_shop, pressure, void, depth, radius):
    found = run(hot_shop.gas, [hot_shop.hold(pressure * 100.0)])
    assert float(found.void_fraction(0.45)) * 100.0 == pytest.approx(void, rel=WITHIN)
    assert float(found.optical_depth(0.45, 1e-3)) == pytest.approx(depth, rel=WITHIN, abs=0.005)
    assert float(found.radius_m) * 1e6 == pytest.approx(radius, rel=WITHIN)
    assert bool(found.boiled) == (pressure == 20)


@pytest.mark.parametrize(("pressure", "void"), [(400, 0.0), (600, 0.0), (300, 0.43), (200, 3.4)])
def test_a_cure_after_a_debulk_at_90_mbar(hot_shop, pressure, void):
    found = run(hot_shop.gas, hot_shop.after(90)(pressure * 100.0))
    assert float(found.void_fraction(0.45)) * 100.0 == pytest.approx(void, rel=WITHIN)
    assert bool(found.dissolved) == (void == 0.0)


@pytest.mark.parametrize(
    ("resin", "hold", "fill", "nominal", "safe"),
    [
        (VINYL_ESTER, 20, 20, 172, 469),
        (VINYL_ESTER, 20, 50, 200, 483),
        (VINYL_ESTER, 20, 100, 246, 508),
        (EPOXY, 60, 20, 151, 427),
        (EPOXY, 60, 50, 181, 449),
        (EPOXY, 60, 100, 230, 490),
    ],
)
def test_limits_of_the_hold_of_an_infusion(resin, hold, fill, nominal, safe):
    here = job(resin, 22, 0.50, 0)
    found = limits_of(here, here.after(fill, hold=hold), targets(0.5)["structural"])
    assert found == pytest.approx((nominal, safe), rel=WITHIN)


def infusion_voids(here, fill, hold):
    found = expected_voids(here.known, here.after(fill), 0.5, hold * 100.0, here.barometer)
    return [float(value) * 100.0 for value in (found.nominal, found.low, found.high)]


def test_an_infusion_brought_up_redissolves_and_one_left_deep_keeps_its_trapped_share():
    here = job(VINYL_ESTER, 22, 0.50, 0)
    nominal, low, high = infusion_voids(here, 50, 300)
    assert (nominal, low) == (0.0, 0.0)
    assert 3.0 < high < 4.4
    assert infusion_voids(here, 50, 50)[0] == pytest.approx(3.1, rel=WITHIN)
    nominal, low, high = infusion_voids(here, 20, 20)  # it boils once it is 3 K warmer
    assert nominal == pytest.approx(4.8, rel=WITHIN)
    assert 2.5 < low < 3.2
    assert 8.0 < high < 9.0


LONG = 60.0  # minutes, until nothing changes any more


def test_an_infusion_shut_at_both_ends_keeps_its_gas_unless_it_dwelt_first():
    here = job(VINYL_ESTER, 22, 0.50, 0)
    shut = [
        float(run(here.gas, [here.hold(p, LONG, path_open=False)]).void_fraction(0.5)) * 100.0
        for p in (69200.0, 66400.0)
    ]
    assert shut == pytest.approx([2.7, 3.1], rel=WITHIN)
    after = run(here.gas, [here.pull(50.0), here.hold(66400.0, path_open=False)])
    assert bool(after.dissolved)


@pytest.mark.parametrize(
    ("entrained", "voids"),
    [(0.005, (1.1, 1.7, 2.3)), (0.02, (3.7, 5.2, 6.7)), (0.05, (8.0, 10.6, 13.3))],
)
def test_entrained_air_decides_in_a_bond_line_of_putty(entrained, voids):
    putty, hold = table("gas.toml")["putty"], si(table("gas.toml")["time"]["putty_hold"])[0]
    here = job(
        VINYL_ESTER,
        22,
        0.50,
        0,
        entrained=entrained,
        spacing_m=np.inf,
        diffusivity_m2_s=si(putty["diffusivity"])[0],
    )
    p = np.array([740e2, 600e2, 500e2])
    found = run(here.gas, [here.hold(p, hold / 60.0, path_open=False)]).void_fraction(0.0)
    assert found * 100.0 == pytest.approx(voids, rel=WITHIN, abs=0.051)  # stated to a tenth


def is_that_of_plain_floats(gas, steps):
    found, (V, n, G) = run(gas, steps), reference(gas, steps)
    assert float(found.gas_per_resin) == pytest.approx(V, rel=1e-9, abs=1e-12)
    assert float(found.nuclei) == pytest.approx(n, rel=1e-9)
    assert float(found.left_Pa) == pytest.approx(G, rel=1e-9)


def test_the_vectorised_balance_is_that_of_plain_floats():
    rng = np.random.default_rng(12)
    here = job(POLYESTER, 24, 0.5, 300)
    for _ in range(60):
        one = here.but(
            air_Pa=rng.uniform(1e3, 98e3),
            entrained=rng.uniform(0.001, 0.02),
            diffusivity_m2_s=10.0 ** rng.uniform(-11, -9),
        )
        steps = [
            Step(p * 100.0, one.warm_Pa, t, bool(o))
            for p, t, o in zip(
                rng.uniform(40, 900, 3), rng.uniform(10, 2000, 3), rng.random(3) < 0.5, strict=True
            )
        ]
        if rng.random() < 0.3:
            steps[1] = Step(0.8 * one.warm_Pa, one.warm_Pa, 300.0)
        is_that_of_plain_floats(one.gas, steps)


def test_warmth_an_initiators_gas_and_moved_vapour_are_those_of_plain_floats():
    rng = np.random.default_rng(13)
    here = job(POLYESTER, 24, 0.5, 300)
    for i in range(80):
        one = here.but(
            air_Pa=rng.uniform(1e3, 98e3),
            entrained=rng.uniform(0.001, 0.02),
            diffusivity_m2_s=10.0 ** rng.uniform(-11, -9),
            initiator_gas=rng.choice([0.0, rng.uniform(0.02, 0.3)]),
            initiator_half_time_s=rng.uniform(100.0, 2000.0),
            cup_s=rng.uniform(0.0, 1500.0),
            vapour_moved=rng.uniform(0.0, 1.0),
        )
        warm = 1.0 + 0.05 * i / 80.0
        steps = [
            Step(p * 100.0, v * one.warm_Pa, t, bool(o), warm**k, 1.3 * v * one.warm_Pa)
            for k, (p, v, t, o) in enumerate(
                zip(
                    rng.uniform(100, 900, 3), (1.0, 1.1, 1.2), rng.uniform(10, 2000, 3),
                    rng.random(3) < 0.6, strict=True,
                )
            )
        ]  # fmt: skip
        is_that_of_plain_floats(one.gas, steps)


def test_cases_with_and_without_an_initiators_gas_do_not_mix():
    here = job(POLYESTER, 24, 0.5, 300)
    half = dict(initiator_half_time_s=480.0, cup_s=300.0)
    both = here.but(initiator_gas=np.array([0.0, 0.1]), **half)
    found = run(both.gas, both.after(90)(np.array(40e3)))
    for i, gas in enumerate((0.0, 0.1)):
        one = here.but(initiator_gas=gas, **half)
        alone = run(one.gas, one.after(90)(np.array(40e3)))
        assert float(found.gas_per_resin[i]) == pytest.approx(float(alone.gas_per_resin))
        assert float(found.left_Pa[i]) == pytest.approx(float(alone.left_Pa))


def test_where_nothing_is_told_of_an_initiator_there_is_none_and_vapour_stays_where_it_is():
    gas = Gas(
        **{f.name: getattr(job(POLYESTER, 24, 0.5, 300).gas, f.name)
           for f in dataclasses.fields(Gas) if f.default is dataclasses.MISSING}
    )  # fmt: skip
    assert (gas.initiator_gas, gas.cup_s, gas.vapour_moved) == (0.0, 0.0, 0.0)
    assert math.isinf(gas.initiator_half_time_s)
    step = Step(5e4, 2e3, 60.0)
    assert (step.path_open, step.expansion, step.vapour_high_Pa) == (True, 1.0, None)


def test_a_step_cut_in_two_is_one_step(hot_shop):
    gas, p_v = hot_shop.gas, hot_shop.warm_Pa
    whole = run(gas, [Step(5e4, p_v, 900.0, expansion=1.01)])
    cut = run(gas, [Step(5e4, p_v, 300.0, expansion=1.01), Step(5e4, p_v, 600.0, expansion=1.01)])
    assert float(cut.gas_per_resin) == pytest.approx(float(whole.gas_per_resin), rel=1e-12)
    assert float(cut.left_Pa) == pytest.approx(float(whole.left_Pa), rel=1e-12)
    for other in (
        Step(4.9e4, p_v, 600.0, expansion=1.01),
        Step(5e4, 1.2 * p_v, 600.0, expansion=1.01),
        Step(5e4, p_v, 600.0, expansion=1.02),
        Step(5e4, p_v, 600.0, path_open=False, expansion=1.01),
    ):
        first = Step(5e4, p_v, 300.0, expansion=1.01)
        found = run(gas, [first, other])
        V, _, G = reference(gas, [first, other])
        assert float(found.gas_per_resin) == pytest.approx(V, rel=1e-9)
        assert float(found.left_Pa) == pytest.approx(G, rel=1e-9)


def test_resin_at_rest_in_open_air_frees_nothing():
    here = job(POLYESTER, 20, 0.5, 0, entrained=0.0)
    still = Step(here.barometer, here.now_Pa, 3600.0)
    assert bool(run(here.gas, [still]).dissolved)


def test_a_long_closed_cell_ends_at_its_equilibrium():
    here = job(POLYESTER, 20, 0.5, 0)
    steps = [Step(400e2, here.now_Pa, 1e9, False, expansion=1.2)]
    G, x = start(here.gas).total_Pa, 400e2 - here.now_Pa
    found = float(run(here.gas, steps).gas_per_resin)
    assert found == pytest.approx(1.2 * G / x - here.gas.solubility, rel=1e-9)


def test_boiling_froths_without_limit_only_where_no_gas_can_leave(hot_shop):
    course = [hot_shop.hold(2000.0, path_open=np.array([True, False]))]
    found = run(hot_shop.gas, course)
    assert found.frothed.tolist() == [False, True]
    assert found.void_fraction(0.45)[1] == 1.0
    assert found.void_fraction(0.45)[0] < 0.1
    assert np.isinf(found.optical_depth(0.45, 1e-3)[1])
    later = history(hot_shop.gas, [*course, hot_shop.hold(90e3, 60.0)])[-1]
    assert later.boiled.all()
    assert later.frothed.tolist() == [False, True]
    assert np.isfinite(later.gas_per_resin).all()


def test_gas_of_the_initiator_closes_the_window_of_vinyl_ester():
    ordinary, time = table("gas.toml")["initiator"]["ordinary"], table("gas.toml")["time"]
    gas, half = si(ordinary["gas"]), si(ordinary["half_time"])
    quiet = job(VINYL_ESTER, 22, 0.50, 0)
    fizzing = quiet.but(
        initiator_gas=gas[0], initiator_half_time_s=half[0], cup_s=si(time["cup"])[0]
    )
    moves = {**quiet.moves, "initiator_gas": gas[1:], "initiator_half_time_s": half[1:]}
    args = (quiet.after(90), WET["structural"], quiet.barometer)
    found = limit_95(KnownGas(fizzing.gas, moves), *args)
    assert mbar(found)[0] == pytest.approx(444, rel=WITHIN)
    assert found.safe > quiet.barometer - 340e2
    rested = fizzing.but(cup_s=3600.0)
    assert float(limit(rested.gas, *args)) == pytest.approx(
        float(limit(quiet.gas, *args)), rel=0.01
    )
    straight = run(fizzing.gas, [fizzing.hold(500e2)])
    assert float(straight.void_fraction(0.45)) == pytest.approx(0.034, rel=WITHIN)


def test_what_is_held_after_a_debulk_is_expected_to_hold_at_most_one_and_a_half_per_cent():
    here = job(POLYESTER, 22, 0.50, 20)
    at = np.array([550e2, 650e2])
    found = expected_voids(here.known, here.after(90), 0.45, at, here.barometer)
    assert found.nominal.tolist() == [0.0, 0.0]
    assert found.high[0] < 0.0155
    assert found.high[1] < found.high[0]


def test_looks_change_at_the_depths_of_the_table(hot_shop):
    words = table("gas.toml")["look"]
    clear, milky = si(words["clear"])[0], si(words["milky"])[0]
    p = np.array([900e2, 400e2, 60e2])
    depth = run(hot_shop.gas, [hot_shop.hold(p)]).optical_depth(0.45, 1e-3)
    assert look(depth, clear, milky).tolist() == ["clear", "hazy", "milky"]
    assert str(look(clear, clear, milky)) == "hazy"


def test_void_fractions_are_per_laminate_not_per_resin():
    assert float(void_fraction(0.1, 0.0)) == pytest.approx(1.0 / 11.0)
    assert float(void_fraction(0.1, 0.5)) == pytest.approx(0.05 / 1.05)
    assert float(void_fraction(np.inf, 0.5)) == 1.0


@pytest.mark.parametrize("early_vapour", [2000.0, 2400.0])
def test_a_step_looked_at_under_many_pressures_is_that_step_taken_at_each(hot_shop, early_vapour):
    """Also at the pressure of the step before it, where it goes on as that one."""
    gas = hot_shop.gas
    so_far, _ = gone_on(gas, begun(gas), Step(9000.0, early_vapour, 600.0))
    pressures = np.array([1500.0, 9000.0, 40e3, 95e3])  # the first boils
    found = ahead(gas, so_far, Step(0.0, 2400.0, 1200.0)).held(pressures)
    for i, pressure in enumerate(pressures):
        _, taken = gone_on(gas, so_far, Step(float(pressure), 2400.0, 1200.0))
        assert found.gas_per_resin[i] == pytest.approx(float(taken.gas_per_resin), rel=1e-12)
        assert found.nuclei[i] == pytest.approx(float(taken.nuclei), rel=1e-12)


@pytest.mark.parametrize("over", [1.0001, 1.001, 1.01, 1.05, 1.2])
def test_a_bubble_in_nearly_saturated_resin_dissolves_by_the_least_drive(over):
    here = job(POLYESTER, 24, 0.5, 300, air_Pa=60e3)
    for t in (60.0, 600.0, 6000.0):
        steps = [Step(over * 60e3 + here.warm_Pa, here.warm_Pa, t, False)]
        V, _, _ = reference(here.gas, steps)
        assert float(run(here.gas, steps).gas_per_resin) == pytest.approx(V, rel=1e-9, abs=1e-12)


def test_no_more_pockets_open_than_there_are(hot_shop):
    """Resin that took in air under pressure is more than one atmosphere over its bag."""
    pressed = hot_shop.but(air_Pa=250e3)
    found = run(pressed.gas, [pressed.hold(5e3)])
    every = start(pressed.gas).nuclei + 3.0 / (4.0 * math.pi * pressed.gas.spacing_m**3)
    assert float(found.nuclei) == pytest.approx(float(every))
