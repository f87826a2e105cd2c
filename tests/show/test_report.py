import html
import re

import pytest

from outgas.readings import dial_readings
from outgas.show.dial import DIALS, on_dial
from outgas.show.report import WIDTH, At, Block, Line, Report, Table, block, joined, lines

AIR = 101325.0


def number(text):
    return float(re.search(r"-?[\d.]+", text)[0])


@pytest.mark.parametrize("pressure", [1234.0, 6001.0, 45810.0, 99999.0])
def test_what_binds_is_rounded_to_less_vacuum_on_every_dial(pressure):
    bound, other = At(pressure), At(pressure, weaker=False)
    assert (
        100.0 * number(bound.on(AIR, "mbar")) >= pressure >= 100.0 * number(other.on(AIR, "mbar"))
    )
    inches = (AIR - pressure) / 3386.389  # conventional inch of mercury
    assert number(bound.on(AIR, "inHg")) <= inches <= number(other.on(AIR, "inHg"))
    assert 100.0 * number(bound.in_mbar()) >= pressure


def test_without_a_dial_the_trades_own_is_shown_or_mbar_alone_where_it_is_plain():
    assert At(6000.0).on(AIR, None) == At(6000.0).on(AIR, "inHg")
    assert At(6001.0, plain=True).on(AIR, None) == "61 mbar"
    assert At(6001.0, plain=True, nearest=True).on(AIR, None) == "60 mbar"
    assert "gauge" in At(6001.0, plain=True).on(AIR, "bar")


def test_a_unit_may_be_left_to_the_next_number():
    assert At(6001.0, unit="").in_mbar() == "61"
    assert At(6001.0, unit="mbar absolute", nearest=True).in_mbar() == "60 mbar absolute"


def test_a_pressure_above_the_air_is_on_no_dial():
    for dial in (None, "inHg", "mbar"):
        assert At(AIR + 1.0).on(AIR, dial) == "1014 mbar absolute"
    assert At(AIR + 1.0, plain=True, nearest=True).on(AIR, "inHg") == "1013 mbar"
    assert "vacuum" in At(AIR).on(AIR, "inHg")


def test_what_is_believed_keeps_its_tenths_beside_the_dial():
    at = At(449.0, believed=True)
    assert at.on(AIR, "mbar") == "4.5 mbar absolute"
    assert at.on(AIR, "bar").endswith("(4.5 mbar absolute)")
    ends = [number(At(449.0, believed=True, weaker=w).on(AIR, "inHg")) for w in (True, False)]
    assert ends[0] < ends[1]


def test_brief_leaves_out_what_the_line_has_said():
    assert "vacuum" in At(6000.0).on(AIR, "inHg")
    assert not {"vacuum", "absolute"} & set(At(6000.0, brief=True).on(AIR, "inHg").split())


def test_a_line_puts_each_pressure_in_its_place_and_braces_without_one_stand():
    line = Line("from {} to {}", (At(5000.0, unit=""), At(6000.0)))
    assert str(line) == "from 50 to 60 mbar"
    assert line.on(AIR, "mbar") == "from 50 mbar absolute to 60 mbar absolute"
    assert str(Line("{as it is}")) == Line("{as it is}").on(AIR, None) == "{as it is}"


def test_joined_lines_keep_their_words_pressures_and_braces():
    parts = ["{odd} ", Line("hold {}", (At(5000.0),)), Line("not {}", (At(4000.0),))]
    made = joined(parts, between="; ")
    assert str(made) == "{odd} ; hold 50 mbar; not 40 mbar"
    assert made.pressures == (At(5000.0), At(4000.0))
    assert str(joined(["{a}", "{b}"], " ")) == "{a} {b}"
    assert lines(["one", Line("two")]) == (Line("one"), Line("two"))


def test_a_block_wraps_under_a_hanging_indent_and_is_nothing_without_lines():
    long = "word " * 60
    shown = Block("Title", lines([long, "short"])).text(AIR, None).split("\n")
    assert shown[0] == "Title"
    assert shown[1].startswith("  - word")
    assert all(row.startswith("    word") for row in shown[2:-1])
    assert shown[-1] == "  - short"
    assert WIDTH - 5 < max(map(len, shown)) <= WIDTH
    assert block("Title", []) == Block("Title", ()).text(AIR, None) == ""


def test_a_bare_block_stands_as_it_is():
    long = "word " * 60
    assert Block("Title", lines([long]), bare=True).text(AIR, None) == f"Title\n{long}"
    assert Block("", lines(["a", "b"]), bare=True).text(AIR, None) == "a\nb"


def report(**more):
    blocks = Block("Do", lines(["<b>this</b>"])), Block("None", ()), Block("", lines(["x"]), True)
    answer = Line("Hold {}", (At(6000.0),)), Line("& wait")
    return Report(AIR, answer, blocks, **more)


def test_a_report_is_its_answer_then_its_blocks_with_no_gap_for_an_empty_one():
    text = report().text("mbar")
    assert text == "Hold 60 mbar absolute\n& wait\n\nDo\n  - <b>this</b>\n\nx"
    assert report(apart="\n").text("mbar").count("\n") == 4
    assert [str(line) for line in report().every_line()] == [
        "Hold 60 mbar",
        "& wait",
        "<b>this</b>",
        "x",
    ]


def test_a_page_says_the_same_escaped_with_the_answer_bold():
    page = report().html("mbar")
    assert page.startswith("<div><p><b>Hold 60 mbar absolute</b></p><p>&amp; wait</p>")
    assert "<p>Do</p><ul><li>&lt;b&gt;this&lt;/b&gt;</li></ul>" in page
    assert page.endswith("<p>x</p></div>")
    assert "None" not in page
    fixed = report(fixed=True).html("mbar")
    assert html.unescape(fixed) == f"<pre>{report().text('mbar')}</pre>"


def test_a_page_of_its_own_takes_the_place_of_the_blocks():
    cell = lines(["<1>"])
    table = Table(("a<",), ((cell,), (lines(["p", "q"]),)))
    page = report(page=(table,)).html("mbar")
    assert "this" not in page
    assert "<tr><th>a&lt;</th></tr><tr><td>&lt;1&gt;</td></tr>" in page
    assert "<td><ul><li>p</li><li>q</li></ul></td>" in page
    titled = report(page=(Block("T<", lines(["y"]), bare=True),)).html("mbar")
    assert "<p>T&lt;</p><p>y</p>" in titled


@pytest.mark.parametrize("barometer", [70123.0, 89876.0, 101325.0, 103999.0])
def test_no_dial_shows_more_than_all_the_air_there_is(barometer):
    for dial, (key, step, _, falls) in DIALS.items():
        full = dial_readings(0.0, barometer)[key]
        for weaker in (True, False):
            shown = float(on_dial(0.0, barometer, dial, weaker=weaker).split()[0])
            over = (full - shown) if falls else (shown - full)
            assert -step < over <= 1e-9, (dial, weaker)
