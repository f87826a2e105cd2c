import pytest
from window_jobs import job as asked_of

import outgas
from outgas.errors import InputError
from outgas.job import job
from outgas.tables import catalogue


def test_traces_of_one_volatile_add_up_to_a_tenth_and_no_more():
    (found,) = job.read_contaminants({"acetone": "4 %", "Acetone": "6 %"})
    assert (found[0].name, found[1]) == ("acetone", pytest.approx(0.1))
    with pytest.raises(InputError, match="contaminants are 11% together"):
        job.read_contaminants({"acetone": "4 %", "water": "7 %"})


def test_the_initiator_stays_within_its_sheet():
    resin = outgas.resin("orthophthalic-polyester")
    assert [job.read_initiator(s, resin) for s in ("1 %", "2 %")] == [0.01, 0.02]
    for share in ("0.9 %", "2.1 %"):
        with pytest.raises(outgas.OutOfRangeError, match="never below or above it"):
            job.read_initiator(share, resin)


def test_what_is_read_with_is_a_dial_water_or_a_sensor_with_its_error():
    rig = outgas.Rig(sensor_error="5 mbar")
    assert job.read_reads_with("dial", rig) == ("dial", 0.0)
    assert job.read_reads_with("sensor", rig) == ("sensor", 500.0)
    assert job.read_reads_with("plate", rig) == ("plate", 0.0)
    assert job.read_reads_with("none", rig) == ("none", 0.0)
    with pytest.raises(InputError, match="reads_with is 'thumb'"):
        job.read_reads_with("thumb", rig)


SHOP = outgas.Shop(temperature="21 degC", humidity="55 %", barometer="990 hPa")


def asked(**changes):
    told = dict(
        process="wet layup", layup=None, rig=None, vapour_share=None, confidence=0.95, hottest=None,
        air_pressure=None, degassed=None, entrained=None, water_activity=None, contaminants=None,
        void_target="2 %", reads_with="dial",
    )  # fmt: skip
    return job.job_of(changes.pop("resin", "orthophthalic-polyester"), changes.pop("shop", SHOP),
                      **{**told, **changes})  # fmt: skip


def test_what_was_asked_is_read_into_si_and_the_rest_is_left_open():
    found = asked(
        air_pressure="27 mbar", entrained="0.4 %", water_activity=0.4, vapour_share="40 %",
        gel_time="20 min", initiator="1.5 %", void_target="3 %",
    )  # fmt: skip
    assert (found.air_Pa, found.gel_s) == (pytest.approx(2700.0), 1200.0)
    assert (found.entrained, found.water, found.vapour_share) == pytest.approx((0.004, 0.4, 0.4))
    assert (found.void_target, found.initiator) == pytest.approx((0.03, 0.015))
    plain = asked()
    open_ = (plain.air_Pa, plain.pot, plain.entrained, plain.water, plain.hottest_K, plain.gel_s)
    assert open_ == (None,) * 6
    assert plain.contaminants == ()


