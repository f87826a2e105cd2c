"""What a shop's panels showed, as a job takes it."""

import pytest

import outgas
from outgas.errors import InputError
from outgas.job.learnt import NO_CLOTH, Kind, cloth_of, read_experience


def test_cloths_are_one_kind_whatever_their_order_and_number():
    one = outgas.Layup(plies=["2 x 400 g/m2 woven glass", "450 g/m2 chopped strand mat"])
    other = outgas.Layup(plies=["450 g/m2 chopped strand mat", "600 g/m2 woven glass"])
    assert cloth_of(one) == cloth_of(other) == "chopped-strand-mat + woven-glass"
    assert cloth_of(outgas.Layup()) == NO_CLOTH


def test_a_kind_is_told_in_words():
    assert str(Kind("epoxy", "infusion", NO_CLOTH)) == "epoxy, infusion, no cloth named"


def test_what_is_no_experience_is_refused_with_what_to_give():
    assert read_experience(None) is None
    with pytest.raises(InputError, match=r"give what outgas\.learn\(panels\) returns"):
        read_experience("panels.toml")
