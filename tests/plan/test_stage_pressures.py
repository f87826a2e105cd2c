"""What stages hold: what the pump reaches and the process needs, and what a controller is told."""

import csv
import io
import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import outgas
from outgas.job.process import processes

UP, EPOXY = "orthophthalic-polyester", "epoxy-laminating"
pytestmark = pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
PLIES = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2", tool="6 mm glass plate")
CORED = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2", core="15 mm PVC foam")
CARBON = outgas.Layup(plies=["6 x 200 g/m2 woven carbon"], tool="6 mm aluminium")
FIRST = {p: next(n for n in outgas.resins() if p in outgas.resin(n).processes) for p in processes()}


def shop(temperature="20 degC", humidity="50 %", altitude="20 m"):
    return outgas.Shop(temperature=temperature, humidity=humidity, altitude=altitude)


def plan(name=UP, process="wet layup", where=None, **more):
    layup = {"core bonding": CORED, "prepreg": CARBON}.get(process, PLIES)
    return outgas.schedule(
        name, where or shop(), process=process, layup=more.pop("layup", layup), **more
    )


def rows(got):
    return list(csv.DictReader(io.StringIO(got.to_csv())))


# The pump ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("process", [p for p in processes() if p != "pressing"])
@pytest.mark.parametrize("pump", [{"pump_ultimate": "120 mbar"}, {"pump": "dry vane"}])
def test_no_stage_is_deeper_than_the_pump_reaches(process, pump):
    reach = 12000.0 if "pump_ultimate" in pump else 15000.0
    got = plan(FIRST[process], process, rig=outgas.Rig(**pump))
    for stage in got:
        if stage.vacuum:
            assert stage.setpoint_Pa >= reach - 1e-6, stage.name
    for row in rows(got):
        assert float(row["setpoint_Pa"]) >= reach - 1e-6


def test_a_pump_too_weak_to_clamp_makes_no_plan_that_fits():
    got = plan(rig=outgas.Rig(pump_ultimate="700 mbar"))
    assert not got.fits
    for stage in got:
        assert not stage.vacuum or stage.setpoint_Pa >= 70000.0
    assert any("pump" in b.text for b in got.breaks)
    assert "degas" not in [s.name for s in got]  # such a pot takes out nothing worth the time


@settings(max_examples=8, deadline=None)
@given(st.floats(1.0, 900.0), st.floats(0.0, 1.0))
def test_a_weaker_pump_is_never_told_to_go_deeper(ultimate, share):
    strong = plan(rig=outgas.Rig(pump_ultimate=f"{ultimate * share:.3f} mbar"))
    weak = plan(rig=outgas.Rig(pump_ultimate=f"{ultimate:.3f} mbar"))
    both = {s.name for s in weak} & {s.name for s in strong}
    assert "hold to the gel" in both
    for name in {
        "debulk",
        "hold to the gel",
    } & both:  # a weak pump may debulk no deeper than it cures
        assert weak.stage(name).setpoint_Pa >= strong.stage(name).setpoint_Pa - 1e-6
        assert weak.stage(name).low_Pa >= strong.stage(name).low_Pa - 1e-6


# What cannot be held -----------------------------------------------------------------------------


@pytest.mark.parametrize("process", [p for p in processes() if p not in ("pressing", "prepreg")])
@pytest.mark.parametrize("altitude", ["20 m", "2500 m"])
def test_no_cure_is_held_with_less_clamp_than_the_process_needs(process, altitude):
    for name in outgas.resins():
        if process not in outgas.resin(name).processes:
            continue
        where = shop(humidity="80 %", temperature="24 degC", altitude=altitude)
        got = plan(name, process, where, degas=False)
        for stage in got:
            if stage.kind not in ("hold", "heat", "exotherm"):
                continue
            if stage.holds == "nothing":
                assert not stage.vacuum
                assert stage.setpoint_Pa == pytest.approx(got.barometer_Pa)
            else:
                assert stage.setpoint_Pa <= got.advice.shallowest_Pa + 1e-6
                assert stage.setpoint_Pa < got.barometer_Pa - 1.0


def test_where_nothing_can_be_held_it_says_no_vacuum():
    high = shop(humidity="80 %", altitude="3000 m")
    got = plan("epoxy-infusion", "infusion", degas=False, where=high, void_target="0.05 %")
    assert not got.fits
    assert got.to_text(full=True).startswith("Cure with no vacuum")
    hold = got.stage("hold to the gel")
    assert hold.holds == "nothing"
    row = next(r for r in rows(got) if r["stage"] == "hold to the gel")
    assert row["vacuum"] == "0"
    said = got.breaks[-1].text
    assert "clamp" in said


