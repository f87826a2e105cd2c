"""Worse is never deeper: each input moved to its bad side alone, through every process."""

import warnings

import msgspec
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from printed import LOOKS

import outgas
from outgas.errors import OutgasError, OutgasWarning
from outgas.tables.number import Number

PAIRS = [(name, p) for name in outgas.resins() for p in outgas.resin(name).processes]
SAME_PA = 3.0  # two limits that joint draws set are each found to within one
DIAL_SHARE = 3e-3  # what runs out early goes by pressures, not by differences, and draws are few
RUNS_OUT = 0.04  # share by which worse may lower the air's limit: more gas leaves in the debulk
BY_THE_ROOT = 0.05  # share by which a lower nominal limit may have a higher safe one
COARSE_VOIDS, COARSE_RUNS_OUT = 0.05, 0.25  # the same where more voids are allowed than anyone does
CONNECTS_PA = 2500.0  # the same for more air in the resin: an error of a dial
DEEP = ("deepest_Pa", "debulk_limit_Pa", "debulk_hold_Pa", "deepest_no_debulk_Pa")
STRAIGHT = ("deepest_no_debulk_Pa",)
USUAL_VOIDS = 0.02  # of a laminate
NO_OXYGEN = {"low_gas_initiator": True}
BUDGET = settings(max_examples=30, suppress_health_check=[HealthCheck.filter_too_much])
WIDER = 1.5
OWN_CLAMP = ("prepreg",)  # its deepest is its core's

pairs = st.sampled_from(PAIRS)
celsius = st.floats(18.5, 38.0)
humidity = st.floats(0.02, 0.95)
altitude = st.floats(0.0, 3000.0)
how_long = st.sampled_from(["", " for 2 min", " for 30 min"])
how_worked = st.sampled_from(["", ", stirred", ", still"])
gas = st.one_of(
    st.just({}),
    st.floats(0.0, 500.0).map(lambda p: {"air_pressure": f"{p!r} mbar"}),
    st.builds("{!r} mbar{}{}".format, st.floats(5.0, 500.0), how_long, how_worked).map(
        lambda text: {"degassed": text}
    ),
)
traces = st.sampled_from([{}, {}, {"acetone": "0.5 %"}, {"styrene": "1 %"}])
layups = st.sampled_from(
    [None, None, None, "1 x 300 g/m2 woven glass", "6 x 450 g/m2 chopped strand mat"]
)
void = st.floats(0.002, 0.1)


@st.composite
def cases(draw, layup=True):
    """Return a resin, a shop's arguments and the rest of a job, all valid one by one.

    Its initiator makes no gas: what no vacuum holds down is told as a caution, and is no limit.
    """
    resin, process = draw(pairs)
    shop = {
        "temperature": draw(celsius),
        "humidity": draw(humidity),
        "altitude": draw(altitude),
    }
    rest = {"process": process, "void_target": draw(void), **draw(gas), **NO_OXYGEN}
    if process != "prepreg":
        rest["contaminants"] = draw(traces)
    laid = layup and process not in ("degassing", "prepreg")
    plies = draw(layups) if laid else None
    core = draw(st.sampled_from([None, None, "15 mm PVC foam", "20 mm polyurethane foam"]))
    rest["layup"] = outgas.Layup(plies=[plies] if plies else [], core=core, area="0.5 m2")
    return resin, shop, rest


def advise(resin, shop, rest, **more):
    said = {"temperature": f"{shop['temperature']!r} degC", "humidity": shop["humidity"]}
    if "barometer" in shop:
        said["barometer"] = f"{shop['barometer']!r} mbar"
    else:
        said["altitude"] = f"{shop['altitude']!r} m"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        try:
            return outgas.advise(resin, outgas.Shop(**said), **{**rest, **more})
        except OutgasError:
            assume(False)  # refused, or beyond what is known


