"""What the resin lives through under a plan: pressure, temperature, conversion."""

import math

import numpy as np

from outgas.physics import bed
from outgas.plan.basis import Ground
from outgas.plan.bleed import bleed_times, resin_in
from outgas.plan.plan import Lived
from outgas.plan.stage import Stage, stage_of
from outgas.window.window import resin_pressure

BLEED_POINTS = 13
HISTORY_POINTS = 61
CHANGE_S = 20.0  # how long a change of pressure takes
STEP_S = 1e-3  # between a stage's end and the next one's start


def pressures_in_resin(g: Ground, found: list[Stage]) -> tuple[tuple[float, float], ...]:
    """Return time and pressure in the resin through the debulk, as cloth takes over the clamp.

    For prepreg through its oven, at the least: fibres as loaded as they may be.
    """
    if g.job.process.preimpregnated:
        return _least_in_prepreg(g, found)
    stage = stage_of(found, "debulk")
    if stage is None or stage.setpoint_Pa is None:
        return ()
    quick, _ = bleed_times(g)
    t = np.linspace(0.0, stage.duration_s, BLEED_POINTS)
    U = np.asarray(bed.consolidated(t / max(quick, 1e-6)))
    p = np.asarray(bed.resin_pressure(stage.setpoint_Pa, g.here, 1.0, U))
    return tuple((stage.start_s + float(a), float(b)) for a, b in zip(t, p, strict=True))


def _least_in_prepreg(g: Ground, found: list[Stage]) -> tuple[tuple[float, float], ...]:
    """Return time and pressure in the resin of prepreg, each stage with what it ends at."""
    course: list[tuple[float, float]] = []
    for stage in found:
        if not stage.dry:
            p = float(resin_in(g, stage).low)
            course += [(stage.start_s + STEP_S, p), (stage.end_s, p)]
    return tuple(course)


def lived_through(g: Ground, found: list[Stage]) -> tuple[Lived, ...]:
    """Return time, temperature, conversion of the hottest layer and pressure, mixing to hold.

    The pressure is the bag's, which resin that can bleed comes to; a change of it takes CHANGE_S,
    and before the bag is on it is the air's. That of prepreg is its resin's own, at the least, and
    in a press resin has the air's where fibres carry the force.
    """
    w = g.warming
    if w is None:
        return ()
    run, end = w.run, w.hold_s if math.isfinite(w.hold_s) else float(w.run.t[-1])
    cell = int(run.T[run.reacts].max(axis=1).argmax())
    T, X = run.T[run.reacts][cell], run.X[run.reacts][cell]
    corners, pressures, last = [0.0], [g.here], g.here
    carried = not g.job.process.bag_sets_resin
    if g.job.process.preimpregnated:
        corners, pressures = (list(x) for x in zip(*_least_in_prepreg(g, found), strict=True))
    elif carried:
        pressures = [resin_pressure(g.job, g.window, None)]
    for stage in found:
        if carried or stage.end_s <= 0.0 or stage.setpoint_Pa in (None, last):
            continue
        assert stage.setpoint_Pa is not None
        start = max(stage.start_s, corners[-1])
        corners += [start + STEP_S, start + min(CHANGE_S, 0.5 * stage.duration_s)]
        pressures += [last, stage.setpoint_Pa]
        last = stage.setpoint_Pa
    even = np.linspace(0.0, end, HISTORY_POINTS)
    # not by np.unique, which imports numpy's masked arrays: a tenth of a command's start
    t = np.array(sorted({*even.tolist(), *(c for c in corners if c < end)}))
    p = np.interp(t, corners, pressures)
    rows = zip(t, np.interp(t, run.t, T), np.interp(t, run.t, X), p, strict=True)
    return tuple(Lived(*(float(x) for x in row)) for row in rows)
