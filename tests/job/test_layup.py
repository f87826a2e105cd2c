import numpy as np
import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError, UnknownNameError
from outgas.tables import catalogue


def test_a_layup_in_a_builders_words():
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 woven glass", "300g/m2 CSM", "12 oz/yd2 biax"],
        core="15mm PVC foam",
        area="0.8 m2",
        tool="6 mm glass plate",
        bag_side=["peel ply", "perforated film", "breather"],
    )
    assert [ply.fabric.name for ply in layup.plies] == [
        "woven-glass",
        "chopped-strand-mat",
        "biaxial-glass",
    ]
    assert layup.fibre_mass.m_as("g/m**2") == pytest.approx(800 + 300 + 406.9, abs=0.1)
    # each ply: fibre mass over fibre density and fibre fraction
    assert layup.thickness.m_as("mm") == pytest.approx(0.6944 + 0.5859 + 0.3455, abs=1e-3)
    assert layup.core.name == "pvc-foam"
    assert layup.core_thickness_m == pytest.approx(0.015)
    assert layup.lets_gas_out is True
    assert layup.tool.name == "glass-plate"


def test_resin_fills_what_fibre_leaves():
    layup = outgas.Layup(plies=["1000 g/m2 woven glass"])
    volume = 1.0 / 2560.0 / 0.45
    assert layup.resin_mass(1100.0) == pytest.approx(volume * 0.55 * 1100.0)


def test_plain_film_keeps_gas_in():
    assert outgas.Layup(bag_side=["peel ply", "release film"]).lets_gas_out is False
    assert outgas.Layup().lets_gas_out is None


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"plies": ["400 g/m2 wovn glas"]}, "woven glass"),
        ({"plies": ["400 g/m2"]}, "with no unit"),
        ({"plies": ["400 woven glass"]}, "not known"),
        ({"plies": ["400 mm woven glass"]}, "must be like"),
        ({"plies": ["0 g/m2 woven glass"]}, "above zero"),
        ({"plies": ["90 kg/m2 woven glass"]}, "outside 10 to 5000 g/m2"),
        ({"plies": ["1,5 kg/m2 mat"]}, "decimal point"),
        ({"plies": ["999 x 400 g/m2 mat"]}, "outside 1 to 200"),
        ({"plies": ["200 x 2000 g/m2 mat"]}, "mm of laminate"),
        ({"plies": "400 g/m2 mat"}, "are lists"),
        ({"core": "PVC foam"}, "write it as '15 mm PVC foam'"),
        ({"core": "15 mm PVB foam"}, "pvc foam"),
        ({"core": "9 m PVC foam"}, "outside 0.5 to 300 mm"),
        ({"core": 15}, "in words"),
        ({"area": "3"}, "with no unit"),
        ({"area": "-3 m2"}, "above zero"),
        ({"area": "1 km2"}, "outside"),
        ({"tool": "glass"}, "6 mm glass plate"),
        ({"bag_side": ["peal ply"]}, "peel ply"),
        ({"bag_side": "peel ply"}, "are lists"),
    ],
)
def test_a_layup_that_cannot_be_is_refused_in_one_line(arguments, message):
    with pytest.raises((InputError, OutOfRangeError, UnknownNameError)) as caught:
        outgas.Layup(**arguments)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def counts(plies):
    return [(ply.count, ply.fabric.name) for ply in plies]


def test_without_a_place_for_the_core_its_skins_share_the_layers_the_odd_one_under_the_bag():
    got = outgas.Layup(plies=["5 x 400 g/m2 woven glass"], core="15 mm PVC foam")
    assert counts(got.plies) == [(2, "woven-glass"), (3, "woven-glass")]
    assert got.plies_under == 1
    assert outgas.Layup(plies=["5 x 400 g/m2 woven glass"]).plies_under == 1


def test_the_core_lies_where_it_was_said():
    plies = ["400 g/m2 woven glass", "Core", "300 g/m2 mat", "300 g/m2 mat"]
    got = outgas.Layup(plies=plies, core="15 mm PVC foam")
    assert got.plies_under == 1
    assert got.plies[0].fabric.name == "woven-glass"
    assert got.layers == 3


@pytest.mark.parametrize(
    ("plies", "core"),
    [(["core", "400 g/m2 mat"], None), (["core", "400 g/m2 mat", "core"], "15 mm PVC foam")],
)
def test_a_core_among_the_plies_stands_once_and_is_given(plies, core):
    with pytest.raises(InputError, match="'core' may stand once"):
        outgas.Layup(plies=plies, core=core)


