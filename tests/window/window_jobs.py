"""Jobs read from a few words, for tests that look at one part of a window."""

import warnings

import outgas
from outgas.errors import OutgasWarning
from outgas.job.job import Job, job_of
from outgas.tables.number import Number
from outgas.window.advice import Advice
from outgas.window.behind import Cure

UP = "orthophthalic-polyester"
PREPREG = "out-of-autoclave-epoxy-prepreg"
AUTOCLAVE = "autoclave-epoxy-prepreg"
HERE_PA = 101325.0
CURE = Cure(
    gel_s=1200.0,
    gel_interval_s=(900.0, 1700.0),
    gel_K=301.0,
    hold_s=1500.0,
    conversion_at_hottest=0.2,
    peak_K=330.0,
    peak_s=2000.0,
    over_time=((0.0, 295.0, 8000.0), (1500.0, 302.0, 11000.0)),
)


def job(name: str = UP, where: dict[str, str] | None = None, **more: object) -> Job:
    """Return a job in a shop at 22 degC, 50 %, under one standard atmosphere."""
    usual = {"temperature": "22 degC", "humidity": "50 %", "barometer": "1013.25 hPa"}
    shop = outgas.Shop(**{**usual, **(where or {})})
    asked = {
        "process": "wet layup", "layup": None, "rig": None, "vapour_share": None,
        "confidence": 0.95, "hottest": None, "air_pressure": None, "degassed": None,
        "entrained": None, "water_activity": None, "contaminants": None, "void_target": None,
        "reads_with": "dial",
    }  # fmt: skip
    return job_of(name, shop, **{**asked, **more})


def number(value: float, unit: str, low: float, high: float) -> Number:
    """Return a number of a table, made up."""
    return Number(value=value, unit=unit, low=low, high=high, source="estimate", how="estimate")


def told_advice(name: str = UP, humidity: str = "50 %", **more: object) -> Advice:
    """Return an advice for a shop at 22 degC under one standard atmosphere; its flags unsaid."""
    shop = outgas.Shop(temperature="22 degC", humidity=humidity, barometer="1013.25 hPa")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        return outgas.advise(name, shop, **more)
