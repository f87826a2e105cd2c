"""The heat of a layup in the advice: the acceptance cases, the safe side, what is refused."""

import math

import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError
from outgas.laminate import batch, warming
from outgas.tables import rates

UP = "orthophthalic-polyester"
SOLID = ["450 g/m2 chopped strand mat", "600 g/m2 woven roving"] * 7
pytestmark = pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")


def shop(**changes):
    given = {"temperature": "25 degC", "humidity": "60 %", "altitude": "20 m", **changes}
    return outgas.Shop(**given)


def advice(plies, core=None, tool="18 mm plywood", where=None, **more):
    layup = outgas.Layup(plies=plies, core=core, tool=tool)
    given = {"gel_time": "20 min", "air_pressure": "27 mbar", **more}
    return outgas.advise(UP, where or shop(), layup=layup, **given)


@pytest.fixture(scope="module")
def skin():
    return advice(["core", "400 g/m2 woven glass"], "15 mm PVC foam", tool=None)


@pytest.fixture(scope="module")
def against_tool():
    return advice(["400 g/m2 woven glass", "core"], "15 mm PVC foam", tool=None)


@pytest.fixture(scope="module")
def solid():
    return advice(SOLID, tool=None)


def test_the_solid_laminate_is_ten_millimetres_at_about_half_glass_by_weight():
    layup = outgas.Layup(plies=SOLID)
    fibre = layup.fibre_mass.m_as("kg/m**2")
    wet = layup.resin_mass(1130.0)
    assert layup.thickness.m_as("mm") == pytest.approx(10.0, abs=0.2)
    assert fibre / (fibre + wet) == pytest.approx(0.5, abs=0.04)


def test_a_skin_on_foam_is_one_to_four_kelvin_over_the_shop_at_gel(skin, against_tool):
    for found in (skin, against_tool):
        assert 1 <= round(found.cure.gel_K - 298.15) <= 4  # to the kelvin, as it is printed


def test_a_thick_solid_is_near_50_degc_when_the_gel_can_hold_a_bubble(solid):
    cure = solid.cure
    assert 3.0 <= cure.gel_K - 298.15 <= 13.0
    assert solid.hottest.m_as("degC") == pytest.approx(50.0, abs=5.0)
    assert cure.conversion_at_hottest == pytest.approx(0.2, abs=0.04)
    assert 110.0 <= solid.peak.m_as("degC") <= 170.0


def test_a_thick_solid_may_be_pulled_half_or_a_third_as_deep_as_a_skin():
    thick = advice(SOLID)
    thin = advice(["400 g/m2 woven glass"], "15 mm PVC foam")
    pushes = [found.bubble_pressure_Pa for found in (thick, thin)]
    assert 2.0 <= pushes[0][0] / pushes[1][0] <= 3.0
    assert thick.limits_Pa["vapour"] > 1.9 * thin.limits_Pa["vapour"]


def test_the_gel_of_a_thin_laminate_is_a_little_later_than_the_cups(skin):
    # the cup warms itself while it waits; a skin that keeps the shop's temperature does not
    assert 20.0 < skin.gel_time.m_as("min") < 25.0
    low, high = skin.cure.gel_interval_s
    assert low < skin.cure.gel_s < high


def test_the_allowed_pressure_rises_until_the_gel_holds(solid):
    t, p = solid.deepest_over_time
    assert t.m_as("s")[0] == 0.0
    assert t.m_as("s")[-1] == pytest.approx(solid.cure.hold_s)
    assert all(b >= a - 1.0 for a, b in zip(p.m, p.m[1:], strict=False))
    # one setting for all of it is the highest point
    assert p.m_as("Pa")[-1] == pytest.approx(solid.limits_Pa["vapour"], rel=0.02)
    assert p.m_as("Pa")[0] < 0.4 * p.m_as("Pa")[-1]


