"""The window: clear of deepest by the errors, never weaker than clamps, never past the pump."""

import dataclasses
import itertools
import types

import msgspec
import numpy as np
import pytest
from window_jobs import AUTOCLAVE, HERE_PA, PREPREG, UP, job, number

import outgas
from outgas.job.gauge import reading_of
from outgas.laminate.gas.limits import Limit
from outgas.physics import bed, flow
from outgas.show.dial import coarsest_step
from outgas.tables import catalogue
from outgas.window import window
from outgas.window.case.defaults import case_of
from outgas.window.limits import limits_with
from outgas.window.reach import margin_of, reach_of, reading_error, shallowest_of
from outgas.window.window import (
    autoclave_pressure,
    deepest_clear,
    if_shut,
    resin_pressure,
    shut_pressure,
    weakest_numbers,
    window_of,
    windows_for,
    windows_of,
)

EPS = outgas.Layup(core="20 mm EPS")


def test_the_weakest_bag_leaves_the_clamp_that_the_process_needs():
    clamp = job().process.clamp.si
    assert shallowest_of(job()) == pytest.approx(HERE_PA - clamp)
    high = job(where={"barometer": "800 hPa"})
    assert shallowest_of(high) == pytest.approx(80000.0 - clamp)
    assert shallowest_of(job(process="pressing")) == pytest.approx(HERE_PA)
    infused = job(process="infusion")
    assert infused.process.clamp.si > infused.process.clamp.low_si
    assert shallowest_of(infused) == pytest.approx(HERE_PA - infused.process.clamp.si)
    prepreg = job(PREPREG, process="prepreg")
    assert shallowest_of(prepreg) == prepreg.process.weakest_bag.si
    thin = job(PREPREG, where={"barometer": "210 hPa"}, process="prepreg")
    assert shallowest_of(thin) == min(21000.0, thin.process.weakest_bag.si)


def test_a_soft_core_asks_for_less_clamp_and_never_for_more():
    asks = EPS.core.clamp_needed.si
    on = job("epoxy-laminating", layup=EPS)
    assert asks < on.process.clamp.si
    assert shallowest_of(on) == pytest.approx(HERE_PA - asks)
    wider = msgspec.structs.replace(EPS.core.clamp_needed, low=1.0)
    core = msgspec.structs.replace(EPS.core, clamp_needed=wider)
    assert shallowest_of(on.but(layup=EPS.with_core(core))) == pytest.approx(HERE_PA - asks)
    hard = msgspec.structs.replace(on.process, soft_core=False)  # where the clamp is all that bonds
    assert shallowest_of(on.but(process=hard)) == pytest.approx(HERE_PA - on.process.clamp.si)
    sound = job(layup=outgas.Layup(core="15 mm PVC foam"))
    assert shallowest_of(sound) == pytest.approx(HERE_PA - sound.process.clamp.si)


def test_errors_of_reading_are_of_the_instrument_and_the_larger_of_reading_and_holding_counts():
    errors = catalogue.practice().reading
    assert reading_error(job(), 40000.0) == errors.dial.high_si > errors.dial.low_si
    for unread in ("plate", "none"):  # what sets itself is taken as no surer than a dial
        assert reading_error(job(reads_with=unread), 40000.0) == errors.dial.high_si
    by_water = job(reads_with="water")
    assert reading_error(by_water, 40000.0) == pytest.approx(errors.water.si * 40000.0)
    sensor = job(reads_with="sensor 5 mbar", rig=outgas.Rig(hold_error="20 mbar"))
    assert reading_error(sensor, 40000.0) == pytest.approx(500.0)
    assert margin_of(sensor, 40000.0) == pytest.approx(2000.0)
    steady = job(reads_with="sensor 5 mbar", rig=outgas.Rig(hold_error="2 mbar"))
    assert margin_of(steady, 40000.0) == pytest.approx(500.0)
    perfect = job(reads_with="sensor 0 mbar")
    assert margin_of(perfect, 40000.0) == 0.0
    for process, name in (("prepreg", PREPREG), ("pressing", "orthophthalic-polyester")):
        assert margin_of(job(name, process=process), 40000.0) == 0.0


