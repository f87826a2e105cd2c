import itertools
import json
import math
import re
import warnings

import numpy as np
import pytest

import outgas
from outgas.errors import (
    InputError,
    OutgasWarning,
    OutOfRangeError,
    RefusedError,
    UnitError,
    UnknownNameError,
)
from outgas.tables import catalogue, data

UP = "orthophthalic-polyester"
PREPREG = "out-of-autoclave-epoxy-prepreg"


SHOP = {"temperature": "26 degC", "humidity": "60 %", "altitude": "20 m"}


def shop(**changes):
    return outgas.Shop(**{**SHOP, **changes})


def mbar(quantity):
    return quantity.m_as("mbar")


@pytest.fixture(scope="module")
def plain():
    return outgas.advise(UP, shop())


# What the main job must say -------------------------------------------------------------------


def test_undegassed_polyester_may_be_cured_at_half_an_atmosphere_and_not_at_a_tenth(plain):
    assert 400 < mbar(plain.deepest) < 650
    assert plain.limiting == "air"
    assert max(plain.partial_pressures, key=plain.partial_pressures.get) == "air"
    assert plain.has_window
    assert plain.deepest < plain.setpoint <= plain.shallowest


def test_really_degassed_polyester_may_go_deep():
    got = outgas.advise(UP, shop(), air_pressure="27 mbar")
    assert 120 < mbar(got.deepest) < 220  # little air, but it is trapped where it comes out
    assert got.limiting in ("vapour", "air")


def test_a_pot_takes_out_only_part_and_says_so(plain):
    pot = outgas.advise(UP, shop(), degassed="90 mbar")
    clean = outgas.advise(UP, shop(), air_pressure="27 mbar")
    assert mbar(clean.deepest) < mbar(pot.deepest) < mbar(plain.deepest)
    assert any("removes only part" in text for text in pot.assumptions)


def test_a_gauge_at_its_end_over_warm_polyester_is_too_deep():
    got = outgas.advise(
        UP, outgas.Shop(temperature="30 degC", humidity="60 %"), bag_pressure="29.6 inHg vacuum"
    )
    assert got.verdict.state == "boiling"
    assert "too deep, likely boiling" in str(got.verdict)
    assert "cannot tell where between 0 and 36 mbar" in str(got.verdict)
    assert "all of it is too deep" in str(got.verdict)
    low, high = got.verdict.interval
    assert (mbar(low), mbar(high)) == pytest.approx((0.0, 35.8), abs=0.5)
    assert not got.safe


def test_the_debulk_is_deeper_than_the_cure_and_helps(plain):
    assert plain.debulk < plain.deepest
    assert mbar(plain.debulk) == pytest.approx(86, abs=3)
    assert plain.deepest_after_debulk == plain.deepest < plain.deepest_no_debulk
    assert plain.deepest_clear > plain.deepest


def test_deepest_is_the_largest_limit_and_each_has_its_safe_side(plain):
    assert set(plain.limits) == {"vapour", "air", "core"}
    assert plain.deepest_Pa == max(plain.limits_Pa.values())
    for name, safe in plain.limits_Pa.items():
        assert safe >= plain.nominal_limits_Pa[name]
    nominal, safe = plain.interval()
    assert nominal < safe
    assert safe.m_as("Pa") == plain.limits_Pa[plain.limiting]


def test_the_vapour_limit_is_the_upper_bubble_pressure_over_the_share(plain):
    third = catalogue.practice().margins.vapour_share.si  # its warmth is a stated rise
    assert plain.limits_Pa["vapour"] == pytest.approx(plain.bubble_pressure_Pa[1] / third)
    asked = outgas.advise(UP, shop(), vapour_share="20 %")
    assert asked.limits_Pa["vapour"] == pytest.approx(5.0 * asked.bubble_pressure_Pa[1])
    styrene = outgas.partial_pressures(UP, plain.hottest)["styrene"].m_as("Pa")
    assert plain.partial_pressures_Pa["styrene"] == pytest.approx(styrene)
    water = outgas.vapour_pressure("water", plain.hottest).m_as("Pa")
    assert plain.partial_pressures_Pa["water"] == pytest.approx(plain.water_activity[0] * water)


