import json
import math
import pickle
import sys
from pathlib import Path

import numpy as np
import pytest

import outgas
from outgas.bag_log.stood import Stood
from outgas.errors import InputError
from outgas.laminate.vapour import vapour

sys.path.insert(0, str(Path(__file__).parent))
from loggers import course, csv


@pytest.fixture(scope="module")
def hold(advice):
    """The setpoint of the job [mbar]."""
    return advice.setpoint_Pa / 100.0


def test_a_bag_held_as_advised_is_safe(read, hold):
    log = read(csv(*course(hold)))
    assert log.state == "safe"
    assert log.safe
    assert log.over
    assert log.below == ()
    assert log.voids.high <= log.void_target
    assert str(log).startswith("Safe: never closer to the limit than")


def test_a_dip_in_the_cure_is_told_with_when_how_long_and_how_deep(read, hold, advice):
    t, p = course(hold)
    p[(t >= 1800.0) & (t < 2100.0)] = 300.0
    log = read(csv(t, p), sensor_error="5 mbar")
    assert log.state == "too deep"
    (dip,) = log.below
    assert dip.start_s == pytest.approx(1800.0)
    assert log.below_s == pytest.approx(300.0, abs=10.0)
    assert dip.deepest_Pa == pytest.approx(30000.0)
    assert dip.under_Pa == pytest.approx(advice.deepest_Pa - 30000.0 + 500.0, rel=0.02)
    assert not dip.thin
    assert "in the cure: down to 300 mbar" in str(log)
    assert log.time_below.m_as("s") == log.below_s


def test_a_dip_after_the_gel_holds_does_not_count(read, hold):
    t, p = course(hold, minutes=80.0)
    log = read(csv(t, p))
    p[t > log.holds_s + 60.0] = 10.0
    assert read(csv(t, p)).safe


def test_the_thin_resin_bears_a_debulk_but_not_boiling(read, hold):
    t, p = course(hold)
    p[(t >= 700.0) & (t < 760.0)] = 12.0
    log = read(csv(t, p))
    assert log.state == "too deep"
    assert log.below[0].thin


def test_a_debulk_that_goes_on_too_long_is_too_deep(read, hold):
    log = read(csv(*course(hold, up=27.0)))
    assert log.state == "too deep"
    assert log.below[0].start_s == pytest.approx(log.thin_s, abs=20.0)


def test_a_straight_pull_that_keeps_the_limit_is_told_by_its_gas(read, hold):
    t, p = course(hold + 10.0, debulk=hold + 10.0)
    log = read(csv(t, p))
    assert log.below == ()
    assert log.state == "gas"
    assert log.voids.high > log.void_target
    assert not log.safe


def test_a_deeper_cure_never_holds_less_gas(read, hold):
    high = [read(csv(*course(hold - less))).voids.high for less in (0.0, 60.0, 150.0, 250.0)]
    assert high == sorted(high)
    assert high[-1] > high[0]


def test_the_gas_is_what_the_advice_expects_of_the_same_course(read, advice):
    p = 100.0 * math.ceil(advice.deepest_Pa / 100.0)
    debulk = advice.debulk_hold_Pa / 100.0
    case = advice.behind.window.case
    cup, up = case.cup_s / 60.0, (case.cup_s + case.early_s) / 60.0
    text = csv(*course(p / 100.0, debulk=debulk, pulled=cup, up=up, step_s=1.0))
    log = read(text, sensor_error="0 mbar")
    expected = advice.behind.voids(p)
    assert log.voids.nominal == pytest.approx(expected.nominal, abs=2e-3)
    assert log.voids.high == pytest.approx(expected.high, abs=4e-3)


@pytest.mark.parametrize("error", [0.0, 10.0, 40.0])
def test_a_worse_sensor_only_ever_makes_it_deeper(read, hold, error):
    t, p = course(hold)
    sure, unsure = (read(csv(t, p), sensor_error=f"{e} mbar") for e in (error, error + 20.0))
    assert unsure.least_margin_Pa == pytest.approx(sure.least_margin_Pa - 2000.0)
    assert unsure.voids.high >= sure.voids.high
    assert unsure.below_s >= sure.below_s


def test_a_sensor_error_beyond_the_margin_is_too_deep(read, hold, advice):
    margin = (advice.setpoint_Pa - advice.deepest_Pa) / 100.0
    assert read(csv(*course(hold)), sensor_error=f"{margin + 5:.0f} mbar").state == "too deep"


