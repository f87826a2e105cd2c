"""Could it have been gas? Each cause by hand, and where the physics shuts it out."""

import itertools
import math

import numpy as np
import pytest
from white_laminates import EP, PREPREG, SHOP, UP, VE, gate, inspected, p, said, why

import outgas
from outgas.diagnosis.gas import air_alone, gas_of
from outgas.diagnosis.gas_causes import chance_it_boils
from outgas.tables import catalogue
from outgas.window.window import window_of


def test_a_deeper_bag_never_speaks_less_for_boiling_or_for_dissolved_air():
    odds = {"resin-boiling": [], "dissolved-air": []}
    for mbar in (10, 20, 40, 80, 160, 320, 640):
        got = why(bag_pressure=f"{mbar} mbar", reads_with="sensor 2 mbar")
        for name, found in odds.items():
            found.append(p(got, name) / p(got, "dry-fibre"))
    for found in odds.values():
        assert all(a >= b for a, b in itertools.pairwise(found))
        assert found[0] > found[-1]


def test_dissolved_air_follows_the_gas_that_is_freed():
    open_air, pot, spent = (
        why(bag_pressure="300 mbar", air_pressure=left, reads_with="sensor 1 mbar")
        for left in ("990 mbar", "400 mbar", "60 mbar")
    )
    assert p(open_air, "dissolved-air") > p(pot, "dissolved-air") > p(spent, "dissolved-air")
    assert open_air.cause("dissolved-air").void[1] > pot.cause("dissolved-air").void[1]
    assert spent.cause("dissolved-air").void == (0.0, 0.0)
    assert "stays dissolved" in " ".join(spent.cause("dissolved-air").evidence_against)


def test_the_void_predicted_for_dissolved_air_is_what_henry_frees_up_to_what_connects():
    """By hand: L (p_air / p - 1), of which no more than the trapped share of the space stays."""
    given = {"air_pressure": "900 mbar", "reads_with": "sensor 0 mbar", "connected": "100 %"}
    resin, S = 1.0 - 0.45, catalogue.gas().laminate.trapped.si
    stays = S / (1.0 - S) * resin
    deep = why(bag_pressure="200 mbar", **given).cause("dissolved-air").void
    assert deep == pytest.approx((stays / (1.0 + stays),) * 2)
    shut = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
    freed = outgas.resin(UP).air_solubility.si * (900.0 / 200.0 - 1.0)
    all_of_it = why(bag_pressure="200 mbar", layup=shut, **given).cause("dissolved-air").void[0]
    assert all_of_it == pytest.approx(freed * resin / (1.0 + freed * resin), rel=0.15)
    assert all_of_it > 4.0 * deep[0]


def test_a_debulk_leaves_the_air_little_to_come_out_of():
    given = {"bag": "450 mbar"}
    straight, after = (
        gate("dissolved-air", **given),
        gate("dissolved-air", seen={"debulk": "yes"}, **given),
    )
    assert straight.void[1] > 0.02
    assert after.void == (0.0, 0.0)
    assert after.room < 0.2 * straight.room
    assert "what the debulk left of the air stays dissolved" in said(after.cons)
    assert "after its debulk" in said([after.acts])
    assert "after its debulk" not in said([straight.acts])


def test_where_air_shows_and_where_it_makes_the_target_are_the_limits_of_the_balance():
    acts = said([gate("dissolved-air", bag="300 mbar").acts])
    assert f"makes 2% of voids below {nominal()} mbar" in acts
    told = said([gate("dissolved-air", bag="300 mbar", void_target="3 %").acts])
    assert f"makes 3% of voids below {nominal(void_target='3 %')} mbar" in told


def nominal(**target):
    """Return the air's limit straight to the cure in whole mbar, the resin as thin as is usual."""
    advised = outgas.advise(UP, outgas.Shop(**SHOP), no_debulk=True, **target).behind.window
    window = window_of(advised.job, advised.case.but(hold_s=advised.case.hold_s))
    return math.ceil(window.limits.nominal["air"] / 100.0)


