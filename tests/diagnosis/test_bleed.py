"""Reading the bleed: the geometry, the three answers, what is refused."""

import math

import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError, UnknownNameError

UP = "orthophthalic-polyester"
LAYUP = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")


def read(**given):
    return outgas.read_bleed(UP, LAYUP, **given)


def test_the_mass_under_spots_is_their_share_of_the_film_times_what_the_breather_holds():
    got = read(pitch="25 mm", spot="7 mm")
    thick, solid = 1.0e-3, 0.150 / 1380.0
    expected = math.pi * 7.0**2 / (4 * 25.0**2) * (thick - solid) * 1130.0
    assert got.lost.m_as("kg/m**2") == pytest.approx(expected, rel=1e-9)
    low, high = got.lost_kg_m2[1:]
    assert low < expected < high


def test_bigger_spots_mean_more_lost_and_a_leaner_laminate():
    spots = [read(pitch="25 mm", spot=f"{d} mm") for d in (2, 5, 8, 11, 14)]
    assert [s.lost_kg_m2[0] for s in spots] == sorted(s.lost_kg_m2[0] for s in spots)
    assert [s.fibre_fraction[0] for s in spots] == sorted(s.fibre_fraction[0] for s in spots)
    order = ["starved", "good", "flooded"]
    assert [order.index(s.state) for s in spots] == sorted(order.index(s.state) for s in spots)
    assert spots[0].state == "starved"


def test_a_spot_means_nothing_without_the_pitch():
    near, far = read(pitch="10 mm", spot="7 mm"), read(pitch="50 mm", spot="7 mm")
    assert near.lost_kg_m2[0] == pytest.approx(25 * far.lost_kg_m2[0])
    assert (near.state, far.state) == ("flooded", "starved")
    with pytest.raises(InputError, match="nothing without the pitch"):
        read(spot="7 mm")


def test_overlapping_spots_are_flooded_and_sure():
    got = read(pitch="10 mm", spot="10 mm")
    assert got.merged
    assert got.state == "flooded"
    assert got.sure
    assert "cannot be measured" in got.to_text(full=True)


def test_weighing_is_narrower_than_spots():
    weighed, spotted = read(gained="64 g"), read(pitch="25 mm", spot="10 mm")
    assert weighed.state == "good"
    assert weighed.sure

    def width(b):
        return b.fibre_fraction[2] - b.fibre_fraction[1]

    assert width(weighed) < 0.3 * width(spotted)


def test_good_is_inside_what_the_cloth_packs_to():
    got = read(gained="64 g")
    assert got.usual[0] < got.fibre_fraction[0] < got.usual[1]
    assert "spread the soaked breather outdoors" in got.to_text(full=True)
    assert got.to_dict()["state"] == "good"


@pytest.mark.parametrize(
    ("given", "kind", "message"),
    [
        ({"pitch": "900 mm", "spot": "7 mm"}, OutOfRangeError, "pitch"),
        ({"pitch": "25 mm", "spot": "7"}, InputError, "with no unit"),
        ({"gained": "2 kg"}, OutOfRangeError, "more than"),
        ({"gained": "-3 g"}, InputError, "zero or more"),
        ({"pitch": "25 mm", "spot": "7 mm", "breather": "blotter"}, UnknownNameError, "breather"),
        ({"pitch": "25 mm", "spot": "7 mm", "breather": "peel ply"}, InputError, "holds no bleed"),
    ],
)
def test_bad_input_is_one_line(given, kind, message):
    with pytest.raises(kind, match=message) as caught:
        read(**given)
    assert "\n" not in str(caught.value)


def test_masses_need_an_area():
    with pytest.raises(InputError, match="area"):
        outgas.read_bleed(UP, outgas.Layup(plies=["400 g/m2 woven glass"]), gained="60 g")
