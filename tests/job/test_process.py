"""Processes are records of facts: a new one is a row of a table, and gets an advice and a plan."""

import shutil
from pathlib import Path

import pytest

import outgas
from outgas.errors import InputError, UnknownNameError
from outgas.job.process import pressing, process_of, processes, read_process
from outgas.tables import data

ROW = """
[process.squeegee-bag]
title = "squeegee and bag"
like = "wet layup"
open_to_air = true
bagged = true
debulk = true
bag_side = ["peel-ply", "breather"]
path = "open"
fibre_fraction = { value = 0.45, unit = "1", u95 = 0.1, source = "estimate", how = "estimate" }
clamp = { value = 250.0, unit = "mbar", u95 = 50.0, source = "estimate", how = "estimate" }
"""
SHOP = outgas.Shop(temperature="22 degC", humidity="50 %")


@pytest.fixture
def shop_of_its_own(tmp_path):
    root = tmp_path / "data"
    shutil.copytree(Path(str(data.root())), root)
    practice = root / "practice.toml"
    practice.write_text(practice.read_text(encoding="utf-8") + ROW, encoding="utf-8")
    with data.reading_from(root):
        yield


def test_a_made_up_process_gets_an_advice_and_a_plan(shop_of_its_own):
    assert "squeegee bag" in processes()
    given = dict(process="squeegee-bag", air_pressure="600 mbar")
    advice = outgas.advise("orthophthalic-polyester", SHOP, **given)
    like = outgas.advise("orthophthalic-polyester", SHOP, air_pressure="600 mbar")
    assert advice.process == "squeegee bag"
    assert advice.limits_Pa["vapour"] == like.limits_Pa["vapour"]
    # its own facts: less clamp is enough, so the bag may be weaker
    assert advice.shallowest_Pa == pytest.approx(advice.barometer_Pa - 25000.0)
    assert like.shallowest_Pa < advice.shallowest_Pa
    assert "pull to" in advice.to_text(full=True)
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    plan = outgas.schedule("orthophthalic-polyester", SHOP, layup=layup, **given)
    assert plan.stage("debulk").setpoint_Pa > 0.0
    found = outgas.diagnose("orthophthalic-polyester", SHOP, process="squeegee bag")
    assert found.leading.title


def test_the_shipped_tables_are_back_afterwards():
    assert "squeegee bag" not in processes()
    with pytest.raises(UnknownNameError, match="no process is called"):
        outgas.advise("orthophthalic-polyester", SHOP, process="squeegee bag")


def test_a_name_is_read_whatever_its_hyphens_and_case():
    assert read_process("Wet-Layup") is process_of("wet layup")
    with pytest.raises(InputError, match="it is one of"):
        read_process(3)


def test_what_each_process_is_like_fits_together():
    for name in processes():
        p = process_of(name)
        assert p.name == name
        assert p.told_like == name
        assert p.bagged + p.pressed + p.pot == 1, name  # one thing holds it
        assert not (p.open_to_air and p.filled), name
        assert p.bag_sets_resin == (name not in ("prepreg", "pressing"))
        assert p.mixed == (name not in ("prepreg", "degassing"))
        assert p.wet_bag == (name in ("wet layup", "infusion", "core bonding"))
    assert pressing().name == "pressing"


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("wet lay-up", "wet layup"),
        ("Wet Layups", "wet layup"),
        ("wet lay-ups", "wet layup"),
        ("hand lay-up", "wet layup"),
        ("vacuum infusion", "infusion"),
        ("resin infusions", "infusion"),
        ("pre-preg", "prepreg"),
        ("core_bonding", "core bonding"),
    ],
)
def test_a_process_is_known_by_what_shops_call_it(said, name):
    assert read_process(said).name == name


# What a process is, by common practice (no source): which of them it is true of.
FACTS = {
    "open_to_air": ("wet layup", "core bonding", "pressing"),  # spread by hand in the shop's air
    "debulk": ("wet layup", "core bonding"),  # pulled deep while thin, then let up
    "bagged": ("wet layup", "infusion", "prepreg", "core bonding"),
    "pot": ("degassing",),
    "pressed": ("pressing",),
    "filled": ("infusion",),  # the vacuum draws the resin in
    "preimpregnated": ("prepreg",),
    "gas_leaves": ("prepreg", "degassing"),  # it is meant to: no gas limits the vacuum
    "soft_core": ("wet layup", "infusion", "core bonding"),  # held by the bag's clamp alone
    "putty": ("core bonding",),
    "bonds_core": ("core bonding",),
}
PATHS = {  # how freed gas gets out while the resin is thin
    "wet layup": "open", "infusion": "open", "degassing": "open",
    "core bonding": "core",  # by the core's own holes or scores alone
    "prepreg": "shut", "pressing": "shut",
}  # fmt: skip


@pytest.mark.parametrize("fact", sorted(FACTS))
def test_what_is_true_of_each_process(fact):
    assert {n for n in processes() if getattr(process_of(n), fact)} == set(FACTS[fact])


def test_how_gas_gets_out_of_each_process():
    assert {name: process_of(name).path for name in processes()} == PATHS


def test_every_fact_of_a_process_is_asked_here():
    told = set(process_of("wet layup").__struct_fields__)
    yes_or_no = {f for f in told if isinstance(getattr(process_of("wet layup"), f), bool)}
    assert yes_or_no <= set(FACTS), yes_or_no - set(FACTS)
