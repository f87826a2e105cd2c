"""The command line before and during the job: advise, schedule, press, convert."""

from typing import Any

import click

from outgas.cli.commands.table import AdviseOrTable
from outgas.cli.form import (
    JSON_OPTION,
    PLAIN_UNITS_OPTION,
    QUIET_OPTION,
    Form,
    as_json,
    say,
    say_wrapped,
    shown,
)
from outgas.cli.helps import HelpfulCommand
from outgas.cli.job_option import job_option
from outgas.cli.options import (
    ADVISED_OPTIONS,
    DRIED_OPTION,
    HOTTEST_OPTION,
    JOB_OPTIONS,
    PANELS_OPTION,
    PROCESS_OPTION,
    SHOP_OPTIONS,
    UNSAFE,
    ReadingCommand,
    advice_from,
    job_from,
    options,
    ready,
)
from outgas.errors import InputError


@click.command("advise", cls=AdviseOrTable)
@click.argument("resin")
@options(SHOP_OPTIONS, ADVISED_OPTIONS, [DRIED_OPTION, PANELS_OPTION])
@click.option("--bag", metavar="P", help="What the bag is at, for a verdict: '28 inHg vacuum'.")
@job_option
@shown(QUIET_OPTION)
def advise_command(bag: str | None, form: Form, **given: Any) -> int:
    """Say how deep a bag may go over RESIN, for the cure and for the debulk.

    RESIN is a name that `outgas resins` lists, or the path of a TOML file of your own.
    """
    from outgas.show.dial import DEFAULT_DIAL, on_dial

    ready()
    advice, _, rig = advice_from(given, bag)
    if not form.quiet_out:
        form.tell(advice, _told_otherwise(advice, rig))
    elif advice.setpoint_Pa is not None:
        say(on_dial(advice.setpoint_Pa, advice.barometer_Pa, form.dial or DEFAULT_DIAL))
    return 0 if advice.safe else UNSAFE


def _told_otherwise(advice: Any, rig: Any) -> Any:
    """Return the advice told for a shop without a gauge; None where it has one."""
    if advice.reads_with in ("dial", "sensor"):
        return None
    from outgas.no_gauge.settable import told_without_gauge

    return told_without_gauge(advice, rig)


@click.command("schedule", cls=HelpfulCommand)
@click.argument("resin")
@options(SHOP_OPTIONS, [PROCESS_OPTION], JOB_OPTIONS, [DRIED_OPTION, PANELS_OPTION])
@click.option("--batch", metavar="M", help="Mixed in one cup: '1.2 kg'.")
@click.option("--wet-out", metavar="T", help="How long wetting out takes you: '12 min'.")
@click.option("--fill", metavar="T", help="How long an infusion's fill takes: '15 min'.")
@click.option("--no-degas/--degas", help="Leave out degassing the plain resin first.")
@click.option("--csv", "csv_out", is_flag=True, help="Time and setpoint for a controller, in SI.")
@job_option
@shown()
def schedule_command(no_degas: bool, csv_out: bool, form: Form, **given: Any) -> int:
    """Plan a job in RESIN minute by minute against its gel; --ply is needed, but for degassing.

    Exit code 1 where a rule of the clock or the window cannot be kept: the plan says which.
    """
    import outgas

    ready()
    if csv_out and form.json_out:
        raise InputError("give --csv or --json, not both")
    shop, layup, rig = job_from(given)
    resin = given.pop("resin")
    plan = outgas.schedule(resin, shop, layup=layup, rig=rig, degas=not no_degas, **given)
    if csv_out:
        click.echo(plan.to_csv().rstrip())
    else:
        form.tell(plan)
    return 0 if plan.fits else UNSAFE


@click.command("press", cls=HelpfulCommand)
@click.argument("resin")
@options(SHOP_OPTIONS, [HOTTEST_OPTION], JOB_OPTIONS)
@click.option("--clamp", metavar="P", help="From the press, on top of the atmosphere: '500 mbar'.")
@job_option
@shown(dialled=False)
def press_command(clamp: str | None, form: Form, **given: Any) -> int:
    """Say what force presses a panel of RESIN instead of a bag; --area is needed."""
    import outgas

    ready()
    given["process"] = "pressing"
    advice, layup, _ = advice_from(given, None)
    press = outgas.press_instead(advice, layup, clamp)
    form.tell(press)
    return 0 if press.safe else UNSAFE


@click.command("convert", cls=ReadingCommand)
@click.argument("reading", nargs=-1)
@click.option("--altitude", metavar="H", help="Above sea level: 20m, 5000ft.")
@click.option("--barometer", metavar="P", help="'1003 hPa'; with --altitude, a weather app's.")
@PLAIN_UNITS_OPTION
@JSON_OPTION
def convert_command(
    reading: tuple[str, ...],
    altitude: str | None,
    barometer: str | None,
    json_out: bool,
) -> int:
    """Say what a dial READING means, and what the barometer is at an altitude.

    READING: '28 inHg vacuum', '-24 inHg', '-0.94 bar gauge', '95 % vacuum', '60 mbar'.
    """
    ready()
    from outgas.job.gauge import cannot_tell, reading_of, station_air
    from outgas.readings import dial_readings
    from outgas.tables.catalogue import practice

    here, note = station_air(altitude, barometer)
    found: dict[str, Any] = {"barometer_Pa": here}
    lines = [note]
    if reading:
        said = " ".join(reading)
        got = reading_of(said, here, "reading")
        dials = dial_readings(got.absolute_Pa, here)
        found |= {"absolute_Pa": got.absolute_Pa, "dials": dials}
        shown = ", ".join(f"{dials[key]:.{places}f} {words}" for key, places, words in _SHOWN)
        lines.insert(0, f"{said}: {shown}")
        error = practice().reading.dial.high_si
        if got.by_dial and got.absolute_Pa < error:
            found["flag"] = cannot_tell(got.absolute_Pa, error)
            lines.append(f"note: {found['flag']}")
    if json_out:
        as_json({"kind": "outgas convert", "version": 1, **found, "note": note})
    else:
        say_wrapped("\n".join(lines))
    return 0


_SHOWN = (
    ("absolute_mbar", 1, "mbar absolute"),
    ("vacuum_inHg", 2, "inHg vacuum"),
    ("vacuum_mmHg", 1, "mmHg vacuum"),
    ("gauge_bar", 3, "bar gauge"),
    ("gauge_kPa", 1, "kPa gauge"),
    ("gauge_psi", 2, "psi gauge"),
    ("vacuum_percent", 1, "% vacuum"),
    ("absolute_torr", 1, "torr absolute"),
)
