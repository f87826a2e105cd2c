"""The command line after the job: the bleed read, and a white laminate."""

import json

import outgas

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]


def test_reading_a_bleed(run):
    plies = ["--ply", "2 x 400 g/m2 woven glass"]
    code, out, _ = run("bleed", "--full", UP, *plies, "--pitch", "25 mm", "--spot", "10 mm")
    assert code == 0
    assert out.startswith("Bleed: good")
    code, out, _ = run(
        "bleed", "--full", UP, *plies, "--pitch", "10 mm", "--spot", "10 mm", "--json"
    )
    assert code == 1
    assert json.loads(out)["state"] == "flooded"
    code, _, err = run("bleed", "--full", UP, *plies, "--spot", "10 mm")
    assert code == 2
    assert err.count("\n") == 1


def test_a_bleed_is_what_the_library_reads(run):
    told = ["--area", "0.5 m2", "--gained", "60 g", "--resin-used", "0.9 kg"]
    _, out, err = run("bleed", "--full", UP, "--ply", "2 x 400 g/m2 woven glass", *told, "--json")
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    want = outgas.read_bleed(UP, layup, gained="60 g", resin_used="0.9 kg")
    assert err == ""
    assert json.loads(out) == json.loads(want.to_json())


WHITE = ["--seen", "where=on strands", "--seen", "bubbles=fine", "--bag", "60 mbar"]


def test_a_diagnosis_is_what_the_library_says(run):
    told = ["--core", "15 mm PVC foam", "--contaminant", "acetone=1%", "--hottest", "35C"]
    code, out, err = run("diagnose", "--full", UP, *SHOP, *WHITE, *told, "--json")
    want = outgas.diagnose(
        UP,
        outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m"),
        seen=["where=on strands", "bubbles=fine"],
        bag_pressure="60 mbar",
        layup=outgas.Layup(core="15 mm PVC foam"),
        contaminants={"acetone": "1 %"},
        hottest="35 degC",
    )
    assert (code, err) == (0, "")
    assert json.loads(out) == json.loads(want.to_json())


def test_a_diagnosis_in_words_is_on_the_dial_that_was_chosen(run):
    _, plain, _ = run("diagnose", "--full", UP, *SHOP, *WHITE)
    _, dialled, _ = run("diagnose", "--full", UP, *SHOP, *WHITE, "--dial", "bar")
    assert "bar gauge" in dialled
    assert "bar gauge" not in plain


def test_an_autoclave_reaches_the_diagnosis(run):
    prepreg = ["autoclave-epoxy-prepreg", *SHOP, "--process", "prepreg", "--seen", "bubbles=fine"]
    outs = [
        run("diagnose", "--full", *prepreg, "--json", *more)[1]
        for more in ([], ["--autoclave", "5 bar"])
    ]
    assert outs[0] != outs[1]


def test_questions_are_listed_without_a_resin(run):
    code, out, err = run("diagnose", "--full", "--questions")
    assert (code, err) == (0, "")
    for question in ("where", "bubbles", "cup"):
        assert question in out


def test_what_cannot_have_been_seen_is_one_line(run):
    code, out, err = run("diagnose", "--full", UP, *SHOP, "--seen", "colour=blue")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
