"""Shops, layups and rigs as plain types and back; told otherwise; compared, pickled, shown."""

import copy
import json
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError, OutOfRangeError, UnknownNameError

SHOP = outgas.Shop(
    temperature="26.3C", humidity="61%", altitude="1600 m", barometer="1015 hPa",
    tool_temperature="79F", sun="600 W/m2",
)  # fmt: skip
LAYUP = outgas.Layup(
    plies=["3 x 400 g/m2 woven glass", "core", "2 x 450 g/m2 chopped strand mat"],
    core="15 mm perforated PVC foam", area="0.83 m2", tool="6 mm glass plate",
    bag_side=["peel ply", "breather"],
)  # fmt: skip
RIG = outgas.Rig.from_words(
    "5 cfm two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, 3 l pot, leak 0.2 mbar l/s, needle valve",
    hold_error="20 mbar", autoclave="5 bar", sensor_error="0.3 inHg",
)  # fmt: skip
EMPTY = [outgas.Layup(), outgas.Rig(), outgas.Shop(temperature="20C", humidity=0.5)]
ALL = [SHOP, LAYUP, RIG, *EMPTY]


@pytest.mark.parametrize("record", ALL)
def test_a_record_goes_to_json_and_back_to_its_last_digit(record):
    assert type(record).from_dict(json.loads(json.dumps(record.to_dict()))) == record


@pytest.mark.parametrize("record", ALL)
def test_a_record_survives_pickle_and_copy_and_is_told_by_nothing_as_itself(record):
    assert pickle.loads(pickle.dumps(record)) == record
    assert copy.deepcopy(record) == record
    assert record.but() == record
    assert hash(record.but()) == hash(record)


@pytest.mark.parametrize("record", ALL)
def test_a_record_is_shown_on_one_short_line_by_its_name(record):
    assert repr(record).startswith(f"{type(record).__name__}(")
    assert "\n" not in repr(record)
    assert len(repr(record)) < 300


def test_what_is_shown_is_what_a_builder_would_name():
    assert repr(SHOP) == "Shop(26.3 degC, 61 % humidity, 836.7 mbar, tool 26.11 degC, sun 600 W/m2)"
    assert repr(LAYUP) == (
        "Layup(5 layers of woven-glass and chopped-strand-mat, 15 mm pvc-foam, 0.83 m2, on 6 mm "
        "glass-plate)"
    )
    assert repr(outgas.Rig(pump_ultimate="2 mbar", bleed="needle valve")) == (
        "Rig(pump_ultimate=200 Pa, bleed='needle valve')"
    )


@given(
    st.floats(-9.9, 59.9), st.floats(0.0, 1.0), st.floats(-400.0, 10000.0), st.floats(0.0, 1200.0)
)
def test_any_shop_comes_back_as_it_was(celsius, humidity, height, sun):
    shop = outgas.Shop(
        temperature=f"{celsius!r} degC", humidity=humidity, altitude=f"{height!r} m",
        sun=f"{sun!r} W/m2",
    )  # fmt: skip
    assert outgas.Shop.from_dict(shop.to_dict()) == shop == shop.but()


@given(
    st.lists(st.tuples(st.integers(1, 5), st.floats(0.01, 1.0)), max_size=4),
    st.floats(0.0005, 0.3) | st.none(),
    st.booleans(),
)
def test_any_layup_comes_back_as_it_was(groups, thick, half):
    layup = outgas.Layup(
        plies=[f"{n} x {mass!r} kg/m2 woven glass" for n, mass in groups],
        core=None if thick is None else f"{thick!r} m balsa",
    )
    layup = layup.half() if half else layup
    assert outgas.Layup.from_dict(layup.to_dict()) == layup == layup.but()


def test_a_shop_told_otherwise_keeps_the_rest_and_its_tool_follows_the_air():
    plain = outgas.Shop(temperature="20C", humidity=0.5, altitude="500 m")
    warm = plain.but(temperature="30 degC")
    assert warm == outgas.Shop(temperature="30C", humidity=0.5, altitude="500 m")
    assert warm.tool_temperature_K == warm.temperature_K
    assert SHOP.but(temperature="30C").tool_temperature_K == SHOP.tool_temperature_K
    assert SHOP.but(tool_temperature=None).tool_temperature_K == SHOP.temperature_K
    assert plain.but(altitude="20 m").barometer_note.endswith("average weather at 20 m (assumed)")
    assert plain.but(barometer="1003 hPa").barometer_Pa == 100300.0
    assert plain.temperature_K == pytest.approx(293.15)


