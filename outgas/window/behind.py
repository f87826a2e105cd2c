"""What an advice stands on: its window and cure, and what is worked out when it is asked for."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from outgas.job.job import Job
from outgas.laminate.course import Course, look_of, target_of
from outgas.laminate.gas.limits import Target
from outgas.physics.chance import Band
from outgas.show.report import Line
from outgas.window.ways.influences import Influence
from outgas.window.window import Window, window_of

WayKind: TypeAlias = Literal[
    "debulk",
    "pot",
    "air out",
    "cooler",
    "cooler laminate",
    "less initiator",
    "low-gas initiator",
    "stages",
    "timed cup",
    "press harder",
    "sensor",
    "tool",
    "stronger core",
    "other resin",
    "drier",
    "press",
    "humidity",
    "vacuum drying",
    "no bleed",
    "pressure",
]


@dataclass(frozen=True, slots=True)
class WayOut:
    """Something to change, and the deepest pressure it would allow; opens: a safe window.

    kind is what to pick a way by. The line's pressures follow a chosen dial.
    """

    kind: WayKind
    line: Line
    deepest_Pa: float | None
    opens: bool

    @property
    def text(self) -> str:
        """It in words, pressures in mbar."""
        return str(self.line)

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key."""
        return {"text": self.text, "deepest_Pa": self.deepest_Pa, "opens_window": self.opens}

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """How a laminate warms and gels, by its own heat; times from mixing [s], temperatures [K].

    over_time holds (time, temperature, least pressure at that moment [Pa]) up to the moment the
    gel can hold a bubble: what the vapour and the core ask for then, on the safe side.
    """

    gel_s: float
    gel_interval_s: tuple[float, float]
    gel_K: float
    hold_s: float
    conversion_at_hottest: float
    peak_K: float
    peak_s: float
    over_time: tuple[tuple[float, float, float], ...]

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key."""
        return {
            "gel_time_s": self.gel_s,
            "gel_time_low_s": self.gel_interval_s[0],
            "gel_time_high_s": self.gel_interval_s[1],
            "temperature_at_gel_K": self.gel_K,
            "gel_holds_at_s": self.hold_s if math.isfinite(self.hold_s) else None,
            "conversion_at_hottest": self.conversion_at_hottest,
            "peak_K": self.peak_K,
            "peak_at_s": self.peak_s,
            "over_time": [
                {"time_s": t, "temperature_K": T, "deepest_Pa": p} for t, T, p in self.over_time
            ],
        }


class Behind:
    """What an advice stands on: its window, and what can be asked of it when it is wanted.

    Ways out and influences cost most of the time, so they are worked out when asked for, once.
    Pickled is the job alone, from which all of it follows.
    """

    __slots__ = ("_expected", "_found", "_influences", "_job", "_ways", "_window")

    def __init__(
        self,
        job: Job,
        ways: Callable[[Job, Window | None], tuple[WayOut, ...]],
        influences: Callable[[Job, Window | None], tuple[Influence, ...]],
        window: Window | None = None,
    ) -> None:
        self._job, self._ways, self._influences, self._window = job, ways, influences, window
        self._found: dict[str, tuple[Any, ...]] = {}
        self._expected: dict[tuple[str, float], Band] = {}

    def ways(self) -> tuple[WayOut, ...]:
        """Return the ways out."""
        if "ways" not in self._found:
            self._found["ways"] = self._ways(self._job, self._window)
        return self._found["ways"]

    @property
    def makes_gas(self) -> bool:
        """Whether the initiator gives off gas, which no vacuum takes away."""
        return self.window.course.made is not None

    @property
    def warmth_stated(self) -> bool:
        """Whether the hottest moment is a stated rise: no layup to reckon with, nor one told."""
        job = self._job
        mixed = not job.process.preimpregnated and not job.process.pot
        return mixed and job.hottest_K is None and not job.layup.plies

    @property
    def job(self) -> Job:
        """What was asked, read."""
        return self._job

    @property
    def window(self) -> Window:
        """The window, with the case and the course that it is of."""
        if self._window is None:
            self._window = window_of(self._job)
        return self._window

    @property
    def straight_only(self) -> bool:
        """Whether no early step would help."""
        return self._course()[0].early_Pa is None

    def _course(self) -> tuple[Course, Target]:
        return self.window.course, target_of(self.window.case)

    def voids(self, pressure: float) -> Band:
        """Return the voids expected at a pressure [Pa]."""
        key = "voids", pressure
        if key not in self._expected:
            course, target = self._course()
            self._expected[key] = course.voids(pressure, target)
        return self._expected[key]

    def look(self, pressure: float) -> tuple[str, str]:
        """Return how the laminate looks at a pressure [Pa], likely and at the worst."""
        key = "depth", pressure
        if key not in self._expected:
            course, target = self._course()
            self._expected[key] = course.depth(pressure, target)
        return look_of(self._expected[key])

    def influences(self) -> tuple[Influence, ...]:
        """Return what each input moved alone would change."""
        if "influences" not in self._found:
            self._found["influences"] = self._influences(self._job, self._window)
        return self._found["influences"]

    def __reduce__(self) -> tuple[Any, ...]:
        return Behind, (self._job, self._ways, self._influences)
