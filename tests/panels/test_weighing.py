"""Importance sampling: against what is known in closed form, and its guards."""

import numpy as np
import pytest

from outgas.errors import RefusedError
from outgas.panels import weighing
from outgas.panels.numbers import NUMBERS, PLACE, SHOP
from outgas.panels.weighing import Message, weighed


def pulling(name, middle, deviation):
    """Return a message as of an observation of one number, a bell."""
    return Message((name,), np.array([[deviation**-2]]), np.array([middle * deviation**-2]))


@pytest.mark.parametrize(("middle", "deviation"), [(1.0, 1.0), (1.5, 0.2), (2.5, 0.05)])
def test_a_bell_seen_of_a_bell_is_the_bell_of_the_textbook(middle, deviation):
    """Also where it is so sharp that the first draws do not do: more are drawn."""
    found = weighed([], [pulling("trapped", middle, deviation)])
    z = found.z[PLACE["trapped"]]
    precision = 1.0 + deviation**-2
    mean, spread = middle * deviation**-2 / precision, precision**-0.5
    assert found.effective >= weighing.FEWEST
    assert found.weight @ z == pytest.approx(mean, abs=3.0 * spread / found.effective**0.5)
    assert np.sqrt(found.weight @ (z - mean) ** 2) == pytest.approx(spread, rel=0.15)
    other = found.z[PLACE["connected"]]
    assert found.weight @ other == pytest.approx(0.0, abs=0.2)


def test_many_sharp_numbers_at_once_are_still_found():
    messages = [pulling(name, 1.0, 0.15) for name in NUMBERS[:6]]
    found = weighed([], messages)
    assert found.effective >= weighing.FEWEST
    for name in NUMBERS[:6]:
        assert found.weight @ found.z[PLACE[name]] == pytest.approx(0.978, abs=0.06)


def test_too_little_that_fits_is_refused_in_one_line(monkeypatch):
    monkeypatch.setattr(weighing, "MORE_DRAWS", ())
    with pytest.raises(RefusedError, match=r"too little fits these panels: .* draws carry"):
        weighed([], [pulling(name, 2.0, 0.05) for name in NUMBERS])


def test_what_was_taught_of_shared_numbers_comes_back_as_it_was_learnt():
    first = weighed([], [pulling("entrained", 1.2, 0.3), pulling("trapped", 1.0, 0.3)])
    message = first.taught(SHOP)
    again = weighed([], [message])
    assert again.weight @ again.z[PLACE["entrained"]] == pytest.approx(
        first.weight @ first.z[PLACE["entrained"]], abs=0.05
    )
    assert abs(again.weight @ again.z[PLACE["trapped"]]) < 0.05


def test_a_message_never_makes_a_number_less_sure_than_before():
    wide = weighed([], [])
    message = wide.taught(SHOP)
    sizes = np.linalg.eigvalsh(message.precision)
    assert (sizes >= -1e-12).all()
    part = message.only(SHOP[:2])
    assert part.names == SHOP[:2]
    assert np.linalg.eigvalsh(part.precision).max() < 0.1


def test_draws_handed_on_are_as_likely_as_their_weights():
    found = weighed([], [pulling("trapped", 1.0, 0.5)])
    some = found.resampled()
    assert some.shape == (len(NUMBERS), 257)
    assert some[PLACE["trapped"]].mean() == pytest.approx(0.8, abs=0.1)
    assert (weighed([], [pulling("trapped", 1.0, 0.5)]).resampled() == some).all()
