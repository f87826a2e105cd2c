"""The tables about rigs, holes and observations hold together."""

import msgspec
import pytest

from outgas.errors import DataError
from outgas.tables import (
    catalogue,
    causes,
    cure,
    data,
    gear,
    materials,
    number,
    observations,
    practice,
    questions,
)
from outgas.tables.gear import Pump


def test_every_table_converts_and_is_checked():
    assert catalogue.evidence().look
    assert len(catalogue.holes()) > 30
    assert catalogue.rigs().weight
    for name in data.table("pumps.toml"):
        assert catalogue.by_words(Pump, "kind of pump", "pumps.toml", name).words


def test_every_look_says_what_it_needs_and_how_it_misleads():
    for name, look in catalogue.evidence().look.items():
        assert look.recipe, name
        assert look.needs, name
        assert look.misleads, name
        assert 60.0 <= look.minutes.si <= 3600.0, name


def test_water_recipes_never_name_another_liquid_to_boil():
    for name in ("vial", "thermometer"):
        assert any("water only" in step for step in catalogue.evidence().look[name].recipe)


def test_no_kind_of_pump_is_called_by_another_ones_words():
    seen = {}
    for name, raw in data.table("pumps.toml").items():
        for word in raw["words"]:
            assert seen.setdefault(word, name) == name


def test_holes_are_in_order_and_needles_have_a_length():
    drills = [h.bore.si for h in catalogue.holes() if h.kind == "drill"]
    assert drills == sorted(drills)
    for hole in catalogue.holes():
        assert (hole.length is None) == (hole.kind == "drill")


def test_rules_say_less_for_a_process_that_needs_more():
    rules = catalogue.rigs().leak_rule
    assert rules["infusion"].rule_rise.si < rules["wet-layup"].rule_rise.si
    assert set(rules) == {"infusion", "prepreg", "wet-layup", "core-bonding", "degassing"}


def test_every_number_of_a_record_says_its_unit_and_what_is_plausible_in_it():
    records = (materials, practice, cure, gear, observations, questions, causes)
    kinds = [k for module in records for k in vars(module).values() if isinstance(k, type)]
    marked = 0
    for kind in kinds:
        if not issubclass(kind, msgspec.Struct) or kind is number.Number:
            continue
        marks = number.plausible(kind)
        for field in msgspec.structs.fields(kind):
            if "Number" in str(field.type):
                assert marks[field.name].unit in {si for si, _, _ in number.UNITS.values()}, field
                assert marks[field.name].low < marks[field.name].high, field
                marked += 1
    assert marked > 200


def test_a_broken_table_names_file_and_field(monkeypatch):
    broken = {**data.table("observations.toml"), "mistake": {"value": 3.0}}
    monkeypatch.setattr(catalogue, "table", lambda file: broken)
    catalogue.evidence.cache_clear()
    with pytest.raises(DataError, match=r"observations\.toml"):
        catalogue.evidence()
    monkeypatch.undo()
    catalogue.evidence.cache_clear()
