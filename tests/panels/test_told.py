"""Panels as they were told, made into what the balance takes."""

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, RefusedError
from outgas.panels.panel import panel_of
from outgas.panels.told import job_of_panel, made_of

RESIN = "orthophthalic-polyester"


def panel(**told):
    return panel_of({"resin": RESIN, "cure": "600 mbar", "look": "clear", **told}, 3)


def made(shop, **told):
    found, faults = made_of([panel(**told)], shop)
    assert faults == []
    return found[0][2]


def test_a_reading_is_three_pressures_and_a_range_is_five_between_its_ends(shop):
    read = made(shop)
    assert read.pressures.size == 3
    assert read.weights @ read.pressures == pytest.approx(60000.0, rel=0.01)
    assert read.dial_Pa == pytest.approx(2500.0)
    between = made(shop, cure="500 to 700 mbar")
    assert between.pressures.size == 5
    assert 50000.0 < between.pressures.min() < between.pressures.max() < 70000.0
    weak = made(shop, cure="weak bag")
    assert weak.dial_Pa == 0.0
    assert weak.weights.sum() == pytest.approx(1.0)


def test_a_sensor_reads_closer_than_a_dial(shop):
    assert made(shop, reads_with="sensor 5 mbar").dial_Pa == pytest.approx(500.0)


def test_a_gauge_reading_is_read_with_the_shop_s_barometer(shop):
    high = outgas.Shop(temperature="22 degC", humidity="50 %", altitude="2000 m")
    low, up = (made(here, cure="-0.4 bar gauge").pressures[1] for here in (shop, high))
    assert low - up == pytest.approx(shop.barometer_Pa - high.barometer_Pa, rel=1e-4)


def test_what_a_panel_bears_out_is_the_weak_end_of_its_pressure(shop):
    good = made(shop, debulk="90 mbar").good
    assert good.cure_Pa == pytest.approx(62500.0, rel=0.01)
    assert good.early_Pa == pytest.approx(9000.0, rel=0.02)
    assert made(shop).good.early_Pa is None
    assert made(shop, cure="500 to 700 mbar").good.cure_Pa > 69000.0


def test_the_steps_are_those_that_were_told(shop):
    found = made(shop, debulk="90 mbar", debulk_time="7 min", cure_time="33 min")
    early, cure = found.steps(np.array([[6e4]]), np.array([100.0, -100.0]))
    assert (early.duration_s, cure.duration_s) == (420.0, 1980.0)
    assert early.pressure_Pa[0] - early.pressure_Pa[1] == pytest.approx(200.0)
    (straight,) = made(shop, cure_time="33 min").steps(np.array([[6e4]]), np.zeros(1))
    assert straight.duration_s == 1980.0


def test_a_panel_made_elsewhere_keeps_its_own_shop(shop):
    own = job_of_panel(panel(temperature="28C"), shop)
    assert own.shop.temperature_K == pytest.approx(301.15)
    assert own.shop.humidity == shop.humidity


def test_a_panel_of_nowhere_is_left_out_and_says_what_to_add():
    found, (fault,) = made_of([panel()], None)
    assert found == []
    assert str(fault).startswith("line 3: no temperature is told; add temperature = '26C'")
    with pytest.raises(InputError, match="humidity"):
        job_of_panel(panel(temperature="26C"), None)


@pytest.mark.parametrize("process", ["prepreg", "pressing", "degassing"])
def test_a_process_whose_resin_is_not_at_the_bag_s_pressure_is_left_out(shop, process):
    resin = "out-of-autoclave-epoxy-prepreg" if process == "prepreg" else RESIN
    with pytest.raises((RefusedError, InputError), match="bag's pressure"):
        job_of_panel(panel(resin=resin, process=process), shop)


def test_panels_made_alike_have_one_key_and_others_have_not(shop):
    assert made(shop).key == made(shop, look="milky").key
    assert made(shop).key != made(shop, cure="601 mbar").key
    assert made(shop).key != made(shop, debulk="90 mbar").key
