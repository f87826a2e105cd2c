"""A verdict changes where its bounds lie, with the error of reading on either side."""

import dataclasses
import math

import pytest
from window_jobs import HERE_PA, PREPREG, job

from outgas.job.gauge import reading_of
from outgas.laminate.vapour import Vapour
from outgas.window.limits import Limits
from outgas.window.prepreg import Drying, held_of
from outgas.window.verdict import _only_while, judge, mends, verdict_of
from outgas.window.window import window_of

ERROR_PA = 500.0
ASKED = job(reads_with="sensor 5 mbar", hottest="30 degC")
HOT = Vapour({}, 2500.0, 3000.0)
WINDOW = dataclasses.replace(
    window_of(ASKED), deepest=50010.0, shallowest=67090.0, debulk_limit=9000.0,
    limits=Limits({}, {"vapour": 9000.0, "air": 50010.0, "core": 0.0}, {}),
)  # fmt: skip


def at(pascal, window=WINDOW, hot=HOT):
    read = reading_of(f"{pascal} Pa", HERE_PA, "bag pressure")
    return judge(ASKED, window, hot, read)


@pytest.mark.parametrize(
    ("pascal", "state"),
    [
        (2000.0, "boiling"),
        (2490.0, "boiling"),
        (2510.0, "may boil"),
        (3490.0, "may boil"),  # the deeper end lies below what may boil
        (3510.0, "inside margin"),
        (9490.0, "inside margin"),
        (9510.0, "debulk only"),
        (49500.0, "debulk only"),
        (49520.0, "cannot tell"),
        (50500.0, "cannot tell"),
        (50510.0, "safe"),  # a setpoint less its own error
        (67090.0, "safe"),
        (67100.0, "too weak"),
    ],
)
def test_the_state_turns_where_the_bound_and_the_error_say(pascal, state):
    got = at(pascal)
    assert got.state == state
    assert got.safe == (state == "safe")
    assert got.low_Pa == pytest.approx(max(0.0, pascal - ERROR_PA))
    assert got.high_Pa == pytest.approx(pascal + ERROR_PA)


def test_it_boils_where_all_that_the_reading_may_be_does_and_likely_where_only_it_does():
    assert at(1990.0).text.startswith("too deep, it boils: 15 to 25 mbar absolute")
    assert at(2100.0).text.startswith("too deep, likely boiling: 16 to 26 mbar absolute")
    assert at(2600.0).text.startswith("too deep, it may boil: 21 to 31 mbar absolute")


def test_below_nothing_there_is_no_pressure():
    assert at(200.0).low_Pa == 0.0
    low, high = at(200.0).interval
    assert (low.m_as("Pa"), high.m_as("Pa")) == pytest.approx((0.0, 700.0))


def test_limits_in_a_verdict_round_to_the_safe_side():
    assert "the limit is 501 mbar" in at(60000.0).text
    assert "670 mbar or deeper is needed" in at(68000.0).text
    assert "come up above 501 mbar" in at(20000.0).text
    assert "may boil below 30 mbar at 30 degC" in at(2000.0).text
    assert "595 to 605 mbar absolute" in at(60000.0).text


def test_an_interval_is_told_to_the_nearest_in_mbar_and_outwards_on_a_dial():
    assert "595 to 605 mbar absolute" in at(60040.0).text  # 595.4 to 605.4
    shown = at(60040.0).line.on(HERE_PA, "bar")
    # 59540 - 101325 and 60540 - 101325 Pa, each end outwards on a dial
    assert "-0.420 bar gauge (595 mbar absolute) to -0.405 bar gauge (606 mbar" in shown


@pytest.mark.parametrize(("pascal", "state"), [(50010.0, "safe"), (67090.0, "safe")])
def test_what_is_lost_in_the_rounding_changes_no_verdict(pascal, state):
    sure = ASKED.but(sensor_Pa=0.0)
    for off in (-5e-4, 5e-4):
        read = reading_of(f"{pascal + off!r} Pa", HERE_PA, "bag pressure")
        assert judge(sure, WINDOW, HOT, read).state == state
    far = reading_of(f"{pascal + (2e-3 if pascal > 6e4 else -2e-3)!r} Pa", HERE_PA, "bag pressure")
    assert not judge(sure, WINDOW, HOT, far).safe


