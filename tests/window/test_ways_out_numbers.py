"""The numbers in a way out: each lies on the side that can be done, and none is a trifle."""

import dataclasses
import math
import re
from types import SimpleNamespace

import pytest
from window_jobs import HERE_PA, PREPREG, job

import outgas
from outgas.constants import STANDARD_GRAVITY, ZERO_CELSIUS_K
from outgas.laminate import batch
from outgas.laminate.case import hottest_vapour
from outgas.laminate.water import water_pressure, water_spread
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.ways import ways_out
from outgas.window.ways.ways_out import WORTH_SAYING_PA
from outgas.window.window import window_of


def way(made):
    """Return what a way in the making comes to."""
    (got,) = ways_out.together([made])
    return got


def test_a_way_that_gains_less_than_is_worth_saying_is_left_out():
    after = window_of(job())
    trifle = after.deepest + WORTH_SAYING_PA - 1.0
    assert ways_out._way("drier", after, trifle, "dry it") is None
    assert ways_out._way("drier", None, 1e9, "dry it") is None  # nothing could be worked
    got = ways_out._way("drier", after, trifle + 2.0, "dry it")
    assert got.deepest_Pa == after.deepest
    assert got.opens
    assert got.text.startswith(f"dry it: cure at {math.ceil(after.deepest / 100.0)} mbar or above")
    assert f"; then hold {math.ceil(after.setpoint / 100.0 - 1e-6)} mbar" in got.text


@pytest.mark.parametrize("count", [1, 2, 3, 7, 16, 99])
def test_the_least_change_that_opens_is_found_in_two_looks_wherever_it_lies(count):
    def seek(first):
        looks, search, sent = 0, ways_out._least(list(range(count))), None
        try:
            while True:
                asked = next(search) if sent is None else search.send(sent)
                looks += 1
                assert len(asked) <= 2 * math.isqrt(count) + 2
                sent = [SimpleNamespace(setpoint=1.0 if i >= first else None) for i in asked]
        except StopIteration as end:
            assert looks <= 2
            return end.value

    for first in range(count):
        found, window = seek(first)
        assert found == first
        assert window.setpoint == 1.0
    assert seek(count) is None


def test_where_there_is_nothing_to_change_nothing_is_found():
    search = ways_out._least([])
    assert next(search) == []
    with pytest.raises(StopIteration) as end:
        search.send([])
    assert end.value.value is None


@pytest.mark.parametrize(
    ("warm", "cold", "degrees"),
    [(21.4, 18.0, [21, 20, 19, 18]), (21.0, 18.5, [20, 19]), (18.0, 18.0, []), (10.2, 15.0, [])],
)
def test_degrees_below_are_whole_ones_down_to_the_coldest(warm, cold, degrees):
    got = ways_out._whole_below(warm + ZERO_CELSIUS_K, cold + ZERO_CELSIUS_K)
    assert got == pytest.approx([d + ZERO_CELSIUS_K for d in degrees])


SHUT = {"temperature": "34 degC", "humidity": "60 %"}
PLIES = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])


def by_kind(asked):
    return {each.kind: each for each in ways_out.ways_out(window_of(asked))}


def test_a_cooler_shop_is_what_advice_for_that_shop_says_and_a_degree_warmer_is_shut():
    asked = job(layup=PLIES, where={"temperature": "28 degC", "humidity": "60 %"})
    assert window_of(asked).setpoint is None
    got = by_kind(asked)["cooler"]
    told = int(re.search(r"resin to (\d+) degC", got.text)[1])
    cool, warmer = (
        outgas.advise(
            asked.resin.name,
            outgas.Shop(temperature=f"{T} degC", humidity="60 %", barometer=asked.shop.barometer),
            layup=PLIES,
        )
        for T in (told, told + 1)
    )
    assert cool.deepest_Pa == pytest.approx(got.deepest_Pa, rel=1e-4)
    assert cool.has_window
    assert not warmer.has_window


