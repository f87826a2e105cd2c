"""How deep the gas lets a bag go: limits, their safe side, the voids expected."""

import dataclasses

import numpy as np
import pytest
from gas_cases import better_course, job, limit_95, targets
from scipy.optimize import brentq

from outgas.laminate.gas.balance import run
from outgas.laminate.gas.joint import KnownGas
from outgas.laminate.gas.limits import (
    CLOSE_PA,
    Target,
    _crossing,
    expected_depth,
    expected_voids,
    highest_failing,
    limit,
    safe_side,
    scanned,
    varied,
)

POLYESTER, EPOXY = "orthophthalic-polyester", "epoxy-infusion"
WET = targets(0.45)
WITHIN = 0.02


@pytest.fixture(scope="module")
def hot_shop():
    return job(POLYESTER, 26, 0.60, 20)


def safe_of(here, course, finish):
    return limit_95(here.known, course, WET[finish], here.barometer).safe


def test_the_high_voids_at_the_safe_limit_are_the_target(hot_shop):
    for here in (hot_shop, hot_shop.but(air_Pa=30e3), job(EPOXY, 22, 0.5, 1500)):
        for course in (here.straight(), here.after(90)):
            safe = limit_95(here.known, course, WET["structural"], here.barometer).safe
            found = expected_voids(here.known, course, 0.45, safe, here.barometer)
            assert float(found.high) == pytest.approx(0.02, rel=2e-3)
            assert found.low <= found.nominal <= found.high


def test_the_high_depth_at_the_safe_limit_is_the_target(hot_shop):
    here, clear = hot_shop, WET["clear"]
    safe = limit_95(here.known, here.after(90), clear, here.barometer).safe
    found = expected_depth(here.known, here.after(90), clear, safe, here.barometer)
    assert float(found.high) == pytest.approx(0.3, rel=0.02)


def test_a_target_that_fails_at_the_barometer_needs_a_press():
    here = job(POLYESTER, 22, 0.5, 0, entrained=0.06)
    found = limit_95(here.known, here.straight(), WET["structural"], here.barometer)
    assert np.isinf(found.nominal)
    assert np.isinf(found.safe)

    def pressed(p):
        return [here.hold(p + 300e3)]

    found = limit_95(here.known, pressed, WET["structural"], here.barometer)
    assert float(found.nominal) == 0.0  # four atmospheres on it: no vacuum makes it fail


def test_the_vapour_is_moved_with_the_rest_and_nothing_is_subtracted(hot_shop):
    course, target = hot_shop.after(90), WET["structural"]
    dry = limit_95(KnownGas(hot_shop.gas, {}), course, target, hot_shop.barometer)
    hot = hot_shop.but(vapour_moved=1.0)
    assert float(dry.safe) == pytest.approx(
        float(limit(hot.gas, course, target, hot_shop.barometer)),
        rel=2e-3,  # the draws are a little stricter than the one end
    )
    assert dry.safe > dry.nominal + 5e2
    half = hot_shop.but(air_Pa=300e2)  # there either end of the diffusivity lowers the limit
    found = limit_95(half.known, course, target, half.barometer)
    assert float(found.moved["diffusivity_m2_s"]) < -10e2
    risen = [max(float(by), 0.0) for by in found.moved.values()]
    assert float(found.safe - found.nominal) == pytest.approx(np.linalg.norm(risen))


def test_limits_of_many_cases_are_those_of_each(hot_shop):
    air = np.array([5e3, 40e3, hot_shop.gas.air_Pa])
    many = hot_shop.but(air_Pa=air)
    args = (hot_shop.after(90), WET["clear"], hot_shop.barometer)
    together = limit_95(many.known, *args)
    for i, each in enumerate(air):
        alone = limit_95(hot_shop.but(air_Pa=each).known, *args)
        assert float(together.safe[i]) == pytest.approx(float(alone.safe), rel=1e-3)
        assert float(together.moved["connected"][i]) == pytest.approx(
            float(alone.moved["connected"]), rel=1e-2, abs=20.0
        )


