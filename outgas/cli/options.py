"""Options that several commands share, and what is read from them."""

import functools
import re
import warnings
from collections.abc import Callable, Sequence
from typing import Any

import click

from outgas.cli.helps import HelpfulCommand
from outgas.errors import OutgasError, OutgasWarning, RefusedError, SeveralMistakesError
from outgas.job.job_keys import read_traces

# 70 is what sysexits.h calls an internal fault of the software
UNSAFE, BAD_INPUT, FAULT, INTERRUPTED = 1, 2, 70, 130

Command = Callable[..., int]

_NEGATIVE = re.compile(r"-\s*\.?\d")  # a number below zero: no option begins with a digit


def ready() -> None:
    """Have pint's application registry, once it is needed, be one of the table's units alone.

    It loads in a hundredth of a second, so it needs no cached file that could be damaged.
    """
    from outgas import units

    units.made_when_needed(_registry)
    warnings.simplefilter("ignore", OutgasWarning)  # they stand in the result


def _registry() -> Any:
    import pint

    from outgas.tables import data

    registry: Any = pint.UnitRegistry(None)
    registry.load_definitions(data.table("units.toml")["definitions"])
    return registry


class ReadingCommand(HelpfulCommand):
    """A command whose bare arguments may begin with a minus sign, as a dial's '-24 inHg' does."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the bare arguments last, where no sign makes an option of them."""
        takes = {
            name
            for option in self.params
            if isinstance(option, click.Option) and not option.is_flag
            for name in option.opts
        }
        kept: list[str] = []
        bare: list[str] = []
        for before, word in zip(["", *args], args, strict=False):
            if word == "--" or "--" in kept:
                (kept if word == "--" else bare).append(word)
            elif before not in takes and (not word.startswith("-") or _NEGATIVE.match(word)):
                bare.append(word)
            else:
                kept.append(word)
        return super().parse_args(ctx, [*(x for x in kept if x != "--"), "--", *bare])


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
    click.option("--moisture", metavar="SHARE", help="Water in a core, of its dry mass: 12%."),
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
    click.option(
        "--min-temperature", metavar="T", help="Coldest that the sheet at hand allows: 15C."
    ),
]
DRIED_OPTION = click.option(
    "--dried", metavar="T", help="Prepreg: under full vacuum before its heat, '8 h'."
)
HOTTEST_OPTION = click.option(
    "--hottest",
    metavar="T",
    help="Warmest before the gel holds: 35C, '35C up to 42C'.",
)
# What a laminate is to be, and how its gas leaves.
GAS_OPTIONS = [
    click.option("--void-target", metavar="SHARE", show_default="2%", help="Of the laminate."),
    click.option(
        "--finish", metavar="NAME", show_default="structural", help="structural or clear."
    ),
    click.option("--trapped", metavar="SHARE", help="Gas that cannot leave, of the resin: '6%'."),
    click.option("--connected", metavar="SHARE", help="Of the gas beyond, that leaves: '80%'."),
    click.option("--no-debulk/--debulk", help="Straight to the cure."),
    click.option(
        "--low-gas-initiator/--usual-initiator", help="A peroxide that gives off no oxygen."
    ),
]
# What is in the resin beside what its record says.
IN_RESIN_OPTIONS = [
    click.option("--degassed", metavar="P", help="'90 mbar for 10 min, stirred'."),
    click.option("--air-pressure", metavar="P", help="Of the air left in the resin: '27 mbar'."),
    click.option("--entrained", metavar="SHARE", help="Air stirred in, by volume: 0.5%."),
    click.option("--water-activity", metavar="A", help="0 to 1, if known."),
    click.option("--contaminant", multiple=True, metavar="NAME=SHARE", help="acetone=1%; repeat."),
]
CASE_OPTIONS = [
    *IN_RESIN_OPTIONS,
    *GAS_OPTIONS,
    click.option("--vapour-share", metavar="SHARE", help="Most of a bubble that may be vapour."),
    click.option("--confidence", default="95 %", show_default=True, metavar="SHARE"),
]
READS_OPTION = click.option(
    "--reads-with",
    default="dial",
    show_default=True,
    metavar="HOW",
    help="dial, 'sensor 5 mbar', water, plate, or none where there is no gauge at all.",
)
RIG_OPTIONS = [
    click.option("--pump-ultimate", metavar="P", help="'2 mbar'."),
    click.option("--hold-error", metavar="P", help="How far the pressure wanders: '20 mbar'."),
    click.option("--autoclave", metavar="P", help="On the bag, above the atmosphere: '5 bar'."),
    READS_OPTION,
]

PANELS_OPTION = click.option(
    "--panels", metavar="FILE", help="What your own panels taught: a log, panels.toml."
)
# What all that speak of one job ask for, and what an advice takes beside it.
JOB_OPTIONS = [*CURE_OPTIONS, *CASE_OPTIONS, *LAYUP_OPTIONS, *RIG_OPTIONS]
ADVISED_OPTIONS = [PROCESS_OPTION, HOTTEST_OPTION, *JOB_OPTIONS]


