"""The answers that a card carries, at knots around its job, and how they are read between knots.

Between knots a card takes the worst corner of the cell: the highest of what must not be gone
deeper than, the highest clamp that is wanted, the earliest gel. The air's limit may bend up within
a cell by less than PAD_PA, which is added there. A corner without a window, or refused, speaks for
its whole cell. The page reads the same table the same way.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from outgas import units
from outgas.job.gauge import BAROMETER_RANGE_PA
from outgas.job.job import Job
from outgas.job.shop import SHOP_RANGE_K
from outgas.many.cases import Axis, Cases
from outgas.many.exact import Answered, answered
from outgas.many.interpolated import PAD_PA
from outgas.physics import air
from outgas.window.reach import margin_of
from outgas.window.window import Window

WINDOW, NONE, REFUSED = "window", "no window", "refused"
OUTCOMES = (WINDOW, NONE, REFUSED)
# Around the job: kelvin, and shares of humidity. Fewer with a layup, whose heat takes its time.
AROUND_K = ((-12, -9, -6, -4, -2, 0, 2, 4, 6, 9, 12), (-8, -4, -2, 0, 2, 4, 8))
AROUND_HUMIDITY = ((-0.4, -0.2, -0.1, 0.0, 0.1, 0.2, 0.4), (-0.3, -0.1, 0.0, 0.1, 0.3))
HUMIDITIES = (0.05, 0.95)  # no shop is drier, and none wetter is worked in
ALTITUDES_M = (
    (0.0, 300.0, 600.0, 1000.0, 1500.0, 2000.0, 2500.0),
    (0.0, 500.0, 1000.0, 1500.0, 2500.0),
)
NEAR_M = 100.0  # an altitude so near to the job's own needs no knot
SAME = 1e-9  # shares of a knot that are rounding


@dataclass(frozen=True, slots=True)
class Read:
    """What a card says of one shop: pressures [Pa], times [s] from mixing, None for none.

    hold: where to hold the bag; early: how deep it may be held before, None for straight to hold.
    gel: the earliest, the likely and the latest.
    """

    outcome: str
    hold: float | None = None
    deepest: float | None = None
    weakest: float | None = None
    early: float | None = None
    gel: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Knot:
    """The exact answer at one knot, rounded to whole pascals and seconds on the safe side."""

    outcome: str
    hold: int = 0
    deepest: int = 0
    straight_hold: int = 0
    straight_deepest: int = 0
    early: int | None = None
    clamp: int = 0
    room: int = 0
    gel: tuple[int, int, int] | None = None

    def row(self) -> list[Any]:
        """Return it as the page reads it."""
        numbers = [self.hold, self.deepest, self.straight_hold, self.straight_deepest]
        more = [self.early, self.clamp, self.room, *(self.gel or (None, None, None))]
        code = OUTCOMES.index(self.outcome)
        return [code, *numbers, *more] if self.outcome == WINDOW else [code]


@dataclass(frozen=True, slots=True)
class Grid:
    """Knots along temperature [K], humidity and air pressure [Pa], the last running fastest."""

    axes: tuple[tuple[float, ...], ...]
    knots: tuple[Knot, ...]

    def read(self, temperature_K: float, humidity: float, barometer_Pa: float) -> Read | None:
        """Return the answer for a shop, on the safe side; None beyond the card."""
        at = (temperature_K, humidity, barometer_Pa)
        ends = [_ends(axis, x) for axis, x in zip(self.axes, at, strict=True)]
        if not all(ends):
            return None
        corners = [self.knots[self._place(corner)] for corner in product(*ends)]
        return _worst(corners, barometer_Pa)

    def _place(self, corner: Sequence[int]) -> int:
        place = 0
        for axis, i in zip(self.axes, corner, strict=True):
            place = place * len(axis) + i
        return place

    def to_dict(self) -> dict[str, Any]:
        """Return plain types: the axes, a row a knot, and what is added between knots [Pa]."""
        return {
            "axes": [list(axis) for axis in self.axes],
            "rows": [knot.row() for knot in self.knots],
            "pad": PAD_PA,
        }


def _ends(axis: Sequence[float], x: float) -> tuple[int, ...]:
    """Return the knots on either side of a value, one where it stands on it, none beyond."""
    for i, knot in enumerate(axis):
        if abs(x - knot) <= SAME * abs(knot):
            return (i,)
    if not axis[0] < x < axis[-1]:
        return ()
    high = next(i for i, knot in enumerate(axis) if knot > x)
    return (high - 1, high)


def _worst(corners: Sequence[Knot], here: float) -> Read:
    """Return what holds at all corners of a cell."""
    for outcome in (REFUSED, NONE):
        if any(knot.outcome == outcome for knot in corners):
            return Read(outcome)
    pad = PAD_PA if len(corners) > 1 else 0.0
    depths = [knot.early for knot in corners if knot.early is not None]
    early = max(depths) + pad if len(depths) == len(corners) else None
    if early is None:  # not all of them count on an early step: none is taken
        hold = max(knot.straight_hold for knot in corners) + pad
        deepest = max(knot.straight_deepest for knot in corners) + pad
    else:
        hold = max(knot.hold for knot in corners) + pad
        deepest = max(knot.deepest for knot in corners) + pad
    weakest = here - max(knot.clamp for knot in corners)
    if hold + max(knot.room for knot in corners) > weakest or weakest >= here:
        return Read(NONE)
    deeper_first = early is not None and early < hold
    return Read(WINDOW, hold, deepest, weakest, early if deeper_first else None, _gel(corners))


def _gel(corners: Sequence[Knot]) -> tuple[float, float, float] | None:
    gels = [knot.gel for knot in corners if knot.gel is not None]
    if len(gels) < len(corners):
        return None
    first, likely, last = zip(*gels, strict=True)
    return float(min(first)), float(min(likely)), float(max(last))


def grid_of(held: Mapping[str, Any], job: Job, altitude: Callable[[float], float]) -> Grid:
    """Return the answers around a job; altitude gives the air pressure [Pa] at one [m].

    held is what is told of it, as outgas.many has cases, without its shop's warmth and air.
    """
    shop, fewer = job.shop, bool(job.layup.plies)
    axes = (
        _around(shop.temperature_K, AROUND_K[fewer], SHOP_RANGE_K),
        _around(shop.humidity, AROUND_HUMIDITY[fewer], HUMIDITIES),
        tuple(sorted({shop.barometer_Pa, *_airs(shop.barometer_Pa, altitude, ALTITUDES_M[fewer])})),
    )
    warmths, damps, airs = axes
    cases = Cases(
        held,
        (
            Axis("temperature", {"temperature": tuple(units.quantity(T, "K") for T in warmths)}),
            Axis("humidity", {"humidity": damps}),
            Axis("barometer", {"barometer": tuple(units.quantity(p, "Pa") for p in airs)}),
        ),
    )
    return Grid(axes, tuple(_knot(each) for each in answered(cases, range(cases.size))))


def _around(own: float, steps: Sequence[float], span: tuple[float, float]) -> tuple[float, ...]:
    """Return knots around a job's own value, and at the ends of what there is."""
    found = {own, *(min(max(own + step, span[0]), span[1]) for step in steps)}
    return tuple(sorted(found))


