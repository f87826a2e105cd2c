"""A pressure that something real would hold, how far off it may be, and how bounds are printed."""

import math
from dataclasses import dataclass
from typing import Any

from outgas.show.amounts import FINE_MBAR, SLACK
from outgas.show.report import At, Line, joined

FIGURES = 3  # to which a mass or a thickness is printed
MOST_PLACES = 300  # beyond it ten to that power is no number


@dataclass(frozen=True, slots=True, kw_only=True)
class Told(At):
    """A bag pressure in a line that stands there as told until a dial is chosen."""

    told: str

    def on(self, barometer: float, dial: str | None) -> str:
        """Return it on a dial; as told where none was chosen."""
        return self.told if dial is None else At.on(self, barometer, dial)


@dataclass(frozen=True, slots=True)
class Held:
    """A pressure that something real would hold, and its 95 % ends [Pa]."""

    name: str
    kind: str
    bore_m: float
    pressure_Pa: float
    low_Pa: float
    high_Pa: float

    @property
    def line(self) -> Line:
        """What it is, what it holds, and the ends."""
        held = Line("{}, ", (At(self.pressure_Pa),))
        return joined([f"{self.name}: ", held, may_be(self.low_Pa, self.high_Pa)])

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {
            "name": self.name,
            "kind": self.kind,
            "bore_m": self.bore_m,
            "pressure_Pa": self.pressure_Pa,
            "low_Pa": self.low_Pa,
            "high_Pa": self.high_Pa,
        }


def may_be(low: float, high: float) -> Line:
    """Return between which ends [Pa] a pressure may be, each rounded outwards on a dial."""
    return Line("may be {} to {}", (in_mbar(low, brief=True, bare=True), weak_end(high)))


def in_mbar(
    pressure: float, *, weaker: bool = False, brief: bool = False, bare: bool = False
) -> Told:
    """Return a place for a pressure [Pa] in mbar until a dial is chosen.

    Rounded to the deeper side, for how deep it may be is what hurts; weaker: to the other. bare
    leaves out the unit.
    """
    told = rounded_mbar(pressure, weaker) + ("" if bare else " mbar")
    return Told(pressure, weaker=weaker, brief=brief, told=told)


def weak_end(pressure: float) -> Told:
    """Return a place for the weak end [Pa] of a range."""
    return in_mbar(pressure, weaker=True, brief=True)


def rounded_mbar(pressure: float, weaker: bool) -> str:
    """Return a pressure [Pa] in mbar, rounded deeper or weaker; with a tenth below 10 mbar.

    >>> rounded_mbar(63390.0, False), rounded_mbar(63310.0, True), rounded_mbar(456.0, False)
    ('633', '634', '4.5')
    """
    fine = 10.0 if pressure / 100.0 < FINE_MBAR else 1.0
    value = pressure / 100.0 * fine
    steps = math.ceil(value - SLACK) if weaker else math.floor(value + SLACK)
    return f"{steps / fine:.{0 if fine == 1.0 else 1}f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Believed(At):
    """An end of what is believed of a bag [Pa]: dial and mbar are both rounded outwards."""

    def on(self, barometer: float, dial: str | None) -> str:
        """Return it on a dial, and in mbar absolute."""
        absolute = f"{rounded_mbar(self.pressure_Pa, self.weaker)} mbar absolute"
        if dial == "mbar":
            return absolute
        shown = At.on(self, barometer, dial)
        return f"{shown.rsplit(' (', 1)[0]} ({absolute})"


def figures(value: float, *, up: bool = False, count: int = FIGURES) -> float:
    """Return a value to three figures, rounded down, or up.

    >>> figures(0.025794), figures(0.025794, up=True), figures(1.15), figures(14.66)
    (0.0257, 0.0258, 1.15, 14.6)
    """
    if value <= 0.0:
        return 0.0
    places = min(count - 1 - math.floor(math.log10(value)), MOST_PLACES)
    steps = value * 10.0**places
    whole = math.ceil(steps - SLACK) if up else math.floor(steps + SLACK)
    return round(whole / 10.0**places, max(places, 0))
