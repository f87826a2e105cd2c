"""A map as a chart: the window along one range, or deepest along it for a few of another."""

from typing import TYPE_CHECKING, Any

import numpy as np

from outgas.errors import InputError
from outgas.show.chart import Chart
from outgas.show.shapes import Area, Curve, LineRole, Scale

if TYPE_CHECKING:
    from xarray import Dataset

ROLES: tuple[LineRole, ...] = ("main", "second", "third", "fourth")
ROOM = 1.05  # of the weakest pressure, above it
CAPTION = (
    "Bounds are the safe side (95 %); blank where there is no answer or it is refused. Read the "
    "cautions of the advice before you pull."
)


def map_chart(found: "Dataset") -> Chart:
    """Return the chart of a map; InputError for no range, three, or too many of the second."""
    ranges = [str(name) for name, size in found.sizes.items() if size > 1]
    flat = found.squeeze(drop=True)
    if not 1 <= len(ranges) <= 2:
        raise InputError(f"a picture is of one range or of two; these are {len(ranges)}")
    if any(not np.issubdtype(flat[name].dtype, np.number) for name in ranges[:1]):
        raise InputError(f"{ranges[0]} has no numbers to draw along; put a range first")
    return _window(flat, ranges[0]) if len(ranges) == 1 else _deepest(flat, *ranges)


def _window(flat: "Dataset", along: str) -> Chart:
    x = _row(flat[along])
    deep, weak, early = (_row(flat[name]) for name in ("deepest", "shallowest", "debulk_limit"))
    first = tuple(map(min, early, deep))
    low = (0.0,) * len(x)
    areas = (
        Area("danger", "too deep at any time", x, low, first),
        Area("early", "early only: while it is thin", x, first, deep),
        Area("safe", "cure", x, deep, tuple(map(max, deep, weak))),
    )
    hold = Curve("set", "hold", x, _row(flat["setpoint"]), dots=True)
    return _chart(flat, along, areas=areas, curves=(hold,))


def _deepest(flat: "Dataset", along: str, across: str) -> Chart:
    values = flat[across].values.tolist()
    if len(values) > len(ROLES):
        raise InputError(
            f"{across} has {len(values)} values; a picture of two ranges shows {len(ROLES)} of the "
            "second at the most"
        )
    unit = flat[across].attrs.get("units", "")
    curves = tuple(
        Curve(
            role, f"{value:g} {unit}".strip() if unit else str(value), _row(flat[along]), _row(row)
        )
        for role, value, row in zip(
            ROLES, values, flat["deepest"].transpose(across, along), strict=False
        )
    )
    return _chart(flat, along, curves=curves)


def _chart(flat: "Dataset", along: str, **shapes: Any) -> Chart:
    x, unit = _row(flat[along]), str(flat[along].attrs.get("units", ""))
    most = float(np.nanmax([flat[name].max() for name in ("deepest", "shallowest")]))
    held = str(flat.attrs.get("held", ""))
    return Chart(
        name="map",
        title=f"Deepest safe pressure: {held}" if held else "Deepest safe pressure",
        x=Scale(along.replace("_", " "), unit, min(x), max(x)),
        y=Scale("bag", "mbar absolute", 0.0, ROOM * most),
        caption=CAPTION,
        **shapes,
    )


def _row(array: Any) -> tuple[float, ...]:
    return tuple(float(value) for value in np.asarray(array))
