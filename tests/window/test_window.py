"""The window: clear of deepest by the errors, never weaker than clamps, never past the pump."""

import dataclasses

import pytest
from window_jobs import AUTOCLAVE, HERE_PA, PREPREG, UP, job

import outgas
from outgas.job.gauge import reading_of
from outgas.laminate.case import after_pull
from outgas.show.dial import coarsest_step
from outgas.tables import catalogue
from outgas.window.defaults import case_of
from outgas.window.window import (
    autoclave_pressure,
    debulked,
    margin_of,
    reach_of,
    reading_error,
    resin_pressure,
    shallowest_of,
    window_of,
)

EPS = outgas.Layup(core="20 mm EPS")


def test_the_weakest_bag_leaves_the_clamp_that_the_process_needs():
    clamp = job().process.clamp.si
    assert shallowest_of(job()) == pytest.approx(HERE_PA - clamp)
    high = job(where={"barometer": "800 hPa"})
    assert shallowest_of(high) == pytest.approx(80000.0 - clamp)
    assert shallowest_of(job(process="pressing")) == pytest.approx(HERE_PA)
    prepreg = job(PREPREG, process="prepreg")
    assert shallowest_of(prepreg) == prepreg.process.weakest_bag.si
    thin = job(PREPREG, where={"barometer": "210 hPa"}, process="prepreg")
    assert shallowest_of(thin) == min(21000.0, thin.process.weakest_bag.si)


def test_a_soft_core_asks_for_less_clamp_and_never_for_more():
    asks = EPS.core.clamp_needed.si
    on = job("epoxy-laminating", layup=EPS)
    assert asks < on.process.clamp.si
    assert shallowest_of(on) == pytest.approx(HERE_PA - asks)
    sound = job(layup=outgas.Layup(core="15 mm PVC foam"))
    assert shallowest_of(sound) == pytest.approx(HERE_PA - sound.process.clamp.si)


def test_errors_of_reading_are_of_the_instrument_and_the_larger_of_reading_and_holding_counts():
    errors = catalogue.practice().reading
    assert reading_error(job(), 40000.0) == errors.dial.high_si > errors.dial.low_si
    by_water = job(reads_with="water")
    assert reading_error(by_water, 40000.0) == pytest.approx(errors.water.si * 40000.0)
    sensor = job(reads_with="sensor 5 mbar", rig=outgas.Rig(hold_error="20 mbar"))
    assert reading_error(sensor, 40000.0) == pytest.approx(500.0)
    assert margin_of(sensor, 40000.0) == pytest.approx(2000.0)
    steady = job(reads_with="sensor 5 mbar", rig=outgas.Rig(hold_error="2 mbar"))
    assert margin_of(steady, 40000.0) == pytest.approx(500.0)
    for process, name in (("prepreg", PREPREG), ("pressing", "orthophthalic-polyester")):
        assert margin_of(job(name, process=process), 40000.0) == 0.0


def test_a_setpoint_stands_off_deepest_by_the_margin_and_there_is_none_past_the_clamp():
    asked = job(reads_with="sensor 5 mbar", air_pressure="100 mbar")
    got = window_of(asked)
    assert got.deepest == got.limits.deepest
    assert got.setpoint == pytest.approx(got.deepest + 500.0)
    assert got.debulk_hold == pytest.approx(got.debulk_limit + 500.0)
    room = got.shallowest - got.deepest - coarsest_step(HERE_PA)
    assert window_of(asked.but(sensor_Pa=room - 1.0)).setpoint is not None
    assert window_of(asked.but(sensor_Pa=room + 1.0)).setpoint is None


def test_a_pump_moves_the_setpoint_to_what_it_reaches_or_takes_it_away():
    got = window_of(job(air_pressure="100 mbar", rig=outgas.Rig(pump_ultimate="400 mbar")))
    assert got.setpoint == got.debulk_hold == pytest.approx(40000.0)
    assert got.pump_needs is None
    weak = window_of(job(air_pressure="100 mbar", rig=outgas.Rig(pump_ultimate="690 mbar")))
    assert weak.setpoint is None
    assert weak.pump_needs == weak.shallowest
    assert weak.debulk == pytest.approx(69000.0)
    assert reach_of(job(process="pressing", rig=outgas.Rig(pump_ultimate="400 mbar"))) is None


