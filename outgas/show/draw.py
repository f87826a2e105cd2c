"""Charts drawn with matplotlib, which is imported here and nowhere else, when something is drawn.

One style: the colours of Okabe and Ito, which the colour-blind tell apart; every role has a hatch,
a dash or a width of its own too, so that it reads in black and white; light or dark ground.
"""

import io
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outgas.errors import InputError
from outgas.files import write_atomic
from outgas.show.margins import (
    EDGE,
    FONT,
    LETTERED,
    SMALL_LESS,
    TITLE_MORE,
    UNDER,
    beside,
    columns,
    fold,
    margins_of,
    size,
    spread,
    width,
)
from outgas.show.shapes import Area, Beside, Curve, Mark, Note, Scale, Shapes

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FORMATS = ("svg", "png", "pdf")
INSTALL = "python -m pip install matplotlib"
PNG_DPI = 150
POINTS_AN_INCH = 72.0
FONT_NAME = "DejaVu Sans"  # comes with matplotlib
OTHER_FONTS = "Verdana, Arial, sans-serif"  # where a viewer of an svg has none: as wide or less
APART = 0.088  # of the height, between two tied notes
TIED_GAP = 0.03  # of the width, from a place to the note tied to it


@dataclass(frozen=True, slots=True)
class Ground:
    """What all is drawn on: its own colour, that of words and frames, and of what stands back."""

    paper: str
    ink: str
    quiet: str
    dark: bool


LIGHT = Ground("#ffffff", "#1a1a1a", "#6b6b6b", False)
DARK = Ground("#14171c", "#e8e8e8", "#9aa0a8", True)

OUTLINED = "outlined"  # in place of a hatch
# Each area: colour on light, on dark, and the hatch that tells it in black and white.
AREAS: dict[str, tuple[str, str, str]] = {
    "danger": ("#e08a6a", "#a2482a", "xx"),
    "early": ("#f5d58a", "#8a6a1f", "//"),
    "safe": ("#8fd3bd", "#0b7a5a", ""),
    "weak": ("#e4e4e4", "#3a3f47", ""),
    "neither": ("#d9a7c7", "#7d4a6b", "++"),
    "range": ("#b9d9ee", "#23506e", ""),
    "doubt": ("#ececec", "#2a2f36", ""),
    "bar": ("#56a0d3", "#3f88bd", ""),
    "pale bar": ("#e3edf4", "#2b4256", OUTLINED),
}
# Each line: colour on light, on dark, its dashes, its width.
LINES: dict[str, tuple[str, str, Any, float]] = {
    "main": ("#0072b2", "#56b4e9", "-", 2.6),
    "limit": ("#c04a00", "#ff9a5c", (0, (6, 2)), 2.2),
    "set": ("#111111", "#ffffff", "-", 3.2),
    "second": ("#00795a", "#3fd0a4", (0, (1.2, 1.4)), 2.4),
    "third": ("#a65288", "#e3a0ca", (0, (7, 2, 1.5, 2)), 2.0),
    "fourth": ("#8a6500", "#f0c24b", (0, (3, 1.5)), 1.8),
    "guide": ("#6b6b6b", "#9aa0a8", (0, (1, 2.5)), 1.3),
}


def draw(chart: Shapes, ax: "Axes | None" = None, *, dark: bool = False) -> "Axes":
    """Draw a chart and return its Axes; ax: where to, an Axes of a new pyplot figure if not given.

    InputError without matplotlib.
    """
    wanted()
    if ax is not None:
        return _onto(chart, ax, DARK if dark else LIGHT)
    import matplotlib.pyplot as plt

    figure = plt.figure()
    return _onto(chart, figure.add_subplot(), DARK if dark else LIGHT)


