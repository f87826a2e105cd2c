"""A picture of a map: the window along one range, or the deepest safe pressure over two."""

import io
from pathlib import Path
from typing import TYPE_CHECKING

from outgas.errors import InputError
from outgas.files import write_atomic
from outgas.many.wanted import needed

if TYPE_CHECKING:
    from xarray import Dataset

LEVELS = 12  # shades over two ranges
ONE, TWO = 1, 2  # axes that can be drawn


def draw_map(found: "Dataset", target: Path) -> None:
    """Draw a map into a .svg, .png or .pdf; InputError for one of no range, or of three."""
    plt_figure = needed("matplotlib.figure", extra="plot").Figure
    axes = [name for name, size in found.sizes.items() if size > 1]
    flat = found.squeeze(drop=True)
    figure = plt_figure(figsize=(7.0, 4.5), layout="constrained")
    panel = figure.subplots()
    if len(axes) == ONE:
        name = str(axes[0])
        x = flat[name].values
        panel.fill_between(
            x,
            flat.deepest,
            flat.shallowest,
            where=(flat.deepest < flat.shallowest).values,
            alpha=0.3,
            label="safe window",
        )
        panel.plot(x, flat.deepest, label="deepest safe")
        panel.plot(x, flat.setpoint, linestyle="--", label="setpoint")
        panel.plot(x, flat.debulk_limit, linestyle=":", label="debulk, never deeper")
        panel.set_ylabel("bag pressure [mbar absolute]")
        panel.legend()
    elif len(axes) == TWO:
        name, other = (str(axis) for axis in axes)
        shades = panel.contourf(
            flat[name].values, flat[other].values, flat.deepest.transpose(other, name), LEVELS
        )
        figure.colorbar(shades, label="deepest safe pressure [mbar absolute]")
        panel.set_ylabel(_named(flat, other))
    else:
        raise InputError(f"a picture is of one range or of two; these are {len(axes)}")
    panel.set_xlabel(_named(flat, name))
    panel.set_title(str(found.attrs.get("held", ""))[:80])
    made = io.BytesIO()
    figure.savefig(made, format=target.suffix[1:])
    try:
        write_atomic(target, made.getvalue(), shown=True)
    except OSError as error:
        raise InputError(f"{target} cannot be written: {error.strerror or error}") from None


def _named(found: "Dataset", name: str) -> str:
    unit = found[name].attrs.get("units")
    return name.replace("_", " ") + (f" [{unit}]" if unit else "")
