"""A job file: written whole or not at all, and read back as it was written."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.errors import InputError
from outgas.job import job_file
from outgas.job.job_keys import KEYS


@given(st.text(st.characters(codec="utf-8")), st.lists(st.text(st.characters(codec="utf-8"))))
def test_any_text_is_written_so_that_it_reads_back(one, several):
    told = {"core": one, "ply": tuple(several), "no_debulk": True}
    back = tomllib.loads(job_file.to_toml(told))
    assert back == {"core": one, "ply": several, "no_debulk": True}


def test_every_key_stands_in_the_file_once_and_says_nothing_until_it_is_told():
    text = job_file.to_toml({})
    assert tomllib.loads(text) == {}
    lines = [line.removeprefix("# ") for line in text.splitlines()]
    for key in KEYS:
        assert sum(line.startswith(f"{key} = ") for line in lines) == 1
    every = tomllib.loads("\n".join(line for line in lines if " = " in line))
    assert set(every) == set(KEYS)


def test_a_file_that_stands_there_is_kept(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="is there already"):
        job_file.write_file(path, {}, force=False)
    assert path.read_text(encoding="utf-8") == "mine"
    job_file.write_file(path, {"temperature": "22C"}, force=True)
    assert job_file.read_file(path).told == {"temperature": "22C"}


def test_no_path_at_all_says_what_to_give():
    with pytest.raises(InputError, match=r"give the path of a job file, as 'deck\.toml'"):
        job_file.write_file("", {}, force=True)


def test_a_link_to_nothing_is_not_written_over_either(tmp_path):
    path = tmp_path / "deck.toml"
    path.symlink_to(tmp_path / "gone.toml")
    with pytest.raises(InputError, match="is there already"):
        job_file.write_file(path, {}, force=False)


def test_where_it_cannot_be_written_nothing_is_left(tmp_path):
    with pytest.raises(InputError, match="cannot write"):
        job_file.write_file(tmp_path, {}, force=True)
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(InputError, match="cannot write"):
        job_file.write_file(tmp_path / "file" / "deck.toml", {}, force=False)
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
