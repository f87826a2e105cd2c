"""A small hole at the pump that holds a bag at a pressure."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import units
from outgas.errors import InputError
from outgas.job.gauge import read_barometer, read_setpoint, reading_of
from outgas.job.rig import Rig, the_rig
from outgas.no_gauge.cautions import HOLDING
from outgas.no_gauge.held import Held, Told, in_mbar
from outgas.no_gauge.observations import SHOP_K
from outgas.physics import air, flow
from outgas.physics.chance import Band
from outgas.show.amounts import SLACK
from outgas.show.answer import Answer
from outgas.show.report import Amount, At, Block, Line, Report, Short, joined, lines
from outgas.tables import catalogue
from outgas.tables.gear import Hole

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

VERSION = 1
NEAREST = 2  # real holes of each kind to name
HIGHER_M = 1000.0  # metres, to say what altitude does to a hole
LEAK_SHARE = 0.3  # to which a drop test knows a leak
KINDS = ("drill", "welding tip", "needle")
WIDEST = 1.5  # of the largest known hole, that is still a bleed
OPEN_SHARE = 0.98  # of the barometer, from which a hole holds nothing
NOTES = (
    "at the pump's manifold or the pot, behind a filter: a blocked hole is full vacuum",
    "gauge it with a drill's shank; a burr or paint counts for more than the table",
    "the pump's true speed is the weakest number: try the hole, look with vials, change it",
)
NO_HOLE = "none is sure to stay above the limit and still clamp: no pump is known that well"


class NoHoleError(InputError):
    """No hole holds it; line says why, with places for its pressures."""

    def __init__(self, why: Line | str) -> None:
        self.line = why if isinstance(why, Line) else Line(why)
        super().__init__(self.line.on(air.SEA_LEVEL_PA, None))  # no dial, so no barometer either


@dataclass(frozen=True, slots=True, kw_only=True)
class BleedHole(Answer):
    """A hole at the pump's manifold through which as much air comes as the pump moves.

    Examples
    --------
    >>> import outgas
    >>> rig = outgas.Rig.from_words("5 m3/h two-stage pump")
    >>> hole = outgas.bleed_hole("100 mbar", rig, "1013 mbar")
    >>> hole.blocked_Pa < hole.setpoint_Pa < hole.worn_Pa
    True
    >>> hole.to_dict()["kind"]
    'outgas bleed hole'
    """

    setpoint_Pa: float
    barometer_Pa: float
    diameter_m: float
    air_m3_s: float
    holes: tuple[Held, ...]
    blocked_Pa: float
    higher_Pa: float
    worn_Pa: float
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = HOLDING

    @property
    def diameter(self) -> "Quantity":
        """Of the hole that would hold the setpoint, the rig being as stated [m]."""
        return units.quantity(self.diameter_m, "m")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas bleed hole",
            "version": VERSION,
            "setpoint_Pa": self.setpoint_Pa,
            "barometer_Pa": self.barometer_Pa,
            "diameter_m": self.diameter_m,
            "air_m3_s": self.air_m3_s,
            "holes": [hole.to_dict() for hole in self.holes],
            "blocked_Pa": self.blocked_Pa,
            "at_1000_m_higher_Pa": self.higher_Pa,
            "worn_pump_Pa": self.worn_Pa,
            "notes": list(self.notes),
            "cautions": list(map(str, self.cautions)),
        }

    @property
    def _printed(self) -> str:
        """The diameter in mm, rounded up: a larger hole holds weaker."""
        return f"{math.ceil(self.diameter_m * 1e5 - SLACK) / 100.0:.2f}"

    @property
    def _bore(self) -> Amount:
        return Amount(self.diameter_m * 1e3, "mm", self._printed, up=True)

    @property
    def lines(self) -> tuple[Line, ...]:
        """The hole, real ones near it, and what moves it."""
        moved = Line(
            "blocked: {}; 1000 m higher the same hole holds {}; on a worn pump {}",
            (
                At(self.blocked_Pa, weaker=False),
                in_mbar(self.higher_Pa),
                in_mbar(self.worn_Pa, weaker=True),
            ),
        )
        return lines(
            [
                Line(
                    f"a {{}} hole, {self.air_m3_s * 60e3:.0f} litres of shop air a minute; "
                    "nearest that can be had, the pressure each gives and its 95 % range:",
                    (self._bore,),
                ),
                *([real.line for real in self.holes] or lines([NO_HOLE])),
                moved,
                *self.notes,
            ]
        )

    @property
    def report(self) -> Report:
        """The hole told: its size, real ones near it, and what to beware of."""
        first = Line(
            "Hold {} with a {} hole at the pump's manifold.",
            (At(self.setpoint_Pa), self._bore),
        )
        real = (joined(["Near it: ", hole.line, "."]) for hole in self.holes[:2])
        few = Short((first, *real) if self.holes else (first, Line(f"Near it: {NO_HOLE}.")))
        blocks = (Block("Bleed hole", self.lines), Block("Cautions", lines(self.cautions)))
        return Report(self.barometer_Pa, (first,), blocks, fixed=True, short=few)


@dataclass(frozen=True, slots=True)
class _Pump:
    """A pump's speed and ultimate, and the leak beside it; SI."""

    speed: Band
    ultimate: Band
    leak: float


