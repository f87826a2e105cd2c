"""Every way to hold a setpoint with one rig, the one that is least deep at its worst first."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import units
from outgas.errors import InputError, RefusedError
from outgas.job.gauge import read_barometer, read_setpoint, reading_of
from outgas.job.rig import Rig, the_rig
from outgas.job.saved import Job
from outgas.no_gauge.bag_advice import no_bag
from outgas.no_gauge.bleed_hole import BleedHole, NoHoleError, bleed_hole
from outgas.no_gauge.cautions import HOLDING, PLATE
from outgas.no_gauge.charts import Asked, ends_of, hold_charts
from outgas.no_gauge.held import in_mbar
from outgas.no_gauge.observations import SHOP_K
from outgas.no_gauge.switching import Switching, switched
from outgas.no_gauge.ways import HOLE, SWITCH, VALVE, Way, nearest, ranked
from outgas.no_gauge.ways import PLATE as WEIGHTED
from outgas.no_gauge.weighted_plate import (
    HangingWeight,
    ReliefValve,
    hanging_weight,
    relief_valve,
)
from outgas.physics import flow
from outgas.show.answer import Answer
from outgas.show.chart import Maker
from outgas.show.report import At, Block, Line, Report, Short, joined, lines, sentence
from outgas.tables import catalogue
from outgas.window.advice import Advice
from outgas.window.advise import advise

if TYPE_CHECKING:
    from outgas.units import Measure

VERSION = 1
USUAL_BORE = "20 mm"
PATH_POINTS = 60  # of a pump-down through a hose: to a thousandth of its time


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold(Answer):
    """How to hold a setpoint: weighted plate, bleed hole, hand valve, switched pump.

    ways ranks them by how deep each may let the bag go at its worst; those that are sure to stay
    above deepest_Pa (where none was told: nearer to the setpoint than to full vacuum) come first.
    hanging is the tell-tale for too weak, where it is known what that is.

    Examples
    --------
    >>> import outgas
    >>> rig = outgas.Rig.from_words("5 m3/h two-stage pump")
    >>> held = outgas.hold("300 mbar", rig, "1013 mbar")
    >>> sorted(way.name for way in held.ways)
    ['bleed hole', 'hand valve', 'pump on and off', 'weighted plate']
    >>> held.to_dict()["kind"]
    'outgas hold'
    """

    setpoint_Pa: float
    barometer_Pa: float
    deepest_Pa: float | None
    shallowest_Pa: float | None
    ways: tuple[Way, ...]
    plate: ReliefValve
    hanging: HangingWeight | None
    hole: BleedHole | None
    no_hole: str
    valve: tuple[str, ...]
    switching: Switching | None
    no_switching: str
    reach_Pa: float | None
    pump_down_s: float | None
    cautions: tuple[str, ...] = (*PLATE, *HOLDING)
    no_hole_line: Line = field(default=Line(""), repr=False, compare=False)

    @property
    def best(self) -> Way | None:
        """The sure way that is least deep at its worst; None where no way is sure."""
        return self.ways[0] if self.ways[0].sure else None

    @property
    def _well(self) -> bool:
        return self.deepest_Pa is None or self.best is not None

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas hold",
            "version": VERSION,
            "setpoint_Pa": self.setpoint_Pa,
            "barometer_Pa": self.barometer_Pa,
            "deepest_Pa": self.deepest_Pa,
            "shallowest_Pa": self.shallowest_Pa,
            "best": None if self.best is None else self.best.name,
            "ways": [way.to_dict() for way in self.ways],
            "weighted_plate": self.plate.to_dict(),
            "hanging_weight": None if self.hanging is None else self.hanging.to_dict(),
            "bleed_hole": None if self.hole is None else self.hole.to_dict(),
            "no_bleed_hole": self.no_hole,
            "hand_valve": list(self.valve),
            "switched_pump": None if self.switching is None else self.switching.to_dict(),
            "no_switched_pump": self.no_switching,
            "pump_reaches_Pa": self.reach_Pa,
            "pump_down_s": self.pump_down_s,
            "cautions": list(map(str, self.cautions)),
        }

    @property
    def makers(self) -> Mapping[str, Maker]:
        """Its charts, each by what makes it."""
        asked = Asked(self.setpoint_Pa, self.barometer_Pa, self.deepest_Pa, self.shallowest_Pa)
        ends = ends_of(asked, self.ways, self.plate, self.hole, self.switching)
        return hold_charts(asked, self.ways, ends)

    @property
    def report(self) -> Report:
        """Every way told, the best first, and what to beware of."""
        blocks = (
            *(self._way(i, way) for i, way in enumerate(self.ways, 1)),
            Block("Tell-tale for too weak", () if self.hanging is None else self.hanging.lines),
            Block("Pumping down", self._down()),
            Block("Cautions", lines(self.cautions)),
        )
        first = tuple(self._first())
        few = Short(first, tuple(self._more()))
        return Report(self.barometer_Pa, first, blocks, fixed=True, short=few)

    def _more(self) -> Iterator[Line]:
        """Yield how the best way is used, and how soon the bag is there."""
        best = self.best
        if best is not None and best.name == WEIGHTED:
            yield joined(["The weight: ", self.plate.weight_line, "."])
        if best is not None and best.name == HOLE and self.hole is not None:
            yield from (joined(["Near it: ", hole.line, "."]) for hole in self.hole.holes[:2])
        yield from map(sentence, self._down()[:1])
        for way in self.ways[1:]:
            if way.deep_Pa is not None:
                worst = "at its worst it holds" if way.sure else "not sure, it may let it down to"
                at = in_mbar(way.deep_Pa, brief=True)
                yield Line(f"Or {way.name}: {worst} {{}}.", (at,))

    def _way(self, number: int, way: Way) -> Block:
        """Return one way told, after how deep it may let the bag go."""
        none = joined(["none: ", self.no_hole_line])
        told: dict[str, tuple[Line, ...]] = {
            WEIGHTED: self.plate.lines,
            HOLE: (none,) if self.hole is None else self.hole.lines,
            VALVE: lines(self.valve),
            SWITCH: lines([f"none: {self.no_switching}"]),
        }
        if self.switching is not None:
            told[SWITCH] = (self.switching.line,)
        first: tuple[Line, ...] = ()
        if way.deep_Pa is not None:
            mark = "" if way.sure else ": not sure, do not rely on it alone"
            first = (Line(f"deep end {{}}{mark}", (in_mbar(way.deep_Pa),)),)
        return Block(f"{number}. {way.name.capitalize()}", (*first, *told[way.name]))

    def _first(self) -> Iterator[Line]:
        """Yield the best way, and what speaks against the setpoint."""
        p, best = self.setpoint_Pa, self.best
        yield self._best_line(best)
        if self.deepest_Pa is not None and best is not None and best.deep_Pa is not None:
            places = At(self.deepest_Pa), in_mbar(best.deep_Pa, brief=True)
            yield Line("Never deeper than {}: even at its deep end ({}).", places)
        elif self.deepest_Pa is not None:
            yield Line("Never deeper than {}.", (At(self.deepest_Pa),))
        if self.shallowest_Pa is not None and p > self.shallowest_Pa:
            weak = At(self.shallowest_Pa, weaker=False)
            yield Line("Too weak to clamp: it wants {} or deeper.", (weak,))
        if self.reach_Pa is not None and p <= self.reach_Pa:
            yield Line(
                "This pump most likely comes to {} only: no plate lifts, nothing need be bled in.",
                (At(self.reach_Pa),),
            )

    def _best_line(self, best: Way | None) -> Line:
        """Return what holds it best, or that nothing is sure to."""
        at = At(self.setpoint_Pa)
        if best is None:
            said = "No way here is sure to hold {} and go no deeper than it may"
            ends = [way.deep_Pa for way in self.ways if way.deep_Pa is not None]
            least = in_mbar(max(ends), brief=True)
            end = f"{said}: the least deep ends at {{}}. Hold it weaker, or read the bag all along."
            return Line(end, (at, least))
        real = None if self.hole is None else nearest(self.hole, self.shallowest_Pa)
        told: dict[str, Line | str] = {
            WEIGHTED: joined([self.plate.what_line, ": best, for it is least deep at its worst"]),
            HOLE: f"a {real.name if real else 'hole'} at the pump's manifold, behind a filter: "
            "best, for it is least deep at its worst",
            SWITCH: "the pump switched on and off: best, for it is least deep at its worst",
            VALVE: "a bleed set by hand: this pump reaches no deeper than is safe",
        }
        if best.name == WEIGHTED:
            at = At(self.plate.lifts_Pa)
        elif best.name == HOLE and real is not None:
            at = At(real.pressure_Pa)
        return joined([Line("Hold {} with ", (at,)), told[best.name], "."])

    def _down(self) -> tuple[Line, ...]:
        """Return how long the pump takes, and what it means where it hangs on the way."""
        if self.pump_down_s is None:
            return ()
        return lines(
            [
                f"from the air to the setpoint in about {_seconds(self.pump_down_s)}, bag dry",
                "where it hangs on the way, look for a leak or for something that boils: water, or "
                "the resin itself, keeps the bag at its own vapour pressure until it is gone; let "
                "air in",
            ]
        )


def hold(
    setpoint: "Measure | Job",
    rig: "Rig | str | Job | None" = None,
    barometer: "Measure | None" = None,
    *,
    bore: "Measure | None" = None,
    deepest: "Measure | None" = None,
    shallowest: "Measure | None" = None,
) -> Hold:
    """Return every way to hold a bag at a pressure with one rig, by its worst deep end.

    Parameters
    ----------
    setpoint, deepest, shallowest
        Absolute, or readings under the barometer; the last two from an advice. A Job in place of
        the setpoint: that of its advice, within its limits, with its rig and its barometer.
    rig
        What makes the vacuum, a Rig or its words; a way whose figures it lacks is left out, and
        said so. A Job in its place: its rig, its barometer and its limits, for a setpoint of your
        own.
    barometer
        The shop's own air pressure, 200 to 1100 hPa.
    bore
        Of the hole in the pot's floor that the plate covers, 3 to 150 mm; 20 mm if not given.

    Returns
    -------
    A Hold: pressures [Pa], masses [kg], diameters [m], times [s].

    Raises
    ------
    InputError
        A setpoint above the barometer, or deeper than the pump reaches.
    RefusedError
        A setpoint deeper than deepest.

    Notes
    -----
    Each way by its own equation: outgas.relief_valve, outgas.bleed_hole. Pumping down, where the
    hose does not tell: t = (V/S) ln((p_atm - p_end) / (p - p_end)), with what the pump comes to,
    p_end (a balance of gas, own derivation).

    Examples
    --------
    >>> rig = Rig.from_words("5 m3/h two-stage pump")
    >>> hold("300 mbar", rig, "1013 mbar", deepest="250 mbar").best.deep_Pa >= 25000.0
    True
    >>> hold("200 mbar", rig, "1013 mbar", deepest="250 mbar")
    Traceback (most recent call last):
        ...
    outgas.errors.RefusedError: setpoint is 200 mbar, deeper than the deepest safe 250 mbar

    A job, at the setpoint of its own advice:

    >>> words = dict(resin="epoxy-laminating", temperature="22C", humidity="50%")
    >>> held = hold(Job(**words, rig="5 m3/h two-stage pump"))
    >>> held.setpoint_Pa > held.deepest_Pa
    True
    """
    job = setpoint if isinstance(setpoint, Job) else rig if isinstance(rig, Job) else None
    if job is not None:
        named = dict(bore=bore, deepest=deepest, shallowest=shallowest)
        return _hold_job(job, setpoint, rig, barometer, named)
    if rig is None or isinstance(rig, Job):
        raise InputError("rig is missing; give outgas.Rig(...), its words, or a job")
    rig = the_rig(rig)
    here = read_barometer(barometer)
    p = read_setpoint(setpoint, here)
    deep, weak = (
        None if x is None else reading_of(x, here, name).absolute_Pa
        for x, name in ((deepest, "deepest"), (shallowest, "shallowest"))
    )
    _not_too_deep(p, deep)
    reach = _reach(rig, p)
    at, air = units.quantity(p, "Pa"), units.quantity(here, "Pa")
    bore = USUAL_BORE if bore is None else bore
    plate = relief_valve(at, bore, air, rig=rig)
    hanging = None
    if weak is not None and weak < here:
        hanging = hanging_weight(units.quantity(weak, "Pa"), bore, air)
    hole, no_hole = _hole(rig, p, here, deep, weak)
    switching, no_switching = switched(rig, p, here, _ultimate(rig, "si"), (deep, weak))
    return Hold(
        setpoint_Pa=p,
        barometer_Pa=here,
        deepest_Pa=deep,
        shallowest_Pa=weak,
        ways=ranked(plate, hole, _deepest_reach(rig), switching, (deep, weak)),
        plate=plate,
        hanging=hanging,
        hole=hole,
        no_hole=no_hole.on(here, None),
        no_hole_line=no_hole,
        valve=_valve(rig),
        switching=switching,
        no_switching=no_switching,
        reach_Pa=reach,
        pump_down_s=_pump_down(rig, p, here),
    )


def _not_too_deep(setpoint: float, deepest: float | None) -> None:
    """Refuse a setpoint [Pa] that nobody should hold."""
    if deepest is not None and setpoint < deepest:
        raise RefusedError(
            f"setpoint is {setpoint / 100:.0f} mbar, deeper than the deepest safe "
            f"{math.ceil(deepest / 100)} mbar"
        )


def _hold_job(job: Job, setpoint: Any, rig: Any, barometer: Any, named: dict[str, Any]) -> Hold:
    """Return the ways to hold a job's bag; what is named goes before what the job says."""
    advice, own = advise(job), None if setpoint is job else setpoint
    held_at(advice, own)
    told = dict(job.told)
    usual: dict[str, Any] = dict(
        bore=told.get("bore"), deepest=advice.deepest, shallowest=advice.shallowest
    )
    at: Any = advice.setpoint if own is None else own
    return hold(
        at,
        job.rig if rig is None or rig is job else rig,
        job.shop.barometer if barometer is None else barometer,
        **{name: usual[name] if named[name] is None else named[name] for name in usual},
    )


