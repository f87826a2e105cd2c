"""The command line: one thin command per advice. Parse, call the library, print, exit.

Exit codes: 0 done; 1 no safe window, an unsafe verdict or a refusal; 2 bad input.
"""

import functools
import importlib
import json
import sys
import warnings
from collections.abc import Callable, Sequence
from typing import Any

import click

from outgas.errors import InputError, OutgasError, OutgasWarning, RefusedError

UNSAFE, BAD_INPUT, INTERRUPTED = 1, 2, 130

Command = Callable[..., int]


def ready() -> None:
    """Set pint's application registry to a cached one, which loads in a tenth of the time."""
    import pint

    try:
        registry: Any = pint.UnitRegistry(cache_folder=":auto:")
    except OSError:  # no place for a cache
        registry = pint.UnitRegistry()
    pint.set_application_registry(registry)  # type: ignore[no-untyped-call]
    warnings.simplefilter("ignore", OutgasWarning)  # they stand in the result


def say(text: str) -> None:
    """Print on standard output."""
    click.echo(text)


def as_json(value: Any) -> None:
    """Print plain types as JSON."""
    say(json.dumps(value, indent=2, ensure_ascii=False))


SHOP_OPTIONS = [
    click.option("--temperature", required=True, metavar="T", help="Air in the shop: 26C, 79F."),
    click.option("--humidity", required=True, metavar="RH", help="Relative: 60%."),
    click.option("--altitude", metavar="H", help="Above sea level: 20m, 5000ft."),
    click.option("--barometer", metavar="P", help="'1003 hPa'; with --altitude, a weather app's."),
    click.option("--tool-temperature", metavar="T", help="Of the tool's face, if not the air's."),
    click.option("--sun", metavar="Q", help="On the bag: '600 W/m2'."),
]
LAYUP_OPTIONS = [
    click.option("--ply", multiple=True, metavar="PLY", help="'3 x 400 g/m2 woven glass'; repeat."),
    click.option("--core", metavar="CORE", help="'15 mm PVC foam'."),
    click.option("--area", metavar="A", help="Of the panel: '0.8 m2'."),
    click.option("--tool", metavar="TOOL", help="'6 mm glass plate'."),
    click.option("--bag-side", multiple=True, metavar="LAYER", help="'peel ply'; repeat."),
]
PROCESS_OPTION = click.option(
    "--process",
    default="wet layup",
    show_default=True,
    metavar="NAME",
    help="wet-layup, infusion, prepreg, degassing, core-bonding or pressing.",
)
CURE_OPTIONS = [
    click.option("--initiator", metavar="SHARE", help="Inside the sheet's range: 1.5%."),
    click.option("--gel-time", metavar="T", help="Of a cup of this batch here: '20 min'."),
]
HOTTEST_OPTION = click.option(
    "--hottest", metavar="T", help="Warmest the laminate gets before it holds: 35C."
)
CASE_OPTIONS = [
    click.option("--degassed", metavar="P", help="Pressure of the degassing pot: '90 mbar'."),
    click.option("--air-pressure", metavar="P", help="Of the air left in the resin: '27 mbar'."),
    click.option("--entrained", metavar="SHARE", help="Air stirred in, by volume: 0.5%."),
    click.option("--water-activity", metavar="A", help="0 to 1, if known."),
    click.option("--contaminant", multiple=True, metavar="NAME=SHARE", help="acetone=1%; repeat."),
    click.option("--void-target", default="2 %", show_default=True, metavar="SHARE"),
    click.option("--vapour-share", metavar="SHARE", help="Most of a bubble that may be vapour."),
    click.option("--confidence", default="95 %", show_default=True, metavar="SHARE"),
]
RIG_OPTIONS = [
    click.option("--pump-ultimate", metavar="P", help="'2 mbar'."),
    click.option("--hold-error", metavar="P", help="How far the pressure wanders: '20 mbar'."),
    click.option("--autoclave", metavar="P", help="On the bag, above the atmosphere: '5 bar'."),
    click.option("--reads-with", default="dial", help="dial (default), water or 'sensor 5 mbar'."),
]
JSON_OPTION = click.option("--json", "json_out", is_flag=True, help="Plain types in SI.")


def options(*groups: list[Any]) -> Callable[[Command], Command]:
    """Return a decorator that adds groups of options in their order."""

    def add(command: Command) -> Command:
        flat = [option for group in groups for option in group]
        return functools.reduce(lambda done, option: option(done), reversed(flat), command)

    return add


def read_contaminants(given: Sequence[str]) -> dict[str, str]:
    """Return {'acetone': '1%'} from 'acetone=1%' or 'acetone 1 %'."""
    found: dict[str, str] = {}
    for text in given:
        name, mark, share = text.partition("=")
        if not mark:
            name, _, share = text.strip().partition(" ")
        if not name.strip() or not share.strip():
            raise InputError(f"contaminant is {text[:60]!r}; write it as 'acetone=1%'")
        found[name.strip()] = share.strip()
    return found