def test_an_independent_sum_of_the_air_limit():
    """The gas law by hand for a press, where nothing leaves and bubbles stay what they were."""
    got = outgas.advise(
        UP, shop(), process="pressing", entrained="4 %", hottest="30 degC", air_pressure="0 mbar",
        void_target="1 %",
    )  # fmt: skip
    p_v, p_atm = got.bubble_pressure_Pa[0], got.barometer_Pa
    drum = outgas.bubble_pressure(UP, "26 degC", water_activity=0.36).m_as("Pa")
    allowed = 0.01 / 0.99 / (1.0 - 0.5)
    held = 303.15 / 299.15 * 0.04 * (p_atm - drum)
    never = p_v + held / allowed  # were none of it to dissolve again
    at_once = p_v + held / (allowed + 0.10)
    assert at_once < got.nominal_limits_Pa["air"] < never


def test_the_freed_gas_of_undegassed_resin_at_the_debulk(plain):
    (deep, volume), (hold, little) = plain.freed_gas
    assert deep == plain.debulk_hold_Pa
    assert hold == plain.setpoint_Pa
    assert 0.8 < volume < 2.0
    assert little < 0.1


def test_one_per_cent_of_acetone_raises_the_vapour_limit():
    clean = outgas.advise(UP, shop(), hottest="26 degC")
    with pytest.warns(OutgasWarning, match="acetone"):
        dirty = outgas.advise(UP, shop(), hottest="26 degC", contaminants={"acetone": "1 %"})
    more = mbar(dirty.limits["vapour"]) - mbar(clean.limits["vapour"])
    assert 10 < more < 50
    assert "acetone" in dirty.partial_pressures


# Prepreg --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("humidity", "state"), [("25 %", "passed"), ("30 %", "at its limit"), ("70 %", "void-prone")]
)
def test_prepreg_is_judged_by_its_water_and_keeps_full_vacuum(humidity, state):
    got = outgas.advise(
        PREPREG,
        outgas.Shop(temperature="21 degC", humidity=humidity),
        process="prepreg",
        hottest="121 degC",
    )
    assert got.verdict.state == state
    assert mbar(got.deepest) == 0.0
    assert mbar(got.setpoint) == 0.0
    assert mbar(got.resin_pressure) == pytest.approx(0.6 * 1013.25)  # fibres at their worst
    assert "full vacuum" in got.to_text(full=True).splitlines()[0]
    assert all("shallower" not in str(way) for way in got.alternatives)


def test_more_pressure_is_the_answer_to_wet_prepreg():
    wet = outgas.Shop(temperature="21 degC", humidity="70 %")
    got = outgas.advise(PREPREG, wet, process="prepreg")
    assert any("on the bag" in str(way) for way in got.alternatives)
    pressed = outgas.advise(PREPREG, wet, process="prepreg", rig=outgas.Rig(autoclave="2 bar"))
    assert pressed.verdict.state == "passed"


def test_the_autoclave_resin_brings_its_pressure():
    wet = outgas.Shop(temperature="21 degC", humidity="30 %")
    got = outgas.advise("autoclave-epoxy-prepreg", wet, process="prepreg")
    on_bag = 1013.25 + 5000  # the low end of its range
    assert mbar(got.resin_pressure) == pytest.approx(0.6 * on_bag)
    assert any("5.0 bar above the air" in text for text in got.assumptions)
    assert got.verdict.state == "passed"


# Processes ------------------------------------------------------------------------------------


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
def test_every_resin_answers_for_every_process_it_is_for():
    for name in outgas.resins():
        for process in outgas.resin(name).processes:
            got = outgas.advise(name, shop(), process=process)
            assert math.isfinite(got.deepest_Pa)
            assert got.deepest_Pa >= 0.0
            if got.has_window:
                assert got.setpoint_Pa >= got.deepest_Pa
                assert got.setpoint_Pa <= got.shallowest_Pa
                if got.debulk_Pa is not None:
                    assert got.debulk_Pa <= got.deepest_Pa + 1e-9
            else:
                assert got.debulk is None
                assert got.setpoint is None
                if process != "degassing":
                    assert got.alternatives
            assert got.cautions[-1].startswith("the safety data sheet")
            first, second = got.to_text(full=True).splitlines()[:2]
            assert "mbar" in first
            assert second
            json.dumps(got.to_dict())


def test_the_six_processes_are_all_used():
    used = {process for name in outgas.resins() for process in outgas.resin(name).processes}
    assert used == {"wet layup", "infusion", "prepreg", "degassing", "core bonding", "pressing"}


def test_a_press_needs_no_vacuum():
    got = outgas.advise(UP, shop(), process="pressing")
    assert got.setpoint_Pa == got.barometer_Pa
    assert got.debulk is None


def test_degassing_is_limited_by_vapour_alone():
    got = outgas.advise(UP, shop(), process="degassing")
    assert got.limiting == "vapour"
    assert got.limits_Pa["air"] == 0.0
    assert 60 < mbar(got.deepest) < 120


