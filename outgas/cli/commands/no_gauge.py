"""The command line without a gauge: belief, next, telltale, hold and drop-test."""

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any

import click

from outgas.cli.form import NAMES, Form, as_json, shown
from outgas.cli.helps import HelpfulGroup
from outgas.cli.job_option import job_option
from outgas.cli.options import (
    ADVISED_OPTIONS,
    PROCESS_OPTION,
    SHOP_OPTIONS,
    UNSAFE,
    advice_from,
    options,
    ready,
)
from outgas.cli.refusals import Refusals, unused
from outgas.errors import InputError

SEA_LEVEL = "1 atm"  # to read the rest by, where the shop's own air is refused
RIG_WORDS = "'5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve'"
AIR_OPTIONS = SHOP_OPTIONS[2:4]
SHOP_IF_RESIN = [
    click.option("--temperature", metavar="T", help="Air in the shop: 26C, 79F."),
    click.option("--humidity", metavar="RH", help="Relative: 60%."),
    *AIR_OPTIONS,
    *SHOP_OPTIONS[4:],
]
LOOK_OPTIONS = [
    click.option("--boiled", multiple=True, metavar="T", help="Water at T boiled: 20C; repeat."),
    click.option("--boiled-on-chip", multiple=True, metavar="T", help="The same on a fresh chip."),
    click.option("--quiet", multiple=True, metavar="T", help="Water at T did not boil: 43C."),
    click.option("--quiet-on-chip", multiple=True, metavar="T", help="The same on a fresh chip."),
    click.option(
        "--fell-quiet", multiple=True, metavar="T", help="Boiling water fell quiet while bled up."
    ),
    click.option(
        "--thermometer",
        multiple=True,
        metavar="'T [DEPTH]'",
        help="Settled in boiling water: '38.0C 30mm', or over it: 38.0C.",
    ),
    click.option("--ice", is_flag=True, help="Water froze in still vapour."),
    click.option("--ice-while-bleeding", is_flag=True, help="Water froze while air was bled in."),
    click.option(
        "--syringe",
        multiple=True,
        metavar="'V1, V2[, V3]'",
        help="Air before, after, and coming back: '1 ml, 1.5 ml, 1.7 ml'.",
    ),
    click.option(
        "--tube", multiple=True, metavar="'L1, L2'", help="Air before and after: '200 mm, 20 mm'."
    ),
    click.option("--pull", multiple=True, metavar="'F, D'", help="Force and cup: '150 N, 50 mm'."),
    click.option(
        "--plate",
        multiple=True,
        metavar="'M, D'",
        help="Inside the pot, it lifts: mass, hole below it: '1.15 kg, 20 mm'.",
    ),
    click.option(
        "--sensor",
        multiple=True,
        metavar="'P, ERROR[, FLOOR]'",
        help="'60 mbar, 10 mbar', '28 inHg vacuum, 25 mbar', '300 mbar, 5 mbar, 300 mbar'.",
    ),
    click.option(
        "--milky", multiple=True, metavar="'RESIN, T'", help="'orthophthalic-polyester, 26C'."
    ),
    click.option("--rig", metavar="WORDS", help=f"What stands behind the bag: {RIG_WORDS}."),
]

_BULB = re.compile(r"([-+\d.]+\s*[^\s\d,]+)(?:(?:\s*,\s*|\s+)([-+\d.]+\s*[^\s\d,]*))?")

LOOKS = (
    *("boiled", "boiled_on_chip", "quiet", "quiet_on_chip", "fell_quiet", "thermometer", "ice"),
    *("ice_while_bleeding", "syringe", "tube", "pull", "plate", "sensor", "milky", "rig"),
)


# Observations told as a list of parts: method of the belief, least and most parts, an example.
LISTED = {
    "syringe": ("syringe", 2, 3, "1 ml, 1.5 ml, 1.7 ml"),
    "tube": ("inverted_tube", 2, 2, "200 mm, 20 mm"),
    "pull": ("pull", 2, 2, "150 N, 50 mm"),
    "plate": ("plate_lifts", 2, 2, "1.15 kg, 20 mm"),
    "sensor": ("sensor", 2, 3, "60 mbar, 10 mbar"),
    "milky": ("went_milky", 2, 2, "orthophthalic-polyester, 26C"),
}
# What is used without a resin: the rest of the options speak of the resin's case.
AIR_AND_FORM = (
    *("resin", "altitude", "barometer", "job", *NAMES),
    *("out", "chart", "dark"),  # of draw
)


def _parts(text: str, least: int, most: int, what: str, example: str) -> list[str]:
    parts = [part.strip() for part in text.split(",")]
    if not least <= len(parts) <= most or not all(parts):
        raise InputError(f"{what} is {text[:60]!r}; write it as {example!r}")
    return parts


def _bulb(text: str) -> tuple[str, str]:
    """Split '38.0C 30mm', '38.0 degC, 30 mm' or '38.0 degC' into temperature and depth."""
    match = _BULB.fullmatch(text.strip())
    if match is None:
        raise InputError(f"thermometer is {text[:60]!r}; write it as '38.0C' or '38.0C, 30 mm'")
    return match[1], match[2] or "0 mm"


