"""Pictures of maps: of one range, of two, and of no more."""

import pytest

import outgas
from outgas.errors import InputError
from outgas.many.drawn import draw_map

pytest.importorskip("matplotlib")
UP = "orthophthalic-polyester"


@pytest.mark.parametrize("suffix", [".svg", ".png", ".pdf"])
@pytest.mark.parametrize("humidity", [0.5, [0.4, 0.6]])
def test_a_map_of_one_range_or_two_is_drawn(tmp_path, suffix, humidity):
    found = outgas.sweep(UP, temperature=["18 C", "24 C", "30 C"], humidity=humidity, voids=False)
    path = tmp_path / f"map{suffix}"
    draw_map(found, path)
    assert path.stat().st_size > 3000
    if suffix == ".svg":
        assert "temperature" in path.read_text()


def test_a_map_of_no_range_or_of_three_has_no_picture(tmp_path):
    path = tmp_path / "map.svg"
    one = outgas.sweep(UP, temperature=["18 C"], humidity=0.5, voids=False)
    with pytest.raises(InputError, match="one range or of two"):
        draw_map(one, path)
    three = outgas.sweep(
        UP, temperature=["18 C", "20 C"], humidity=[0.4, 0.5], altitude=["0 m", "9 m"], voids=False
    )
    with pytest.raises(InputError, match="these are 3"):
        draw_map(three, path)
    assert not path.exists()


def test_a_folder_that_is_not_there_is_told(tmp_path):
    found = outgas.sweep(UP, temperature=["18 C", "20 C"], humidity=0.5, voids=False)
    blocked = tmp_path / "file"
    blocked.write_text("")
    with pytest.raises(InputError, match="cannot be written"):
        draw_map(found, blocked / "map.svg")
