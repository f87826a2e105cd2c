"""Prepreg's water against its own resin, through advise: by hand, and never better than known."""

import functools
import json
import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from window_jobs import AUTOCLAVE, HERE_PA, PREPREG, job

import outgas
from outgas.errors import InputError, OutOfRangeError
from outgas.laminate import prepreg, water
from outgas.laminate.vapour import Vapour, monomer_pressures
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.prepreg import sure_of
from outgas.window.window import window_of

BLEEDING = outgas.Layup(bag_side=["perforated film", "breather"])
SEALED = outgas.Layup(bag_side=["release film", "breather"])
ORDER = ("passed", "at its limit", "void-prone")


def ask(humidity, layup=None, name=PREPREG, shop=None, **more):
    usual = {"temperature": "21 degC", "humidity": humidity, "barometer": "1013.25 hPa"}
    where = outgas.Shop(**{**usual, **(shop or {})})
    return outgas.advise(name, where, process="prepreg", layup=layup, **more)


def held(got):
    return got.to_dict()["verdict"]["prepreg"]


def way(got, kind):
    return next((w for w in got.alternatives if w.kind == kind), None)


def pure(celsius=121.0):
    return outgas.vapour_pressure("water", f"{celsius} degC").m_as("Pa")


# The resin's own pressure ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "per_cent"), [(0.0, 49), (0.1, 44), (0.2, 40), (0.3, 35), (0.5, 25)]
)
def test_humidity_limits_at_121_degrees_and_one_atmosphere(share, per_cent):
    dry, wet = (held(ask((per_cent + by) / 100.0))["passes_below_share"] for by in (-0.6, 0.6))
    assert (wet or 0.0) <= share < dry


@pytest.mark.parametrize(
    ("humidity", "layup", "state"),
    [
        ("20 %", SEALED, "passed"),
        ("40 %", SEALED, "at its limit"),
        ("45 %", SEALED, "void-prone"),
        ("60 %", SEALED, "void-prone"),
        ("5 %", BLEEDING, "passed"),
        ("20 %", BLEEDING, "at its limit"),
        ("40 %", BLEEDING, "void-prone"),
        ("45 %", BLEEDING, "void-prone"),
        ("60 %", BLEEDING, "void-prone"),
    ],
)
def test_a_vacuum_bag_prepreg_at_its_usual_cure(humidity, layup, state):
    got = ask(humidity, layup)
    assert got.verdict.state == state
    assert got.safe == (state == "passed")


def test_a_damp_prepreg_is_told_how_little_its_fibres_may_carry_and_how_long_it_dries():
    got = ask("45 %")
    assert "passes only while the fibres carry less than 8% of the clamp" in got.verdict.text
    assert 1.0 - 0.45 * pure() / HERE_PA == pytest.approx(0.09, abs=2e-3)
    assert re.search(
        r"dry it first \(likely \d+ min of vacuum, \d+ h to be sure\)", got.to_text(full=True)
    )
    assert "even resin that carries all of the clamp" in ask("60 %").verdict.text
    assert "fibres carry" not in ask("20 %").verdict.text


def test_the_resin_carries_what_its_fibres_leave_it():
    # 20 % (10 to 40) of the clamp on fibres where nothing bleeds, 50 % (20 to 80) where it does
    for layup, ends in ((None, (0.8, 0.6, 0.9)), (BLEEDING, (0.5, 0.2, 0.8))):
        got = ask("30 %", layup)
        named = (f"resin_pressure_{end}_Pa" for end in ("nominal", "low", "high"))
        assert [held(got)[n] for n in named] == pytest.approx([s * HERE_PA for s in ends])
        assert got.resin_pressure_Pa == pytest.approx(ends[1] * HERE_PA)
        texts = (f"{int(s * HERE_PA / 100.0)}" for s in ends[:2])
        assert "against {} mbar in the resin, {} at the least".format(*texts) in got.verdict.text


def test_an_autoclave_presses_on_the_bag_so_that_fibres_take_their_share_of_it_too():
    got = ask("40 %", name=AUTOCLAVE, rig=outgas.Rig(autoclave="3 bar"))
    assert held(got)["resin_pressure_low_Pa"] == pytest.approx(0.6 * (HERE_PA + 3e5))


