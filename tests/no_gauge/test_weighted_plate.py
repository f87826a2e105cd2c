"""The plate that holds the bag stands inside the pot, and its printed mass errs to less vacuum."""

import json
import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import outgas
from outgas.errors import InputError, OutOfRangeError
from outgas.no_gauge.weighted_plate import hanging_weight

HERE = "1013.25 hPa"
ROOT = Path(__file__).parents[2]
GRAVITY = 9.80665
NEVER = re.compile(
    r"hole in the lid|over a hole in (the|its|a) lid|bottle with|l of water in it|aluminium \d+ x|"
    r"on a plate over a",
    re.IGNORECASE,
)


def flat(answer):
    return " ".join(answer.to_text(full=True).split())


def plate(setpoint="653 mbar", bore="20 mm", **more):
    return outgas.relief_valve(setpoint, bore, HERE, **more)


def rig(words="5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"):
    return outgas.Rig.from_words(words)


def lifts_at(mass, bore_m, here=101325.0):
    return here - mass * GRAVITY / (math.pi / 4.0 * bore_m**2)


# Where it stands -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "answer",
    [plate, lambda: outgas.hold("653 mbar", rig(), HERE)],
    ids=["plate alone", "hold"],
)
def test_the_plate_stands_inside_the_pot_over_a_hole_to_the_room_below(answer):
    text = flat(answer())
    for words in (
        "plate and steel together, inside the pot over a 20 mm hole in its floor, open to the room "
        "below",
        "guided so that it cannot jam or slide off",
        "prove it on the empty pot before any resin is mixed: it chatters, and a second reading "
        "stops falling",
        "steel or brass only, nothing with water in it",
        "a plate laid on a lid from outside is pressed shut by the air and never opens: the bag "
        "goes to full vacuum",
    ):
        assert words in text, words
    assert not NEVER.search(text)


@pytest.mark.parametrize(
    "path",
    [
        "README.md",
        *(str(p.relative_to(ROOT)) for p in sorted(ROOT.glob("notebooks/*.ipynb"))),
        *(str(p.relative_to(ROOT)) for p in sorted(ROOT.glob("data/*.toml"))),
        *(str(p.relative_to(ROOT)) for p in sorted(ROOT.glob("outgas/**/*.py"))),
    ],
)
def test_no_text_lays_the_plate_on_a_lid_or_puts_water_on_it(path):
    assert not NEVER.search(" ".join((ROOT / path).read_text(encoding="utf-8").split()))


def test_weights_are_steel_or_brass_and_wider_than_the_hole_they_cover():
    for bore in ("3 mm", "20 mm", "120 mm"):
        found = plate("1000 mbar", bore).weights
        assert {w.split()[0] for w in found} == {"steel", "brass"}
        for weight in found:
            assert float(weight.split()[1]) > float(bore.split()[0])


# What it weighs --------------------------------------------------------------------------------


def test_a_3_mm_bore_at_653_mbar_takes_25_grams_not_30():
    valve = plate(bore="3 mm")
    assert valve.mass_kg == 0.0259
    assert "0.0259 kg" in valve.to_text(full=True)
    assert valve.lifts_Pa == pytest.approx(lifts_at(0.0259, 0.003), abs=0.1)


@given(p=st.floats(100.0, 1000.0), bore=st.floats(3.0, 60.0), here=st.floats(600.0, 1050.0))
def test_the_printed_mass_never_holds_deeper_than_was_asked(p, bore, here):
    if p >= here - 1.0:
        return
    valve = outgas.relief_valve(f"{p} mbar", f"{bore} mm", f"{here} hPa")
    printed = float(re.search(r"^(?:  - )?([\d.]+) kg", str(valve.lines[0])).group(1))
    assert printed == valve.mass_kg
    assert f"{printed:.3g}" == f"{printed:g}"  # three figures, no more
    area = math.pi / 4.0 * (valve.bore_m) ** 2
    held = here * 100.0 - printed * GRAVITY / area
    assert p * 100.0 - 1e-6 <= held <= p * 100.0 + 0.011 * (here - p) * 100.0
    assert valve.lifts_Pa == pytest.approx(held, abs=0.01)  # what the printed mass makes
    assert valve.low_Pa < valve.lifts_Pa < valve.high_Pa