def read_shop(o: dict[str, Any]) -> Any:
    """Return the shop that the options describe, taken out of them."""
    import outgas

    names = ("temperature", "humidity", "altitude", "barometer", "tool_temperature", "sun")
    return outgas.Shop(**{name: o.pop(name) for name in names})


def read_layup(o: dict[str, Any]) -> Any:
    """Return the layup that the options describe, taken out of them."""
    import outgas

    return outgas.Layup(
        plies=list(o.pop("ply")),
        core=o.pop("core"),
        area=o.pop("area"),
        tool=o.pop("tool"),
        bag_side=list(o.pop("bag_side")) or None,
    )


def job_from(o: dict[str, Any]) -> tuple[Any, Any, Any]:
    """Return the shop, the layup and the rig that the options describe, taken out of them."""
    import outgas

    shop, layup = read_shop(o), read_layup(o)
    rig = outgas.Rig(**{k: o.pop(k) for k in ("pump_ultimate", "hold_error", "autoclave")})
    o["contaminants"] = read_contaminants(o.pop("contaminant"))
    return shop, layup, rig


def advice_from(o: dict[str, Any], bag: str | None) -> tuple[Any, Any]:
    """Return the advice and the layup that the options describe."""
    import outgas

    shop, layup, rig = job_from(o)
    resin = o.pop("resin")
    return outgas.advise(resin, shop, layup=layup, rig=rig, bag_pressure=bag, **o), layup


