"""The gas balance against published measurements: which way, and how much.

What a source does not say is taken from data/experiments.toml. Sizes must lie within a factor of
two of the measured range. Where the balance misses, the miss stands in MISFITS with its size; a
test fails when it changes sign or gets worse, and also when it is gone, for then it is no misfit.

No check at all are the series that a constant was set from: the voids of the pressed prepreg
(trapped share), and the air that a seeded pot removed (connected share). Little check are upper
bounds alone: a balance that made no voids would meet them.
"""

import itertools
import math

import numpy as np
import pytest

from outgas.errors import DataError
from outgas.laminate.gas.experiments import NAMES, air_after_pot, experiment
from outgas.tables import catalogue, experiments

ROWS = experiments.measurements()
VOIDS = [row for row in ROWS if row.measured == "voids"]
SIZED = [row for row in VOIDS if not math.isnan(row.low)]
SLACK = 0.1  # points of per cent that a known misfit may move before it counts as worse

# Reckoned less measured, in points of per cent.
MISFITS = {
    # Measured at most 2.5 over pressures not told; reckoned at the lowest there can be, the room,
    # for a prepreg as damp as any: it boils, and boiling leaves what it leaves.
    "carbon-epoxy-low-pressure": 2.67,
    # Measured: a floor of 1.6 however hard it is pressed. Reckoned: it all goes back, for the
    # balance has no fibres that take the load off the resin. Not a check of sizes in any case.
    "prepreg-pressure-2015 at 3.0 bar": -1.45,
    "prepreg-pressure-2015 at 4.5 bar": -1.53,
    "prepreg-pressure-2015 at 5.9 bar": -1.56,
    # Measured under 2 from 90 to 210 degC. Reckoned: it boils, and no water leaves between plies.
    "ply-by-ply-2025 at 210 degC": 4.38,
    # Measured: more when pressed cold, where it does not wet. The balance knows gas only.
    "ply-by-ply-2025, 40 over 90 degC": -0.67,
    # Measured: humidity counts for nothing at 71 degC. Reckoned from 10 to 90 %: the water that
    # evaporates into bubbles of air blows them up long before it boils.
    "glass-polyester-1951, damp over dry at 71 degC": 1.78,
}


def study(name):
    rows = [row for row in ROWS if row.study == name]
    assert rows
    return rows


def name_of(row):
    at = "" if math.isnan(row.pressure_Pa) else f" at {row.pressure_Pa / 1e5:.1f} bar"
    return row.study + at


def voids(row, **instead):
    """The reckoned voids in per cent."""
    return 100.0 * experiment(row, **instead).void


def stays_a_known_misfit(name, points):
    stated = MISFITS[name]
    assert points * stated > 0.0, f"{name}: no longer a misfit of that sign; take it off the list"
    assert abs(points) < abs(stated) + SLACK, f"{name}: worse than stated, {points:.2f}"


# Every series runs --------------------------------------------------------------------------------


@pytest.mark.parametrize("row", VOIDS, ids=name_of)
def test_every_measured_void_content_is_reckoned_and_says_what_it_took(row):
    found = experiment(row)
    assert 0.0 <= found.void < 0.10  # no closed cell that froths to tens of per cent
    said = {field for name, field in NAMES.items() if not math.isnan(getattr(row, name, math.nan))}
    words = " ".join(found.taken)
    for field in ("temperature", "pressure", "humidity", "fibre fraction"):
        assert (f"{field} " in words) == (field not in said), field


def test_what_is_given_instead_is_neither_the_sources_nor_taken():
    (row, *_) = study("glass-polyester-1951")
    assert any(line.startswith("humidity") for line in experiment(row).taken)
    damp = experiment(row, humidity=0.9)
    assert not any(line.startswith("humidity") for line in damp.taken)
    assert damp.steps[-1].vapour_Pa > experiment(row).steps[-1].vapour_Pa
    with pytest.raises(TypeError, match="no moisture; there are temperature_K"):
        experiment(row, moisture=0.9)


def test_a_process_of_which_nothing_was_taken_is_refused():
    (row,) = study("nucleated-pot-2005")
    with pytest.raises(DataError, match=r"experiments.toml: no process 'pot'; there are press"):
        experiment(row)


# How much -----------------------------------------------------------------------------------------


def test_the_series_that_set_a_constant_are_named_and_no_check():
    assert {row.study: experiments.sets(row) for row in ROWS if experiments.sets(row)} == {
        "prepreg-pressure-2015": "trapped",
        "nucleated-pot-2005": "connected",
    }
    assert "1.6 to 5 % voids" in catalogue.gas().laminate.trapped.note
    assert "half of the dissolved gas" in catalogue.gas().laminate.connected.note
    (pot,) = study("nucleated-pot-2005")
    assert catalogue.practice().gas.pot_removed.source == pot.source


