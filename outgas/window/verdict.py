"""The verdict on a bag pressure, or on a prepreg's water."""

from outgas import constants, units
from outgas.job.gauge import cannot_tell
from outgas.job.job import Job
from outgas.laminate.case import Case
from outgas.laminate.vapour import Vapour
from outgas.window.advice import Verdict
from outgas.window.window import Window, reading_error

ROUNDING_PA = 1e-3  # so that a setpoint less its own error is not found below its limit
PREPREG_TOLERANCE = 0.05  # within this share of the resin's pressure it is at its limit


def judge(
    job: Job,
    case: Case,
    window: Window,
    hot: Vapour,
    resin_pressure: float,
    reading: units.Reading | None,
) -> Verdict | None:
    """Return the verdict: always for prepreg, else where a bag pressure was given."""
    if job.process == "prepreg":
        return _prepreg(case, hot, resin_pressure)
    if reading is None:
        return None
    error = reading_error(job, reading.absolute_Pa)
    low, high = max(0.0, reading.absolute_Pa - error), reading.absolute_Pa + error
    if high < window.deepest:
        state = _state(low, window, hot)  # all of it too deep: the deeper end names it
    elif low + ROUNDING_PA >= window.deepest:
        state = _state(reading.absolute_Pa, window, hot)
    else:
        state = "cannot tell"
    return Verdict(state, low, high, _text(state, low, high, reading, case, window, hot))


def _state(pressure: float, window: Window, hot: Vapour) -> str:
    p = pressure + ROUNDING_PA
    if p < hot.high:
        return "boiling"
    if p < min(window.debulk_limit, window.deepest):
        return "inside margin"
    if p < window.deepest:
        return "debulk only"
    return "safe" if pressure - ROUNDING_PA <= window.shallowest else "too weak"


def _text(
    state: str,
    low: float,
    high: float,
    reading: units.Reading,
    case: Case,
    window: Window,
    hot: Vapour,
) -> str:
    span = f"{low / 100:.0f} to {high / 100:.0f} mbar absolute"
    celsius = case.hottest_K - constants.ZERO_CELSIUS_K
    if reading.by_dial and low <= 0.0:
        span = cannot_tell(reading.absolute_Pa, high - reading.absolute_Pa)
    boil = f"it may boil below {hot.high / 100:.0f} mbar at {celsius:.0f} degC"
    deepest, weakest = window.deepest / 100, window.shallowest / 100
    texts = {
        "boiling": f"too deep, likely boiling: {span}, and all of it is too deep; {boil}",
        "inside margin": f"too deep, inside the margin of boiling: {span}; {boil}",
        "debulk only": f"fit for the debulk only: {span}; come up above {deepest:.0f} mbar to cure",
        "safe": f"safe to cure: {span}; the limit is {deepest:.0f} mbar",
        "too weak": f"too weak to clamp: {span}; {weakest:.0f} mbar or deeper is needed",
        "cannot tell": f"cannot tell: {span}; the limit of {deepest:.0f} mbar lies inside it",
    }
    return texts[state]


def _prepreg(case: Case, hot: Vapour, resin_pressure: float) -> Verdict:
    """Compare the water with the pressure in the resin; the bag stays at full vacuum."""
    ratio = hot.high / resin_pressure
    celsius = case.hottest_K - constants.ZERO_CELSIUS_K
    facts = (
        f"its water pushes {hot.nominal / 100:.0f} to {hot.high / 100:.0f} mbar at {celsius:.0f} "
        f"degC against {resin_pressure / 100:.0f} mbar in the resin"
    )
    if ratio <= 1.0 - PREPREG_TOLERANCE:
        state, text = "passed", f"passed: {facts}"
    elif ratio <= 1.0 + PREPREG_TOLERANCE:
        state, text = "at its limit", f"at its limit: {facts}; dry it, or add pressure"
    else:
        state = "void-prone"
        text = f"void-prone: {facts}; keep full vacuum, and dry it or add pressure on the bag"
    return Verdict(state, hot.nominal, hot.high, text)
