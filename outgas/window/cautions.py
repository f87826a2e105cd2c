"""What must be said beside a number: cautions that apply, and flags."""

import functools

from outgas.job.job import Job
from outgas.laminate.case import Case
from outgas.laminate.course import Course, target_of
from outgas.laminate.vapour import Vapour
from outgas.physics import saturation
from outgas.show.amounts import celsius, duration, voids_of
from outgas.show.caution import Caution, Harm
from outgas.show.report import At, Line, bound, lines
from outgas.tables import catalogue
from outgas.tables.materials import Resin
from outgas.window.window import Window, shut_pressure

LONGEST_NAME = 13  # columns, for a caution's short line
WORKING_RANGE_K = (278.15, 313.15)  # where a flammable-limit temperature is worth naming


def lower_flammable_temperature(case: Case) -> tuple[str, float] | None:
    """Return the monomer whose vapour reaches its lower flammable limit coolest, and where [K]."""
    return _flammable_from(case.resin, case.barometer_Pa)


@functools.lru_cache(maxsize=256)
def _flammable_from(resin: Resin, barometer_Pa: float) -> tuple[str, float] | None:
    best: tuple[str, float] | None = None
    for part in resin.monomers:
        monomer = catalogue.volatile(part.volatile)
        if monomer.lower_flammable_limit is None:
            continue
        curve = monomer.curve
        wanted = monomer.lower_flammable_limit.si * barometer_Pa
        if wanted <= saturation.pressure(curve, curve[0].T_low):
            T = curve[0].T_low
        else:
            T = float(saturation.temperature(curve, wanted))
        if best is None or best[1] > T:
            best = (monomer.title, T)
    return best


NO_GLASS = Caution(
    "no glass, food jars or crazed plastic under vacuum, they implode; no mercury",
    Harm.INJURES,
    "no glass or crazed plastic under vacuum: it implodes",
)
HANDS = Caution(
    "keep hands off a vacuum inlet; catch pot before the pump",
    Harm.INJURES,
    "hands off a vacuum inlet; catch pot before the pump",
)
SHEET = Caution(
    "the safety data sheet, local rules and licensed practice stand above this advice",
    Harm.REMINDS,
    "the safety data sheet and local rules stand above this",
)
_MIXED = (
    Caution(
        "never degas resin in bulk once initiator or hardener is in: it runs away",
        Harm.BURNS,
        "never degas mixed resin in bulk: it runs away",
    ),
    Caution(
        "spread left-over mixed resin and soaked breather outdoors until cold; "
        "in a bin they catch fire",
        Harm.BURNS,
        "left-overs outdoors until cold: in a bin they burn",
    ),
)


def named_in_brief(volatile: str, does: str) -> str:
    """Say in one short line what a vapour does, by name where the name is short.

    >>> named_in_brief("styrene", "burns: no sparks")
    'styrene vapour burns: no sparks'
    """
    whose = volatile if len(volatile) <= LONGEST_NAME else "the monomer's"
    return f"{whose} vapour {does}"


def cautions(job: Job, case: Case) -> tuple[str, ...]:
    """Return the cautions that apply, the ones that can hurt first."""
    found = _of_the_initiator(job.resin)
    if job.process.preimpregnated:
        text = "oven and autoclave: follow the maker's cure cycle and the vessel's licence"
        found.append(Caution(text, Harm.INJURES, "oven, autoclave: the maker's cycle, its licence"))
    else:
        found += _MIXED
    flammable = lower_flammable_temperature(case)
    if flammable is not None:
        name, T = flammable
        where = f"from {celsius(T)}" if WORKING_RANGE_K[0] < T else "even in a cold shop"
        found.append(
            Caution(
                f"{name} vapour over the liquid can burn {where}, and harms well below that: "
                "ventilate, wear the mask its sheet names, pump exhaust outdoors, no sparks",
                Harm.FUMES,
                named_in_brief(name, "burns and harms: mask, no sparks"),
            )
        )
    if job.process.bagged or job.process.pot:
        found.append(NO_GLASS)
    if job.process.wet_bag or job.process.pot:
        found.append(HANDS)
    if job.process.pressed:
        text = "block the press: what is lifted can fall; keep hands and face clear"
        found.append(Caution(text, Harm.INJURES, "block the press; keep hands and face clear"))
    found += _of_the_resin(job.resin)
    found.append(SHEET)
    return tuple(found)


def _of_the_initiator(resin: Resin) -> list[str]:
    """Return the cautions that a peroxide brings with it, and its promoter."""
    found = list[str]()
    peroxide = resin.initiator == "peroxide"
    if peroxide and resin.promoter:
        found.append(
            Caution(
                "promoter into the resin first, stir, peroxide last: never the two together, "
                "they explode; keep peroxide from acetone, rust and dust",
                Harm.EXPLODES,
                "promoter first, peroxide last: together they explode",
            )
        )
    elif peroxide:
        found.append(
            Caution(
                "peroxide goes in last; keep it from promoters, acetone, rust and dust",
                Harm.EXPLODES,
                "peroxide last; keep it from promoters, acetone, rust",
            )
        )
    if peroxide:
        text = "initiator never below or above the range on the resin's sheet"
        found.append(Caution(text, Harm.SPOILS, "initiator only within the range on its sheet"))
    return found


