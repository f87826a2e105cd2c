"""The three limits, each reckoned by hand from the same inputs, and their safe sides."""

import dataclasses
import math

import msgspec
import pytest
from window_jobs import HERE_PA, PREPREG, job, number

import outgas
from outgas.job.process import process_of
from outgas.laminate.case import hottest_vapour
from outgas.laminate.course import course_of, target_of
from outgas.laminate.draws import exact_limit
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.case.defaults import case_of
from outgas.window.limits import (
    Limits,
    air_limit,
    core_limit,
    debulk_limit,
    limits,
    margin_over,
    vapour_borne,
)

EPS = outgas.Layup(core="20 mm EPS")


def cored(process="wet layup", k=1.0):
    """Return a case with a core of 100 kPa (80 at least) that creeps at half (0.4 at least)."""
    case = case_of(job("epoxy-laminating", layup=EPS))
    core = msgspec.structs.replace(
        case.core,
        compressive_strength=number(100.0, "kPa", 80.0, 120.0),
        creep_factor=number(0.5, "1", 0.4, 0.6),
    )
    return case.but(core=core, process=process_of(process), k=k)


def test_what_asks_for_most_pressure_limits():
    nominal = {"vapour": 9.0, "air": 1.0, "core": 2.0}
    found = Limits(nominal, {"vapour": 3.0, "air": 7.0, "core": 5.0})
    assert found.limiting == "air"
    assert found.deepest == 7.0


def test_a_core_bears_its_strength_times_its_creep_and_both_doubts_add_as_squares():
    nominal, safe = core_limit(cored())
    assert nominal == pytest.approx(HERE_PA - 50000.0)
    assert safe == pytest.approx(HERE_PA - 50000.0 * (1.0 - math.hypot(0.2, 0.2)))
    assert core_limit(cored(k=0.5))[1] == pytest.approx(
        HERE_PA - 50000.0 * (1.0 - 0.5 * math.hypot(0.2, 0.2))
    )
    assert core_limit(cored(k=9.0))[1] == HERE_PA  # sure of nothing: no clamp


def test_a_core_is_crushed_by_the_air_only_under_a_bag():
    assert core_limit(cored("pressing")) == core_limit(cored("degassing")) == (0.0, 0.0)
    assert core_limit(case_of(job())) == (0.0, 0.0)
    sound = case_of(job(layup=outgas.Layup(core="20 mm PVC foam")))
    assert core_limit(sound) == (0.0, 0.0)  # it bears more than the air brings


def test_the_air_limit_of_a_shut_laminate_held_long_is_that_of_the_gas_law():
    """By hand: of V per resin allowed, all its air G is at x = G / (V + L), under the vapour."""
    case = case_of(job()).but(path_open=False, hold_s=1e7, entrained=Band.exact(0.005))
    hot, p_v0 = hottest_vapour(case), vapour(case, case.shop_K).nominal
    V = case.void_target / (1.0 - case.void_target) / (1.0 - case.fibre_fraction)
    L, warm = case.resin.air_solubility.si, case.hottest_K / case.shop_K
    G = 0.005 * (HERE_PA - p_v0) + L * case.dissolved_Pa.nominal
    found = air_limit(case, course_of(case, None))
    by_hand = hot.nominal + warm * G / (V + L)
    assert float(found.nominal) == pytest.approx(by_hand, abs=2e-4 * HERE_PA)
    assert float(found.nominal) >= by_hand - 1.0  # what is returned passes
    risen = [max(0.0, float(by)) for by in found.moved.values()]
    assert float(found.safe - found.nominal) == pytest.approx(math.hypot(*risen))
    assert {"solubility", "vapour_moved"} <= set(found.moved)


def test_a_debulk_while_the_resin_is_thin_lets_the_cure_go_deeper_and_less_void_asks_for_more():
    case = case_of(job())
    straight, after = course_of(case, None), course_of(case, 9000.0)
    assert air_limit(case, after).safe < 0.75 * air_limit(case, straight).safe
    assert air_limit(case.but(void_target=0.01), after).safe > air_limit(case, after).safe + 1000.0
    assert air_limit(case, after, "clear").safe > air_limit(case, after).safe


def test_gas_that_is_meant_to_leave_sets_no_limit():
    case = case_of(job(process="degassing"))
    found = air_limit(case, course_of(case, None))
    assert (float(found.nominal), float(found.safe)) == (0.0, 0.0)


