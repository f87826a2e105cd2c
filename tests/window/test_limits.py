"""The three limits, each reckoned by hand from the same inputs, and their safe sides."""

import dataclasses
import math

import msgspec
import pytest
from window_jobs import HERE_PA, PREPREG, job, number

import outgas
from outgas.job.process import process_of
from outgas.laminate.case import hottest_vapour
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.window.defaults import case_of
from outgas.window.limits import Limits, air_limit, core_limit, debulk_limit, freed_limit, limits

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


def by_hand(case, p_v, L, p_air, e):
    """Return where a closed cell makes the void target: k V = void / (1 - void)."""
    p_v0 = vapour(case, case.shop_K).nominal
    V = case.void_target / (1.0 - case.void_target) / case.gas_kept
    held = case.hottest_K / case.shop_K * (e * (case.barometer_Pa - p_v0) + L * p_air)
    return p_v + held / (V + L)


@pytest.mark.parametrize("p_air", [50000.0, 500.0])  # little air: what dissolves less is worse
def test_the_air_limit_and_its_safe_side_are_those_of_a_closed_cell(p_air):
    more = 1.3 * p_air
    case = case_of(job()).but(
        dissolved_Pa=Band(p_air, 0.8 * p_air, more), entrained=Band(0.005, 0.002, 0.01)
    )
    hot, cool = hottest_vapour(case), vapour(case, case.shop_K)
    L = case.resin.air_solubility
    best = by_hand(case, hot.nominal, L.si, p_air, 0.005)
    worse = (
        by_hand(case, hot.high, L.si, p_air, 0.005),
        max(by_hand(case, hot.nominal, end, p_air, 0.005) for end in (L.low_si, L.high_si)),
        by_hand(case, hot.nominal, L.si, more, 0.005),
        by_hand(case, hot.nominal, L.si, p_air, 0.01),
    )
    nominal, safe = air_limit(case, hot, cool)
    assert nominal == pytest.approx(best, rel=1e-9)
    assert safe == pytest.approx(best + math.hypot(*(p - best for p in worse)), rel=1e-9)


def test_gas_that_is_meant_to_leave_sets_no_limit_but_is_still_freed():
    case = case_of(job(process="degassing"))
    hot, cool = hottest_vapour(case), vapour(case, case.shop_K)
    assert air_limit(case, hot, cool) == (0.0, 0.0)
    assert freed_limit(case, hot, cool)[0] > hot.nominal


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
    assert debulk_limit(early) == pytest.approx(3.0 * vapour(case, later_K).high, rel=1e-5)


def test_no_debulk_crushes_a_core_and_prepreg_debulks_as_deep_as_its_core_bears():
    soft = cored()
    assert debulk_limit(soft) == core_limit(soft)[1] > 3.0 * vapour(soft, soft.shop_K).high
    assert debulk_limit(case_of(job(PREPREG, process="prepreg"))) == 0.0
