"""How warm a stage may get: each cap where its own law puts it, and the lowest of them counts."""

import dataclasses
import math
from types import SimpleNamespace

import pytest
from window_jobs import PREPREG, UP, job

import outgas
from outgas.constants import GAS_CONSTANT, ZERO_CELSIUS_K
from outgas.laminate.batch import Batch
from outgas.laminate.vapour import vapour
from outgas.plan import caps
from outgas.plan.caps import Lasts
from outgas.tables import rates
from outgas.window.case.defaults import case_of

PACE = Batch(rates.Curing(outgas.resin(UP)), 1.0, 0.8, 1.5, 1200.0)


def test_the_lowest_of_what_is_known_counts():
    assert caps.lowest(None, 310.0, 300.0) == 300.0
    assert caps.lowest(None, None) is caps.lowest() is None


def test_the_warmest_at_which_something_holds_lies_on_its_cool_side():
    got = caps.warmest_where(lambda T: T <= 310.2, 263.0, 400.0, 20)
    assert 310.2 - 137.0 / 2**20 <= got <= 310.2
    assert caps.warmest_where(lambda T: True, 263.0, 400.0, 3) == 400.0
    assert caps.warmest_where(lambda T: False, 263.0, 400.0, 9) == 263.0


@pytest.mark.parametrize("pressure", [5000.0, 30000.0, 101325.0])
def test_the_boil_cap_is_where_the_vapour_just_lets_the_bag_be(pressure):
    case = case_of(job())
    T = caps.boil_cap(case, pressure)
    assert vapour(case, T).high == pytest.approx(pressure / 3.0, rel=1e-5)
    followed = case.but(
        hottest=dataclasses.replace(case.hottest, warming=SimpleNamespace(early_K=0.0))
    )
    assert caps.boil_cap(followed, pressure, pot=True) == T  # a pot keeps the wider margin
    assert (caps.boil_cap(followed, pressure) or math.inf) > T
    wet = case_of(job(PREPREG, process="prepreg"))
    T = caps.boil_cap(wet, pressure)
    assert vapour(wet, T).high == pytest.approx(pressure, rel=1e-6)  # no share: it is compared
    assert caps.boil_cap(case, 1e9) is None


def test_a_sheet_knows_its_cure_or_else_its_peak_to_the_high_end():
    up, prepreg = outgas.resin(UP), outgas.resin(PREPREG)
    assert caps.sheet_cap(up) == up.peak_temperature.high_si
    assert caps.sheet_cap(prepreg) == prepreg.cure_temperature.high_si


def test_open_resin_keeps_clear_of_a_flash_point_that_a_shop_can_obey():
    # closed cup: styrene 31, benzyl alcohol 93, methyl methacrylate 10 degC; 5 K kept clear of it
    cool = 22.0 + ZERO_CELSIUS_K
    assert caps.flash_cap(outgas.resin(UP), cool) == pytest.approx(26.0 + ZERO_CELSIUS_K)
    assert caps.flash_cap(outgas.resin("epoxy-benzyl-alcohol"), cool) is None
    assert caps.flash_cap(outgas.resin("acrylic-infusion"), cool) is None  # no shop is at 5 degC
    assert caps.flash_cap(outgas.resin("epoxy-laminating"), cool) is None


def test_within_a_few_kelvin_of_the_flash_point_it_is_warned_of_and_past_it_forbidden():
    resin, flash = outgas.resin(UP), 31.0 + ZERO_CELSIUS_K
    for expected, cap, warned in ((25.9, 26.0, False), (28.0, 31.0, True), (31.5, 26.0, False)):
        T = expected + ZERO_CELSIUS_K
        assert caps.flash_cap(resin, T) == pytest.approx(cap + ZERO_CELSIUS_K)
        assert bool(caps.near_flash(resin, T)) is warned
    assert caps.flash_cap(resin, flash) < flash  # at it, it is too warm


def test_what_burns_in_any_shop_is_said_in_place_of_a_cap():
    assert caps.ignitable(job()) == ()
    (said,) = caps.ignitable(job("acrylic-infusion", process="infusion"))
    assert "over methyl methacrylate at any shop temperature (flash point 10 degC" in said
    (spilt,) = caps.ignitable(job(contaminants={"acetone": "1 %"}))
    assert "acetone" in spilt
    assert "-20 degC" in spilt


