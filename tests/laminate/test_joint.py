"""All numbers of a gas moved at once: how far each goes, which draw counts, and how it is found."""

import dataclasses
import math

import numpy as np
import pytest
from gas_cases import job
from scipy.stats import norm

from outgas.laminate.gas import joint as module
from outgas.laminate.gas.joint import (
    JOINT,
    KnownGas,
    Shown,
    along,
    draws_of,
    fails_by,
    joint,
    may_fail,
    raised,
    worst_of,
)
from outgas.physics.chance import Band

Z95 = 1.959963984540054
WIDE = {  # name: nominal, ends; wider than the tables', so that what a number can be is met
    "trapped": (0.2, 0.05, 0.9), "boiling_extra": (0.2, 0.05, 0.9), "connected": (0.9, 0.2, 1.4),
    "entrained": (0.005, 0.001, 0.02), "air_Pa": (9e4, 5e4, 9.9e4),
    "initiator_gas": (0.1, 0.0, 0.3),
    "vapour_moved": (0.0, 0.0, 1.0), "solubility": (0.1, 0.06, 0.14), "exponent": (5.0, 3.0, 7.0),
    "diffusivity_m2_s": (1e-10, 1e-11, 1e-9), "spacing_m": (1e-4, 5e-5, 2.5e-4),
    "entrained_radius_m": (2e-4, 1e-4, 4e-4), "initiator_half_time_s": (480.0, 180.0, 1200.0),
}  # fmt: skip


def wide(k=1.0, names=WIDE):
    """A gas of which every number is as unsure as above."""
    gas = dataclasses.replace(
        job("orthophthalic-polyester", 22.0, 0.5, 0.0).known.gas,
        **{name: WIDE[name][0] for name in names},
    )
    return KnownGas(gas, {name: WIDE[name][1:] for name in names if name != "vapour_moved"}, k)


# How far each number goes -----------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(module.HARM))
def test_what_can_harm_on_one_side_is_moved_to_that_side_alone(name):
    nominal, low, _ = WIDE[name]
    drawn = draws_of(wide(), name)
    at_rest = np.isclose(drawn, nominal, rtol=1e-12, atol=1e-12)
    assert at_rest.sum() == pytest.approx(JOINT / 2, abs=2)
    if name == "connected":
        assert (drawn <= nominal).all()
        assert drawn.min() < low
    else:
        assert (drawn >= nominal).all()


@pytest.mark.parametrize(
    ("name", "most"), [("trapped", 0.5), ("boiling_extra", 0.5), ("connected", 1.0)]
)
def test_no_draw_is_more_than_there_can_be(name, most):
    """Half of the resin's space for gas that stays, all gas for gas that leaves."""
    drawn = draws_of(wide(), name)
    assert drawn.max() <= most
    if name != "connected":
        assert (drawn == most).sum() > 5
    lifted = along((0.9, 0.8, 1.4), np.array([3.0]), least=0.0, most=1.0)
    assert lifted == 1.0


@pytest.mark.parametrize("name", sorted(set(WIDE) - set(module.HARM)))
def test_either_side_of_a_number_is_a_half_bell_that_has_its_end_at_95_per_cent(name):
    nominal, low, high = WIDE[name]
    drawn = np.sort(draws_of(wide(), name))
    assert (drawn > 0.0).all()
    assert float(np.median(drawn)) == pytest.approx(nominal, rel=1e-6)
    beyond = [(drawn < low).sum(), (drawn > high).sum()]
    assert beyond == [pytest.approx(0.025 * JOINT, abs=1.0)] * 2
    way = norm.ppf((np.arange(JOINT) + 0.5) / JOINT) / Z95
    end = np.where(way > 0.0, high, low)
    if name in ("diffusivity_m2_s", "spacing_m", "entrained_radius_m", "initiator_half_time_s"):
        wanted = nominal * (end / nominal) ** np.abs(way)  # known to a factor
    else:
        wanted = np.maximum(nominal + np.abs(way) * (end - nominal), 0.0)
    assert drawn == pytest.approx(wanted, rel=1e-5)


def test_surer_draws_are_those_of_ends_that_lie_further_out():
    """k half-widths to an end: the same number, told at another confidence."""
    one, two = draws_of(wide(1.0), "solubility"), draws_of(wide(2.0), "solubility")
    assert two - 0.1 == pytest.approx(0.5 * (one - 0.1), rel=1e-9)