def _pump_of(rig: Rig) -> _Pump:
    if rig.pump_displacement is None:
        raise InputError("rig does not say what the pump moves; give it as '5 m3/h pump'")
    if rig.pump_displacement <= 0.0:
        raise InputError("rig: a pump that moves nothing holds nothing")
    share, kind = catalogue.rigs().displacement_share, rig.kind
    if rig.pump_ultimate is not None:
        ultimate = Band.exact(rig.pump_ultimate)
    else:
        ultimate = Band.exact(0.0) if kind is None else kind.ultimate.band
    S = rig.pump_displacement
    speed = Band(S * share.si, S * share.low_si, S * share.high_si)
    return _Pump(speed, ultimate, rig.leak or 0.0)


def bleed_hole(
    setpoint: "Measure",
    rig: Rig | str,
    barometer: "Measure | None" = None,
    *,
    deepest: "Measure | None" = None,
    shallowest: "Measure | None" = None,
) -> BleedHole:
    """Return the bleed hole at the pump's manifold that holds a pressure, and real ones near it.

    Parameters
    ----------
    setpoint
        Absolute, or a reading under the barometer.
    rig
        A Rig or its words, with its pump's displacement; its ultimate, kind and leak where known.
    barometer
        The shop's own air pressure, 200 to 1100 hPa; one standard atmosphere if not given.
    deepest, shallowest
        Only holes that stay above the first at their deep end, and clamp as much as the second asks
        at their likely one, are named; without the first, those whose deep end is nearer to the
        setpoint than to full vacuum.

    Returns
    -------
    A BleedHole: diameter [m], real holes with the pressure each gives and its 95 % ends [Pa].

    Raises
    ------
    InputError
        A setpoint that the pump cannot reach, or that only an open hose would hold.

    Notes
    -----
    What the pump draws comes through the hole; isentropic flow of an ideal gas, k = 1.4 (textbook
    gas dynamics, from memory), with r = p/p_atm, not under the choked 0.528:

        S (p - p_ultimate) = leak + C A p_atm sqrt(R T 2k/(k - 1) (r^(2/k) - r^((k + 1)/k)))

    C, the discharge coefficient, and S are estimates with their ends; R is air's, per kilogram.
    A needle: isothermal flow with friction.

    Examples
    --------
    >>> rig = Rig.from_words("5 m3/h two-stage pump")
    >>> deep, shallow = (bleed_hole(p, rig, "1013 mbar") for p in ("100 mbar", "300 mbar"))
    >>> deep.diameter < shallow.diameter
    True
    >>> all(hole.low_Pa <= hole.pressure_Pa <= hole.high_Pa for hole in deep.holes)
    True
    """
    rig = the_rig(rig)
    here = air.SEA_LEVEL_PA if barometer is None else read_barometer(barometer)
    p = read_setpoint(setpoint, here)
    pump, f = _pump_of(rig), catalogue.rigs()
    window = (
        0.5 * (p + min(p, pump.ultimate.low))
        if deepest is None
        else reading_of(deepest, here, "deepest").absolute_Pa,
        here if shallowest is None else reading_of(shallowest, here, "shallowest").absolute_Pa,
    )
    S, ultimate = pump.speed.nominal, pump.ultimate.nominal
    drawn = S * (p - ultimate) - pump.leak
    reach = ultimate + pump.leak / S
    if drawn <= 0.0:
        ends = (Told(x, weaker=False, told=f"{x / 100:.1f} mbar") for x in (p, reach))
        why = "setpoint is {}; this pump with this leak reaches {} with no hole at all"
        raise NoHoleError(Line(why, tuple(ends)))
    area = float(flow.orifice_area(drawn, here, p, SHOP_K, f.discharge.si))
    d = 2.0 * math.sqrt(area / math.pi)
    _is_a_hole(d, rig)
    higher = float(air.station_pressure(HIGHER_M)) / air.SEA_LEVEL_PA * here
    worn = f.worn_share.si * S
    hole = flow.Orifice(area, f.discharge.si)
    fresh, tired = (flow.Pull(speed, ultimate, pump.leak) for speed in (S, worn))
    return BleedHole(
        setpoint_Pa=p,
        barometer_Pa=here,
        diameter_m=d,
        air_m3_s=drawn / here,
        holes=_real_holes(p, pump, here, window),
        blocked_Pa=reach,
        higher_Pa=float(flow.held_pressure(fresh, hole, higher, SHOP_K)),
        worn_Pa=float(flow.held_pressure(tired, hole, here, SHOP_K)),
        notes=NOTES,
    )


