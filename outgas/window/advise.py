"""The window: how deep a bag may go for the cure, how deep early, and how weak it may be."""

import math
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import readings
from outgas.errors import InputError, OutgasWarning
from outgas.job.asking import takes_job
from outgas.job.gauge import reading_of
from outgas.job.job import Job, Traces, job_of
from outgas.job.layup import Layup
from outgas.job.learnt import Experienced
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.laminate.batch import batch_of
from outgas.laminate.case import Case
from outgas.laminate.course import freed_from
from outgas.laminate.vapour import Vapour, boiling_point, vapour
from outgas.laminate.water import water_activity
from outgas.show.amounts import mbar
from outgas.show.report import lines
from outgas.tables.materials import Resin
from outgas.window import assumptions, cautions
from outgas.window.advice import Advice
from outgas.window.behind import Behind, Cure, WayOut
from outgas.window.case.defaults import case_of
from outgas.window.charts.made import charts
from outgas.window.limits import core_limit, margin_over
from outgas.window.refusals import refuse
from outgas.window.verdict import verdict_of
from outgas.window.ways import influences, ways_out
from outgas.window.ways.influences import Influence
from outgas.window.window import (
    Window,
    deepest_clear,
    if_shut,
    resin_pressure,
    weakest_numbers,
    window_of,
    windows_of,
)
from outgas.window.words import told

if TYPE_CHECKING:
    from outgas.units import Measure

ASKED_FROM = 4  # calls from a warning up to who asked: assemble, advise, what unpacks a job


