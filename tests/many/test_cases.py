"""Cases read once: what is an axis, what is held, what each case is told."""

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, SeveralMistakesError
from outgas.many.cases import Reader, cases_of, coordinate
from outgas.units import quantity

UP = "orthophthalic-polyester"


def test_sequences_are_axes_and_lists_of_one_value_are_held():
    cases = cases_of(
        {"resin": UP, "temperature": ["20 C", "25 C"], "humidity": 0.5, "ply": ["400 g/m2 mat"]}
    )
    assert [axis.name for axis in cases.axes] == ["temperature"]
    assert cases.held["ply"] == ["400 g/m2 mat"]
    several = cases_of({"ply": [["400 g/m2 mat"], ["600 g/m2 mat"]]})
    assert [len(axis) for axis in several.axes] == [2]


def test_a_case_is_told_what_stands_at_its_place():
    cases = cases_of({"resin": UP, "temperature": ["20 C", "25 C", "30 C"], "humidity": [0.4, 0.7]})
    assert cases.shape == (3, 2)
    assert cases.size == 6
    assert cases.told(5) == {"resin": UP, "temperature": "30 C", "humidity": 0.7}
    assert cases.told(2)["temperature"] == "25 C"


def test_shops_of_a_map_are_read_as_shops_are():
    cases = cases_of(
        {"resin": UP, "temperature": ["68 F", "25 C"], "humidity": [0.4], "altitude": ["1200 m"]}
    )
    shop = Reader(cases).shop(0)
    same = outgas.Shop(temperature="68 F", humidity=0.4, altitude="1200 m")
    assert shop == same
    assert Reader(cases).shop(1).tool_temperature_K == pytest.approx(298.15)


def test_a_barometer_beside_an_altitude_is_read_with_it():
    cases = cases_of(
        {
            "temperature": ["20 C"], "humidity": 0.5, "altitude": ["0 m", "900 m"],
            "barometer": "1003 hPa",
        }
    )  # fmt: skip
    for i, altitude in enumerate(("0 m", "900 m")):
        same = outgas.Shop(
            temperature="20 C", humidity=0.5, altitude=altitude, barometer="1003 hPa"
        )
        assert Reader(cases).shop(i).barometer_Pa == pytest.approx(same.barometer_Pa)


def test_a_bag_above_the_air_is_refused_and_missing_air_is_asked_for():
    cases = cases_of(
        {"resin": UP, "temperature": ["20 C"], "humidity": 0.5, "bag_pressure": "1200 mbar"}
    )
    with pytest.raises(InputError, match="above the barometer"):
        Reader(cases).bag(0)
    with pytest.raises(InputError, match="humidity"):
        Reader(cases_of({"resin": UP, "temperature": ["20 C"]})).shop(0)
    with pytest.raises(InputError, match="no resin"):
        Reader(cases_of({"temperature": ["20 C"], "humidity": 0.5})).job(0)


def test_coordinates_are_in_the_trades_units_or_in_words():
    assert coordinate("temperature", ["68 F", quantity(293.15, "K")]) == (
        [pytest.approx(20.0), pytest.approx(20.0)], {"units": "degC"},
    )  # fmt: skip
    assert coordinate("humidity", [0.5, "60 %"])[0] == [50.0, 60.0]
    assert coordinate("resin", [UP, "epoxy"]) == ([UP, "epoxy"], {})
    hottest, attrs = coordinate("hottest", ["35 C up to 42 C"])
    assert hottest == ["35 C up to 42 C"]
    assert attrs == {}


def test_several_unknown_names_are_told_together():
    with pytest.raises(SeveralMistakesError) as told:
        cases_of({"temprature": ["20 C"], "humidty": 0.5})
    assert len(told.value.mistakes) == 2
    assert np.all(["did you mean" in text for text in told.value.mistakes])
