"""What is printed, read back as a builder would: dials, places for pressures, first lines.

The definitions of the dials are from here, not from the package.
"""

import re
from collections.abc import Iterator
from typing import Any

from drawn import PASCAL_PER_INHG

PASCAL_PER = {"inHg": PASCAL_PER_INHG, "mmHg": 133.322387, "bar": 1e5, "mbar": 100.0}
PASCAL_PER["torr"] = 101325.0 / 760.0
STEP = {"inHg": 0.1, "mmHg": 1.0, "bar": 0.005, "%": 0.5, "mbar": 1.0, "torr": 1.0}
ROUNDING_PA = 0.3  # of the mercury's density in the seventh figure, and of the printed decimals
NUMBER = r"-?\d+(?:\.\d+)?"
PLACE = (
    rf"{NUMBER} (?:inHg|mmHg|bar|%|mbar|torr)(?: vacuum| gauge| absolute)?"
    r"(?: \(\d+ mbar(?: absolute)?\))?"
)

# The first two lines as they may read: named is the JSON's key, and whether it is rounded to less
# vacuum (<) or, as the weakest clamp, to more (>).
CORE = r"(?:; this core bears about \d+ mbar of clamp)?"
ANSWERS = (
    r"(?:Cure|Hold the vent for the cure) at {setpoint_Pa<}: never deeper than {deepest_Pa<}, "
    rf"never weaker than {{shallowest_Pa>}}{CORE}\.",
    r"No vacuum here (?:clamps|degasses) enough: this pump is sure of {pump_reach_Pa<} only, and "
    r"(?:the clamp|the pot|prepreg) needs {pump_needs_Pa>} or deeper\.",
    r"Find the leak, or take a pump that reaches it\.",
    r"Find the leak, or take a pump that reaches it; with one, (?:cure|degas) no deeper than "
    r"{deepest_Pa<}\.",
    r"Go there at once, while the resin is thin, and stay: no deeper debulk is safe here\.",
    r"(?:Debulk first|Fill) at {debulk_hold_Pa<}, never deeper than {debulk_limit_Pa<}, while the "
    r"resin is thin; when it goes quiet come back up to cure\.",
    r"No safe vacuum to cure at as it stands: no deeper than {deepest_Pa<} is safe, and the clamp "
    rf"needs {{shallowest_Pa>}} or deeper(?:, too little between them to hold)?{CORE}\.",
    r"No safe vacuum to cure at as it stands: the resin needs {deepest_Pa<}, more than the "
    rf"atmosphere has, and the clamp needs {{shallowest_Pa>}} or deeper{CORE}\.",
    r"(?:Debulk first|Fill) at {debulk_hold_Pa<}, never deeper than {debulk_limit_Pa<}, while the "
    r"resin is thin; after that the cure limit is {deepest_after_debulk_Pa<}\. See the ways out\.",
    r"No vacuum to (?:debulk|fill) at either: no deeper than {debulk_limit_Pa<} is safe, and none "
    r"between that and the air can be held\. See the ways out\.",
    r"No safe vacuum for this core: it crushes beyond {deepest_Pa<}; prepreg needs "
    r"{shallowest_Pa>}\.",
    r"Cure at full vacuum, {setpoint_Pa<}, and never weaker than {shallowest_Pa>}: wet prepreg is "
    r"no reason to let up\.",
    r"Debulk at full vacuum, {setpoint_Pa<}, every few plies: that is how the air leaves\.",
    r"No useful vacuum to degas at: it may boil deeper than {deepest_Pa<}, and weaker than "
    r"{shallowest_Pa>} takes out too little\.",
    r"Degas at {setpoint_Pa<}: never deeper than {deepest_Pa<}, and weaker than {shallowest_Pa>} "
    r"is not worth the time\.",
    r"No safe cure in a press that leaves the resin at the atmosphere: it needs {deepest_Pa<}, so "
    rf"{PLACE} of press in the resin itself\.",
    rf"Cure with no vacuum, {PLACE}, in the press: the resin needs {{deepest_Pa<}} and has at "
    r"least \d+\.",
    r"Take a stronger core\.|There is no debulk in a pot.*|No vacuum, so no debulk pressure.*",
)
HOLD = (r"come (?:back )?up to {setpoint_Pa<}", r"hold the vent at {setpoint_Pa<}",
        r"go down slowly to {setpoint_Pa<}", r"pull to {debulk_hold_Pa<}",
        r"fill at no deeper than {debulk_hold_Pa<}")  # fmt: skip


def pattern(form: str) -> tuple[re.Pattern[str], list[tuple[str, bool]]]:
    """Return a form as an expression, with the key of each place and whether it rounds weaker."""
    keys = re.findall(r"{(\w+)([<>])}", form)
    found = re.compile(re.sub(r"{\w+[<>]}", lambda _: f"({PLACE})", form))
    return found, [(key, mark == "<") for key, mark in keys]


ANSWER_PATTERNS, HOLD_PATTERNS = [pattern(f) for f in ANSWERS], [pattern(f) for f in HOLD]


class Failures(list[str]):
    """What disagreed, in one job."""

    def unless(self, holds: bool, what: str, *more: Any) -> None:
        if not holds:
            self.append(f"{what}: {' | '.join(str(m)[:400] for m in more)}")


def read_back(place: str, here: float) -> Iterator[tuple[float, float]]:
    """Yield each number of a printed pressure as absolute Pa, with one step of its dial [Pa]."""
    for number, unit in re.findall(rf"({NUMBER}) (inHg|mmHg|bar|%|mbar|torr)", place):
        if unit == "%":
            yield here * (1.0 - float(number) / 100.0), STEP["%"] / 100.0 * here
        else:
            one = PASCAL_PER[unit]
            absolute = unit in ("mbar", "torr")
            way = {"bar": 1.0}.get(unit, -1.0)
            p = float(number) * one
            yield (p if absolute else here + way * p), STEP[unit] * one


def check_place(bad: Failures, place: str, key: str, weaker: bool, told: dict[str, Any]) -> None:
    """A printed pressure is the API's, on the safe side of it and within one step."""
    exact, here = told[key], told["barometer_Pa"]
    if exact is None:
        bad.append(f"{key} is printed and is null: {place}")
        return
    for p, step in read_back(place, here):
        safe = p >= exact - ROUNDING_PA if weaker else p <= exact + ROUNDING_PA
        bad.unless(safe, f"{key} on the unsafe side", place, exact, here)
        near = abs(p - exact) <= step + ROUNDING_PA
        bad.unless(near, f"{key} more than a step away", place, exact, here)


def setting(key: str) -> bool:
    return key in ("setpoint_Pa", "debulk_hold_Pa")


def check_order(bad: Failures, said: dict[str, str], told: dict[str, Any], line: str) -> None:
    """What is to be held is not at or above the air, nor beyond its bounds, as printed."""
    here = told["barometer_Pa"]
    values = {key: [p for p, _ in read_back(place, here)] for key, place in said.items()}
    for key, numbers in values.items():
        if setting(key):
            bad.unless(all(p < here - 1e-6 for p in numbers), f"{key} at or above the air", line)
    for hold, bound, deeper in (
        ("setpoint_Pa", "deepest_Pa", True),
        ("setpoint_Pa", "shallowest_Pa", False),
        ("debulk_hold_Pa", "debulk_limit_Pa", True),
    ):
        for p, q in zip(values.get(hold, ()), values.get(bound, ()), strict=False):
            fine = p >= q - 1e-6 if deeper else p <= q + 1e-6
            bad.unless(fine, f"{hold} contradicts {bound}", line)
