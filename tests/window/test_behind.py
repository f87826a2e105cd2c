"""What stands behind an advice: worked out once, when asked for, and pickled as its job."""

import dataclasses
import math
import pickle

from window_jobs import CURE, HERE_PA, job

from outgas.show.report import Line, bound
from outgas.window.behind import Behind, WayOut
from outgas.window.window import window_of


def test_ways_and_influences_are_worked_out_once_and_only_when_asked_for():
    calls = []

    def ways(asked, window):
        calls.append("ways")
        return (WayOut("pot", Line("degas"), 1.0, True),)

    def influences(asked, window):
        calls.append("influences")
        return ()

    behind = Behind(job(), ways, influences)
    assert not calls
    assert behind.ways() is behind.ways()
    assert behind.influences() == behind.influences() == ()
    assert calls == ["ways", "influences"]


def nothing(asked, window):
    return (window,)


def test_pickled_is_the_job_alone():
    asked = job()
    behind = Behind(asked, nothing, nothing, window="a window")
    assert behind.ways() == ("a window",)
    again = pickle.loads(pickle.dumps(behind))
    assert again.ways() == (None,)


def test_a_way_out_rounds_its_pressure_to_less_vacuum():
    way = WayOut("cooler", Line("cure at {} or above", (bound(41001.0),)), 41001.0, True)
    assert str(way) == way.text == "cure at 411 mbar or above"
    assert way.to_dict() == {"text": way.text, "deepest_Pa": 41001.0, "opens_window": True}


def test_a_gel_that_never_holds_is_no_number():
    assert CURE.to_dict()["gel_holds_at_s"] == 1500.0
    never = dataclasses.replace(CURE, hold_s=math.inf)
    assert never.to_dict()["gel_holds_at_s"] is None
    got = CURE.to_dict()
    assert (got["gel_time_low_s"], got["gel_time_high_s"]) == (900.0, 1700.0)
    assert got["over_time"][1] == {"time_s": 1500.0, "temperature_K": 302.0, "deepest_Pa": 11000.0}


def test_what_is_expected_is_that_of_the_windows_own_course_and_worked_out_once(monkeypatch):
    window = window_of(job())
    behind = Behind(job(), nothing, nothing, window)
    first = behind.voids(40000.0)
    calls = []
    course = type(window.course)
    monkeypatch.setattr(course, "voids", lambda *_: calls.append(1))
    assert behind.voids(40000.0) is first
    assert not calls
    behind.voids(41000.0)
    assert calls == [1]
    assert behind.straight_only is False
    assert behind.look(0.9 * HERE_PA) == ("clear", "clear")
