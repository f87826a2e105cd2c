"""What a plan stands on, made by hand: no heat is followed, so every time and warmth is known."""

import dataclasses
from types import SimpleNamespace

import numpy as np
from window_jobs import HERE_PA, UP, job

from outgas.plan.basis import Ground, ground_of
from outgas.plan.stage import Stage
from outgas.show.report import Line

SHOP_K = 295.15


def ground(name: str = UP, process: str = "degassing", **more: object) -> Ground:
    """Return the ground of a job whose warmth is named, so that no heat is followed."""
    known = {} if process in ("degassing", "prepreg") else {"hottest": "30 degC"}
    asked = {key: more.pop(key, None) for key in ("batch", "wet_out", "fill")}
    degas = more.pop("degas", True)
    changes = more.pop("changes", {})
    made = ground_of(job(name, process=process, **{**known, **more}), degas=degas, **asked)
    return dataclasses.replace(made, **changes)


def held_at(g: Ground, setpoint: float | None, **changes: float) -> Ground:
    """Return a ground whose window has its setpoint there [Pa], or does not open."""
    return dataclasses.replace(
        g, window=dataclasses.replace(g.window, setpoint=setpoint, **changes)
    )


def opened(g: Ground) -> Ground:
    """Return a ground whose window opens, half way."""
    return held_at(g, 0.5 * (g.window.deepest + g.window.shallowest))


def heated(
    t: list[float], T: list[list[float]], X: list[list[float]] | None = None, **more: float
) -> SimpleNamespace:
    """Return a heat run by hand: rows of temperature [K] and conversion, the first of the tool."""
    warm = np.array(T, dtype=float)
    cured = np.zeros_like(warm) if X is None else np.array(X, dtype=float)
    reacts = np.array([False] + [True] * (len(T) - 1))
    run = SimpleNamespace(t=np.array(t, dtype=float), T=warm, X=cured, reacts=reacts)
    usual = {
        "gel_s": 1000.0, "last_gel_s": 1100.0, "gel_interval_s": (800.0, 1300.0), "hold_s": 1500.0,
        "peak_K": 320.0, "peak_high_K": 325.0, "peak_s": 2000.0, "hot_K": 303.0,
        "hot_high_K": 305.0, "start_K": SHOP_K,
    }  # fmt: skip
    return SimpleNamespace(run=run, whole=run, **{**usual, **more})


def stage(**changes: object) -> Stage:
    """Return a stage at 22 degC with a band from 500 to 700 mbar, held at 600."""
    usual = {
        "name": "hold to the gel", "kind": "hold", "barometer_Pa": HERE_PA, "start_s": 0.0,
        "duration_s": 600.0, "low_Pa": 50000.0, "high_Pa": 70000.0, "setpoint_Pa": 60000.0,
        "vacuum": True, "dry": False, "limit_K": None, "expected_K": SHOP_K, "watch_for": "froth",
        "reason": Line("so"),
    }  # fmt: skip
    return Stage(**{**usual, **changes})
