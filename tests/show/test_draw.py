import importlib.util
import subprocess
import sys
from pathlib import Path
from typing import get_args

import pytest

import outgas
from outgas.errors import InputError
from outgas.show import draw
from outgas.show.chart import Chart
from outgas.show.margins import columns, fold, margins_of
from outgas.show.shapes import Area, AreaRole, Curve, LineRole, Mark, Note, Rows, Scale, dial_beside

ROOT = Path(outgas.__file__).parent
BEGINS = {"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF"}


def everything(**more):
    """A chart with one of each role, on each kind of scale."""
    areas = tuple(
        Area(role, role, (i, i + 1.0), (0.0, 0.0), (500.0, 500.0))
        for i, role in enumerate(get_args(AreaRole))
    )
    curves = tuple(
        Curve(role, role, (0.0, 9.0), (100.0 * i, 100.0 * i), right=i == 1, dots=i == 2)
        for i, role in enumerate(get_args(LineRole))
    )
    return Chart(
        **{
            "name": "all",
            "title": "A title so long that it has to be folded once before it fits its picture",
            "x": Scale("x", "mbar", 0.0, 9.0, beside=dial_beside(900.0, "inHg")),
            "y": Scale("y", "mbar", 0.0, 1000.0, beside=dial_beside(1e5, "bar")),
            "right": Scale("warm", "°C", 0.0, 1000.0),
            "areas": areas,
            "curves": curves,
            "marks": (Mark("guide", "gel", x=5.0), Mark("set", "point", 2.0, 200.0)),
            "notes": (Note("tied", 3.0, 300.0, tied=True, strong=True), Note("free", 1.0, 50.0)),
            "caption": "What it rests on. " * 9,
            **more,
        }
    )


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("kind", draw.FORMATS)
def test_a_chart_becomes_a_file_of_each_format_on_both_grounds(kind, dark, tmp_path):
    path = tmp_path / f"all.{kind}"
    everything().save(path, dark=dark)
    assert path.read_bytes().startswith(BEGINS[kind])
    assert [p.name for p in tmp_path.iterdir()] == [path.name]  # nothing half made is left


def test_others_may_look_at_a_picture_as_at_any_file_of_the_users(tmp_path):
    path, plain = tmp_path / "all.svg", tmp_path / "plain"
    plain.write_text("")
    everything().save(path)
    assert path.stat().st_mode == plain.stat().st_mode


def test_the_grounds_differ_and_the_same_chart_is_the_same_picture():
    light, dark = (draw.rendered(everything(), "svg", dark=d) for d in (False, True))
    assert light != dark
    assert light == draw.rendered(everything(), "svg")


def test_an_svg_keeps_its_words_as_words_and_stays_small():
    text = draw.rendered(everything(), "svg").decode()
    assert ">gel<" in text
    assert "Verdana" in text
    assert len(text) < 150_000


def test_every_role_of_a_line_or_an_area_can_be_told_without_its_colour():
    assert set(draw.LINES) == set(get_args(LineRole))
    assert set(draw.AREAS) == set(get_args(AreaRole))
    without = [(str(dashes), width) for _, _, dashes, width in draw.LINES.values()]
    assert len(set(without)) == len(without)


def luminance(colour):
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """The contrast of two colours as WCAG 2 counts it."""
    a, b = sorted((luminance(one), luminance(other)), reverse=True)
    return (a + 0.05) / (b + 0.05)


@pytest.mark.parametrize("ground", [draw.LIGHT, draw.DARK], ids=["light", "dark"])
def test_words_and_lines_stand_out_from_the_ground(ground):
    assert contrast(ground.ink, ground.paper) >= 7.0
    assert contrast(ground.quiet, ground.paper) >= 4.5
    for role, colours in draw.LINES.items():
        assert contrast(colours[int(ground.dark)], ground.paper) >= 3.0, role


@pytest.mark.parametrize("name", ["a.gif", "a", "a.svg.txt"])
def test_a_suffix_that_is_no_picture_is_refused_in_one_line(name, tmp_path):
    with pytest.raises(InputError, match=r"\.svg, \.png, \.pdf") as refused:
        everything().save(tmp_path / name)
    assert "\n" not in str(refused.value)
    assert not list(tmp_path.iterdir())


def test_a_path_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(InputError, match="cannot be written"):
        everything().save(tmp_path / "file" / "a.svg")


def test_without_matplotlib_a_drawing_names_the_command_that_installs_it(monkeypatch):
    found = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda n, *a: None if n == "matplotlib" else found(n, *a)
    )
    with pytest.raises(InputError, match="python -m pip install matplotlib"):
        everything().plot()
    assert everything()._repr_svg_() is None