def test_a_setpoint_stands_off_deepest_by_the_margin_and_there_is_none_past_the_clamp():
    asked = job(reads_with="sensor 5 mbar", air_pressure="30 mbar", no_debulk=True)
    got = window_of(asked)
    assert got.deepest == got.limits.deepest
    assert got.setpoint == pytest.approx(got.deepest + 500.0)
    warm = window_of(job(reads_with="sensor 5 mbar", where={"temperature": "32 degC"}))
    assert warm.debulk_hold == pytest.approx(warm.debulk_limit + 500.0)
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
    assert weak.debulk is None  # what it reaches is weaker than the cure may be
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
        first, second, verdict = told.to_text(full=True).splitlines()[:3]
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


def test_a_debulk_is_counted_on_where_it_helps_and_left_out_where_it_does_not():
    got = window_of(job())
    assert got.course.early_Pa == got.debulk == got.debulk_hold
    assert got.deepest < got.deepest_straight == got.straight.deepest
    told = window_of(job(no_debulk=True))
    assert told.debulk is None
    assert told.deepest == told.deepest_straight == got.deepest_straight
    shut = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], bag_side=["release film"])
    kept_in = window_of(job(layup=shut, hottest="30 degC"))
    assert kept_in.debulk is None  # what comes out cannot leave
    assert kept_in.deepest == kept_in.deepest_straight
    filled = window_of(job("epoxy-infusion", process="infusion", no_debulk=True))
    assert filled.course.early_Pa == filled.debulk_hold  # an infusion is filled in any case


def test_a_debulk_goes_no_deeper_than_is_of_use_and_a_fill_as_deep_as_the_resin_stands():
    least = catalogue.practice().gas.debulk_pressure.si
    got = window_of(job("epoxy-laminating", where={"humidity": "20 %"}))
    assert got.debulk_limit + got.margin < least
    assert got.debulk_hold == pytest.approx(least)
    fill = window_of(job("epoxy-infusion", process="infusion", where={"humidity": "20 %"}))
    assert fill.debulk_hold < least
    assert fill.debulk_hold == pytest.approx(fill.debulk_limit + fill.margin)


def test_the_setpoint_is_never_deeper_than_the_debulk_that_its_limit_counts_on():
    got = window_of(job(rig=outgas.Rig(pump_ultimate="500 mbar"), air_pressure="100 mbar"))
    if got.course.early_Pa is not None:
        assert got.setpoint >= got.course.early_Pa
    clean = {"void_target": "6 %", "air_pressure": "27 mbar", "reads_with": "sensor 5 mbar"}
    deep = window_of(job(**clean))
    assert deep.course.early_Pa is None  # a debulk weaker than the cure is none
    assert deep.setpoint == pytest.approx(deep.deepest + deep.margin)
    assert deep.setpoint < deep.debulk_hold


def test_the_weakest_numbers_are_those_that_add_most_to_the_limit():
    got = window_of(job())
    found = weakest_numbers(got)
    assert [by for _, _, by in found] == sorted((by for _, _, by in found), reverse=True)
    assert found[0][2] == max(got.limits.moved.values())
    sure = window_of(job(connected="80 %"))
    assert "gas that finds its way out" not in [name for name, _, _ in weakest_numbers(sure)]
    assert sure.deepest < got.deepest  # a number that is known takes its doubt away


def test_a_clear_finish_and_no_way_out_each_ask_for_more_pressure():
    got = window_of(job())
    assert deepest_clear(got) > got.deepest
    assert deepest_clear(got) == pytest.approx(window_of(job(finish="clear")).deepest)
    assert if_shut(got) > got.deepest
    coarse = window_of(job(void_target="10 %"))
    assert if_shut(coarse) > 10.0 * coarse.straight.safe["air"]  # what leaves no longer does


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