def rendered(chart: Shapes, kind: str, *, dark: bool = False) -> bytes:
    """Return a chart as the bytes of an svg, png or pdf; the same for the same chart."""
    wanted()
    import matplotlib as mpl
    from matplotlib.figure import Figure

    settings: dict[Any, Any] = {"svg.fonttype": "none", "svg.hashsalt": chart.name}
    with mpl.rc_context(settings):
        figure = Figure()
        _onto(chart, figure.add_subplot(), DARK if dark else LIGHT)
        out = io.BytesIO()
        dated = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}
        figure.savefig(out, format=kind, dpi=PNG_DPI, metadata=dated.get(kind))
    if kind != "svg":
        return out.getvalue()
    named = f"'{FONT_NAME}'"
    return out.getvalue().replace(named.encode(), f"{named}, {OTHER_FONTS}".encode())


def save(chart: Shapes, path: str | Path, *, dark: bool = False) -> None:
    """Write a chart as a picture, whole or not at all; its kind is the path's suffix."""
    place = Path(path)
    kind = read_format(place)
    content = rendered(chart, kind, dark=dark)
    try:
        write_atomic(place, content, shown=True)
    except OSError as error:
        raise InputError(f"{place} cannot be written: {error.strerror or error}") from None


def read_format(path: str | Path) -> str:
    """Return the kind of picture that a path names; InputError for none that can be drawn."""
    kind = Path(path).suffix.lower().lstrip(".")
    if kind not in FORMATS:
        names = ", ".join(f".{known}" for known in FORMATS)
        raise InputError(f"{path} does not end like a picture; end it with one of {names}")
    return kind


def svg_if_drawn(chart: Shapes) -> str | None:
    """Return a chart as an svg element for a page; None without matplotlib."""
    if not can_draw():
        return None
    text = rendered(chart, "svg").decode("utf-8")
    return text[text.index("<svg") :]


def can_draw() -> bool:
    """Tell whether matplotlib is installed, without importing it."""
    from importlib.util import find_spec

    return find_spec("matplotlib") is not None


def wanted() -> None:
    """Refuse to draw without matplotlib, with the command that installs it."""
    if not can_draw():
        raise InputError(f"a chart is drawn by matplotlib, which is not installed; run: {INSTALL}")


def _onto(chart: Shapes, ax: "Axes", ground: Ground) -> "Axes":
    """Draw a chart onto an Axes."""
    import matplotlib as mpl

    with mpl.rc_context({"font.family": FONT_NAME, "font.size": FONT, "hatch.linewidth": 0.5}):
        figure = ax.get_figure(root=True)
        assert figure is not None
        figure.set_facecolor(ground.paper)
        ax.set_facecolor(ground.paper)
        out = 0.0 if chart.y.beside is None else LETTERED * POINTS_AN_INCH
        right = None if chart.right is None else _right(chart.right, ax, ground, out)
        for area in chart.areas:
            _area(area, ax, ground)
        for curve in chart.curves:
            _curve(curve, right if curve.right and right is not None else ax, ground)
        _scales(chart, ax, ground)
        _marks(chart, ax, ground)
        _notes(chart, ax, ground)
        _words(chart, ax, right, ground)
    return ax


def _area(area: Area, ax: "Axes", ground: Ground) -> None:
    *colours, hatch = AREAS[area.role]
    edge = ground.quiet if hatch else "none"
    ax.fill_between(
        area.x,
        area.low,
        area.high,
        facecolor=colours[int(ground.dark)],
        edgecolor=edge,
        hatch=None if hatch in ("", OUTLINED) else hatch,
        linewidth=0.8 if hatch == OUTLINED else 0.0,
        label=area.label or None,
        zorder=1.0,
    )


def _line(role: str, ground: Ground) -> dict[str, Any]:
    light, dark, dashes, width = LINES[role]
    return {"color": dark if ground.dark else light, "linestyle": dashes, "linewidth": width}


def _curve(curve: Curve, ax: "Axes", ground: Ground) -> None:
    how = _line(curve.role, ground)
    if curve.stepped:
        how["drawstyle"] = "steps-post"
    if curve.dots:
        how |= {"marker": "o", "markersize": 5.0}
    ax.plot(curve.x, curve.y, label=curve.label or None, zorder=3.0, **how)


