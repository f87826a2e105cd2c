"""Room for words: around a chart, in inches, and beside what they name, along its scales.

Worked out by the letters there are, so that nothing covers anything and it costs no time.
"""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from outgas.show.shapes import Shapes

SIZES = {"wide": (6.0, 3.3), "tall": (3.6, 4.8), "low": (6.0, 2.0)}  # inches, of the axes
FONT = 10.5  # points
LEGEND_COLUMNS, HANDLE = 2, 0.68  # what stands before a name takes so much [inch]
TITLE_MORE, SMALL_LESS = 1.5, 2.0  # points over and under FONT
# Of the room around the axes [inch]: the paper's edge, figures and title of a scale at the side,
# those underneath, a line of FONT, one of small print, a common letter of FONT, a row of bars.
EDGE, LETTERED, UNDER, LINE, SMALL_LINE, LETTER, ROW = 0.12, 0.78, 0.62, 0.21, 0.165, 0.083, 0.42


@dataclass(frozen=True, slots=True)
class Margins:
    """What is kept around the axes [inch]."""

    left: float
    right: float
    bottom: float
    top: float


def margins_of(chart: Shapes, named: Sequence[str], title: str) -> Margins:
    """Return the room that letters, legend and caption take, by how many there are."""
    left = LETTERED
    if chart.y.rows:
        words = [line for _, word in chart.y.ticks for line in word.splitlines()]
        left = 2.0 * EDGE + LETTER * max(len(line) for line in words)
    right = 2.0 * EDGE + sum(LETTERED for x in (chart.y.beside, chart.right) if x is not None)
    top = EDGE + LINE * (1.2 + title.count("\n"))
    if chart.x.beside is not None:
        top += 2.2 * LINE
    wide = SIZES[chart.shape][0] + left + right
    bottom = UNDER
    if named:
        bottom += LINE * -(-len(named) // columns(named, wide))
    if chart.caption:
        lines = 1 + fold(chart.caption, wide, FONT - SMALL_LESS).count("\n")
        bottom += EDGE + SMALL_LINE * lines
    return Margins(left, right, bottom, top)


def size(chart: Shapes, margins: Margins) -> tuple[float, float]:
    """Return how wide and high the whole picture is."""
    wide, high = SIZES[chart.shape]
    if chart.y.rows:
        high = ROW * len(chart.y.ticks)
    return wide + margins.left + margins.right, high + margins.bottom + margins.top


def width(chart: Shapes) -> float:
    """Return how wide the axes are."""
    return SIZES[chart.shape][0]


def columns(named: Sequence[str], wide: float) -> int:
    """Return in how many columns a legend stands: two where they fit a width [inch]."""
    room = sum(HANDLE + LETTER * len(word) for word in sorted(named, key=len)[-LEGEND_COLUMNS:])
    return LEGEND_COLUMNS if len(named) > 1 and room < wide - 2.0 * EDGE else 1


def fold(text: str, inches: float, points: float) -> str:
    """Return text folded to a width, by the width of a common letter."""
    return textwrap.fill(text, int(inches / (LETTER * points / FONT)))


NEAR = 0.05  # of the width: upright lines nearer than this share the room beside them
TOP, DOWN = 0.98, 0.34  # of the height: where upright words begin, and how much lower a third one


def beside(shares: list[float]) -> list[tuple[bool, float]]:
    """Return where the words along upright lines go: on the left or not, and how far up they begin.

    shares: where each line is, from left to right. Of lines close together the first has its words
    on its left, those after the second begin further down.

    >>> [(left, round(top, 2)) for left, top in beside([0.2, 0.5, 0.52, 0.54])]
    [(False, 0.98), (True, 0.98), (False, 0.98), (False, 0.64)]
    """
    found: list[tuple[bool, float]] = []
    close = 0  # how many lines before this one are close to each other and to it
    for i, share in enumerate(shares):
        close = close + 1 if i and share - shares[i - 1] < NEAR else 0
        next_one = i + 1 < len(shares) and shares[i + 1] - share < NEAR
        left = share > 1.0 - NEAR or (next_one and not close)
        found.append((left, TOP - max(0, close - 1) * DOWN))
    return found


def spread(places: list[float], apart: float) -> list[float]:
    """Return places along 0 to 1 moved as little as it takes to lie apart, in their order.

    >>> [round(x, 2) for x in spread([0.5, 0.5, 0.9], 0.1)]
    [0.45, 0.55, 0.9]
    """
    groups: list[list[float]] = []  # each: the wished places that now stand as one block
    for place in places:
        groups.append([place])
        while len(groups) > 1 and _end(groups[-2], apart) + apart > _begin(groups[-1], apart):
            last = groups.pop()
            groups[-1] += last
    moved = [_begin(group, apart) + i * apart for group in groups for i in range(len(group))]
    over = max(0.0, moved[-1] + 0.5 * apart - 1.0) if moved else 0.0
    return [max(x - over, (i + 0.5) * apart) for i, x in enumerate(moved)]


def _begin(group: list[float], apart: float) -> float:
    return sum(group) / len(group) - 0.5 * apart * (len(group) - 1)


def _end(group: list[float], apart: float) -> float:
    return _begin(group, apart) + apart * (len(group) - 1)
