"""The fibre bed: inverses, limits, consolidation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.physics import bed


@given(V=st.floats(0.15, 0.6), a=st.floats(0.04, 0.4), b=st.floats(0.03, 0.2))
def test_carried_is_the_inverse_of_packed(V, a, b):
    p = float(bed.carried(a, b, V))
    if p < 1e7:
        assert float(bed.packed(a, b, p)) == pytest.approx(V, rel=1e-9)


def test_a_denser_bed_carries_more_and_lets_less_through():
    V = np.linspace(0.35, 0.6, 20)
    assert np.all(np.diff(bed.carried(0.305, 0.046, V)) > 0)
    assert np.all(np.diff(bed.permeability(16e-6, 6.0, V)) < 0)
    assert np.all(np.diff(bed.gutowski(np.linspace(0.51, 0.7, 20), 0.5, 0.829, 159.0)) > 0)


def test_gutowskis_curve_at_its_constants():
    # pinned arithmetic, V0 0.50, Va 0.829, 159 Pa
    for V, expected in ((0.55, 2890.0), (0.60, 16000.0), (0.65, 79670.0), (0.70, 480000.0)):
        assert float(bed.gutowski(V, 0.5, 0.829, 159.0)) == pytest.approx(expected, rel=5e-3)


def test_consolidation_starts_as_a_square_root_and_ends_whole():
    assert float(bed.consolidated(0.0)) == pytest.approx(0.0, abs=2e-3)
    assert float(bed.consolidated(0.01)) == pytest.approx(2 * np.sqrt(0.01 / np.pi), rel=1e-3)
    assert float(bed.consolidated(5.0)) == pytest.approx(1.0, abs=1e-4)


def test_resin_pressure_goes_from_the_air_to_the_bag_as_the_cloth_takes_over():
    start = float(bed.resin_pressure(1e4, 1e5, 1.0, 0.0))
    end = float(bed.resin_pressure(1e4, 1e5, 1.0, 1.0))
    assert (start, end) == (1e5, 1e4)
    assert float(bed.resin_pressure(1e4, 1e5, 0.5)) == pytest.approx(5.5e4)


def test_a_thicker_stack_and_a_thicker_resin_bleed_slower():
    base = float(bed.bleed_time(0.005, 0.6, 2e-12, 9e4, 0.046))
    assert float(bed.bleed_time(0.01, 0.6, 2e-12, 9e4, 0.046)) == pytest.approx(4 * base)
    assert float(bed.bleed_time(0.005, 1.2, 2e-12, 9e4, 0.046)) == pytest.approx(2 * base)


shares = st.floats(0.0, 1.0)
pressures = st.floats(0.0, 9e4)


@given(s=shares, more=shares, U=shares, bag=pressures, out=st.floats(9e4, 8e5))
def test_a_larger_share_on_the_fibres_never_raises_the_resins_pressure(s, more, U, bag, out):
    low, high = sorted((s, more))
    p = [float(bed.resin_pressure(bag, out, bed.share_after(x, U))) for x in (low, high)]
    assert p[1] <= p[0] + 1e-6
    assert bag - 1e-6 <= p[1]
    assert p[0] <= out + 1e-6


@given(s=shares, end=shares, U=shares, more=shares)
def test_a_bed_that_bleeds_further_never_gives_load_back(s, end, U, more):
    first, then = sorted((U, more))
    assert bed.share_after(s, then, end) >= bed.share_after(s, first, end) - 1e-12
    assert bed.share_after(s, first, end) >= s - 1e-12


@given(dry=st.floats(0.001, 0.2), b=st.floats(0.03, 0.2), V=st.floats(0.3, 0.5))
def test_filling_dry_tows_is_squeezing_the_bed_by_the_bulk_it_loses(dry, b, V):
    before, after = (bed.carried(0.3, b, x) for x in (V, V / (1.0 - dry)))
    assert float(bed.filled(before, b, dry)) == pytest.approx(float(after), rel=1e-9)


def test_fibres_carry_no_more_than_the_clamp():
    got = bed.fibre_share(np.array([0.0, 2e4, 3e5, 1e4]), 0.0, np.array([1e5, 1e5, 1e5, 0.0]))
    assert got == pytest.approx([0.0, 0.2, 1.0, 1.0])


def evened(b: float, laid: float, vent: float, out: float) -> float:
    """Find by halving the even pressure at which cloth holds the resin that it held before."""
    x = (np.arange(200_000) + 0.5) / 200_000
    held = np.mean(np.maximum(x * (out - vent), laid) ** -b)
    low, high = vent, out - 1e-6
    for _ in range(60):
        p = 0.5 * (low + high)
        low, high = (low, p) if (out - p) ** -b > held else (p, high)
    return p


@pytest.mark.parametrize("b", [0.046, 0.055, 0.142])
@pytest.mark.parametrize("vent", [5e3, 4e4])
def test_resin_shut_in_yielding_cloth_is_conserved(b, vent):
    got = float(bed.shut_compacting(vent, 101325.0, b, 700.0))
    assert got == pytest.approx(evened(b, 700.0, vent, 101325.0), rel=1e-4)


def test_an_infusion_shut_at_both_ends_is_left_far_above_its_vent():
    # stiff glass cloth and soft mat, from 50 mbar; pinned arithmetic
    assert float(bed.shut_rigid(5e3, 101325.0, 2.0 / 3.0)) == pytest.approx(69200.0, rel=1e-3)
    stiff, soft = bed.shut_compacting(5e3, 101325.0, np.array([0.046, 0.142]), 700.0)
    assert stiff == pytest.approx(66400.0, rel=2e-3)
    assert soft == pytest.approx(68100.0, rel=2e-3)


@given(vent=st.floats(0.0, 1e5), b=st.floats(0.03, 0.2), laid=st.floats(10.0, 5e3))
def test_shut_in_resin_lies_between_vent_and_outside(vent, b, laid):
    p = float(bed.shut_compacting(vent, 101325.0, b, laid))
    assert vent - 1e-6 <= p <= 101325.0
