"""How fast a batch is: by the sheet, by a cup in the shop, by its size."""

import dataclasses
import math

import pytest
from shop_cases import EPOXY, UP, asked

import outgas
from outgas.errors import InputError
from outgas.laminate import batch
from outgas.physics import cure, data_sheet
from outgas.tables import rates

R = 8.314462618
AUTOCLAVE = "autoclave-epoxy-prepreg"
WARM = 298.15  # at which the sheet's gel time holds


def sheet(name):
    return outgas.resin(name).gel_time


def test_at_the_sheets_own_temperature_and_level_the_gel_is_the_sheets():
    here, level = (
        batch.cup_gel(rates.Curing(outgas.resin(UP)), WARM, None),
        outgas.resin(UP).initiator_level.si,
    )
    assert here.gel_s == pytest.approx(sheet(UP).si)
    assert here.factor == 1.0
    assert (here.shorter, here.longer) == (
        pytest.approx(sheet(UP).low_si / sheet(UP).si),
        pytest.approx(sheet(UP).high_si / sheet(UP).si),
    )
    assert batch.cup_gel(rates.Curing(outgas.resin(UP)), WARM, level) == here


def test_a_cold_shop_gels_later_by_arrhenius_and_a_warm_one_sooner():
    family = rates.family_of(outgas.resin(UP))
    for T in (288.15, 308.15):
        got = batch.cup_gel(rates.Curing(outgas.resin(UP)), T, None)
        slower = math.exp(family.activation_energy.si / R * (1.0 / T - 1.0 / WARM))
        assert got.gel_s == pytest.approx(sheet(UP).si * slower)
        assert got.factor == 1.0  # the law knows of the temperature by itself
        # the sheet's own range and the energy's (40 to 60 kJ/mol), as root of squares
        energy = 10e3 / R * abs(1.0 / T - 1.0 / WARM)
        low = math.hypot(math.log(sheet(UP).si / sheet(UP).low_si), energy)
        assert got.shorter == pytest.approx(math.exp(-low))
        assert got.longer > sheet(UP).high_si / sheet(UP).si


def test_half_the_initiator_gels_later_by_its_order_and_less_surely():
    resin = outgas.resin(UP)
    order = rates.family_of(resin).initiator_exponent
    level = resin.initiator_level.si
    half = batch.cup_gel(rates.Curing(resin), WARM, 0.5 * level)
    assert half.factor == pytest.approx(0.5**order.si)
    assert half.gel_s == pytest.approx(sheet(UP).si * 2.0**order.si)
    worse = max(order.high_si - order.si, order.si - order.low_si) * math.log(2.0)
    high = math.hypot(math.log(sheet(UP).high_si / sheet(UP).si), worse)
    assert half.longer == pytest.approx(math.exp(high))


def test_a_measured_gel_sets_the_rate_and_narrows_the_doubt():
    by_sheet = batch.batch_of(asked(celsius=25))
    told = by_sheet.gel_s / 60.0 * 1.25
    measured = batch.batch_of(asked(celsius=25, gel_time=f"{told} min"))
    assert measured.factor == pytest.approx(1.0 / 1.25)
    assert measured.gel_s == pytest.approx(told * 60.0)
    assert 1.0 - measured.shorter == pytest.approx(measured.longer - 1.0)
    assert by_sheet.shorter < measured.shorter < 1.0 < measured.longer < by_sheet.longer


@pytest.mark.parametrize("share", [0.97, 1.03])
def test_a_gel_time_is_taken_just_within_the_sheets_range_and_refused_just_beyond(share):
    sure = batch.batch_of(asked(celsius=25))
    for end in (sure.shorter, sure.longer):
        told = sure.gel_s * end * share / 60.0
        inside = (share > 1.0) == (end == sure.shorter)
        if inside:
            assert batch.batch_of(asked(celsius=25, gel_time=f"{told} min"))
            continue
        with pytest.raises(InputError) as caught:
            batch.batch_of(asked(celsius=25, gel_time=f"{told} min"))
        minutes = f"{sure.gel_s * sure.shorter / 60:.3g} to {sure.gel_s * sure.longer / 60:.3g} min"
        assert minutes in str(caught.value)


