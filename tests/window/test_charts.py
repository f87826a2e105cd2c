import dataclasses
import itertools
import math

import pytest

import outgas
from outgas.window.charts import against as sweeps
from outgas.window.charts.zones import Zones, said

UP = "orthophthalic-polyester"
SHOP = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
LAYUP = outgas.Layup(
    plies=["2 x 400 g/m2 woven glass"],
    core="15 mm PVC foam",
    area="0.8 m2",
    tool="6 mm glass plate",
)


@pytest.fixture(scope="module")
def advice():
    return outgas.advise(UP, SHOP, layup=LAYUP)


@pytest.fixture(scope="module")
def bare():
    return outgas.advise(UP, SHOP)


def test_an_advice_has_the_charts_that_its_case_bears(advice, bare):
    every = ("window", "temperature", "humidity", "altitude", "thickness", "voids", "time")
    assert tuple(advice.charts()) == every
    assert "thickness" not in bare.charts()
    assert "time" not in bare.charts()
    named = outgas.advise(UP, SHOP, hottest="40 degC")
    assert "temperature" not in named.charts()
    pressed = outgas.advise(UP, SHOP, process="pressing")
    assert "window" not in pressed.charts()


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
@pytest.mark.parametrize("process", ["wet layup", "infusion", "core bonding", "degassing"])
def test_the_zones_of_the_dial_are_the_numbers_of_the_advice_without_a_gap(process):
    advice = outgas.advise(UP, SHOP, process=process)
    chart = advice.chart
    ends = [(area.low[0], area.high[0]) for area in chart.areas]
    assert ends[0][0] == 0.0
    assert ends[-1][1] == pytest.approx(advice.barometer_Pa / 100.0)
    for (_, high), (low, _) in itertools.pairwise(ends):
        assert high == low
    cure = chart.area("cure")
    assert cure.low[0] == pytest.approx(advice.deepest_Pa / 100.0)
    assert cure.high[0] == pytest.approx(advice.shallowest_Pa / 100.0)
    hold = chart.curve("hold").y[0]
    assert hold == pytest.approx(advice.setpoint_Pa / 100.0)
    assert cure.low[0] <= hold <= cure.high[0]


def test_the_words_beside_the_dial_are_rounded_to_the_safe_side(advice):
    told = {note.text.split("\n")[0]: note.text.split("\n")[1] for note in advice.chart.notes}
    assert told["never deeper"].startswith(f"{math.ceil(advice.deepest_Pa / 100)} mbar")
    assert told["never weaker"].startswith(f"{math.floor(advice.shallowest_Pa / 100)} mbar")
    assert told["debulk never deeper"].startswith(f"{math.ceil(advice.debulk_limit_Pa / 100)} mbar")
    strong = [note.text for note in advice.chart.notes if note.strong]
    assert len(strong) == 1
    assert strong[0].startswith("hold\n")


def test_no_debulk_zone_is_shown_where_none_is_advised():
    advice = outgas.advise(UP, SHOP, no_debulk=True, air_pressure="27 mbar")
    labels = [area.label for area in advice.chart.areas]
    assert not any("debulk" in label for label in labels)
    assert advice.chart.area("too deep at any time").high[0] == pytest.approx(
        advice.deepest_Pa / 100
    )


def test_without_a_window_the_dial_says_so_and_holds_nowhere():
    advice = outgas.advise(UP, SHOP, no_debulk=True)
    assert not advice.has_window
    chart = advice.chart
    assert chart.caption.startswith("No safe window.")
    assert chart.curves == ()
    assert "cure" not in [area.label for area in chart.areas]
    neither = chart.area("too deep to cure at and too weak")
    assert neither.low[0] == pytest.approx(advice.shallowest_Pa / 100.0)
    assert neither.high[0] == pytest.approx(advice.deepest_Pa / 100.0)


def test_the_dial_beside_follows_the_one_that_is_asked_for(advice):
    assert advice.charts("bar")["window"].y.beside.title == "bar gauge"
    assert advice.charts("mbar")["window"].y.beside is None
    assert said(53101.0, 101085.0, "mbar") == "532 mbar"


@pytest.mark.parametrize("name", ["temperature", "humidity", "altitude"])
def test_a_window_against_something_is_the_advice_there(bare, name):
    chart = bare.charts()[name]
    i = 1 if name == "altitude" else len(chart.curve("hold").x) // 2
    x = chart.curve("hold").x[i]
    moved = {
        "temperature": lambda: SHOP.but(temperature=f"{x} degC"),
        "humidity": lambda: SHOP.but(humidity=f"{x} %"),
        "altitude": lambda: outgas.Shop(temperature="26 degC", humidity="60 %", altitude=f"{x} m"),
    }[name]()
    there = outgas.advise(UP, moved)
    assert chart.curve("hold").y[i] == pytest.approx(there.setpoint_Pa / 100.0, rel=1e-6)
    assert chart.area("cure").low[i] == pytest.approx(there.deepest_Pa / 100.0, rel=1e-6)
    assert chart.area("cure").high[i] == pytest.approx(there.shallowest_Pa / 100.0, rel=1e-6)


def test_damper_air_never_allows_a_deeper_debulk(bare):
    early = bare.charts()["humidity"].area("too deep at any time").high
    assert list(early) == sorted(early)


def test_warmer_shops_never_allow_a_deeper_debulk(bare):
    early = [p for p in bare.charts()["temperature"].area("too deep at any time").high if p == p]
    assert early == sorted(early)


