"""Pictures of maps: of one range, of two, and of no more."""

import pytest

import outgas
from outgas.errors import InputError
from outgas.many.drawn import CAPTION, map_chart

pytest.importorskip("matplotlib")
UP = "orthophthalic-polyester"


@pytest.mark.parametrize("suffix", [".svg", ".png", ".pdf"])
@pytest.mark.parametrize("humidity", [0.5, [0.4, 0.6]])
def test_a_map_of_one_range_or_two_is_drawn(tmp_path, suffix, humidity):
    found = outgas.sweep(UP, temperature=["18 C", "24 C", "30 C"], humidity=humidity, voids=False)
    path = tmp_path / f"map{suffix}"
    map_chart(found).save(path)
    assert path.stat().st_size > 3000
    if suffix == ".svg":
        assert "temperature" in path.read_text()


def test_a_map_of_no_range_or_of_three_has_no_picture(tmp_path):
    path = tmp_path / "map.svg"
    one = outgas.sweep(UP, temperature=["18 C"], humidity=0.5, voids=False)
    with pytest.raises(InputError, match="one range or of two"):
        map_chart(one)
    three = outgas.sweep(
        UP, temperature=["18 C", "20 C"], humidity=[0.4, 0.5], altitude=["0 m", "9 m"], voids=False
    )
    with pytest.raises(InputError, match="these are 3"):
        map_chart(three)
    assert not path.exists()


def test_a_folder_that_is_not_there_is_told(tmp_path):
    found = outgas.sweep(UP, temperature=["18 C", "20 C"], humidity=0.5, voids=False)
    blocked = tmp_path / "file"
    blocked.write_text("")
    with pytest.raises(InputError, match="cannot be written"):
        map_chart(found).save(blocked / "map.svg")


def test_a_chart_of_a_map_has_its_numbers_and_its_caution():
    found = outgas.sweep(UP, temperature=["18 C", "24 C", "30 C"], humidity=0.5, voids=False)
    chart = map_chart(found)
    assert chart.curve("hold").y == pytest.approx(found.setpoint.values)
    assert chart.area("cure").low == pytest.approx(found.deepest.values)
    assert chart.area("cure").high == pytest.approx(found.shallowest.values)
    assert chart.area("too deep at any time").high == pytest.approx(found.debulk_limit.values)
    assert chart.caption == CAPTION
    both = outgas.sweep(UP, temperature=["18 C", "24 C"], humidity=[0.4, 0.6], voids=False)
    chart = map_chart(both)
    assert chart.curve("60 %").y == pytest.approx(both.deepest.values[:, 1])


def test_more_of_the_second_range_than_can_be_told_apart_is_refused():
    many = outgas.sweep(
        UP, temperature=["18 C", "24 C"], humidity=[0.2, 0.3, 0.4, 0.5, 0.6], voids=False
    )
    with pytest.raises(InputError, match="4 of the second"):
        map_chart(many)
