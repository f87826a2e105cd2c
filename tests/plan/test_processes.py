"""The stages of each process: their order, their spans, and how resin bleeds, by hand."""

import dataclasses
import math

import pytest
from plan_grounds import SHOP_K, ground, heated, held_at
from window_jobs import HERE_PA

import outgas
from outgas.constants import GAS_CONSTANT
from outgas.plan import processes
from outgas.plan.basis import Ground
from outgas.plan.caps import Lasts
from outgas.plan.processes import build
from outgas.tables import catalogue, rates
from outgas.window.window import shut_pressure, window_of

TWO = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
CLOCK = catalogue.practice().clock
RUN = heated(
    [0.0, 4000.0, 9000.0, 12000.0],
    [[400.0] * 4, [SHOP_K, 300.0, 330.0, 296.0]],
    [[0.0] * 4, [0.0, 0.3, 0.99, 0.99]],
    gel_s=4000.0, last_gel_s=4100.0, hold_s=5000.0, peak_s=9000.0,
)  # fmt: skip


def made(process="wet layup", layup=TWO, **changes):
    more = {key: changes.pop(key) for key in ("wet_out", "fill", "degas", "rig") if key in changes}
    g = ground(process=process, layup=layup, **more)
    return dataclasses.replace(g, warming=RUN, pace=None, **changes)


def names(g):
    return [s.name for s in build(g)[0]]


def spans(g):
    return {s.name: s for s in build(g)[0]}


CURED = ["hold to the gel", "exotherm watch", "cool under vacuum", "vacuum off, release"]
POT = ["degas", "let it rest"]


def test_each_process_has_its_stages_in_order():
    assert names(made()) == [
        "drop test, dry", *POT, "mix", "wet out", "bag", "leak check, wet", "debulk", *CURED,
    ]  # fmt: skip
    cored = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], core="15 mm PVC foam")
    assert names(made("core bonding", cored))[4] == "bed the core"
    assert names(made("infusion"))[:7] == [
        "pull the dry bag", "drop test, dry", *POT, "mix", "fill", "inlet shut, vent open",
    ]  # fmt: skip
    assert names(made("pressing"))[:5] == [*POT, "mix", "wet out", "close the press"]
    assert names(made(degas=False))[:2] == ["drop test, dry", "mix"]
    pot = ground()
    assert names(pot) == ["go down slowly", "hold and stir", "let up and rest"]


def test_the_debulk_lasts_as_long_as_the_balance_of_its_gas_counts_on():
    reach = CLOCK.mix.si + 300.0 + CLOCK.bag.si + CLOCK.leak_check.si
    for early_s in (77.0, 600.0):
        g = made(wet_out=300.0)
        stage = spans(dataclasses.replace(g, case=g.case.but(early_s=early_s)))["debulk"]
        assert stage.duration_s == early_s
        assert stage.start_s == pytest.approx(reach)
    assert made().case.early_s == CLOCK.debulk.si


def test_no_debulk_is_planned_where_none_helps_or_none_is_wanted():
    assert "debulk" not in names(dataclasses.replace(made(), job=made().job, window=straight()))
    g = dataclasses.replace(made(), window=straight())
    check = spans(g)["leak check, wet"]
    assert check.setpoint_Pa == check.low_Pa == g.cure.hold
    assert "went quiet" not in spans(g)["hold to the gel"].why
    filled = held_at(made("infusion"), 2e3, deepest=1e3)  # at the cure's pressure at once
    assert "inlet shut, vent open" not in names(filled)


def straight():
    return window_of(made().job.but(debulk=False))


def test_a_debulk_is_deep_and_the_cure_above_it():
    g = made()
    found = spans(g)
    assert found["debulk"].setpoint_Pa == g.debulk.hold
    assert found["hold to the gel"].setpoint_Pa == g.cure.hold > g.debulk.hold
    check = found["leak check, wet"]
    assert (check.low_Pa, check.setpoint_Pa) == (g.debulk.hold, g.cure.hold)
    shut = spans(held_at(made(), None))["leak check, wet"]
    assert shut.setpoint_Pa == g.debulk.hold  # proved all the same
    for name in ("wet out", "bag"):
        assert not found[name].vacuum