@pytest.mark.parametrize("row", [row for row in SIZED if not experiments.sets(row)], ids=name_of)
def test_sizes_lie_within_a_factor_of_two_or_are_a_known_misfit(row):
    found = experiment(row)
    if name_of(row) in MISFITS:
        assert not found.within_two
        stays_a_known_misfit(name_of(row), 100.0 * found.misfit)
    else:
        assert found.within_two


def test_all_but_one_of_the_sizes_that_check_anything_are_met():
    """Most are upper bounds alone, and most are met with no voids at all."""
    checks = [row for row in SIZED if not experiments.sets(row)]
    assert [row.study for row in checks if not experiment(row).within_two] == [
        "carbon-epoxy-low-pressure"
    ]
    assert sum(row.low > 0.0 for row in checks) == 1
    assert sum(experiment(row).void < 1e-3 for row in checks) == 4


def test_over_its_routes_of_pressure_an_autoclave_gives_none_to_half_of_the_worst_measured():
    """Measured 0.3 to 10 %, the routes not told; reckoned from the room to 7 bar."""
    (row,) = study("carbon-epoxy-cycles-1995")
    worst, best = voids(row, pressure_Pa=101325.0), voids(row, pressure_Pa=7e5)
    assert 50.0 * row.high < worst < 200.0 * row.high
    assert best < 100.0 * row.low  # at the good end it is too good


def test_pressed_prepreg_has_the_measured_voids_where_it_boils_and_no_floor():
    """Measured 1.6 to 5.0 over four pressures and three moistures. It set the trapped share."""
    rows = study("prepreg-pressure-2015")
    wet = [voids(row, humidity=0.99) for row in rows]
    assert wet[0] == pytest.approx(5.0, rel=0.1)
    assert all(a > b for a, b in itertools.pairwise(wet))
    for row in rows[1:]:
        stays_a_known_misfit(name_of(row), 100.0 * experiment(row).misfit)


def test_plies_pressed_one_by_one_are_sound_at_90_degrees_and_wrong_on_either_side():
    (row,) = study("ply-by-ply-2025")
    assert 0.0 < voids(row) < 100.0 * row.high
    hot = voids(row, temperature_K=483.15) - 100.0 * row.high
    stays_a_known_misfit("ply-by-ply-2025 at 210 degC", hot)
    cold = voids(row, temperature_K=313.15) - voids(row)
    stays_a_known_misfit("ply-by-ply-2025, 40 over 90 degC", cold)


# Which way ----------------------------------------------------------------------------------------


def bagged(process):
    return [row for row in study("prepreg-moisture-2010") if row.process == process]


def test_wet_prepreg_voids_in_a_vacuum_bag_and_a_dry_one_does_not():
    bag = bagged("vacuum bag")
    assert [row.outcome for row in bag] == ["some", "more", "more"]
    found = [voids(bag[0], humidity=0.4), *(voids(row) for row in bag)]
    assert found[0] == 0.0
    assert found == pytest.approx([0.0, 4.7, 5.0, 5.2], abs=0.05)
    assert all(a < b for a, b in itertools.pairwise(found))


def test_the_rise_from_70_to_90_per_cent_humidity_is_smaller_than_substantial():
    """The paper calls it substantial, without figures; here an eighth, for boiling fills up."""
    first, _, last = (voids(row) for row in bagged("vacuum bag"))
    assert 1.05 < last / first < 1.2


def test_an_autoclave_leaves_wet_prepreg_without_voids():
    autoclave = bagged("autoclave")
    assert [row.outcome for row in autoclave] == ["none"] * 3
    assert [voids(row) for row in autoclave] == [0.0] * 3


def test_humidity_counts_more_the_hotter_the_press_and_boils_only_above_71_degrees():
    rows = study("glass-polyester-1951")
    assert [row.outcome for row in rows] == ["none", "some", "some"]
    added = [voids(row, humidity=0.9) - voids(row, humidity=0.1) for row in rows]
    assert added[0] < added[1] < added[2]
    assert min(added[1:]) > 2.0
    boils = [bool(experiment(row, humidity=0.9).outcome.boiled) for row in rows]
    assert boils == [False, True, True]
    stays_a_known_misfit("glass-polyester-1951, damp over dry at 71 degC", added[0])


def test_more_pressure_never_makes_more_voids_and_a_hard_press_leaves_few():
    floor = study("isostatic-press-1992")[-1]
    pressures = [1e5, 2e5, 3e5, 4e5, 6e5, 1e6, 5e6]
    found = [voids(floor, pressure_Pa=p) for p in pressures]
    assert all(a >= b for a, b in itertools.pairwise(found))
    assert found[3] > 0.5 * found[0]  # measured: nothing gained below 4 bar
    assert found[-1] < 100.0 * floor.high
    low, high, under = study("carbon-epoxy-autoclave-2017")
    assert under.outcome == "more"
    assert voids(under) > max(voids(low), voids(high))


