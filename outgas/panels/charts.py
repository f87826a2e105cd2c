"""What panels taught, in charts: each number before and after, and which panel to make next."""

import textwrap
from collections.abc import Mapping
from functools import partial

from outgas.laminate.batch import GEL
from outgas.laminate.course import VAPOUR
from outgas.panels.experience import Experience, Group, Number
from outgas.panels.numbers import DIAL, INITIATOR
from outgas.show.chart import Chart, Maker
from outgas.show.shapes import Curve, Mark, Rows, Scale
from outgas.window.charts.zones import MBAR_Pa, bag_scale

ROW_LETTERS = 30  # of a line in a row of bars
FULL = 100.0
CAPTION = (
    "95 % ranges, in shares of the range before. Panels speak for their own resin family, process "
    "and cloth, made as they were."
)
_LEFT_OUT = (DIAL, GEL, INITIATOR, VAPOUR)


def charts(found: Experience) -> Mapping[str, Maker]:
    """Return the charts of an experience: of its first kind, then of the others by their place."""
    made: dict[str, Maker] = {}
    for i, group in enumerate(found.groups):
        suffix = "" if i == 0 else f" {i + 1}"
        made[f"learnt{suffix}"] = partial(_learnt, f"learnt{suffix}", group)
        made[f"next{suffix}"] = partial(_next, f"next{suffix}", group, found.barometer_Pa)
    return made


def _place(number: Number, value: float) -> float:
    """Return where a value lies in the range before, in per cent: 0 its low end, 100 its high."""
    low, high = number.before.low, number.before.high
    return FULL * (value - low) / (high - low)


def _learnt(name: str, group: Group, dial: str) -> Chart:  # noqa: ARG001 - no pressure on it
    """Return each number's range before any panel, and with them."""
    numbers = sorted(
        (n for n in group.numbers if n.name not in _LEFT_OUT), key=lambda number: number.narrowed
    )
    rows = Rows(tuple(textwrap.fill(n.title, ROW_LETTERS, max_lines=2) for n in numbers))
    pale, slim = Rows(rows.names, 0.40), Rows(rows.names, 0.22)
    ends = [
        (_place(n, n.after.low), _place(n, n.after.high), _place(n, n.after.nominal))
        for n in numbers
    ]
    bars = [pale.bar("pale bar", "by the tables", i, 0.0, FULL) for i in range(len(numbers))]
    bars += [
        slim.bar("bar", f"by {group.panels} panels", i, low, high)
        for i, (low, high, _) in enumerate(ends)
    ]
    room = 0.05 * FULL
    return Chart(
        name=name,
        title=f"Before and after: {group.kind}",
        x=Scale(
            "of the range before",
            "%",
            min(0.0, *(low for low, _, _ in ends)) - room,
            max(FULL, *(high for _, high, _ in ends)) + room,
        ),
        y=rows.scale(),
        areas=tuple(bars),
        marks=tuple(
            Mark("set", "likeliest" if i == 0 else "", x=middle, y=rows.at(i))
            for i, (_, _, middle) in enumerate(ends)
        ),
        caption=CAPTION,
    )


def _next(name: str, group: Group, barometer_Pa: float, dial: str) -> Chart:
    """Return how likely a next panel is to come out clear or milky over the bag's pressure."""
    some = sorted(group.next_panels, key=lambda panel: panel.pressure_Pa)
    at = tuple(panel.pressure_Pa / MBAR_Pa for panel in some)
    best = group.next_panels[0]
    return Chart(
        name=name,
        title=f"Which panel next: {group.kind}",
        x=bag_scale(barometer_Pa, dial),
        y=Scale("likely", "%", 0.0, FULL),
        curves=(
            Curve("main", "clear", at, tuple(FULL * p.looks[0] for p in some), dots=True),
            Curve("limit", "milky", at, tuple(FULL * p.looks[2] for p in some), dots=True),
            Curve("second", "bits, of 100", at, tuple(FULL * p.bits for p in some), dots=True),
        ),
        marks=(Mark("guide", "teaches most", x=best.pressure_Pa / MBAR_Pa),),
        caption="A test panel is a piece to throw away: never try a deeper bag on the job itself.",
    )
