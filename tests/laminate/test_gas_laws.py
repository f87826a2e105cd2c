"""What must hold of the gas balance for any resin, shop and numbers within their ranges."""

import dataclasses

import numpy as np
import pytest
from gas_cases import better_course, job, limit_95, targets
from hypothesis import assume, given
from hypothesis import strategies as st

from outgas.laminate.gas.balance import Step, history, run
from outgas.laminate.gas.limits import limit

RESINS = (
    "orthophthalic-polyester",
    "vinyl-toluene-polyester",
    "mma-polyester",
    "bisphenol-a-vinyl-ester",
    "epoxy-laminating",
    "epoxy-infusion",
)
MBAR = 100.0
FROTH = 0.6  # void fraction beyond which bubbles no longer hang singly in a laminate


shops = st.builds(
    job,
    st.sampled_from(RESINS),
    st.floats(15.0, 32.0),
    st.floats(0.2, 0.9),
    st.floats(0.0, 2800.0),
)


@st.composite
def jobs(draw, share=(0.0, 1.0)):
    """A job with every number drawn between its ends, degassed to a share of what it could hold."""
    here = draw(shops)
    between = st.floats(0.0, 1.0)
    moved = {
        name: float(low) ** (1.0 - z) * float(high) ** z
        for (name, (low, high)), z in ((item, draw(between)) for item in here.moves.items())
    }
    air = draw(st.floats(*share)) * here.gas.air_Pa
    return here.but(**moved, air_Pa=air)


pressures = st.floats(5.0, 1000.0)
minutes = st.floats(0.5, 90.0)


def steps_of(here, drawn):
    return [
        Step(min(p * MBAR, here.barometer), here.warm_Pa, t * 60.0, is_open)
        for p, t, is_open in drawn
    ]


several = st.lists(st.tuples(pressures, minutes, st.booleans()), min_size=1, max_size=4)


def closely(found, wanted, rel=1e-3):
    for name in ("gas_per_resin", "nuclei", "left_Pa"):
        a, b = float(getattr(found, name)), float(getattr(wanted, name))
        assert a == pytest.approx(b, rel=rel, abs=1e-9), name


@given(jobs(), minutes)
def test_with_the_path_shut_a_deeper_pull_never_holds_less_gas(here, t):
    p = np.linspace(here.barometer, 0.5 * here.warm_Pa, 200)
    V = run(here.gas, [here.hold(p, t, path_open=False)]).gas_per_resin
    before, after = V[:-1], V[1:]
    assert (after >= before * (1.0 - 1e-9) - 1e-12).all()


@given(jobs(), minutes, st.booleans(), st.floats(0.3, 0.65))
def test_optical_depth_never_falls_with_the_depth_of_a_straight_pull(here, t, is_open, fibres):
    p = np.linspace(here.barometer, 0.5 * here.warm_Pa, 200)
    found = run(here.gas, [here.hold(p, t, path_open=is_open)])
    depth = found.optical_depth(fibres, 1e-3)
    single = found.void_fraction(fibres) < FROTH
    depth = depth[: int(single.argmin()) or len(depth)]
    assert (depth[1:] >= depth[:-1] * (1.0 - 1e-9) - 1e-12).all()


@given(jobs(), several, st.integers(0, 3), st.floats(0.0, 1.0))
def test_cutting_a_step_in_two_changes_nothing(here, drawn, which, share):
    steps = steps_of(here, drawn)
    i = which % len(steps)
    first = dataclasses.replace(steps[i], duration_s=share * steps[i].duration_s)
    second = dataclasses.replace(steps[i], duration_s=(1.0 - share) * steps[i].duration_s)
    cut = [*steps[:i], first, second, *steps[i + 1 :]]
    fizzing = dataclasses.replace(here.gas, initiator_gas=0.1, initiator_half_time_s=480.0)
    for gas in (here.gas, fizzing):
        closely(run(gas, cut), run(gas, steps))


@given(jobs(), several)
def test_a_history_is_what_each_beginning_of_the_job_gives(here, drawn):
    steps = steps_of(here, [*drawn, drawn[-1]])
    for i, found in enumerate(history(here.gas, steps), start=1):
        closely(found, run(here.gas, steps[:i]), rel=1e-12)


@given(jobs(), several)
def test_air_is_never_made_and_free_air_never_exceeds_all_air(here, drawn):
    steps = steps_of(here, drawn)
    begun = here.gas.entrained * (here.barometer - here.now_Pa)
    left = begun + here.gas.solubility * here.gas.air_Pa
    for step, found in zip(steps, history(here.gas, steps), strict=True):
        assert 0.0 <= float(found.left_Pa) <= left * (1.0 + 1e-12)
        left = float(found.left_Pa)
        x = step.pressure_Pa - step.vapour_Pa
        if x > 0.0:
            assert float(found.gas_per_resin) * x <= left * (1.0 + 1e-9)


@given(jobs(), st.floats(0.3, 0.999), st.floats(1.0, 30.0), pressures)
def test_a_debulk_that_boils_is_worth_no_more_than_one_just_above_boiling(here, deep, t, p):
    assume(p * MBAR < here.barometer)
    cure = here.hold(max(p * MBAR, here.warm_Pa + 1.0))
    boils = Step(deep * here.now_Pa, here.now_Pa, t * 60.0)
    above = Step(here.now_Pa + 1e-3, here.now_Pa, t * 60.0)
    worse, better = (run(here.gas, [pull, cure]) for pull in (boils, above))
    assert float(worse.gas_per_resin) >= float(better.gas_per_resin) * (1.0 - 1e-3) - 1e-4
    assert worse.optical_depth(0.45, 1e-3) >= better.optical_depth(0.45, 1e-3) - 1e-3


