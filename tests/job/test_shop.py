import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError


def shop(**changes):
    return outgas.Shop(**{"temperature": "26 degC", "humidity": "60 %", **changes})


def test_a_shop_in_si():
    got = shop(altitude="20 m")
    assert got.temperature.m_as("degC") == pytest.approx(26.0)
    assert got.humidity == 0.6
    assert got.barometer.m_as("hPa") == pytest.approx(1010.85, abs=0.05)
    assert got.tool_temperature == got.temperature


def test_the_barometer_alone_is_the_shops_own():
    assert shop(barometer="29.62 inHg").barometer_Pa == pytest.approx(100304.8, rel=1e-4)


def test_altitude_and_barometer_is_a_weather_apps():
    assert shop(altitude="1600 m", barometer="1015 hPa").barometer_Pa == pytest.approx(
        83668, abs=20
    )


def test_neither_is_sea_level_and_says_so():
    assert "assumed" in shop().barometer_note


def test_a_station_reading_with_its_altitude_is_caught():
    with pytest.raises(InputError, match="give it without the altitude"):
        shop(altitude="1600 m", barometer="836 hPa")


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"temperature": 26}, "with no unit"),
        ({"temperature": "90 degC"}, "outside -10 to 60 degC"),
        ({"humidity": 60}, "write '60 %'"),
        ({"humidity": "130 %"}, "outside 0 to 1"),
        ({"altitude": "20 km"}, "outside -430 to 11000 m"),
        ({"barometer": "-3 hPa"}, "below zero"),
        ({"barometer": "3 hPa"}, "outside 200 to 1100 hPa"),
        ({"barometer": "28 inHg vacuum"}, "absolute pressure"),
        ({"tool_temperature": "300 degC"}, "tool temperature"),
        ({"temperature": outgas.Quantity([20.0, 30.0], "degC")}, "one case at a time"),
    ],
)
def test_a_shop_that_cannot_be_is_refused_in_one_line(changes, message):
    with pytest.raises((InputError, OutOfRangeError)) as caught:
        shop(**changes)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_tool_follows_the_air_unless_it_was_said():
    assert shop()._moved(temperature_K=300.0).tool_temperature_K == 300.0
    apart = shop(tool_temperature="20 degC")._moved(temperature_K=300.0)
    assert apart.tool_temperature_K == pytest.approx(293.15)


@pytest.mark.parametrize(
    ("changes", "inside", "outside"),
    [
        ("temperature", "-10 degC", "-10.1 degC"),
        ("temperature", "60 degC", "60.1 degC"),
        ("tool_temperature", "200 degC", "200.1 degC"),
        ("tool_temperature", "-10 degC", "-11 degC"),
        ("sun", "0 W/m2", "-1 W/m2"),
        ("sun", "1200 W/m2", "1201 W/m2"),
        ("humidity", "100 %", "101 %"),
    ],
)
def test_the_ends_of_each_range_are_taken_and_no_more(changes, inside, outside):
    assert shop(**{changes: inside})
    with pytest.raises((InputError, OutOfRangeError)):
        shop(**{changes: outside})


def test_what_was_not_said_of_sun_and_tool_is_none_and_the_airs():
    got = shop()
    assert got.sun_W_m2 == 0.0
    assert got.tool_temperature_K == got.temperature_K
    warm = shop(tool_temperature="80 degC", sun="600 W/m2")
    assert warm.tool_temperature_K == pytest.approx(353.15)
    assert warm.tool_temperature.m_as("degC") == pytest.approx(80.0)
    assert warm.sun_W_m2 == 600.0


def test_a_changed_shop_is_another_and_keeps_the_rest():
    before = shop(altitude="500 m")
    after = before.but(humidity=0.2)
    assert (before.humidity, after.humidity) == (0.6, 0.2)
    assert after.tool_temperature_K == before.tool_temperature_K
    assert after.barometer_note == before.barometer_note
    both = before._moved(temperature_K=310.0, tool_temperature_K=320.0)
    assert (both.temperature_K, both.tool_temperature_K) == (310.0, 320.0)