# Controllers -------------------------------------------------------------------------------------


def test_a_controller_is_never_told_0_pa():
    for process in processes():
        got = plan(FIRST[process], process)
        for stage, row in zip(got, rows(got), strict=False):
            assert row["setpoint_Pa"] == "" or float(row["setpoint_Pa"]) > 0.0
            if stage.holds in ("the pump's end", "until cold"):
                assert row["setpoint_Pa"] == ""
                assert stage.to_dict()["setpoint_Pa"] is None
                assert stage.setpoint is None
    reached = plan("out-of-autoclave-epoxy-prepreg", "prepreg", rig=outgas.Rig(pump="two-stage"))
    assert float(rows(reached)[1]["setpoint_Pa"]) == pytest.approx(50.0)


def test_bounds_for_a_controller_round_to_the_safe_side():
    for process in ("wet layup", "infusion", "core bonding"):
        for where in (shop(), shop(temperature="23.7 degC", humidity="61 %", altitude="431 m")):
            got = plan(UP, process, where)
            for stage, row in zip(got, rows(got), strict=False):
                if not stage.vacuum:
                    continue
                if row["never_deeper_Pa"]:
                    assert float(row["never_deeper_Pa"]) >= stage.low_Pa
                assert float(row["never_weaker_Pa"]) <= stage.high_Pa
                if row["setpoint_Pa"]:
                    assert float(row["setpoint_Pa"]) >= stage.setpoint_Pa - 1e-6


def test_pressures_in_reasons_round_to_less_vacuum():
    for where in (shop(), shop(humidity="57 %"), shop(humidity="63 %"), shop("22.3 degC")):
        got = plan(where=where)
        quiet = int(re.search(r"went quiet \((\d+) mbar", got.stage("hold to the gel").why)[1])
        assert quiet >= got.stage("debulk").setpoint_Pa / 100.0 - 1e-3
        pot = int(re.search(r"at (\d+) mbar the resin frees", got.stage("degas").why)[1])
        assert pot >= got.stage("degas").setpoint_Pa / 100.0 - 1e-3
        closed = plan(where=where, degas=False, void_target="0.1 %")
        for b in closed.breaks:
            for deep in re.findall(r"needs (\d+) mbar", b.text):
                assert int(deep) >= closed.advice.deepest_Pa / 100.0 - 1e-3


def test_resin_on_an_upright_face_drains_and_the_hold_says_so():
    assert "drains" in plan().stage("hold to the gel").watch_for
    assert "foot" in plan().stage("hold to the gel").watch_for
    assert "drains" not in plan(process="infusion").stage("hold to the gel").watch_for


# The clock's quick end ---------------------------------------------------------------------------


def test_what_fits_only_a_slow_cup_says_from_which_gel_on():
    got = plan(wet_out="10 min", initiator="1 %")
    assert got.fits
    hold = got.stage("hold to the gel").start_s
    quick = got.gel_interval_s[0]
    assert hold > 0.7 * quick
    least = got.fits_if_gel_after
    assert least is not None
    assert got.to_dict()["fits_if_gel_after_s"] == pytest.approx(least.m_as("s"))
    minutes = math.ceil(least.m_as("min") - 1e-6)
    assert f"The plan fits only if your cup gels after {minutes} min" in " ".join(
        got.to_text(full=True).split()
    )
    assert "fits the clock" not in got.to_text(full=True)


def test_a_cup_that_gels_when_it_must_fits_and_a_slow_resin_needs_no_cup():
    first = plan(wet_out="10 min", initiator="1 %")
    cup = first.fits_if_gel_after.m_as("min")
    measured = plan(wet_out="10 min", initiator="1 %", gel_time=f"{cup * 1.25:.2f} min")
    assert measured.fits
    assert measured.fits_if_gel_after is None
    assert "The plan fits the clock" in measured.to_text(full=True)
    assert plan(EPOXY).fits_if_gel_after is None
    assert plan(EPOXY).to_dict()["fits_if_gel_after_s"] is None


@settings(max_examples=6, deadline=None)
@given(st.floats(4.0, 16.0), st.floats(0.0, 6.0))
def test_more_work_never_fits_an_earlier_gel(minutes, more):
    quick = plan(wet_out=f"{minutes:.2f} min")
    slow = plan(wet_out=f"{minutes + more:.2f} min")
    if not quick.fits:
        assert not slow.fits
    if quick.fits and slow.fits and quick.fits_if_gel_after is not None:
        assert slow.fits_if_gel_after is not None
        assert slow.fits_if_gel_after >= quick.fits_if_gel_after * 0.98
