"""What is printed, read back as a builder would: dials, places for pressures, first lines, voids.

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
ROUNDING_PERCENT = 1e-4  # so that a whole per cent is not rounded past itself
NO_LAMINATE = 0.5  # of its volume: from here it is a froth
NUMBER = r"-?\d+(?:\.\d+)?"
PLACE = (
    rf"{NUMBER} (?:inHg|mmHg|bar|%|mbar|torr)(?: vacuum| gauge| absolute)?"
    r"(?: \(\d+ mbar(?: absolute)?\))?"
)
VOIDS = rf"(?:froth|{NUMBER}% voids, at the worst froth|{NUMBER}% voids \({NUMBER} to {NUMBER}\))"
LOOKS = ("clear", "hazy", "milky")
LOOK = r"(?:clear|hazy|milky)(?: to (?:hazy|milky))?"

# The first lines as they may read: named is the JSON's key, and whether it is rounded to less
# vacuum (<) or, as the weakest clamp, to more (>).
CORE = r"(?:; this core bears about \d+ mbar of clamp)?"
# What tells to hold a pressure, with a window, and the line that bounds it.
IN_TWO_STEPS = (
    r"Debulk at {debulk_hold_Pa<} for \d+ min or more, while the resin is thin; when it goes quiet "
    r"come up and cure at {setpoint_Pa<}\.",
    r"Fill at {debulk_hold_Pa<}; inlet shut, wait until the line runs clear, then let the vent up "
    r"to {setpoint_Pa<} for the cure\.",
    r"Never deeper: (?:debulk|fill) {debulk_limit_Pa<}, cure {deepest_Pa<}; never weaker than "
    rf"{{shallowest_Pa>}}{CORE}\.",
)
IN_ONE_STEP = (
    r"(?:Cure|Fill and hold the vent) at {setpoint_Pa<}: go there at once, while the resin is "
    r"thin, and stay\.",
    rf"Never deeper than {{deepest_Pa<}}, never weaker than {{shallowest_Pa>}}{CORE}\.",
)
ANSWERS = (
    *IN_TWO_STEPS,
    *IN_ONE_STEP,
    r"No vacuum here (?:clamps|degasses) enough: this pump is sure of {pump_reach_Pa<} only, and "
    r"(?:the clamp|the pot|prepreg) needs {pump_needs_Pa>} or deeper\.",
    r"Find the leak, or take a pump that reaches it\.",
    r"Find the leak, or take a pump that reaches it; with one, (?:cure|degas) no deeper than "
    r"{deepest_Pa<}\.",
    r"No safe vacuum to cure at as it stands: no deeper than {deepest_Pa<} is safe, and the clamp "
    rf"needs {{shallowest_Pa>}} or deeper{CORE}\.",
    r"No safe vacuum to cure at as it stands: the window, from {deepest_Pa<} up to "
    rf"{{shallowest_Pa>}}, is too narrow to hold by (?:a dial|boiling water|a sensor){CORE}\.",
    r"No safe vacuum to cure at as it stands: the resin needs {deepest_Pa<}, more than the "
    rf"atmosphere has, and the clamp needs {{shallowest_Pa>}} or deeper{CORE}\.",
    r"(?:Debulk first|Fill) at {debulk_hold_Pa<}, never deeper than {debulk_limit_Pa<}, while the "
    r"resin is thin, helps but is not enough\. See the ways out\.",
    r"(?:A debulk does not mend that\. )?See the ways out\.",
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
# What a laminate should hold at its setpoint, and what a straight pull may do.
MADE = r"(?P<made>; the more by its peroxide's gas, which no vacuum takes away)?"
EXPECTATIONS = (
    rf"Expect (?P<voids>{VOIDS}), (?P<look>{LOOK}){MADE}\."
    r" With no debulk: cure no deeper than {deepest_no_debulk_Pa<}\.",
    rf"Expect (?P<voids>{VOIDS}), (?P<look>{LOOK}){MADE}\."
    r"(?P<none> With no debulk no vacuum is both safe and tight enough\.)?",
)
CURED = re.compile(rf"Cured at (?P<at>{PLACE}): expect (?P<voids>{VOIDS}), (?P<look>{LOOK})\.")
EARLY = re.compile(rf"(?:pull to|fill at) ({PLACE})")
EARLY_HOLD = (r"(?:pull to|fill at) {debulk_hold_Pa<}",)
HOLD = (r"come (?:back )?up to {setpoint_Pa<}", r"let the vent up to {setpoint_Pa<}",
        r"[Hh]old the vent at {setpoint_Pa<}", r"go to {setpoint_Pa<} at once",
        r"go down slowly to {setpoint_Pa<}")  # fmt: skip


def pattern(form: str) -> tuple[re.Pattern[str], list[tuple[str, bool]]]:
    """Return a form as an expression, with the key of each place and whether it rounds weaker.

    Each place is a group of its key's name.
    """
    keys = re.findall(r"{(\w+)([<>])}", form)
    found = re.compile(re.sub(r"{(\w+)[<>]}", lambda m: f"(?P<{m[1]}>{PLACE})", form))
    return found, [(key, mark == "<") for key, mark in keys]


ANSWER_PATTERNS, HOLD_PATTERNS = [pattern(f) for f in ANSWERS], [pattern(f) for f in HOLD]
EXPECTED_PATTERNS = [pattern(f) for f in EXPECTATIONS]
STEPS = [pattern(f)[0] for f in IN_TWO_STEPS], [pattern(f)[0] for f in IN_ONE_STEP]
EARLY_HOLD_PATTERNS = [pattern(f) for f in EARLY_HOLD]


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


def check_voids(bad: Failures, said: str, exact: list[float] | None, what: str) -> None:
    """Printed voids are the JSON's: nominal to a tenth, the low end rounded down, the high up."""
    if exact is None:
        bad.append(f"{what} is printed and is null: {said}")
        return
    nominal, low, high = (100.0 * share for share in exact)
    bad.unless(low <= nominal <= high, f"{what} out of order", exact)
    if "froth" in said:
        worst = 100.0 * NO_LAMINATE
        bad.unless(high >= worst, f"{what} is no froth", said, exact)
        bad.unless((nominal >= worst) == (said == "froth"), f"{what} and froth", said, exact)
    numbers = [float(n) for n in re.findall(NUMBER, said)]
    if numbers:
        near = abs(numbers[0] - nominal) <= 0.05 + ROUNDING_PERCENT
        bad.unless(near, f"{what}, nominal", said, exact)
    if len(numbers) == 3:
        under, over = low - numbers[1], numbers[2] - high
        step = 1.0 if numbers[2] >= 1.0 else 0.1
        bad.unless(high < 100.0 * NO_LAMINATE, f"{what} is a froth", said, exact)
        down = -ROUNDING_PERCENT <= under < 1.0
        bad.unless(down, f"{what}, low end not rounded down", said, exact)
        up = -ROUNDING_PERCENT <= over < step
        bad.unless(up, f"{what}, high end not rounded up", said, exact)


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
        ("setpoint_Pa", "debulk_hold_Pa", True),
    ):
        for p, q in zip(values.get(hold, ()), values.get(bound, ()), strict=False):
            fine = p >= q - 1e-6 if deeper else p <= q + 1e-6
            bad.unless(fine, f"{hold} contradicts {bound}", line)
