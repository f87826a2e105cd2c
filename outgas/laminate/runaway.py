"""When a laminate gets too hot to be left alone: beyond what its sheet's standard mass reaches."""

from dataclasses import dataclass

from outgas.job.job import Job
from outgas.laminate.warming import Warming
from outgas.show.amounts import celsius
from outgas.tables import catalogue


@dataclass(frozen=True, slots=True)
class Runaway:
    """A laminate hotter than its sheet knows: up to where [K], what then, what to change."""

    limit_K: float
    said: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.said}: {self.remedy}"


def runaway(job: Job, warming: Warming) -> Runaway | None:
    """Return a fire caution for a laminate that gets, or on the hot side may get, too hot.

    Too hot is beyond all that the sheet's standard mass reaches, or on the hot side beyond what
    it usually reaches where a laminate smokes.
    """
    peak = job.resin.peak_temperature
    if peak is None:
        return None
    limit, would, mass = peak.high_si, "would", "the most its sheet's standard mass reaches"
    if warming.peak_K <= limit:
        smokes = catalogue.practice().heat.smokes.si
        limit, would, mass = peak.si, "may", "what its sheet's standard mass reaches"
        if smokes > limit:
            limit, mass = smokes, "hotter than its sheet's standard mass"
        if warming.peak_high_K <= limit:
            return None
    return Runaway(
        limit,
        f"runaway: this laminate {would} pass {celsius(limit)}, {mass}; it smokes, cracks and may "
        "catch fire. No number beyond that is to be trusted",
        "thinner stages, less initiator within the sheet, a cooler shop or a metal tool",
    )