def test_no_number_of_the_gas_adds_more_than_the_safe_side_does_where_no_press_would_do():
    """Its worse end alone needs more than any press looked for: infinity was no JSON."""
    core = outgas.Layup(core="15 mm PVC foam")
    found = window_of(
        job(
            "vinyl-toluene-polyester",
            where={"temperature": "36 degC", "humidity": "100 %", "barometer": "766 hPa"},
            process="core bonding",
            layup=core,
            void_target="0.13 %",
        )
    )
    assert np.isinf(max(found.limits.moved.values()))
    adds = [by for _, _, by in weakest_numbers(found)]
    assert adds
    most = found.limits.safe["air"] - found.limits.nominal["air"]
    assert all(0.0 < by <= most for by in adds)


def test_shut_at_both_ends_unrested_resin_comes_up_and_cloth_that_yields_takes_it_lower():
    mean, vent = catalogue.prepreg().shut.mean.si, 5000.0
    rigid = vent + mean * (HERE_PA - vent)
    assert shut_pressure(job(process="infusion"), vent) == pytest.approx(rigid)
    cloth = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])
    eased = shut_pressure(job(process="infusion", layup=cloth, hottest="30 degC"), vent)
    assert 0.9 * rigid < eased < rigid


def test_a_press_keeps_no_room_for_a_dial_it_has_not():
    assert window_of(job(process="pressing")).room == 0.0


def test_a_pump_without_a_leak_reaches_its_own_ultimate():
    told = outgas.Rig(pump_displacement="5 m3/h", pump_ultimate="20 mbar")
    assert reach_of(job(rig=told)) == pytest.approx(2000.0)
    leaks = outgas.Rig(pump_displacement="5 m3/h", pump_ultimate="20 mbar", leak="5 mbar l/s")
    assert reach_of(job(rig=leaks)) > 2000.0
    unsized = outgas.Rig(pump_ultimate="20 mbar", leak="5 mbar l/s")
    assert reach_of(job(rig=unsized)) == pytest.approx(2000.0)


def test_a_leak_lifts_a_pump_of_no_known_kind_by_what_it_draws_in():
    """S (p - p_end) = q where its speed falls off as p_end / p alone."""
    rig = outgas.Rig(pump_displacement="6 m3/h", pump_ultimate="20 mbar", leak="10 mbar l/s")
    slow = 6.0 / 3600.0 * catalogue.rigs().displacement_share.low_si
    assert reach_of(job(rig=rig)) == pytest.approx(2000.0 + 1.0 / slow, rel=1e-6)


# What a window is made of ------------------------------------------------------------------------


def test_a_debulk_is_never_held_over_the_air_itself():
    thin = window_of(
        job(where={"barometer": "205 hPa", "temperature": "36 degC", "humidity": "95 %"})
    )
    assert thin.debulk_limit > 20500.0
    assert thin.debulk_hold == 20500.0
    assert thin.debulk is None


def test_prepreg_goes_as_deep_as_its_core_surely_bears_for_any_finish():
    got = window_of(job(PREPREG, process="prepreg", layup=EPS, hottest="60 degC"))
    assert got.limits.safe["core"] > got.limits.nominal["core"]
    assert got.deepest == got.limits.safe["core"]
    assert deepest_clear(got) == got.deepest


@pytest.mark.parametrize("how", [{}, {"finish": "clear"}, {"no_debulk": True}])
def test_what_a_clear_laminate_and_a_shut_one_ask_for_is_the_same_asked_before_or_after(how):
    asked = job(**how)
    (more,) = windows_of([(asked, case_of(asked))], more=True)
    plain = window_of(asked)
    assert (plain.clear_Pa, plain.shut_Pa) == (None, None)
    assert more.clear_Pa is not None
    assert if_shut(more) == more.shut_Pa == pytest.approx(if_shut(plain), rel=1e-6)
    assert deepest_clear(more) == pytest.approx(deepest_clear(plain), rel=1e-6)
    if asked.finish == "clear":
        assert deepest_clear(more) == pytest.approx(more.deepest, rel=1e-6)
    assert more.deepest == plain.deepest


def air(safe, nominal=None, unshown=None):
    """An air limit of a case, made up."""
    return Limit(safe if nominal is None else nominal, safe, {}, unshown)


