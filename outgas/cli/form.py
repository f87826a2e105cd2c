"""How an answer is printed: on which dial, in which units; short, in full, in part, or as JSON."""

import functools
import json
import shutil
import sys
import textwrap
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

import click

from outgas.cli import progress
from outgas.errors import InputError
from outgas.show.answer import Answer, read_units
from outgas.show.dial import read_dial
from outgas.show.report import NARROW, PARTS, Part, Report
from outgas.show.us import in_us

NARROWEST = 40  # columns that a short answer is still set in
# What the command that runs prints in: its errors too, which are told when it is over.
SYSTEM: ContextVar[str] = ContextVar("system", default="metric")


def say(text: str) -> None:
    """Print on standard output, in the units that were chosen."""
    progress.stop()
    click.echo(in_units(text))


def say_wrapped(text: str) -> None:
    """Print lines on standard output, each no wider than a short answer."""
    progress.stop()
    width = columns()
    for line in in_units(text).splitlines():
        click.echo(textwrap.fill(line, width, subsequent_indent="  "))


def in_units(text: str) -> str:
    """Return a text in the units that were chosen."""
    return in_us(text) if SYSTEM.get() == "us" else text


def as_json(value: Any) -> None:
    """Print plain types as JSON."""
    progress.stop()
    click.echo(json.dumps(value, indent=2, ensure_ascii=False))


def columns() -> int:
    """Return how wide a short answer is set: the terminal's width, 80 in a pipe."""
    if not sys.stdout.isatty():
        return NARROW
    return max(NARROWEST, shutil.get_terminal_size((NARROW, 24)).columns)


@dataclass(frozen=True, slots=True)
class Form:
    """What was asked of the print: dial, units, and how much of it."""

    dial: str | None
    units: str
    json_out: bool
    full: bool
    why: bool = False
    do: bool = False
    cautions: bool = False
    quiet_out: bool = False

    def tell(self, answer: Answer, report: Report | None = None) -> None:
        """Print an answer; report is another telling of it than its own."""
        if self.json_out:
            as_json(answer.to_dict())
        else:
            self.tell_report(answer.report if report is None else report)

    def tell_report(self, report: Report) -> None:
        """Print a report: a few lines of it, all of it, or the parts that were asked for."""
        us = self.units == "us"
        asked: tuple[Part, ...] = tuple(
            part for part in PARTS if {"why": self.why, "do": self.do}.get(part, self.cautions)
        )
        if asked and len(asked) < len(PARTS):
            text = report.text(self.dial, us, asked) or "Nothing of that here; see --full."
        elif self.full or asked:
            text = report.text(self.dial, us)
        else:
            text = report.brief(self.dial, us, columns())
        progress.stop()
        click.echo(text)


def _dial(context: click.Context, option: click.Parameter, value: str) -> str | None:
    """Return the dial that was chosen; None where the option was left at its default."""
    from click.core import ParameterSource

    left = context.get_parameter_source(option.name or "") is ParameterSource.DEFAULT
    return None if left else read_dial(value)


def _units(context: click.Context, option: click.Parameter, value: str) -> str:
    from click.core import ParameterSource

    found = read_units(value)
    if context.get_parameter_source(option.name or "") is not ParameterSource.DEFAULT:
        SYSTEM.set(found)  # left out, it leaves what the group before it was told
    return found


DIAL_OPTION = click.option(
    "--dial",
    default="inHg",
    show_default=True,
    metavar="NAME",
    callback=_dial,
    help="inHg, mmHg, bar, kPa, psi, percent, mbar or torr.",
)
UNITS_OPTION = click.option(
    "--units",
    default="metric",
    show_default=True,
    metavar="NAME",
    callback=_units,
    help="metric or us: masses, lengths, areas and temperatures; pressures follow --dial.",
)
# The same for a command that prints no answer but lines of its own.
PLAIN_UNITS_OPTION = click.option(
    "--units",
    default="metric",
    show_default=True,
    metavar="NAME",
    is_eager=True,
    expose_value=False,
    callback=_units,
    help="metric or us, of what is no pressure.",
)
FULL_OPTION = click.option("--full", is_flag=True, help="Everything there is to say.")
WHY_OPTION = click.option("--why", is_flag=True, help="What limits it, what was assumed.")
DO_OPTION = click.option("--do", is_flag=True, help="What to do, step by step.")
CAUTIONS_OPTION = click.option("--cautions", is_flag=True, help="All the cautions.")
QUIET_OPTION = click.option(
    "--quiet", "quiet_out", is_flag=True, help="The setpoint alone; nothing where there is none."
)
JSON_OPTION = click.option("--json", "json_out", is_flag=True, help="Plain types in SI.")
SHOWN = (DIAL_OPTION, UNITS_OPTION, FULL_OPTION, WHY_OPTION, DO_OPTION, CAUTIONS_OPTION)
NAMES = ("dial", "units", "full", "why", "do", "cautions", "quiet_out", "json_out")
# Of these one may be asked at a time; parts may be asked together.
_APART = (("--json", "json_out"), ("--quiet", "quiet_out"), ("--full", "full"))

Command = Callable[..., int]


def shown(*more: Any, dialled: bool = True) -> Callable[[Command], Command]:
    """Give a command the options that say how it prints; it is handed them as `form`.

    dialled is False where no pressure of a bag is told, so that no dial is asked for.
    """

    def add(command: Command) -> Command:
        @functools.wraps(command)
        def run(**given: Any) -> int:
            said = {name: given.pop(name) for name in NAMES if name in given}
            return command(form=_form(said), **given)

        offered = [*(SHOWN if dialled else SHOWN[1:]), *more, JSON_OPTION]
        return functools.reduce(lambda done, option: option(done), reversed(offered), run)

    return add


def _form(said: dict[str, Any]) -> Form:
    asked = [flag for flag, name in _APART if said.get(name)]
    if asked == ["--json", "--full"]:  # JSON keeps all
        asked = []
    parts = [f"--{name}" for name in ("why", "do", "cautions") if said.get(name)]
    if len(asked) + bool(parts) > 1:
        raise InputError(f"give one of {', '.join([*asked, *parts])}; each prints another part")
    return Form(**{"dial": None, **said})
