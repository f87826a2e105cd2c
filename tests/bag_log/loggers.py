"""Logs as loggers write them, with faults put in."""

import numpy as np

STEP_s = 10.0


def course(hold=600.0, debulk=90.0, minutes=60.0, step_s=STEP_s, pulled=10.0, up=20.0):
    """Times [s] and absolute pressures [mbar] of a job: open, a debulk, then held."""
    t = np.arange(0.0, 60.0 * minutes + step_s / 2.0, step_s)
    p = np.where(t < 60.0 * pulled, 1013.25, np.where(t < 60.0 * up, debulk, hold))
    return t, p


def csv(t, p, T=None, *, heads=("time [s]", "pressure [mbar]", "temperature [C]"), delimiter=","):
    """The text of a log; nan is an empty field."""
    columns = [t, p] if T is None else [t, p, T]
    lines = [delimiter.join(heads[: len(columns)])]
    for row in zip(*columns, strict=True):
        lines.append(delimiter.join("" if x != x else f"{x:.2f}" for x in row))
    return "\n".join(lines) + "\n"
