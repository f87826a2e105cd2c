"""Text, JSON and API agree; 10,000 jobs are asked by running agreement.py itself."""

import random
import re

import agreement
import drawn
import pytest
from printed import Failures, check_order, check_place

import outgas

JOBS = 150
TOLD = {"setpoint_Pa": 65020.0, "deepest_Pa": 62510.0, "barometer_Pa": 101325.0}


def test_a_hundred_and_fifty_random_jobs_say_the_same_in_text_json_and_api():
    kinds, failed = agreement.run(JOBS)
    assert not failed, "\n".join(f"job {n}: {command}\n  {what}" for n, command, what in failed)
    assert sum(kinds.values()) == JOBS
    assert kinds["advice"] > 0.7 * JOBS
    assert {"schedule", "diagnosis", "belief"} < set(kinds)


def test_the_jobs_drawn_cover_every_resin_and_process_and_every_option():
    with agreement.quickly():
        jobs = [drawn.draw(random.Random(f"job {n}")) for n in range(600)]
    assert {(job.resin, job.one["process"]) for job in jobs} == set(drawn.PAIRS)
    names = {name for job in jobs for name in job.one}
    assert names >= {*drawn.SHOP, *drawn.LAYUP, *drawn.RIG, "bag", "hottest", "reads_with"} - {
        "sun"
    }
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
        {"setpoint_Pa": 66000.0},
        {"deepest_Pa": 70000.0},
        {"shallowest_Pa": 60000.0},
        {"debulk_limit_Pa": 9000.0},
        {"has_window": False},
    ],
)
def test_a_json_that_differs_from_its_text_is_seen(lie):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    answer = outgas.advise("orthophthalic-polyester", shop)
    for told, wrong in ((answer.to_dict(), False), (answer.to_dict() | lie, True)):
        bad = Failures()
        agreement.check_answer(bad, answer.to_text().splitlines(), told)
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
        lines = answer.to_text(dial).splitlines()
        agreement.check_answer(bad, lines, answer.to_dict())
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
    assert "air 1020, water" in str(outgas.advise("epoxy-laminating", shop))


def test_a_bone_dry_epoxy_with_a_layup_has_an_answer():
    """Its vapours push with nothing, which has no logarithm."""
    shop = outgas.Shop(temperature="19 degC", humidity="50 %")
    layup = outgas.Layup(plies=["1 x 300 g/m2 woven glass"], area="0.5 m2")
    dry, damp = (
        outgas.advise("epoxy-infusion", shop, process="infusion", layup=layup, water_activity=a)
        for a in (0.0, 0.01)
    )
    assert dry.limits_Pa["vapour"] == 0.0
    assert dry.deepest_Pa < damp.deepest_Pa


def test_a_gas_of_a_hundred_times_the_volume_is_no_power_of_ten():
    shop = outgas.Shop(temperature="19.03 degC", humidity="6.4 %")
    asked = {"water_activity": 0.005, "hottest": "44.81 degC", "process": "core bonding"}
    core = outgas.Layup(core="12 mm PET foam")
    text = outgas.advise("epoxy-benzyl-alcohol", shop, layup=core, **asked).to_text()
    assert re.search(r"would\s+free\s+\d{3}\s+times", text)
    assert not agreement.BROKEN.search(text)
