"""The card's data: never deeper nor weaker than advise; one file, whole in itself."""

import json
import re
import warnings

import pytest
from against_exact import exact, one_sided, shops_on

import outgas
from outgas.errors import InputError, OutgasWarning, RefusedError
from outgas.shop_card.grid import NONE, PAD_PA, WINDOW, Grid, Knot
from outgas.shop_card.page import as_script

UP = "orthophthalic-polyester"
HERE = {"temperature": "26C", "humidity": "60%", "altitude": "20m"}
MOST_BYTES = 400_000


@pytest.mark.parametrize(
    ("resin", "process", "more"),
    [
        (UP, "wet layup", {}),
        ("epoxy-laminating", "core bonding", {"no_debulk": True}),
        ("epoxy-laminating", "wet layup", {}),
        ("epoxy-infusion", "infusion", {}),
        ("novolac-vinyl-ester", "infusion", {"reads_with": "water"}),
        (UP, "wet layup", {"ply": ["2 x 400 g/m2 woven glass"], "area": "0.5 m2"}),
    ],
)
def test_between_its_knots_a_card_is_never_deeper_nor_weaker_than_exact(resin, process, more):
    held = {"process": process, **more}
    card = outgas.card(resin, temperature="24C", humidity="55%", altitude="200m", **held)
    shops = shops_on(card, 40 if "ply" in more else 120, seed=5)
    windows = 0
    for at, found in zip(shops, exact(card, held, shops), strict=True):
        read = card.grid.read(*at)
        windows += read.outcome == WINDOW
        assert one_sided(read, found), (at, read)
    assert windows >= len(shops) / 4


def test_at_the_job_itself_a_card_says_what_advise_says(planned):
    advice = outgas.advise(UP, planned.job.shop, layup=planned.job.layup, rig=planned.job.rig)
    read = planned.read("26 degC", "60 %")
    assert read.hold == pytest.approx(advice.setpoint_Pa, abs=1.0)
    assert read.hold >= advice.setpoint_Pa
    assert read.early == pytest.approx(advice.debulk_hold_Pa, abs=1.0)
    assert read.weakest == pytest.approx(advice.shallowest_Pa, abs=1.0)
    assert planned.plan.stage("hold to the gel").setpoint_Pa == advice.setpoint_Pa
    assert planned.plan.gel_s - 1.0 <= read.gel[1] <= planned.plan.gel_s


def test_a_cell_with_a_bad_corner_says_so(plain):
    for axis, index in ((0, 0), (1, 1)):
        assert plain.grid.axes[axis][index] < plain.grid.axes[axis][index + 1]
    cold = plain.grid.read(plain.grid.axes[0][0] + 0.1, 0.6, 100000.0)  # below the resin's least
    assert cold.outcome == "refused"
    high = outgas.card(UP, temperature="30C", humidity="60%", altitude="2500m", no_debulk=True)
    assert high.read("30 degC", "60 %").outcome == NONE
    assert high.read("30.1 degC", "60 %").outcome == NONE
    assert "what would help" in high.to_html()


def knot(outcome=WINDOW, **but):
    held = {"hold": 50_000, "deepest": 47_000, "straight_hold": 56_000, "straight_deepest": 53_000}
    held |= {"early": 9_000, "clamp": 33_000, "room": 500, "gel": (600, 1200, 1800)}
    return Knot(outcome, **(held | but))


def cell(one, other):
    """A grid of one cell, warmer at its other side."""
    return Grid(((290.0, 300.0), (0.5,), (100_000.0,)), (one, other)).read(295.0, 0.5, 100_000.0)


def test_between_two_knots_each_number_is_that_of_the_worse_one():
    worse = knot(hold=55_000, deepest=52_000, early=12_000, clamp=36_000, gel=(500, 1100, 2000))
    for read in (cell(knot(), worse), cell(worse, knot())):
        assert read.hold == 55_000 + PAD_PA
        assert read.deepest == 52_000 + PAD_PA
        assert read.early == 12_000 + PAD_PA
        assert read.weakest == 100_000 - 36_000
        assert read.gel == (500, 1100, 2000)


def test_where_one_knot_takes_no_early_step_none_is_taken_and_the_hold_is_weaker():
    read = cell(knot(), knot(early=None))
    assert read.early is None
    assert read.hold == 56_000 + PAD_PA
    assert read.deepest == 53_000 + PAD_PA


def test_a_hold_that_no_longer_clamps_between_two_knots_is_no_window():
    assert cell(knot(), knot(clamp=50_000)).outcome == NONE
    assert cell(knot(), knot(room=30_000)).outcome == NONE
    assert cell(knot(), knot(NONE)).outcome == NONE
    assert cell(knot(NONE), knot("refused")).outcome == "refused"
    assert cell(knot(), knot(gel=None)).gel is None


