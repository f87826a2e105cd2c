"""Prepreg: its oven's clock by hand, its debulks, and its water against the resin's pressure."""

import dataclasses
import math

import pytest
from plan_grounds import SHOP_K, ground, heated
from window_jobs import AUTOCLAVE, HERE_PA, PREPREG

import outgas
from outgas.laminate.case import hottest_vapour
from outgas.laminate.vapour import Vapour, vapour, warmest_known
from outgas.laminate.water import water_activity
from outgas.plan import prepreg
from outgas.plan.caps import boil_cap, sheet_cap
from outgas.tables import catalogue
from outgas.window.prepreg import held_of

CURE_K = 121.0 + 273.15  # its sheet's; 45 K below it dwells, at 2 K a minute it is reached
RUN = heated(
    [0.0, 1620.0, 5220.0, 6570.0, 9000.0, 99000.0],
    [[SHOP_K] * 6, [SHOP_K, 349.15, 349.15, CURE_K, CURE_K + 3.0, CURE_K]],
    [[0.0] * 6, [0.0, 0.0, 0.1, 0.3, 0.8, 0.99]],
)


def made(plies="7 x 200 g/m2 woven carbon", warming=None, name=PREPREG, **more):
    layup = outgas.Layup(plies=[plies], tool="6 mm aluminium")
    return ground(name, "prepreg", layup=layup, changes={"warming": warming}, **more)


def test_the_oven_ramps_dwells_and_cures_on_its_own_clock():
    g = made()
    assert g.job.resin.cure_temperature.si == pytest.approx(CURE_K)
    # (121 - 45 - 22) / 2 = 27 min; an hour; 45 / 2 = 22.5 min; two hours
    assert prepreg.oven_times(g) == pytest.approx((0.0, 1620.0, 5220.0, 6570.0, 13770.0))
    names = [(name, kind) for name, kind, *_ in prepreg.oven_stages(g)]
    assert names == [
        ("ramp to the dwell", ""),
        ("dwell", ""),
        ("ramp to the cure", ""),
        ("cure", "cure"),
    ]
    spans = [(start, end) for *_, start, end in prepreg.oven_stages(g)]
    assert spans == list(zip(prepreg.oven_times(g)[:-1], prepreg.oven_times(g)[1:], strict=True))


def test_a_tool_that_is_warm_already_needs_no_ramp_to_the_dwell():
    g = made()
    warm = dataclasses.replace(g, case=g.case.but(tool_K=CURE_K - 20.0))
    # 20 K are left for the second ramp
    assert prepreg.oven_times(warm) == pytest.approx((0.0, 0.0, 3600.0, 4200.0, 11400.0))
    times, air = prepreg.oven_air(warm)
    assert air == pytest.approx([CURE_K - 20.0, CURE_K - 20.0, CURE_K - 20.0, CURE_K])
    assert times == pytest.approx([0.0, 0.0, 3600.0, 4200.0])


def test_the_ovens_air_follows_its_clock_whatever_the_laminate_does():
    times, air = prepreg.oven_air(made(warming=RUN))
    assert times == pytest.approx([0.0, 1620.0, 5220.0, 6570.0])
    assert air == pytest.approx([SHOP_K, CURE_K - 45.0, CURE_K - 45.0, CURE_K])


def test_the_cure_lasts_until_the_laminate_is_hard_if_that_is_longer():
    g = made(warming=RUN)
    assert 0.3 < g.hard < 0.8  # so it is hard at 9000 s, before the oven is done
    assert prepreg.oven_times(g)[-1] == pytest.approx(13770.0)
    late = dataclasses.replace(
        g, warming=heated([0.0, 20000.0], RUN.run.T[:, :2], [[0, 0], [0, 1]])
    )
    end = 20000.0 + g.clock.leak_check.si
    assert prepreg.oven_times(late)[-1] == pytest.approx(end)
    never = heated([0.0, 50000.0], [[SHOP_K] * 2] * 2, [[0.0, 0.0], [0.0, 0.1]])
    end = 50000.0 + g.clock.leak_check.si
    assert prepreg.oven_times(made(warming=never))[-1] == pytest.approx(end)


