"""What a builder said that was turned away once: each is taken now, or answered with the word."""

import pytest

import outgas
from outgas.errors import UnknownNameError
from outgas.job.material_words import read_core, read_ply

SHOP = ["--temperature", "22C", "--humidity", "55%"]
EPOXY = ["advise", "epoxy-laminating", *SHOP]
PLY = ["--ply", "2 x 400 g/m2 woven glass"]
HOLD = ["no-gauge", "hold", "--setpoint", "500 mbar", "--rig"]

TAKEN = [
    [*EPOXY, "--process", "wet lay-up"],
    [*EPOXY, "--process", "Wet Lay Ups"],
    ["advise", "Orthophthalic Polyesters", *SHOP],
    ["convert", "-24 inHg"],
    ["convert", "-24", "inHg"],
    [*EPOXY, *PLY, "--core", "60 mm 20 kg/m3 EPS"],
    [*EPOXY, *PLY, "--core", "60 mm EPS 20 kg/m3"],
    [*EPOXY, *PLY, "--core", "15 mm aramid honeycomb"],
    [*EPOXY, *PLY, "--core", "15 mm aluminum honeycombs"],
    [*EPOXY, *PLY, "--core", "5 mm cork"],
    [*EPOXY, *PLY, "--core", "15 mm end-grain balsa, 150 kg/m3"],
    [*EPOXY, "--ply", "300 g/m2 unidirectional carbon"],
    [*EPOXY, "--ply", "300 g/m2 biaxial carbon"],
    [*EPOXY, "--ply", "170 g/m2 aramid fibre"],
    [*EPOXY, "--ply", "200 g/m2 flax"],
    [*HOLD, "fridge compressor"],
    [*HOLD, "fridge compressor, converted"],
    [*HOLD, "an old, worn two-stage pump"],
]


@pytest.mark.parametrize("words", TAKEN, ids=" ".join)
def test_it_is_taken_now(run, words):
    code, out, err = run(*words)
    assert code in (0, 1), err  # 1: an answer all the same, that a bag would do harm
    assert (bool(out), err) == (True, "")


ANSWERED = [
    (["advise", "polyester", *SHOP], "orthophthalic-polyester is what most shops mean; also iso"),
    (["advise", "vinyl esters", *SHOP], "bisphenol-a-vinyl-ester is what most shops mean"),
    ([*EPOXY, *PLY, "--core", "15 mm foam"], "say which; pvc-foam"),
    ([*EPOXY, *PLY, "--core", "15 mm honeycomb"], "say which; aramid-honeycomb"),
    (["advise", "epoxy-laminatin", *SHOP], "did you mean epoxy-laminating"),
]


@pytest.mark.parametrize(("words", "answer"), ANSWERED)
def test_it_is_answered_with_the_right_word(run, words, answer):
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert answer in err
    assert err.count("\n") == 1


def test_a_suggested_word_is_itself_taken():
    with pytest.raises(UnknownNameError) as caught:
        outgas.resin("polyester")
    assert [outgas.resin(name).name for name in caught.value.nearest] == caught.value.nearest


def test_words_mean_what_they_say():
    before, after = (read_core(f"60 mm {words}") for words in ("20 kg/m3 EPS", "EPS 20 kg/m3"))
    assert before == after
    assert before.record.polystyrene
    assert read_core("15 mm aramid honeycomb").record.honeycomb
    assert "carbon" in read_ply("300 g/m2 unidirectional carbon").fabric.name
    assert outgas.Rig.from_words("fridge compressor, converted").pump == "fridge-compressor"
