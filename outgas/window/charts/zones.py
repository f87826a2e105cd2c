"""The zones of a bag's pressure that every chart of a window shows, and their scale."""

from dataclasses import dataclass

from outgas.show.amounts import mbar_down, mbar_up
from outgas.show.dial import on_dial
from outgas.show.shapes import AreaRole, Scale, dial_beside
from outgas.tables.practice import Process
from outgas.window.advice import Advice
from outgas.window.window import Window

MBAR_Pa = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Zones:
    """Where the zones of one case end [Pa].

    early: how deep it may go while the resin is thin; deepest and shallowest: of the cure; hold:
    where to, None for no window. early is deepest where no debulk helps.
    """

    here: float
    early: float
    deepest: float
    shallowest: float
    hold: float | None
    what: str = "debulk"  # what the early step is called

    @classmethod
    def of(cls, window: Window) -> "Zones":
        """Return the zones of a window."""
        has_early = window.debulk is not None
        return cls(
            here=window.job.shop.barometer_Pa,
            early=min(window.debulk_limit, window.deepest) if has_early else window.deepest,
            deepest=window.deepest,
            shallowest=window.shallowest,
            hold=window.setpoint,
            what=_called(window.job.process),
        )

    @classmethod
    def of_advice(cls, advice: Advice) -> "Zones":
        """Return the zones of an advice."""
        has_early = advice.facts.wet_bag and not advice.behind.straight_only
        return cls(
            here=advice.barometer_Pa,
            early=min(advice.debulk_limit_Pa, advice.deepest_Pa)
            if has_early
            else advice.deepest_Pa,
            deepest=advice.deepest_Pa,
            shallowest=advice.shallowest_Pa,
            hold=advice.setpoint_Pa,
            what=_called(advice.facts),
        )

    def edges(self) -> tuple[tuple[AreaRole, str, float, float], ...]:
        """Return each zone from deep to weak: its role, its words, its ends [mbar].

        They follow each other without a gap from no pressure to the barometer; a zone that there is
        not has no width.
        """
        deep, weak = (min(p, self.here) for p in (self.deepest, self.shallowest))
        early, first = min(self.early, deep, weak), min(deep, weak)
        cure, neither = (weak, weak) if deep <= weak else (first, deep)
        ends = (0.0, early, first, cure, neither, self.here)
        zones = zip(_ROLES, ends, ends[1:], strict=False)
        return tuple(
            (role, words.format(self.what), a / MBAR_Pa, b / MBAR_Pa)
            for (role, words), a, b in zones
        )


def _called(process: Process) -> str:
    return "fill" if process.filled else "debulk"


_ROLES: tuple[tuple[AreaRole, str], ...] = (
    ("danger", "too deep at any time"),
    ("early", "{} only: while it is thin"),
    ("safe", "cure"),
    ("neither", "too deep to cure at and too weak"),
    ("weak", "too weak"),
)


def bag_scale(barometer_Pa: float, dial: str, title: str = "bag") -> Scale:
    """Return the scale of a bag's pressure: mbar absolute, and a dial beside it."""
    return Scale(
        title,
        "mbar absolute",
        0.0,
        barometer_Pa / MBAR_Pa,
        beside=dial_beside(barometer_Pa, dial),
    )


def said(pressure: float, here: float, dial: str, *, weaker: bool = True) -> str:
    """Return a pressure [Pa] in mbar and on a dial, rounded to the safe side, as a chart says it.

    >>> said(53101.0, 101085.0, "inHg"), said(67010.0, 101085.0, "bar", weaker=False)
    ('532 mbar, 14.1 inHg', '670 mbar, -0.345 bar')
    """
    value = mbar_up(pressure) if weaker else mbar_down(pressure)
    if dial == "mbar":
        return f"{value} mbar"
    shown = on_dial(pressure, here, dial, weaker=weaker).removesuffix(" vacuum")
    return f"{value} mbar, {shown.removesuffix(' gauge').removesuffix(' absolute')}"
