"""What a log looks like: the bag and its limit over time, and the margin between them."""

import math
from collections.abc import Mapping
from functools import partial

from outgas.bag_log.log import BagLog
from outgas.constants import ZERO_CELSIUS_K
from outgas.show.chart import Chart, Maker
from outgas.show.shapes import Area, Curve, Mark, Scale
from outgas.window.charts.over_time import MINUTE_s, temperature_scale
from outgas.window.charts.zones import MBAR_Pa, bag_scale

CAPTION = (
    "The bag as deep as it read in each moment; the limit on the safe side (95 %), of vapour and "
    "core while the resin is thin, of its air too from then on."
)


def charts(log: BagLog) -> Mapping[str, Maker]:
    """Return the charts of a log."""
    if len(log.points) < 2:
        return {}
    return {"log": partial(_log, log), "margin": partial(_margin, log)}


def _minutes(log: BagLog) -> tuple[float, ...]:
    return tuple(point.time_s / MINUTE_s for point in log.points)


def _moments(log: BagLog, last: float) -> tuple[Mark, ...]:
    found = (("the resin thickens", log.thick_s), ("the gel holds", log.holds_s))
    some = {t: name for name, t in reversed(found)}
    return tuple(
        Mark("guide", name, x=t / MINUTE_s) for t, name in some.items() if t / MINUTE_s <= last
    )


def _log(log: BagLog, dial: str) -> Chart:
    x = _minutes(log)
    bag = tuple(point.pressure_Pa / MBAR_Pa for point in log.points)
    limit = tuple(point.limit_Pa / MBAR_Pa for point in log.points)
    deep = tuple(min(p, least) if p == p else math.nan for p, least in zip(bag, limit, strict=True))
    kelvins = tuple(point.temperature_K for point in log.points)
    under = any(p < least for p, least in zip(bag, limit, strict=True))
    return Chart(
        name="log",
        title=f"The bag as it was logged: {log.resin_title}",
        x=Scale("from mixing", "min", x[0], x[-1]),
        y=bag_scale(log.barometer_Pa, dial),
        areas=(Area("danger", "too deep", x, deep, limit),) if under else (),
        curves=(
            Curve("limit", "never deeper", x, limit),
            Curve("set", "bag", x, bag),
            Curve(
                "third",
                "temperature (right)",
                x,
                tuple(k - ZERO_CELSIUS_K for k in kelvins),
                right=True,
            ),
        ),
        marks=_moments(log, x[-1]),
        right=temperature_scale(kelvins),
        caption=CAPTION,
    )


def _margin(log: BagLog, dial: str) -> Chart:  # noqa: ARG001 - a difference is on no dial
    x = _minutes(log)
    margin = tuple(
        (point.pressure_Pa - log.error_Pa - point.limit_Pa) / MBAR_Pa for point in log.points
    )
    known = [m for m in margin if m == m] or [0.0]
    room = 0.05 * (max(known) - min(known)) + 1.0
    low, high = min(*known, 0.0) - room, max(*known, 0.0) + room
    return Chart(
        name="margin",
        title="How far the bag kept from its limit",
        x=Scale("from mixing", "min", x[0], x[-1]),
        y=Scale("margin, at the deep end of the sensor's error", "mbar", low, high),
        areas=(Area("danger", "too deep", (x[0], x[-1]), (low, low), (0.0, 0.0)),),
        curves=(Curve("main", "margin", x, margin),),
        marks=_moments(log, x[-1]),
        caption=CAPTION,
    )
