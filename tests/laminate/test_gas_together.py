"""Limits found together are those of each alone, and of the plain search on one gas balance.

No outside source: two ways to one answer.
"""

import dataclasses

import numpy as np
import pytest
from gas_cases import limit_95
from shop_cases import UP, case

from outgas.laminate.course import PRESSED, course_of, target_of
from outgas.laminate.gas import together
from outgas.laminate.gas import together as limits_together
from outgas.laminate.gas.joint import (
    AROUND,
    JOINT,
    draws_of,
    fails_by,
    joint,
    may_fail,
    raised,
    worst_of,
)
from outgas.laminate.gas.limits import CLOSE_PA, Limit, limit
from outgas.laminate.gas.together import TOGETHER, limit_of, limits_of

VE = "bisphenol-a-vinyl-ester"


def sought(count, **told):
    """Courses of warmer and warmer shops, straight and debulked in turn."""
    found = []
    for i in range(count):
        here = case(celsius=17.0 + 0.2 * i, humidity=0.3 + 0.008 * i, **told)
        found.append((course_of(here, 9000.0 if i % 2 else None), target_of(here)))
    return found


def test_limits_together_are_those_of_each_alone():
    asked = sought(TOGETHER + 3)
    for each, (course, target) in zip(limits_of(asked), asked, strict=True):
        alone = limit_of(course, target)
        assert float(each.nominal) == pytest.approx(float(alone.nominal), rel=1e-9)
        assert float(each.safe) == pytest.approx(float(alone.safe), rel=1e-9)
        assert {k: float(v) for k, v in each.moved.items()} == pytest.approx(
            {k: float(v) for k, v in alone.moved.items()}, abs=1e-4
        )


def test_limits_together_are_those_of_the_plain_search():
    for course, target in sought(4):
        together = limit_of(course, target)
        plain = limit_95(course.known, course.steps, target, course.highest_Pa)
        assert float(together.nominal) == pytest.approx(float(plain.nominal), abs=2.0 * CLOSE_PA)
        assert float(together.safe) == pytest.approx(float(plain.safe), abs=5.0)


def test_courses_that_know_different_numbers_do_not_mix():
    degassed, stirred = case(degassed="40 mbar for 20 min, stirred"), case()
    told = case(trapped="4 %", connected="80 %")
    asked = [(course_of(each, 9000.0), target_of(each)) for each in (degassed, stirred, told)]
    for each, (course, target) in zip(limits_of(asked), asked, strict=True):
        assert set(each.moved) == set(course.known.moves)
        assert float(each.safe) == pytest.approx(float(limit_of(course, target).safe), rel=1e-9)


def test_one_course_may_be_asked_for_several_targets():
    here = case()
    course = course_of(here, 9000.0)
    asked = [(course, target_of(here)), (course, target_of(here, "clear"))]
    own, clear = limits_of(asked)
    assert float(clear.safe) > float(own.safe)
    assert float(clear.safe) == pytest.approx(float(limit_of(*asked[1]).safe), rel=1e-9)


def test_a_limit_above_the_air_is_that_of_a_press_at_the_most():
    here = case(void_target="0.05 %", no_debulk=True)
    course = course_of(here, None).but(path_open=False)
    found = limit_of(course, target_of(here))
    assert course.highest_Pa < float(found.safe) <= PRESSED * course.highest_Pa
    assert float(found.nominal) <= float(found.safe)


def test_the_gas_of_an_initiator_asks_for_more_in_the_middle_of_its_range_alone():
    here = case(VE, process="infusion")
    course = course_of(here, 9000.0)
    assert course.made is not None
    found, still = (
        limit_of(course, target_of(here)),
        limit_of(course.but(made=None), target_of(here)),
    )
    with_it = limit(course.known.gas, course.steps, target_of(here), course.highest_Pa)
    assert float(found.nominal) == pytest.approx(
        max(float(still.nominal), float(with_it)), abs=2.0 * CLOSE_PA
    )
    assert float(found.safe) >= float(still.safe) - 1.0