def test_where_it_is_refused_the_chart_is_blank():
    cold = outgas.Shop(temperature="17 degC", humidity="50 %")
    chart = outgas.advise(UP, cold).charts()["temperature"]
    hold = chart.curve("hold")
    least = outgas.resin(UP).minimum_temperature.si - 273.15
    for x, y in zip(hold.x, hold.y, strict=True):
        assert math.isnan(y) == (x < least), x
    assert math.isnan(hold.y[0])


def test_thicker_laminates_are_the_same_layers_more_often(advice):
    chart = advice.charts()["thickness"]
    assert chart.x.unit == "mm"
    own = LAYUP.laminate_thickness_m * 1e3
    assert chart.curve("hold").x[1] == pytest.approx(2.0 * own)
    assert chart.mark("as asked").x == pytest.approx(own)
    twice = outgas.advise(UP, SHOP, layup=LAYUP.times(2))
    assert chart.area("cure").low[1] == pytest.approx(
        min(twice.deepest_Pa, twice.shallowest_Pa) / 100.0, rel=1e-6
    )


def test_the_sweep_can_be_swapped_in_one_place(bare, monkeypatch):
    asked = []
    plain = sweeps.windows

    def counting(jobs, doing):
        asked.append((len(jobs), doing))
        return plain(jobs, doing)

    monkeypatch.setattr(sweeps, "windows", counting)
    bare.charts()["humidity"].to_dict()
    assert asked == [(10, "the window against humidity")]


def test_a_sweep_tells_how_far_it_has_come(bare):
    from outgas.show import progress

    heard = []
    with progress.listening(lambda *told: heard.append(told)):
        bare.charts()["altitude"].to_dict()
    assert heard[0] == ("the window against altitude", 0, 11)
    assert [done for _, done, _ in heard] == [0, 4, 8]


def test_the_voids_are_those_of_the_advice_and_their_band_holds_them(advice):
    chart = advice.charts()["voids"]
    curve, band = chart.curve("expected"), chart.area("95 % range")
    for low, nominal, high in zip(band.low, curve.y, band.high, strict=True):
        assert low <= nominal <= high
    at = curve.x.index(chart.mark("hold").x)
    assert curve.y[at] == pytest.approx(100.0 * advice.expected_voids.nominal)
    assert band.high[at] == pytest.approx(100.0 * advice.expected_voids.high)
    assert chart.mark("never deeper").x == pytest.approx(advice.deepest_Pa / 100.0)
    aim = chart.marks[0]
    assert aim.y == pytest.approx(100.0 * advice.void_target)
    # at the limit of the air the high end of what is expected is the target itself
    deepest = curve.x.index(pytest.approx(advice.limits_Pa["air"] / 100.0))
    assert band.high[deepest] == pytest.approx(aim.y, rel=0.02)


def test_a_weaker_bag_is_expected_to_hold_no_more_at_the_worst(advice):
    high = advice.charts()["voids"].area("95 % range").high
    assert all(b <= a + 1e-6 for a, b in itertools.pairwise(high))


def test_the_bag_that_was_asked_about_is_marked():
    advice = outgas.advise(UP, SHOP, bag_pressure="28 inHg vacuum")
    assert advice.charts()["voids"].mark("your bag").x == pytest.approx(advice.bag_Pa / 100.0)


def test_over_time_are_the_cures_own_limits_in_minutes_and_celsius(advice):
    chart = advice.charts()["time"]
    t, kelvin, least = advice.cure.over_time[-1]
    vapour = chart.curve("vapour alone: never deeper")
    assert (vapour.x[-1], vapour.y[-1]) == pytest.approx((t / 60.0, least / 100.0))
    warm = chart.curve("temperature (right)")
    assert warm.right
    assert warm.y[-1] == pytest.approx(kelvin - 273.15)
    assert chart.right.low < min(warm.y) < max(warm.y) < chart.right.high
    gels = chart.area("it gels (95 %)")
    assert gels.x == pytest.approx(tuple(s / 60.0 for s in advice.cure.gel_interval_s))


def test_charts_cost_an_advice_nothing_until_they_are_asked_for(bare, monkeypatch):
    def never(*_):
        raise AssertionError("made though nobody asked")

    monkeypatch.setattr(sweeps, "windows", never)
    outgas.advise(UP, SHOP).to_dict()
    assert len(outgas.advise(UP, SHOP).charts()) >= 5


def test_zones_keep_their_order_whatever_the_numbers():
    for early, deepest, shallowest in (
        (1e3, 5e4, 7e4),
        (1e3, 8e4, 7e4),
        (9e4, 9e4, 7e4),
        (0.0, 0.0, 5e3),
        (1e3, 2e5, 7e4),
    ):
        zones = Zones(here=1e5, early=early, deepest=deepest, shallowest=shallowest, hold=None)
        ends = [(low, high) for _, _, low, high in zones.edges()]
        assert ends[0][0] == 0.0
        assert ends[-1][1] == 1000.0
        assert all(low <= high for low, high in ends)
        assert all(a[1] == b[0] for a, b in itertools.pairwise(ends))
        cure = next(z for z in zones.edges() if z[1] == "cure")
        assert cure[3] - cure[2] == pytest.approx(max(0.0, (shallowest - deepest) / 100.0))
    assert dataclasses.is_dataclass(zones)