def test_a_warmer_laminate_only_ever_raises_the_limit(read, hold):
    t, p = course(hold)
    cool, warm = (read(csv(t, p, np.full(t.size, T))) for T in (22.0, 45.0))
    pairs = zip(cool.points, warm.points, strict=True)
    assert all(w.limit_Pa >= c.limit_Pa for c, w in pairs if c.limit_Pa == c.limit_Pa)
    assert warm.least_margin_Pa < cool.least_margin_Pa
    assert warm.voids.high >= cool.voids.high


def test_a_broken_probe_gives_way_to_the_laminates_own_warmth(read, hold):
    t, p = course(hold)
    T = np.full(t.size, 22.0)
    T[100:200] = np.nan
    T[200:210] = 9999.0
    log = read(csv(t, p, T))
    assert log.safe
    assert max(point.temperature_K for point in log.points) < 300.0


def test_a_gap_is_told_and_cannot_be_told(read, hold):
    t, p = course(hold)
    keep = (t < 1500.0) | (t > 1800.0)
    log = read(csv(t[keep], p[keep]))
    assert log.state == "cannot tell"
    assert log.unknown_s == pytest.approx(310.0, abs=11.0)
    assert "1 gaps" in " ".join(log.faults) or "1 gap" in " ".join(log.faults)
    assert not log.safe
    assert "what is not known counts as deeper" in str(log)


@pytest.mark.parametrize("lost", ["rows", "readings"])
def test_a_gap_between_two_depths_counts_the_deeper_for_the_gas(read, hold, lost):
    t, p = course(hold)
    deep, shallow = p.copy(), p.copy()
    during = (t >= 1300.0) & (t < 1600.0)
    deep[during], shallow[during] = 200.0, hold
    deep[t == 1290.0] = shallow[t == 1290.0] = p[t == 1290.0] = 200.0
    if lost == "rows":
        gapped = csv(t[~during], p[~during])
    else:
        p[during] = np.nan
        gapped = csv(t, p)
    voids = [read(text).voids.high for text in (gapped, csv(t, deep), csv(t, shallow))]
    assert voids[0] == pytest.approx(voids[1], rel=0.05)
    assert voids[0] > voids[2]


def test_a_warm_cure_raises_the_limit_of_its_air_too(read, hold):
    t, p = course(hold)
    cool, warm = (read(csv(t, p, np.full(t.size, T))) for T in (22.0, 40.0))
    last = [
        max(q.limit_Pa for q in log.points if log.thin_s < q.time_s < log.holds_s)
        for log in (cool, warm)
    ]
    assert last[1] > last[0] + 500.0


def test_the_limit_counts_the_doubt_of_a_probe_and_the_upper_end_of_the_vapour(advice):
    case = advice.behind.window.case
    stood = Stood.of(advice.behind.window)
    T = np.array([295.0, 305.0])
    got = stood.limit(np.array([60.0, 60.0]), T)
    for kelvin, limit in zip(T, got, strict=True):
        high = vapour(case, kelvin + 3.0).high
        assert limit >= max(1.25 * high, high + 2000.0) * (1.0 - 1e-9)


def test_empty_readings_are_a_gap_too(read, hold):
    t, p = course(hold)
    p[(t >= 1500.0) & (t < 1800.0)] = np.nan
    log = read(csv(t, p))
    assert log.state == "cannot tell"
    assert any("cannot be read" in fault or "can be read" in fault for fault in log.faults)


def test_a_few_lost_rows_are_said_and_no_more(read, hold):
    t, p = course(hold)
    p[[130, 170, 190]] = np.nan
    log = read(csv(t, p))
    assert log.safe
    assert any(fault.startswith("3 rows") for fault in log.faults)


def test_a_clock_that_goes_back_is_set_on_and_said(read, hold):
    t, p = course(hold)
    t[200:] -= 900.0
    log = read(csv(t, p))
    assert any("went back 1 times" in fault for fault in log.faults)
    assert log.over
    assert log.safe


def test_readings_that_no_bag_can_have_are_left_out_and_said(read, hold):
    t, p = course(hold)
    p[[150, 160]] = 4095.0
    log = read(csv(t, p))
    assert log.safe
    assert any(fault.startswith("2 readings") for fault in log.faults)


def test_a_log_that_ends_before_the_gel_holds_says_to_hold_on(read, hold):
    log = read(csv(*course(hold, minutes=30.0)))
    assert not log.over
    assert log.state == "not over"
    assert not log.safe
    assert str(log).startswith("So far never closer")
    assert "Not over: the log ends" in str(log)


