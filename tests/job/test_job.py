import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError, UnitError, UnknownNameError


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
    assert shop().but(temperature_K=300.0).tool_temperature_K == 300.0
    apart = shop(tool_temperature="20 degC").but(temperature_K=300.0)
    assert apart.tool_temperature_K == pytest.approx(293.15)


def test_a_layup_in_a_builders_words():
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 woven glass", "300g/m2 CSM", "12 oz/yd2 biax"],
        core="15mm PVC foam",
        area="0.8 m2",
        tool="6 mm glass plate",
        bag_side=["peel ply", "perforated film", "breather"],
    )
    assert [ply.fabric.name for ply in layup.plies] == [
        "woven-glass",
        "chopped-strand-mat",
        "biaxial-glass",
    ]
    assert layup.fibre_mass.m_as("g/m**2") == pytest.approx(800 + 300 + 406.9, abs=0.1)
    # each ply: fibre mass over fibre density and fibre fraction
    assert layup.thickness.m_as("mm") == pytest.approx(0.6944 + 0.5859 + 0.3455, abs=1e-3)
    assert layup.core.name == "pvc-foam"
    assert layup.core_thickness_m == pytest.approx(0.015)
    assert layup.lets_gas_out is True
    assert layup.tool.name == "glass-plate"


def test_resin_fills_what_fibre_leaves():
    layup = outgas.Layup(plies=["1000 g/m2 woven glass"])
    volume = 1.0 / 2560.0 / 0.45
    assert layup.resin_mass(1100.0) == pytest.approx(volume * 0.55 * 1100.0)


def test_plain_film_keeps_gas_in():
    assert outgas.Layup(bag_side=["peel ply", "release film"]).lets_gas_out is False
    assert outgas.Layup().lets_gas_out is None


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"plies": ["400 g/m2 wovn glas"]}, "woven glass"),
        ({"plies": ["400 g/m2"]}, "with no unit"),
        ({"plies": ["400 woven glass"]}, "not known"),
        ({"plies": ["400 mm woven glass"]}, "must be like"),
        ({"plies": ["0 g/m2 woven glass"]}, "above zero"),
        ({"plies": ["90 kg/m2 woven glass"]}, "outside 10 to 5000 g/m2"),
        ({"plies": ["1,5 kg/m2 mat"]}, "decimal point"),
        ({"plies": ["999 x 400 g/m2 mat"]}, "outside 1 to 200"),
        ({"plies": ["200 x 2000 g/m2 mat"]}, "mm of laminate"),
        ({"plies": "400 g/m2 mat"}, "are lists"),
        ({"core": "PVC foam"}, "write it as '15 mm PVC foam'"),
        ({"core": "15 mm PVB foam"}, "pvc foam"),
        ({"core": "9 m PVC foam"}, "outside 0.5 to 300 mm"),
        ({"core": 15}, "in words"),
        ({"area": "3"}, "with no unit"),
        ({"area": "-3 m2"}, "above zero"),
        ({"area": "1 km2"}, "outside"),
        ({"tool": "glass"}, "6 mm glass plate"),
        ({"bag_side": ["peal ply"]}, "peel ply"),
        ({"bag_side": "peel ply"}, "are lists"),
    ],
)
def test_a_layup_that_cannot_be_is_refused_in_one_line(arguments, message):
    with pytest.raises((InputError, OutOfRangeError, UnknownNameError)) as caught:
        outgas.Layup(**arguments)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_rig_in_si():
    rig = outgas.Rig(
        pump_displacement="5 m3/h",
        pump_ultimate="2 mbar",
        hose="2 m of 8 mm",
        bag_volume="12 l",
        leak="0.2 mbar l/s",
        bleed="needle valve",
        hold_error="20 mbar",
        autoclave="5 bar",
    )
    assert rig.known() == pytest.approx(
        {
            "pump_displacement": 5 / 3600,
            "pump_ultimate": 200.0,
            "hose": "2 m of 8 mm",
            "bag_volume": 0.012,
            "leak": 0.02,
            "bleed": "needle valve",
            "hold_error": 2000.0,
            "autoclave": 5e5,
        }
    )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"leak": "-1 mbar l/s"}, "zero or more"),
        ({"leak": 3}, "with no unit"),
        ({"pump_displacement": "5 m2"}, "must be like"),
        ({"pump_ultimate": "2 bar"}, "outside"),
        ({"hose": 3}, "in words"),
    ],
)
def test_a_rig_that_cannot_be_is_refused_in_one_line(arguments, message):
    with pytest.raises((InputError, OutOfRangeError, UnitError), match=message):
        outgas.Rig(**arguments)
