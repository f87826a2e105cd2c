"""Every dial says what a gauge of its kind would, rounded to the side that cannot hurt."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.errors import UnknownNameError
from outgas.show.dial import DIALS, both, coarsest_step, on_dial, read_dial

AIR = 101325.0
# Conventional units (ISO 80000-4 and its remarks; from memory) and the pressure of a number.
INCH, MILLIMETRE, PSI = 3386.389, 133.322387, 6894.757
ABSOLUTE = {
    "inHg": lambda n, air: air - n * INCH,
    "mmHg": lambda n, air: air - n * MILLIMETRE,
    "bar": lambda n, air: air + n * 1e5,
    "kPa": lambda n, air: air + n * 1e3,
    "psi": lambda n, air: air + n * PSI,
    "percent": lambda n, air: air * (1.0 - n / 100.0),
    "mbar": lambda n, air: n * 100.0,
    "torr": lambda n, air: n * AIR / 760.0,
}
STEP_PA = {
    "inHg": 338.7, "mmHg": 133.4, "bar": 500.1, "kPa": 500.1, "psi": 344.8, "percent": 551.0,
    "mbar": 100.1, "torr": 133.4,
}  # fmt: skip


def shown(text):
    return float(re.match(r"-?[\d.]+", text)[0])


def test_every_dial_is_tried_here():
    assert set(ABSOLUTE) == set(DIALS) == set(STEP_PA)


@given(
    dial=st.sampled_from(sorted(DIALS)),
    share=st.floats(0.0, 1.0),
    air=st.floats(60000.0, 110000.0),
    weaker=st.booleans(),
)
def test_a_number_means_no_deeper_and_less_than_a_step_weaker(dial, share, air, weaker):
    pressure = share * air
    means = ABSOLUTE[dial](shown(on_dial(pressure, air, dial, weaker=weaker)), air)
    off = means - pressure if weaker else pressure - means
    assert means >= -0.5  # no dial shows more than all the air
    assert off <= STEP_PA[dial]
    if weaker or pressure > STEP_PA[dial]:
        assert off >= -0.5


@pytest.mark.parametrize("dial", sorted(DIALS))
def test_weaker_is_what_is_meant_where_nothing_is_said(dial):
    for pressure in (1234.0, 45678.0, 88888.0):
        assert on_dial(pressure, AIR, dial) == on_dial(pressure, AIR, dial, weaker=True)
        assert on_dial(pressure, AIR, dial) != on_dial(pressure, AIR, dial, weaker=False)
        assert both(pressure, AIR, dial) == both(pressure, AIR, dial, weaker=True, brief=False)
        assert both(pressure, AIR, dial) != both(pressure, AIR, dial, weaker=False)


@pytest.mark.parametrize("dial", ["bar", "kPa", "mbar", "percent", "torr"])
def test_an_exact_step_stays_where_it_is_whichever_way_is_rounded(dial):
    step = DIALS[dial][1]
    sign = -1.0 if dial in ("bar", "kPa") else 1.0
    for steps in range(1, 150):
        number = sign * steps * step
        pressure = ABSOLUTE[dial](number, AIR)
        for weaker in (True, False):
            assert shown(on_dial(pressure, AIR, dial, weaker=weaker)) == pytest.approx(number)


def test_no_air_at_all_is_the_full_scale_of_every_dial_on_either_side():
    for weaker in (True, False):
        assert on_dial(0.0, 1e5, "percent", weaker=weaker) == "100.0 % vacuum"
        assert on_dial(0.0, 1e5, "kPa", weaker=weaker) == "-100.0 kPa gauge"
        assert on_dial(0.0, 1e5, "bar", weaker=weaker) == "-1.000 bar gauge"


def test_a_number_has_the_places_of_its_step():
    got = {name: on_dial(50000.0, AIR, name).split()[0] for name in DIALS}
    places = {name: len(text.partition(".")[2]) for name, text in got.items()}
    assert places == {
        "inHg": 1, "mmHg": 0, "bar": 3, "kPa": 1, "psi": 2, "percent": 1, "mbar": 0, "torr": 0,
    }  # fmt: skip


def test_the_coarsest_step_is_that_of_per_cent_in_thick_air_and_of_kilopascals_in_thin():
    assert coarsest_step(110000.0) == pytest.approx(550.0)
    assert coarsest_step(70000.0) == pytest.approx(500.0)


def test_a_dial_is_found_whatever_its_case_and_an_unknown_one_lists_them():
    assert read_dial("INHG") == "inHg"
    assert read_dial(" kpa ") == "kPa"
    with pytest.raises(UnknownNameError, match="torr"):
        read_dial("fathom")


def test_both_is_the_dial_and_the_absolute_once_each():
    assert both(50000.0, 1e5, "bar") == "-0.500 bar gauge (500 mbar absolute)"
    assert both(50000.0, 1e5, "bar", brief=True) == "-0.500 bar (500 mbar)"
    assert both(50000.0, 1e5, "mbar") == "500 mbar absolute"
    assert both(50000.0, 1e5, "mbar", brief=True) == "500 mbar"
