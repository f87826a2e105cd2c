import pytest

import outgas
from outgas.errors import InputError, OutgasError, UnknownNameError

SAID = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"


def test_a_rig_as_a_builder_says_it():
    rig = outgas.Rig.from_words(SAID)
    assert rig.pump_displacement == pytest.approx(5 / 3600)
    assert rig.kind.title == "two-stage oil-sealed vane pump"
    assert (rig.hose_size.length_m, rig.hose_size.bore_m) == pytest.approx((2.0, 0.008))
    assert rig.bag_area == pytest.approx(0.6)
    assert rig.bleed == "needle valve"
    named = outgas.Rig(
        pump_displacement="5 m3/h",
        pump="two-stage",
        hose="2 m of 8 mm hose",
        bag_area="0.6 m2",
        bleed="needle valve",
    )
    assert rig == named


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("3 cfm single stage pump", "pump_displacement", 3 * 0.3048**3 / 60),
        ("venturi", "pump", "venturi"),
        ("60 l/min pump", "pump_displacement", 1e-3),
        ("12 l bag", "bag_volume", 0.012),
        ("3 l pot", "pot_volume", 0.003),
        ("leak 0.2 mbar l/s", "leak", 0.02),
        ("0.2 mbar l/s leak", "leak", 0.02),
        ("2 mbar ultimate", "pump_ultimate", 200.0),
        ("6 ft of 0.25 in hose", "hose", "6 ft of 0.25 in hose"),
        ("bleed hole 0.8 mm", "bleed", "bleed hole 0.8 mm"),
    ],
)
def test_each_part_by_itself(text, name, value):
    got = getattr(outgas.Rig.from_words(text), name)
    assert got == (value if isinstance(value, str) else pytest.approx(value))


@pytest.mark.parametrize(
    ("text", "pump"),
    [
        ("old fridge compressor", "fridge-compressor"),
        ("a small converted refrigerator compressor", "fridge-compressor"),
        ("my old fridge", "fridge-compressor"),
        ("second-hand two-stage pump", "two-stage"),
        ("a worn rotary-vane vacuum pump", "single-stage"),
        ("two-stage", "two-stage"),
        ("old one stage pump", "single-stage"),
        ("my old pump", ""),
        ("small vacuum pump", ""),
    ],
)
def test_a_pump_is_known_by_its_kind_whatever_else_is_said_of_it(text, pump):
    assert outgas.Rig.from_words(text).pump == pump
    both = outgas.Rig.from_words(f"an old 5 m3/h {text.removeprefix('a ')}, my 12 l bag")
    assert (both.pump, both.bag_volume) == (pump, pytest.approx(0.012))
    assert both.pump_displacement == pytest.approx(5 / 3600)


def test_what_pumps_by_hand_is_no_kind_of_pump():
    for words in ("hand pump", "old stage pump"):
        with pytest.raises(UnknownNameError, match="no kind of pump"):
            outgas.Rig.from_words(words)


def test_a_hose_without_numbers_is_a_remark():
    assert outgas.Rig(hose="the short one").hose_size is None


def test_volume_as_given_or_from_the_area():
    assert outgas.Rig(bag_volume="12 l").volume() == pytest.approx((0.012, 0.012, 0.012))
    mid, low, high = outgas.Rig.from_words(SAID).volume()
    assert 0.001 < low < mid < high < 0.02
    pot = outgas.Rig.from_words(SAID + ", 10 l pot").volume()
    assert pot[0] - mid == pytest.approx(0.007)
    assert outgas.Rig().volume() is None


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "say it as"),
        ("5 m3/h two-stage pump, 3 m3/h pump", "twice"),
        ("5 m3/h too-stage pump", "two stage"),
        ("0.6 m2 bog", "did you mean bag"),
        ("2 m by 8 hose", "length and bore"),
        ("leak fast", "write a leak as"),
        ("-5 m3/h pump", "zero or more"),
        ("1 km of 8 mm hose", "outside"),
    ],
)
def test_a_rig_in_words_that_cannot_be_is_refused_in_one_line(text, message):
    with pytest.raises((InputError, UnknownNameError, OutgasError)) as caught:
        outgas.Rig.from_words(text)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_words_and_names_must_not_say_the_same_thing():
    assert outgas.Rig.from_words("12 l bag", hold_error="5 mbar").hold_error == 500.0
    with pytest.raises(InputError, match="twice"):
        outgas.Rig.from_words("12 l bag", bag_volume="3 l")
