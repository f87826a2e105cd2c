"""A layup's plain dict told again as what its constructor takes, each number in full."""

from collections.abc import Mapping
from typing import Any

from outgas.job.material_words import CORE_MARK, OPEN_CORE
from outgas.show import plain


def arguments_of(found: Mapping[str, Any]) -> dict[str, Any]:
    """Return the constructor's arguments for a layup's plain dict; InputError for what is none."""
    plies = []
    for ply in plain.listed(found["plies"], "plies"):
        got = plain.part(ply, ("count", "areal_mass_kg_m2", "fabric"), "ply")
        mass = plain.number(got["areal_mass_kg_m2"], "areal_mass_kg_m2")
        plies.append(f"{got['count']} x {mass!r} kg/m2 {got['fabric']}")
    core, tool, damp = found["core"], found["tool"], None
    if core is not None:
        got = plain.part(
            {"moisture": None, **core} if isinstance(core, Mapping) else core,
            ("name", "thickness_m", "open", "moisture"),
            "core",
        )
        damp = got["moisture"]
        holes = f"{OPEN_CORE[0]} " if got["open"] else ""
        core = f"{plain.number(got['thickness_m'], 'thickness_m')!r} m {holes}{got['name']}"
        plies.insert(int(plain.number(found["plies_under_core"], "plies_under_core")), CORE_MARK)
    if tool is not None:
        got = plain.part(tool, ("name", "thickness_m"), "tool")
        tool = f"{plain.number(got['thickness_m'], 'thickness_m')!r} m {got['name']}"
    sides = found["bag_side"]
    return {
        "plies": plies,
        "core": core,
        "core_moisture": damp,
        "area": plain.amount(found["area_m2"], "m**2", "area_m2"),
        "tool": tool,
        "bag_side": None if sides is None else plain.listed(sides, "bag_side"),
    }
