"""An advice in a few lines: what to set, what never to pass, what to expect, what limits.

A line here leaves out what explains, and says nothing that the full advice does not. What is
dangerous about a bag that was told of stands first.
"""

from outgas.physics.chance import Band
from outgas.show.amounts import celsius, duration, mbar, minutes_up, voids_of
from outgas.show.report import At, Brief, Line, Short, bound, joined
from outgas.window.advice import Advice
from outgas.window.cautions import gels_first

UNMOVED_Pa = 50.0  # half a millibar: what moves less is told as not moved
SEE_WAYS = "See the ways out."
_LIMITED = {
    "air": "air coming out of the resin",
    "vapour": "vapour",
    "core": "what the core bears",
}


def short(advice: Advice, answer: tuple[Line, ...], verdict: tuple[Line, ...]) -> Short:
    """Return the advice in a few lines; answer and verdict are those of the full one."""
    first = _set(advice) if _is_held(advice) else answer
    unsafe = advice.verdict is not None and not advice.verdict.safe
    rest: tuple[Line, ...] = ()
    if advice.pump_needs_Pa is not None:
        verdict = ()  # the first line says it
        rest = best_way(advice)
    elif advice.setpoint_Pa is None:
        rest = tuple(line for line in first[1:] if line.text != SEE_WAYS)
        first = (first[0], *best_way(advice))
    must = (*verdict, *first) if unsafe else (*first, *verdict)
    return Short(must, (*rest, *_more(advice)))


def _is_held(advice: Advice) -> bool:
    """Tell whether it is a bag, held between two pressures, with a window for it."""
    return (
        advice.setpoint_Pa is not None
        and advice.pump_needs_Pa is None
        and advice.facts.told_like not in ("prepreg", "pressing", "degassing")
    )


def _set(advice: Advice) -> tuple[Line, ...]:
    """Return where to set the bag, in the order of time, and the bounds."""
    fill, hold = advice.facts.filled, advice.setpoint_Pa or 0.0
    at = Brief(hold, absolute=True)
    weakest = Brief(advice.shallowest_Pa, weaker=False, named=False)
    if not advice.deeper_first:
        where = "Fill and hold the vent" if fill else "Cure"
        first = Line(f"{where} at {{}}: there at once, while the resin is thin, and stay.", (at,))
        second = Line(
            "Never deeper than {}; never weaker than {}.", (Brief(advice.deepest_Pa), weakest)
        )
        return (first, second, *_core(advice))
    early = Brief(advice.debulk_hold_Pa, absolute=True)
    limit = Brief(advice.debulk_limit_Pa, named=False)
    deepest, least = Brief(advice.deepest_Pa), minutes_up(advice.debulk_s)
    if fill:
        first = Line("Fill at {}, then let up and cure at {}.", (early, at))
        how = f"Inlet shut, {least} or more, until the line runs clear; vent up while it is thin."
    else:
        first = Line("Debulk at {}, then come up and cure at {}.", (early, at))
        how = f"Debulk {least} or more, until it is quiet; come up before the resin thickens."
    second = Line(
        f"Never deeper: {'fill' if fill else 'debulk'} {{}}, cure {{}}; never weaker than {{}}.",
        (limit, deepest, weakest),
    )
    return (first, second, *_core(advice), Line(how))


def _core(advice: Advice) -> tuple[Line, ...]:
    """Say what the core bears, where it is what limits."""
    if advice.limiting != "core":
        return ()
    bears = advice.barometer_Pa - advice.limits_Pa["core"]
    return (Line("This core bears about {} of clamp.", (_off(bears, weaker=False),)),)


def _off(pressure: float, *, weaker: bool = True) -> At:
    return bound(pressure, weaker=weaker, off_dial=True)


def best_way(advice: Advice) -> tuple[Line, ...]:
    """Return the best way out where no vacuum is safe, or that there is none alone."""
    ways = advice.alternatives
    if not ways:
        return ()
    best = ways[0]
    if not best.opens:
        return (joined(("No one change opens a window; what helps most: ", best.line, ".")),)
    return (joined(("Best way out: ", best.line, ".")),)


