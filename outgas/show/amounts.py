"""Amounts as people read them: one formatter for each kind; what binds is rounded to be safe.

>>> celsius(299.15), duration(754.0), duration(9000.0), clock(-600.0)
('26 degC', '13 min', '2.5 h', '-10:00')
"""

import math

from outgas.constants import ZERO_CELSIUS_K
from outgas.physics.chance import Band

SLACK = 1e-6  # so that a whole mbar is not rounded past itself
FINE_MBAR = 10.0  # below this a tenth of a millibar is worth printing
HOUR_S, MINUTE_S = 3600.0, 60.0
HOURS_FROM_S = 2.0 * HOUR_S  # from here people say hours
FROTH = 0.5  # of a laminate: no laminate any more
EYE_M = 1e-4  # across: from here the eye sees each bubble


def celsius(kelvin: float, places: int = 0) -> str:
    """Return a temperature in degrees Celsius."""
    shown = round(kelvin - ZERO_CELSIUS_K, places) + 0.0  # never '-0'
    return f"{shown:.{places}f} degC"


def celsius_down(kelvin: float) -> str:
    """Return a temperature that something must stay below, in whole degrees Celsius."""
    return f"{math.floor(kelvin - ZERO_CELSIUS_K + SLACK)} degC"


def mbar(pressure: float, *, fine: bool = False) -> str:
    """Return a pressure [Pa] in whole mbar, to the nearest; fine: with a tenth below 10 mbar.

    For what is observed or compared; a bound that someone acts on is rounded by mbar_up.
    """
    value = pressure / 100.0
    return f"{value:.1f}" if fine and value < FINE_MBAR else f"{value:.0f}"


def mbar_up(pressure: float) -> int:
    """Return a pressure [Pa] in whole mbar absolute, rounded towards less vacuum."""
    return math.ceil(pressure / 100.0 - SLACK)


def mbar_down(pressure: float) -> int:
    """Return a pressure [Pa] in whole mbar absolute, rounded towards more vacuum.

    The twin of mbar_up, for what must not be exceeded: the weakest clamp, what a core bears.
    """
    return math.floor(pressure / 100.0 + SLACK)


def mbar_read(pressure: float) -> str:
    """Return a reading [Pa] to the three figures that an instrument shows."""
    return f"{figures(pressure / 100.0, 3)} mbar"


def duration(
    seconds: float, *, seconds_below: float = 0.0, hours: bool = True, whole: bool = False
) -> str:
    """Return a time as it is said: minutes, hours from two on, (whole) seconds below a bound."""
    if hours and seconds >= HOURS_FROM_S:
        return f"{seconds / HOUR_S:.1f} h"
    if seconds >= seconds_below:
        return f"{seconds / MINUTE_S:.0f} min"
    return f"{seconds:.0f} s" if whole else f"{figures(seconds, 3)} s"


def minutes_up(seconds: float) -> str:
    """Return a time that something must last at least, in whole minutes.

    >>> minutes_up(600.0), minutes_up(541.0), minutes_up(60.0)
    ('10 min', '10 min', '1 min')
    """
    return f"{math.ceil(seconds / MINUTE_S - SLACK)} min"


def clock(seconds: float) -> str:
    """Return a moment as minutes and seconds, or hours and minutes, with its sign.

    >>> clock(-600.0), clock(754.0), clock(7500.0)
    ('-10:00', '12:34', '2 h 05')
    """
    sign, s = ("-", -seconds) if seconds < 0.0 else ("", seconds)
    if s >= HOURS_FROM_S:
        whole = round(s / MINUTE_S)
        return f"{sign}{whole // 60} h {whole % 60:02d}"
    whole = round(s)
    return f"{sign}{whole // 60}:{whole % 60:02d}"


def chance(share: float) -> str:
    """Return a chance in per cent, never rounded to none or to certain."""
    if share < 0.01:
        return "under 1 %"
    return "over 99 %" if share > 0.99 else f"{share * 100:.0f} %"


def probability(share: float) -> str:
    """Return a probability as whole per cents, to rank by; never 0 or 100."""
    return f"{min(99.0, max(1.0, 100.0 * share)):.0f}%"


def voids(share: float) -> str:
    """Return a share of voids to two figures."""
    return "under 0.1%" if share < 1e-3 else f"{figures(100.0 * share, 2)}%"


def across(radius: float) -> str:
    """Return a bubble's diameter, as a loupe with a scale shows it."""
    d = 2.0 * radius
    if d < 0.995 * EYE_M:  # below what two digits would round up to it
        return f"{d * 1e6:.2g} um"
    return f"{d * 1e3:.2g} mm" if d < 0.0995 else f"{d * 1e3:.0f} mm"


def two_figures(value: float) -> str:
    """Return two figures, never as a power of ten."""
    return figures(value, 2)


def figures(value: float, figures: int) -> str:
    """Return so many figures, never as a power of ten."""
    shown = f"{value:.{figures}g}"
    return shown if "e" not in shown else f"{float(shown):.12f}".rstrip("0").rstrip(".")


def leak(throughput: float) -> str:
    """Return a leak [Pa m3/s] as shops say it."""
    return f"{two_figures(throughput * 10.0)} mbar l/s"


def millilitres(volume: float) -> str:
    """Return a volume [m3] in ml."""
    return f"{figures(volume * 1e6, 3)} ml"


def voids_of(voids: Band) -> str:
    """Say a void content and its range, the high end rounded up."""
    low, high = math.floor(voids.low * 100 + SLACK), voids.high * 100
    tenths = math.ceil(high * 10 - SLACK) / 10
    most = f"{math.ceil(high - SLACK):d}" if tenths >= 1.0 else f"{tenths:g}"
    if voids.high >= FROTH:
        return (
            f"{voids.nominal:.1%} voids, at the worst froth" if voids.nominal < FROTH else "froth"
        )
    return f"{voids.nominal:.1%} voids ({low} to {most})"