def test_no_more_of_the_joint_draws_fail_at_the_safe_limit_than_may():
    here = case(degassed="40 mbar for 20 min, still", void_target="4 %")
    course, target = course_of(here, 9000.0), target_of(here)
    found = limit_of(course, target)
    by = np.sqrt(sum(max(float(v), 0.0) ** 2 for v in found.moved.values()))
    assert float(found.safe) > float(found.nominal) + by + 100.0  # here the draws set it
    drawn = joint(course.known)
    excess = target.excess(limits_together_run(drawn, course, float(found.safe)))
    assert 0 < (excess >= 1.0).sum() <= may_fail(course.known.k) + AROUND
    assert fails_by(excess, may_fail(course.known.k)) < 0.0


def limits_together_run(gas, course, pressure):
    from outgas.laminate.gas.balance import run

    return run(gas, course.steps(pressure))


def test_a_limit_is_raised_to_where_the_spare_draws_alone_fail():
    ends = np.linspace(100.0, 900.0, JOINT)[:, None]  # where each draw stops failing

    def excess(pressure):
        return ends / pressure

    for spare in (0, 5):
        safe = raised(np.array([200.0]), excess, np.array([spare]), 5000.0)
        wanted = float(ends[JOINT - 1 - spare, 0])
        assert wanted - 0.1 <= float(safe[0]) <= wanted + 1.0
    none = raised(np.array([0.0]), lambda p: ends / np.maximum(p, 1.0), np.array([0]), 5000.0)
    assert float(none[0]) == pytest.approx(900.0, abs=1.0)  # a limit of nothing is raised too
    enough = raised(np.array([1000.0]), excess, np.array([0]), 5000.0)
    assert float(enough[0]) == 1000.0
    assert np.isinf(raised(np.array([200.0]), excess, np.array([0]), 800.0)[0])


def test_the_worst_draw_that_counts_counts_with_those_next_to_it():
    """So few draws lie apart: one that moves past another may not carry a limit all the way."""
    ends, spare = np.linspace(100.0, 500.0, JOINT)[:, None], np.array([8])
    ends[JOINT - 9 :] += 300.0  # a gap, under the worst draw that counts
    over, under = ends.copy(), ends.copy()
    under[JOINT - 9] -= 300.0
    limits = [
        float(raised(np.array([200.0]), lambda p, e=e: e / p, spare, 5000.0)[0])
        for e in (over, under)
    ]
    gap = float(over[JOINT - 9, 0] - under[JOINT - 9, 0])
    assert 0.0 < limits[0] - limits[1] < 0.4 * gap
    for e, found in zip((over, under), limits, strict=True):
        assert float(worst_of(e, spare)[0]) == pytest.approx(found, abs=1.5)
    assert worst_of(ends, 0).item() == ends.max()  # without spare ones the worst alone
    assert worst_of(np.zeros((JOINT, 1)), 5).item() == pytest.approx(0.0, abs=1e-9)


def test_more_confidence_leaves_fewer_draws_to_fail_and_a_bigger_limit():
    assert may_fail(1.0) > may_fail(1.3) >= may_fail(1.7) >= 0
    safe = [
        float(limit_of(course_of(here, 9000.0), target_of(here)).safe)
        for here in (case(confidence=0.8), case(), case(confidence=0.99))
    ]
    assert safe == sorted(safe)


def test_what_is_worked_at_once_is_few_enough_for_the_cache(monkeypatch):
    asked = sought(5)
    one_by_one = [float(limit_of(*each).safe) for each in asked]
    monkeypatch.setattr(limits_together, "TOGETHER", 2)
    assert [float(each.safe) for each in limits_of(asked)] == pytest.approx(one_by_one, rel=1e-9)
    assert UP


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_the_draws_that_are_remembered_are_the_joint_draws(confidence):
    known = course_of(case(confidence=confidence), 9000.0).known
    drawn = joint(known)
    assert len(known.moves) > 8
    for name in known.moves:
        assert np.array_equal(
            draws_of(known, name), np.broadcast_to(getattr(drawn, name), (JOINT,))
        )


def test_a_limit_in_a_press_is_never_under_what_is_likely():
    here, above = Limit(5e4, np.inf, {}), Limit(3e4, 4e4, {})
    found = together._in_a_press(here, above, 4e5)
    assert float(found.safe) == float(found.nominal) == 5e4