def test_a_process_a_resin_is_not_for_is_bad_input():
    with pytest.raises(InputError, match="is not for prepreg; it is for wet layup"):
        outgas.advise(UP, shop(), process="prepreg")


@pytest.mark.parametrize("name", ["wet-layup", "Wet Layup", "wet_layup"])
def test_a_hyphen_reads_like_a_space(name, plain):
    assert outgas.advise(UP, shop(), process=name).deepest_Pa == plain.deepest_Pa


# The order of the resins ----------------------------------------------------------------------


def by_hand(resin, T):
    """Flory-Huggins for one or two monomers and the drum's water, written out once more."""
    monomers = [p for p in resin.part if p.volatile and p.volatile != "water"]
    rho = [outgas.volatile(p.volatile).density.si for p in monomers]
    V = [outgas.volatile(p.volatile).molar_volume for p in monomers]
    water_share = sum(p.fraction.si for p in resin.part if p.volatile == "water")
    polymer = resin.prepolymer
    volumes = [p.fraction.si / r for p, r in zip(monomers, rho, strict=True)]
    water_volume = water_share / outgas.volatile("water").density.si
    rest = polymer.fraction.si / polymer.density.si
    total = sum(volumes) + rest + water_volume
    phi = [v / total for v in volumes]
    phi_p, phi_w = rest / total, water_volume / total
    V_w = outgas.volatile("water").molar_volume
    inverse = sum(f / v for f, v in zip(phi, V, strict=True)) + phi_w / V_w
    inverse += phi_p / (polymer.molar_mass.si / polymer.density.si)
    pressure = 0.0
    for i, part in enumerate(monomers):
        ln_a = math.log(phi[i]) + 1 - V[i] * inverse + part.chi.si * phi_p * (1 - phi[i])
        for j, other in enumerate(monomers):
            if j != i:
                ln_a -= other.chi.si * V[i] / V[j] * phi[j] * phi_p
        pure = outgas.vapour_pressure(part.volatile, outgas.Quantity(T, "K")).m_as("Pa")
        pressure += math.exp(ln_a) * pure
    return pressure


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
def test_the_resins_side_by_side_follow_from_composition_and_air_alone(capsys):
    rows = []
    for name in outgas.resins():
        resin = outgas.resin(name)
        process = "prepreg" if "prepreg" in resin.processes else "pressing"
        told = dict(hottest="40 degC", water_activity="30 %", low_gas_initiator=True)
        got = outgas.advise(name, shop(), process=process, **told)
        rows.append((name, got.nominal_limits_Pa, by_hand(resin, 313.15), resin.air_solubility.si))
    water = 0.3 * outgas.vapour_pressure("water", "40 degC").m_as("Pa")
    with capsys.disabled():
        print("\nlimits at 40 degC and a_w 0.30, mbar: vapour, air; and air solubility")
        for name, limits, _, L in sorted(rows, key=lambda row: row[1]["vapour"]):
            print(f"  {name:32s}{limits['vapour'] / 100:8.1f}{limits['air'] / 100:8.1f}{L:8.2f}")
    margins = catalogue.practice().margins
    times, clear = margins.vapour_times.si, margins.vapour_clear.si
    for name, limits, own, _ in rows:
        push = own + water
        kept = push if "prepreg" in name else max(times * push, push + clear)
        assert limits["vapour"] == pytest.approx(kept, rel=1e-9), name
    # a shut laminate by the gas law: at most all its air, at least what came out at once
    cool = 0.3 * outgas.vapour_pressure("water", "26 degC").m_as("Pa")
    here = shop().barometer_Pa
    free = 0.02 / 0.98 / (1.0 - catalogue.practice().process["pressing"].fibre_fraction.si)
    closed = [row for row in rows if row[1]["air"] > 0.0]
    for name, limits, own, L in closed:
        p_air = here - by_hand(outgas.resin(name), 299.15) - cool
        held = 313.15 / 299.15 * (0.005 + L) * p_air
        most = own + water + held / (free + L)
        assert 0.5 * most < limits["air"] <= 1.02 * most, name
    assert len({round(limits["air"]) for _, limits, _, _ in closed}) > 5


def test_another_name_for_the_same_composition_changes_nothing(tmp_path, plain):
    text = (data.root() / "resins.toml").read_text(encoding="utf-8")
    start = text.index(f"[{UP}]")
    block = text[start : text.index("\n[isophthalic-polyester]")]
    path = tmp_path / "mine.toml"
    path.write_text(block.replace(UP, "no-such-family"), encoding="utf-8")
    assert outgas.advise(str(path), shop()).limits_Pa == plain.limits_Pa