def test_no_two_numbers_are_drawn_alike_and_none_leans_on_another():
    ways = {name: draws_of(wide(), name) for name in WIDE if name not in module.HARM}
    names = sorted(ways)
    for i, a in enumerate(names):
        for b in names[:i]:
            ranks = [np.argsort(np.argsort(ways[x])) for x in (a, b)]
            assert abs(np.corrcoef(*ranks)[0, 1]) < 0.15


def test_a_number_that_is_not_moved_stands_where_it_is():
    known = wide(names=["solubility"])
    assert (draws_of(known, "trapped") == known.gas.trapped).all()
    assert known.band("trapped") == Band.exact(known.gas.trapped)
    assert known.band("solubility") == Band(0.1, 0.06, 0.14)
    assert set(known.moves) == {"solubility", "vapour_moved"}


def test_draws_stand_before_the_shape_of_a_case():
    drawn = joint(wide(), (3,))
    assert drawn.solubility.shape == (JOINT, 1)
    assert joint(wide()).solubility.shape == (JOINT,)


# Which draw counts -------------------------------------------------------------------------------


@pytest.mark.parametrize("k", [0.5, 1.0, 1.31])
def test_as_many_draws_may_fail_as_the_confidence_leaves_and_a_little_fewer(k):
    beyond = 2.0 * norm.sf(k * Z95)
    assert may_fail(k) == math.floor(0.85 * beyond * JOINT)
    assert isinstance(may_fail(k), int)


def test_the_draw_that_counts_is_the_mean_of_itself_and_two_on_either_side():
    drawn = np.arange(JOINT, dtype=float)[:, None]
    at = JOINT - 1 - 8
    wanted = np.mean([(e - 1.0) / (e + 1.0) for e in range(at - 2, at + 3)])
    assert fails_by(drawn, 8)[0] == pytest.approx(wanted)
    one = np.mean([(e - 1.0) / (e + 1.0) for e in range(JOINT - 3, JOINT)])  # one to spare
    assert fails_by(drawn, 1)[0] == pytest.approx(one)
    assert fails_by(drawn, 0)[0] == pytest.approx((JOINT - 2.0) / JOINT)


def test_one_that_fails_without_end_counts_as_one_alone():
    drawn = np.full((JOINT, 1), 0.5)
    drawn[:9] = np.inf  # the worst that counts and two beyond; those under it are a third short
    assert fails_by(drawn, 8)[0] == pytest.approx((3.0 - 2.0 / 3.0) / 5.0)
    assert fails_by(np.full((JOINT, 1), np.inf), 8)[0] == pytest.approx(1.0, abs=1e-8)
    assert fails_by(np.zeros((JOINT, 1)), 8)[0] == -1.0


@pytest.mark.parametrize("spare", [0, 1, 8])
def test_the_value_that_is_just_reached_would_fail_as_a_target(spare):
    drawn = np.geomspace(1e-4, 0.3, JOINT)[:, None]
    value = float(worst_of(drawn, spare)[0])
    assert fails_by(drawn / value, spare)[0] == pytest.approx(0.0, abs=1e-9)
    assert fails_by(drawn / (1.001 * value), spare)[0] < 0.0


# How a limit is found ---------------------------------------------------------------------------


def looked(safe, root, *, power=1.0, jump=False, most=2e5):
    """The limit found from one that is too deep, and how often all draws were reckoned for it."""
    looks = []

    def excess(pressure):
        looks.append(pressure)
        if jump:
            e = np.where(pressure < root, 50.0, 0.2)
        else:
            e = (root / np.maximum(pressure, 1e-9)) ** power
        return np.broadcast_to(e, (JOINT, *np.shape(pressure)))

    found = raised(np.array([safe]), excess, np.array([10]), np.array([most]))
    return float(found[0]), len(looks)


@pytest.mark.parametrize(
    ("times", "power", "looks"),
    [(1.001, 1, 4), (1.05, 1, 10), (1.05, 3, 10), (1.5, 2, 12), (3.0, 1, 14), (3.0, 4, 13)],
)
def test_a_smooth_limit_is_found_to_a_pascal_and_from_above_in_few_looks(times, power, looks):
    """Each look reckons 257 draws: as many as it takes now, and no more."""
    found, took = looked(20000.0, 20000.0 * times, power=power)
    assert 0.0 <= found - 20000.0 * times <= 1.0
    assert took <= looks


