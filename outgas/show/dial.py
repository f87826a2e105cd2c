"""A pressure on the user's own dial, rounded towards the safe side."""

import math

from outgas import readings
from outgas.errors import UnknownNameError

# Each dial a builder may have: the key in readings.dial_readings, the step it is read to, the words
# after the number, and whether the number falls as the vacuum gets deeper.
DIALS: dict[str, tuple[str, float, str, bool]] = {
    "inHg": ("vacuum_inHg", 0.1, "inHg vacuum", False),
    "mmHg": ("vacuum_mmHg", 1.0, "mmHg vacuum", False),
    "bar": ("gauge_bar", 0.005, "bar gauge", True),
    "kPa": ("gauge_kPa", 0.5, "kPa gauge", True),
    "psi": ("gauge_psi", 0.05, "psi gauge", True),
    "percent": ("vacuum_percent", 0.5, "% vacuum", False),
    "mbar": ("absolute_mbar", 1.0, "mbar absolute", True),
    "torr": ("absolute_torr", 1.0, "torr absolute", True),
}
DEFAULT_DIAL = "inHg"
_SLACK = 1e-9  # so that an exact step is not rounded past itself


def read_dial(name: str) -> str:
    """Return a dial's name, whatever its case."""
    for known in DIALS:
        if known.lower() == str(name).strip().lower():
            return known
    raise UnknownNameError("dial", str(name), DIALS)


def on_dial(pressure: float, barometer: float, dial: str, *, weaker: bool = True) -> str:
    """Return a pressure [Pa] on a dial, rounded to its step towards less (or more) vacuum.

    >>> on_dial(8589.0, 101325.0, "inHg")
    '27.3 inHg vacuum'
    """
    key, step, words, falls = DIALS[dial]
    value = readings.dial_readings(pressure, barometer)[key] / step
    up = weaker == falls  # towards less vacuum is up where the number falls with depth
    steps = math.ceil(value - _SLACK) if up else math.floor(value + _SLACK)
    full = readings.dial_readings(0.0, barometer)[key] / step  # no dial shows more than all the air
    steps = max(steps, math.ceil(full - _SLACK)) if falls else min(steps, math.floor(full + _SLACK))
    places = max(0, -math.floor(math.log10(step) + _SLACK))
    return f"{steps * step:.{places}f} {words}"


def coarsest_step(barometer: float) -> float:
    """Return one step of the coarsest dial there is [Pa].

    >>> coarsest_step(100000.0)
    500.0
    """
    full, none = (
        readings.dial_readings(0.0, barometer),
        readings.dial_readings(barometer, barometer),
    )
    return max(step * barometer / abs(full[key] - none[key]) for key, step, _, _ in DIALS.values())


def both(
    pressure: float, barometer: float, dial: str, *, weaker: bool = True, brief: bool = False
) -> str:
    """Return a pressure on the dial and, in brackets, in absolute mbar; rounded alike.

    brief leaves out 'vacuum', 'gauge' and 'absolute', where the same line has said them.
    """
    absolute = on_dial(pressure, barometer, "mbar", weaker=weaker)
    text = on_dial(pressure, barometer, dial, weaker=weaker)
    if brief:
        absolute, text = (t.rsplit(" ", 1)[0] for t in (absolute, text))
    return text if dial == "mbar" else f"{text} ({absolute})"
