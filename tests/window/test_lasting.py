"""How long the steps of a course last: as is usual, or as the gel of the laminate leaves."""

import math
from types import SimpleNamespace

import pytest
from window_jobs import job

import outgas
from outgas.job.job import working_time
from outgas.laminate.course import target_of
from outgas.tables import catalogue
from outgas.window.case.lasting import lasting
from outgas.window.window import window_of


def test_the_steps_last_as_long_as_is_usual_or_as_the_gel_of_the_laminate_leaves():
    clock, time = catalogue.practice().clock, catalogue.gas().time
    usual = lasting(job(), None)
    assert (usual.early_s, usual.hold) == (clock.debulk.si, time.hold.band)
    putty = job(process="core bonding", layup=outgas.Layup(core="15 mm PVC foam"))
    assert lasting(putty, None).hold == time.putty_hold.band
    slow = job("epoxy-laminating")
    assert lasting(slow, None).hold == time.hold_epoxy.band
    filled = job(process="infusion")
    assert lasting(filled, None).early_s == clock.settle.si
    for unsaid in (
        None,
        SimpleNamespace(gel_s=math.inf, gel_interval_s=(math.inf,) * 2),
    ):  # nor does what never gels say it
        assert lasting(job(), unsaid).cup_s == time.cup.si


@pytest.mark.parametrize(
    "asked",
    [
        job(),
        job(no_debulk=True),
        job(finish="clear"),
        job("epoxy-laminating", no_debulk=True),
        job("epoxy-infusion", process="infusion"),
        job("bisphenol-a-vinyl-ester", process="pressing"),  # its peroxide's gas needs time
        job(process="core bonding"),
        job(air_pressure="27 mbar"),  # bubbles dissolve: here the quick end is the worse
        job(degassed="90 mbar, stirred", no_debulk=True),
    ],
)
def test_a_resin_slower_or_quicker_than_usual_is_never_asked_for_less_vacuum(asked):
    window = window_of(asked)
    for seconds in (window.case.hold_s, *window.case.hold_ends):
        other = window_of(asked, window.case.but(hold_s=seconds))
        assert other.deepest <= window.deepest + 20.0
        assert other.deepest_straight <= window.deepest_straight + 20.0


@pytest.mark.parametrize("celsius", [20, 24, 28])
@pytest.mark.parametrize(
    "told",
    [
        {},
        {"no_debulk": True},
        {"air_pressure": "27 mbar"},  # bubbles dissolve: here the quick end is the worse
        {"degassed": "90 mbar, stirred"},
        {"degassed": "90 mbar, stirred", "no_debulk": True},
    ],
)
def test_a_batch_slower_or_quicker_than_likely_is_never_asked_for_less_vacuum(told, celsius):
    two = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])
    asked = job(layup=two, where={"temperature": f"{celsius} degC"}, **told)
    window = window_of(asked)
    for seconds in (window.case.hold_s, *window.case.hold_ends):
        other = window_of(asked, window.case.but(hold_s=seconds))
        assert other.deepest <= window.deepest + 10.0
        assert other.deepest_straight <= window.deepest_straight + 10.0


@pytest.mark.parametrize(
    "asked",
    [
        job(),
        job(air_pressure="27 mbar", no_debulk=True),
        job("epoxy-infusion", process="infusion"),
        job(layup=outgas.Layup(plies=["2 x 400 g/m2 woven glass"])),
    ],
)
def test_at_the_limit_what_is_expected_just_reaches_its_target_whenever_it_thickens(asked):
    window = window_of(asked)
    assert window.limits.limiting == "air"
    course, target = window.course, target_of(window.case)
    assert course.voids(window.deepest, target).high == pytest.approx(target.void, rel=0.01)
    likely = course.but(hold_s=window.case.hold_s)
    most = course.voids(window.deepest, target).high
    assert likely.voids(window.deepest, target).high <= most


CLOCK = catalogue.practice().clock
MIX, BAG, CHECK = 180.0, 240.0, 60.0  # of the clock, in seconds
TWO = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])


def test_the_clock_is_as_is_written_here():
    assert (CLOCK.mix.si, CLOCK.bag.si, CLOCK.leak_check.si) == (MIX, BAG, CHECK)
    assert CLOCK.last_change.si == pytest.approx(0.7)
    assert (CLOCK.debulk.si, CLOCK.debulk_least.si, CLOCK.settle.si) == (600.0, 60.0, 600.0)


def gels(at, slow=1.3):
    """Return a laminate that gels then, or so many times later in a slow batch."""
    return SimpleNamespace(gel_s=at, gel_interval_s=(0.8 * at, slow * at))


@pytest.mark.parametrize(
    ("gel_s", "early_s"),
    [
        (4000.0, 600.0),  # room for all of a debulk
        (2000.0, 0.7 * 2000.0 - 1080.0),  # it must end by seven tenths of the gel
        (1500.0, 60.0),  # no room: the least
        (1000.0, 60.0),  # gelled before it is bagged
    ],
)
def test_a_debulk_ends_within_the_last_change_and_the_hold_goes_on_to_the_gel(gel_s, early_s):
    asked = job(layup=TWO).but(wet_out_s=600.0)
    got = lasting(asked, gels(gel_s))
    worked = MIX + 600.0 + BAG + CHECK
    assert got.cup_s == worked
    assert got.early_s == pytest.approx(early_s)
    wanted = (max(x * gel_s - worked - early_s, 60.0) for x in (1.0, 0.8, 1.3))
    assert (got.hold.nominal, got.hold.low, got.hold.high) == pytest.approx(tuple(wanted))


def test_an_infusion_needs_no_bag_after_its_fill_and_settles_for_as_long_as_it_must():
    asked = job("epoxy-infusion", process="infusion", layup=TWO).but(fill_s=900.0)
    got = lasting(asked, gels(2000.0))
    assert got.cup_s == MIX + 900.0
    assert got.early_s == 600.0  # the line must run clear, whatever the gel leaves
    assert got.hold.nominal == pytest.approx(2000.0 - MIX - 900.0 - 600.0)


@pytest.mark.parametrize("celsius", [20, 25, 28, 31, 34, 37])
def test_a_batch_that_gels_when_it_may_is_never_asked_for_less_vacuum_than_was_advised(celsius):
    """By its gas alone: its steps as they are advised, its gel anywhere that it may come."""
    where = {"temperature": f"{celsius} degC", "humidity": "60 %"}
    window = window_of(job(layup=TWO, where=where))
    case, (quick, slow) = window.case, window.case.hottest.warming.gel_interval_s
    worked = case.cup_s + case.early_s
    least = CLOCK.debulk_least.si
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        hold = max(quick + share * (slow - quick) - worked, least)
        other = window_of(window.job, case.but(hold_s=hold))
        assert other.deepest <= window.deepest * 1.02 + 300.0


def test_longer_work_is_longer_before_any_vacuum():
    asked, warm = job(layup=TWO), gels(7200.0)
    longer = lasting(asked.but(wet_out_s=1200.0), warm)
    assert longer.cup_s - lasting(asked, warm).cup_s == pytest.approx(1200.0 - working_time(asked))
