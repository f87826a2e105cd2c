"""Text, JSON and API say the same of any job, told through every dial.

`python tests/properties/agreement.py 10000` asks that many random jobs, prints what disagreed and
how often, and ends with 1 if anything did; a second number is the first job's. A job is drawn from
its number alone, so that one that failed can be asked again.
"""

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
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest import mock

import pint
from drawn import DIALS, Asked, add_layup, draw
from printed import (
    ANSWER_PATTERNS,
    HOLD_PATTERNS,
    NUMBER,
    PASCAL_PER,
    Failures,
    check_order,
    check_place,
    pattern,
)

import outgas
from outgas.cli import options
from outgas.cli.main import main
from outgas.errors import OutgasError, OutgasWarning, RefusedError

BROKEN = re.compile(
    r"\b(?:nan|inf|None|Traceback)\b|\d[eE][+-]?\d|(?<![\d.])-0(?:\.0+)?(?![\d.])|[{}]"
)
STATES = {  # how the verdict on a bag begins, by its state
    "crushes the core": "too deep, it crushes the core",
    "boiling": "too deep, likely boiling",
    "inside margin": "too deep, inside the margin of boiling",
    "debulk only": "fit for the debulk only",
    "safe": "safe to ",
    "too weak": "too weak to ",
    "cannot tell": "cannot tell",
    "passed": "passed",
    "at its limit": "at its limit",
    "void-prone": "void-prone",
}
LIMITED_BY = {"air": "air coming out", "vapour": "vapour", "core": "the core's strength"}


def check_answer(bad: Failures, lines: list[str], told: dict[str, Any]) -> None:
    """The first two lines read back."""
    for line in lines[:2]:
        for form, keys in ANSWER_PATTERNS:
            match = form.fullmatch(line)
            if match:
                for (key, weaker), place in zip(keys, match.groups(), strict=True):
                    check_place(bad, place, key, weaker, told)
                said = {key: place for (key, _), place in zip(keys, match.groups(), strict=True)}
                check_order(bad, said, told, line)
                break
        else:
            bad.append(f"a first line of an unknown form: {line}")
    none = lines[0].startswith(("No safe", "No useful", "No vacuum here"))
    bad.unless(none != told["has_window"], "window and first line", lines[0], told["has_window"])


def check_verdict(bad: Failures, lines: list[str], told: dict[str, Any]) -> None:
    """The third line and the JSON's verdict, and the exit code that follows from it."""
    verdict = told["verdict"]
    line = next((x for x in lines[2:3] if x.startswith("Your ")), None)
    bad.unless((verdict is None) == (line is None), "a verdict in one of text and JSON only", line)
    if verdict is None or line is None:
        bad.unless(told["safe"] == told["has_window"], "safe without a verdict", told["safe"])
        return
    words = line.partition(": ")[2]
    bad.unless(words.startswith(STATES[verdict["state"]]), "state and words", verdict, line)
    fine = verdict["state"] in ("safe", "passed")
    bad.unless(fine == verdict["safe"], "state and safe", verdict)
    bad.unless(told["safe"] == (told["has_window"] and fine), "safe", told["safe"], verdict)
    if verdict["state"] == "safe":
        low, high = verdict["low_Pa"], verdict["high_Pa"]
        bad.unless(low >= told["deepest_Pa"] - 0.01, "safe below deepest", low, told["deepest_Pa"])
        middle = 0.5 * (low + high)
        bad.unless(middle <= told["shallowest_Pa"] + 0.01, "safe beyond shallowest", verdict)
        bad.unless(told["has_window"], "safe to cure, with no safe window", *lines[:3])


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
    for form, keys in HOLD_PATTERNS:
        for found in form.finditer(flat):
            (key, weaker), place = keys[0], found[1]
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
        text = answer.to_text(dial)
        found = BROKEN.search(text)
        near = "" if found is None else text[max(0, found.start() - 60) : found.end() + 20]
        bad.unless(found is None, "a broken number or place", near)
        if dial == chosen:
            _, out, err = command_line(*command, *(["--dial", dial] if dial else []))
            bad.unless(out == f"{text}\n" and err == "", "text of API and command line", dial, err)
        yield text


def check_advice(rng: random.Random) -> tuple[str, Failures, list[str]]:
    bad, asked = Failures(), draw(rng)
    command = ["advise", *asked.command()]
    answer, told, code = asked_twice(bad, asked.advise, *command)
    if answer is None:
        return "refused", bad, command
    bad.unless(code == (0 if told["safe"] else 1), "exit code", code, told["safe"])
    check_json(bad, told)
    for text in texts(bad, rng, answer, *command):
        lines = text.splitlines()
        check_answer(bad, lines, told)
        check_verdict(bad, lines, told)
        check_limits(bad, text, told)
    return "advice", bad, command


