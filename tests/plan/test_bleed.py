"""Prepreg's bed takes over load as its resin bleeds: by hand, and only where it can."""

import dataclasses

import numpy as np
import pytest
from plan_grounds import ground, heated, stage
from window_jobs import HERE_PA, PREPREG

import outgas
from outgas.physics import bed
from outgas.plan import bleed
from outgas.plan.history import lived_through, pressures_in_resin

SIDE = {True: ["release film", "breather"], False: ["perforated film", "breather"]}
THICK = "60 x 400 g/m2 woven carbon"


def made(sealed=False, plies=THICK, **more):
    layup = outgas.Layup(plies=[plies], bag_side=SIDE[sealed])
    return ground(PREPREG, "prepreg", layup=layup, **more)


def flat(g, celsius, until=1e5):
    T = celsius + 273.15
    return dataclasses.replace(g, warming=heated([0.0, until], [[T] * 2, [T] * 2]))


def test_a_bed_at_one_warmth_consolidates_by_terzaghis_series():
    g = flat(made(), 80.0)
    quick, slow = bleed.bleed_times(g, 353.15, HERE_PA)
    assert quick < slow
    for part in (0.02, 0.2, 0.8):
        U = float(bed.consolidated(part))
        assert bleed.consolidation(g, part * quick) == pytest.approx(U, rel=1e-9)


def test_the_hold_before_the_oven_counts_at_the_shops_warmth():
    cold = flat(made(), 80.0)
    quick = bleed.bleed_times(cold, cold.base, HERE_PA)[0]
    job = cold.job.but(dried_s=0.3 * quick)
    held = dataclasses.replace(cold, job=job)
    assert bleed.consolidation(cold, 0.0) == pytest.approx(0.0, abs=2e-3)
    assert bleed.consolidation(held, 0.0) == pytest.approx(float(bed.consolidated(0.3)))


def test_warmer_longer_thinner_and_pressed_harder_it_consolidates_further():
    g = flat(made(), 40.0)
    for better in (
        bleed.consolidation(flat(made(), 60.0), 20.0),
        bleed.consolidation(g, 40.0),
        bleed.consolidation(flat(made(plies="30 x 400 g/m2 woven carbon"), 40.0), 20.0),
        bleed.consolidation(flat(made(rig=outgas.Rig(autoclave="3 bar")), 40.0), 20.0),
    ):
        assert better > bleed.consolidation(g, 20.0) > 0.0


def test_without_a_heat_run_it_is_as_warm_as_the_shop():
    g = made()
    assert g.warming is None
    quick = bleed.bleed_times(g, g.base, HERE_PA)[0]
    assert bleed.consolidation(g, 0.2 * quick) == pytest.approx(float(bed.consolidated(0.2)))


def test_resin_falls_from_a_sealed_beds_pressure_only_where_it_bleeds_and_to_its_end_in_the_cure():
    sealed, open_ = (flat(made(s), 40.0) for s in (True, False))
    quick = bleed.bleed_times(open_, 313.15, HERE_PA)[0]
    early, late = (stage(kind="", start_s=0.0, duration_s=x * quick) for x in (1e-4, 0.3))
    cure = stage(kind="cure", start_s=0.0, duration_s=1e-4 * quick)
    lows = [float(bleed.resin_in(open_, s).low) / HERE_PA for s in (early, late, cure)]
    assert lows[0] == pytest.approx(0.6, abs=0.01)  # 40 % of the clamp on fibres at the most
    U = float(bed.consolidated(0.3))
    assert lows[1] == pytest.approx(1.0 - (0.4 + (0.8 - 0.4) * U), rel=1e-6)
    assert lows[2] == pytest.approx(0.2)  # how far it gets is in its range
    for s in (early, late, cure):
        assert float(bleed.resin_in(sealed, s).low) == pytest.approx(0.6 * HERE_PA)


def test_what_the_resin_lives_through_is_its_own_least_pressure_stage_by_stage():
    g = flat(made(), 40.0)
    quick = bleed.bleed_times(g, 313.15, HERE_PA)[0]
    stages, clock = [], 0.0
    for name, kind in (("ramp", ""), ("dwell", ""), ("cure", "cure")):
        stages.append(stage(name=name, kind=kind, start_s=clock, duration_s=0.1 * quick))
        clock += 0.1 * quick
    course = pressures_in_resin(g, [stage(dry=True, start_s=-9.0, duration_s=9.0), *stages])
    ends = [float(bleed.resin_in(g, s).low) for s in stages]
    assert [p for t, p in course if t in [s.end_s for s in stages]] == pytest.approx(ends)
    assert np.all(np.diff([p for _, p in course]) <= 0.0)
    for moment in lived_through(g, stages):
        now = next((p for s, p in zip(stages, ends, strict=True) if s.end_s >= moment.time_s),
                   ends[-1])  # fmt: skip
        assert moment.pressure_Pa <= max(now, ends[0]) + 1e-6
        if moment.time_s in [s.end_s for s in stages]:
            assert moment.pressure_Pa == pytest.approx(now)