def test_a_limit_at_a_jump_is_found_by_halves():
    found, took = looked(20000.0, 31234.0, jump=True)
    assert 0.0 <= found - 31234.0 <= 1.0
    assert took <= 21


def test_a_limit_of_nothing_is_raised_too_and_one_beyond_all_pressure_is_none():
    found, took = looked(0.0, 5000.0)
    assert found == pytest.approx(5000.0, abs=1.0)
    assert took <= 15
    found, took = looked(20000.0, 9e5)
    assert np.isinf(found)
    assert took <= 6


def test_the_highest_pressure_itself_may_pass():
    assert looked(20000.0, 2e5 - 1.0)[0] == pytest.approx(2e5 - 1.0, abs=1.0)
    assert np.isinf(looked(20000.0, 2e5 + 1.0)[0])


def test_limits_beside_each_other_are_found_as_each_alone():
    roots = np.array([20000.0, 31000.0, 5e5, 15000.0])

    def excess(pressure):
        return np.broadcast_to(roots / pressure, (JOINT, 4))

    safe = np.array([19000.0, 19000.0, 19000.0, 19000.0])
    found = raised(safe, excess, np.full(4, 10), np.full(4, 2e5))
    for i, root in enumerate(roots):
        alone = looked(19000.0, root)[0]
        assert found[i] == pytest.approx(max(alone, 19000.0), abs=1e-6)
    none = np.array([np.inf])
    assert np.isinf(raised(none, lambda p: np.full((JOINT, 1), 0.1), np.array([10]), 2e5)[0])


def test_a_number_is_moved_along_a_line_unless_it_is_known_to_a_factor():
    way = np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
    assert along((0.1, 0.06, 0.14), way) == pytest.approx([0.02, 0.06, 0.1, 0.14, 0.18])
    assert along((0.1, 0.05, 0.2), way, factor=True) == pytest.approx([0.025, 0.05, 0.1, 0.2, 0.4])
    assert along((0.1, 0.02, 0.14), np.array([-3.0]), least=0.0) == 0.0


def test_ends_are_those_of_95_per_cent_where_nothing_else_is_said():
    gas = wide().gas
    assert KnownGas(gas, {}).k == 1.0
    assert draws_of(KnownGas(gas, {"solubility": (0.06, 0.14)}), "solubility") == pytest.approx(
        draws_of(wide(1.0, ["solubility"]), "solubility")
    )


@pytest.mark.parametrize(
    ("early", "air", "borne"),
    [
        (9000.0, 1e5, 5e4),
        (9000.0, 1.049e5, 5e4),  # as good as the same air
        (9000.0, 1.051e5, np.inf),  # it held more air than any panel that came out well
        (9000.0, 2e4, 4e4),
        (6501.0, 2e4, 4e4),
        (11499.0, 2e4, 4e4),
        (11501.0, 2e4, np.inf),  # a debulk weaker than that panel's takes out less
        (None, 1e5, 6e4),
        (None, 2e5, np.inf),
    ],
)
def test_a_good_panel_bears_out_a_job_of_no_more_air_and_no_weaker_a_debulk(early, air, borne):
    good = ((5e4, 9000.0, 1e5), (4e4, 9000.0, 2e4), (6e4, None, 1e5))
    shown = Shown({}, np.ones(JOINT), np.ones(JOINT), wide(), good)
    assert shown.borne(early, air) == borne


@pytest.mark.parametrize("stands", [math.inf, 0.0])
def test_what_has_no_ends_of_its_own_stays_as_it_is_beside_what_has(stands):
    """A putty's cells have no end: among wet laminates its spacing is moved to where it stands."""
    way = np.linspace(-2.0, 2.0, 9)[:, None]
    nominal, low, high = (
        np.array([1e-3, stands]),
        np.array([5e-4, stands]),
        np.array([4e-3, stands]),
    )
    got = along((nominal, low, high), way, factor=True)
    assert got[:, 1] == pytest.approx([stands] * 9)
    assert got[:, 0] == pytest.approx(along((1e-3, 5e-4, 4e-3), way[:, 0], factor=True))
    assert got[0, 0] == pytest.approx(1e-3 / 4.0)  # twice as far as a half of it
    assert got[-1, 0] == pytest.approx(16e-3)