def test_a_window_is_wider_than_one_step_of_the_coarsest_dial():
    asked = job(air_pressure="100 mbar", reads_with="sensor 5 mbar")
    step, weakest = coarsest_step(HERE_PA), shallowest_of(asked)
    for short, opens in ((step + 1.0, True), (step - 1.0, False)):
        reach = outgas.Rig(pump_ultimate=outgas.Quantity(weakest - short, "Pa"))
        got = window_of(asked.but(rig=reach))
        assert (got.setpoint is not None) is opens
        assert (got.pump_needs is None) is opens
        if not opens:  # what it reaches is not said to be what is wanted
            assert got.pump_needs < got.reach_Pa


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
def test_a_weak_pump_is_blamed_in_every_process_and_not_the_core():
    for process, resin, reach, says in (
        ("wet layup", UP, "690 mbar", "clamps enough"),
        ("degassing", UP, "300 mbar", "degasses enough"),
        ("prepreg", PREPREG, "60 mbar", "prepreg needs"),
    ):
        rig = outgas.Rig(pump_ultimate=reach)
        where = outgas.Shop(temperature="22 degC", humidity="50 %")
        told = outgas.advise(resin, where, process=process, rig=rig)
        assert told.setpoint_Pa is None
        first, second, verdict = told.to_text().splitlines()[:3]
        assert first.startswith("No vacuum here")
        assert says in first
        assert "core" not in first + second
        assert verdict.startswith("Your pump: too weak to ")


def test_no_debulk_where_it_would_stand_at_the_air_itself():
    got = window_of(job(rig=outgas.Rig(pump_ultimate="900 mbar"), where={"barometer": "850 hPa"}))
    assert got.debulk_hold == 85000.0
    assert got.debulk is None


def test_prepreg_is_limited_by_its_core_alone_and_a_press_by_the_air_it_leaves():
    wet = window_of(job(PREPREG, process="prepreg", where={"humidity": "90 %"}))
    assert wet.limits.safe["vapour"] > wet.shallowest
    assert wet.deepest == wet.setpoint == 0.0
    press = window_of(job(process="pressing", air_pressure="20 mbar", void_target="10 %"))
    assert press.deepest < HERE_PA
    assert press.setpoint == pytest.approx(HERE_PA)
    shut = window_of(job(process="pressing", void_target="0.1 %"))
    assert shut.deepest > HERE_PA
    assert shut.setpoint is None


def test_the_debulk_takes_its_share_of_the_air_out_at_where_it_is_held():
    got = window_of(job())
    share = catalogue.practice().gas.debulk_removed
    expected = after_pull(case_of(job()), got.debulk_hold, share).dissolved_Pa
    assert debulked(got).dissolved_Pa == expected
    assert expected.high < got.case.dissolved_Pa.nominal


def test_the_pressure_in_the_resin_is_the_bags_but_prepreg_has_its_share_of_air_and_autoclave():
    usual = job(AUTOCLAVE, process="prepreg")
    assert autoclave_pressure(usual) == usual.resin.applied_pressure.low_si
    told = job(AUTOCLAVE, process="prepreg", rig=outgas.Rig(autoclave="3 bar"))
    least = 0.6 * (HERE_PA + 300000.0)  # its fibres carry 40 % of it at the most
    assert resin_pressure(told, window_of(told), None) == pytest.approx(least)
    none = job(AUTOCLAVE, process="prepreg", rig=outgas.Rig(autoclave="0 bar"))
    assert autoclave_pressure(none) == 0.0
    press = job(process="pressing")
    assert resin_pressure(press, window_of(press), None) == pytest.approx(HERE_PA)
    bag = window_of(job())
    read = reading_of("300 mbar", HERE_PA, "bag pressure")
    assert resin_pressure(bag.job, bag, read) == pytest.approx(30000.0)
    assert resin_pressure(bag.job, bag, None) == bag.setpoint
    shut = dataclasses.replace(bag, setpoint=None)
    assert resin_pressure(bag.job, shut, None) == bag.shallowest
