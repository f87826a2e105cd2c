"""The stages of prepreg: thaw, debulk, the hold that dries it, the oven against its own water."""

import dataclasses
import math

import numpy as np

from outgas.errors import InputError
from outgas.job.job import HOUR_S, Job
from outgas.laminate import warming
from outgas.laminate.case import Case, hottest_vapour
from outgas.laminate.vapour import vapour, warmest_known
from outgas.laminate.water import water_activity
from outgas.plan.basis import Ground, Pressures
from outgas.plan.bleed import resin_by
from outgas.plan.caps import boil_cap
from outgas.plan.stage import Stage, StageKind
from outgas.plan.steps import DRUM_TIGHT, Timeline, drop_allowed, in_order, mbar_lost
from outgas.show.amounts import SLACK, celsius, duration, mbar_up
from outgas.tables import catalogue
from outgas.window import cautions
from outgas.window.limits import core_limit
from outgas.window.prepreg import held_of, sure_of
from outgas.window.window import window_of

OVEN_RUN_S = 12.0 * HOUR_S  # followed beyond the last ramp
HOLD = "hold under full vacuum"


def prepreg(g: Ground) -> tuple[list[Stage], Ground]:
    """Return the stages of prepreg, from the freezer to release."""
    early = Timeline(g, mixed=False)
    _before_the_oven(g, early)
    line = Timeline(g)
    _in_the_oven(g, line)
    return in_order(early, line)


def in_the_oven(g: Ground) -> Ground:
    """Return the ground of prepreg with the heat of its oven, and the hold that dries it first."""
    if g.pace is None:
        raise InputError(f"{g.job.resin.name}: no rate of cure, so no plan")
    times, air = oven_air(g)
    run = warming.oven_run(g.job, g.pace, times, air, float(times[-1]) + OVEN_RUN_S)
    return held_dry(dataclasses.replace(g, warming=run))


def held_dry(g: Ground) -> Ground:
    """Return the ground of prepreg with the hold before its oven, whose heat is in it already.

    As long as was said. If nothing was, until it passes at the slow end at the warmest that it
    gets, and no less than shops hold; for what is not dried within its life, as long as they do.
    """
    if g.job.dried_s is not None:
        return g
    _, _, _, _, end = oven_times(g)
    warmest = max(g.case.hottest_K, min(g.warmest(0.0, end), warmest_known(g.case)))
    job = g.job.but(dried_s=hold_of(g.job, g.case.at(warmest)))
    case = g.case.but(dried_s=job.dried_s)
    return dataclasses.replace(g, job=job, case=case, window=window_of(job, case))


def hold_of(job: Job, case: Case) -> float:
    """Return how long prepreg is to stand under full vacuum before the heat [s]."""
    shops, life = catalogue.prepreg().drying.hold, catalogue.prepreg().drying.out_life
    held = held_of(job, case, hottest_vapour(case))
    if held.found.state == "passed":
        return shops.low_si
    if held.drying.slow_s > life.low_si:
        return shops.high_si
    hours = math.ceil(held.drying.slow_s / HOUR_S - SLACK)  # up to the hour that is printed
    return max(shops.low_si, hours * HOUR_S)


def _before_the_oven(g: Ground, early: Timeline) -> None:
    """Add the thaw, the lay-up with its debulks, the drop test and the hold."""
    c = g.clock
    layers = sum(ply.count for ply in g.job.layup.plies)
    times = max(1, math.ceil(layers / c.plies_per_debulk.si))
    early.add(
        "thaw, sealed",
        c.thaw.si,
        g.free,
        "no dew on the sealed bag; then open it, in the driest room you have",
        "cold prepreg takes up water the moment it is opened, and keeps it",
        vacuum=False,
        dry=True,
    )
    for i in range(times):
        early.add(
            f"lay up and debulk {i + 1} of {times}",
            c.prepreg_debulk.si,
            g.cure,
            "full vacuum, film tight; no pillow under the ply when it comes off",
            f"air between plies leaves only while they are few: every {c.plies_per_debulk.si:.0f} "
            "plies, after the first and after the last",
            dry=True,
        )
    early.add(
        "drop test",
        c.drop_test_time.si,
        g.cure,
        f"pump off: no more than {mbar_lost(drop_allowed(c))} mbar in "
        f"{duration(c.drop_test_time.si)}; {DRUM_TIGHT}",
        "a bag that leaks hot cannot be mended",
        dry=True,
    )
    early.add(
        HOLD,
        g.job.dried_s or 0.0,
        g.cure,
        "pump on all the while, film tight; look in every few hours, and mend a leak now",
        _why_held(g),
        dry=True,
    )


