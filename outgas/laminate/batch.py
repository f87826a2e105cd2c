"""How fast this batch is: its gel by the sheet or as measured, its life in the cup."""

import dataclasses
import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas import constants
from outgas.errors import InputError
from outgas.job.job import Job
from outgas.physics import cure
from outgas.tables import catalogue
from outgas.tables.rates import Curing

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.physics import data_sheet

    Floats: TypeAlias = NDArray[np.float64]

GEL = "gel"  # what a shop's cups show, by its name among what was learnt
HALF95 = 0.475  # of a distribution to either side of its middle: its 95 % interval
GELS_FOLLOWED = 6.0  # how many gel times a run lasts


@dataclass(frozen=True)
class Batch:
    """How fast this batch is: rates over the sheet's, and the ends of its gel time over nominal.

    Its rate laws are worked out once, and not before they are asked for.
    """

    curing: Curing
    factor: float
    shorter: float
    longer: float
    gel_s: float  # of the standard mass, or of a film, at the shop's temperature

    @property
    def gels_s(self) -> tuple[float, float]:
        """The ends of its gel time [s]: between them a cup of it may be told to gel."""
        return self.gel_s * self.shorter, self.gel_s * self.longer

    @functools.cached_property
    def law(self) -> cure.Kinetics:
        """The resin's rate law at this batch's pace."""
        return cure.faster(self.curing.law, self.factor)

    @functools.cached_property
    def quick_law(self) -> cure.Kinetics:
        """The rate law at the quick end of its gel time."""
        return cure.faster(self.law, 1.0 / self.shorter)


def cup_gel(curing: Curing, T: float, level: float | None) -> Batch | None:
    """Return the pace of a batch at T with an initiator level, and how sure it is; or None."""
    resin = curing.resin
    if resin.gel_time is None:
        if not resin.published:
            return None
        off = curing.general.published_spread.si
        film = cure.time_to(curing.law, curing.law.gel, T)
        return Batch(curing, 1.0, 1.0 - off, 1.0 + off, film)
    family = curing.family
    E = family.activation_energy
    at = (resin.gel_temperature or curing.general.temperature).si
    warm = 1.0 / constants.GAS_CONSTANT * (1.0 / at - 1.0 / T)
    more, exponent = 0.0, family.initiator_exponent
    if level is not None and resin.initiator_level is not None:
        more = math.log(level / resin.initiator_level.si)
    p = exponent.si if exponent is not None else 0.0
    speed = E.si * warm + p * more
    gel = resin.gel_time
    energy = max(E.high_si - E.si, E.si - E.low_si) * abs(warm)
    order = 0.0
    if exponent is not None:
        order = max(exponent.high_si - p, p - exponent.low_si) * abs(more)
    low = math.hypot(math.log(gel.si / gel.low_si), energy, order)
    high = math.hypot(math.log(gel.high_si / gel.si), energy, order)
    factor, gel_s = math.exp(p * more), gel.si / math.exp(speed)
    return Batch(curing, factor, math.exp(-low), math.exp(high), gel_s)


def batch_of(job: Job) -> Batch | None:
    """Return this batch's pace: by the sheet, or by a gel time that the builder measured."""
    found = cup_gel(job.curing, job.shop.temperature_K, job.initiator)
    if job.gel_s is None:
        learnt = None if found is None else job.learnt
        if found is None or learnt is None or GEL not in learnt.ways:
            return found
        return _by_cups(found, learnt.ways[GEL])
    if found is None:
        raise InputError(
            f"gel time is given, but {job.resin.title} has none of its own to compare it with"
        )
    low, high = found.gels_s
    if not low <= job.gel_s <= high:
        raise InputError(
            f"gel time is {job.gel_s / 60:.3g} min; here the sheet of {job.resin.title} makes "
            f"it {low / 60:.3g} to {high / 60:.3g} min: check the initiator and the temperature, "
            "and measure again"
        )
    off = job.curing.general.gel_reading.si
    factor = found.factor * found.gel_s / job.gel_s
    return Batch(job.curing, factor, 1.0 - off, 1.0 + off, job.gel_s)


def _by_cups(found: Batch, ways: "Floats") -> Batch:
    """Return a batch at the pace that a shop's own cups showed, its doubt what they leave of it."""
    share = np.abs(ways)
    factors = np.where(ways > 0.0, found.longer**share, found.shorter**share)
    low, middle, high = (float(x) for x in np.quantile(factors, (0.5 - HALF95, 0.5, 0.5 + HALF95)))
    return Batch(
        found.curing,
        found.factor / middle,
        low / middle,
        high / middle,
        found.gel_s * middle,
    )


def pot_life(job: Job, pace: Batch, batch: float, until: float = math.inf) -> float | None:
    """Return how long a batch [kg] in one cup stays workable [s]: until it has thickened.

    A bigger cup keeps more of its heat: its loss goes as mass to the two thirds. None for a
    resin that is not mixed in the shop; endless where it lasts longer than is followed [s].
    """
    return pot_lives([job], pace, batch, until)[0]


def pot_lives(
    jobs: Sequence[Job], pace: Batch, batch: float, until: float = math.inf
) -> list[float | None]:
    """Return how long a batch stays workable in each of several shops, as pot_life does."""
    from outgas.physics import data_sheet

    law = pace.law
    if not isinstance(law, cure.Kamal):
        return [None] * len(jobs)
    cups = [(*_cup(job, pace, law, batch), until) for job in jobs]
    asked = [(worked, cup, min(longest, most)) for worked, cup, longest, most in cups]
    return list(data_sheet.gels_in_cups(asked))


def _cup(
    job: Job, pace: Batch, law: cure.Kamal, batch: float
) -> "tuple[cure.Kamal, data_sheet.Cup, float]":
    """Return a cup of a batch in a shop, with the law to its thickening, and how long to follow."""
    from outgas.physics import data_sheet

    curing = pace.curing
    family, size = curing.family, batch / curing.general.mass.si
    thick = catalogue.practice().clock.thickened.si
    worked = law.gel * (1.0 - thick ** (-1.0 / family.viscosity_exponent.si))
    T = job.shop.temperature_K
    longest = GELS_FOLLOWED * cure.time_to(law, law.gel, T)
    cup = data_sheet.Cup(
        mass=batch,
        heat_capacity=family.heat_capacity.si,
        heat_capacity_slope=family.heat_capacity_slope.si,
        loss=curing.cup_loss * size ** (2.0 / 3.0),
        air_K=T,
    )
    return dataclasses.replace(law, gel=worked), cup, longest


def less_initiator(job: Job) -> Job | None:
    """Return the inputs with the least initiator that the sheet allows, if that is less."""
    level = job.resin.initiator_level
    if level is None or job.gel_s is not None:
        return None
    now = job.initiator if job.initiator is not None else level.si
    if now <= level.low_si * (1.0 + 1e-9):
        return None
    return dataclasses.replace(job, initiator=level.low_si)


def slowed(job: Job, T: float, factor: float) -> float:
    """Return the temperature [K] at which gel takes factor times as long as at T."""
    E = job.curing.family.activation_energy.si
    return 1.0 / (1.0 / T + constants.GAS_CONSTANT * math.log(factor) / E)
