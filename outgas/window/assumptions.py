"""What was taken for granted, each with its number."""

import math

from outgas.job.job import AT_HAND, Job
from outgas.laminate.case import Case
from outgas.laminate.course import known_gas
from outgas.laminate.prepreg import drying_K
from outgas.laminate.water import water_activity
from outgas.show.amounts import celsius, duration, mbar
from outgas.show.report import At, Line, lines
from outgas.tables import catalogue
from outgas.window.prepreg import autoclave_pressure, carried_of, is_sealed


def _water_from(job: Job) -> str:
    """Say where the water in the laminate is taken to come from."""
    if job.process.preimpregnated:
        return "the prepreg holds the humidity it was laid up in"
    if any(part.volatile == "water" for part in job.resin.part):
        return "the resin holds water of its own"
    if job.process.pot:
        return "the drum's water, or the shop's humidity if it stood open"
    if job.process.open_to_air:
        return "open resin ends between the drum's water and the shop's humidity"
    return "drum-dry resin, cloth and core as damp as the shop"


def assumptions(job: Job, case: Case) -> tuple[str, ...]:
    """Return what was taken for granted in words, pressures in mbar."""
    return tuple(str(line) for line in assumed(job, case))


def _air(job: Job, case: Case) -> Line:
    """Say how much air is in the resin, and why."""
    p = case.dissolved_Pa
    air = f"air in the resin: {mbar(p.nominal)} mbar, "
    if job.pot is None:
        how = "as given" if job.air_Pa is not None else "stirred in open air, not degassed"
        return Line(air + how)
    return Line(
        f"{air}left by a pot at {{}}, which removes only part of it ({mbar(p.low)} to "
        f"{mbar(p.high)} mbar left; a pot's pressure is not the air's)",
        (At(job.pot.pressure_Pa, plain=True, nearest=True),),
    )


def _gas(job: Job, case: Case) -> list[str]:
    """Say what the gas balance takes for granted, and how surely."""
    table, said = catalogue.gas(), []
    if case.finish == "clear":
        thick = "1 mm of laminate, no layup given" if not job.layup.plies else "this laminate"
        said.append(f"clear to the eye: optical depth {table.look.clear.si:g} through {thick}")
    said.append(f"void target {case.void_target:.1%} of the laminate")
    if not job.layup.plies and not job.process.putty:
        said.append(f"fibre fraction {case.fibre_fraction:.0%}, no layup given")
    trapped, connected, by = case.trapped, case.connected, "estimate"
    if case.learnt is not None and case.learnt.panels:
        known, by = known_gas(case), "by your panels"
        trapped, connected = known.band("trapped"), known.band("connected")
    for what, band, given in (
        ("of the resin's space holds gas that cannot leave", trapped, job.trapped),
        ("of the gas beyond that finds its way out", connected, job.connected),
    ):
        if not case.path_open:
            continue
        how = "as given" if given is not None else f"{band.low:.0%} to {band.high:.0%}, {by}"
        said.append(f"{band.nominal:.0%} {what} ({how})")
    if not case.path_open:
        said.append(
            "no way out for freed gas: "
            + ("the core is not said to be perforated" if job.process.path == "core" else "shut in")
        )
    return said


def _steps(job: Job, case: Case) -> str:
    """Say how long the steps of the job are reckoned to last, by what."""
    warming, process = case.hottest.warming, job.process
    early = case.early_s if process.pressed or (process.debulk and not job.debulk) else 0.0
    low, high = case.hold_ends or (case.hold_s, case.hold_s)
    span = f" ({duration(early + low)} to {duration(early + high)})" if low < high else ""
    cure = f"{duration(early + case.hold_s)}{span} at the cure's pressure"
    if process.filled:
        cure = f"{duration(case.early_s)} of settling with the vent open, {cure}"
    elif process.debulk and job.debulk:
        cure = f"{duration(case.early_s)} of debulk, {cure}"
    by = "as is usual (estimate)"
    if warming is not None and math.isfinite(warming.gel_s):
        by = "up to its gel"
    first = "to mix and fill" if process.filled else "before any vacuum"
    return f"time: {duration(case.cup_s)} {first}, {cure}, {by}"


