import msgspec
import pytest

from outgas.errors import DataError
from outgas.tables import catalogue
from outgas.tables.number import UNITS, Number, check_fields, plausible
from outgas.tables.practice import Process

SIGNED = ("contaminant_chi",)  # which may be below nothing
BEYOND_ONE = ("contaminant_chi", "thickened", "plies_per_debulk", "head_space", "kozeny")  # ratios


def numbers(record, where=""):
    """Yield each struct of a record that holds numbers, with the field, its number and path."""
    for field in record.__struct_fields__:
        value = getattr(record, field)
        if isinstance(value, Number):
            yield record, field, value, f"{where}{field}"
        for key, part in value.items() if isinstance(value, dict) else [("", value)]:
            if isinstance(part, msgspec.Struct) and not isinstance(part, Number):
                yield from numbers(part, f"{where}{field}.{key}." if key else f"{where}{field}.")


def put(record, field, value, unit):
    """Check a record with another value in one field."""
    other = Number(
        value=value, unit=unit, source="sheet", how="read", low=min(0.0, value), high=abs(value)
    )
    check_fields(msgspec.structs.replace(record, **{field: other}), "here")


FOUND = list(numbers(catalogue.practice()))
ALL = [(record, field, number) for record, field, number, _ in FOUND]
NAMES = [path for *_, path in FOUND]
SHARES = [(r, f) for r, f, n in ALL if not UNITS[n.unit][0] and f not in BEYOND_ONE]


@pytest.mark.parametrize(("record", "field", "number"), ALL, ids=NAMES)
def test_every_number_has_a_plausible_range_that_a_slip_of_unit_or_sign_leaves(
    record, field, number
):
    put(record, field, number.value, number.unit)
    for end in (number.low_si, number.high_si):
        mark = plausible(type(record))[field]
        assert mark.low <= end <= mark.high
    if field not in SIGNED:
        with pytest.raises(DataError, match="is outside"):
            put(record, field, -0.01, number.unit)
    if number.value:
        with pytest.raises(DataError, match="is outside"):
            put(record, field, 3000.0 * number.value, number.unit)
    other = "kg" if number.unit != "kg" else "m"
    with pytest.raises(DataError, match=rf"here\.{field}: unit '{other}' does not fit"):
        put(record, field, number.value, other)


@pytest.mark.parametrize(("record", "field"), SHARES)
def test_a_share_of_a_whole_is_at_most_the_whole(record, field):
    with pytest.raises(DataError, match="is outside"):
        put(record, field, 1.001, "1")


@pytest.mark.parametrize(
    "record", {type(r): r for r, _, _ in ALL}.values(), ids=lambda r: type(r).__name__
)
def test_a_field_that_no_record_has_is_refused(record):
    raw = msgspec.to_builtins(record)
    assert msgspec.convert(raw, type(record)) == record
    with pytest.raises(msgspec.ValidationError, match="unknown field `odd`"):
        msgspec.convert({**raw, "odd": 1}, type(record))


def test_all_of_a_whole_is_taken():
    practice = catalogue.practice()
    put(practice.margins, "vapour_share", 1.0, "1")
    put(practice.process["infusion"], "gas_kept", 100.0, "%")
    put(practice.clock, "pot_fill", 1.0, "1")


def test_a_share_that_is_divided_by_is_never_none():
    practice = catalogue.practice()
    for record, field in (
        (practice.margins, "vapour_share"),
        (practice.clock, "pot_fill"),
        (practice.clock, "hard"),
        (practice.process["infusion"], "gas_kept"),
        (practice.bed, "kozeny"),
    ):
        with pytest.raises(DataError, match="is outside"):
            put(record, field, 0.0, "1")


def test_resin_never_thins_and_froth_never_shrinks():
    clock = catalogue.practice().clock
    for field in ("thickened", "head_space", "plies_per_debulk"):
        put(clock, field, 1.0, "1")
        with pytest.raises(DataError, match="is outside"):
            put(clock, field, 0.99, "1")


def test_a_process_states_its_clamp_or_its_weakest_bag_and_not_both():
    kept = catalogue.practice().process["infusion"]
    weak = catalogue.practice().process["prepreg"].weakest_bag
    given = {"name": "made up", "title": "made up", "gas_kept": kept.gas_kept}
    assert Process(**given, clamp=kept.clamp).weakest_bag is None
    assert Process(**given, weakest_bag=weak).bag_side == ()
    for both in ({}, {"clamp": kept.clamp, "weakest_bag": weak}):
        with pytest.raises(ValueError, match="either clamp or weakest_bag"):
            Process(**given, **both)