def never_deeper(better, worse, names=DEEP, less_air=0.0, slack_Pa=SAME_PA):
    """Compare what a bag can do with: a limit above the air is only that there is no window.

    Above the air a limit of freed gas moves by how much air dissolves in the first place, and
    vapour drives air out. With a debulk, what is worse may also let a little more gas connect and
    run out of it while the resin is thin. less_air: by which share what is worse holds less air.
    """
    share = RUNS_OUT + less_air
    for name in names:
        low, high = (min(getattr(x, name), x.barometer_Pa) for x in (better, worse))
        slack = SAME_PA if name.startswith("debulk") else slack_Pa + share * low
        assert high >= low - slack, name
    no_less_vapour_or_core(better, worse)
    if worse.setpoint_Pa is not None:
        near = worse.deepest_Pa >= (1.0 - share) * better.deepest_Pa - slack_Pa
        assert better.setpoint_Pa is not None or near, "what is worse opened a window"
        if better.setpoint_Pa is not None:
            assert worse.setpoint_Pa >= (1.0 - share) * better.setpoint_Pa - slack_Pa


def no_less_vapour_or_core(better, worse):
    for name in ("vapour", "core"):  # the air's alone may fall as vapour drives air out
        low, high = (min(x.limits_Pa[name], x.barometer_Pa) for x in (better, worse))
        assert high >= low - SAME_PA, name


def of_its_air(rest):
    """Return what may not be deeper with more air in the resin: all, or a straight pull alone.

    With less air in the resin fewer bubbles open, and a debulk or a fill drains less of it: to
    fewer voids than a laminate's usual ones that may ask for more than it brings. An infusion is
    filled in any case, so there nothing is held to it; its vapour and its core are.
    """
    if rest["void_target"] >= USUAL_VOIDS:
        return DEEP
    return () if rest["process"] == "infusion" else STRAIGHT


def driven_out(shop, wetter):
    """Return the share of a shop's air that so much more humidity takes the place of."""
    warm = f"{shop['temperature']!r} degC"
    here = outgas.Shop(temperature=warm, humidity=0.5, altitude=f"{shop['altitude']!r} m")
    steam = outgas.vapour_pressure("water", warm).m_as("Pa")
    return wetter * steam / (here.barometer_Pa - steam)


@BUDGET
@given(case=cases(), warmer=st.floats(0.5, 12.0))
def test_a_hotter_shop_is_never_deeper(case, warmer):
    """But for the air over a layup: it gels sooner there, which leaves its gas less time."""
    resin, shop, rest = case
    hot = {**shop, "temperature": shop["temperature"] + warmer}
    better, worse = advise(resin, shop, rest), advise(resin, hot, rest)
    if rest["layup"].plies:
        for name in ("debulk_limit_Pa", "debulk_hold_Pa"):
            assert getattr(worse, name) >= getattr(better, name) - SAME_PA, name
        no_less_vapour_or_core(better, worse)
        return
    never_deeper(better, worse)


@BUDGET
@given(case=cases(), over=st.floats(0.0, 15.0), hotter=st.floats(0.1, 15.0))
def test_a_hotter_named_moment_is_never_deeper(case, over, hotter):
    resin, shop, rest = case
    hot = shop["temperature"] + over
    better = advise(resin, shop, rest, hottest=f"{hot!r} degC")
    never_deeper(better, advise(resin, shop, rest, hottest=f"{hot + hotter!r} degC"))


@BUDGET
@given(
    case=cases(), over=st.floats(0.0, 15.0), doubt=st.floats(0.0, 8.0), wider=st.floats(0.1, 9.0)
)
def test_a_named_moment_that_may_be_hotter_is_never_deeper(case, over, doubt, wider):
    resin, shop, rest = case
    hot = shop["temperature"] + over
    said = f"{hot!r} degC up to {{!r}} degC"
    better = advise(resin, shop, rest, hottest=said.format(hot + doubt))
    never_deeper(better, advise(resin, shop, rest, hottest=said.format(hot + doubt + wider)))