def test_a_layup_told_otherwise_keeps_its_core_in_its_place():
    assert LAYUP.but(area="1 m2").plies == LAYUP.plies
    assert LAYUP.but(core="20 mm balsa").plies_under == 1
    assert LAYUP.but(core=None) == outgas.Layup(
        plies=["3 x 400 g/m2 woven glass", "2 x 450 g/m2 chopped strand mat"], area="0.83 m2",
        tool="6 mm glass plate", bag_side=["peel ply", "breather"],
    )  # fmt: skip
    assert LAYUP.but(plies=None, core=None, tool=None).layers == 0


def test_a_rig_told_otherwise_keeps_the_rest():
    other = RIG.but(pump="venturi", pot_volume=None, hose=None)
    assert (other.pump, other.pot_volume, other.hose) == ("venturi", None, "")
    assert other.leak == RIG.leak
    assert other.pump_displacement == RIG.pump_displacement


@pytest.mark.parametrize(
    ("record", "wrong", "nearest"),
    [
        (SHOP, "temperature_K", "temperature"),
        (SHOP, "humidty", "humidity"),
        (LAYUP, "plis", "plies"),
        (RIG, "pump_ultimat", "pump_ultimate"),
    ],
)
def test_what_is_no_argument_names_the_nearest(record, wrong, nearest):
    with pytest.raises(UnknownNameError) as caught:
        record.but(**{wrong: 1})
    assert nearest in caught.value.nearest


def test_what_is_told_otherwise_is_checked_as_ever():
    with pytest.raises(OutOfRangeError, match="temperature is 90 degC"):
        SHOP.but(temperature="90 degC")
    with pytest.raises(InputError, match="write '60 %'"):
        SHOP.but(humidity=60)
    with pytest.raises(UnknownNameError, match="wool"):
        LAYUP.but(plies=["400 g/m2 wool"])


@pytest.mark.parametrize(
    ("record", "change", "said"),
    [
        (SHOP, {"kind": "outgas rig"}, "no outgas shop"),
        (SHOP, {"version": 2}, "of version 2; this reads 1"),
        (SHOP, {"temperature_K": "26C"}, "temperature_K is '26C'; it is a number"),
        (SHOP, {"temperature_K": True}, "it is a number"),
        (SHOP, {"humidity": 61.0}, "outside 0 to 1"),
        (SHOP, {"barometer_Pa": 1.0}, "outside 200 to 1100 hPa"),
        (SHOP, {"barometer_Pa": None}, "barometer"),
        (SHOP, {"sun": 1.0}, "did you mean sun_W_m2"),
        (LAYUP, {"plies": "3 x 400"}, "plies is '3 x 400'; it is a list"),
        (LAYUP, {"plies": [{"count": 1}]}, "it has count, areal_mass_kg_m2, fabric"),
        (LAYUP, {"area_m2": -1.0}, "above zero"),
        (LAYUP, {"core": {"name": "cheese", "thickness_m": 0.01, "open": False}}, "cheese"),
        (LAYUP, {"tool": 3}, "it has name, thickness_m"),
        (RIG, {"leak_Pa_m3_s": 1e9}, "outside 0 to 10000"),
        (RIG, {"hose": 3}, "say it in words"),
    ],
)
def test_a_dict_that_is_not_ours_is_refused_in_one_line(record, change, said):
    with pytest.raises((InputError, OutOfRangeError)) as caught:
        type(record).from_dict({**record.to_dict(), **change})
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("record", [SHOP, LAYUP, RIG])
def test_a_key_that_is_missing_is_named(record):
    for key in record.to_dict():
        less = {name: value for name, value in record.to_dict().items() if name != key}
        with pytest.raises(InputError, match="outgas"):
            type(record).from_dict(less)