# What would change it most --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("resin", "process", "extra"),
    [
        (UP, "wet layup", {}),
        (UP, "wet layup", {"air_pressure": "27 mbar"}),
        ("epoxy-laminating", "infusion", {}),
        (PREPREG, "prepreg", {}),
    ],
)
def test_moving_one_input_changes_deepest_by_the_stated_amount(resin, process, extra):
    warnings.simplefilter("ignore", OutgasWarning)
    base = outgas.advise(resin, shop(), process=process, **extra)
    sizes = []
    for influence in base.influences:
        at, arguments = shop(), dict(extra)
        if influence.argument == "contaminants":
            name, _, share = influence.to.partition("=")
            arguments["contaminants"] = {name: share}
        elif influence.argument == "barometer":
            at = outgas.Shop(temperature="26 degC", humidity="60 %", barometer=influence.to)
        elif influence.argument in ("temperature", "humidity"):
            at = shop(**{influence.argument: influence.to})
        else:
            arguments[influence.argument] = influence.to
            if influence.argument == "air_pressure":
                arguments.pop("degassed", None)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutgasWarning)
            moved = outgas.advise(resin, at, process=process, **arguments)
        if process == "prepreg":
            change = moved.limits_Pa["vapour"] - base.limits_Pa["vapour"]
        else:
            change = moved.deepest_Pa - base.deepest_Pa
        change += base.barometer_Pa - moved.barometer_Pa  # counted from the air, as a dial counts
        assert change == pytest.approx(influence.change_Pa, abs=1.0), influence
        sizes.append(abs(change))
    assert sizes[0] == max(sizes)
    assert sizes[0] > 500.0
    assert base.influences[0].text in base.to_text(full=True)


# Uncertainty is one-sided ---------------------------------------------------------------------


def test_more_confidence_never_allows_a_deeper_bag():
    deepest = [
        outgas.advise(UP, shop(), confidence=c).deepest_Pa for c in (0.5, 0.8, 0.95, 0.99, 0.999)
    ]
    assert deepest == sorted(deepest)
    assert deepest[0] < deepest[-1]


# Shares of a limit. Vapour may drive a little air out; either side of the solubility may be the
# worse, so joint draws go to both.
DRIVEN_OUT, EITHER_SIDE = 1e-3, {"air_solubility": 0.01}
FOUND_WITHIN_PA = 0.1  # a limit is looked for to within this


def widened(text, field, factor):
    """Return a resin's TOML with one number's range stretched."""

    def stretch(match):
        value, low, high = (float(match[i]) for i in (1, 2, 3))
        wide = value - factor * (value - low), value + factor * (high - value)
        return (
            match[0]
            .replace(f"low = {match[2]}", f"low = {wide[0]!r}")
            .replace(f"high = {match[3]}", f"high = {wide[1]!r}")
        )

    pattern = rf"{field} = {{ value = ([\d.]+), .*?low = ([\d.]+), high = ([\d.]+)"
    return re.sub(pattern, stretch, text)


@pytest.mark.parametrize("field", ["chi", "air_solubility", "fraction", "density", "molar_mass"])
@pytest.mark.parametrize("extra", [{}, {"air_pressure": "27 mbar"}, {"degassed": "90 mbar"}])
def test_a_wider_range_in_the_data_never_allows_a_deeper_bag(tmp_path, field, extra):
    text = (data.root() / "resins.toml").read_text(encoding="utf-8")
    block = text[text.index(f"[{UP}]") : text.index("\n[isophthalic-polyester]")]
    found = []
    for factor in (0.2, 1.0, 1.3):
        path = tmp_path / f"{field}-{factor}.toml"
        path.write_text(widened(block, field, factor).replace(UP, "mine"), encoding="utf-8")
        found.append(outgas.advise(str(path), shop(), **extra))
    for narrow, wide in itertools.pairwise(found):
        for name in narrow.limits_Pa:
            least = narrow.limits_Pa[name] * (1.0 - EITHER_SIDE.get(field, DRIVEN_OUT))
            assert wide.limits_Pa[name] >= least - FOUND_WITHIN_PA
        # the air's nominal limit counts on a debulk that keeps clear of the wider vapour
        nominal = narrow.nominal_limits_Pa["vapour"]
        assert wide.nominal_limits_Pa["vapour"] == pytest.approx(nominal)


# Altitude -------------------------------------------------------------------------------------


