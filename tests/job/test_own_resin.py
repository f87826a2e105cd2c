import msgspec
import pytest

import outgas
from outgas.errors import DataError, InputError, UnknownNameError
from outgas.job import own_resin
from outgas.job.own_resin import Sheet, as_toml, described, from_sheet
from outgas.tables import catalogue
from outgas.tables.number import Number, plausible

NUMBERS = {
    "density": "1.1",
    "viscosity": "450 cP",
    "gel_time": "20 min",
    "time_to_peak": "36 min",
    "peak_temperature": "155 C",
    "initiator_level": "1 to 2 %",
    "minimum_temperature": "15 C",
}
MONOMERS = {"styrene": "40 %"}


def sheet(**changes):
    told = {"family": "polyester", "monomers": MONOMERS, "numbers": NUMBERS, **changes}
    return Sheet(**told)


def numbers_of(record):
    fields = [(n, getattr(record, n)) for n in record.__struct_fields__]
    return {name: value for name, value in fields if isinstance(value, Number)}


def test_what_the_sheet_prints_is_kept_in_si_and_marked_as_the_sheets():
    own, _ = described(sheet())
    assert own.density.si == pytest.approx(1100.0)
    assert own.viscosity.si == pytest.approx(0.45)
    assert own.gel_time.si == pytest.approx(1200.0)
    assert own.peak_temperature.si == pytest.approx(428.15)
    level = own.initiator_level
    assert (level.low_si, level.si, level.high_si) == pytest.approx((0.01, 0.015, 0.02))
    for name in NUMBERS:
        assert (getattr(own, name).source, getattr(own, name).how) == ("sheet", "sheet")
    styrene = next(part for part in own.part if part.volatile == "styrene")
    assert styrene.fraction.si == pytest.approx(0.4)
    assert own.prepolymer.fraction.si == pytest.approx(0.6)


def test_what_the_sheet_does_not_print_is_the_relatives_a_wider_estimate():
    own, relative = described(sheet())
    theirs = numbers_of(relative)
    for name, number in numbers_of(own).items():
        if name in NUMBERS:
            continue
        assert (number.source, number.how) == ("estimate", "estimate"), name
        assert number.si == pytest.approx(theirs[name].si), name
        assert number.low_si < theirs[name].low_si, name
        assert number.high_si > theirs[name].high_si, name
    assert set(numbers_of(own)) == set(theirs)
    base = numbers_of(own.prepolymer)
    assert base["molar_mass"].high_si > relative.prepolymer.molar_mass.high_si
    chi, known = own.monomers[0].chi, relative.monomers[0].chi
    assert chi.low_si < known.low_si < known.high_si < chi.high_si


@pytest.mark.parametrize("family", own_resin.families())
def test_a_wider_range_is_never_beyond_what_is_plausible(family):
    for relative in own_resin.kin(family):
        for name, mark in plausible(type(relative)).items():
            number = getattr(relative, name)
            if number is not None:
                made = own_resin.wider(number, mark, relative.name)
                slack = 1e-5 * abs(mark.high)
                assert mark.low - slack <= made.low_si <= made.si <= made.high_si
                assert made.high_si <= mark.high + slack


def test_a_range_of_what_may_be_used_is_not_widened():
    told = {name: text for name, text in NUMBERS.items() if name != "initiator_level"}
    own, relative = described(sheet(numbers=told))
    assert own.initiator_level.ends == pytest.approx(relative.initiator_level.ends)
    assert own.initiator_level.how == "estimate"


@pytest.mark.parametrize("gel", [10.0, 40.0])
def test_a_resin_that_gels_late_peaks_later_and_less_hot(gel):
    told = {"viscosity": "450 cP", "gel_time": f"{gel} min"}
    own, relative = described(sheet(numbers=told))
    later = own.gel_time.si > relative.gel_time.si
    assert later == (gel > 20.0)
    assert (own.time_to_peak.si > relative.time_to_peak.si) == later
    assert (own.peak_temperature.si < relative.peak_temperature.si) == later
    assert own.time_to_peak.si > own.gel_time.si