def test_moisture_needs_humidity_a_cold_table_wood_or_damp_cloth():
    def at(seen=None, rh="20 %", **rest):
        shop = {"temperature": "24 degC", "humidity": rh, **rest.pop("shop", {})}
        return p(why(EP, seen, shop, bag_pressure="50 mbar", **rest), "moisture")

    dry = at({"cloth store": "dry and wrapped"})
    assert dry == 0.0
    assert 0.0 < at() < at(rh="50 %") < at(rh="80 %")
    cold = {"tool_temperature": "18 degC"}
    assert at(rh="60 %", shop=cold) > at(rh="60 %")
    assert at({"cloth store": "damp"}) > at({"cloth store": "lay open"})
    assert at({"tool": "colder than the air"}, rh="60 %") > at(
        {"tool": "as warm as the air"}, rh="60 %"
    )
    assert at({"core kind": "balsa"}) > at({"core kind": "foam"})
    wood = outgas.Layup(core="12 mm balsa")
    foam = outgas.Layup(core="12 mm PVC foam")
    assert at(layup=wood) > at(layup=foam)


def test_the_orderings_that_were_measured_on_laminates():
    """Wier and others 1951: clear at 71 degC, not at 104 and 121. Grunenfelder and Nutt 2010."""

    def water(hottest, rh="90 %", resin=UP, **rest):
        shop = {"temperature": "25 degC", "humidity": rh}
        seen = {"cloth store": "lay open"}
        got = why(resin, seen, shop, bag_pressure="1000 mbar", hottest=hottest, **rest)
        return got.cause("moisture").void[1]

    closed = {"layup": outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["caul"])}
    assert water("104 degC", **closed) == water("121 degC", **closed) == 1.0  # froths, shut in
    assert 1.5 * water("71 degC") < water("104 degC") <= water("121 degC") < 0.1  # a way out
    trapped = catalogue.gas().laminate.trapped.high_si
    assert water("71 degC") < trapped / 2.0

    prepreg = "out-of-autoclave-epoxy-prepreg"
    voids = []
    for rh in ("10 %", "30 %", "45 %", "90 %"):
        shop = {"temperature": "22 degC", "humidity": rh}
        got = why(prepreg, {"cloth store": "lay open"}, shop, process="prepreg")
        voids.append(got.cause("moisture").void[1])
    assert voids == sorted(voids)
    assert voids[0] < 0.01
    assert voids[-1] == 1.0
    squeezed = why(
        prepreg,
        {"cloth store": "lay open"},
        {"temperature": "22 degC", "humidity": "90 %"},
        process="prepreg",
        rig=outgas.Rig(autoclave="5 bar"),
    )
    assert squeezed.cause("moisture").void[1] < 0.01


def test_polyester_gives_less_peroxide_gas_than_vinyl_ester():
    seen = {"cup": "foamed", "initiator": "ordinary ketone peroxide"}
    assert p(why(UP, seen), "peroxide-gas") < p(why(VE, seen), "peroxide-gas")


def test_the_oxygen_of_the_peroxide_is_what_the_chemistry_gives():
    """Two per cent of free hydrogen peroxide in the initiator, half an oxygen from each."""
    record, table = outgas.resin(VE), catalogue.gas().initiator["ordinary"]
    moles = record.density.si * record.initiator_level.si * 0.02 / 34.015e-3
    oxygen = moles / 2.0 * 8.314462618 * 295.15 / 101325.0
    assert table.gas.low_si < 0.7 * oxygen < oxygen < table.gas.high_si
    acts = said([gate("peroxide-gas", VE, bag="900 mbar").acts])
    assert f"can free {table.gas.si:.2g} times the resin's volume" in acts
    assert "far less in this resin" in said([gate("peroxide-gas", UP).acts])