def test_a_gel_is_late_enough_by_the_law_of_arrhenius():
    E = rates.family_of(outgas.resin(UP)).activation_energy.si
    T = caps.gel_cap(job(), 300.0, 1000.0, 2000.0)
    assert math.exp(E / GAS_CONSTANT * (1.0 / T - 1.0 / 300.0)) == pytest.approx(2.0)
    assert T < 300.0 < caps.gel_cap(job(), 300.0, 1000.0, 900.0)
    assert caps.gel_cap(job(), 300.0, 1000.0, 0.0) is None
    assert caps.gel_cap(job(), 300.0, math.inf, 500.0) is None
    assert caps.gel_cap(job(), 300.0, 1000.0, 1.0) is None  # beyond what a cup is worked at


def test_a_cup_lasts_if_it_lasts_as_long_as_it_is_needed(monkeypatch):
    asked = []

    def lives(jobs, pace, batch, until):
        asked.extend((of.shop.temperature_K, until) for of in jobs)
        known = {290.0: None, 300.0: 600.0, 310.0: 599.0}
        return [known[of.shop.temperature_K] for of in jobs]

    monkeypatch.setattr(caps, "pot_lives", lives)
    assert [caps.cup_lasts(job(), PACE, 1.0, 600.0, T) for T in (290.0, 300.0, 310.0)] == [
        True, True, False,
    ]  # fmt: skip
    assert all(until > 600.0 for _, until in asked)  # else a cup would never be seen to last


def test_the_cap_of_a_cup_is_within_a_kelvin_on_its_cool_side(monkeypatch):
    caps.cup_cap.cache_clear()
    monkeypatch.setattr(caps, "cups_last", lambda *asked: [T <= 301.5 for T in asked[-1]])
    got = caps.cup_cap(job(), PACE, 1.0, 600.0)
    assert 300.5 <= got <= 301.5
    caps.cup_cap.cache_clear()
    monkeypatch.setattr(caps, "cups_last", lambda *asked: [True for _ in asked[-1]])
    assert caps.cup_cap(job(), PACE, 1.0, 600.0) is None
    caps.cup_cap.cache_clear()


def lasting(monkeypatch, lasts, *, gel=None, quick=None, usual=None, holds=True, batch=1.0):
    """Return the cap at 300 K expected, with the caps of a gel and of cups made up."""
    seen = []

    def cup(asked, pace, mass, needed):
        seen.append((pace, needed))
        return usual if pace is PACE else quick

    monkeypatch.setattr(caps, "gel_cap", lambda *_: gel)
    monkeypatch.setattr(caps, "cup_cap", cup)
    monkeypatch.setattr(caps, "cup_lasts", lambda *_: holds)
    return caps.lasting_cap(caps.Mixed(job(), PACE, batch, 1000.0), 300.0, lasts), seen


def test_a_quick_batch_bounds_a_cup_but_not_below_what_is_expected_where_the_sheets_lasts(
    monkeypatch,
):
    cup = Lasts(cup=600.0)
    got, seen = lasting(monkeypatch, cup, quick=305.0)
    assert got == 305.0
    pace, needed = seen[0]
    # quicker by its own shorter end, and no more uncertain then
    assert (pace.factor, pace.gel_s, needed) == pytest.approx((1.25, 960.0, 600.0))
    assert lasting(monkeypatch, cup, quick=295.0)[0] == 300.0
    assert lasting(monkeypatch, cup, quick=290.0, usual=296.0, holds=False)[0] == 296.0


def test_the_gel_bounds_it_whatever_the_cup_does(monkeypatch):
    assert lasting(monkeypatch, Lasts(gel=900.0), gel=293.0)[0] == 293.0
    assert lasting(monkeypatch, Lasts(cup=600.0), gel=293.0, quick=280.0)[0] == 293.0
    assert lasting(monkeypatch, Lasts(cup=600.0), gel=310.0, quick=305.0)[0] == 305.0
    assert lasting(monkeypatch, Lasts(cup=600.0), gel=310.0, quick=280.0, batch=None)[0] == 310.0


def test_what_is_laid_goes_by_the_sheets_own_batch(monkeypatch):
    got, seen = lasting(monkeypatch, Lasts(laid=900.0), usual=302.0)
    assert got == 302.0
    assert [needed for _, needed in seen] == [900.0]
    assert seen[0][0] is PACE
    assert lasting(monkeypatch, Lasts(laid=900.0), usual=295.0)[0] == 300.0
