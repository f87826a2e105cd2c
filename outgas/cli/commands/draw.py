"""The command line's pictures: what a command answers, drawn into a file."""

from collections.abc import Callable, Sequence
from typing import Any

import click

from outgas.cli.commands.after import diagnose_command
from outgas.cli.commands.before import advise_command, schedule_command
from outgas.cli.commands.no_gauge import belief_command, believed
from outgas.cli.form import say
from outgas.cli.helps import HelpfulGroup
from outgas.cli.job_option import job_option
from outgas.cli.options import (
    UNSAFE,
    Command,
    advice_from,
    job_from,
    options,
    read_layup,
    read_rig,
    read_shop,
    ready,
    take_panels,
)
from outgas.job.job_keys import read_traces

# Options of a command that say how it prints, and --job, which each command here takes itself.
PRINTING = (
    *("units", "full", "why", "do", "cautions", "quiet_out", "json_out", "csv_out"),
    *("job", "questions"),
)
PICTURE_OPTIONS = [
    click.option(
        "--out", required=True, metavar="FILE", help="Where to: its end says .svg, .png or .pdf."
    ),
    click.option("--chart", metavar="NAME", help="Which of its charts; the first if not given."),
    click.option("--dark", is_flag=True, help="On a dark ground."),
]


def like(command: click.Command) -> Callable[[Command], Command]:
    """Return a decorator that gives a command another's arguments, but not how it prints."""

    def add(run: Command) -> Command:
        for param in reversed(command.params):
            if param.name not in PRINTING:
                known = getattr(run, "__click_params__", [])
                run.__click_params__ = [*known, param]  # type: ignore[attr-defined]
        return run

    return add


@click.group("draw", cls=HelpfulGroup)
def draw_group() -> None:
    """Draw what a command answers: the window, the plan, the causes, what is believed of a bag."""


def _check(out: str) -> None:
    """Refuse a picture that could not be drawn, before any work is done for it."""
    from outgas.show.draw import read_format, wanted

    ready()
    read_format(out)
    wanted()


def _drawn(answer: Any, dial: str | None, how: dict[str, Any]) -> None:
    """Write one of an answer's charts, and say which and where."""
    charts = answer.charts(dial)
    chart = charts[next(iter(charts)) if how["chart"] is None else how["chart"]]
    chart.save(how["out"], dark=how["dark"])
    say(f"{how['out']}: {' '.join(chart.title.split())}")
    others = [name for name in charts if name != chart.name]
    if others and how["chart"] is None:
        say(f"other charts, by --chart: {', '.join(others)}")


def _taken(given: dict[str, Any]) -> dict[str, Any]:
    """Return what says how to draw, taken out of the options; refuses a picture none can draw."""
    how = {name: given.pop(name) for name in ("out", "chart", "dark")}
    _check(how["out"])
    return how


@draw_group.command("advise")
@options(PICTURE_OPTIONS)
@like(advise_command)
@job_option
def draw_advise(bag: str | None, dial: str | None, **given: Any) -> int:
    """Draw how deep a bag may go over RESIN: the window, or what moves it.

    Charts: window, temperature, humidity, altitude, thickness, voids, time, as far as it has them.
    """
    how = _taken(given)
    advice, _, _ = advice_from(given, bag)
    _drawn(advice, dial, how)
    return 0 if advice.safe else UNSAFE


@draw_group.command("schedule")
@options(PICTURE_OPTIONS)
@like(schedule_command)
@job_option
def draw_schedule(no_degas: bool, dial: str | None, **given: Any) -> int:
    """Draw the plan of a job in RESIN; charts: plan, time, and those of its advice."""
    import outgas

    how = _taken(given)
    shop, layup, rig = job_from(given)
    resin = given.pop("resin")
    plan = outgas.schedule(resin, shop, layup=layup, rig=rig, degas=not no_degas, **given)
    _drawn(plan, dial, how)
    return 0 if plan.fits else UNSAFE


@draw_group.command("diagnose")
@options(PICTURE_OPTIONS)
@like(diagnose_command)
@job_option
def draw_diagnose(
    resin: str, bag: str | None, seen: Sequence[str], dial: str | None, **given: Any
) -> int:
    """Draw why a laminate of RESIN went white; charts: causes, answers."""
    import outgas

    how = _taken(given)
    shop = read_shop(given)
    take_panels(given, shop)
    found = outgas.diagnose(
        resin,
        shop,
        seen=list(seen),
        bag_pressure=bag,
        layup=read_layup(given),
        rig=read_rig(given),
        contaminants=read_traces(given.pop("contaminant")),
        **given,
    )
    _drawn(found, dial, how)
    return 0


@draw_group.command("belief")
@options(PICTURE_OPTIONS)
@like(belief_command)
@job_option
def draw_belief(resin: str | None, dial: str | None, **given: Any) -> int:
    """Draw where the bag is by what was seen, after each look; with RESIN over its window."""
    how = _taken(given)
    found = believed(resin, given)
    _drawn(found, dial, how)
    safe = not found.contradictions if resin is None else found.safe
    return 0 if safe else UNSAFE
