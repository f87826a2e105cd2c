"""Defaults: which case a job is, how much air is in its resin, and when its heat is run."""

import pytest
from window_jobs import HERE_PA, PREPREG, job

import outgas
from outgas.laminate import warming
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.defaults import case_of

PLIES = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])


def test_stirred_resin_holds_the_air_of_the_shop_less_its_own_vapour():
    case = case_of(job())
    cool = vapour(case, case.shop_K).nominal
    assert case.dissolved_Pa == Band.exact(HERE_PA - cool)
    spilt = case_of(job(contaminants={"acetone": "3 %"}))  # it came after the air had settled
    assert spilt.dissolved_Pa.nominal == pytest.approx(case.dissolved_Pa.nominal)
    assert vapour(spilt, spilt.shop_K).nominal > cool + 500.0


def test_a_known_air_pressure_is_taken_as_it_is_but_never_beyond_the_barometer():
    assert case_of(job(air_pressure="300 mbar")).dissolved_Pa == Band.exact(30000.0)
    assert case_of(job().but(air_Pa=2e5)).dissolved_Pa == Band.exact(HERE_PA)


def test_a_pot_takes_out_its_share_and_a_worked_one_more_surely():
    full = case_of(job()).dissolved_Pa.nominal
    said, still, worked = (
        case_of(job(degassed=f"90 mbar{how}")).dissolved_Pa for how in ("", ", still", ", stirred")
    )
    assert said.nominal == worked.nominal < still.nominal < full
    assert worked.high < said.high <= full


def test_entrained_air_and_the_gas_that_leaves_are_the_tables_unless_told():
    assert case_of(job()).entrained == catalogue.practice().margins.entrained.band
    assert case_of(job(entrained="0.3 %")).entrained == Band.exact(0.003)
    table = catalogue.gas().laminate
    assert case_of(job()).trapped == table.trapped.band
    assert case_of(job()).connected == table.connected.band
    told = case_of(job(trapped="4 %", connected="60 %"))
    assert told.trapped.high == told.trapped.low == pytest.approx(0.04)
    assert told.connected == Band.exact(0.6)


@pytest.mark.parametrize(
    ("asked", "heats"),
    [
        (job(layup=PLIES), True),
        (job(), False),
        (job(layup=PLIES, hottest="30 degC"), False),
        (job(layup=PLIES, process="degassing"), False),
        (job(PREPREG, process="prepreg", layup=PLIES), False),
    ],
)
def test_heat_is_run_for_a_layup_whose_hottest_moment_nothing_else_names(asked, heats, monkeypatch):
    run, followed = [], warming.warming_of
    monkeypatch.setattr(warming, "warming_of", lambda *of: run.append(of) or followed(*of))
    case = case_of(asked)
    assert asked.heats is heats
    assert len(run) == heats
    assert (case.hottest.warming is not None) is heats
