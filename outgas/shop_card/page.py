"""A card as a page: one file of HTML with its style, its script and its table in it."""

import hashlib
import json
import math
from collections.abc import Iterable
from importlib.resources import files
from typing import Any

from outgas import readings
from outgas.constants import ZERO_CELSIUS_K
from outgas.job.job import Job
from outgas.many.wanted import needed
from outgas.no_gauge.telltale import no_vials
from outgas.plan.stage import Stage
from outgas.shop_card.record import Card
from outgas.show.amounts import clock
from outgas.show.caution import Harm
from outgas.show.dial import DIALS
from outgas.show.report import At, Brief, Line, lines
from outgas.tables import catalogue

EXTRA = "card"
ONE_BAR_PA = 1e5  # any pressure: a dial's numbers are proportional
MINUTE_S = 60.0
# What could end a script or a comment early in a page, and how a script says it.
_UNSAFE = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}


def page_of(card: Card) -> str:
    """Return a card as a page; InputError without the extra 'card'."""
    jinja2, Markup = needed("jinja2", EXTRA), needed("markupsafe", EXTRA).Markup
    room = files("outgas.shop_card")

    def text(name: str) -> str:
        return room.joinpath(name).read_text(encoding="utf-8")

    world = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True)
    made = world.from_string(text("card.html.j2")).render(
        **_told(card, Markup),
        css=Markup(text("card.css")),
        script=Markup(text("card.js")),
        table=Markup(as_script(_table(card))),
    )
    return str(made)


