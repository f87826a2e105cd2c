"""The course of a job: its steps, its gas, what it leaves."""

import math

import msgspec
import numpy as np
import pytest
from gas_cases import numbers
from shop_cases import EPOXY, PREPREG, UP, case

import outgas
from outgas.job.learnt import Learnt
from outgas.laminate import course as module
from outgas.laminate.course import course_of, freed, initiator_gas, known_gas, look_of, target_of
from outgas.laminate.gas.balance import run
from outgas.laminate.gas.limits import Expected
from outgas.laminate.gas.together import limit_of
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.tables import catalogue

VE = "bisphenol-a-vinyl-ester"


def test_a_course_goes_deep_early_in_the_shops_warmth_and_is_held_at_the_laminates():
    here = case()
    early, hold = course_of(here, 9000.0).steps(50000.0)
    assert (early.pressure_Pa, early.duration_s) == (9000.0, here.early_s)
    assert (hold.pressure_Pa, hold.duration_s) == (50000.0, here.hold_s)
    assert early.vapour_Pa == pytest.approx(vapour(here, here.shop_K).nominal)
    assert hold.vapour_Pa == pytest.approx(vapour(here, here.hottest_K).nominal)
    assert hold.vapour_high_Pa > hold.vapour_Pa
    assert hold.expansion == pytest.approx(here.hottest_K / here.shop_K)
    (straight,) = course_of(here, 9000.0).straight.steps(50000.0)
    assert straight.duration_s == early.duration_s + hold.duration_s
    assert len(course_of(here, None).steps(50000.0)) == 1


def test_a_press_and_prepreg_have_no_early_step():
    assert course_of(case(process="pressing"), 9000.0).early_Pa is None
    assert course_of(case(PREPREG, process="prepreg"), 9000.0).early_Pa is None


@pytest.mark.parametrize("resin", [UP, EPOXY])
def test_the_numbers_of_the_gas_are_those_of_the_tables_with_their_ends(resin):
    known, expected = known_gas(case(resin)), numbers(resin)
    for name, (value, low, high) in expected.items():
        assert getattr(known.gas, name) == pytest.approx(value), name
        assert known.ends[name] == pytest.approx((low, high)), name
    sure = known_gas(case(resin, confidence=0.5))
    for name, (low, high) in sure.ends.items():
        wide = known.ends[name]
        assert wide[0] <= low <= high <= wide[1], name
        assert high - low < wide[1] - wide[0], name


def test_more_confidence_never_lowers_the_safe_side_of_the_air():
    """Along a line the slow end of diffusion was soon nothing: no gas moved, and that was safe."""
    found = []
    for confidence in (0.5, 0.9, 0.95, 0.96875, 0.97775, 0.99, 0.999):
        sure = case(VE, low_gas_initiator=True, confidence=confidence)
        found.append(float(limit_of(course_of(sure, 9000.0), target_of(sure)).safe))
        low, high = known_gas(sure).ends["diffusivity_m2_s"]
        nominal = known_gas(sure).gas.diffusivity_m2_s
        assert low > 1e-3 * nominal
        assert nominal / low == pytest.approx(high / nominal)
    assert found == sorted(found)


def test_putty_has_no_fibres_for_gas_to_start_from_and_little_moves_in_it():
    known = known_gas(case(process="core bonding"))
    assert math.isinf(known.gas.spacing_m)
    assert "spacing_m" not in known.ends
    assert known.gas.diffusivity_m2_s == catalogue.gas().putty.diffusivity.si
    assert known.gas.diffusivity_m2_s < known_gas(case()).gas.diffusivity_m2_s


def test_a_number_that_is_known_is_not_moved():
    told = known_gas(case(trapped="4 %", air_pressure="300 mbar"))
    assert told.gas.trapped == pytest.approx(0.04)
    assert not {"trapped", "air_Pa"} & set(told.ends)


def test_a_vinyl_esters_peroxide_gives_off_gas_but_not_a_low_gas_one_nor_a_polyesters():
    assert initiator_gas(case(VE)) is catalogue.gas().initiator["ordinary"]
    assert initiator_gas(case(VE, low_gas_initiator=True)) is None
    assert initiator_gas(case(UP)) is None
    made, none = (course_of(case(VE, low_gas_initiator=x), 9000.0) for x in (False, True))
    target = target_of(case(VE))
    assert made.voids(60000.0, target).high > 1.3 * none.voids(60000.0, target).high
    assert float(limit_of(made, target).nominal) > float(limit_of(none, target).nominal)
    assert float(limit_of(made, target).safe) >= float(limit_of(none, target).safe)