def test_altitude_moves_every_dial_and_not_the_vapour_limit(plain):
    high = outgas.advise(UP, shop(altitude="1600 m"))
    assert high.limits_Pa["vapour"] == pytest.approx(plain.limits_Pa["vapour"])
    low_dials = outgas.dials(plain.limits["vapour"], outgas.Quantity(plain.barometer_Pa, "Pa"))
    high_dials = outgas.dials(high.limits["vapour"], outgas.Quantity(high.barometer_Pa, "Pa"))
    for name in low_dials:
        if name.startswith("absolute"):
            assert low_dials[name] == pytest.approx(high_dials[name])
        else:
            assert abs(low_dials[name] - high_dials[name]) > 0.01


# Refusals -------------------------------------------------------------------------------------


@pytest.mark.parametrize("core", ["20 mm expanded polystyrene", "20 mm XPS"])
@pytest.mark.parametrize("resin", [UP, "acrylic-infusion", "vinyl-toluene-polyester"])
def test_monomer_on_polystyrene_is_refused(resin, core):
    process = "infusion" if resin == "acrylic-infusion" else "wet layup"
    with pytest.raises(RefusedError, match="dissolves"):
        outgas.advise(resin, shop(), process=process, layup=outgas.Layup(core=core))


def test_epoxy_on_polystyrene_is_not_refused_and_the_core_limits():
    got = outgas.advise(
        "epoxy-laminating", shop(), layup=outgas.Layup(core="20 mm expanded polystyrene")
    )
    assert got.limits_Pa["core"] > 80000.0
    assert got.limiting == "core"
    assert got.shallowest_Pa > 93000.0


def test_below_the_resins_minimum_temperature_is_refused():
    with pytest.raises(RefusedError, match=r"12\.0 degC is below the 15 degC"):
        outgas.advise(UP, shop(temperature="12 degC"))


def test_a_tool_below_the_dew_point_is_refused():
    with pytest.raises(RefusedError, match="dew point"):
        outgas.advise(UP, shop(humidity="80 %", tool_temperature="20 degC"))


def test_a_cool_tool_above_the_dew_point_is_wetter():
    cool = outgas.advise(UP, shop(tool_temperature="22 degC"), air_pressure="27 mbar")
    same = outgas.advise(UP, shop(), air_pressure="27 mbar")
    assert cool.water_activity[1] > same.water_activity[1]
    assert cool.deepest_Pa > same.deepest_Pa