def as_script(data: Any) -> str:
    """Return data as JSON that nothing in it can break out of a script element."""
    said = json.dumps(data, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    for unsafe, safe in _UNSAFE.items():
        said = said.replace(unsafe, safe)
    return said


def _dials() -> list[list[Any]]:
    """Return each dial as the page makes its numbers: kind, per pascal, step, words, places."""
    found = []
    for name, (key, step, words, falls) in DIALS.items():
        kind = "percent" if name == "percent" else key.partition("_")[0]
        per = abs(readings.dial_readings(0.0, ONE_BAR_PA)[key]) / ONE_BAR_PA
        if kind == "absolute":
            per = readings.dial_readings(ONE_BAR_PA, ONE_BAR_PA)[key] / ONE_BAR_PA
        places = max(0, -math.floor(math.log10(step) + 1e-9))
        found.append([name, kind, per, step, words, falls, places])
    return found


def _table(card: Card) -> dict[str, Any]:
    """Return what the page's script works with."""
    job, plan = card.job, card.plan
    stages = () if plan is None else tuple(plan)
    grid = card.grid.to_dict()
    digest = hashlib.sha256(as_script([grid, job.resin.name]).encode()).hexdigest()
    return {
        "grid": grid,
        "dials": _dials(),
        "dial": card.dial,
        "own": {
            "T": job.shop.temperature_K,
            "RH": job.shop.humidity,
            "p": job.shop.barometer_Pa,
            "h": card.altitude_m,
        },
        "stages": [[stage.start_s, stage.end_s] for stage in stages],
        "last_change": catalogue.practice().clock.last_change.si,
        "key": f"card {digest[:16]}",
    }


def _told(card: Card, Markup: Any) -> dict[str, Any]:
    """Return what the template says."""
    job, advice, here = card.job, card.advice, card.job.shop.barometer_Pa

    def put(line: Line | str) -> Any:
        return _put(line, here, card.dial, Markup)

    plan = () if card.plan is None else tuple(card.plan)
    celsius = [T - ZERO_CELSIUS_K for T in card.grid.axes[0]]
    return {
        "title": job.resin.title,
        "process": job.process.name,
        "here": f"{here / 100.0:.0f} mbar",
        "own": {
            "temperature": f"{job.shop.temperature_K - ZERO_CELSIUS_K:.6g}",
            "humidity": f"{100.0 * job.shop.humidity:.6g}",
            "altitude": f"{card.altitude_m:.0f}",
        },
        "ends": {
            "temperature": (math.ceil(celsius[0]), math.floor(celsius[-1])),
            "humidity": [round(100.0 * x) for x in (card.grid.axes[1][0], card.grid.axes[1][-1])],
        },
        "dials": list(DIALS),
        "dial": card.dial,
        "stages": [_stage(stage, put) for stage in plan],
        "air": _air(job),
        "fits": [put(broken.line) for broken in card.plan.breaks] if card.plan else [],
        "fits_if": None
        if card.plan is None or card.plan.fits_if_gel_after_s is None
        else math.ceil(card.plan.fits_if_gel_after_s / MINUTE_S),
        "look": advice.look,
        "voids": _voids(card),
        "ways": [put(way.line) for way in advice.alternatives] if not advice.has_window else [],
        "vials": _vials(card, put),
        "held": [put(line) for line in _held(card)],
        "bleed": not job.process.filled,
        "cautions": [put(line) for line in _cautions(card)],
    }


def _air(job: Job) -> str:
    """Return how much air the plan takes the resin to hold: the card does not degas by itself."""
    if not job.process.mixed:
        return ""
    if job.pot is not None:
        return "For resin degassed as told: that comes first, before the catalyst or hardener."
    if job.air_Pa is not None:
        return "For resin with the air that was told; degas no more and no less."
    return "Without degassing: the resin as stirred. For degassed resin make a card that says so."


def _put(line: Line | str, here: float, dial: str, Markup: Any) -> Any:
    """Return a line as markup, its pressures in elements that the page turns to another dial."""
    (line,) = lines([line])
    if not line.pressures:
        return Markup.escape(line.text)
    places = []
    for at in line.pressures:
        if not isinstance(at, At) or at.off_dial or at.pressure_Pa > here:
            places.append(Markup.escape(at.on(here, None)))
            continue
        said = Brief(at.pressure_Pa, at.weaker, absolute=True).on(here, dial)
        tag = '<span class="p" data-pa="{}" data-weaker="{}">{}</span>'
        places.append(Markup(tag).format(repr(at.pressure_Pa), int(at.weaker), said))
    return Markup(Markup.escape(line.text)).format(*places)


def _stage(stage: Stage, put: Any) -> dict[str, Any]:
    return {
        "clock": clock(stage.start_s),
        "name": stage.name,
        "held": put(stage.held),
        "warmest": stage.warmest if not stage.dry else "",
        "watch": stage.watch_for,
    }


def _voids(card: Card) -> str:
    band = card.advice.expected_voids
    if band is None:
        return ""
    return f"{100 * band.nominal:.1f} % voids, at most {100 * band.high:.1f} %"


def _vials(card: Card, put: Any) -> list[dict[str, Any]]:
    """Return the vials of each stage that has some, or what serves instead of them."""
    found = []
    if not card.advice.has_window:
        return []
    for stage, vials in card.vials.items():
        if vials is not None:
            how = [put(line) for line in vials.recipe]
            found.append({"lines": [put(line) for line in vials.report.answer], "how": how})
        elif stage == "cure" or card.advice.deeper_first:
            answer = no_vials(card.advice, stage).answer
            found.append({"lines": [put(line) for line in answer], "how": []})
    return found


def _held(card: Card) -> Iterable[Line | str]:
    """Return how the setpoint is held."""
    if card.held is None:
        return (card.not_held,)
    report = card.held.report
    return report.answer if report.short is None else report.short.first


def _cautions(card: Card) -> Iterable[Line]:
    """Return every caution once, the ones that can hurt most first."""
    found = card.advice.cautioned if card.plan is None else card.plan.cautioned
    held = () if card.held is None else lines(card.held.cautions)
    vials = [line for one in card.vials.values() if one for line in lines(one.cautions)]
    ranked = sorted(
        (*found, *held, *vials), key=lambda x: Harm.SPOILS if x.harm is None else x.harm
    )
    return tuple({str(line): line for line in ranked}.values())
