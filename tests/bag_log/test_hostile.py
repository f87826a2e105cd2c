"""Files that no logger should write: each is read, or refused in one line."""

import os
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import outgas
from outgas.errors import OutgasError

sys.path.insert(0, str(Path(__file__).parent))
from loggers import course, csv

SOUND = csv(*course(560.0, step_s=60.0))
LINES = SOUND.splitlines()
JUNK = st.sampled_from(
    [
        *("", ",", ";", "nan,nan", "1e999,1", "inf,5", "-1,-1", '"', "\x00", "0,1013", "600"),
        *("time [s],pressure [mbar]", "99999999999,600", "12:61:99,600", "٣,٤", "a,b,c,d"),
        "2026-13-45T99:00:00,1",
    ]
)


def tried(reads):
    """Return a log, or None and why it was refused; any other error is the test's."""
    try:
        return reads(), ""
    except OutgasError as error:
        return None, str(error)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(places=st.lists(st.tuples(st.integers(0, len(LINES)), JUNK), max_size=6), keep=st.data())
def test_a_log_with_junk_in_it_is_read_or_refused_in_one_line(job, tmp_path, places, keep):
    lines = list(LINES)
    for at, junk in places:
        lines.insert(min(at, len(lines)), junk)
    cut = keep.draw(st.integers(0, len(lines)))
    path = tmp_path / "bag.csv"
    path.write_text("\n".join(lines[:cut]) + "\n", encoding="utf-8")
    log, refused = tried(lambda: outgas.read_log(path, **job))
    if log is None:
        assert "\n" not in refused
        return
    assert log.below_s >= 0.0
    assert log.unknown_s >= 0.0
    assert str(log)
    log.to_json()


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\n\n\n",
        b"\xff\xfe\x00time",
        b"time [s],pressure [mbar]\n",
        b"time [s],pressure [mbar]\n0,1013\n",
        b"time [s],pressure [mbar]\n5,1013\n5,1013\n5,1013\n",
        b"time [s],pressure [mbar]\n100,1013\n50,1013\n0,600\n",
        b"time [s],pressure [mbar]\n0,x\n10,y\n20,z\n",
        os.urandom(4096),
    ],
    ids=range(9),
)
def test_a_broken_file_is_read_or_refused_in_one_line(read, content):
    log, refused = tried(lambda: read(content))
    assert "\n" not in refused
    assert log is None or not log.safe


def test_a_folder_and_a_pipe_are_refused(job, tmp_path):
    with pytest.raises(OutgasError, match="cannot be read"):
        outgas.read_log(tmp_path, **job)
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(OutgasError, match="not a regular file"):
        outgas.read_log(pipe, **job)


def test_a_log_far_from_its_mixing_cannot_be_told(read):
    for mixed in ("90 min", "-5 h"):
        log = read(SOUND, mixed=mixed)
        assert not log.safe
        assert str(log)
        assert log.chart is None or log.chart.to_dict()