def test_a_low_gas_initiator_leaves_peroxide_a_trace():
    trace = catalogue.signs().weight.ruled_out.si
    for given in ({"low_gas_initiator": True}, {}):
        found = gate("peroxide-gas", VE, **given)
        assert (found.room == trace) is bool(given)
        assert ("low-gas" in said(found.cons)) is bool(given)
    told = why(VE, {"initiator": "low hydrogen peroxide"}, bag_pressure="500 mbar")
    assert "low-gas" in " ".join(told.cause("peroxide-gas").evidence_against)


def test_a_trace_of_acetone_given_as_a_contaminant_counts_as_seen():
    clean = why(bag_pressure="60 mbar", air_pressure="20 mbar")
    dirty = why(bag_pressure="60 mbar", air_pressure="20 mbar", contaminants={"acetone": "2 %"})
    assert p(dirty, "cleaner-residue") > 3.0 * p(clean, "cleaner-residue")
    assert "acetone" in dirty.cause("cleaner-residue").evidence_for[0]


def test_the_predicted_bubbles_are_where_the_bubble_kernel_ends():
    """The balance and its bubbles per volume, against growth in time at the same nuclei."""
    shut = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
    here = inspected(UP, bag="300 mbar", entrained=0.0, layup=shut)
    alone = air_alone(here.course)
    held = alone.outcome(300e2)
    _, radius = gas_of(here, held)
    T, nuclei = SHOP["temperature"], float(held.nuclei)
    grown = outgas.bubble_growth(
        UP, "12 um", ["0 min", "0.02 min", "30 min"], T, ["1011 mbar", "300 mbar", "300 mbar"],
        entrained=nuclei * 4.0 / 3.0 * np.pi * (12e-6) ** 3, water_activity=0.3,
    )  # fmt: skip
    assert float(radius) == pytest.approx(float(grown.radius.m[-1, 0]), rel=0.1)


def test_at_its_own_vapour_pressure_it_is_as_likely_to_have_boiled_as_not():
    """And a standard deviation under the upper end: 1.96 of them are its 95 % end, 1 is 84 %."""
    hot = inspected()
    p_v, spread = hot.hot.nominal, math.log(hot.upper_Pa / hot.hot.nominal) / 1.959964
    for steps, chance in ((0.0, 0.5), (1.0, 0.1587), (-1.0, 0.8413), (8.0, 0.0)):
        pressure = p_v * math.exp(steps * spread)
        found = chance_it_boils(inspected(bag=outgas.Quantity(pressure, "Pa")))
        assert found == pytest.approx(chance, abs=2e-4)


def test_boiling_keeps_a_trace_until_its_vapours_are_too_small_a_share():
    least = inspected().least_Pa
    trace = catalogue.signs().weight.ruled_out.si
    just, over = (gate("resin-boiling", bag=outgas.Quantity(least * x, "Pa")) for x in (0.99, 1.01))
    assert just.room == pytest.approx(trace)
    assert over.room == 0.0
    assert "well above" in said(over.cons)
    assert gate("resin-boiling", bag="5 mbar").room == pytest.approx(1.0, abs=1e-3)
    assert "100% chance" in said(gate("resin-boiling", bag="5 mbar").pros)


def test_prepreg_may_hold_little_dissolved_air_and_says_so():
    found = gate("dissolved-air", PREPREG, bag=None, process="prepreg")
    assert found.room <= catalogue.signs().gate.unknown.si
    assert "holds little" in said(found.cons)


def test_what_dissolved_air_frees_at_the_bags_pressure_is_said_by_volume():
    """By hand: L (p_air / p - 1) of its own volume."""
    got = gate("dissolved-air", bag="50 mbar", air_pressure="900 mbar")
    L = outgas.resin(UP).air_solubility.si
    assert f"frees {L * (900.0 / 50.0 - 1.0):.2g} times its own volume" in said(got.pros)
    assert got.room > 0.5


