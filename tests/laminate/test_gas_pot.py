"""What a pot leaves of the dissolved air: its ends, its rate, and what boils."""

import dataclasses
import math

import numpy as np
import pytest
from gas_cases import job, si, table

import outgas
from outgas.job.degassed import Degassed
from outgas.laminate.gas import pot as gas_pot
from outgas.laminate.gas.balance import start
from outgas.physics.chance import Band
from outgas.tables import catalogue

POLYESTER = "orthophthalic-polyester"


@pytest.fixture(scope="module")
def pots():
    """A worked pot and a still one, the share of both from the published pull."""
    share = float(gas_pot.connected_share(0.45, 90e2, 0.0, 101325.0))
    numbers = table("gas.toml")["pot"]
    seeds = gas_pot.seeds(si(numbers["seed_spacing"])[0])
    D = si(table("transport.toml")["polyester"]["air_diffusivity"])[0]
    still = float(start(job(POLYESTER, 22, 0.5, 0).gas).nuclei)
    stirring = si(numbers["stirring"])[0]
    return (
        gas_pot.Pot(share=share, bubbles=seeds, stirring=stirring, diffusivity_m2_s=D),
        gas_pot.Pot(share=share, bubbles=still, stirring=1.0, diffusivity_m2_s=D),
    )


def test_a_seeded_and_stirred_pot_of_ten_minutes_takes_what_a_still_one_of_two_leaves(pots):
    worked, still = pots
    after = [
        float(gas_pot.air_left(pot, 100e3, 90e2, 15e2, minutes * 60.0))
        for pot, minutes in ((worked, 10), (worked, 2), (still, 10), (still, 2))
    ]
    assert after == sorted(after)
    assert after[0] < 0.56 * 100e3
    assert after[3] > 0.93 * 100e3


def test_a_deep_long_pot_leaves_less_than_a_shallow_short_one(pots):
    for pot in pots:
        deep = gas_pot.air_left(pot, 100e3, 50e2, 15e2, 900.0)
        shallow = gas_pot.air_left(pot, 100e3, 300e2, 15e2, 120.0)
        assert deep < shallow < 100e3


def test_a_boiling_pot_counts_as_one_just_above_boiling(pots):
    boiling = gas_pot.air_left(pots[0], 100e3, 10e2, 15e2, 600.0)
    above = gas_pot.air_left(pots[0], 100e3, 15e2 + 1e-3, 15e2, 600.0)
    assert float(boiling) == pytest.approx(float(above), rel=1e-6)
    idle = gas_pot.air_left(pots[0], 30e2, 90e2, 15e2, 600.0)  # holds less air than the pot would
    assert float(idle) == pytest.approx(30e2)


def test_a_cell_of_each_seed_is_a_ball_as_big_as_its_share_of_the_resin():
    """One place a cubic millimetre: the ball of a cubic millimetre has a radius of 0.6204 mm."""
    assert float(gas_pot.seeds(0.62035e-3)) == pytest.approx(1e9, rel=1e-4)


def test_the_share_that_leaves_is_what_left_over_what_could():
    # at 200 mbar, 50 of them vapour, air at 150 mbar of 1000 stays: 850 could leave, half of it did
    assert gas_pot.connected_share(0.425, 200e2, 50e2, 1000e2) == pytest.approx(0.5)
    # where it boils all could
    assert gas_pot.connected_share(0.3, 20e2, 50e2, 1000e2) == pytest.approx(0.3)


def test_air_drains_as_the_first_term_of_a_sphere_and_faster_by_the_stirring():
    """By hand: in s^2 / (pi^2 D k) all but 1/e of what can leave has left."""
    spacing, D, stirring = 0.5e-3, 1e-10, 4.0
    pot = gas_pot.Pot(
        share=0.8, bubbles=gas_pot.seeds(spacing), stirring=stirring, diffusivity_m2_s=D
    )
    once = spacing**2 / (math.pi**2 * D * stirring)
    found = gas_pot.air_left(pot, 100e3, 120e2, 20e2, np.array([0.0, once, 100.0 * once]))
    assert found == pytest.approx([100e3, 100e3 - 0.8 * 90e3 * (1.0 - math.exp(-1.0)), 28e3])


def test_however_large_the_share_no_less_than_equilibrium_is_left():
    pot = gas_pot.Pot(share=3.0, bubbles=1e12, stirring=1.0, diffusivity_m2_s=1e-10)
    assert float(gas_pot.air_left(pot, 100e3, 90e2, 15e2, 1e5)) == pytest.approx(75e2)


UP = outgas.resin("orthophthalic-polyester")
FULL_PA, COOL_PA = 99000.0, 2000.0


def left(mbar, minutes, worked, resin=UP):
    told = Degassed(mbar * 100.0, Band.exact(minutes * 60.0), worked)
    return gas_pot.air_left_by(told, resin, FULL_PA, COOL_PA)


def test_minutes_seeds_and_stirring_count():
    assert left(30, 10, True).nominal < 0.7 * left(30, 2, False).nominal
    assert left(30, 20, False).nominal < left(30, 5, False).nominal
    assert left(50, 15, True).high < left(300, 2, True).high  # deep and long, shallow and short


