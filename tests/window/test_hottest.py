"""How hot a laminate gets before its gel holds: by its heat, as named, by its cure, or stated."""

import math
from types import SimpleNamespace

import pytest
from window_jobs import PREPREG, job

import outgas
from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.laminate import warming
from outgas.laminate.liquid import liquid_of
from outgas.laminate.vapour import warmest_known
from outgas.tables import catalogue
from outgas.window.case.hottest import hottest_of

SHOP_K = 22.0 + ZERO_CELSIUS_K


def hottest(asked, followed=None):
    return hottest_of(asked, liquid_of(asked), followed)


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
    assert not hottest(cured).known
    hotter = job(PREPREG, process="prepreg", where={"tool_temperature": "150 degC"})
    assert hottest(hotter).kelvin == pytest.approx(150.0 + ZERO_CELSIUS_K)  # the tool, by then
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


def test_a_moment_beyond_every_curve_is_no_cooler_at_its_hot_side_than_it_is():
    far = job(hottest="40 degC").but(hottest_K=700.0)
    assert hottest(far).high == 700.0


def test_what_is_lost_in_rounding_is_not_below_the_shop():
    assert hottest(job().but(hottest_K=SHOP_K - 5e-10)).kelvin == pytest.approx(SHOP_K)


def test_a_layup_that_was_followed_is_as_hot_as_its_heat_and_says_so():
    layup = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"])
    found = SimpleNamespace(hot_K=310.15, hot_high_K=315.15, hold_s=1800.0, gel_s=1500.0)
    got = hottest(job(layup=layup), found)
    assert (got.kelvin, got.high, got.warming) == (310.15, 315.15, found)
    thick = layup.laminate_thickness_m * 1e3
    assert got.text == (
        f"hottest moment: 37 degC, up to 42, by the heat of {thick:.1f} mm of laminate until its "
        "gel can hold a bubble at 30 min, tool not named: it takes up no heat"
    )
    found.hold_s = math.inf
    tooled = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"], tool="6 mm glass plate")
    assert hottest(job(layup=tooled), found).text.endswith("until its gel can hold a bubble")


def test_a_layup_that_cannot_be_followed_warms_as_if_it_lost_no_heat(monkeypatch):
    monkeypatch.setattr(warming, "adiabatic_bound", lambda *_: (40.0, 50.0))
    layup = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"])
    got = hottest(job(layup=layup))
    assert (got.kelvin, got.high) == pytest.approx((SHOP_K + 40.0, SHOP_K + 50.0))
    assert "62 degC, if the laminate lost no heat" in got.text