@given(jobs(), several)
def test_nuclei_never_close_again(here, drawn):
    found = [float(each.nuclei) for each in history(here.gas, steps_of(here, drawn))]
    assert found == sorted(found)


@given(jobs(share=(1.0, 1.0)), st.sampled_from(["structural", "clear"]))
def test_the_less_air_is_left_the_deeper_a_straight_pull_may_go(here, finish):
    air = here.gas.air_Pa * np.linspace(0.0, 1.0, 21)
    straight = here.straight()
    found = limit(here.but(air_Pa=air).gas, straight, targets(0.45)[finish], here.barometer)
    found = np.minimum(found, 2.0 * here.barometer)
    assert (np.diff(found) >= -2e-4 * here.barometer).all()


@given(shops, st.floats(50.0, 200.0), st.sampled_from(["structural", "clear"]))
def test_degassed_resin_never_needs_a_shallower_bag_than_resin_as_stirred(here, mbar, finish):
    """With the numbers of the tables, by the advised limit.

    Between two shares of air it may: less air opens fewer pockets, and the bigger bubbles of a
    debulk redissolve more slowly.
    """
    many = here.but(air_Pa=here.gas.air_Pa * np.linspace(0.0, 1.0, 11))
    args = (here.straight(), here.after(mbar), targets(0.45)[finish], here.barometer)
    found = better_course(many.known, *args).safe
    assert (found[:-1] <= found[-1] + 2e-4 * here.barometer).all()  # less may run out


@given(jobs(share=(0.05, 1.0)), st.floats(20.0, 900.0), st.sampled_from(["structural", "clear"]))
def test_the_advised_limit_is_never_shallower_than_that_without_a_debulk(here, mbar, finish):
    target, pull = targets(0.45)[finish], min(mbar * MBAR, here.barometer) / MBAR
    args = (here.straight(), here.after(pull), target, here.barometer)
    advised = better_course(here.known, *args)
    courses = (here.straight(), here.after(pull))
    without, with_it = (
        limit_95(here.known, course, target, here.barometer).safe for course in courses
    )
    assert advised.safe <= without
    assert bool(advised.debulk) == bool(with_it < without)


@given(jobs(), st.floats(20.0, 300.0), st.sampled_from(["structural", "clear"]))
def test_the_target_holds_at_a_limit_and_fails_just_under_it(here, mbar, finish):
    target, course = targets(0.5)[finish], here.after(mbar)
    found = float(limit(here.gas, course, target, here.barometer))
    assume(0.0 < found < here.barometer)
    assert target.excess(run(here.gas, course(found))) < 1.0
    assert target.excess(run(here.gas, course(found - 1e-4 * here.barometer))) >= 1.0


@given(jobs(share=(1.0, 1.0)), st.sampled_from(["structural", "clear"]))
def test_the_safe_limit_is_never_deeper_than_the_nominal_one(here, finish):
    args = (here.after(90), targets(0.45)[finish], here.barometer)
    found = limit_95(here.known, *args)
    assert found.safe >= found.nominal


def drawn_limits(here, course, target, count, seed):
    """Limits of joint draws: each number's logarithm is normal, on each side by its own end."""
    from scipy.stats import norm, qmc

    names = list(here.moves)
    shares = qmc.Sobol(len(names) + 1, rng=np.random.default_rng(seed)).random(count)
    z = norm.ppf(shares) / norm.ppf(0.975)  # 1 at the upper end
    found = {}
    for i, name in enumerate(names):
        value, (low, high) = getattr(here.gas, name), here.moves[name]
        ratio = np.where(z[:, i] > 0.0, high / value, value / low)
        found[name] = value * ratio ** z[:, i]
    for name in ("connected", "trapped"):
        found[name] = np.minimum(found[name], 1.0 if name == "connected" else 0.5)
    drawn = dataclasses.replace(here.gas, **found, vapour_moved=np.maximum(z[:, -1], 0.0))
    return limit(drawn, course, target, here.barometer)


def random_jobs(count, seed, least_air):
    """Jobs of each resin in turn, with the numbers of the tables, degassed to a drawn share."""
    rng = np.random.default_rng(seed)
    for i in range(count):
        shop = rng.uniform(18, 30), rng.uniform(0.3, 0.8), rng.uniform(0, 2000)
        here = job(RESINS[i % len(RESINS)], *shop)
        yield i, here.but(air_Pa=here.gas.air_Pa * rng.uniform(least_air, 1.0))


def shares_above(count, seed, least_air):
    """The share of joint draws whose limit lies over the safe one, for each job and finish."""
    found = {}
    for i, here in random_jobs(count, seed, least_air):
        for label, course in (("straight", here.straight()), ("debulk", here.after(90))):
            for finish, target in targets(0.45).items():
                safe = limit_95(here.known, course, target, here.barometer).safe
                drawn = drawn_limits(here, course, target, 1024, i)
                found[i, label, finish] = float(np.mean(drawn > safe))
    return found


def test_the_safe_limit_of_resin_as_stirred_covers_nineteen_in_twenty_joint_draws():
    found = shares_above(12, seed=5, least_air=1.0)
    assert max(found.values()) <= 0.05


def test_the_safe_limit_of_degassed_resin_covers_three_in_four_joint_draws():
    """Not nineteen in twenty: there no number does much alone, and several together do."""
    found = shares_above(12, seed=6, least_air=0.02)
    assert max(found.values()) <= 0.25
    assert np.mean(list(found.values())) <= 0.05
