"""Help that can be read: options in named groups, defaults shown, two examples for each command."""

from collections.abc import Iterator
from typing import Any

import click

from outgas.job.job_keys import KEYS, TITLES

UP = "orthophthalic-polyester"
HERE = "--temperature 26C --humidity 60%"
RIG = "'5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag'"
PLY = "--ply '2 x 400 g/m2 woven glass'"
# Of each command, as it is typed after `outgas`; a test runs them all.
EXAMPLES: dict[str, tuple[str, ...]] = {
    "": (f"advise {UP} {HERE}", "no-gauge --help"),
    "advise": (
        f"advise {UP} {HERE} --altitude 20m --dial bar",
        f"advise epoxy-infusion {HERE} --process infusion --bag '28 inHg vacuum' --why",
    ),
    "schedule": (
        f"schedule {UP} --temperature 22C --humidity 55% {PLY} --area '0.5 m2'",
        f"schedule {UP} {HERE} --process degassing --units us --full",
    ),
    "press": (
        f"press {UP} {HERE} --area '0.8 m2'",
        f"press {UP} {HERE} --area '9 ft2' --clamp '200 mbar' --units us",
    ),
    "convert": (
        "convert '-24 inHg' --altitude 5000ft",
        "convert '95 % vacuum' --barometer '1003 hPa'",
    ),
    "bleed": (
        f"bleed {UP} {PLY} --area '0.8 m2' --gained '60 g'",
        f"bleed {UP} {PLY} --pitch '25 mm' --spot '8 mm'",
    ),
    "diagnose": (
        f"diagnose {UP} {HERE} --bag '28 inHg vacuum' --seen 'where=on strands'",
        "diagnose --questions",
    ),
    "no-gauge": (
        "no-gauge belief --boiled 20C --syringe '1 ml, 8 ml'",
        f"no-gauge telltale {UP} {HERE}",
    ),
    "no-gauge belief": (
        "no-gauge belief --boiled 20C --quiet 15C",
        f"no-gauge belief {UP} {HERE} --syringe '1 ml, 1.8 ml, 1.9 ml'",
    ),
    "no-gauge next": (
        f"no-gauge next {UP} {HERE} --boiled 20C",
        f"no-gauge next epoxy-laminating {HERE} --plate '1.15 kg, 20 mm'",
    ),
    "no-gauge telltale": (
        f"no-gauge telltale {UP} {HERE} --stage debulk",
        f"no-gauge telltale {UP} {HERE} --air-pressure '27 mbar' --units us",
    ),
    "no-gauge hold": (
        f"no-gauge hold --setpoint '10.5 inHg vacuum' --rig {RIG}",
        f"no-gauge hold {UP} {HERE} --rig {RIG} --bore '30 mm'",
    ),
    "no-gauge drop-test": (
        f"no-gauge drop-test --rise '1 inHg' --time '5 min' --rig {RIG}",
        f"no-gauge drop-test --rise '5 mbar' --time '1 h 20 min' --rig {RIG} --process infusion",
    ),
    "resins": ("resins", f"resins show {UP}"),
    "resins show": (f"resins show {UP}", "resins show epoxy-laminating --json"),
    "resins new": (
        "resins new --family polyester --monomer styrene=40% --viscosity '450 cP' "
        "--gel-time '20 min' --out my.toml --force",
        "resins new --family epoxy --viscosity '600 cP' --gel-time '30 min' --gel-of film",
    ),
    "resins check": ("resins check my.toml", "resins check my.toml --units us"),
    "volatiles": ("volatiles", "volatiles show styrene"),
    "volatiles show": ("volatiles show styrene", "volatiles show water --json"),
    "list": ("list cores", "list processes --json"),
    "draw": (
        f"draw advise {UP} {HERE} --out window.svg",
        "draw belief --boiled 20C --quiet 15C --out belief.svg",
    ),
    "draw advise": (
        f"draw advise {UP} {HERE} --out window.svg",
        f"draw advise {UP} {HERE} --chart voids --dark --out voids.svg",
    ),
    "draw schedule": (
        f"draw schedule {UP} {HERE} {PLY} --area '0.5 m2' --out plan.svg",
        f"draw schedule {UP} {HERE} {PLY} --chart time --out time.svg",
    ),
    "draw diagnose": (
        f"draw diagnose {UP} {HERE} --bag '28 inHg vacuum' --out why.svg",
        f"draw diagnose {UP} {HERE} --seen 'where=on strands' --out why.svg",
    ),
    "draw belief": (
        "draw belief --boiled 20C --quiet 15C --out belief.svg",
        f"draw belief {UP} {HERE} --boiled 20C --out belief.svg",
    ),
    "read-log": (
        f"read-log bag.csv {UP} {HERE}",
        f"read-log bag.csv {UP} {HERE} --sensor-error '5 mbar' --full",
    ),
    "sweep": (
        f"sweep {UP} --temperature '15 C to 35 C in 5' --humidity '40 %, 60 %' --out map.csv",
        f"sweep {UP} --temperature '15 C to 35 C in 9' --humidity 60% --out map.svg --quiet",
    ),
    "uncertainty": (
        f"uncertainty {UP} {HERE} --draws 128",
        f"uncertainty epoxy-laminating {HERE} --draws 64 --json",
    ),
    "sources": ("sources gas.laminate.trapped", "sources --weakest --process infusion"),
    "card": (
        f"card {UP} {HERE} --altitude 20m --out card.html",
        f"card {UP} {HERE} {PLY} --area '0.5 m2' --rig {RIG} --dial bar --out card.html",
    ),
    "wall-chart": (
        f"wall-chart {UP} --altitude 20m --dial mbar",
        f"wall-chart {UP} {PLY} --out chart.html",
    ),
    "panels": ("panels learn panels.toml", "panels next panels.toml --dial mbar"),
    "panels add": (
        f"panels add panels.toml --resin {UP} {HERE} --cure '600 mbar' --debulk '90 mbar' "
        "--look clear",
        f"panels add panels.toml --resin {UP} {HERE} --degassed '27 mbar for 10 min' "
        "--air-left '600 mbar'",
    ),
    "panels show": ("panels show panels.toml", "panels show panels.toml --json"),
    "panels learn": ("panels learn panels.toml", "panels learn panels.toml --full --dial bar"),
    "panels next": ("panels next panels.toml", "panels next panels.toml --across cloth --full"),
    "schema": ("schema advise", "schema schedule"),
    "job": (f"job new {UP} {HERE} --out deck.toml --force", "job show deck.toml"),
    "job new": (
        f"job new {UP} {HERE} {PLY} --out deck.toml --force",
        f"job new epoxy-laminating {HERE} --rig {RIG} --out deck.toml --force",
    ),
    "job show": ("job show deck.toml", "job show deck.toml --units us"),
}
PRINTED = "What is printed"
PRINTING = (
    *("dial", "units", "full", "why", "do", "cautions", "quiet_out", "json_out", "csv_out"),
    "questions",
)
SEEN = "What was seen of the bag"
LOOKS = (
    *("boiled", "boiled_on_chip", "quiet", "quiet_on_chip", "fell_quiet", "thermometer", "ice"),
    *("ice_while_bleeding", "syringe", "tube", "pull", "plate", "sensor", "milky"),
)
HERE_ONLY = "This command"
OTHER = ("help", "job", "version")
ORDER = (HERE_ONLY, SEEN, *TITLES.values(), PRINTED, "Other")


