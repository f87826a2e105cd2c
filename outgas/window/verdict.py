"""The verdict on a bag pressure, or on a prepreg's water."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas import readings, units
from outgas.job.gauge import CANNOT_TELL
from outgas.job.job import Job
from outgas.laminate.case import Case
from outgas.laminate.vapour import Vapour
from outgas.show.amounts import HOUR_S, SLACK, celsius, duration
from outgas.show.report import At, Line, bound
from outgas.window.prepreg import Drying, Held
from outgas.window.reach import reading_error
from outgas.window.window import Window

if TYPE_CHECKING:
    from outgas.units import Quantity

ROUNDING_PA = 1e-3  # so that a setpoint less its own error is not found below its limit

SAFE_STATES = ("safe", "passed")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a bag pressure, or a prepreg's water, comes to.

    state is crushes the core, boiling, may boil, inside margin, debulk only, safe, too weak or
    cannot tell; for prepreg passed, at its limit or void-prone. low_Pa and high_Pa: the interval
    it judged. prepreg: what holds its water down and how long it dries, where it is one.
    """

    state: str
    low_Pa: float
    high_Pa: float
    line: Line
    prepreg: Held | None = None

    @property
    def text(self) -> str:
        """It in words, pressures in mbar."""
        return str(self.line)

    @property
    def safe(self) -> bool:
        """Whether one may go on."""
        return self.state in SAFE_STATES

    @property
    def interval(self) -> "tuple[Quantity, Quantity]":
        """The interval it was judged on [Pa]."""
        return units.quantity(self.low_Pa, "Pa"), units.quantity(self.high_Pa, "Pa")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key."""
        return {
            "state": self.state,
            "safe": self.safe,
            "low_Pa": self.low_Pa,
            "high_Pa": self.high_Pa,
            "text": self.text,
            "prepreg": None if self.prepreg is None else self.prepreg.to_dict(),
        }

    def __str__(self) -> str:
        return self.text


def verdict_of(job: Job, window: Window, reading: readings.Reading | None) -> Verdict | None:
    """Return the verdict on a pump that may not clamp, whatever else is so; else on the bag."""
    return _too_weak(window) or judge(job, window, window.course.hot, reading)


def _too_weak(window: Window) -> Verdict | None:
    """Return the verdict on a pump that may not reach what clamps enough, whatever else is so."""
    if window.reach_Pa is None or window.pump_needs is None:
        return None
    ends = (
        At(window.reach_Pa, plain=True),
        At(window.pump_needs, weaker=False, plain=True),
    )
    does = "degas" if window.job.process.pot else "clamp"
    line = Line(f"too weak to {does}: it is sure of {{}} only; {{}} or deeper is needed", ends)
    return Verdict("too weak", window.reach_Pa, window.reach_Pa, line)


@dataclass(frozen=True, slots=True)
class _Read:
    """What was read, of what, and where it may be [Pa]."""

    reading: readings.Reading
    low: float
    high: float
    window: Window
    hot: Vapour


def judge(
    job: Job, window: Window, hot: Vapour, reading: readings.Reading | None
) -> Verdict | None:
    """Return the verdict: always for prepreg, else where a bag pressure was given."""
    if window.held is not None:
        return _prepreg(window.case, hot, window.held)
    if reading is None:
        return None
    error = reading_error(job, reading.absolute_Pa)
    low, high = max(0.0, reading.absolute_Pa - error), reading.absolute_Pa + error
    if high < window.deepest:
        state = _state(low, window, hot)  # all of it too deep: the deeper end names it
        if state == "boiling" and reading.absolute_Pa >= hot.nominal:
            state = "may boil"  # only its deeper end does for sure
    elif low + ROUNDING_PA >= window.deepest:
        state = _state(reading.absolute_Pa, window, hot)
    else:
        state = "cannot tell"
    return Verdict(state, low, high, _line(state, _Read(reading, low, high, window, hot)))


def _state(pressure: float, window: Window, hot: Vapour) -> str:
    p = pressure + ROUNDING_PA
    core = window.limits.safe["core"]
    if p < core and hot.high <= core:  # on the way down it goes before anything boils
        return "crushes the core"
    if p < hot.nominal:
        return "boiling"
    if p < hot.high:
        return "may boil"
    if p < min(window.debulk_limit, window.deepest):
        return "inside margin"
    if p < window.deepest:
        return "debulk only"
    if window.setpoint is None and pressure - ROUNDING_PA <= window.shallowest:
        return "cannot tell"  # it may be right now, but there is no room to hold it there
    return "safe" if pressure - ROUNDING_PA <= window.shallowest else "too weak"


def _line(state: str, read: _Read) -> Line:
    low, high, window, hot = read.low, read.high, read.window, read.hot
    span = CANNOT_TELL if read.reading.by_dial and low <= 0.0 else "{} to {}"
    ends = (
        At(low, weaker=False, plain=True, nearest=True, unit=""),
        At(high, plain=True, nearest=True, unit="mbar absolute"),
    )
    use, does = ("degas", "degas") if window.job.process.pot else ("cure", "clamp")
    early = "fill" if window.job.process.filled else "debulk"
    surely = "it boils" if high < hot.nominal else "likely boiling"
    up = f"come up above {{}} to {use}"
    boil = f"it may boil below {{}} at {celsius(read.window.case.hottest_K)}"
    boils, deepest, weakest = (
        bound(p, weaker=weaker)
        for p, weaker in ((hot.high, True), (window.deepest, True), (window.shallowest, False))
    )
    said = {
        "boiling": (f"too deep, {surely}: {span}, and all of it is too deep; {boil}", boils),
        "may boil": (f"too deep, it may boil: {span}, and all of it is too deep; {boil}", boils),
        "inside margin": (f"too deep, inside the margin of boiling: {span}; {boil}", boils),
        "debulk only": (f"fit for the {early} only: {span}; {up}", deepest),
        "safe": (f"safe to {use}: {span}; the limit is {{}}", deepest),
        "too weak": (f"too weak to {does}: {span}; {{}} or deeper is needed", weakest),
        "cannot tell": (f"cannot tell: {span}; the limit of {{}} lies inside it", deepest),
    }
    if state == "cannot tell" and low + ROUNDING_PA >= window.deepest:
        text = f"cannot tell: {span}; the limit is {{}}, the weakest {{}}: too little between"
        return Line(text, (*ends, deepest, weakest))
    if state == "crushes the core":
        return _crushed(span, ends, read)
    text, limit = said[state]
    return Line(text, (*ends, limit))


def _crushed(span: str, ends: tuple[At, At], read: _Read) -> Line:
    """Say what the core bears beside what the air now presses on it."""
    here, core = read.window.case.barometer_Pa, read.window.limits.safe["core"]
    text = (
        f"too deep, it crushes the core: {span}; this core bears about {{}} of clamp; you pull {{}}"
        "; come up above {}"
    )
    bears = bound(here - core, weaker=False, off_dial=True)
    pull = At(here - read.reading.absolute_Pa, nearest=True, off_dial=True, unit="")
    return Line(text, (*ends, bears, pull, bound(read.window.deepest)))


def _prepreg(case: Case, hot: Vapour, held: Held) -> Verdict:
    """Compare the water with the pressure in the resin; the bag stays at full vacuum."""
    state = held.found.state
    facts = (
        f"{state}: its water pushes {{}} to {{}} at {celsius(case.hottest_K)} against {{}} in the "
        "resin, {} at the least"
    )
    pressures = (
        At(hot.nominal, nearest=True, off_dial=True, unit=""),
        bound(hot.high, off_dial=True),
        bound(float(held.resin.nominal), weaker=False, off_dial=True),
        bound(float(held.resin.low), weaker=False, off_dial=True, unit=""),
    )
    if state == "passed":
        return Verdict(state, hot.nominal, hot.high, Line(facts, pressures), held)
    text = f"{facts}; {_only_while(held)}; keep full vacuum, and {mends(held.drying)}"
    return Verdict(state, hot.nominal, hot.high, Line(text, pressures), held)


def _only_while(held: Held) -> str:
    """Say how little of the clamp the fibres must carry for it to pass, rounded down."""
    share = held.found.passes_below_share
    per_cent = 0 if share is None else math.floor(share * 100.0)
    if per_cent < 1:
        return "even resin that carries all of the clamp holds too little"
    return f"passes only while the fibres carry less than {per_cent}% of the clamp"


def mends(drying: Drying) -> str:
    """Say how long to dry a prepreg, or to add pressure where that is what is left."""
    if not math.isfinite(drying.likely_s):
        return "add pressure on the bag: no vacuum dries it enough"
    return f"dry it first ({hours_of(drying)}) or add pressure on the bag"


def hours_of(drying: Drying) -> str:
    """Say how long drying takes, the slow end rounded up to whole hours."""
    likely = f"likely {duration(drying.likely_s)} of vacuum"
    if not math.isfinite(drying.slow_s):
        return f"{likely}, but no time is sure to do"
    return f"{likely}, {math.ceil(drying.slow_s / HOUR_S - SLACK)} h to be sure"
