"""How long the steps of a course last: as is usual, or as the gel of the laminate leaves."""

import math
from types import SimpleNamespace

import pytest
from window_jobs import job

import outgas
from outgas.job.job import working_time
from outgas.tables import catalogue
from outgas.window.lasting import lasting


def test_the_steps_last_as_long_as_is_usual_or_as_the_gel_of_the_laminate_leaves():
    clock, time = catalogue.practice().clock, catalogue.gas().time
    usual = lasting(job(), None)
    assert (usual.early_s, usual.hold_s) == (clock.debulk.si, time.hold.si)
    putty = job(process="core bonding", layup=outgas.Layup(core="15 mm PVC foam"))
    assert lasting(putty, None).hold_s == time.putty_hold.si
    slow = job("epoxy-laminating")
    assert lasting(slow, None).hold_s == time.hold_epoxy.si
    filled = job(process="infusion")
    assert lasting(filled, None).early_s == clock.settle.si
    for unsaid in (None, SimpleNamespace(gel_s=math.inf)):  # nor does what never gels say it
        assert lasting(job(), unsaid).cup_s == time.cup.si


CLOCK = catalogue.practice().clock
MIX, BAG, CHECK = 180.0, 240.0, 60.0  # of the clock, in seconds
TWO = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])


def test_the_clock_is_as_is_written_here():
    assert (CLOCK.mix.si, CLOCK.bag.si, CLOCK.leak_check.si) == (MIX, BAG, CHECK)
    assert CLOCK.last_change.si == pytest.approx(0.7)
    assert (CLOCK.debulk.si, CLOCK.debulk_least.si, CLOCK.settle.si) == (600.0, 60.0, 600.0)


@pytest.mark.parametrize(
    ("gel_s", "early_s", "hold_s"),
    [
        (4000.0, 600.0, 4000.0 - 1080.0 - 600.0),  # room for all of a debulk
        (2000.0, 0.7 * 2000.0 - 1080.0, 600.0),  # it must end by seven tenths of the gel
        (1500.0, 60.0, 1500.0 - 1080.0 - 60.0),  # no room: the least, and what is left
        (1100.0, 60.0, 60.0),  # gelled before it is bagged
    ],
)
def test_a_debulk_ends_within_the_last_change_and_the_hold_has_what_is_left(gel_s, early_s, hold_s):
    asked = job(layup=TWO).but(wet_out_s=600.0)
    got = lasting(asked, SimpleNamespace(gel_s=gel_s))
    assert got.cup_s == MIX + 600.0 + BAG + CHECK
    assert (got.early_s, got.hold_s) == pytest.approx((early_s, hold_s))


def test_an_infusion_needs_no_bag_after_its_fill_and_settles_for_as_long_as_it_must():
    asked = job("epoxy-infusion", process="infusion", layup=TWO).but(fill_s=900.0)
    got = lasting(asked, SimpleNamespace(gel_s=2000.0))
    assert got.cup_s == MIX + 900.0
    assert got.early_s == 600.0  # the line must run clear, whatever the gel leaves
    assert got.hold_s == pytest.approx(2000.0 - MIX - 900.0 - 600.0)


def test_longer_work_is_longer_before_any_vacuum():
    asked, warm = job(layup=TWO), SimpleNamespace(gel_s=7200.0)
    longer = lasting(asked.but(wet_out_s=1200.0), warm)
    assert longer.cup_s - lasting(asked, warm).cup_s == pytest.approx(1200.0 - working_time(asked))
