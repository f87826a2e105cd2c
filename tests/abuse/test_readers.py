"""Every reader of what a user writes takes spoilt text, or refuses it in one line."""

import pytest
import readers

SPOILT = 400  # texts for each; `python tests/abuse/readers.py 20000` makes more


@pytest.mark.parametrize("reader", sorted(readers.READERS))
def test_spoilt_text_is_read_or_refused_in_one_line(reader, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert readers.faults(reader, SPOILT, tmp_path) == []


@pytest.mark.parametrize("reader", sorted(readers.READERS))
def test_the_sound_texts_are_read(reader, tmp_path):
    name, read, sound = readers.READERS[reader]
    for text in sound:
        path = tmp_path / (name or "text")
        path.write_bytes(text)
        assert read(path) is not None


def test_spoilt_text_is_spoilt_and_the_same_for_the_same_seed():
    first, again = (list(readers.texts("job", 50, 3)) for _ in range(2))
    assert first == again != list(readers.texts("job", 50, 4))
    assert sum(text != readers.JOB for text in first) > 45
    assert len(set(first)) > 45


def test_a_reader_that_fails_would_be_told(tmp_path, monkeypatch):
    monkeypatch.setitem(readers.READERS, "broken", ("x", lambda path: 1 / 0, (b"x",)))
    assert "ZeroDivisionError" in readers.fault_of("broken", b"x", tmp_path)