def test_a_pot_on_a_dial_is_read_under_this_barometer():
    """990 hPa less 27 inches of mercury, 914.32 hPa."""
    assert asked(degassed="27 inHg vacuum").pot.pressure_Pa == pytest.approx(
        99000.0 - 91432.0, abs=2.0
    )


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"degassed": "90 mbar", "air_pressure": "27 mbar"}, "degassed or air_pressure, not both"),
        ({"air_pressure": "991 mbar"}, "air pressure is 991 mbar, above the barometer's 990 mbar"),
        ({"degassed": "1000 mbar"}, "degassed is 1000 mbar, above the barometer's 990 mbar"),
        ({"process": "prepreg"}, "is not for prepreg; it is for"),
        ({"shop": "warm"}, "shop is 'warm'; give outgas.Shop"),
        ({"layup": ["glass"]}, "layup is not a Layup"),
        ({"rig": 5}, "rig is not a Rig"),
        ({"confidence": 0.4}, "confidence is 0.4"),
        ({"void_target": 0.6}, "void target is 60 %"),
        ({"vapour_share": 0.04}, "vapour share is 0.04"),
        ({"gel_time": "0 min"}, "gel time is 0 min; it must be above zero"),
        ({"resin": "epoxy-laminating", "initiator": "1 %"}, "there is none to vary"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(told, said):
    with pytest.raises(outgas.OutgasError, match=said):
        asked(**told)


def test_ends_that_are_allowed_are_allowed():
    assert asked(air_pressure="990 mbar").air_Pa == pytest.approx(99000.0)
    assert asked(confidence=0.5).confidence == 0.5
    assert asked(vapour_share=1.0, void_target=0.5).void_target == 0.5


def test_the_hottest_moment_may_have_a_hot_end_and_that_is_never_below_it():
    assert job.read_hottest(None) == (None, None)
    assert job.read_hottest("40 degC") == (pytest.approx(313.15), None)
    assert job.read_hottest("40 degC up to 52 degC") == pytest.approx((313.15, 325.15))
    assert job.read_hottest("40 degC up to 40 degC") == pytest.approx((313.15, 313.15))
    with pytest.raises(InputError, match="up to 39 degC is below 40 degC"):
        job.read_hottest("40 degC up to 39 degC")


def test_a_sensor_without_an_error_asks_for_it_and_its_own_goes_before_the_rigs():
    with pytest.raises(InputError, match="state its error, as 'sensor 5 mbar'"):
        job.read_reads_with("sensor", outgas.Rig())
    assert job.read_reads_with("sensor 3 mbar", outgas.Rig(sensor_error="5 mbar"))[1] == 300.0
    with pytest.raises(InputError, match="it is dial, water, plate, none or"):
        job.read_reads_with("dial 5 mbar", outgas.Rig())


def test_but_changes_what_is_named_and_nothing_else():
    found = asked(entrained="0.4 %")
    assert found.but(entrained=None).entrained is None
    assert found.but(entrained=None).but(entrained=found.entrained) == found


def test_drying_is_read_into_seconds_for_prepreg_alone():
    prepreg = {"resin": "out-of-autoclave-epoxy-prepreg", "process": "prepreg"}
    assert asked(**prepreg).dried_s is None
    assert asked(**prepreg, dried="8 h").dried_s == pytest.approx(28800.0)
    assert asked(**prepreg, dried="0 h").dried_s == 0.0
    with pytest.raises(
        InputError, match="only prepreg is dried under vacuum before its heat, and this"
    ):
        asked(dried="8 h")


def test_a_finish_and_a_void_target_that_disagree_are_refused_and_each_alone_is_read():
    assert (asked(finish="clear").finish, asked(finish="clear").void_target) == ("clear", 0.02)
    assert asked(finish="structural", void_target="2 %").void_target == 0.02
    assert asked(void_target=None, process="core bonding").void_target == 0.1
    for given in ({"finish": "clear", "void_target": "5 %"}, {"finish": "glossy"}):
        with pytest.raises(InputError, match=r"disagree|no finish is called 'glossy'"):
            asked(**given)


def test_gas_gets_out_by_the_process_by_what_lies_under_the_bag_and_by_the_cores_holes():
    assert asked_of().path_open
    shut = outgas.Layup(plies=["1 x 400 g/m2 woven glass"], bag_side=["release film"])
    assert not asked_of(layup=shut).path_open
    assert not asked_of(process="pressing").path_open
    for core, opens in (("15 mm PVC foam", False), ("15 mm perforated PVC foam", True)):
        assert asked_of(process="core bonding", layup=outgas.Layup(core=core)).path_open is opens


def test_the_fibre_fraction_is_that_of_the_cloth_or_the_usual_one():
    assert asked_of().fibre_fraction == asked_of().process.fibre_fraction.si
    plies = ["2 x 400 g/m2 woven glass", "1 x 450 g/m2 chopped strand mat"]
    one, other = (outgas.Layup(plies=[p]) for p in plies)
    both = outgas.Layup(plies=plies)
    ends = [asked_of(layup=x).fibre_fraction for x in (one, other)]
    assert min(ends) < asked_of(layup=both).fibre_fraction < max(ends)
    fibre = both.fibre_mass.m / one.plies[0].fabric.fibre_density.si  # both of the same glass
    assert asked_of(layup=both).fibre_fraction == pytest.approx(fibre / both.laminate_thickness_m)
    bonded = asked_of(
        process="core bonding", layup=outgas.Layup(plies=plies, core="15 mm PVC foam")
    )
    assert bonded.fibre_fraction == 0.0


def test_what_is_mixed_is_what_the_cloth_holds_and_some_to_spare():
    two = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    asked = asked_of(layup=two, hottest="30 degC")
    cloth, spare = two.plies[0].fabric, catalogue.practice().clock.spare_resin.si
    fibre, share = 0.8 / cloth.fibre_density.si, cloth.fibre_fraction.si  # m3 of glass on a m2
    resin = fibre / share * (1.0 - share) * asked.resin.density.si
    assert job.mixed_mass(asked, None) == pytest.approx(0.5 * resin * (1.0 + spare))
    unsaid = asked.but(layup=outgas.Layup(plies=["2 x 400 g/m2 woven glass"]))
    assert job.mixed_mass(unsaid, None) == pytest.approx(resin * (1.0 + spare))  # a square metre
    assert job.mixed_mass(asked, 3.0) == 3.0
    assert job.mixed_mass(asked_of(process="degassing"), None) is None