@BUDGET
@given(case=cases(layup=False), wetter=st.floats(0.01, 0.5))
def test_a_wetter_shop_is_never_deeper(case, wetter):
    """But for the air: damp air, stirred in or dissolved, holds that much less of it."""
    resin, shop, rest = case
    wet = {**shop, "humidity": min(1.0, shop["humidity"] + wetter)}
    less_air = driven_out(shop, wetter)
    never_deeper(advise(resin, shop, rest), advise(resin, wet, rest), less_air=less_air)


@settings(BUDGET, max_examples=15)
@given(case=cases(), wetter=st.floats(0.05, 0.5))
def test_a_wetter_shop_is_never_deeper_to_cure_a_layup_at(case, wetter):
    """Its debulk may be, by a millibar: the doubt of the early warmth is scaled from the late."""
    resin, shop, rest = case
    wet = {**shop, "humidity": min(1.0, shop["humidity"] + wetter)}
    better, worse = advise(resin, shop, rest), advise(resin, wet, rest)
    names = ("deepest_Pa", "deepest_clear_Pa")
    never_deeper(better, worse, names, less_air=driven_out(shop, wetter))
    assert worse.debulk_limit_Pa >= better.debulk_limit_Pa - 300.0


@BUDGET
@given(case=cases(layup=False), activity=st.floats(0.0, 1.0), wetter=st.floats(0.01, 0.5))
def test_wetter_resin_is_never_deeper(case, activity, wetter):
    resin, shop, rest = case
    better = advise(resin, shop, rest, water_activity=activity)
    worse = advise(resin, shop, rest, water_activity=min(1.0, activity + wetter))
    never_deeper(better, worse, less_air=driven_out(shop, wetter))


def as_volatile(name, other, warm="25 degC"):
    return outgas.vapour_pressure(name, warm) >= outgas.vapour_pressure(other, warm)


@BUDGET
@given(
    case=cases(),
    name=st.sampled_from(
        ["acetone", "ethanol", "toluene", "styrene", "methyl-methacrylate", "water"]
    ),
    little=st.floats(0.0, 0.03),
    more=st.floats(0.0005, 0.04),
)
def test_more_of_a_contaminant_is_never_deeper(case, name, little, more):
    """But for one less volatile than the resin's own monomer, which thins that."""
    resin, shop, rest = case
    own = [part.volatile for part in outgas.resin(resin).monomers]
    assume(name == "water" or all(as_volatile(name, other) for other in own))
    better = advise(resin, shop, rest, contaminants={name: little})
    never_deeper(better, advise(resin, shop, rest, contaminants={name: little + more}))


@BUDGET
@given(case=cases(), little=st.floats(0.0, 0.03), more=st.floats(0.0005, 0.03))
def test_more_air_stirred_in_is_never_deeper_where_none_can_leave(case, little, more):
    """Where it can, more of it connects sooner, and takes other gas along."""
    resin, shop, rest = case
    rest = {**rest, "layup": outgas.Layup(bag_side=["release film"])}
    better = advise(resin, shop, rest, entrained=little)
    never_deeper(better, advise(resin, shop, rest, entrained=little + more))


@BUDGET
@given(case=cases(), air=st.floats(0.0, 500.0), more=st.floats(0.1, 150.0))
def test_more_air_left_in_the_resin_is_never_deeper(case, air, more):
    resin, shop, rest = case
    names = of_its_air(rest)
    for name in ("air_pressure", "degassed"):
        given_ = {k: v for k, v in rest.items() if k not in ("air_pressure", "degassed")}
        better = advise(resin, shop, given_, **{name: f"{air!r} mbar"})
        worse = advise(resin, shop, given_, **{name: f"{air + more!r} mbar"})
        if names == DEEP:
            never_deeper(better, worse, names, slack_Pa=CONNECTS_PA)
            continue
        no_less_vapour_or_core(better, worse)
        for limit in names:
            low, high = (min(getattr(x, limit), x.barometer_Pa) for x in (better, worse))
            assert high >= low * (1.0 - DIAL_SHARE) - SAME_PA, limit


