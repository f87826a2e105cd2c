"""What any table of numbers must hold to, asked of each of its fields."""

import msgspec
import pytest

from outgas.errors import DataError
from outgas.tables.number import UNITS, Number, check_fields, plausible


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


def cases(found):
    """Return record, field and number of each, as test cases named by their path."""
    return [pytest.param(r, f, n, id=path) for r, f, n, path in found]


def shares(found, beyond_one):
    """Return record and field of each share of a whole; beyond_one names ratios, which are not."""
    return [(r, f) for r, f, n, _ in found if not UNITS[n.unit][0] and f not in beyond_one]


def kinds(found):
    """Return one record of each kind."""
    return list({type(r): r for r, *_ in found}.values())


def check_range(record, field, number, signed):
    """A number's range is plausible; a slip of unit, of sign or by a thousand is refused."""
    put(record, field, number.value, number.unit)
    for end in (number.low_si, number.high_si):
        mark = plausible(type(record))[field]
        assert mark.low <= end <= mark.high
    if field not in signed:
        with pytest.raises(DataError, match="is outside"):
            put(record, field, -0.01, number.unit)
    if number.value:
        with pytest.raises(DataError, match="is outside"):
            put(record, field, 3000.0 * number.value, number.unit)
    other = "kg" if number.unit != "kg" else "m"
    with pytest.raises(DataError, match=rf"here\.{field}: unit '{other}' does not fit"):
        put(record, field, number.value, other)


def check_share(record, field):
    """More than the whole is refused."""
    with pytest.raises(DataError, match="is outside"):
        put(record, field, 1.001, "1")


def check_odd_field(record):
    """A field that the record does not have is refused by name."""
    raw = msgspec.to_builtins(record)
    assert msgspec.convert(raw, type(record)) == record
    with pytest.raises(msgspec.ValidationError, match="unknown field `odd`"):
        msgspec.convert({**raw, "odd": 1}, type(record))
