"""Steps on a clock: where each starts, how warm it may be, and when the laminate is hard."""

import dataclasses
import math

import pytest
from plan_grounds import SHOP_K, ground, heated, held_at, stage
from window_jobs import HERE_PA

import outgas
from outgas.laminate.batch import Batch
from outgas.laminate.course import freed
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.plan import steps
from outgas.plan.basis import Pressures
from outgas.plan.caps import boil_cap, flash_cap, sheet_cap
from outgas.plan.steps import Timeline
from outgas.tables import catalogue

BAND = Pressures(50000.0, 60000.0, 70000.0)
TWO = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")


def line(g=None, **more):
    made = Timeline(g or ground(), **more)
    made.add("one", 100.0, BAND, "froth", "so")
    made.add("two", 50.0, BAND, "froth", "so")
    return made


def test_stages_follow_one_another_and_what_takes_no_time_is_none():
    made = line()
    made.add("nothing", 0.0, BAND, "froth", "so")
    assert [(s.name, s.start_s, s.end_s) for s in made.stages] == [
        ("one", 0.0, 100.0), ("two", 100.0, 150.0),
    ]  # fmt: skip
    early = made.before(-30.0)
    assert [(s.start_s, s.end_s) for s in early] == [(-180.0, -80.0), (-80.0, -30.0)]
    found, g = steps.in_order(line(mixed=False), made)
    assert [s.start_s for s in found] == [-150.0, -50.0, 0.0, 100.0]
    assert g is made.ground


def one(g, *, band=BAND, mixed=True, **more):
    made = Timeline(g, mixed=mixed)
    made.add("one", 100.0, band, "froth", "so", **more)
    return made.stages[0]


def test_a_cap_is_the_lowest_of_boil_sheet_flash_and_one_more():
    g = ground()
    boil = boil_cap(g.case, BAND.hold)
    flash, sheet = flash_cap(g.job.resin, SHOP_K), sheet_cap(g.job.resin)
    assert flash < boil < sheet
    assert one(g).limit_K == boil
    assert one(g, open_face=True).limit_K == flash
    assert one(g, has_set=True).limit_K == sheet
    assert one(g, kind="hold").limit_K == boil  # the lower of the two
    thin = dataclasses.replace(BAND, hold=HERE_PA)
    assert one(g, band=thin, kind="hold").limit_K == min(boil_cap(g.case, HERE_PA), sheet)
    assert one(ground("epoxy-laminating"), open_face=True).limit_K is None  # not by its boil
    assert one(g, limit=299.0).limit_K == 299.0
    assert one(g, limit=299.0, dry=True).limit_K is None


def test_a_stage_holds_what_its_band_says_and_no_vacuum_at_the_air():
    g = ground()
    made = one(g)
    assert (made.low_Pa, made.setpoint_Pa, made.high_Pa) == (50000.0, 60000.0, 70000.0)
    assert made.vacuum
    assert not one(g, vacuum=False).vacuum
    assert not one(g, band=g.free).vacuum
    deep = one(g, band=Pressures(0.0, 0.0, 5000.0))
    assert deep.setpoint_Pa is None  # as deep as the pump goes
    burning = ground("acrylic-infusion")
    assert any("ignitable" in c for c in one(burning, open_face=True).cautions)
    assert not one(burning).cautions


def test_mixed_resin_is_as_warm_as_its_heat_and_plain_resin_as_its_shop():
    run = heated([0.0, 100.0], [[400.0, 400.0], [295.0, 305.0]])
    g = ground(changes={"warming": run}, where={"tool_temperature": "25 degC"})
    assert one(g).expected_K == pytest.approx(305.0)
    assert one(g, mixed=False).expected_K == SHOP_K
    assert one(g, dry=True).expected_K == g.base > SHOP_K
    assert one(g, expected=300.5).expected_K == 300.5


def test_no_stage_before_the_hold_is_let_warmer_than_the_next_may_be_nor_below_its_own():
    def capped(*given):
        found = [
            stage(name=str(i), kind=kind, limit_K=cap, expected_K=warm)
            for i, (kind, cap, warm) in enumerate(given)
        ]
        return [s.limit_K for s in steps._passed_on(found)]

    hold = ("hold", 290.0, 295.0)
    assert capped(("", 310.0, 295.0), ("", 300.0, 295.0), hold) == [300.0, 300.0, 290.0]
    assert capped(("", None, 295.0), ("", 300.0, 295.0), hold) == [300.0, 300.0, 290.0]
    assert capped(("", 310.0, 303.0), ("", 300.0, 295.0), hold) == [303.0, 300.0, 290.0]
    assert capped(("", 299.0, 295.0), ("", 300.0, 295.0), hold) == [299.0, 300.0, 290.0]


def test_a_drop_test_allows_its_rate_for_its_time_told_down_to_a_whole_millibar():
    clock = catalogue.practice().clock
    minutes = clock.drop_test_time.si / 60.0
    assert steps.drop_allowed(clock) == pytest.approx(minutes * clock.drop_allowed.si * 60.0)
    assert [steps.mbar_lost(p) for p in (2299.0, 2300.0, 2399.0)] == [22, 23, 23]