def test_an_initiators_gas_is_met_in_the_middle_by_a_limit_and_at_its_worst_by_what_is_expected():
    sure = {"trapped": "6 %", "connected": "80 %", "confidence": 0.5, "air_pressure": "60 mbar"}
    with_it, without = (
        course_of(case(VE, low_gas_initiator=x, **sure), 9000.0) for x in (False, True)
    )
    target = target_of(case(VE))
    found = limit_of(with_it, target)
    assert float(found.safe) >= float(found.nominal) > float(limit_of(without, target).safe)
    middling = with_it.but(made=None).voids(60000.0, target)  # its gas, but not its doubt
    assert with_it.voids(60000.0, target).high > middling.high + 0.002


def test_ends_stay_what_the_numbers_can_be_at_any_confidence():
    ends = known_gas(case(confidence=0.999)).ends
    assert ends["connected"][1] == 1.0
    assert ends["trapped"][0] >= 0.0
    for name in ("diffusivity_m2_s", "spacing_m", "entrained_radius_m", "solubility"):
        assert ends[name][0] > 0.0 or name == "solubility"


def test_voids_at_the_safe_limit_reach_the_target_and_no_further():
    here = case()
    course, target = course_of(here, 9000.0), target_of(here)
    found = limit_of(course, target)
    assert course.voids(float(found.safe), target).high == pytest.approx(0.02, rel=5e-3)
    assert course.voids(float(found.safe) + 5000.0, target).high < 0.02
    nominal = course.voids(float(found.nominal), target)
    assert nominal.nominal <= 0.02 < nominal.high
    outcome = course.outcome(np.array([30000.0, 60000.0]))
    assert outcome.void_fraction(here.fibre_fraction).shape == (2,)


def test_a_limit_above_the_air_is_a_number_for_a_press():
    here = case(entrained="8 %")
    found = limit_of(course_of(here, None), target_of(here))
    assert here.barometer_Pa < float(found.safe) <= 4.0 * here.barometer_Pa
    shut = course_of(here, None)
    above = run(shut.known.gas, shut.steps(float(found.nominal) + 100.0))
    assert float(above.void_fraction(here.fibre_fraction)) < 0.02


@pytest.mark.parametrize("air", [None, "27 mbar"])
def test_a_hold_in_doubt_widens_what_is_expected_to_the_least_and_the_most_of_each(air):
    here = case() if air is None else case(air_pressure=air)
    middle, target = course_of(here, 9000.0), target_of(here)
    ends = (0.5 * here.hold_s, 2.0 * here.hold_s)
    doubt = middle.but(hold_ends=ends)
    assert middle.hold_ends is None
    assert doubt.but(hold_s=here.hold_s).hold_ends is None  # told: no doubt of it
    for measure in ("voids", "depth"):
        each = [
            getattr(middle.but(hold_s=hold), measure)(35000.0, target)
            for hold in (here.hold_s, *ends)
        ]
        found = getattr(doubt, measure)(35000.0, target)
        assert found.nominal == pytest.approx(each[0].nominal, rel=1e-9)
        assert found.low == pytest.approx(min(band.low for band in each), rel=1e-9)
        assert found.high == pytest.approx(max(band.high for band in each), rel=1e-9)
        assert found.high > each[0].high


def test_of_what_several_holds_leave_the_first_is_likely_and_the_ends_are_of_all():
    each = (np.array(x) for x in ([0.1, 0.2, 0.3], [0.02, 0.01, 0.03], [0.3, 0.5, 0.4]))
    assert module._over(Expected(*each)) == Band(0.1, 0.01, 0.5)


def test_a_peroxides_gas_is_taken_as_it_is_likely():
    gas, table = known_gas(case(VE)).gas, catalogue.gas().initiator["ordinary"]
    assert (gas.initiator_gas, gas.initiator_half_time_s) == (table.gas.si, table.half_time.si)


def test_a_limit_is_looked_for_up_to_four_atmospheres_and_no_further():
    here = case(entrained="10 %", void_target="0.2 %")
    assert float(limit_of(course_of(here, None), target_of(here)).safe) == pytest.approx(
        4.0 * here.barometer_Pa
    )


def test_a_look_is_told_at_its_likely_and_its_worst_depth():
    look = catalogue.gas().look
    clear, milky = look.clear.si, look.milky.si
    assert look_of(Band(0.5 * clear, 0.0, 0.9 * clear)) == ("clear", "clear")
    assert look_of(Band(0.5 * clear, 0.0, clear)) == ("clear", "hazy")
    assert look_of(Band(clear, 0.0, milky)) == ("hazy", "milky")


def test_a_clear_finish_is_a_target_of_depth_and_of_voids():
    plain, clear = target_of(case()), target_of(case(finish="clear"))
    assert math.isinf(plain.depth)
    assert clear.depth == catalogue.gas().look.clear.si
    assert clear.void == plain.void == pytest.approx(0.02)
    assert (
        target_of(case(process="core bonding", void_target=None)).void
        == catalogue.gas().look.bond_line.si
    )


