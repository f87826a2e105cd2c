"""Which cheap observation would settle it best: expected information about what matters.

What matters is the class that the bag falls in: boiling, inside the margin, fit for the debulk
only, safe, too weak. Each candidate is judged by the same likelihoods that will judge the real
observation: the one whose outcome is expected to tell most bits about the class wins.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas import constants
from outgas.no_gauge import observations as says
from outgas.no_gauge.belief import Belief
from outgas.physics import chance
from outgas.show.amounts import celsius
from outgas.tables import catalogue
from outgas.window.advice import Advice

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]

THIN = 5  # of the grid: 300 points are enough to rank by
READINGS = 48  # equally likely, that stand for all that an instrument may show
WARMEST_K, COLDEST_K = (
    constants.ZERO_CELSIUS_K + 60.0,
    constants.ZERO_CELSIUS_K + 7.0,
)  # of its water
VIAL_K = constants.ZERO_CELSIUS_K + np.array([10.0, 17.0, 23.0, 29.0, 36.0, 43.0, 50.0, 57.0])
TOLD_BITS = 0.02  # below which an observation tells nothing worth the time
ALIKE = 0.95  # within which share of the best the quicker one is taken


@dataclass(frozen=True, slots=True)
class Candidate:
    """An observation that could be made next: what it may tell, how long it takes, how it is done.

    bits is the expected information about whether the bag boils, froths, is safe or too weak.
    """

    name: str
    title: str
    bits: float
    minutes: float
    needs: str
    recipe: tuple[str, ...]
    misleads: str
    temperature_K: float | None = None

    def __str__(self) -> str:
        return f"{self.title}: {self.bits:.2f} bits in about {self.minutes:.0f} minutes"

    def to_dict(self) -> dict[str, object]:
        """Return plain types in SI."""
        return {
            "name": self.name,
            "title": self.title,
            "bits": self.bits,
            "minutes": self.minutes,
            "needs": self.needs,
            "recipe": list(self.recipe),
            "misleads": self.misleads,
            "temperature_K": self.temperature_K,
        }


def boundaries(advice: Advice) -> tuple[float, ...]:
    """Return the pressures [Pa] between the classes that a bag may fall in, deepest first."""
    boil = advice.bubble_pressure_Pa[1]
    inside = min(advice.debulk_limit_Pa, advice.deepest_Pa)
    return tuple(sorted((boil, max(boil, inside), advice.deepest_Pa, advice.shallowest_Pa)))


def candidates(bag: Belief, advice: Advice) -> tuple[Candidate, ...]:
    """Return every observation with its expected information, the most first."""
    grid = says.grid_of(bag.barometer_Pa).thinned(THIN)
    w = bag.weights[::THIN]
    w = w / w.sum()
    classes = np.searchsorted(np.array(boundaries(advice)), grid.p)
    below = chance.cumulative(w)
    shares = (np.arange(READINGS) + 0.5) / READINGS
    typical = np.asarray(chance.quantile(grid.ln_p, below, shares))
    told = {
        name: chance.information_of_readings(w, classes, np.stack(rows))
        for name, rows in _readings(grid, typical).items()
    }
    told["ice"] = chance.information(w, classes, _choice(says.ice(grid, False)))
    vials = [
        chance.information(w, classes, _choice(says.boiling(grid, float(T), True))) for T in VIAL_K
    ]
    told["vial"] = max(vials)
    best_K = float(VIAL_K[int(np.argmax(vials))])
    found = [_candidate(name, b, best_K if name == "vial" else None) for name, b in told.items()]
    return tuple(sorted(found, key=lambda c: (-c.bits, c.minutes)))


def best(bag: Belief, advice: Advice) -> Candidate | None:
    """Return the observation to make next: the most bits, the quicker of two alike."""
    ranked = candidates(bag, advice)
    if ranked[0].bits < TOLD_BITS:
        return None
    alike = [c for c in ranked if c.bits >= ALIKE * ranked[0].bits]
    return min(alike, key=lambda c: c.minutes)


def _candidate(name: str, bits: float, T: float | None) -> Candidate:
    look = catalogue.evidence().look[name]
    title = look.title
    if T is not None:  # such a title has a place for its water
        title = title.format(water=f"water at {celsius(T)}")
    return Candidate(
        name, title, bits, look.minutes.si / 60.0, look.needs, look.recipe, look.misleads, T
    )


def _readings(grid: says.Grid, typical: "Floats") -> "dict[str, list[Floats]]":
    """Return what each instrument would say if the bag were at each of the typical pressures."""
    e, here = catalogue.evidence(), grid.barometer_Pa
    rub, floor, error = e.syringe_friction.si, e.chip_floor.si, e.chip_error.si

    def both_ways(p: float) -> "Floats":
        back = p - rub if p > says.FREED * rub else p + 0.5 * rub
        return says.syringe(grid, min(1.0, (p + rub) / here), min(1.0, back / here))

    def bulb(p: float) -> "Floats":
        T = float(says.boils_at(np.array([p]))[0])
        if T > WARMEST_K:
            return says.quiet(grid, WARMEST_K, True)
        if T < COLDEST_K:
            return says.boiling(grid, COLDEST_K, True)
        return says.thermometer(grid, T, 0.0)

    instruments: dict[str, Callable[[float], Floats]] = {
        "thermometer": bulb,
        "syringe": lambda p: says.syringe(grid, min(1.0, (p + rub) / here), None),
        "syringe-both": both_ways,
        "tube": lambda p: says.tube(grid, min(1.0, (p + e.tube_head.si) / here)),
        "pull": lambda p: says.pull(grid, max(here - p, 100.0) * (1.0 - e.pull_loss.si)),
        "chip": lambda p: says.sensor(grid, max(p, floor), error, floor),
    }
    return {name: [says_of(float(p)) for p in typical] for name, says_of in instruments.items()}


def _choice(yes: "Floats") -> "Floats":
    """Return the chances of yes and no, which sum to one."""
    return np.stack([yes, np.maximum(1.0 - yes, says.TINY)])
