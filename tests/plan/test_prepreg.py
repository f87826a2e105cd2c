"""Prepreg: its oven's clock by hand, its debulks, and its water against the resin's pressure."""

import dataclasses
import math

import pytest
from plan_grounds import SHOP_K, ground, heated
from window_jobs import AUTOCLAVE, HERE_PA, PREPREG

import outgas
from outgas.laminate.vapour import Vapour, vapour, warmest_known
from outgas.plan import prepreg
from outgas.plan.caps import boil_cap, sheet_cap

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
    assert f"against {int(HERE_PA // 100)} mbar in the resin" in dwell.why
    assert dwell.cautions
    boil, sheet = boil_cap(g.case, HERE_PA), sheet_cap(g.job.resin)
    assert dwell.limit_K == pytest.approx(min(boil, sheet))


def test_what_its_water_pushes_is_told_by_its_upper_end(monkeypatch):
    monkeypatch.setattr(prepreg, "vapour", lambda case, T: Vapour({}, 10000.0, 20010.0))
    found, _ = prepreg.prepreg(made(warming=RUN))
    assert "its water pushes up to 201 mbar" in next(s for s in found if s.name == "cure").why


def test_an_autoclave_puts_its_pressure_on_the_resin_and_into_the_ramps_name():
    g = made(name=AUTOCLAVE, warming=RUN, rig=outgas.Rig(autoclave="3 bar"))
    found, _ = prepreg.prepreg(g)
    ramp = next(s for s in found if s.name.startswith("ramp to the dwell"))
    assert ramp.name == "ramp to the dwell, autoclave pressure on"
    assert f"against {int((HERE_PA + 300000.0) // 100)} mbar in the resin" in ramp.why


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


def test_it_cools_at_the_ovens_rate_with_the_vacuum_on_until_it_is_cold():
    last = prepreg.prepreg(made(warming=RUN))[0][-1]
    assert last.duration_s == pytest.approx((121.0 - 22.0) / 2.0 * 60.0)
    assert last.holds == "until cold"
