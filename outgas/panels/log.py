"""A log of panels: read row by row, a row that cannot be read left out; written whole or not.

TOML, one [[panel]] a panel, what stands before the first holding for all of them; or CSV, one row a
panel, the keys in its first line.
"""

import csv
import io
import os
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any

from outgas.errors import InputError, OutgasError
from outgas.files import read_bounded, write_atomic
from outgas.job.job_file import toml_value
from outgas.job.job_keys import KEYS
from outgas.names import on_one_line
from outgas.panels.panel import Panel, panel_of
from outgas.panels.told import Fault

_HEAD = re.compile(r"^\s*\[\[\s*panel\s*\]\]\s*(#.*)?$")
VERSION = 1  # of to_dict(); raised whenever a key changes its meaning
SEVERAL = ";"  # between the texts of one cell of a CSV
TABLE, ENDING = "panel", ".csv"
MOST_PANELS = 1000  # of one log; a shop's life is shorter


@dataclass(frozen=True, slots=True)
class PanelLog:
    """Panels as they were told, and the rows that were left out.

    Examples
    --------
    >>> log = PanelLog.of([{"resin": "epoxy-laminating", "cure": "600 mbar", "look": "clear"}])
    >>> len(log.panels), log.panels[0].name, log.faults
    (1, 'panel 1', ())
    """

    path: str
    panels: tuple[Panel, ...]
    faults: tuple[Fault, ...]

    @classmethod
    def of(cls, rows: Sequence[Any]) -> "PanelLog":
        """Return a log of panels that were told one by one; InputError for one that cannot be."""
        found = []
        for i, row in enumerate(rows, start=1):
            if not isinstance(row, Panel | Mapping):
                raise InputError(f"panel {i} is {str(row)[:40]!r}; give a dict of a panel's keys")
            try:
                told = row if isinstance(row, Panel) else panel_of({"name": f"panel {i}", **row}, i)
            except OutgasError as error:
                raise InputError(f"panel {i}: {error}") from None
            found.append(told)
        return cls("", tuple(found), ())

    def to_dict(self) -> dict[str, Any]:
        """Return plain types, in the words of the log."""
        return {
            "kind": "outgas panel log",
            "version": VERSION,
            "path": self.path,
            "panels": [{"line": panel.line, **panel.to_dict()} for panel in self.panels],
            "left_out": [{"line": fault.line, "why": fault.text} for fault in self.faults],
        }

    def __len__(self) -> int:
        return len(self.panels)


def read_panels(path: "str | PathLike[str]") -> PanelLog:
    r"""Return the panels of a log.

    Parameters
    ----------
    path
        Of a .csv, or of a .toml with one [[panel]] a panel; keys as a job file has them (resin,
        temperature, humidity, ply ...), and cure, cure_time, debulk, debulk_time, look, where,
        voids, voids_error, air_left, air_left_error, cup_gel, bleed, name, note.

    Returns
    -------
    A PanelLog: what stays of it in .panels, what was left out in .faults, each with its line.

    Raises
    ------
    InputError
        For a file that cannot be read, or has no panel in it at all.

    Notes
    -----
    Nothing is reckoned here: amounts stay in the words of the log.

    Examples
    --------
    >>> import pathlib, tempfile, outgas
    >>> text = 'resin = "epoxy-laminating"\n[[panel]]\ncure = "600 mbar"\nlook = "clear"\n'
    >>> text += '[[panel]]\ncure = "200 mbar"\nlook = "white-ish"\n'
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "panels.toml")
    ...     _ = path.write_text(text)
    ...     log = outgas.read_panels(path)
    >>> len(log.panels), [fault.line for fault in log.faults]
    (1, [5])
    """
    name, text = _text(path)
    rows = _csv_rows(text) if name.lower().endswith(ENDING) else _toml_rows(name, text)
    panels: list[Panel] = []
    faults: list[Fault] = []
    for line, told in rows:
        if isinstance(told, str):
            faults.append(Fault(line, told))
            continue
        try:
            panels.append(
                panel_of({"name": f"panel {len(panels) + len(faults) + 1}", **told}, line)
            )
        except OutgasError as error:
            faults.append(Fault(line, str(error)))
    if not panels and not faults:
        raise InputError(f"{name} holds no panel; write one with outgas panels add {name}")
    if len(panels) > MOST_PANELS:
        raise InputError(f"{name} holds {len(panels)} panels; {MOST_PANELS} are the most")
    return PanelLog(name, tuple(panels), tuple(faults))


