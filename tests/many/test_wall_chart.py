"""A chart for the wall: each cell is what advise says, rounded to the safe side."""

import csv
import io

import pytest

import outgas
from outgas.errors import InputError

UP = "orthophthalic-polyester"


@pytest.fixture(scope="module")
def chart():
    return outgas.wall_chart(UP, altitude="20 m")


def test_each_cell_is_what_advise_says(chart):
    assert len(chart.cells) == 30
    for cell in chart.cells[::7]:
        shop = outgas.Shop(
            temperature=f"{cell.celsius} degC", humidity=cell.humidity, altitude="20 m"
        )
        advice = outgas.advise(UP, shop)
        assert cell.setpoint_Pa == pytest.approx(advice.setpoint_Pa, rel=1e-9)
        assert cell.debulk_Pa == pytest.approx(advice.debulk_hold_Pa, rel=1e-9)
        assert cell.boils_Pa == pytest.approx(advice.bubble_pressure_Pa[1], rel=1e-9)


def test_a_dial_never_shows_more_vacuum_than_is_safe(chart):
    rows = list(csv.reader(io.StringIO(chart.to_csv("mbar"))))
    assert rows[0][:4] == ["shop", "debulk, 30%", "cure, 30%", "boils, 30%"]
    for row, celsius in zip(rows[1:], chart.warmths, strict=True):
        cells = [c for c in chart.cells if c.celsius == celsius]
        for i, cell in enumerate(cells):
            assert float(row[2 + 3 * i]) >= cell.setpoint_Pa / 100.0
            assert float(row[1 + 3 * i]) >= cell.debulk_Pa / 100.0


def test_a_warmer_or_a_wetter_shop_is_never_deeper(chart):
    by = {(c.celsius, c.humidity): c for c in chart.cells}
    for (celsius, humidity), cell in by.items():
        for other in chart.cells:
            if other.celsius >= celsius and other.humidity >= humidity:
                assert other.setpoint_Pa >= 0.98 * cell.setpoint_Pa


def test_where_there_is_no_window_it_says_none_and_what_is_refused_says_why():
    found = outgas.wall_chart(UP, altitude="2500 m", no_debulk=True, temperatures=["10 C", "30 C"])
    cold, hot = found.cells[0], found.cells[-1]
    assert "below the 15 degC" in cold.why
    assert hot.why == "no safe window"
    assert "none" in found.to_text()
    with pytest.raises(InputError, match="no cell"):
        outgas.wall_chart(UP, temperatures=["5 degC"])
    with pytest.raises(InputError, match="several values"):
        outgas.wall_chart(UP, altitude=["0 m", "20 m"])


def test_it_is_told_with_cautions_in_eighty_columns_or_as_a_page(chart):
    text = chart.to_text("inHg")
    table = [line for line in text.splitlines() if "degC" in line and "inHg" not in line]
    assert len(table) == len(chart.warmths)
    assert all(len(line) <= 92 for line in table)
    assert "never between" in text
    page = chart.to_html("bar")
    assert page.count("<tr>") == 1 + len(chart.warmths)
    assert "http" not in page
    assert all(caution.split(";")[0][:30] in page for caution in chart.cautions)
    assert chart.to_dict()["cells"][0]["temperature_K"] == pytest.approx(288.15)
