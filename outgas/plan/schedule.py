"""The window turned into a timed plan: outgas.schedule."""

import math
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.errors import InputError, OutgasWarning, OutOfRangeError
from outgas.job.asking import takes_job
from outgas.job.job import Traces, job_of
from outgas.job.layup import Layup
from outgas.job.learnt import Experienced
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.plan import prepreg
from outgas.plan import processes as lay
from outgas.plan.basis import Ground, ground_of
from outgas.plan.caps import ignitable, near_flash
from outgas.plan.charts import charts
from outgas.plan.history import lived_through, pressures_in_resin
from outgas.plan.plan import Break, Schedule
from outgas.plan.rules import fits_if_gel_after, rules
from outgas.plan.stage import Stage
from outgas.plan.words import told
from outgas.show.amounts import duration
from outgas.show.report import lines
from outgas.tables.materials import Resin
from outgas.window.advise import ASKED_FROM, assemble
from outgas.window.short import by_panels

if TYPE_CHECKING:
    from outgas.units import Measure

BATCH_RANGE_KG = (0.005, 500.0)
TIME_RANGE_S = (10.0, 86400.0)


@takes_job
def schedule(
    resin: str | Path | Resin,
    shop: Shop,
    *,
    process: str | None = "wet layup",
    layup: Layup | None = None,
    rig: Rig | str | None = None,
    batch: "Measure | None" = None,
    wet_out: "Measure | None" = None,
    fill: "Measure | None" = None,
    degas: bool | None = True,
    initiator: Any = None,
    gel_time: "Measure | None" = None,
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
    vapour_share: Any = None,
    confidence: Any = 0.95,
    reads_with: str | None = "dial",
    dried: "Measure | None" = None,
    minimum_temperature: "Measure | None" = None,
    experience: Experienced | None = None,
) -> Schedule:
    """Return a plan for a job, minute by minute, against the gel clock.

    Parameters
    ----------
    resin, shop, process, layup, rig
        As in outgas.advise, a Job too; the layup is needed, but for a degassing pot. Without an
        area, one square metre is planned for.
    batch
        What is mixed in one cup: '1.2 kg', 5 g to 500 kg; what the cloth holds and some to spare
        if not given.
    wet_out, fill
        How long wetting out, or an infusion's fill, takes you: '12 min', 10 s to 24 h; by layers
        and area, or 15 min, if not given.
    degas
        Whether plain resin is degassed first; the cure then stands on what that leaves.
    initiator
        Mass fraction, inside the sheet's range; the sheet's own if not given.
    gel_time
        Of a cup of this batch in this shop, as measured.
    air_pressure, degassed, entrained, water_activity, contaminants, void_target, finish, trapped, \
connected, no_debulk, low_gas_initiator, vapour_share, confidence, reads_with
        As in outgas.advise.
    dried
        How long prepreg is held under full vacuum before its heat: '8 h', '0 h' for not at all; if
        not given, until it passes at the slow end of its drying, and 4 h at the least.
    minimum_temperature, experience
        As in outgas.advise.

    Returns
    -------
    A Schedule: a sequence of Stage with start, duration, pressures, temperature limit, what to
    watch for and why; .fits, .breaks; str(), to_dict(), to_csv().

    Raises
    ------
    RefusedError
        What no advice is given for: see outgas.advise.
    InputError, OutOfRangeError, UnitError
        One line each: what was given and what is allowed.

    Warns
    -----
    OutgasWarning
        For a rule that the plan cannot keep, and for flags of the advice.

    Notes
    -----
    Rules of the clock (common practice, no source): mixing and wet-out end within the pot life of
    the batch, the last change of pressure within 0.7 of the laminate's gel time.

    The pot life is of a cup that warms by its own heat, the gel time of the laminate: the rate law
    of Kamal and Sourour (1973), from memory, k_i = A_i exp(-E_i / (R T)), with heat conduction
    through the layers. Pressures and limits as in outgas.advise.

        dX/dt = s (k_1 + k_2 X^m) (1 - X)^n,  s from 0 to 1 as the inhibitor is used up

    Examples
    --------
    >>> from outgas import Shop
    >>> shop = Shop(temperature="22 degC", humidity="50 %")
    >>> plan = schedule("orthophthalic-polyester", shop, process="degassing")
    >>> plan.fits, [stage.name for stage in plan]
    (True, ['go down slowly', 'hold and stir', 'let up and rest'])
    """
    gas: dict[str, Any] = dict(air_pressure=air_pressure, degassed=degassed, entrained=entrained)
    gas |= dict(trapped=trapped, connected=connected, low_gas_initiator=low_gas_initiator)
    moisture: dict[str, Any] = dict(water_activity=water_activity, contaminants=contaminants)
    sure: dict[str, Any] = dict(vapour_share=vapour_share, confidence=confidence)
    wanted: dict[str, Any] = dict(void_target=void_target, finish=finish, **sure)
    wanted |= dict(no_debulk=no_debulk, reads_with=reads_with)
    rate: dict[str, Any] = dict(initiator=initiator, gel_time=gel_time, hottest=None, dried=dried)
    rate |= dict(minimum_temperature=minimum_temperature, experience=experience)
    job = job_of(
        resin, shop, process=process, layup=layup, rig=rig, **gas, **moisture, **wanted, **rate
    )
    if degas is not None and not isinstance(degas, bool):
        raise InputError(f"degas is {degas!r}; it is True or False")
    ground = ground_of(
        job,
        batch=_inside(batch, "kg", BATCH_RANGE_KG, "batch"),
        wet_out=_inside(wet_out, "s", TIME_RANGE_S, "wet-out"),
        fill=_inside(fill, "s", TIME_RANGE_S, "fill"),
        degas=degas is not False and job.pot is None,
    )
    if job.process.preimpregnated:
        ground = prepreg.in_the_oven(ground)
    found, ground = lay.build(ground)
    _gels(ground)
    breaks = rules(ground, found)
    for broken in breaks:
        warnings.warn(broken.text, OutgasWarning, stacklevel=3)
    return _assembled(ground, found, breaks)