def test_known_warmth_is_kept_clear_of_by_a_quarter_or_by_twenty_mbar_and_nothing_is_stacked():
    case, margins = case_of(job(hottest="30 degC")), catalogue.practice().margins
    hot, times, clear = hottest_vapour(case), margins.vapour_times.si, margins.vapour_clear.si
    assert hot.high < clear / (times - 1.0)
    assert limits(case).safe["vapour"] == pytest.approx(hot.high + clear)
    assert limits(case).nominal["vapour"] == pytest.approx(hot.nominal + clear)
    warm = case_of(job(hottest="70 degC"))
    push = hottest_vapour(warm)
    assert push.high > clear / (times - 1.0)
    assert limits(warm).safe["vapour"] == pytest.approx(times * push.high)
    stated = case_of(job())
    third = margins.vapour_share.si
    assert limits(stated).safe["vapour"] == pytest.approx(hottest_vapour(stated).high / third)


@pytest.mark.parametrize("share", [None, 0.2])
@pytest.mark.parametrize("known", [True, False])
@pytest.mark.parametrize("high", [800.0, 30000.0])
def test_what_a_pressure_bears_is_the_margin_turned_round(share, known, high):
    case = case_of(job()).but(vapour_share=share)
    kept = margin_over(case, 0.5 * high, high, known=known)[1]
    assert kept > high
    assert vapour_borne(case, kept, known=known) == pytest.approx(high)


def test_vapour_may_be_a_share_of_a_bubble_but_of_prepreg_it_meets_the_resin_whole():
    case = case_of(job(hottest="30 degC")).but(vapour_share=0.25)
    found, hot = limits(case), hottest_vapour(case)
    assert found.nominal["vapour"] == pytest.approx(4.0 * hot.nominal)
    assert found.safe["vapour"] == pytest.approx(4.0 * hot.high)
    wet = case_of(job(PREPREG, process="prepreg"))
    assert limits(wet).safe["vapour"] == pytest.approx(hottest_vapour(wet).high)
    assert limits(wet).nominal["vapour"] == pytest.approx(hottest_vapour(wet).nominal)


def test_the_debulk_is_read_at_the_warmest_of_air_tool_and_what_the_heat_has_done_by_then():
    case = case_of(job())
    cold = debulk_limit(case)
    assert cold == pytest.approx(3.0 * vapour(case, case.shop_K).high, rel=1e-5)
    tool = case.but(tool_K=case.shop_K + 5.0)
    assert debulk_limit(tool) == pytest.approx(3.0 * vapour(tool, tool.tool_K).high, rel=1e-5)

    @dataclasses.dataclass(frozen=True)
    class Early:
        early_K: float

    later_K = case.shop_K + 9.0
    early = case.but(hottest=dataclasses.replace(case.hottest, warming=Early(later_K)))
    clear = catalogue.practice().margins.vapour_clear.si  # its warmth is known
    assert debulk_limit(early) == pytest.approx(vapour(case, later_K).high + clear, rel=1e-5)


def test_no_debulk_crushes_a_core_and_prepreg_debulks_as_deep_as_its_core_bears():
    soft = cored()
    assert debulk_limit(soft) == core_limit(soft)[1] > 3.0 * vapour(soft, soft.shop_K).high
    assert debulk_limit(case_of(job(PREPREG, process="prepreg"))) == 0.0


def test_the_margin_is_kept_over_the_likely_pressure_as_over_the_worst():
    case, margins = case_of(job()), catalogue.practice().margins
    low, high = 30000.0, 40000.0
    assert margin_over(case, low, high, known=True) == (
        pytest.approx(margins.vapour_times.si * low),
        pytest.approx(margins.vapour_times.si * high),
    )


def test_what_limits_is_what_asks_for_most_on_the_safe_side():
    found = Limits(
        {"vapour": 9.0, "air": 1.0, "core": 0.0}, {"vapour": 9.5, "air": 9.8, "core": 0.0}
    )
    assert found.limiting == "air"
    assert found.deepest == 9.8


def test_limits_are_of_the_course_that_is_given_and_else_of_a_straight_pull():
    case = case_of(job())
    debulked = course_of(case, 9000.0)
    given, none = limits(case, debulked).safe["air"], limits(case).safe["air"]
    assert given == float(air_limit(case, debulked).safe)
    assert none == float(air_limit(case, course_of(case, None)).safe) > given


def test_an_exact_limit_is_that_of_many_draws():
    case = case_of(job())
    plain = course_of(case, 9000.0)
    exact = plain.but(exact=True)
    usual, drawn = (air_limit(case, course) for course in (plain, exact))
    wanted = exact_limit(exact, target_of(case), usual)
    assert float(drawn.safe) == float(wanted.safe) != float(usual.safe)
