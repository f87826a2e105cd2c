"""A card for the phone or the wall: the answer for one shop and those around it, and its plan."""

import inspect
import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.errors import InputError, OutgasError, OutgasWarning
from outgas.job.job import Job as TheJob
from outgas.job.job_keys import KEYS
from outgas.job.saved import Job, arguments_of
from outgas.job.shop import Shop
from outgas.many.cases import ASKABLE, BAG, OF_SHOP, Cases, Reader, asked_of, cases_of
from outgas.no_gauge.hold import Hold, hold
from outgas.no_gauge.telltale import STAGES, Telltale, telltale
from outgas.physics import air
from outgas.plan.plan import Schedule
from outgas.plan.schedule import schedule
from outgas.shop_card.grid import Grid, grid_of, standard_share
from outgas.shop_card.page import page_of
from outgas.shop_card.record import Card
from outgas.show.dial import DEFAULT_DIAL, read_dial
from outgas.window.advice import Advice
from outgas.window.advise import advise
from outgas.window.refusals import refuse

if TYPE_CHECKING:
    from outgas.tables.materials import Resin

_AIR = ("altitude", "barometer")


def card(
    resin: "str | Path | Resin | Job",
    shop: Shop | None = None,
    *,
    dial: str | None = None,
    **told: Any,
) -> Card:
    """Return a card for one job: a page for a phone or a sheet of A4, with no network.

    Parameters
    ----------
    resin, shop, **told
        As of advise, with the keys of a job: temperature, humidity, ply, rig, batch, wet_out. A
        Job says all of them. With a layup the card has its plan.
    dial
        That the page opens with: 'inHg', 'mbar', 'bar'; that of the job, or inHg, if not given.

    Returns
    -------
    A Card: to_html(), write(path); pressures [Pa], temperatures [K].

    Raises
    ------
    InputError, OutOfRangeError, RefusedError
        As of advise; a process whose bag is not held at a pressure: prepreg, pressing, a pot.

    Notes
    -----
    The page reads a table of exact answers, at each shop the worst corner of its cell: never deeper
    nor weaker than outgas.advise. The plan does not degas: tell what was degassed. Air pressure at
    an altitude h, from that of the job, p_0 at h_0 (U.S. Standard Atmosphere 1976):

        p = p_0 ((1 - 0.0065 h / 288.15) / (1 - 0.0065 h_0 / 288.15))^5.2559, h in metres

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> made = card("orthophthalic-polyester", shop, dial="mbar")
    >>> made.read("22.7 degC", "55 %").hold > made.read("22 degC", "50 %").hold
    True
    >>> made.read("22 degC", "50 %", "9000 m") is None
    True
    """
    chosen = resin.dial if dial is None and isinstance(resin, Job) else dial
    shown = read_dial(chosen or DEFAULT_DIAL)
    asked = asked_of(resin, shop, {k: v for k, v in told.items() if k != BAG})
    asked = {key: value for key, value in asked.items() if value is not None}
    cases = cases_of({k: v for k, v in asked.items() if k in ASKABLE or k not in KEYS})
    if cases.axes:
        raise InputError(f"{cases.axes[0].name} has several values; a card is of one")
    job = Reader(cases).job(0)
    if not job.process.wet_bag:
        raise InputError(f"a card is for a bag that is held: {job.process.name} is not")
    refuse(job)
    altitude = _altitude(asked, job)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)  # they stand among the card's cautions
        plan = _plan(asked, job)
        # a plan's own advice has no ways out, which are wanted where there is no window
        known = plan is not None and plan.advice.has_window
        advice = plan.advice if plan is not None and known else _advice(asked, job)
        held, not_held = _held(job, advice)
        vials = {stage: _vials(advice, stage) for stage in STAGES}
    return Card(
        job=job,
        altitude_m=altitude,
        dial=shown,
        advice=advice,
        plan=plan,
        vials=vials,
        held=held,
        not_held=not_held,
        grid=_grid(cases, job, altitude),
        page=page_of,
    )


def _altitude(asked: Mapping[str, Any], job: TheJob) -> float:
    """Return the altitude that was told [m], or where the standard air is that of the job."""
    if asked.get("altitude") is not None:
        return units.one(asked["altitude"], "m", "altitude")
    share = job.shop.barometer_Pa / air.SEA_LEVEL_PA
    return float((1.0 - share ** (1.0 / air.EXPONENT)) * air.SEA_LEVEL_K / air.LAPSE_K_PER_M)


def _grid(cases: Cases, job: TheJob, altitude: float) -> Grid:
    own = ("temperature", "humidity", *_AIR)
    held = {key: value for key, value in cases.held.items() if key not in own}
    here = job.shop.barometer_Pa / standard_share(altitude)
    return grid_of(held, job, lambda h: here * standard_share(h))


def _arguments(asked: Mapping[str, Any], job: TheJob, of: Any) -> dict[str, Any]:
    """Return what was asked as arguments of advise or schedule, whichever take them."""
    words = {key: value for key, value in asked.items() if key in KEYS}
    known = {**arguments_of(words), **{k: v for k, v in asked.items() if k not in words}}
    known |= {"layup": job.layup, "rig": job.rig, "process": job.process.name}
    takes = inspect.signature(of).parameters
    return {k: v for k, v in known.items() if k in takes and k not in (*OF_SHOP, "resin", "shop")}


def _plan(asked: Mapping[str, Any], job: TheJob) -> Schedule | None:
    """Return the plan of a job that has a layup; none where its warmth was told, not computed."""
    if not job.layup.plies or asked.get("hottest") is not None:
        return None
    told = {**_arguments(asked, job, schedule), "degas": False}
    return schedule(asked["resin"], job.shop, **told)


def _advice(asked: Mapping[str, Any], job: TheJob) -> Advice:
    return advise(asked["resin"], job.shop, **_arguments(asked, job, advise))


def _held(job: TheJob, advice: Advice) -> tuple[Hold | None, str]:
    """Return the ways to hold the setpoint with the job's rig, or why there are none."""
    if advice.setpoint_Pa is None:
        return None, "no safe vacuum to hold for the cure"
    at, deepest, weakest, here = (
        units.quantity(p, "Pa")
        for p in (
            advice.setpoint_Pa,
            advice.deepest_Pa,
            advice.shallowest_Pa,
            advice.barometer_Pa,
        )
    )
    try:
        return hold(at, job.rig, here, deepest=deepest, shallowest=weakest), ""
    except OutgasError as error:
        return None, str(error)


def _vials(advice: Advice, stage: str) -> Telltale | None:
    """Return two vials for a stage; none where there is no such stage, or water cannot serve."""
    if not advice.has_window or (stage == "debulk" and not advice.deeper_first):
        return None
    return telltale(advice, stage)
