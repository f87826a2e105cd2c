"""Text, JSON and API agree; 10,000 jobs are asked by running agreement.py itself."""

import random
import re

import agreement
import drawn
import pytest
from printed import Failures, check_order, check_place, check_voids

import outgas

JOBS, FEWER_JOBS = 140, 10
TOLD = {"setpoint_Pa": 65020.0, "deepest_Pa": 62510.0, "barometer_Pa": 101325.0}


@pytest.mark.parametrize(
    ("kinds", "count"),
    [(("advice", "schedule", "refusal"), JOBS), (("diagnosis", "belief"), FEWER_JOBS)],
)
def test_random_jobs_of_every_kind_say_the_same_in_text_json_and_api(kinds, count):
    asked, failed = agreement.run(count, kinds=kinds)
    assert not failed, "\n".join(f"job {n}: {command}\n  {what}" for n, command, what in failed)
    assert sum(asked.values()) == count
    assert set(kinds) <= set(asked)
    refused = sum(many for kind, many in asked.items() if kind.startswith("refused"))
    assert refused < 0.5 * count


def test_the_kinds_of_jobs_can_be_chosen_and_each_one_alone_is_of_its_kind():
    for kind in ("refusal", "advice"):
        asked, _ = agreement.run(3, kinds=(kind,))
        assert set(asked) <= {kind, "refused"}
    assert {kind for kinds in (("advice", "schedule", "refusal"), ("diagnosis", "belief"))
            for kind in kinds} == set(agreement.KINDS)  # fmt: skip


def test_the_jobs_drawn_cover_every_resin_and_process_and_every_option():
    with agreement.quickly():
        jobs = [drawn.draw(random.Random(f"job {n}")) for n in range(600)]
    assert {(job.resin, job.one["process"]) for job in jobs} == set(drawn.PAIRS)
    names = {name for job in jobs for name in job.one}
    assert names >= {*drawn.SHOP, *drawn.LAYUP, *drawn.RIG, "bag", "hottest", "reads_with"} - {
        "sun"
    }
    assert names >= {"finish", "trapped", "connected", "degassed", "dried", "void_target"}
    assert {flag for job in jobs for flag in job.flags} == set(drawn.FLAGS)
    pots = " | ".join(job.one.get("degassed", "") for job in jobs)
    assert all(f", {how}" in pots for how in drawn.WORKED)
    assert " for " in pots
    assert 0.01 < sum(bool(job.plies) for job in jobs) / len(jobs) < 0.1


@pytest.mark.parametrize(
    ("place", "complaint"),
    [
        ("10.7 inHg vacuum (651 mbar absolute)", None),
        ("10.8 inHg vacuum (651 mbar absolute)", "unsafe"),
        ("10.7 inHg vacuum (650 mbar absolute)", "unsafe"),
        ("10.6 inHg vacuum (651 mbar absolute)", "more than a step"),
        ("10.7 inHg vacuum (652 mbar absolute)", "more than a step"),
        ("-0.360 bar gauge (651 mbar absolute)", None),
        ("-0.365 bar gauge (651 mbar absolute)", "unsafe"),
        ("-0.355 bar gauge (651 mbar absolute)", "more than a step"),
        ("35.5 % vacuum (651 mbar absolute)", None),
        ("36.0 % vacuum (651 mbar absolute)", "unsafe"),
        ("488 torr absolute (651 mbar absolute)", None),
        ("487 torr absolute (651 mbar absolute)", "unsafe"),
    ],
)
def test_a_printed_number_is_read_back_and_one_on_the_unsafe_side_is_seen(place, complaint):
    bad = Failures()
    check_place(bad, place, "setpoint_Pa", True, TOLD)
    assert bool(bad) == (complaint is not None), bad
    assert complaint is None or all(complaint in what for what in bad)


@pytest.mark.parametrize(
    "lie",
    [
        {"debulk_s": 660.0},
        {"setpoint_Pa": 66000.0},
        {"deepest_Pa": 70000.0},
        {"shallowest_Pa": 60000.0},
        {"debulk_limit_Pa": 9000.0},
        {"debulk_Pa": None},
        {"deepest_no_debulk_Pa": 60000.0},
        {"voids_at_setpoint": [0.0, 0.0, 0.0301]},
        {"voids_at_setpoint": [0.0, 0.0, 0.0009]},
        {"voids_at_setpoint": [0.004, 0.0, 0.0166]},
        {"voids_at_setpoint": None},
        {"look_at_setpoint": "milky"},
        {"void_target": 0.01},
        {"has_window": False},
    ],
)
def test_a_json_that_differs_from_its_text_is_seen(lie):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    answer = outgas.advise("orthophthalic-polyester", shop)
    for told, wrong in ((answer.to_dict(), False), (answer.to_dict() | lie, True)):
        bad = Failures()
        agreement.check_answer(bad, answer.to_text(full=True), told)
        assert bool(bad) == wrong, bad


@pytest.mark.parametrize("text", ["a nan", "1.01e+03", "-0.000 bar", "-0 mbar", "{}", "up to inf"])
def test_a_broken_number_is_seen(text):
    assert agreement.BROKEN.search(f"it is {text} here")
    assert not agreement.BROKEN.search(
        "-0.940 bar gauge, an infusion at 30.0 % and -0.05 mbar, 10.0"
    )


