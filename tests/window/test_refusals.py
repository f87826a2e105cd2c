"""What is refused is refused with every reason at once, each with its number."""

import re

import iapws
import msgspec
import numpy as np
import pytest
from window_jobs import job

import outgas
from outgas.errors import RefusedError
from outgas.window.refusals import reasons, refused_where

UP = "orthophthalic-polyester"


def refusal(**shop):
    layup = outgas.Layup(core=shop.pop("core", None))
    with pytest.raises(RefusedError) as caught:
        outgas.advise(UP, outgas.Shop(**shop), layup=layup)
    return str(caught.value)


def test_two_reasons_come_in_one_refusal():
    text = refusal(temperature="12 degC", humidity="50 %", core="20 mm EPS")
    assert "dissolves expanded polystyrene" in text
    assert "12.0 degC is below" in text
    assert text.startswith("refused: ")


def test_all_three_reasons_come_in_one_refusal():
    text = refusal(
        temperature="22 degC", humidity="90 %", tool_temperature="10 degC", core="20 mm EPS"
    )
    for said in ("dissolves", "10.0 degC is below the 15 degC", "below the dew point"):
        assert said in text


def dew_by_steam_tables(humidity, celsius):
    """Return the dew point [degC] by the steam tables of IAPWS-IF97."""
    p = humidity * iapws.iapws97._PSat_T(celsius + 273.15)
    return iapws.iapws97._TSat_P(p) - 273.15


@pytest.mark.parametrize(("celsius", "humidity"), [(22, 70), (28, 85), (35, 60), (24, 95)])
def test_the_dew_point_of_a_refusal_agrees_with_the_steam_tables(celsius, humidity):
    dew = dew_by_steam_tables(humidity / 100.0, celsius)
    text = refusal(
        temperature=f"{celsius} degC",
        humidity=f"{humidity} %",
        tool_temperature=f"{dew - 1.0:.3f} degC",
    )
    said = float(re.search(r"dew point of the shop's air, ([\d.]+) degC", text).group(1))
    assert said == pytest.approx(dew, abs=0.1)
    assert f"({humidity}% at {celsius:.1f} degC)" in text


def test_a_tool_just_above_its_dew_point_is_not_refused_for_it():
    dew = dew_by_steam_tables(0.95, 24.0)
    shop = outgas.Shop(
        temperature="24 degC", humidity="95 %", tool_temperature=f"{dew + 0.2:.3f} degC"
    )
    assert outgas.advise(UP, shop).deepest_Pa > 0.0


def test_only_polystyrene_is_dissolved():
    foam = outgas.Layup(core="20 mm PVC foam")
    outgas.advise(UP, outgas.Shop(temperature="22 degC", humidity="50 %"), layup=foam)


def test_many_shops_are_refused_where_each_would_be():
    plain = job()
    shops = [
        (air, tool, wet)
        for air in (14.0, 22.0, 30.0)
        for tool in (12.0, 16.0, 22.0)
        for wet in (0.3, 0.6, 0.95)
    ]
    T, tool, humidity = (np.array(column) for column in zip(*shops, strict=True))
    found = refused_where(plain, T + 273.15, tool + 273.15, humidity)
    for (air, cold, wet), refused in zip(shops, found, strict=True):
        where = {"temperature": f"{air} degC", "tool_temperature": f"{cold} degC"}
        alone = reasons(job(where={**where, "humidity": f"{wet:.0%}"}))
        assert bool(alone) == bool(refused), (air, cold, wet)
    assert 0 < found.sum() < found.size


def with_part(resin, at, share):
    """A resin with a monomer that is a share at the most, and half of that likely."""
    parts = list(resin.part)
    fraction = msgspec.structs.replace(
        parts[at].fraction, value=0.5 * share, low=0.0, high=share, unit="1"
    )
    parts[at] = msgspec.structs.replace(parts[at], fraction=fraction)
    rest = next(i for i, part in enumerate(parts) if not part.volatile)
    full = msgspec.structs.replace(parts[rest].fraction, value=1.0 - 0.5 * share, low=0.1, high=1.0)
    parts[rest] = msgspec.structs.replace(parts[rest], fraction=full)
    return msgspec.structs.replace(resin, part=tuple(parts))


def on_polystyrene(name, share=None):
    asked = job(name, layup=outgas.Layup(core="20 mm EPS"))
    if share is None:
        return asked
    at = next(i for i, part in enumerate(asked.resin.part) if part.volatile)
    return asked.but(resin=with_part(asked.resin, at, share))


@pytest.mark.parametrize(("share", "refused"), [(0.01, True), (0.0099, False), (0.4, True)])
def test_a_monomer_that_dissolves_polystyrene_is_refused_from_the_share_that_it_may_be(
    share, refused
):
    """From one in a hundred, at the high end of what the resin may hold."""
    assert (
        any("dissolves expanded" in text for text in reasons(on_polystyrene(UP, share))) == refused
    )


@pytest.mark.parametrize("name", ["epoxy-benzyl-alcohol", "epoxy-laminating"])
def test_what_does_not_dissolve_polystyrene_may_stand_on_it(name):
    assert not any("dissolves" in text for text in reasons(on_polystyrene(name)))


def test_a_core_that_dissolves_is_refused_in_every_shop():
    air = np.array([295.15, 303.15])
    assert refused_where(on_polystyrene(UP), air, air, np.array([0.3, 0.3])).tolist() == [
        True,
        True,
    ]
    assert refused_where(job(), air, air, np.array([0.3, 0.3])).tolist() == [False, False]


@pytest.mark.parametrize("over", [0.2, -0.2])
def test_many_shops_turn_at_the_dew_point(over):
    dew = dew_by_steam_tables(0.9, 24.0)
    tool = np.array([dew + over + 273.15])
    assert refused_where(job(), np.array([297.15]), tool, np.array([0.9])) == [over < 0.0]