def begun(**more):
    asked = job(**more)
    return window._begin(asked, case_of(asked))


def test_an_early_step_helps_where_it_lowers_the_safe_side_and_is_deeper_than_the_cure():
    start = begun()

    def is_early(begins, straight, after):
        found = window._Found(straight=straight, after=after)
        return window._window(begins, found).course.early_Pa is not None

    straight = air(60000.0, nominal=30000.0)
    assert is_early(start, straight, air(50000.0))
    assert not is_early(start, straight, air(60000.0))
    for early_hold, helps in ((32499.0, True), (32501.0, False)):  # a dial's error over 300 mbar
        weak = dataclasses.replace(start, early_hold=early_hold)
        assert is_early(weak, air(30000.0), air(100.0)) is helps


def test_a_course_is_chosen_by_what_it_asks_for_at_its_worst_hold():
    """Chosen hold by hold either would pass at 500 mbar, and each fails there at the other hold."""
    quick = window._Found(straight=air(40000.0, unshown=45000.0), after=air(60000.0, unshown=1.0))
    slow = window._Found(straight=air(70000.0, unshown=30000.0), after=air(50000.0, unshown=2.0))
    for found in ([quick, slow], [slow, quick]):
        worst = window._worst(found)
        assert (worst.straight.safe, worst.straight.unshown) == (70000.0, 45000.0)
        assert (worst.after.safe, worst.after.unshown) == (60000.0, 2.0)
        assert (worst.clear, worst.shut) == (None, None)
        got = window._window(begun(), worst)
        assert (got.deepest, got.deepest_straight) == (60000.0, 70000.0)
        assert got.course.early_Pa is not None
        assert got.course.hold_ends == got.case.hold_ends


@pytest.mark.parametrize(
    ("more", "straight", "after", "wanted"),
    [
        ({}, 60000.0, 50000.0, 50000.0),
        ({}, 50000.0, 60000.0, 50000.0),
        ({}, 50000.0, None, 50000.0),
        ({}, None, None, None),
        ({"process": "infusion"}, 50000.0, 60000.0, 60000.0),  # it is filled in any case
        ({"process": "infusion"}, 60000.0, 50000.0, 50000.0),
    ],
)
def test_what_it_would_be_without_panels_is_by_the_course_that_would_then_be_chosen(
    more, straight, after, wanted
):
    start = begun(**({"name": "epoxy-infusion"} if more else {}), **more)
    first = limits_with(start.case, air(70000.0, unshown=straight))
    then = None if after is None else limits_with(start.case, air(70000.0, unshown=after))
    assert window._by_tables(start.job, first, then) == wanted


def test_no_number_adds_more_than_all_do_together():
    got = window_of(job())
    most = got.limits.safe["air"] - got.limits.nominal["air"]
    endless = dataclasses.replace(got.limits, moved={"trapped": np.inf, "exponent": 0.5 * most})
    found = weakest_numbers(dataclasses.replace(got, limits=endless))
    assert [by for *_, by in found] == [most, 0.5 * most]
    sure = dataclasses.replace(endless, safe={**endless.safe, "air": endless.nominal["air"]})
    assert weakest_numbers(dataclasses.replace(got, limits=sure)) == ()


def test_a_pump_that_gets_into_the_window_by_less_than_a_dial_shows_should_reach_its_room():
    got = window_of(job())
    at = got.shallowest - 0.5 * got.room
    assert dataclasses.replace(got, reach_Pa=at).pump_needs == got.shallowest - got.room
    assert dataclasses.replace(got, reach_Pa=got.shallowest + 1.0).pump_needs == got.shallowest
    assert dataclasses.replace(got, reach_Pa=got.shallowest - got.room).pump_needs is None


def test_prepreg_is_pulled_early_whatever_its_gas_does_but_not_where_its_core_bears_none():
    got = window_of(job(PREPREG, process="prepreg", layup=EPS, hottest="60 degC"))
    assert got.course.early_Pa is None
    assert got.debulk == got.debulk_hold > 0.0
    assert dataclasses.replace(got, debulk_hold=HERE_PA).debulk is None