def held_at(advice: Advice, setpoint: Any) -> None:
    """Refuse an advice whose bag is not held, at a setpoint of one's own or at its own."""
    no_bag(advice)
    if advice.facts.preimpregnated:
        raise InputError("prepreg is not held: it takes all the vacuum there is")
    if setpoint is None and advice.setpoint is None:
        raise RefusedError(
            "no safe vacuum to hold for the cure; `outgas advise` lists the ways out"
        )


def _hole(
    rig: Rig, p: float, here: float, deep: float | None, weak: float | None
) -> tuple[BleedHole | None, Line]:
    """Return the bleed hole that holds a setpoint within a window, or why there is none."""
    at, air = units.quantity(p, "Pa"), units.quantity(here, "Pa")
    deepest, shallowest = (None if x is None else units.quantity(x, "Pa") for x in (deep, weak))
    try:
        hole = bleed_hole(at, rig, air, deepest=deepest, shallowest=shallowest)
    except InputError as error:
        return None, error.line if isinstance(error, NoHoleError) else Line(str(error))
    return hole, Line("")


def _reach(rig: Rig, p: float) -> float | None:
    """Return what the pump comes to with nothing bled in [Pa]; refuse a setpoint under that."""
    if rig.pump_ultimate is None and rig.kind is None:
        return None
    best, likely, S = _deepest_reach(rig), _ultimate(rig, "si"), rig.pump_displacement
    if S is not None and rig.leak:
        likely += rig.leak / (S * catalogue.rigs().displacement_share.si)
    if p <= best:
        raise InputError(
            f"setpoint is {p / 100:.3g} mbar; this pump{' with this leak' if rig.leak else ''} "
            f"reaches {best / 100:.3g} mbar at best, so nothing holds it there"
        )
    return likely


