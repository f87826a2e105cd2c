"""Every way to hold a setpoint with one rig, the best first."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import units
from outgas.errors import InputError, RefusedError
from outgas.job.gauge import read_barometer, read_setpoint, reading_of
from outgas.job.rig import Rig
from outgas.no_gauge.bleed_hole import BleedHole, NoHoleError, bleed_hole
from outgas.no_gauge.cautions import HOLDING
from outgas.no_gauge.held import in_mbar
from outgas.no_gauge.observations import SHOP_K
from outgas.no_gauge.weighted_plate import ReliefValve, relief_valve
from outgas.physics import flow
from outgas.show.answer import Answer
from outgas.show.report import At, Block, Line, Report, joined, lines
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.units import Measure

VERSION = 1
BAND_SHARE = 0.1  # of the setpoint, that a switched pump may wander up where no limit is closer
LEAST_OFF_S = 60.0  # a pump switched more often than this wears out
PATH_POINTS = 60  # of a pump-down through a hose: to a thousandth of its time
LATE_S = 2.0  # by which a hand is late on a switch


@dataclass(frozen=True, slots=True, kw_only=True)
class Switching:
    """A pump switched by hand: off at low_Pa, on again at high_Pa, and how long each takes [s].

    late_Pa is where the bag ends if the hand on the switch is two seconds late; floor_Pa what it
    must not pass: the deepest safe, or without one the band's own depth below the setpoint.
    """

    low_Pa: float
    high_Pa: float
    off_s: float
    on_s: float
    volume_m3: float
    leak_Pa_m3_s: float
    late_Pa: float
    floor_Pa: float

    @property
    def steerable(self) -> bool:
        """Whether a hand is quick enough not to pass the floor."""
        return self.late_Pa >= self.floor_Pa

    @property
    def practical(self) -> bool:
        """Whether the pump rests long enough between, and a hand can steer it."""
        return self.off_s >= LEAST_OFF_S and self.steerable

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {
            "off_at_Pa": self.low_Pa,
            "on_at_Pa": self.high_Pa,
            "off_s": self.off_s,
            "on_s": self.on_s,
            "volume_m3": self.volume_m3,
            "leak_Pa_m3_s": self.leak_Pa_m3_s,
            "two_seconds_late_Pa": self.late_Pa,
            "floor_Pa": self.floor_Pa,
            "practical": self.practical,
        }

    @property
    def line(self) -> Line:
        """When to switch, how long each takes, and what a late hand does."""
        often = "" if self.off_s >= LEAST_OFF_S else "; too often for a pump: find the leak"
        deep = "" if self.steerable else ", too deep: use the plate"
        return Line(
            f"off at {{}}, on at {{}}: off for {self.off_s:.0f} s, on for {math.ceil(self.on_s)} "
            f"s; a hand {LATE_S:.0f} s late on the switch lets it fall to {{}}{deep}{often}",
            (At(self.low_Pa), At(self.high_Pa, weaker=False), in_mbar(self.late_Pa)),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold(Answer):
    """How to hold a setpoint: weighted plate, bleed hole, hand valve, switched pump, best first."""

    setpoint_Pa: float
    barometer_Pa: float
    deepest_Pa: float | None
    shallowest_Pa: float | None
    plate: ReliefValve
    hole: BleedHole | None
    no_hole: str
    valve: tuple[str, ...]
    switching: Switching | None
    no_switching: str
    reach_Pa: float | None
    pump_down_s: float | None
    cautions: tuple[str, ...] = HOLDING
    no_hole_line: Line = field(default=Line(""), repr=False, compare=False)

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas hold",
            "version": VERSION,
            "setpoint_Pa": self.setpoint_Pa,
            "barometer_Pa": self.barometer_Pa,
            "deepest_Pa": self.deepest_Pa,
            "shallowest_Pa": self.shallowest_Pa,
            "weighted_plate": self.plate.to_dict(),
            "bleed_hole": None if self.hole is None else self.hole.to_dict(),
            "no_bleed_hole": self.no_hole,
            "hand_valve": list(self.valve),
            "switched_pump": None if self.switching is None else self.switching.to_dict(),
            "no_switched_pump": self.no_switching,
            "pump_reaches_Pa": self.reach_Pa,
            "pump_down_s": self.pump_down_s,
            "cautions": list(self.cautions),
        }

    @property
    def report(self) -> Report:
        """Every way told, the best first, and what to beware of."""
        hole = (joined(["none: ", self.no_hole_line]),) if self.hole is None else self.hole.lines
        switch = lines([f"none: {self.no_switching}"])
        if self.switching is not None:
            switch = (self.switching.line,)
        blocks = (
            Block("1. Weighted plate", self.plate.lines),
            Block("2. Bleed hole", hole),
            Block("3. Hand valve", lines(self.valve)),
            Block("4. Pump on and off", switch),
            Block("Pumping down", self._down()),
            Block("Cautions", lines(self.cautions)),
        )
        return Report(self.barometer_Pa, tuple(self._first()), blocks, fixed=True)

    def _first(self) -> Iterator[Line]:
        """Yield the best way, and what speaks against the setpoint."""
        plate, p = self.plate, self.setpoint_Pa
        yield Line(
            f"Hold {{}} with {plate.mass_kg:.2f} kg on a plate over a {plate.bore_m * 1e3:.0f} mm "
            "hole: best, for a worn pump does not move it.",
            (At(p),),
        )
        if self.deepest_Pa is not None:
            clear = plate.low_Pa >= self.deepest_Pa
            sure = "even at its deep end" if clear else "but it may pass it"
            places = At(self.deepest_Pa), in_mbar(plate.low_Pa, brief=True)
            yield Line(f"Never deeper than {{}}: {sure} ({{}}).", places)
        if self.shallowest_Pa is not None and p > self.shallowest_Pa:
            weak = At(self.shallowest_Pa, weaker=False)
            yield Line("Too weak to clamp: it wants {} or deeper.", (weak,))
        if self.reach_Pa is not None and p <= self.reach_Pa:
            yield Line(
                "This pump most likely comes to {} only, and the plate would not lift.",
                (At(self.reach_Pa),),
            )

    def _down(self) -> tuple[Line, ...]:
        """Return how long the pump takes, and what it means where it hangs on the way."""
        if self.pump_down_s is None:
            return ()
        return lines(
            [
                f"from the air to the setpoint in about {math.ceil(self.pump_down_s)} s, bag dry",
                "where it hangs on the way, look for a leak or for something that boils: water, or "
                "the resin itself, keeps the bag at its own vapour pressure until it is gone; let "
                "air in",
            ]
        )


def hold(
    setpoint: "Measure",
    rig: Rig,
    barometer: "Measure",
    *,
    bore: "Measure" = "20 mm",
    deepest: "Measure | None" = None,
    shallowest: "Measure | None" = None,
) -> Hold:
    """Return every way to hold a bag at a pressure with one rig, the best first.

    Parameters
    ----------
    setpoint, deepest, shallowest
        Absolute, or readings under the barometer; the last two from an advice.
    rig
        What makes the vacuum; a way whose figures it lacks is left out, and said so.
    barometer
        The shop's own air pressure.
    bore
        Of the hole that the plate covers.

    Returns
    -------
    A Hold: pressures [Pa], masses [kg], diameters [m], times [s].

    Raises
    ------
    InputError
        A setpoint above the barometer, or deeper than the pump reaches.
    RefusedError
        A setpoint deeper than deepest.
    """
    here = read_barometer(barometer)
    p = read_setpoint(setpoint, here)
    deep, weak = (
        None if x is None else reading_of(x, here, name).absolute_Pa
        for x, name in ((deepest, "deepest"), (shallowest, "shallowest"))
    )
    if deep is not None and p < deep:
        raise RefusedError(
            f"setpoint is {p / 100:.0f} mbar, deeper than the deepest safe "
            f"{math.ceil(deep / 100)} mbar"
        )
    reach = _reach(rig, p)
    at, air = units.quantity(p, "Pa"), units.quantity(here, "Pa")
    plate = relief_valve(at, bore, air, rig=rig)
    hole, no_hole = None, Line("")
    try:
        window = (None if x is None else units.quantity(x, "Pa") for x in (deep, weak))
        hole = bleed_hole(at, rig, air, **dict(zip(("deepest", "shallowest"), window, strict=True)))
    except InputError as error:
        no_hole = error.line if isinstance(error, NoHoleError) else Line(str(error))
    switching, no_switching = _switching(rig, p, here, deep, weak)
    return Hold(
        setpoint_Pa=p,
        barometer_Pa=here,
        deepest_Pa=deep,
        shallowest_Pa=weak,
        plate=plate,
        hole=hole,
        no_hole=no_hole.on(here, None),
        no_hole_line=no_hole,
        valve=_valve(rig),
        switching=switching,
        no_switching=no_switching,
        reach_Pa=reach,
        pump_down_s=_pump_down(rig, p, here),
    )


def _reach(rig: Rig, p: float) -> float | None:
    """Return what the pump comes to with nothing bled in [Pa]; refuse a setpoint under that."""
    if rig.pump_ultimate is None and rig.kind is None:
        return None
    share = catalogue.rigs().displacement_share
    best = _ultimate(rig, "low_si")
    likely, S = _ultimate(rig, "si"), rig.pump_displacement
    if S is not None and rig.leak:
        best += rig.leak / (S * share.high_si)
        likely += rig.leak / (S * share.si)
    if p <= best:
        raise InputError(
            f"setpoint is {p / 100:.3g} mbar; this pump{' with this leak' if rig.leak else ''} "
            f"reaches {best / 100:.3g} mbar at best, so nothing holds it there"
        )
    return likely


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
    ultimate, leak = _ultimate(rig, "si"), rig.leak or 0.0
    if size is None:
        time = float(flow.pump_down_time(volume[0], S, here, p, ultimate, leak))
    else:
        path = np.geomspace(here, p, PATH_POINTS)[1:]
        time = float(
            flow.pump_down_history(
                volume[0], S, here, path, ultimate, leak, size.bore_m, size.length_m, SHOP_K
            )[-1]
        )
    return time if math.isfinite(time) else None


def _valve(rig: Rig) -> tuple[str, ...]:
    what = rig.bleed or "a needle valve, or a hose clamp on a short rubber tube"
    return (
        f"{what}, at the pump's manifold or the pot, behind a filter",
        "set it with the vials or a dial, then do not touch it; it drifts as the pump warms, so "
        "look again after ten minutes and before the gel",
        "a ball valve is a switch, not a bleed: a degree of its handle is a hundred mbar",
    )


def _switching(
    rig: Rig, p: float, here: float, deep: float | None, weak: float | None
) -> tuple[Switching | None, str]:
    """Return the band of a switched pump, or why there is none."""
    volume = rig.volume()
    if volume is None or not rig.leak:
        return None, "needs the bag's volume (or area) and its leak: make a drop test first"
    if rig.pump_displacement is None:
        return None, "needs what the pump moves"
    low = p  # the setpoint keeps clear of deepest by the error of reading: never below it
    high = min(p + BAND_SHARE * p, here, here if weak is None else weak)
    if high <= low:
        return None, "the window leaves no band to wander in"
    small = volume[1]  # the least volume fills fastest
    share = catalogue.rigs().displacement_share
    S = rig.pump_displacement * share.si
    ultimate = _ultimate(rig, "si")
    on = float(flow.pump_down_time(volume[2], S, high, low, ultimate, rig.leak))
    off = float(flow.rise_time(small, rig.leak, high - low))
    if not math.isfinite(on):
        return None, "this pump with this leak does not get down to the setpoint"
    quick = rig.pump_displacement * share.high_si / small  # the fastest fall, towards nothing
    made = Switching(
        low_Pa=low,
        high_Pa=high,
        off_s=off,
        on_s=on,
        volume_m3=volume[0],
        leak_Pa_m3_s=rig.leak,
        late_Pa=low * math.exp(-quick * LATE_S),
        floor_Pa=low - (high - low) if deep is None else deep,
    )
    return made, ""
