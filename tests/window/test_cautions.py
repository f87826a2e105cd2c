"""Cautions and flags: each stands where it applies, with its number, and nowhere else."""

import dataclasses
import math
from types import SimpleNamespace

import msgspec
import pytest
from window_jobs import HERE_PA, PREPREG, job

import outgas
from outgas.constants import ZERO_CELSIUS_K
from outgas.job.degassed import usual
from outgas.laminate.course import target_of
from outgas.laminate.vapour import vapour
from outgas.show.amounts import voids_of
from outgas.tables import catalogue
from outgas.window.case.defaults import case_of
from outgas.window.cautions import cautions, flags, lower_flammable_temperature
from outgas.window.window import shut_pressure, window_of


def said(name="orthophthalic-polyester", process="wet layup", **more):
    asked = job(name, process=process, **more)
    return " | ".join(cautions(asked, case_of(asked)))


def flagged(asked, **changes):
    case = case_of(asked).but(**changes)
    found = flags(asked, case, window_of(asked), vapour(case, case.shop_K))
    return " | ".join(map(str, found))


def test_vapour_can_burn_from_where_its_saturation_pressure_is_the_limits_share_of_the_air():
    case = case_of(job())
    name, T = lower_flammable_temperature(case)
    limit = catalogue.volatile("styrene").lower_flammable_limit.si
    p = outgas.vapour_pressure("styrene", outgas.Quantity(T, "K")).m_as("Pa")
    assert (name, p) == ("styrene", pytest.approx(limit * HERE_PA, rel=1e-6))
    assert pytest.approx(27.0, abs=4.0) == T - ZERO_CELSIUS_K  # the sheet's flash point is 31 degC
    thin = case.but(barometer_Pa=0.7 * HERE_PA)
    assert lower_flammable_temperature(thin)[1] < T - 3.0


def test_of_two_monomers_the_one_that_burns_coolest_is_named_and_none_without_a_limit():
    assert lower_flammable_temperature(case_of(job("mma-polyester")))[0] == "methyl methacrylate"
    asked = job("mma-polyester")
    case = case_of(asked)
    high_up = case.but(barometer_Pa=0.6 * HERE_PA)  # below 5 degC: no shop is that cold
    assert "even in a cold shop" in " ".join(cautions(asked, high_up))
    _, T = lower_flammable_temperature(case)
    assert T > 278.15
    assert f"from {T - ZERO_CELSIUS_K:.0f} degC" in said("mma-polyester")
    assert lower_flammable_temperature(case_of(job("epoxy-laminating"))) is None
    assert "can burn" not in said("epoxy-laminating")


@pytest.mark.parametrize(
    ("text", "there", "not_there"),
    [
        ("peroxide last", {}, {"name": "epoxy-laminating"}),
        ("initiator never below or above", {}, {"name": "epoxy-laminating"}),
        ("never degas resin in bulk once", {}, {"name": PREPREG, "process": "prepreg"}),
        ("in a bin they catch fire", {}, {"name": PREPREG, "process": "prepreg"}),
        ("the vessel's licence", {"name": PREPREG, "process": "prepreg"}, {}),
        ("they implode", {}, {"process": "pressing"}),
        ("they implode", {"process": "degassing"}, {"process": "pressing"}),
        ("catch pot", {"process": "degassing"}, {"name": PREPREG, "process": "prepreg"}),
        ("block the press", {"process": "pressing"}, {}),
        ("isocyanate", {"name": "polyurethane-infusion", "process": "infusion"}, {}),
        ("phenol burns", {"name": "resole-phenolic"}, {}),
        ("amine hardeners", {"name": "epoxy-laminating"}, {}),
    ],
)
def test_a_caution_stands_where_it_applies(text, there, not_there):
    assert text in said(**there)
    assert text not in said(**not_there)


def test_every_list_ends_with_what_stands_above_it():
    for process in ("wet layup", "pressing", "degassing"):
        assert said(process=process).split(" | ")[-1].startswith("the safety data sheet")
    gassing = job("polyurethane-infusion", process="infusion").resin
    assert gassing.reaction_gas in said("polyurethane-infusion", "infusion")


def test_peroxide_without_a_promoter_of_its_own_goes_in_last_all_the_same():
    asked = job()
    assert "they explode" in said()
    plain = asked.but(resin=msgspec.structs.replace(asked.resin, promoter=False))
    found = cautions(plain, case_of(plain))
    assert found[0].startswith("peroxide goes in last; keep it from promoters")
    assert "they explode" not in " ".join(found)


