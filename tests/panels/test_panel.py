"""One panel: what is read of it, and each mistake of it at once."""

import pytest

from outgas.errors import SeveralMistakesError
from outgas.panels.panel import JOB_KEYS, OWN_KEYS, air_of, panel_of, void_of

TOLD = {"resin": "epoxy-laminating", "cure": "600 mbar", "look": "clear"}


def test_every_mistake_of_a_panel_is_told_at_once():
    with pytest.raises(SeveralMistakesError) as caught:
        panel_of({"look": "odd", "voids": "70 %", "cure_time": "long", "colour": "blue"})
    told = " ".join(caught.value.mistakes)
    for word in ("resin", "odd", "50 %", "cure time", "colour", "cure ="):
        assert word in told
    assert len(caught.value.mistakes) == 6


def test_an_error_of_what_was_not_told_is_refused():
    with pytest.raises(SeveralMistakesError, match="voids_error is told, voids is not"):
        panel_of({**TOLD, "voids_error": "1 %"})


def test_what_was_measured_has_the_table_s_error_where_none_was_told():
    assert void_of({"voids": "1.2 %"}) == (pytest.approx(0.012), 0.005)
    assert void_of({"voids": "1.2 %", "voids_error": "0.3 %"})[1] == pytest.approx(0.003)
    assert air_of({"air_left": "300 mbar"}) == (pytest.approx(3e4), pytest.approx(6e3))
    assert (void_of({}), air_of({})) == (None, None)


def test_a_number_that_panels_teach_is_no_key_of_one():
    assert not {"trapped", "connected", "void_target", "gel_time"} & set(JOB_KEYS)
    assert not set(JOB_KEYS) & set(OWN_KEYS)
    with pytest.raises(SeveralMistakesError, match="no key of a panel is called 'trapped'"):
        panel_of({**TOLD, "trapped": "6 %"})


def test_every_example_of_a_key_is_understood():
    told = {key: example for key, (example, _) in OWN_KEYS.items()}
    panel = panel_of({**TOLD, **told, "degassed": "27 mbar"})
    assert panel.own == told
    assert panel.name == "test 7"
