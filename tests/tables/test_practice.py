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
from outgas.tables.practice import Process

SIGNED = ("contaminant_chi",)  # which may be below nothing
BEYOND_ONE = (
    "vapour_times",
    "contaminant_chi",
    "thickened",
    "plies_per_debulk",
    "head_space",
    "kozeny",
    "wider",
)  # ratios


FOUND = list(numbers(catalogue.practice()))


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
    practice = catalogue.practice()
    put(practice.margins, "vapour_share", 1.0, "1")
    put(practice.clock, "pot_fill", 1.0, "1")


def test_a_share_that_is_divided_by_is_never_none():
    practice = catalogue.practice()
    for record, field in (
        (practice.margins, "vapour_share"),
        (practice.clock, "pot_fill"),
        (practice.clock, "hard"),
        (practice.bed, "kozeny"),
    ):
        with pytest.raises(DataError, match="is outside"):
            put(record, field, 0.0, "1")


def test_resin_never_thins_and_froth_never_shrinks():
    clock = catalogue.practice().clock
    times = ((clock, "thickened"), (clock, "head_space"), (clock, "plies_per_debulk"))
    for record, field in (*times, (catalogue.practice().margins, "vapour_times")):
        put(record, field, 1.0, "1")
        with pytest.raises(DataError, match="is outside"):
            put(record, field, 0.99, "1")


def test_a_process_states_its_clamp_or_its_weakest_bag_and_not_both():
    kept = catalogue.practice().process["infusion"]
    weak = catalogue.practice().process["prepreg"].weakest_bag
    given = {"name": "made up", "title": "made up", "path": "open"}
    given["fibre_fraction"] = kept.fibre_fraction
    assert Process(**given, clamp=kept.clamp).weakest_bag is None
    assert Process(**given, weakest_bag=weak).bag_side == ()
    for both in ({}, {"clamp": kept.clamp, "weakest_bag": weak}):
        with pytest.raises(ValueError, match="either clamp or weakest_bag"):
            Process(**given, **both)
