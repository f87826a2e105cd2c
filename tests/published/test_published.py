"""Compare outgas with outside sources, and guard the comparison itself."""

import collections
import importlib
import tomllib
from pathlib import Path

import pytest
from checks import Check

from outgas.tables import catalogue
from outgas.tables.materials import Resin
from outgas.tables.number import Number
from outgas.tables.volatiles import Volatile

CHECKS: list[Check] = [
    check
    for path in sorted(Path(__file__).parent.glob("checks*.py"))
    for check in importlib.import_module(path.stem).CHECKS
]
FOUND = [
    (key, source)
    for path in sorted(Path(__file__).parent.glob("sources*.toml"))
    for key, source in tomllib.loads(path.read_text(encoding="utf-8")).items()
]
SOURCES = dict(FOUND)
MOST_PER_SOURCE = 12
LEAST_CHECKS, LEAST_SOURCES, LEAST_THROUGH_ANSWERS = 60, 8, 40


@pytest.mark.published
@pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize("check", CHECKS, ids=lambda c: f"{c.source}: {c.name}")
def test_outgas_agrees_with(check: Check):
    got = check.got()
    assert check.agrees(got), f"{got:.6g}, {check.side} {check.expected():.6g}: {check.why}"


def data_keys(name: str) -> set[str]:
    """Return the source keys of everything a volatile's or resin's record stands on."""
    known = set(catalogue.volatiles())
    record: Volatile | Resin = catalogue.volatile(name) if name in known else catalogue.resin(name)
    keys: set[str] = set()

    def walk(node: object) -> None:
        for field in node.__struct_fields__:  # type: ignore[attr-defined]
            value = getattr(node, field)
            for item in value if isinstance(value, tuple) else (value,):
                if isinstance(item, Number):
                    keys.add(item.source)
                elif hasattr(item, "__struct_fields__"):
                    if hasattr(item, "source"):
                        keys.add(item.source)
                    walk(item)

    walk(record)
    return keys


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: f"{c.source}: {c.name}")
def test_no_check_compares_a_datum_with_its_own_source(check: Check):
    for name in check.uses:
        assert check.source not in data_keys(name)


def test_the_guard_sees_the_source_that_styrene_is_fitted_to():
    assert "vdi-heat-atlas" in data_keys("styrene")
    assert "polyester-data-sheets" in data_keys("orthophthalic-polyester")


def test_there_are_enough_checks_and_none_leans_on_one_source():
    per_source = collections.Counter(check.source for check in CHECKS)
    assert len(CHECKS) >= LEAST_CHECKS
    assert len(per_source) >= LEAST_SOURCES
    assert max(per_source.values()) <= MOST_PER_SOURCE
    assert len({(check.source, check.name) for check in CHECKS}) == len(CHECKS)


def test_enough_checks_go_through_an_answer_and_those_of_every_kind():
    answers = collections.Counter(check.answer for check in CHECKS if check.answer)
    assert answers.total() >= LEAST_THROUGH_ANSWERS
    assert set(answers) == {"advise", "schedule", "diagnose", "voids"}


def test_a_one_sided_check_asks_for_its_margin_on_its_own_side():
    def check(side, margin):
        return Check("x", "y", lambda: 1.1, lambda: 1.0, margin, "", (), side)

    assert check("at least", 0.05).agrees()
    assert not check("at least", 0.2).agrees()
    assert not check("at most", 0.0).agrees()
    assert check("at most", 0.0).agrees(0.9)
    assert not check("both", 0.05).agrees()


def test_a_paper_stands_under_one_key():
    assert len(SOURCES) == len(FOUND)
    papers = [(s["author"], s["year"]) for s in SOURCES.values() if s["year"] and s["author"]]
    assert [paper for paper, n in collections.Counter(papers).items() if n > 1] == []


def test_no_check_of_the_diagnosis_comes_from_a_paper_that_its_weights_cite():
    weighed = repr(catalogue.signs())
    told = {check.source for check in CHECKS if check.answer == "diagnose"}
    assert told
    assert "naca-1951" in weighed
    assert not any(repr(source) in weighed for source in told)


def test_every_check_names_a_described_source_and_every_source_is_used():
    assert {check.source for check in CHECKS} == set(SOURCES)
    for key, source in SOURCES.items():
        assert source["how"] in ("read", "library", "memory"), key
        assert source["author"], key
        assert source["title"], key
