"""The short advice: its lines for each process, one line for each caution, no claim too much."""

import pytest

import outgas
from outgas.readings import dial_readings
from outgas.show.caution import Caution, Harm
from outgas.show.dial import DIALS
from outgas.show.report import CAUTIONS_SHOWN

UP = "orthophthalic-polyester"
BRIEF_MOST = 56  # columns, so that any of them can be the third, with how many more there are
pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
JOBS = [(name, process) for name in outgas.resins() for process in outgas.resin(name).processes]


def shop(**more):
    return outgas.Shop(**{"temperature": "26 degC", "humidity": "60 %", "altitude": "20 m", **more})


def short(*args, **more):
    return outgas.advise(*args, **more).to_text().splitlines()


def test_the_first_two_lines_are_the_answer_in_the_order_of_time():
    first, second, *_ = short(UP, shop())
    assert first == (
        "Debulk at 26.5 inHg (111 mbar), then come up and cure at 13.4 inHg (557 mbar)."
    )
    assert second == ("Never deeper: debulk 27.3, cure 14.1 inHg vacuum; never weaker than 10.1.")


def test_the_weakest_bag_is_printed_no_weaker_than_it_is_on_every_dial():
    got = outgas.advise(UP, shop())
    for dial, (key, step, _, falls) in DIALS.items():
        shown = got.report.short.must[1].on(got.barometer_Pa, dial).split("weaker than ")[1]
        true = dial_readings(got.shallowest_Pa, got.barometer_Pa)[key]
        over = (float(shown.rstrip(".")) - true) * (1.0 if falls else -1.0)
        assert -step < over <= 1e-9, dial


def test_an_infusion_fills_and_lets_up_and_a_bag_without_a_debulk_goes_straight():
    first, second, third, *_ = short(UP, shop(), process="infusion")
    assert first.startswith("Fill at ")
    assert second.startswith("Never deeper: fill ")
    assert third.startswith("Inlet shut, 10 min or more, until the line runs clear")
    straight = short(UP, shop(), no_debulk=True, air_pressure="27 mbar")
    assert straight[0].startswith("Cure at ")
    assert straight[0].endswith("there at once, while the resin is thin, and stay.")
    assert "With no debulk" not in " ".join(straight)


def test_without_a_window_the_first_lines_say_so_and_name_the_best_way_out():
    got = outgas.advise(UP, shop(altitude="2500 m"))
    text = " ".join(got.to_text().split())
    assert text.startswith("No safe vacuum to cure at as it stands: ")
    best = got.alternatives[0]
    assert best.opens
    assert f"Best way out: {' '.join(str(best.line).split())[:40]}" in text
    assert text.index("Best way out") < text.index("Debulk first at")
    assert "cure at 1" not in text.split("Best way out")[0]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"bag_pressure": "29.6 inHg vacuum"}, "Your bag: too deep, likely boiling"),
        ({"bag_pressure": "80 mbar"}, "Your bag: "),
        ({"bag_pressure": "900 mbar"}, "Your bag: too weak to clamp"),
    ],
)
def test_a_bag_that_is_wrong_is_told_before_anything_else(asked, said):
    lines = short(UP, shop(), **asked)
    assert lines[0].startswith(said)
    assert any(line.startswith("Debulk at ") for line in lines)


def test_a_core_that_is_crushed_and_prepreg_that_is_wet_are_told_first():
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 woven glass"], core="60 mm expanded polystyrene", area="1 m2"
    )
    lines = short("epoxy-laminating", shop(), layup=layup, bag_pressure="28 inHg vacuum")
    assert lines[0].startswith("Your bag: too deep, it crushes the core")
    wet = short("out-of-autoclave-epoxy-prepreg", shop(humidity="70 %"), process="prepreg")
    assert wet[0].startswith("Your prepreg: void-prone")
    assert any(line.startswith("Cure at full vacuum") for line in wet)


def test_a_safe_bag_is_told_after_the_answer():
    lines = short(UP, shop(), bag_pressure="12 inHg vacuum")
    assert lines[0].startswith("Debulk at ")
    assert any(line.startswith("Your bag: safe to cure") for line in lines)


