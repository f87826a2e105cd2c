"""What is told of each case: numbers in the trade's units, with what each is, and words by code."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import RefusedError
from outgas.laminate.course import target_of
from outgas.many.exact import Answered
from outgas.physics.chance import Band
from outgas.window.window import Window

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from xarray import Dataset

    Floats: TypeAlias = NDArray[np.float64]

PASCAL_PER_MBAR = 100.0
MIND = (
    "each pressure counts on the cautions of its own advice (outgas advise ... --cautions); the "
    "safety data sheet, local rules and licensed practice stand above it"
)
LIMITS = ("vapour", "air", "core")
OUTCOMES = ("answered", "refused", "not possible")
VERDICTS = (
    *("", "crushes the core", "boiling", "may boil", "inside margin", "debulk only", "safe"),
    *("too weak", "cannot tell", "passed", "at its limit", "void-prone"),
)


@dataclass(frozen=True, slots=True)
class Field:
    """One number told of a case; words are codes that its words give the meaning of."""

    name: str
    unit: str
    what: str
    of: Callable[[Window], float]
    words: tuple[str, ...] = ()

    @property
    def attrs(self) -> dict[str, object]:
        """What a labelled array says of it; codes as CF conventions have them."""
        if not self.words:
            return {"units": self.unit, "long_name": self.what}
        return {
            "long_name": self.what,
            "flag_values": list(range(len(self.words))),
            "flag_meanings": " ".join(w.replace(" ", "_") or "none" for w in self.words),
        }


def _mbar(of: Callable[[Window], float | None]) -> Callable[[Window], float]:
    def read(window: Window) -> float:
        pressure = of(window)
        return math.nan if pressure is None else pressure / PASCAL_PER_MBAR

    return read


def _gel(window: Window) -> float:
    warming = window.case.hottest.warming
    return math.nan if warming is None else warming.gel_s / 60.0


def _limit(name: str, *, safe: bool) -> Field:
    """Return the field of one limit."""

    def of(window: Window) -> float:
        return (window.limits.safe if safe else window.limits.nominal)[name]

    side, end = ("", "on the safe side") if safe else ("_nominal", "nominal")
    return Field(f"{name}_limit{side}", "mbar", f"what the {name} asks for, {end}", _mbar(of))


OF_WINDOW: tuple[Field, ...] = (
    Field("deepest", "mbar", "lowest pressure that is safe to cure at", _mbar(lambda w: w.deepest)),
    Field(
        "setpoint",
        "mbar",
        "where to hold the bag for the cure; NaN where there is no safe window",
        _mbar(lambda w: w.setpoint),
    ),
    Field(
        "shallowest",
        "mbar",
        "highest pressure that still clamps enough",
        _mbar(lambda w: w.shallowest),
    ),
    Field(
        "debulk",
        "mbar",
        "where to hold the bag early; NaN where an early step does not help or there is no window",
        _mbar(lambda w: None if w.setpoint is None else w.debulk),
    ),
    Field(
        "debulk_limit",
        "mbar",
        "how deep the bag may go while the resin is cool and thin",
        _mbar(lambda w: w.debulk_limit),
    ),
    Field(
        "deepest_no_debulk",
        "mbar",
        "deepest for a bag that goes straight to the cure",
        _mbar(lambda w: w.deepest_straight),
    ),
    *(_limit(name, safe=True) for name in LIMITS),
    *(_limit(name, safe=False) for name in LIMITS),
    Field(
        "hottest",
        "degC",
        "warmest moment before the gel can hold a bubble",
        lambda w: w.case.hottest_K - ZERO_CELSIUS_K,
    ),
    Field("gel_time", "min", "of the laminate, from mixing; NaN without a layup", _gel),
    Field(
        "limiting",
        "",
        "which limit asks for the most pressure",
        lambda w: float(LIMITS.index(w.limits.limiting)),
        LIMITS,
    ),
)
VOIDS: tuple[tuple[str, str], ...] = (
    ("voids", "share of the laminate that is gas at the setpoint; NaN without one"),
    ("voids_low", "low end of its 95 % range"),
    ("voids_high", "high end of its 95 % range"),
)
OF_VOIDS = tuple(Field(name, "%", what, _gel) for name, what in VOIDS)
OUTCOME = Field("outcome", "", "whether the case was answered", _gel, OUTCOMES)
VERDICT = Field("verdict", "", "what a bag pressure that was told comes to", _gel, VERDICTS)


def fields_of(*, voids: bool) -> tuple[Field, ...]:
    """Return what is told of each case, in order."""
    return (*OF_WINDOW, *(OF_VOIDS if voids else ()), VERDICT, OUTCOME)


def rows(found: Sequence[Answered], *, voids: bool) -> "Floats":
    """Return what is told of each case, a row a case; NaN and a code where there is no answer."""
    table = np.full((len(found), len(fields_of(voids=voids))), np.nan)
    for row, each in zip(table, found, strict=True):
        row[-1] = _outcome(each)
        row[-2] = VERDICTS.index(each.verdict.state if each.verdict else "")
        if each.window is None:
            continue
        row[: len(OF_WINDOW)] = [field.of(each.window) for field in OF_WINDOW]
        if voids:
            held = expected(each.window)
            if held is not None:
                row[len(OF_WINDOW) : -2] = [100.0 * x for x in (held.nominal, held.low, held.high)]
    return table


def _outcome(each: Answered) -> float:
    if each.refused is None:
        return 0.0
    return 1.0 if isinstance(each.refused, RefusedError) else 2.0


def expected(window: Window) -> Band | None:
    """Return the voids expected at the setpoint of a window; None without one, or in a pot."""
    if window.setpoint is None or window.job.process.gas_leaves:
        return None
    return window.course.voids(window.setpoint, target_of(window.case))


def words_of(found: "Dataset") -> "Dataset":
    """Return a map with words in place of codes."""
    words = {field.name: field.words for field in (*OF_WINDOW, VERDICT, OUTCOME) if field.words}

    def read(name: str) -> Any:
        codes = np.asarray(found[name].values)
        known = np.array([*words[name], ""], dtype=object)
        return known[np.where(np.isnan(codes), -1, codes).astype(int)]

    told = {name: (found[name].dims, read(name)) for name in words if name in found}
    return found.assign(told)