@takes_job
def advise(
    resin: str | Path | Resin,
    shop: Shop,
    *,
    process: str | None = "wet layup",
    layup: Layup | None = None,
    rig: Rig | str | None = None,
    vapour_share: Any = None,
    confidence: Any = 0.95,
    bag_pressure: "Measure | None" = None,
    hottest: "Measure | None" = None,
    air_pressure: "Measure | None" = None,
    degassed: "Measure | None" = None,
    entrained: Any = None,
    water_activity: Any = None,
    contaminants: Traces = None,
    void_target: Any = None,
    finish: str | None = None,
    trapped: Any = None,
    connected: Any = None,
    no_debulk: bool | None = False,
    low_gas_initiator: bool | None = False,
    reads_with: str | None = "dial",
    initiator: Any = None,
    gel_time: "Measure | None" = None,
    dried: "Measure | None" = None,
    minimum_temperature: "Measure | None" = None,
    exact: bool = False,
    experience: Experienced | None = None,
) -> Advice:
    """Return the deepest vacuum that is safe for a resin in a shop, and what to do about it.

    Parameters
    ----------
    resin
        A name of outgas.resins(), the path of a TOML file of that shape, or a record.
    shop, layup, rig
        Where, what and with what; a Job of outgas.read_job in place of the resin says all of them,
        and what is named beside it goes first. A rig may be its words. A layup's warming is
        computed; without one it is a stated 3 K.
    process
        'wet layup', 'infusion', 'prepreg', 'degassing', 'core bonding' or 'pressing'.
    vapour_share
        Greatest part of a bubble that may be vapour, 0.05 to 1, in place of the margin over the
        vapour pressure: a quarter of it and 20 mbar at the least where the warmth is computed or
        named, a third of a bubble where it is a stated rise.
    confidence
        Two-sided, of the safe side of every limit; 0.5 to 0.999.
    bag_pressure
        What the bag is at, for a verdict: '28 inHg vacuum', '60 mbar', a quantity (absolute).
    hottest
        Warmest moment of the laminate before its gel can hold a bubble; as
        '40 degC up to 52 degC' with how hot it may be.
    air_pressure, degassed
        Pressure that the air left in the resin is in equilibrium with; or the pot it was degassed
        in, which removes only part: '27 mbar', '27 mbar for 10 min, stirred' (or seeded, sparged,
        still). Neither: resin stirred in open air.
    entrained
        Air stirred and rolled in, by volume; 0.5 % (0.2 to 1 %) if not given.
    water_activity
        Of the resin and what it wets, 0 to 1, where it is known better than from the humidity.
    contaminants
        Mass fractions of traces, as {'acetone': '1 %'} or 'acetone=1%'; up to 10 % each.
    void_target
        Void content aimed for, 0.01 to 50 %; if not given 2 % of a laminate, 10 % of a bond line.
    finish
        'structural', by the void target alone, or 'clear' to the eye as well.
    trapped, connected
        Share of the resin's space that gas fills before it finds a way out, and share of the gas
        beyond that finds it, where a shop's own panels show them; from the tables if not given.
    no_debulk
        True: the bag goes straight to the cure. An infusion is filled first in any case.
    low_gas_initiator
        True: a peroxide that gives off no oxygen in a vinyl ester.
    reads_with
        'dial', 'water' or 'sensor 5 mbar', 'plate' or 'none' without a gauge: what the setpoint
        keeps clear of deepest by.
    initiator
        Mass fraction, '1.5 %', inside the range of the resin's sheet; the sheet's own if not given.
    gel_time
        Of a cup of this batch in this shop, as measured: '20 min'; by the sheet if not given.
    dried
        How long prepreg is held under full vacuum in this shop before its heat: '8 h', up to 30
        days; humidity and water_activity are then those it was laid up with. Prepreg alone.
    minimum_temperature
        Coldest that the sheet at hand allows: '18 degC', in place of the table's; colder is
        refused.
    exact
        True: the air's limit on its safe side is that of a thousand Sobol draws of all that is
        uncertain at once, in place of the root of squares; it takes some tenths of a second. With
        an experience it is that of its draws already.
    experience
        What the shop's own panels taught, of outgas.learn: the air's limit then stands on their
        draws, and is deeper than by the tables only as far as a panel that came out well was.

    Returns
    -------
    An Advice: pressures [Pa] absolute, str() for a builder, to_dict() for a script.

    Raises
    ------
    RefusedError
        Polystyrene foam with a monomer that dissolves it; below the resin's minimum temperature;
        a tool below the dew point.
    InputError, OutOfRangeError, DataError
        One line each: what was given and what is allowed.

    Warns
    -----
    OutgasWarning
        For what stands in the result's cautions and needs reading first.

    Notes
    -----
    The safe pressure in the resin is the greatest of three limits, each on its safe side:

        vapour  sum a_i p_sat,i(T), with the margin of vapour_share
        air     the highest p at which the gas balance over the job's stages misses its target
        core    p_atm less what the core's compressive strength bears, with creep

    Each stage takes the free gas V per volume of resin towards V = G / (p - p_v) - L, G all the air
    in it (pressure times volume): growing by diffusion from cells of resin (Crank 1975),
    dissolving by Epstein and Plesset (1950); gas over the trapped share leaves while there is a
    way out. Void content V (1 - V_f) / (1 + V (1 - V_f)).

    a_i: activities by Flory and Huggins (Flory 1953); L: Ostwald solubility (Henry's law). What
    is trapped, what connects and how bubbles start are estimates. A layup's
    warming: heat conduction with the rate law of Kamal and Sourour (1973), from memory.

    Prepreg is judged by its own resin, whatever the bag is held at:

        sum a_i p_sat,i(T)  against  p_bag + (1 - s) (p_atm + p_autoclave - p_bag)

    s: share of the clamp on the fibres (estimates, Terzaghi's spring for its course); the water's
    activity after drying by diffusion out of a slab (Crank 1975).

    Examples
    --------
    >>> from outgas import Shop
    >>> cool, hot = (Shop(temperature=t, humidity="50 %") for t in ("20 degC", "30 degC"))
    >>> advice = advise("orthophthalic-polyester", cool)
    >>> advice.limiting, advice.setpoint > advice.deepest
    ('air', True)
    >>> warmer = advise("orthophthalic-polyester", hot)
    >>> warmer.limits["vapour"] > advice.limits["vapour"]
    True
    >>> advise("orthophthalic-polyester", cool, bag_pressure="29 inHg vacuum").verdict.safe
    False
    >>> damp, dried = (
    ...     advise("out-of-autoclave-epoxy-prepreg", cool, process="prepreg", dried=t).verdict
    ...     for t in ("0 h", "60 h")
    ... )
    >>> damp.state, dried.state
    ('void-prone', 'passed')
    """
    job = job_of(
        resin,
        shop,
        process=process,
        layup=layup,
        rig=rig,
        vapour_share=vapour_share,
        confidence=confidence,
        hottest=hottest,
        air_pressure=air_pressure,
        degassed=degassed,
        entrained=entrained,
        water_activity=water_activity,
        contaminants=contaminants,
        void_target=void_target,
        finish=finish,
        trapped=trapped,
        connected=connected,
        no_debulk=no_debulk,
        low_gas_initiator=low_gas_initiator,
        reads_with=reads_with,
        initiator=initiator,
        gel_time=gel_time,
        dried=dried,
        minimum_temperature=minimum_temperature,
        exact=exact,
        experience=experience,
    )
    refuse(job)
    if job.gel_s is not None:  # checked even where no layup makes use of it
        batch_of(job)
    case = case_of(job)
    (window,) = windows_of([(job, case)], more=True)
    return assemble(job, window, _read(bag_pressure, shop))