def test_a_faster_pace_gels_the_law_sooner_by_as_much():
    job = asked(celsius=25)
    pace = batch.batch_of(job)
    slow, fast = (
        cure.time_to(law, law.gel, WARM)
        for law in (
            pace.law,
            dataclasses.replace(pace, factor=2.0).law,
        )
    )
    assert fast == pytest.approx(0.5 * slow, rel=1e-6)


def test_a_published_law_stands_for_a_sheet_and_says_how_far_off_it_may_be():
    got = batch.cup_gel(rates.Curing(outgas.resin(AUTOCLAVE)), 393.15, None)
    law = rates.kinetics(outgas.resin(AUTOCLAVE))
    assert got.gel_s == pytest.approx(cure.time_to(law, law.gel, 393.15))
    assert 1.0 - got.shorter == pytest.approx(got.longer - 1.0)
    assert got.longer > 1.1
    job = asked(AUTOCLAVE, celsius=21, process="prepreg")
    assert batch.pot_life(job, got, 0.5) is None  # nobody mixes it


def test_a_bigger_cup_is_workable_for_less_long_and_none_beyond_its_gel():
    job = asked(EPOXY, celsius=25)
    here = batch.batch_of(job)
    lives = [batch.pot_life(job, here, mass) for mass in (0.1, 0.5, 5.0)]
    assert lives == sorted(lives, reverse=True)
    assert lives[0] > 1.1 * lives[-1]
    assert lives[0] < here.gel_s
    # viscosity goes as (1 - X / X_gel)^-n, so at twice the start X / X_gel is 1 - 2^(-1/n)
    n = rates.family_of(outgas.resin(EPOXY)).viscosity_exponent.si
    law = here.law
    still = cure.time_to(law, law.gel * (1.0 - 2.0 ** (-1.0 / n)), WARM)
    assert batch.pot_life(job, here, 1e-6) == pytest.approx(still, rel=0.02)  # keeps no heat
    quick = dataclasses.replace(here, factor=1.5)
    assert batch.pot_life(job, quick, 0.5) < lives[1]


def test_the_least_initiator_is_the_sheets_and_no_less():
    level = outgas.resin(UP).initiator_level
    assert batch.less_initiator(asked()).initiator == level.low_si
    assert batch.less_initiator(asked(initiator="1.2 %")).initiator == level.low_si
    assert batch.less_initiator(asked(initiator="1 %")) is None
    assert batch.less_initiator(asked(gel_time="20 min")) is None  # that batch is mixed
    assert batch.less_initiator(asked(EPOXY)) is None


def test_cooler_by_what_makes_the_gel_last_twice_as_long():
    cool = batch.slowed(asked(), WARM, 2.0)
    resin = outgas.resin(UP)
    assert cool < WARM
    assert batch.cup_gel(rates.Curing(resin), cool, None).gel_s == pytest.approx(2.0 * sheet(UP).si)
    assert batch.slowed(asked(), WARM, 1.0) == pytest.approx(WARM)


def test_a_cup_gels_when_a_general_solver_says():
    for name in (UP, EPOXY):
        law = batch.batch_of(asked(name, celsius=25)).law
        for mass in (0.1, 3.0):
            cup = data_sheet.Cup(
                mass=mass, heat_capacity=1800.0, heat_capacity_slope=3.5, loss=0.3, air_K=WARM
            )
            longest = 6.0 * cure.time_to(law, law.gel, WARM)
            wanted = data_sheet.in_cup(law, cup, longest).gel
            assert data_sheet.gel_in_cup(law, cup, longest) == pytest.approx(wanted, rel=2e-4)
            assert data_sheet.gel_in_cup(law, cup, 0.2 * wanted) == 0.2 * wanted
