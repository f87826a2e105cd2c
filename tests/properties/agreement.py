"""Text, JSON and API say the same of any job, told through every dial.

`python tests/properties/agreement.py 10000` asks that many random jobs, prints what disagreed and
how often, and ends with 1 if anything did; a second number is the first job's. A job is drawn from
its number alone, so that one that failed can be asked again. `--kinds advice,refusal` asks those
kinds alone, in their shares; a job of some kinds is drawn from its number and those.
"""

import argparse
import collections
import contextlib
import io
import json
import random
import re
import sys
import time
import traceback
import warnings
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, TypeAlias
from unittest import mock

import pint
from drawn import DIALS, WRONG, Asked, add_layup, draw, spoil
from printed import (
    ANSWER_PATTERNS,
    CURED,
    EARLY,
    EARLY_HOLD_PATTERNS,
    EXPECTED_PATTERNS,
    HOLD_PATTERNS,
    NUMBER,
    PASCAL_PER,
    ROUNDING_PA,
    STEPS,
    Failures,
    check_order,
    check_place,
    check_voids,
    pattern,
    read_back,
)

import outgas
from outgas.cli import options
from outgas.cli.main import main
from outgas.errors import OutgasError, OutgasWarning, RefusedError

Forms: TypeAlias = list[tuple[re.Pattern[str], list[tuple[str, bool]]]]

BROKEN = re.compile(
    r"\b(?:nan|inf|None|Traceback)\b|\d[eE][+-]?\d|(?<![\d.])-0(?:\.0+)?(?![\d.])|[{}]"
)
STATES = {  # how the verdict on a bag begins, by its state
    "crushes the core": "too deep, it crushes the core",
    "boiling": ("too deep, it boils", "too deep, likely boiling"),
    "may boil": "too deep, it may boil",
    "inside margin": "too deep, inside the margin of boiling",
    "debulk only": ("fit for the debulk only", "fit for the fill only"),
    "safe": "safe to ",
    "too weak": "too weak to ",
    "cannot tell": "cannot tell",
    "passed": "passed",
    "at its limit": "at its limit",
    "void-prone": "void-prone",
}
GAS_SAID = ("finish", "trapped", "connected", "dried")  # that a diagnosis is not asked with
BAGS = ("wet layup", "infusion", "core bonding")  # that a wet bag presses on
VOIDS_SLACK = 1e-6  # to which the voids of a limit are looked for
LIMITED_BY = {"air": "air coming out", "vapour": "vapour", "core": "the core's strength"}
PSI_PA = 0.45359237 * 9.80665 / 0.0254**2  # the pound and the inch of 1959


def check_answer(bad: Failures, text: str, told: dict[str, Any]) -> None:
    """The first two lines read back, and what the laminate is expected to hold."""
    lines = text.partition("\n\n")[0].splitlines()
    said: dict[str, str] = {}
    for line in lines[:2]:
        said |= _said(bad, line, ANSWER_PATTERNS, told, "a first line of an unknown form")
    check_order(bad, said, told, " / ".join(lines[:2]))
    none = lines[0].startswith(("No safe", "No useful", "No vacuum here"))
    bad.unless(none != told["has_window"], "window and first line", lines[0], told["has_window"])
    check_steps(bad, text, lines, told)
    check_expected(bad, lines, told)


def _said(
    bad: Failures, line: str, forms: Forms, told: dict[str, Any], unknown: str
) -> dict[str, str]:
    """Return the places of a line by their keys, each checked."""
    for form, keys in forms:
        match = form.fullmatch(line)
        if match:
            said = {key: match[key] for key, _ in keys}
            for key, weaker in keys:
                check_place(bad, said[key], key, weaker, told)
            return said
    bad.append(f"{unknown}: {line}")
    return {}