def test_a_core_softens_where_the_laminate_or_its_peak_passes_its_low_end():
    asked = job(layup=outgas.Layup(core="15 mm PVC foam"))
    case, low = case_of(asked), asked.layup.core.maximum_temperature.low_si
    assert "softens near" not in flagged(asked, hottest=case.at(low - 0.1).hottest)
    assert "softens near" in flagged(asked, hottest=case.at(low + 0.1).hottest)
    peak = SimpleNamespace(peak_K=low + 9.0, peak_high_K=low + 9.0, gel_s=1e4)
    later = dataclasses.replace(case.hottest, warming=peak)
    text = flagged(asked, hottest=later)
    assert f"may reach {low + 9.0 - ZERO_CELSIUS_K:.0f} degC" in text


def test_a_laminate_that_gels_before_it_is_closed_and_quiet_is_flagged():
    case = case_of(job())
    for gel_s, early in ((900.0, True), (901.0, False)):  # ten minutes of work, five of debulk
        gels = SimpleNamespace(peak_K=300.0, peak_high_K=300.0, gel_s=gel_s)
        hottest = dataclasses.replace(case.hottest, warming=gels)
        text = flagged(job(), hottest=hottest, cup_s=600.0, early_s=300.0)
        assert ("gels about 15 min after mixing, and is not laid up, closed" in text) is early
    hot = job(layup=outgas.Layup(plies=["2 x 400 g/m2 woven glass"]), where={"temperature": "34 C"})
    assert "gels about" in flagged(hot)


def test_a_pot_below_what_may_boil_is_flagged_with_where_that_begins():
    case = case_of(job())
    high = vapour(case, case.shop_K).high
    assert "may have boiled" not in flagged(job().but(pot=usual(high + 1.0)))
    assert "may have boiled" in flagged(job().but(pot=usual(high - 1.0)))
    up = math.ceil(high / 100.0 - 1e-6)  # where it begins rounds up, where the pot was to nearest
    assert f"a pot at 5 mbar may have boiled the resin (from {up} mbar)" in flagged(
        job().but(pot=usual(540.0))
    )


def test_a_pump_weaker_than_the_debulk_is_flagged_under_a_bag():
    limit = window_of(job()).debulk_limit
    for off, weak in ((-1.0, False), (1.0, True)):
        rig = outgas.Rig(pump_ultimate=f"{limit + off} Pa")
        assert ("weaker than the debulk" in flagged(job(rig=rig))) == weak
        assert "weaker" not in flagged(job(rig=rig, process="pressing"))


def test_what_is_left_in_the_rollers_is_counted_and_its_attack_on_the_core_named():
    foam = outgas.Layup(core="20 mm EPS")
    asked = job("epoxy-laminating", layup=foam, contaminants={"acetone": "0.5 %"})
    text = flagged(asked)
    assert "0.5% of acetone counted in" in text
    assert ("attacks" in text) == catalogue.volatile("acetone").dissolves_polystyrene
    sound = job(layup=outgas.Layup(core="15 mm PVC foam"), contaminants={"toluene": "1 %"})
    assert "attacks" not in flagged(sound)
    assert flagged(job()) == ""


def test_a_vinyl_ester_with_an_ordinary_peroxide_is_told_what_no_vacuum_takes_away():
    ve = "bisphenol-a-vinyl-ester"
    asked = job(ve)
    window = window_of(asked)
    voids = window.course.voids(window.setpoint, target_of(window.case))
    text = flagged(asked)
    assert voids.high > asked.void_target
    assert f"gives off oxygen in a vinyl ester: expect {voids_of(voids)}" in text
    assert "low-gas initiator" in text
    assert "gives off oxygen" not in flagged(job(ve, low_gas_initiator=True))
    assert "gives off oxygen" not in flagged(job())


def test_an_infusion_not_degassed_is_told_what_the_fills_vacuum_would_leave():
    asked = job("epoxy-infusion", process="infusion")
    window = window_of(asked)
    left = window.course.outcome(window.debulk_hold).void_fraction(window.case.fibre_fraction)
    assert float(left) > 0.02
    text = flagged(asked)
    assert f"left at the fill's {math.ceil(window.debulk_hold / 100.0 - 1e-6)} mbar" in text
    assert f"about {float(left):.0%} of fine voids" in text
    assert "bring the vent up" in text
    degassed = job("epoxy-infusion", process="infusion", degassed="30 mbar for 15 min, stirred")
    assert "not degassed" not in flagged(degassed)


def test_an_infusion_shut_at_both_ends_too_soon_is_told_what_it_would_keep():
    for resin, tells in (("bisphenol-a-vinyl-ester", True), ("epoxy-infusion", False)):
        asked = job(resin, process="infusion", low_gas_initiator=True)
        window = window_of(asked)
        at = shut_pressure(asked, window.debulk_hold)
        shut = window.course.straight.but(path_open=False)
        kept = float(shut.outcome(at).void_fraction(window.case.fibre_fraction))
        assert (kept > 0.02) is tells
        text = flagged(asked)
        assert (
            f"it comes to {math.ceil(at / 100.0)} mbar and holds about {kept:.0%}" in text
        ) is tells