def _is_a_hole(d: float, rig: Rig) -> None:
    """Refuse a diameter [m] that is an open hose, or wider than anything one bleeds with."""
    biggest = max(hole.bore.si for hole in catalogue.holes())
    hose = rig.hose_size
    if hose is not None and d > hose.bore_m:
        raise InputError(
            f"the hole would be {d * 1e3:.1f} mm, wider than the {hose.bore_m * 1e3:.1f} mm hose: "
            "this pump cannot be held there by a hole; use a weighted plate inside the pot"
        )
    if d > WIDEST * biggest:
        raise InputError(
            f"the hole would be {d * 1e3:.1f} mm, beyond any bleed ({biggest * 1e3:.0f} mm): use "
            "a weighted plate inside the pot"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Move:
    """Which end each number is at, one of them moved: bore, edge, speed; ultimate with the leak.

    A hole's edge is its discharge, or a needle's length, the longer of which passes less.
    """

    bore: str = "nominal"
    edge: str = "nominal"
    speed: str = "nominal"
    base: str = "nominal"


_DEEPER = (_Move(bore="low"), _Move(speed="high"), _Move(edge="low"), _Move(base="low"))
_WEAKER = (_Move(bore="high"), _Move(speed="low"), _Move(edge="high"), _Move(base="high"))
_OTHER = {"nominal": "nominal", "low": "high", "high": "low"}
_LEAK = {"nominal": 1.0, "low": 1.0 - LEAK_SHARE, "high": 1.0 + LEAK_SHARE}


def held_by(holes: Sequence[Hole], pump: _Pump, here: float) -> list[Held]:
    """Return what a pump holds with each hole of one kind, and its 95 % ends.

    Bore, edge (or a needle's length), the pump's speed, its ultimate with the leak are moved
    apart, and add as squares.
    """
    moves = (_Move(), *_DEEPER, *_WEAKER)
    discharge = catalogue.rigs().discharge.band
    bore = np.array([[getattr(h.bore.band, m.bore) for m in moves] for h in holes])
    speed = np.array([getattr(pump.speed, m.speed) for m in moves])
    ultimate = np.array([min(getattr(pump.ultimate, m.base), here) for m in moves])
    leak = pump.leak * np.array([_LEAK[m.base] for m in moves])
    pull = flow.Pull(speed, ultimate, leak)
    if holes[0].length is None:
        edge = np.array([getattr(discharge, m.edge) for m in moves])
        hole = flow.Orifice(flow.circle(bore), edge)
        p = np.asarray(flow.held_pressure(pull, hole, here, SHOP_K))
    else:
        lengths = [(h.length or h.bore).band for h in holes]
        far = np.array([[getattr(length, _OTHER[m.edge]) for m in moves] for length in lengths])
        p = np.asarray(flow.held_by_needle(pull, flow.Tube(bore, far), here, SHOP_K))
    away = np.log(p / p[:, :1])
    n = len(_DEEPER)
    low = p[:, 0] * np.exp(-np.sqrt((np.minimum(away[:, 1 : n + 1], 0.0) ** 2).sum(axis=1)))
    high = p[:, 0] * np.exp(np.sqrt((np.maximum(away[:, n + 1 :], 0.0) ** 2).sum(axis=1)))
    return [
        Held(h.name, h.kind, h.bore.si, float(p[i, 0]), float(low[i]), min(float(high[i]), here))
        for i, h in enumerate(holes)
    ]


def _real_holes(
    p: float, pump: _Pump, here: float, window: tuple[float, float]
) -> tuple[Held, ...]:
    """Return the nearest holes of each kind that stay inside the window."""
    found: list[Held] = []
    for kind in KINDS:
        made = held_by([hole for hole in catalogue.holes() if hole.kind == kind], pump, here)
        made = [h for h in made if h.pressure_Pa < OPEN_SHARE * here]
        safe = [h for h in made if h.low_Pa >= window[0] and h.pressure_Pa <= window[1]]
        nearest = sorted(safe, key=lambda h: abs(math.log(h.pressure_Pa / p)))[:NEAREST]
        found += sorted(nearest, key=lambda h: h.bore_m)
    return tuple(found)
