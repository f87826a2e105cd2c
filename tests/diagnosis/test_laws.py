"""What must hold between a diagnosis and the advice, whatever the resin and the shop."""

import warnings

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from white_laminates import EP, UP, VE

import outgas

AIR = {"dissolved-air", "resin-boiling", "entrained-air"}
shops = st.builds(
    lambda t, rh, h: outgas.Shop(temperature=f"{t!r} degC", humidity=rh, altitude=f"{h!r} m"),
    st.floats(18.0, 34.0),
    st.floats(0.1, 0.9),
    st.sampled_from([0.0, 20.0, 900.0, 2500.0]),
)
resins = st.sampled_from([UP, VE, EP, "isophthalic-polyester", "epoxy-infusion"])
processes = st.sampled_from(["wet layup", "infusion"])
pots = st.sampled_from([None, "300 mbar", "27 mbar for 10 min, stirred"])


def fits(resin, process):
    return process in outgas.resin(resin).processes


def advised(resin, shop, **asked):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", outgas.OutgasWarning)
        return outgas.advise(resin, shop, **asked)


@given(
    resin=resins,
    shop=shops,
    process=processes,
    pot=pots,
    finish=st.sampled_from([None, "clear"]),
    no_debulk=st.booleans(),
)
def test_fed_back_the_advised_setpoint_predicts_the_target_or_better(
    resin, shop, process, pot, finish, no_debulk
):
    assume(fits(resin, process))
    asked = {"process": process, "degassed": pot, "finish": finish, "no_debulk": no_debulk}
    asked["low_gas_initiator"] = True
    advice = advised(resin, shop, **asked)
    assume(advice.setpoint_Pa is not None)
    found = outgas.diagnose(resin, shop, bag_pressure="700 mbar", **asked)
    again = found.replay(advice.setpoint, debulk=not advice.behind.straight_only)
    assert again.voids.high <= 1.01 * advice.void_target
    assert again.voids.nominal <= again.voids.high
    assert again.cause is None


@given(
    resin=resins,
    shop=shops,
    process=processes,
    pot=pots,
    debulk=st.sampled_from([None, "yes", "none"]),
    no_debulk=st.booleans(),
    share=st.floats(0.01, 0.95),
)
def test_no_remedy_is_deeper_than_what_failed_unless_a_debulk_or_degassing_is_with_it(
    resin, shop, process, pot, debulk, no_debulk, share
):
    assume(fits(resin, process))
    assume(not (no_debulk and debulk == "yes"))
    failed = share * shop.barometer_Pa
    found = outgas.diagnose(
        resin,
        shop,
        process=process,
        seen={} if debulk is None else {"debulk": debulk},
        bag_pressure=outgas.Quantity(failed, "Pa"),
        reads_with="sensor 0 mbar",
        degassed=pot,
        no_debulk=no_debulk,
    )
    for cause in found.causes:
        for change in cause.change:
            assert change.along in ("", "debulk", "degas")
            if not change.along:
                assert all(p >= failed * (1.0 - 1e-9) for p in change.pressures_Pa), str(change)
            if change.along == "debulk" and debulk == "yes":
                # it had one: what is cured after another is no deeper than what failed
                assert all(p >= failed * (1.0 - 1e-9) for p in change.pressures_Pa[1:]), str(change)


@given(resin=resins, shop=shops, share=st.floats(0.02, 0.95), pot=pots)
def test_the_cause_of_a_replay_is_named_where_its_voids_are_over_the_target(
    resin, shop, share, pot
):
    assume(fits(resin, "wet layup"))
    found = outgas.diagnose(
        resin, shop, bag_pressure=outgas.Quantity(share * shop.barometer_Pa, "Pa"), degassed=pot
    )
    got = found.replay()
    boils = found.replay("0.2 mbar")
    assert boils.cause in ("resin-boiling", "dissolved-air", None)
    assert (got.cause is None) == (got.voids.nominal <= 0.02 and got.cause != "resin-boiling")
    assert 0.0 <= got.voids.low <= got.voids.nominal <= got.voids.high <= 1.0


@pytest.mark.parametrize("resin", [UP, EP])
def test_a_deeper_straight_pull_never_looks_clearer(resin):
    found = outgas.diagnose(resin, outgas.Shop(temperature="22 degC", humidity="50 %"))
    order = ["clear", "hazy", "milky"]
    looks = [order.index(found.replay(f"{p} mbar").look) for p in (900, 700, 500, 300, 150, 60, 20)]
    assert looks == sorted(looks)
    assert looks[-1] == 2
