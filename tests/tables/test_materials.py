import msgspec
import pytest

import outgas
from outgas.tables import catalogue
from outgas.tables.materials import Part, Resin
from outgas.tables.number import Number, plausible
from outgas.tables.volatiles import Correlation, Saturation, Spread, Volatile

BAND = Spread(20.0, 0.1, 0.1)
ANTOINE = Correlation(form="antoine-ln", coefficients=(1.0, 2.0, 3.0), source="sheet")


def number(value, unit="1"):
    return Number(value=value, unit=unit, u95=0.0, source="sheet", how="read")


def saturation(**changes):
    given = {
        "engine": "cubic",
        "source": "sheet",
        "how": "read",
        "T_low_K": 250.0,
        "T_high_K": 400.0,
        "stated_low_K": 260.0,
        "stated_high_K": 390.0,
        "u95": (BAND,),
        "correlation": (ANTOINE,),
    }
    return Saturation(**{**given, **changes})


@pytest.mark.parametrize(
    "changes",
    [
        {"T_low_K": 200.0, "T_high_K": 700.0},
        {"stated_low_K": 250.0, "stated_high_K": 400.0},
        {"u95": (Spread(0.0, 0.0, 0.0), Spread(20.0, 1.0, 0.99))},
        {"engine": "reference", "fluid": "Water", "correlation": ()},
    ],
)
def test_a_saturation_curve_may_use_all_of_its_ranges(changes):
    assert saturation(**changes)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"source": " "}, "source is empty"),
        ({"T_low_K": 199.0}, "200 to 700 K"),
        ({"T_high_K": 701.0}, "200 to 700 K"),
        ({"T_low_K": 400.0}, "low below high"),
        ({"stated_low_K": 249.0}, "must lie inside"),
        ({"stated_high_K": 401.0}, "must lie inside"),
        ({"stated_low_K": 390.0}, "must lie inside"),
        ({"u95": ()}, "at least one band"),
        ({"u95": (BAND, Spread(10.0, 0.1, 0.1))}, "in order of temperature"),
        ({"u95": (Spread(20.0, -0.1, 0.1),)}, "shares between 0 and 1"),
        ({"u95": (Spread(20.0, 1.1, 0.1),)}, "shares between 0 and 1"),
        ({"u95": (Spread(20.0, 0.1, 1.0),)}, "shares between 0 and 1"),
        ({"u95": (Spread(20.0, 0.1, -0.1),)}, "shares between 0 and 1"),
        ({"engine": "reference"}, "'reference' takes fluid"),
        ({"engine": "reference", "fluid": "Water"}, "'cubic' takes correlation"),
        ({"correlation": ()}, "'cubic' takes correlation"),
        ({"fluid": "Water"}, "'reference' takes fluid"),
    ],
)
def test_a_saturation_curve_that_cannot_be_is_refused(changes, message):
    with pytest.raises(ValueError, match=message):
        saturation(**changes)


@pytest.mark.parametrize(
    ("form", "count"), [("wagner-2.5-5", 6), ("antoine-ln", 3), ("antoine-log10", 3)]
)
def test_a_correlation_has_as_many_coefficients_as_its_form(form, count):
    assert Correlation(form=form, coefficients=(1.0,) * count, source="sheet").weight == 1.0
    for wrong in (count - 1, count + 1):
        with pytest.raises(ValueError, match=f"{form} takes {count} coefficients"):
            Correlation(form=form, coefficients=(1.0,) * wrong, source="sheet")
    with pytest.raises(ValueError, match="source is empty"):
        Correlation(form=form, coefficients=(1.0,) * count, source="")


def test_a_cubic_needs_all_of_its_critical_point_and_a_reference_none():
    styrene = outgas.volatile("styrene")
    for name in ("critical_temperature", "critical_pressure", "acentric"):
        with pytest.raises(ValueError, match="needs critical_temperature"):
            msgspec.structs.replace(styrene, **{name: None})
    assert outgas.volatile("water").cubic() is None
    # handbook figures of styrene, in SI: 362 degC, 39 bar, 104.15 g/mol
    got = styrene.cubic()
    assert (got.T_critical, got.p_critical) == pytest.approx((635.0, 39e5), rel=0.01)
    assert got.molar_mass == pytest.approx(0.10415, rel=1e-3)
    assert got.acentric == pytest.approx(0.3, abs=0.05)
    assert got.name == "styrene"


def test_a_mole_of_water_fills_eighteen_millilitres():
    assert outgas.volatile("water").molar_volume == pytest.approx(18.07e-6, rel=1e-3)


def part(share, **more):
    return Part(fraction=number(share, "%"), **more)


PREPOLYMER = {"density": number(1200.0, "kg/m3"), "molar_mass": number(2000.0, "g/mol")}


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({}, "either a name"),
        ({"name": "prepolymer", "volatile": "styrene"}, "either a name"),
        ({"name": "prepolymer"}, "needs density and molar_mass"),
        ({"name": "prepolymer", "density": PREPOLYMER["density"]}, "needs density and molar_mass"),
        ({"volatile": "styrene"}, "'styrene' needs chi"),
    ],
)
def test_a_part_that_says_too_little_or_too_much_is_refused(given, message):
    with pytest.raises(ValueError, match=message):
        part(50.0, **given)
    assert part(1.0, volatile="water").chi is None


def resin(*parts):
    return msgspec.structs.replace(outgas.resin("orthophthalic-polyester"), part=parts)


def test_the_parts_of_a_resin_make_up_the_whole_to_half_a_per_cent():
    for share in (40.4, 39.6):
        monomer = part(share, volatile="styrene", chi=number(0.4))
        got = resin(part(60.0, name="prepolymer", **PREPOLYMER), monomer)
        assert got.prepolymer.name == "prepolymer"
        assert got.monomers == (monomer,)
    for share, total in ((40.6, "100.6%"), (39.4, "99.4%")):
        with pytest.raises(ValueError, match=f"sum to {total}, not 100 %"):
            resin(
                part(60.0, name="prepolymer", **PREPOLYMER),
                part(share, volatile="styrene", chi=number(0.4)),
            )


def test_one_part_and_only_one_is_the_prepolymer():
    half = part(50.0, name="prepolymer", **PREPOLYMER)
    with pytest.raises(ValueError, match="one part, and only one"):
        resin(half, half)
    with pytest.raises(ValueError, match="one part, and only one"):
        resin(part(100.0, volatile="styrene", chi=number(0.4)))


def test_water_is_no_monomer_for_its_activity_is_given():
    styrene = part(39.5, volatile="styrene", chi=number(0.4))
    got = resin(part(60.0, name="prepolymer", **PREPOLYMER), styrene, part(0.5, volatile="water"))
    assert got.monomers == (styrene,)


def test_every_number_of_a_material_says_what_is_plausible_in_it():
    kinds = (Volatile, Resin, Part, *(type(catalogue.consumable(n)) for n in ("peel-ply",)))
    for kind in kinds:
        for field in msgspec.structs.fields(kind):
            assert ("Number" in str(field.type)) == (field.name in plausible(kind)), field.name
    for kind in kinds:
        for field, mark in plausible(kind).items():
            assert mark.low < mark.high, field
            if field.endswith("temperature"):
                assert mark.unit == "K"
