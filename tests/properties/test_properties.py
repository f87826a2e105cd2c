"""Laws that hold for every input, and promises about any text at all."""

import contextlib
import re
import warnings

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import outgas
from outgas import readings, units
from outgas.cli.main import main
from outgas.errors import OutgasError, OutgasWarning

OPEN_RESINS = [
    name
    for name in outgas.resins()
    if "wet layup" in outgas.resin(name).processes and outgas.resin(name).family != "phenolic"
]
RUNS_OUT = 0.97  # of the air's limit, where more of its gas may run out of the debulk
DOUBTED = 0.999  # the same where only the doubt of the vapour moves the debulk
resins = st.sampled_from(OPEN_RESINS)
celsius = st.floats(18.5, 40.0)
humidity = st.floats(0.05, 0.95)
altitude = st.floats(0.0, 2500.0)
air_left = st.one_of(st.none(), st.floats(0.0, 500.0))


def deepest(resin, t, rh, h=0.0, **extra):
    shop = outgas.Shop(temperature=f"{t!r} degC", humidity=rh, altitude=outgas.Quantity(h, "m"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        return outgas.advise(resin, shop, **extra)


def left(mbar):
    return {} if mbar is None else {"air_pressure": f"{mbar!r} mbar"}


@given(resin=resins, t=celsius, warmer=st.floats(0.5, 10.0), rh=humidity, air=air_left)
def test_hotter_never_allows_a_deeper_bag(resin, t, warmer, rh, air):
    """But for the air's own, by a little: more gas runs out of the debulk."""
    cool, hot = deepest(resin, t, rh, **left(air)), deepest(resin, t + warmer, rh, **left(air))
    assert hot.limits_Pa["vapour"] > cool.limits_Pa["vapour"]
    assert hot.deepest_Pa >= RUNS_OUT * cool.deepest_Pa
    assert hot.debulk_limit_Pa > cool.debulk_limit_Pa


@given(resin=resins, t=celsius, rh=humidity, more=st.floats(0.01, 0.05), air=air_left)
def test_wetter_never_allows_a_deeper_vapour_limit(resin, t, rh, more, air):
    """The air's may be, by a little: more gas runs out of the debulk, and damp air holds less."""
    dry, wet = deepest(resin, t, rh, **left(air)), deepest(resin, t, rh + more, **left(air))
    assert wet.limits_Pa["vapour"] >= dry.limits_Pa["vapour"]
    assert wet.debulk_limit_Pa >= dry.debulk_limit_Pa
    assert wet.deepest_Pa >= RUNS_OUT * dry.deepest_Pa


@given(resin=resins, t=st.floats(20.0, 40.0))
def test_humidity_moves_the_limit_by_a_third_where_water_is_in_reach(resin, t):
    dry = deepest(resin, t, 0.35, air_pressure="0 mbar", entrained=0.0)
    wet = deepest(resin, t, 0.85, air_pressure="0 mbar", entrained=0.0)
    assume(dry.partial_pressures_Pa["water"] > 0.4 * dry.bubble_pressure_Pa[0])
    assert wet.deepest_Pa >= 1.3 * dry.deepest_Pa


def test_that_humidity_law_is_not_about_nothing():
    dry = deepest("orthophthalic-polyester", 26.0, 0.35, air_pressure="0 mbar", entrained=0.0)
    wet = deepest("orthophthalic-polyester", 26.0, 0.85, air_pressure="0 mbar", entrained=0.0)
    assert dry.partial_pressures_Pa["water"] > 0.4 * dry.bubble_pressure_Pa[0]
    assert wet.deepest_Pa >= 1.3 * dry.deepest_Pa


@given(t=celsius, rh=humidity, air=st.floats(0.0, 60.0))
def test_more_monomer_never_allows_a_deeper_bag(t, rh, air):
    order = ["low-styrene-polyester", "orthophthalic-polyester", "isophthalic-polyester"]
    found = [deepest(name, t, rh, **left(air)).limits_Pa["vapour"] for name in order]
    assert found == sorted(found)


@given(
    resin=resins,
    t=celsius,
    rh=humidity,
    name=st.sampled_from(["acetone", "methyl-ethyl-ketone", "ethanol", "toluene"]),
    little=st.floats(0.0005, 0.01),
    more=st.floats(0.001, 0.02),
)
def test_a_contaminant_never_allows_a_deeper_bag(resin, t, rh, name, little, more):
    clean = deepest(resin, t, rh)
    some = deepest(resin, t, rh, contaminants={name: little})
    lots = deepest(resin, t, rh, contaminants={name: little + more})
    assert clean.limits_Pa["vapour"] < some.limits_Pa["vapour"] < lots.limits_Pa["vapour"]


@given(resin=resins, t=celsius, rh=humidity, h=st.floats(100.0, 2500.0))
def test_the_vapour_limit_does_not_move_with_altitude_while_dials_do(resin, t, rh, h):
    low, high = deepest(resin, t, rh), deepest(resin, t, rh, h)
    assert high.limits_Pa["vapour"] == pytest.approx(low.limits_Pa["vapour"], rel=1e-12)
    at_low = readings.dial_readings(low.limits_Pa["vapour"], low.barometer_Pa)
    at_high = readings.dial_readings(high.limits_Pa["vapour"], high.barometer_Pa)
    assert at_high["vacuum_inHg"] < at_low["vacuum_inHg"]
    assert at_high["gauge_bar"] > at_low["gauge_bar"]


@given(resin=resins, t=celsius, rh=humidity, h=altitude, air=air_left, k=st.floats(0.5, 0.99))
def test_uncertainty_only_ever_raises_deepest(resin, t, rh, h, air, k):
    less = deepest(resin, t, rh, h, confidence=k, **left(air))
    more = deepest(resin, t, rh, h, confidence=min(k + 0.009, 0.999), **left(air))
    for name in less.limits_Pa:
        assert less.limits_Pa[name] >= less.nominal_limits_Pa[name]
        kept = DOUBTED if name == "air" else 1.0
        assert more.limits_Pa[name] >= kept * less.limits_Pa[name]
    assert more.deepest_Pa >= DOUBTED * less.deepest_Pa


@given(resin=resins, t=celsius, rh=humidity, h=altitude, air=air_left)
def test_the_window_holds_together(resin, t, rh, h, air):
    got = deepest(resin, t, rh, h, **left(air))
    assert got.deepest_Pa == max(got.limits_Pa.values())
    assert got.debulk_limit_Pa <= got.deepest_Pa
    assert got.deepest_Pa <= got.deepest_no_debulk_Pa
    assert got.deepest_Pa <= got.deepest_clear_Pa
    if got.setpoint_Pa is not None:
        assert got.deepest_Pa < got.setpoint_Pa <= got.shallowest_Pa < got.barometer_Pa
        clear = deepest(
            resin, t, rh, h, bag_pressure=outgas.Quantity(got.setpoint_Pa, "Pa"), **left(air)
        )
        assert clear.verdict.state == "safe"


@given(p=st.floats(100.0, 90000.0), barometer=st.floats(91000.0, 108000.0))
def test_dials_there_and_back(p, barometer):
    dials = outgas.dials(outgas.Quantity(p, "Pa"), outgas.Quantity(barometer, "Pa"))
    said = {
        "absolute_mbar": "{!r} mbar",
        "vacuum_inHg": "{!r} inHg vacuum",
        "vacuum_mmHg": "{!r} mmHg vacuum",
        "gauge_bar": "{!r} bar gauge",
        "vacuum_percent": "{!r} % vacuum",
        "absolute_torr": "{!r} torr",
    }
    for key, form in said.items():
        got = readings.read_reading(form.format(dials[key]), barometer).absolute_Pa
        assert got == pytest.approx(p, abs=1e-6 * barometer)


@given(T=st.floats(-9.0, 149.0), name=st.sampled_from(outgas.volatiles()))
def test_boiling_undoes_vapour_pressure(T, name):
    p = outgas.vapour_pressure(name, f"{T!r} degC")
    assert outgas.boiling_temperature(name, p).m_as("degC") == pytest.approx(T, abs=1e-5)


@given(t=st.floats(-40.0, 140.0))
def test_fahrenheit_and_celsius_say_the_same(t):
    one = units.one(f"{t!r} C", "K", "it")
    assert units.one(f"{t * 1.8 + 32!r} F", "K", "it") == pytest.approx(one, abs=1e-9)


PAIRS = [(name, p) for name in outgas.resins() for p in outgas.resin(name).processes]


@given(
    pair=st.sampled_from(PAIRS),
    t=st.floats(18.5, 45.0),
    rh=st.one_of(st.sampled_from([0.0, 1.0]), st.floats(0.0, 1.0)),
    h=st.floats(-400.0, 5000.0),
    bag=st.one_of(st.none(), st.floats(0.0, 500.0)),
    core=st.sampled_from([None, "15 mm PVC foam", "12 mm balsa"]),
    trace=st.sampled_from([{}, {"acetone": "1 %"}]),
)
def test_every_case_of_every_process_has_an_answer(pair, t, rh, h, bag, core, trace):
    resin, process = pair
    trace = {} if process == "prepreg" else trace  # acetone's curve ends below its cure
    asked = {} if bag is None else {"bag_pressure": f"{bag!r} mbar"}
    got = deepest(
        resin, t, rh, h, process=process, layup=outgas.Layup(core=core), contaminants=trace, **asked
    )
    for name, safe in got.limits_Pa.items():
        assert safe >= got.nominal_limits_Pa[name] >= 0.0
    assert got.deepest_Pa <= max(got.limits_Pa.values())
    if got.has_window:
        assert got.deepest_Pa <= got.setpoint_Pa <= got.shallowest_Pa
    text = got.to_text(full=True)
    assert "safety data sheet" in text
    assert "nan" not in text
    assert got.to_dict()["safe"] == got.safe


# Any text at all ------------------------------------------------------------------------------

PIECES = st.one_of(
    st.text(max_size=30),
    st.text(alphabet="0123456789.,-+eE %mbarhPinHgCFK/²³*^()", max_size=25),
    st.builds(
        "{} {}".format,
        st.floats(allow_nan=True, allow_infinity=True),
        st.sampled_from(
            ["mbar", "inHg vacuum", "bar gauge", "%", "degC", "g/m2", "mm", "**2", "m"]
        ),
    ),
)


@given(text=PIECES)
def test_no_text_crashes_a_reader(text):
    for unit in ("K", "m", "kg/m**2", "m**3/s"):
        with contextlib.suppress(OutgasError):
            assert np.isfinite(units.one(text, unit, "it"))
    with contextlib.suppress(OutgasError):
        assert readings.read_reading(text, 101325.0).absolute_Pa >= 0.0
    with contextlib.suppress(OutgasError):
        assert 0.0 <= units.fraction(text, "it") <= 1.0
    for make in (
        lambda: outgas.Layup(plies=[text]),
        lambda: outgas.Layup(core=text),
        lambda: outgas.resin(text),
        lambda: outgas.volatile(text),
    ):
        with contextlib.suppress(OutgasError):
            make()


valid_options = st.fixed_dictionaries(
    {
        "--temperature": st.floats(19.0, 38.0).map("{:.3f}C".format),
        "--humidity": st.floats(1.0, 95.0).map("{:.2f}%".format),
        "--altitude": st.floats(0.0, 2500.0).map("{:.1f} m".format),
    },
    optional={
        "--bag": st.one_of(
            st.floats(1.0, 20.0).map("{:.2f} inHg vacuum".format),
            st.floats(5.0, 700.0).map("{:.1f} mbar".format),
        ),
        "--void-target": st.floats(0.1, 10.0).map("{:.2f}%".format),
        "--degassed": st.builds(
            "{:.1f} mbar{}{}".format,
            st.floats(95.0, 600.0),
            st.sampled_from(["", " for 3 min", " for 2 h"]),
            st.sampled_from(["", ", stirred", ", still"]),
        ),
        "--trapped": st.floats(0.2, 25.0).map("{:.2f}%".format),
        "--connected": st.floats(0.0, 100.0).map("{:.1f}%".format),
        "--core": st.sampled_from(["15 mm PVC foam", "10 mm SAN foam", "12 mm balsa"]),
        "--ply": st.sampled_from(["400 g/m2 woven glass", "3 x 300 g/m2 CSM"]),
        "--dial": st.sampled_from(["inHg", "mbar", "bar", "torr", "mmHg", "percent"]),
        "--reads-with": st.sampled_from(["dial", "water", "sensor 5 mbar"]),
    },
)


@given(resin=resins, options=valid_options)
def test_valid_command_lines_answer_in_full(resin, options):
    import io

    flat = [part for pair in options.items() for part in pair]
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(["advise", "--full", resin, *flat])
    assert code in (0, 1), err.getvalue()
    assert err.getvalue() == ""
    lines = out.getvalue().splitlines()
    unit = {"percent": "%", "inHg": "inHg"}.get(
        options.get("--dial", "inHg"), options.get("--dial")
    )
    if options.get("--reads-with") not in ("water", "plate", "none"):  # those name what is set
        for line in lines[: 2 if code == 0 else 1]:
            assert "mbar" in line
            assert unit in line
    assert re.match("(Debulk|Cure) (at|where|with)|No safe vacuum", lines[0])
    expects = any(line.startswith("Expect ") for line in lines[:6])
    assert expects or not lines[0].startswith(("Debulk", "Cure"))
    for title in ("Why", "Assumed", "Cautions"):  # what would change it most may be nothing
        assert title in lines


@given(
    resin=st.one_of(resins, PIECES),
    where=st.sampled_from(
        ["--temperature", "--humidity", "--altitude", "--bag", "--ply", "--core"]
    ),
    text=PIECES,
)
def test_no_command_line_ends_in_a_traceback(resin, where, text):
    import io

    options = {"--temperature": "26C", "--humidity": "60%"} | {where: text}
    flat = [part for pair in options.items() for part in pair]
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(["advise", "--full", resin, *flat])
    assert code in (0, 1, 2)
    if code == 2:
        mistakes = err.getvalue().splitlines()
        assert mistakes
        assert all(line.startswith("outgas: ") for line in mistakes)
        assert out.getvalue() == ""
