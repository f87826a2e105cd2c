"""What was taken for granted, each with its number."""

from outgas.job.job import Job
from outgas.laminate.case import Case
from outgas.laminate.water import water_activity
from outgas.show.amounts import mbar
from outgas.show.report import At, Line, lines
from outgas.tables import catalogue
from outgas.window.window import autoclave_pressure


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
    if job.pot_Pa is None:
        how = "as given" if job.air_Pa is not None else "stirred in open air, not degassed"
        return Line(air + how)
    return Line(
        f"{air}left by a pot at {{}}, which removes only part of it ({mbar(p.low)} to "
        f"{mbar(p.high)} mbar left; a pot's pressure is not the air's)",
        (At(job.pot_Pa, plain=True, nearest=True),),
    )


def assumed(job: Job, case: Case) -> tuple[Line, ...]:
    """Return what was taken for granted, each with its number."""
    a, a_high = water_activity(case, case.hottest_K)
    found: list[Line | str] = [job.shop.barometer_note, case.hottest.text]
    given = "as given" if job.water is not None else _water_from(job)
    found.append(f"water activity {a:.2f}, up to {a_high:.2f}: {given}")
    if job.process.mixed:
        found.append(_air(job, case))
        e = case.entrained
        span = "as given" if job.entrained is not None else f"{e.low:.1%} to {e.high:.1%}"
        found.append(f"air stirred in: {e.nominal:.1%} by volume ({span})")
        found.append(
            f"void target {case.void_target:.1%}; {case.gas_kept:.0%} of freed gas stays to gel "
            f"({job.process.gas_kept.note or 'estimate'})"
        )
    if job.process.preimpregnated:
        extra = autoclave_pressure(job)
        if extra > 0.0:
            how = "as given" if job.rig.autoclave is not None else "the low end of the usual"
            found.append(f"pressure on the bag: {extra / 1e5:.1f} bar above the air, {how}")
        found.append("the fibre bed carries none of the clamp (no bleed); if it does, less is safe")
    else:
        found.append(f"at most {case.vapour_share:.0%} of a bubble may be vapour")
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
