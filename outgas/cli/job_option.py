"""--job: options taken from a saved job, where the command line does not say them itself."""

import functools
from typing import Any

import click
from click.core import ParameterSource

from outgas.cli.options import Command, ready
from outgas.errors import InputError, OutgasError, RefusedError, SeveralMistakesError
from outgas.job.job_keys import KEYS

VARIABLE = "OUTGAS_JOB"


def _read(context: click.Context, _: click.Parameter, path: str | None) -> Any:
    """Return what the file tells, and let it stand in for options that are not given."""
    if path is None or context.resilient_parsing:
        return None
    from outgas.job.saved import read_told

    ready()
    try:
        found = read_told(path)
    except SeveralMistakesError:
        raise
    except InputError as error:
        from_shell = context.get_parameter_source("job") is ParameterSource.ENVIRONMENT
        raise InputError(f"{error}{f' ({VARIABLE} names it)' if from_shell else ''}") from None
    context.default_map = found.told
    return found


def job_option(command: Command) -> Command:
    """Give a command --job; it is handed what the job tells as `job`, None without a file.

    What the job tells is the file's, with the options of the command line in its place.
    """

    @functools.wraps(command)
    def run(**given: Any) -> int:
        found = given["job"]
        if found is None:
            return command(**given)
        from outgas.job.saved import overridden

        context = click.get_current_context()
        told = {
            name: given[name]
            for name in given
            if name in KEYS and context.get_parameter_source(name) is ParameterSource.COMMANDLINE
        }
        given["job"] = overridden(found.told, told)
        for name in found.told.keys() - given["job"].keys() & given.keys():
            given[name] = None  # its rival was given
        try:
            return command(**given)
        except SeveralMistakesError as error:
            lines = [_named(text, found, told) for text in error.mistakes]
            raise SeveralMistakesError(lines) from error
        except RefusedError:
            raise
        except OutgasError as error:
            raise InputError(_named(str(error), found, told)) from error

    option = click.option(
        "--job",
        metavar="FILE",
        envvar=VARIABLE,
        show_envvar=True,
        is_eager=True,
        callback=_read,
        help="A saved job, as `outgas job new` writes it; options go before what it says.",
    )
    return option(run)


def _named(text: str, found: Any, told: dict[str, Any]) -> str:
    """Return a refusal with the file named before it, where the file said what is refused."""
    for key in found.told.keys() - told.keys():
        if text.startswith((f"{key} ", f"{key.replace('_', ' ')} ")):
            return f"{found.path}: {key}: {text}"
    return text