def test_a_pot_has_no_early_step_nor_has_a_job_that_cannot_hold_it(monkeypatch):
    assert begun(process="degassing").course is None
    assert begun(process="infusion").course is not None
    monkeypatch.setattr(window, "debulk_limit", lambda case: 2.0 * HERE_PA)
    for process in ("wet layup", "infusion"):
        assert begun(process=process).course is None
        assert window_of(job(process=process)).course.early_Pa is None


def test_without_its_fill_an_infusion_goes_no_deeper_than_with_it():
    start = begun(name="epoxy-infusion", process="infusion")
    found = window._Found(straight=air(40000.0), after=air(60000.0))
    got = window._window(start, found)
    assert got.deepest == got.deepest_straight == 60000.0


def test_under_air_no_thicker_than_what_a_pot_must_reach_no_pot_degasses():
    thin, less_thin = (
        window_of(job(process="degassing", where={"barometer": f"{air} hPa"})) for air in (200, 205)
    )
    assert thin.shallowest == 20000.0
    assert (thin.setpoint, less_thin.setpoint is None) == (None, False)


def test_where_gas_is_meant_to_leave_nothing_is_asked_of_what_stays():
    assert if_shut(window_of(job(process="degassing"))) == 0.0


def test_a_number_that_takes_away_is_no_weakest_number_and_two_are_named():
    got = window_of(job())
    moved = {"trapped": 5.0, "connected": -3.0, "solubility": 0.0, "spacing_m": 0.4}
    limits = dataclasses.replace(got.limits, moved=moved)
    found = weakest_numbers(dataclasses.replace(got, limits=limits))
    assert [(name, by) for name, _, by in found] == [
        ("gas trapped in wet cloth", 5.0), ("how close gas can start between the fibres", 0.4)
    ]  # fmt: skip
    three = dataclasses.replace(got.limits, moved={**moved, "exponent": 2.0})
    assert len(weakest_numbers(dataclasses.replace(got, limits=three))) == 2
    gas, ends = got.course.known.gas, got.course.known.ends
    band = found[0][1]
    assert (band.nominal, band.low, band.high) == (gas.trapped, *ends["trapped"])
    alone = dataclasses.replace(got.limits, moved={"trapped": 5.0, "connected": -3.0})
    assert len(weakest_numbers(dataclasses.replace(got, limits=alone))) == 1


def test_another_finish_goes_no_deeper_than_what_else_is_safe():
    got = dataclasses.replace(window_of(job()), clear_Pa=0.0, shut_Pa=0.0)
    others = [p for name, p in got.limits.safe.items() if name != "air"]
    assert deepest_clear(got) == max(others) > got.limits.nominal["vapour"]


def test_a_clamp_that_thin_air_cannot_give_leaves_no_weakest_bag_but_nothing():
    assert shallowest_of(job(where={"barometer": "205 hPa"})) == 0.0


def test_a_core_that_wants_more_clamp_than_its_process_asks_for_no_more():
    soft = job("epoxy-laminating", layup=EPS)
    core = msgspec.structs.replace(soft.layup.core, clamp_needed=number(0.9, "bar", 0.8, 1.0))
    wants = types.SimpleNamespace(core=core)
    assert shallowest_of(soft.but(layup=wants)) == pytest.approx(HERE_PA - soft.process.clamp.si)


def test_a_leaking_pump_of_a_known_kind_slows_as_its_kind_does():
    rig = outgas.Rig.from_words("5 m3/h venturi, leak 0.01 mbar l/s")
    slow = 5.0 / 3600.0 * catalogue.rigs().displacement_share.low_si
    wanted = flow.pump_pressure(0.001, slow, rig.kind.ultimate.high_si, rig.kind.roll_off.high_si)
    assert reach_of(job(rig=rig)) == pytest.approx(float(wanted))
    other = flow.pump_pressure(0.001, slow, rig.kind.ultimate.high_si, rig.kind.roll_off.si)
    assert float(other) < float(wanted)  # the likely one would promise more vacuum


