"""Defaults: how warm it gets where nothing is said, and how much air is in the resin."""

import math
from types import SimpleNamespace

import pytest
from window_jobs import HERE_PA, PREPREG, job

import outgas
from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.job.job import working_time
from outgas.laminate import warming
from outgas.laminate.case import Hottest
from outgas.laminate.liquid import liquid_of
from outgas.laminate.vapour import vapour, warmest_known
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.defaults import (
    case_of,
    default_hottest,
    fibre_fraction_of,
    lasting,
    path_is_open,
)

SHOP_K = 22.0 + ZERO_CELSIUS_K


def hottest(asked):
    return default_hottest(asked, liquid_of(asked))


def test_without_a_layup_it_warms_by_a_stated_rise_over_the_warmer_of_shop_and_tool():
    rise = catalogue.practice().margins.default_rise.si
    assert hottest(job()).kelvin == pytest.approx(SHOP_K + rise)
    warm = hottest(job(where={"tool_temperature": "30 degC"}))
    assert warm.kelvin == warm.high == pytest.approx(30.0 + ZERO_CELSIUS_K + rise)
    assert f"{30.0 + rise:.0f} degC, {rise:.0f} K over the shop" in warm.text
    cool = hottest(job(where={"tool_temperature": "18 degC"}))
    assert cool.kelvin == pytest.approx(SHOP_K + rise)


def test_a_pot_stays_at_the_shops_temperature_and_a_hot_cure_goes_to_its_own():
    assert hottest(job(process="degassing")).kelvin == pytest.approx(SHOP_K)
    assert not hottest(job(process="degassing")).known  # nobody followed its warmth
    cured = job(PREPREG, process="prepreg")
    assert hottest(cured).kelvin == cured.resin.cure_temperature.si
    phenolic = job("resole-phenolic", process="degassing")
    assert hottest(phenolic).kelvin == pytest.approx(SHOP_K)  # the pot is not cured in


def test_a_named_moment_has_its_doubt_scaled_by_the_confidence_and_bounded_by_the_curves():
    named = job(hottest="40 degC up to 52 degC")
    assert hottest(named).high - hottest(named).kelvin == pytest.approx(12.0)
    sure = job(hottest="40 degC up to 52 degC", confidence=0.683)  # one of two half-widths, nearly
    assert hottest(sure).high - hottest(sure).kelvin == pytest.approx(12.0 / 1.96, abs=0.03)
    far = job(hottest="40 degC up to 400 degC")
    assert hottest(far).high == warmest_known(liquid_of(far))
    doubt = catalogue.practice().margins.named_doubt.si
    assert hottest(job(hottest="40 degC")).high == pytest.approx(313.15 + doubt)
    assert f"40 degC, up to {40 + doubt:.0f}, as given" in hottest(job(hottest="40 degC")).text


def test_a_moment_below_the_shop_or_the_tool_is_refused_and_at_it_is_not():
    assert hottest(job(hottest="22 degC")).kelvin == pytest.approx(SHOP_K)
    with pytest.raises(InputError, match=r"21\.9 degC, below the shop or tool at 22\.0"):
        hottest(job(hottest="21.9 degC"))
    with pytest.raises(InputError, match="below the shop or tool at 30"):
        hottest(job(hottest="29 degC", where={"tool_temperature": "30 degC"}))


def test_a_layup_is_followed_by_its_heat_and_says_so(monkeypatch):
    layup = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"])
    found = SimpleNamespace(hot_K=310.15, hot_high_K=315.15, hold_s=1800.0, gel_s=1500.0)
    monkeypatch.setattr(warming, "warming_of", lambda *_: found)
    got = hottest(job(layup=layup))
    assert (got.kelvin, got.high, got.warming) == (310.15, 315.15, found)
    thick = layup.laminate_thickness_m * 1e3
    assert got.text == (
        f"hottest moment: 37 degC, up to 42, by the heat of {thick:.1f} mm of laminate until its "
        "gel can hold a bubble at 30 min, tool not named: it takes up no heat"
    )
    found.hold_s = math.inf
    tooled = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"], tool="6 mm glass plate")
    assert hottest(job(layup=tooled)).text.endswith("until its gel can hold a bubble")


def test_a_layup_that_cannot_be_followed_warms_as_if_it_lost_no_heat(monkeypatch):
    monkeypatch.setattr(warming, "warming_of", lambda *_: None)
    monkeypatch.setattr(warming, "adiabatic_bound", lambda *_: (40.0, 50.0))
    layup = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"])
    got = hottest(job(layup=layup))
    assert (got.kelvin, got.high) == pytest.approx((SHOP_K + 40.0, SHOP_K + 50.0))
    assert "62 degC, if the laminate lost no heat" in got.text