def believe(o: dict[str, Any], here: Any, no: Refusals) -> Any:
    """Return the belief that the options describe, under a barometer; no takes in refusals."""
    import outgas

    bag = outgas.BagPressure.unknown(here)
    for method, told, how in _looks(o):
        seen = no.read(partial(_see, bag, method, told, how))
        bag = bag if seen is None else seen
    return bag


def _see(bag: Any, method: str, told: Callable[[], Sequence[str]], how: dict[str, bool]) -> Any:
    return getattr(bag, method)(*told(), **how)


def _looks(
    o: dict[str, Any],
) -> Iterator[tuple[str, Callable[[], Sequence[str]], dict[str, bool]]]:
    """Yield each observation: the belief's method, what reads its arguments, and how it was."""
    if o["rig"] is not None:
        yield "pump", partial(tuple, [o["rig"]]), {}
    for name, method, chip in (
        ("boiled", "saw_boiling", False),
        ("boiled_on_chip", "saw_boiling", True),
        ("quiet", "stayed_quiet", False),
        ("quiet_on_chip", "stayed_quiet", True),
    ):
        for T in o[name]:
            yield method, partial(tuple, [T]), {"chip": chip}
    for T in o["fell_quiet"]:
        yield "fell_quiet", partial(tuple, [T]), {}
    for text in o["thermometer"]:
        yield "boiling_thermometer", partial(_bulb, text), {}
    if o["ice"]:
        yield "ice_formed", tuple, {}
    if o["ice_while_bleeding"]:
        yield "ice_formed", tuple, {"bleeding": True}
    for name, (method, least, most, example) in LISTED.items():
        for text in o[name]:
            yield method, partial(_parts, text, least, most, name, example), {}


def _barometer(o: dict[str, Any]) -> Any:
    from outgas import units
    from outgas.job.gauge import station_air

    here, _ = station_air(o["altitude"], o["barometer"])
    return units.quantity(here, "Pa")


def _air_said(o: dict[str, Any]) -> str:
    from outgas.job.gauge import station_air

    return station_air(o["altitude"], o["barometer"])[1]


def _take_looks(given: dict[str, Any]) -> dict[str, Any]:
    """Split the observations off the other options."""
    return {name: given.pop(name) for name in LOOKS}


@click.group(cls=HelpfulGroup)
def no_gauge() -> None:
    """Know the bag pressure without a gauge, set it, and hold it."""


@no_gauge.command("belief")
@click.argument("resin", required=False)
@options(LOOK_OPTIONS, SHOP_IF_RESIN, ADVISED_OPTIONS)
@job_option
@shown()
def belief_command(resin: str | None, form: Form, **given: Any) -> int:
    """Say where the bag is by what was seen, and with RESIN what that means for it.

    All observations are of one and the same bag pressure. With RESIN give --temperature and
    --humidity too.
    """
    from outgas.no_gauge.words import belief_report

    ready()
    found = believed(resin, given)
    if resin is None:
        form.tell(found, belief_report(found, _air_said(given)))
        return UNSAFE if found.contradictions else 0
    form.tell(found)
    return 0 if found.safe else UNSAFE


def believed(resin: str | None, given: dict[str, Any]) -> Any:
    """Return what is believed of the bag by the options; with a resin, what that means for it."""
    looks = _take_looks(given)
    if resin is not None:
        return _for_resin(resin, looks, given)
    no = Refusals()
    unused(no, (*AIR_AND_FORM, *LOOKS), "a RESIN")
    bag = believe(looks, no.read(lambda: _barometer(given)) or SEA_LEVEL, no)
    no.done()
    return bag


def _for_resin(resin: str, looks: dict[str, Any], given: dict[str, Any]) -> Any:
    from outgas import units
    from outgas.no_gauge.bag_advice import judge
    from outgas.no_gauge.words import bag_report

    no = Refusals()
    advice = _advice(resin, given, no)
    here = None if advice is None else units.quantity(advice.barometer_Pa, "Pa")
    bag = believe(looks, here or SEA_LEVEL, no)
    no.done()
    return judge(bag, advice, bag_report)


def _advice(resin: str, given: dict[str, Any], no: Refusals) -> Any:
    """Return the advice for a resin; None where the shop's air was not told, or is refused."""
    missing = [f"--{name}" for name in ("temperature", "humidity") if given[name] is None]
    if missing:
        no.add(
            f"with a resin give {' and '.join(missing)} too, as --temperature 26C --humidity 60%"
        )
        return None
    made = no.read(lambda: advice_from({**given, "resin": resin}, None))
    return None if made is None else made[0]