def _airs(
    own: float, altitude: Callable[[float], float], altitudes: Sequence[float]
) -> Iterator[float]:
    """Yield the air pressures of other altitudes, those next to the job's own left out."""
    near = abs(altitude(NEAR_M) - altitude(0.0))
    low, high = BAROMETER_RANGE_PA
    for h in altitudes:
        p = altitude(h)
        if low <= p <= high and abs(p - own) > near:
            yield p


def _knot(each: Answered) -> Knot:
    window = each.window
    if window is None:
        return Knot(REFUSED)
    if window.setpoint is None:
        return Knot(NONE)
    job, here = window.job, window.job.shop.barometer_Pa
    straight = window.deepest_straight
    hold = max(straight + margin_of(job, straight), window.reach_Pa or 0.0, window.setpoint)
    return Knot(
        WINDOW,
        hold=math.ceil(window.setpoint),
        deepest=math.ceil(window.deepest),
        straight_hold=math.ceil(hold),
        straight_deepest=math.ceil(max(straight, window.deepest)),
        early=None if window.debulk is None else math.ceil(window.debulk),
        clamp=math.ceil(here - window.shallowest),
        room=math.ceil(window.room),
        gel=_gel_of(window),
    )


def _gel_of(window: Window) -> tuple[int, int, int] | None:
    warming = window.case.hottest.warming
    if warming is None or not all(map(math.isfinite, (warming.gel_s, *warming.gel_interval_s))):
        return None
    first, last = warming.gel_interval_s
    return math.floor(first), math.floor(warming.gel_s), math.ceil(last)


def standard_share(altitude_m: float) -> float:
    """Return the share of the air pressure at sea level that is left at an altitude."""
    return float(air.station_pressure(altitude_m)) / air.SEA_LEVEL_PA