def check_steps(bad: Failures, text: str, lines: list[str], told: dict[str, Any]) -> None:
    """Two steps are told as two throughout, and where there is one nothing pulls deeper first."""
    two, one = ([any(f.fullmatch(x) for f in forms) for x in lines[:2]] for forms in STEPS)
    bad.unless(two[0] == two[1], "two steps on one line only", *lines[:2])
    least = re.search(r"for (\d+) min or more, while", lines[0])
    if least is not None:
        short = 60.0 * int(least[1]) < told["debulk_s"] - 1e-6
        bad.unless(not short, "a debulk shorter than its limit counts on", lines[0])
    bad.unless(one[0] == one[1], "one step on one line only", *lines[:2])
    if told["process"] not in BAGS or not told["has_window"]:
        bad.unless(not any(two + one), "steps without a bag and a window", *lines[:2])
        return
    deeper = told["debulk_Pa"] is not None and told["debulk_hold_Pa"] < told["setpoint_Pa"]
    bad.unless(two[0] == deeper, "two steps and the JSON's debulk", lines[0], told["debulk_Pa"])
    if told["no_debulk"] and told["process"] != "infusion":
        bad.unless(one[0], "a debulk though there is to be none", lines[0])
    if one[0]:
        flat, here = " ".join(text.split()), told["barometer_Pa"]
        for found in EARLY.finditer(flat):
            deep = any(p < told["setpoint_Pa"] - ROUNDING_PA for p, _ in read_back(found[1], here))
            bad.unless(not deep, "a deeper pull where there is one step", found[0])


def check_expected(bad: Failures, lines: list[str], told: dict[str, Any]) -> None:
    """The voids and the look at the setpoint are the JSON's; with no window nothing is expected."""
    voids, look, target = told["voids_at_setpoint"], told["look_at_setpoint"], told["void_target"]
    if not told["has_window"]:
        bad.unless(voids is None and look is None, "expected with no window", voids, look)
    makes_gas = any("peroxide gives off" in caution for caution in told["cautions"])
    expects = [(i, line) for i, line in enumerate(lines) if line.startswith("Expect")]
    wanted = [2] if told["has_window"] and told["process"] in BAGS else []
    bad.unless([i for i, _ in expects] == wanted, "what is expected", *lines)
    for _, line in expects:
        _said(bad, line, EXPECTED_PATTERNS, told, "an expectation of an unknown form")
        match = next((m for form, _ in EXPECTED_PATTERNS if (m := form.fullmatch(line))), None)
        if match is None:
            continue
        check_voids(bad, match["voids"], voids, "voids expected")
        bad.unless(match["look"] == look, "look expected", match["look"], look)
        more = makes_gas and voids is not None and voids[2] > target
        bad.unless((match["made"] is not None) == more, "whose gas it is", line, voids, target)
        here, straight = told["barometer_Pa"], told["deepest_no_debulk_Pa"]
        nothing = straight >= min(here, told["shallowest_Pa"])
        two = told["debulk_Pa"] is not None and told["process"] != "infusion"
        bad.unless(("With no debulk" in line) == two, "a straight pull", line, two)
        if two:
            bad.unless(("no vacuum is" in line) == nothing, "a straight pull", line, straight)
    if voids is not None and not makes_gas:
        bad.unless(voids[2] <= target + VOIDS_SLACK, "more voids than the target", voids, target)


def check_verdict(bad: Failures, text: str, told: dict[str, Any]) -> None:
    """The verdict of text and JSON, its exit code, and what its pressure should leave."""
    verdict, head = told["verdict"], text.partition("\n\n")[0].splitlines()
    lines = [line for line in head if line.startswith("Your ")]
    bad.unless(len(lines) == (verdict is not None), "a verdict in one of text and JSON", *lines)
    check_cured(bad, head, told)
    if verdict is None or not lines:
        bad.unless(told["safe"] == told["has_window"], "safe without a verdict", told["safe"])
        return
    words = lines[0].partition(": ")[2]
    bad.unless(words.startswith(STATES[verdict["state"]]), "state and words", verdict, words)
    fine = verdict["state"] in ("safe", "passed")
    bad.unless(fine == verdict["safe"], "state and safe", verdict)
    bad.unless(told["safe"] == (told["has_window"] and fine), "safe", told["safe"], verdict)
    low, high = verdict["low_Pa"], verdict["high_Pa"]
    boils = told["bubble_pressure_nominal_Pa"], told["bubble_pressure_high_Pa"]
    pulled = told["process"] != "prepreg" and not lines[0].startswith("Your pump")
    if "it boils" in words:
        bad.unless(high < boils[0] + 0.01, "it boils, and may not", verdict, boils)
    if pulled and 0.5 * (low + high) < boils[0] - 0.01 and verdict["state"] != "cannot tell":
        sure = verdict["state"] in ("boiling", "crushes the core")
        bad.unless(sure, "boils, and is not told so", verdict, boils)
    if verdict["state"] == "may boil":
        bad.unless(low < boils[1] + 0.01, "may boil, and does not", verdict, boils)
    if verdict["state"] == "safe":
        bad.unless(low >= told["deepest_Pa"] - 0.01, "safe below deepest", low, told["deepest_Pa"])
        middle = 0.5 * (low + high)
        bad.unless(middle <= told["shallowest_Pa"] + 0.01, "safe beyond shallowest", verdict)
        bad.unless(told["has_window"], "safe to cure, with no safe window", *head)