def _margin(case: Case) -> Line | str:
    """Say what is kept clear of the vapour pressure."""
    margins = catalogue.practice().margins
    if case.vapour_share is not None:
        return f"at most {case.vapour_share:.0%} of a bubble may be vapour, as given"
    if not case.hottest.known:
        return f"at most {margins.vapour_share.si:.0%} of a bubble may be vapour"
    over = margins.vapour_times.si - 1.0
    least = At(margins.vapour_clear.si, off_dial=True, nearest=True)
    return Line(f"kept over the vapour pressure: {over:.0%} of it, {{}} at the least", (least,))


def _dried(job: Job, case: Case) -> str:
    """Say how long prepreg was dried, from what."""
    if not job.dried_s:
        return ""
    before = water_activity(case.but(dried_s=None), case.hottest_K)[1]
    return (
        f"; {before:.2f} when laid up, then {duration(job.dried_s)} under full vacuum at "
        f"{celsius(drying_K(case))} (the upper figure is its slow end)"
    )


def _told_otherwise(job: Job) -> list[str]:
    """Say what was told of this core and of the sheet at hand."""
    said, damp = [], job.layup.core_moisture
    if damp is not None and job.layup.core is not None:
        how = "at least, and what the air gives it" if job.layup.core.wood else "counted as free"
        said.append(f"the core holds {damp:.0%} of water, as given: {how}")
    least = job.resin.minimum_temperature
    if least.source == AT_HAND:
        usual = f", by the table {least.note}" if least.note else ""
        said.append(f"no colder than {celsius(least.si)} by the sheet at hand{usual}")
    return said


def _carried(job: Job, case: Case) -> str:
    """Say how much of the clamp the fibres of a prepreg are taken to carry."""
    share, sealed = carried_of(job, case).share, is_sealed(job)
    why = "the bag is taken to keep the resin in" if job.layup.lets_gas_out is None else "no bleed"
    if not sealed:
        why = "resin can bleed into what lies under the bag"
    return (
        f"the fibre bed carries {share.nominal:.0%} of the clamp ({share.low:.0%} to "
        f"{share.high:.0%}, estimate), the resin the rest: {why}"
    )


def assumed(job: Job, case: Case) -> tuple[Line, ...]:
    """Return what was taken for granted, each with its number."""
    a, a_high = water_activity(case, case.hottest_K)
    found: list[Line | str] = [job.shop.barometer_note, case.hottest.text]
    given = "as given" if job.water is not None else _water_from(job)
    found.append(f"water activity {a:.2f}, up to {a_high:.2f}: {given}{_dried(job, case)}")
    found += _told_otherwise(job)
    if job.process.mixed:
        found.append(_air(job, case))
        e = case.entrained
        span = "as given" if job.entrained is not None else f"{e.low:.1%} to {e.high:.1%}"
        found.append(f"air stirred in: {e.nominal:.1%} by volume ({span})")
        found += (_steps(job, case), *_gas(job, case))
    if job.process.preimpregnated:
        extra = autoclave_pressure(job)
        if extra > 0.0:
            how = "as given" if job.rig.autoclave is not None else "the low end of the usual"
            found.append(f"pressure on the bag: {extra / 1e5:.1f} bar above the air, {how}")
        found.append(_carried(job, case))
    else:
        found.append(_margin(case))
    for part in job.resin.monomers:
        monomer = catalogue.volatile(part.volatile)
        s = monomer.saturation
        if not s.stated_low_K <= case.hottest_K <= s.stated_high_K:
            above = monomer.spread(case.hottest_K)[0]
            found.append(
                f"{monomer.title}: correlation extended beyond its stated range, "
                f"taken up to {above:.0%} higher"
            )
    return lines(found)
