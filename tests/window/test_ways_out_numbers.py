"""The numbers in a way out: each lies on the side that can be done, and none is a trifle."""

import dataclasses
import math
import re

import pytest
from window_jobs import HERE_PA, PREPREG, job

import outgas
from outgas.constants import STANDARD_GRAVITY
from outgas.laminate.case import hottest_vapour
from outgas.laminate.water import water_pressure, water_spread
from outgas.tables import catalogue
from outgas.window import ways_out
from outgas.window.ways_out import WORTH_SAYING_PA
from outgas.window.window import window_of


def test_a_way_that_gains_less_than_is_worth_saying_is_left_out():
    asked = job()
    case = window_of(asked).case
    after = window_of(asked, case)
    trifle = after.deepest + WORTH_SAYING_PA - 1.0
    assert ways_out._way("drier", asked, case, trifle, "dry it") is None
    got = ways_out._way("drier", asked, case, trifle + 2.0, "dry it")
    assert got.deepest_Pa == after.deepest
    assert got.opens
    assert got.text.startswith(f"dry it: cure at {math.ceil(after.deepest / 100.0)} mbar or above")
    assert f"; then hold {math.ceil(after.setpoint / 100.0 - 1e-6)} mbar" in got.text


def test_the_furthest_that_stays_open_lies_on_the_open_side():
    got = ways_out._furthest_open(lambda x: x <= 7.3, 0.0, 20.0)
    assert 7.3 - 20.0 / 2**ways_out.BISECTIONS <= got <= 7.3
    assert ways_out._furthest_open(lambda x: False, 0.0, 20.0) is None
    assert ways_out._furthest_open(lambda x: True, 5.0, 5.0) is None


def test_a_debulk_is_offered_where_it_was_left_out_and_only_there():
    asked = job(no_debulk=True)
    window, with_one = window_of(asked), window_of(job())
    got = ways_out._debulked(asked, window)
    assert got.deepest_Pa == with_one.deepest < window.deepest
    told = int(re.search(r"debulk first at (\d+) mbar", got.text)[1])
    assert with_one.debulk_hold <= 100.0 * told < with_one.debulk_hold + 100.0
    assert ways_out._debulked(job(), with_one) is None  # it is counted on already
    pressed = job(process="pressing", no_debulk=True)
    assert ways_out._debulked(pressed, window_of(pressed)) is None


def test_a_sensor_is_offered_where_a_dials_error_is_what_is_missing():
    high = job(where={"barometer": "780 hPa"})
    window = window_of(high)
    assert window.setpoint is None
    got = ways_out._better_read(high, window)
    told = int(re.search(r"and hold (\d+) mbar", got.text)[1])
    assert 100.0 * told == pytest.approx(
        window.deepest + catalogue.practice().reading.sensor.si, abs=100.0
    )
    assert 100.0 * told <= window.shallowest
    assert ways_out._better_read(high.but(reads_with="water"), window) is None


def test_a_tool_is_asked_for_only_where_its_heat_was_worked_out_without_one():
    thick = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"])
    asked = job(layup=thick)
    got = ways_out._tool_named(asked, window_of(asked))
    named = window_of(asked.but(layup=thick.on_tool(ways_out.USUAL_TOOL)))
    assert got is None or got.deepest_Pa == named.deepest
    assert named.case.hottest_high_K < window_of(asked).case.hottest_high_K
    assert ways_out._tool_named(job(), window_of(job())) is None


def test_the_cheap_ways_come_before_presses_and_other_resins():
    high = job(where={"barometer": "760 hPa"})
    kinds = [way.kind for way in ways_out.ways_out(window_of(high)) if way.opens]
    assert {"pot", "press"} <= set(kinds)
    dear = [kinds.index(k) for k in ("other resin", "press") if k in kinds]
    cheap = [i for i, k in enumerate(kinds) if k in ("sensor", "pot", "air out", "cooler")]
    assert max(cheap) < min(dear)


def test_wet_prepreg_is_told_how_dry_down_and_how_hard_up():
    asked = job(PREPREG, process="prepreg", where={"humidity": "85 %"})
    window = window_of(asked)
    T, hot = window.case.hottest_K, hottest_vapour(window.case)
    assert hot.high > HERE_PA
    humidity, dried, pressure = ways_out.ways_out(window)
    assert dried.kind == "vacuum drying"
    bears = 0.95 * 0.6  # its fibres carry 40 % at the most, and it is clear of its limit
    pure = water_pressure(T) * (1.0 + water_spread(T))
    told = int(re.search(r"below (\d+)% humidity", humidity.text)[1])
    others = hot.high - 0.85 * pure  # what is not water
    assert (told / 100.0) * pure + others <= bears * HERE_PA
    assert ((told + 1) / 100.0) * pure + others > bears * HERE_PA
    bar = float(re.search(r"with ([\d.]+) bar or more", pressure.text)[1])
    assert bar * 1e5 - 1e4 < hot.high / bears - HERE_PA <= bar * 1e5
    dry = job(PREPREG, process="prepreg", where={"humidity": "10 %"})
    assert [way.kind for way in ways_out.ways_out(window_of(dry))] == ["humidity"]


def test_a_press_is_told_the_weight_of_its_clamp():
    clamp = job().process.clamp.si
    got = ways_out._pressed(job())
    told = float(re.search(r"is ([\d,]+) kg per square metre", got.text)[1].replace(",", ""))
    assert told == pytest.approx(clamp / STANDARD_GRAVITY, abs=0.5)
    assert f"{clamp / 1e3:.0f} kPa" in got.text
    panel = job(layup=outgas.Layup(plies=["1 x 400 g/m2 woven glass"], area="0.04 m2"))
    weight = 0.04 * clamp / STANDARD_GRAVITY
    assert f"{weight:,.0f} kg over this 0.04 m2 panel" in ways_out._pressed(panel).text
    soft = job("epoxy-laminating", layup=outgas.Layup(core="20 mm EPS"))
    assert ways_out._pressed(soft) is None  # it would crush it as well
    assert ways_out._pressed(job(process="degassing")) is None


def test_a_press_is_told_what_the_resin_lacks():
    asked = job(process="pressing")
    shut = dataclasses.replace(window_of(asked), deepest=HERE_PA + 5010.0, setpoint=None)
    assert "carries 51 mbar more" in ways_out._pressed_harder(asked, shut).text
    enough = dataclasses.replace(shut, deepest=HERE_PA)
    assert ways_out._pressed_harder(asked, enough) is None
    assert ways_out._pressed_harder(job(), shut) is None


def test_dry_air_is_offered_to_a_shop_that_is_not_dry_already():
    lines = {}
    for humidity in ("34 %", "90 %"):
        asked = job(where={"humidity": humidity}, air_pressure="5 mbar", entrained=0.0)
        lines[humidity] = ways_out._drier(asked, window_of(asked))
    assert lines["34 %"] is None
    assert "35% humidity" in lines["90 %"].text
    assert ways_out._drier(job(water_activity=0.9), window_of(job(water_activity=0.9))) is None