# Inputs ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"resin": "orthoftalic"}, "orthophthalic-polyester"),
        ({"shop": "26 C"}, "outgas.Shop"),
        ({"process": "wetlay"}, "wet layup"),
        ({"process": 3}, "is one of"),
        ({"layup": "x"}, "outgas.Layup"),
        ({"rig": "x"}, "no part of a rig"),
        ({"vapour_share": 30}, "write '30 %'"),
        ({"vapour_share": "1 %"}, "outside 0.05 to 1"),
        ({"confidence": 0.2}, "outside 0.5 to 0.999"),
        ({"void_target": "0 %"}, "outside 0.01 to 50 %"),
        ({"hottest": "20 degC"}, "below the shop or tool"),
        ({"hottest": "200 degC"}, "temperature of styrene"),
        ({"hottest": 30}, "with no unit"),
        ({"air_pressure": "27"}, "with no unit"),
        ({"air_pressure": "2 bar"}, "above the barometer"),
        ({"air_pressure": "27 mbar", "degassed": "90 mbar"}, "not both"),
        ({"degassed": "29 inHg"}, "two meanings"),
        ({"entrained": 5}, "write '5 %'"),
        ({"water_activity": "120 %"}, "outside 0 to 1"),
        ({"contaminants": {"aceton": "1 %"}}, "acetone"),
        ({"contaminants": {"acetone": "40 %"}}, "resin of its own"),
        ({"contaminants": {"acetone": 1.5}}, "contaminant acetone"),
        ({"bag_pressure": "29 inHg"}, "two meanings"),
        ({"bag_pressure": "0.94 bar gauge"}, "for a vacuum write"),
        ({"bag_pressure": 60}, "with no unit"),
        ({"reads_with": "eyes"}, "dial, water, plate, none or"),
        ({"reads_with": "sensor"}, "state its error"),
        ({"initiator": "3 %"}, "outside the 1.0% to 2.0% of the sheet"),
        ({"initiator": "1.5"}, "write '1.5 %'"),
        ({"gel_time": "2 min"}, "makes it"),
        ({"gel_time": "20"}, "20 min"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(arguments, message):
    arguments = {"resin": UP, "shop": shop(), **arguments}
    with pytest.raises((InputError, OutOfRangeError, UnitError, UnknownNameError)) as caught:
        outgas.advise(arguments.pop("resin"), arguments.pop("shop"), **arguments)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_default_warming_is_stated_and_never_the_shop(plain):
    assert plain.hottest.m_as("degC") == pytest.approx(29.0)
    assert any("3 K over the shop, no layup given" in text for text in plain.assumptions)


@pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
def test_thicker_laminates_warm_more():
    found = []
    for plies in (1, 8, 60):
        layup = outgas.Layup(plies=[f"{plies} x 400 g/m2 woven glass"])
        found.append(outgas.advise(UP, shop(), layup=layup).hottest_K)
    assert found == sorted(found)
    assert found[0] > 299.15
    assert found[-1] - 299.15 > 20.0


def test_a_stack_that_keeps_gas_in_asks_for_less_vacuum(plain):
    sealed = outgas.Layup(bag_side=["release film", "breather"])
    assert outgas.advise(UP, shop(), layup=sealed).deepest_Pa > plain.deepest_Pa + 20000


def test_balsa_brings_its_water():
    core = outgas.Layup(core="15 mm balsa")
    wood = outgas.advise(UP, shop(), layup=core, air_pressure="27 mbar", hottest="60 degC")
    none = outgas.advise(UP, shop(), air_pressure="27 mbar", hottest="60 degC")
    assert wood.water_activity[1] > none.water_activity[1] + 0.05


def test_a_softening_core_is_flagged():
    layup = outgas.Layup(core="15 mm PVC foam")
    with pytest.warns(OutgasWarning, match="softens"):
        got = outgas.advise(UP, shop(), layup=layup, hottest="80 degC")
    assert "softens" in got.cautions[0]


def test_a_boiling_pot_is_flagged():
    with pytest.warns(OutgasWarning, match="may have boiled the resin"):
        outgas.advise(UP, shop(), degassed="10 mbar")


def test_a_weak_pump_is_flagged():
    with pytest.warns(OutgasWarning, match="weaker than the debulk"):
        outgas.advise(UP, shop(), rig=outgas.Rig(pump_ultimate="150 mbar"))


# Reading and holding --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reads_with", "margin"), [("dial", 2500.0), ("sensor 5 mbar", 500.0), ("water", None)]
)
def test_the_setpoint_keeps_clear_of_deepest_by_the_error_of_reading(reads_with, margin):
    got = outgas.advise(UP, shop(), air_pressure="27 mbar", reads_with=reads_with)
    wanted = 0.05 * got.deepest_Pa if margin is None else margin
    assert got.setpoint_Pa - got.deepest_Pa == pytest.approx(wanted)


def test_a_pressure_that_wanders_keeps_further_clear(plain):
    got = outgas.advise(UP, shop(), air_pressure="27 mbar", rig=outgas.Rig(hold_error="80 mbar"))
    assert got.setpoint_Pa - got.deepest_Pa == pytest.approx(8000.0)


def test_a_window_too_narrow_to_hold_is_no_window():
    got = outgas.advise(UP, shop(), rig=outgas.Rig(hold_error="150 mbar"))
    assert got.setpoint is None
    assert not got.safe


@pytest.mark.parametrize(
    ("bag", "state"),
    [
        ("5 mbar", "boiling"),
        ("70 mbar", "inside margin"),
        ("300 mbar", "debulk only"),
        ("655 mbar", "safe"),
        ("900 mbar", "too weak"),
        ("540 mbar", "cannot tell"),
    ],
)
def test_a_bag_pressure_gets_its_verdict_with_the_interval(bag, state):
    got = outgas.advise(UP, shop(), bag_pressure=bag)
    assert got.verdict.state == state
    low, high = (mbar(q) for q in got.verdict.interval)
    assert high - low == pytest.approx(min(50.0, high), abs=0.1)
    assert got.safe == (state == "safe")
    assert f"{low:.0f} " in str(got.verdict) or low == 0.0


def test_a_reading_wider_than_the_window_cannot_tell():
    got = outgas.advise(UP, shop(), bag_pressure="600 mbar", reads_with="sensor 80 mbar")
    low, high = (mbar(q) for q in got.verdict.interval)
    assert low < mbar(got.deepest) < mbar(got.shallowest) < high
    assert got.verdict.state == "cannot tell"


def test_a_weaker_pull_takes_out_less_air_and_never_allows_a_deeper_bag():
    deepest = [
        outgas.advise(UP, shop(), degassed=f"{pot} mbar").deepest_Pa
        for pot in (60, 90, 150, 300, 600, 900)
    ]
    assert all(b >= 0.995 * a for a, b in itertools.pairwise(deepest))  # more gas runs out sooner
    assert deepest[-1] > deepest[0] + 5000


