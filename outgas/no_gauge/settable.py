"""An advice for a shop without a gauge: what to set instead of a dial reading.

Read with water, two vials a stage; with a plate, a mass over a hole; with nothing at all, whichever
of plate and bleed hole lets the bag go least deep at its worst.
"""

from collections.abc import Iterator
from typing import TypeAlias

from outgas import units
from outgas.errors import InputError
from outgas.job.rig import Rig
from outgas.no_gauge.bleed_hole import BleedHole, bleed_hole
from outgas.no_gauge.cautions import HOLDING, PLATE, VIALS
from outgas.no_gauge.held import Held, may_be
from outgas.no_gauge.telltale import Telltale, telltale
from outgas.no_gauge.ways import nearest
from outgas.no_gauge.weighted_plate import HOW, ReliefValve, relief_valve
from outgas.show.amounts import celsius, mbar_down, mbar_up
from outgas.show.report import Block, Line, Report, Short, joined, lines
from outgas.window.advice import Advice

BORES = ("20 mm", "30 mm", "40 mm", "60 mm")  # tried in turn, where a pump needs a wider hole
LOOSE = 1.5  # times where a debulk is to be held: weaker, it takes too little out (estimate)
TRIES = 12  # at a plate whose deep end is no deeper than it may
WITHOUT_GAUGE = ("water", "plate", "none")
Set: TypeAlias = Telltale | ReliefValve | tuple[BleedHole, Held] | None


def told_without_gauge(advice: Advice, rig: Rig) -> Report:
    """Return an advice told; where its shop has no gauge, by what can be set there."""
    report = advice.report
    if advice.reads_with not in WITHOUT_GAUGE or not _is_held(advice):
        return report
    stages = [(name, *_of(advice, name)) for name in _stages(advice)]
    found = [(name, deep, _way(advice, name, rig, p, deep)) for name, p, deep in stages]
    first = tuple(_lines(advice, found))
    short = report.short
    more = () if short is None else short.more
    bounds = (_bounds(advice),)
    careful = [block for block in report.blocks if block.belongs == "cautions"]
    kept = tuple(block for block in report.blocks if block.belongs != "cautions")
    own = _cautions([way for *_, way in found])
    all_ = tuple(dict.fromkeys([*lines(own), *(x for block in careful for x in block.lines)]))
    return Report(
        report.barometer_Pa,
        (*first, *bounds, *report.answer),
        (Block("How to set it", tuple(_how(found)), part="do"), *kept, Block("Cautions", all_)),
        short=Short((*first, *bounds), more),
    )


def _is_held(advice: Advice) -> bool:
    """Tell whether it is a bag held between two pressures, with a window for it."""
    named = advice.facts.told_like in ("wet layup", "infusion", "core bonding")
    return named and advice.setpoint_Pa is not None and advice.pump_needs_Pa is None


def _stages(advice: Advice) -> tuple[str, ...]:
    return ("debulk", "cure") if advice.deeper_first else ("cure",)


def _of(advice: Advice, stage: str) -> tuple[float, float]:
    """Return where a stage is held, and how deep it may be at the most [Pa]."""
    if stage == "debulk":
        return advice.debulk_hold_Pa, min(advice.debulk_limit_Pa, advice.debulk_hold_Pa)
    return advice.setpoint_Pa or advice.barometer_Pa, advice.deepest_Pa


def _way(advice: Advice, stage: str, rig: Rig, p: float, deep: float) -> Set:
    """Return what sets a stage; a plate where water cannot, None where nothing is sure to.

    A debulk is watched with vials wherever they serve: a plate holds so deep a vacuum too loosely.
    """
    vials = telltale(advice, stage) if advice.reads_with == "water" or stage == "debulk" else None
    if vials is not None:
        return vials
    plate = _plate(advice, rig, p, deep)
    if plate is not None and stage == "debulk" and plate.high_Pa > LOOSE * p:
        plate = None
    hole = _hole(advice, rig, p, deep) if advice.reads_with == "none" else None
    if hole is not None and (plate is None or hole[1].low_Pa > plate.low_Pa):
        return hole
    return plate