def test_trapped_air_swells_by_boyle_and_the_clamp_moves_it():
    got = gate("entrained-air", bag="253.3125 mbar", entrained="0.4 %")
    dry = 1.0 - outgas.bubble_pressure(UP, "22 degC", water_activity=0.31).m_as("atm")
    swollen = 4.0 * 0.004 * dry * (1.0 - 0.45)  # a quarter of the standard atmosphere
    assert got.void == pytest.approx((swollen / (1.0 + swollen),) * 2, rel=1e-3)
    radius = catalogue.gas().laminate.entrained_radius
    grown = (4.0 * dry) ** (1 / 3)
    assert got.radius == pytest.approx((radius.low_si * grown, radius.high_si * grown), rel=1e-3)
    # a clamp as large as the process needs (340 mbar) leaves half of the room
    assert gate("entrained-air", bag="673.25 mbar").room == pytest.approx(0.5)
    assert gate("entrained-air", bag="333.25 mbar").room == pytest.approx(1.0 / 3.0)
    assert "moves little air" in said(gate("entrained-air", bag="700 mbar").pros)
    assert "moves most of it" in said(gate("entrained-air", bag="100 mbar").cons)


def test_damp_cloth_pushes_with_the_whole_of_waters_pressure():
    pure = outgas.vapour_pressure("water", "40 degC").m_as("mbar")
    got = gate("moisture", seen={"cloth store": "damp"}, hottest="40 degC", bag="60 mbar")
    assert f"its water pushes {math.ceil(pure)} mbar" in said(got.pros)
    S = catalogue.gas().laminate.trapped.si / (1.0 - catalogue.gas().laminate.trapped.si) * 0.55
    assert got.void[0] > S / (1.0 + S)  # 60 mbar is under water's 74: more than what is trapped
    weaker = gate("moisture", seen={"cloth store": "damp"}, hottest="40 degC")
    assert weaker.void[1] == pytest.approx(pure / 100.0 * S, rel=0.05)  # its share of each bubble
    shut = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
    third = catalogue.practice().margins.vapour_share.si
    assert f"is {third:.0%} of every bubble at" in said([got.acts])
    high = outgas.vapour_pressure("water", "40 degC").m_as("mbar") / third
    assert f"at {math.ceil(high)} mbar" in said([got.acts])
    froth = {"seen": {"cloth store": "damp"}, "hottest": "40 degC", "bag": "60 mbar"}
    assert gate("moisture", layup=shut, **froth).void == (1.0, 1.0)
    dry = gate("moisture", seen={"cloth store": "dry and wrapped"}, shop={"humidity": "30 %"})
    assert dry.room == 0.0
    assert "dry" in said(dry.cons)


def test_cleaner_nobody_spoke_of_is_less_likely_by_the_tables_share():
    unsaid, wet, none = (
        gate("cleaner-residue", seen=seen, bag="60 mbar", air_pressure="20 mbar")
        for seen in (None, {"cleaner": "still wet"}, {"cleaner": "none"})
    )
    share = catalogue.signs().gate.unsaid_cleaner.si
    assert 0.0 < unsaid.room == pytest.approx(share * wet.room)
    assert none.room == 0.0
    assert "acetone" in said(wet.pros)
    assert not unsaid.pros


def test_peroxide_gas_needs_peroxide_and_cobalt_and_goes_with_one_over_the_pressure():
    assert gate("peroxide-gas", EP).room == 0.0
    shut = {"layup": outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])}
    deep, weak = (
        gate("peroxide-gas", VE, bag=f"{mbar} mbar", **shut).void[0] for mbar in (200, 800)
    )

    def volume(void):
        return void / (1.0 - void)

    assert volume(deep) == pytest.approx(4.0 * volume(weak))


def test_boiling_makes_more_than_is_trapped_and_a_froth_where_nothing_leaves():
    table = catalogue.gas().laminate
    S = table.trapped.si
    most = (S + table.boiling_extra.si) / (1.0 - S - table.boiling_extra.si) * 0.55
    low, high = gate("resin-boiling", bag="5 mbar").void
    assert low < high <= most / (1.0 + most)
    assert high > 1.5 * low
    shut = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
    assert gate("resin-boiling", bag="5 mbar", layup=shut).void[1] == 1.0
