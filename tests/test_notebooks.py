"""The notebooks can be seen without running them, and say what a run says."""

import copy
import re
import shlex
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import notebooks

MOST_LINES = 60
IN_WORDS, MOST_TOLD = ("a_day_without_a_gauge",), 90  # long sessions of answers, no pictures
MOST_BYTES = 150_000  # of a figure
PLACES = re.compile(r"0x[0-9a-fA-F]{6,}|<Axes|<Figure|<matplotlib|/tmp/|/home/|\d+ (ms|µs) ±")


@pytest.fixture(scope="module", params=notebooks.names())
def book(request):
    return request.param, notebooks.stored(request.param)


def outputs(book):
    return [out for cell in book.cells for out in cell.get("outputs", [])]


def test_there_are_the_lessons_and_the_gallery():
    assert notebooks.names() == [
        *("a_day_without_a_gauge", "choosing_a_vacuum", "gallery", "what_our_panels_taught"),
        "why_it_went_milky",
    ]


def test_a_notebook_is_short_and_stored_as_it_ran(book):
    name, held = book
    assert len(notebooks.code_lines(held)) <= (MOST_TOLD if name in IN_WORDS else MOST_LINES)
    counts = [cell.execution_count for cell in held.cells if cell.cell_type == "code"]
    assert counts == list(range(1, len(counts) + 1))


def test_its_pictures_are_stored_and_small(book):
    name, held = book
    pictures = [
        text
        for out in outputs(held)
        for kind, text in out.get("data", {}).items()
        if kind == "image/svg+xml" or "<svg" in text
    ]
    assert len(pictures) >= (0 if name in IN_WORDS else 7)
    assert max((len(text.encode()) for text in pictures), default=0) < MOST_BYTES


def test_nothing_of_one_run_or_one_machine_is_stored_and_no_error(book):
    _, held = book
    for out in outputs(held):
        assert out.output_type != "error"
        assert out.get("name") != "stderr"
        for text in [out.get("text", ""), *out.get("data", {}).values()]:
            assert not PLACES.search(text), PLACES.search(text)
    assert all("execution" not in cell.metadata for cell in held.cells)


def test_a_fresh_run_says_what_is_stored(book):
    name, held = book
    again = notebooks.ran(name)
    for before, after in zip(held.cells, again.cells, strict=True):
        assert notebooks.said(after) == notebooks.said(before), before.source


def test_a_stored_word_that_no_run_says_would_be_found(book):
    cell = copy.deepcopy(next(c for c in book[1].cells if c.get("outputs")))
    before = notebooks.said(cell)
    out = cell.outputs[0]
    if "data" in out:
        out.data["text/plain"] += " and more"
    else:
        out.text += " and more"
    assert notebooks.said(cell) != before


def test_the_gallery_shows_every_chart_there_is():
    import outgas

    shop = outgas.Shop(temperature="22 degC", humidity="55 %")
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    resin = "orthophthalic-polyester"
    plan = outgas.schedule(resin, shop, layup=layup)
    rig = outgas.Rig.from_words("5 m3/h two-stage pump")
    answers = (
        outgas.advise(resin, shop, layup=layup),
        plan,
        outgas.BagPressure.unknown(shop.barometer),
        outgas.hold("600 mbar", rig, shop.barometer),
        outgas.diagnose(resin, shop),
        outgas.read_bleed(resin, layup, gained="60 g"),
        plan.bubbles("60 um"),
    )
    wanted = {name for answer in answers for name in answer.charts()} | {"log", "margin"}
    shown = {
        re.search(r"Chart\('(\w+)'", out.data["text/plain"])[1]
        for out in outputs(notebooks.stored("gallery"))
    }
    assert shown == wanted


def test_the_picture_in_the_readme_is_what_its_command_draws(tmp_path):
    from outgas.cli.main import main

    readme = (notebooks.FOLDER.parent / "README.md").read_text(encoding="utf-8")
    line = re.search(r"\$ outgas (draw advise .*?--out )(window\.svg)", readme)
    fresh = tmp_path / "window.svg"
    main([*shlex.split(line[1]), str(fresh)])
    words = [
        re.findall(r"<text[^>]*>([^<]*)</text>", path.read_text(encoding="utf-8"))
        for path in (notebooks.FOLDER / line[2], fresh)
    ]
    assert words[0] == words[1]
    assert len(words[0]) > 20
    assert f"(notebooks/{line[2]})" in readme
