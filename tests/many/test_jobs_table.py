"""Tables of jobs: answered row by row, what cannot be is told with its line and kept apart."""

import csv
import io

import pytest

import outgas
from outgas.errors import InputError, SeveralMistakesError
from outgas.many.jobs_table import BATCH, answer_rows, answer_table, apart

TABLE = """#name,resin,temperature,humidity,ply,degassed,no_debulk
deck,orthophthalic-polyester,24C,50%,2 x 450 g/m2 chopped strand mat,,
hatch,epoxy-laminatin,24C,50%,,,

lid,orthophthalic-polyester,5C,50%,,,
side,orthophthalic-polyester,25C,60 %,,30 mbar for 20 min,yes
"""


def test_rows_are_answered_as_advise_answers_them():
    deck, _, _, side = answer_rows(io.StringIO(TABLE), {"altitude": "20 m"})
    shop = outgas.Shop(temperature="24 degC", humidity="50 %", altitude="20 m")
    layup = outgas.Layup(plies=["2 x 450 g/m2 chopped strand mat"])
    advice = outgas.advise("orthophthalic-polyester", shop, layup=layup)
    assert deck.found["deepest_mbar"] == pytest.approx(advice.deepest_Pa / 100.0, rel=1e-5)
    assert deck.told["#name"] == "deck"
    straight = outgas.advise(
        "orthophthalic-polyester", shop.but(temperature="25 degC", humidity="60 %"),
        degassed="30 mbar for 20 min", no_debulk=True,
    )  # fmt: skip
    assert side.found["deepest_mbar"] == pytest.approx(straight.deepest_Pa / 100.0, rel=1e-5)


def test_a_row_that_cannot_be_answered_is_told_with_its_line_in_the_file():
    bad = [row for row in answer_rows(io.StringIO(TABLE)) if row.why]
    assert [row.line for row in bad] == [3, 5]
    assert "did you mean epoxy-laminating" in bad[0].why
    assert "below the 15 degC" in bad[1].why
    table = list(csv.DictReader(io.StringIO(apart(bad))))
    assert [row["#name"] for row in table] == ["hatch", "lid"]
    assert table[0]["line"] == "3"


def test_a_row_of_too_many_cells_and_a_flag_that_is_none_are_refused_alone():
    lines = "resin,no_debulk,temperature,humidity\n"
    lines += "orthophthalic-polyester,perhaps,24C,50%\northophthalic-polyester,,24C,50%,more\n"
    lines += "orthophthalic-polyester,,24C,50%\n"
    first, second, third = answer_rows(io.StringIO(lines), voids=False)
    assert "yes or no" in first.why
    assert "5 cells for 4 columns" in second.why
    assert not third.why


def test_a_header_is_checked_before_any_row():
    with pytest.raises(SeveralMistakesError, match="temperature"):
        next(answer_rows(io.StringIO("resin,temperatur\n")))
    with pytest.raises(InputError, match="two columns"):
        next(answer_rows(io.StringIO("resin,resin\n")))
    with pytest.raises(InputError, match="no header"):
        next(answer_rows(io.StringIO("")))


def test_rows_stream_and_batches_keep_their_order():
    asked = []

    def lines():
        yield "temperature\n"
        for i in range(2 * BATCH + 3):
            asked.append(i)
            yield f"{16 + i * 0.05:.2f} C\n"

    held = {"resin": "orthophthalic-polyester", "humidity": "50%"}
    rows = answer_rows(lines(), held, voids=False)
    first = next(rows)
    assert first.line == 2
    assert len(asked) == BATCH  # no more were read than are worked together
    rest = list(rows)
    assert [row.line for row in rest] == list(range(3, 2 * BATCH + 5))


def test_answers_are_written_as_csv_or_parquet(tmp_path):
    out = io.StringIO()
    bad = list(answer_table(io.StringIO(TABLE), out))
    assert len(bad) == 2
    rows = list(csv.DictReader(io.StringIO(out.getvalue())))
    assert [row["#name"] for row in rows] == ["deck", "side"]
    assert rows[0]["outcome"] == "answered"
    parquet = pytest.importorskip("pyarrow.parquet")
    with (tmp_path / "a.parquet").open("wb") as file:
        assert len(list(answer_table(io.StringIO(TABLE), file, ".parquet"))) == 2
    table = parquet.read_table(tmp_path / "a.parquet").to_pylist()
    assert [row["#name"] for row in table] == ["deck", "side"]
    assert table[0]["deepest_mbar"] == pytest.approx(float(rows[0]["deepest_mbar"]))
    with pytest.raises(InputError, match="written to"):
        next(answer_table(io.StringIO(TABLE), io.StringIO(), ".xls"))