def test_a_pot_not_said_how_it_was_worked_may_have_been_still():
    unsaid, worked, still = (left(60, 10, how) for how in (None, True, False))
    assert unsaid.nominal == worked.nominal
    assert worked.high < unsaid.high <= FULL_PA
    assert still.nominal <= unsaid.high


def test_each_doubt_about_a_pot_adds_as_squares_and_leaves_no_more_than_there_was():
    got = left(90, 10, True)
    removed = catalogue.practice().gas.pot_removed
    low = gas_pot.pot_of(UP, FULL_PA, COOL_PA, worked=True)
    share = gas_pot.connected_share(removed.low_si, 9000.0, COOL_PA, FULL_PA)
    alone = float(
        gas_pot.air_left(dataclasses.replace(low, share=share), FULL_PA, 9000.0, COOL_PA, 600.0)
    )
    assert got.high >= alone > got.nominal
    assert left(5, 1440, True).low >= 0.0
    assert left(900, 0.2, None).high <= FULL_PA


def test_the_published_pot_is_given_back():
    """Put in, so no check: 45 % of the air gone at 90 mbar, seeded, in the end."""
    assert left(90, 600, True).nominal == pytest.approx(0.55 * FULL_PA, rel=0.02)


def test_only_a_worked_pot_is_stirred_and_seeded():
    resin = outgas.resin(POLYESTER)
    still, worked = (
        gas_pot.pot_of(resin, 101325.0, 800.0, worked=worked) for worked in (False, True)
    )
    assert still.stirring == 1.0 < worked.stirring
    assert still.bubbles < worked.bubbles


# What a pot leaves, by hand ----------------------------------------------------------------------


def by_hand(told, name, air, vapour):
    """Nominal, low and high: each number of the tables at its two ends in turn, as squares."""
    gas, practice = catalogue.gas(), catalogue.practice()
    resin = outgas.resin(name)
    moving = catalogue.transport(resin.family).air_diffusivity
    worked = told.worked is not False
    usual = {
        "removed": practice.gas.pot_removed.si,
        "seconds": told.seconds.nominal,
        "D": moving.si,
        "apart": gas.pot.seed_spacing.si
        if worked
        else gas.laminate.entrained_radius.si / practice.margins.entrained.si ** (1.0 / 3.0),
        "stirring": gas.pot.stirring.si if worked else 1.0,
    }

    def left(**moved):
        n = {**usual, **moved}
        at, p = practice.gas.pot_pressure.si, told.pressure_Pa
        share = n["removed"] * air / (air - min(max(at - vapour, 0.0), air))
        times = n["stirring"] * math.pi**2 * n["D"] * n["seconds"] / n["apart"] ** 2
        gone = share * (1.0 - math.exp(-times))
        return air - min(gone, 1.0) * (air - min(max(p - vapour, 0.0), air))

    ends = [
        ("removed", practice.gas.pot_removed.low_si, practice.gas.pot_removed.high_si),
        ("seconds", told.seconds.low, told.seconds.high),
        ("D", moving.low_si, moving.high_si),
    ]
    if worked:
        ends += [
            ("apart", gas.pot.seed_spacing.low_si, gas.pot.seed_spacing.high_si),
            ("stirring", gas.pot.stirring.low_si, gas.pot.stirring.high_si),
        ]
    nominal = left()
    pairs = [[left(**{name: end}) for end in both] for name, *both in ends]
    if told.worked is None:
        still = gas.laminate.entrained_radius.si / practice.margins.entrained.si ** (1.0 / 3.0)
        pairs.append([left(apart=still, stirring=1.0)] * 2)
    more = math.sqrt(sum(max(0.0, *(p - nominal for p in pair)) ** 2 for pair in pairs))
    less = math.sqrt(sum(max(0.0, *(nominal - p for p in pair)) ** 2 for pair in pairs))
    return nominal, max(0.0, nominal - less), min(air, nominal + more)


@pytest.mark.parametrize("name", [POLYESTER, "epoxy-laminating"])
@pytest.mark.parametrize("worked", [True, False, None])
@pytest.mark.parametrize(
    "seconds", [Band(600.0, 400.0, 900.0), Band.exact(60.0), Band.exact(7200.0)]
)
def test_what_a_pot_leaves_is_that_by_hand(name, worked, seconds):
    for pot_Pa, air, vapour in (
        (9000.0, 1e5, 1500.0),
        (4000.0, 5e4, 2500.0),
        (2000.0, 1e5, 2500.0),
    ):
        told = Degassed(pot_Pa, seconds, worked)
        got = gas_pot.air_left_by(told, outgas.resin(name), air, vapour)
        assert (got.nominal, got.low, got.high) == pytest.approx(
            by_hand(told, name, air, vapour), rel=1e-6
        )


def test_a_share_under_nothing_takes_nothing_out():
    pot = gas_pot.Pot(share=-0.5, bubbles=1e9, stirring=1.0, diffusivity_m2_s=1e-10)
    assert float(gas_pot.air_left(pot, 1e5, 9e3, 2e3, 600.0)) == 1e5
