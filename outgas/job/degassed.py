"""How the plain resin was degassed, read from '27 mbar for 10 min, stirred'."""

import re
from dataclasses import dataclass
from typing import Any

from outgas import units
from outgas.errors import InputError
from outgas.job.gauge import reading_of
from outgas.physics.chance import Band
from outgas.tables import catalogue

TIME_RANGE_S = (10.0, 86400.0)
WORKED = ("stirred", "seeded", "sparged", "seeded and stirred")
STILL = ("still", "not stirred")
_FOR, _HOW = re.compile(r"\s+for\s+", re.IGNORECASE), ","


@dataclass(frozen=True, slots=True)
class Degassed:
    """A pot: its pressure [Pa], how long, and whether it was worked; None: not said."""

    pressure_Pa: float
    seconds: Band
    worked: bool | None


def usual(pressure_Pa: float, worked: bool | None = None) -> Degassed:
    """Return a pot held for as long as is usual."""
    return Degassed(pressure_Pa, catalogue.practice().clock.degas.band, worked)


def read_degassed(given: Any, barometer_Pa: float) -> Degassed | None:
    """Return the pot of '27 mbar', '27 mbar for 20 min' or '27 mbar for 20 min, stirred'.

    Refused in one line: a time outside ten seconds to a day, and a way of working it not known.
    """
    if given is None:
        return None
    if not isinstance(given, str):
        return usual(reading_of(given, barometer_Pa, "degassed").absolute_Pa)
    said, _, how = given.partition(_HOW)
    if how.strip()[:1].isdigit():
        said = given  # a decimal comma is refused as one
    at, *lasts = _FOR.split(said, maxsplit=1)
    worked, word = None, " ".join(how.lower().split())
    if _HOW in given and said != given:
        if word not in (*WORKED, *STILL):
            raise InputError(
                f"degassed is {given[:60]!r}; after the comma it is one of "
                f"{', '.join((*WORKED, *STILL))}"
            )
        worked = word in WORKED
    pot = usual(reading_of(at, barometer_Pa, "degassed").absolute_Pa, worked)
    if not lasts:
        return pot
    seconds = units.positive(lasts[0], "s", "degassed, for")
    low, high = TIME_RANGE_S
    units.inside(seconds / 60, low / 60, high / 60, "degassed, for", "min")
    return Degassed(pot.pressure_Pa, Band.exact(seconds), worked)
