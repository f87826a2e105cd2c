"""What panels taught, in charts."""

from matplotlib.figure import Figure

import outgas


def test_each_number_has_its_range_before_and_after(known):
    chart = known.charts("bar")["learnt"]
    group = known.groups[0]
    pale = [area for area in chart.areas if area.role == "pale bar"]
    bars = [area for area in chart.areas if area.role == "bar"]
    assert len(pale) == len(bars) == len(chart.y.ticks)
    narrowest = min(
        (n for n in group.numbers if n.name not in ("dial", "gel", "vapour_moved")),
        key=lambda number: number.narrowed,
    )
    assert narrowest.title.split()[0] in chart.y.ticks[0][1]
    assert known.plot(Figure().add_subplot()) is not None


def test_the_next_panel_s_chart_goes_from_milky_to_clear(known):
    chart = known.charts()["next"]
    milky, clear = chart.curve("milky"), chart.curve("clear")
    assert milky.y[0] > milky.y[-1]
    assert clear.y[0] < clear.y[-1]
    assert chart.plot(Figure().add_subplot()) is not None


def test_each_kind_has_its_own(ten, shop):
    other = [{**panel, "resin": "epoxy-laminating"} for panel in ten]
    assert list(outgas.learn([*ten, *other], shop).charts()) == [
        *("learnt", "next", "learnt 2", "next 2"),
    ]