def check_schedule(rng: random.Random) -> tuple[str, Failures, list[str]]:
    bad, asked = Failures(), draw(rng, layup=0.0)
    if asked.one["process"] != "degassing":
        add_layup(rng, asked)
    but = ("hottest", "bag")
    command = ["schedule", *asked.command(*but)]
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
    for text in texts(bad, rng, answer, *command):
        fits = "The plan does not hold" not in text.splitlines()[1]
        bad.unless(fits == told["fits"] == (not told["breaks"]), "fits", text.splitlines()[1])
        only = "fits only if your cup gels after" in text
        bad.unless(only == (told["fits"] and told["fits_if_gel_after_s"] is not None), "fits only")
    bad.unless(code == (0 if told["fits"] else 1), "exit code of a plan", code)
    return "schedule", bad, command


HELD = pattern(
    r"{setpoint_Pa<}; never deeper than {deepest_Pa<}(?:, never weaker than {shallowest_Pa>})?"
)


def check_held(bad: Failures, line: str, facts: dict[str, Any]) -> None:
    match = HELD[0].fullmatch(line)
    if match is None:
        return
    said = {key: p for (key, _), p in zip(HELD[1], match.groups(), strict=True) if p is not None}
    for key, weaker in HELD[1]:
        if key in said:
            check_place(bad, said[key], key, weaker, facts)
    check_order(bad, said, facts, line)


def _plan(asked: Asked, but: tuple[str, ...]) -> Any:
    return outgas.schedule(asked.resin, asked.shop(), **asked.arguments(*but))


def check_diagnosis(rng: random.Random) -> tuple[str, Failures, list[str]]:
    bad, asked = Failures(), draw(rng)
    but = ("void_target", "vapour_share", "confidence", "pump_ultimate", "hold_error")
    for name in but:
        asked.one.pop(name, None)
    command = ["diagnose", *asked.command()]

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
    asked.one.pop("bag", None)
    p, error = rng.uniform(5.0, 680.0), rng.uniform(0.2, 30.0)
    sensor = (f"{p:.1f} mbar", f"{error:.1f} mbar")
    command = ["no-gauge", "belief", *asked.command(), "--sensor", ", ".join(sensor)]

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
            for (key, weaker), place in zip(WANTS[1], match.groups(), strict=True):
                check_place(bad, place, key, weaker, told["advice"])
        safe = first.startswith("Your bag: safe")
        bad.unless(safe == told["safe"], "belief's words and safe", first, told["state"])
    return "belief", bad, command


KINDS: tuple[tuple[float, Callable[..., tuple[str, Failures, list[str]]]], ...] = (
    (0.03, check_schedule),
    (0.06, check_diagnosis),
    (0.09, check_belief),
    (1.0, check_advice),
)


@contextlib.contextmanager
def quickly() -> Iterator[None]:
    """Let API and command lines share the command line's registry of units, with no warnings."""
    before = pint.get_application_registry().get()
    with contextlib.ExitStack() as stack:
        stack.enter_context(warnings.catch_warnings())
        options.ready()
        stack.callback(pint.set_application_registry, before)
        for module in ("before", "after", "no_gauge"):
            stack.enter_context(mock.patch(f"outgas.cli.{module}.ready"))
        warnings.simplefilter("ignore", OutgasWarning)
        yield


def check_job(number: int) -> tuple[str, Failures, list[str]]:
    """Draw one job by its number and return its kind, what disagreed, and its command line."""
    rng = random.Random(f"job {number}")
    share = rng.random()
    check = next(check for most, check in KINDS if share < most)
    try:
        return check(rng)
    except Exception as error:  # whatever it is, a builder would see a traceback
        where = traceback.extract_tb(error.__traceback__)[-1]
        what = f"{type(error).__name__} in {Path(where.filename).name}: {where.lineno}: {error}"
        return check.__name__, Failures([what]), [f"job {number}"]


def run(count: int, first: int = 0) -> tuple[collections.Counter[str], list[tuple[int, str, str]]]:
    """Ask jobs; return how many there were of each kind, and (number, command, failure) of all."""
    kinds: collections.Counter[str] = collections.Counter()
    failed: list[tuple[int, str, str]] = []
    with quickly():
        for number in range(first, first + count):
            kind, bad, command = check_job(number)
            kinds[kind] += 1
            line = " ".join(f"'{w}'" if " " in w else w for w in command)
            failed += [(number, line, what) for what in dict.fromkeys(bad)]
    return kinds, failed


if __name__ == "__main__":
    started = time.monotonic()
    kinds, failed = run(int(sys.argv[1]), *map(int, sys.argv[2:3]))
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