def test_it_is_debulked_every_few_plies_after_the_thaw_and_tested_before_the_oven():
    found, _ = prepreg.prepreg(made(warming=RUN))
    names = [s.name for s in found]
    assert names == [
        "thaw, sealed", *(f"lay up and debulk {i} of 3" for i in (1, 2, 3)), "drop test",
        "ramp to the dwell", "dwell", "ramp to the cure", "cure", "cool, vacuum off, release",
    ]  # fmt: skip
    six, _ = prepreg.prepreg(made("6 x 200 g/m2 woven carbon", warming=RUN))
    assert sum("debulk" in s.name for s in six) == 2
    assert sum(s.dry for s in found) == 5
    assert found[4].end_s == pytest.approx(0.0)  # the clock starts with the oven
    assert not found[0].vacuum
    assert all(s.vacuum for s in found[1:])


def test_its_water_is_told_up_and_the_resins_pressure_down():
    g = made(warming=RUN)
    found, _ = prepreg.prepreg(g)
    dwell = next(s for s in found if s.name == "dwell")
    warm = min(g.warmest(dwell.start_s, dwell.end_s), warmest_known(g.case))
    push = math.ceil(vapour(g.case, warm).high / 100.0 - 1e-6)
    assert f"its water pushes up to {push} mbar at {warm - 273.15:.0f} degC" in dwell.why
    # its fibres carry a fifth of the clamp, at the most two
    assert (
        f"against {int(0.8 * HERE_PA // 100)} mbar in the resin, {int(0.6 * HERE_PA // 100)} at"
        in (dwell.why)
    )
    assert dwell.cautions
    boil, sheet = boil_cap(g.case, 0.95 * 0.6 * HERE_PA), sheet_cap(g.job.resin)
    assert boil < sheet
    assert dwell.limit_K == pytest.approx(boil)


def test_what_its_water_pushes_is_told_by_its_upper_end(monkeypatch):
    monkeypatch.setattr(prepreg, "vapour", lambda case, T: Vapour({}, 10000.0, 20010.0))
    found, _ = prepreg.prepreg(made(warming=RUN))
    assert "its water pushes up to 201 mbar" in next(s for s in found if s.name == "cure").why


def test_an_autoclave_puts_its_pressure_on_the_resin_and_into_the_ramps_name():
    g = made(name=AUTOCLAVE, warming=RUN, rig=outgas.Rig(autoclave="3 bar"))
    found, _ = prepreg.prepreg(g)
    ramp = next(s for s in found if s.name.startswith("ramp to the dwell"))
    assert ramp.name == "ramp to the dwell, autoclave pressure on"
    assert f"{int(0.6 * (HERE_PA + 300000.0) // 100)} at the least" in ramp.why


@pytest.mark.parametrize(
    ("name", "rig", "on"),
    [
        (PREPREG, None, False),
        (AUTOCLAVE, None, True),  # its sheet asks for it
        (PREPREG, outgas.Rig(autoclave="3 bar"), True),
    ],
)
def test_the_ramp_names_the_autoclave_where_there_is_one(name, rig, on):
    first = prepreg.oven_stages(made(name=name, rig=rig))[0][0]
    assert first.endswith("autoclave pressure on") == on


# The hold --------------------------------------------------------------------------------------


def held_for(humidity, **more):
    g = made(warming=RUN, where={"humidity": humidity}, **more)
    return g, prepreg.held_dry(g)