def test_freed_gas_is_by_the_gas_law_and_endless_at_the_boil():
    here = case()
    p_v = vapour(here, here.shop_K).nominal
    L, full = here.resin.air_solubility.si, here.barometer_Pa - p_v
    by_hand = (0.005 * full + L * full) / (9000.0 - p_v) - L
    assert freed(here, 9000.0) == pytest.approx(by_hand)
    assert math.isinf(freed(here, p_v))
    assert freed(case(air_pressure="30 mbar", entrained="0.001 %"), 90000.0) == 0.0
    assert freed(here, 101325.0) == pytest.approx(0.005, rel=0.1)


def test_a_shops_own_numbers_narrow_the_limit_they_are_for():
    wide, told = case(), case(connected="80 %")
    assert float(limit_of(course_of(told, 9000.0), target_of(told)).safe) < float(
        limit_of(course_of(wide, 9000.0), target_of(wide)).safe
    )
    assert outgas.resin(UP).family == "polyester"


def test_what_is_expected_over_the_air_is_looked_for_up_to_a_press():
    here = case(entrained="8 %")
    course, target = course_of(here, None), target_of(here)
    safe = float(limit_of(course, target).safe)
    assert safe > 1.2 * here.barometer_Pa
    assert course.voids(safe, target).high == pytest.approx(0.02, rel=0.01)


@pytest.mark.parametrize("share", [0.0, 0.025, 0.31, 0.5, 0.975, 1.0])
def test_a_share_of_ranked_draws_is_numpys_quantile(share):
    ranked = np.sort(np.random.default_rng(3).standard_normal(257))
    assert module._ranked(ranked, share) == pytest.approx(float(np.quantile(ranked, share)))


@pytest.mark.parametrize(("confidence", "beyond"), [(0.95, 0.025), (0.8, 0.1)])
def test_the_ends_of_what_panels_showed_are_those_of_their_draws(confidence, beyond):
    ways = {"trapped": np.random.default_rng(5).standard_normal(257) * 0.4}
    learnt = Learnt(ways, np.ones(257), np.ones(257), (), 3, 0)
    known = known_gas(case(confidence=confidence).but(learnt=learnt))
    column = module.drawn_along("trapped", case(confidence=confidence).trapped, ways["trapped"])
    low, middle, high = np.quantile(column, [beyond, 0.5, 1.0 - beyond])
    assert known.ends["trapped"] == pytest.approx((low, high), rel=1e-4)
    assert known.gas.trapped == pytest.approx(middle)
    assert known.shown.unshown.ends["trapped"] != known.ends["trapped"]


def test_ends_go_no_further_than_a_number_can_be():
    band = Band(0.05, 0.01, 0.1)
    assert module.ends_of("trapped", band, 3.0) == pytest.approx((0.0, 0.2))
    assert module.ends_of("connected", Band(0.8, 0.4, 1.0), 3.0) == (0.0, 1.0)
    assert module.ends_of("trapped", Band(0.3, 0.2, 0.5), 4.0)[1] == 0.5
    assert module.ends_of("solubility", Band(0.1, 0.06, 0.14), 2.0) == pytest.approx((0.02, 0.18))
    by_factor = module.ends_of("diffusivity_m2_s", Band(1e-10, 1e-11, 1e-9), 2.0)
    assert by_factor == pytest.approx((1e-12, 1e-8))


def test_without_a_promoter_or_a_peroxide_a_vinyl_ester_gives_off_nothing():
    here = case(VE)
    assert initiator_gas(here) is not None
    for changed in ({"promoter": False}, {"initiator": "hardener"}):
        other = msgspec.structs.replace(here.resin, **changed)
        assert initiator_gas(here.but(resin=other)) is None


def test_what_gas_starts_from_is_the_shops_air_and_the_tables():
    here = case(VE)
    gas = known_gas(here).gas
    assert gas.least_drive == catalogue.gas().laminate.least_drive.si
    assert gas.mixed_Pa == here.barometer_Pa
    assert gas.mixed_vapour_Pa == pytest.approx(vapour(here, here.shop_K).nominal)
    assert gas.cup_s == here.cup_s
    assert gas.initiator_gas == catalogue.gas().initiator["ordinary"].gas.si
    none = known_gas(case(UP)).gas
    assert none.initiator_gas == 0.0
    assert math.isinf(none.initiator_half_time_s)
    assert math.isinf(known_gas(case(process="core bonding")).gas.spacing_m)
    assert known_gas(case(process="core bonding")).gas.exponent == gas.exponent


def test_what_got_in_by_mistake_strips_no_gas_from_a_debulk_and_pushes_at_the_hottest():
    clean, tainted = course_of(case(), 9000.0), course_of(case(contaminants="acetone=1%"), 9000.0)
    assert tainted.now.nominal == clean.now.nominal
    assert tainted.hot.nominal > clean.hot.nominal
    assert tainted.known.gas.mixed_vapour_Pa == clean.known.gas.mixed_vapour_Pa


def test_a_look_turns_milky_where_the_table_says():
    milky = catalogue.gas().look.milky.si
    assert look_of(Band(0.999 * milky, 0.0, 1.001 * milky)) == ("hazy", "milky")
