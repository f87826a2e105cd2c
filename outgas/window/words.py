"""Advice in words for a builder: the answer first, in the units on the dial."""

import math

from outgas.physics.chance import Band
from outgas.show.amounts import (
    celsius,
    duration,
    figures,
    mbar,
    minutes_up,
    two_figures,
    voids_of,
)
from outgas.show.report import At, Block, Later, Line, Report, Table, bound, joined, lines
from outgas.window.advice import Advice
from outgas.window.short import SEE_WAYS, by_panels, expectation, limited_by, short
from outgas.window.ways.influences import Influence
from outgas.window.what_to_do import what_to_do

MOST_INFLUENCES = 4
SHARE_FROM = 1e-3  # below it a share says less than its ratio
SLACK = 1e-6  # so that a whole number is not rounded past itself
SMALLEST_GAS = 0.005  # of the resin's volume, worth naming
WORTH_SAYING_PA = 50.0
_READ = {"dial": "a dial", "water": "boiling water", "none": "a weight or a hole"}
_NAMES = {"air": "air coming out of the resin", "vapour": "vapour", "core": "the core's strength"}


def told(advice: Advice) -> Report:
    """Return the whole advice as lines; the first two are the answer."""
    what_else = "To go deeper" if advice.has_window else "Ways out"
    first, verdict = _instructions(advice), _verdict(advice)
    return Report(
        advice.barometer_Pa,
        (*first, *verdict),
        (
            Block("Why", tuple(why(advice))),
            Block("Assumed", advice.assumed),
            Block("What would change it most", Later(lambda: what_matters(advice))),
            Block("What to do", tuple(what_to_do(advice)), part="do"),
            Block(what_else, Later(lambda: (w.line for w in advice.alternatives)), part="do"),
            Block("Cautions", advice.cautioned),
        ),
        short=short(advice, first, verdict),
        page=(
            Table(("limit", "nominal, mbar", "safe side, mbar"), _limits(advice)),
            Block("", lines([pushing(advice)]), bare=True),
            Block("", advice.cautioned),
        ),
    )


def _limits(advice: Advice) -> tuple[tuple[tuple[Line, ...], ...], ...]:
    return tuple(
        (lines([name]), lines([mbar(advice.nominal_limits_Pa[name])]), (_in_resin(p, unit=""),))
        for name, p in advice.limits_Pa.items()
    )


def _in_resin(pressure: float, *, unit: str = "mbar") -> Line:
    """Return a limit in the resin: on no dial."""
    return Line("{}", (bound(pressure, off_dial=True, unit=unit),))


def _limit(advice: Advice, pressure: float) -> Line:
    """Return a limit that explains: of the bag, where there is one, so on a dial that is chosen."""
    return Line("{}", (bound(pressure, off_dial=not advice.facts.bag_sets_resin),))


def answer(advice: Advice) -> list[Line]:
    """Return the first lines: cure pressure, debulk pressure, and the verdict if there is one."""
    return [*_instructions(advice), *_verdict(advice)]


def _instructions(advice: Advice) -> tuple[Line, ...]:
    """Return cure pressure and debulk pressure, with what is to be expected."""
    tell = {
        "prepreg": _prepreg_answer,
        "pressing": _press_answer,
        "degassing": _pot_answer,
    }.get(advice.facts.told_like, _bag_answer)
    if advice.reach_Pa is not None and advice.pump_needs_Pa is not None:
        return tuple(_weak_pump(advice, advice.reach_Pa, advice.pump_needs_Pa))
    return tuple(tell(advice))


def _verdict(advice: Advice) -> tuple[Line, ...]:
    """Return the verdict, and what a cure at the bag's own pressure should leave."""
    if advice.verdict is None:
        return ()
    whose = "prepreg" if advice.facts.preimpregnated else "bag"
    if advice.pump_needs_Pa is not None:
        whose = "pump"
    said = joined((f"Your {whose}: ", advice.verdict.line, "."))
    if advice.bag_Pa is not None and advice.facts.wet_bag:
        return (said, *_expect_at(advice, advice.bag_Pa))
    return (said,)