def _more(advice: Advice) -> list[Line]:
    """Return what there may be room for, what matters most first."""
    found: list[Line] = []
    if advice.cure is not None and gels_first(advice.behind.window.case, advice.cure.gel_s):
        gel = duration(advice.cure.gel_s)
        found.append(Line(f"It gels about {gel} after mixing: before it is closed and quiet."))
    if advice.setpoint_Pa is not None and advice.facts.wet_bag:
        found += _expected(advice)
    found += by_panels(advice)
    found.append(_limit(advice))
    if advice.facts.wet_bag and advice.weakest_numbers:
        name, band, by = advice.weakest_numbers[0]
        span = (
            f"{band.low / band.nominal:.2g} to {band.high / band.nominal:.2g} times what is taken"
        )
        found.append(Line(f"Weakest number: {name}, {span}; it adds up to {{}}.", (_off(by),)))
    if not advice.facts.pot:
        found.append(Line(f"Hottest moment: {_hottest(advice)}."))
    found += [joined(("Beware: ", line, ".")) for line in advice.cautioned if line.harm is None]
    return found


def by_panels(advice: Advice) -> list[Line]:
    """Say how many of the shop's own panels it rests on, and by how much they moved it."""
    before, now = advice.deepest_by_tables_Pa, advice.deepest_Pa
    if advice.panels is None or before is None:
        return []
    if advice.panels == 0:
        return [Line("By none of your panels: none was of this resin family, process and cloth.")]
    whose = f"By {advice.panels} of your panels" if advice.panels > 1 else "By one of your panels"
    if abs(before - now) < UNMOVED_Pa:
        return [Line(f"{whose}: they leave the limit where the tables have it.")]
    deeper = "deeper" if now < before else "less deep"
    at = bound(abs(before - now), off_dial=True, weaker=now > before)
    return [Line(f"{whose}: the limit lies {{}} {deeper} than by the tables.", (at,))]


def _hottest(advice: Advice) -> str:
    """Say how warm it is taken to get, and where no layup stands behind it."""
    warm, high = (celsius(T) for T in (advice.hottest_K, advice.hottest_high_K))
    said = warm if high == warm else f"{warm} expected, {high} allowed for"
    return f"{said}, a stated rise: no layup given" if advice.behind.warmth_stated else said


def _expected(advice: Advice) -> list[Line]:
    """Say what the laminate should hold at the setpoint, and what a straight pull may do."""
    voids = advice.expected_voids
    if voids is None:
        return []
    found = [Line(expectation(advice, voids))]
    if advice.debulk_Pa is None or advice.facts.filled or not advice.deeper_first:
        return found
    straight = advice.deepest_no_debulk_Pa
    if straight >= min(advice.barometer_Pa, advice.shallowest_Pa):
        return [*found, Line("With no debulk no vacuum is both safe and tight enough.")]
    at = Brief(straight, absolute=True)
    return [*found, Line("With no debulk: cure no deeper than {}.", (at,))]


def expectation(advice: Advice, voids: Band) -> str:
    """Say the voids at the setpoint, and what makes them more than was aimed for."""
    more = voids.high > advice.void_target and advice.behind.makes_gas
    why = "; the more by its peroxide's gas, which no vacuum takes away" if more else ""
    return f"Expect {voids_of(voids)}, {advice.look}{why}."


def limited_by(advice: Advice, names: dict[str, str]) -> str:
    """Say what limits it, by what each criterion is called: its peroxide's gas counts as air."""
    name = names[advice.limiting]
    if advice.limiting == "air" and advice.behind.makes_gas:
        return f"{name} and its peroxide's gas"
    return name


def _limit(advice: Advice) -> Line:
    """Say what limits it, nominal and on the safe side."""
    nominal, safe = (
        found[advice.limiting] for found in (advice.nominal_limits_Pa, advice.limits_Pa)
    )
    by, sure = limited_by(advice, _LIMITED), f"{advice.confidence:.0%}"
    text = f"Limited by {by}: {mbar(nominal)} mbar nominal, {{}} on the safe side ({sure})."
    return Line(text, (_off(safe),))