@given(p=st.floats(100.0, 950.0))
def test_a_slab_of_the_printed_thickness_weighs_no_more_than_it_may(p):
    valve = plate(f"{p} mbar")
    if valve.too_heavy:
        return
    for weight in valve.weights:
        name, across, _, _, _, thick = weight.split()[:6]
        dense = {"steel": 8000.0, "brass": 8800.0}[name]  # the heaviest of its kind
        assert (float(across) * 1e-3) ** 2 * float(thick) * 1e-3 * dense <= valve.mass_kg + 1e-12


@given(p=st.floats(300.0, 950.0))
def test_printed_ends_of_a_plate_are_rounded_outwards(p):
    valve = plate(f"{p} mbar")
    low, high = (float(x) for x in re.search(r"may be ([\d.]+) to ([\d.]+)", flat(valve)).groups())
    assert low * 100.0 <= valve.low_Pa
    assert high * 100.0 >= valve.high_Pa


def test_a_plate_seen_to_lift_is_told_with_three_figures_and_where_it_stands():
    bag = outgas.BagPressure.unknown(HERE).plate_lifts("0.0259 kg", "3 mm")
    assert "0.0259 kg inside the pot over a 3 mm hole" in bag.evidence[0].text


# The twin --------------------------------------------------------------------------------------


def test_a_weight_hanging_below_a_hole_tells_too_weak():
    found = hanging_weight("670 mbar", "20 mm", HERE)
    assert found.low_Pa < found.falls_Pa <= 67000.0 < found.high_Pa
    assert lifts_at(found.mass_kg, 0.020) == pytest.approx(found.falls_Pa, abs=0.1)
    text = " ".join(" ".join(line.on(101325.0, None) for line in found.lines).split())
    for words in ("below", "falls off", "too weak", "no weaker than", "its hole is open"):
        assert words in text


@given(p=st.floats(100.0, 950.0), bore=st.floats(8.0, 60.0))
def test_the_hanging_mass_is_rounded_up_so_that_it_falls_in_time(p, bore):
    found = hanging_weight(f"{p} mbar", f"{bore} mm", HERE)
    assert found.falls_Pa <= p * 100.0 + 1e-6
    assert lifts_at(found.mass_kg, found.bore_m) <= p * 100.0 + 1e-6
    assert f"{found.mass_kg:.3g}" == f"{found.mass_kg:g}"
    weaker = hanging_weight(f"{p + 10} mbar", f"{bore} mm", HERE)
    assert weaker.mass_kg <= found.mass_kg


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: hanging_weight("1100 mbar", "20 mm", HERE), "barometer's 1013"),
        (lambda: hanging_weight("670 mbar", "1 mm", HERE), "outside 3 to 150 mm"),
    ],
)
def test_a_hanging_weight_that_cannot_be_is_refused(call, message):
    with pytest.raises((InputError, OutOfRangeError), match=message):
        call()


def test_hold_names_the_hanging_weight_where_it_knows_what_is_too_weak():
    with_limit = outgas.hold("653 mbar", rig(), HERE, shallowest="670 mbar")
    assert with_limit.hanging.falls_Pa <= 67000.0
    assert "Tell-tale for too weak" in with_limit.to_text(full=True)
    assert json.loads(with_limit.to_json())["hanging_weight"]["mass_kg"] > 0.0
    assert outgas.hold("653 mbar", rig(), HERE).hanging is None


def test_a_bore_too_small_for_the_pump_is_refused_with_the_least_that_serves():
    big = outgas.Rig.from_words("500 m3/h two-stage pump")
    with pytest.raises(InputError, match=r"needs (\S+) mm or more") as caught:
        outgas.relief_valve("653 mbar", "20 mm", "1013 mbar", rig=big)
    least = re.search(r"needs (\S+) mm or more", str(caught.value))[1]
    assert float(least) > 20.0
    assert outgas.relief_valve("653 mbar", f"{least} mm", "1013 mbar", rig=big).lift_m > 0.0


def test_a_tacky_seat_lets_a_weight_hang_on_weaker():
    from outgas.tables import catalogue

    hung = hanging_weight("700 mbar", "20 mm", "1013 mbar")
    tack = catalogue.rigs().sticking.high_si
    assert hung.high_Pa - hung.falls_Pa >= hung.falls_Pa - hung.low_Pa + tack
