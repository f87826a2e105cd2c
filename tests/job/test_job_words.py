"""How each key of a saved job is understood."""

import pytest

from outgas.errors import InputError, OutOfRangeError
from outgas.job.job_keys import KEYS
from outgas.job.job_words import understood


@pytest.mark.parametrize("key", KEYS)
def test_the_example_of_every_key_is_understood(key):
    said = understood(key, KEYS[key].example)
    assert said
    assert "\n" not in said


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("temperature", "79F", "26.11 degC"),
        ("humidity", "0.6", "60 %"),
        ("altitude", "20m", "air pressure 1010.8 mbar, average weather at 20 m (assumed)"),
        ("barometer", "1003 hPa", "1003 mbar, as told"),
        ("ply", ("2 x 400 g/m2 woven glass", "core"), "2 x 400 g/m2 woven glass cloth; here lies "),
        ("core", "20 mm perforated PVC foam", "20 mm cross-linked PVC foam"),
        ("core", "20 mm perforated PVC foam", "gas can leave through it"),
        ("rig", "5 m3/h pump, 2 m of 8 mm hose", "pumps 5 m3/h, 2 m of 8 mm hose"),
        ("reads_with", "sensor 5 mbar", "sensor, within 5 mbar"),
        ("hottest", "35C up to 42C", "35 degC up to 42 degC"),
        ("degassed", "90 mbar for 10 min, stirred", "90 mbar for 10 min, worked"),
        ("degassed", "90 mbar for 10 min, still", "still"),
        ("contaminant", ("acetone=1%",), "1 % of acetone"),
        ("dried", "8 h", "8.0 h"),
        ("batch", "1200 g", "1.2 kg"),
        ("no_debulk", True, "yes"),
        ("dial", "MBAR", "mbar"),
    ],
)
def test_what_is_understood_is_said_in_the_trades_units(key, value, said):
    assert said in understood(key, value)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("temperature", "26"),
        ("temperature", "200C"),
        ("humidity", "160%"),
        ("barometer", "28 inHg vacuum"),
        ("ply", ("400 g/m2 wool",)),
        ("rig", ""),
        ("confidence", "10%"),
        ("dried", "-1 h"),
        ("finish", "shiny"),
        ("void_target", "90%"),
        ("gel_time", "0 min"),
        ("contaminant", ("acetone=50%",)),
    ],
)
def test_what_cannot_be_used_is_refused(key, value):
    with pytest.raises((InputError, OutOfRangeError)):
        understood(key, value)
