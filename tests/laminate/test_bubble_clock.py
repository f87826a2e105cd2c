"""Histories and radii at the door: what is read, what lies between the readings, what is refused.

No outside source: these are our own refusals, and straight lines worked by hand.
"""

import numpy as np
import pytest

import outgas
from outgas.errors import InputError
from outgas.laminate.bubble_history import FROZEN_VISCOSITY, SAMPLES, clock_of, radii


def test_one_length_is_a_clock_from_zero_and_few_times_are_filled_in():
    length = clock_of("1 h")
    assert length.grid[0] == 0.0
    assert length.grid[-1] == 3600.0
    assert length.grid.size == SAMPLES
    few = clock_of(["0 s", "7 s", "100 s"])
    assert set(few.given) <= set(few.grid)
    assert few.grid.size >= SAMPLES


def test_a_history_runs_straight_between_readings_and_viscosity_along_its_logarithm():
    clock = clock_of(["0 s", "100 s"])
    i = int(np.searchsorted(clock.grid, 50.0))
    at = clock.grid[i] / 100.0
    p = clock.history(["100 mbar", "300 mbar"], "Pa", "pressure", 0.0, 1e8)
    assert p[i] == pytest.approx(1e4 + 2e4 * at)
    eta = clock.history(["1 Pa*s", "100 Pa*s"], "Pa*s", "viscosity", 1e-5, np.inf)
    assert eta[i] == pytest.approx(100.0**at)
    solid = clock.history(outgas.Quantity([1.0, np.inf], "Pa*s"), "Pa*s", "viscosity", 1e-5, np.inf)
    assert solid[-1] == pytest.approx(FROZEN_VISCOSITY)


def test_a_radius_has_bounds_and_the_refusal_names_it_in_figures_people_use():
    assert radii("50 um") == pytest.approx([5e-5])
    with pytest.raises(InputError, match=r"radius is 0\.1 um; a bubble here is 0\.5 um to 5 mm"):
        radii("0.1 um")
    with pytest.raises(InputError, match="radius is 6 mm"):
        radii(["50 um", "6 mm"])


@pytest.mark.parametrize(
    ("times", "said"),
    [
        (["0 s", "9 s", "8 s"], r"8 s follows 9 s \(value 3\)"),
        (outgas.Quantity([0.0, np.nan], "s"), "gap"),
        (["5 s"], "two values or more"),
        ("-1 s", "above zero"),
    ],
)
def test_times_that_do_not_rise_are_refused(times, said):
    with pytest.raises(InputError, match=said):
        clock_of(times)


def test_a_history_of_another_length_or_with_a_gap_or_past_its_ends_is_refused():
    clock = clock_of(["0 s", "1 s", "2 s"])
    for given, said in (
        (["1 Pa", "2 Pa"], "2 values for 3 times"),
        (outgas.Quantity([1.0, np.nan, 2.0], "Pa"), "gap .* at value 2"),
        ("2e9 Pa", "outside 0 to 1e"),
    ):
        with pytest.raises(InputError, match=said):
            clock.history(given, "Pa", "pressure", 0.0, 1e8)