def test_a_limit_in_a_press_is_what_is_likely_here_and_what_is_safe_above():
    found = together._in_a_press(Limit(5e4, np.inf, {}), Limit(6e4, 1.9e5, {}), 4e5)
    assert (float(found.nominal), float(found.safe)) == (5e4, 1.9e5)
    found = together._in_a_press(Limit(np.inf, np.inf, {}), Limit(1.5e5, 9e5, {"a": 1.0}), 4e5)
    assert (float(found.nominal), float(found.safe)) == (1.5e5, 4e5)
    assert found.moved == {"a": 1.0}


def test_a_limit_that_is_likely_under_the_air_and_sure_above_it_is_a_number():
    here = case(entrained="1.55 %", void_target="1 %")
    course, target = course_of(here, None), target_of(here)
    found = limit_of(course, target)
    assert float(found.nominal) < here.barometer_Pa < float(found.safe)
    assert float(found.safe) <= PRESSED * here.barometer_Pa
    plain = limit_95(course.known, course.steps, target, PRESSED * here.barometer_Pa)
    assert float(found.safe) == pytest.approx(float(plain.safe), rel=2e-3)


def test_the_draws_have_no_gas_of_an_initiator():
    here = case(VE)
    course = course_of(here, 9000.0)
    assert course.known.gas.initiator_gas > 0.0
    assert np.all(together._drawn([course.known]).initiator_gas == 0.0)


def test_courses_with_and_without_an_initiators_gas_are_each_as_alone():
    asked = [(course_of(here, 9000.0), target_of(here)) for here in (case(VE), case(UP))]
    for each, alone in zip(limits_of(asked), [limit_of(*one) for one in asked], strict=True):
        assert float(each.nominal) == pytest.approx(float(alone.nominal), rel=1e-9)
        assert float(each.safe) == pytest.approx(float(alone.safe), rel=1e-9)
    made, (course, target) = asked[0][0], asked[0]
    none = limit_of(made.but(known=made.known, made=None), target)
    assert float(limit_of(course, target).nominal) >= float(none.nominal)


def test_courses_with_and_without_an_early_step_are_told_apart_in_resin_that_takes_gas_back():
    here = case(air_pressure="27 mbar")
    asked = [(course_of(here, early), target_of(here)) for early in (None, 9000.0)]
    both = [float(found.safe) for found in limits_of(asked)]
    assert both == pytest.approx([float(limit_of(*each).safe) for each in asked], abs=0.5)
    assert both[0] > both[1] + 1000.0


def test_a_peroxides_gas_that_no_bag_meets_asks_for_as_much_press_as_just_meets_it():
    here = case(VE)
    course, target = course_of(here, None), target_of(here)
    found = limit_of(course, target)
    at = float(found.nominal)
    assert here.barometer_Pa < at < PRESSED * here.barometer_Pa
    assert found.safe >= found.nominal
    met, missed = (
        float(course.outcome(pressure).void_fraction(here.fibre_fraction))
        for pressure in (at, 0.99 * at)
    )
    assert met == pytest.approx(target.void, rel=1e-3)
    assert missed > 1.01 * target.void
    gas = dataclasses.replace(course.known.gas, initiator_gas=2.0)
    fizzes = course.but(known=dataclasses.replace(course.known, gas=gas))
    assert float(limit_of(fizzes, target).nominal) == pytest.approx(PRESSED * here.barometer_Pa)


def test_a_limit_that_doubt_alone_lifts_over_the_air_is_a_number_for_a_press():
    here = case(entrained="3.5 %")
    found = limit_of(course_of(here, None), target_of(here))
    assert float(found.nominal) < here.barometer_Pa < float(found.safe)
    assert float(found.safe) < PRESSED * here.barometer_Pa


def test_gas_that_not_even_a_press_takes_asks_for_all_of_it_likely_and_safe():
    here = case()
    course = course_of(here, None)
    gas = dataclasses.replace(course.known.gas, solubility=0.0, entrained=0.5)
    froth = course.but(known=dataclasses.replace(course.known, gas=gas))
    found = limit_of(froth, target_of(here))
    most = PRESSED * here.barometer_Pa
    assert (float(found.nominal), float(found.safe)) == pytest.approx((most, most))