def test_prepregs_pressures_are_on_no_dial_and_each_on_its_safe_side():
    asked = job(PREPREG, process="prepreg")
    window = window_of(asked)
    got = judge(asked, window, Vapour({}, 50040.0, 60010.0), None)
    for said in (got.text, got.line.on(HERE_PA, "bar")):
        assert "its water pushes 500 to 601 mbar at" in said
        # of 1013.25 mbar the fibres carry a fifth, at the most two
        assert "against 810 mbar in the resin, 607 at the least" in said


def test_a_core_goes_first_unless_the_resin_boils_before_it():
    limits = Limits({}, {"vapour": 9000.0, "air": 0.0, "core": 20000.0}, {})
    cored = dataclasses.replace(WINDOW, limits=limits)
    got = at(10000.0, cored)
    assert got.state == "crushes the core"
    # 101325 - 20000 Pa is borne, 101325 - 10000 pulled
    assert "bears about 813 mbar of clamp; you pull 913" in got.text
    assert at(10000.0, cored, Vapour({}, 2e4, 30000.0)).state == "boiling"
    assert at(21000.0, cored).state == "debulk only"


def test_without_a_reading_there_is_no_verdict_but_on_prepreg():
    assert judge(ASKED, WINDOW, HOT, None) is None


@pytest.mark.parametrize(
    ("carried", "share", "state"),
    [
        (0.6, 0.949, "passed"),
        (0.6, 0.951, "at its limit"),
        (0.8, 1.049, "at its limit"),
        (0.8, 1.051, "void-prone"),
    ],
)
def test_prepreg_passes_clear_of_the_least_in_its_resin_and_is_void_prone_past_the_likely(
    carried, share, state
):
    asked = job(PREPREG, process="prepreg")
    window = window_of(asked)
    push = share * carried * HERE_PA
    hot = Vapour({}, 0.2e5, push)
    window = dataclasses.replace(window, held=held_of(asked, window.case, hot))
    got = judge(asked, window, hot, None)
    assert got.state == state
    assert got.safe == (state == "passed")
    assert (got.low_Pa, got.high_Pa) == (0.2e5, push)
    assert got.to_dict()["state"] == state
    assert ("void-prone" in str(got)) == (state == "void-prone")


# Where there is no room, no pump, or another job -----------------------------------------------


def test_where_nothing_can_be_held_what_is_right_now_is_not_called_safe():
    tight = dataclasses.replace(WINDOW, setpoint=None)
    got = at(60000.0, tight)
    assert got.state == "cannot tell"
    assert "the limit is 501 mbar, the weakest 670 mbar: too little between" in got.text
    assert "lies inside it" not in got.text
    assert at(67090.0, tight).state == "cannot tell"
    assert at(67100.0, tight).state == "too weak"
    across = at(50000.0, tight)  # the limit lies within the reading's error
    assert "the limit of 501 mbar lies inside it" in across.text


def test_a_limit_that_lies_inside_the_reading_is_said_to():
    assert "the limit of 501 mbar lies inside it" in at(50000.0).text
    assert "too little between" not in at(50000.0).text


def test_a_pump_that_is_not_sure_to_clamp_is_too_weak_whatever_the_bag_shows():
    weak = dataclasses.replace(WINDOW, reach_Pa=70010.0, room=0.0)
    for reading in (None, reading_of("60000 Pa", HERE_PA, "bag pressure")):
        got = verdict_of(ASKED, weak, reading)
        assert got.state == "too weak"
        assert not got.safe
        assert "to clamp: it is sure of 701 mbar only; 670 mbar or deeper is needed" in got.text
        assert (got.low_Pa, got.high_Pa) == (70010.0, 70010.0)
    enough = dataclasses.replace(WINDOW, reach_Pa=67090.0, room=0.0)
    assert verdict_of(ASKED, enough, None) is None
    assert verdict_of(ASKED, WINDOW, None) is None


def test_a_dial_at_its_end_cannot_tell_where_it_is_and_another_says_its_ends():
    wide = ASKED.but(reads_with="dial")
    read = reading_of("29.9 inHg vacuum", HERE_PA, "bag pressure")
    assert read.by_dial
    got = judge(wide, WINDOW, HOT, read)
    assert "a dial cannot tell where between 0 and " in got.text
    by_sensor = reading_of("70 Pa", HERE_PA, "bag pressure")
    assert "cannot tell where" not in judge(wide, WINDOW, HOT, by_sensor).text
    higher = reading_of("28 inHg vacuum", HERE_PA, "bag pressure")
    assert "cannot tell where" not in judge(wide, WINDOW, HOT, higher).text


