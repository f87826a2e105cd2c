"""Sentences in the units of the United States: what is said of metres, grams and degrees.

Pressures are no part of it: they stand on the dial that was chosen. Millilitres stay as they are,
for a syringe is marked in them everywhere.

>>> in_us("no warmer than 27 degC, 3 K over the shop; 0.8 m2 take 1.5 kg, 5 to 10 mm")
'no warmer than 80.6 degF, 5.4 degF over the shop; 8.61 sq ft take 3.31 lb, 0.197 to 0.394 in'
>>> in_us("43 degC, up to 52"), in_us("leaks 0.5 mbar l/s, 20 ml"), in_us("0.25 kg")
('109.4 degF, up to 125.6', 'leaks 0.5 mbar l/s, 20 ml', '8.82 oz')
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

KG_PER_LB = 0.45359237  # exact, as all of these: the yard and the pound of 1959
M_PER_IN = 0.0254
M_PER_FT = 0.3048
G_PER_OZ = 1000.0 * KG_PER_LB / 16.0
M2_PER_SQ_YD = (3.0 * M_PER_FT) ** 2
M3_PER_CU_FT = M_PER_FT**3
L_PER_GAL = 3.785411784
PA_PER_PSI = 6894.757293168361
J_PER_BTU = 1055.05585262  # of the International Table
N_PER_LBF = 4.4482216152605
F_PER_K = 1.8
F_AT_ZERO_C = 32.0
LEAST_FIGURES = 3
SLACK = 1e-9  # so that a whole step is not rounded past itself


@dataclass(frozen=True, slots=True)
class _Unit:
    """What one metric unit becomes: so many of a US one, another where it comes to under one."""

    per: float
    name: str
    small_per: float = 0.0
    small: str = ""
    offset: float = 0.0

    def of(self, value: float) -> tuple[float, str]:
        """Return a value of it in the US unit that suits its size."""
        got = value * self.per + self.offset
        if self.small and 0.0 < abs(got) < 1.0:
            return value * self.small_per, self.small
        return got, self.name


_UNITS = {
    "degC": _Unit(F_PER_K, "degF", offset=F_AT_ZERO_C),
    "K": _Unit(F_PER_K, "degF"),
    "um": _Unit(1e-3 / 25.4 * 1e3, "mil"),
    "mm": _Unit(1e-3 / M_PER_IN, "in"),
    "cm": _Unit(1e-2 / M_PER_IN, "in"),
    "m": _Unit(1.0 / M_PER_FT, "ft"),
    "m2": _Unit(1.0 / M_PER_FT**2, "sq ft", 1.0 / M_PER_IN**2, "sq in"),
    "cm2": _Unit(1e-4 / M_PER_IN**2, "sq in"),
    "g": _Unit(1.0 / G_PER_OZ, "oz"),
    "kg": _Unit(1.0 / KG_PER_LB, "lb", 1000.0 / G_PER_OZ, "oz"),
    "g/m2": _Unit(M2_PER_SQ_YD / G_PER_OZ, "oz/sq yd"),
    "kg/m2": _Unit(M_PER_FT**2 / KG_PER_LB, "lb/sq ft"),
    "kg/m3": _Unit(M3_PER_CU_FT / KG_PER_LB, "lb/cu ft"),
    "g/cm3": _Unit(1000.0 * M3_PER_CU_FT / KG_PER_LB, "lb/cu ft"),
    "kJ/kg": _Unit(1000.0 * KG_PER_LB / J_PER_BTU, "Btu/lb"),
    "l": _Unit(1.0 / L_PER_GAL, "gal", 128.0 / L_PER_GAL, "fl oz"),
    "m3/h": _Unit(1.0 / M3_PER_CU_FT / 60.0, "cfm"),
    "kN": _Unit(1000.0 / N_PER_LBF, "lbf"),
    "N": _Unit(1.0 / N_PER_LBF, "lbf"),
    "kPa": _Unit(1000.0 / PA_PER_PSI, "psi"),
    "mPa s": _Unit(1.0, "cP"),
    "m2/s": _Unit(1.0 / M_PER_FT**2, "sq ft/s"),
}
_ALSO = {"litres": "l", "litre": "l", "square metre": "m2", "°C": "degC"}
_NUMBER = r"-?\d+(?:,\d{3})*(?:\.\d+)?(?:e-?\d+)?"
_DIALLED = {"kPa"}  # a dial may be in it: no part of a sentence, only an amount of its own
_READ = sorted({*_UNITS, *_ALSO} - _DIALLED, key=len, reverse=True)
_NAMES = "|".join(re.escape(name) for name in _READ)
_SAID = re.compile(
    rf"(?<![\w.,/-])({_NUMBER})((?: (?:to|of|x|and|or) {_NUMBER})*) ({_NAMES})(?![\w/])"
    rf"(?:(, up to )({_NUMBER})(?![\d.]*(?: ?%| [a-zA-Z]*[/\d]| mbar| degC)))?"
)
_WORDS = (
    ("per square metre", "per 10.8 sq ft"),
    ("a square metre", "10.8 sq ft"),
)


def in_us(text: str) -> str:
    """Return a sentence with every metric amount in it said in US units."""
    for metric, us in _WORDS:
        text = text.replace(metric, us)
    return _SAID.sub(_changed, text)


def amount(value: float, unit: str, *, up: bool | None = None) -> str:
    """Return an amount of a metric unit in US units, a binding one rounded up or down.

    >>> amount(1.51, "kg", up=False), amount(25.0, "mm", up=True)
    ('3.32 lb', '0.985 in')
    """
    got, name = _UNITS[unit].of(value)
    return f"{_figures(got, LEAST_FIGURES, up)} {name}"


def _changed(match: re.Match[str]) -> str:
    first, more, said, up_to, high = match.groups()
    unit = _UNITS[_ALSO.get(said, said)]
    numbers = [first, *re.findall(_NUMBER, more)]
    links = re.findall(r" (?:to|of|x|and|or) ", more)
    values = [float(number.replace(",", "")) for number in numbers]
    # one unit for all: that of the largest
    suited = max(values, key=abs)
    name = unit.of(suited)[1]
    turn: Callable[[float], float] = (
        (lambda v: v * unit.small_per)
        if name == unit.small
        else (lambda v: v * unit.per + unit.offset)
    )
    shown = [_as_printed(turn(v), n, unit) for v, n in zip(values, numbers, strict=True)]
    told = shown[0] + "".join(f"{link}{text}" for link, text in zip(links, shown[1:], strict=True))
    beyond = ""
    if high is not None:
        beyond = f"{up_to}{_as_printed(turn(float(high)), high, unit)}"
    return f"{told} {name}{beyond}"


def _as_printed(value: float, metric: str, unit: _Unit) -> str:
    """Return a number to one figure more than the metric one had, so that little is lost."""
    if unit.per == F_PER_K:  # a tenth of a degree Fahrenheit holds whole degrees Celsius
        places = 1 + len(metric.partition(".")[2])
        shown = f"{round(value, places) + 0.0:.{places}f}"
        return shown.rstrip("0").rstrip(".")
    digits = re.sub(r"e.*|[-.,]", "", metric).lstrip("0")
    return _figures(value, max(LEAST_FIGURES, len(digits)), None, "," in metric)


def _figures(value: float, count: int, up: bool | None, thousands: bool = False) -> str:
    """Return so many figures, to the nearest, up or down."""
    if value == 0.0:
        return "0"
    places = count - 1 - math.floor(math.log10(abs(value)))
    steps = value * 10.0**places
    if up is None:
        whole = round(steps)
    else:
        whole = math.ceil(steps - SLACK) if up else math.floor(steps + SLACK)
    got = whole / 10.0**places
    if 0.0 < abs(got) < 1e-6:
        return f"{got:.{count - 1}g}"
    shown = f"{got:,.{max(places, 0)}f}" if thousands else f"{got:.{max(places, 0)}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown
