"""What a builder says the bag was at, read into a belief about a pressure."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas import units
from outgas.constants import Z95
from outgas.errors import InputError, UnknownNameError
from outgas.job.gauge import reading_of
from outgas.show.report import At, Line, joined
from outgas.tables import catalogue

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

GRID = 241  # pressures a belief is held on, equally far apart in the logarithm
DEEPEST_PA = 10.0  # no shop's bag is deeper than a tenth of a millibar
UNSAID = (
    "",
    "unknown",
    "not looked",
    "not done",
    "don't know",
    "dont know",
    "?",
)  # of what was seen
FALL = 1e-6  # by which a chance may seem to fall through rounding


def plain_words(text: str) -> str:
    """Return words as they are compared: whatever their case, hyphens and spaces."""
    return " ".join(text.lower().replace("-", " ").replace("_", " ").split())


@dataclass(frozen=True, slots=True, eq=False)
class ToldPressure:
    """What a pressure may be: absolute pressures [Pa], rising, with weights that sum to one.

    line says it; stated tells whether anything was said of it at all, read whether that was a
    reading.
    """

    pressure: "Floats"
    weight: "Floats"
    line: Line
    stated: bool
    read: bool = False

    @property
    def text(self) -> str:
        """What is believed, in mbar."""
        return str(self.line)

    def mean(self, values: "Floats") -> float:
        """Return the mean of something that depends on the pressure."""
        return float(np.sum(self.weight * values))

    def quantile(self, share: float) -> float:
        """Return the pressure that lies above a share of the belief [Pa]."""
        return float(np.interp(share, np.cumsum(self.weight), self.pressure))

    @property
    def median(self) -> float:
        """As likely above as below [Pa]."""
        return self.quantile(0.5)

    @property
    def interval(self) -> tuple[float, float]:
        """Hold two thirds of the belief [Pa]."""
        return self.quantile(1.0 / 6.0), self.quantile(5.0 / 6.0)


def certain(pressure: float, line: Line | str, *, read: bool = False) -> ToldPressure:
    """Return the belief that a pressure [Pa] is known, and from where."""
    line = line if isinstance(line, Line) else Line(line)
    return ToldPressure(np.array([pressure]), np.array([1.0]), line, True, read)


def read_told_pressure(value: Any, barometer: float, error: float | None) -> ToldPressure:
    """Return the belief about a bag pressure.

    value: a reading ('28 inHg vacuum', '60 mbar', a quantity), an interval of two readings (a pair,
    or '40 to 90 mbar'), words ('very good bag', 'weak bag'), anything with chance_below, or
    None. error [Pa] is that of reading, at 95 %; None where it is a share of the pressure.
    """
    if value is None:
        return _in_words("unknown", barometer, stated=False)
    if callable(getattr(value, "chance_below", None)):
        return _from_chances(value, barometer)
    if isinstance(value, str):
        name = _bag_named(value)
        if name is not None:
            return _in_words(name, barometer, stated=name != "unknown")
        low, middle, high = value.partition(" to ")
        if middle:
            value = _ends(low, high)
        elif not any(c.isdigit() for c in value):
            words = [w for bag in catalogue.signs().bag.values() for w in bag.words]
            raise UnknownNameError("bag", value.strip(), words)
    if isinstance(value, tuple | list):
        return _between(value, barometer)
    read = _reading(value, barometer)
    spread = error if error is not None else catalogue.practice().reading.water.si * read
    return _around(read, spread, barometer)


def _ends(low: str, high: str) -> tuple[str, str]:
    """Return the two ends of '40 to 90 mbar'; a bare first number takes the second's unit."""
    if low.strip().replace(".", "", 1).replace("-", "", 1).isdigit():
        _, unit = units.split_number(high, "bag pressure")
        low = f"{low} {unit}"
    return low, high


def _bag_named(text: str) -> str | None:
    for name, bag in catalogue.signs().bag.items():
        if plain_words(text) in (plain_words(word) for word in (name, *bag.words)):
            return name
    return None


def _reading(value: Any, barometer: float) -> float:
    read = reading_of(value, barometer, "bag pressure").absolute_Pa
    if read > barometer:
        raise InputError(
            f"bag pressure is {read / 100:.0f} mbar absolute, above the barometer's "
            f"{barometer / 100:.0f} mbar; for a vacuum write '28 inHg vacuum'"
        )
    return read


def _belief(
    pressure: "Floats", density: "Floats", line: Line, stated: bool, *, read: bool = False
) -> ToldPressure:
    """Return a belief from a density over ln p on an even grid."""
    return ToldPressure(pressure, density / density.sum(), line, stated, read)


def _grid(low: float, high: float) -> "Floats":
    return np.geomspace(max(low, DEEPEST_PA), max(high, DEEPEST_PA * 1.01), GRID)


def _end(pressure: float, unit: str = "", *, weaker: bool = True) -> At:
    """Return an end of what is believed: to the nearest mbar until a dial is chosen."""
    return At(pressure, weaker=weaker, plain=True, believed=True, nearest=True, unit=unit)


def _point(pressure: float) -> Line:
    return Line("{}", (_end(pressure, "mbar absolute"),))


def _span(low: float, high: float, opening: str = "") -> Line:
    ends = _end(low, weaker=False), _end(high, "mbar absolute")
    return joined([opening, Line("{} to {}", ends)])


def _in_words(name: str, barometer: float, *, stated: bool) -> ToldPressure:
    number = catalogue.signs().bag[name].pressure
    p = _grid(DEEPEST_PA, barometer)
    deviation = math.log(number.high_si / number.low_si) / (2.0 * Z95)
    density = np.exp(-0.5 * (np.log(p / number.si) / deviation) ** 2)
    said = name.replace("-", " ") if stated else "not known"
    top = min(number.high_si, barometer)
    return _belief(p, density, _span(number.low_si, top, f"{said}, taken as "), stated)


def _around(read: float, error: float, barometer: float) -> ToldPressure:
    if error <= 0.0:
        return certain(max(read, DEEPEST_PA), _point(read), read=True)
    deviation = error / Z95
    low, high = max(DEEPEST_PA, read - 2.0 * error), min(barometer, read + 2.0 * error)
    p = _grid(low, high)
    density = p * np.exp(-0.5 * ((p - read) / deviation) ** 2)  # p: even in p, not in ln p
    span = _span(max(0.0, read - error), min(barometer, read + error))
    return _belief(p, density, span, True, read=True)


def _between(value: Any, barometer: float) -> ToldPressure:
    if len(value) != 2:
        raise InputError(f"bag pressure has {len(value)} ends; give the two of an interval")
    low, high = (_reading(end, barometer) for end in value)
    if low > high:
        low, high = high, low  # a dial's vacuum falls as the pressure rises
    if high - low < 1.0:
        return certain(max(low, DEEPEST_PA), _point(low), read=True)
    p = _grid(low, high)
    return _belief(p, np.ones_like(p), _span(low, high), True, read=True)


def _from_chances(belief: Any, barometer: float) -> ToldPressure:
    """Take over a belief held elsewhere by asking it for the chance below each pressure."""
    p = _grid(DEEPEST_PA, barometer)
    between = np.sqrt(p[1:] * p[:-1])  # each grid pressure stands for what lies around it
    below = np.array([float(belief.chance_below(units.quantity(float(x), "Pa"))) for x in between])
    whole = float(belief.chance_below(units.quantity(barometer, "Pa")))
    edges = np.concatenate([[0.0], below, [whole]])
    if not np.all(np.isfinite(edges)) or np.any(np.diff(edges) < -FALL) or whole <= 0.0:
        raise InputError("bag pressure's chance_below must rise from 0 to 1 with the pressure")
    weight = np.diff(edges)
    made = _belief(p, np.maximum(weight, 0.0), Line(""), True)
    return _belief(p, made.weight, _span(*made.interval, "believed "), True)
