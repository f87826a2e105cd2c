"""What each number of the tables moves: the order that advise gives, and the rules of a ranking."""

import copy
import json
import threading

import pytest

import outgas
from outgas.cli.main import LAZY_COMMANDS
from outgas.errors import InputError, RefusedError
from outgas.many.every_number import every_number, moved_to, named
from outgas.many.sources import READ_BY
from outgas.many.weakest import STANDARD, _Base, window_of_told
from outgas.tables import catalogue, data
from outgas.tables.data import putting
from outgas.window.window import NUMBER_NAMES

UP = "orthophthalic-polyester"
SHOP = {"temperature": "22 degC", "humidity": "50 %"}
# Which number of the tables each number of the gas is, in words as advise names it.
GAS = {
    "gas.laminate.trapped": "trapped",
    "gas.laminate.connected": "connected",
    "gas.laminate.boiling_extra": "boiling_extra",
    "gas.laminate.entrained_radius": "entrained_radius_m",
    "gas.laminate.spacing": "spacing_m",
    "gas.laminate.exponent": "exponent",
    "practice.margins.entrained": "entrained",
    f"resins.{UP}.air_solubility": "solubility",
}
DIFFUSIVITY = {"transport.polyester.air_diffusivity": "diffusivity_m2_s"}
MOST = {"gas.laminate.connected": 100.0}  # of what cannot be more than all


def shop():
    return outgas.Shop(**SHOP)


def ranked(found, names):
    return [m.of.name for m in found.numbers if m.of.name in names]


def test_the_first_numbers_of_the_gas_are_those_that_advise_names_and_by_as_much():
    advice = outgas.advise(UP, shop())
    found = outgas.weakest(UP, shop())
    first = [m for m in found.numbers if m.of.name in {**GAS, **DIFFUSIVITY}][:2]
    names = [NUMBER_NAMES[{**GAS, **DIFFUSIVITY}[m.of.name]] for m in first]
    assert names == [name for name, _, _ in advice.weakest_numbers]
    for moved, (_, band, adds) in zip(first, advice.weakest_numbers, strict=True):
        # by both ends of the hold where advise names them at its worse one
        assert moved.deepest_Pa == pytest.approx(adds, rel=0.02)
        assert moved.of.number.low_si == pytest.approx(band.low)


@pytest.mark.parametrize("told", [{}, {"process": "infusion"}, {"resin": "epoxy-laminating"}])
def test_the_numbers_of_the_gas_are_ranked_as_the_limits_own_rule_ranks_them(told):
    asked = {**STANDARD, **told}
    moved = window_of_told(asked).limits.moved
    names = {key.replace(UP, asked["resin"]): name for key, name in GAS.items()}
    ours = ranked(outgas.weakest(**told), names)
    assert len(ours) >= 3
    theirs = [moved[names[each]] for each in ours]
    assert theirs == sorted(theirs, reverse=True)


@pytest.mark.parametrize("told", [{}, {"ply": ["2 x 400 g/m2 woven glass"], "area": "0.5 m2"}])
def test_what_no_limit_rests_on_moves_nothing_whatever_the_hold(told):
    """A limit by the worst of several holds is compared with itself, not with the likely hold's."""
    base = _Base.of({**STANDARD, **told})
    for name in ("practice.clock.drop_allowed", "practice.clock.thaw", "gas.pot.stirring"):
        (number,) = named(name)
        moved = base.moved(number)
        assert (moved.deepest_Pa, moved.voids) == (0.0, 0.0), name


@pytest.mark.parametrize(
    "name",
    [*GAS, *DIFFUSIVITY, "practice.margins.vapour_share", f"resins.{UP}.part.styrene.chi"],
)
def test_a_wider_range_never_lowers_a_numbers_effect(name):
    (number,) = named(name)
    low, high = number.number.ends
    table = copy.deepcopy(data.table(number.file))
    at = table
    for step in number.way:
        at = at[step]
    at.pop("u95", None)
    at["low"], at["high"] = 0.8 * low, min(1.2 * high, MOST.get(name, 1e9))

    def effects():
        asked = {**STANDARD, "bag_pressure": "240 mbar"}  # at a setpoint a wider range has its say
        moved = _Base.of(asked).moved(named(name)[0])
        return moved.deepest_Pa, moved.voids

    before = effects()
    with putting({number.file: table}):
        after = effects()
    assert after[0] >= before[0] - 0.1
    assert after[1] >= before[1] - 1e-9


def test_no_effect_is_below_nothing_and_both_orders_fall():
    found = outgas.weakest()
    deepest = [m.deepest_Pa for m in found.numbers]
    voids = [m.voids for m in found.by_voids]
    assert deepest == sorted(deepest, reverse=True)
    assert voids == sorted(voids, reverse=True)
    assert min(deepest) >= 0.0 <= min(voids)
    assert deepest[0] > 1e3
    assert voids[0] > 1e-3
    assert all(m.worse in m.of.number.ends for m in found.numbers if m.deepest_Pa)


