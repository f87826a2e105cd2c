"""How warm a stage may get, and when the laminate is hard: the lowest of what is known."""

import dataclasses
import math

import pytest

import outgas
from outgas.job.process import processes
from outgas.physics import cure
from outgas.plan.stage import Stage
from outgas.tables import rates

UP, MMA, EPOXY = "orthophthalic-polyester", "acrylic-infusion", "epoxy-laminating"
ZERO_K = 273.15
pytestmark = pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
GRID = [
    (process, name)
    for process in processes()
    for name in outgas.resins()
    if process in outgas.resin(name).processes
]
# Where resin stands open to the shop: the cup, the bucket, the lay-up.
OPEN = (
    "mix", "wet out", "bed the core", "bag", "close the press", "let it rest", "let up and rest",
)  # fmt: skip
CURED = ("exotherm watch", "cool under vacuum", "cool in the press", "post-cure")
# Closed cup, degC, as the safety sheets of the pure liquids print them.
FLASH_DEGC = {"styrene": 31.0, "vinyl-toluene": 52.0, "phenol": 75.0, "benzyl-alcohol": 93.0}


def plan(process, name, temperature="20 degC", **more):
    if process == "prepreg":
        layup = outgas.Layup(plies=["6 x 200 g/m2 woven carbon"], tool="6 mm aluminium")
    else:
        core = None if process == "pressing" else "15 mm PVC foam"
        layup = outgas.Layup(
            plies=["2 x 400 g/m2 woven glass"], core=core, area="0.5 m2", tool="18 mm plywood"
        )
    shop = outgas.Shop(temperature=temperature, humidity="50 %", altitude="20 m")
    return outgas.schedule(name, shop, process=process, layup=more.pop("layup", layup), **more)


@pytest.mark.parametrize(("process", "name"), GRID)
def test_no_open_face_is_let_near_a_flash_point_or_past_a_pot_life(process, name):
    got, resin = plan(process, name), outgas.resin(name)
    flash = [FLASH_DEGC[p.volatile] for p in resin.monomers if p.volatile in FLASH_DEGC]
    for stage in got:
        if stage.dry:
            assert stage.limit_K is None, stage.name
            continue
        if stage.name in OPEN and stage.limit_K is not None:
            assert stage.limit_K <= min([60.0, *(f - 5.0 for f in flash)]) + ZERO_K, stage.name
        if stage.limit_K is None:
            continue
        hot = resin.cure_temperature or resin.peak_temperature
        if hot is not None and stage.name not in ("vacuum off, release",):
            assert stage.limit_K <= hot.high_si + 1e-6, stage.name


def test_a_bucket_of_polyester_a_cup_of_epoxy_and_methacrylate_are_not_told_to_run_hot():
    """Boiling at the air's own pressure is no limit that anyone should work up to."""
    text = plan("wet layup", UP).to_text(full=True) + plan("degassing", UP).to_text(full=True)
    assert "no warmer than 26 degC" in text
    for process, name in (
        *(("wet layup", UP), ("degassing", UP)),
        *(("pressing", EPOXY), ("wet layup", EPOXY), ("infusion", MMA)),
    ):
        for stage in plan(process, name):
            if stage.name in OPEN and stage.limit_K is not None:
                assert stage.limit_K < 50.0 + ZERO_K, (name, stage.name)
    rest = plan("wet layup", EPOXY).stage("let it rest")  # nothing lower than its boil is known
    assert rest.limit_K is None
    assert "no warmer" not in rest.to_text(full=True)
    assert rest.to_dict()["temperature_limit_K"] is None
    assert rest.temperature_limit is None


def test_methacrylate_burns_in_any_shop_and_is_told_so_in_place_of_a_cap_of_five_degrees():
    got = plan("infusion", MMA)
    mix = got.stage("mix")
    assert mix.limit_K is not None
    assert mix.limit_K > 288.15
    said = " ".join(mix.cautions)
    assert "an ignitable vapour stands over methyl methacrylate at any shop temperature" in said
    assert "at any shop temperature" in " ".join(got.cautions)
    assert "at any shop temperature" not in " ".join(plan("wet layup", UP).cautions)


def test_resin_that_stands_warmer_than_its_cap_does_not_fit_and_the_plan_says_why():
    got = plan("wet layup", UP, "33 degC")
    over = [s for s in got if s.limit_K is not None and s.expected_K > s.limit_K + 0.5]
    assert over
    assert not got.fits
    named = {b.stage for b in got.breaks}
    assert {s.name for s in over} & named
    assert any("no warmer than 26 degC" in b.text for b in got.breaks)
    assert any("26 degC" in change for b in got.breaks for change in b.changes)


def test_a_shop_within_a_few_kelvin_of_the_flash_point_is_warned_and_not_forbidden():
    got = plan("wet layup", UP, "28 degC")
    mix = got.stage("mix")
    assert mix.expected_K <= mix.limit_K <= 304.15 + 0.5  # styrene: 31 degC, closed cup
    assert "within a few kelvin of its flash point (31 degC" in " ".join(got.cautions)
    assert "within a few kelvin" in " ".join(mix.cautions)
    cool = plan("wet layup", UP, "22 degC")
    assert "within a few kelvin" not in " ".join(cool.cautions)
    assert cool.stage("mix").limit_K <= 304.15 - 5.0 + 0.5