def _bag_answer(advice: Advice) -> list[Line]:
    if advice.setpoint_Pa is None:
        return _no_window(advice)
    fill = advice.facts.filled
    weakest, core = At(advice.shallowest_Pa, weaker=False, brief=True), _core_bears(advice)
    hold, deepest = At(advice.setpoint_Pa), At(advice.deepest_Pa, brief=True)
    early, limit = At(advice.debulk_hold_Pa), At(advice.debulk_limit_Pa, brief=True)
    if not advice.deeper_first:
        where = "Fill and hold the vent" if fill else "Cure"
        first = Line(
            f"{where} at {{}}: go there at once, while the resin is thin, and stay.", (hold,)
        )
        second = Line(
            f"Never deeper than {{}}, never weaker than {{}}{core.text}.",
            (deepest, weakest, *core.pressures),
        )
    else:
        does = (
            "Fill at {}; inlet shut, wait until the line runs clear, then let the vent up to {} "
            "for the cure."
            if fill
            else f"Debulk at {{}} for {minutes_up(advice.debulk_s)} or more, while the resin is "
            "thin; when it goes quiet come up and cure at {}."
        )
        first = Line(does, (early, hold))
        second = Line(
            f"Never deeper: {'fill' if fill else 'debulk'} {{}}, cure {{}}; never weaker than "
            f"{{}}{core.text}.",
            (limit, deepest, weakest, *core.pressures),
        )
    return [first, second, *_expect(advice)]


def _expect(advice: Advice) -> list[Line]:
    """Say what the laminate should hold at the setpoint, and what a straight pull may do."""
    voids = advice.expected_voids
    if voids is None:
        return []
    said = Line(expectation(advice, voids))
    if advice.debulk_Pa is None or advice.facts.filled:
        return [said]
    here, straight = advice.barometer_Pa, advice.deepest_no_debulk_Pa
    if straight >= min(here, advice.shallowest_Pa):
        return [joined((said, " With no debulk no vacuum is both safe and tight enough."))]
    return [
        joined((said, " With no debulk: cure no deeper than ", Line("{}", (At(straight),)), "."))
    ]


def _expect_at(advice: Advice, pressure: float) -> list[Line]:
    """Say what a cure at the bag's own pressure should leave."""
    asked = f"{pressure!r} Pa"
    voids = advice.voids_at(asked)
    if voids is None:
        return []
    at = At(pressure, nearest=True, plain=True)
    return [Line(f"Cured at {{}}: expect {voids_of(voids)}, {advice.look_at(asked)}.", (at,))]


def _no_window(advice: Advice) -> list[Line]:
    """Say that no vacuum is safe, why in a builder's terms, and what can be done early."""
    here, infusion = advice.barometer_Pa, advice.facts.filled
    first = f"{'Fill' if infusion else 'Debulk first'} at {{}}, never deeper than {{}}"
    early = (At(advice.debulk_hold_Pa), At(advice.debulk_limit_Pa, brief=True))
    weakest, core = At(advice.shallowest_Pa, weaker=False, brief=True), _core_bears(advice)
    deepest, read = At(advice.deepest_Pa), advice.reads_with
    read = _READ.get(read, f"a {read}")
    if advice.deepest_Pa >= here:
        why = "the resin needs {}, more than the atmosphere has, and the clamp needs {} or deeper"
        deepest = bound(advice.deepest_Pa)
    elif advice.deepest_Pa < advice.shallowest_Pa:
        why = f"the window, from {{}} up to {{}}, is too narrow to hold by {read}"
    else:
        why = "no deeper than {} is safe, and the clamp needs {} or deeper"
    said = Line(
        f"No safe vacuum to cure at as it stands: {why}{core.text}.",
        (deepest, weakest, *core.pressures),
    )
    return [said, _debulk_alone(advice, first, early)]


def _weak_pump(advice: Advice, reach: float, needs: float) -> list[Line]:
    """Say that the pump is what forbids it, and what a better one is for."""
    here, deepest = advice.barometer_Pa, advice.deepest_Pa
    does, asks, use = "clamps", "the clamp", "cure"
    if advice.facts.pot:
        does, asks, use = "degasses", "the pot", "degas"
    elif advice.facts.preimpregnated:
        asks = "prepreg"
    mend = Line("Find the leak, or take a pump that reaches it.")
    if deepest > 0.0:
        reaches = "Find the leak, or take a pump that reaches it"
        text = f"{reaches}; with one, {use} no deeper than {{}}."
        mend = Line(text, (bound(deepest) if deepest >= here else At(deepest),))
    return [
        Line(
            f"No vacuum here {does} enough: this pump is sure of {{}} only, and {asks} needs {{}} "
            "or deeper.",
            (At(reach), At(needs, weaker=False, brief=True)),
        ),
        mend,
    ]


