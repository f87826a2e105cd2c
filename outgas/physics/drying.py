"""Drying prepreg under vacuum: water leaves by diffusion to the nearest open channel.

Symbols: l half the distance between open channels [m], D diffusivity of water in the uncured resin
[m2/s], F Fourier number D t / l^2, a water activity (0 to 1), m exponent of the sorption isotherm:
moisture goes as a^m. SI floats and arrays.

Resin between two open channels is a slab, drained on both faces (Crank, The Mathematics of
Diffusion). Moisture proportional to activity (m = 1) holds up to an activity of about 0.8; above it
resin takes up more than in proportion. Isotherms as steep as m = 2 are in use for epoxy prepreg.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

EARLY_F = 0.03  # up to here the square root of time is exact to 1e-14, beyond it the series is
TERMS = 10  # of the series; the first one left out is below 1e-16 at EARLY_F
NEWTON_STEPS = 8  # from the first term alone; four reach 1e-12
_ODD2 = (np.pi / 2.0 * (2.0 * np.arange(TERMS) + 1.0)) ** 2


def diffusivity(T: "Numbers", prefactor: "Numbers", energy_K: "Numbers") -> "Numbers":
    """Return D [m2/s] at T [K]: prefactor exp(-energy_K / T).

    >>> round(float(diffusivity(298.15, 1.05e-7, 2817.0)) * 1e12, 1)
    8.3
    """
    return np.asarray(prefactor * np.exp(-np.asarray(energy_K) / np.asarray(T, dtype=float)))


def time_constant(l: "Numbers", D: "Numbers") -> "Numbers":  # noqa: E741
    """Return the time [s] in which the late drying falls to 1/e: 4 l^2 / (pi^2 D)."""
    return np.asarray(4.0 * np.asarray(l) ** 2 / (np.pi**2 * np.asarray(D)))


def share_left(F: "Numbers") -> "Numbers":
    """Return the share of the water that is left at Fourier number F, none having been lost at 0.

    The whole series sum 2/M^2 exp(-M^2 F), M = pi/2 (2 n + 1); at early times, where it converges
    slowly, its equal 1 - 2 sqrt(F/pi).

    >>> round(float(share_left(0.19674)), 4)
    0.5
    """
    F = np.maximum(np.asarray(F, dtype=float), 0.0)
    early = 1.0 - 2.0 * np.sqrt(np.minimum(F, EARLY_F) / np.pi)
    late = np.maximum(F, EARLY_F)
    series = (2.0 / _ODD2 * np.exp(-np.multiply.outer(late, _ODD2))).sum(axis=-1)
    return np.asarray(np.where(F < EARLY_F, early, series))


def fourier(share: "Numbers") -> "Numbers":
    """Return the Fourier number at which a share is left: the inverse of share_left.

    0 for a share of 1 or more, infinite for 0 or less.
    """
    share = np.asarray(share, dtype=float)
    with np.errstate(divide="ignore"):
        ln = np.log(np.clip(share, 0.0, 1.0))
    F = np.maximum((np.log(2.0 / _ODD2[0]) - ln) / _ODD2[0], EARLY_F)
    for _ in range(NEWTON_STEPS):  # the logarithm of the series is nearly a straight line
        steep = np.where(np.isfinite(F), F, 1.0)
        falls = np.exp(-np.multiply.outer(steep, _ODD2 - _ODD2[0]))
        left, slope = (2.0 / _ODD2 * falls).sum(axis=-1), (2.0 * falls).sum(axis=-1)
        step = (np.log(left) - _ODD2[0] * steep - ln) * left / slope
        F = np.where(np.isfinite(F), np.maximum(steep + step, 0.0), F)
    early = 0.25 * np.pi * (1.0 - np.clip(share, 0.0, 1.0)) ** 2
    return np.asarray(np.where(early < EARLY_F, early, F))


@dataclass(frozen=True, slots=True)
class Sorption:
    """How moisture stands in a prepreg: the activity its channels keep, the isotherm's exponent.

    Moisture goes as the activity to that power.
    """

    at_channel: "Numbers" = 0.0
    exponent: "Numbers" = 1.0

    def moisture(self, a: "Numbers") -> "Numbers":
        """Return the moisture that goes with an activity, 1 at an activity of 1."""
        powered: Numbers = np.asarray(a, dtype=float) ** np.asarray(self.exponent, dtype=float)
        return powered


def activity_left(a: "Numbers", share: "Numbers", sorption: Sorption) -> "Numbers":
    """Return the activity when a share is left of the water above what the channel keeps there.

    a before. A prepreg drier than its channels
    is left as it is: vacuum does not wet it.
    """
    m = np.asarray(sorption.exponent, dtype=float)
    before, kept = sorption.moisture(a), sorption.moisture(sorption.at_channel)
    after = kept + np.maximum(before - kept, 0.0) * np.asarray(share)
    return np.asarray(np.minimum(after, before) ** (1.0 / m))


def drying_time(
    a: "Numbers",
    wanted: "Numbers",
    l: "Numbers",  # noqa: E741
    D: "Numbers",
    sorption: Sorption,
) -> "Numbers":
    """Return the time [s] in which activity falls from a to wanted.

    0 where it is dry enough already, infinite where the channels' vapour keeps it wetter.
    """
    before, kept = sorption.moisture(a), sorption.moisture(sorption.at_channel)
    after = np.asarray(sorption.moisture(wanted))
    room = before - kept
    share = np.where(room > 0.0, (after - kept) / np.where(room > 0.0, room, 1.0), 0.0)
    share = np.where(after >= before, 1.0, share)
    return np.asarray(fourier(share) * np.asarray(l) ** 2 / np.asarray(D))
