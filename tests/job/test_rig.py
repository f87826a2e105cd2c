import math

import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError, UnitError
from outgas.tables import catalogue


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


@pytest.mark.parametrize(
    ("name", "inside", "outside"),
    [
        ("pump_displacement", "1e-7 m3/s", "0.9e-7 m3/s"),
        ("pump_displacement", "10 m3/s", "10.1 m3/s"),
        ("pump_ultimate", "900 mbar", "901 mbar"),
        ("bag_volume", "1 ml", "0.9 ml"),
        ("bag_volume", "100 m3", "101 m3"),
        ("leak", "0.99e5 mbar l/s", "1.01e5 mbar l/s"),
        ("hold_error", "500 mbar", "501 mbar"),
        ("sensor_error", "500 mbar", "501 mbar"),
        ("autoclave", "50 bar", "50.1 bar"),
        ("bag_area", "1 cm2", "0.9 cm2"),
        ("bag_area", "1000 m2", "1001 m2"),
        ("pot_volume", "10 m3", "10.1 m3"),
    ],
)
def test_the_ends_of_each_range_are_taken_and_no_more(name, inside, outside):
    assert getattr(outgas.Rig(**{name: inside}), name) > 0.0
    with pytest.raises(OutOfRangeError, match=name.replace("_", " ")):
        outgas.Rig(**{name: outside})


def test_nothing_is_known_of_a_rig_that_was_not_described():
    assert outgas.Rig().known() == {}
    assert outgas.Rig(leak="0 mbar l/s").known() == {"leak": 0.0}
    assert outgas.Rig().hose_size is None
    assert outgas.Rig().kind is None


def test_cubic_feet_per_minute_are_no_centimetres():
    # one foot is 0.3048 m by definition
    rig = outgas.Rig(pump_displacement="6 cfm")
    assert rig.pump_displacement == pytest.approx(6 * 0.3048**3 / 60)


def test_the_kind_of_pump_is_kept_by_its_name_whatever_the_words():
    assert outgas.Rig(pump="a two stage pump").pump == outgas.Rig(pump="two-stage").pump
    assert outgas.Rig(pump="two-stage").kind.name == outgas.Rig(pump="two-stage").pump


def test_a_volume_that_was_given_has_no_spread():
    rig = outgas.Rig(bag_volume="12 l", bag_area="3 m2", pot_volume="5 l")
    assert rig.volume() == pytest.approx((0.012, 0.012, 0.012))


def test_a_volume_from_the_area_is_breather_hose_and_pot():
    depth = catalogue.rigs().breather_depth
    pot = catalogue.rigs().pot_volume
    hose = math.pi / 4.0 * 0.008**2 * 2.0
    said = outgas.Rig(bag_area="0.5 m2", hose="2 m of 8 mm", pot_volume="7 l").volume()
    ends = [0.5 * x + 0.007 + hose for x in (depth.si, depth.low_si, depth.high_si)]
    assert said == pytest.approx(ends)
    guessed = outgas.Rig(bag_area="0.5 m2", hose="2 m of 8 mm").volume()
    pots = (pot.si, pot.low_si, pot.high_si)
    assert [g - s for g, s in zip(guessed, said, strict=True)] == pytest.approx(
        [p - 0.007 for p in pots]
    )
    assert outgas.Rig(pot_volume="7 l", hose="2 m of 8 mm").volume() is None


def test_one_thing_said_in_words_and_by_name_is_refused_and_named():
    with pytest.raises(InputError, match="its bag volume twice: in words and by name"):
        outgas.Rig.from_words("12 l bag", bag_volume="10 l")


@pytest.mark.parametrize("name", ["hose", "bleed"])
def test_hose_and_bleed_are_words(name):
    with pytest.raises(InputError, match=f"{name} is 8; say it in words"):
        outgas.Rig(**{name: 8})
