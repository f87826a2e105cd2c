import math

import numpy as np
import pytest
from scipy.optimize import brentq

import outgas
from outgas.errors import OutOfRangeError
from outgas.physics import curve_fit, saturation


@pytest.fixture(scope="module", params=["water", "styrene", "acetone", "isopropanol"])
def volatile(request):
    return outgas.volatile(request.param)


def test_the_table_follows_the_exact_engine_between_its_nodes(volatile):
    s = volatile.saturation
    T = np.random.default_rng(7).uniform(s.T_low_K, s.T_high_K, 5000)
    fast = outgas.vapour_pressure(volatile, outgas.Quantity(T, "K")).m
    exact = outgas.vapour_pressure(volatile, outgas.Quantity(T, "K"), engine="exact").m
    assert fast == pytest.approx(exact, rel=1e-6)


def test_a_float_gives_a_float_and_an_array_an_array(volatile):
    curve = volatile.curve
    one = saturation.pressure(curve, 300.0)
    assert isinstance(one, float)
    for T in (np.array([300.0]), np.array([[300.0, 310.0]]), np.array(300.0)):
        many = saturation.pressure(curve, T)
        assert many.shape == T.shape
        assert many.flat[0] == pytest.approx(one, rel=1e-14)


def test_an_empty_array_stays_empty(volatile):
    assert saturation.pressure(volatile.curve, np.array([])).size == 0


def test_chunks_do_not_change_the_answer(volatile):
    curve = volatile.curve
    T = np.linspace(270.0, 400.0, 3 * saturation.CHUNK + 11)
    whole = saturation.pressure(curve, T)
    pieces = np.array([saturation.pressure(curve, float(t)) for t in T[:: saturation.CHUNK]])
    assert whole[:: saturation.CHUNK] == pytest.approx(pieces, rel=1e-13)


@pytest.mark.parametrize("T", [200.0, 500.0, math.nan, math.inf])
def test_outside_its_range_there_is_no_number(T):
    curve = outgas.volatile("styrene").curve
    for value in (T, np.array([300.0, T])):
        with pytest.raises(OutOfRangeError, match=r"outside -10\.0 to 150\.0 degC"):
            saturation.pressure(curve, value)


def test_the_public_name_says_which_volatile_is_out_of_range():
    with pytest.raises(OutOfRangeError, match=r"temperature of styrene is 200\.0 degC"):
        outgas.vapour_pressure("styrene", "200 degC")
    with pytest.raises(OutOfRangeError, match="temperature of styrene"):
        outgas.vapour_pressure("styrene", "200 degC", engine="exact")


def test_boiling_temperature_agrees_with_a_root_finder(volatile):
    curve = volatile.curve
    ends = curve[0].T_low, curve[-1].T_high
    for p in np.geomspace(saturation.pressure(curve, ends[0]) * 1.01, 9e4, 12):
        root = brentq(lambda T, p=p: saturation.pressure(curve, T) - p, *ends, xtol=1e-10)
        assert saturation.temperature(curve, float(p)) == pytest.approx(root, abs=1e-6)


def test_boiling_temperature_takes_arrays_and_crosses_segments():
    curve = outgas.volatile("water").curve
    T = np.array([[270.0, 423.15], [424.0, 620.0]])
    assert saturation.temperature(curve, saturation.pressure(curve, T)) == pytest.approx(
        T, abs=1e-6
    )


def test_boiling_beyond_the_table_is_refused():
    with pytest.raises(OutOfRangeError, match="pressure of styrene"):
        outgas.boiling_temperature("styrene", "900 bar abs")
    with pytest.raises(OutOfRangeError):
        outgas.boiling_temperature("styrene", "0 mbar")


def test_weights_may_be_arrays():
    two = [outgas.volatile(name).curve for name in ("styrene", "water")]
    T = np.array([300.0, 450.0, 320.0])
    with pytest.raises(OutOfRangeError):
        saturation.weighted_pressure(two, [1.0, 1.0], T)
    T, w = np.array([300.0, 310.0, 320.0]), np.array([0.1, 0.5, 1.0])
    got = saturation.weighted_pressure(two, [w, 0.5], T)
    want = w * saturation.pressure(two[0], T) + 0.5 * saturation.pressure(two[1], T)
    assert got == pytest.approx(want, rel=1e-13)


def test_weights_may_be_arrays_across_segments():
    curve = outgas.volatile("water").curve
    T, w = np.array([300.0, 500.0, 320.0, 600.0]), np.array([0.1, 0.5, 1.0, 2.0])
    want = w * saturation.pressure(curve, T)
    assert saturation.weighted_pressure([curve], [w], T) == pytest.approx(want, rel=1e-13)


def test_every_cubic_stays_close_to_its_published_correlation():
    for name in outgas.volatiles():
        record = outgas.volatile(name)
        s = record.saturation
        if s.engine != "cubic":
            continue
        T = np.linspace(s.T_low_K, s.T_high_K, 77)
        p = sum(c.weight * curve_fit.correlation(c.form, c.coefficients, T) for c in s.correlation)
        miss = np.abs(saturation.pressure(record.curve, T) / p - 1.0).max()
        assert miss <= record.built.residual_extended * 1.05 + 1e-6, name


def test_plain_peng_robinson_would_not_do():
    styrene = outgas.volatile("styrene").cubic()
    plain = saturation.exact_cubic(styrene, np.array([293.15]))[0]
    fitted = outgas.vapour_pressure("styrene", "20 degC").m_as("Pa")
    assert abs(plain / fitted - 1.0) > 0.05


def test_a_cubic_with_other_numbers_is_another_fluid():
    import dataclasses

    first = dataclasses.replace(outgas.volatile("styrene").cubic(), alpha=(0.83, -0.17, 0.61))
    second = dataclasses.replace(first, alpha=(0.90, -0.17, 0.61))
    T = np.array([300.0])
    assert saturation.exact_cubic(first, T)[0] != saturation.exact_cubic(second, T)[0]
    assert saturation.exact_cubic(first, T)[0] == saturation.exact_cubic(first, T)[0]
