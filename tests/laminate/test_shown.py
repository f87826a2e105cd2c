"""What a shop's own panels showed of a gas: its draws set the limit, and good panels bound it."""

import dataclasses

import numpy as np
import pytest

import outgas
from outgas.job.learnt import Good, Learnt
from outgas.laminate.course import course_of, drawn_along, target_of
from outgas.laminate.gas import limits, together
from outgas.laminate.gas.joint import JOINT, Shown, joint, may_fail, worst_of
from outgas.laminate.gas.limits import Target, expected_voids, limit
from outgas.laminate.gas.together import limits_of
from outgas.physics.chance import Band

EARLY_Pa = 9000.0
NAMES = ("trapped", "connected", "entrained", "solubility", "spacing_m", "exponent")


@pytest.fixture(scope="module")
def case():
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    return outgas.advise("orthophthalic-polyester", shop).behind.window.case


def learnt(spread=0.3, middle=0.0, times=1.0, good=(), seed=1):
    rng = np.random.default_rng(seed)
    ways = {name: middle + spread * rng.standard_normal(JOINT) for name in NAMES}
    return Learnt(ways, np.full(JOINT, times), np.ones(JOINT), tuple(good), 5, 0)


def limit_with(case, of, finish=None):
    known = case.but(learnt=of)
    course = course_of(known, EARLY_Pa)
    (found,) = limits_of([(course, target_of(known, finish))])
    return course, found


GOOD = (Good(2e4, EARLY_Pa, 1e5),)  # deep enough to bound nothing


def test_the_limit_is_where_no_more_draws_fail_than_may(case):
    of = learnt(good=GOOD)
    course, found = limit_with(case, of)
    gas, target = joint(course.known), target_of(case)
    each = limit(gas, course.steps, target, course.highest_Pa)
    ranked = np.sort(each)
    at = JOINT - 1 - may_fail(1.0)
    assert ranked[at - 3] - 200.0 <= float(found.safe) <= ranked[at + 3] + 200.0
    assert float(found.nominal) <= float(found.safe)


def test_without_a_good_panel_it_is_never_deeper_than_by_the_tables(case):
    by_tables = float(limit_with(case, None)[1].safe)
    for of in (learnt(), learnt(middle=-0.5), learnt(times=0.2), learnt(times=5.0)):
        found = limit_with(case, of)[1]
        assert float(found.safe) >= by_tables - 1.0
        assert float(found.unshown) == pytest.approx(by_tables, abs=1.0)
        clear = float(limit_with(case, of, "clear")[1].safe)
        assert clear >= float(limit_with(case, None, "clear")[1].safe) - 1.0


def test_a_good_panel_bounds_what_sure_draws_would_open(case):
    sure = learnt(spread=0.05, middle=-0.5)
    free = float(limit_with(case, dataclasses.replace(sure, good=GOOD))[1].safe)
    good = (Good(40000.0, EARLY_Pa, 1e5),)
    bound = float(limit_with(case, dataclasses.replace(sure, good=good))[1].safe)
    assert free < 40000.0
    assert bound == pytest.approx(40000.0)


def test_more_gas_than_the_balance_makes_asks_for_a_weaker_bag(case):
    some = [float(limit_with(case, learnt(times=t, good=GOOD))[1].safe) for t in (0.5, 1.0, 2.0)]
    assert some == sorted(some)
    assert some[0] < some[2]


def test_an_eye_that_sees_more_asks_for_a_weaker_bag_of_a_clear_laminate_alone(case):
    of = learnt(good=GOOD)
    sharp = dataclasses.replace(of, eye=np.full(JOINT, 0.5))
    clear = [float(limit_with(case, one, "clear")[1].safe) for one in (of, sharp)]
    assert clear[1] > clear[0]
    plain = [float(limit_with(case, one)[1].safe) for one in (of, sharp)]
    assert plain[0] == pytest.approx(plain[1])


def test_what_a_panel_bears_out_is_asked_of_its_like_alone(case):
    unshown = course_of(case, None).known
    good = ((30000.0, None, 1e5), (20000.0, EARLY_Pa, 5e4))
    shown = Shown({}, np.ones(1), np.ones(1), unshown, good)
    assert shown.borne(None, 1e5) == 30000.0
    assert shown.borne(EARLY_Pa, 4e4) == 20000.0
    assert shown.borne(EARLY_Pa, 1e5) == np.inf
    assert shown.borne(None, 1.2e5) == np.inf
    # a weaker debulk takes out less gas; a deeper one more
    assert shown.borne(EARLY_Pa + 2000.0, 4e4) == 20000.0
    assert shown.borne(EARLY_Pa + 3000.0, 4e4) == np.inf
    assert shown.borne(EARLY_Pa - 5000.0, 4e4) == 20000.0


def test_the_voids_expected_at_a_limit_are_the_target_s_at_the_most(case):
    course, found = limit_with(case, learnt(good=GOOD))
    target = target_of(case)
    at = float(found.safe)
    expected = expected_voids(
        course.known, course.steps, target.fibre_fraction, at, course.highest_Pa
    )
    assert float(expected.low) <= float(expected.nominal) <= float(expected.high)
    assert float(expected.high) <= target.void * 1.02
    deeper = expected_voids(
        course.known, course.steps, target.fibre_fraction, 0.7 * at, course.highest_Pa
    )
    assert float(deeper.high) > target.void