@pytest.mark.parametrize("temperature", ["16 degC", "24 degC", "32 degC", "38 degC"])
@pytest.mark.parametrize(("process", "name"), GRID[::4])
def test_a_plan_that_fits_has_no_stage_that_does_not_hold(process, name, temperature):
    try:
        got = plan(process, name, temperature)
    except outgas.RefusedError:
        return
    assert not (got.fits and "this does not hold" in got.to_text(full=True))
    for s in got:
        if got.fits and s.setpoint_Pa is not None:
            assert s.low_Pa - 1.0 <= s.setpoint_Pa <= s.high_Pa + 1.0, s.name


def test_a_pressure_outside_its_band_is_a_rule_that_is_not_kept():
    from outgas.plan.rules import held_rules

    good = plan("wet layup", UP)
    assert not held_rules(good.stages, set())
    hold = good.stage("hold to the gel")
    deep = dataclasses.replace(hold, setpoint_Pa=hold.low_Pa - 5000.0)
    weak = dataclasses.replace(hold, setpoint_Pa=hold.high_Pa + 5000.0)
    hot = dataclasses.replace(hold, expected_K=hold.limit_K + 4.0)
    for bad in (deep, weak, hot):
        assert isinstance(bad, Stage)
        broken = held_rules((bad,), set())
        assert [b.stage for b in broken] == ["hold to the gel"]
    assert not held_rules((hot,), {"hold to the gel"})  # told once


def test_caps_are_printed_down_to_a_whole_degree():
    for stage in plan("wet layup", UP):
        if stage.limit_K is None:
            continue
        said = int(stage.to_text(full=True).split("no warmer than ")[1].split(" degC")[0])
        assert said <= stage.limit_K - ZERO_K + 1e-6


def test_the_cap_of_a_cup_is_where_its_own_heat_just_leaves_it_time():
    """A big cup runs away sooner than a thin film: its cap is the lower."""
    small, big = (plan("pressing", EPOXY, batch=m, wet_out="8 min") for m in ("0.03 kg", "10 kg"))
    assert big.stage("wet out").limit_K < small.stage("wet out").limit_K


# Hard ------------------------------------------------------------------------------------------


def test_glass_by_dibenedetto_runs_from_fresh_to_full_and_back():
    T = [cure.glass_transition(X, 240.0, 360.0, 0.4) for X in (0.0, 0.5, 1.0)]
    assert T[0] == pytest.approx(240.0)
    assert T[2] == pytest.approx(360.0)
    assert T[1] == pytest.approx(240.0 + 120.0 * 0.4 * 0.5 / (1.0 - 0.6 * 0.5))
    for X in (0.1, 0.73, 0.95):
        at = cure.glass_transition(X, 240.0, 360.0, 0.4)
        assert cure.conversion_of_glass(at, 240.0, 360.0, 0.4) == pytest.approx(X)


def test_laminating_epoxy_is_hard_near_three_quarters_in_a_shop_at_20_degc():
    glass = rates.family_of(outgas.resin(EPOXY))
    X = cure.conversion_of_glass(
        303.15, glass.glass_fresh.si, glass.glass_full.si, glass.glass_lambda.si
    )
    assert pytest.approx(0.73, abs=0.03) == X


def test_laminating_epoxy_stays_under_vacuum_overnight():
    got = plan("wet layup", EPOXY)
    assert got[-1].start_s > 8.0 * 3600.0
    assert got.stage("cool under vacuum").setpoint_Pa == got.stage("hold to the gel").setpoint_Pa


def test_what_is_let_go_has_set_to_glass_even_if_the_batch_is_slow():
    for process, name in (("wet layup", UP), ("wet layup", EPOXY), ("pressing", EPOXY)):
        got = plan(process, name)
        nominal = got.gel_s
        slow = got.gel_interval_s[1] / nominal
        assert got[-1].start_s >= slow * got.hold_s * 0.999


def test_a_post_cure_follows_the_gel_and_moves_no_limit():
    name = "epoxy-infusion"
    record = outgas.resin(name)
    assert record.post_cure_temperature is not None
    got = plan("wet layup", name)
    names = [s.name for s in got]
    assert names.index("post-cure") > names.index("exotherm watch")
    after = got.stage("post-cure")
    assert after.start_s > got.gel_s
    assert after.expected_K == pytest.approx(record.post_cure_temperature.si)
    assert "post-cure" not in [s.name for s in plan("wet layup", UP)]
    import msgspec

    without = msgspec.structs.replace(record, post_cure_temperature=None)
    shop = outgas.Shop(temperature="20 degC", humidity="50 %", altitude="20 m")
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    both = [outgas.advise(r, shop, layup=layup).deepest_Pa for r in (record, without)]
    assert both[0] == pytest.approx(both[1])


def test_every_flash_point_lies_where_its_vapour_just_burns():
    """A closed cup flashes about where saturated vapour reaches the lower flammable limit."""
    for name in outgas.volatiles():
        v = outgas.volatile(name)
        if name == "water":
            assert v.flash_point is None
            continue
        assert v.flash_point is not None, name
        if v.lower_flammable_limit is None or v.flash_point.si < 263.15:
            continue
        p = outgas.vapour_pressure(name, outgas.Quantity(v.flash_point.si, "K")).m
        assert 0.6 < p / (v.lower_flammable_limit.si * 101325.0) < 2.2, name
        assert math.isfinite(p)


def test_a_pot_is_let_no_warmer_than_the_band_it_is_held_in_bears():
    got = plan("wet layup", UP, "22 degC")
    assert got.stage("degas").limit_K < got.stage("debulk").limit_K - 5.0