def _plate(advice: Advice, rig: Rig, p: float, deep: float) -> ReliefValve | None:
    """Return the weight that lifts nearest to a pressure, at its worst no deeper than it may."""
    here = units.quantity(advice.barometer_Pa, "Pa")
    for bore in BORES:
        at = p
        for _ in range(TRIES):
            if at >= min(advice.shallowest_Pa, advice.barometer_Pa):
                break
            try:
                valve = relief_valve(units.quantity(at, "Pa"), bore, here, rig=rig)
            except InputError:
                break
            if valve.low_Pa >= deep and not valve.too_heavy:
                return valve
            at += max(deep - valve.low_Pa, 100.0)
    return None


def _hole(advice: Advice, rig: Rig, p: float, deep: float) -> tuple[BleedHole, Held] | None:
    """Return the bleed hole and the real one nearest to it, at its worst no deeper than it may."""
    here, weak = (units.quantity(x, "Pa") for x in (advice.barometer_Pa, advice.shallowest_Pa))
    at, least = (units.quantity(x, "Pa") for x in (p, deep))
    try:
        hole = bleed_hole(at, rig, here, deepest=least, shallowest=weak)
    except InputError:
        return None
    real = nearest(hole, advice.shallowest_Pa)
    return None if real is None or real.low_Pa < deep else (hole, real)


def _lines(advice: Advice, found: list[tuple[str, float, Set]]) -> Iterator[Line]:
    """Yield a line for each stage: what to set, and between which pressures that holds the bag."""
    filled = advice.facts.filled
    for stage, deep, way in found:
        verb = ("Fill" if filled else "Debulk") if stage == "debulk" else "Cure"
        if len(found) > 1 and stage == "cure":
            verb = "Then let up and cure" if filled else "Then come up and cure"
        if isinstance(way, Telltale):
            hot, cold = (celsius(T, 1) for T in (way.must_boil_K, way.must_not_boil_K))
            near, high = mbar_up(way.held_Pa), mbar_up(way.roof_Pa)
            yield Line(
                f"{verb} where water at {hot} boils and water at {cold} has boiled and fallen "
                f"quiet: near {near} mbar, {high} at the weakest."
            )
        elif isinstance(way, ReliefValve):
            ends = may_be(way.low_Pa, way.high_Pa)
            yield joined(
                [
                    Line(
                        f"{verb} with {{}}, plate and steel, over a {{}} hole inside the pot: the "
                        "bag ",
                        (way.mass_place, way.bore_place),
                    ),
                    ends,
                    ".",
                ]
            )
        elif way is not None:
            ends = may_be(way[1].low_Pa, way[1].high_Pa)
            what = f"a bleed at the pump, {way[1].name}, behind a filter"
            yield joined([f"{verb} with {what}: the bag ", ends, "."])
        else:
            yield Line(
                f"{verb}: nothing without a gauge is sure to hold it no deeper than "
                f"{mbar_up(deep)} mbar; read it with an absolute sensor."
            )


def _bounds(advice: Advice) -> Line:
    """Return the bounds in absolute mbar: no dial here shows another."""
    weak, cure = mbar_down(advice.shallowest_Pa), mbar_up(advice.deepest_Pa)
    if not advice.deeper_first:
        return Line(f"Never deeper than {cure}, never weaker than {weak} mbar absolute.")
    early = "fill" if advice.facts.filled else "debulk"
    limit = mbar_up(advice.debulk_limit_Pa)
    return Line(
        f"Never deeper: {early} {limit}, cure {cure} mbar absolute; never weaker than {weak}."
    )


def _how(found: list[tuple[str, float, Set]]) -> Iterator[Line]:
    """Yield how each is set, the same once."""
    said: list[Line | str] = []
    for stage, _, way in found:
        if isinstance(way, Telltale):
            said += [f"{stage}: {text}" for text in way.recipe]
        elif isinstance(way, ReliefValve):
            said += [joined([f"{stage}, the weight: ", way.weight_line]), *HOW]
        elif way is not None:
            said += [f"{stage}: {text}" for text in way[0].notes]
    yield from dict.fromkeys(lines(said))


def _cautions(ways: list[Set]) -> list[str]:
    """Return what must be said beside what is set."""
    found: list[str] = []
    for way in ways:
        if isinstance(way, Telltale):
            found += VIALS
        elif isinstance(way, ReliefValve):
            found += [*PLATE, *HOLDING]
        elif way is not None:
            found += HOLDING
    return found
