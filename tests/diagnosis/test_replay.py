"""What the laminate would have held, held otherwise: the balance asked again."""

import pickle

import pytest
from white_laminates import EP, PREPREG, SHOP, UP, VE, inspected, why

import outgas
from outgas.diagnosis.replay import Replay
from outgas.errors import InputError
from outgas.laminate.course import target_of
from outgas.physics.chance import Band

EXACT = {"reads_with": "sensor 0 mbar"}


def test_as_it_was_is_what_the_balance_makes_of_the_bag_that_was_told():
    found = why(bag_pressure="700 mbar", **EXACT).replay()
    here = inspected(bag="700 mbar", void_target=None)
    assert found.voids == here.course.voids(700e2, target_of(here.case))
    assert found.voids.low < 0.02 < found.voids.nominal < found.voids.high
    assert (found.look, found.cause) == ("clear", "dissolved-air")


def test_a_debulk_that_was_told_is_in_as_it_was_and_can_be_left_out():
    seen = {"debulk": "yes"}
    told, untold = (why(seen=s, bag_pressure="500 mbar", **EXACT) for s in (seen, None))
    assert told.replay() == untold.replay(debulk=True)
    assert untold.replay() == told.replay(debulk=False)
    assert told.replay().voids.nominal < 0.001 < untold.replay().voids.nominal
    assert told.replay().cause is None
    assert untold.replay().cause == "dissolved-air"


def test_a_debulk_at_a_pressure_is_held_there_and_a_weak_one_helps_less():
    found = why(bag_pressure="300 mbar", **EXACT)
    advised = found.replay(debulk=True)
    same, weak = (found.replay(debulk=p) for p in ("90 mbar", "280 mbar"))
    assert same == advised
    assert weak.voids.nominal > 2.0 * advised.voids.nominal
    assert found.replay(debulk="1013.25 mbar") == found.replay(debulk=False)


def test_it_boils_where_the_resin_does_early_or_late():
    found = why(bag_pressure="400 mbar", **EXACT)
    p_v = inspected().hot.nominal / 100.0
    assert found.replay(f"{0.98 * p_v:.3f} mbar").cause == "resin-boiling"
    assert found.replay(f"{1.02 * p_v:.3f} mbar").cause == "dissolved-air"
    assert found.replay(debulk="5 mbar").cause == "resin-boiling"
    froths = outgas.Layup(plies=["400 g/m2 woven glass"], bag_side=["unperforated film"])
    shut = why(layup=froths, bag_pressure="5 mbar", **EXACT).replay()
    assert (shut.voids.nominal, shut.look, shut.cause) == (1.0, "milky", "resin-boiling")
    assert str(shut) == "froth, milky: it boils"


def test_a_pot_leaves_less_air_and_takes_the_place_of_what_was_told():
    found = why(bag_pressure="500 mbar", **EXACT)
    pot = "27 mbar for 10 min, stirred"
    again = why(bag_pressure="500 mbar", degassed=pot, **EXACT)
    assert found.replay(degassed=pot) == again.replay()
    assert found.replay(degassed=pot).voids.nominal < 0.3 * found.replay().voids.nominal
    told = why(bag_pressure="500 mbar", air_pressure="900 mbar", **EXACT)
    assert told.replay(degassed=pot) == again.replay()


def test_the_voids_are_measured_against_the_finish_that_was_asked_for():
    wide = why(bag_pressure="700 mbar", void_target="4 %", **EXACT)
    assert wide.replay().cause is None
    assert wide.replay("700 mbar").voids == why(bag_pressure="700 mbar", **EXACT).replay().voids
    assert wide.cause("dissolved-air").acts.count("makes 4% of voids") == 1


def test_trapped_and_connected_gas_as_a_shop_measured_them():
    few = why(bag_pressure="200 mbar", trapped="1 %", connected="100 %", **EXACT)
    assert few.replay().voids.nominal < 0.4 * why(bag_pressure="200 mbar").replay().voids.nominal


def test_a_dial_is_read_under_this_barometer():
    high = why(shop={**SHOP, "altitude": "1500 m"}, bag_pressure="400 mbar", **EXACT)
    here = high.barometer_Pa
    reading = outgas.Quantity(here - 15.0 * 3386.389, "Pa")
    assert high.replay("15 inHg vacuum").voids.nominal == pytest.approx(
        high.replay(reading).voids.nominal, rel=1e-4
    )


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"pressure": "1.2 bar absolute"}, "above the barometer's 1013 mbar"),
        ({"debulk": "1.2 bar absolute"}, "debulk is 1200 mbar absolute"),
        ({"degassed": "1.2 bar absolute"}, "degassed is 1200 mbar absolute"),
        ({"degassed": "27 mbar for 10 min, shaken"}, "after the comma"),
        ({"pressure": "29 inHg"}, "two meanings"),
    ],
)
def test_what_cannot_be_replayed_is_refused_in_one_line(given, message):
    with pytest.raises(InputError, match=message) as caught:
        why(bag_pressure="700 mbar").replay(**given)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("resin", "process"), [(PREPREG, "prepreg"), (UP, "pressing")])
def test_where_no_bag_sets_the_resin_there_is_nothing_to_replay(resin, process):
    with pytest.raises(InputError, match="only wet resin under a bag"):
        why(resin, process=process).replay()


def test_it_outlives_a_file_and_counts_in_no_comparison():
    found = why(EP, {"debulk": "yes"}, bag_pressure="300 mbar")
    again = pickle.loads(pickle.dumps(found))
    assert again.replay() == found.replay()
    assert "behind" not in repr(found)


def test_a_replay_says_itself_in_words_and_in_plain_types():
    got = Replay(Band(0.0283, 0.004, 0.0341), "hazy", "dissolved-air")
    assert str(got) == "2.8% voids (0 to 4), hazy: its air comes out"
    assert got.to_dict() == {
        "voids": [0.0283, 0.004, 0.0341],
        "look": "hazy",
        "cause": "dissolved-air",
    }
    assert str(Replay(Band(0.0, 0.0, 0.0), "clear", None)) == "0.0% voids (0 to 0), clear"


def test_a_vinyl_ester_holds_its_initiators_gas_unless_it_gives_none():
    given = {"bag_pressure": "500 mbar", **EXACT}
    gassy, low = why(VE, **given), why(VE, low_gas_initiator=True, **given)
    assert gassy.replay(debulk=True).voids.nominal > low.replay(debulk=True).voids.nominal
