"""A short answer fits its lines, says no number that the full one does not, and hides no danger."""

import random
import re
import warnings

import agreement
import drawn
import pytest

import outgas
from outgas.show.dial import DIALS
from outgas.show.report import MOST_LINES, NARROW, Brief, Line

JOBS, PLANS = 150, 12
HEAD = 6  # lines of a plan beside one a stage
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?")


def jobs(count, layup=0.06, seed="short"):
    """Yield random jobs that are not refused, with their advice and the random numbers."""
    with agreement.quickly(), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for n in range(count):
            rng = random.Random(f"{seed} {n}")
            asked = drawn.draw(rng, layup)
            if rng.random() < 0.2:
                asked.one["reads_with"] = rng.choice(["plate", "none"])
            try:
                yield rng, asked, asked.advise()
            except outgas.OutgasError:
                continue


def test_every_short_advice_fits_in_fourteen_lines_of_eighty_columns():
    seen = 0
    for rng, asked, advice in jobs(JOBS):
        dial, units = rng.choice([None, *DIALS]), rng.choice(["metric", "us"])
        text = advice.to_text(dial, units=units)
        printed = text.splitlines()
        assert len(printed) <= MOST_LINES, f"{asked.command()}\n{text}"
        assert max(map(len, printed)) <= NARROW, f"{asked.command()}\n{text}"
        assert printed[-1].endswith("--cautions)") or len(advice.cautions) <= 3
        seen += 1
    assert seen > 0.5 * JOBS


def test_what_is_dangerous_stands_in_the_first_two_lines():
    seen = set()
    for _, asked, advice in jobs(JOBS, seed="danger"):
        verdict = advice.verdict
        lines = advice.to_text().splitlines()
        first = " ".join(lines[:2])
        if advice.setpoint_Pa is None:
            assert re.match("No |Your ", first), asked.command()
        if verdict is None or verdict.safe:
            assert not first.startswith("Your "), asked.command()
            continue
        if advice.pump_needs_Pa is None:
            whose = "prepreg" if advice.facts.preimpregnated else "bag"
            assert first.startswith(f"Your {whose}: "), asked.command()
        seen.add(verdict.state)
    assert {"may boil", "void-prone", "too weak", "debulk only"} & seen


def test_bounds_in_the_first_lines_never_invite_deeper_than_the_limits():
    seen = 0
    for _, asked, advice in jobs(JOBS, seed="bounds"):
        if advice.setpoint_Pa is None or not advice.facts.wet_bag:
            continue
        for line in advice.report.short.must:
            for at in line.pressures:
                if isinstance(at, Brief) and at.weaker:
                    shown = float(at.on(advice.barometer_Pa, "mbar").split()[0]) * 100.0
                    limits = (advice.debulk_limit_Pa, advice.deepest_Pa, advice.debulk_hold_Pa)
                    assert shown >= min(limits) - 0.01, asked.command()
                    assert shown >= at.pressure_Pa - 0.01
                elif isinstance(at, Brief):
                    shown = float(at.on(advice.barometer_Pa, "mbar").split()[0]) * 100.0
                    assert shown <= advice.shallowest_Pa + 0.01, asked.command()
        seen += 1
    assert seen > 20


def test_every_short_plan_fits_in_six_lines_and_one_a_stage():
    seen = 0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for rng, asked, _ in jobs(4 * PLANS, layup=1.0, seed="plan"):
            if seen == PLANS:
                break
            try:
                plan = outgas.schedule(
                    asked.resin, asked.shop(), **asked.arguments("bag", "hottest", "vapour_share")
                )
            except (outgas.OutgasError, TypeError):
                continue
            printed = plan.to_text(rng.choice([None, "bar", "psi"])).splitlines()
            assert len(printed) <= HEAD + len(plan.stages), f"{asked.command()}\n{plan}"
            assert max(map(len, printed)) <= NARROW, f"{asked.command()}\n{plan}"
            seen += 1
    assert seen >= PLANS // 2


@pytest.mark.parametrize("dial", DIALS)
def test_a_short_place_is_the_number_that_the_full_place_shows(dial):
    for p in (300.0, 8600.0, 55550.0, 98000.0):
        number = Brief(p, named=False).on(101325.0, dial)
        full = Line("{}", (Brief(p, absolute=True),)).on(101325.0, dial)
        assert full.startswith(number)
        assert ("(" in full) == (dial != "mbar" and not DIALS[dial][2].endswith("absolute"))
