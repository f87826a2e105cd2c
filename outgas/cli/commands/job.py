"""The command line for saved jobs: write one from options, read one back as it is understood."""

import sys
from collections.abc import Mapping
from typing import Any

import click

from outgas.cli.form import JSON_OPTION, PLAIN_UNITS_OPTION, as_json, say
from outgas.cli.helps import HelpfulGroup
from outgas.cli.job_option import VARIABLE
from outgas.cli.options import Command, ready
from outgas.errors import SeveralMistakesError
from outgas.job.job_keys import GROUPS, KEYS, NEEDED, TITLES, Told

VERSION = 1  # of what --json prints


@click.group("job", cls=HelpfulGroup)
def job_group() -> None:
    """Keep what is said of a job in a file, for --job and for OUTGAS_JOB."""


def _key_options(command: Command) -> Command:
    """Give a command an option for each key of a job, the resin left out: it is an argument."""
    for name, key in reversed(KEYS.items()):
        if name == "resin":
            continue
        flag = f"--{name.replace('_', '-')}"
        if key.kind == "flag":
            option = click.option(flag, is_flag=True, help=_sentence(key.what))
        else:
            example = key.example[0] if isinstance(key.example, tuple) else key.example
            repeat = "; repeat" if key.kind == "several" else ""
            option = click.option(
                flag,
                multiple=key.kind == "several",
                metavar="TEXT",
                help=f"{_sentence(key.what)}: '{example}'{repeat}.",
            )
        command = option(command)
    return command


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


@job_group.command("new")
@click.argument("resin", required=False)
@click.option("--out", required=True, metavar="FILE", help="The file to write, as deck.toml.")
@click.option("--force", is_flag=True, help="Write over a file that stands there.")
@_key_options
@JSON_OPTION
def new_command(out: str, force: bool, json_out: bool, **given: Any) -> int:
    """Write a job file for RESIN from the options, commented; the rest stands in it as examples.

    On a terminal it asks for what every advice needs; elsewhere what is missing is an error.
    """
    from outgas.job.job_file import may_write

    ready()
    may_write(out, force=force)
    told = {name: value for name, value in given.items() if value not in (None, (), False)}
    told |= _asked(_missing(told))
    job = _checked(told)
    job.save(out, force=force)
    if json_out:
        as_json(_as_plain(out, job))
    else:
        say(f"{out} written. Try: outgas advise --job {out}")
    return 0


def _asked(missing: list[str]) -> dict[str, str]:
    """Return the answers to what is missing, asked on a terminal; none anywhere else."""
    if not missing or not sys.stdin.isatty():
        return {}
    return {
        name: click.prompt(f"{_sentence(name)}, {KEYS[name].what}, as {KEYS[name].example}")
        for name in missing
    }


def _checked(told: dict[str, Any]) -> Any:
    """Return the job; what is missing is told beside what cannot be used."""
    from outgas.job.saved import Job

    missing = [
        f"{name} is missing; give {_way(name)}, as {KEYS[name].example}" for name in _missing(told)
    ]
    try:
        job = Job(**told)
    except SeveralMistakesError as error:
        raise SeveralMistakesError([*missing, *error.mistakes]) from error
    if missing:
        raise SeveralMistakesError(missing)
    return job


def _way(name: str) -> str:
    return "RESIN" if name == "resin" else f"--{name}"


@job_group.command("show")
@click.argument("file", envvar=VARIABLE)
@PLAIN_UNITS_OPTION
@JSON_OPTION
def show_command(file: str, json_out: bool) -> int:
    """Say how the job in FILE is understood, key by key; without FILE, that of OUTGAS_JOB."""
    from outgas.job.saved import read_job

    ready()
    job = read_job(file)
    missing = _missing(dict(job.told))
    if json_out:
        as_json(_as_plain(file, job))
    else:
        say("\n".join(_shown(file, dict(job.told), job.understood(), missing)))
    return 0


def _missing(told: Mapping[str, Any]) -> list[str]:
    return [name for name in NEEDED if name not in told]


def _as_plain(file: str, job: Any) -> dict[str, Any]:
    """Return a job beside its file, how it is understood, and what it does not say."""
    return {
        "kind": "outgas job file",
        "version": VERSION,
        "file": file,
        "job": job.to_dict(),
        "understood": job.understood(),
        "missing": _missing(dict(job.told)),
    }


def _shown(
    file: str, told: Mapping[str, Told], read: Mapping[str, str], missing: list[str]
) -> list[str]:
    """Return the lines of a job as it is understood."""
    lines = [f"{file}: {len(told)} {'key' if len(told) == 1 else 'keys'}, understood as"]
    for group in GROUPS:
        keys = [key for key in told if KEYS[key].group == group]
        if keys:
            lines += ["", TITLES[group]]
            lines += [f"  - {key} {_given(told[key])}: {read[key]}" for key in keys]
    if missing:
        lines += ["", f"Not said: {', '.join(missing)}; give them on the command line."]
    return lines


def _given(value: Told) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "; ".join(value) if isinstance(value, tuple) else value
