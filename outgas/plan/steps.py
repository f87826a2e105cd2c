"""Steps that several processes share, and the clock that stages are laid on."""

import dataclasses
import math
from typing import TYPE_CHECKING

import numpy as np

from outgas.laminate import warming
from outgas.laminate.dissolved_air import freed
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.plan.basis import Ground, Pressures
from outgas.plan.stage import EXOTHERM_WATCH, HOLD_TO_THE_GEL, Stage, StageKind
from outgas.show.amounts import celsius, duration, mbar
from outgas.show.report import At, Line
from outgas.tables.practice import Clock
from outgas.window import cautions

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming

MIX = "mix"
HOT_CURE_S = 6.0 * 3600.0  # how long an oven run is followed
DRUM_TIGHT = "no dial: the film stays drum-tight and silent with a tube held to your ear"


class Timeline:
    """Stages one after another from a start; finished stages can be shifted as one."""

    def __init__(self, ground: Ground, *, mixed: bool = True) -> None:
        self.ground, self.now, self.mixed = ground, 0.0, mixed
        self.stages: list[Stage] = []

    def add(
        self,
        name: str,
        lasts: float,
        band: Pressures,
        watch_for: str,
        why: Line | str,
        *,
        kind: StageKind = "",
        vacuum: bool = True,
        dry: bool = False,
        limit: float | None = None,
        expected: float | None = None,
        needs: tuple[float, float | None] | None = None,
        careful: tuple[str, ...] = (),
    ) -> None:
        """Add a stage that starts where the last one ended; none if it takes no time.

        needs is how long mixed resin must last for this stage and how long it does [s]: the limit
        is then where it would just last.
        """
        g = self.ground
        if lasts <= 0.0:
            return
        end = self.now + lasts
        if expected is None:
            expected = g.warmest(self.now, end) if self.mixed else g.case.shop_K
        if needs is not None:
            limit = g.working_limit(expected, *needs)
        self.stages.append(
            Stage(
                name=name,
                kind=kind,
                barometer_Pa=g.here,
                start_s=self.now,
                duration_s=lasts,
                low_Pa=band.low,
                high_Pa=band.high,
                setpoint_Pa=band.hold,
                vacuum=vacuum,
                dry=dry,
                limit_K=g.limit(band.hold) if limit is None else limit,
                expected_K=g.base if dry else expected,
                watch_for=watch_for,
                reason=why if isinstance(why, Line) else Line(why),
                cautions=careful,
            )
        )
        self.now = end

    def before(self, moment: float) -> list[Stage]:
        """Return the stages moved so that the last one ends at a moment."""
        step = moment - self.now
        return [dataclasses.replace(s, start_s=s.start_s + step) for s in self.stages]


def mix_cautions(g: Ground) -> tuple[str, ...]:
    """Return what must be said where resin is mixed."""
    return cautions.cautions(g.job, g.case)


# Before mixing --------------------------------------------------------------------------------


def drop_allowed(clock: Clock) -> float:
    """Return how far the pressure of a sealed bag may rise in a drop test [Pa]."""
    return clock.drop_allowed.si * clock.drop_test_time.si


def dry_test(g: Ground, line: Timeline, what: str) -> None:
    """Add a drop test before any resin is open."""
    c = g.clock
    line.add(
        "drop test, dry",
        c.drop_test_time.si,
        g.dry,
        f"pump off, hose shut: the dial loses no more than {mbar(drop_allowed(c))} mbar "
        f"in {duration(c.drop_test_time.si)}; {DRUM_TIGHT}. Go on only when it holds",
        f"{what}; a leak feeds air into wet resin for as long as the bag is on (published rules "
        "differ fifteen-fold, none states the bag's volume)",
        dry=True,
    )


def degas(g: Ground, line: Timeline) -> None:
    """Add the pot: plain resin held where it froths but does not boil, then rested."""
    c = g.clock
    gas, room = head_space(g, g.pot.hold)
    line.add(
        "degas",
        c.degas.si,
        g.pot,
        "froth climbs, breaks and falls; over when it lies flat and only single bubbles come. "
        "Back off at once if it nears the rim, or if it keeps boiling from below",
        Line(
            f"plain resin only: never with initiator or hardener in it. A pot {room:.0f} times the "
            f"resin's volume: at {{}} the resin frees {gas:.1f} times its own "
            "volume of gas; seed it with a scourer or a trickle of air, stir",
            (At(g.pot.hold, plain=True, nearest=True),),
        ),
        careful=mix_cautions(g),
    )
    line.add(
        "let it rest",
        c.rest.si,
        g.free,
        "the last bubbles are up; the lid stays on",
        "air goes back in by the hour, not by the minute; stirring hard would put it back now",
        vacuum=False,
    )