def _debulk_alone(advice: Advice, first: str, early: tuple[At, At]) -> Line:
    """Say where to debulk or fill where no vacuum is safe to cure at, or that there is none."""
    here, said = advice.barometer_Pa, "fill" if advice.facts.filled else "debulk"
    if advice.debulk_hold_Pa >= here:
        need = f"and none between that and the air can be held. {SEE_WAYS}"
        return Line(
            f"No vacuum to {said} at either: no deeper than {{}} is safe, {need}", early[1:]
        )
    if advice.behind.straight_only:
        return Line(SEE_WAYS if advice.no_debulk else f"A debulk does not mend that. {SEE_WAYS}")
    return Line(f"{first}, while the resin is thin, helps but is not enough. {SEE_WAYS}", early)


def _core_bears(advice: Advice) -> Line:
    """Say what the core bears, where it is what limits."""
    if advice.limiting != "core":
        return Line("")
    bears = advice.barometer_Pa - advice.limits_Pa["core"]
    said = "; this core bears about {} of clamp"
    return Line(said, (bound(bears, weaker=False, off_dial=True),))


def _prepreg_answer(advice: Advice) -> list[Line]:
    weakest = At(advice.shallowest_Pa, weaker=False)
    if advice.setpoint_Pa is None:
        return [
            Line(
                "No safe vacuum for this core: it crushes beyond {}; prepreg needs {}.",
                (At(advice.deepest_Pa), weakest),
            ),
            Line("Take a stronger core."),
        ]
    deep = At(advice.setpoint_Pa)
    return [
        Line(
            "Cure at full vacuum, {}, and never weaker than {}: wet prepreg is no reason "
            "to let up.",
            (deep, weakest),
        ),
        Line("Debulk at full vacuum, {}, every few plies: that is how the air leaves.", (deep,)),
    ]


def _pot_answer(advice: Advice) -> list[Line]:
    deepest, weakest = At(advice.deepest_Pa), At(advice.shallowest_Pa, weaker=False)
    if advice.setpoint_Pa is None:
        return [
            Line(
                "No useful vacuum to degas at: it may boil deeper than {}, and weaker than {} "
                "takes out too little.",
                (deepest, weakest),
            ),
            Line("There is no debulk in a pot. See the ways out."),
        ]
    return [
        Line(
            "Degas at {}: never deeper than {}, and weaker than {} is not worth the time.",
            (At(advice.setpoint_Pa), deepest, weakest),
        ),
        Line("There is no debulk in a pot: seed it, stir it, and stop when the froth has fallen."),
    ]


def _press_answer(advice: Advice) -> list[Line]:
    needs = bound(advice.deepest_Pa, off_dial=True)
    if advice.setpoint_Pa is None:
        more = bound(advice.deepest_Pa - advice.barometer_Pa, off_dial=True)
        return [
            Line(
                "No safe cure in a press that leaves the resin at the atmosphere: it needs "
                "{}, so {} of press in the resin itself.",
                (needs, more),
            ),
            Line("No vacuum, so no debulk pressure."),
        ]
    has = bound(advice.resin_pressure_Pa, weaker=False, off_dial=True, unit="")
    return [
        Line(
            "Cure with no vacuum, {}, in the press: the resin needs {} and has at least {}.",
            (At(advice.setpoint_Pa), needs, has),
        ),
        Line("No vacuum, so no debulk pressure: close slowly so that trapped air can run out."),
    ]


def why(advice: Advice) -> list[Line]:
    """Return what limits it, what pushes back, and what the gas comes to."""
    nominal = advice.nominal_limits_Pa[advice.limiting]
    safe = advice.limits_Pa[advice.limiting]
    others = (joined((f"{x} ", _in_resin(p, unit=""))) for x, p in advice.limits_Pa.items())
    found = [
        joined(
            (
                f"Limited by {limited_by(advice, _NAMES)}: {mbar(nominal)} mbar nominal, ",
                *(_in_resin(safe), f" on the safe side ({advice.confidence:.0%}). All three "),
                *("limits, mbar: ", joined(others, ", "), "."),
            )
        ),
        *by_panels(advice),
        Line(pushing(advice)),
    ]
    freed = [(p, volume) for p, volume in advice.freed_gas if volume >= SMALLEST_GAS]
    if freed and advice.facts.bag_sets_resin:
        sizes = joined(
            (
                joined((f"{two_figures(v)} times its own volume at ", _limit(advice, p)))
                for p, v in freed
            ),
            " and ",
        )
        found.append(joined(("If none of it could leave, the resin would free ", sizes, ".")))
    if advice.cure is not None:
        found.append(warming(advice))
    if advice.facts.wet_bag:
        found += _gas(advice)
    return found


