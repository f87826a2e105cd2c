"""Files of a user's own with hostile content: refused fast, in one line, with nothing written."""

import os
import time
from pathlib import Path

import pytest

import outgas
from outgas.errors import OutgasError
from outgas.tables.data import root

SOON_S = 20.0  # on a busy machine; each took minutes, or never ended, before it was refused


def _record(file, name, end):
    """One shipped record as text, under a name of one's own."""
    text = (root() / file).read_text(encoding="utf-8")
    start = text.index(f"[{name}]")
    return text[start : text.index(f"[{end}]")].replace(f"[{name}", "[mine")


def _resin():
    text = _record("resins.toml", "orthophthalic-polyester", "isophthalic-polyester")
    return text.replace("[[orthophthalic-polyester.part]]", "[[mine.part]]")


def _volatile():
    text = _record("volatiles.toml", "acetone", "toluene")
    return text.replace("[acetone.saturation]", "[mine.saturation]")


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    (tmp_path / "home").mkdir()
    return tmp_path


def refused(read):
    """What was said on refusing, in one line and soon."""
    began = time.monotonic()
    with pytest.raises(OutgasError) as caught:
        read()
    assert time.monotonic() - began < SOON_S
    assert "\n" not in str(caught.value)
    return str(caught.value)


def advised(text):
    Path("mine.toml").write_text(text, encoding="utf-8")
    shop = outgas.Shop(temperature="26 degC", humidity="60 %")
    return outgas.advise("mine.toml", shop)


def test_the_sound_records_are_taken(here):
    assert advised(_resin()).deepest_Pa > 0.0
    Path("mine.toml").write_text(_volatile(), encoding="utf-8")
    assert outgas.volatile("mine.toml").title == "acetone"


PART = '\n[[mine.part]]\nvolatile = "styrene"\nfraction = "1 %"\n'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[a]\nx = " + "[" * 1900 + "]" * 1900, "nested too deep"),
        ("a" + ".a" * 50_000 + " = 1", "at most|more than"),
        ("[mine]\n" + "\n".join(f"k{i} = 1" for i in range(200_000)), "bytes, more than"),
        ("[mine]\npart = [\n" + "{},\n" * 40_000 + "]\n", "40000 parts of a resin, at most 50"),
        ("[mine]\n" + PART * 50_000, "bytes, more than"),
        ("", "holds 0 records"),
        ("a = 1", "not a table"),
        ("[mine]\n\0", "not valid TOML"),
    ],
    ids=["deep", "dotted", "keys", "inline parts", "parts", "empty", "number", "nul"],
)
def test_a_file_without_end_or_sense_is_refused_soon(here, text, told):
    said = refused(lambda: advised(text))
    assert any(word in said for word in told.split("|")), said


@pytest.mark.parametrize("share", ["0.0", "1.0", "0.99999", "1e-300", "nan"])
def test_a_gel_at_no_or_full_conversion_is_refused(here, share):
    was = 'gel_conversion = { value = 0.05, unit = "1", low = 0.02, high = 0.1'
    text = _resin()
    assert was in text
    own = f'gel_conversion = {{ value = {share}, unit = "1", low = {share}, high = {share}'
    assert "gel_conversion" in refused(lambda: advised(text.replace(was, own)))


@pytest.mark.parametrize("value", ["nan", "inf", "1" + "0" * 400, "true", "2020-01-01"])
def test_what_is_no_number_is_none(here, value):
    text = _resin().replace("value = 1.13", f"value = {value}")
    assert "density" in refused(lambda: advised(text))


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        ("58.0791", "nan"),
        ("T_low_K = 263.15", "T_low_K = nan"),
        ("T_high_K = 423.15\n", "T_high_K = inf\n"),
        ("above = 0.01", "above = nan"),
        ("at_degC = -10.0", "at_degC = nan"),
        ("784.7", "nan"),
    ],
)
def test_a_gap_in_a_volatile_is_refused(here, was, becomes):
    text = _volatile()
    assert was in text
    Path("mine.toml").write_text(text.replace(was, becomes, 1), encoding="utf-8")
    refused(lambda: outgas.volatile("mine.toml"))


@pytest.mark.parametrize(
    "fluid", ["BICUBIC&HEOS::Water", "TTSE&HEOS::Acetone", "REFPROP::Water", "R410A.mix",
              "IF97::Water", "Water[0.5]&Ethanol[0.5]", "../../x", "/dev/zero", "A" * 1000],
)  # fmt: skip
def test_a_fluid_that_wakes_another_engine_is_refused_and_writes_nothing_home(here, fluid, capfd):
    text = _volatile().replace('fluid = "Acetone"', f'fluid = "{fluid}"')
    Path("mine.toml").write_text(text, encoding="utf-8")
    assert "pure fluid" in refused(lambda: outgas.vapour_pressure("mine.toml", "30 degC"))
    assert list((here / "home").iterdir()) == []
    assert capfd.readouterr() == ("", "")


def _devices(folder):
    os.mkfifo(folder / "fifo.toml")
    (folder / "zero.toml").symlink_to("/dev/zero")
    (folder / "folder.toml").mkdir()
    return ["fifo.toml", "zero.toml", "folder.toml", "/dev/zero"]


def test_a_pipe_a_device_and_a_folder_are_no_files_wherever_a_path_is_taken(here):
    shop = outgas.Shop(temperature="26 degC", humidity="60 %")
    for path in _devices(here):
        words = ("regular file", "directory")
        for read in (
            lambda path=path: outgas.resin(path),
            lambda path=path: outgas.volatile(path),
            lambda path=path: outgas.read_job(path),
            lambda path=path: outgas.read_log(path, "epoxy-laminating", shop),
            lambda path=path: outgas.Rig(pump=path),
            lambda path=path: outgas.Layup(plies=[f"400 g/m2 {path}"]),
            lambda path=path: advised(_resin().replace('"styrene"', f'"./{path}"')),
        ):
            said = refused(read)
            assert any(word in said for word in words) or "called" in said, said


@pytest.mark.parametrize("family", ["/dev/zero", "./fifo.toml", "../x.toml", "wood"])
def test_a_family_is_a_name_and_never_opened(here, family):
    _devices(here)
    text = _resin().replace('family = "polyester"', f'family = "{family}"')
    assert "is not one of polyester" in refused(lambda: advised(text))