def test_a_weak_pump_is_said_first_with_no_setpoint():
    lines = short(UP, shop(), rig=outgas.Rig(pump_ultimate="800 mbar"))
    assert lines[0].startswith("No vacuum here clamps enough: this pump")
    assert not any(line.startswith("Debulk at ") for line in lines)


def test_every_line_beside_the_first_says_only_what_the_full_text_says_too():
    got = outgas.advise(UP, shop())
    full = " ".join(got.to_text(full=True).split())
    for line in got.report.short.more:
        text = line.on(got.barometer_Pa, None)
        if text.startswith("Limited by"):
            assert text.removesuffix(".").split(" (95%)")[0] in full
    assert "Expect 0.0% voids (0 to 2), clear to hazy." in full


@pytest.mark.parametrize(("resin", "process"), JOBS)
def test_every_caution_of_every_resin_has_a_harm_and_one_short_line(resin, process):
    cure = outgas.resin(resin).minimum_temperature.si
    place = outgas.Shop(temperature=outgas.Quantity(max(cure, 296.15), "K"), humidity="50 %")
    got = outgas.advise(resin, place, process=process)
    for caution in got.cautions:
        if isinstance(caution, Caution):
            assert caution.brief
            assert len(caution.brief) <= BRIEF_MOST, caution.brief
    harms = [c.harm for c in got.cautions if isinstance(c, Caution)]
    assert Harm.REMINDS in harms
    assert len(harms) >= len(got.cautions) - 3  # the rest are flags of this very job
    shown = [line for line in got.to_text().splitlines() if line.startswith("! ")]
    assert len(shown) == min(CAUTIONS_SHOWN, len(got.cautions))
    worst = sorted(harms)[0]
    first = next(c for c in got.cautions if isinstance(c, Caution) and c.harm == worst)
    assert shown[0].startswith(f"! {first.brief}"[:40])


def test_peroxide_and_its_promoter_come_before_all_other_cautions():
    shown = [line for line in short(UP, shop()) if line.startswith("! ")]
    assert shown[0] == "! promoter first, peroxide last: together they explode"
    assert "runs away" in shown[1]
    assert "burn" in shown[2]
    assert shown[2].endswith("(5 more: --cautions)")


def test_voids_over_what_was_aimed_for_are_said_to_be_the_peroxides_where_they_are():
    asked = ("bisphenol-a-vinyl-ester", shop())
    why = "the more by its peroxide's gas"
    made, low = (
        outgas.advise(*asked, process="infusion", low_gas_initiator=x) for x in (False, True)
    )
    assert made.expected_voids.high > made.void_target > low.expected_voids.high
    assert why in made.to_text()
    assert why in made.to_text(full=True)
    assert why not in low.to_text()
    coarse = outgas.advise(*asked, process="infusion", void_target="8 %")
    assert coarse.expected_voids.high < coarse.void_target
    assert why not in coarse.to_text()


def test_a_laminate_that_gels_before_it_is_closed_says_so_where_it_is_read_first():
    two = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="1 m2")
    cool, hot = (outgas.Shop(temperature=t, humidity="60 %") for t in ("22 degC", "36 degC"))
    with pytest.warns(outgas.OutgasWarning, match="gels about"):
        told = str(outgas.advise(UP, hot, layup=two))
    assert "after mixing: before it is closed and quiet." in told
    assert "before it is closed" not in str(outgas.advise(UP, cool, layup=two))


def test_a_peroxides_gas_is_named_where_it_is_part_of_what_limits():
    asked = "bisphenol-a-vinyl-ester", shop()
    with pytest.warns(outgas.OutgasWarning, match="oxygen"):
        made = outgas.advise(*asked)
    quiet = outgas.advise(*asked, low_gas_initiator=True)
    for told in (made.to_text(), made.to_text(full=True)):
        assert "air coming out of the resin and its peroxide's gas: " in " ".join(told.split())
    assert "peroxide's gas" not in quiet.to_text(full=True)
