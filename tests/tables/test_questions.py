import msgspec
import pytest

from outgas.errors import DataError
from outgas.tables import catalogue
from outgas.tables.number import UNITS, Number, check_fields, plausible
from outgas.tables.questions import Question

SIGNED = ()  # which may be below nothing
BEYOND_ONE = ("trace", "milky", "white", "shear_per_void")  # depths and powers


def numbers(record, where=""):
    """Yield each struct of a record that holds numbers, with the field, its number and path."""
    for field in record.__struct_fields__:
        value = getattr(record, field)
        if isinstance(value, Number):
            yield record, field, value, f"{where}{field}"
        for key, part in value.items() if isinstance(value, dict) else [("", value)]:
            if isinstance(part, msgspec.Struct) and not isinstance(part, Number):
                yield from numbers(part, f"{where}{field}.{key}." if key else f"{where}{field}.")


def parts(held):
    """Return the records of a table, one or many."""
    return list(held.values()) if isinstance(held, dict) else [held]


def put(record, field, value, unit):
    """Check a record with another value in one field."""
    other = Number(
        value=value, unit=unit, source="sheet", how="read", low=min(0.0, value), high=abs(value)
    )
    check_fields(msgspec.structs.replace(record, **{field: other}), "here")


FOUND = [
    found
    for part in ("bag", "look", "gate", "shrinkage")
    for record in parts(getattr(catalogue.signs(), part))
    for found in numbers(record, f"{part}.")
]
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


def test_no_bag_is_above_the_highest_air():
    # the highest barometer on record is about 1085 hPa (from memory)
    bag = catalogue.signs().bag["weak-bag"]
    put(bag, "pressure", 1085.0, "mbar")
    with pytest.raises(DataError, match="is outside"):
        put(bag, "pressure", 1101.0, "mbar")


@pytest.mark.parametrize("family", ["polyester", "acrylic", "epoxy"])
def test_no_resin_shrinks_by_a_third(family):
    shrinkage = catalogue.signs().shrinkage
    put(shrinkage, family, 30.0, "%")
    with pytest.raises(DataError, match="is outside"):
        put(shrinkage, family, 33.0, "%")


def test_traces_stay_traces():
    gate = catalogue.signs().gate
    put(gate, "acetone", 10.0, "%")
    put(gate, "free_peroxide", 20.0, "%")
    for field, share in (("acetone", 11.0), ("free_peroxide", 21.0)):
        with pytest.raises(DataError, match="is outside"):
            put(gate, field, share, "%")


@pytest.mark.parametrize(
    ("answers", "fine"), [({}, False), ({"yes": ""}, False), ({"yes": "", "no": ""}, True)]
)
def test_a_question_leaves_a_choice(answers, fine):
    given = {"name": "x", "ask": "is it?", "now": True, "answers": answers}
    if fine:
        asked = Question(**given)
        assert (asked.processes, asked.how_to) == ((), "")
        return
    with pytest.raises(ValueError, match="at least two answers"):
        Question(**given)
