import pytest

from outgas import names

SPELLING = {"lay up": "layup", "lay ups": "layup", "fiberglass": "glass", "biax": "biaxial"}
KNOWN = {"wet layup": "wet", "woven glass": "woven", "biaxial glass": "biax", "polyester": "up"}


@pytest.mark.parametrize(
    ("said", "want"),
    [
        ("Wet Lay-Up", "wet"),
        ("wet lay-ups", "wet"),
        ("wet_layups", "wet"),
        ("polyesters", "up"),
        ("woven fiberglass", "woven"),
        ("glass, woven", None),
        ("glass woven", "woven"),
        ("the woven glass", "woven"),
        ("biax fiberglass", "biax"),
        ("woven", None),
        ("", None),
        ("the", None),
    ],
)
def test_a_name_is_found_however_it_is_spelt_and_never_by_likeness(said, want):
    assert names.find(said, KNOWN, SPELLING, ("the",)) == want


@pytest.mark.parametrize(
    ("word", "one"),
    [("mats", "mat"), ("plies", "ply"), ("glass", "glass"), ("eps", "eps"), ("status", "status")],
)
def test_the_s_of_a_plural_is_dropped_and_no_other(word, one):
    assert names.plain(word) == (one,)


def test_words_in_another_order_that_fit_two_records_name_neither():
    known = {"light foam": "a", "foam light": "b"}
    assert names.find("light foam", known) == "a"
    assert names.find("the light foam old", {"foam light x": "a", "light x foam": "b"}) is None
    assert names.find("x foam light", {"foam light x": "a", "light x foam": "b"}) is None
