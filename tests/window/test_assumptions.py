"""What is taken for granted is said with the number that the case holds."""

import pytest
from window_jobs import AUTOCLAVE, PREPREG, job

import outgas
from outgas.physics.chance import Band
from outgas.show.amounts import duration
from outgas.tables import catalogue
from outgas.window.assumptions import assumed, assumptions
from outgas.window.case.defaults import case_of


def said(asked, **changes):
    return assumptions(asked, case_of(asked).but(**changes))


def one(found, start):
    return next(text for text in found if text.startswith(start))


@pytest.mark.parametrize(
    ("asked", "whence"),
    [
        (job(PREPREG, process="prepreg"), "the prepreg holds the humidity"),
        (job("resole-phenolic"), "the resin holds water of its own"),
        (job(process="degassing"), "the drum's water, or the shop's humidity if it stood open"),
        (job(), "open resin ends between"),
        (job(process="infusion"), "drum-dry resin"),
    ],
)
def test_water_comes_from_where_the_process_lets_it_in(asked, whence):
    assert whence in one(said(asked), "water activity")


def test_water_that_was_given_is_said_as_given():
    text = one(said(job(water_activity=0.4)), "water")
    assert text == "water activity 0.40, up to 0.40: as given"


def test_air_left_by_a_pot_is_said_from_its_low_to_its_high_end():
    asked = job(degassed="90 mbar")
    text = one(said(asked, dissolved_Pa=Band(55000.0, 48000.0, 81000.0)), "air in the resin")
    assert text.startswith("air in the resin: 550 mbar, left by a pot at 90 mbar")
    assert "(480 to 810 mbar left" in text
    placed = [at.pressure_Pa for x in assumed(asked, case_of(asked)) for at in x.pressures]
    assert placed == [9000.0]
    assert "stirred in open air" in one(said(job()), "air in the resin")
    assert "air in the resin: 300 mbar, as given" in said(job(air_pressure="300 mbar"))


def test_air_stirred_in_and_what_stays_are_said_in_per_cent():
    found = said(
        job(void_target="1.5 %"), entrained=Band(0.004, 0.001, 0.012),
        trapped=Band(0.07, 0.03, 0.11), connected=Band(0.75, 0.4, 1.0),
    )  # fmt: skip
    assert one(found, "air stirred in") == "air stirred in: 0.4% by volume (0.1% to 1.2%)"
    assert "air stirred in: 0.7% by volume (as given)" in said(job(entrained="0.7 %"))
    assert "void target 1.5% of the laminate" in found
    assert one(found, "7%").endswith("holds gas that cannot leave (3% to 11%, estimate)")
    assert one(found, "75%").endswith("finds its way out (40% to 100%, estimate)")
    assert one(said(job(trapped="4 %")), "4%").endswith("(as given)")
    assert "at most 20% of a bubble may be vapour, as given" in said(job(vapour_share=0.2))
    assert "at most 33% of a bubble may be vapour" in said(job())
    known = one(said(job(hottest="30 degC")), "kept over the vapour pressure")
    assert known == "kept over the vapour pressure: 25% of it, 20 mbar at the least"


def test_a_laminate_that_shuts_its_gas_in_says_why_and_a_clear_one_how_clear():
    bonded = said(job(process="core bonding", layup=outgas.Layup(core="15 mm PVC foam")))
    assert one(bonded, "no way out").endswith("the core is not said to be perforated")
    assert not [x for x in bonded if "finds its way out (" in x]
    text = one(said(job(finish="clear")), "clear to the eye")
    assert text == "clear to the eye: optical depth 0.3 through 1 mm of laminate, no layup given"


def test_a_pot_says_nothing_of_a_laminate_and_prepreg_nothing_of_a_bubbles_share():
    mixed = ("air in", "air stirred", "void")
    assert not [x for x in said(job(process="degassing")) if x.startswith(mixed)]
    found = said(job(PREPREG, process="prepreg"))
    assert not [x for x in found if "of a bubble" in x or x.startswith(mixed)]
    assert any("the fibre bed carries 20% of the clamp" in x for x in found)
    assert not [x for x in found if x.startswith("pressure on the bag")]


def test_the_autoclave_is_named_with_where_its_pressure_comes_from():
    told = job(AUTOCLAVE, process="prepreg", rig=outgas.Rig(autoclave="3.2 bar"))
    text = "pressure on the bag: 3.2 bar above the air, as given"
    assert one(said(told), "pressure on the bag") == text
    usual = said(job(AUTOCLAVE, process="prepreg"))
    assert "the low end of the usual" in one(usual, "pressure on the bag")


def test_a_curve_is_said_to_be_extended_only_outside_its_stated_range():
    asked, styrene = job(), catalogue.volatile("styrene")
    low, high = styrene.saturation.stated_low_K, styrene.saturation.stated_high_K
    for T, beyond in ((low, False), (high, False), (low - 1.0, True), (high + 1.0, True)):
        found = [x for x in assumptions(asked, case_of(asked).at(T)) if "beyond its stated" in x]
        assert bool(found) == beyond, T
        if found:
            assert f"taken up to {styrene.spread(T)[0]:.0%} higher" in found[0]


def test_the_barometer_and_the_hottest_moment_come_first():
    asked = job()
    assert said(asked)[:2] == (str(asked.shop.barometer_note), case_of(asked).hottest.text)


PLIES = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])


STRAIGHT = "8 min before any vacuum, 30 min (20 min to 50 min) at the cure's pressure"


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        (job(), "8 min before any vacuum, 10 min of debulk, 20 min (10 min to 40 min) at the cure"),
        (job(no_debulk=True), STRAIGHT),
        (job(process="pressing"), STRAIGHT),
        (
            job("epoxy-infusion", process="infusion"),
            "8 min to mix and fill, 10 min of settling with the vent open, 60 min (30 min to",
        ),
    ],
)
def test_the_time_that_gas_is_followed_is_said_and_by_what(asked, text):
    found = one(said(asked), "time: ")
    assert found.startswith(f"time: {text}")
    assert found.endswith(", as is usual (estimate)")


def test_the_time_of_a_laminate_goes_up_to_its_own_gel():
    asked = job(layup=PLIES)
    case = case_of(asked)
    found = one(said(asked, early_s=300.0, hold_s=1500.0), "time: ")
    assert found == (
        f"time: {duration(case.cup_s)} before any vacuum, 5 min of debulk, 25 min at the cure's "
        "pressure, up to its gel"
    )
    worked, warming = case.cup_s + case.early_s, case.hottest.warming
    assert worked + case.hold_s == pytest.approx(warming.gel_s)
    assert worked + case.hold_ends[1] == pytest.approx(warming.gel_interval_s[1])
    assert not any(text.startswith("time: ") for text in said(job(process="degassing")))