@pytest.mark.parametrize("celsius", [28, 30, 31])
def test_every_gel_that_a_timed_cup_may_have_opens_a_window_and_a_minute_quicker_is_shut(celsius):
    where = {"temperature": f"{celsius} degC", "humidity": "60 %"}
    asked = job(layup=PLIES, where=where)
    assert window_of(asked).setpoint is None
    got = by_kind(asked)["timed cup"]
    told = [int(x) for x in re.search(r"gels in (\d+)(?: to (\d+))? min,", got.text).groups("0")]
    least, most = told[0], max(told)
    deepest = []
    for minute in range(least, most + 1):
        here = outgas.advise(
            asked.resin.name,
            outgas.Shop(**where, barometer=asked.shop.barometer),
            layup=PLIES,
            gel_time=f"{minute} min",
        )
        assert here.has_window, minute
        deepest.append(here.deepest_Pa)
    assert max(deepest) <= got.deepest_Pa + 10.0
    assert window_of(asked.but(gel_s=60.0 * (least - 1))).setpoint is None
    low, high = batch.cup_gel(asked.curing, asked.shop.temperature_K, None).gels_s
    assert low <= 60.0 * least <= 60.0 * most <= high < 60.0 * (most + 1)


def test_a_low_gas_initiator_is_a_way_out_where_the_gas_of_this_one_leaves_no_pressure():
    asked = job("bisphenol-a-vinyl-ester", process="pressing")
    got = by_kind(asked)["low-gas initiator"]
    assert window_of(asked).setpoint is None
    quiet = window_of(asked.but(low_gas=True))
    assert quiet.setpoint is not None
    assert got.opens
    assert got.deepest_Pa == quiet.deepest
    assert "low-gas initiator" not in by_kind(asked.but(low_gas=True))
    assert "low-gas initiator" not in by_kind(job(process="pressing", entrained="6 %"))


def test_a_press_that_would_not_be_safe_either_is_said_to_be_not_enough():
    asked = job("bisphenol-a-vinyl-ester", no_debulk=True)
    got = by_kind(asked)["press"]
    assert not got.opens
    assert got.text.endswith("; not enough alone")
    assert "not enough" not in by_kind(asked.but(low_gas=True))["press"].text


def test_a_cup_is_not_timed_again_nor_for_what_does_not_gel_in_a_cup():
    where = {"temperature": "28 degC", "humidity": "60 %"}
    for asked in (
        job(layup=PLIES, where=where).but(gel_s=900.0),
        job(layup=PLIES, where=where, hottest="33 degC"),
        job(where=where, no_debulk=True),
    ):
        assert way(ways_out._timed(window_of(asked))) is None


def test_a_colder_tool_stays_as_cold_and_a_warmer_one_is_cooled_with_the_shop():
    for tool in ("20 degC", "40 degC"):
        where = {"temperature": "28 degC", "humidity": "40 %", "tool_temperature": tool}
        making = ways_out._cooler(window_of(job(layup=PLIES, where=where)))
        marks = {round(each.shop.temperature_K - ZERO_CELSIUS_K): each for each in next(making)}
        assert max(marks) < 28
        for T, each in marks.items():
            tool_at = each.shop.tool_temperature_K - ZERO_CELSIUS_K
            assert tool_at == pytest.approx(min(T, float(tool.split()[0])))


def test_a_cooler_laminate_opens_and_one_a_degree_warmer_does_not():
    asked = job(layup=PLIES, where={"temperature": "28 degC", "humidity": "60 %"})
    window = window_of(asked)
    got = by_kind(asked)["cooler laminate"]
    told = int(re.search(r"laminate below (\d+) degC", got.text)[1]) + ZERO_CELSIUS_K
    cool, warm = (
        window_of(asked.but(hottest_K=T, hottest_high_K=None)) for T in (told, told + 1.0)
    )
    assert cool.setpoint is not None
    assert cool.deepest == pytest.approx(got.deepest_Pa)
    assert warm.setpoint is None or told + 1.0 >= window.case.hottest_K


def test_the_air_to_take_out_is_the_least_whole_per_cent_that_opens():
    asked = job(where=SHUT, no_debulk=True)
    window = window_of(asked)
    got = by_kind(asked)["air out"]
    percent = int(re.search(r"take (\d+)% of the", got.text)[1])
    full = window.case.dissolved_Pa.nominal

    def after(share):
        left = Band.exact(full * (1.0 - share / 100.0))
        return window_of(asked, window.case.but(dissolved_Pa=left))

    assert after(percent).setpoint is not None
    assert after(percent - 1).setpoint is None
    assert got.deepest_Pa == pytest.approx(after(percent).deepest)


