"""The shipped tables are found, parsed and kept, until they are read from another root."""

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
