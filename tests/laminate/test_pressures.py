"""The public property functions: shapes, sums, and the closed cell by hand."""

import numpy as np
import pytest
import xarray as xr
from iapws import IAPWS97

import outgas
from outgas.errors import InputError

UP = "orthophthalic-polyester"


def pascal(quantity):
    return quantity.m_as("Pa")


def test_either_engine_gives_the_same_and_any_other_is_refused():
    T = outgas.Quantity(np.array([[285.0, 300.0], [310.0, 330.0]]), "K")
    for name in ("water", "styrene", "acetone"):  # of both kinds: equation of state, and cubic
        table, exact = (
            pascal(outgas.vapour_pressure(name, T, engine=engine)) for engine in ("table", "exact")
        )
        assert table.shape == exact.shape == (2, 2)
        assert table == pytest.approx(exact, rel=2e-6)
    assert np.ndim(outgas.vapour_pressure("water", "20 degC", engine="exact").m) == 0
    with pytest.raises(InputError, match="engine is 'best'"):
        outgas.vapour_pressure("water", "20 degC", engine="best")


def test_the_exact_engine_keeps_to_the_range_of_the_table():
    for engine in ("table", "exact"):
        with pytest.raises(outgas.errors.OutOfRangeError):
            outgas.vapour_pressure("styrene", outgas.Quantity([300.0, 900.0], "K"), engine=engine)


def test_water_boils_where_the_steam_tables_say():
    found = outgas.boiling_temperature("water", "30 mbar")
    assert found.m_as("K") == pytest.approx(IAPWS97(P=30e2 / 1e6, x=0).T, abs=0.01)


def test_water_pushes_by_its_activity_and_the_drums_where_none_is_given():
    pure = IAPWS97(T=303.15, x=0).P * 1e6
    for activity in (0.0, 0.25, 1.0):
        found = pascal(outgas.partial_pressures(UP, "30 degC", activity)["water"])
        assert found == pytest.approx(activity * pure, rel=1e-3)
    drum = outgas.resin(UP).water_activity.si
    sealed = pascal(outgas.partial_pressures(UP, "30 degC")["water"])
    assert sealed == pytest.approx(drum * pure, rel=1e-3)


def test_the_parts_broadcast_and_their_sum_is_the_bubble_pressure():
    T = outgas.Quantity(np.array([[290.0], [300.0], [320.0]]), "K")
    wet, cured = np.array([0.1, 0.5]), np.array([0.0, 0.4])
    parts = outgas.partial_pressures(UP, T, wet, cured)
    whole = pascal(outgas.bubble_pressure(UP, T, wet, cured))
    assert list(parts) == ["styrene", "water"]
    assert {p.shape for p in parts.values()} == {(3, 2)}
    assert whole == pytest.approx(sum(pascal(p) for p in parts.values()), rel=1e-9)
    one = outgas.bubble_pressure(UP, "320 K", 0.5, 0.4)
    assert pascal(one) == pytest.approx(whole[2, 1], rel=1e-9)


def test_monomer_that_has_reacted_no_longer_pushes():
    raw, half, most = (
        pascal(outgas.partial_pressures(UP, "25 degC", 0.3, X)["styrene"]) for X in (0.0, 0.5, 0.99)
    )
    assert raw > half > most > 0.0
    assert most < 0.05 * raw


def test_the_gas_of_a_closed_cell_is_that_of_the_gas_law():
    """By hand: L (p_air / x - 1) and what was stirred in, at x = p - p_v."""
    L, p_v = outgas.resin(UP).air_solubility.si, pascal(outgas.bubble_pressure(UP, "25 degC"))
    x = 200e2 - p_v
    for entrained, air in ((0.0, 900e2), (0.01, 400e2)):
        freed = L * (air / x - 1.0) + entrained * (101325.0 - p_v) / x
        found = outgas.void_fraction(
            UP, "25 degC", "200 mbar", entrained, air_pressure=outgas.Quantity(air, "Pa")
        )
        assert float(found.m) == pytest.approx(freed / (1.0 + freed), rel=1e-9)


def test_resin_left_in_the_open_holds_what_the_atmosphere_less_its_vapour_puts_in():
    at_rest = outgas.void_fraction(UP, "25 degC", "1013.25 mbar", entrained=0.0)
    assert float(at_rest.m) == pytest.approx(0.0, abs=1e-12)
    assert float(outgas.void_fraction(UP, "25 degC", "900 mbar", entrained=0.0).m) > 0.0


def test_below_its_vapours_the_resin_boils_without_limit():
    p_v = pascal(outgas.bubble_pressure(UP, "40 degC"))
    found = outgas.void_fraction(UP, "40 degC", outgas.Quantity([0.9 * p_v, 1.1 * p_v], "Pa"))
    assert found.m[0] == 1.0
    assert found.m[1] < 1.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"pressure": outgas.Quantity(-5.0, "Pa")}, "pressure is below zero"),
        ({"pressure": "300 mbar", "air_pressure": outgas.Quantity(-1.0, "Pa")}, "air pressure is"),
    ],
)
def test_a_pressure_below_zero_is_refused(given, said):
    with pytest.raises(InputError, match=said):
        outgas.void_fraction(UP, "25 degC", **given)


def test_labels_of_the_pressure_go_before_those_of_the_temperature():
    p = xr.DataArray([2e4, 5e4], dims="bag", coords={"bag": ["deep", "weak"]})
    p.attrs["units"] = "Pa"
    found = outgas.void_fraction(UP, "25 degC", p)
    assert found.dims == ("bag",)
    assert float(found.sel(bag="deep")) > float(found.sel(bag="weak"))


def test_a_monomer_that_has_all_reacted_is_still_named():
    for conversion in (1.0, [1.0, 0.5]):
        got = outgas.partial_pressures("orthophthalic-polyester", "25 degC", 0.3, conversion)
        assert sorted(got) == ["styrene", "water"]
    assert got["styrene"].m[0] == 0.0