def test_stirred_resin_holds_the_air_of_the_shop_less_its_own_vapour():
    case = case_of(job())
    cool = vapour(case, case.shop_K).nominal
    assert case.dissolved_Pa == Band.exact(HERE_PA - cool)
    spilt = case_of(job(contaminants={"acetone": "3 %"}))  # it came after the air had settled
    assert spilt.dissolved_Pa.nominal == pytest.approx(case.dissolved_Pa.nominal)
    assert vapour(spilt, spilt.shop_K).nominal > cool + 500.0


def test_a_known_air_pressure_is_taken_as_it_is_but_never_beyond_the_barometer():
    assert case_of(job(air_pressure="300 mbar")).dissolved_Pa == Band.exact(30000.0)
    assert case_of(job().but(air_Pa=2e5)).dissolved_Pa == Band.exact(HERE_PA)


def test_a_pot_takes_out_its_share_and_a_worked_one_more_surely():
    full = case_of(job()).dissolved_Pa.nominal
    said, still, worked = (
        case_of(job(degassed=f"90 mbar{how}")).dissolved_Pa for how in ("", ", still", ", stirred")
    )
    assert said.nominal == worked.nominal < still.nominal < full
    assert worked.high < said.high <= full


def test_entrained_air_and_the_gas_that_leaves_are_the_tables_unless_told():
    assert case_of(job()).entrained == catalogue.practice().margins.entrained.band
    assert case_of(job(entrained="0.3 %")).entrained == Band.exact(0.003)
    table = catalogue.gas().laminate
    assert case_of(job()).trapped == table.trapped.band
    assert case_of(job()).connected == table.connected.band
    told = case_of(job(trapped="4 %", connected="60 %"))
    assert told.trapped.high == told.trapped.low == pytest.approx(0.04)
    assert told.connected == Band.exact(0.6)


def test_gas_gets_out_by_the_process_by_what_lies_under_the_bag_and_by_the_cores_holes():
    assert path_is_open(job())
    shut = outgas.Layup(plies=["1 x 400 g/m2 woven glass"], bag_side=["release film"])
    assert not path_is_open(job(layup=shut))
    assert not path_is_open(job(process="pressing"))
    for core, opens in (("15 mm PVC foam", False), ("15 mm perforated PVC foam", True)):
        assert path_is_open(job(process="core bonding", layup=outgas.Layup(core=core))) is opens


def test_the_fibre_fraction_is_that_of_the_cloth_or_the_usual_one():
    assert fibre_fraction_of(job()) == job().process.fibre_fraction.si
    plies = ["2 x 400 g/m2 woven glass", "1 x 450 g/m2 chopped strand mat"]
    one, other = (outgas.Layup(plies=[p]) for p in plies)
    both = outgas.Layup(plies=plies)
    ends = [fibre_fraction_of(job(layup=x)) for x in (one, other)]
    assert min(ends) < fibre_fraction_of(job(layup=both)) < max(ends)
    fibre = both.fibre_mass.m / one.plies[0].fabric.fibre_density.si  # both of the same glass
    assert fibre_fraction_of(job(layup=both)) == pytest.approx(fibre / both.laminate_thickness_m)
    bonded = job(process="core bonding", layup=outgas.Layup(plies=plies, core="15 mm PVC foam"))
    assert fibre_fraction_of(bonded) == 0.0


def test_the_steps_last_as_long_as_is_usual_or_as_the_gel_of_the_laminate_leaves():
    clock, time = catalogue.practice().clock, catalogue.gas().time
    usual = lasting(job(), hottest(job()))
    assert (usual.early_s, usual.hold_s) == (clock.debulk.si, time.hold.si)
    putty = job(process="core bonding", layup=outgas.Layup(core="15 mm PVC foam"))
    assert lasting(putty, hottest(putty)).hold_s == time.putty_hold.si
    slow = job("epoxy-laminating")
    assert lasting(slow, hottest(slow)).hold_s == time.hold_epoxy.si
    asked = job(layup=outgas.Layup(plies=["2 x 400 g/m2 woven glass"]))
    for gel_s in (1500.0, 2400.0, 7200.0):
        warm = Hottest(300.0, 302.0, "", SimpleNamespace(gel_s=gel_s))
        got = lasting(asked, warm)
        assert got.cup_s + got.early_s + got.hold_s == pytest.approx(gel_s)
        changed = got.cup_s + got.early_s
        assert got.early_s <= clock.debulk.si
        within = changed <= clock.last_change.si * gel_s + 1e-6
        assert within or got.early_s == clock.debulk_least.si
    longer = lasting(asked.but(wet_out_s=1200.0), warm)
    assert longer.cup_s - got.cup_s == pytest.approx(1200.0 - working_time(asked))
