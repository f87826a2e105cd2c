"""Could it have been something else than gas? Each cause's bounds by hand."""

import pytest
from white_laminates import EP, PREPREG, UP, VE, gate, said, why

import outgas
from outgas.tables import catalogue


def test_a_sweep_strips_what_the_vapour_pressure_carries():
    got = why(bag_pressure="200 mbar")
    styrene = outgas.partial_pressures(UP, "22 degC")["styrene"].m_as("Pa")
    grams = styrene * 104.15 / (8.314462618 * 295.15)
    assert f"takes {grams:.0f} g of monomer" in got.cause("stripped").acts


def figures():
    return catalogue.signs().gate


def test_a_bag_at_the_leaky_pressure_is_half_as_likely_to_leak():
    half = figures().leaky.si
    at, deep = (gate("leak", bag=outgas.Quantity(p, "Pa")) for p in (half, half / 3.0))
    assert at.room == pytest.approx(0.5)
    assert deep.room == pytest.approx(0.25)
    assert "leaks little" in said(deep.cons)
    assert not at.cons
    assert gate("leak", process="pressing").room == 0.0


def test_resin_is_squeezed_out_by_clamp_and_only_where_it_can_leave():
    # wet layup needs 340 mbar of clamp: as much leaves half of the room, 680 two thirds
    assert gate("starved", bag="673.25 mbar").room == pytest.approx(0.5)
    assert gate("starved", bag="333.25 mbar").room == pytest.approx(2.0 / 3.0)
    assert gate("starved", process="pressing").room == pytest.approx(0.5)
    assert "squeezes little" in said(gate("starved", bag="950 mbar").cons)
    assert not gate("starved", bag="800 mbar").cons


def test_where_the_bag_side_is_shut_hardly_any_resin_is_squeezed_out():
    shut = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
    found = gate("starved", layup=shut)
    assert found.room == catalogue.signs().weight.ruled_out.si
    assert "nothing on the bag side" in said(found.cons)
    soaked = gate("starved", layup=shut, seen={"bleed": "soaked through"})
    assert soaked.room > 0.5


def test_fibre_that_stayed_dry_has_no_number_against_it():
    for bag in ("5 mbar", "1000 mbar"):
        assert gate("dry-fibre", bag=bag).room == 1.0
    low, high = gate("dry-fibre").void
    table = catalogue.signs().cause["dry-fibre"].void
    assert (low, high) == (table.low_si, table.high_si)


def test_binder_is_left_only_in_mat_and_where_nothing_dissolves_it():
    assert gate("mat-binder", EP, {"cloth": "chopped mat"}).room == 1.0
    assert gate("mat-binder", EP).room == figures().unknown.si
    assert gate("mat-binder", EP, {"cloth": "woven"}).room == 0.0
    styrene = gate("mat-binder", UP, {"cloth": "chopped mat"})
    assert styrene.room == 0.0
    assert "dissolves" in said(styrene.cons)


def test_corners_or_a_hollow_sound_make_room_for_a_bridge():
    assert gate("bridging").room == figures().unknown.si
    assert gate("bridging", seen={"where": "all over"}).room == figures().unknown.si
    for seen in ({"where": "in corners"}, {"tap": "hollow"}):
        assert gate("bridging", seen=seen).room == 1.0


def test_a_film_of_amine_comes_with_damp_and_never_less_than_where_none_was_told():
    damp = gate("blushed-surface", EP, shop={"humidity": "90 %"})
    assert damp.room == 1.0
    assert "90% humidity" in said(damp.pros)
    middle = 0.5 * (figures().dry.si + figures().damp.si)
    assert gate("blushed-surface", EP, shop={"humidity": middle}).room == pytest.approx(0.5)
    dry = gate("blushed-surface", EP, shop={"humidity": "20 %"})
    assert dry.room == figures().unknown.si
    assert gate("blushed-surface", UP).room == 1.0


def test_shrinkage_goes_by_the_family_with_polyester_as_one():
    table = catalogue.signs().shrinkage
    assert gate("shrinkage", UP).room == gate("shrinkage", VE).room == 1.0
    epoxy = gate("shrinkage", EP)
    assert epoxy.room == pytest.approx(table.epoxy.si / table.polyester.si)
    assert "shrinks little" in said(epoxy.cons)
    assert (
        gate("shrinkage", "acrylic-infusion", process="infusion").room == 1.0
    )  # more, but no more


def test_a_core_gives_gas_where_there_is_one_and_more_near_its_softening():
    foam = outgas.Layup(core="15 mm PVC foam")
    softens = foam.core.maximum_temperature.low_si
    cool, hot = (
        gate("core-gas", layup=foam, hottest=outgas.Quantity(softens + x, "K")) for x in (-1, 1)
    )
    assert cool.room == hot.room == 1.0
    assert "softens" in said(hot.pros)
    assert not cool.pros
    assert gate("core-gas").room == figures().unknown.si
    assert gate("core-gas", seen={"core kind": "none"}).room == 0.0
    assert gate("core-gas", layup=outgas.Layup(plies=["400 g/m2 woven glass"])).room == 0.0


def test_a_sweep_strips_by_the_monomers_share_of_what_leaks_through():
    """By hand: share of the gas that is monomer, halved at the table's share, times the leak."""
    monomer = outgas.partial_pressures(UP, "30 degC")["styrene"].m_as("Pa")
    share, leaky = monomer / 200e2, 200e2 / (200e2 + figures().leaky.si)
    got = gate("stripped", bag="200 mbar", hottest="30 degC")
    assert got.room == pytest.approx(share / (share + figures().swept.si) * leaky)
    assert gate("stripped", EP).room == 0.0
    assert gate("stripped", process="pressing").room == 0.0
    assert gate("stripped", PREPREG, bag=None, process="prepreg").room == 0.0


def test_only_an_infusion_has_a_front():
    assert gate("front-too-fast", process="infusion").room == 1.0
    assert gate("front-too-fast").room == 0.0