def test_a_shallow_debulk_leaves_big_bubbles_and_is_not_advised(hot_shop):
    def advised(mbar):
        courses = hot_shop.straight(), hot_shop.after(mbar)
        args = (*courses, WET["structural"], hot_shop.barometer)
        return better_course(hot_shop.known, *args)

    shallow, deep = advised(600), advised(90)
    assert not shallow.debulk
    assert safe_of(hot_shop, hot_shop.after(600), "structural") > shallow.safe
    assert float(shallow.safe) / 100.0 == pytest.approx(836, rel=WITHIN)
    assert deep.debulk
    assert float(deep.safe) / 100.0 == pytest.approx(516, rel=WITHIN)


def test_the_limit_of_a_shut_cell_held_long_is_that_of_the_gas_law(hot_shop):
    """By hand: of V per resin allowed, all air G is at x = G / (V + L), under the vapour."""
    g = hot_shop.gas
    allowed = 0.02 / (0.98 * (1.0 - 0.45))
    air = g.entrained * (g.mixed_Pa - g.mixed_vapour_Pa) + g.solubility * g.air_Pa
    by_hand = hot_shop.warm_Pa + air / (allowed + g.solubility)
    held = hot_shop.straight(minutes=1e5, path_open=False)
    found = float(limit(g, held, WET["structural"], hot_shop.barometer))
    assert found == pytest.approx(by_hand, abs=1e-4 * hot_shop.barometer)
    assert found >= by_hand - 1e-3  # what is returned passes


def test_a_limit_is_where_a_root_finder_has_it(hot_shop):
    for finish, target in WET.items():
        for course in (hot_shop.straight(), hot_shop.after(90)):

            def over(p, course=course, target=target):
                return float(target.excess(run(hot_shop.gas, course(np.asarray(p))))) - 1.0

            found = float(limit(hot_shop.gas, course, target, hot_shop.barometer))
            root = brentq(over, found - 30e2, found + 30e2, xtol=0.1)
            assert root - 0.1 <= found <= root + 1.0, finish


def test_the_look_below_a_failure_is_never_called_safe():
    """Two failures: of the voids high up, and of a froth far below; the upper one counts."""

    class Bumpy(Target):
        def excess(self, outcome):
            return np.where(np.abs(outcome - 600e2) < 20e2, 2.0, np.where(outcome < 50e2, 2.0, 0.0))

    import outgas.laminate.gas.limits as module

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "run", lambda gas, steps: steps)
        found = float(limit(None, lambda p: p, Bumpy(fibre_fraction=0.0), 1000e2))
    assert 620e2 <= found < 620e2 + 10.0


def test_each_number_moves_alone_to_each_of_its_ends(hot_shop):
    moves = {"trapped": (0.01, 0.03), "solubility": (0.06, 0.14)}
    rows = varied(hot_shop.gas, moves, ())
    now = hot_shop.gas.trapped, hot_shop.gas.solubility
    assert rows.trapped.tolist() == [now[0], 0.01, 0.03, now[0], now[0]]
    assert rows.solubility.tolist() == [now[1], now[1], now[1], 0.06, 0.14]
    assert rows.connected == hot_shop.gas.connected


def test_a_target_of_both_fails_by_the_one_reached_first(hot_shop):
    outcome = run(hot_shop.gas, [hot_shop.hold(200e2)])
    voids = float(outcome.void_fraction(0.45))
    deep = float(outcome.optical_depth(0.45, 2e-3))

    def excess(void, depth):
        target = Target(fibre_fraction=0.45, thickness_m=2e-3, void=void, depth=depth)
        return float(target.excess(outcome))

    assert excess(voids / 3.0, deep / 2.0) == pytest.approx(3.0)
    assert excess(voids / 2.0, deep / 5.0) == pytest.approx(5.0)
    assert excess(voids / 3.0, np.inf) == pytest.approx(3.0)