@BUDGET
@given(case=cases(), finer=st.floats(0.1, 0.95))
def test_fewer_voids_asked_for_are_never_deeper(case, finer):
    resin, shop, rest = case
    better = advise(resin, shop, rest)
    never_deeper(
        better, advise(resin, shop, rest, void_target=max(1e-4, finer * rest["void_target"]))
    )


@BUDGET
@given(case=cases(), trust=st.floats(0.5, 0.99), more=st.floats(0.001, 0.4))
def test_more_confidence_is_never_deeper(case, trust, more):
    resin, shop, rest = case
    better = advise(resin, shop, rest, confidence=trust)
    never_deeper(better, advise(resin, shop, rest, confidence=min(0.999, trust + more)))


@BUDGET
@given(
    case=cases(),
    error=st.floats(0.0, 40.0),
    more=st.floats(0.1, 60.0),
    how=st.sampled_from(["reading", "holding"]),
)
def test_a_wider_error_of_reading_or_holding_is_never_deeper(case, error, more, how):
    resin, shop, rest = case

    def said(e):
        if how == "reading":
            return {"reads_with": f"sensor {e!r} mbar"}
        return {"rig": outgas.Rig(hold_error=f"{e!r} mbar"), "reads_with": "water"}

    better, worse = (
        advise(resin, shop, rest, **said(error)),
        advise(resin, shop, rest, **said(error + more)),
    )
    never_deeper(better, worse)
    straight = rest["process"] not in (*OWN_CLAMP, "infusion")  # it is filled in any case
    assert not straight or worse.deepest_no_debulk_Pa == better.deepest_no_debulk_Pa


@BUDGET
@given(case=cases(), reach=st.floats(0.5, 500.0), weaker=st.floats(0.1, 300.0))
def test_a_weaker_pump_is_never_deeper(case, reach, weaker):
    """But for the cure's limit after a debulk or a fill: at another depth it is another course."""
    resin, shop, rest = case
    better = advise(resin, shop, rest, rig=outgas.Rig(pump_ultimate=f"{reach!r} mbar"))
    worse = advise(resin, shop, rest, rig=outgas.Rig(pump_ultimate=f"{reach + weaker!r} mbar"))
    names = ("debulk_limit_Pa", "debulk_hold_Pa")
    if rest["process"] != "infusion":  # it is filled in any case
        names = (*names, "deepest_no_debulk_Pa")
    never_deeper(better, worse, names)
    for got, least in ((better, reach), (worse, reach + weaker)):
        for held in (got.setpoint_Pa, got.debulk_Pa):
            assert held is None or rest["process"] == "pressing" or held >= 100.0 * least - SAME_PA


@BUDGET
@given(case=cases(), here=st.floats(750.0, 1040.0), falls=st.floats(0.5, 50.0))
def test_a_lower_barometer_never_asks_for_more_on_the_dial(case, here, falls):
    resin, shop, rest = case
    better = advise(resin, {**shop, "barometer": here}, rest)
    worse = advise(resin, {**shop, "barometer": here - falls}, rest)
    # less air dissolves under a lower barometer: to few voids, what runs out early counts for more
    share = DIAL_SHARE if rest["void_target"] >= USUAL_VOIDS else RUNS_OUT
    for name in ("deepest_Pa", "debulk_limit_Pa", "setpoint_Pa"):
        high, low = getattr(better, name), getattr(worse, name)
        if high is None or low is None:
            continue
        shown = max(0.0, better.barometer_Pa - high)  # a dial shows nothing above the air
        assert worse.barometer_Pa - low <= shown + SAME_PA + share * high, name