def test_the_pot_and_the_debulk_are_advised_clear_of_boiling_by_the_reading_error(plain):
    pot = next(w.text for w in plain.alternatives if "in a pot at" in w.text)
    assert float(pot.split("pot at ")[1].split(" mbar")[0]) >= mbar(plain.debulk) + 24
    assert plain.debulk_hold_Pa - plain.debulk_limit_Pa == pytest.approx(2500.0)


def test_a_good_sensor_narrows_the_verdict():
    dial = outgas.advise(UP, shop(), bag_pressure="545 mbar")
    sensor = outgas.advise(UP, shop(), bag_pressure="545 mbar", reads_with="sensor 2 mbar")
    assert dial.verdict.state == "cannot tell"
    assert sensor.verdict.state == "safe"


def test_the_resin_pressure_is_the_bags_where_resin_bleeds(plain):
    assert plain.resin_pressure_Pa == plain.setpoint_Pa
    said = outgas.advise(UP, shop(), bag_pressure="640 mbar")
    assert mbar(said.resin_pressure) == pytest.approx(640)


# Cautions -------------------------------------------------------------------------------------

EVERY = [(name, p) for name in outgas.resins() for p in outgas.resin(name).processes]


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
@pytest.mark.parametrize(("name", "process"), EVERY)
def test_the_cautions_that_apply_are_there(name, process):
    resin = outgas.resin(name)
    text = " ".join(outgas.advise(name, shop(), process=process).cautions)
    assert "safety data sheet" in text
    if resin.initiator == "peroxide":
        assert "peroxide" in text
        assert "last" in text
        assert "acetone" in text
        assert "never below or above the range" in text
    if resin.promoter:
        assert "promoter into the resin first" in text
        assert "never the two together" in text
    if process != "prepreg":
        assert "never degas resin in bulk once initiator or hardener is in" in text
        assert "outdoors until cold" in text
    if resin.monomers and outgas.volatile(resin.monomers[0].volatile).lower_flammable_limit:
        assert "vapour over the liquid can burn" in text
        assert "pump exhaust outdoors" in text
    if process != "pressing":
        assert "no glass" in text
        assert "no mercury" in text


def test_styrene_reaches_its_flammable_limit_near_27_degrees(plain):
    assert any("styrene vapour over the liquid can burn from 27 degC" in c for c in plain.cautions)


# No safe window -------------------------------------------------------------------------------


def test_no_safe_window_is_a_full_answer_with_numbers():
    got = outgas.advise(UP, shop(altitude="3000 m"))
    assert not got.has_window
    assert "No safe vacuum" in got.to_text(full=True).splitlines()[0]
    text = got.to_text(full=True)
    assert "Ways out" in text
    texts = [str(way) for way in got.alternatives]
    assert any("degas" in t for t in texts)
    assert any("kg" in t for t in texts)
    assert all(any(c.isdigit() for c in t) for t in texts)
    assert got.alternatives[0].opens


def test_the_ways_out_do_what_they_say():
    at = shop(altitude="3000 m")
    got = outgas.advise(UP, at)
    seeded = next(w for w in got.alternatives if "dissolved air out" in w.text)
    left = float(seeded.text.split("air pressure ")[1].split(" mbar")[0])
    assert outgas.advise(UP, at, air_pressure=f"{left - 1} mbar").has_window
    assert not outgas.advise(UP, at, air_pressure=f"{left + 12} mbar").has_window


def test_a_cooler_shop_is_a_way_out_where_vapour_limits():
    warm = outgas.Shop(temperature="35 degC", humidity="90 %")
    got = outgas.advise("acrylic-infusion", warm, process="degassing")
    assert not got.has_window
    cooler = next(w for w in got.alternatives if w.text.startswith("cool the shop"))
    degrees = float(cooler.text.split(" to ")[1].split(" degC")[0])
    cold = outgas.Shop(temperature=f"{degrees - 1} degC", humidity="90 %")
    assert outgas.advise("acrylic-infusion", cold, process="degassing").has_window


def test_pressing_needs_a_weight_that_is_said_over_the_panel():
    got = outgas.advise(UP, shop(altitude="3000 m"), layup=outgas.Layup(area="0.8 m2"))
    press = next(w for w in got.alternatives if w.text.startswith("press it instead"))
    assert "over this 0.8 m2 panel" in press.text
    assert f"{34000 * 0.8 / 9.80665:,.0f} kg" in press.text


