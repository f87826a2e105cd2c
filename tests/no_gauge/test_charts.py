import numpy as np
import pytest

import outgas
from outgas.errors import InputError
from outgas.no_gauge.charts import after_each

UP = "orthophthalic-polyester"
SHOP = outgas.Shop(temperature="22 degC", humidity="50 %")
RIG = outgas.Rig.from_words("5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve")


@pytest.fixture(scope="module")
def bag():
    unknown = outgas.BagPressure.unknown(SHOP.barometer)
    return unknown.saw_boiling("29 degC", chip=True).plate_lifts("1.2 kg", "20 mm")


def test_a_curve_for_nothing_known_and_one_after_each_look(bag):
    chart = bag.chart
    assert chart.curves[0].label == "nothing known"
    assert [c.label for c in chart.curves[1:]] == [seen.text[:70] for seen in bag.evidence]
    assert chart.curves[-1].role == "main"
    assert set(chart.curves[0].y) == {1.0}  # flat before any look


def test_the_last_belief_of_the_steps_is_the_belief_itself(bag):
    assert after_each(bag)[-1][1] == pytest.approx(bag.weights)
    first = outgas.BagPressure.unknown(SHOP.barometer).saw_boiling("29 degC", chip=True)
    assert after_each(bag)[1][1] == pytest.approx(first.weights)


def test_the_belief_peaks_where_it_is_likeliest(bag):
    last = bag.chart.curves[-1]
    peak = last.x[int(np.argmax(last.y))]
    low, high = (q.m_as("mbar") for q in bag.interval())
    assert low <= peak <= high
    assert max(last.y) == pytest.approx(1.0)


def test_many_looks_show_the_first_and_the_latest(bag):
    many = bag
    for _ in range(5):
        many = many.sensor("600 mbar", "80 mbar")
    curves = many.chart.curves
    assert curves[0].label == "nothing known"
    assert len(curves) <= 6
    assert len({c.role for c in curves}) == len(curves)


def test_with_a_resin_its_window_stands_behind(bag):
    judged = bag.advise(UP, SHOP)
    cure = judged.chart.area("cure")
    assert cure.x[0] == pytest.approx(judged.advice.deepest_Pa / 100.0)
    assert cure.x[1] == pytest.approx(judged.advice.shallowest_Pa / 100.0)
    assert bag.chart.areas == ()
    assert list(judged.charts())[:2] == ["belief", "window"]


def test_the_ways_to_hold_are_rows_in_their_order_with_their_ranges():
    held = outgas.hold("600 mbar", RIG, "1013 mbar", deepest="531 mbar", shallowest="670 mbar")
    chart = held.chart
    names = [word.split(":")[0] for _, word in chart.y.ticks]
    assert names == [way.name for way in held.ways]
    plate = chart.areas[names.index("weighted plate")]
    assert plate.x == pytest.approx((held.plate.low_Pa / 100.0, held.plate.high_Pa / 100.0))
    assert chart.mark("hold").x == 600.0
    assert chart.mark("never deeper").x == pytest.approx(531.0)
    for area, way in zip(chart.areas, (w for w in held.ways if w.deep_Pa is not None), strict=True):
        assert area.x[0] == pytest.approx(way.deep_Pa / 100.0)
        assert (area.label == "sure") == way.sure


def test_chance_below_takes_an_array_of_pressures(bag):
    p = np.array([10.0, 100.0, 600.0, 1000.0])
    got = bag.chance_below(outgas.Quantity(p, "mbar"))
    one_by_one = [bag.chance_below(f"{x} mbar") for x in p]
    assert got.shape == p.shape
    assert got == pytest.approx(one_by_one)
    grid = outgas.Quantity(p.reshape(2, 2), "mbar")
    assert bag.chance_below(grid).shape == (2, 2)
    assert isinstance(bag.chance_below("100 mbar"), float)
    assert isinstance(bag.chance_below(outgas.Quantity(100.0, "mbar")), float)


def test_an_array_with_what_is_no_pressure_is_refused(bag):
    for wrong in (np.array([100.0, np.nan]), np.array([-1.0, 5.0])):
        with pytest.raises(InputError):
            bag.chance_below(outgas.Quantity(wrong, "mbar"))