def test_a_place_that_contradicts_its_bounds_or_the_air_is_seen():
    for said in (
        {"setpoint_Pa": "643 mbar absolute", "shallowest_Pa": "642 mbar"},
        {"setpoint_Pa": "643 mbar absolute", "deepest_Pa": "644 mbar"},
        {"debulk_hold_Pa": "0.0 inHg vacuum (1014 mbar absolute)"},
    ):
        bad = Failures()
        check_order(bad, said, TOLD, "a line")
        assert bad


@pytest.mark.parametrize(
    ("said", "complaint"),
    [
        ("1.2% voids (0 to 4)", None),
        ("1.2% voids (0 to 3)", "not rounded up"),
        ("1.2% voids (0 to 5)", "not rounded up"),
        ("1.2% voids (1 to 4)", "not rounded down"),
        ("1.5% voids (0 to 4)", "nominal"),
        ("1.2% voids, at the worst froth", "no froth"),
        ("froth", "no froth"),
    ],
)
def test_printed_voids_on_the_unsafe_side_of_the_json_are_seen(said, complaint):
    bad = Failures()
    check_voids(bad, said, [0.012, 0.0072, 0.0331], "voids")
    assert bool(bad) == (complaint is not None), bad
    assert complaint is None or complaint in bad[0]


@pytest.mark.parametrize("lie", [{"look_at_bag": "clear"}, {"voids_at_bag": [0.0, 0.0, 0.01]}])
def test_a_bags_own_expectation_that_differs_from_its_json_is_seen(lie):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    answer = outgas.advise("orthophthalic-polyester", shop, bag_pressure="200 mbar")
    for told, wrong in ((answer.to_dict(), False), (answer.to_dict() | lie, True)):
        bad = Failures()
        agreement.check_verdict(bad, answer.to_text(full=True), told)
        assert bool(bad) == wrong, bad


def test_steps_that_pull_deeper_under_a_first_line_that_stays_are_seen():
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    dry = {"degassed": "27 mbar for 10 min, stirred", "no_debulk": True}
    answer = outgas.advise("orthophthalic-polyester", shop, **dry)
    text = answer.to_text(full=True)
    for said, wrong in ((text, False), (f"{text}\n  - pull to 27.0 inHg vacuum (97 mbar)", True)):
        bad = Failures()
        agreement.check_answer(bad, said, answer.to_dict())
        assert bool(bad) == wrong, bad


@pytest.mark.parametrize("process", ["wet layup", "infusion"])
@pytest.mark.parametrize("more", [{}, {"contaminants": {"acetone": "9 %"}}])
def test_no_debulk_is_told_at_the_air_itself(process, more):
    """A pump that reaches no vacuum here was told to debulk at 0.0 inHg, above the barometer."""
    shop = outgas.Shop(temperature="38 degC", humidity="50 %", altitude="3000 m")
    rig = outgas.Rig(pump_ultimate="900 mbar")
    with agreement.quickly():
        answer = outgas.advise("mma-polyester", shop, process=process, rig=rig, **more)
    assert answer.debulk_hold_Pa == answer.barometer_Pa
    bad = Failures()
    for dial in (None, *drawn.DIALS):
        text = answer.to_text(dial, full=True)
        lines = text.splitlines()
        agreement.check_answer(bad, text, answer.to_dict())
        assert not lines[1].startswith(("Debulk", "Fill"))
    assert not bad


@pytest.mark.parametrize("trace", [{"water": "2 %"}, {"styrene": "2 %"}, {"acetone": "1 %"}])
def test_a_diagnosis_takes_any_contaminant_and_tells_what_it_adds(trace):
    """Water ended in a KeyError, and styrene was told with all the resin's own beside it."""
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    with agreement.quickly():
        push = [
            sum(p for name, p in advised.partial_pressures_Pa.items() if name != "air")
            for advised in (
                outgas.advise("orthophthalic-polyester", shop, contaminants=given)
                for given in ({}, trace)
            )
        ]
        found = outgas.diagnose("orthophthalic-polyester", shop, contaminants=trace)
    told = re.search(r"pushes (\d+) mbar more", " ".join(c.acts for c in found.causes))
    assert told is not None
    assert float(told[1]) * 100.0 == pytest.approx(push[1] - push[0], abs=100.0)


def test_what_pushes_back_is_never_a_power_of_ten():
    shop = outgas.Shop(temperature="17 degC", humidity="50 %", barometer="1030 hPa")
    assert "air 1020, water" in outgas.advise("epoxy-laminating", shop).to_text(full=True)


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
def test_a_bone_dry_epoxy_with_a_layup_has_an_answer():
    """Its vapours push with nothing, which has no logarithm."""
    shop = outgas.Shop(temperature="19 degC", humidity="50 %")
    layup = outgas.Layup(plies=["1 x 300 g/m2 woven glass"], area="0.5 m2")
    dry, damp = (
        outgas.advise("epoxy-infusion", shop, process="infusion", layup=layup, water_activity=a)
        for a in (0.0, 0.01)
    )
    assert dry.bubble_pressure_Pa[1] == 0.0 < damp.bubble_pressure_Pa[1]
    assert dry.limits_Pa["vapour"] < damp.limits_Pa["vapour"]
    assert dry.has_window


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
def test_a_gas_of_a_hundred_times_the_volume_is_no_power_of_ten():
    shop = outgas.Shop(temperature="19.03 degC", humidity="6.4 %")
    asked = {"water_activity": 0.005, "process": "infusion", "reads_with": "sensor 0.1 mbar"}
    text = outgas.advise("epoxy-infusion", shop, vapour_share=1.0, **asked).to_text(full=True)
    assert re.search(r"would\s+free\s+\d{3}\s+times", text)
    assert not agreement.BROKEN.search(text)
