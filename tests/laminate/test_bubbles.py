import json
import re
from html import escape

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError, UnitError, UnknownNameError
from outgas.show.report import Line
from outgas.tables import catalogue, data, number

UP = "orthophthalic-polyester"
TIMES = ["0 min", "2 min", "20 min", "40 min", "60 min"]
CURE = [0.0, 0.0, 0.02, 0.4, 0.8]
WARM = ["26 degC", "26 degC", "30 degC", "55 degC", "40 degC"]


def pulled(mbar, **changes):
    bag = f"{mbar} mbar"
    given = {"temperature": WARM, "cure": CURE, "water_activity": 0.36} | changes
    T = given.pop("temperature")
    return outgas.bubble_growth(UP, "50 um", TIMES, T, ["1010 mbar", bag, bag, bag, bag], **given)


def test_it_returns_radii_gas_and_void_fraction_with_units():
    history = pulled(300)
    K = history.time.m.size
    assert history.radius.m_as("um").shape == (K, 1)
    assert history.radius.m_as("um")[0, 0] == pytest.approx(50.0)
    assert set(history.gas) == {"air", "styrene", "water"}
    assert history.gas["air"].units == outgas.Quantity("1 mol").units
    assert history.void_fraction.units == outgas.Quantity("1").units
    assert history.void_fraction.m[0] == pytest.approx(0.005 / 1.005, rel=0.03)
    assert sum(c[-1] for c in history.composition.values()) == pytest.approx(1.0)
    assert max(history.mass_error.values()) < 1e-6
    assert history.gel.m_as("min") == pytest.approx(20.0 + 20.0 * 0.03 / 0.38, abs=0.1)
    assert history.time.m[history.at_gel] == pytest.approx(history.gel.m)


def test_a_deeper_pull_makes_more_gas_and_a_degassed_resin_less():
    found = [pulled(mbar).void[-1] for mbar in (650, 300, 120)]
    assert found == sorted(found)
    # bubbles below saturation dissolve in a degassed resin before or after the pull
    assert pulled(300, air_pressure="100 mbar").void[-1] < 0.1 * found[1]


def test_a_long_hold_ends_at_the_closed_cell_equilibrium():
    """outgas.void_fraction is the limit; what is left of tension takes the last hundredths."""
    history = outgas.bubble_growth(
        UP, "400 um", ["0 h", "1 h", "300 h"], "26 degC", ["1010 mbar", "400 mbar", "400 mbar"],
        nodes=60,
    )  # fmt: skip
    limit = outgas.void_fraction(UP, "26 degC", "400 mbar").m
    assert history.void[-1] == pytest.approx(limit, rel=0.01)


def test_the_gel_holds_bubbles_that_warm_liquid_resin_would_let_grow():
    firm, liquid = pulled(200), pulled(200, cure=None)
    assert firm.void[firm.at_gel] == pytest.approx(
        np.interp(firm.gel_s, liquid.time_s, liquid.void), rel=0.1
    )
    assert firm.void.max() < liquid.void.max()
    assert liquid.gel is None


def test_water_in_the_resin_makes_gas_when_it_is_hot():
    wet, dry = (
        outgas.bubble_growth(
            UP, "20 um", ["0 min", "5 min", "10 min"], ["25 degC", "110 degC", "110 degC"],
            "1013 mbar", water_activity=a,
        )
        for a in (0.9, 0.0)
    )  # fmt: skip
    assert wet.void[-1] > 3.0 * dry.void[-1]
    assert wet.composition["water"][-1] > 0.5
    assert "water" not in dry.gas


def test_a_viscosity_that_gels_stops_them_without_a_cure():
    thick = outgas.Quantity([0.6, 0.6, 10.0, np.inf, np.inf], "Pa s")
    stopped = pulled(200, cure=None, viscosity=thick)
    assert 20.0 < stopped.gel.m_as("min") < 40.0
    after = stopped.time_s > 2400.0
    assert np.ptp(stopped.radius_m[after]) < 1e-3 * stopped.radius_m[-1, 0]
    liquid = pulled(200, cure=None)
    moving = liquid.radius_m[liquid.time_s > 2400.0]
    assert np.ptp(moving) > 0.02 * moving[-1, 0]


def test_many_sizes_share_the_resin_by_number():
    history = outgas.bubble_growth(
        UP, ["20 um", "60 um"], "10 min", "25 degC", "500 mbar", number=[9, 1]
    )
    assert history.per_volume[0] == pytest.approx(9.0 * history.per_volume[1])
    assert history.radius_m[0] == pytest.approx([20e-6, 60e-6])


