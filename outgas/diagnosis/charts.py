"""What a diagnosis and a bleed look like: causes before and after each answer, fibre left."""

import textwrap
from collections.abc import Mapping
from functools import partial

from outgas.diagnosis.diagnosis import Diagnosis
from outgas.physics.chance import Band
from outgas.show.chart import Chart, Maker
from outgas.show.shapes import Area, Curve, LineRole, Mark, Note, Rows, Scale

SHOWN = 6  # causes in bars
FOLLOWED: tuple[LineRole, ...] = ("main", "limit", "second", "third", "fourth")
FULL = 100.0
ROW_LETTERS = 26  # of a line in a row of bars
CAPTION = (
    "A ranking, not a finding: several causes may have acted at once. Weights of the answers are "
    "estimates."
)


def charts(found: Diagnosis) -> Mapping[str, Maker]:
    """Return the charts of a diagnosis by name."""
    return {"causes": partial(_causes, found), "answers": partial(_answers, found)}


def _folded(text: str) -> str:
    return textwrap.fill(text, ROW_LETTERS, max_lines=2, placeholder=" ...")


def _causes(found: Diagnosis, dial: str) -> Chart:  # noqa: ARG001 - no pressure on it
    """Return how likely each cause is, before any answer and with all of them."""
    leading = found.causes[:SHOWN]
    rows = Rows(tuple(_folded(cause.title) for cause in leading))
    before = found.weighed[0].causes
    pale = Rows(rows.names, 0.40)
    bars = [
        pale.bar("pale bar", "by the physics alone", i, 0.0, FULL * before.get(c.name, 0.0))
        for i, c in enumerate(leading)
    ]
    slim = Rows(rows.names, 0.22)
    bars += [
        slim.bar("bar", "with all that was seen", i, 0.0, FULL * c.probability)
        for i, c in enumerate(leading)
    ]
    return Chart(
        name="causes",
        title=f"Why it went white: {found.resin_title}",
        x=Scale("likely", "%", 0.0, FULL),
        y=rows.scale(),
        areas=tuple(bars),
        notes=tuple(
            Note(f"{FULL * c.probability:.0f} %", FULL * _longer(c.probability, before, c.name), y)
            for c, y in zip(leading, map(rows.at, range(len(leading))), strict=True)
        ),
        caption=CAPTION,
    )


def _longer(now: float, before: Mapping[str, float], name: str) -> float:
    return max(now, before.get(name, 0.0))


def _answers(found: Diagnosis, dial: str) -> Chart:  # noqa: ARG001 - no pressure on it
    """Return how likely the leading causes are after each answer in turn."""
    rows = Rows(tuple(_folded(w.answer or "before any answer") for w in found.weighed))
    curves = tuple(
        Curve(
            role,
            cause.title,
            tuple(FULL * w.causes.get(cause.name, 0.0) for w in found.weighed),
            tuple(rows.at(i) for i in range(len(found.weighed))),
            dots=True,
        )
        for role, cause in zip(FOLLOWED, found.causes, strict=False)
    )
    return Chart(
        name="answers",
        title="Causes after each answer, from the top down",
        x=Scale("likely", "%", 0.0, FULL),
        y=rows.scale(),
        curves=curves,
        caption=CAPTION,
    )


def bleed_charts(left: Band, usual: tuple[float, float], starved: float) -> Mapping[str, Maker]:
    """Return the chart of a bleed: the fibre fraction left, against what this cloth packs to.

    starved: the fibre fraction under which the bleed counts as starved.
    """
    return {"bleed": partial(_bleed, left, usual, starved)}


def _bleed(left: Band, usual: tuple[float, float], starved: float, dial: str) -> Chart:  # noqa: ARG001
    rows = Rows(("fibre now",))
    shares = (left.low, left.high, starved, *usual)
    low, high = min(shares) - 0.05, min(max(shares) + 0.05, 1.0)
    edges = (-0.6, -0.6), (0.6, 0.6)
    zones = (
        Area("early", "starved: rich and heavy", (FULL * low, FULL * starved), *edges),
        Area("safe", "good", (FULL * starved, FULL * usual[1]), *edges),
        Area("danger", "flooded: dry strands near", (FULL * usual[1], FULL * high), *edges),
    )
    return Chart(
        name="bleed",
        title="What the bleed left",
        x=Scale("fibre", "% by volume", FULL * low, FULL * high),
        y=Scale("", "", -0.6, 0.6, ticks=((0.0, rows.names[0]),)),
        areas=(*zones, rows.bar("bar", "95 % range", 0, FULL * left.low, FULL * left.high)),
        marks=(Mark("set", "likely", x=FULL * left.nominal, y=0.0),),
        caption="Even spots mean nothing without the pitch of the holes; weigh the breather to be "
        "surer. Spread it outdoors until cold: it can catch fire in a bin.",
    )