def test_draws_stay_within_what_a_number_can_be():
    far = np.array([-50.0, 0.0, 50.0])
    assert drawn_along("trapped", Band(0.06, 0.03, 0.12), far).tolist() == [0.0, 0.06, 0.5]
    spacing = drawn_along("spacing_m", Band(1e-4, 5e-5, 2.5e-4), np.array([-1.0, 0.0, 1.0]))
    assert spacing == pytest.approx([5e-5, 1e-4, 2.5e-4])


def test_courses_with_and_without_panels_may_be_asked_together(case):
    shown = course_of(case.but(learnt=learnt(good=GOOD)), EARLY_Pa)
    plain, target = course_of(case, EARLY_Pa), target_of(case)
    both = limits_of([(plain, target), (shown, target), (plain, target)])
    alone = [limits_of([(course, target)])[0] for course in (plain, shown, plain)]
    for joined, single in zip(both, alone, strict=True):
        assert float(joined.safe) == pytest.approx(float(single.safe), abs=0.5)
    assert isinstance(target, Target)
    assert both[0].unshown is None


def test_courses_of_one_gas_that_differ_in_their_hold_alone_are_told_apart(case):
    shown, target = course_of(case.but(learnt=learnt(good=GOOD)), EARLY_Pa), target_of(case)
    held = [shown.but(hold_s=seconds) for seconds in (300.0, 7200.0)]
    together = limits_of([(course, target) for course in held])
    alone = [limits_of([(course, target)])[0] for course in held]
    for joined, single in zip(together, alone, strict=True):
        assert float(joined.unshown) == pytest.approx(float(single.unshown), abs=0.5)
    assert abs(float(together[0].unshown) - float(together[1].unshown)) > 10.0


def test_less_vapour_than_the_tables_have_is_not_counted_on(case):
    good = learnt(good=GOOD)
    ways = {**good.ways, "vapour_moved": np.full(JOINT, -1.0)}
    none = {**good.ways, "vapour_moved": np.zeros(JOINT)}
    less, same = (
        float(limit_with(case, dataclasses.replace(good, ways=each))[1].safe)
        for each in (ways, none)
    )
    assert less == pytest.approx(same, abs=1.0)
    more = {**good.ways, "vapour_moved": np.ones(JOINT)}
    assert float(limit_with(case, dataclasses.replace(good, ways=more))[1].safe) > same


def test_targets_are_judged_by_how_far_the_balance_may_be_out_and_by_the_eye(case):
    of = dataclasses.replace(learnt(times=2.0), eye=np.full(JOINT, 0.5))
    known = course_of(case.but(learnt=of), EARLY_Pa).known
    target = target_of(case, "clear")
    judged = together._judged([known], [target])
    assert np.allclose(judged.void, target.void / 2.0)
    assert np.allclose(judged.depth, target.depth * 0.5 / 2.0)


@pytest.mark.parametrize(("k", "beyond"), [(1.0, 0.025), (0.8392, 0.05)])
def test_what_is_expected_with_panels_is_that_of_their_draws_times_what_a_panel_holds(
    case, k, beyond
):
    """At 95 % a fortieth lies under the low end, at 90 % a twentieth."""
    known = limit_with(case, learnt(good=GOOD, times=2.0))[0].known
    known = dataclasses.replace(known, k=k)
    drawn = np.linspace(0.001, 0.02, JOINT)
    found = limits._shown(known, np.array(0.01), drawn)
    assert float(found.low) == pytest.approx(np.quantile(2.0 * drawn, beyond), rel=1e-3)
    assert float(found.high) == pytest.approx(float(worst_of(2.0 * drawn, may_fail(k))))
    assert float(found.nominal) == 0.01
    assert float(limits._shown(known, np.array(0.5), drawn).nominal) == float(found.high)
    assert float(limits._shown(known, np.array(0.0), drawn).nominal) == float(found.low)
    froth = limits._shown(known, np.array(0.01), np.full(JOINT, np.inf))
    assert float(froth.high) == pytest.approx(limits.DEEPEST_DEPTH)


def test_what_panels_leave_unshown_stands_where_no_good_panel_was_as_deep(case):
    """By their own draws it may be deeper; a good panel that was weaker leaves it by the tables."""
    by_tables = float(limit_with(case, None)[1].safe)
    better = {"middle": -0.8, "spread": 0.1}
    none = float(limit_with(case, learnt(**better))[1].safe)
    weak = float(limit_with(case, learnt(**better, good=(Good(9e4, EARLY_Pa, 1e5),)))[1].safe)
    assert none == weak == pytest.approx(by_tables, abs=1.0)
    _, deep = limit_with(case, learnt(**better, good=(Good(0.9 * by_tables, EARLY_Pa, 1e5),)))
    assert float(deep.safe) == pytest.approx(0.9 * by_tables)
    assert float(deep.nominal) < float(deep.safe)


def test_draws_alone_are_the_safe_side_nothing_is_added_to_them(case):
    """The root of squares of their ends would count the same doubt twice."""
    of = learnt(spread=1.0, good=GOOD)
    course, found = limit_with(case, of)
    each = limit(joint(course.known), course.steps, target_of(case), course.highest_Pa)
    by = np.sqrt(sum(max(float(v), 0.0) ** 2 for v in found.moved.values() if np.isfinite(v)))
    counts = np.sort(each)[JOINT - 1 - may_fail(1.0)]
    assert float(found.safe) < float(found.nominal) + by - 1000.0
    assert float(found.safe) == pytest.approx(float(counts), rel=0.05)