def check_cured(bad: Failures, head: list[str], told: dict[str, Any]) -> None:
    """What a cure at the bag's own pressure should leave follows the verdict on a bag."""
    found = [line for line in head if line.startswith("Cured at")]
    given = told["process"] in BAGS and told["voids_at_bag"] is not None
    bad.unless(len(found) == given, "what the bag's own pressure leaves", *head)
    for line in found:
        bad.unless(line == head[-1], "cured and not last", *head)
        match = CURED.fullmatch(line)
        if match is None:
            bad.append(f"a bag's expectation of an unknown form: {line}")
            continue
        check_voids(bad, match["voids"], told["voids_at_bag"], "voids at the bag's pressure")
        same = match["look"] == told["look_at_bag"]
        bad.unless(same, "look at the bag's pressure", line, told["look_at_bag"])
        middle = 0.5 * (told["verdict"]["low_Pa"] + told["verdict"]["high_Pa"])
        if told["pump_needs_Pa"] is None and told["verdict"]["low_Pa"] > 0.0:
            near = all(
                abs(p - middle) <= step for p, step in read_back(match["at"], told["barometer_Pa"])
            )
            bad.unless(near, "cured at another pressure", line, middle)


def check_limits(bad: Failures, text: str, told: dict[str, Any]) -> None:
    """The three limits in words, and which of them limits."""
    flat = " ".join(text.split())
    match = re.search(
        rf"All three limits, mbar: vapour ({NUMBER}), air ({NUMBER}), core ({NUMBER})", flat
    )
    if match is None:
        bad.append("no limits in the text")
        return
    for name, number in zip(("vapour", "air", "core"), match.groups(), strict=True):
        over = float(number) * 100.0 - told["limits_Pa"][name]
        bad.unless(-0.01 <= over < 100.01, f"limit {name}", number, told["limits_Pa"][name])
    words = LIMITED_BY[told["limiting"]]
    bad.unless(f"Limited by {words}" in flat, "limiting", told["limiting"])
    forms = HOLD_PATTERNS[:]
    if told["has_window"] and told["debulk_Pa"] is not None:
        forms += EARLY_HOLD_PATTERNS
    for form, keys in forms:
        for found in form.finditer(flat):
            (key, weaker), place = keys[0], found[keys[0][0]]
            check_place(bad, place, key, weaker, told)
            check_order(bad, {key: place}, told, found[0])


def check_json(bad: Failures, told: dict[str, Any]) -> None:
    """What JSON says beside the API's own numbers: the dials, and an order among pressures."""
    here = told["barometer_Pa"]
    for name, dials in told["dials"].items():
        p = told[f"{name}_Pa"]
        bad.unless((p is None) == (dials is None), "dials of nothing", name)
        if p is None or dials is None:
            continue
        reads = {
            "absolute_mbar": p / 100.0,
            "vacuum_inHg": (here - p) / PASCAL_PER["inHg"],
            "vacuum_mmHg": (here - p) / PASCAL_PER["mmHg"],
            "gauge_bar": (p - here) / 1e5,
            "gauge_kPa": (p - here) / 1e3,
            "gauge_psi": (p - here) / PSI_PA,
            "vacuum_percent": 100.0 * (1.0 - p / here),
            "absolute_torr": p / PASCAL_PER["torr"],
        }
        same = all(
            abs(dials[key] - value) <= 1e-5 * abs(value) + 1e-9 for key, value in reads.items()
        )
        bad.unless(same and dials.keys() == reads.keys(), f"dials of {name}", dials, reads)
    hold, pressed = told["setpoint_Pa"], told["process"] == "pressing"
    bad.unless(told["has_window"] == (hold is not None), "window and setpoint")
    if hold is not None and not pressed:
        fine = told["deepest_Pa"] <= hold <= told["shallowest_Pa"] < here
        bad.unless(fine, "setpoint outside its window", hold, told["deepest_Pa"])


def no_constant(name: str) -> float:
    raise ValueError(name)


