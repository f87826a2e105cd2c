"""A way out can be done: it clamps enough, the air is there for it, and the pump reaches it."""

import re
import warnings

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import outgas
from outgas.errors import OutgasError, OutgasWarning

UP = "orthophthalic-polyester"
HOLDS = re.compile(
    r"(?:then hold|and hold|vent up and hold it at|debulk first at|fill at|in a pot at) (\d+) mbar"
)
CLAMPS = re.compile(r"(?:then hold|and hold|hold it at) (\d+) mbar")


def ask(resin=UP, t="25 degC", rh="50 %", barometer="1013 hPa", **more):
    shop = outgas.Shop(temperature=t, humidity=rh, barometer=barometer)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        return outgas.advise(resin, shop, **more)


def check(got, reach_mbar):
    for way in got.alternatives:
        for text in HOLDS.findall(way.text):
            assert float(text) * 100.0 < got.barometer_Pa, way.text
            assert float(text) >= reach_mbar - 1e-6, way.text
        for text in CLAMPS.findall(way.text):
            assert float(text) * 100.0 <= got.shallowest_Pa + 100.0, way.text
        if "not enough alone" in way.text:
            assert not way.opens
            assert not CLAMPS.search(way.text)


@settings(max_examples=30)
@given(
    resin=st.sampled_from([UP, "vinyl-ester", "epoxy-laminating", "epoxy-infusion"]),
    process=st.sampled_from(["wet layup", "infusion", "core bonding", "degassing"]),
    t=st.integers(20, 32),
    barometer=st.sampled_from(["1013 hPa", "840 hPa", "960 hPa"]),
    reach=st.sampled_from([None, 50, 120, 300, 700]),
    core=st.sampled_from([None, "20 mm polyurethane foam", "15 mm PVC foam"]),
    void=st.sampled_from(["0.3 %", "2 %"]),
)
def test_no_way_out_holds_what_does_not_clamp_or_cannot_be_reached(
    resin, process, t, barometer, reach, core, void
):
    rig = outgas.Rig() if reach is None else outgas.Rig(pump_ultimate=f"{reach} mbar")
    layup = outgas.Layup(core=core)
    try:
        got = ask(
            resin, f"{t} degC", "50 %", barometer, process=process, rig=rig, layup=layup,
            void_target=void,
        )  # fmt: off
    except OutgasError:
        return  # not for this process
    check(got, reach or 0.0)


def test_an_infusion_is_not_told_to_hold_what_the_air_hardly_clamps():
    got = ask(process="infusion", barometer="700 hPa")
    assert not got.has_window
    assert not any("let the vent up and hold" in way.text for way in got.alternatives)
    check(got, 0.0)


@pytest.mark.parametrize("reads_with", ["dial", "water", "sensor 5 mbar"])
def test_a_pump_that_reaches_little_bounds_every_way_out(reads_with):
    got = ask(rig=outgas.Rig(pump_ultimate="300 mbar"), reads_with=reads_with)
    assert got.debulk_hold_Pa == pytest.approx(30000.0)
    check(got, 300.0)


def test_a_kind_of_pump_bounds_them_by_the_least_it_may_reach():
    kind = outgas.Rig(pump="dry vane").kind
    got = ask(rig=outgas.Rig(pump="dry vane"))
    check(got, kind.ultimate.high_si / 100.0)
    assert got.debulk_hold_Pa >= kind.ultimate.high_si


def test_no_way_out_opens_a_window_for_a_pump_too_weak_to_clamp():
    got = ask(rig=outgas.Rig(pump_ultimate="800 mbar"))
    bagged = [way for way in got.alternatives if way.kind != "press"]
    assert not any(way.opens for way in bagged), [way.text for way in bagged]


# A core that bears little ---------------------------------------------------------------------

VAPOUR = re.compile(r"vapour|boil", re.IGNORECASE)
EPS = outgas.Layup(core="20 mm expanded polystyrene")


def on_eps(**more):
    return ask("epoxy-laminating", "22 degC", layup=EPS, **more)


def core_lines(got):
    """Return what is said of the answer and of the bag; the ways out beside."""
    return [str(x) for x in (*got.report.answer, *(way.line for way in got.alternatives))]


@pytest.mark.parametrize("bag", ["33 mbar", "150 mbar", "400 mbar", "700 mbar"])
def test_a_bag_that_crushes_the_core_is_told_of_the_core_and_not_of_boiling(bag):
    got = on_eps(bag_pressure=bag)
    assert got.limiting == "core"
    assert got.verdict.state == "crushes the core"
    assert not got.verdict.safe
    pull = got.barometer_Pa / 100.0 - float(bag.split()[0])
    assert f"bears about 169 mbar of clamp; you pull {pull:.0f}" in str(got.verdict)
    for line in core_lines(got):
        assert not VAPOUR.search(line), line


def test_a_core_that_limits_is_named_in_the_first_line_and_has_a_way_out():
    got = on_eps()
    assert "this core bears about 169 mbar of clamp" in " ".join(
        got.to_text(full=True).splitlines()[:2]
    )
    assert "what limits is the core" in " ".join(got.to_text(full=True).split())
    stronger = next(way for way in got.alternatives if way.kind == "stronger core")
    assert "polystyrene" in stronger.text
    assert stronger.deepest_Pa < got.deepest_Pa
    assert not any(way.kind == "press" for way in got.alternatives)  # it would crush it as well


def test_a_core_with_no_window_is_named_in_the_first_line():
    got = ask("epoxy-laminating", "22 degC", layup=EPS, rig=outgas.Rig(hold_error="200 mbar"))
    assert not got.has_window
    first = got.to_text(full=True).splitlines()[0]
    assert "this core bears about 169 mbar of clamp" in first
    assert not VAPOUR.search(first)
    assert not any(way.kind == "press" for way in got.alternatives)  # it would crush it as well


def test_a_core_that_is_not_in_danger_leaves_the_verdict_to_the_resin():
    sound = outgas.Layup(core="20 mm PVC foam")
    got = ask("epoxy-laminating", "22 degC", layup=sound, bag_pressure="2 mbar")
    assert got.verdict.state == "boiling"
    soft = outgas.Layup(core="20 mm polyurethane foam")
    got = ask("epoxy-laminating", "22 degC", layup=soft, bag_pressure="90 mbar")
    assert got.limits_Pa["core"] > 11500.0
    assert got.limiting == "air"
    assert got.verdict.state == "crushes the core"
