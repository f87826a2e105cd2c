"""The command line's entry: which commands there are, and how each ends.

Exit codes: 0 done; 1 no safe window, an unsafe verdict or a refusal; 2 bad input; 70 a fault of
outgas itself, with a traceback; 130 stopped, or its output could not be written: the reader went
away, the device is full. A script may take 1 for 'do not': no fault ever exits with it.
"""

import contextlib
import errno
import importlib
import os
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path

import click

from outgas.cli.completion import completing, in_own_words
from outgas.cli.form import SYSTEM, in_units, say
from outgas.cli.helps import HelpfulGroup
from outgas.cli.options import BAD_INPUT, FAULT, INTERRUPTED, UNSAFE
from outgas.cli.progress import watching
from outgas.errors import OutgasError, RefusedError, SeveralMistakesError

# What a stream to a full device, or to nobody, fails with.
NOT_WRITTEN = (errno.ENOSPC, errno.EPIPE, errno.EIO, errno.EDQUOT, errno.EBADF, errno.EFBIG)

# Groups of commands with a module of their own, loaded when first named: module and attribute.
LAZY_COMMANDS = {
    "advise": ("outgas.cli.commands.before", "advise_command"),
    "bleed": ("outgas.cli.commands.after", "bleed_command"),
    "card": ("outgas.cli.commands.card", "card_command"),
    "diagnose": ("outgas.cli.commands.after", "diagnose_command"),
    "convert": ("outgas.cli.commands.before", "convert_command"),
    "draw": ("outgas.cli.commands.draw", "draw_group"),
    "job": ("outgas.cli.commands.job", "job_group"),
    "list": ("outgas.cli.commands.listed", "list_command"),
    "no-gauge": ("outgas.cli.commands.no_gauge", "no_gauge"),
    "panels": ("outgas.cli.commands.panels", "panels_group"),
    "press": ("outgas.cli.commands.before", "press_command"),
    "read-log": ("outgas.cli.commands.read_log", "read_log_command"),
    "resins": ("outgas.cli.commands.own_resin", "resins_group"),
    "schema": ("outgas.cli.commands.schema", "schema_command"),
    "schedule": ("outgas.cli.commands.before", "schedule_command"),
    "sources": ("outgas.cli.commands.many", "sources_command"),
    "sweep": ("outgas.cli.commands.many", "sweep_command"),
    "uncertainty": ("outgas.cli.commands.many", "uncertainty_command"),
    "volatiles": ("outgas.cli.commands.lists", "volatiles_group"),
    "wall-chart": ("outgas.cli.commands.many", "wall_chart_command"),
}


class LazyGroup(HelpfulGroup):
    """A group whose larger commands are imported when they are asked for."""

    def list_commands(self, context: click.Context) -> list[str]:
        """Return the names of all commands, loaded or not."""
        return sorted({*super().list_commands(context), *LAZY_COMMANDS})

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """Return a command, loading its module if it has one of its own."""
        if name in LAZY_COMMANDS:
            module, attribute = LAZY_COMMANDS[name]
            command: click.Command = getattr(importlib.import_module(module), attribute)
            return completing(command, name)
        return super().get_command(context, name)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read what follows, with the functions' names for options taken for the options' own."""
        return super().parse_args(ctx, in_own_words(args))


@click.group(
    cls=LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="outgas", message="outgas %(version)s")
def outgas_group() -> None:
    """How much vacuum a resin will stand, before it boils under the bag."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code; one line on standard error for each error."""
    SYSTEM.set("metric")
    _open_streams()
    try:
        with watching():
            result = outgas_group.main(args=arguments, prog_name="outgas", standalone_mode=False)
        return int(result or 0)
    except click.exceptions.NoArgsIsHelpError as error:
        say(error.format_message())
        return BAD_INPUT
    except click.ClickException as error:
        return _complain(error.format_message(), BAD_INPUT)
    except click.Abort:
        return _complain("stopped", INTERRUPTED)
    except RefusedError as error:
        return _complain(str(error), UNSAFE)
    except SeveralMistakesError as error:
        return [_complain(mistake, BAD_INPUT) for mistake in error.mistakes][-1]
    except OutgasError as error:
        return _complain(str(error), BAD_INPUT)
    except SystemExit as stopped:  # click's: a shell was told what completes, or went away too soon
        return INTERRUPTED if stopped.code else 0
    except Exception as error:
        if isinstance(error, OSError) and error.errno in NOT_WRITTEN:
            _drop_output()
            return _complain(f"the output cannot be written: {error.strerror}", INTERRUPTED)
        with contextlib.suppress(OSError):
            traceback.print_exc()
        return _complain("this is a fault of outgas, not of what was given; see above", FAULT)


def _complain(message: str, code: int) -> int:
    """Print one line on standard error and return the exit code."""
    try:
        click.echo(f"outgas: {' '.join(in_units(message).split())}", err=True)
    except OSError:  # nobody can be told, but the code still says it
        _drop_output()
    return code


def _open_streams() -> None:
    """Give a process that was started without an output one that goes nowhere."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 - to the end


def _drop_output() -> None:
    """Let go of what could not be written, or the interpreter would try again at its end.

    Its exit code would then be that of a failed write, whatever was to be said.
    """
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):
            with contextlib.suppress(OSError, ValueError):
                os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