def _deepest_reach(rig: Rig) -> float:
    """Return the deepest that the pump may come to with nothing bled in [Pa]; 0 if unknown."""
    best, S = _ultimate(rig, "low_si"), rig.pump_displacement
    if S is not None and rig.leak:
        best += rig.leak / (S * catalogue.rigs().displacement_share.high_si)
    return best


def _seconds(time: float) -> str:
    """Return a time [s] rounded down: who pumps by the clock must not go deeper."""
    return f"{math.floor(time)} s" if time >= 1.0 else "under a second"


def _ultimate(rig: Rig, end: str) -> float:
    if rig.pump_ultimate is not None:
        return rig.pump_ultimate
    return float(getattr(rig.kind.ultimate, end)) if rig.kind is not None else 0.0


def _pump_down(rig: Rig, p: float, here: float) -> float | None:
    """Return the time from the air to a setpoint, bag dry [s]; None where it never gets there."""
    volume, S, size = rig.volume(), rig.pump_displacement, rig.hose_size
    if volume is None or S is None:
        return None
    S *= catalogue.rigs().displacement_share.si
    pull = flow.Pull(S, _ultimate(rig, "si"), rig.leak or 0.0)
    if size is None:
        time = float(flow.pump_down_time(volume[0], pull, here, p))
    else:
        path, hose = np.geomspace(here, p, PATH_POINTS), flow.Tube(size.bore_m, size.length_m)
        time = float(flow.pump_down_history(volume[0], pull, hose, path, SHOP_K)[-1])
    return time if math.isfinite(time) else None


def _valve(rig: Rig) -> tuple[str, ...]:
    what = rig.bleed or "a needle valve, or a hose clamp on a short rubber tube"
    return (
        f"{what}, at the pump's manifold or the pot, behind a filter",
        "set it with the vials or a dial, then do not touch it; it drifts as the pump warms, so "
        "look again after ten minutes and before the gel",
        "a ball valve is a switch, not a bleed: a degree of its handle is a hundred mbar",
    )
