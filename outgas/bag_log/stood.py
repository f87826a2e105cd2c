"""What the resin stood at each moment of a log: by the clock of its gel, and by its warmth."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.errors import OutOfRangeError
from outgas.laminate.case import Case
from outgas.laminate.vapour import vapour, warmest_known
from outgas.tables import catalogue
from outgas.window.limits import margin_over
from outgas.window.window import Window

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GRID_K = 1.0  # between the temperatures at which the vapour is worked out
MOST_POINTS = 160
COMING_UP_s = 20.0  # how long a change of pressure takes (estimate)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stood:
    """The limits of one case over time, times from mixing [s].

    Up to thin_s, by when the last change of pressure must be done should it gel early, the resin is
    thin, and only vapour and core bound the bag; from then on the air in it does too, until
    holds_s, when the gel can hold a bubble. No later pressure counts. thick_s: when the gas that is
    there stays there. warm_s and warm_K are the laminate's own warmth.
    """

    case: Case
    air_Pa: float
    core_Pa: float
    thin_s: float
    thick_s: float
    holds_s: float
    warm_s: "Floats"
    warm_K: "Floats"

    @classmethod
    def of(cls, window: Window) -> "Stood":
        """Return the limits over time of a window."""
        case = window.case
        hold = case.hold_s if case.hold_ends is None else case.hold_ends[1]
        thick = case.cup_s + case.early_s + hold
        warming = case.hottest.warming
        t, T = np.array([0.0]), np.array([case.hottest_K])
        holds, early = thick, case.cup_s + case.early_s
        if warming is not None:
            last = catalogue.practice().clock.last_change.si
            early = max(early, last * warming.gel_interval_s[0])
            run = warming.whole
            t, T = run.t, run.T[run.reacts].max(axis=0)
            holds = warming.hold_s if math.isfinite(warming.hold_s) else float(t[-1])
        debulked = window.course.early_Pa is not None
        thin = min(early + COMING_UP_s, thick) if debulked else 0.0
        safe = window.limits.safe
        return cls(
            case=case,
            air_Pa=safe["air"],
            core_Pa=safe["core"],
            thin_s=thin,
            thick_s=thick,
            holds_s=max(holds, thick),
            warm_s=t,
            warm_K=T,
        )

    def warmth(self, t: "Floats", logged_K: "Floats") -> "Floats":
        """Return the temperature at each moment [K]: as logged, else the laminate's own."""
        own = np.interp(t, self.warm_s, self.warm_K)
        return np.where(np.isfinite(logged_K), logged_K, own)

    def limit(self, t: "Floats", T: "Floats") -> "Floats":
        """Return the deepest that the bag may have been at each moment [Pa], on the safe side.

        t from mixing [s]; nan once the gel holds. The probe may lie in a cooler place than the
        hottest.
        """
        least = np.maximum(self._vapour(T), self.core_Pa)
        least = np.where(t >= self.thin_s, np.maximum(least, self.air_Pa), least)
        return np.where(t <= self.holds_s, least, np.nan)

    def _vapour(self, T: "Floats") -> "Floats":
        """Return what the vapour asks for at temperatures, off a table that is never under it."""
        case, doubt = self.case, catalogue.practice().margins.named_doubt.si
        low, high = float(np.nanmin(T)), float(np.nanmax(T))
        count = min(max(2, math.ceil((high - low) / GRID_K) + 2), MOST_POINTS)
        grid = np.linspace(low, max(high, low + GRID_K), count)
        most = warmest_known(case)
        asked = np.empty(count)
        for i, kelvin in enumerate(grid):
            warm = float(kelvin) + doubt
            try:
                found = vapour(case, min(warm, most))
                asked[i] = margin_over(case, found.high, found.high, known=True)[1]
            except OutOfRangeError:
                asked[i] = case.barometer_Pa
            if warm > most:
                asked[i] = case.barometer_Pa
        # Vapour pressure bends upwards over temperature: a chord between two points is above it.
        return np.asarray(np.interp(T, grid, asked))