def test_uncertain_heat_only_asks_for_less_vacuum(solid, skin):
    for found in (solid, skin):
        assert found.hottest_high_K > found.hottest_K
        p = outgas.bubble_pressure(UP, found.hottest, water_activity=found.water_activity[0])
        assert found.limits_Pa["vapour"] > found.bubble_pressure_Pa[1] > p.m_as("Pa")
    sure = advice(SOLID, tool=None, confidence="60 %")
    assert sure.hottest_high_K < solid.hottest_high_K
    assert sure.limits_Pa["vapour"] < solid.limits_Pa["vapour"]
    assert solid.nominal_limits_Pa["vapour"] == pytest.approx(sure.nominal_limits_Pa["vapour"])


def test_a_measured_gel_time_narrows_what_the_sheet_leaves_open():
    sheet = advice(["400 g/m2 woven glass"], "15 mm PVC foam", gel_time=None)
    mine = advice(["400 g/m2 woven glass"], "15 mm PVC foam")

    def width(found):
        low, high = found.cure.gel_interval_s
        return math.log(high / low)

    assert width(mine) < 0.5 * width(sheet)


def test_still_air_and_a_cure_that_goes_on_for_longer_each_warm_the_hot_side(monkeypatch):
    given = {"gel_time": "21 min"}  # not asked elsewhere here, so that nothing is remembered

    def high():
        warming._followed.cache_clear()
        return advice(SOLID, **given).hottest_high_K

    usual = high()
    films = warming.films

    def in_a_draught(*, still=False):
        return films()

    with monkeypatch.context() as patch:
        patch.setattr(warming, "films", in_a_draught)
        assert high() < usual - 0.01
    with monkeypatch.context() as patch:
        patch.setattr(rates, "most_final", lambda resin: 1.0)
        assert high() < usual - 0.01
    warming._followed.cache_clear()


@pytest.mark.parametrize(
    ("less", "more"),
    [
        ({"gel_time": None, "initiator": "1 %"}, {"gel_time": None, "initiator": "2 %"}),
        ({"tool": "10 mm aluminium"}, {"tool": "50 mm foam block"}),
        ({"where": shop(temperature="20 degC"), "gel_time": None}, {"gel_time": None}),
        ({}, {"where": shop(sun="800 W/m2")}),
        ({}, {"where": shop(tool_temperature="45 degC")}),
    ],
    ids=["initiator", "tool", "shop", "sun", "hot table"],
)
def test_what_warms_a_laminate_raises_its_limit(less, more):
    cool, hot = advice(SOLID, **less), advice(SOLID, **more)
    assert hot.hottest_K > cool.hottest_K
    assert hot.limits_Pa["vapour"] > cool.limits_Pa["vapour"]


def test_what_is_read_of_a_laminate_is_read_before_its_run_settles(solid):
    found = solid.behind.window.case.hottest.warming
    assert found.run.t[-1] < found.whole.t[-1]
    assert max(found.hold_s, found.peak_s, found.last_gel_s) <= found.run.t[-1]
    last = found.run.t.size
    assert found.whole.T[:, :last] == pytest.approx(found.run.T, rel=1e-9)
    assert found.whole.T.max() == pytest.approx(found.peak_K)
    assert found.whole is found.whole  # run once, however often it is asked for


def test_a_cold_table_slows_the_gel():
    plain = advice(SOLID, gel_time=None)
    cold = advice(SOLID, gel_time=None, where=shop(tool_temperature="18 degC", humidity="30 %"))
    assert cold.cure.gel_s > plain.cure.gel_s


def test_ways_out_of_a_hot_laminate_name_slower_resin_and_stages():
    hot = advice(SOLID, tool=None, gel_time=None)
    texts = " | ".join(way.text for way in hot.alternatives)
    assert "1.0% of initiator" in texts
    assert "two stages, 7 of the 14 layers first" in texts