def test_a_pot_has_room_for_the_froth_of_all_the_air_it_frees():
    g = ground("epoxy-laminating")
    cool = vapour(g.case, g.case.shop_K).nominal
    full = g.case.but(dissolved_Pa=Band.exact(HERE_PA - cool))
    degassed = dataclasses.replace(g, case=g.case.but(dissolved_Pa=Band.exact(0.0)))
    gas, room = steps.head_space(degassed, 5000.0)
    assert gas == pytest.approx(freed(full, 5000.0))  # what it held before, not what is left
    assert room == pytest.approx(max(1.0 / g.clock.pot_fill.si, 1.0 + g.clock.head_space.si * gas))
    least = 1.0 / g.clock.pot_fill.si
    assert steps.head_space(degassed, 90000.0)[1] == pytest.approx(least)


def mixed(name, process="pressing", **more):
    g = ground(name, process, layup=TWO, batch=0.2, **more)
    made = Timeline(dataclasses.replace(g, pace=None))
    steps.mix(g if g.pace is None else made.ground, made, 100.0, 200.0)
    return made.stages[0]


def test_peroxide_acid_and_hardener_are_each_mixed_in_their_own_way():
    assert "0.2 kg: promoter in first" in mixed("orthophthalic-polyester").watch_for
    assert "acid last" in mixed("resole-phenolic").watch_for
    assert "by weight at the sheet's ratio" in mixed("epoxy-laminating").watch_for
    assert not mixed("epoxy-laminating").vacuum
    assert mixed("epoxy-laminating").cautions


RUN = heated(
    [0.0, 1000.0, 2000.0, 3000.0, 4000.0],
    [[400.0] * 5, [SHOP_K, 300.0, 320.0, 304.0, 296.0], [SHOP_K, 299.0, 321.0, 305.5, 296.0]],
    [[0.0] * 5, [0.0, 0.3, 0.99, 0.99, 0.99], [0.0, 0.2, 0.5, 0.99, 0.99]],
    hold_s=1500.0, last_gel_s=1100.0, peak_s=2000.0,
)  # fmt: skip


def test_it_is_hard_when_its_last_cell_is_at_the_slow_end_and_cooled_when_all_is_within_reach():
    g = ground(changes={"warming": RUN})
    assert 0.5 < g.hard < 0.99
    assert steps._hard_at(g, RUN) == 3000.0
    slow = dataclasses.replace(g, pace=Batch(g.job.curing, 1.0, 0.8, 1.5, 900.0))
    assert steps._hard_at(slow, RUN) == 4500.0
    within = g.clock.cool_within.si
    assert RUN.run.T[2][3] - 296.0 < within  # cool by 3000 s, over what it comes to
    assert steps.cooled(g, RUN) == 3000.0
    assert steps.cooled(slow, RUN) == 4500.0
    soon = heated(RUN.run.t, RUN.run.T, [[0.0] * 5, [0.0, *[0.99] * 4], [0.0, *[0.99] * 4]])
    assert steps._hard_at(g, soon) == 1000.0
    assert steps.cooled(g, soon) == 3000.0  # it is hard long before it is cool
    never = heated([0.0, 50.0], [[1, 1], [SHOP_K, SHOP_K]], [[0, 0], [0.0, 0.1]])
    assert steps._hard_at(g, never) == 50.0


def test_the_gel_holds_when_its_last_cell_does_or_at_the_end_of_the_run():
    assert steps._holds_at(RUN) == 1500.0
    early = heated([0.0, 9e3], [[1, 1]] * 2, hold_s=900.0, last_gel_s=1100.0)
    assert steps._holds_at(early) == 1100.0
    never = heated([0.0, 9e3], [[1, 1]] * 2, hold_s=math.inf)
    assert steps._holds_at(never) == 9000.0


def after_the_last_change(process="wet layup", *, opens=True):
    more = {} if process == "pressing" else {"air_pressure": "100 mbar"}
    g = ground(process=process, layup=TWO, degas=False, **more)
    g = dataclasses.replace(g, warming=RUN, pace=None)
    g = g if opens else held_at(g, None)
    made = Timeline(g)
    made.now = 600.0
    steps.cure(g, made)
    return g, {s.name: s for s in made.stages}


def test_the_hold_runs_until_the_gel_holds_and_the_vacuum_until_it_is_cool():
    g, found = after_the_last_change()
    assert list(found) == [
        "hold to the gel", "exotherm watch", "cool under vacuum", "vacuum off, release",
    ]  # fmt: skip
    hold, watch, cool, off = found.values()
    assert (hold.start_s, hold.end_s) == (600.0, RUN.hold_s)
    assert watch.end_s == RUN.peak_s
    assert cool.end_s == 3000.0
    assert off.start_s == cool.end_s
    assert (hold.low_Pa, hold.setpoint_Pa) == (g.cure.low, g.cure.hold)
    assert hold.vacuum
    assert watch.vacuum
    assert cool.vacuum
    assert not off.vacuum
    assert off.limit_K == pytest.approx(g.base + g.clock.cool_within.si)
    assert "about 47 degC at the hottest, near 33 min" in watch.watch_for
    assert f"({math.ceil(g.debulk.hold / 100.0 - 1e-6)} mbar in the debulk)" in hold.why


def test_where_none_is_held_the_bag_stays_on_at_the_air_and_a_press_stays_shut():
    _, found = after_the_last_change(opens=False)
    assert not any(s.vacuum for s in found.values())
    assert "pump off" in found["hold to the gel"].watch_for
    assert "cool under the bag" in found
    _, press = after_the_last_change("pressing")
    assert not any(s.vacuum for s in press.values())
    assert list(press)[-2:] == ["cool in the press", "open the press, release"]
    assert press["hold to the gel"].setpoint_Pa == HERE_PA