def _why_held(g: Ground) -> str:
    """Say what the hold does to the water, and how long shops hold."""
    shops, T = catalogue.prepreg().drying.hold, g.case.hottest_high_K
    before = water_activity(g.case.but(dried_s=None), T)[1]
    likely, slow = water_activity(g.case, T)
    longer = ""
    if (g.job.dried_s or 0.0) > shops.high_si:
        longer = ", so this is longer, and counts against its life out of the freezer"
    return (
        "air and water leave by the dry tows, which the heat shuts; its water's activity falls "
        f"from {before:.2f} to {likely:.2f}, no higher than {slow:.2f} where it dries slowly "
        f"(shops hold {shops.low_si / HOUR_S:.0f} to {shops.high_si / HOUR_S:.0f} h{longer})"
    )


def _in_the_oven(g: Ground, line: Timeline) -> None:
    """Add the oven cycle, with its water against the resin's pressure, and the cooling."""
    c, resin = g.clock, g.job.resin
    assert g.warming is not None
    assert resin.cure_temperature is not None
    careful = cautions.cautions(g.job, g.case)
    for name, kind, start, end in oven_stages(g):
        warm = min(g.warmest(start, end), warmest_known(g.case))
        push, resin_Pa = vapour(g.case, warm).high, resin_by(g, kind, end)
        line.add(
            name,
            end - start,
            g.cure,
            "full vacuum, pressure on the bag where there is an autoclave; a bag that goes soft or "
            "hisses: stop the ramp, do not go on hot",
            f"its water pushes up to {mbar_up(push)} mbar at {celsius(warm)} against "
            f"{mbar_lost(float(resin_Pa.nominal))} mbar in the resin, "
            f"{mbar_lost(float(resin_Pa.low))} at the least",
            kind=kind,
            has_set=True,  # it is held down by the resin's own pressure, not by the bag's
            limit=boil_cap(g.case, sure_of(resin_Pa)),
            careful=careful,
        )
    line.add(
        "cool, vacuum off, release",
        max(c.rest.si, (resin.cure_temperature.si - g.base) / c.ramp_rate.si),
        Pressures(core_limit(g.case)[1], g.cure.hold, g.here),
        "below about 60 degC before anything is opened",
        "cooled under pressure it stays flat",
        has_set=True,
    )


def oven_stages(g: Ground) -> list[tuple[str, StageKind, float, float]]:
    """Return name, kind, start and end [s] of each part of the oven cycle."""
    a, b, d, e, f = oven_times(g)
    extra = ", autoclave pressure on" if g.job.rig.autoclave or g.job.resin.applied_pressure else ""
    return [
        (f"ramp to the dwell{extra}", "", a, b),
        ("dwell", "", b, d),
        ("ramp to the cure", "", d, e),
        ("cure", "cure", e, f),
    ]


def oven_times(g: Ground) -> tuple[float, float, float, float, float]:
    """Return when the oven starts, dwells, ramps again, cures, and is done [s]."""
    c, resin = g.clock, g.job.resin
    assert resin.cure_temperature is not None
    dwell = resin.cure_temperature.si - c.dwell_below.si
    b = max(0.0, dwell - g.base) / c.ramp_rate.si
    d = b + c.dwell.si
    e = d + (resin.cure_temperature.si - max(dwell, g.base)) / c.ramp_rate.si
    run = g.warming.run if g.warming is not None else None
    f = e + c.cure_hold.si
    if run is not None:
        X = run.X[run.reacts].min(axis=0)
        hard = run.t[int((g.hard <= X).argmax())] if (g.hard <= X).any() else run.t[-1]
        f = max(f, float(hard) + c.leak_check.si)
    return 0.0, b, d, e, f


def oven_air(g: Ground) -> tuple[np.ndarray, np.ndarray]:
    """Return times [s] and air temperatures [K] of the oven cycle."""
    c, resin = g.clock, g.job.resin
    assert resin.cure_temperature is not None
    dwell = max(resin.cure_temperature.si - c.dwell_below.si, g.base)
    a, b, d, e, _ = oven_times(g)
    cure = resin.cure_temperature.si
    return np.array([a, b, d, e]), np.array([g.base, dwell, dwell, cure])
