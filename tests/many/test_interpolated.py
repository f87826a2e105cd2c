"""What is interpolated between knots: never deeper than exact, and no window where none is.

No outside source: two ways to one answer.
"""

import numpy as np
import pytest

import outgas
from outgas.errors import InputError
from outgas.many.fields import OUTCOMES
from outgas.many.interpolated import _falls, _spread
from outgas.units import quantity

UP = "orthophthalic-polyester"


def told(name, words):
    """The words of a coded variable."""
    return np.array(words, dtype=object)[name.values.astype(int)]


@pytest.mark.parametrize(
    "held",
    [
        {"resin": UP},
        {"resin": UP, "core": "20 mm PVC foam 80 kg/m3"},
        {"resin": UP, "degassed": "30 mbar for 20 min, stirred", "reads_with": "water"},
        {"resin": UP, "pump_ultimate": "150 mbar"},
        {"resin": "epoxy-infusion", "process": "infusion"},
    ],
)
def test_what_is_interpolated_is_never_deeper_nor_is_a_window_made(held):
    rng = np.random.default_rng(3)
    warm = np.sort(np.r_[16.0, 34.0, rng.uniform(16.0, 34.0, 40)])
    wet = np.sort(np.r_[0.2, 0.95, rng.uniform(0.2, 0.95, 12)])
    asked = {
        "temperature": quantity(warm, "degC"),
        "humidity": wet,
        "altitude": quantity(np.array([150.0, 1400.0, 2450.0]), "m"),
    }
    between = outgas.sweep(**held, **asked, how="interpolated")
    picks = [np.sort(rng.choice(n, min(n, 6), replace=False)) for n in between.deepest.shape]
    few = {
        "temperature": quantity(warm[picks[0]], "degC"),
        "humidity": wet[picks[1]],
        "altitude": asked["altitude"][picks[2]],
    }
    exact = outgas.sweep(**held, **few, voids=False)
    near = between.isel(dict(zip(between.deepest.dims, picks, strict=True)))
    SOLVED = 0.005  # mbar, to which limits are found
    for name in ("deepest", "debulk_limit", "air_limit", "vapour_limit", "core_limit"):
        gap = near[name].values - exact[name].values
        assert gap.min() >= -SOLVED, name
        assert gap.max() <= 15.0, name  # safe, and still of use
    made = np.isfinite(near.setpoint.values) & ~np.isfinite(exact.setpoint.values)
    assert not made.any()
    assert np.allclose(near.shallowest, exact.shallowest)


def test_few_values_are_their_own_knots_and_what_is_refused_stays_so():
    asked = {"temperature": ["10 degC", "18 degC", "26 degC"], "humidity": [0.4, 0.7]}
    exact = outgas.sweep(UP, voids=False, **asked)
    between = outgas.sweep(UP, how="interpolated", **asked)
    for name in exact.data_vars:
        assert np.allclose(between[name], exact[name], rtol=1e-9, equal_nan=True), name
    assert told(between.outcome, OUTCOMES)[:, 0].tolist() == ["refused", "answered", "answered"]


def test_a_verdict_is_not_interpolated():
    with pytest.raises(InputError, match="exact"):
        outgas.sweep(
            UP, temperature=["20 degC"], humidity=0.5, bag_pressure="60 mbar", how="interpolated"
        )


def test_knots_lie_beyond_both_ends_or_close_inside_where_there_is_no_beyond():
    many = np.linspace(0.2, 1.0, 50)
    knots = _spread(many, 8, (0.0, 1.0))
    assert knots[0] == pytest.approx(0.1)
    assert knots[-1] == pytest.approx(1.0)
    assert knots[-1] - knots[-2] < 0.03 * (knots[3] - knots[2])
    assert np.array_equal(_spread(np.array([3.0, 1.0, 3.0]), 8, (0.0, 9.0)), [1.0, 3.0])


def test_the_fall_of_a_slope_is_seen_and_its_rise_is_not():
    at = np.array([0.0, 1.0, 3.0, 4.0])
    roof = np.minimum(at, 3.0 - 0.5 * (at - 3.0))[None]
    assert _falls(roof, at, 1)[0].tolist() == pytest.approx([0.0, 0.0, 1.5, 1.5])
    assert not _falls(-roof, at, 1).any()
    assert not _falls(roof[:, :2], at[:2], 1).any()
