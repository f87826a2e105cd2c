import copy
import itertools

import msgspec
import numpy as np
import pytest

import outgas
from outgas.errors import DataError
from outgas.physics import curve_fit, saturation
from outgas.tables import volatiles
from outgas.tables.number import Number


def test_every_curve_rises_and_is_plausible_at_its_ends():
    for name in outgas.volatiles():
        curve = outgas.volatile(name).curve
        T = np.linspace(curve[0].T_low, curve[-1].T_high, 500)
        p = saturation.pressure(curve, T)
        assert np.all(np.diff(p) > 0), name
        assert p[0] > 0.05, name
        assert p[-1] < 2e7, name


def test_spread_lies_between_its_bands_and_adds_the_residual():
    styrene = outgas.volatile("styrene")
    residual = styrene.built.residual_stated
    above, below = styrene.spread(273.15 + 15.0)
    assert above == pytest.approx(0.085 + residual)
    assert below == pytest.approx(0.07 + residual)
    assert styrene.spread(263.15)[0] == pytest.approx(0.15 + residual)
    assert styrene.spread(420.0)[0] == pytest.approx(0.03 + residual)


BANDED = outgas.volatile("3-methylstyrene")  # stated from 314 K on, so that both residuals are met


def test_spread_is_a_straight_line_between_bands_and_level_beyond():
    bands = BANDED.saturation.u95
    for cold, warm in itertools.pairwise(bands):
        at = (cold.at_degC, 0.75 * cold.at_degC + 0.25 * warm.at_degC, warm.at_degC)
        got = np.array([BANDED.spread(t + 273.15) for t in at])
        table = BANDED.built
        stated = [t + 273.15 >= BANDED.saturation.stated_low_K for t in at]
        got -= np.where(stated, table.residual_stated, table.residual_extended)[:, None]
        assert got[0] == pytest.approx((cold.above, cold.below))
        assert got[2] == pytest.approx((warm.above, warm.below))
        assert got[1] == pytest.approx(0.75 * got[0] + 0.25 * got[2])
    cold, hot = bands[0].at_degC + 273.15, bands[-1].at_degC + 273.15
    assert BANDED.spread(cold - 5.0) == pytest.approx(BANDED.spread(cold))
    assert BANDED.spread(hot + 5.0) == pytest.approx(BANDED.spread(hot))


def test_above_and_below_are_kept_apart():
    styrene = outgas.volatile("styrene")
    bands = tuple(msgspec.structs.replace(b, above=0.5) for b in styrene.saturation.u95)
    odd = msgspec.structs.replace(
        styrene, saturation=msgspec.structs.replace(styrene.saturation, u95=bands)
    )
    for T in (260.0, 288.15, 300.0, 420.0):
        above, below = odd.spread(T)
        assert above == pytest.approx(0.5 + styrene.built.residual_stated)
        assert below == pytest.approx(styrene.spread(T)[1])


def test_outside_the_stated_range_the_wider_miss_counts(monkeypatch):
    shipped = BANDED.built
    table = msgspec.structs.replace(shipped, residual_stated=0.01, residual_extended=0.04)
    monkeypatch.setattr(volatiles, "built", lambda _: table)
    fresh = copy.copy(BANDED)  # a copy has looked nothing up yet
    for edge, out in (
        (BANDED.saturation.stated_low_K, -1e-6),
        (BANDED.saturation.stated_high_K, 1e-6),
    ):
        step = np.subtract(fresh.spread(edge + out), fresh.spread(edge))
        assert step == pytest.approx([0.03, 0.03], rel=1e-3)


def other(number):
    return Number(
        value=number.value * 1.001,
        unit=number.unit,
        u95=number.value * 0.01,
        source=number.source,
        how=number.how,
    )


STYRENE = outgas.volatile("styrene")
NUMBERS = ("molar_mass", "critical_temperature", "critical_pressure", "acentric")
SPAN = ("T_low_K", "T_high_K", "stated_low_K", "stated_high_K")