def _gas(advice: Advice) -> list[Line]:
    """Return what clear takes, what a debulk brings, and which numbers of the gas are weakest."""
    clear = advice.deepest_clear_Pa
    found = []
    if advice.finish != "clear":
        found.append(
            joined(
                (
                    "For a laminate clear to the eye ",
                    _limit(advice, clear),
                    f"{clear_needs(advice)}.",
                )
            )
        )
    if advice.weakest_numbers:
        numbers = joined(
            (
                joined((f"{name} ({_span(band)}) adds up to ", _in_resin(by)))
                for name, band, by in advice.weakest_numbers
            ),
            ", ",
        )
        found.append(joined(("Weakest numbers here: ", numbers, "; your own panels show them.")))
    return found


def _span(band: Band) -> str:
    """Say a number of the gas and its range: as it is, or as multiples where it is tiny."""
    if band.high <= 1.0 and band.nominal > SHARE_FROM:
        return f"{band.nominal:.3g}, {band.low:.3g} to {band.high:.3g}"
    return f"{band.low / band.nominal:.2g} to {band.high / band.nominal:.2g} times what is taken"


def warming(advice: Advice) -> Line:
    """Return how the laminate warms, gels and peaks, and what that asks of the vacuum."""
    cure = advice.cure
    if cure is None:
        return Line("")
    low, high = cure.gel_interval_s
    holds = "at no time followed"
    if math.isfinite(cure.hold_s):
        holds = f"at {duration(cure.hold_s, hours=False)}"
    first, last = cure.over_time[0][2], cure.over_time[-1][2]
    asks: tuple[Line | str, ...] = (
        *("The vapour alone asks for ", _limit(advice, first), " when mixed and "),
        *(_limit(advice, last), " when the gel holds: set once, it must be set for the end."),
    )
    if advice.limits_Pa["core"] >= first:  # what is asked for at a moment covers the core as well
        asks = ("The core asks for ", _limit(advice, first), " all the while")
        asks += (
            (", the vapour for ", _limit(advice, last), " in the end.") if last > first else (".",)
        )
    return joined(
        (
            f"It gels at {duration(cure.gel_s, hours=False)} ({low / 60:.0f} to {high / 60:.0f}), "
            f"then {celsius(cure.gel_K)}; the gel holds a bubble {holds}; the peak is "
            f"{celsius(cure.peak_K)} at {duration(cure.peak_s, hours=False)}. ",
            *asks,
        )
    )


def clear_needs(advice: Advice) -> str:
    """Say what clear takes where a bag cannot give it."""
    if advice.deepest_clear_Pa <= advice.shallowest_Pa:
        return ""
    return ", which no bag here clamps at: degas well, or press"


def pushing(advice: Advice) -> str:
    """Return the partial pressures side by side, the hardest first, and who is to blame."""
    ranked = sorted(advice.partial_pressures_Pa.items(), key=lambda item: -item[1])
    text = ", ".join(f"{name} {figures(p / 100, 3)}" for name, p in ranked if p >= 1.0)
    first = ranked[0][0]
    blame = {
        "air": "air pushes hardest, and it is there at any temperature",
        "water": "water pushes hardest, and it comes from the air of the shop",
    }.get(first, f"{first} pushes hardest")
    if first == "air" and advice.limiting == "vapour":
        vapours = {name: p for name, p in advice.partial_pressures_Pa.items() if name != "air"}
        blame = f"what limits is the vapour, most of it {max(vapours, key=lambda n: vapours[n])}"
    if advice.limiting == "core":
        blame = "none of it decides here: what limits is the core, and what it bears"
    return f"Pushing back at {celsius(advice.hottest_K)}, mbar: {text}; {blame}."


def what_matters(advice: Advice) -> list[Line]:
    """Return the inputs that move the answer most."""
    what = {"prepreg": "the water's pressure", "degassing": "the limit"}.get(
        advice.facts.told_like, "the cure limit"
    )
    return [
        joined((f"{i.text}: {what} ", _moves(i)))
        for i in advice.influences[:MOST_INFLUENCES]
        if abs(i.change_Pa) >= WORTH_SAYING_PA
    ]


def _moves(influence: Influence) -> Line:
    """Say how a limit moves: by no less than it may rise, by no more than it falls."""
    change = influence.change_Pa
    by = bound(abs(change), weaker=change > 0.0, off_dial=True)
    if influence.argument == "barometer":  # it moves the air that a dial counts from
        way = "nearer to" if change > 0.0 else "further from"
        return Line(f"comes {{}} {way} the air's pressure", (by,))
    return Line("rises by {}" if change > 0.0 else "falls by {}", (by,))
