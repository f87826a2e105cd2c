import pytest

import outgas

UP = "orthophthalic-polyester"
SHOP = outgas.Shop(temperature="22 degC", humidity="50 %")


@pytest.fixture(scope="module")
def found():
    return outgas.diagnose(
        UP, SHOP, seen={"where": "on strands", "cup": "quiet"}, bag_pressure="28 inHg vacuum"
    )


def test_causes_are_bars_before_any_answer_and_with_all(found):
    chart = found.chart
    likely = [a for a in chart.areas if a.label == "with all that was seen"]
    assert [a.x[1] for a in likely] == pytest.approx(
        [100.0 * cause.probability for cause in found.causes[: len(likely)]]
    )
    alone = [a for a in chart.areas if a.label == "by the physics alone"]
    assert [a.x[1] for a in alone] == pytest.approx(
        [100.0 * found.weighed[0].causes[c.name] for c in found.causes[: len(alone)]]
    )


def test_the_weighing_ends_where_the_diagnosis_does(found):
    assert [w.answer.split(":")[0] for w in found.weighed[1:]] == list(found.seen)
    for cause in found.causes:
        assert found.weighed[-1].causes[cause.name] == pytest.approx(cause.probability)


def test_before_any_answer_it_is_what_a_diagnosis_without_answers_says(found):
    blank = outgas.diagnose(UP, SHOP, bag_pressure="28 inHg vacuum")
    assert found.weighed[0].causes == pytest.approx(blank.weighed[0].causes)
    assert {c.name: c.probability for c in blank.causes} == pytest.approx(found.weighed[0].causes)


def test_each_answer_is_a_row_and_each_leading_cause_a_line(found):
    chart = found.charts()["answers"]
    assert next(word for _, word in chart.y.ticks) == "before any answer"
    lead = chart.curves[0]
    assert lead.label == found.leading.title
    assert lead.x[-1] == pytest.approx(100.0 * found.leading.probability)
    assert list(lead.y) == sorted(lead.y, reverse=True)  # from the top down


def test_a_bleed_shows_fibre_left_against_what_the_cloth_packs_to():
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    for gained, state in (("1 g", "starved"), ("150 g", "flooded")):
        bleed = outgas.read_bleed(UP, layup, gained=gained)
        assert bleed.state == state
        chart = bleed.chart
        left = chart.area("95 % range")
        ends = bleed.fibre_left.low, bleed.fibre_left.high
        assert left.x == pytest.approx(tuple(100.0 * end for end in ends))
        zone = {"starved": "starved: rich and heavy", "flooded": "flooded: dry strands near"}[state]
        at = chart.mark("likely").x
        assert chart.area(zone).x[0] <= at <= chart.area(zone).x[1]