def test_an_infusion_fills_deep_then_comes_up_to_the_setpoint():
    g = made("infusion", fill=700.0)
    found = spans(g)
    assert found["fill"].duration_s == 700.0
    assert found["fill"].setpoint_Pa == g.debulk.hold
    rest = found["inlet shut, vent open"]
    assert (rest.setpoint_Pa, rest.duration_s) == (g.debulk.hold, g.case.early_s)
    assert g.case.early_s >= CLOCK.settle.low_si
    shut = shut_pressure(g.job, g.debulk.hold) / 100.0
    said = f"it comes to about {math.ceil(shut)} mbar and keeps its gas"
    assert said in rest.why
    up = found["let the vent up"]
    assert (up.low_Pa, up.setpoint_Pa, up.high_Pa) == (g.cure.low, g.cure.hold, g.cure.high)
    assert up.start_s == pytest.approx(rest.end_s)
    open_to_air = spans(held_at(made("infusion"), None))
    assert "up to the air, slowly" in open_to_air["let the vent up"].watch_for


def bleeds(g, kozeny, eta):
    """Return the time scale of bleeding by Kozeny and Carman, thickness for thickness [s]."""
    E = rates.family_of(g.job.resin).viscosity_energy.si
    warm = eta * math.exp(-E / GAS_CONSTANT * (1.0 / 298.15 - 1.0 / g.base))
    root = 0.0
    for ply in g.job.layup.plies:
        cloth, V = ply.fabric, ply.fabric.fibre_fraction.si
        K = cloth.fibre_diameter.si**2 / (16.0 * kozeny) * (1.0 - V) ** 3 / V**2
        stiff = (HERE_PA - g.debulk.hold) / cloth.compaction_b.si
        root += ply.thickness * math.sqrt(warm / (K * stiff))
    return root**2


def test_resin_bleeds_as_the_square_of_the_way_from_its_thin_to_its_thick_end():
    plies = ["2 x 400 g/m2 woven glass", "1 x 450 g/m2 chopped strand mat"]
    g = made(layup=outgas.Layup(plies=plies, area="0.5 m2"))
    kozeny, eta = catalogue.practice().bed.kozeny, g.job.resin.viscosity
    low, high = processes.bleed_times(g)
    assert low == pytest.approx(bleeds(g, kozeny.low_si, eta.low_si))
    assert high == pytest.approx(bleeds(g, kozeny.high_si, eta.high_si))
    assert low < high


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ((0.1, 9.9), "within seconds"),
        ((0.1, 30.0), "within 1 to 30 s"),
        ((12.0, 90.0), "within 12 to 90 s"),
    ],
)
def test_a_bleed_of_seconds_is_not_waited_for(ends, said, monkeypatch):
    monkeypatch.setattr(processes, "bleed_times", lambda g: ends)
    assert said in spans(made())["debulk"].why


def test_a_pot_goes_down_to_its_band_and_is_let_up_to_the_air():
    g = ground()
    down, hold, rest = build(g)[0]
    assert (down.low_Pa, down.setpoint_Pa, down.high_Pa) == (g.cure.low, g.cure.hold, g.here)
    assert (hold.low_Pa, hold.setpoint_Pa, hold.high_Pa) == dataclasses.astuple(g.cure)
    assert hold.duration_s == CLOCK.degas.si
    assert rest.holds == "nothing"
    for one in (down, hold):
        assert any("never degas resin in bulk" in c for c in one.cautions)


def test_mixed_resin_must_last_in_its_cup_until_it_is_out_and_open_until_it_is_shut_in(monkeypatch):
    asked = []
    monkeypatch.setattr(Ground, "lasting", lambda g, expected, lasts: asked.append(lasts))
    cup, change = CLOCK.mix.si + 300.0, CLOCK.last_change.si
    shut = cup + CLOCK.close.si
    build(made("pressing", wet_out=300.0))
    assert asked == [
        Lasts(cup, shut / change), Lasts(cup=cup), Lasts(gel=shut / change, laid=shut),
    ]  # fmt: skip
    asked.clear()
    build(made("infusion", fill=300.0))
    up = cup + CLOCK.settle.si + CLOCK.leak_check.si
    assert asked == [Lasts(cup, up / change), Lasts(cup=cup)]
    asked.clear()
    build(made(wet_out=300.0))
    shut = cup + CLOCK.bag.si + CLOCK.leak_check.si
    mixed = (shut + CLOCK.debulk_least.si) / change
    assert asked == [Lasts(cup, mixed), Lasts(cup=cup), Lasts(gel=shut / change, laid=shut)]


def test_a_press_is_closed_slowly_and_no_vacuum_is_pulled_on_mixed_resin():
    found = spans(made("pressing", wet_out=300.0))
    assert found["close the press"].start_s == pytest.approx(CLOCK.mix.si + 300.0)
    assert found["close the press"].duration_s == CLOCK.close.si
    assert not any(s.vacuum for s in found.values() if s.start_s >= 0.0)
    assert found["degas"].vacuum
    assert found["let it rest"].end_s == pytest.approx(0.0)
