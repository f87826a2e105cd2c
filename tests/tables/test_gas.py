import pytest
from table_fields import (
    cases,
    check_odd_field,
    check_range,
    check_share,
    kinds,
    numbers,
    put,
    shares,
)

from outgas.errors import DataError
from outgas.tables import catalogue

SIGNED = ()  # which may be below nothing
BEYOND_ONE = ("gas", "exponent", "clear", "milky", "stirring")  # ratios, not shares


FOUND = list(numbers(catalogue.gas()))


@pytest.mark.parametrize(("record", "field", "number"), cases(FOUND))
def test_every_number_has_a_plausible_range_that_a_slip_of_unit_or_sign_leaves(
    record, field, number
):
    check_range(record, field, number, SIGNED)


@pytest.mark.parametrize(("record", "field"), shares(FOUND, BEYOND_ONE))
def test_a_share_of_a_whole_is_at_most_the_whole(record, field):
    check_share(record, field)


@pytest.mark.parametrize("record", kinds(FOUND), ids=lambda r: type(r).__name__)
def test_a_field_that_no_record_has_is_refused(record):
    check_odd_field(record)


def test_all_of_a_whole_is_taken():
    table = catalogue.gas()
    put(table.laminate, "connected", 1.0, "1")
    put(table.oxygen, "air_left", 100.0, "%")


def test_half_of_a_laminate_is_no_trapped_air_nor_a_void_to_aim_for():
    table = catalogue.gas()
    for record, field in (
        (table.laminate, "trapped"),
        (table.laminate, "boiling_extra"),
        (table.look, "structural"),
        (table.look, "bond_line"),
    ):
        put(record, field, 50.0, "%")
        with pytest.raises(DataError, match="is outside"):
            put(record, field, 51.0, "%")
