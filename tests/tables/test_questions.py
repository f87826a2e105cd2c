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
from outgas.tables.questions import Question

SIGNED = ()  # which may be below nothing
BEYOND_ONE = ("trace", "milky", "white", "shear_per_void")  # depths and powers


def parts(held):
    """Return the records of a table, one or many."""
    return list(held.values()) if isinstance(held, dict) else [held]


FOUND = [
    found
    for part in ("bag", "look", "gate", "shrinkage")
    for record in parts(getattr(catalogue.signs(), part))
    for found in numbers(record, f"{part}.")
]


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
    with pytest.raises(DataError, match="is outside"):
        put(gate, "acetone", 11.0, "%")


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
