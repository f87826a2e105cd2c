"""What a plan stands on: its bands, its mass, its clock, each reckoned by hand."""

import dataclasses
import math

import msgspec
import pytest
from plan_grounds import SHOP_K, ground, heated
from window_jobs import HERE_PA, PREPREG, job

import outgas
from outgas.errors import InputError
from outgas.plan.basis import ground_of
from outgas.tables import catalogue, rates
from outgas.window.limits import core_limit

TWO = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")


def test_the_warmest_between_two_times_is_of_what_reacts_the_ends_interpolated():
    run = heated([0, 100, 200, 300], [[400] * 4, [295, 297, 330, 300], [295, 298, 310, 305]])
    g = ground(changes={"warming": run})
    assert g.warmest(0.0, 100.0) == pytest.approx(298.0)
    assert g.warmest(0.0, 150.0) == pytest.approx(314.0)  # half way from 298 to 330
    assert g.warmest(110.0, 290.0) == pytest.approx(330.0)
    assert g.warmest(250.0, 9999.0) == pytest.approx(317.5)  # half way from 330 to 305
    assert g.warmest(-100.0, 0.0) == ground().warmest(0.0, 9.0) == SHOP_K


def test_a_gel_that_is_not_followed_never_comes_and_the_last_change_is_its_share_of_it():
    assert ground().gel == math.inf
    g = ground(changes={"warming": heated([0, 1], [[1, 1], [1, 1]], gel_s=1000.0)})
    assert g.last_change == pytest.approx(1000.0 * catalogue.practice().clock.last_change.si)
    assert g.last_change < g.gel


def test_a_dry_bag_goes_as_deep_as_pump_and_core_allow():
    free = ground(process="infusion", layup=TWO).dry
    assert (free.low, free.hold) == (0.0, 0.0)
    pumped = ground(process="infusion", layup=TWO, rig=outgas.Rig(pump_ultimate="120 mbar")).dry
    assert (pumped.low, pumped.hold) == pytest.approx((0.0, 12000.0))
    foam = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], core="20 mm EPS")
    cored = ground("epoxy-infusion", "infusion", layup=foam)
    crush = core_limit(cored.case)[1]
    assert crush > 0.0
    assert cored.dry.low == cored.dry.hold == pytest.approx(crush)
    assert cored.dry.high == max(crush, cored.window.shallowest)
    weak = ground(process="infusion", layup=TWO, rig=outgas.Rig(pump_ultimate="800 mbar")).dry
    assert weak.high == weak.hold == pytest.approx(80000.0)


def test_a_debulk_may_wander_as_far_up_as_down_and_never_past_the_air():
    g = ground(process="wet layup", layup=TWO)
    band = g.debulk
    assert band.low == g.window.debulk_limit
    assert band.hold == g.window.debulk_hold
    assert band.high - band.hold == pytest.approx(band.hold - band.low)
    lifted = dataclasses.replace(g.window, debulk_limit=90000.0, debulk_hold=99000.0)
    assert dataclasses.replace(g, window=lifted).debulk.high == HERE_PA
    shut = dataclasses.replace(g.window, debulk_limit=2e5, debulk_hold=2e5)
    assert set(dataclasses.astuple(dataclasses.replace(g, window=shut).debulk)) == {HERE_PA}


def test_hard_is_where_the_glass_lies_over_the_shop_and_never_below_a_least_conversion():
    g = ground("epoxy-laminating")
    family, clock = rates.family_of(g.job.resin), g.clock
    fresh, full, lam = family.glass_fresh.si, family.glass_full.si, family.glass_lambda.si
    X = g.hard
    glass = fresh + (full - fresh) * lam * X / (1.0 - (1.0 - lam) * X)  # DiBenedetto
    assert glass == pytest.approx(SHOP_K + clock.hard_above_shop.si)
    cold = dataclasses.replace(g, case=g.case.but(shop_K=fresh))
    assert cold.hard == clock.hard.si


def test_a_window_that_opens_is_the_cures_band():
    g = ground(process="wet layup", layup=TWO, air_pressure="100 mbar")
    window = g.window
    assert dataclasses.astuple(g.cure) == (window.deepest, window.setpoint, window.shallowest)
    assert (g.safe_from, g.opens) == (window.setpoint, True)


def test_where_no_window_opens_no_vacuum_is_held():
    asked = {"layup": TWO, "void_target": "0.01 %", "where": {"barometer": "700 hPa"}}
    g = ground(process="infusion", **asked)
    assert set(dataclasses.astuple(g.cure)) == {70000.0}
    assert g.safe_from == pytest.approx(g.window.deepest + g.window.margin)
    assert not g.opens
    wet = ground(PREPREG, "prepreg", layup=TWO)
    crushed = dataclasses.replace(wet.window, setpoint=None, deepest=7000.0)
    shut = dataclasses.replace(wet, window=crushed)
    assert (shut.cure.hold, shut.safe_from, shut.opens) == (HERE_PA, 7000.0, False)


def test_a_bag_goes_deeper_early_only_where_that_helps_and_is_deeper():
    g = ground(process="wet layup", layup=TWO, degas=False)
    assert g.debulks
    assert not ground(process="wet layup", layup=TWO, degas=False, no_debulk=True).debulks
    deep = dataclasses.replace(g.window, setpoint=g.debulk.hold)
    assert not dataclasses.replace(g, window=deep).debulks  # it cures as deep already
    shut = dataclasses.replace(g.window, setpoint=None)
    assert dataclasses.replace(g, window=shut).debulks


def test_degassing_counts_where_the_pot_does_and_nowhere_else():
    with_pot = ground(process="wet layup", layup=TWO)
    assert with_pot.degas
    assert with_pot.job.pot.pressure_Pa == with_pot.pot.hold
    assert with_pot.job.pot.worked
    for more in (
        {"degas": False}, {"air_pressure": "100 mbar"},
        {"rig": outgas.Rig(pump_ultimate="300 mbar")},  # such a pot takes out too little
    ):  # fmt: skip
        without = ground(process="wet layup", layup=TWO, **more)
        assert not without.degas
        assert without.job.pot is None
    assert not ground(process="degassing").degas


def test_wetting_out_goes_by_layers_and_area_unless_told():
    each = catalogue.practice().clock.wet_out.si
    big = outgas.Layup(plies=["6 x 400 g/m2 woven glass"], area="2 m2")
    g = ground(process="wet layup", layup=big)
    assert g.works == pytest.approx(12.0 * each)
    assert not g.told
    small = outgas.Layup(plies=["1 x 400 g/m2 woven glass"], area="0.01 m2")
    least = catalogue.practice().clock.wet_out_least.si
    assert ground(process="wet layup", layup=small).works == least
    told = ground(process="wet layup", layup=big, wet_out=77.0)
    assert (told.works, told.told) == (77.0, frozenset({"wet_out"}))
    unsaid = ground(process="infusion", layup=small)
    assert unsaid.works == catalogue.practice().clock.fill.si
    filled = ground(process="infusion", layup=small, fill=444.0)
    assert (filled.works, filled.told) == (444.0, frozenset({"fill"}))


def test_a_resin_without_a_gel_time_makes_no_plan_but_a_pots():
    def asked(process, **more):
        made = job(process=process, **more)
        return made.but(resin=msgspec.structs.replace(made.resin, gel_time=None))

    more = {"batch": None, "wet_out": None, "fill": None, "degas": False}
    with pytest.raises(InputError, match="its record has no gel_time"):
        ground_of(asked("wet layup", layup=TWO, hottest="30 degC"), **more)
    assert ground_of(asked("degassing"), **more).pot_life is None