def test_a_weaker_bag_is_never_credited_with_what_it_leaves_in_the_resin():
    full = ask("40 %")
    for more in ({"rig": outgas.Rig(pump="two-stage")}, {"bag_pressure": "900 mbar"}):
        got = ask("40 %", **more)
        assert held(got)["resin_pressure_low_Pa"] == held(full)["resin_pressure_low_Pa"]
        assert got.verdict.state == full.verdict.state
        assert held(got)["passes_below_share"] == held(full)["passes_below_share"]


def test_a_bag_bleeds_only_where_its_layers_are_said_to_let_gas_out():
    assert held(ask("30 %"))["sealed"]
    assert held(ask("30 %", SEALED))["sealed"]
    assert not held(ask("30 %", BLEEDING))["sealed"]
    said = {name: " ".join(ask("30 %", layup).assumptions) for name, layup in
            (("usual", None), ("sealed", SEALED), ("bleeding", BLEEDING))}  # fmt: skip
    assert "20% of the clamp (10% to 40%, estimate)" in said["usual"]
    assert "taken to keep the resin in" in said["usual"]
    assert "no bleed" in said["sealed"]
    assert "50% of the clamp (20% to 80%, estimate)" in said["bleeding"]
    assert "can bleed" in said["bleeding"]


def test_surer_asks_more_of_the_resin():
    shy, usual, bold = (
        held(ask("30 %", confidence=c))["resin_pressure_low_Pa"] for c in (0.99, 0.95, 0.8)
    )
    assert shy < usual < bold
    assert held(ask("30 %", BLEEDING, confidence=0.999))["resin_pressure_low_Pa"] >= 0.0


@given(rh=st.floats(0.05, 0.95), more=st.floats(0.0, 0.5))
def test_damper_or_bleeding_is_never_better(rh, more):
    wetter = min(1.0, rh + more)
    states = [ORDER.index(ask(h).verdict.state) for h in (rh, wetter)]
    assert states[1] >= states[0]
    assert ORDER.index(ask(rh, BLEEDING).verdict.state) >= states[0]


# Drying ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("apart", "hours"), [(0.5e-3, 0.5), (2e-3, 7.5)])
def test_half_of_the_water_leaves_by_channels_so_far_apart_in(apart, hours, monkeypatch):
    rate = functools.partial(prepreg.drying_rate, channels=Band.exact(apart))
    monkeypatch.setattr(prepreg, "drying_rate", rate)
    vapour = catalogue.prepreg().drying.at_channel.si
    left = ask("50 %", dried=f"{hours} h").water_activity[0]
    assert (left - vapour) / (0.5 - vapour) == pytest.approx(0.5, abs=0.02)


def test_the_verdict_stands_on_the_slow_end_of_what_is_left():
    got = ask("45 %", dried="8 h")
    left = prepreg.activity_after(Band.exact(0.45), 8 * 3600.0, prepreg.drying_rate(294.15))
    assert got.water_activity == pytest.approx((left.nominal, left.high))
    assert got.verdict.high_Pa == pytest.approx(left.high * pure(), rel=0.01)
    assert left.high > 3.0 * left.nominal
    said = next(text for text in got.assumptions if text.startswith("water activity"))
    assert "0.45 when laid up, then 8.0 h under full vacuum at 21 degC" in said


@pytest.mark.parametrize("humidity", ["30 %", "45 %", "70 %"])
def test_dried_as_long_as_it_is_told_it_passes_and_no_sooner(humidity):
    damp = ask(humidity)
    slow = held(damp)["drying_slow_s"]
    told = int(re.search(r"(\d+) h to be sure", damp.verdict.text)[1])
    assert slow <= told * 3600.0 < slow + 3600.0
    assert ask(humidity, dried=f"{told} h").verdict.state == "passed"
    assert ask(humidity, dried=f"{slow!r} s").verdict.state == "passed"
    assert ask(humidity, dried=f"{0.98 * slow} s").verdict.state != "passed"
    # the likely time leaves, likely, what passes: and no sooner
    wanted = held(damp)["passes_below_activity"]
    likely = held(damp)["drying_s"]
    assert ask(humidity, dried=f"{likely} s").water_activity[0] <= wanted * (1.0 + 1e-6)
    assert ask(humidity, dried=f"{0.98 * likely} s").water_activity[0] > wanted