def _text(path: "str | PathLike[str]") -> tuple[str, str]:
    if not isinstance(path, str | PathLike) or not os.fspath(path):  # type: ignore[redundant-expr]
        raise InputError(f"log is {path!r}; give the path of a log, as 'panels.toml'")
    name = os.fsdecode(path)
    try:
        return name, read_bounded(Path(name)).decode("utf-8-sig")
    except OSError as error:
        raise InputError(f"cannot read {on_one_line(name)}: {error.strerror or error}") from None
    except ValueError:
        raise InputError(f"cannot read {on_one_line(name)}: it is no text") from None


def _csv_rows(text: str) -> Iterator[tuple[int, "dict[str, Any] | str"]]:
    """Yield each row with its line: its cells by key, or what is wrong with it."""
    rows = csv.reader(io.StringIO(text))
    header: list[str] = []
    start = 1
    while True:
        try:
            cells = next(rows)
        except StopIteration:
            return
        except csv.Error as error:
            yield start, f"no row of a table: {error}"
            return
        line, start = start, rows.line_num + 1
        if not any(cell.strip() for cell in cells):
            continue
        if not header:
            header = [cell.strip().replace("-", "_") for cell in cells]
            continue
        if len(cells) > len(header):
            yield line, f"{len(cells)} cells under {len(header)} columns"
            continue
        yield line, {key: _cell(key, cell) for key, cell in zip(header, cells, strict=False)}


def _cell(key: str, cell: str) -> Any:
    kind = KEYS[key].kind if key in KEYS else "text"
    said = cell.strip()
    if not said:
        return None
    if kind == "several":
        return [part.strip() for part in said.split(SEVERAL)]
    if kind == "flag":
        return {"true": True, "yes": True, "false": False, "no": False}.get(said.lower(), said)
    return said


def _toml_rows(name: str, text: str) -> Iterator[tuple[int, "dict[str, Any] | str"]]:
    """Yield each [[panel]] with its line, what stands before the first in each of them.

    Each is read by itself, so that one that is broken costs no other.
    """
    lines = text.splitlines()
    starts = [i for i, line in enumerate(lines) if _HEAD.match(line)]
    first = starts[0] if starts else len(lines)
    try:
        shared = tomllib.loads("\n".join(lines[:first]))
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(f"{name} is not valid TOML before its first panel: {error}") from None
    ends = [*starts[1:], len(lines)]
    for start, end in zip(starts, ends, strict=False):  # with no panel there is one end too many
        try:
            told = tomllib.loads("\n".join(lines[start + 1 : end]))
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            yield start + 1, f"not valid TOML: {error}"
            continue
        yield start + 1, {**_underscored(shared), **_underscored(told)}


def _underscored(told: Mapping[str, Any]) -> dict[str, Any]:
    return {key.replace("-", "_"): value for key, value in told.items()}


def add_panel(path: "str | PathLike[str]", told: Mapping[str, Any]) -> Panel:
    """Write a panel at the end of a log, which is made where there is none.

    The log is written whole or stays as it was. InputError for a panel that cannot be used, and for
    a log that cannot be read or written.
    """
    panel = panel_of(told)
    target = Path(path)
    before = ""
    if target.exists() or target.is_symlink():
        _, before = _text(path)
    csv_like = str(path).lower().endswith(ENDING)
    text = _with_row(before, panel) if csv_like else _with_table(str(path), before, panel)
    try:
        write_atomic(target, text.encode("utf-8"), shown=True)
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or error
        raise InputError(f"cannot write {path}: {said}") from None
    return panel


def _with_table(name: str, before: str, panel: Panel) -> str:
    """Return the text of a log with a panel after the others."""
    list(_toml_rows(name, before))  # what is no log is not added to
    lines = [f"[[{TABLE}]]", *(f"{key} = {toml_value(v)}" for key, v in panel.to_dict().items())]
    gap = "" if not before else "\n" if before.endswith("\n") else "\n\n"
    return f"{before}{gap}{chr(10).join(lines)}\n"


def _with_row(before: str, panel: Panel) -> str:
    """Return the text of a table with a panel after the others, new columns last."""
    rows = [row for row in csv.reader(io.StringIO(before)) if row]
    told = {key: _cell_of(value) for key, value in panel.to_dict().items()}
    header = [cell.strip().replace("-", "_") for cell in rows[0]] if rows else []
    wider = [*header, *(key for key in told if key not in header)]
    if not rows or wider == header:
        made = [wider] if not rows else []
        kept = before if not before or before.endswith("\n") else before + "\n"
        return kept + _csv_text([*made, [told.get(key, "") for key in wider]])
    old = [row + [""] * (len(wider) - len(row)) for row in rows[1:]]
    return _csv_text([wider, *old, [told.get(key, "") for key in wider]])


def _cell_of(value: Any) -> str:
    if isinstance(value, list):
        return f"{SEVERAL} ".join(value)
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _csv_text(rows: Sequence[Sequence[str]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()
