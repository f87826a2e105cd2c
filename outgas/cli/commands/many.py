"""The command line for many cases: sweep, wall-chart, uncertainty, sources, advise for a table."""

import functools
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from outgas.cli.form import Form, shown
from outgas.cli.helps import HelpfulCommand
from outgas.cli.job_option import job_option
from outgas.cli.options import PANELS_OPTION, ready
from outgas.errors import InputError
from outgas.job.job_keys import KEYS, read_traces
from outgas.many.cases import ASKABLE

_STEPS = re.compile(r"(.+?)\s+to\s+(.+?)\s+in\s+(\d+)")
MOST_STEPS = 100_000
OF_A_JOB = {key: KEYS[key] for key in KEYS if key in ASKABLE}
PICTURES = (".svg", ".png", ".pdf")


def told_options(command: Callable[..., int], *, besides: tuple[str, ...]) -> Callable[..., int]:
    """Give a command an option for each key of a job, besides some."""
    for key, of in reversed(list(OF_A_JOB.items())):
        if key in besides:
            continue
        name = "--" + key.replace("_", "-")
        if of.kind == "flag":
            command = click.option(name, is_flag=True, default=None, help=of.what)(command)
        else:
            shown = of.example[0] if isinstance(of.example, tuple) else of.example
            command = click.option(
                name,
                multiple=of.kind == "several",
                metavar=key.upper(),
                help=f"{of.what}: '{shown}'",
            )(command)
    return command


def told_of(given: dict[str, Any]) -> dict[str, Any]:
    """Return what the options tell, by the keys of a job; a file's job under them."""
    told = {
        key: list(value) if isinstance(value, tuple) else value
        for key, value in given.items()
        if key in OF_A_JOB and value not in (None, (), False)
    }
    if "contaminant" in told:
        told["contaminants"] = read_traces(told.pop("contaminant"))
    return told


def steps_of(text: str) -> list[str] | str:
    """Return the values that a text names: 'a, b, c', or 'a to b in 5'; a single one as it is."""
    found = _STEPS.fullmatch(text.strip())
    if found is None:
        parts = [part.strip() for part in re.split(r",\s+", text) if part.strip()]
        return parts if len(parts) > 1 else text
    from outgas.units import split_number

    (low, unit), (high, same) = (split_number(found[i], "range") for i in (1, 2))
    count = int(found[3])
    if unit != same or not 2 <= count <= MOST_STEPS:
        raise InputError(f"range is {text[:60]!r}; write it with one unit, as '15 C to 35 C in 21'")
    return [f"{low + i * (high - low) / (count - 1):.9g} {unit}" for i in range(count)]


@click.command("sweep", cls=HelpfulCommand)
@click.argument("resin")
@functools.partial(told_options, besides=("resin",))
@click.option(
    "--out", metavar="FILE", required=True, help="map.zarr, map.nc, map.csv, or a picture map.svg."
)
@click.option(
    "--how",
    type=click.Choice(["exact", "interpolated"]),
    default="exact",
    show_default=True,
    help="interpolated: for very many, never deeper than exact.",
)
@click.option("--voids/--no-voids", default=True, show_default=True, help="With expected voids.")
@click.option("--quiet", is_flag=True, help="No progress on the terminal.")
@PANELS_OPTION
@job_option
def sweep_command(
    out: str, how: str, voids: bool, quiet: bool, panels: str | None, **given: Any
) -> int:
    """Work the window of RESIN over ranges: --temperature '15C to 35C in 21'.

    A value may be a list, '18C, 22C, 26C', or a range in so many steps.
    """
    import outgas
    from outgas.many.cases import cases_of
    from outgas.many.fields import MIND

    ready()
    told = {
        key: steps_of(value) if isinstance(value, str) else value
        for key, value in told_of(given).items()
    }
    if panels is not None:
        told["experience"] = outgas.learn(panels)
    cases = cases_of(told)
    target = Path(out)
    if target.suffix in PICTURES:
        return _drawn(told, target, how, quiet)
    found = outgas.sweep(**told, how=how, voids=voids, out=out, progress=False if quiet else None)
    windows = int((found["outcome"] == 0).sum())
    click.echo(f"{cases.size} cases, {windows} answered: {out}")
    click.echo(f"Mind: {MIND}.")
    return 0


def _drawn(told: dict[str, Any], target: Path, how: str, quiet: bool) -> int:
    """Draw how deep and how weak over one range, or deepest over two."""
    import outgas
    from outgas.many.drawn import map_chart

    found = outgas.sweep(**told, how=how, voids=False, progress=False if quiet else None)
    map_chart(found).save(target)
    click.echo(str(target))
    return 0


@click.command("wall-chart", cls=HelpfulCommand)
@click.argument("resin")
@functools.partial(told_options, besides=("resin", "temperature", "humidity"))
@click.option("--dial", metavar="DIAL", help="inHg, mmHg, bar, percent, mbar or torr.")
@click.option("--out", metavar="FILE", help="chart.csv, chart.html or chart.txt; else printed.")
@click.option("--json", "json_out", is_flag=True, help="Plain numbers in SI.")
@job_option
def wall_chart_command(dial: str | None, out: str | None, json_out: bool, **given: Any) -> int:
    """Print where to debulk and cure RESIN, and where it boils, from 15 to 35 C."""
    import outgas
    from outgas.files import write_atomic

    ready()
    told = {k: v for k, v in told_of(given).items() if k not in ("temperature", "humidity")}
    chart = outgas.wall_chart(**told)
    text = chart.to_json() if json_out else chart.to_text(dial)
    if out is None:
        click.echo(text)
        return 0
    made = {".csv": chart.to_csv, ".html": chart.to_html, ".txt": chart.to_text}
    target = Path(out)
    if target.suffix not in made:
        raise InputError(f"{out}: a chart is written to {', '.join(made)}")
    try:
        write_atomic(target, made[target.suffix](dial).encode(), shown=True)
    except OSError as error:
        raise InputError(f"{out} cannot be written: {error.strerror or error}") from None
    click.echo(out)
    return 0


