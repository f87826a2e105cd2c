import re
from typing import Annotated

import msgspec
import pint
import pytest

from outgas.errors import DataError
from outgas.tables.number import UNITS, Named, Number, Plausible, check_fields, from_text, plausible


def test_every_unit_is_what_pint_makes_of_it():
    registry = pint.get_application_registry()
    names = {"1": "", "%": "percent", "Pa s": "Pa*s", "mPa s": "mPa*s", "mbar l/s": "mbar*l/s"}
    for unit, (si, factor, offset) in UNITS.items():
        spelled, target = (
            re.sub(
                r"([a-z0-9]) ([A-Z])", r"\1*\2", re.sub(r"([mK])([12][.0-9]*|3)\b", r"\1**\2", name)
            )
            for name in (names.get(unit, unit), si if "/(" in si else si.replace(" ", "*"))
        )
        got = registry.Quantity(2.5, spelled).m_as(target)
        assert got == pytest.approx(2.5 * factor + offset, rel=1e-12), unit


def number(value=20.0, unit="mm", **more):
    given = {"u95": 1.0} if not {"u95", "low", "high"} & set(more) else {}
    return Number(value=value, unit=unit, source="sheet", how="read", **given, **more)


def test_both_ways_of_stating_a_range_are_the_same_in_si():
    about, between = number(u95=2.0), number(low=18.0, high=22.0)
    for got in (about, between):
        assert (got.low_si, got.si, got.high_si) == pytest.approx((0.018, 0.020, 0.022))
        assert (got.band.low, got.band.nominal, got.band.high) == (got.low_si, got.si, got.high_si)


def test_a_temperature_in_celsius_moves_with_its_ends():
    got = number(25.0, "degC", low=20.0, high=40.0)
    assert (got.low_si, got.si, got.high_si) == pytest.approx((293.15, 298.15, 313.15))


def test_a_range_may_end_at_nothing():
    assert number(0.0, "1", low=0.0, high=0.0).band.high == 0.0
    assert number(3.0, "1", low=0.0, high=5.0).low_si == 0.0


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"unit": "furlong"}, "'furlong' is not one of"),
        ({"low": 10.0}, "either u95, or both low and high"),
        ({"high": 30.0}, "either u95, or both low and high"),
        ({"u95": 1.0, "low": 10.0, "high": 30.0}, "either u95, or both low and high"),
        ({"low": 21.0, "high": 30.0}, "value 20 lies outside its own low and high"),
        ({"low": 10.0, "high": 19.0}, "value 20 lies outside its own low and high"),
        ({"u95": -1.0}, "lies outside its own"),
        ({"value": float("inf")}, "finite"),
        ({"u95": float("nan")}, "finite"),
        ({"low": 10.0, "high": float("inf")}, "finite"),
    ],
)
def test_a_number_that_contradicts_itself_is_refused(given, message):
    with pytest.raises(ValueError, match=re.escape(message)):
        number(**given)


def test_a_number_without_its_source_is_refused():
    with pytest.raises(ValueError, match="source is empty"):
        Number(value=1.0, unit="mm", source=" ", how="read", u95=0.1)


class Inner(msgspec.Struct, frozen=True):
    bore: Annotated[Number, Plausible("m", 0.001, 0.03)]


class Outer(Named, frozen=True, kw_only=True):
    wall: Annotated[Number, Plausible("m", 0.001, 0.03)] | None = None
    holes: tuple[Annotated[Number, Plausible("m", 0.001, 0.03)], ...] = ()
    inner: Inner | None = None
    inners: tuple[Inner, ...] = ()


class Child(Outer, frozen=True, kw_only=True):
    wall: Annotated[Number, Plausible("m", 0.001, 0.5)] | None = None


def test_what_is_plausible_is_found_wherever_it_stands_and_a_child_may_widen_it():
    assert set(plausible(Outer)) == {"wall", "holes"}
    assert plausible(Outer)["holes"] == Plausible("m", 0.001, 0.03)
    assert plausible(Child) == {**plausible(Outer), "wall": Plausible("m", 0.001, 0.5)}


@pytest.mark.parametrize(
    ("record", "where"),
    [
        (lambda x: Outer(name="a", wall=x), "here.wall"),
        (lambda x: Outer(name="a", holes=(number(), x)), "here.holes"),
        (lambda x: Outer(name="a", inner=Inner(x)), "here.inner.bore"),
        (lambda x: Outer(name="a", inners=(Inner(number()), Inner(x))), "here.inners.bore"),
    ],
)
def test_every_number_of_a_record_is_checked_and_named(record, where):
    for fine in (number(1.0), number(30.0)):  # both ends are within
        check_fields(record(fine), "here")
    for value in (0.9, 30.1):
        with pytest.raises(DataError, match=rf"^{where}: {value} mm is outside 0.001 to 0.03 m$"):
            check_fields(record(number(value)), "here")
    with pytest.raises(DataError, match=rf"^{where}: unit 's' does not fit; use m, mm, um$"):
        check_fields(record(number(unit="s")), "here")


def test_a_share_out_of_range_is_called_one():
    class Share(msgspec.Struct, frozen=True):
        kept: Annotated[Number, Plausible("", 0.0, 1.0)]

    check_fields(Share(number(100.0, "%")), "here")
    with pytest.raises(DataError, match=r"101 % is outside 0 to 1 \(as a share\)"):
        check_fields(Share(number(101.0, "%")), "here")


@pytest.mark.parametrize(
    ("text", "unit", "value", "low", "high"),
    [
        ("450 cP", "Pa s", 0.45, 0.36, 0.54),
        ("450 cps", "Pa s", 0.45, 0.36, 0.54),
        ("450 mPa.s", "Pa s", 0.45, 0.36, 0.54),
        ("450 mPa·s", "Pa s", 0.45, 0.36, 0.54),
        ("400 to 500 cP", "Pa s", 0.45, 0.4, 0.5),
        ("400-500 mPa s", "Pa s", 0.45, 0.4, 0.5),
        ("450 +/- 50 cP", "Pa s", 0.45, 0.4, 0.5),
        ("1.1", "kg/m3", 1100.0, 880.0, 1320.0),
        ("1.08-1.12", "kg/m3", 1100.0, 1080.0, 1120.0),
        ("1100 kg/m3", "kg/m3", 1100.0, 880.0, 1320.0),
        ("15-25 min", "s", 1200.0, 900.0, 1500.0),
        ("40 %", "", 0.4, 0.32, 0.48),
        ("38 - 42%", "", 0.4, 0.38, 0.42),
        ("150 to 160 C", "K", 428.15, 423.15, 433.15),
    ],
)
def test_a_number_is_read_as_sheets_print_it(text, unit, value, low, high):
    fifth = Number(value=20.0, unit="%", u95=0.0, source="estimate", how="estimate")
    mark = Plausible(unit, 0.0, 1e6)
    got = from_text(text, mark, fifth, "it")
    assert (got.si, got.low_si, got.high_si) == pytest.approx((value, low, high), rel=1e-5)
    assert (got.source, got.how) == ("sheet", "sheet")