def test_drying_times_are_those_of_the_slab():
    damp = held(ask("40 %"))
    time = prepreg.time_to(
        Band.exact(0.4), damp["passes_below_activity"], prepreg.drying_rate(294.15)
    )
    found = damp["drying_s"], damp["drying_slow_s"]
    assert found == pytest.approx((time.nominal, time.high), rel=1e-4)


def test_no_drying_is_needed_where_it_passes_and_none_is_promised_where_the_channels_keep_it_wet():
    assert (held(ask("20 %"))["drying_s"], held(ask("20 %"))["drying_slow_s"]) == (0.0, 0.0)
    bled = ask("40 %", BLEEDING)
    assert held(bled)["drying_slow_s"] is None
    assert "no time is sure to do" in bled.verdict.text
    assert not way(bled, "vacuum drying").opens
    hot = ask("40 %", BLEEDING, hottest="180 degC")  # drier than the vapour in its channels likely
    assert held(hot)["drying_s"] is None or held(hot)["drying_s"] > held(bled)["drying_s"]
    json.dumps(bled.to_dict(), allow_nan=False)


@given(rh=st.floats(0.1, 1.0), t=st.floats(0.0, 7e5), more=st.floats(0.0, 1e6))
def test_more_drying_never_leaves_it_wetter_nor_wetter_than_it_was(rh, t, more):
    first, then = (ask(rh, dried=f"{x} s").water_activity for x in (t, t + more))
    assert then[0] <= first[0] + 1e-12
    assert then[1] <= first[1] + 1e-12
    assert first[0] - 1e-12 <= first[1] <= rh + 1e-12


def test_wetter_than_its_isotherm_holds_it_dries_as_if_it_were_soaked():
    edge = catalogue.prepreg().drying.proportional_below.si
    below, above = (ask(edge + by, dried="48 h").water_activity[1] for by in (0.0, 1e-6))
    soaked = prepreg.activity_after(Band.exact(1.0), 48 * 3600.0, prepreg.drying_rate(294.15)).high
    assert above == pytest.approx(soaked)
    assert below < above


def test_it_dries_as_the_colder_of_shop_and_tool():
    kept = {"temperature": "24 degC", "humidity": "40 %"}
    warm, cold, heated = (
        ask("40 %", dried="8 h", shop={**kept, "tool_temperature": T}).water_activity[1]
        for T in ("24 degC", "18 degC", "60 degC")
    )
    assert cold > warm
    assert heated == warm


def test_a_wooden_core_keeps_its_own_water_however_long_the_skins_dry():
    core = outgas.Layup(core="15 mm balsa")
    wet, dried = (
        ask("60 %", core, hottest="90 degC", dried=t).water_activity[1] for t in ("0 h", "100 h")
    )
    assert wet == dried


def test_not_dried_at_all_is_as_if_nothing_were_said():
    nothing, none = ask("45 %"), ask("45 %", dried="0 h")
    assert none == nothing
    assert none.to_dict() == nothing.to_dict() | {"asked": none.to_dict()["asked"]}


def test_only_prepreg_is_dried_and_no_longer_than_it_lives():
    shop = outgas.Shop(temperature="21 degC", humidity="50 %")
    for process, name in (("wet layup", "epoxy-laminating"), ("degassing", "epoxy-laminating")):
        with pytest.raises(InputError, match="only prepreg is dried under vacuum") as told:
            outgas.advise(name, shop, process=process, dried="8 h")
        assert "\n" not in str(told.value)
    with pytest.raises(OutOfRangeError, match="dried is 721 h, outside 0 to 720 h"):
        ask("40 %", dried="721 h")
    with pytest.raises(InputError, match="zero or more"):
        ask("40 %", dried="-1 h")


# Ways out --------------------------------------------------------------------------------------


def test_each_way_out_of_a_wet_prepreg_is_enough_and_a_step_less_is_not():
    for layup in (None, BLEEDING):
        damp = ask("60 %", layup)
        most = int(re.search(r"below (\d+)% humidity", way(damp, "humidity").text)[1])
        assert ask(f"{most} %", layup).verdict.state == "passed"
        assert ask(f"{most + 1} %", layup).verdict.state != "passed"
        bar = float(re.search(r"with ([\d.]+) bar or more", way(damp, "pressure").text)[1])
        for more, passes in ((0.0, True), (-0.11, False)):
            rig = outgas.Rig(autoclave=f"{bar + more} bar")
            assert (ask("60 %", layup, rig=rig).verdict.state == "passed") == passes
        assert all(w.opens for w in damp.alternatives if w.kind in ("humidity", "pressure"))


