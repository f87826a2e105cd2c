"""Defaults filled in from the tables: the case that a job's limits are computed from."""

import dataclasses
from collections.abc import Sequence
from typing import TYPE_CHECKING

from outgas.errors import OutgasError
from outgas.job.job import Job
from outgas.laminate.batch import batch_of
from outgas.laminate.case import Case, degassed
from outgas.laminate.liquid import Liquid, liquid_of
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.case.hottest import hottest_of
from outgas.window.case.lasting import lasting

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming

FEWEST_TOGETHER = 2  # heat runs that are worth running together


def case_of(job: Job) -> Case:
    """Return the case that the limits of a job are computed from; its heat is run if it has any."""
    liquid, warming = liquid_of(job), None
    if job.heats and (batch := batch_of(job)) is not None:
        from outgas.laminate.warming import warming_of

        warming = warming_of(job, batch, liquid)
    return case_with(job, liquid, warming)


def case_with(job: Job, liquid: Liquid, warming: "Warming | None") -> Case:
    """Return the case of a resin in its shop and the heat of its layup, None where it has none.

    Defaults are filled in from the tables.
    """
    margins, gas = catalogue.practice().margins, catalogue.gas()
    lasts = lasting(job, warming)
    case = Case.of(
        liquid,
        hottest=hottest_of(job, liquid, warming),
        entrained=margins.entrained.band if job.entrained is None else Band.exact(job.entrained),
        dissolved_Pa=Band.exact(_dissolved(job, liquid)),
        trapped=job.trapped or gas.laminate.trapped.band,
        connected=job.connected or gas.laminate.connected.band,
        path_open=job.path_open,
        low_gas=job.low_gas,
        early_s=lasts.early_s,
        hold_s=lasts.hold.nominal,
        hold_ends=(lasts.hold.low, lasts.hold.high),
        cup_s=lasts.cup_s,
        fibre_fraction=job.fibre_fraction,
        thickness_m=job.layup.laminate_thickness_m or gas.look.thickness.si,
        finish=job.finish,
        void_target=job.void_target,
        vapour_share=job.vapour_share,
        exact=job.exact,
        learnt=job.learnt,
    )
    if job.pot is None or job.air_Pa is not None:
        return case
    return degassed(case, job.pot)


def _dissolved(job: Job, liquid: Liquid) -> float:
    """Return what the air in a resin stands under before any pot [Pa]: as told, or the shop's."""
    here = liquid.barometer_Pa
    if job.air_Pa is not None:
        return min(job.air_Pa, here)
    # What got in by mistake came after the air had settled: it drives none of it out.
    clean = dataclasses.replace(liquid, contaminants=()) if liquid.contaminants else liquid
    return max(0.0, here - vapour(clean, liquid.shop_K).nominal)


def cases_of(jobs: Sequence[Job]) -> "list[Case | OutgasError]":
    """Return the case of each job, or why it has none; the heat of all is run together."""
    warmings = _warmings(jobs)
    found: list[Case | OutgasError] = []
    for i, job in enumerate(jobs):
        try:
            found.append(_case(job, warmings.get(i)))
        except OutgasError as error:
            found.append(error)
    return found


def _case(job: Job, warming: "Warming | None") -> Case:
    """Return the case of a job whose heat may have been run already."""
    return case_of(job) if warming is None else case_with(job, liquid_of(job), warming)


def _warmings(jobs: Sequence[Job]) -> "dict[int, Warming]":
    """Return the heat of each job that needs it; what cannot be run together is left out."""
    heated = [i for i, job in enumerate(jobs) if job.heats]
    if len(heated) < FEWEST_TOGETHER:
        return {}
    from outgas.laminate.warming import Heated, follow_many

    asked: dict[int, Heated] = {}
    for i in heated:
        job = jobs[i]
        try:
            batch = batch_of(job)
        except OutgasError:
            continue  # told of where the case is made
        if batch is not None:
            asked[i] = Heated(job.shop, job.layup, job.process, batch, liquid_of(job))
    which = list(asked)
    try:
        return {which[i]: warming for i, warming in follow_many(list(asked.values()))}
    except OutgasError:
        return {}  # one of them cannot be followed: each alone, to find which