def full_of_air(g: Ground) -> Band:
    """Return the air in resin stirred in the open, whatever was taken out of it since."""
    cool = vapour(g.case, g.case.shop_K).nominal
    return Band.exact(max(0.0, g.here - cool))


def head_space(g: Ground, pressure: float) -> tuple[float, float]:
    """Return the gas that fresh resin frees in a pot, and the pot's size, per volume of resin."""
    gas = freed(g.case.but(dissolved_Pa=full_of_air(g)), pressure)
    return gas, max(1.0 / g.clock.pot_fill.si, 1.0 + g.clock.head_space.si * gas)


def mix(g: Ground, line: Timeline, needed: float) -> None:
    """Add the mix, from which the clock runs; needed is the time to the last pressure change."""
    batch = "" if g.batch is None else f"{g.batch:.2g} kg: "
    how = {
        "peroxide": "promoter in first and stirred out (if the drum has none in it), peroxide last",
        "acid": "acid last, in thin stream, stirring",
    }.get(g.job.resin.initiator, "resin and hardener by weight at the sheet's ratio, scraped down")
    line.add(
        MIX,
        g.clock.mix.si,
        g.free,
        f"{batch}{how}; one colour, no streaks; write the time on the film",
        "the clock runs from here; a cup in bulk warms and gels before the laminate does",
        vacuum=False,
        needs=(needed / g.clock.last_change.si, g.working_life),
        careful=mix_cautions(g),
    )


def life_of(g: Ground) -> str:
    """Return the batch's pot life as it is printed."""
    return "this batch" if g.pot_life is None else duration(g.pot_life)


def in_order(early: Timeline, line: Timeline) -> tuple[list[Stage], Ground]:
    """Return what comes before mixing and what follows it, and the ground it ended on."""
    return [*early.before(line.stages[0].start_s), *line.stages], line.ground


def cure(g: Ground, line: Timeline) -> None:
    """Add what follows the last change of pressure: hold, exotherm, cool, off, release."""
    w = _heated(g, line) if g.warming is None else g.warming
    g = line.ground
    (_hold_in_press if g.job.process == "pressing" else _hold_under_bag)(g, w, line)
    _exotherm(g, w, line)
    _let_go(g, w, line)


def _holds_at(w: "Warming") -> float:
    """Return when the gel can hold a bubble [s]; the end of the run if it never can."""
    return max(w.last_gel_s, w.hold_s if math.isfinite(w.hold_s) else float(w.run.t[-1]))


TAB = (
    "A squeeze-out tab of the laminate, not the cup, tells the gel: it stops drawing threads, "
    "then rubbers"
)


def _hold_under_bag(g: Ground, w: "Warming", line: Timeline) -> None:
    c, infused = g.clock, g.job.process == "infusion"
    line.add(
        HOLD_TO_THE_GEL,
        max(_holds_at(w) - line.now, c.leak_check.si),
        g.cure,
        f"come up slowly to the setpoint, then leave the valve alone. {TAB}. New bubbles: come up "
        "a little, never down",
        Line(
            f"hold{' the vent' if infused else ''} above the pressure at which it went quiet ({{}} "
            f"in the {'fill' if infused else 'debulk'}): what air is left stays dissolved, and the "
            "warming resin stays below its boil; a gel just set cannot hold a bubble yet, so the "
            f"hold runs past it. The last change comes before {c.last_change.si:.0%} of the gel "
            "time",
            (At(g.debulk.hold, plain=True, nearest=True),),
        ),
        kind="hold",
    )


def _hold_in_press(g: Ground, w: "Warming", line: Timeline) -> None:
    line.add(
        HOLD_TO_THE_GEL,
        max(_holds_at(w) - line.now, g.clock.leak_check.si),
        g.free,
        f"press shut on its stops, left alone. {TAB}. Froth in the bead: cool the press if you "
        "can; do not open it",
        "the air's own pressure keeps the resin from boiling, in a press it is not let down; what "
        "the stops or the fibres carry does not count",
        kind="hold",
        vacuum=False,
    )