def _read(bag_pressure: "Measure | None", shop: Shop) -> readings.Reading | None:
    """Return what the bag's gauge showed; refuses what no bag can be at."""
    if bag_pressure is None:
        return None
    reading = reading_of(bag_pressure, shop.barometer_Pa, "bag pressure")
    if reading.absolute_Pa > shop.barometer_Pa:
        raise InputError(
            f"bag pressure is {mbar(reading.absolute_Pa)} mbar absolute, above the "
            f"barometer's {mbar(shop.barometer_Pa)} mbar; for a vacuum write "
            "'-0.94 bar gauge' or '28 inHg vacuum'"
        )
    return reading


def assemble(
    job: Job,
    window: Window,
    reading: readings.Reading | None,
    *,
    ways_too: bool = True,
    asked_from: int = ASKED_FROM,
) -> Advice:
    """Put the advice together from the window and what surrounds it.

    Without ways_too it has no ways out and no influences, whoever asks: a plan has its own.
    Warnings point asked_from calls up, at the line that asked.
    """
    case = window.case
    cool, more = vapour(case, case.shop_K), (_ways, _influences) if ways_too else (_none, _none)
    flags = cautions.flags(job, case, window, cool)
    for flag in flags:
        warnings.warn(str(flag), OutgasWarning, stacklevel=asked_from)
    return Advice(
        **_asked(job, case),
        **_limited(window, cool),
        **_to_do(window),
        resin_pressure_Pa=resin_pressure(job, window, reading),
        bag_Pa=None if reading is None else reading.absolute_Pa,
        verdict=verdict_of(job, window, reading),
        cautioned=lines((*flags, *cautions.cautions(job, case))),
        assumed=assumptions.assumed(job, case),
        behind=Behind(job, more[0], more[1], window),
        words=told,
        pictures=charts,
    )


def _asked(job: Job, case: Case) -> dict[str, Any]:
    """Return what was asked."""
    return {
        "resin": job.resin.name,
        "resin_title": job.resin.title,
        "process": job.process.name,
        "barometer_Pa": case.barometer_Pa,
        "shop_K": case.shop_K,
        "humidity": case.humidity,
        "reads_with": job.reads_with,
        "finish": case.finish,
        "no_debulk": not job.debulk,
        "void_target": case.void_target,
        "vapour_share": case.vapour_share,
        "confidence": job.confidence,
        "panels": None if case.learnt is None else case.learnt.panels,
    }


