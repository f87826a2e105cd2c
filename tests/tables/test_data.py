"""The shipped tables are found, parsed and kept, until they are read from another root."""

import time
from concurrent.futures import ThreadPoolExecutor

import msgspec
import pytest

from outgas.tables import data


def test_a_table_is_parsed_once_and_kept():
    assert data.table("volatiles.toml")["water"]["formula"] == "H2O"
    assert data.table("volatiles.toml") is data.table("volatiles.toml")


def test_another_root_is_read_for_a_while_and_then_forgotten(tmp_path):
    (tmp_path / "volatiles.toml").write_text('[odd]\ntitle = "odd"\n', encoding="utf-8")
    read = []

    @data.kept
    def names():
        read.append(data.root())
        return sorted(data.table("volatiles.toml"))

    before = names()
    with data.reading_from(tmp_path):
        assert names() == names() == ["odd"]
        assert data.root() == tmp_path
    assert names() == before
    assert len(read) == 3
    assert read[0] == read[2] != tmp_path


def test_what_breaks_off_while_another_root_is_read_puts_it_back(tmp_path):
    before = data.root()
    with pytest.raises(FileNotFoundError), data.reading_from(tmp_path):
        data.table("volatiles.toml")
    assert data.root() == before
    assert "water" in data.table("volatiles.toml")


def test_records_are_made_by_one_thread_at_a_time():
    """Two at once that learn a record's fields end the process."""
    inside, most = [], []

    class Slow(msgspec.Struct):
        value: int

        def __post_init__(self):
            inside.append(self)
            time.sleep(0.002)
            most.append(len(inside))
            inside.pop()

    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(lambda i: data.converted({"value": i}, Slow).value, range(40)))
        read = list(pool.map(lambda i: data.decoded(b'{"value":%d}' % i, Slow).value, range(40)))
    assert made == read == list(range(40))
    assert max(most) == 1