def test_the_low_end_takes_away_the_root_of_squares_of_what_each_number_takes(hot_shop):
    at, moves, shut = 400e2, hot_shop.moves, hot_shop.straight(path_open=False)
    found = expected_voids(KnownGas(hot_shop.gas, moves), shut, 0.45, at, hot_shop.barometer)

    def voids(**changes):
        moved = dataclasses.replace(hot_shop.gas, **changes)
        return float(run(moved, shut(np.asarray(at))).void_fraction(0.45))

    nominal = voids()
    less = [
        max(0.0, nominal - min(voids(**{name: end}) for end in ends))
        for name, ends in {**moves, "vapour_moved": (0.0, 1.0)}.items()
    ]
    assert sum(x > 0.001 for x in less) >= 2
    assert float(found.nominal) == pytest.approx(nominal)
    assert float(found.low) == pytest.approx(max(0.0, nominal - np.linalg.norm(less)))


# How a limit is found ---------------------------------------------------------------------------

AIR = 101325.0
SHAPES = {  # excess at a pressure, where it is one, and in how many looks it is found now
    "as one over p": (lambda p: 4e4 / np.maximum(p, 1.0), 4e4, 3),
    "steep": (lambda p: (4e4 / np.maximum(p, 1.0)) ** 4, 4e4, 3),
    "flat": (lambda p: (4e4 / np.maximum(p, 1.0)) ** 0.3, 4e4, 3),
    "a jump": (lambda p: np.where(p < 31234.56, 50.0, 0.2), 31234.56, 7),
    "a jump by a hair": (lambda p: np.where(p < 31234.56, 1.0, 0.999), 31234.56, 8),
    "a kink": (
        lambda p: np.where(p < 4e4, 1.0 + (4e4 - p) / 400.0, 1.0 - (p - 4e4) / 1e7),
        4e4,
        8,
    ),
    "near the air": (lambda p: 1.0 + (101320.0 - p) / 1e4, 101320.0, 2),
    "very deep": (lambda p: 30.0 / np.maximum(p, 1.0), 30.0, 3),
}


def found_of(excess, highest=AIR):
    looks = []

    def looked(pressure):
        looks.append(pressure)
        return excess(pressure)

    scan = scanned(np.array([highest]), (1,))
    return float(highest_failing(scan, excess(scan), looked)[0]), looks


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_a_limit_is_found_from_above_to_a_fiftieth_of_a_pascal_in_few_looks(name):
    """Each look runs the balance of every row: as many as it takes now, and no more."""
    excess, root, most = SHAPES[name]
    found, looks = found_of(excess)
    assert 0.0 <= found - root <= CLOSE_PA
    assert len(looks) <= most
    scan = scanned(AIR, ())
    above, below = scan[scan >= root].min(), scan[scan < root].max()
    for pressures in looks:
        assert (np.diff(pressures, axis=0) <= 0.0).all()  # each look falls, as the first does
        assert below <= pressures.min() <= pressures.max() <= above
        fails = excess(pressures) >= 1.0
        above = min(above, pressures[~fails].min(initial=above))
        below = max(below, pressures[fails].max(initial=below))


def test_the_highest_of_several_failures_is_the_limit():
    def excess(p):
        return np.where((p > 60000.0) & (p < 70000.0), 2.0, np.where(p < 20000.0, 3.0, 0.1))

    assert found_of(excess)[0] == pytest.approx(70000.0, abs=CLOSE_PA)


def test_what_never_fails_has_no_limit_and_what_always_does_needs_a_press():
    assert found_of(lambda p: np.full_like(p, 0.5)) == (0.0, [])
    assert found_of(lambda p: np.full_like(p, 1.0)) == (np.inf, [])


def test_the_first_look_is_closer_together_the_deeper_and_begins_at_the_air():
    scan = scanned(AIR, ())
    assert scan[0] == AIR
    assert scan[-1] > 0.0
    assert (np.diff(scan) < 0.0).all()
    assert (np.diff(np.diff(scan)) > 0.0).all()
    assert scan[-1] < 1e-3 * AIR
    assert len(scan) == 64