def test_no_text_breaks_out_of_the_script_that_holds_the_table():
    evil = "</script><!-- &\u2028"
    said = as_script({"a": evil})
    assert not re.search("[<>&\u2028]", said)
    assert json.loads(said) == {"a": evil}


def test_beyond_its_knots_a_card_says_nothing(plain):
    assert plain.read("60 degC", "60 %") is None
    assert plain.read("26 degC", "99 %") is None
    assert plain.read("26 degC", "60 %", "6000 m") is None


def test_altitude_moves_the_air_of_the_job():
    low = outgas.card(UP, temperature="24C", humidity="50%", altitude="300m", barometer="1000 hPa")
    here = low.job.shop.barometer_Pa
    assert low.barometer_Pa(300.0) == pytest.approx(here)
    wanted = outgas.barometer("900 m", "1000 hPa").m_as("Pa")
    assert low.barometer_Pa(900.0) == pytest.approx(wanted)
    told = outgas.card(UP, temperature="24C", humidity="50%", barometer="950 hPa")
    assert outgas.barometer(f"{told.altitude_m} m").m_as("hPa") == pytest.approx(950.0)


def test_the_page_is_one_file_that_asks_nobody_for_anything(planned, tmp_path):
    page = planned.write(tmp_path / "card.html").read_text(encoding="utf-8")
    assert not re.search(r"https?:|src=|href=|@import|url\((?!#)|fetch\(|XMLHttp|import\(", page)
    assert len(page.encode()) <= MOST_BYTES
    for said in ("Plan", "Expected look", "Two vials", "To hold it", "A good bleed", "Cautions"):
        assert f">{said}</h2>" in page
    for stage in planned.plan:
        assert f"{stage.name}</b>" in page
    for caution in planned.plan.cautions:
        assert caution.split(",")[0].split("'")[0] in page


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({}, "Without degassing"),
        ({"degassed": "90 mbar for 10 min"}, "degassed as told"),
        ({"air_pressure": "500 mbar"}, "air that was told"),
    ],
)
def test_the_plan_says_how_much_air_it_is_for(told, said):
    made = outgas.card(
        UP,
        temperature="24C",
        humidity="50%",
        ply=["2 x 400 g/m2 woven glass"],
        area="0.8 m2",
        gel_time="22 min",
        **told,
    )
    assert made.plan is not None
    assert "degas" not in [stage.kind for stage in made.plan]
    assert said in made.to_html()


def test_without_a_layup_the_card_is_shorter(plain):
    page = plain.to_html()
    assert plain.plan is None
    assert ">Plan</h2>" not in page
    assert ">Cautions</h2>" in page


def test_a_hostile_title_stays_text(plain):
    import dataclasses

    import msgspec

    evil = "</script><script>alert(1)</script>{{ 7*7 }}<!--"
    record = msgspec.structs.replace(plain.job.resin, title=evil, name=evil)
    page = dataclasses.replace(plain, job=plain.job.but(resin=record)).to_html()
    assert "alert(1)</script>" not in page
    assert "&lt;script&gt;alert(1)" in page
    assert "{{ 7*7 }}" in page
    assert page.count("<script") == plain.to_html().count("<script") == 2


def test_the_table_in_the_page_is_the_cards_own(plain):
    found = re.search(r'id="table">(.*?)</script>', plain.to_html(), re.S)
    table = json.loads(found[1])
    assert table["grid"]["rows"] == [knot.row() for knot in plain.grid.knots]
    assert table["own"]["T"] == plain.job.shop.temperature_K


def test_a_job_makes_the_same_card_as_its_words(plain):
    job = outgas.Job(resin=UP, **HERE, dial="mbar", rig="5 m3/h two-stage pump", batch="1 kg")
    made = outgas.card(job)
    assert made.dial == "mbar"
    assert made.advice.setpoint_Pa == pytest.approx(plain.advice.setpoint_Pa)


def test_what_no_card_is_for_is_said_in_a_line():
    for process, resin in (
        ("prepreg", "out-of-autoclave-epoxy-prepreg"),
        ("degassing", UP),
        ("pressing", UP),
    ):
        with pytest.raises(InputError, match="a bag that is held"):
            outgas.card(resin, **HERE, process=process)
    with pytest.raises(InputError, match="several values"):
        outgas.card(UP, temperature=["20C", "22C"], humidity="50%")
    with pytest.raises(InputError, match="tempreature"):
        outgas.card(UP, tempreature="20C", humidity="50%")
    with pytest.raises(RefusedError):
        outgas.card(UP, temperature="8C", humidity="50%")


def test_without_its_library_it_says_what_to_install(plain, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "jinja2", None)
    with pytest.raises(InputError, match=r"pip install 'outgas\[card\]'"):
        plain.to_html()


def test_a_card_warns_of_nothing_that_it_says_itself():
    with warnings.catch_warnings():
        warnings.simplefilter("error", OutgasWarning)
        made = outgas.card(UP, temperature="30C", humidity="80%")
    assert made.advice.cautions
