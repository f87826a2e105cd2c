"""A pressure that something real would hold, and how far off it may be."""

from dataclasses import dataclass
from typing import Any

from outgas.show.amounts import mbar
from outgas.show.report import At, Line, joined


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
    deep = Told(low, weaker=False, brief=True, told=mbar(low, fine=True))
    return Line("may be {} to {}", (deep, in_mbar(high, weaker=True, brief=True)))


def in_mbar(pressure: float, *, weaker: bool = False, brief: bool = False) -> Told:
    """Return a place for a pressure [Pa] in mbar, to the nearest, until a dial is chosen."""
    told = f"{mbar(pressure, fine=True)} mbar"
    return Told(pressure, weaker=weaker, brief=brief, told=told)
