"""Defaults: which case a job is, how much air is in its resin, and when its heat is run."""

from types import SimpleNamespace

import msgspec
import pytest
from window_jobs import HERE_PA, PREPREG, job

import outgas
from outgas.errors import InputError
from outgas.laminate import warming
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.case.defaults import case_of, cases_of

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
    potted = job(degassed="90 mbar, stirred").but(air_Pa=30000.0)  # what is known is not reckoned
    assert case_of(potted).dissolved_Pa == Band.exact(30000.0)


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


def test_a_resin_that_boils_in_its_shop_holds_no_air_and_never_less():
    thin = job(contaminants={"acetone": "9 %"}, where={"temperature": "35 degC"})
    clean = job(where={"temperature": "35 degC"})  # what got in drives none of it out
    assert case_of(thin).dissolved_Pa == case_of(clean).dissolved_Pa
    hot = {"temperature": "60 degC", "barometer": "205 hPa"}
    boils = job("acrylic-infusion", process="infusion", where=hot)
    case = case_of(boils)
    assert vapour(case, case.shop_K).nominal > case.barometer_Pa
    assert case.dissolved_Pa == Band.exact(0.0)


def test_a_laminate_is_as_thick_as_its_layup_or_as_is_said_to_be_taken():
    assert case_of(job()).thickness_m == 1e-3
    thick = job(layup=outgas.Layup(plies=["4 x 600 g/m2 woven glass"]), hottest="30 degC")
    assert case_of(thick).thickness_m == thick.layup.laminate_thickness_m > 1.5e-3


JOBS = [
    job(layup=PLIES),
    job(),
    job(layup=outgas.Layup(plies=["6 x 450 g/m2 mat"])),
    job(layup=PLIES, where={"temperature": "28 degC"}),
]


def test_many_heats_are_run_together_and_are_what_each_is_alone(monkeypatch):
    together, alone = [], [case_of(each) for each in JOBS]
    usual = warming.follow_many
    monkeypatch.setattr(
        warming, "follow_many", lambda some: together.append(len(some)) or usual(some)
    )
    monkeypatch.setattr(warming, "warming_of", lambda *_: pytest.fail("run by itself"))
    made = cases_of(JOBS)
    assert together == [3]  # the bare job has no heat to run
    for one, other in zip(made, alone, strict=True):
        assert one.hottest_high_K == pytest.approx(other.hottest_high_K, abs=1e-6)
        assert (one.hottest.warming is None) == (other.hottest.warming is None)
        assert one.dissolved_Pa == other.dissolved_Pa


def test_one_heat_alone_is_followed_as_ever_and_one_that_has_no_rate_beside_others(monkeypatch):
    monkeypatch.setattr(warming, "follow_many", lambda _: pytest.fail("one is not many"))
    followed, found = (
        [],
        SimpleNamespace(
            hot_K=303.15, hot_high_K=305.15, hold_s=1800.0, gel_s=1500.0, gel_interval_s=(1e3, 2e3)
        ),
    )
    monkeypatch.setattr(warming, "warming_of", lambda *of: followed.append(of) or found)
    made = cases_of([JOBS[0], JOBS[1]])
    assert len(followed) == 1
    assert made[0].hottest.warming is found
    assert made[1].hottest.warming is None


def test_a_resin_without_a_rate_among_many_warms_as_if_it_lost_no_heat():
    bare = JOBS[0].but(resin=msgspec.structs.replace(JOBS[0].resin, gel_time=None))
    made = cases_of([JOBS[0], bare, JOBS[2]])
    assert made[1].hottest.warming is None
    assert "if the laminate lost no heat" in made[1].hottest.text
    assert made[0].hottest.warming is not None
    assert made[2].hottest.warming is not None


def test_an_error_of_one_job_is_its_own():
    wrong = JOBS[0].but(gel_s=1e6)
    made = cases_of([JOBS[0], wrong, JOBS[2]])
    assert isinstance(made[1], InputError)
    assert made[0].hottest.warming is not None
    assert made[2].hottest.warming is not None
