"""What a card holds, and how it is written."""

import types

import pytest

import outgas
from outgas.errors import InputError
from outgas.shop_card.record import Card


@pytest.fixture(scope="module")
def card():
    """A card of one job at 900 m, whose page and grid are made up."""
    shop = outgas.Shop(temperature="22 degC", humidity="50 %", altitude="900 m")
    advice = outgas.advise("orthophthalic-polyester", shop)
    asked = []
    grid = types.SimpleNamespace(read=lambda *at: asked.append(at) or "read")
    made = Card(
        job=advice.behind.window.job, altitude_m=900.0, dial="mbar", advice=advice, plan=None,
        vials={}, held=None, not_held="no rig", grid=grid, page=lambda of: f"<p>{of.dial}</p>",
    )  # fmt: skip
    return made, asked


def test_the_air_at_another_altitude_is_that_of_the_jobs_own_weather(card):
    made, _ = card
    here = made.job.shop.barometer_Pa
    assert made.barometer_Pa(900.0) == pytest.approx(here)
    high = outgas.barometer("1800 m").m_as("Pa") / outgas.barometer("900 m").m_as("Pa")
    assert made.barometer_Pa(1800.0) == pytest.approx(here * high)


def test_it_is_read_in_si_at_the_jobs_own_altitude_or_another(card):
    made, asked = card
    assert made.read("25 degC", "60 %") == "read"
    assert asked[-1] == pytest.approx((298.15, 0.6, made.barometer_Pa(900.0)))
    made.read("25 degC", "60 %", "0 m")
    assert asked[-1][2] == pytest.approx(made.barometer_Pa(0.0))
    with pytest.raises(InputError, match="no unit"):
        made.read(25, "60 %")


def test_its_page_is_written_whole_or_not_at_all(card, tmp_path):
    made, _ = card
    path = tmp_path / "card.html"
    assert made.write(str(path)) == path
    assert path.read_text(encoding="utf-8") == made.to_html() == "<p>mbar</p>"
    with pytest.raises(InputError, match="cannot be written"):
        made.write(tmp_path)
    assert repr(made) == "Card(orthophthalic-polyester, wet layup)"