def _exotherm(g: Ground, w: "Warming", line: Timeline) -> None:
    press = g.job.process == "pressing"
    where = "hand near the press" if press else "hand near the film"
    past = w.peak_s <= line.now
    line.add(
        EXOTHERM_WATCH,
        max(max(w.peak_s, _hard_at(g, w)) - line.now, g.clock.leak_check.si),
        g.free if press else g.cure,
        f"{where}, or a thermometer in the tab: about {celsius(w.peak_K)} at the hottest, "
        f"{'already' if past else 'near'} {duration(w.peak_s)}{' after mixing' if past else ''}. "
        "Smoke, browning or more heat than the hand takes: out of the building with cup and "
        "offcuts, water on them, no nose over it",
        "the gel holds now, so no bubble grows; what is left to fear is fire. "
        + ("The press stays shut" if press else "Vacuum stays on")
        + " through the peak",
        kind="exotherm",
        vacuum=not press,
        limit=g.set_limit,
    )


def _let_go(g: Ground, w: "Warming", line: Timeline) -> None:
    c, press = g.clock, g.job.process == "pressing"
    end = cooled(g, w)
    if g.job.resin.cure_temperature is not None:  # the oven goes off only now
        end = line.now + max(0.0, w.peak_K - g.base - c.cool_within.si) / c.ramp_rate.si
    line.add(
        "cool in the press" if press else "cool under vacuum",
        max(end - line.now, c.rest.si),
        g.free if press else g.cure,
        f"within {c.cool_within.si:.0f} K of the shop, and the squeeze-out tab film-hard: a nail "
        "leaves no mark. Not hard yet: leave it longer",
        "let go warm and half-hard, skins lift and the panel takes the tool's heat as a set",
        vacuum=not press,
        limit=g.set_limit,
    )
    cold = g.base + c.cool_within.si
    warm = cold if g.job.resin.cure_temperature is not None else g.warmest(end, end + c.rest.si)
    if press:
        line.add(
            "open the press, release",
            c.rest.si,
            g.free,
            "block it first; peel while it is green but hard",
            "squeeze-out and offcuts go outdoors, spread flat, not into a bin",
            vacuum=False,
            limit=max(cold, warm),
            expected=warm,
        )
        return
    line.add(
        "vacuum off, release",
        c.rest.si,
        g.free,
        "peel while it is green but hard; read the bleed: even spots good, bare film starved, "
        "merged spots flooded (outgas bleed)",
        "breather soaked with resin goes outdoors, spread flat, not into a bin",
        vacuum=False,
        limit=max(cold, warm),
        expected=warm,
    )


def _hard_at(g: Ground, w: "Warming") -> float:
    """Return when an oven has made the laminate hard [s]; 0 for one that cures by itself."""
    if g.job.resin.cure_temperature is None:
        return 0.0
    X = w.run.X[w.run.reacts].min(axis=0)
    hard = g.clock.hard.si <= X
    return float(w.run.t[int(hard.argmax())]) if hard.any() else float(w.run.t[-1])


def _heated(g: Ground, line: Timeline) -> "Warming":
    """Add the oven's ramp for a resin that cures hot, and return what the laminate then does."""
    cure = g.job.resin.cure_temperature
    assert cure is not None
    assert g.pace is not None
    start, ramp = line.now, max(0.0, cure.si - g.base) / g.clock.ramp_rate.si
    times = np.array([0.0, start, start + ramp])
    air = np.array([g.base, g.base, cure.si])
    until = start + ramp + HOT_CURE_S
    w = warming.oven_run(g.job, g.pace, times, air, until)
    line.ground = dataclasses.replace(g, warming=w)
    line.add(
        "heat up",
        ramp,
        g.cure,
        "the oven at the resin's own ramp; no new bubbles: if they come, stop the ramp and come up",
        f"it gels hot, at {celsius(cure.si)}: the last change of pressure is before the heat",
        kind="heat",
    )
    return w


def cooled(g: Ground, w: "Warming") -> float:
    """Return when the laminate is past its peak, cooled and hard [s], or the run's end."""
    run = w.run
    T, X = run.T[run.reacts].max(axis=0), run.X[run.reacts].min(axis=0)
    base = float(max(g.base, T[-1]))
    good = (run.t >= w.peak_s) & (base + g.clock.cool_within.si >= T) & (g.clock.hard.si <= X)
    return float(run.t[int(good.argmax())]) if good.any() else float(run.t[-1])