@pytest.mark.parametrize(
    ("monomers", "viscosity", "relative"),
    [
        ({"styrene": "40%"}, "600 cP", "orthophthalic-polyester"),
        ({"styrene": "43%"}, "450 cP", "isophthalic-polyester"),
        ({"styrene": "35%"}, "230 cP", "dcpd-polyester"),
        ({"vinyl toluene": "40%"}, "600 cP", "vinyl-toluene-polyester"),
        ({"styrene": "30%", "MMA": "10%"}, "400 cP", "mma-polyester"),
    ],
)
def test_the_nearest_relative_has_the_same_monomers_and_then_the_nearest_numbers(
    monomers, viscosity, relative
):
    told = {"viscosity": viscosity, "gel_time": "20 min"}
    assert described(sheet(monomers=monomers, numbers=told))[1].name == relative


@pytest.mark.parametrize("name", [r.name for f in own_resin.families() for r in own_resin.kin(f)])
def test_every_shipped_resin_is_its_own_relative(name):
    assert own_resin.relative_of(catalogue.resin(name)).name == name


@pytest.mark.parametrize(
    ("family", "monomers", "more"),
    [
        ("vinyl esters", {"styrene": "45%"}, {}),
        ("acrylic", {"methyl-methacrylate": "70%"}, {}),
        ("epoxies", {}, {"gel_of": "film"}),
        ("epoxy", {"benzyl alcohol": "8%"}, {"gel_of": "film"}),
        ("polyurethane resin", {}, {"gel_of": "film"}),
    ],
)
@pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
def test_every_family_makes_a_resin_that_advises(tmp_path, family, monomers, more):
    told = {"viscosity": "300 mPa.s", "gel_time": "45 min"}
    own, relative = from_sheet(Sheet(family=family, monomers=monomers, numbers=told, **more))
    path = tmp_path / "own.toml"
    path.write_text(as_toml(own, relative), encoding="utf-8")
    again = outgas.resin(path)
    assert msgspec.structs.replace(again, part=own.part) == own
    shop = outgas.Shop(temperature="20 degC", humidity="50 %")
    assert outgas.advise(path, shop, process=own.processes[0]).resin == own.name


def test_the_file_reads_back_as_the_same_resin(tmp_path):
    own, relative = described(sheet())
    path = tmp_path / "own.toml"
    path.write_text(as_toml(own, relative), encoding="utf-8")
    assert outgas.resin(path) == own


@pytest.mark.parametrize(
    ("changes", "kind", "message"),
    [
        ({"family": "poliester"}, UnknownNameError, "did you mean polyester"),
        ({"monomers": {}}, InputError, "monomer is missing; write it as 'styrene=40%'"),
        ({"monomers": {"stirene": "40%"}}, UnknownNameError, "styrene"),
        ({"monomers": {"styrene": "100%"}}, InputError, "make up the whole resin"),
        ({"monomers": {"styrene": "140%"}}, InputError, "outside 0 to 1"),
        ({"numbers": {"gel_time": "20 min"}}, InputError, "viscosity is missing"),
        ({"numbers": {"viscosity": "1 cP"}}, InputError, "gel_time is missing"),
        ({"numbers": {**NUMBERS, "viscosity": "450"}}, InputError, "no unit"),
        ({"numbers": {**NUMBERS, "viscosity": "450 mbar"}}, InputError, "'450 cP'"),
        ({"numbers": {**NUMBERS, "gel_time": "25 to 15 min"}}, InputError, "wrong way round"),
        ({"numbers": {**NUMBERS, "density": "1.1 kg/m3"}}, DataError, "outside 5 to 9000"),
        ({"numbers": {**NUMBERS, "colour": "blue"}}, InputError, "not what a sheet prints"),
        ({"numbers": {**NUMBERS, "time_to_peak": "15 min"}}, DataError, "not after the gel time"),
        ({"gel_of": "pot"}, InputError, "one of cup, film"),
        ({"family": "epoxy", "monomers": {}}, InputError, "gel_of is missing"),
        (
            {"family": "phenolic", "monomers": {"phenol": "8%"}},
            InputError,
            "gel_temperature is missing",
        ),
        ({"name": "my resin!"}, InputError, "letters, digits and hyphens"),
        ({"name": "epoxy laminating"}, InputError, "is a shipped resin"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_in_one_line(changes, kind, message):
    with pytest.raises(kind) as caught:
        from_sheet(sheet(**changes))
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_pot_life_beside_a_film_family_needs_its_peak():
    told = {"viscosity": "600 cP", "gel_time": "30 min"}
    with pytest.raises(InputError, match="time_to_peak is missing"):
        from_sheet(Sheet(family="epoxy", numbers=told, gel_of="cup"))