def command_line(*words: str) -> tuple[int, str, str]:
    """Return a command's exit code, what it printed, and its errors."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(list(words))
    return code, out.getvalue(), err.getvalue()


def asked_twice(
    bad: Failures, ask: Callable[[], Any], *command: str
) -> tuple[Any, dict[str, Any], int]:
    """Ask the API and the command line with --json; return the answer, its JSON and exit code.

    A refusal must be the same on both, on one line, with its exit code.
    """
    code, out, err = command_line(*command, "--json")
    try:
        answer = ask()
    except OutgasError as error:
        wanted = 1 if isinstance(error, RefusedError) else 2
        words = f"outgas: {' '.join(str(error).split())}\n"
        same = (code, out, err) == (wanted, "", words)
        bad.unless(same, "refused differently", code, out[:80], err, words)
        return None, {}, code
    bad.unless(err == "", "an answer with errors beside it", err)
    if not out:
        return None, {}, code
    told = json.loads(out, parse_constant=no_constant)
    bad.unless(told == json.loads(answer.to_json()), "JSON of API and command line differ")
    return answer, told, code


def texts(bad: Failures, rng: random.Random, answer: Any, *command: str) -> Iterator[str]:
    """Yield the text on no dial and on every dial; the command line prints the same on one."""
    chosen = rng.choice([None, *DIALS])
    for dial in (None, *DIALS):
        text = answer.to_text(dial, full=True)
        found = BROKEN.search(text)
        near = "" if found is None else text[max(0, found.start() - 60) : found.end() + 20]
        bad.unless(found is None, "a broken number or place", near)
        if dial == chosen:
            _, out, err = command_line(*command, *(["--dial", dial] if dial else []))
            if getattr(answer, "reads_with", "") in ("water", "plate", "none"):
                continue  # the command line names what is set instead, on top
            bad.unless(out == f"{text}\n" and err == "", "text of API and command line", dial, err)
        yield text


def check_advice(rng: random.Random) -> tuple[str, Failures, list[str]]:
    bad, asked = Failures(), draw(rng)
    command = ["advise", "--full", *asked.command()]
    answer, told, code = asked_twice(bad, asked.advise, *command)
    if answer is None:
        return "refused", bad, command
    bad.unless(code == (0 if told["safe"] else 1), "exit code", code, told["safe"])
    check_json(bad, told)
    for text in texts(bad, rng, answer, *command):
        check_answer(bad, text, told)
        check_verdict(bad, text, told)
        check_limits(bad, text, told)
    return "advice", bad, command


def check_schedule(rng: random.Random) -> tuple[str, Failures, list[str]]:
    bad, asked = Failures(), draw(rng, layup=0.0)
    if asked.one["process"] != "degassing":
        add_layup(rng, asked)
    but = ("hottest", "bag")
    command = ["schedule", "--full", *asked.command(*but)]
    answer, told, code = asked_twice(bad, lambda: _plan(asked, but), *command)
    if answer is None:
        return "refused schedule", bad, command
    here = told["barometer_Pa"]
    check_json(bad, told["advice"])
    for stage, record in zip(told["stages"], answer.stages, strict=True):
        low, high, hold = stage["pressure_low_Pa"], stage["pressure_high_Pa"], stage["setpoint_Pa"]
        bad.unless(low <= high, "a stage's band", stage["name"], low, high)
        if stage["vacuum"] and hold is not None:
            bad.unless(low <= hold <= high, "a stage's setpoint", stage["name"], low, hold, high)
            bad.unless(hold < here, "a stage held at or above the air", stage["name"], hold, here)
        facts = {"setpoint_Pa": low if hold is None else hold, "deepest_Pa": low}
        facts |= {"shallowest_Pa": high, "barometer_Pa": here}
        for dial in (None, *DIALS):
            check_held(bad, record.held.on(here, dial), facts)
    check_same_window(bad, asked, but)
    for text in texts(bad, rng, answer, *command):
        fits = "The plan does not hold" not in text.splitlines()[1]
        bad.unless(fits == told["fits"] == (not told["breaks"]), "fits", text.splitlines()[1])
        only = "fits only if your cup gels after" in text
        bad.unless(only == (told["fits"] and told["fits_if_gel_after_s"] is not None), "fits only")
    bad.unless(code == (0 if told["fits"] else 1), "exit code of a plan", code)
    return "schedule", bad, command


def check_same_window(bad: Failures, asked: Asked, but: tuple[str, ...]) -> None:
    """A plan that degasses nothing of its own stands on the window of the advice."""
    try:
        plan = outgas.schedule(asked.resin, asked.shop(), degas=False, **asked.arguments(*but))
    except OutgasError:
        return  # refused with degassing too, and told there
    advice = outgas.advise(asked.resin, asked.shop(), **asked.arguments(*but))
    for name in ("deepest_Pa", "setpoint_Pa", "debulk_Pa", "debulk_hold_Pa", "shallowest_Pa"):
        planned, advised = getattr(plan.advice, name), getattr(advice, name)
        same = planned == advised or abs(planned - advised) <= 0.01
        bad.unless(same, f"{name} of plan and advice", planned, advised)


def check_refusal(rng: random.Random) -> tuple[str, Failures, list[str]]:
    """One wrong value in a job is one line, the same from the API and the command line."""
    bad, asked = Failures(), draw(rng)
    name, text = rng.choice(WRONG)
    spoil(asked, name, text)
    command = ["advise", "--full", *asked.command()]
    _, told, code = asked_twice(bad, asked.advise, *command)
    bad.unless(not told, "a wrong value was taken", name, text)
    bad.unless(code in (1, 2), "exit code of a refusal", code)
    return "refusal", bad, command


HELD = pattern(
    r"{setpoint_Pa<}; never deeper than {deepest_Pa<}(?:, never weaker than {shallowest_Pa>})?"
)


def check_held(bad: Failures, line: str, facts: dict[str, Any]) -> None:
    match = HELD[0].fullmatch(line)
    if match is None:
        return
    said = {key: p for key, p in match.groupdict().items() if p is not None}
    for key, weaker in HELD[1]:
        if key in said:
            check_place(bad, said[key], key, weaker, facts)
    check_order(bad, said, facts, line)


def _plan(asked: Asked, but: tuple[str, ...]) -> Any:
    return outgas.schedule(asked.resin, asked.shop(), **asked.arguments(*but))


def check_diagnosis(rng: random.Random) -> tuple[str, Failures, list[str]]:
    bad, asked = Failures(), draw(rng)
    but = ("void_target", "vapour_share", "confidence", "pump_ultimate", "hold_error", *GAS_SAID)
    for name in but:
        asked.one.pop(name, None)
    asked.flags.clear()
    command = ["diagnose", "--full", *asked.command()]

    def ask() -> Any:
        given = asked.arguments("bag")
        return outgas.diagnose(
            asked.resin, asked.shop(), bag_pressure=asked.one.get("bag"), seen=[], **given
        )

    answer, told, code = asked_twice(bad, ask, *command)
    if answer is None:
        return "refused diagnosis", bad, command
    bad.unless(code == 0, "exit code of a diagnosis", code)
    chances = [cause["probability"] for cause in told["causes"]]
    total = sum(chances) + told["unlisted_probability"]
    bad.unless(abs(total - 1.0) < 1e-6, "probabilities", total)
    bad.unless(chances == sorted(chances, reverse=True), "causes out of order", chances)
    for text in texts(bad, rng, answer, *command):
        first = text.splitlines()[0]
        bad.unless(first.startswith("Cannot tell") == told["cannot_tell"], "cannot tell", first)
        bad.unless(told["causes"][0]["title"] in first, "the leading cause", first)
    return "diagnosis", bad, command


WANTS = pattern(r"Your bag: .*the cure wants {deepest_Pa<} to {shallowest_Pa>}\.")


def check_belief(rng: random.Random) -> tuple[str, Failures, list[str]]:
    bad, asked = Failures(), draw(rng)
    for name in ("bag", "dried"):
        asked.one.pop(name, None)
    p, error = rng.uniform(5.0, 680.0), rng.uniform(0.2, 30.0)
    sensor = (f"{p:.1f} mbar", f"{error:.1f} mbar")
    command = ["no-gauge", "belief", "--full", *asked.command(), "--sensor", ", ".join(sensor)]

    def ask() -> Any:
        shop = asked.shop()
        bag = outgas.BagPressure.unknown(shop.barometer).sensor(*sensor)
        return bag.advise(asked.resin, shop, **asked.arguments())

    answer, told, code = asked_twice(bad, ask, *command)
    if answer is None:
        return "refused belief", bad, command
    bad.unless(code == (0 if told["safe"] else 1), "exit code of a belief", code)
    chances = [told[f"chance_{name}"] for name in ("too_deep", "in_window", "too_weak")]
    bad.unless(all(-1e-9 <= c <= 1.0 + 1e-9 for c in chances), "chances", chances)
    bad.unless(told["safe"] == (told["state"] == "safe"), "safe of a belief", told["state"])
    for text in texts(bad, rng, answer, *command):
        first = text.splitlines()[0]
        match = WANTS[0].fullmatch(first)
        wants = told["advice"]["has_window"] and told["advice"]["process"] != "prepreg"
        bad.unless((match is not None) == wants, "what the cure wants", first)
        if match is not None:
            for key, weaker in WANTS[1]:
                check_place(bad, match[key], key, weaker, told["advice"])
        safe = first.startswith("Your bag: safe")
        bad.unless(safe == told["safe"], "belief's words and safe", first, told["state"])
    return "belief", bad, command


KINDS: dict[str, tuple[float, Callable[..., tuple[str, Failures, list[str]]]]] = {
    "schedule": (0.03, check_schedule),  # by their shares
    "diagnosis": (0.03, check_diagnosis),
    "belief": (0.03, check_belief),
    "refusal": (0.03, check_refusal),
    "advice": (0.88, check_advice),
}


@contextlib.contextmanager
def quickly() -> Iterator[None]:
    """Let API and command lines share the command line's registry of units, with no warnings."""
    before = pint.get_application_registry().get()
    with contextlib.ExitStack() as stack:
        stack.enter_context(warnings.catch_warnings())
        options.ready()
        stack.callback(pint.set_application_registry, before)
        for module in ("before", "after", "no_gauge"):
            stack.enter_context(mock.patch(f"outgas.cli.commands.{module}.ready"))
        warnings.simplefilter("ignore", OutgasWarning)
        yield