def widened(record):
    """Return a record with every number's doubt half as wide again, its values kept."""
    if isinstance(record, Number):
        if record.u95 is not None:
            return msgspec.structs.replace(record, u95=WIDER * record.u95)
        low = record.value - WIDER * (record.value - record.low)
        high = record.value + WIDER * (record.high - record.value)
        return msgspec.structs.replace(record, low=low, high=high)
    if isinstance(record, tuple):
        return tuple(widened(item) for item in record)
    if isinstance(record, msgspec.Struct):
        held = {name: widened(getattr(record, name)) for name in record.__struct_fields__}
        return msgspec.structs.replace(record, **held)
    return record


@BUDGET
@given(case=cases())
def test_wider_doubt_about_a_resin_is_never_deeper(case):
    resin, shop, rest = case
    record = outgas.resin(resin)
    never_deeper(advise(record, shop, rest), advise(widened(record), shop, rest))


def test_that_law_widens_something():
    record = outgas.resin("orthophthalic-polyester")
    wide = widened(record)
    assert wide.air_solubility.band.high > record.air_solubility.band.high
    assert wide.air_solubility.si == record.air_solubility.si
    shop = {"temperature": 22.0, "humidity": 0.5, "altitude": 0.0}
    press = {"process": "pressing"}
    narrow, broad = (advise(x, shop, press).limits_Pa["air"] for x in (record, wide))
    assert broad > narrow + 100.0


# Of the gas ------------------------------------------------------------------------------------

BAGS = ("wet layup", "infusion", "core bonding")
DEBULKED = ("wet layup", "core bonding")
VOIDS_SLACK = 1e-6  # to which the voids of a limit are looked for
depths = st.floats(0.02, 0.98)  # of the barometer


def of(case, processes):
    """Return the case, or another: laws of the gas are of bags."""
    assume(case[2]["process"] in processes)
    return case


@BUDGET
@given(case=cases())
def test_a_debulk_never_makes_the_cure_shallower_and_is_left_out_where_it_would(case):
    resin, shop, rest = of(case, DEBULKED)
    better = advise(resin, shop, rest)
    straight = advise(resin, shop, rest, no_debulk=True)
    assert better.deepest_Pa <= straight.deepest_Pa + SAME_PA
    assert better.deepest_no_debulk_Pa == straight.deepest_Pa
    assert straight.debulk_Pa is None
    if better.debulk_Pa is not None:
        assert better.limits_Pa["air"] < straight.limits_Pa["air"]
    if straight.setpoint_Pa is not None:
        assert better.setpoint_Pa is not None, "a debulk shut a window"
        assert better.setpoint_Pa <= straight.setpoint_Pa + SAME_PA


def test_that_law_of_the_debulk_is_not_about_nothing():
    shop = {"temperature": 22.0, "humidity": 0.5, "altitude": 0.0}
    up, bag = "orthophthalic-polyester", {"process": "wet layup"}
    better, straight = (advise(up, shop, bag, no_debulk=x) for x in (False, True))
    assert better.deepest_Pa < 0.8 * straight.deepest_Pa


@BUDGET
@given(case=cases(), pot=st.floats(5.0, 900.0), how=how_worked, long=how_long)
def test_degassed_resin_never_needs_a_shallower_bag(case, pot, how, long):
    resin, shop, rest = of(case, BAGS)
    rest = {k: v for k, v in rest.items() if k not in ("air_pressure", "degassed")}
    plain = advise(resin, shop, rest)
    pulled = advise(resin, shop, rest, degassed=f"{pot!r} mbar{long}{how}")
    for name in of_its_air(rest):
        low, high = (min(getattr(x, name), x.barometer_Pa) for x in (pulled, plain))
        slack = SAME_PA if name in STRAIGHT else CONNECTS_PA
        # a target as coarse as what stays trapped hangs on when the gas connects: more gas sooner
        runs_out = COARSE_RUNS_OUT if rest["void_target"] > COARSE_VOIDS else RUNS_OUT
        assert high >= low * (1.0 - runs_out) - slack, name


