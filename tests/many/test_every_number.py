"""Every number of the tables has one name, and its grade is counted once.

The count is held against a walk of the files' own text, and against the guide's table.
"""

import re
from pathlib import Path

import pytest

import outgas
from outgas.errors import InputError, UnknownNameError
from outgas.many.every_number import GRADES, every_number, grades_table, moved_to, named
from outgas.tables import catalogue, data
from outgas.tables.data import putting

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
# In a file's text a number says how it was got right after where from.
GRADED = re.compile(r'^(?!#).*?\bvalue = [^,\n]+.*?\bhow = "(\w+)"', re.MULTILINE)
PINHOLE = re.compile(r'^value = .+\n(?:\w+ = .+\n)*?how = "(\w+)"', re.MULTILINE)


def written():
    """The grades of all numbers, as a reader of the files would count them."""
    found = []
    for file in Path(str(data.root())).glob("*.toml"):
        if file.name in ("saturation.toml", "kinetics.toml"):
            continue
        text = file.read_text(encoding="utf-8")
        found += GRADED.findall(text) + PINHOLE.findall(text)
    return found


def test_every_number_of_the_files_is_there_once_and_by_a_name_of_its_own():
    names = [each.name for each in every_number()]
    assert len(set(names)) == len(names) == len(written()) > 1000


def test_the_grades_are_those_that_the_files_write():
    counted = outgas.sources().grades
    assert tuple(counted) == GRADES
    assert {grade: written().count(grade) for grade in GRADES} == counted


def test_the_table_of_grades_in_the_guide_is_a_fresh_count_and_names_its_command():
    assert grades_table(every_number()) in GUIDE
    assert "outgas sources --grades" in GUIDE


def test_the_readme_says_the_shares_as_they_are():
    counted = outgas.sources().grades
    every = sum(counted.values())
    read, library, memory, estimate = (
        f"{counted[grade] / every:.0%}".replace("%", " %")
        for grade in ("read", "library", "memory", "estimate")
    )
    assert f"{every:,} numbers {read} are read in their source, {library} a library's" in README
    assert f"{memory} recalled and {estimate} judgement" in README


def test_a_count_that_moved_is_not_the_guides():
    assert grades_table(every_number()[1:]) not in GUIDE


@pytest.mark.parametrize(
    "said",
    [
        "resins.orthophthalic-polyester.gel_time",
        "orthophthalic-polyester.gel_time",
        "Orthophthalic polyester.gel time",
    ],
)
def test_a_number_is_found_by_its_whole_name_and_by_less_of_it(said):
    (found,) = named(said)
    assert found.name == "resins.orthophthalic-polyester.gel_time"
    assert found.number == catalogue.resin("orthophthalic-polyester").gel_time


def test_a_record_a_table_and_a_field_mean_all_their_numbers():
    assert {n.file for n in named("gas")} == {"gas.toml"}
    assert {n.way[0] for n in named("styrene")} >= {"styrene"}
    assert all(n.way[-1] == "gel_time" for n in named("gel_time"))
    assert len(named("gel_time")) > 5
    assert [n.name for n in named("rigs.pinhole.2")] == ["rigs.pinhole.2"]


@pytest.mark.parametrize(
    ("said", "near"),
    [
        ("gas.laminate.traped", "gas.laminate.trapped"),
        ("orthophthalic-polyester.gel_tme", "orthophthalic-polyester.gel_time"),
        ("zzzz", "gas, holes"),
        ("", "gas, holes"),
        (".", "gas, holes"),
    ],
)
def test_an_unknown_name_is_one_line_with_the_nearest(said, near):
    with pytest.raises(UnknownNameError, match=re.escape(near)) as error:
        outgas.sources(said)
    assert len(str(error.value).splitlines()) == 1
    assert len(str(error.value)) < 400


def test_a_name_that_is_no_text_is_refused():
    with pytest.raises(InputError, match="trapped"):
        outgas.sources(7)


def test_every_source_of_a_number_has_a_title():
    assert [each.name for each in every_number() if not each.title] == []


@pytest.mark.parametrize(
    "name",
    ["gas.laminate.trapped", "rigs.pinhole.2", "holes.hole.0.5 mm drill.bore", "pvc-foam.density"],
)
def test_a_number_is_moved_in_a_copy_and_nothing_else_is(name):
    number = named(name)[0]
    before = data.table(number.file)
    with putting(moved_to(number, number.number.ends[1])):
        there = {each.name: each.number for each in every_number()}
    here = {each.name: each.number for each in every_number()}
    assert data.table(number.file) is before
    changed = [each for each in here if here[each] != there[each]]
    assert changed == [number.name]
    assert there[number.name].value == number.number.ends[1]


def test_the_parts_of_a_resin_still_make_one_where_a_share_is_moved():
    for part in ("methyl-methacrylate", "styrene", "prepolymer"):
        (share,) = named(f"mma-polyester.part.{part}.fraction")
        for end in share.number.ends:
            with putting(moved_to(share, end)):
                parts = catalogue.resin("mma-polyester").part
            assert sum(p.fraction.si for p in parts) == pytest.approx(1.0, abs=1e-12)
            assert end in [p.fraction.value for p in parts]
