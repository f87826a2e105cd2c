"""The stages of each process, laid out on one clock: when, how deep, what to watch for, why."""

import dataclasses
from collections.abc import Callable

from outgas.plan.basis import Ground, Pressures
from outgas.plan.bleed import bleed_times
from outgas.plan.caps import Lasts, boil_cap
from outgas.plan.prepreg import prepreg
from outgas.plan.stage import HOLD_AND_STIR, Stage
from outgas.plan.steps import (
    DRUM_TIGHT,
    Timeline,
    cure,
    degas,
    dry_test,
    head_space,
    in_order,
    life_of,
    mix,
    mix_cautions,
)
from outgas.show.report import At, Line, joined
from outgas.window.window import shut_pressure

QUICK_S = 10.0  # a bleed quicker than this is not waited for


def build(g: Ground) -> tuple[list[Stage], Ground]:
    """Return the stages of the process asked for, and the ground they were laid on."""
    makers: dict[str, Callable[[Ground], tuple[list[Stage], Ground]]] = {
        "wet layup": _bagged,
        "core bonding": _bagged,
        "infusion": _infused,
        "pressing": _pressed,
        "degassing": _pot,
        "prepreg": prepreg,
    }
    return makers[g.job.process.told_like](g)


# Wet lay-up and core bonding ------------------------------------------------------------------


def _bagged(g: Ground) -> tuple[list[Stage], Ground]:
    c = g.clock
    early = Timeline(g, mixed=False)
    dry_test(g, early, "tape, table and film proved before any resin is open")
    if g.degas:
        degas(g, early)
    line = Timeline(g)
    first = c.mix.si + g.works
    reach = first + c.bag.si + c.leak_check.si
    mix(g, line, first, reach + (c.debulk_least.si if g.debulks else 0.0))
    _laid_up(g, line, first, reach)
    deep = g.debulk.hold if g.debulks else g.cure.hold
    shallow = g.cure.hold if g.cure.hold < g.here else deep
    line.add(
        "leak check, wet",
        c.leak_check.si,
        Pressures(deep, max(deep, shallow), g.here),
        f"hose pinched a minute: the film stays tight; press the tape all round; {DRUM_TIGHT}",
        "the seal was opened to lay up, so it is proved again, shortly: the gel does not wait; "
        "vapour of the resin looks like a small leak",
        vacuum=deep < g.here,
    )
    if g.debulks:
        _debulk(g, line)
    cure(g, line)
    return in_order(early, line)


def _debulk(g: Ground, line: Timeline) -> None:
    """Add the deep pull while the resin is thin, as long as the balance of its gas counts on."""
    line.add(
        "debulk",
        g.case.early_s,
        g.debulk,
        "go down slowly, it froths. Bubbles run to the edges and stop: quiet, go on. Spots on the "
        "breather even, 5 to 10 mm (common practice, no source): good; when they merge, back off "
        "at once. A hiss is a leak; bubbles that never stop are the resin boiling: back off until "
        "they do",
        "pull deep while it is thin and gas can leave: it connects and runs out, and what is left "
        "dissolves again when you come up; the pressure in the resin falls from the air's to the "
        f"bag's as it bleeds, {_bleed_words(g)}",
        kind="debulk",
    )


def _laid_up(g: Ground, line: Timeline, first: float, reach: float) -> None:
    """Add wetting out and bagging, which end first and before reach [s] from mixing."""
    c, core = g.clock, g.job.process.bonds_core
    line.add(
        "bed the core" if core else "wet out",
        g.works,
        g.free,
        "every strand clear and dark, no white, no pools; roll from the middle out"
        + (", resin up through the core's holes" if core else ""),
        f"what is not wetted now stays white; must end within the pot life of {life_of(g)}",
        kind="wet out",
        vacuum=False,
        open_face=True,
        lasts=Lasts(cup=first),
    )
    line.add(
        "bag",
        c.bag.si,
        g.free,
        "peel ply, perforated film, breather to the hose; film down, pleats at the corners",
        "bridged corners lift resin off the cloth: leave film enough",
        vacuum=False,
        open_face=True,
        lasts=Lasts(gel=reach / c.last_change.si, laid=reach),
    )


def _bleed_words(g: Ground) -> str:
    low, high = bleed_times(g)
    if high < QUICK_S:
        return "which this cloth lets it do within seconds: the holes of the film set the pace"
    return (
        f"through this cloth within {max(low, 1.0):.0f} to {high:.0f} s, longer by the film's holes"
    )


# Infusion ---------------------------------------------------------------------------------------