def check_job(number: int, kinds: Sequence[str]) -> tuple[str, Failures, list[str]]:
    """Draw one job by its number and return its kind, what disagreed, and its command line."""
    rng = random.Random(f"job {number}")
    check = KINDS[rng.choices(kinds, [KINDS[kind][0] for kind in kinds])[0]][1]
    try:
        return check(rng)
    except Exception as error:  # whatever it is, a builder would see a traceback
        where = traceback.extract_tb(error.__traceback__)[-1]
        what = f"{type(error).__name__} in {Path(where.filename).name}: {where.lineno}: {error}"
        return check.__name__, Failures([what]), [f"job {number}"]


def run(
    count: int, first: int = 0, kinds: Sequence[str] = tuple(KINDS)
) -> tuple[collections.Counter[str], list[tuple[int, str, str]]]:
    """Ask jobs; return how many there were of each kind, and (number, command, failure) of all."""
    asked: collections.Counter[str] = collections.Counter()
    failed: list[tuple[int, str, str]] = []
    with quickly():
        for number in range(first, first + count):
            kind, bad, command = check_job(number, kinds)
            asked[kind] += 1
            line = " ".join(f"'{w}'" if " " in w else w for w in command)
            failed += [(number, line, what) for what in dict.fromkeys(bad)]
    return asked, failed


