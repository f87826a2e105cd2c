"""The voids to expect against the pressure of the cure, with their range."""

import numpy as np

from outgas.show import progress
from outgas.show.chart import Chart
from outgas.show.shapes import Area, Curve, Mark, Scale, dial_beside
from outgas.window.advice import Advice
from outgas.window.charts.zones import MBAR_Pa

POINTS = 61
LEAST_mbar = 10.0
ABOVE_TARGET = 5.0  # times the target: how far up the chart shows
FULL = 100.0
CAPTION = (
    "Nominal, and the 95 % range by the gas balance. Where resin boils it froths: believe then "
    "that it is a lot, and no figure."
)


def voids(advice: Advice, dial: str) -> Chart:
    """Return the voids expected over the pressure of the cure, the debulk counted on."""
    here = advice.barometer_Pa / MBAR_Pa
    p = np.unique(np.concatenate([np.linspace(LEAST_mbar, here, POINTS), _own(advice)]))
    found = []
    for i, x in enumerate(p):
        progress.tell("voids against pressure", i, len(p))
        found.append(advice.behind.voids(float(x) * MBAR_Pa))
    x = tuple(float(v) for v in p)
    low, nominal, high = (
        tuple(FULL * getattr(band, end) for band in found) for end in ("low", "nominal", "high")
    )
    target = FULL * advice.void_target
    return Chart(
        name="voids",
        title="Voids to expect against the pressure of the cure",
        x=Scale(
            "bag, for the cure",
            "mbar absolute",
            0.0,
            here,
            beside=dial_beside(advice.barometer_Pa, dial),
        ),
        y=Scale("voids", "% of the laminate", 0.0, min(FULL, ABOVE_TARGET * target)),
        areas=(Area("range", "95 % range", x, low, high),),
        curves=(Curve("main", "expected", x, nominal),),
        marks=(Mark("guide", f"aim: {target:g} %", y=target), *_lines(advice)),
        caption=CAPTION,
    )


def _own(advice: Advice) -> list[float]:
    """Return the pressures of the advice itself [mbar]."""
    here = advice.barometer_Pa
    own = (advice.setpoint_Pa, advice.deepest_Pa, advice.shallowest_Pa)
    return [p / MBAR_Pa for p in own if p is not None and LEAST_mbar * MBAR_Pa <= p <= here]


def _lines(advice: Advice) -> list[Mark]:
    found = [Mark("limit", "never deeper", x=advice.deepest_Pa / MBAR_Pa)]
    if advice.setpoint_Pa is not None:
        found.append(Mark("set", "hold", x=advice.setpoint_Pa / MBAR_Pa))
    if advice.bag_Pa is not None:
        found.append(Mark("fourth", "your bag", x=advice.bag_Pa / MBAR_Pa))
    return [m for m in found if m.x is not None and m.x * MBAR_Pa <= advice.barometer_Pa]
