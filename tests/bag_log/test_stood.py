"""What a resin stood at each moment of a log."""

import numpy as np
import pytest

from outgas.bag_log.stood import COMING_UP_s, Stood
from outgas.laminate.vapour import vapour
from outgas.tables import catalogue
from outgas.window.limits import margin_over


@pytest.fixture(scope="module")
def stood(advice):
    return Stood.of(advice.behind.window)


def test_its_clock_is_that_of_the_case_and_of_its_gel(stood, advice):
    case = advice.behind.window.case
    warming = case.hottest.warming
    assert stood.thick_s == case.cup_s + case.early_s + case.hold_ends[1]  # a slow gel's
    early = max(
        case.cup_s + case.early_s,
        catalogue.practice().clock.last_change.si * warming.gel_interval_s[0],
    )
    assert stood.thin_s == min(early + COMING_UP_s, stood.thick_s)
    assert stood.holds_s == max(warming.hold_s, stood.thick_s)
    assert stood.air_Pa == advice.limits_Pa["air"]
    assert stood.core_Pa == advice.limits_Pa["core"]


def test_a_job_without_a_debulk_is_never_thin(advice):
    window = advice.behind.window
    import dataclasses

    straight = dataclasses.replace(window, course=window.course.straight)
    assert Stood.of(straight).thin_s == 0.0


def test_as_warm_as_was_logged_and_else_as_the_laminate_itself(stood):
    t = np.array([0.0, 600.0])
    own = stood.warmth(t, np.array([np.nan, np.nan]))
    assert own == pytest.approx(np.interp(t, stood.warm_s, stood.warm_K))
    assert stood.warmth(t, np.array([310.0, np.nan])) == pytest.approx([310.0, own[1]])


def test_the_limit_is_the_vapours_and_the_cores_then_the_airs_too_and_none_once_it_holds(stood):
    t = np.array([0.0, stood.thin_s - 1.0, stood.thin_s, stood.holds_s, stood.holds_s + 1.0])
    T = np.full(5, 300.0)
    early, thin, thick, last, after = stood.limit(t, T)
    assert early == thin < thick == last == stood.air_Pa
    assert np.isnan(after)
    assert early >= stood.core_Pa


@pytest.mark.parametrize("kelvin", [293.0, 300.3, 311.7, 330.0])
def test_what_the_vapour_asks_for_is_that_of_a_probe_in_a_cooler_place_and_never_under_it(
    stood, kelvin
):
    doubt = catalogue.practice().margins.named_doubt.si
    high = vapour(stood.case, kelvin + doubt).high
    exact = margin_over(stood.case, high, high, known=True)[1]
    found = float(stood._vapour(np.array([290.0, kelvin, 335.0]))[1])
    assert exact * (1.0 - 1e-9) <= found <= 1.01 * exact


def test_beyond_all_curves_only_the_air_itself_will_do(stood):
    assert float(stood._vapour(np.array([300.0, 900.0]))[1]) == stood.case.barometer_Pa