def test_a_mould_evacuated_deep_has_no_voids_at_its_vent():
    deep, none = study("evacuated-mould-1994")
    assert (deep.outcome, none.outcome) == ("none", "some")
    assert voids(deep) < 0.1
    assert voids(none) > 1.0
    found = [voids(deep, pressure_Pa=p) for p in np.linspace(1e3, 101325.0, 9)]
    assert all(a < b for a, b in itertools.pairwise(found))


def test_a_weaker_vacuum_leaves_more_voids_in_prepreg():
    """The measured way: less air drawn out. The bag's clamp has no part in it here."""
    (row,) = study("reduced-vacuum-2020")
    deep, half = (voids(row, bag_Pa=p, air_Pa=p) for p in (5e3, 5e4))
    assert deep == 0.0
    assert half > 2.0


def test_vacuum_held_through_an_autoclave_cure_voids_a_bled_panel():
    some, _ = study("vacuum-held-2011")
    assert voids(some) > 2.0
    assert voids(some, share=0.0) == 0.0


# Orders that the balance does not see ----------------------------------------------------------


def test_known_misfit_lower_autoclave_pressure_under_held_vacuum_makes_no_more():
    """Measured: more. Here the bled resin boils at either, and boiling leaves what it leaves."""
    _, more = study("vacuum-held-2011")
    assert more.outcome == "more"
    assert voids(more, pressure_Pa=4e5) == pytest.approx(voids(more), abs=0.01)


def test_known_misfit_degassing_does_not_show_where_the_vent_is_left_deep():
    """Measured: much more voids without degassing, or without seeds; the vent's pressure not told.

    Half of the air is enough to fill the trapped share at 300 mbar, so all reckon alike. The order
    comes with a vent at 500.
    """
    for name in ("jute-polyester-degassing", "nucleated-infusion-2005"):
        less, more = study(name)
        resin = "orthophthalic-polyester"
        worked, removed = air_after_pot(resin, worked=True)
        still, hardly = air_after_pot(resin, worked=False)
        assert removed > hardly
        assert (less.outcome, more.outcome) == ("some", "more")
        assert voids(less, air_Pa=worked) == pytest.approx(voids(more), abs=0.01)
        shallow = {"bag_Pa": 50e3, "fill_Pa": 50e3}
        assert voids(less, air_Pa=worked, **shallow) < 0.5 * voids(more, **shallow)
        assert voids(less, air_Pa=worked, **shallow) < voids(less, air_Pa=still, **shallow)


@pytest.mark.parametrize("resin", ["orthophthalic-polyester", "epoxy-infusion"])
def test_a_seeded_pot_removes_what_it_was_set_to_and_a_still_one_far_less(resin):
    """Measured 40 to 50 %, of polyester or epoxy. The share was put in, so it is no check."""
    (row,) = study("nucleated-pot-2005")
    assert experiments.sets(row) == "connected"
    _, worked = air_after_pot(resin, True, row.pressure_Pa)
    _, still = air_after_pot(resin, False, row.pressure_Pa)
    assert row.low < worked < row.high
    assert 0.0 < still < row.low / 2.0
    _, short = air_after_pot(resin, True, row.pressure_Pa, duration_s=30.0)
    assert short < worked


# What the verdicts hang on ------------------------------------------------------------------------


def turned_by(row):
    """The figures taken, not read, of which one end alone turns whether a size is met."""
    found, took = experiment(row), experiments.taken(row)
    said = {name for name in NAMES if not math.isnan(getattr(row, name, math.nan))}
    turned = set()
    for name, field in NAMES.items():
        number = getattr(took, field)
        if number is not None and name not in said:
            ends = (number.low_si, number.high_si)
            moved = [experiment(row, **{name: end}).within_two for end in ends]
            if not all(one == found.within_two for one in moved):
                turned.add(field)
    return turned


def test_four_of_the_seven_sizes_hang_on_a_figure_that_was_taken_and_not_read():
    """So they show that the balance can be right, more than that it is."""
    turned = {name_of(row): turned_by(row) for row in SIZED if not experiments.sets(row)}
    assert turned == {
        "carbon-epoxy-cycles-1995": {"humidity"},
        "heated-infusion-2019 at 2.4 bar": set(),
        "isostatic-press-1992 at 50.0 bar": set(),
        "carbon-epoxy-autoclave-2017 at 4.0 bar": {"humidity", "share", "temperature"},
        "carbon-epoxy-autoclave-2017 at 6.0 bar": {"share"},
        "carbon-epoxy-low-pressure": {"humidity", "fibre_fraction"},
        "ply-by-ply-2025 at 1.0 bar": set(),
    }


def test_a_dry_prepreg_is_sound_only_if_no_air_was_laid_in():
    """At 40 % humidity; half a per cent between the plies would show, a figure that was taken."""
    (row, *_) = bagged("vacuum bag")
    assert 1.0 < voids(row, humidity=0.4, entrained=0.005) < 2.0
