"""What was taken for a measurement: its process, its study over that, each figure checked."""

import shutil
from pathlib import Path

import pytest

from outgas.errors import DataError
from outgas.tables import data, experiments

ROWS = {row.study: row for row in experiments.measurements()}
DATA = Path(str(data.root()))


@pytest.fixture
def changed(tmp_path):
    """Read tables from a copy in which one piece of experiments.toml is another."""

    def read(old, new):
        shutil.copytree(DATA, tmp_path / "data")
        file = tmp_path / "data" / "experiments.toml"
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new, 1), encoding="utf-8")
        return data.reading_from(tmp_path / "data")

    return read


def test_the_workshop_is_in_si():
    shop = experiments.workshop()
    assert shop.temperature.si == pytest.approx(298.15)
    assert shop.barometer.si == pytest.approx(101325.0)
    assert (shop.fill_time.si, shop.pot_time.si) == (600.0, 600.0)


def test_a_row_without_a_study_of_its_own_takes_its_process():
    row = ROWS["glass-polyester-1951"]
    raw = data.table("experiments.toml")
    assert experiments.taken(row).bag.si == pytest.approx(
        raw["process"]["press"]["bag"]["value"] * 100.0
    )


def test_what_a_study_says_stands_over_its_process_and_the_rest_stays():
    raw = data.table("experiments.toml")
    seen = 0
    for name, own in raw["study"].items():
        row = ROWS[name]
        if row.process not in raw["process"]:
            continue
        found, base = experiments.taken(row), raw["process"][row.process]
        for field in ("resin", "temperature", "share", "entrained", "fibre_fraction"):
            told = own.get(field, base[field])
            got = getattr(found, field)
            assert (got if field == "resin" else got.value) == (
                told if field == "resin" else told["value"]
            ), (name, field)
            seen += field in own
    assert seen > 0


def test_sets_names_a_constant_or_nothing():
    for name, row in ROWS.items():
        own = data.table("experiments.toml")["study"].get(name, {})
        assert experiments.sets(row) == own.get("sets", "")
    assert {experiments.sets(row) for row in ROWS.values()} >= {"", "trapped", "connected"}


def test_a_process_that_is_not_there_lists_those_that_are():
    with pytest.raises(DataError, match=r"experiments.toml: no process 'pot'; there are press, "):
        experiments.taken(ROWS["nucleated-pot-2005"])


def test_a_figure_beyond_its_range_names_file_section_and_field(changed):
    with (
        changed('temperature = { value = 25.0, unit = "degC", low = 20.0, high = 30.0',
                'temperature = { value = 250.0, unit = "degC", low = 20.0, high = 300.0'),
        pytest.raises(DataError, match=r"experiments.toml: shop.*temperature"),
    ):  # fmt: skip
        experiments.workshop()


def test_a_field_of_no_meaning_is_refused_by_name(changed):
    with (
        changed("[process.press]\n", '[process.press]\nmoisture = "much"\n'),
        pytest.raises(DataError, match=r"experiments.toml: glass-polyester-1951: .*moisture"),
    ):
        experiments.taken(ROWS["glass-polyester-1951"])


def test_the_ends_of_a_share_are_one_and_nothing(changed):
    old = 'share = { value = 0.0, unit = "1", low = 0.0, high = 0.4'
    with (
        changed(old, 'share = { value = 1.2, unit = "1", low = 1.0, high = 1.4'),
        pytest.raises(DataError, match="share"),
    ):
        experiments.taken(ROWS["glass-polyester-1951"])
