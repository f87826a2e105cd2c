"""What is known of a bag without a gauge, drawn: the belief after each look, the ways to hold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from outgas.no_gauge.belief import Belief
from outgas.no_gauge.bleed_hole import BleedHole
from outgas.no_gauge.switching import Switching
from outgas.no_gauge.ways import HOLE, PLATE, SWITCH, VALVE, Way, nearest
from outgas.no_gauge.weighted_plate import ReliefValve
from outgas.show.chart import Chart, Maker
from outgas.show.shapes import Area, Curve, LineRole, Mark, Rows, Scale, dial_beside
from outgas.window.advice import Advice
from outgas.window.charts.zones import MBAR_Pa, Zones, bag_scale

if TYPE_CHECKING:
    from numpy.typing import NDArray

DEEPEST_mbar = 1.0  # as deep as the chart shows
TICKS = ((1.0, "1"), (3.0, "3"), (10.0, "10"), (30.0, "30"), (100.0, "100"), (300.0, "300"))
ROOM = 1.08  # over the highest
EARLIER: tuple[LineRole, ...] = ("guide", "second", "third", "fourth", "limit")
LONGEST = 70  # letters of an observation in the legend
BELIEF = (
    "Each to its own height: how likely each factor of pressure is. What is not known counts as "
    "deeper."
)
HOLDS = (
    "From the deep end that each may come to (95 %) to its weak one; a hand valve may drift, or "
    "block, to what the pump reaches. Prove it on the empty pot before any resin is mixed."
)


def after_each(belief: Belief) -> list[tuple[str, "NDArray[np.float64]"]]:
    """Return what was believed before any observation and after each: its words, its weights."""
    weights = np.full(belief.weights.size, 1.0 / belief.weights.size)
    found = [("nothing known", weights)]
    for seen in belief.evidence:
        weights = weights * seen.likelihood
        weights = weights / weights.sum()
        found.append((seen.text, weights))
    return found


def belief_charts(belief: Belief, advice: Advice | None = None) -> Mapping[str, Maker]:
    """Return the charts of a belief; with an advice, its window behind."""
    return {"belief": partial(_belief, belief, advice)}


def _belief(belief: Belief, advice: Advice | None, dial: str) -> Chart:
    here = belief.barometer_Pa / MBAR_Pa
    p = np.exp(belief._grid().ln_p) / MBAR_Pa
    shown = p >= DEEPEST_mbar
    told = after_each(belief)
    kept = told if len(told) <= len(EARLIER) else [told[0], *told[-len(EARLIER) + 1 :]]
    curves = []
    for i, (text, weights) in enumerate(kept):
        role: LineRole = "main" if i == len(kept) - 1 else EARLIER[i]
        high = weights[shown] / max(weights[shown].max(), 1e-300)
        label = text if len(text) <= LONGEST else f"{text[: LONGEST - 3]}..."
        curves.append(Curve(role, label, _floats(p[shown]), _floats(high)))
    beside = dial_beside(belief.barometer_Pa, dial, DEEPEST_mbar, here, log=True)
    ticks = (*TICKS, (1000.0, "1000")) if here > 1000.0 else TICKS
    return Chart(
        name="belief",
        title="Where the bag may be, after each look",
        x=Scale("bag", "mbar absolute", DEEPEST_mbar, here, log=True, ticks=ticks, beside=beside),
        y=Scale("", "", 0.0, ROOM),
        areas=() if advice is None else tuple(_window(advice)),
        curves=tuple(curves),
        caption=BELIEF,
    )


def _floats(values: "NDArray[np.float64]") -> tuple[float, ...]:
    return tuple(float(v) for v in values)


def _window(advice: Advice) -> list[Area]:
    """Return the zones of an advice as they lie along the bag's pressure."""
    found = []
    for role, words, low, high in Zones.of_advice(advice).edges():
        if high > max(low, DEEPEST_mbar):
            x = max(low, DEEPEST_mbar), high
            found.append(Area(role, words, x, (0.0, 0.0), (ROOM, ROOM)))
    return found


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be held, under which air, between which bounds [Pa]; None where none was told."""

    setpoint_Pa: float
    barometer_Pa: float
    deepest_Pa: float | None
    shallowest_Pa: float | None


def hold_charts(
    asked: Asked, ways: Sequence[Way], ends: Mapping[str, tuple[float, float]]
) -> Mapping[str, Maker]:
    """Return the chart of the ways to hold a setpoint."""
    return {"hold": partial(_hold, asked, ways, ends)}


def ends_of(
    asked: Asked,
    ways: Sequence[Way],
    plate: ReliefValve,
    hole: BleedHole | None,
    switching: Switching | None,
) -> dict[str, tuple[float, float]]:
    """Return between which pressures each way may hold the bag [Pa]."""
    real = None if hole is None else nearest(hole, asked.shallowest_Pa)
    weak = {
        PLATE: plate.high_Pa,
        HOLE: None if real is None else real.high_Pa,
        SWITCH: None if switching is None else switching.high_Pa,
        VALVE: asked.setpoint_Pa,
    }
    found = {}
    for way in ways:
        high = weak[way.name]
        if way.deep_Pa is not None and high is not None:
            found[way.name] = (way.deep_Pa, high)
    return found


def _hold(
    asked: Asked, ways: Sequence[Way], ends: Mapping[str, tuple[float, float]], dial: str
) -> Chart:
    rows = Rows(tuple(way.name if way.name in ends else f"{way.name}: none" for way in ways))
    bars = []
    for i, way in enumerate(ways):
        if way.name in ends:
            low, high = (p / MBAR_Pa for p in ends[way.name])
            role, words = ("bar", "sure") if way.sure else ("danger", "not sure: not alone")
            bars.append(rows.bar(role, words, i, low, high))  # type: ignore[arg-type]
    deep, weak = asked.deepest_Pa, asked.shallowest_Pa
    marks = [Mark("set", "hold", x=asked.setpoint_Pa / MBAR_Pa)]
    if deep is not None:
        marks.append(Mark("limit", "never deeper", x=deep / MBAR_Pa))
    if weak is not None:
        marks.append(Mark("second", "never weaker", x=weak / MBAR_Pa))
    return Chart(
        name="hold",
        title="Ways to hold it, the best first",
        x=bag_scale(asked.barometer_Pa, dial),
        y=rows.scale(),
        areas=tuple(bars),
        marks=tuple(marks),
        caption=HOLDS,
    )