@no_gauge.command("next")
@click.argument("resin")
@options(LOOK_OPTIONS, SHOP_OPTIONS, ADVISED_OPTIONS)
@job_option
@shown()
def next_command(resin: str, form: Form, **given: Any) -> int:
    """Say which cheap observation would settle best what this bag does to RESIN."""
    from outgas.no_gauge.words import next_report

    ready()
    said = _for_resin(resin, _take_looks(given), given)
    if form.json_out:
        as_json(
            {
                "kind": "outgas next observation",
                "version": 1,
                "next": None if said.next is None else said.next.to_dict(),
                "observations": [look.to_dict() for look in said.looks],
            }
        )
    else:
        form.tell_report(next_report(said))
    return 0


@no_gauge.command("telltale")
@click.argument("resin")
@options(SHOP_OPTIONS, ADVISED_OPTIONS)
@click.option("--stage", metavar="STAGE", help="cure or debulk; both if not given.")
@job_option
@shown()
def telltale_command(stage: str | None, form: Form, **given: Any) -> int:
    """Say which two vials of water show that the bag is right for RESIN."""
    import outgas
    from outgas.no_gauge.telltale import together

    ready()
    advice, *_ = advice_from(given, None)
    found = {s: outgas.telltale(advice, s) for s in ([stage] if stage else ["cure", "debulk"])}
    instead = {s: None if t else outgas.better_instrument(advice, s) for s, t in found.items()}
    if form.json_out:
        as_json(
            {
                "kind": "outgas tell-tales",
                "version": 1,
                **{s: None if t is None else t.to_dict() for s, t in found.items()},
                "instead": instead,
            }
        )
    else:
        form.tell_report(together(advice, found))
    return 0 if any(found.values()) else UNSAFE


@no_gauge.command("hold")
@click.argument("resin", required=False)
@click.option("--setpoint", metavar="P", help="'653 mbar', '10.5 inHg vacuum'; or give a RESIN.")
@click.option("--rig", required=True, metavar="WORDS", help=RIG_WORDS)
@click.option(
    "--bore",
    default="20 mm",
    show_default=True,
    help="Of the hole under the plate, in the pot's floor.",
)
@options(SHOP_IF_RESIN, ADVISED_OPTIONS)
@job_option
@shown()
def hold_command(resin: str | None, form: Form, **given: Any) -> int:
    """Say how to hold --setpoint, or the setpoint of RESIN: weight, hole, valve or switch."""
    import outgas
    from outgas.no_gauge.hold import held_at
    from outgas.no_gauge.weighted_plate import read_bore

    ready()
    no = Refusals()
    setpoint, rig, bore = (given.pop(name) for name in ("setpoint", "rig", "bore"))
    known: Any = no.read(lambda: outgas.Rig.from_words(rig))
    no.read(lambda: read_bore(bore))
    here = no.read(lambda: _barometer(given)) or SEA_LEVEL
    limits: dict[str, Any] = {}
    at: Any = setpoint
    if resin is not None:
        advice = _advice(resin, given, no)
        if advice is not None:
            no.read(lambda: held_at(advice, setpoint))
            at = setpoint or advice.setpoint
            limits = {"deepest": advice.deepest, "shallowest": advice.shallowest}
    else:
        unused(no, (*AIR_AND_FORM, "setpoint", "rig", "bore"), "a RESIN")
        if setpoint is None:
            no.add("give --setpoint, or a RESIN with --temperature and --humidity")
    if at is not None:
        no.read(lambda: _setpoint(at, here))
    no.done()
    found = outgas.hold(at, known, here, bore=bore, **limits)
    form.tell(found)
    return UNSAFE if limits and found.best is None else 0


def _setpoint(setpoint: Any, here: Any) -> float:
    from outgas.job.gauge import read_barometer, read_setpoint

    return read_setpoint(setpoint, read_barometer(here))


@no_gauge.command("drop-test")
@click.option("--rise", required=True, metavar="P", help="How far it moved: '1 inHg', '5 mbar'.")
@click.option("--time", required=True, metavar="T", help="In what time: '5 min'.")
@click.option("--rig", required=True, metavar="WORDS", help=RIG_WORDS)
@PROCESS_OPTION
@click.option("--silicone", is_flag=True, help="The bag is a silicone membrane.")
@click.option("--thickness", metavar="D", help="Of the silicone: '2 mm' if not given.")
@click.option("--reused", is_flag=True, help="The film was used before.")
@options(AIR_OPTIONS)
@job_option
@shown()
def drop_command(rig: str, form: Form, **given: Any) -> int:
    """Say whether a bag is tight enough, from how fast it loses vacuum when shut off."""
    import outgas
    from outgas.no_gauge.drop_test import read_rise, read_time

    ready()
    no = Refusals()
    known: Any = no.read(lambda: outgas.Rig.from_words(rig))
    here = no.read(lambda: _barometer(given))
    no.read(lambda: read_rise(given["rise"]))
    no.read(lambda: read_time(given["time"]))
    no.done()
    test = outgas.drop_test(
        given["rise"],
        given["time"],
        rig=known,
        process=given["process"],
        barometer=here,
        silicone=given["silicone"],
        thickness=given["thickness"],
        reused=given["reused"],
    )
    form.tell(test)
    return 0 if test.passed else UNSAFE
