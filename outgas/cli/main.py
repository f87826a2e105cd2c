"""The command line's entry: which commands there are, and how each ends.

Exit codes: 0 done; 1 no safe window, an unsafe verdict or a refusal; 2 bad input; 130 stopped, or
the reader of its output went away.
"""

import importlib
from collections.abc import Sequence

import click

from outgas.cli.options import BAD_INPUT, INTERRUPTED, UNSAFE, say
from outgas.cli.progress import watching
from outgas.errors import OutgasError, RefusedError, SeveralMistakesError

# Groups of commands with a module of their own, loaded when first named: module and attribute.
LAZY_COMMANDS = {
    "advise": ("outgas.cli.before", "advise_command"),
    "bleed": ("outgas.cli.after", "bleed_command"),
    "diagnose": ("outgas.cli.after", "diagnose_command"),
    "convert": ("outgas.cli.before", "convert_command"),
    "draw": ("outgas.cli.draw", "draw_group"),
    "job": ("outgas.cli.job", "job_group"),
    "list": ("outgas.cli.listed", "list_command"),
    "no-gauge": ("outgas.cli.no_gauge", "no_gauge"),
    "press": ("outgas.cli.before", "press_command"),
    "read-log": ("outgas.cli.read_log", "read_log_command"),
    "resins": ("outgas.cli.own_resin", "resins_group"),
    "schedule": ("outgas.cli.before", "schedule_command"),
    "volatiles": ("outgas.cli.lists", "volatiles_group"),
}


class LazyGroup(click.Group):
    """A group whose larger commands are imported when they are asked for."""

    def list_commands(self, context: click.Context) -> list[str]:
        """Return the names of all commands, loaded or not."""
        return sorted({*super().list_commands(context), *LAZY_COMMANDS})

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """Return a command, loading its module if it has one of its own."""
        if name in LAZY_COMMANDS:
            module, attribute = LAZY_COMMANDS[name]
            command: click.Command = getattr(importlib.import_module(module), attribute)
            return command
        return super().get_command(context, name)


@click.group(
    cls=LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="outgas", message="outgas %(version)s")
def outgas_group() -> None:
    """How much vacuum a resin will stand, before it boils under the bag."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code; one line on standard error for each error."""
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
    except SystemExit:  # click's, when the reader of our output went away: it was not told all
        return INTERRUPTED


def _complain(message: str, code: int) -> int:
    """Print one line on standard error and return the exit code."""
    click.echo(f"outgas: {' '.join(message.split())}", err=True)
    return code
