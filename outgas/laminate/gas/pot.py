"""How much dissolved air a pot leaves: pressure, minutes, nuclei and stirring.

The air a pot could take is what lies above its own equilibrium, p_air - (p - p_v). Of that a share
connects, rises and leaves, and it is drained from the cells between the bubbles in the time that
diffusion takes, y = 1 - exp(-k t pi^2 D / s^2) with k for stirring (the first term of a sphere:
Crank, The Mathematics of Diffusion, 1975, chapter 6). The share comes from one published pot:
seeded and sparged at 90 mbar, 40 to 50 % gone (Afendi, Banks and Kirkwood 2005), where equilibrium
would have taken nine tenths. That datum is put in here, and so is no check of it.

SI floats and arrays, any shapes that broadcast.
"""

import dataclasses
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas.job.degassed import Degassed
from outgas.laminate.gas.held import SPHERE
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables.materials import Resin

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Pot:
    """What is in a degassing pot, and how it is worked.

    Attributes
    ----------
    share
        Of the air above equilibrium that leaves in the end; see connected_share.
    bubbles
        Places where a bubble can grow, per volume of resin: stirred in, and seeds.
    stirring
        How many times faster stirred or sparged resin drains than still resin; 1 is still.
    diffusivity_m2_s
        Of air in the resin.
    """

    share: "Numbers"
    bubbles: "Numbers"
    stirring: "Numbers"
    diffusivity_m2_s: "Numbers"


def seeds(spacing_m: "Numbers") -> "Numbers":
    """Return the places per volume whose cells have a radius: 3 / (4 pi s^3)."""
    return 1.0 / (SPHERE * spacing_m**3)


def connected_share(
    removed: "Numbers", pot_Pa: "Numbers", vapour_Pa: "Numbers", air_Pa: "Numbers"
) -> "Numbers":
    """Return the share that leaves in the end, from what a long and seeded pull was seen to remove.

    Seen: 45 % at 90 mbar. There equilibrium would have left little:

    >>> round(float(connected_share(0.45, 9000.0, 0.0, 101325.0)), 2)
    0.49
    """
    return removed / (1.0 - np.clip(pot_Pa - vapour_Pa, 0.0, air_Pa) / air_Pa)


def air_left(
    pot: Pot,
    air_Pa: "Numbers",
    pot_Pa: "Numbers",
    vapour_Pa: "Numbers",
    duration_s: "Numbers",
) -> "Floats":
    """Return the pressure of the dissolved air after a time in a pot [Pa].

    Never under the pot's own equilibrium, never above what was there. A boiling pot (p under p_v)
    counts as one just above boiling.

    A seeded and stirred pot against a still one with few bubbles, at 90 mbar:

    >>> worked = Pot(share=0.49, bubbles=seeds(0.3e-3), stirring=3.0, diffusivity_m2_s=1e-10)
    >>> still = Pot(share=0.49, bubbles=1.5e8, stirring=1.0, diffusivity_m2_s=1e-10)
    >>> [round(float(air_left(worked, 1e5, 9e3, 2e3, 600.0)), -3),
    ...  round(float(air_left(still, 1e5, 9e3, 2e3, 120.0)), -3)]
    [54000.0, 96000.0]
    """
    spacing = np.cbrt(1.0 / (SPHERE * np.asarray(pot.bubbles, dtype=float)))
    rate = pot.stirring * np.pi**2 * pot.diffusivity_m2_s / (spacing * spacing)
    floor = np.clip(pot_Pa - np.asarray(vapour_Pa), 0.0, air_Pa)
    gone = pot.share * -np.expm1(-rate * duration_s)
    return np.asarray(air_Pa - np.clip(gone, 0.0, 1.0) * (air_Pa - floor))


def pot_of(resin: Resin, air_Pa: float, vapour_Pa: float, *, worked: bool) -> Pot:
    """Return a pot of resin, seeded and stirred, or still with no seeds but what was stirred in."""
    figures, practice = catalogue.gas(), catalogue.practice()
    stirred_in = practice.margins.entrained.si * seeds(figures.laminate.entrained_radius.si)
    removed, at = practice.gas.pot_removed.si, practice.gas.pot_pressure.si
    return Pot(
        share=connected_share(removed, at, vapour_Pa, air_Pa),
        bubbles=seeds(figures.pot.seed_spacing.si) if worked else stirred_in,
        stirring=figures.pot.stirring.si if worked else 1.0,
        diffusivity_m2_s=catalogue.transport(resin.family).air_diffusivity.si,
    )


def air_left_by(told: Degassed, resin: Resin, air_Pa: float, vapour_Pa: float) -> Band:
    """Return the pressure of the air that a pot leaves dissolved [Pa], with its ends.

    A pot of which it was not said how it was worked is taken as seeded and stirred, and as still at
    its worse end. Each number is moved alone; what the moves add goes as the root of squares.
    """
    figures, practice = catalogue.gas(), catalogue.practice()
    at, worked = practice.gas.pot_pressure.si, told.worked is not False
    pot, seconds = pot_of(resin, air_Pa, vapour_Pa, worked=worked), told.seconds

    def left(pot: Pot, seconds: float = seconds.nominal) -> float:
        return float(air_left(pot, air_Pa, told.pressure_Pa, vapour_Pa, seconds))

    nominal = left(pot)
    moves = [
        (left(dataclasses.replace(pot, share=connected_share(end, at, vapour_Pa, air_Pa))))
        for end in _both(practice.gas.pot_removed.band)
    ]
    moves += [left(pot, end) for end in _both(seconds)]
    speed = catalogue.transport(resin.family).air_diffusivity.band
    moves += [left(dataclasses.replace(pot, diffusivity_m2_s=end)) for end in _both(speed)]
    if worked:
        apart, stirring = figures.pot.seed_spacing.band, figures.pot.stirring.band
        moves += [left(dataclasses.replace(pot, bubbles=seeds(end))) for end in _both(apart)]
        moves += [left(dataclasses.replace(pot, stirring=end)) for end in _both(stirring)]
    if told.worked is None:
        still = left(pot_of(resin, air_Pa, vapour_Pa, worked=False))
        moves += [still, still]
    pairs = list(zip(moves[::2], moves[1::2], strict=True))
    more = math.hypot(*(max(0.0, *(p - nominal for p in pair)) for pair in pairs))
    less = math.hypot(*(max(0.0, *(nominal - p for p in pair)) for pair in pairs))
    return Band(nominal, max(0.0, nominal - less), min(air_Pa, nominal + more))


def _both(band: Band) -> tuple[float, float]:
    return band.low, band.high