def test_a_runaway_is_a_fire_caution_and_not_a_number():
    deep = advice(["30 x 450 g/m2 chopped strand mat"], tool=None)
    assert any("runaway" in text and "fire" in text for text in deep.cautions)
    assert deep.setpoint is None
    thin = advice(["400 g/m2 woven glass"])
    assert not any("runaway:" in text for text in thin.cautions)


def test_a_resin_without_a_gel_time_is_taken_to_lose_no_heat(tmp_path):
    from pathlib import Path

    from outgas.tables import data

    text = (Path(str(data.root())) / "resins.toml").read_text(encoding="utf-8")
    start = text.index("[orthophthalic-polyester]")
    mine = text[start : text.index("[isophthalic-polyester]")].replace(UP, "bare")
    mine = "\n".join(line for line in mine.split("\n") if not line.startswith("gel_time"))
    path = tmp_path / "bare.toml"
    path.write_text(mine, encoding="utf-8")
    layup = outgas.Layup(plies=["400 g/m2 woven glass"])
    bare = outgas.advise(str(path), shop(), layup=layup)
    known = outgas.advise(UP, shop(), layup=layup)
    assert bare.hottest_K > known.hottest_K
    assert bare.cure is None
    assert any("no gel time" in text for text in bare.assumptions)
    with pytest.raises(InputError, match="no gel_time"):
        outgas.schedule(str(path), shop(), layup=layup)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"initiator": "4 %"}, "outside the 1.0% to 2.0%"),
        ({"initiator": 4}, "write '4 %'"),
        ({"gel_time": "3 min"}, "makes it"),
        ({"gel_time": "-20 min"}, "above zero"),
    ],
)
def test_bad_numbers_of_the_cure_are_refused_in_one_line(given, message):
    with pytest.raises((InputError, OutOfRangeError), match=message) as caught:
        advice(["400 g/m2 woven glass"], **given)
    assert "\n" not in str(caught.value)


def test_epoxy_has_no_initiator_to_vary():
    with pytest.raises(InputError, match="sheet's ratio"):
        outgas.advise("epoxy-laminating", shop(), initiator="1 %")


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"plies": ["0 g/m2 woven glass"]}, "above zero"),
        ({"plies": ["90000 g/m2 woven glass"]}, "outside"),
        ({"plies": ["150 x 2000 g/m2 woven glass"]}, "mm of laminate"),
        ({"plies": ["400 g/m2 woven grass"]}, "did you mean"),
        ({"plies": ["400 g/m2 woven glass"], "tool": "6 mm cardboard"}, "no tool is called"),
        ({"plies": ["400 g/m2 woven glass"], "tool": "0 mm glass"}, "above zero"),
        ({"plies": ["core", "400 g/m2 woven glass"]}, "only with a core"),
    ],
)
def test_absurd_layups_are_refused_in_one_line(given, message):
    with pytest.raises((InputError, OutOfRangeError), match=message) as caught:
        outgas.Layup(**given)
    assert "\n" not in str(caught.value)


def test_a_tool_or_sun_beyond_the_model_is_refused():
    with pytest.raises(OutOfRangeError, match="tool temperature"):
        shop(tool_temperature="250 degC")
    with pytest.raises(OutOfRangeError, match="sun"):
        shop(sun="3000 W/m2")


def test_the_pot_life_of_a_bucket_is_shorter_than_that_of_a_cup():
    from outgas.job.job import job_of

    asked = job_of(
        "epoxy-laminating", shop(), process="wet layup", layup=None, rig=None, vapour_share=None,
        confidence=0.95, hottest=None, air_pressure=None, degassed=None, entrained=None,
        water_activity=None, contaminants=None, void_target="2 %", reads_with="dial",
    )  # fmt: skip
    here = batch.batch_of(asked)
    lives = [batch.pot_life(asked, here, m) for m in (0.1, 0.5, 5.0)]
    assert lives == sorted(lives, reverse=True)
    assert lives[0] > 1.1 * lives[-1]