def group_of(option: click.Parameter) -> str:
    """Return the title that an option stands under in the help."""
    name = option.opts[-1].lstrip("-") if "--help" in option.opts else option.name or ""
    if name in PRINTING:
        return PRINTED
    if name in LOOKS:
        return SEEN
    if name in KEYS:
        return TITLES[KEYS[name].group]
    return "Other" if name in OTHER else HERE_ONLY


def _path(context: click.Context) -> str:
    """Return a command's words after the program's name."""
    return context.command_path.partition(" ")[2]


class _Helpful(click.Command):
    """A command whose help shows its options by group, and examples."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options under the titles of their groups."""
        found: dict[str, list[tuple[str, str]]] = {}
        for option in self.get_params(ctx):
            record = option.get_help_record(ctx)
            if record is not None and isinstance(option, click.Option):
                found.setdefault(group_of(option), []).append(record)
        alone = len(found) == 1 or set(found) <= {HERE_ONLY, "Other"}
        for title in (title for title in ORDER if title in found):
            with formatter.section("Options" if alone and title == HERE_ONLY else title):
                formatter.write_dl(found[title])

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the examples."""
        examples = EXAMPLES.get(_path(ctx), ())
        if not examples:
            return
        with formatter.section("Examples"):
            for example in examples:
                formatter.write(
                    f"{' ' * formatter.current_indent}outgas {example}\n".replace(" \n", "\n")
                )

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        """Show defaults, whatever stands above."""
        extra.setdefault("show_default", True)
        return super().make_context(info_name, args, parent, **extra)


class HelpfulCommand(_Helpful):
    """A command of its own."""


class HelpfulGroup(_Helpful, click.Group):
    """A group of commands, each helpful too."""

    command_class = HelpfulCommand

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options, then the commands."""
        _Helpful.format_options(self, ctx, formatter)
        self.format_commands(ctx, formatter)


def every_example() -> Iterator[str]:
    """Yield each example as it is typed, each once."""
    yield from dict.fromkeys(f"outgas {text}" for texts in EXAMPLES.values() for text in texts)
