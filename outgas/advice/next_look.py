"""Which cheap observation would settle it best: expected information about what matters.

What matters is the class that the bag falls in: boiling, inside the margin, fit for the debulk
only, safe, too weak. Each candidate is a channel from pressure to outcome, built from the same
likelihoods that will judge the real observation; the one whose outcome is expected to tell most
bits about the class wins.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas import catalogue, units
from outgas.advice import evidence as says
from outgas.advice.belief import BagPressure
from outgas.advice.record import Advice
from outgas.physics import belief

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]

THIN = 5  # of the grid: 300 points are enough to rank by
OUTCOMES = 24  # readings that stand for all that a continuous instrument may show
VIAL_K = units.ZERO_CELSIUS_K + np.array([10.0, 17.0, 23.0, 29.0, 36.0, 43.0, 50.0, 57.0])
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


def candidates(bag: BagPressure, advice: Advice) -> tuple[Candidate, ...]:
    """Return every observation with its expected information, the most first."""
    grid = says.grid_of(bag.barometer_Pa).thinned(THIN)
    w = bag.weights[::THIN]
    w = w / w.sum()
    classes = np.searchsorted(np.array(boundaries(advice)), grid.p)
    below = belief.cumulative(w)
    shares = (np.arange(OUTCOMES) + 0.5) / OUTCOMES
    typical = np.asarray(belief.quantile(grid.ln_p, below, shares))
    found = []
    for name, made in _channels(grid, typical).items():
        told, best_K = 0.0, None
        for T, outcomes in made():
            here = belief.information(w, classes, outcomes)
            if here >= told:
                told, best_K = here, T
        found.append(_candidate(name, told, best_K))
    return tuple(sorted(found, key=lambda c: (-c.bits, c.minutes)))


def best(bag: BagPressure, advice: Advice) -> Candidate | None:
    """Return the observation to make next: the most bits, the quicker of two alike."""
    ranked = candidates(bag, advice)
    if ranked[0].bits < TOLD_BITS:
        return None
    alike = [c for c in ranked if c.bits >= ALIKE * ranked[0].bits]
    return min(alike, key=lambda c: c.minutes)


def _candidate(name: str, bits: float, T: float | None) -> Candidate:
    look = catalogue.evidence().look[name]
    recipe = look.recipe
    title = look.title
    if T is not None:
        title = title.replace("warm water", f"water at {T - units.ZERO_CELSIUS_K:.0f} degC")
    return Candidate(
        name, title, bits, look.minutes.si / 60.0, look.needs, recipe, look.misleads, T
    )


Channel: TypeAlias = "list[tuple[float | None, Floats]]"


def _channels(grid: says.Grid, typical: "Floats") -> dict[str, Callable[[], Channel]]:
    here = grid.barometer_Pa
    error = catalogue.evidence().chip_error.si
    floor = catalogue.evidence().chip_floor.si

    def vials() -> Channel:
        made: Channel = []
        for T in VIAL_K:
            boiled, silent = says.boiling(grid, float(T), True), says.quiet(grid, float(T), True)
            made.append((float(T), _choice(boiled, silent)))
        return made

    def readings(likelihood: "Callable[[float], Floats]", at: "Floats") -> Channel:
        rows = np.stack([likelihood(float(x)) for x in at])
        return [(None, rows / rows.sum(axis=0))]

    def bulb() -> Channel:
        low, high = says.PRACTICAL_WATER_K[0] + 6.0, units.ZERO_CELSIUS_K + 60.0
        T = np.clip(says.boils_at(typical), low, high)
        rows = [says.thermometer(grid, float(t), 0.0) for t in np.unique(T)]
        cannot = says.mistaken(np.where(says.boils_at(grid.p) > high, 1.0, 0.0))
        stack = np.stack([*rows, cannot])
        return [(None, stack / stack.sum(axis=0))]

    def frozen() -> Channel:
        yes = says.ice(grid, False)
        return [(None, _choice(yes, 1.0 - yes))]

    def syringe_back(p: float) -> "Floats":
        rub = catalogue.evidence().syringe_friction.si
        return says.syringe(grid, min(1.0, (p + rub) / here), max(p - rub, says.LOWEST_PA) / here)

    rubbed = typical + catalogue.evidence().syringe_friction.si
    return {
        "vial": vials,
        "thermometer": bulb,
        "ice": frozen,
        "syringe": lambda: readings(lambda x: says.syringe(grid, min(x / here, 1.0), None), rubbed),
        "syringe-both": lambda: readings(syringe_back, typical),
        "tube": lambda: readings(lambda p: says.tube(grid, min(p / here, 1.0)), typical),
        "pull": lambda: readings(lambda p: says.pull(grid, max(here - p, 100.0)), typical),
        "chip": lambda: readings(
            lambda p: says.sensor(grid, max(p, floor), error, floor),
            np.unique(np.maximum(typical, floor)),
        ),
    }


def _choice(yes: "Floats", no: "Floats") -> "Floats":
    """Return the chances of yes and no, which sum to one."""
    both = np.stack([yes, np.maximum(no, says.TINY)])
    made: Floats = both / both.sum(axis=0)
    return made
