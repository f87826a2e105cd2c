"""Whatever a public function is given, it answers or refuses in one line, with no warning."""

import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

import outgas
from outgas.errors import InputError, OutgasError

sys.path.insert(0, str(Path(__file__).parent))
from calls import HOSTILE, PANEL, SOUND, UP, calls, fault_of, quantity

IN_THE_GATE = 2000


@settings(max_examples=IN_THE_GATE, suppress_health_check=[HealthCheck.too_slow])
@given(call=calls())
def test_any_call_is_answered_or_refused_in_one_line(call):
    assert fault_of(*call) == ""


@pytest.mark.parametrize("key", [*PANEL, "voids", "air_left", "cup_gel", "ply", "humidity", "note"])
def test_a_panel_with_anything_in_it_is_learnt_from_or_refused_in_one_line(key):
    for hostile in HOSTILE:
        assert fault_of("learn", {**SOUND["learn"], "panels": [{**PANEL, key: hostile}]}) == ""


def test_a_call_that_fails_would_be_told():
    assert "TypeError" in fault_of("barometer", {"no_such_argument": 1})


def test_every_public_function_that_takes_arguments_is_called():
    records = {"BagPressure", "Job"}  # of words: tried as files and options
    slow = {"sweep", "uncertainty", "sources", "weakest", "wall_chart", "card", "read_log"}
    made_by_others = {"telltale", "better_instrument"}
    functions = {
        name for name in outgas.__all__ if name[0].islower() and name not in slow | made_by_others
    }
    listing = {name for name in functions if name.endswith("s") and name not in SOUND}
    assert functions - listing <= set(SOUND) | records


# Each of these ended in a traceback or a warning once.
ONCE = [
    ("bubble_growth", {"water_activity": 0.0, "resin": "epoxy-laminating"}),
    ("bubble_growth", {"time": "1e300 s"}),
    ("bubble_growth", {"time": "1e-300 s"}),
    ("bubble_growth", {"nodes": 40.5}),
    ("bubble_growth", {"entrained": 1e-300}),
    ("bubble_growth", {"air_pressure": quantity(1e308, "Pa")}),
    ("bubble_growth", {"pressure": quantity(5e4 + 1j, "Pa")}),
    ("bubble_growth", {"number": quantity(1.0, "m")}),
    ("bubble_pressure", {"water_activity": np.array([])}),
    ("bubble_pressure", {"conversion": np.array([])}),
    ("partial_pressures", {"temperature": quantity(300.0 + 1j, "K")}),
    ("partial_pressures", {"temperature": quantity(np.array([300.0 + 1j]), "K")}),
    ("boiling_temperature", {"pressure": quantity(np.array([]), "Pa")}),
    ("vapour_pressure", {"temperature": quantity(np.array([]), "K"), "engine": "exact"}),
    ("vapour_pressure", {"engine": np.array([])}),
    ("void_fraction", {"pressure": quantity(np.array([]), "Pa")}),
    ("void_fraction", {"air_pressure": quantity(np.array([]), "Pa")}),
    ("hold", {"deepest": "1e308 mbar"}),
    ("drop_test", {"rise": "1e-320 mbar"}),
    ("drop_test", {"silicone": np.array([])}),
    ("Layup", {"plies": 5}),
    ("Layup", {"plies": np.array([])}),
    ("Layup", {"bag_side": [None]}),
    ("Rig", {"pump": ["5", 5]}),
    ("Shop", {"humidity": []}),
    ("press_instead", {"advice": None}),
    ("advise", {"contaminants": 5}),
    ("advise", {"process": np.array([])}),
    ("advise", {"finish": np.array([])}),
    ("advise", {"rig": outgas.Shop(**SOUND["Shop"])}),
    ("advise", {"layup": "2 plies"}),
    ("diagnose", {"seen": quantity(5.0, "m")}),
    ("diagnose", {"no_debulk": np.array([])}),
]


@pytest.mark.parametrize(("function", "hostile"), ONCE)
def test_what_once_ended_in_a_traceback_does_so_no_more(function, hostile):
    assert fault_of(function, {**SOUND[function], **hostile}) == ""


MISFITS = [
    dict(temperature=quantity(np.array([290.0, 300.0]), "K"), water_activity=[0.1, 0.2, 0.3]),
    dict(temperature=quantity(np.array([290.0, 300.0]), "K"), conversion=[0.1, 0.2, 0.3]),
]


@pytest.mark.parametrize("sizes", MISFITS)
@pytest.mark.parametrize("function", ["bubble_pressure", "partial_pressures"])
def test_arrays_that_do_not_fit_are_refused_with_their_sizes(function, sizes):
    with pytest.raises(InputError, match=r"temperature 2, .* 3; give one value, or as many"):
        getattr(outgas, function)(UP, **sizes)


def test_a_void_content_needs_sizes_that_fit_and_pressures_that_are_numbers():
    two, three = (quantity(np.full(n, 3e4), "Pa") for n in (2, 3))
    warm = quantity(np.array([290.0, 300.0]), "K")
    with pytest.raises(InputError, match="temperature 2, pressure 3"):
        outgas.void_fraction(UP, warm, three)
    with pytest.raises(InputError, match="air pressure 3"):
        outgas.void_fraction(UP, warm, two, air_pressure=three)
    for wrong in (float("nan"), float("inf")):  # these came back as voids of nan, 0 or 1 once
        with pytest.raises(InputError, match="a gap or an infinity"):
            outgas.void_fraction(UP, "26 degC", quantity(wrong, "Pa"))
        with pytest.raises(InputError, match="air pressure has a gap"):
            outgas.void_fraction(UP, "26 degC", "500 mbar", air_pressure=quantity(wrong, "Pa"))


def test_one_number_still_goes_with_many():
    many = quantity(np.array([290.0, 300.0]), "K")
    assert outgas.bubble_pressure(UP, many, 0.5, 0.1).shape == (2,)
    assert outgas.bubble_pressure(UP, "26 degC", [0.1, 0.5]).shape == (2,)
    assert outgas.void_fraction(UP, many, "500 mbar").shape == (2,)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: outgas.Layup(plies=["200 g/m2 woven glass"] * 61), "at most 60"),
        (lambda: outgas.Layup(plies=["200 g/m2 woven glass"], bag_side=["breather"] * 21), "20"),
        (lambda: outgas.Rig.from_words("pump " * 1000), "at most 1000"),
        (lambda: _grown(radius=quantity(np.linspace(1e-5, 1e-4, 5001), "m")), "at most 5000"),
        (lambda: _grown(time=quantity(np.linspace(0.0, 9e3, 20_000), "s")), "at most 5000"),
        (
            lambda: _grown(
                radius=quantity(np.linspace(1e-5, 1e-4, 1001), "m"),
                time=quantity(np.linspace(0.0, 9e3, 1001), "s"),
            ),
            "at most 1000000",
        ),
    ],
    ids=["plies", "over them", "words", "bubbles", "times", "both"],
)
def test_what_would_take_without_end_is_refused_with_the_number_allowed(call, told):
    with pytest.raises(OutgasError, match=told):
        call()


def _grown(**told):
    return outgas.bubble_growth(**{**SOUND["bubble_growth"], **told})