# Records --------------------------------------------------------------------------------------


def test_to_dict_is_plain_versioned_and_in_si(plain):
    got = plain.to_dict()
    assert json.loads(plain.to_json()) == json.loads(json.dumps(got))
    assert got["version"] == 2
    assert got["setpoint_Pa"] == plain.setpoint_Pa
    assert got["dials"]["setpoint"]["absolute_mbar"] == pytest.approx(plain.setpoint_Pa / 100)

    def plain_types(node):
        if isinstance(node, dict):
            return all(isinstance(k, str) and plain_types(v) for k, v in node.items())
        if isinstance(node, list):
            return all(plain_types(v) for v in node)
        return node is None or type(node) in (str, float, int, bool)

    assert plain_types(got)


def test_an_advice_shows_itself(plain):
    html = plain._repr_html_()
    assert "<table>" in html
    assert plain.to_text().splitlines()[0] in html
    with pytest.raises(AttributeError):
        plain.deepest_Pa = 3.0


def test_an_advice_reads_on_any_dial(plain):
    assert "bar gauge" in plain.to_text(dial="Bar", full=True).splitlines()[0]
    with pytest.raises(UnknownNameError, match="no dial"):
        plain.to_text(dial="feet", full=True)


def test_quantities_come_back_in_pascal_and_kelvin(plain):
    assert str(plain.deepest.units) == "pascal"
    assert str(plain.hottest.units) == "kelvin"
    assert plain.deepest.m == plain.deepest_Pa


# Property functions ---------------------------------------------------------------------------


def test_void_fraction_of_an_open_pot_is_nothing():
    got = outgas.void_fraction(UP, "25 degC", "1013.25 mbar", entrained=0.0)
    assert got.m_as("") == pytest.approx(0.0, abs=1e-12)


def test_void_fraction_broadcasts_and_ends_in_boiling():
    p = outgas.Quantity(np.array([1000.0, 500.0, 86.0, 5.0]), "mbar")
    got = outgas.void_fraction(UP, "25 degC", p).m_as("")
    assert np.all(np.diff(got) > 0)
    assert got[-1] == 1.0
    assert got[2] == pytest.approx(0.6, abs=0.05)


def test_void_fraction_refuses_what_cannot_be():
    with pytest.raises(InputError, match="below zero"):
        outgas.void_fraction(UP, "25 degC", outgas.Quantity(-1.0, "mbar"))
    with pytest.raises(InputError, match="below zero"):
        outgas.void_fraction(UP, "25 degC", "90 mbar", air_pressure=outgas.Quantity(-1.0, "mbar"))


def test_partial_pressures_broadcast_over_temperature_water_and_conversion():
    T = outgas.Quantity(np.array([25.0, 60.0, 80.0]), "degC")
    got = outgas.partial_pressures(UP, T, water_activity=0.5, conversion=np.array([0.0, 0.5, 1.0]))
    assert got["styrene"].shape == (3,)
    assert got["styrene"].m[2] == 0.0
    single = outgas.partial_pressures(UP, "60 degC", water_activity=0.5, conversion=0.5)
    assert got["styrene"].m[1] == pytest.approx(single["styrene"].m)
    total = outgas.bubble_pressure(UP, T, 0.5, np.array([0.0, 0.5, 1.0])).m
    assert total == pytest.approx(got["styrene"].m + got["water"].m, rel=1e-9)


def test_styrene_over_forty_per_cent_polyester():
    for text, hpa in (("25 degC", 7.147), ("60 degC", 45.07)):
        got = outgas.partial_pressures(UP, text)["styrene"].m_as("hPa")
        assert got == pytest.approx(hpa, rel=3e-3)  # 0.2 % of it is the cubic's miss


def test_a_labelled_array_keeps_its_dims():
    xarray = pytest.importorskip("xarray")
    T = xarray.DataArray([20.0, 30.0], dims="hour", attrs={"units": "degC"})
    got = outgas.vapour_pressure("water", T)
    assert got.dims == ("hour",)
    assert got.attrs["units"] == "Pa"
    assert float(got[0]) == pytest.approx(2339.3, abs=0.5)
    with pytest.raises(UnitError, match="attrs"):
        outgas.vapour_pressure("water", T.assign_attrs(units=None))
    with pytest.raises(InputError, match="one case at a time"):
        outgas.Shop(temperature=T, humidity=0.6)


def test_an_engine_that_does_not_exist_is_refused():
    with pytest.raises(InputError, match="'table' or 'exact'"):
        outgas.vapour_pressure("water", "20 degC", engine="guess")