def test_a_share_that_escapes_leaves_fewer_up_to_the_gel_and_none_after():
    all_stay, fewer = pulled(300), pulled(300, escape="60 %")
    assert fewer.kept[0] == 1.0
    assert fewer.kept[fewer.at_gel :] == pytest.approx(0.4)
    freed = [h.void[-1] / (1.0 - h.void[-1]) for h in (all_stay, fewer)]
    assert freed[1] == pytest.approx(0.4 * freed[0])
    assert "60% of the bubbles leave" in str(fewer)
    assert "no bubble leaves" in str(all_stay)


def test_crevices_hold_nuclei_through_a_rest_at_atmosphere():
    """After a rest at one atmosphere only what sits between filaments is there to grow."""
    rest, bag = "1013 mbar", "200 mbar"
    history = outgas.bubble_growth(
        UP, "10 um", ["0 min", "60 min", "62 min", "120 min"], "25 degC", [rest, rest, bag, bag],
        entrained="0.01 %", air_pressure="800 mbar", crevices={"3 um": "5 1/mm3"},
    )  # fmt: skip
    assert history.dissolved.tolist() == [True, False]
    assert history.radius_m[-1, 1] > 30e-6
    assert history.per_volume[1] == pytest.approx(5e9)
    assert "do not come back" in str(history)


def test_the_words_open_with_the_answer():
    first, second, *_ = str(pulled(300)).splitlines()
    assert first.startswith("At the gel (22 min): ")
    assert "voids" in first
    assert "air" in first
    assert second.startswith("After it, at 60 min: ")
    assert "estimate" in str(pulled(300))
    assert str(pulled(300, cure=None)).startswith("Still liquid at 60 min: ")
    assert "It froths" in str(pulled(60))


def test_a_notebook_shows_the_answer_first():
    page = pulled(300)._repr_html_()
    assert page.startswith("<div><p><b>At the gel (22 min): ")
    assert "Assumed" in page
    for assumed in pulled(300).assumptions:
        assert f"<li>{escape(assumed)}</li>" in page


def test_rewording_a_history_moves_none_of_its_numbers(monkeypatch):
    from outgas.laminate import bubble_history

    before = pulled(300).to_dict()
    monkeypatch.setattr(bubble_history, "lines", lambda given: tuple(Line("xyzzy") for _ in given))
    history = pulled(300)
    assert set(re.findall(r"\w+", str(history))) == {"xyzzy", "Assumed"}
    assert history.to_dict() == before
    assert history._repr_html_().startswith("<div><p><b>xyzzy</b>")


def test_one_viscosity_as_text_is_one_for_all_times():
    thin, thick = pulled(300, viscosity="200 mPa s"), pulled(300, viscosity="5000 Pa s")
    assert thin.radius_m[10, 0] > thick.radius_m[10, 0]


def test_a_resin_that_holds_water_of_its_own_gives_it_up():
    history = outgas.bubble_growth(
        "resole-phenolic", "50 um", ["0 min", "5 min", "10 min"],
        ["25 degC", "95 degC", "95 degC"], "1013 mbar",
    )  # fmt: skip
    assert history.composition["water"][-1] > 0.5


def test_smaller_bubbles_look_whiter():
    fine, coarse = (
        outgas.bubble_growth(UP, R, "1 s", "25 degC", "1013 mbar", entrained="2 %")
        for R in ("10 um", "300 um")
    )
    assert fine.void[0] == pytest.approx(coarse.void[0], rel=0.1)
    shown = fine.reflectance("2 mm", k=0), coarse.reflectance("2 mm", k=0)
    assert shown[0][0] > shown[1][0] > shown[1][1]
    assert shown[0][1] == shown[1][1]
    with pytest.raises(OutOfRangeError, match="0 to 1"):
        fine.reflectance("2 mm", background=2.0)


def test_it_can_be_written_down():
    kept = json.loads(pulled(300).to_json())
    assert kept["kind"] == "outgas bubbles"
    assert len(kept["time_s"]) == len(kept["radius_m"]) == len(kept["void_fraction"])
    assert kept["dissolved_s"] == [None]


def test_the_public_numbers_are_those_of_the_tables():
    """Held concentrations: styrene by its fraction and the resin's density, water by activity."""
    history = outgas.bubble_growth(UP, "50 um", "1 s", "25 degC", "1000 mbar", water_activity=0.5)
    p = {name: q.m_as("Pa") for name, q in outgas.partial_pressures(UP, "25 degC", 0.5).items()}
    V = 4.0 * np.pi / 3.0 * 50e-6**3
    for name in ("styrene", "water"):
        assert history.gas[name].m[0, 0] == pytest.approx(p[name] * V / (8.314462618 * 298.15))


@pytest.mark.parametrize("name", sorted(data.table("resins.toml")))
def test_every_resin_can_be_asked(name):
    history = outgas.bubble_growth(name, "50 um", "2 min", "25 degC", "600 mbar")
    assert np.isfinite(history.radius_m).all()
    assert str(history)