def test_an_infusion_is_filled_though_the_fill_helps_nothing_and_a_layup_is_not_debulked_then():
    for more, filled in (({"name": "epoxy-infusion", "process": "infusion"}, True), ({}, False)):
        start = begun(**more)
        assert start.course is not None
        found = window._Found(straight=air(50000.0), after=air(60000.0))
        got = window._window(start, found)
        assert (got.course.early_Pa is not None) == filled
        assert got.deepest == (60000.0 if filled else 50000.0)


def test_cloth_that_yields_takes_shut_resin_as_low_as_its_own_stiffness_says():
    cloth = outgas.Layup(plies=["2 x 400 g/m2 woven glass", "1 x 450 g/m2 chopped strand mat"])
    asked = job(process="infusion", layup=cloth, hottest="30 degC")
    laid = catalogue.prepreg().shut.laid.si
    each = [
        float(bed.shut_compacting(5000.0, HERE_PA, ply.fabric.compaction_b.si, laid))
        for ply in asked.layup.plies
    ]
    assert shut_pressure(asked, 5000.0) == pytest.approx(min(each))


def test_no_setpoint_lies_under_the_early_step_that_its_limit_counts_on():
    start = begun(name="epoxy-infusion", process="infusion")
    weak = dataclasses.replace(
        start, early_hold=60000.0, course=start.straight.but(early_Pa=60000.0)
    )
    got = window._window(weak, window._Found(straight=air(70000.0), after=air(50000.0)))
    assert got.deepest == 50000.0
    assert got.setpoint == 60000.0


MIXED = [
    job(process=process, void_target=void)
    for process in ("wet layup", "core bonding", "pressing", "infusion")
    for void in ("0.3 %", "2 %")
]


def test_jobs_of_every_process_worked_together_are_what_each_is_alone():
    for one, asked in zip(windows_for(MIXED), MIXED, strict=True):
        alone = window_of(asked)
        assert one.limits.safe == pytest.approx(alone.limits.safe, rel=1e-4)
        assert (one.setpoint is None) == (alone.setpoint is None)


def test_what_cannot_be_worked_says_why_and_leaves_the_others_as_they_are():
    plies = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])
    wrong = job(layup=plies).but(gel_s=1e6)
    known = case_of(MIXED[0])
    first, why, last = windows_for([(MIXED[0], known), wrong, MIXED[1]])
    assert isinstance(why, outgas.InputError)
    hot = job(PREPREG, process="prepreg", contaminants={"acetone": "1 %"})
    beyond = hot.but(hottest_K=460.0, hottest_high_K=None)  # past acetone's curve
    _, out, same = windows_for([(MIXED[0], known), beyond, MIXED[1]])
    assert isinstance(out, outgas.OutOfRangeError)
    assert same.deepest == pytest.approx(last.deepest)
    assert first.case is known
    assert last.deepest == pytest.approx(window_of(MIXED[1]).deepest, rel=1e-4)


@pytest.mark.parametrize(
    "told",
    [{}, {"no_debulk": True}, {"process": "pressing"}, {"process": "infusion"}],
)
def test_more_of_an_initiators_gas_and_a_finer_target_never_let_the_bag_go_deeper(told):
    """Nor where no bag meets its gas: the limit is then above the air, not as if it gave none."""
    asked = job("bisphenol-a-vinyl-ester", **told)
    case = case_of(asked)
    cups = [window_of(asked, case.but(cup_s=minutes * 60.0)) for minutes in (30, 20, 12, 8, 4, 2)]
    targets = [
        window_of(job("bisphenol-a-vinyl-ester", void_target=f"{x} %", **told))
        for x in (8, 5, 3, 2, 1.5, 1)
    ]
    for found in (cups, targets):
        deepest = [window.deepest for window in found]
        straight = [window.deepest_straight for window in found]
        assert all(b >= a - 10.0 for a, b in itertools.pairwise(deepest))
        assert all(b >= a - 10.0 for a, b in itertools.pairwise(straight))
        assert straight[-1] > straight[0] + 1000.0
    quiet = window_of(job("bisphenol-a-vinyl-ester", low_gas_initiator=True, **told))
    assert quiet.deepest <= window_of(asked).deepest