def test_ways_that_are_worked_together_are_what_each_is_alone():
    window = window_of(job(layup=PLIES, where=SHUT))
    made = ways_out.together(ways_out._candidates(window))
    alone = [way(each) for each in ways_out._candidates(window)]
    assert [each and each.kind for each in made] == [each and each.kind for each in alone]
    for one, other in zip(made, alone, strict=True):
        if one is not None and one.deepest_Pa is not None:
            assert one.deepest_Pa == pytest.approx(other.deepest_Pa, rel=1e-5)
    assert sum(each is not None for each in made) >= 4


def test_a_debulk_is_offered_where_it_was_left_out_and_only_there():
    asked = job(no_debulk=True)
    window, with_one = window_of(asked), window_of(job())
    got = way(ways_out._debulked(window))
    assert got.deepest_Pa == with_one.deepest < window.deepest
    told = int(re.search(r"debulk first at (\d+) mbar", got.text)[1])
    assert with_one.debulk_hold <= 100.0 * told < with_one.debulk_hold + 100.0
    assert way(ways_out._debulked(with_one)) is None  # it is counted on already
    pressed = job(process="pressing", no_debulk=True)
    assert way(ways_out._debulked(window_of(pressed))) is None


def test_a_sensor_is_offered_where_a_dials_error_is_what_is_missing():
    high = job(where={"barometer": "780 hPa"})
    window = window_of(high)
    assert window.setpoint is None
    got = way(ways_out._better_read(window))
    told = int(re.search(r"and hold (\d+) mbar", got.text)[1])
    assert 100.0 * told == pytest.approx(
        window.deepest + catalogue.practice().reading.sensor.si, abs=100.0
    )
    assert 100.0 * told <= window.shallowest
    assert way(ways_out._better_read(window_of(high.but(reads_with="water")))) is None


def test_a_tool_is_asked_for_only_where_its_heat_was_worked_out_without_one():
    thick = outgas.Layup(plies=["8 x 450 g/m2 chopped strand mat"])
    asked = job(layup=thick)
    got = way(ways_out._tool_named(window_of(asked)))
    named = window_of(asked.but(layup=thick.on_tool(ways_out.USUAL_TOOL)))
    assert got is None or got.deepest_Pa == named.deepest
    assert named.case.hottest_high_K < window_of(asked).case.hottest_high_K
    assert way(ways_out._tool_named(window_of(job()))) is None


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
    got = way(ways_out._pressed(window_of(job())))
    told = float(re.search(r"is ([\d,]+) kg per square metre", got.text)[1].replace(",", ""))
    assert told == pytest.approx(clamp / STANDARD_GRAVITY, abs=0.5)
    assert f"{clamp / 1e3:.0f} kPa" in got.text
    panel = job(layup=outgas.Layup(plies=["1 x 400 g/m2 woven glass"], area="0.04 m2"))
    weight = 0.04 * clamp / STANDARD_GRAVITY
    assert (
        f"{weight:,.0f} kg over this 0.04 m2 panel" in way(ways_out._pressed(window_of(panel))).text
    )
    soft = job("epoxy-laminating", layup=outgas.Layup(core="20 mm EPS"))
    assert way(ways_out._pressed(window_of(soft))) is None  # it would crush it as well
    assert way(ways_out._pressed(window_of(job(process="degassing")))) is None


def test_a_press_is_told_what_the_resin_lacks():
    asked = job(process="pressing")
    shut = dataclasses.replace(window_of(asked), deepest=HERE_PA + 5010.0, setpoint=None)
    assert "carries 51 mbar more" in way(ways_out._pressed_harder(shut)).text
    enough = dataclasses.replace(shut, deepest=HERE_PA)
    assert way(ways_out._pressed_harder(enough)) is None
    assert way(ways_out._pressed_harder(dataclasses.replace(shut, job=job()))) is None


def test_dry_air_is_offered_to_a_shop_that_is_not_dry_already():
    lines = {}
    for humidity in ("34 %", "90 %"):
        asked = job(where={"humidity": humidity}, air_pressure="5 mbar", entrained=0.0)
        lines[humidity] = way(ways_out._drier(window_of(asked)))
    assert lines["34 %"] is None
    assert "35% humidity" in lines["90 %"].text
    assert way(ways_out._drier(window_of(job(water_activity=0.9)))) is None