# Bad input ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "error", "said"),
    [
        ({"radius": "-5 um"}, InputError, "0.5 um to 5 mm"),
        ({"radius": "2 m"}, InputError, "radius is 2000 mm; a bubble here is 0.5 um to 5 mm"),
        ({"radius": 50.0}, UnitError, "no unit"),
        ({"radius": ["5 um", "nan um"]}, InputError, "radius"),
        ({"time": ["0 s", "60 s", "50 s"]}, InputError, "does not rise: 50 s follows 60 s"),
        ({"time": "0 s"}, InputError, "above zero"),
        ({"time": ["1 min"]}, InputError, "two values or more"),
        ({"pressure": outgas.Quantity(-5.0, "Pa")}, InputError, "pressure is -5 Pa, outside 0"),
        ({"pressure": "-0.9 bar"}, InputError, "a dial reading needs the barometer"),
        ({"pressure": ["1 mbar", "2 mbar"]}, InputError, "2 values for 3 times"),
        ({"temperature": [20.0, 30.0, 40.0]}, UnitError, "no unit"),
        ({"temperature": "400 degC"}, OutOfRangeError, "outside"),
        ({"entrained": 0.0}, InputError, "above zero"),
        ({"entrained": "60 %"}, InputError, "no more than 30%"),
        ({"cure": [0.0, 0.5, 0.4]}, InputError, "cure falls"),
        ({"cure": [0.0, 0.5, 1.4]}, InputError, "outside 0 to 1"),
        ({"water_activity": 60}, InputError, "60 %"),
        ({"air_pressure": "-1 mbar"}, InputError, "air pressure"),
        ({"number": [1.0, 2.0]}, InputError, "one value above zero for each radius"),
        ({"escape": 0.5}, InputError, "give cure, or a viscosity"),
        ({"viscosity": "0 Pa s"}, InputError, "viscosity"),
        ({"pressure": "5 mbar", "radius": "1 mm"}, InputError, "the resin boils; start from"),
        ({"resin": "orthophtalic"}, UnknownNameError, "did you mean"),
        ({"crevices": {"3 um": "5"}}, UnitError, "no unit"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(changes, error, said):
    given = {
        "resin": UP, "radius": "50 um", "time": ["0 s", "60 s", "600 s"],
        "temperature": "25 degC", "pressure": "500 mbar",
    } | changes  # fmt: skip
    with pytest.raises(error, match=said) as caught:
        outgas.bubble_growth(**given)
    assert "\n" not in str(caught.value)


def test_a_gap_in_a_history_is_named():
    T = outgas.Quantity([298.0, np.nan, 300.0], "K")
    with pytest.raises(InputError, match=r"temperature has a gap .* at value 2"):
        outgas.bubble_growth(UP, "50 um", ["0 s", "1 s", "2 s"], T, "500 mbar")


def test_a_resin_without_a_gel_of_its_own_takes_its_familys():
    times, cure = ["0 s", "60 s"], [0.0, 0.5]
    found = outgas.bubble_growth(
        "acrylic-infusion", "50 um", times, "25 degC", "800 mbar", cure=cure
    )
    gel = outgas.resin("acrylic-infusion").gel_conversion.si
    assert found.gel_s == pytest.approx(60.0 * gel / 0.5, rel=0.02)


def test_a_family_without_numbers_is_said_with_those_that_have():
    with pytest.raises(UnknownNameError, match="family of resins"):
        catalogue.transport("wax")
    assert isinstance(catalogue.transport("vinyl ester"), number.Named)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"number": "x"}, "number is 'x'"),
        ({"crevices": ["3 um"]}, "crevices is"),
        ({"tolerance": "x"}, "tolerance is 'x'"),
        ({"nodes": "many"}, "nodes 'many'"),
    ],
)
def test_words_where_numbers_go_are_refused_in_one_line(given, said):
    with pytest.raises(InputError, match=said) as raised:
        pulled(300, **given)
    assert "\n" not in str(raised.value)


def test_no_radius_at_all_is_refused():
    with pytest.raises(InputError, match="radius must be one length or a row"):
        outgas.bubble_growth(UP, [], "1 h", "20 degC", "300 mbar")


def test_when_all_have_left_none_is_said_to_be_seen():
    said = str(pulled(300, escape=1.0))
    assert said.startswith("At the gel (22 min): no bubble left.")
    assert "one by one" not in said
    assert "half the bubbles" not in said


def test_out_of_a_resin_that_starts_gelled_no_bubble_leaves():
    stays = pulled(300, cure=0.9, escape=0.0).void
    assert pulled(300, cure=0.9, escape=1.0).void == pytest.approx(stays)
    assert stays[-1] > 0.0


def test_sizes_are_told_in_plain_figures():
    said = str(
        outgas.bubble_growth(UP, "50 um", "1 s", "20 degC", "1010 mbar", viscosity="1e12 Pa s")
    )
    assert "e+" not in said