def test_a_weak_bag_is_told(read):
    log = read(csv(*course(900.0)))
    assert log.state == "too weak"
    assert not log.safe


def test_mixing_is_where_it_is_said_on_the_logs_own_clock(read, hold):
    t, p = course(hold, minutes=70.0, pulled=20.0, up=30.0)
    after = read(csv(t, p), mixed="10 min")
    assert after.safe
    assert after.points[0].time_s >= 0.0
    assert read(csv(t, p)).state == "too deep"  # ten minutes late
    stamps = [
        f"2026-03-01 {13 + int(s) // 3600:02d}:{int(s) // 60 % 60:02d}:{int(s) % 60:02d}" for s in t
    ]
    rows = "\n".join(f"{a},{b:.1f}" for a, b in zip(stamps, p, strict=True))
    clock = read(f"Timestamp,Bag pressure (mbar abs)\n{rows}\n", mixed="13:10")
    assert clock.least_margin_s == pytest.approx(after.least_margin_s)


def test_a_clock_goes_past_midnight(read, hold):
    t, p = course(hold)
    s = (t + 23.6 * 3600.0) % 86400.0
    words = [f"{int(x) // 3600:02d}:{int(x) // 60 % 60:02d}:{int(x) % 60:02d}" for x in s]
    rows = "\n".join(f"{a};{b:.1f}" for a, b in zip(words, p, strict=True))
    log = read(f"Uhrzeit;Druck [mbar]\n{rows}\n")
    assert log.safe
    assert log.over
    assert log.faults == ()


def test_only_wet_resin_under_a_bag_has_a_log(read, hold):
    for process in ("degassing", "pressing"):
        with pytest.raises(InputError, match="wet resin under a bag"):
            read(csv(*course(hold)), process=process, layup=None)
    with pytest.raises(InputError, match="leave it out"):
        read(csv(*course(hold)), bag_pressure="60 mbar")


def test_a_log_takes_a_saved_job(tmp_path, hold):
    from outgas import Job

    path = tmp_path / "bag.csv"
    path.write_text(csv(*course(hold)))
    words = dict(
        resin="orthophthalic-polyester",
        temperature="22C",
        humidity="50%",
        altitude="0 m",
        ply=["2 x 400 g/m2 woven glass"],
        core="15 mm PVC foam",
        area="0.5 m2",
        tool="6 mm glass plate",
    )
    assert outgas.read_log(path, Job(**words)).safe


def test_cautions_and_columns_stand_in_what_is_printed(read, hold, advice):
    log = read(csv(*course(hold)))
    text = str(log)
    for caution in advice.cautions:
        assert caution in " ".join(text.split())
    assert "column 2 'pressure [mbar]' in mbar, absolute" in " ".join(text.split())


def test_its_dictionary_is_plain_and_its_pickle_the_same(read, hold):
    log = read(csv(*course(hold)))
    told = json.loads(json.dumps(log.to_dict(), allow_nan=False))
    assert told["kind"] == "outgas bag log"
    assert told["safe"] is True
    again = pickle.loads(pickle.dumps(log))
    assert again.to_dict() == log.to_dict()
    assert str(again) == str(log)


def test_the_charts_show_the_log_and_its_margin(read, hold):
    t, p = course(hold)
    p[(t >= 1800.0) & (t < 2100.0)] = 300.0
    log = read(csv(t, p))
    chart = log.chart
    bag = chart.curve("bag")
    assert min(bag.y) == pytest.approx(90.0)
    assert 300.0 in [round(y) for y in bag.y]
    deep = chart.area("too deep")
    widths = [h - d for d, h in zip(deep.low, deep.high, strict=True) if h == h]
    assert max(widths) > 100.0
    margin = log.charts()["margin"].curve("margin")
    assert min(y for y in margin.y if y == y) == pytest.approx(log.least_margin_Pa / 100.0)


def test_no_short_dip_is_lost_from_the_picture_of_a_long_log(read, hold):
    t, p = course(hold, step_s=0.25)
    p[8000:8008] = 250.0  # two seconds of an hour
    log = read(csv(t, p))
    assert min(point.pressure_Pa for point in log.points if point.time_s > 1300.0) == 25000.0
    assert log.state == "too deep"


def test_a_file_that_is_not_there_is_one_line(job, tmp_path):
    with pytest.raises(InputError, match="cannot be read: No such file"):
        outgas.read_log(tmp_path / "none.csv", **job)
