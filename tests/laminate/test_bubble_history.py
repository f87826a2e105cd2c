"""A history of bubbles: what is counted, what is said, on histories made by hand."""

import json
import math

import numpy as np
import pytest

from outgas.errors import OutOfRangeError
from outgas.laminate.bubble_history import BubbleHistory
from outgas.physics import haze

BALL = 4.0 / 3.0 * math.pi


def history(**changes):
    """Two sizes of bubble at three times; the small ones dissolve."""
    given = {
        "resin": "a resin",
        "index": 1.56,
        "time_s": np.array([0.0, 60.0, 600.0]),
        "radius_m": np.array([[50e-6, 100e-6], [20e-6, 200e-6], [0.0, 300e-6]]),
        "gas_mol": {
            "air": np.array([[1.0, 4.0], [0.5, 6.0], [0.0, 9.0]]) * 1e-12,
            "styrene": np.array([[1.0, 4.0], [0.5, 2.0], [0.0, 1.0]]) * 1e-12,
        },
        "per_volume": np.array([3e9, 1e9]),
        "kept": np.array([1.0, 1.0, 0.5]),
        "gel_s": 300.0,
        "dissolved_s": np.array([400.0, np.inf]),
        "mass_error": {},
        "assumptions": ("bubbles are round",),
    }
    return BubbleHistory(**{**given, **changes})


def test_voids_are_balls_per_resin_and_those_that_left_are_not_counted():
    found = history().void
    first = BALL * (3e9 * (50e-6) ** 3 + 1e9 * (100e-6) ** 3)
    last = BALL * 0.5 * 1e9 * (300e-6) ** 3
    assert found[0] == pytest.approx(first / (1.0 + first))
    assert found[2] == pytest.approx(last / (1.0 + last))
    assert history().void_fraction.m == pytest.approx(found)


def test_the_gas_is_shared_out_by_moles_over_bubbles_of_every_size():
    air = history().composition["air"]
    assert air[0] == pytest.approx(0.5)
    assert air[1] == pytest.approx((3 * 0.5 + 6.0) / (3 * 1.0 + 8.0))
    empty = history(gas_mol={"air": np.zeros((3, 2)), "styrene": np.zeros((3, 2))})
    assert np.isnan(empty.composition["air"]).all()


def test_at_the_gel_is_the_last_time_not_after_it():
    assert history().at_gel == 1
    assert history(gel_s=600.0).at_gel == 2
    assert history(gel_s=60.0).at_gel == 1
    assert history(gel_s=0.0).at_gel == 0
    assert history(gel_s=None).at_gel == 2
    assert history(gel_s=None).gel is None
    assert history().gel.m_as("min") == pytest.approx(5.0)


def test_half_the_bubbles_by_number_are_no_bigger_than_the_median():
    assert history().median_radius(0) == 50e-6  # three small ones to each large
    assert history(per_volume=np.array([1e9, 3e9])).median_radius(0) == 100e-6
    assert history().median_radius() == 300e-6  # the dissolved ones are not counted
    gone = history(radius_m=np.zeros((3, 2)))
    assert gone.median_radius() == 0.0


def test_past_one_half_bubbles_touch_and_that_is_all_it_says():
    below, above = (
        history(per_volume=np.array([1.0, n]), kept=np.ones(3))
        for n in (0.98 / (BALL * (300e-6) ** 3), 1.02 / (BALL * (300e-6) ** 3))
    )
    assert not below.froths
    assert above.froths
    assert "froths" in str(above)
    assert "froths" not in str(below)


def test_the_words_tell_gel_and_after_with_their_numbers():
    said = str(history())
    voids = 100.0 * float(history().void[1])
    assert f"At the gel (5 min): {voids:.2g}% voids" in said
    assert "(air 68%, styrene 32%)" in said  # 7.5 moles of 11
    assert "After it, at 10 min" in said
    assert "75% of the bubbles dissolved" in said
    assert "bubbles are round" in said
    liquid = str(history(gel_s=None, dissolved_s=np.full(2, np.inf)))
    assert "Still liquid at 10 min" in liquid
    assert "After it" not in liquid
    assert "dissolved" not in liquid
    assert "no bubble left" in str(history(kept=np.array([1.0, 1.0, 0.0])))


def test_more_bubbles_send_back_more_light_from_a_clear_laminate_up():
    few, many = (history(kept=np.full(3, k)).reflectance("1 mm") for k in (0.1, 1.0))
    assert many[1] == few[1] < few[0] < many[0] < 1.0
    none = history(kept=np.zeros(3)).reflectance("1 mm")
    assert none[0] == pytest.approx(none[1], rel=1e-6)
    thick = history().reflectance("3 mm")
    assert thick[0] > history().reflectance("1 mm")[0]
    over_white = history().reflectance("1 mm", background=0.8)
    assert over_white[1] > 0.5 > history().reflectance("1 mm")[1]


def test_bubbles_scatter_by_how_many_are_in_a_volume_of_laminate_not_of_resin():
    """By hand: per volume of resin n, per volume of resin and gas n (1 - f)."""
    each = 2e9
    froth = history(radius_m=np.full((3, 2), 300e-6), per_volume=np.full(2, each), kept=np.ones(3))
    f = float(froth.void[-1])
    assert 0.2 < f < 0.5
    mu, g = haze.scattering(np.full(2, 300e-6), np.full(2, each * (1.0 - f)), 1.56)
    wanted = float(haze.reflectance(mu * 1e-3, g, 1.56, 0.0))
    assert froth.reflectance("1 mm", background=0.0)[0] == pytest.approx(wanted)


def test_the_light_is_of_the_time_asked_for():
    assert history().reflectance("1 mm", k=1) != history().reflectance("1 mm", k=0)
    fewer = history(kept=np.array([0.5, 1.0, 0.5])).reflectance("1 mm", k=0)
    assert fewer[0] < history().reflectance("1 mm", k=0)[0]


@pytest.mark.parametrize("background", [-0.01, 1.01, float("nan")])
def test_a_background_sends_back_between_nothing_and_all(background):
    with pytest.raises(OutOfRangeError, match="it is 0 to 1"):
        history().reflectance("1 mm", background)
    for end in (0.0, 1.0):
        assert history().reflectance("1 mm", end)


def test_the_look_names_what_is_whiter_and_what_can_be_seen_one_by_one():
    large = str(history(kept=np.ones(3)))
    assert "with bubbles that can be seen one by one" in large
    fine = history(radius_m=np.full((3, 2), 5e-6), per_volume=np.full(2, 3e14))
    assert "one by one" not in str(fine)
    assert str(fine).count(": white.") == 1
    assert "clear to the eye" in str(history(kept=np.full(3, 1e-6)))


def test_it_is_written_down_in_si_without_infinities():
    told = json.loads(json.dumps(history().to_dict(), allow_nan=False))
    assert told["dissolved_s"] == [400.0, None]
    assert told["void_fraction"] == pytest.approx(history().void.tolist())
    assert told["gel_s"] == 300.0
    assert history().dissolved.tolist() == [True, False]
    assert history().radius.m_as("um")[0].tolist() == pytest.approx([50.0, 100.0])
    assert history().time.m_as("min")[-1] == pytest.approx(10.0)
