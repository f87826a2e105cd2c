"""The command line for the shop card: one page to a file."""

import functools
from pathlib import Path
from typing import Any

import click

from outgas.cli.commands.many import told_of, told_options
from outgas.cli.helps import HelpfulCommand
from outgas.cli.job_option import job_option
from outgas.cli.options import UNSAFE, ready
from outgas.errors import InputError

PAGES = (".html", ".htm")
OF_THE_PLAN = ("batch", "wet_out", "fill")


@click.command("card", cls=HelpfulCommand)
@click.argument("resin")
@functools.partial(told_options, besides=("resin",))
@click.option("--batch", metavar="M", help="Mixed in one cup: '1.2 kg'.")
@click.option("--wet-out", metavar="T", help="How long wetting out takes you: '12 min'.")
@click.option("--fill", metavar="T", help="How long an infusion's fill takes: '15 min'.")
@click.option("--dial", metavar="DIAL", help="That it opens with: inHg, mmHg, bar, percent, mbar.")
@click.option("--out", metavar="FILE", required=True, help="card.html: for a phone, or to print.")
@job_option
def card_command(out: str, dial: str | None, **given: Any) -> int:
    """Make a card for a job in RESIN: one page with answer, plan, timer and cautions.

    It answers for warmer, damper and higher shops too, with no network; with --ply it has the plan.
    Exit code 1 where there is no safe window or the plan does not fit: the card says so.
    """
    import outgas

    ready()
    if Path(out).suffix.lower() not in PAGES:
        raise InputError(f"{out}: a card is written to {' or '.join(PAGES)}")
    told = told_of(given) | {k: given[k] for k in OF_THE_PLAN if given.get(k) is not None}
    made = outgas.card(**told, dial=dial)
    click.echo(str(made.write(out)))
    fits = made.plan is None or made.plan.fits
    return 0 if made.advice.safe and fits else UNSAFE
