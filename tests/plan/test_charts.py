import pytest

import outgas

UP = "orthophthalic-polyester"
SHOP = outgas.Shop(temperature="22 degC", humidity="55 %", altitude="20 m")
LAYUP = outgas.Layup(
    plies=["2 x 400 g/m2 woven glass"],
    core="15 mm PVC foam",
    area="0.5 m2",
    tool="6 mm glass plate",
)


@pytest.fixture(scope="module")
def plan():
    return outgas.schedule(UP, SHOP, layup=LAYUP)


def test_a_plan_has_its_own_charts_first_and_then_those_of_its_advice(plan):
    names = list(plan.charts())
    assert names[:3] == ["plan", "time", "window"]
    assert plan.charts()["voids"].to_dict() == plan.advice.charts()["voids"].to_dict()


def test_every_stage_is_a_row_in_its_order_with_what_to_hold(plan):
    chart = plan.chart
    assert [word for _, word in chart.y.ticks] == [stage.name for stage in plan]
    assert len(chart.notes) == len(plan)
    for stage, note in zip(plan, chart.notes, strict=True):
        if stage.holds == "a band":
            assert f"{stage.setpoint_Pa / 100:.0f}"[:2] in note.text
        elif stage.holds == "nothing":
            assert note.text.endswith("no vacuum")


def test_a_bar_lasts_as_long_as_its_stage(plan):
    rows = {word: at for at, word in plan.chart.y.ticks}
    debulk = plan.stage("debulk")
    bar = next(a for a in plan.chart.areas if a.low[0] < rows["debulk"] < a.high[0])
    assert bar.x == pytest.approx((debulk.start_s / 60.0, debulk.end_s / 60.0))
    assert bar.label == "vacuum on"


def test_stages_past_what_is_shown_say_when_they_begin(plan):
    late = [s for s in plan if s.start_s / 60.0 >= max(a.x[1] for a in plan.chart.areas)]
    assert late
    told = {n.y: n.text for n in plan.chart.notes}
    rows = {word: at for at, word in plan.chart.y.ticks}
    for stage in late:
        assert told[rows[stage.name]].startswith("from ")


def test_over_time_are_the_pressures_that_the_resin_lives_through(plan):
    chart = plan.charts()["time"]
    hold = chart.curve("hold")
    assert hold.x == pytest.approx([m.time_s / 60.0 for m in plan.lived])
    assert hold.y == pytest.approx([m.pressure_Pa / 100.0 for m in plan.lived])
    warm = chart.curve("temperature (right)")
    assert warm.y == pytest.approx([m.temperature_K - 273.15 for m in plan.lived])


def test_no_stage_is_held_deeper_than_its_limit_on_the_chart(plan):
    chart = plan.charts()["time"]
    limit = chart.curve("never deeper")
    held = [s for s in plan if s.vacuum and not s.dry and s.end_s > 0.0 and s.low_Pa > 0.0]
    assert limit.x[0::3][:3] == pytest.approx([s.start_s / 60.0 for s in held[:3]])
    assert limit.y[0::3] == pytest.approx([s.low_Pa / 100.0 for s in held])
    assert all(s.low_Pa <= s.setpoint_Pa for s in held)


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
def test_a_plan_that_does_not_fit_says_it_under_the_picture():
    plan = outgas.schedule(UP, SHOP, layup=LAYUP, gel_time="13 min")
    assert not plan.fits
    assert plan.breaks[0].text in plan.chart.caption


def test_prepreg_shows_the_pressure_in_its_own_resin():
    layup = outgas.Layup(plies=["4 x 300 g/m2 woven glass"], area="0.5 m2", tool="6 mm steel")
    plan = outgas.schedule(
        "out-of-autoclave-epoxy-prepreg",
        outgas.Shop(temperature="21 degC", humidity="45 %"),
        process="prepreg",
        layup=layup,
    )
    chart = plan.charts()["time"]
    assert chart.curve("in the resin").y[-1] == pytest.approx(plan.lived[-1].pressure_Pa / 100.0)
    assert "least in the resin" in chart.caption


def test_a_pot_of_plain_resin_has_no_course_of_a_laminate():
    plan = outgas.schedule(UP, SHOP, process="degassing")
    assert "time" not in plan.charts()
    assert plan.chart.name == "plan"


def test_no_words_of_a_plan_leave_the_paper(plan):
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure()
    FigureCanvasAgg(figure)
    axes = plan.plot(figure.add_subplot())
    figure.canvas.draw()
    words = [*axes.texts, *figure.texts, *axes.get_yticklabels(), axes.title, axes.xaxis.label]
    for word in (*words, *axes.texts):
        box = word.get_window_extent()
        assert box.x0 >= 0.0, word.get_text()
        assert box.x1 <= figure.bbox.x1 + 1.0, word.get_text()
