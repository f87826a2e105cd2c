"""From a data sheet to rates: there and back, energy balances of a cup, and contradictions."""

import math

import pytest

from outgas.errors import DataError
from outgas.physics import cure, data_sheet
from outgas.physics.data_sheet import (
    Cup,
    Losses,
    Peak,
    Shape,
    check_sheet,
    from_cup,
    from_film,
    in_cup,
)

T = 298.15
SHAPE = Shape(
    energy=5e4, induction_energy=6e4, m=0.8, n=1.2, ratio=0.02, heat=3.6e5, heat_capacity=1800.0,
    gel=0.05,
)  # fmt: skip
LOSSES = Losses(usual=0.17, low=0.08, high=0.3)
MASS = 0.1


def law(**changes):
    base = dict(
        induction=900.0, induction_energy=6e4, k1=0.02 * 8e-4, k2=8e-4, energy=5e4, m=0.8, n=1.2,
        heat=3.6e5, gel=0.05, final=0.9,
    )  # fmt: skip
    return cure.Kamal(**{**base, **changes})


def run_of(made, loss, mass=MASS, **more):
    cup = Cup(mass=mass, heat_capacity=SHAPE.heat_capacity, loss=loss, air_K=T, **more)
    return in_cup(made, cup, 4e4)


def peak_at(at_s, kelvin):
    return Peak(at_s=at_s, kelvin=kelvin, air_K=T, mass=MASS, losses=LOSSES)


def test_a_cup_that_loses_nothing_warms_by_all_of_its_heat():
    run = run_of(law(), 0.0)
    assert run.peak - T == pytest.approx(0.9 * 3.6e5 / 1800.0, rel=1e-3)


def test_a_rising_heat_capacity_takes_its_share_of_the_heat():
    """c x + s x^2 / 2 = final x heat, x the rise from 25 degC."""
    s = 3.0
    rise = (-1800.0 + math.sqrt(1800.0**2 + 2.0 * s * 0.9 * 3.6e5)) / s
    assert run_of(law(), 0.0, heat_capacity_slope=s).peak - T == pytest.approx(rise, rel=1e-3)


def test_a_cup_that_loses_more_peaks_lower_and_a_larger_one_higher():
    small, leaky = run_of(law(), 0.1), run_of(law(), 0.3)
    assert leaky.peak < small.peak
    assert run_of(law(), 0.3, mass=1.0).peak > leaky.peak
    # only the loss for each kilogram counts
    same = run_of(law(), 3.0, mass=1.0)
    assert (same.gel, same.peak) == pytest.approx((leaky.gel, leaky.peak), rel=1e-6)


def test_a_cup_that_never_gels_has_the_longest_time_followed():
    assert run_of(law(gel=0.95), 0.1).gel == 4e4


@pytest.fixture
def solved(monkeypatch):
    monkeypatch.setattr(data_sheet, "RTOL", 1e-6)
    run = run_of(law(), LOSSES.usual)
    return run, from_cup(run.gel, peak_at(run.peak_time, run.peak), SHAPE)


def test_the_law_that_made_a_sheet_is_found_again(solved):
    _, found = solved
    assert found.law.induction == pytest.approx(900.0, rel=0.02)
    assert found.law.k2 == pytest.approx(8e-4, rel=0.02)
    assert found.law.final == pytest.approx(0.9, rel=0.01)
    assert found.law.k1 == pytest.approx(SHAPE.ratio * found.law.k2)
    assert found.loss == LOSSES.usual
    assert found.residual < 1e-3


# The search, with a cup that is plain algebra: the peak is final less the loss, so that a larger
# loss asks for a larger final conversion.
def closed(rate, peak, losses):
    def made(q):
        return law(k2=float(q[0]), final=float(q[1]))

    def misses(of, loss):
        return [math.log(of.k2 / rate), of.final - loss - peak]

    search = data_sheet._Search(made, misses, [[1e-3, 0.8]], [1e-6, 0.06], [1e-1, 1.0], [0.3, 0.3])
    return data_sheet._closed(search, losses, ("rate", "peak"))


def test_the_usual_loss_is_kept_where_it_serves():
    found = closed(5e-4, 0.6, LOSSES)
    assert found.loss == LOSSES.usual
    assert found.law.final == pytest.approx(0.6 + 0.17, rel=1e-3)
    assert found.law.k2 == pytest.approx(5e-4, rel=1e-3)


def test_most_final_is_what_the_largest_loss_needs_or_all_where_that_is_more_than_all():
    assert closed(5e-4, 0.6, LOSSES).most_final == pytest.approx(0.6 + 0.3, rel=1e-3)
    assert closed(5e-4, 0.75, LOSSES).most_final == 1.0


def test_a_sheet_that_only_a_smaller_loss_explains_finds_one_in_the_range():
    found = closed(5e-4, 0.88, LOSSES)
    assert LOSSES.low <= found.loss <= 0.12 + data_sheet.TOLERANCE
    assert found.law.final - found.loss == pytest.approx(0.88, abs=2e-3)
    assert found.residual <= data_sheet.TOLERANCE


def test_numbers_that_no_cup_gives_are_refused_by_how_much_they_miss():
    """Even at the least loss, 0.08, all of it reacting falls 3 % short of 0.95."""
    with pytest.raises(DataError, match=r"loses 0.08 to 0.3 W/K \(at best .* peak by 3.0%\)"):
        closed(5e-4, 0.95, LOSSES)


def test_a_films_gel_time_is_the_laws_own():
    found = from_film(1800.0, 333.15, SHAPE)
    assert cure.time_to(found.law, SHAPE.gel, 333.15) == pytest.approx(1800.0, rel=1e-6)
    assert (found.law.final, found.most_final, found.loss) == (1.0, 1.0, None)
    assert found.law.induction == 0.0
    twice = from_film(3600.0, 333.15, SHAPE)
    assert twice.law.k2 == pytest.approx(0.5 * found.law.k2)


def test_a_film_with_a_stated_peak_keeps_its_gel_and_meets_the_peak(monkeypatch):
    monkeypatch.setattr(data_sheet, "RTOL", 1e-6)
    monkeypatch.setattr(data_sheet, "STARTING_RATIOS", (0.1,))
    made = law(induction=0.0, k1=0.1 * 8e-4)
    film = cure.time_to(made, SHAPE.gel, T)
    run = run_of(made, LOSSES.usual)
    found = from_film(film, T, SHAPE, peak_at(run.peak_time, run.peak))
    assert cure.time_to(found.law, SHAPE.gel, T) == pytest.approx(film, rel=1e-6)
    again = run_of(found.law, found.loss)
    assert again.peak - T == pytest.approx(run.peak - T, rel=3e-3)
    assert again.peak_time == pytest.approx(run.peak_time, rel=3e-3)


def test_a_peak_before_the_gel_or_outside_what_the_heat_can_do_is_refused_in_words():
    check_sheet(600.0, peak_at(900.0, T + 100.0), SHAPE)
    with pytest.raises(DataError, match="time to peak 10 min is not after the gel time 10 min"):
        check_sheet(600.0, peak_at(600.0, T + 100.0), SHAPE)
    # 3.6e5 / 1800 = 200 K over 25 degC
    with pytest.raises(DataError, match="peak temperature 226 degC is outside 25 to 225 degC"):
        check_sheet(600.0, peak_at(900.0, T + 201.0), SHAPE)
    with pytest.raises(DataError, match="peak temperature 25 degC is outside"):
        check_sheet(600.0, peak_at(900.0, T), SHAPE)
