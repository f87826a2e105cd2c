"""A table of jobs, a row a job, answered row by row: what cannot be is told with its line."""

import contextlib
import csv
import io
import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TextIO

from outgas.errors import InputError, OutgasError, SeveralMistakesError, UnknownNameError
from outgas.job.job_keys import KEYS
from outgas.many.cases import ASKABLE, CASE, Axis, Cases
from outgas.many.exact import Answered, answered
from outgas.many.fields import fields_of, rows
from outgas.many.wanted import needed

BATCH = 128  # rows that are worked together
BETWEEN = ";"  # in a cell of several
YES, NO = ("yes", "true", "1", "x"), ("no", "false", "0")
FIGURES = 6
SUFFIXES = (".csv", ".parquet")
UNIT_OF = {"mbar": "mbar", "%": "percent", "degC": "degC", "min": "min", "": ""}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table of jobs: its line in the file, what it told, and what became of it.

    told is cell by cell as it stands; found has a value for each of its columns, or why is why not.
    """

    line: int
    told: dict[str, str]
    found: dict[str, Any]
    why: str = ""


def columns_of(*, voids: bool) -> tuple[str, ...]:
    """Return the columns that an answer adds to a row, each with its unit."""
    names = []
    for field in fields_of(voids=voids):
        unit = UNIT_OF[field.unit]
        names.append(f"{field.name}_{unit}" if unit else field.name)
    return tuple(names)


def answer_rows(
    source: Iterable[str], held: Mapping[str, Any] | None = None, *, voids: bool = True
) -> Iterator[Row]:
    """Answer a CSV table of jobs, row by row.

    Parameters
    ----------
    source
        Lines of the table, the first with names of columns: keys of a job (resin, temperature,
        humidity, ply, ...) or of outgas.sweep; several in one cell are parted by ';'. Other columns
        are refused, but for those whose name begins with '#', which are carried along.
    held
        What is the same in all rows; a row's own cell goes before it, an empty one does not.
    voids
        Whether the voids expected at each setpoint are worked too.

    Yields
    ------
    A Row for each line, in order; few are held in memory at a time.

    Raises
    ------
    InputError
        An unknown column, with the nearest; a table without a header.
    """
    reader = csv.reader(source)
    header = [name.strip() for name in next(reader, [])]
    _check(header)
    numbered = ((reader.line_num, cells) for cells in reader)
    filled = ((line, cells) for line, cells in numbered if any(cell.strip() for cell in cells))
    while batch := list(itertools.islice(filled, BATCH)):
        yield from _answered(header, batch, dict(held or {}), voids=voids)


def _check(header: Sequence[str]) -> None:
    known = [name for name in header if not name.startswith("#")]
    if not known:
        raise InputError("the table has no header; its first line names columns, as resin,humidity")
    if len(set(header)) < len(header):
        twice = next(name for name in header if header.count(name) > 1)
        raise InputError(f"the table has two columns called {twice!r}")
    wrong = [name for name in known if name not in ASKABLE]
    if wrong:
        raise SeveralMistakesError(
            [str(UnknownNameError("column of a table of jobs", name, ASKABLE)) for name in wrong]
        )


def _answered(
    header: Sequence[str],
    batch: Sequence[tuple[int, Sequence[str]]],
    held: Mapping[str, Any],
    *,
    voids: bool,
) -> Iterator[Row]:
    told: list[dict[str, str]] = [dict(zip(header, cells, strict=False)) for _, cells in batch]
    read: list[dict[str, Any] | OutgasError] = []
    for (_, cells), row in zip(batch, told, strict=True):
        try:
            if len(cells) != len(header):
                raise InputError(f"the row has {len(cells)} cells for {len(header)} columns")
            read.append({**held, **_row(row)})
        except OutgasError as error:
            read.append(error)
    good = [row for row in read if isinstance(row, dict)]
    done = iter(_worked(good))
    columns = columns_of(voids=voids)
    for (line, _), row, each in zip(batch, told, read, strict=True):
        if isinstance(each, OutgasError):
            yield Row(line, row, {}, str(each))
            continue
        answer = next(done)
        if answer.refused is not None:
            yield Row(line, row, {}, str(answer.refused))
            continue
        values = rows([answer], voids=voids)[0]
        yield Row(line, row, dict(zip(columns, _shown(values, voids=voids), strict=True)))


def _worked(told: Sequence[Mapping[str, Any]]) -> list[Answered]:
    if not told:
        return []
    names = dict.fromkeys(name for row in told for name in row)
    table = Axis(CASE, {name: tuple(row.get(name) for row in told) for name in names})
    return answered(Cases({}, (table,)), range(len(told)))


def _row(cells: Mapping[str, str]) -> dict[str, Any]:
    """Return what a row tells: an empty cell tells nothing."""
    found: dict[str, Any] = {}
    for name, cell in cells.items():
        text = cell.strip()
        if not text or name.startswith("#"):
            continue
        kind = KEYS[name].kind if name in KEYS else "text"
        if kind == "several":
            found[name] = [part.strip() for part in text.split(BETWEEN) if part.strip()]
        elif kind == "flag":
            found[name] = _flag(text, name)
        else:
            found[name] = text
    return found


def _flag(text: str, name: str) -> bool:
    if text.lower() in YES:
        return True
    if text.lower() in NO:
        return False
    raise InputError(f"{name} is {text[:40]!r}; it is yes or no")


def _shown(values: Any, *, voids: bool) -> list[Any]:
    """Return values as a table has them: words for codes, nothing for no number."""
    told: list[Any] = []
    for field, value in zip(fields_of(voids=voids), values.tolist(), strict=True):
        if math.isnan(value):
            told.append("" if field.words else None)
        elif field.words:
            told.append(field.words[int(value)])
        else:
            told.append(float(f"{value:.{FIGURES}g}"))
    return told


class Writer:
    """Writes answered rows as they come: CSV, or Parquet in groups of rows."""

    def __init__(self, out: Any, suffix: str, *, voids: bool) -> None:
        self.out, self.suffix, self.columns = out, suffix, columns_of(voids=voids)
        self.names: list[str] = []
        self.group: list[dict[str, Any]] = []
        self.parquet: Any = None

    def write(self, row: Row) -> None:
        """Write one row that was answered."""
        if not self.names:
            self.names = ["line", *row.told, *self.columns]
            if self.suffix == ".csv":
                csv.writer(self.out, lineterminator="\n").writerow(self.names)
        told = {"line": row.line, **row.told, **row.found}
        if self.suffix == ".csv":
            cells = ["" if told[name] is None else told[name] for name in self.names]
            csv.writer(self.out, lineterminator="\n").writerow(cells)
            return
        self.group.append(told)
        if len(self.group) >= BATCH * BATCH:
            self._flush()

    def _flush(self) -> None:
        pa = needed("pyarrow")
        texts = {name for name in self.names if name not in self.columns and name != "line"}
        texts |= {f.name for f in fields_of(voids=True) if f.words}
        kinds = [
            pa.field(
                name,
                pa.string() if name in texts else pa.int64() if name == "line" else pa.float64(),
            )
            for name in self.names
        ]
        schema = pa.schema(kinds)
        if self.parquet is None:
            self.parquet = needed("pyarrow.parquet").ParquetWriter(self.out, schema)
        self.parquet.write_table(pa.Table.from_pylist(self.group, schema=schema))
        self.group = []

    def close(self) -> None:
        """Write what is left."""
        if self.suffix == ".parquet" and self.names:
            self._flush()
            self.parquet.close()


def answer_table(
    source: TextIO,
    out: Any,
    suffix: str = ".csv",
    held: Mapping[str, Any] | None = None,
    *,
    voids: bool = True,
) -> Iterator[Row]:
    """Answer a table of jobs into a file as the rows come; yield the rows that could not be.

    InputError as of answer_rows, and for a suffix other than .csv and .parquet.
    """
    if suffix not in SUFFIXES:
        raise InputError(f"answers are written to {' or '.join(SUFFIXES)}, not {suffix!r}")
    if suffix == ".parquet":
        needed("pyarrow")
    writer = Writer(out, suffix, voids=voids)
    with contextlib.closing(writer):
        for row in answer_rows(source, held, voids=voids):
            if row.why:
                yield row
            else:
                writer.write(row)


def apart(found: Sequence[Row]) -> str:
    """Return the rows that could not be answered as a table: line, why, and what they told."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    names = list(dict.fromkeys(name for row in found for name in row.told))
    writer.writerow(["line", "why", *names])
    for row in found:
        writer.writerow([row.line, row.why, *(row.told.get(name, "") for name in names)])
    return out.getvalue()