def _scales(chart: Shapes, ax: "Axes", ground: Ground) -> None:
    """Set both scales, their figures and their second letterings."""
    for axis, scale in (("x", chart.x), ("y", chart.y)):
        _scale(scale, ax, axis)
        if scale.beside is not None:
            _beside(scale.beside, scale, ax, axis, ground)
    _frame(ax, ground)
    if chart.right is None and chart.y.beside is None:
        ax.spines["right"].set_visible(False)
    ax.spines["top"].set_visible(False)


def _scale(scale: Scale, ax: "Axes", axis: str) -> None:
    for what in ("scale", "lim"):
        put = getattr(ax, f"set_{axis}{what}")
        if what == "lim":
            put(scale.low, scale.high)
        elif scale.log:
            put("log")
    if scale.ticks:
        at, words = zip(*scale.ticks, strict=True)
        getattr(ax, f"set_{axis}ticks")(at, words)
        getattr(ax, f"{axis}axis").set_tick_params(which="minor", length=0.0)
        getattr(ax, f"{axis}axis").minorticks_off()
    elif not scale.unit and not scale.title:
        getattr(ax, f"set_{axis}ticks")([])
    getattr(ax, f"set_{axis}label")(scale.label)


def _beside(beside: Beside, scale: Scale, ax: "Axes", axis: str, ground: Ground) -> None:
    twin = ax.twinx() if axis == "y" else ax.twiny()
    _scale(Scale(beside.title, "", scale.low, scale.high, scale.log, beside.ticks), twin, axis)
    _frame(twin, ground)
    other = "top" if axis == "y" else "right"
    twin.spines[other].set_visible(False)
    twin.patch.set_visible(False)


def _right(scale: Scale, ax: "Axes", ground: Ground, out: float) -> "Axes":
    """Return the Axes of the second scale, so far out [points] that it is clear of a dial."""
    twin = ax.twinx()
    twin.spines["right"].set_position(("outward", out))
    _scale(scale, twin, "y")
    _frame(twin, ground)
    twin.spines["top"].set_visible(False)
    return twin


def _frame(ax: "Axes", ground: Ground) -> None:
    ax.tick_params(colors=ground.ink, which="both")
    for spine in ax.spines.values():
        spine.set_color(ground.quiet)
    for label in (ax.xaxis.label, ax.yaxis.label):
        label.set_color(ground.ink)


def _marks(chart: Shapes, ax: "Axes", ground: Ground) -> None:
    """Draw points and lines across, each with its words where they cover no other's."""
    upright = sorted((m for m in chart.marks if m.x is not None and m.y is None), key=_x)
    for mark, (left, top) in zip(
        upright, beside([chart.x.share(_x(m)) for m in upright]), strict=True
    ):
        ax.axvline(_x(mark), zorder=2.5, **_line(mark.role, ground))
        _upright(mark, ax, left, top, ground)
    for mark in chart.marks:
        if mark.x is None and mark.y is not None:
            ax.axhline(mark.y, zorder=2.5, label=mark.label or None, **_line(mark.role, ground))
        elif mark.x is not None and mark.y is not None:
            colour = _line(mark.role, ground)["color"]
            ax.plot(
                [mark.x],
                [mark.y],
                marker="D",
                markersize=8.0,
                linestyle="none",
                color=colour,
                markeredgecolor=ground.paper,
                label=mark.label or None,
                zorder=4.0,
            )


def _x(mark: Mark) -> float:
    return 0.0 if mark.x is None else mark.x


def _upright(mark: Mark, ax: "Axes", left: bool, top: float, ground: Ground) -> None:
    """Write along an upright line, on its right or its left."""
    ax.annotate(
        mark.label,
        (_x(mark), top),
        xycoords=("data", "axes fraction"),
        xytext=(-4 if left else 4, 0),
        textcoords="offset points",
        rotation=90,
        ha="right" if left else "left",
        va="top",
        color=ground.ink,
        fontsize=FONT - 1.0,
        zorder=5.0,
        bbox=_under(ground),
    )


