"""What would change an answer: what is worse in the shop never makes a deeper bag look safe."""

import warnings

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError, OutgasWarning
from outgas.tables import catalogue

UP = "orthophthalic-polyester"
WORSE = ("temperature", "hottest", "humidity", "barometer", "entrained", "contaminants")
THICK = ("8 x 900 g/m2 chopped strand mat",)
LAYUPS = [None, THICK, ("3 x 450 g/m2 chopped strand mat",)]


def ask(resin=UP, t="25 degC", rh="50 %", plies=None, **more):
    shop = outgas.Shop(temperature=t, humidity=rh)
    layup = None if plies is None else outgas.Layup(plies=list(plies))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        return outgas.advise(resin, shop, layup=layup, **more)


def worse(advice):
    return [i for i in advice.influences if i.argument in WORSE]


def fallen(advice):
    """Return the lines of what matters that call something worse a deeper limit."""
    said = {i.text for i in worse(advice)}
    lines = next(b for b in advice.report.blocks if b.title.startswith("What would")).lines
    return [str(x) for x in lines if "falls" in str(x) and any(t in str(x) for t in said)]


def test_a_thick_warm_laminate_is_not_made_safer_by_three_kelvin_more():
    got = ask(plies=THICK, air_pressure="27 mbar")
    hotter = next(i for i in got.influences if i.argument == "hottest")
    assert hotter.change_Pa > 0.0
    assert not fallen(got)


@settings(max_examples=25)
@given(
    resin=st.sampled_from([UP, "vinyl-ester", "epoxy-laminating", "vinyl-toluene-polyester"]),
    t=st.integers(18, 32),
    rh=st.integers(10, 90),
    plies=st.sampled_from(LAYUPS),
    air=st.sampled_from([None, "27 mbar", "300 mbar"]),
    process=st.sampled_from(["wet layup", "infusion"]),
    hottest=st.sampled_from([None, "45 degC"]),
    void=st.sampled_from(["0.05 %", "2 %", "10 %"]),
)
def test_what_is_worse_never_lowers_the_limit_nor_is_said_to(
    resin, t, rh, plies, air, process, hottest, void
):
    if resin not in outgas.resins() or process not in outgas.resin(resin).processes:
        resin = UP
    got = ask(
        resin,
        f"{t} degC",
        f"{rh} %",
        plies,
        air_pressure=air,
        process=process,
        hottest=hottest,
        void_target=void,
    )
    told = got.limiting != "air" or got.deepest_Pa < got.barometer_Pa
    assert {i.argument for i in worse(got)} >= ({"barometer"} if told else set())
    for influence in worse(got):
        assert influence.change_Pa >= -1e-6, influence
    assert not fallen(got)


@settings(max_examples=25)
@given(hot=st.floats(30.0, 60.0), more=st.floats(0.1, 10.0), air=st.floats(0.0, 400.0))
def test_a_hotter_moment_that_is_named_never_allows_a_deeper_bag(hot, more, air):
    low, high = (
        ask(hottest=f"{T!r} degC", air_pressure=f"{air!r} mbar") for T in (hot, hot + more)
    )
    assert high.deepest_Pa > low.deepest_Pa
    assert high.hottest_high_K > low.hottest_high_K > low.hottest_K


def test_a_named_hottest_moment_has_a_doubt_on_its_hot_side():
    doubt = catalogue.practice().margins.named_doubt
    assert doubt.source == "estimate"
    got = ask(hottest="40 degC")
    assert got.hottest_high_K - got.hottest_K == pytest.approx(doubt.si)
    assert any("40 degC, up to 43, as given" in text for text in got.assumptions)
    surer = ask(hottest="40 degC", confidence=0.8)
    assert got.hottest_K < surer.hottest_high_K < got.hottest_high_K


def test_a_builder_may_say_how_hot_it_may_get():
    got = ask(hottest="40 degC up to 52 degC")
    assert got.hottest.m_as("degC") == pytest.approx(40.0)
    assert got.hottest_high_K - got.hottest_K == pytest.approx(12.0)
    assert got.deepest_Pa > ask(hottest="40 degC").deepest_Pa
    with pytest.raises(InputError, match="up to 38 degC is below"):
        ask(hottest="40 degC up to 38 degC")


def test_a_lower_barometer_is_told_by_how_near_the_limit_comes_to_the_air():
    got = ask()
    lower = next(i for i in got.influences if i.argument == "barometer")
    shop = outgas.Shop(temperature="25 degC", humidity="50 %", barometer=lower.to)
    moved = outgas.advise(UP, shop)
    room = (got.barometer_Pa - got.deepest_Pa) - (moved.barometer_Pa - moved.deepest_Pa)
    assert lower.change_Pa == pytest.approx(room, abs=1.0)
    assert lower.change_Pa > 0.0
