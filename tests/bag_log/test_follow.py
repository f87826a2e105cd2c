import contextlib
import sys
from pathlib import Path

import pytest

from outgas.bag_log.follow import Followed, SILENT_s, follow
from outgas.errors import InputError

sys.path.insert(0, str(Path(__file__).parent))
from loggers import course, csv


class Clock:
    """A clock that only sleeping moves, and that writes on in the log as it goes."""

    def __init__(self, path, lines, at_once=30):
        self.path, self.lines, self.at_once, self.time = path, lines, at_once, 0.0
        path.write_text("")
        self.write()

    def write(self):
        with self.path.open("a", encoding="utf-8") as log:
            log.write("".join(self.lines[: self.at_once]))
        del self.lines[: self.at_once]

    def sleep(self, seconds):
        self.time += seconds
        self.write()
        if self.time > 500.0:
            raise KeyboardInterrupt

    def now(self):
        return self.time


@pytest.fixture
def run(job, tmp_path):
    def go(text, **more):
        path = tmp_path / "growing.csv"
        clock = Clock(path, text.splitlines(keepends=True))
        followed = Followed(path, job["resin"], job["shop"], layup=job["layup"], **more)
        events = []
        with contextlib.suppress(KeyboardInterrupt):
            events.extend(follow(followed, sleep=clock.sleep, now=clock.now))
        return events, followed

    return go


def test_a_bag_that_is_held_as_advised_gives_no_alarm_and_ends_when_the_gel_holds(run, advice):
    events, followed = run(csv(*course(advice.setpoint_Pa / 100.0)))
    assert [event.kind for event in events] == ["begun", "holds"]
    assert followed.over


def test_a_dip_gives_an_alarm_line_at_once_again_while_it_lasts_and_one_when_it_is_over(
    run, advice
):
    t, p = course(advice.setpoint_Pa / 100.0)
    p[(t >= 1800.0) & (t < 1860.0)] = 300.0
    events, _ = run(csv(t, p))
    assert [event.kind for event in events] == ["begun", *["alarm"] * 6, "clear", "holds"]
    first = events[1].on(advice.barometer_Pa, "mbar")
    assert first.startswith("ALARM 30:00 after mixing: 300 mbar absolute")
    assert "let air in" in first
    assert "inHg" in events[1].on(advice.barometer_Pa, "inHg")


def test_the_alarm_names_a_pressure_that_is_clear_of_the_limit_by_the_sensors_error(run, advice):
    t, p = course(advice.setpoint_Pa / 100.0)
    p[t >= 1800.0] = 300.0
    events, _ = run(csv(t, p), sensor_error="12 mbar")
    alarm = next(event for event in events if event.kind == "alarm")
    to = alarm.line.pressures[1].pressure_Pa
    assert to >= advice.deepest_Pa + 1200.0 - 100.0


def test_a_bag_that_may_be_too_deep_within_the_sensors_error_gives_an_alarm(run, advice):
    text = csv(*course(advice.deepest_Pa / 100.0 + 6.0))
    assert "alarm" in [event.kind for event in run(text, sensor_error="12 mbar")[0]]
    assert "alarm" not in [event.kind for event in run(text, sensor_error="1 mbar")[0]]


def test_a_logger_that_falls_silent_is_told_of_once(run, advice):
    t, p = course(advice.setpoint_Pa / 100.0, minutes=25.0)
    events, followed = run(csv(t, p))
    silent = [event for event in events if event.kind == "silent"]
    assert len(silent) == 1
    assert f"no new row for {SILENT_s:.0f} s" in str(silent[0].line)
    assert not followed.over


def test_rows_without_a_pressure_are_not_taken_for_safety(run, advice):
    t, p = course(advice.setpoint_Pa / 100.0)
    p[t >= 1500.0] = float("nan")
    events, _ = run(csv(t, p))
    assert any("no pressure that can be read" in str(e.line) for e in events)


def test_half_a_line_waits_for_its_other_half(job, advice, tmp_path):
    path = tmp_path / "growing.csv"
    text = csv(*course(advice.setpoint_Pa / 100.0, minutes=5.0))
    path.write_text(text + "310.0")
    followed = Followed(path, job["resin"], job["shop"], layup=job["layup"])
    list(followed.look())
    rows = len(followed._rows.times)
    with path.open("a") as log:
        log.write("0,1013.25\n")
    list(followed.look())
    assert len(followed._rows.times) == rows + 1
    assert followed._rows.times[-1] == pytest.approx(310.0)


def test_a_file_that_begins_anew_is_read_anew(job, advice, tmp_path):
    path = tmp_path / "growing.csv"
    path.write_text(csv(*course(advice.setpoint_Pa / 100.0, minutes=20.0)))
    followed = Followed(path, job["resin"], job["shop"], layup=job["layup"])
    list(followed.look())
    path.write_text(csv(*course(advice.setpoint_Pa / 100.0, minutes=5.0)))
    kinds = [event.kind for event in followed.look()]
    assert kinds == ["anew", "begun"]
    assert followed._rows.times[-1] == pytest.approx(300.0)


def test_a_file_that_is_not_there_is_one_line(job, tmp_path):
    followed = Followed(tmp_path / "none.csv", job["resin"], job["shop"], layup=job["layup"])
    with pytest.raises(InputError, match="cannot be read"):
        list(followed.look())


def test_an_empty_file_waits_for_its_header(job, tmp_path):
    path = tmp_path / "growing.csv"
    path.write_text("")
    followed = Followed(path, job["resin"], job["shop"], layup=job["layup"])
    assert list(followed.look()) == []
    path.write_text("time [s],pressure [mbar]\n")
    assert list(followed.look()) == []
    path.write_text("time [s],pressure [mbar]\n0,1013\n10,1013\n20,1013\n")
    assert [event.kind for event in followed.look()] == ["begun"]