_OF_A_FAMILY = {
    "polyurethane": Caution(
        "isocyanate can make you allergic for life: read its sheet, full protection",
        Harm.POISONS,
        "isocyanate: allergic for life; full protection",
    ),
    "phenolic": Caution(
        "phenol burns through gloves and skin, formaldehyde comes off: read its sheet",
        Harm.POISONS,
        "phenol burns through gloves and skin: read its sheet",
    ),
    "epoxy": Caution(
        "amine hardeners burn and make skin allergic: gloves, no skin contact",
        Harm.POISONS,
        "hardeners burn and make allergic: gloves, no contact",
    ),
}


def _of_the_resin(resin: Resin) -> list[str]:
    """Return the cautions that a family of resins, or this one, brings with it."""
    found: list[str] = [_OF_A_FAMILY[resin.family]] if resin.family in _OF_A_FAMILY else []
    if resin.reaction_gas:
        text = f"this resin makes gas of its own ({resin.reaction_gas}): {resin.note}"
        found.append(Caution(text, Harm.SPOILS, f"this resin makes gas: {resin.reaction_gas}"))
    return found


def flags(job: Job, case: Case, window: Window, cool: Vapour) -> tuple[Line, ...]:
    """Return warnings about this case that stop short of a refusal."""
    found: list[Line | str] = []
    core = job.layup.core
    warming = case.hottest.warming
    warmest = case.hottest_K if warming is None else max(case.hottest_K, warming.peak_K)
    if core is not None and warmest > core.maximum_temperature.low_si:
        found.append(
            f"{core.title} softens near {celsius(core.maximum_temperature.si)} and this "
            f"laminate may reach {celsius(warmest)}: thinner, or in stages"
        )
    if warming is not None:
        from outgas.laminate.runaway import runaway  # loaded already, where there is a warming

        beyond = runaway(job, warming)
        if beyond is not None:
            short = "this laminate may run away: it smokes, cracks, burns"
            found.append(Caution(str(beyond), Harm.BURNS, short))
        found += _gels_first(case, warming.gel_s)
    found += _gas_flags(job, case, window)
    if job.pot is not None and job.pot.pressure_Pa < cool.high:
        found.append(
            Line(
                "a pot at {} may have boiled the resin (from {}): monomer lost, so the cure may "
                "be off",
                (At(job.pot.pressure_Pa, plain=True, nearest=True), bound(cool.high)),
            )
        )
    ultimate = job.rig.pump_ultimate
    if ultimate is not None and ultimate > window.debulk_limit and job.process.bagged:
        pumped = (At(ultimate, plain=True, nearest=True),)
        found.append(Line("this pump's {} is weaker than the debulk could use", pumped))
    for volatile, fraction in case.contaminants:
        found.append(f"{fraction:.1%} of {volatile.title} counted in: get it out of the rollers")
        if core is not None and core.polystyrene and volatile.dissolves_polystyrene:
            found.append(f"{volatile.title} attacks {core.title}")
    return lines(found)


def gels_first(case: Case, gel_s: float) -> bool:
    """Return whether a laminate gels before its early step can be over: no pressure helps then."""
    return gel_s <= case.cup_s + case.early_s


def _gels_first(case: Case, gel_s: float) -> list[Caution]:
    """Say where a laminate gels before it is closed and quiet, and what to do about it."""
    if not gels_first(case, gel_s):
        return []
    ready = case.cup_s + case.early_s
    return [
        Caution(
            f"this laminate gels about {duration(gel_s)} after mixing, and is not laid up, closed "
            f"and rid of its gas before {duration(ready)}: cooler, in smaller pieces, or with a "
            "slower resin",
            Harm.SPOILS,
            "gels before it is closed and quiet: smaller, slower, cooler",
        )
    ]


def _gas_flags(job: Job, case: Case, window: Window) -> list[Line | str]:
    """Return what the initiator gives off, and what an infusion left deep would hold."""
    course, hold, found = window.course, window.setpoint, list[Line | str]()
    if hold is None or case.process.gas_leaves:
        return found
    target = target_of(case)
    if course.made is not None:
        voids = course.voids(hold, target)
        if voids.high > case.void_target:
            found.append(
                f"its peroxide gives off oxygen in a vinyl ester: expect {voids_of(voids)}, fine "
                f"ones, that no vacuum takes away; a low-gas "
                "initiator by the resin's sheet, or let the mixed cup stand while its gel time "
                "allows"
            )
    if case.process.filled and course.early_Pa is not None:
        found += _left_otherwise(job, case, course, course.early_Pa)
    return found


def _left_otherwise(job: Job, case: Case, course: Course, fill: float) -> list[Line | str]:
    """Return what an infusion would hold, not let up or shut too soon, where that is too much."""
    found: list[Line | str] = []
    deep = float(course.outcome(fill).void_fraction(case.fibre_fraction))
    if job.pot is None and job.air_Pa is None and deep > case.void_target:
        text = (
            "not degassed: left at the fill's {} to the gel it would hold about "
            f"{deep:.0%} of fine voids, often accepted where nothing hangs on them; bring "
            "the vent up in time"
        )
        found.append(Line(text, (At(fill, plain=True),)))
    at = shut_pressure(job, fill)
    kept = course.straight.but(path_open=False).outcome(at).void_fraction(case.fibre_fraction)
    if float(kept) > case.void_target:
        text = (
            f"both ends shut before the line runs clear it comes to {{}} and holds about "
            f"{float(kept):.0%} of voids: inlet shut first, vent open"
        )
        found.append(Line(text, (At(at, plain=True),)))
    return found