def read_arguments() -> argparse.Namespace:
    """Return how many jobs, the first one's number, and the kinds to draw them from."""
    found = argparse.ArgumentParser(description="Ask random jobs in every way there is.")
    found.add_argument("count", type=int)
    found.add_argument("first", type=int, nargs="?", default=0)
    found.add_argument("--kinds", default=",".join(KINDS), help="of " + ", ".join(KINDS))
    given = found.parse_args()
    given.kinds = tuple(given.kinds.split(","))
    for kind in given.kinds:
        if kind not in KINDS:
            found.error(f"no kind is called {kind!r}; there are {', '.join(KINDS)}")
    return given


if __name__ == "__main__":
    started, given = time.monotonic(), read_arguments()
    kinds, failed = run(given.count, given.first, given.kinds)
    by_kind = collections.defaultdict(list)
    for job, command, what in failed:
        by_kind[what.partition(":")[0]].append((job, command, what))
    for name, found in sorted(by_kind.items(), key=lambda item: -len(item[1])):
        print(f"{len({job for job, _, _ in found})} jobs: {name}")
        for job, command, what in found[:4]:
            print(f"  job {job}: outgas {command}\n    {what}")
    print(
        dict(kinds),
        f"in {time.monotonic() - started:.0f} s;",
        len({j for j, _, _ in failed}),
        "failed",
    )
    sys.exit(1 if failed else 0)
