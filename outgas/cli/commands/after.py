"""The command line after the job: reading the bleed, and why a laminate went white."""

from collections.abc import Sequence
from typing import Any

import click

from outgas.cli.form import Form, say, shown
from outgas.cli.helps import HelpfulCommand
from outgas.cli.job_option import job_option
from outgas.cli.options import (
    CURE_OPTIONS,
    GAS_OPTIONS,
    IN_RESIN_OPTIONS,
    LAYUP_OPTIONS,
    PANELS_OPTION,
    PROCESS_OPTION,
    READS_OPTION,
    SHOP_OPTIONS,
    UNSAFE,
    job_from,
    options,
    ready,
)


@click.command("bleed", cls=HelpfulCommand)
@click.argument("resin")
@click.option("--ply", multiple=True, metavar="PLY", help="'3 x 400 g/m2 woven glass'; repeat.")
@click.option("--area", metavar="A", help="Of the panel: '0.8 m2'; for masses.")
@click.option("--pitch", metavar="L", help="Between the film's holes: '25 mm'.")
@click.option("--spot", metavar="L", help="Diameter of a spot on the breather: '8 mm'.")
@click.option("--gained", metavar="M", help="What the breather gained, weighed: '60 g'.")
@click.option("--breather", default="breather", show_default=True, metavar="NAME")
@click.option("--resin-used", metavar="M", help="What was laid in: '0.9 kg'.")
@job_option
@shown(dialled=False)
def bleed_command(resin: str, ply: Sequence[str], area: str, form: Form, **given: Any) -> int:
    """Read the spots on the breather over RESIN: starved, good or flooded."""
    import outgas

    ready()
    told = given.pop("job")
    layup = outgas.Layup(plies=list(ply), area=area) if told is None else _layup(told)
    bleed = outgas.read_bleed(resin, layup, **given)
    form.tell(bleed)
    return 0 if bleed.state == "good" else UNSAFE


def _layup(told: dict[str, Any]) -> Any:
    from outgas.job.saved import layup_of

    return layup_of(told)


SEEN_OPTION = click.option(
    "--seen",
    multiple=True,
    metavar="QUESTION=ANSWER",
    help="What was seen, as 'where=on strands'; repeat. --questions lists them.",
)
# Of the options that describe a case, those that bear on why a laminate is white.
DIAGNOSE_OPTIONS = [
    click.option("--hottest", metavar="T", help="Warmest the laminate got before it held: 35C."),
    *IN_RESIN_OPTIONS,
    click.option("--autoclave", metavar="P", help="On the bag, above the atmosphere: '5 bar'."),
    READS_OPTION,
]


def print_questions(context: click.Context, _: Any, wanted: bool) -> None:
    """Print the questions and answers of a diagnosis, and stop."""
    if not wanted or context.resilient_parsing:
        return
    from outgas.diagnosis.words import questions_text

    say(questions_text())
    context.exit()


@click.command("diagnose", cls=HelpfulCommand)
@click.argument("resin")
@options(SHOP_OPTIONS, [PROCESS_OPTION])
@click.option(
    "--bag",
    metavar="P",
    help="What the bag was at: '28 inHg vacuum', '40 to 90 mbar', 'very good bag', 'weak bag'.",
)
@options([SEEN_OPTION], CURE_OPTIONS, DIAGNOSE_OPTIONS, GAS_OPTIONS, LAYUP_OPTIONS)
@options([PANELS_OPTION])
@click.option(
    "--questions",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=print_questions,
    help="List what --seen understands, and stop.",
)
@job_option
@shown()
def diagnose_command(
    resin: str, bag: str | None, seen: Sequence[str], form: Form, **given: Any
) -> int:
    """Say why a laminate of RESIN went white, what to check, and what to change."""
    import outgas

    ready()
    given["resin"] = resin  # to be told of beside the rest
    shop, layup, rig = job_from(given)
    found = outgas.diagnose(
        given.pop("resin"),
        shop,
        seen=list(seen),
        bag_pressure=bag,
        layup=layup,
        rig=rig,
        **given,
    )
    form.tell(found)
    return 0