def test_a_pot_degasses_and_an_infusion_fills():
    pot = job(process="degassing", reads_with="sensor 5 mbar")
    read = reading_of("60000 Pa", HERE_PA, "bag pressure")
    assert judge(pot, dataclasses.replace(WINDOW, job=pot), HOT, read).text.startswith(
        "safe to degas"
    )
    filled = job("epoxy-infusion", process="infusion", reads_with="sensor 5 mbar")
    early = reading_of("20000 Pa", HERE_PA, "bag pressure")
    window = dataclasses.replace(WINDOW, job=filled)
    assert "fit for the fill only" in judge(filled, window, HOT, early).text
    assert "fit for the debulk only" in at(20000.0).text
    assert "come up above 501 mbar to cure" in at(20000.0).text
    assert "too weak to clamp" in at(68000.0).text


def test_a_core_is_named_only_where_it_goes_before_anything_can_boil():
    limits = Limits({}, {"vapour": 9000.0, "air": 0.0, "core": 3000.0}, {})
    same = dataclasses.replace(WINDOW, limits=limits)
    assert at(2400.0, same, Vapour({}, 2500.0, 3000.0)).state == "crushes the core"
    assert at(2400.0, same, Vapour({}, 2500.0, 3001.0)).state == "boiling"


def test_inside_the_margin_ends_where_the_debulk_or_the_cure_may_be():
    deep = dataclasses.replace(WINDOW, debulk_limit=60000.0)
    assert at(30000.0, deep).state == "inside margin"
    assert "inside the margin of boiling" in at(30000.0, deep).text


# What a damp prepreg is told -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("likely", "slow", "words"),
    [
        (7200.0, 36000.0, "dry it first (likely 2.0 h of vacuum, 10 h to be sure)"),
        (600.0, 36000.5, "dry it first (likely 10 min of vacuum, 11 h to be sure)"),
        (600.0, math.inf, "dry it first (likely 10 min of vacuum, but no time is sure to do)"),
        (math.inf, math.inf, "add pressure on the bag: no vacuum dries it enough"),
    ],
)
def test_drying_is_told_likely_and_rounded_up_to_be_sure(likely, slow, words):
    assert mends(Drying(likely, slow, 0.3)).startswith(words)


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.129, "less than 12% of the clamp"),
        (0.01, "less than 1% of the clamp"),
        (0.009, "even resin that carries all of the clamp holds too little"),
        (None, "even resin that carries all of the clamp holds too little"),
    ],
)
def test_what_its_fibres_may_carry_is_rounded_down(share, words):
    asked = job(PREPREG, process="prepreg")
    window = window_of(asked)
    held = held_of(asked, window.case, Vapour({}, 8e4, 9e4))
    found = dataclasses.replace(held.found, passes_below_share=share)
    assert words in _only_while(dataclasses.replace(held, found=found))


# What is lost in the rounding, and which bound is told -----------------------------------------


@pytest.mark.parametrize("pascal", [50010.0 - 5e-4, 67090.0 + 5e-4])
def test_what_is_lost_in_the_rounding_leaves_too_little_room_what_it_is(pascal):
    tight = dataclasses.replace(WINDOW, setpoint=None)
    read = reading_of(f"{pascal!r} Pa", HERE_PA, "bag pressure")
    got = judge(ASKED.but(sensor_Pa=0.0), tight, HOT, read)
    assert got.state == "cannot tell"
    assert "too little between" in got.text


def test_a_debulk_that_would_be_weaker_than_the_cure_bounds_nothing():
    weak = dataclasses.replace(WINDOW, debulk_limit=60000.0)
    assert at(55000.0, weak).state == "safe"


def test_a_pot_whose_pump_is_too_weak_does_not_degas():
    pot = job(process="degassing")
    weak = dataclasses.replace(WINDOW, job=pot, reach_Pa=70010.0, room=0.0)
    got = verdict_of(pot, weak, None)
    assert got.text.startswith("too weak to degas: it is sure of 701 mbar only")


def test_what_may_boil_is_rounded_up_and_a_crushed_core_is_told_where_to_come_up_to():
    assert "may boil below 31 mbar" in at(2000.0, hot=Vapour({}, 2500.0, 3010.0)).text
    limits = Limits({}, {"vapour": 9000.0, "air": 0.0, "core": 20000.0}, {})
    cored = dataclasses.replace(WINDOW, limits=limits)
    assert at(10000.0, cored).text.endswith("come up above 501 mbar")
