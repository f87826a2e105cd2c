"""A case is its liquid with warmth and gas; moving one input keeps the rest."""

import dataclasses
from types import SimpleNamespace

import pytest

import outgas
from outgas.job.degassed import Degassed
from outgas.job.process import process_of
from outgas.laminate.case import Case, Hottest, degassed
from outgas.laminate.liquid import Liquid
from outgas.physics.chance import Band

LIQUID = Liquid(
    resin=outgas.resin("orthophthalic-polyester"),
    process=process_of("wet layup"),
    shop_K=294.0,
    tool_K=297.0,
    humidity=0.55,
    barometer_Pa=99000.0,
    given_water=0.3,
    contaminants=(),
    core=None,
    k=1.3,
)
GAS = {
    "entrained": Band(0.005, 0.001, 0.02),
    "dissolved_Pa": Band(9e4, 8e4, 9.9e4),
    "trapped": Band.exact(0.06),
    "connected": Band(0.8, 0.4, 1.0),
    "path_open": True,
    "low_gas": False,
    "early_s": 600.0,
    "hold_s": 1200.0,
    "cup_s": 480.0,
    "fibre_fraction": 0.45,
    "thickness_m": 1e-3,
    "finish": "structural",
    "void_target": 0.02,
    "vapour_share": 0.4,
}


def case(warming=None):
    return Case.of(LIQUID, hottest=Hottest(310.0, 315.0, "as told", warming), **GAS)


def test_a_case_has_every_field_of_its_liquid_and_what_was_added():
    made = case()
    for field in dataclasses.fields(Liquid):
        assert getattr(made, field.name) == getattr(LIQUID, field.name), field.name
    for name, value in GAS.items():
        assert getattr(made, name) == value
    assert made.base_K == 297.0


def test_the_hot_side_is_not_the_likely_one():
    made = case()
    assert (made.hottest_K, made.hottest_high_K) == (310.0, 315.0)


def test_the_early_warmth_is_that_of_the_heat_run_and_nothing_without_one():
    assert case().hottest.early_K == 0.0
    assert case(SimpleNamespace(early_K=305.0)).hottest.early_K == 305.0
    assert case().early_K == 297.0  # the tool is the warmest now
    assert case(SimpleNamespace(early_K=305.0)).early_K == 305.0


def test_a_pot_moves_the_air_alone():
    made = case()
    after = degassed(made, Degassed(9000.0, Band.exact(600.0), True))
    assert after.dissolved_Pa.high < made.dissolved_Pa.nominal
    assert after.but(dissolved_Pa=made.dissolved_Pa) == made


def test_but_moves_one_input_and_leaves_the_old_case():
    made = case()
    moved = made.but(humidity=0.8)
    assert (moved.humidity, made.humidity) == (0.8, 0.55)
    assert moved.but(humidity=0.55) == made
    with pytest.raises(TypeError):
        made.but(damp=0.8)


def test_at_a_known_temperature_both_sides_are_it_and_the_telling_stays():
    run = SimpleNamespace(early_K=305.0)
    at = case(run).at(330.0)
    assert (at.hottest_K, at.hottest_high_K) == (330.0, 330.0)
    assert at.hottest.text == "as told"
    assert at.hottest.early_K == 305.0
    assert at.but(hottest=case(run).hottest) == case(run)