@pytest.mark.parametrize(
    ("value", "wanted"), [(0.5, 75000.0), (0.0, 1e5), (1.0, 50000.0), (1.5, 25000.0), (3.0, 0.0)]
)
def test_a_value_of_a_curve_is_crossed_on_the_straight_line_between_its_points(value, wanted):
    pressures = np.array([[1e5], [5e4], [0.0]])
    curves = np.array([[0.0], [1.0], [2.0]])
    assert _crossing(pressures, curves, np.array([value]))[0] == pytest.approx(wanted)


def test_a_curve_that_is_over_a_value_from_the_start_crosses_it_at_the_start():
    pressures = np.array([[1e5], [5e4]])
    assert _crossing(pressures, np.array([[2.0], [2.0]]), np.array([1.0]))[0] == 1e5
    assert _crossing(pressures, np.array([[1.0], [1.0]]), np.array([1.0]))[0] == 1e5
    rising = _crossing(pressures, np.array([[0.5], [1.5]]), np.array([1.0]))[0]
    assert rising == pytest.approx(75000.0)


# The safe side -----------------------------------------------------------------------------------


def test_the_safe_side_adds_what_is_worse_as_the_root_of_squares_and_subtracts_nothing():
    nominal = np.array([40000.0])
    worst = np.array([[43000.0], [44000.0], [30000.0]])
    same, safe, by = safe_side(nominal, worst)
    assert same is nominal
    assert safe[0] == pytest.approx(45000.0)
    assert by[:, 0].tolist() == [3000.0, 4000.0, -10000.0]
    none = np.array([np.inf])
    assert np.isinf(safe_side(none, worst)[1][0])
    assert (safe_side(none, worst)[2] == 0.0).all()
    assert np.isinf(safe_side(nominal, np.array([[np.inf], [4e4]]))[1][0])


def test_a_target_of_depth_alone_or_of_voids_alone_is_reached_by_its_own_measure(hot_shop):
    held = run(hot_shop.gas, hot_shop.straight()(np.array(50000.0)))
    voids = float(held.void_fraction(0.45))
    depth = float(held.optical_depth(0.45, 2e-3))
    assert voids > 0.0
    both = Target(fibre_fraction=0.45, thickness_m=2e-3, void=0.5 * voids, depth=0.25 * depth)
    assert float(both.excess(held)) == pytest.approx(4.0)
    for name, target in (
        ("voids", Target(fibre_fraction=0.45, void=0.5 * voids)),
        ("depth", Target(fibre_fraction=0.45, thickness_m=2e-3, depth=0.5 * depth)),
    ):
        assert float(target.excess(held)) == pytest.approx(2.0), name


def test_what_is_expected_at_many_pressures_is_that_of_each(hot_shop):
    at = np.array([30e3, 60e3, 90e3])
    course, most = hot_shop.after(90), hot_shop.barometer
    together = expected_voids(hot_shop.known, course, 0.45, at, most)
    for i, p in enumerate(at):
        alone = expected_voids(hot_shop.known, course, 0.45, p, most)
        for end in ("low", "nominal", "high"):
            assert getattr(together, end)[i] == pytest.approx(float(getattr(alone, end)), rel=1e-6)


def test_a_laminate_of_no_stated_thickness_is_a_millimetre_thick(hot_shop):
    held = run(hot_shop.gas, hot_shop.straight()(np.array(50000.0)))
    plain, said = (
        Target(fibre_fraction=0.45, depth=0.3, **more) for more in ({}, {"thickness_m": 1e-3})
    )
    assert float(plain.excess(held)) == float(said.excess(held))


@pytest.mark.parametrize("air", [1e3, 2e3, 5e3])
def test_the_high_voids_are_as_close_to_the_target_at_deep_limits(hot_shop, air):
    here = hot_shop.but(air_Pa=air, entrained=0.0005)
    dry = dataclasses.replace(here, now_Pa=200.0, warm_Pa=300.0, high_Pa=350.0)
    course = dry.straight()
    safe = limit_95(dry.known, course, WET["structural"], dry.barometer).safe
    assert float(safe) < 21e3
    found = expected_voids(dry.known, course, 0.45, safe, dry.barometer)
    assert float(found.high) == pytest.approx(0.02, rel=2e-3)
