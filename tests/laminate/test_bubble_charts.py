import math

import pytest

import outgas


@pytest.fixture(scope="module")
def grown():
    return outgas.bubble_growth(
        "orthophthalic-polyester",
        ["20 um", "50 um", "120 um"],
        ["0 min", "2 min", "25 min", "40 min"],
        "28 degC",
        ["1010 mbar", "650 mbar", "650 mbar", "650 mbar"],
        cure=[0, 0, 0.05, 0.5],
        air_pressure="400 mbar",
    )


def test_sizes_are_diameters_in_millimetres_that_end_where_a_bubble_dissolves(grown):
    chart = grown.charts()["sizes"]
    assert chart.y.unit == "mm"
    assert chart.y.log
    assert [c.y[0] for c in chart.curves] == pytest.approx([0.24, 0.1, 0.04])
    gone = grown.dissolved[::-1]
    assert any(gone)
    assert [math.isnan(c.y[-1]) for c in chart.curves] == list(gone)
    assert chart.mark("gel").x == pytest.approx(25.0)


def test_gas_is_voids_in_per_cent_and_its_make_up_adds_to_all_of_it(grown):
    chart = grown.charts()["gas"]
    assert chart.curve("voids").y == pytest.approx(100.0 * grown.void)
    shares = [c.y[0] for c in chart.curves if c.right]
    assert sum(shares) == pytest.approx(100.0)
    assert chart.y.high >= max(chart.curve("voids").y)