def test_a_ranking_leaves_every_answer_as_it_was_cold_or_warm():
    before = outgas.advise(UP, shop()).to_dict()
    one = outgas.weakest(ply=["2 x 400 g/m2 woven glass"], area="0.5 m2").to_dict()
    assert outgas.advise(UP, shop()).to_dict() == before
    data._forget()  # all that was read, and all that was remembered
    assert outgas.weakest(ply=["2 x 400 g/m2 woven glass"], area="0.5 m2").to_dict() == one
    assert outgas.advise(UP, shop()).to_dict() == before


def test_what_a_layup_is_made_of_counts_where_it_is_told():
    def names(**told):
        return {m.of.name for m in outgas.weakest(**told).numbers}

    layup = names(ply=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    heat = {each for each in layup if each.startswith("practice.heat.")}
    assert "reinforcements.woven-glass.fibre_fraction" in layup
    assert heat
    assert not any("reinforcements" in each or ".heat." in each for each in names())


def test_a_weak_core_is_first_where_it_limits():
    found = outgas.weakest(core="20 mm PVC foam 40 kg/m3", barometer="1030 mbar", hottest="22 C")
    cores = [m for m in found.numbers if m.of.file == "cores.toml"]
    assert all(m.of.name.startswith("cores.pvc-foam") for m in cores)
    prepreg = outgas.weakest("out-of-autoclave-epoxy-prepreg", shop(), process="prepreg")
    assert prepreg.voids == 0.0
    assert prepreg.numbers[0].of.name.endswith("cure_temperature")


def test_voids_are_counted_at_the_bag_that_is_told():
    found = outgas.weakest(bag_pressure="240 mbar")
    assert found.at_Pa == pytest.approx(24000.0)
    assert found.voids > outgas.weakest().voids
    assert len([m for m in found.numbers if m.voids > 0.0]) > 5


def test_several_cases_and_what_is_refused_are_no_ranking():
    with pytest.raises(InputError, match="several values"):
        outgas.weakest(temperature=["20 degC", "22 degC"])
    with pytest.raises(RefusedError):
        outgas.weakest(temperature="5 degC")


def test_nobody_beside_reads_a_number_that_is_moved():
    (number,) = named("gas.laminate.trapped")
    seen = []
    with putting(moved_to(number, 12.0)):
        asked = threading.Thread(target=lambda: seen.append(catalogue.gas().laminate.trapped.value))
        asked.start()
        asked.join()
        assert catalogue.gas().laminate.trapped.value == 12.0
    assert seen == [6.0]
    assert catalogue.gas().laminate.trapped.value == 6.0


def test_a_single_number_tells_what_advise_would_say_at_its_ends():
    found = outgas.sources("gas.laminate.connected")
    deepest = next(e for e in found.effects if e.key == "deepest_Pa")
    advice = outgas.advise(UP, outgas.Shop(**SHOP, altitude="0 m"))
    assert deepest.now == pytest.approx(advice.deepest_Pa)
    assert deepest.low > deepest.now > deepest.high
    (number,) = named("gas.laminate.connected")
    with putting(moved_to(number, 40.0)):
        moved = outgas.advise(UP, outgas.Shop(**SHOP, altitude="0 m"))
    assert deepest.low == pytest.approx(moved.deepest_Pa)
    assert [e.share for e in found.effects] == sorted(e.share for e in found.effects)[::-1]


@pytest.mark.parametrize(
    ("name", "why"),
    [
        (f"{UP}.gel_time", "built anew"),
        ("volatiles.styrene.molar_mass", "built anew"),
        ("gas.pot_pressure", "one value"),
        ("observations.lag", "takes none of it"),
    ],
)
def test_what_cannot_be_moved_says_why(name, why):
    found = outgas.sources(name)
    assert found.effects is None
    assert why in str(found)


@pytest.mark.parametrize(
    ("name", "moves"),
    [
        ("reinforcements.woven-glass.fibre_fraction", "deepest_Pa"),
        ("transport.epoxy.air_diffusivity", "deepest_Pa"),
        ("practice.process.infusion.fibre_fraction", "deepest_Pa"),
        ("practice.process.core-bonding.clamp", "shallowest_Pa"),
        ("practice.gas.debulk_pressure", "debulk_hold_Pa"),
        ("practice.reading.dial", "setpoint_Pa"),
        ("epoxy-laminating.air_solubility", "deepest_Pa"),
    ],
)
def test_a_number_is_moved_in_a_case_that_has_it(name, moves):
    found = outgas.sources(name)
    assert moves in [e.key for e in found.effects]


def test_every_table_says_which_answers_read_it_and_they_are_commands():
    tables = {each.name.partition(".")[0] for each in every_number()}
    assert {key.partition(".")[0] for key in READ_BY} == tables
    for commands in READ_BY.values():
        assert {command.split()[0] for command in commands} <= set(LAZY_COMMANDS)


def test_both_answers_are_dicts_and_words():
    for answer in (outgas.weakest(), outgas.sources("gas"), outgas.sources("gas.laminate.trapped")):
        told = json.loads(answer.to_json())
        assert told["version"] == 1
        assert told["numbers"][0]["how"] in outgas.sources().grades
        assert answer.to_text(full=True)
    assert len(outgas.weakest().to_text().splitlines()) <= 14


def test_a_unit_of_the_table_stands_in_every_system():
    us = outgas.sources("prepreg.drying").to_text(units="us")
    assert "2817 (2500 to 3600) [K]" in us
    assert "1 (0.5 to 2) [mm]" in us
