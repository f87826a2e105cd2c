"""Could it have been gas? Each cause by hand, and where the physics shuts it out."""

import itertools
import math

import numpy as np
import pytest
from white_laminates import EP, PREPREG, SHOP, UP, VE, gate, inspected, p, said, why

import outgas
from outgas.diagnosis.gas_causes import chance_it_boils
from outgas.tables import catalogue


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
        why(bag_pressure="100 mbar", air_pressure=left, reads_with="sensor 1 mbar")
        for left in ("990 mbar", "400 mbar", "60 mbar")
    )
    assert p(open_air, "dissolved-air") > p(pot, "dissolved-air") > p(spent, "dissolved-air")
    assert open_air.cause("dissolved-air").void[1] > pot.cause("dissolved-air").void[1]
    assert spent.cause("dissolved-air").void == (0.0, 0.0)
    assert "stays dissolved" in " ".join(spent.cause("dissolved-air").evidence_against)


def test_the_void_predicted_for_dissolved_air_is_the_public_one_less_what_leaves():
    got = why(bag_pressure="200 mbar", air_pressure="900 mbar", reads_with="sensor 0 mbar")
    f = got.cause("dissolved-air").void[0]
    L = outgas.resin(UP).air_solubility.si
    freed = L * (900.0 / 200.0 - 1.0)
    kept = catalogue.practice().process["wet-layup"].gas_kept.si
    assert f == pytest.approx(kept * freed / (1.0 + kept * freed), rel=1e-9)


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

    assert 10.0 * water("71 degC") < water("104 degC") == water("121 degC") == 1.0
    assert water("71 degC") < catalogue.practice().margins.entrained.high_si * 2.0

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
    got = why(VE, {"cup": "foamed"}, bag_pressure="900 mbar", reads_with="sensor 0 mbar")
    record, gate = outgas.resin(VE), catalogue.signs().gate
    grams = record.density.si * 1e3 * record.initiator_level.si * gate.free_peroxide.si
    litres = grams / 34.015 / 2.0 * 8.314462618 * 295.15 / 90000.0
    kept = catalogue.practice().process["wet-layup"].gas_kept.si
    assert got.cause("peroxide-gas").void[0] == pytest.approx(
        kept * litres / (1.0 + kept * litres), rel=1e-9
    )


def test_a_trace_of_acetone_given_as_a_contaminant_counts_as_seen():
    clean = why(bag_pressure="60 mbar", air_pressure="20 mbar")
    dirty = why(bag_pressure="60 mbar", air_pressure="20 mbar", contaminants={"acetone": "2 %"})
    assert p(dirty, "cleaner-residue") > 3.0 * p(clean, "cleaner-residue")
    assert "acetone" in dirty.cause("cleaner-residue").evidence_for[0]


def test_the_predicted_bubbles_are_where_the_bubble_kernel_ends():
    """Closed cell and nuclei per volume, against growth in time at the same nuclei."""
    bag = "300 mbar"
    got = why(UP, seen={"where": "on strands"}, bag_pressure=bag, entrained=0.0)
    cause = next(c for c in got.causes if c.name == "dissolved-air")
    nuclei = catalogue.signs().cause["dissolved-air"].nuclei.si
    T = SHOP["temperature"]
    grown = outgas.bubble_growth(
        UP, "12 um", ["0 min", "0.02 min", "30 min"], T, ["1011 mbar", bag, bag],
        entrained=nuclei * 4.0 / 3.0 * np.pi * (12e-6) ** 3, water_activity=0.3,
    )  # fmt: skip
    low, high = cause.radius_m
    assert low < float(grown.radius.m[-1, 0]) < high
    whole = outgas.void_fraction(UP, T, bag, entrained=0.0).m
    assert grown.void[-1] == pytest.approx(whole, rel=0.1)


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
    kept = catalogue.practice().process["wet-layup"].gas_kept.si
    swollen = kept * 4.0 * 0.004  # a quarter of the standard atmosphere
    assert got.void == pytest.approx((swollen / (1.0 + swollen),) * 2)
    radius = catalogue.signs().cause["entrained-air"].radius
    assert got.radius == pytest.approx(
        (radius.low_si * 4 ** (1 / 3), radius.high_si * 4 ** (1 / 3))
    )
    # a clamp as large as the process needs (340 mbar) leaves half of the room
    assert gate("entrained-air", bag="673.25 mbar").room == pytest.approx(0.5)
    assert gate("entrained-air", bag="333.25 mbar").room == pytest.approx(1.0 / 3.0)
    assert "moves little air" in said(gate("entrained-air", bag="700 mbar").pros)
    assert "moves most of it" in said(gate("entrained-air", bag="100 mbar").cons)


def test_damp_cloth_pushes_with_the_whole_of_waters_pressure():
    pure = outgas.vapour_pressure("water", "40 degC").m_as("mbar")
    got = gate("moisture", seen={"cloth store": "damp"}, hottest="40 degC", bag="60 mbar")
    assert f"its water pushes {math.ceil(pure)} mbar" in said(got.pros)
    assert got.void == (1.0, 1.0)  # 60 mbar is under water's 74
    assert gate("moisture", seen={"cloth store": "damp"}, hottest="40 degC").void[1] < 1.0
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
    deep, weak = (gate("peroxide-gas", VE, bag=f"{mbar} mbar").void[0] for mbar in (200, 800))

    def volume(void):
        return void / (1.0 - void)

    assert volume(deep) == pytest.approx(4.0 * volume(weak))
