import io

from outgas.cli import progress as shown
from outgas.show import progress


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_nobody_hears_anything_unless_they_listen():
    heard = []
    progress.tell("work", 1, 2)
    with progress.listening(lambda *told: heard.append(told)):
        progress.tell("work", 2, 2)
    progress.tell("work", 3, 2)
    assert heard == [("work", 2, 2)]


def test_a_listener_inside_another_gives_way_to_it_again():
    outer, inner = [], []
    with progress.listening(lambda *told: outer.append(told)):
        with progress.listening(lambda *told: inner.append(told)):
            progress.tell("a", 0, 1)
        progress.tell("b", 0, 1)
    assert (inner, outer) == ([("a", 0, 1)], [("b", 0, 1)])


def test_a_pipe_sees_nothing():
    pipe = io.StringIO()
    with shown.watching(stream=pipe):
        progress.tell("work", 1, 2)
    assert pipe.getvalue() == ""


def test_quick_work_shows_nothing_on_a_terminal():
    terminal = Terminal()
    with shown.watching(stream=terminal):
        progress.tell("work", 1, 2)
    assert terminal.getvalue() == ""


def test_long_work_is_shown_and_taken_away_before_anything_is_printed(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    terminal = Terminal()
    one = shown.Shown(terminal, after_s=0.0)
    one._begin()
    one.hear("the window against humidity", 3, 10)
    one._bar.refresh()
    assert "the window against humidity" in terminal.getvalue()
    one.done()
    held = terminal.getvalue()
    one.hear("more", 4, 10)
    one._begin()
    assert terminal.getvalue() == held


def test_quiet_shows_nothing_however_long_it_takes(monkeypatch):
    monkeypatch.setattr(shown, "AFTER_s", 0.0)
    terminal = Terminal()
    with shown.watching(quiet=True, stream=terminal):
        assert shown._now == []
    assert terminal.getvalue() == ""