def _under(ground: Ground) -> dict[str, Any]:
    """Return the patch of paper under words, so that nothing runs through them."""
    return {"facecolor": ground.paper, "edgecolor": "none", "alpha": 0.8, "pad": 1.0}


def _notes(chart: Shapes, ax: "Axes", ground: Ground) -> None:
    """Write the notes; tied ones spread until none covers another, with a line to their place."""
    tied = sorted((n for n in chart.notes if n.tied), key=lambda n: n.y)
    at = spread([chart.y.share(n.y) for n in tied], APART)
    for note, share in zip(tied, at, strict=True):
        _tied(note, share, chart, ax, ground)
    for note in chart.notes:
        if not note.tied:
            ax.annotate(
                note.text,
                (note.x, note.y),
                xytext=(5, 0),
                textcoords="offset points",
                va="center",
                color=ground.ink,
                fontsize=FONT - 1.0,
                zorder=5.0,
                annotation_clip=False,
                bbox=_under(ground),
            )


def _tied(note: Note, share: float, chart: Shapes, ax: "Axes", ground: Ground) -> None:
    ax.annotate(
        note.text,
        (note.x, note.y),
        xytext=(chart.x.share(note.x) + TIED_GAP, share),
        textcoords="axes fraction",
        va="center",
        color=ground.ink,
        fontsize=FONT + 1.5 if note.strong else FONT - 0.5,
        fontweight="bold" if note.strong else "normal",
        arrowprops={"arrowstyle": "-", "color": ground.quiet, "linewidth": 0.9, "shrinkB": 0.0},
        zorder=5.0,
    )


def _words(chart: Shapes, ax: "Axes", right: "Axes | None", ground: Ground) -> None:
    """Write title, legend and caption around the chart, never over it."""
    folded = fold(chart.title, width(chart), FONT + TITLE_MORE)
    ax.set_title(folded, loc="left", color=ground.ink, fontsize=FONT + TITLE_MORE, pad=8)
    seen = _named(ax, right)
    figure = ax.get_figure(root=True)
    assert figure is not None
    if not _alone(figure, ax):
        if seen:
            _legend(ax, seen, ground, loc="best")
        return
    margins = margins_of(chart, list(seen), folded)
    wide, high = size(chart, margins)
    figure.set_size_inches(wide, high)
    figure.subplots_adjust(
        left=margins.left / wide,
        right=1.0 - margins.right / wide,
        bottom=margins.bottom / high,
        top=1.0 - margins.top / high,
    )
    if seen:
        place = EDGE / wide, (margins.bottom - UNDER) / high
        in_columns = columns(list(seen), wide)
        _legend(
            figure,
            seen,
            ground,
            loc="upper left",
            bbox_to_anchor=place,
            ncols=in_columns,
        )
    if chart.caption:
        figure.text(
            EDGE / wide,
            EDGE / high,
            fold(chart.caption, wide, FONT - SMALL_LESS),
            fontsize=FONT - SMALL_LESS,
            color=ground.quiet,
            va="bottom",
        )


def _named(ax: "Axes", right: "Axes | None") -> dict[str, Any]:
    """Return what the legend names, each once."""
    handles, labels = ax.get_legend_handles_labels()
    if right is not None:
        more, named = right.get_legend_handles_labels()
        handles, labels = [*handles, *more], [*labels, *named]
    seen: dict[str, Any] = {}
    for handle, label in zip(handles, labels, strict=True):
        seen.setdefault(label, handle)
    return seen


def _alone(figure: "Figure", ax: "Axes") -> bool:
    """Tell whether a figure holds this chart only, so that its margins are ours."""
    return len({a.get_subplotspec() for a in figure.axes}) <= 1 and ax in figure.axes


def _legend(place: Any, seen: dict[str, Any], ground: Ground, **where: Any) -> None:
    place.legend(
        list(seen.values()),
        list(seen),
        frameon=False,
        labelcolor=ground.ink,
        fontsize=FONT - 1.0,
        handlelength=3.2,
        borderpad=0.0,
        borderaxespad=0.0,
        **where,
    )
