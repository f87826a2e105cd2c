import pickle

import pytest

from outgas import errors


def test_every_error_for_bad_input_is_also_a_value_error():
    kinds = (
        errors.InputError,
        errors.UnitError,
        errors.OutOfRangeError,
        errors.RefusedError,
        errors.DataError,
    )
    for kind in kinds:
        assert issubclass(kind, ValueError)
        assert issubclass(kind, errors.OutgasError)


def test_a_refusal_is_not_bad_input():
    assert not issubclass(errors.RefusedError, errors.InputError)


def test_an_unknown_name_offers_the_nearest_and_survives_pickling():
    error = errors.UnknownNameError("resin", "orthoftalic", ["orthophthalic-polyester", "epoxy"])
    assert error.nearest == ["orthophthalic-polyester"]
    again = pickle.loads(pickle.dumps(error))
    assert str(again) == str(error)
    assert again.nearest == error.nearest


def test_an_unknown_name_unlike_any_lists_all():
    with pytest.raises(errors.UnknownNameError, match="known are a, b"):
        raise errors.UnknownNameError("thing", "qqqqqq", ["b", "a"])


def test_a_word_that_could_be_several_names_says_which_is_likeliest_and_survives_pickling():
    error = errors.UnknownNameError.several("resin", "epoxy", ["one", "two", "three"])
    again = pickle.loads(pickle.dumps(error))
    for got in (error, again):
        assert str(got) == "epoxy: say which; one is what most shops mean; also two, three"
        assert (got.kind, got.given, got.nearest) == ("resin", "epoxy", ["one", "two", "three"])
    assert isinstance(error, errors.InputError)
