"""The short form of a report: what always stands, what there is room for, the worst cautions."""

import pickle

import pytest

from outgas.show.caution import Caution, Harm
from outgas.show.report import (
    MOST_LINES,
    At,
    Block,
    Brief,
    Later,
    Line,
    Report,
    Short,
    as_caution,
    lines,
    sentence,
)

HERE = 101325.0
WORST = Caution("never, for it explodes at once and far", Harm.EXPLODES, "never: it explodes")
MILD = Caution("read the sheet of the resin first", Harm.REMINDS, "read the sheet")
HURTS = Caution("no glass under vacuum", Harm.INJURES)
BURNS = Caution("outdoors until cold", Harm.BURNS, "outdoors")


def report(more=(), cautions=(MILD, HURTS, WORST, BURNS), most=MOST_LINES):
    blocks = (
        Block("Why", lines(["because"])),
        Block("What to do", lines(["pull"]), part="do"),
        Block("Cautions", lines(cautions)),
    )
    must = (Line("Hold {}.", (At(5000.0),)),)
    return Report(HERE, must, blocks, short=Short(must, lines(more), most))


def test_the_three_worst_cautions_stand_last_the_third_says_how_many_more():
    assert report().brief().splitlines()[-3:] == [
        "! never: it explodes",
        "! outdoors",
        "! no glass under vacuum (1 more: --cautions)",
    ]
    assert report(cautions=(MILD, WORST)).brief().splitlines()[1:] == [
        "! never: it explodes",
        "! read the sheet",
    ]


def test_a_caution_that_says_no_harm_counts_as_spoiling_the_laminate():
    odd = report(cautions=("it may stick", MILD, BURNS, HURTS)).brief().splitlines()
    assert odd[-3:] == [
        "! outdoors",
        "! no glass under vacuum",
        "! it may stick (1 more: --cautions)",
    ]


def test_what_must_be_said_always_stands_and_more_only_while_there_is_room():
    long = "word " * 40
    text = report(more=[long, "short", *("x" for _ in range(20))], most=8).brief()
    assert len(text.splitlines()) == 8
    assert text.startswith("Hold 28.4 inHg (50 mbar).")
    assert "short" in text or "word" in text
    crowded = report(more=["no room"], most=1).brief()
    assert "Hold " in crowded
    assert "no room" not in crowded
    assert crowded.count("\n! ") == 3


def test_a_line_that_has_no_room_lets_a_shorter_one_in():
    text = report(more=["word " * 60, "short"], most=6).brief()
    assert "word" not in text
    assert "short" in text


@pytest.mark.parametrize("width", [40, 80, 200])
def test_it_is_as_wide_as_it_is_told(width):
    text = report(more=["word " * 30]).brief(width=width)
    assert max(map(len, text.splitlines())) <= width


def test_each_part_is_printed_alone():
    assert report().text(parts=("why",)) == "Why\n  - because"
    assert report().text(parts=("do",)) == "What to do\n  - pull"
    assert report().text(parts=("cautions",)).startswith("Cautions\n  - read the sheet of")
    assert report().text().startswith("Hold 28.4 inHg vacuum (50 mbar absolute).")
    assert "beside" not in report().text()


def test_what_stands_beside_is_in_its_part_alone():
    beside = (Block("Change", lines(["this"]), part="do"),)
    told = Report(HERE, lines(["a"]), beside=beside)
    assert told.text(parts=("do",)) == "Change\n  - this"
    assert told.text() == "a"


def test_a_report_without_a_short_form_is_printed_whole():
    whole = Report(HERE, lines(["a"]), (Block("Why", lines(["b"])),))
    assert whole.brief() == whole.text() == "a\n\nWhy\n  - b"


def test_a_page_folds_the_parts_under_the_short_answer():
    page = report(more=["and < so"]).html()
    assert page.startswith("<div><p><b>Hold 28.4 inHg vacuum")
    assert "<p>and &lt; so</p>" in page
    for title in ("Why", "What to do", "All 4 cautions"):
        assert f"<details><summary>{title}</summary>" in page
    assert page.index("never: it explodes") < page.index("<details>")
    assert "never, for it explodes at once and far" in page


def test_lines_that_cost_are_made_once_and_only_when_looked_at():
    made = []
    later = Later(lambda: made.append(1) or ["a", "b"])
    block = Block("Why", later)
    assert made == []
    assert [str(x) for x in block.lines] == ["a", "b"]
    assert len(later) == 2
    assert later[0] == Line("a")
    assert later[:1] == (Line("a"),)
    assert made == [1]


def test_a_caution_stays_one_through_a_line_and_a_pickle():
    (line,) = lines([WORST])
    back = as_caution(line)
    assert (back, back.harm, back.brief) == (str(WORST), Harm.EXPLODES, "never: it explodes")
    again = pickle.loads(pickle.dumps(WORST))
    assert (again, again.harm, again.brief) == (WORST, WORST.harm, WORST.brief)
    assert type(as_caution(Line("plain"))) is str
    assert HURTS.brief == str(HURTS)


@pytest.mark.parametrize(
    ("place", "dial", "shown"),
    [
        (Brief(8589.0, absolute=True), None, "27.3 inHg (86 mbar)"),
        (Brief(8589.0, absolute=True), "bar", "-0.925 bar (86 mbar)"),
        (Brief(8589.0, absolute=True), "psi", "-13.45 psi (86 mbar)"),
        (Brief(8589.0, absolute=True), "kPa", "-92.5 kPa (86 mbar)"),
        (Brief(8589.0, absolute=True), "percent", "91.5 % vacuum (86 mbar)"),
        (Brief(8589.0, absolute=True), "mbar", "86 mbar absolute"),
        (Brief(8589.0, absolute=True), "torr", "65 torr absolute"),
        (Brief(8589.0), "inHg", "27.3 inHg vacuum"),
        (Brief(8589.0, named=False), "inHg", "27.3"),
        (Brief(8589.0, weaker=False, named=False), "inHg", "27.4"),
        (Brief(120000.0), "inHg", "1200 mbar"),
    ],
)
def test_a_short_place_is_rounded_to_its_safe_side(place, dial, shown):
    assert place.on(HERE, dial) == shown


def test_an_item_of_a_list_becomes_a_sentence():
    assert str(sentence("pull it")) == "Pull it."
    assert sentence(Line("{} or so", (At(5000.0),))).on(HERE, "mbar") == "50 mbar absolute or so."
