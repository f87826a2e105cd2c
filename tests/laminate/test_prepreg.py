"""Prepreg: humidity against the share on the fibres, the verdict, and drying to pass."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outgas.laminate import prepreg
from outgas.laminate.water import water_pressure, water_spread
from outgas.physics import bed, drying
from outgas.physics.chance import Band
from outgas.tables import catalogue

ATM = 101325.0
PURE = water_pressure(394.15)
ORDER = ("passed", "at its limit", "void-prone")

humidities = st.floats(0.05, 0.95)
bands = st.tuples(*[st.floats(0.0, 0.95)] * 3).map(
    lambda x: Band(*(sorted(x)[i] for i in (1, 0, 2)))
)


def push(humidity: float, others: float = 0.0) -> prepreg.Push:
    water = humidity * PURE * (1.0 + water_spread(394.15))
    return prepreg.Push(water + others, water)


def verdict(humidity: float, carried: prepreg.Carried) -> prepreg.PrepregVerdict:
    return prepreg.judge(push(humidity).high, prepreg.resin_pressures(carried, 0.0, ATM), 0.0, ATM)


def test_humidity_limits_at_121_degrees_under_a_bag():
    got = prepreg.humidity_limit(np.array([0.0, 0.1, 0.2, 0.3, 0.5]), 0.0, ATM, PURE)
    assert 100.0 * got == pytest.approx([49.0, 44.0, 40.0, 35.0, 25.0], abs=0.5)


@pytest.mark.parametrize(
    ("humidity", "sealed", "state"),
    [
        (0.45, True, "void-prone"),
        (0.45, False, "void-prone"),
        (0.40, True, "at its limit"),
        (0.40, False, "void-prone"),
        (0.20, True, "passed"),
        (0.05, False, "passed"),
    ],
)
def test_verdicts_of_a_bagged_prepreg_at_121_degrees(humidity, sealed, state):
    assert verdict(humidity, prepreg.usual(sealed)).state == state


def test_damp_prepreg_passes_only_if_its_fibres_carry_less_than_a_tenth():
    got = verdict(0.45, prepreg.usual(sealed=True))
    assert got.passes_below_share == pytest.approx(0.09, abs=0.01)
    assert got.needs_Pa == pytest.approx(0.45 * PURE, rel=2e-3)
    assert verdict(0.6, prepreg.usual(sealed=True)).passes_below_share is None


@given(rh=humidities, more=humidities, share=bands, sealed=st.booleans())
def test_more_humid_never_passes_sooner(rh, more, share, sealed):
    carried = prepreg.Carried(share, sealed)
    dry, wet = (verdict(h, carried) for h in sorted((rh, more)))
    assert ORDER.index(wet.state) >= ORDER.index(dry.state)
    assert (wet.passes_below_share or 0.0) <= (dry.passes_below_share or 0.0)


@given(rh=humidities, share=bands, add=st.floats(0.0, 0.5), sealed=st.booleans())
def test_fibres_that_may_carry_more_never_better_a_verdict(rh, share, add, sealed):
    worse = Band(*(min(x + add, 1.0) for x in (share.nominal, share.low, share.high)))
    states = [verdict(rh, prepreg.Carried(s, sealed)).state for s in (share, worse)]
    assert ORDER.index(states[1]) >= ORDER.index(states[0])


@given(rh=humidities, share=bands)
def test_what_passes_passes_at_the_largest_share_that_fibres_may_carry(rh, share):
    got = verdict(rh, prepreg.Carried(share, sealed=True))
    if got.state == "passed":
        assert push(rh).high < float(bed.resin_pressure(0.0, ATM, share.high))
        assert got.margin_Pa > 0.0


def test_uncertainty_of_the_share_alone_takes_a_pass_away():
    sure = prepreg.Carried(Band.exact(0.2), sealed=True)
    unsure = prepreg.Carried(Band(0.2, 0.1, 0.4), sealed=True)
    assert verdict(0.35, sure).state == "passed"
    assert verdict(0.35, unsure).state == "at its limit"


def test_a_bleeding_prepreg_holds_less_than_a_sealed_one():
    sealed, bleeding = (prepreg.resin_pressures(prepreg.usual(x), 3e3, ATM) for x in (True, False))
    assert bleeding.nominal < sealed.nominal
    assert bleeding.low < sealed.low


def test_resin_pressure_falls_in_time_only_where_resin_can_leave():
    U = bed.consolidated(np.linspace(0.0, 2.0, 30))
    out = np.linspace(ATM, ATM, 30)
    bleeding = prepreg.resin_pressures(prepreg.usual(sealed=False), 3e3, out, U)
    sealed = prepreg.resin_pressures(prepreg.usual(sealed=True), 3e3, out, U)
    assert np.all(np.diff(bleeding.low) < 0)
    assert np.all(np.diff(sealed.low) == 0)
    assert bleeding.low[0] == pytest.approx(sealed.low[0], rel=0.02)  # they start alike
    for p in (bleeding, sealed):
        assert np.all(p.low <= p.nominal)
        assert np.all(p.nominal <= p.high)


def test_the_worst_moment_of_a_cycle_gives_the_verdict():
    hot = np.array([0.1, 0.42, 0.2]) * PURE
    cycle = hot
    out = np.array([ATM, ATM, 7.0 * ATM])
    sealed = prepreg.usual(sealed=True)
    got = prepreg.judge(cycle, prepreg.resin_pressures(sealed, 0.0, out), 0.0, out)
    assert got.state == "void-prone"
    assert got.needs_Pa == pytest.approx(0.42 * PURE)
    pressed = out + 6.0 * ATM
    got = prepreg.judge(cycle, prepreg.resin_pressures(sealed, 0.0, pressed), 0.0, pressed)
    assert got.state == "passed"


def test_what_pushes_harder_than_the_resin_holds_down_needs_as_much():
    resin = prepreg.resin_pressures(prepreg.Carried(Band.exact(0.2), sealed=True), 0.0, ATM)
    assert prepreg.judge(4e4, resin, 0.0, ATM).state == "passed"
    unsure = prepreg.judge(9e4, resin, 0.0, ATM)
    assert unsure.state == "void-prone"
    assert unsure.needs_Pa == 9e4


@pytest.mark.parametrize(
    ("ratio", "state"),
    [(0.94, "passed"), (0.96, "at its limit"), (1.04, "at its limit"), (1.06, "void-prone")],
)
def test_a_hair_under_the_resins_pressure_is_not_yet_a_pass(ratio, state):
    resin = prepreg.resin_pressures(prepreg.Carried(Band.exact(0.2), sealed=True), 0.0, ATM)
    p = ratio * 0.8 * ATM
    assert prepreg.judge(p, resin, 0.0, ATM).state == state


def test_resin_that_carries_nothing_is_void_prone():
    assert verdict(0.05, prepreg.Carried(Band.exact(1.0), sealed=True)).state == "void-prone"


def test_a_published_humidity_series_is_void_prone_in_a_bag_and_sound_in_an_autoclave():
    # Grunenfelder and Nutt 2010, abstract: 70, 80, 90 % RH, voids in the bag and none in the
    # autoclave; six atmospheres of gauge are the usual, not read there
    for sealed in (True, False):
        assert {verdict(rh, prepreg.usual(sealed)).state for rh in (0.7, 0.8, 0.9)} == {
            "void-prone"
        }
    pressed = prepreg.resin_pressures(prepreg.usual(sealed=True), 3e3, 7.0 * ATM)
    for rh in (0.7, 0.8, 0.9):
        assert prepreg.judge(push(rh).high, pressed, 3e3, 7.0 * ATM).state == "passed"


def test_a_bag_that_clamps_nothing_is_judged_by_its_own_pressure():
    alike = prepreg.resin_pressures(prepreg.usual(sealed=True), ATM, ATM)
    assert float(alike.low) == pytest.approx(ATM)
    assert prepreg.judge(push(0.2).high, alike, ATM, ATM).passes_below_share == pytest.approx(1.0)
    assert prepreg.judge(push(0.6).high, alike, ATM, ATM).passes_below_share is None


def test_share_of_a_bed_widens_by_what_is_not_known_and_stays_a_share():
    glass = prepreg.Compaction(Band(0.305, 0.2837, 0.3264), Band(0.046, 0.0368, 0.0552))
    wet = prepreg.carried_by_bed(0.47, glass, 3e3, ATM, dry=Band.exact(0.0))
    tows = prepreg.carried_by_bed(0.47, glass, 3e3, ATM, dry=Band.exact(0.03))
    assert 0.0 <= wet.low < wet.nominal < wet.high <= 1.0
    assert tows.nominal > 1.5 * wet.nominal


@given(
    rh=st.floats(0.1, 0.8),
    t=st.floats(0.0, 1e6),
    more=st.floats(0.0, 1e6),
    celsius=st.floats(10.0, 50.0),
)
def test_more_drying_never_leaves_a_prepreg_wetter(rh, t, more, celsius):
    rate = prepreg.drying_rate(celsius + 273.15)
    first, then = (prepreg.activity_after(Band.exact(rh), x, rate) for x in (t, t + more))
    for before, after in zip(
        (first.low, first.nominal, first.high), (then.low, then.nominal, then.high), strict=True
    ):
        assert after <= before + 1e-12
    assert then.low - 1e-12 <= then.nominal <= then.high + 1e-12
    assert then.high <= rh + 1e-12


@given(rh=st.floats(0.2, 0.8), part=st.floats(0.6, 0.99))
def test_dried_for_the_upper_time_it_is_dry_enough_at_95(rh, part):
    rate, wet = prepreg.drying_rate(294.15), Band.exact(rh)
    time = prepreg.time_to(wet, part * rh, rate)
    assert time.low <= time.nominal <= time.high
    if math.isfinite(time.high):
        assert prepreg.activity_after(wet, time.high, rate).high <= part * rh * (1.0 + 1e-6)


@given(rh=st.floats(0.25, 0.8))
def test_the_drying_that_is_advised_makes_it_pass(rh):
    carried, wet = prepreg.usual(sealed=True), Band.exact(rh)
    resin = prepreg.resin_pressures(carried, 0.0, ATM)
    wanted = prepreg.activity_to_pass(wet, push(rh), resin)
    assert wanted is not None
    rate = prepreg.drying_rate(294.15)
    time = prepreg.time_to(wet, wanted, rate).high
    left = prepreg.activity_after(wet, time, rate).high
    assert prepreg.judge(push(left * (1.0 - 1e-9)).high, resin, 0.0, ATM).state == "passed"


def test_no_drying_helps_where_something_else_pushes_too_hard():
    resin = prepreg.resin_pressures(prepreg.usual(sealed=True), 0.0, ATM)
    assert prepreg.activity_to_pass(Band.exact(0.4), push(0.4, others=7e4), resin) is None
    some = prepreg.activity_to_pass(Band.exact(0.4), push(0.4, others=2e4), resin)
    none = prepreg.activity_to_pass(Band.exact(0.4), push(0.4), resin)
    assert some is not None
    assert none is not None
    assert some < none


def test_it_dries_slower_cold_far_from_channels_and_wider_off_25_degrees():
    warm, cold = prepreg.drying_rate(313.15).scale_s, prepreg.drying_rate(283.15).scale_s
    near = prepreg.drying_rate(294.15, Band.exact(0.5e-3)).scale_s
    far = prepreg.drying_rate(294.15, Band.exact(2e-3)).scale_s
    there = prepreg.drying_rate(298.15).scale_s
    assert warm.nominal < cold.nominal
    assert far.nominal == pytest.approx(16.0 * near.nominal)
    assert cold.high / cold.nominal > there.high / there.nominal


@pytest.mark.parametrize(("apart", "hours"), [(0.5e-3, 0.5), (2e-3, 7.5)])
def test_half_of_the_water_leaves_by_channels_so_far_apart_in(apart, hours):
    rate = prepreg.drying_rate(294.15, Band.exact(apart))
    dry = prepreg.DryingRate(rate.scale_s, Band.exact(0.0), Band.exact(1.0))
    got = prepreg.time_to(Band.exact(0.5), 0.25, dry).nominal / 3600.0
    assert got == pytest.approx(hours, rel=0.07)


def test_drying_says_where_its_isotherm_ends():
    assert prepreg.in_range(0.6)
    assert not prepreg.in_range(0.9)


def test_the_ranges_of_the_table_reach_the_answer():
    table = catalogue.prepreg()
    assert prepreg.usual(sealed=True).share == table.carried.sealed.band
    assert prepreg.usual(sealed=False).share == table.carried.bleeding.band
    assert prepreg.usual(sealed=False).share.high > prepreg.usual(sealed=True).share.high


BED = prepreg.Compaction(Band(1.0e-2, 0.9e-2, 1.2e-2), Band.exact(0.35))


def carried(V, of, dry):
    return prepreg.carried_by_bed(V, of, 5000.0, ATM, dry)


def test_each_doubt_of_a_bed_is_carried_to_its_worse_end_and_two_add_as_squares():
    sure, dry = Band.exact(0.1), Band(0.1, 0.05, 0.2)
    known = prepreg.Compaction(Band.exact(0.01), Band.exact(0.35))
    nominal = carried(0.4, known, sure).nominal
    assert 0.0 < nominal < 0.6  # so that no end below is cut off at nought or one
    ends = [
        carried(0.4, dataclasses.replace(known, a=Band.exact(a)), sure).nominal
        for a in (BED.a.low, BED.a.high)
    ]
    by_bed = carried(0.4, BED, sure)
    assert by_bed.high == pytest.approx(max(ends))
    assert by_bed.low == pytest.approx(min(ends))
    by_tows = carried(0.4, known, dry)
    both = carried(0.4, BED, dry)
    up = math.hypot(by_bed.high - nominal, by_tows.high - nominal)
    down = math.hypot(nominal - by_bed.low, nominal - by_tows.low)
    assert both.high == pytest.approx(min(1.0, nominal + up))
    assert both.low == pytest.approx(max(0.0, nominal - down))


def test_a_bleeding_bed_is_taken_at_the_end_of_its_bleed_where_no_time_is_told():
    bleeding = prepreg.usual(sealed=False)
    told, untold = (prepreg.resin_pressures(bleeding, 0.0, ATM, *at) for at in ((1.0,), ()))
    assert untold == told
    assert untold.nominal == pytest.approx(ATM * (1.0 - bleeding.share.nominal))


def test_the_quick_end_of_drying_is_what_its_three_doubts_make_together():
    table = catalogue.prepreg().drying
    D, E, apart = table.prefactor.band, table.energy.band, table.channels.band
    T = 298.15
    warm = drying.diffusivity(T, 1.0, E.low) / drying.diffusivity(T, 1.0, E.nominal)
    cold = drying.diffusivity(T, 1.0, E.high) / drying.diffusivity(T, 1.0, E.nominal)
    reference = 1.0 / prepreg.RANGES_STAND_AT_K
    ways = [
        math.log(D.high / D.nominal),
        2.0 * math.log(apart.nominal / apart.low),
        max(abs(E.high - E.nominal), abs(E.low - E.nominal)) * abs(reference - 1.0 / T),
    ]
    got = prepreg.drying_rate(T).scale_s
    assert warm > cold
    assert got.low < got.nominal < got.high
    assert math.log(got.nominal / got.low) == pytest.approx(math.hypot(*ways), rel=0.05)


def test_no_prepreg_need_be_dried_to_more_than_it_holds():
    held = Band(0.2, 0.15, 0.3)
    ample = prepreg.ResinPressure(9.0 * PURE, 9.0 * PURE, 9.0 * PURE)
    assert prepreg.activity_to_pass(held, push(0.2), ample) == held.high


def test_the_margin_is_that_of_the_moment_that_leaves_least():
    hot = np.array([0.1, 0.4, 0.2]) * PURE
    resin = prepreg.resin_pressures(prepreg.usual(sealed=True), 0.0, np.full(3, ATM))
    got = prepreg.judge(hot, resin, 0.0, np.full(3, ATM))
    assert got.margin_Pa == pytest.approx(float(np.ravel(resin.low)[0]) - 0.4 * PURE)


@pytest.mark.parametrize("T", [280.0, 296.15, 330.0, 360.0])
def test_both_ends_of_drying_are_the_three_doubts_at_any_warmth(T):
    table = catalogue.prepreg().drying
    D, E, apart = table.prefactor.band, table.energy.band, table.channels.band
    lean = 1.0 / prepreg.RANGES_STAND_AT_K - 1.0 / T
    by_warmth = [(E.nominal - end) * lean for end in (E.low, E.high)]
    slow = [math.log(D.nominal / D.low), 2.0 * math.log(apart.high / apart.nominal), max(by_warmth)]
    fast = [math.log(D.high / D.nominal), 2.0 * math.log(apart.nominal / apart.low), min(by_warmth)]
    got = prepreg.drying_rate(T).scale_s
    nominal = (0.5 * apart.nominal) ** 2 / float(drying.diffusivity(T, D.nominal, E.nominal))
    assert got.nominal == pytest.approx(nominal)
    assert math.log(got.high / nominal) == pytest.approx(math.hypot(*slow))
    assert math.log(nominal / got.low) == pytest.approx(math.hypot(*fast))
    told = Band(1e-3, 0.4e-3, 3e-3)
    own = prepreg.drying_rate(T, told).scale_s
    assert own.nominal == pytest.approx(nominal * (1e-3 / apart.nominal) ** 2)


def test_dry_tows_of_a_bed_are_the_tables_where_none_are_told():
    bed_of = prepreg.Compaction(Band.exact(0.01), Band.exact(0.35))
    tows = catalogue.prepreg().carried.dry_tows.band
    assert prepreg.carried_by_bed(0.4, bed_of, 5000.0, ATM) == carried(0.4, bed_of, tows)


@pytest.mark.parametrize("U", [0.0, 0.3, 1.0])
def test_a_bleeding_bed_goes_from_what_a_sealed_one_carries_to_its_own_share(U):
    sealed, bleeding = prepreg.usual(sealed=True), prepreg.usual(sealed=False)
    got = prepreg.resin_pressures(bleeding, 3000.0, ATM, U)
    for end, of in (("nominal", "nominal"), ("low", "high"), ("high", "low")):
        first = min(getattr(sealed.share, of), getattr(bleeding.share, of))
        share = float(bed.share_after(first, U, getattr(bleeding.share, of)))
        wanted = 3000.0 + (1.0 - share) * (ATM - 3000.0)
        assert float(getattr(got, end)) == pytest.approx(wanted)
    kept = prepreg.resin_pressures(sealed, 3000.0, ATM, U)
    assert float(kept.low) == pytest.approx(3000.0 + (1.0 - sealed.share.high) * (ATM - 3000.0))


def test_a_press_that_clamps_no_more_than_the_bag_leaves_what_is_over_it():
    resin = prepreg.ResinPressure(9e4, 9e4, 9e4)
    got = prepreg.judge(5e4, resin, ATM, ATM)
    assert got.passes_below_share == pytest.approx(1.0)
    assert prepreg.judge(1.2e5, resin, ATM, ATM).passes_below_share is None
    half = prepreg.judge(5e4, resin, 0.0, ATM)
    assert half.passes_below_share == pytest.approx((ATM - 5e4) / ATM)


def test_no_air_is_damper_than_saturated():
    assert float(prepreg.humidity_limit(0.2, 0.0, ATM, 1e4)) == 1.0
    assert float(prepreg.humidity_limit(0.2, 0.0, ATM, 2.0 * ATM)) == pytest.approx(0.4)
