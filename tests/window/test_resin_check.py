import pytest

import outgas
from outgas.errors import DataError, InputError
from outgas.job.own_resin import Sheet, as_toml, from_sheet
from outgas.window.resin_check import check_resin

NUMBERS = {"viscosity": "450 cP", "gel_time": "20 min", "density": "1.1"}


@pytest.fixture(scope="module")
def text():
    made = Sheet(family="polyester", monomers={"styrene": "42%"}, numbers=NUMBERS)
    return as_toml(*from_sheet(made))


def replaced(text, field, line):
    """Return the file with another line for one of the resin's own fields."""
    head, mark, parts = text.partition("\n[[")
    lines = [x for x in head.splitlines() if not x.startswith(f"{field} =")]
    return "\n".join([*lines, *([line] if line else [])]) + mark + parts


def checked(tmp_path, text):
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return check_resin(path)


def test_a_resin_that_holds_says_what_it_advises_beside_its_relative(tmp_path, text):
    found = checked(tmp_path, text)
    assert found.usable
    advised = [r for r in found.remarks if r.grade == "advises"]
    assert [r.field for r in advised] == ["my-resin", "orthophthalic-polyester"]
    assert all("20 degC, 50%" in r.text and "mbar absolute" in r.text for r in advised)
    shop = outgas.Shop(temperature="20 degC", humidity="50 %")
    relative = outgas.advise("orthophthalic-polyester", shop).to_text(full=True).splitlines()[0]
    assert advised[1].text.endswith(relative)
    assert "safety data sheet" in str(found).splitlines()[-1]  # whoever is advised is cautioned
    guessed = next(r for r in found.remarks if r.grade == "estimate")
    assert "air solubility" in guessed.text
    assert "viscosity" not in guessed.text


@pytest.mark.parametrize(
    ("field", "line", "said"),
    [
        ("density", "", "wrong: density: missing, and needed; write it as '1.1'"),
        ("viscosity", 'viscosity = "9 furlong"', "wrong: viscosity: '9 furlong'"),
        ("viscosity", 'viscosity = "9e9 Pa s"', "wrong: viscosity: 9e"),
        ("famly", 'famly = "polyester"', "wrong: famly: Object contains unknown field"),
        ("family", 'family = "poliester"', "is not one of polyester, vinyl ester"),
        ("initiator", 'initiator = "peroxid"', "it is one of peroxide, acid, none"),
        ("gel_of", 'gel_of = "pot"', "it is one of cup, film"),
        ("processes", 'processes = ["infuse"]', "'infuse' is not one of wet layup"),
        ("time_to_peak", 'time_to_peak = "10 min"', "is not after the gel time"),
    ],
)
def test_what_makes_a_resin_unusable_is_told_by_field_with_what_is_allowed(
    tmp_path, text, field, line, said
):
    found = checked(tmp_path, replaced(text, field, line))
    assert not found.usable
    assert said in str(found)
    assert "advises" not in str(found)


def test_all_that_is_wrong_is_told_at_once(tmp_path, text):
    broken = replaced(replaced(text, "density", ""), "viscosity", 'viscosity = "thick"')
    found = checked(tmp_path, broken)
    assert [remark.field for remark in found.remarks] == ["density", "viscosity"]


def test_what_no_relative_has_is_doubtful_and_what_they_have_is_missing(tmp_path, text):
    odd = replaced(replaced(text, "density", 'density = "1.4"'), "initiator_level", "")
    found = checked(tmp_path, odd)
    assert found.usable
    assert "doubtful: density: 1.4 g/cm3, where the polyester resins here have 1.05" in str(found)
    assert "missing: initiator_level: its relative orthophthalic-polyester has 1.5 %" in str(found)


def test_a_monomer_that_no_relative_holds_is_doubtful(tmp_path, text):
    found = checked(tmp_path, text.replace('volatile = "styrene"', 'volatile = "acetone"'))
    assert "doubtful: acetone: in no polyester resin here" in str(found)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("a = 1\nb = 2\n", DataError), ("a = 1\n", DataError), ("[a\n", DataError)],
)
def test_a_file_without_one_table_is_refused(tmp_path, text, kind):
    with pytest.raises(kind, match=r"own\.toml"):
        checked(tmp_path, text)


def test_a_file_that_is_not_there_is_bad_input(tmp_path):
    with pytest.raises(InputError, match="cannot read"):
        check_resin(tmp_path / "none.toml")
