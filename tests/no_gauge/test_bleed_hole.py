"""The bleed hole: flow through a hole and a needle, what it names, and where it refuses."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError
from outgas.no_gauge.bleed_hole import NoHoleError, _pump_of, held_by
from outgas.tables import catalogue

WORDS = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"


def rig(more=""):
    return outgas.Rig.from_words(WORDS + more)


def rig_of(words):
    return outgas.Rig.from_words(words)


# Bleed hole -----------------------------------------------------------------------------------


def test_the_hole_passes_what_the_pump_moves():
    hole = outgas.bleed_hole("400 mbar", rig())
    moved = 5 / 3600 * catalogue.rigs().displacement_share.si * (40000 - 5.0)
    assert hole.air_m3_s * 101325 == pytest.approx(moved, rel=1e-3)
    # choked: 20 l/s per cm2 times the discharge coefficient
    litres = 0.75 * 19.86 * (math.pi / 4 * (hole.diameter_m * 100) ** 2)
    assert hole.air_m3_s * 1e3 == pytest.approx(litres, rel=2e-3)


@pytest.mark.parametrize("setpoint", ["60 mbar", "150 mbar", "400 mbar", "700 mbar"])
def test_real_holes_lie_round_the_setpoint_with_an_interval(setpoint):
    hole = outgas.bleed_hole(setpoint, rig())
    assert {h.kind for h in hole.holes} <= {"drill", "welding tip", "needle"}
    assert any(h.kind == "drill" for h in hole.holes)
    for real in hole.holes:
        assert 0.0 < real.low_Pa < real.pressure_Pa < real.high_Pa <= 101325.0


def test_where_a_limit_is_given_no_hole_is_named_that_may_pass_it():
    for setpoint, limit in (("653 mbar", "628 mbar"), ("120 mbar", "100 mbar")):
        hole = outgas.bleed_hole(setpoint, rig(), deepest=limit)
        deepest = float(limit.split()[0]) * 100
        assert hole.holes
        assert all(real.low_Pa >= deepest for real in hole.holes)


def test_altitude_holds_deeper_and_a_worn_pump_shallower_and_a_block_is_full_vacuum():
    hole = outgas.bleed_hole("400 mbar", rig())
    assert hole.higher_Pa < hole.setpoint_Pa < hole.worn_Pa
    assert hole.blocked_Pa < 1000.0


@settings(max_examples=3)
@given(p=st.floats(30.0, 800.0))
def test_a_shallower_setpoint_takes_a_bigger_hole(p):
    one = outgas.bleed_hole(f"{p} mbar", rig())
    two = outgas.bleed_hole(f"{1.1 * p} mbar", rig())
    assert two.diameter_m > one.diameter_m


def test_a_leak_takes_its_part_of_the_flow():
    leaky = outgas.bleed_hole("60 mbar", rig(", leak 20 mbar l/s"))
    assert leaky.diameter_m < outgas.bleed_hole("60 mbar", rig()).diameter_m


def test_a_needle_holds_deeper_than_a_drilled_hole_of_its_bore():
    pump = _pump_of(rig())
    needle = next(h for h in catalogue.holes() if h.name == "21 gauge needle")
    drilled = next(h for h in catalogue.holes() if h.name == "0.5 mm drill")
    (through,), (open_,) = held_by([needle], pump, 101325.0), held_by([drilled], pump, 101325.0)
    assert through.pressure_Pa < open_.pressure_Pa


def test_a_pump_whose_ultimate_is_not_known_well_widens_both_ends_of_a_hole():
    """A dry vane pump may reach 80 or 150 mbar: its hole may hold that much deeper."""
    vague, told = rig_of("5 m3/h dry vane pump"), rig_of("5 m3/h pump, 110 mbar ultimate")
    near = [h for h in catalogue.holes() if h.name == "1.0 mm drill"]
    (a,), (b,) = (held_by(near, _pump_of(r), 101325.0) for r in (vague, told))
    assert a.pressure_Pa == pytest.approx(b.pressure_Pa, rel=1e-3)
    assert a.low_Pa < b.low_Pa - 500.0
    assert a.high_Pa > b.high_Pa + 500.0


def test_a_leak_not_known_well_widens_a_hole_that_it_shares_the_pump_with():
    near = [h for h in catalogue.holes() if h.name == "0.5 mm drill"]
    (a,), (b,) = (
        held_by(near, _pump_of(rig_of(f"5 m3/h pump, {u} ultimate, {leak}")), 101325.0)
        for u, leak in (
            ("1 mbar", "leak 30 mbar l/s"),
            (f"{1 + 30 / (0.85 / 0.72)} mbar", "leak 0 mbar l/s"),
        )
    )
    assert a.low_Pa / a.pressure_Pa < b.low_Pa / b.pressure_Pa


def test_a_leak_alone_sets_how_deep_a_blocked_hole_is():
    """20 mbar l/s into 5 m3/h by its displacement share."""
    hole = outgas.bleed_hole("60 mbar", rig(", leak 20 mbar l/s"))
    speed = 5.0 / 3600.0 * catalogue.rigs().displacement_share.si
    ultimate = rig().kind.ultimate.si
    assert hole.blocked_Pa == pytest.approx(ultimate + 2.0 / speed, rel=1e-6)
    moved = speed * (6000.0 - ultimate) - 2.0
    assert hole.air_m3_s * 101325.0 == pytest.approx(moved, rel=1e-6)


def test_a_setpoint_deeper_than_the_leak_lets_the_pump_is_no_hole_and_says_both_pressures():
    with pytest.raises(
        NoHoleError, match=r"setpoint is 10\.0 mbar; .* reaches 1[67]\.\d mbar with"
    ):
        outgas.bleed_hole("10 mbar", rig(", leak 20 mbar l/s"))


def test_an_open_hose_is_refused_and_so_is_a_hole_wider_than_any_bleed():
    with pytest.raises(InputError, match=r"wider than the 8\.0 mm hose"):
        outgas.bleed_hole("800 mbar", rig_of("300 m3/h two-stage pump, 2 m of 8 mm hose"))
    with pytest.raises(InputError, match="beyond any bleed"):
        outgas.bleed_hole("800 mbar", rig_of("300 m3/h two-stage pump"))


def test_the_printed_diameter_is_never_smaller_than_the_hole_and_no_more_than_a_step_larger():
    hole = outgas.bleed_hole("400 mbar", rig())
    printed = float(hole.to_text(full=True).split("Hold ")[1].split(" mm hole")[0].split()[-1])
    assert hole.diameter_m * 1e3 <= printed < hole.diameter_m * 1e3 + 0.01


def test_a_hole_named_without_limits_ends_nearer_to_the_setpoint_than_to_full_vacuum():
    hole = outgas.bleed_hole("400 mbar", rig())
    assert hole.holes
    assert min(h.low_Pa for h in hole.holes) >= 0.5 * 40000.0
    for kind in ("drill", "welding tip", "needle"):
        assert sum(h.kind == kind for h in hole.holes) <= 2


def test_no_named_hole_clamps_less_than_was_asked():
    free = outgas.bleed_hole("400 mbar", rig())
    bound = outgas.bleed_hole("400 mbar", rig(), shallowest="400 mbar")
    assert any(h.pressure_Pa > 40000.0 for h in free.holes)
    assert bound.holes
    assert all(h.pressure_Pa <= 40000.0 for h in bound.holes)