def test_one_stage_has_every_other_layer_rounded_up_on_both_sides():
    plies = ["3 x 400 g/m2 woven glass", "core", "4 x 300 g/m2 mat", "1 x 200 g/m2 biax"]
    whole = outgas.Layup(plies=plies, core="15 mm PVC foam")
    half = whole.half()
    assert counts(half.plies[: half.plies_under]) == [(1, "woven-glass")] * 2
    assert counts(half.plies[half.plies_under :]) == [(1, "chopped-strand-mat")] * 3
    assert (whole.layers, half.layers) == (8, 5)
    assert half.core == whole.core


@pytest.mark.parametrize(
    ("name", "inside", "outside"),
    [
        ("plies", ["10 g/m2 woven glass"], ["9 g/m2 woven glass"]),
        ("plies", ["5000 g/m2 woven glass"], ["5001 g/m2 woven glass"]),
        ("plies", ["200 x 100 g/m2 woven glass"], ["201 x 100 g/m2 woven glass"]),
        ("core", "0.5 mm PVC foam", "0.49 mm PVC foam"),
        ("core", "300 mm PVC foam", "301 mm PVC foam"),
        ("tool", "0.2 mm glass plate", "0.19 mm glass plate"),
        ("tool", "500 mm glass plate", "501 mm glass plate"),
        ("area", "1000 m2", "1001 m2"),
        ("area", "1 cm2", "0.9 cm2"),
    ],
)
def test_the_ends_of_each_range_are_taken_and_no_more(name, inside, outside):
    assert outgas.Layup(**{name: inside})
    with pytest.raises(OutOfRangeError, match=name.removesuffix("ies")):
        outgas.Layup(**{name: outside})


def test_a_laminate_of_more_than_twenty_centimetres_is_refused():
    # mass / (density of glass * share of fibre): 230.4 kg/m2 of woven glass make 0.2 m
    assert outgas.Layup(plies=["57 x 4 kg/m2 woven glass"])
    with pytest.raises(OutOfRangeError, match="the plies make 201 mm of laminate; at most 200 mm"):
        outgas.Layup(plies=["58 x 4 kg/m2 woven glass"])


def test_slabs_run_from_the_tool_to_the_bag_and_hold_their_heat():
    resin = outgas.resin("orthophthalic-polyester")
    plies = ["400 g/m2 woven glass", "core", "2 x 300 g/m2 mat"]
    got = outgas.Layup(plies=plies, core="15 mm PVC foam", tool="6 mm glass plate")
    slabs = got.slabs(resin, [catalogue.consumable("peel-ply")])
    woven, mat = (ply.thickness for ply in got.plies)
    assert slabs.thickness == pytest.approx([0.006, woven, 0.015, mat, 0.12e-3])
    # resin only in the cloth: what the fibres leave, at 1130 kg/m3
    assert slabs.resin == pytest.approx([0.0, 0.55 * 1130.0, 0.0, 0.8 * 1130.0, 0.0])
    capacity = np.array(
        [
            2500.0 * 750.0,
            0.45 * 2560.0 * 800.0 + 0.55 * 1130.0 * 1750.0,
            80.0 * 900.0,
            0.2 * 2560.0 * 800.0 + 0.8 * 1130.0 * 1750.0,
            0.085 / 0.12e-3 * 1400.0,
        ]
    )
    assert slabs.capacity == pytest.approx(capacity)
    resin_k, glass_k = 0.2, 1.1
    assert slabs.conductivity[[0, 2, 4]] == pytest.approx([1.0, 0.038, 0.2])
    assert resin_k < slabs.conductivity[3] < slabs.conductivity[1] < glass_k


def test_the_rich_end_has_the_same_fibres_in_a_thicker_bed():
    resin = outgas.resin("orthophthalic-polyester")
    got = outgas.Layup(plies=["1000 g/m2 woven glass"])
    usual, rich = (got.slabs(resin, rich=r) for r in (False, True))
    # usual 45 % of fibre, 38 % at the rich end
    assert rich.thickness[0] * 0.38 == pytest.approx(usual.thickness[0] * 0.45)
    assert rich.resin[0] == pytest.approx(0.62 * 1130.0)
    assert rich.thickness[0] * rich.resin[0] > usual.thickness[0] * usual.resin[0]


def test_the_layups_own_bag_side_goes_before_the_usual_one():
    resin = outgas.resin("orthophthalic-polyester")
    usual = [catalogue.consumable("peel-ply")] * 3
    plies = ["400 g/m2 woven glass"]
    assert len(outgas.Layup(plies=plies).slabs(resin, usual).thickness) == 4
    bare = outgas.Layup(plies=plies, bag_side=[])
    assert len(bare.slabs(resin, usual).thickness) == 1
    assert bare.lets_gas_out is True