def _limited(window: Window, cool: Vapour) -> dict[str, Any]:
    """Return what limits it: what pushes back, how warm it gets, and the gas; cool as it is now."""
    case, course, found = window.case, window.course, window.limits
    spots = {window.debulk_hold, window.setpoint or window.shallowest}
    return {
        "hottest_K": case.hottest_K,
        "hottest_high_K": case.hottest_high_K,
        "cure": _cure(case),
        "limits_Pa": found.safe,
        "nominal_limits_Pa": found.nominal,
        "limiting": found.limiting,
        "partial_pressures_Pa": {**course.hot.partial, "air": case.dissolved_Pa.nominal},
        "bubble_pressure_Pa": (course.hot.nominal, course.hot.high),
        "boils_in_air_K": (
            boiling_point(case, case.barometer_Pa),
            boiling_point(case.but(given_water=0.0), case.barometer_Pa),
        ),
        "water_activity": water_activity(case, case.hottest_K),
        "deepest_if_shut_Pa": if_shut(window),
        "weakest_numbers": weakest_numbers(window),
        "reach_Pa": window.reach_Pa,
        "pump_needs_Pa": window.pump_needs,
        "freed_gas": tuple(
            (p, freed_from(course.known.gas, cool.nominal, p))
            for p in sorted(spots)
            if p > cool.nominal
        ),
    }


def _to_do(window: Window) -> dict[str, Any]:
    """Return what to do: how deep, how weak, and where to hold."""
    opens = window.setpoint is not None and window.debulk is not None
    debulk = max(window.debulk_limit, window.reach_Pa or 0.0)
    return {
        "deepest_Pa": window.deepest,
        "setpoint_Pa": window.setpoint,
        "shallowest_Pa": window.shallowest,
        "debulk_Pa": debulk if opens else None,
        "debulk_limit_Pa": window.debulk_limit,
        "debulk_hold_Pa": window.debulk_hold,
        "debulk_s": window.case.early_s,
        "margin_Pa": window.margin,
        "deepest_no_debulk_Pa": window.deepest_straight,
        "deepest_clear_Pa": deepest_clear(window),
        "deepest_by_tables_Pa": window.by_tables_Pa,
    }


def _ways(job: Job, window: Window | None) -> tuple[WayOut, ...]:
    return ways_out.ways_out(window or window_of(job))


def _influences(job: Job, window: Window | None) -> tuple[Influence, ...]:
    return influences.influences(window or window_of(job))


def _none(_: Job, __: Window | None) -> tuple[()]:
    return ()


OVER_TIME = 13  # points from mixing to the moment the gel holds


def _cure(case: Case) -> Cure | None:
    """Return how the laminate warms and gels, with what the vapour allows at each moment."""
    warming = case.hottest.warming
    if warming is None:
        return None
    base, hot = warming.start_K, warming.hot_K
    widen = (warming.hot_high_K - base) / (hot - base) if hot > base else 1.0
    until = warming.hold_s if math.isfinite(warming.hold_s) else float(warming.run.t[-1])
    hottest = warming.run.T[warming.run.reacts].max(axis=0)
    points = []
    for t in np.linspace(0.0, until, OVER_TIME):
        T = min(float(np.interp(t, warming.run.t, hottest)), hot)
        sure = min(base + max(0.0, T - base) * widen, warming.hot_high_K)
        high = vapour(case, sure).high
        least = max(margin_over(case, high, high, known=True)[1], core_limit(case)[1])
        points.append((float(t), T, least))
    return Cure(
        gel_s=warming.gel_s,
        gel_interval_s=warming.gel_interval_s,
        gel_K=warming.gel_K,
        hold_s=warming.hold_s,
        conversion_at_hottest=warming.hot_conversion,
        peak_K=warming.peak_K,
        peak_s=warming.peak_s,
        over_time=tuple(points),
    )