@click.command("uncertainty", cls=HelpfulCommand)
@click.argument("resin")
@functools.partial(told_options, besides=("resin",))
@click.option("--draws", type=int, default=1024, show_default=True, help="A power of two.")
@job_option
@shown()
def uncertainty_command(draws: int, form: Form, **given: Any) -> int:
    """Say how sure the limit of RESIN is, and which uncertain numbers make it so."""
    import outgas

    ready()
    found = outgas.uncertainty(**told_of(given), draws=draws)
    form.tell(found)
    return 0


@click.command("sources", cls=HelpfulCommand)
@click.argument("name", required=False)
@click.option("--weakest", is_flag=True, help="Rank them by what they do to deepest and voids.")
@click.option("--grades", is_flag=True, help="How many were read, recalled, estimated ...")
@functools.partial(told_options, besides=())
@job_option
@shown()
def sources_command(name: str | None, weakest: bool, grades: bool, form: Form, **given: Any) -> int:
    """Say where numbers of the tables come from, how sure each is, and what it moves.

    NAME is a number's, a record's, a table's or a field's: gas.laminate.trapped, cores, gel_time.
    With --weakest options tell the case, else it is orthophthalic polyester at 22 C and 50 %.
    """
    import outgas

    ready()
    if weakest:
        if name is not None or grades:
            raise InputError("--weakest ranks all numbers; give it no NAME and no --grades")
        form.tell(outgas.weakest(**told_of(given)))
        return 0
    typed = [key for key in told_of(given) if _was_typed(key)]
    if typed:
        option = typed[0].replace("_", "-")
        raise InputError(f"--{option} tells a case, which --weakest alone is of")
    found = outgas.sources(name)
    if grades and not form.json_out:
        click.echo(found.grades_table)
    else:
        form.tell(found)
    return 0


def _was_typed(key: str) -> bool:
    """Tell an option on the command line from one that a saved job gave."""
    source = click.get_current_context().get_parameter_source(key)
    return source is click.core.ParameterSource.COMMANDLINE


@click.command("advise", cls=HelpfulCommand)
@click.argument("resin", required=False)
@functools.partial(told_options, besides=("resin",))
@click.option("--from", "source", metavar="FILE", required=True, help="A CSV of jobs; - is stdin.")
@click.option("--out", metavar="FILE", default="-", help="A .csv or .parquet; - is stdout.")
@click.option("--voids/--no-voids", default=True, show_default=True, help="With expected voids.")
@job_option
def table_command(source: str, out: str, voids: bool, **given: Any) -> int:
    """Advise for a table of jobs, a row a job; columns are the options' names with _ for -.

    Rows that cannot be answered are told with their lines, and kept apart beside the answers.
    Exit code 2 where a row was not answered; read the columns for windows and verdicts.
    """
    from outgas.many.fields import MIND
    from outgas.many.jobs_table import answer_table, apart

    ready()
    held = told_of(given)
    suffix = ".csv" if out == "-" else Path(out).suffix
    refused = []
    with _opened(source) as lines, _written(out, suffix) as target:
        for row in answer_table(lines, target, suffix, held, voids=voids):
            refused.append(row)
            click.echo(f"outgas: line {row.line}: {row.why}", err=True)
    if refused and out != "-":
        from outgas.files import write_atomic

        beside = Path(out).with_suffix(".refused.csv")
        write_atomic(beside, apart(refused).encode(), shown=True)
        click.echo(f"outgas: {len(refused)} rows kept apart: {beside}", err=True)
    click.echo(f"Mind: {MIND}.", err=True)
    return 2 if refused else 0


def _opened(source: str) -> Any:
    if source == "-":
        import contextlib

        return contextlib.nullcontext(sys.stdin)
    try:
        return Path(source).open(encoding="utf-8-sig", newline="")
    except OSError as error:
        raise InputError(f"{source} cannot be read: {error.strerror or error}") from None


class _written:  # noqa: N801 - a context, used as a function
    """A file that stands under its name only once it is whole; standard output as it comes."""

    def __init__(self, out: str, suffix: str) -> None:
        self.out, self.binary = out, suffix == ".parquet"
        self.file: Any = None

    def __enter__(self) -> Any:
        if self.out == "-":
            return sys.stdout
        self.scratch = Path(self.out).with_name(f".{Path(self.out).name}.part")
        try:
            self.file = self.scratch.open("wb") if self.binary else self.scratch.open("w")
        except OSError as error:
            raise InputError(f"{self.out} cannot be written: {error.strerror or error}") from None
        return self.file

    def __exit__(self, kind: Any, *_: Any) -> None:
        if self.file is None:
            return
        self.file.close()
        if kind is None:
            self.scratch.replace(self.out)
        else:
            self.scratch.unlink(missing_ok=True)
