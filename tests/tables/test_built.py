"""Built tables: a cached one is believed only whole, unchanged, and made by this code."""

import multiprocessing

import msgspec
import pytest

from outgas.tables import built


class Made(msgspec.Struct, frozen=True):
    record: str
    value: float


def product(value=1.5, calls=None):
    def make():
        if calls is not None:
            calls.append(value)
        return Made("k", value)

    return built.product(Made, "saturation", "no-such-record", "k", make)


@pytest.fixture
def cached(tmp_path, monkeypatch):
    file = tmp_path / "deep" / "table.json"
    monkeypatch.setattr(built, "cache_file", lambda name, key: file)
    return file


def test_a_table_is_made_once_and_then_read(cached):
    calls = []
    assert product(1.5, calls).value == 1.5
    assert product(9.0, calls).value == 1.5
    assert calls == [1.5]


def test_every_single_byte_changed_or_lost_is_noticed_and_built_anew(cached):
    product(1.5)
    whole = cached.read_bytes()
    for i in range(len(whole)):
        cached.write_bytes(whole[:i] + bytes([whole[i] ^ 1]) + whole[i + 1 :])
        assert product(2.5).value == 2.5, i
        cached.write_bytes(whole[:i])
        assert product(3.5).value == 3.5, i


def test_a_cache_of_other_code_is_not_believed(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    product(1.5)
    assert product(2.5).value == 1.5
    monkeypatch.setattr(built, "code_key", lambda: "other")
    assert product(2.5).value == 2.5


def test_a_writer_killed_half_way_leaves_the_old_or_the_new(cached, monkeypatch):
    product(1.5)
    before = cached.read_bytes()

    def full(handle):
        raise OSError("no space left on device")

    monkeypatch.setattr("os.fsync", full)
    cached.write_bytes(b"broken")
    assert product(2.5).value == 2.5
    assert cached.read_bytes() == b"broken"
    assert [p.name for p in cached.parent.iterdir()] == [cached.name]
    assert before != b"broken"


def _one(queue, folder):
    import os

    os.environ["XDG_CACHE_HOME"] = folder
    queue.put(product(1.5).value)


def test_many_cold_starts_at_once_all_get_the_table(tmp_path):
    context = multiprocessing.get_context("fork")
    queue = context.Queue()
    jobs = [context.Process(target=_one, args=(queue, str(tmp_path))) for _ in range(8)]
    for job in jobs:
        job.start()
    got = [queue.get(timeout=30) for _ in jobs]
    for job in jobs:
        job.join()
    assert got == [1.5] * 8


def test_a_pipe_or_a_huge_file_is_not_read(cached, monkeypatch):
    import os

    cached.parent.mkdir(parents=True)
    cached.write_bytes(b"x" * 100)
    monkeypatch.setattr("outgas.files.MOST_BYTES", 50)
    assert product(1.5).value == 1.5
    cached.unlink()
    os.mkfifo(cached)
    assert product(2.5).value == 2.5