def _infused(g: Ground) -> tuple[list[Stage], Ground]:
    early = _pulled_dry(g)
    if g.degas:
        degas(g, early)
    line = Timeline(g)
    _filled(g, line)
    up = "the setpoint" if g.cure.hold < g.here else "the air, slowly"
    line.add(
        "let the vent up",
        g.clock.leak_check.si,
        Pressures(g.cure.low, g.cure.hold, g.cure.high),
        f"{'the vent' if g.debulks else 'inlet clamped first, then the vent'} let up to {up}; no "
        "air drawn back in",
        "what gas is left dissolves again and stays dissolved. The vent's hold is the setpoint; "
        "both ends shut before this would keep the gas in",
    )
    cure(g, line)
    line.stages = [_clamp_note(s) if s.kind == "exotherm" else s for s in line.stages]
    return in_order(early, line)


def _pulled_dry(g: Ground) -> Timeline:
    """Return what comes before any resin: the dry bag, and its test for leaks."""
    early = Timeline(g, mixed=False)
    early.add(
        "pull the dry bag",
        g.clock.bag.si,
        g.dry,
        "the film creeps into every corner; pleats pulled in while they still can be",
        "dry cloth holds water and air: as deep as pump and core allow, nothing in it can boil",
        dry=True,
    )
    dry_test(g, early, "nothing mends a leak once resin is in")
    return early


def _filled(g: Ground, line: Timeline) -> None:
    """Mix, fill, and keep the vent open while the gas can still leave."""
    c = g.clock
    settles = g.case.early_s if g.debulks else 0.0
    mix(g, line, c.mix.si + g.works, c.mix.si + g.works + settles + c.leak_check.si)
    line.add(
        "fill",
        g.works,
        g.debulk,
        "an even front, no racing along edges, no white behind it. Froth at the vent: come up. "
        "Too fast leaves dry strands: pinch the feed",
        f"deep enough to draw, clear of the boil at the present temperature; must end within the "
        f"pot life of {life_of(g)}",
        kind="fill",
        limit=boil_cap(g.case, g.debulk.hold),
        open_face=True,  # in its bucket
        lasts=Lasts(cup=c.mix.si + g.works),
    )
    if g.debulks:
        line.add(
            "inlet shut, vent open",
            g.case.early_s,
            g.debulk,
            "inlet clamped first. The line from the vent runs full of froth, then clear: clear, go "
            "on. A vent that keeps boiling: come up until it stops",
            Line(
                "the resin comes to the vent's pressure within minutes, so its gas connects and "
                "leaves by the mesh: now, while it is thin. Both ends shut sooner, it comes to "
                "about {} and keeps its gas",
                (At(shut_pressure(g.job, g.debulk.hold), plain=True),),
            ),
            kind="debulk",
        )


def _clamp_note(stage: Stage) -> Stage:
    """Say when the vent may be clamped."""
    reason = joined((stage.reason, ". Vent clamped only now, when it holds"))
    return dataclasses.replace(stage, reason=reason)


# Pressing, pot ----------------------------------------------------------------------------------


def _pressed(g: Ground) -> tuple[list[Stage], Ground]:
    c = g.clock
    early = Timeline(g, mixed=False)
    if g.degas:
        degas(g, early)
    line = Timeline(g)
    reach = c.mix.si + g.works + c.close.si
    mix(g, line, c.mix.si + g.works, reach)
    line.add(
        "wet out",
        g.works,
        g.free,
        "every strand clear; roll the air out from the middle: no vacuum will do it for you",
        f"must end within the pot life of {life_of(g)}",
        kind="wet out",
        vacuum=False,
        open_face=True,
        lasts=Lasts(cup=c.mix.si + g.works),
    )
    line.add(
        "close the press",
        c.close.si,
        g.free,
        "slowly, from the middle; a bead of clear resin all round, no froth; onto the edge stops",
        "fast closing traps air, and what is trapped stays",
        vacuum=False,
        open_face=True,
        lasts=Lasts(gel=reach / c.last_change.si, laid=reach),
    )
    cure(g, line)
    return in_order(early, line)


def _pot(g: Ground) -> tuple[list[Stage], Ground]:
    line = Timeline(g)
    band = Pressures(g.cure.low, g.cure.hold, g.cure.high)
    c = g.clock
    gas, room = head_space(g, band.hold)
    line.add(
        "go down slowly",
        c.rest.si,
        Pressures(band.low, band.hold, g.here),
        "froth climbs: stop going down while it nears the rim, go on when it falls",
        f"plain resin only. A pot {room:.0f} times the resin's volume: it frees {gas:.1f} times "
        "its own volume of gas",
        careful=mix_cautions(g),
    )
    line.add(
        HOLD_AND_STIR,
        c.degas.si,
        band,
        "seeded with a scourer or a trickle of air; over when it lies flat and only single bubbles "
        "come. Boiling from below that does not stop: come up",
        "without seeds and stirring most of the air stays in, whatever the dial says",
        careful=mix_cautions(g),
    )
    line.add(
        "let up and rest",
        c.rest.si,
        g.free,
        "let air in slowly at the lid, not through the resin",
        "use it within the hour; initiator or hardener goes in only now, outside the pot",
        vacuum=False,
        open_face=True,
    )
    return line.stages, g