def test_keeping_the_resin_in_is_a_way_out_only_where_that_is_enough():
    assert way(ask("20 %", BLEEDING), "no bleed").opens
    assert ask("20 %", SEALED).verdict.state == "passed"
    assert way(ask("40 %", BLEEDING), "no bleed") is None
    assert way(ask("40 %", SEALED), "no bleed") is None


def test_drying_is_told_beside_what_shops_hold_and_ways_that_do_come_first():
    damp = ask("45 %")
    assert "(shops hold 4 to 16 h)" in way(damp, "vacuum drying").text
    assert way(damp, "vacuum drying").opens
    assert math.isfinite(held(damp)["drying_slow_s"])
    opens = [w.opens for w in ask("45 %", BLEEDING).alternatives]
    assert opens == sorted(opens, reverse=True)
    assert not opens[-1]
    assert [w.kind for w in ask("10 %").alternatives] == ["humidity"]


@pytest.mark.parametrize("low", [4e4, 9e4])
def test_what_the_resin_is_sure_to_hold_down_just_passes(low):
    resin = prepreg.ResinPressure(low * 1.1, low, low * 1.2)
    sure = sure_of(resin)
    for push, state in ((0.999 * sure, "passed"), (1.001 * sure, "at its limit")):
        assert prepreg.judge(push, resin, 0.0, 101325.0).state == state


def test_the_fibres_carry_no_less_than_nothing_and_no_more_than_all():
    got = held(ask("30 %", BLEEDING, confidence=0.999))
    assert (got["fibre_share_low"], got["fibre_share_high"]) == (0.0, 1.0)
    assert got["resin_pressure_low_Pa"] == pytest.approx(0.0, abs=1e-6)
    assert got["resin_pressure_high_Pa"] == pytest.approx(HERE_PA)


def test_an_autoclave_of_no_stated_pressure_is_taken_at_the_low_end_of_its_usual():
    usual = catalogue.resin(AUTOCLAVE).applied_pressure
    got = held(ask("40 %", name=AUTOCLAVE))
    assert got["resin_pressure_low_Pa"] == pytest.approx(0.6 * (HERE_PA + usual.low_si))
    assert usual.low_si < usual.high_si


@pytest.mark.parametrize("bag_Pa", [0.0, 20000.0])
def test_the_pressure_that_would_do_just_does_whatever_the_bag_is_held_at(bag_Pa, monkeypatch):
    from outgas.window import prepreg as module

    monkeypatch.setattr(module, "core_limit", lambda case: (bag_Pa, bag_Pa))
    asked = job(PREPREG, process="prepreg")
    case = window_of(asked).case
    damp = module.held_of(asked, case, Vapour({}, 8e4, 9e4))
    extra = module.pressure_to_pass(asked, case, damp)
    for more, state in ((1.0, "passed"), (-1.0, "at its limit")):
        pressed = job(PREPREG, process="prepreg", rig=outgas.Rig(autoclave=f"{extra + more} Pa"))
        assert module.held_of(pressed, case, Vapour({}, 8e4, 9e4)).found.state == state
    assert damp.push_Pa == 9e4


@pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
def test_what_drying_must_come_to_leaves_room_for_what_else_pushes():
    """A trace of acetone is not dried away: the water must be drier by as much."""
    plain, tainted = (
        held(ask("45 %", **more))["passes_below_activity"]
        for more in ({}, {"contaminants": {"acetone": "0.05 %"}})
    )
    case = window_of(job(PREPREG, process="prepreg", contaminants={"acetone": "0.05 %"})).case
    others = monomer_pressures(case.resin, case.contaminants, case.k, case.hottest_high_K)[1]
    wet = pure(case.hottest_high_K - 273.15) * (
        1.0 + case.k * water.water_spread(case.hottest_high_K)
    )
    low = 0.95 * 0.6 * HERE_PA
    assert plain == pytest.approx(low / wet, rel=1e-3)
    assert tainted == pytest.approx((low - others) / wet, rel=1e-3)
    assert 0.0 < tainted < plain
