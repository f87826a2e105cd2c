"""A resin of one's own on the command line: made from its data sheet, and checked."""

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from outgas.cli.commands.lists import resins_group
from outgas.cli.form import JSON_OPTION, PLAIN_UNITS_OPTION, as_json, say, say_wrapped
from outgas.cli.options import BAD_INPUT, options, ready
from outgas.errors import InputError, SeveralMistakesError
from outgas.job.job_keys import read_traces

SHEET_OPTIONS = [
    click.option("--density", metavar="D", help="1.1 (g/cm3) or '1100 kg/m3'."),
    click.option("--viscosity", metavar="V", help="'450 cP', '400 to 500 mPa s'."),
    click.option("--gel-time", metavar="T", help="Of the standard mass: '20 min', '15-25 min'."),
    click.option("--gel-of", metavar="cup|film", help="What the gel time is of; epoxy needs it."),
    click.option("--gel-temperature", metavar="T", help="At which a hot resin's gel was read."),
    click.option("--time-to-peak", metavar="T", help="Of the standard mass: '35 min'."),
    click.option("--peak-temperature", metavar="T", help="Of the standard mass: '155 C'."),
    click.option("--initiator-level", metavar="SHARE", help="That may be used: '1 to 2 %'."),
    click.option(
        *("--minimum-temperature", "--min-temperature"),
        metavar="T",
        help="Coldest to work at: '15 C'.",
    ),
    click.option("--heat", metavar="Q", help="Of reaction, where it is printed: '363 kJ/kg'."),
    click.option("--cure-temperature", metavar="T", help="Of a resin cured hot: '121 C'."),
    click.option("--post-cure-temperature", metavar="T", help="'60 C'."),
]
ASKED = ("family", "viscosity", "gel_time")  # what a sheet must say, in the order it is asked


@resins_group.command("new")
@click.option("--family", metavar="NAME", help="polyester, vinyl ester, epoxy, acrylic ...")
@click.option("--monomer", multiple=True, metavar="NAME=SHARE", help="styrene=40%; repeat.")
@options(SHEET_OPTIONS)
@click.option("--name", default="my-resin", show_default=True, metavar="NAME")
@click.option("--out", metavar="FILE", help="Write here; on standard output if not given.")
@click.option("--force", is_flag=True, help="Also over a file that is there.")
def new_command(
    family: str | None, monomer: Sequence[str], out: str | None, force: bool, **given: Any
) -> int:
    """Make a resin of your own from its data sheet, as a TOML file that every command takes.

    What the sheet does not print is taken from the nearest shipped relative, with wider ranges.
    """
    ready()
    from outgas.job import own_resin

    name, gel_of = given.pop("name"), given.pop("gel_of")
    _may_write(out, force)
    numbers = {field: text for field, text in given.items() if text is not None}
    answers = {**numbers, **({"family": family} if family else {})}
    _complete(answers, monomer_given=bool(monomer))
    monomer = [*monomer, *([answers.pop("monomer")] if answers.get("monomer") else [])]
    sheet = own_resin.Sheet(
        family=answers.pop("family"),
        name=name,
        monomers=read_traces(monomer, "monomer", "styrene=40%"),
        numbers=answers,
        gel_of=gel_of,
    )
    text = own_resin.as_toml(*_named_by_option(lambda: own_resin.from_sheet(sheet)))
    if out is None:
        say(text.rstrip())
    else:
        _write(Path(out), text)
    return 0


def _complete(answers: dict[str, str], *, monomer_given: bool) -> None:
    """Ask for what is missing where somebody can answer; else say all that is missing."""
    from outgas.job import own_resin

    examples = {"family": "polyester", **own_resin.PRINTED}
    asks = sys.stdin.isatty()
    missing = []
    for field in ASKED:
        if field not in answers and asks:
            words = f"{field.replace('_', ' ')}, as {examples[field]!r}"
            answers[field] = click.prompt(words, err=True)
        elif field not in answers:
            missing.append(f"give {_option(field)}, as {examples[field]!r}")
    if not monomer_given and "family" in answers:
        family = own_resin.read_family(answers["family"])
        if own_resin.boils(family):
            example = f"{own_resin.kin(family)[0].monomers[0].volatile}=40%"
            if asks:
                answers["monomer"] = click.prompt(f"monomer, as {example!r}", err=True)
            else:
                missing.append(f"give --monomer, as {example!r}")
    if missing:
        raise SeveralMistakesError(missing)


def _option(field: str) -> str:
    return f"--{field.replace('_', '-')}"


def _named_by_option(read: Callable[[], Any]) -> Any:
    """Return what is read; a missing field is told by the name of its option."""
    try:
        return read()
    except InputError as error:
        field, mark, rest = str(error).partition(" is missing")
        if mark and field.replace("_", "").isalpha():
            raise InputError(f"{_option(field)} is missing{rest}") from None
        raise


def _may_write(out: str | None, force: bool) -> None:
    """Refuse a file that is there, before anything is reckoned."""
    if out is not None and not force and Path(out).exists():
        raise InputError(f"{out} is there already; give another --out, or --force to replace it")


def _write(path: Path, text: str) -> None:
    from outgas.files import write_atomic

    try:
        write_atomic(path, text.encode())
    except OSError as error:
        raise InputError(f"cannot write {path}: {error.strerror or error}") from None


@resins_group.command("check")
@click.argument("file")
@PLAIN_UNITS_OPTION
@JSON_OPTION
def check_command(file: str, json_out: bool) -> int:
    """Say what is missing, doubtful or out of range in a resin's FILE, and what it advises.

    Exit code 2 where it cannot be used.
    """
    ready()
    from outgas.window.resin_check import check_resin

    found = check_resin(file)
    if json_out:
        as_json(found.to_dict())
    else:
        say_wrapped(str(found))
    return 0 if found.usable else BAD_INPUT