# Groups of commands with a module of their own, loaded when first named: module and attribute.
LAZY_COMMANDS = {
    "bleed": ("outgas.cli_after", "bleed_command"),
    "diagnose": ("outgas.cli_after", "diagnose_command"),
    "no-gauge": ("outgas.cli_no_gauge", "no_gauge"),
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


@outgas_group.command("advise")
@click.argument("resin")
@options(
    SHOP_OPTIONS,
    [PROCESS_OPTION, HOTTEST_OPTION],
    CURE_OPTIONS,
    CASE_OPTIONS,
    LAYUP_OPTIONS,
    RIG_OPTIONS,
)
@click.option("--bag", metavar="P", help="What the bag is at, for a verdict: '28 inHg vacuum'.")
@click.option("--dial", default="inHg", show_default=True, help="inHg mmHg bar percent mbar torr")
@JSON_OPTION
def advise_command(bag: str | None, dial: str, json_out: bool, **given: Any) -> int:
    """Say how deep a bag may go over RESIN, for the cure and for the debulk.

    RESIN is a name that `outgas resins` lists, or the path of a TOML file of your own.
    """
    from outgas.show.dial import read_dial

    ready()
    dial = read_dial(dial)
    advice, _ = advice_from(given, bag)
    if json_out:
        as_json(advice.to_dict())
    else:
        from outgas.show.text import advice_text

        say(advice_text(advice, dial))
    return 0 if advice.safe else UNSAFE


@outgas_group.command("schedule")
@click.argument("resin")
@options(SHOP_OPTIONS, [PROCESS_OPTION], CURE_OPTIONS, CASE_OPTIONS, LAYUP_OPTIONS, RIG_OPTIONS)
@click.option("--batch", metavar="M", help="Mixed in one cup: '1.2 kg'.")
@click.option("--wet-out", metavar="T", help="How long wetting out takes you: '12 min'.")
@click.option("--fill", metavar="T", help="How long an infusion's fill takes: '15 min'.")
@click.option("--no-degas", is_flag=True, help="Leave out degassing the plain resin first.")
@click.option("--dial", default="inHg", show_default=True, help="inHg mmHg bar percent mbar torr")
@click.option("--csv", "csv_out", is_flag=True, help="Time and setpoint for a controller, in SI.")
@JSON_OPTION
def schedule_command(no_degas: bool, dial: str, csv_out: bool, json_out: bool, **given: Any) -> int:
    """Plan a job in RESIN minute by minute against its gel; --ply is needed, but for degassing.

    Exit code 1 where a rule of the clock or the window cannot be kept: the plan says which.
    """
    import outgas
    from outgas.show.dial import read_dial

    ready()
    dial = read_dial(dial)
    if csv_out and json_out:
        raise InputError("give --csv or --json, not both")
    shop, layup, rig = job_from(given)
    resin = given.pop("resin")
    plan = outgas.schedule(resin, shop, layup=layup, rig=rig, degas=not no_degas, **given)
    if json_out:
        as_json(plan.to_dict())
    else:
        say(plan.to_csv().rstrip() if csv_out else plan.to_text(dial))
    return 0 if plan.fits else UNSAFE


@outgas_group.command("press")
@click.argument("resin")
@options(SHOP_OPTIONS, [HOTTEST_OPTION], CURE_OPTIONS, CASE_OPTIONS, LAYUP_OPTIONS, RIG_OPTIONS)
@click.option("--clamp", metavar="P", help="From the press, on top of the atmosphere: '500 mbar'.")
@JSON_OPTION
def press_command(clamp: str | None, json_out: bool, **given: Any) -> int:
    """Say what force presses a panel of RESIN instead of a bag; --area is needed."""
    import outgas

    ready()
    given["process"] = "pressing"
    advice, layup = advice_from(given, None)
    press = outgas.press_instead(advice, layup, clamp)
    if json_out:
        as_json(press.to_dict())
    else:
        say(str(press))
    return 0 if press.safe else UNSAFE


def add_catalogue(kind: str, list_help: str, show_help: str) -> None:
    """Add the group that lists all records of a kind, and its command that shows one."""

    @outgas_group.group(f"{kind}s", invoke_without_command=True, help=list_help)
    @JSON_OPTION
    @click.pass_context
    def group(context: click.Context, json_out: bool) -> int:
        from outgas import catalogue
        from outgas.show import tables

        if context.invoked_subcommand is not None:
            return 0
        if json_out:
            find = getattr(catalogue, kind)
            names = getattr(catalogue, f"{kind}s")()
            as_json({name: tables.plain(find(name)) for name in names})
        else:
            tables.console().print(getattr(tables, f"{kind}_list")())
        return 0

    @group.command("show", help=show_help)
    @click.argument("name")
    @JSON_OPTION
    def show(name: str, json_out: bool) -> int:
        from outgas import catalogue
        from outgas.show import tables

        record = getattr(catalogue, kind)(name)
        if json_out:
            as_json(tables.plain(record))
        else:
            tables.console().print(*getattr(tables, f"show_{kind}")(record), sep="\n")
        return 0


add_catalogue(
    "resin",
    "List the resin systems; `resins show NAME` explains one.",
    "Show every number of one resin, with its range and source.",
)
add_catalogue(
    "volatile",
    "List what can boil out of a resin; `volatiles show NAME` explains one.",
    "Show every number of one volatile, with its curve, range and source.",
)


@outgas_group.command("convert")
@click.argument("reading", required=False)
@click.option("--altitude", metavar="H", help="Above sea level: 20m, 5000ft.")
@click.option("--barometer", metavar="P", help="'1003 hPa'; with --altitude, a weather app's.")
@JSON_OPTION
def convert_command(
    reading: str | None, altitude: str | None, barometer: str | None, json_out: bool
) -> int:
    """Say what a dial READING means, and what the barometer is at an altitude.

    READING: '28 inHg vacuum', '-0.94 bar gauge', '95 % vacuum', '60 mbar'.
    """
    ready()
    from outgas import units
    from outgas.catalogue import practice
    from outgas.job.gauge import cannot_tell, reading_of, station_air

    here, note = station_air(altitude, barometer)
    found: dict[str, Any] = {"barometer_Pa": here}
    lines = [note]
    if reading is not None:
        got = reading_of(reading, here, "reading")
        dials = units.dial_readings(got.absolute_Pa, here)
        found |= {"absolute_Pa": got.absolute_Pa, "dials": dials}
        shown = ", ".join(f"{dials[key]:.{places}f} {words}" for key, places, words in _SHOWN)
        lines.insert(0, f"{reading}: {shown}")
        error = practice().reading.dial.high_si
        if got.by_dial and got.absolute_Pa < error:
            found["flag"] = cannot_tell(got.absolute_Pa, error)
            lines.append(f"note: {found['flag']}")
    if json_out:
        as_json({"kind": "outgas convert", "version": 1, **found, "note": note})
    else:
        say("\n".join(lines))
    return 0


_SHOWN = (
    ("absolute_mbar", 1, "mbar absolute"),
    ("vacuum_inHg", 2, "inHg vacuum"),
    ("vacuum_mmHg", 1, "mmHg vacuum"),
    ("gauge_bar", 3, "bar gauge"),
    ("vacuum_percent", 1, "% vacuum"),
    ("absolute_torr", 1, "torr absolute"),
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code; one line on standard error for an error."""
    try:
        result = outgas_group.main(args=arguments, prog_name="outgas", standalone_mode=False)
        return int(result or 0)
    except click.exceptions.NoArgsIsHelpError as error:
        say(error.format_message())
        return BAD_INPUT
    except click.ClickException as error:
        return complain(error.format_message(), BAD_INPUT)
    except click.Abort:
        return complain("stopped", INTERRUPTED)
    except RefusedError as error:
        return complain(str(error), UNSAFE)
    except OutgasError as error:
        return complain(str(error), BAD_INPUT)
    except BrokenPipeError:  # the reader of our output went away
        sys.stderr.close()
        return 0


def complain(message: str, code: int) -> int:
    """Print one line on standard error and return the exit code."""
    click.echo(f"outgas: {' '.join(message.split())}", err=True)
    return code


if __name__ == "__main__":
    sys.exit(main())
