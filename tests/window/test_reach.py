"""What the pump reaches, and how early the early limit is read."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import outgas
from outgas.job.job import job_of
from outgas.job.process import processes
from outgas.laminate import warming
from outgas.laminate.batch import batch_of
from outgas.laminate.liquid import liquid_of
from outgas.window.case.defaults import case_of
from outgas.window.window import window_of

UP = "orthophthalic-polyester"
pytestmark = pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")

RUNS_OUT = 0.97  # where more of its gas may run out early


def shop(**changes):
    return outgas.Shop(**{"temperature": "20 degC", "humidity": "50 %", **changes})


def job(rig=None, process="wet layup", name=UP, layup=None, where=None):
    return job_of(
        name, where or shop(), process=process, layup=layup, rig=rig, vapour_share=None,
        confidence=0.95, hottest=None, air_pressure=None, degassed=None, entrained=None,
        water_activity=None, contaminants=None, void_target="2 %", reads_with="dial",
    )  # fmt: skip


def test_a_pump_too_weak_to_clamp_is_the_verdict():
    got = outgas.advise(UP, shop(), rig=outgas.Rig(pump_ultimate="700 mbar"))
    assert not got.safe
    assert got.setpoint_Pa is None
    assert got.debulk_hold_Pa >= 70000.0
    assert got.verdict is not None
    assert got.verdict.state == "too weak"
    assert not got.verdict.safe
    assert "700 mbar" in got.verdict.text
    assert got.to_dict()["safe"] is False


def test_what_a_pump_reaches_comes_from_its_plate_its_kind_and_its_leak():
    assert window_of(job()).reach_Pa is None
    assert window_of(job(outgas.Rig(hose="2 m of 8 mm"))).reach_Pa is None
    assert window_of(job(outgas.Rig(pump_ultimate="3 mbar"))).reach_Pa == pytest.approx(300.0)
    assert window_of(job(outgas.Rig(pump="dry vane"))).reach_Pa == pytest.approx(15000.0)
    told = outgas.Rig(pump="dry vane", pump_ultimate="90 mbar")
    assert window_of(job(told)).reach_Pa == pytest.approx(9000.0)
    leaky = outgas.Rig(pump_ultimate="3 mbar", pump_displacement="3 m3/h", leak="20 mbar l/s")
    # 20 mbar l/s over 0.833 l/s, of which a healthy pump moves 0.7 to 1
    assert 2400.0 < window_of(job(leaky)).reach_Pa < 4500.0
    # never past the air itself
    high = window_of(job(outgas.Rig(pump_ultimate="700 mbar"), where=shop(altitude="4000 m")))
    assert high.reach_Pa == pytest.approx(shop(altitude="4000 m").barometer_Pa)


@pytest.mark.parametrize("process", [p for p in processes() if p != "pressing"])
def test_neither_setpoint_nor_debulk_is_deeper_than_the_reach(process):
    name = next(n for n in outgas.resins() if process in outgas.resin(n).processes)
    for ultimate in ("20 mbar", "150 mbar", "400 mbar", "650 mbar"):
        rig = outgas.Rig(pump_ultimate=ultimate)
        got = outgas.advise(name, shop(), process=process, rig=rig)
        reach = window_of(job(rig, process, name)).reach_Pa
        assert got.setpoint_Pa is None or got.setpoint_Pa >= reach
        assert got.debulk_hold_Pa >= reach
        assert got.debulk_Pa is None or got.debulk_Pa >= reach
        if reach > got.shallowest_Pa:
            assert not got.safe
            assert got.verdict.state == "too weak"


@settings(max_examples=60, deadline=None)
@given(
    ultimate=st.floats(0.0, 890.0),
    share=st.floats(0.0, 1.0),
    temperature=st.floats(16.0, 35.0),
    process=st.sampled_from([p for p in processes() if p not in ("pressing", "prepreg")]),
)
def test_a_weaker_pump_is_never_advised_deeper(ultimate, share, temperature, process):
    where = shop(temperature=f"{temperature:.2f} degC")
    strong, weak = (
        window_of(job(outgas.Rig(pump_ultimate=f"{u:.3f} mbar"), process, where=where))
        for u in (ultimate * share, ultimate)
    )
    assert weak.debulk_hold >= strong.debulk_hold
    if strong.setpoint is not None:
        assert weak.deepest >= RUNS_OUT * strong.deepest
    if weak.setpoint is not None:
        assert strong.setpoint is not None
        assert weak.setpoint >= RUNS_OUT * strong.setpoint


@settings(max_examples=80, deadline=None)
@given(
    altitude=st.floats(0.0, 4000.0),
    humidity=st.floats(5.0, 95.0),
    temperature=st.floats(18.0, 38.0),
    process=st.sampled_from([p for p in processes() if p != "pressing"]),
    data=st.data(),
)
def test_a_setpoint_always_clamps_enough_and_lies_below_the_barometer(
    altitude, humidity, temperature, process, data
):
    names = [n for n in outgas.resins() if process in outgas.resin(n).processes]
    where = shop(
        temperature=f"{temperature:.2f} degC",
        humidity=f"{humidity:.1f} %",
        altitude=f"{altitude:.0f} m",
    )
    asked = job(None, process, data.draw(st.sampled_from(names)), where=where)
    got = window_of(asked)
    if got.setpoint is not None:
        assert got.deepest <= got.setpoint <= got.shallowest
        assert got.setpoint < where.barometer_Pa
    assert got.debulk_hold <= where.barometer_Pa


STEEP = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"], tool="18 mm foam block")


@pytest.mark.parametrize("temperature", ["16 degC", "21 degC", "27 degC", "33 degC"])
def test_the_early_limit_is_read_at_the_last_change_and_not_before_it(temperature, monkeypatch):
    """With few samples the last one lies well before 0.7 of the gel time."""
    monkeypatch.setattr(warming, "SAMPLES", 25)
    where = shop(temperature=temperature)
    asked = job(layup=STEEP, where=where)
    parts = asked.shop, asked.layup, asked.process
    found = warming.follow(warming.Heated(*parts, batch_of(asked), liquid_of(asked)))
    run = found.run
    hottest = run.T[run.reacts].max(axis=0)
    at = np.interp(0.7 * found.gel_s, run.t, hottest)
    before = hottest[run.t <= 0.7 * found.gel_s].max()
    assert at > before  # else nothing is tried here
    assert found.early_K > at  # what is not known of its heat comes on top


def test_the_early_limit_covers_the_whole_time_up_to_the_last_change():
    where = shop(temperature="30 degC")
    asked = job(layup=STEEP, where=where)
    case = case_of(asked)
    found = case.hottest.warming
    run = found.run
    hottest = run.T[run.reacts].max(axis=0)
    fine = np.interp(np.linspace(0.0, 0.7 * found.gel_s, 5001), run.t, hottest).max()
    assert case.hottest.early_K >= fine - 1e-9