def changed():
    yield msgspec.structs.replace(STYRENE, name="other")
    for name in NUMBERS:
        yield msgspec.structs.replace(STYRENE, **{name: other(getattr(STYRENE, name))})
    s = STYRENE.saturation
    for name in SPAN:
        inward = -0.5 if "high" in name else 0.5
        wide = {"T_low_K": s.T_low_K - 1.0, "T_high_K": s.T_high_K + 1.0}
        if name.startswith("T_"):
            yield with_curve(**{name: wide[name]})
        else:
            yield with_curve(**{name: getattr(s, name) + inward})
    (first, *_) = s.correlation
    for change in ({"weight": 0.9}, {"coefficients": (*first.coefficients[:-1], 0.1)}):
        yield with_curve(correlation=(msgspec.structs.replace(first, **change),))


def with_curve(**changes):
    return msgspec.structs.replace(
        STYRENE, saturation=msgspec.structs.replace(STYRENE.saturation, **changes)
    )


def test_whatever_a_curve_is_built_from_is_in_its_fingerprint_and_nothing_else():
    found = [volatiles.fingerprint(record) for record in (STYRENE, *changed())]
    assert len(set(found)) == len(found) == 12
    water = outgas.volatile("water")
    heavy = msgspec.structs.replace(water.saturation, fluid="HeavyWater")
    assert volatiles.fingerprint(water) != volatiles.fingerprint(
        msgspec.structs.replace(water, saturation=heavy)
    )
    for same in (
        msgspec.structs.replace(STYRENE, title="other", note="other"),
        msgspec.structs.replace(STYRENE, density=other(STYRENE.density)),
        with_curve(u95=STYRENE.saturation.u95[:1]),
    ):
        assert volatiles.fingerprint(same) == found[0]


def test_a_table_is_built_from_the_records_own_figures_and_carries_its_fingerprint(monkeypatch):
    given = []
    toluene = outgas.volatile("toluene")
    shipped = toluene.built
    made = curve_fit.Built(shipped.segment, (0.1, 0.2, 0.3), 0.01, 0.02)
    monkeypatch.setattr(curve_fit, "build", lambda *args: given.append(args) or made)
    record = with_curve(stated_low_K=300.0, stated_high_K=330.0)
    table = volatiles.build(record)
    (cubic, fluid, sources, span, stated) = given[0]
    assert (cubic, fluid) == (STYRENE.cubic(), "")
    assert (span, stated) == ((263.15, 423.15), (300.0, 330.0))
    (first, *_) = record.saturation.correlation
    assert sources[0] == curve_fit.Source(first.form, first.coefficients, first.weight)
    assert table.record == volatiles.fingerprint(record)
    assert (table.segment, table.alpha) == (shipped.segment, (0.1, 0.2, 0.3))
    assert (table.residual_stated, table.residual_extended) == (0.01, 0.02)
    volatiles.build(toluene)
    assert given[1][:3] == (None, toluene.saturation.fluid, [])


def test_the_shipped_curve_of_toluene_passes_its_boiling_point():
    # 110.6 degC under one standard atmosphere (handbooks, from memory)
    curve = outgas.volatile("toluene").curve
    assert saturation.pressure(curve, 383.75) == pytest.approx(101325.0, rel=0.01)


def test_a_curve_that_cannot_be_built_names_its_record():
    (first, *_) = STYRENE.saturation.correlation
    odd = msgspec.structs.replace(first, form="antoine-ln", coefficients=(5.0, -900.0, -49.0))
    with pytest.raises(DataError, match=r"^styrene\.saturation: the correlation does not rise"):
        volatiles.build(with_curve(correlation=(odd,)))


def test_a_curve_is_looked_up_once_a_record(monkeypatch):
    asked = []
    real = volatiles.built
    monkeypatch.setattr(volatiles, "built", lambda record: asked.append(record) or real(record))
    fresh = copy.copy(BANDED)
    assert fresh.curve is fresh.built.segment
    assert fresh.warmest_K == fresh.curve[-1].T_high
    fresh.spread(300.0)
    assert len(asked) == 1