def _gels(ground: Ground) -> None:
    """Refuse a laminate that does not gel in the time that its heat is followed."""
    if ground.warming is not None and not math.isfinite(ground.warming.last_gel_s):
        hours = float(ground.warming.run.t[-1]) / 3600.0
        raise OutOfRangeError(
            f"{ground.job.resin.name}: this laminate does not gel within {hours:.0f} h of heat "
            "followed, so no plan; warm the shop and the tool, or check gel_time in its record"
        )


def _inside(value: Any, unit: str, span: tuple[float, float], name: str) -> float | None:
    if value is None:
        return None
    got = units.positive(value, unit, name)
    if unit == "s":
        units.inside(got / 60, span[0] / 60, span[1] / 60, name, "min")
        return got
    return units.inside(got, *span, name, unit)


# Putting it together --------------------------------------------------------------------------


def _assembled(g: Ground, found: list[Stage], breaks: tuple[Break, ...]) -> Schedule:
    w = g.warming
    advice = assemble(g.job, g.window, None, ways_too=False, asked_from=ASKED_FROM + 1)
    return Schedule(
        resin=g.job.resin.name,
        resin_title=g.job.resin.title,
        resin_record=g.job.resin,
        process=g.job.process.name,
        barometer_Pa=g.here,
        stages=tuple(found),
        breaks=breaks,
        advice=advice,
        batch_kg=g.batch,
        pot_life_s=g.pot_life,
        gel_s=None if w is None else w.gel_s,
        gel_interval_s=None if w is None else w.gel_interval_s,
        fits_if_gel_after_s=None if breaks else fits_if_gel_after(g, found),
        hold_s=None if w is None or not math.isfinite(w.hold_s) else w.hold_s,
        peak_K=None if w is None else w.peak_K,
        peak_s=None if w is None else w.peak_s,
        resin_pressure_Pa=pressures_in_resin(g, found),
        lived=lived_through(g, found),
        air_left_Pa=(g.case.dissolved_Pa.nominal, g.case.dissolved_Pa.high),
        assumed=lines((*by_panels(advice), *_assumed(g), *advice.assumed)),
        cautioned=(*lines((*ignitable(g.job), *_near_flash(g, found))), *advice.cautioned),
        words=told,
        pictures=charts,
    )


def _near_flash(g: Ground, found: list[Stage]) -> tuple[str, ...]:
    """Return the cautions of stages that stand open near a flash point, each once."""
    said = (near_flash(g.job.resin, s.expected_K) for s in found if s.cautions and not s.dry)
    return tuple(dict.fromkeys(text for texts in said for text in texts))


def _assumed(g: Ground) -> list[str]:
    """Return what the plan takes for granted, beside what the advice does."""
    said, c = [], g.clock
    if g.job.layup.plies and g.job.layup.area_m2 is None and not g.job.process.preimpregnated:
        said.append("area: 1 m2, none given")
    if g.job.process.open_to_air:
        how = "as given" if "wet_out" in g.told else "by layers and area (common practice)"
        said.append(f"wet-out: {duration(g.works)}, {how}")
    if g.job.process.filled:
        how = "as given" if "fill" in g.told else "a small part (common practice)"
        said.append(f"fill: {duration(g.works)}, {how}")
    if g.pace is not None and g.warming is not None and not g.job.process.preimpregnated:
        low, high = g.warming.gel_interval_s
        how = "as measured" if g.job.gel_s is not None else "by the sheet"
        said.append(
            f"laminate gels at {duration(g.gel)} ({duration(low)} to {duration(high)}), {how}: try "
            "a cup of this batch in this shop, and give gel_time"
        )
        if low * c.last_change.si < g.gel * c.last_change.si and g.job.gel_s is None:
            said.append(
                f"at the quick end the last change must come by {duration(low * c.last_change.si)}"
            )
    return said
