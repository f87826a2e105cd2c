"""The command line over a logger's file: what a bag did to its resin, or is doing."""

from typing import TYPE_CHECKING, Any

import click

from outgas.cli.form import Form, say, shown
from outgas.cli.helps import HelpfulCommand
from outgas.cli.job_option import job_option
from outgas.cli.options import (
    ADVISED_OPTIONS,
    SHOP_OPTIONS,
    UNSAFE,
    job_from,
    options,
    ready,
)
from outgas.errors import InputError

if TYPE_CHECKING:
    from outgas.bag_log.follow import Followed

LOG_OPTIONS = [
    click.option(
        "--pressure-column", metavar="HEAD", help="'P1 [mbar absolute]', 'Vac [inHg vacuum]', '3'."
    ),
    click.option("--time-column", metavar="HEAD", help="'Elapsed [min]', '1 [s]'; by its head."),
    click.option("--temperature-column", metavar="HEAD", help="'Probe 2 [C]'; by its head."),
    click.option("--mixed", metavar="T", help="By the log: '14:05', or '12 min' after its start."),
    click.option("--sensor-error", metavar="P", help="Of the logged pressure: '5 mbar'."),
]


@click.command("read-log", cls=HelpfulCommand)
@click.argument("log")
@click.argument("resin")
@options(LOG_OPTIONS)
@click.option("--follow", is_flag=True, help="Wait for new rows; an alarm while it is too deep.")
@click.option("--out", metavar="FILE", help="Draw it too: .svg, .png or .pdf.")
@options(SHOP_OPTIONS, ADVISED_OPTIONS)
@job_option
@shown()
def read_log_command(
    log: str,
    resin: str,
    follow: bool,
    out: str | None,
    form: Form,
    **given: Any,
) -> int:
    """Say what the bag in a logger's file LOG, a CSV, did to RESIN: when it was too deep.

    Columns and units come from the file's header, and are echoed; what could mean two things is
    refused. Exit code 1 where it was too deep, has too much gas, was too weak or cannot be told.
    """
    import outgas

    ready()
    if follow and (form.json_out or out):
        raise InputError("--follow prints as it goes; leave out --json and --out")
    if out is not None:
        from outgas.show.draw import read_format, wanted

        read_format(out)
        wanted()
    columns = {
        name: given.pop(name) for name in ("time_column", "temperature_column", "pressure_column")
    }
    told = {name: given.pop(name) for name in ("mixed", "sensor_error")}
    shop, layup, rig = job_from(given)
    given |= {"layup": layup, "rig": rig}
    if follow:
        from outgas.bag_log.follow import Followed

        columns_said = tuple(columns.values())
        return _follow(Followed(log, resin, shop, columns=columns_said, **told, **given), form.dial)
    found = outgas.read_log(log, resin, shop, **columns, **told, **given)
    if out is not None:
        chart = found.charts(form.dial)["log"]
        chart.save(out)
    form.tell(found)
    return 0 if found.safe else UNSAFE


def _follow(followed: "Followed", dial: str | None) -> int:
    """Print what there is to say of a growing log; 1 where there ever was an alarm."""
    from outgas.bag_log.follow import follow

    for caution in followed.advice.cautions:
        say(f"caution: {caution}")
    alarmed = False
    for event in follow(followed):
        alarmed = alarmed or event.kind == "alarm"
        say(event.on(followed.advice.barometer_Pa, dial))
    return UNSAFE if alarmed else 0