def options(*groups: list[Any]) -> Callable[[Command], Command]:
    """Return a decorator that adds groups of options in their order."""

    def add(command: Command) -> Command:
        flat = [option for group in groups for option in group]
        return functools.reduce(lambda done, option: option(done), reversed(flat), command)

    return add


Parts = Sequence[dict[str, Any]]


def read_group(make: Callable[..., Any], all_: dict[str, Any], parts: Parts) -> Any:
    """Return what a group of options describes, or raise with every mistake in it.

    parts are the options apart, each readable without the others: where the whole cannot be read
    they are tried one by one, so that each is told of.
    """
    try:
        return make(**all_)
    except RefusedError:
        raise
    except OutgasError as error:
        found = [text for part in parts for text in _mistakes(functools.partial(make, **part))[1]]
        raise SeveralMistakesError(list(dict.fromkeys(found)) or [str(error)]) from error


def _mistakes(read: Callable[[], Any]) -> tuple[Any, list[str]]:
    """Return what was read, or None and what was wrong with it."""
    try:
        return read(), []
    except RefusedError:
        raise
    except SeveralMistakesError as error:
        return None, list(error.mistakes)
    except OutgasError as error:
        return None, [str(error)]


def read_together(*reads: Callable[[], Any]) -> list[Any]:
    """Return what each reads; the mistakes of all of them are raised together."""
    found = [_mistakes(read) for read in reads]
    mistakes = [text for _, wrong in found for text in wrong]
    if mistakes:
        raise SeveralMistakesError(mistakes)
    return [value for value, _ in found]


def read_shop(o: dict[str, Any]) -> Any:
    """Return the shop that the options describe, taken out of them."""
    import outgas

    names = ("temperature", "humidity", "altitude", "barometer", "tool_temperature", "sun")
    given = {name: o.pop(name) for name in names}
    some: dict[str, Any] = {"temperature": "20 degC", "humidity": 0.5}
    parts = [{**some, name: value} for name, value in given.items() if value is not None]
    return read_group(outgas.Shop, given, parts)


def read_layup(o: dict[str, Any]) -> Any:
    """Return the layup that the options describe, taken out of them."""
    import outgas

    plies, sides = list(o.pop("ply")), list(o.pop("bag_side"))
    given = {name: o.pop(name) for name in ("core", "area", "tool")}
    damp = o.pop("moisture", None)
    parts: list[dict[str, Any]] = [{name: x} for name, x in given.items() if x is not None]
    # where the core lies among the plies can be read beside the core alone
    where = [ply for ply in plies if ply.strip().lower() == "core"]
    if where and given["core"] is None:
        parts.append({"plies": where})
    parts += [{"plies": [ply]} for ply in plies if ply not in where]
    parts += [{"bag_side": [layer]} for layer in sides]
    whole = {"plies": plies, **given, "bag_side": sides or None, "core_moisture": damp}
    if damp is not None:
        parts.append({"core": given["core"], "core_moisture": damp})
    return read_group(outgas.Layup, whole, parts)


def read_rig(o: dict[str, Any]) -> Any:
    """Return the rig that the options, or a saved job, describe, taken out of them."""
    import outgas

    told = o.pop("job", None) or {}
    names = ("pump_ultimate", "hold_error", "autoclave")
    given = {name: o.pop(name, told.get(name)) for name in names}
    make: Callable[..., Any] = outgas.Rig
    if "rig" in told:
        make = functools.partial(outgas.Rig.from_words, told["rig"])
    return read_group(make, given, [{name: value} for name, value in given.items()])


def job_from(o: dict[str, Any]) -> tuple[Any, Any, Any]:
    """Return the shop, the layup and the rig that the options describe, taken out of them."""
    traces = o.pop("contaminant")
    try:
        shop, layup, rig, o["contaminants"] = read_together(
            functools.partial(read_shop, o),
            functools.partial(read_layup, o),
            functools.partial(read_rig, o),
            functools.partial(read_traces, traces),
        )
    except SeveralMistakesError as error:
        raise SeveralMistakesError([*error.mistakes, *misread(o)]) from error
    if "min_temperature" in o:
        o["minimum_temperature"] = o.pop("min_temperature")
    take_panels(o, shop)
    return shop, layup, rig


def take_panels(o: dict[str, Any], shop: Any) -> None:
    """Put what a log of panels taught in the place of its path, among the options of a job."""
    path = o.pop("panels", None)
    if path is not None:
        import outgas

        o["experience"] = outgas.learn(path, shop)


def misread(o: dict[str, Any]) -> list[str]:
    """Return what is wrong with options that are read later, each by itself."""
    from outgas.job.job_keys import KEYS
    from outgas.job.job_words import understood

    later = [name for name in KEYS if o.get(name) not in (None, (), False)]
    found = (_mistakes(functools.partial(understood, name, o[name])) for name in later)
    return [text for _, wrong in found for text in wrong]


def advice_from(o: dict[str, Any], bag: str | None) -> tuple[Any, Any, Any]:
    """Return the advice, the layup and the rig that the options describe."""
    import outgas

    shop, layup, rig = job_from(o)
    resin = o.pop("resin")
    advice = outgas.advise(resin, shop, layup=layup, rig=rig, bag_pressure=bag, **o)
    return advice, layup, rig
