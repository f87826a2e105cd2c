"""The command line over a shop's own panels: write one down, and what they teach."""

from collections.abc import Callable, Sequence
from typing import Any

import click

from outgas.cli.form import JSON_OPTION, PLAIN_UNITS_OPTION, Form, as_json, say, say_wrapped, shown
from outgas.cli.helps import HelpfulCommand, HelpfulGroup
from outgas.cli.options import options, read_group, ready
from outgas.errors import InputError
from outgas.job.job_keys import KEYS
from outgas.panels.panel import JOB_KEYS, OWN_KEYS

# Where the panels of a log were made that do not say so themselves; none of it needs to be told.
SHOP_OPTIONS = [
    click.option("--temperature", metavar="T", help="Of panels that say none: 26C."),
    click.option("--humidity", metavar="RH", help="Of panels that say none: 60%."),
    click.option("--altitude", metavar="H", help="Of panels that say none: 20m."),
    click.option("--barometer", metavar="P", help="Of panels that say none: '1003 hPa'."),
]
ACROSS_OPTION = click.option(
    "--across",
    multiple=True,
    metavar="PART",
    help="Take as one what is not: family, process or cloth; repeat.",
)


def panel_options(command: Callable[..., int]) -> Callable[..., int]:
    """Give a command an option for each key of a panel."""
    for key in reversed(JOB_KEYS):
        of, name = KEYS[key], "--" + key.replace("_", "-")
        if of.kind == "flag":
            command = click.option(name, is_flag=True, default=None, help=of.what)(command)
            continue
        example = of.example[0] if isinstance(of.example, tuple) else of.example
        command = click.option(
            name,
            multiple=of.kind == "several",
            metavar=key.upper(),
            help=f"{of.what}: '{example}'",
        )(command)
    for key, (example, what) in reversed(OWN_KEYS.items()):
        name = "--" + key.replace("_", "-")
        command = click.option(name, metavar=key.upper(), help=f"{what}: '{example}'")(command)
    return command


@click.group("panels", cls=HelpfulGroup)
def panels_group() -> None:
    """Keep a log of your own panels, and learn from it what your gas, eyes and resins do."""


@panels_group.command("add", cls=HelpfulCommand)
@click.argument("file")
@panel_options
@PLAIN_UNITS_OPTION
def add_command(file: str, **given: Any) -> int:
    """Write a panel at the end of the log FILE, a .toml or a .csv, which is made if need be.

    The log is written whole or stays as it was.
    """
    from outgas.panels.log import add_panel

    ready()
    told = {
        key: list(value) if isinstance(value, tuple) else value
        for key, value in given.items()
        if value not in (None, (), False)
    }
    add_panel(file, told)
    say(f"{file}: a panel more. Try: outgas panels learn {file}")
    return 0


@panels_group.command("show", cls=HelpfulCommand)
@click.argument("file")
@PLAIN_UNITS_OPTION
@JSON_OPTION
def show_command(file: str, json_out: bool) -> int:
    """List the panels of the log FILE, and the rows that cannot be read, by their line."""
    from outgas.panels.log import read_panels
    from outgas.panels.words import said

    ready()
    log = read_panels(file)
    if json_out:
        as_json(log.to_dict())
        return 0
    for panel in log.panels:
        say_wrapped(f"line {panel.line}  {panel.name}: {dict(panel.told)['resin']}, {said(panel)}")
    for fault in log.faults:
        say_wrapped(f"left out, {fault}")
    return 0


def _learnt(file: str, across: Sequence[str], given: dict[str, Any]) -> Any:
    """Return what a log teaches; its shop is told by its own rows, or by the options."""
    import outgas

    ready()
    return outgas.learn(file, shop_beside(given), across=across)


def shop_beside(given: dict[str, Any]) -> Any:
    """Return the shop that options tell of, None where they tell of none."""
    import outgas

    told = {name: value for name, value in given.items() if value is not None}
    if not told:
        return None
    for name in ("temperature", "humidity"):
        if name not in told:
            raise InputError(f"a shop needs its {name} too; add --{name}")
    return read_group(outgas.Shop, told, [])


@panels_group.command("learn", cls=HelpfulCommand)
@click.argument("file")
@options(SHOP_OPTIONS, [ACROSS_OPTION])
@shown()
def learn_command(file: str, across: Sequence[str], form: Form, **given: Any) -> int:
    """Say what the panels of the log FILE teach: before and after, and what contradicts.

    Hand it to an advice with --panels FILE.
    """
    form.tell(_learnt(file, across, given))
    return 0


@panels_group.command("next", cls=HelpfulCommand)
@click.argument("file")
@options(SHOP_OPTIONS, [ACROSS_OPTION])
@shown()
def next_command(file: str, across: Sequence[str], form: Form, **given: Any) -> int:
    """Say which test panel would teach the most, after those of the log FILE."""
    from outgas.panels.words import next_told

    found = _learnt(file, across, given)
    form.tell(found, next_told(found))
    return 0
