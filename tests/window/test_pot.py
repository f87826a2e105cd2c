"""Where a degassing pot is held: clear of its boil, within its pump's reach, and worth the time."""

import msgspec
import pytest
from window_jobs import job

import outgas
from outgas.job.process import potting
from outgas.laminate.liquid import liquid_of
from outgas.laminate.vapour import vapour
from outgas.tables import catalogue
from outgas.window import pot
from outgas.window.pot import pot_ends


def ends(asked):
    return pot_ends(asked, liquid_of(asked))


def test_a_pot_is_held_clear_of_its_boil_by_the_error_of_reading():
    asked = job(process="degassing", reads_with="sensor 5 mbar")
    liquid = liquid_of(asked)
    boil = vapour(liquid, liquid.shop_K).high / catalogue.practice().margins.vapour_share.si
    low, hold, high = ends(asked)
    assert (low, hold) == pytest.approx((boil, boil + 500.0))
    assert high == asked.process.weakest_bag.si


def test_a_pot_of_resin_for_a_laminate_goes_no_deeper_than_its_pump():
    weak = job(process="wet layup", rig=outgas.Rig(pump_ultimate="300 mbar"))
    assert ends(weak)[1] == pytest.approx(30000.0)


def test_a_pot_is_read_as_a_pot_whatever_the_resin_is_for():
    """In a press nothing is read in the bag; the pot of its resin still has its dial."""
    pressed, laid = (job(process=name) for name in ("pressing", "wet layup"))
    assert ends(pressed)[1] - ends(pressed)[0] == pytest.approx(ends(laid)[1] - ends(laid)[0])
    assert ends(pressed)[1] > ends(pressed)[0]


def test_what_was_spilt_into_the_resin_boils_in_the_pot_too():
    clean, spilt = (
        job(process="degassing"),
        job(process="degassing", contaminants={"acetone": "3 %"}),
    )
    assert ends(spilt)[0] > 1.5 * ends(clean)[0]


def test_no_pot_is_beyond_the_barometer():
    high = job(process="degassing", where={"barometer": "205 hPa"})
    assert ends(high)[2] <= 20500.0
    spilt = {"contaminants": {"acetone": "9 %"}, "where": {"barometer": "205 hPa"}}
    assert ends(job(process="degassing", **spilt))[:2] == (20500.0, 20500.0)


@pytest.mark.parametrize(("mbar", "most"), [(None, 20500.0), (300.0, 20500.0), (100.0, 10000.0)])
def test_the_weakest_pot_is_the_tables_or_the_air_where_it_says_nothing(mbar, most, monkeypatch):
    usual = potting()
    said = {"weakest_bag": None, "clamp": usual.weakest_bag}
    if mbar is not None:
        ends_at = {"value": mbar, "low": mbar, "high": mbar, "unit": "mbar"}
        number = msgspec.structs.replace(usual.weakest_bag, **ends_at)
        said = {"weakest_bag": number}
    made = msgspec.structs.replace(usual, **said)
    monkeypatch.setattr(pot, "potting", lambda: made)
    here = job(process="degassing", where={"barometer": "205 hPa"})
    assert ends(here)[2] == pytest.approx(most)