@BUDGET
@given(case=cases(), finish=st.sampled_from([{}, {"finish": "clear"}]))
def test_the_setpoint_is_expected_to_keep_to_the_target_wherever_there_is_a_window(case, finish):
    resin, shop, rest = case
    if finish:
        rest = {k: v for k, v in rest.items() if k != "void_target"}
    got = advise(resin, shop, rest, **finish)
    if got.setpoint_Pa is None:
        assert got.expected_voids is None
        return
    if got.expected_voids is None:
        assert got.facts.gas_leaves
        return
    assert got.expected_voids.high <= got.void_target + VOIDS_SLACK
    if finish:
        assert got.look == "clear"


@pytest.mark.parametrize(("resin", "process"), PAIRS)
def test_every_resin_in_every_process_keeps_to_its_target_at_its_setpoint(resin, process):
    shop = {"temperature": 23.0, "humidity": 0.5, "altitude": 0.0}
    got = advise(resin, shop, {"process": process, "degassed": "100 mbar"}, **NO_OXYGEN)
    if got.expected_voids is None:
        assert got.setpoint_Pa is None or got.facts.gas_leaves
    else:
        assert got.expected_voids.high <= got.void_target + VOIDS_SLACK


@BUDGET
@given(case=cases(), at=st.lists(depths, min_size=2, max_size=4, unique=True))
def test_a_straight_pull_never_looks_better_the_deeper_it_goes(case, at):
    """By its likely optical depth: the voids alone may fall, for more of them find a way out."""
    resin, shop, rest = of(case, DEBULKED)
    got = advise(resin, shop, rest, no_debulk=True)
    seen = [got.look_at(f"{p * got.barometer_Pa!r} Pa") for p in sorted(at, reverse=True)]
    likely = [LOOKS.index(look.partition(" to ")[0]) for look in seen]
    assert likely == sorted(likely), seen


@BUDGET
@given(case=cases(), at=st.lists(depths, min_size=2, max_size=4, unique=True))
def test_with_no_way_out_a_straight_pull_never_holds_less_the_deeper_it_goes(case, at):
    resin, shop, rest = of(case, DEBULKED)
    rest = {**rest, "layup": outgas.Layup(core="15 mm PVC foam", bag_side=["release film"])}
    got = advise(resin, shop, rest, no_debulk=True)
    here = got.barometer_Pa
    voids = [got.voids_at(f"{p * here!r} Pa").nominal for p in sorted(at, reverse=True)]
    assert voids == sorted(voids)


@BUDGET
@given(case=cases())
def test_a_clear_finish_is_never_deeper_than_a_structural_one(case):
    resin, shop, rest = of(case, BAGS)
    rest = {k: v for k, v in rest.items() if k != "void_target"}
    plain, clear = (advise(resin, shop, rest, finish=x) for x in ("structural", "clear"))
    assert clear.limits_Pa["air"] >= plain.limits_Pa["air"] - SAME_PA
    assert clear.deepest_Pa >= plain.deepest_Pa - SAME_PA
    assert plain.deepest_clear_Pa >= plain.deepest_Pa - SAME_PA
    if clear.setpoint_Pa is not None:
        assert plain.setpoint_Pa is not None
        assert clear.setpoint_Pa >= plain.setpoint_Pa - SAME_PA


@BUDGET
@given(case=cases(), share=st.floats(0.0, 1.0), more=st.floats(0.01, 0.5))
def test_gas_that_finds_its_way_out_more_readily_is_never_shallower(case, share, more):
    """But for the root of squares: from a lower nominal limit its sum may reach a little higher."""
    resin, shop, rest = of(case, BAGS)
    worse = advise(resin, shop, rest, connected=share)
    better = advise(resin, shop, rest, connected=min(1.0, share + more))
    low, high = (min(x.deepest_Pa, x.barometer_Pa) for x in (better, worse))
    assert high >= (1.0 - BY_THE_ROOT) * low - SAME_PA
    for name, value in better.nominal_limits_Pa.items():
        assert value <= worse.nominal_limits_Pa[name] + SAME_PA, name
