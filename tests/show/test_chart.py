import itertools
import json
import math
import pickle

import pytest

from outgas.errors import InputError, UnknownNameError
from outgas.readings import dial_readings
from outgas.show.chart import Chart, Charts, UnknownChartError
from outgas.show.shapes import Area, Curve, Mark, Note, Rows, Scale, dial_beside


def a_chart(**more):
    return Chart(
        **{
            "name": "one",
            "title": "One",
            "x": Scale("time", "min", 0.0, 10.0),
            "y": Scale("bag", "mbar absolute", 0.0, 1000.0, beside=dial_beside(1e5, "inHg")),
            "areas": (Area("safe", "cure", (0.0, 10.0), (500.0, 500.0), (600.0, 600.0)),),
            "curves": (Curve("set", "hold", (0.0, 5.0, 10.0), (550.0, math.nan, 550.0)),),
            "marks": (Mark("guide", "gel", x=5.0), Mark("limit", "deepest", y=500.0)),
            "notes": (Note("here", 5.0, 550.0, tied=True),),
            **more,
        }
    )


def test_a_chart_is_plain_data_that_json_takes_with_no_number_for_what_is_not_known():
    told = json.loads(json.dumps(a_chart().to_dict(), allow_nan=False))
    assert told["kind"] == "outgas chart"
    assert told["y"]["unit"] == "mbar absolute"
    assert told["curves"][0]["y"] == [550.0, None, 550.0]
    assert told["y"]["beside"]["title"] == "inHg vacuum"


def test_a_part_is_found_by_its_label_and_a_wrong_label_says_which_there_are():
    chart = a_chart()
    assert chart.area("cure").high == (600.0, 600.0)
    assert chart.mark("gel").x == 5.0
    assert chart.curve("hold").role == "set"
    with pytest.raises(KeyError, match="hold"):
        chart.curve("held")


def test_a_chart_comes_back_from_a_pickle_equal():
    chart = a_chart(curves=())
    assert pickle.loads(pickle.dumps(chart)) == chart


def test_charts_are_made_when_they_are_asked_for_and_only_once():
    made = []

    def make(dial):
        made.append(dial)
        return a_chart()

    charts = Charts({"one": make, "two": make}, "BAR")
    assert list(charts) == ["one", "two"]
    assert "one" in charts
    assert made == []
    assert charts["one"] is charts["one"]
    assert made == ["bar"]


def test_a_chart_that_there_is_not_is_told_with_the_nearest_name():
    charts = Charts({"voids": lambda dial: a_chart()})
    with pytest.raises(UnknownChartError, match="did you mean voids"):
        charts["void"]
    assert charts.get("void") is None
    with pytest.raises(UnknownNameError):
        Charts({}, "fathoms")


@pytest.mark.parametrize("dial", ["inHg", "mmHg", "bar", "percent", "torr"])
@pytest.mark.parametrize("log", [False, True])
def test_a_dials_figures_stand_where_the_dial_shows_them(dial, log):
    keys = {
        "inHg": "vacuum_inHg",
        "mmHg": "vacuum_mmHg",
        "bar": "gauge_bar",
        "percent": "vacuum_percent",
        "torr": "absolute_torr",
    }
    here = 83600.0
    beside = dial_beside(here, dial, 1.0, log=log)
    assert len(beside.ticks) >= 5
    for at, word in beside.ticks:
        assert dial_readings(at * 100.0, here)[keys[dial]] == pytest.approx(float(word), abs=1e-3)
        assert 0.0 <= at <= here / 100.0 + 1e-9


def test_figures_of_a_dial_keep_apart_along_a_logarithm_too():
    scale = Scale("bag", "mbar", 1.0, 1010.0, log=True)
    beside = dial_beside(101000.0, "inHg", 1.0, log=True)
    places = sorted(scale.share(at) for at, _ in beside.ticks)
    assert min(b - a for a, b in itertools.pairwise(places)) > 0.05
    assert any(float(word) >= 29.5 for _, word in beside.ticks)  # the deep end is lettered


def test_mbar_needs_no_second_lettering():
    assert dial_beside(1e5, "mbar") is None


def test_rows_go_from_the_top_down():
    rows = Rows(("first", "second"))
    assert rows.at(0) > rows.at(1)
    assert rows.scale().rows
    assert {word: at for at, word in rows.scale().ticks}["first"] == rows.at(0)


def test_an_answer_without_a_chart_says_so():
    import outgas

    vials = outgas.relief_valve("653 mbar", "20 mm", "1013 mbar")
    assert vials.chart is None
    assert len(vials.charts()) == 0
    with pytest.raises(InputError, match="has no chart"):
        vials.plot()