def test_an_axes_of_ones_own_is_drawn_onto_and_keeps_its_neighbours():
    from matplotlib.figure import Figure

    figure = Figure()
    left, right = figure.subplots(1, 2)
    drawn = everything(right=None, curves=()).plot(left)
    assert drawn is left
    assert left.get_xlabel() == "x, mbar"
    assert right.get_xlabel() == ""
    assert left.get_legend() is not None


def test_plot_without_axes_makes_a_figure_that_pyplot_knows():
    import matplotlib as mpl

    mpl.use("Agg")
    import matplotlib.pyplot as plt

    axes = everything().plot()
    try:
        assert plt.gcf() is axes.figure
    finally:
        plt.close(axes.figure)


def test_no_words_of_a_chart_cover_each_other_or_leave_the_paper():
    """By the boxes of all that is written, in the largest chart there is."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    charts = outgas.advise("orthophthalic-polyester", shop).charts()
    for name in ("window", "temperature", "voids"):
        figure = Figure()
        FigureCanvasAgg(figure)
        axes = charts[name].plot(figure.add_subplot())
        figure.canvas.draw()
        paper = figure.bbox
        words = [*axes.texts, *figure.texts, axes.xaxis.label, axes.yaxis.label]
        words += list(figure.legends[0].get_texts())
        boxes = [w.get_window_extent() for w in words if w.get_text()]
        for box in boxes:
            assert box.x0 >= paper.x0, name
            assert box.x1 <= paper.x1 + 1.0, name
            assert box.y0 >= paper.y0, name
        for i, one in enumerate(boxes):
            for other in boxes[i + 1 :]:
                assert not one.overlaps(other), name


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_nothing_but_the_paper_lies_under_a_chart(dark):
    from matplotlib.colors import to_hex
    from matplotlib.figure import Figure

    figure = Figure()
    everything().plot(figure.add_subplot(), dark=dark)
    paper = (draw.DARK if dark else draw.LIGHT).paper
    assert to_hex(figure.get_facecolor()) == paper
    seen = [ax.patch for ax in figure.axes if ax.patch.get_visible()]
    assert {to_hex(patch.get_facecolor()) for patch in seen} <= {paper}
    assert len(figure.axes) == 4  # two dials and a second scale beside the chart


def test_words_along_lines_that_stand_close_do_not_meet():
    from outgas.show.margins import beside

    close = beside([0.50, 0.52, 0.54, 0.56])
    assert [left for left, _ in close] == [True, False, False, False]
    tops = [top for left, top in close if not left]
    assert tops == sorted(tops, reverse=True)
    assert len(set(tops)) == 3
    assert beside([0.2, 0.6]) == [(False, 0.98)] * 2
    assert beside([0.99])[0][0]  # at the right edge they go to the left


def test_only_the_drawing_module_imports_matplotlib():
    named = [p.relative_to(ROOT) for p in ROOT.rglob("*.py") if "matplotlib" in _imports(p)]
    assert [str(p) for p in named] == ["show/draw.py"]


def _imports(path):
    import ast

    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = {n.module or "" for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)}
    names |= {a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names}
    return {name.split(".")[0] for name in names}


def test_asking_for_a_chart_loads_no_matplotlib():
    code = (
        "import sys, outgas; s = outgas.Shop(temperature='22 degC', humidity='50 %');"
        "outgas.advise('orthophthalic-polyester', s).charts()['voids'].to_dict();"
        "print('matplotlib' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "False"


def test_a_legend_goes_to_one_column_where_two_do_not_fit():
    assert columns(["short", "words"], 6.0) == 2
    assert columns(["a long name of something " * 2, "words"], 5.0) == 1
    assert columns(["one"], 6.0) == 1


def test_more_words_take_more_room():
    few = margins_of(everything(caption=""), ["a"], "One")
    many = margins_of(everything(), ["a"] * 9, "One\nTwo")
    assert many.bottom > few.bottom
    assert many.top > few.top
    rows = Rows(("a", "a far longer name"))
    wide = margins_of(everything(y=rows.scale()), ["a"], "One")
    assert wide.left > margins_of(everything(y=Rows(("a",)).scale()), ["a"], "One").left


def test_folded_words_keep_to_their_width():
    narrow = fold("word " * 30, 2.0, 10.5)
    assert max(map(len, narrow.splitlines())) < 30


def test_the_picture_in_a_notebook_follows_the_answer():
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    advice = outgas.advise("orthophthalic-polyester", shop)
    page = advice._repr_html_()
    assert page.startswith(advice.report.html())
    assert "<svg" in page
    assert page.index("Debulk at") < page.index("<svg")


def test_the_page_is_the_answer_alone_without_matplotlib(monkeypatch):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    advice = outgas.advise("orthophthalic-polyester", shop)
    monkeypatch.setattr(draw, "can_draw", lambda: False)
    assert advice._repr_html_() == advice.report.html()