def test_it_is_held_under_full_vacuum_after_the_last_debulk_and_before_the_oven():
    g, held = held_for("20 %")
    found, _ = prepreg.prepreg(held)
    names = [s.name for s in found]
    at = names.index("hold under full vacuum")
    assert names[at - 1] == "drop test"
    assert names[at + 1] == "ramp to the dwell"
    hold = found[at]
    assert hold.vacuum
    assert hold.end_s == pytest.approx(0.0)
    assert (hold.low_Pa, hold.high_Pa) == (g.cure.low, g.cure.high)
    assert "hold under full vacuum" not in [s.name for s in prepreg.prepreg(g)[0]]


def test_what_passes_is_held_as_short_as_shops_do_and_what_does_not_until_it_does():
    shops = catalogue.prepreg().drying.hold
    assert held_for("20 %")[1].job.dried_s == shops.low_si
    g, damp = held_for("45 %")
    hours = damp.job.dried_s / 3600.0
    assert hours == round(hours) > shops.high_si / 3600.0
    T = max(g.case.hottest_K, float(RUN.run.T[1].max()))  # the warmest that its oven gets it
    assert g.case.hottest_K < T

    def passes(seconds):
        push = vapour(g.case.at(T).but(dried_s=seconds), T).high
        return push <= 0.95 * 0.6 * HERE_PA

    assert passes(damp.job.dried_s)
    assert not passes(damp.job.dried_s - 3600.0)
    # no shorter than shops hold, though an hour would do
    dried = prepreg.hold_of(g.job, g.case.at(g.case.hottest_K).but(given_water=0.284))
    assert dried == max(shops.low_si, dried)


def test_what_no_hold_within_its_life_dries_is_held_as_long_as_shops_do():
    drying = catalogue.prepreg().drying
    bled = outgas.Layup(
        plies=["7 x 200 g/m2 woven carbon"], bag_side=["perforated film", "breather"]
    )
    g = ground(PREPREG, "prepreg", layup=bled, changes={"warming": RUN})
    assert prepreg.hold_of(g.job, g.case) == drying.hold.high_si
    slow = held_of(g.job, g.case.at(400.0), hottest_vapour(g.case.at(400.0))).drying.slow_s
    assert slow > drying.out_life.low_si


def test_a_hold_that_was_said_is_kept_and_none_leaves_the_stage_out():
    for said, seconds in (("5 h", 18000.0), ("0 h", 0.0)):
        held = prepreg.held_dry(made(warming=RUN, dried=said))
        assert held.job.dried_s == seconds
        spans = [s.duration_s for s in prepreg.prepreg(held)[0] if s.name == prepreg.HOLD]
        assert spans == ([seconds] if seconds else [])


def test_the_hold_says_what_it_does_to_the_water_and_that_it_is_long():
    _, damp = held_for("60 %")
    hold = next(s for s in prepreg.prepreg(damp)[0] if s.name == prepreg.HOLD)
    left = water_activity(damp.case, damp.case.hottest_high_K)
    assert f"falls from 0.60 to {left[0]:.2f}, no higher than {left[1]:.2f}" in hold.why
    assert "shops hold 4 to 16 h, so this is longer" in hold.why
    _, dry = held_for("20 %")
    hold = next(s for s in prepreg.prepreg(dry)[0] if s.name == prepreg.HOLD)
    assert "(shops hold 4 to 16 h)" in hold.why


def test_the_oven_stands_on_the_water_that_the_hold_leaves():
    g, held = held_for("60 %")
    assert held.window.limits.safe["vapour"] < g.window.limits.safe["vapour"]
    wet, dried = (
        next(s for s in prepreg.prepreg(x)[0] if s.name == "cure").limit_K for x in (g, held)
    )
    assert dried > wet


def test_it_cools_at_the_ovens_rate_with_the_vacuum_on_until_it_is_cold():
    last = prepreg.prepreg(made(warming=RUN))[0][-1]
    assert last.duration_s == pytest.approx((121.0 - 22.0) / 2.0 * 60.0)
    assert last.holds == "until cold"
