"""Steps that several processes share, and the clock that stages are laid on."""

import dataclasses
import functools
import math
from typing import TYPE_CHECKING

import numpy as np

from outgas.laminate import warming
from outgas.laminate.course import freed
from outgas.laminate.vapour import vapour
from outgas.physics.chance import Band
from outgas.plan.basis import Ground, Pressures
from outgas.plan.caps import (
    HOT_CUP_K,
    Lasts,
    boil_cap,
    flash_cap,
    ignitable,
    lowest,
    near_flash,
    sheet_cap,
)
from outgas.plan.stage import EXOTHERM_WATCH, HOLD_TO_THE_GEL, Stage, StageKind
from outgas.show.amounts import celsius, duration
from outgas.show.report import At, Line
from outgas.tables.practice import Clock
from outgas.window import cautions

if TYPE_CHECKING:
    from outgas.laminate.warming import Warming

MIX = "mix"
HOT_CURE_S = 6.0 * 3600.0  # how long an oven run is followed
SLACK = 1e-6  # so that a whole mbar is not rounded past itself
DRUM_TIGHT = "no dial: the film stays drum-tight and silent with a tube held to your ear"


class Timeline:
    """Stages one after another from a start; finished stages can be shifted as one."""

    def __init__(self, ground: Ground, *, mixed: bool = True) -> None:
        self.ground, self.now, self.mixed = ground, 0.0, mixed
        self.stages: list[Stage] = []

    def add(
        self,
        name: str,
        takes: float,
        band: Pressures,
        watch_for: str,
        why: Line | str,
        *,
        kind: StageKind = "",
        vacuum: bool = True,
        dry: bool = False,
        open_face: bool = False,
        has_set: bool = False,
        limit: float | None = None,
        expected: float | None = None,
        lasts: Lasts | None = None,
        careful: tuple[str, ...] = (),
    ) -> None:
        """Add a stage that starts where the last one ended; none if it takes no time.

        open_face: its resin stands open to the shop. has_set: its gel holds, so nothing boils in
        it. limit is one more cap [K], and lasts how long mixed resin must last for this stage.
        """
        g = self.ground
        if takes <= 0.0:
            return
        end = self.now + takes
        if expected is None:
            expected = g.warmest(self.now, end) if self.mixed else g.case.shop_K
        if not dry:
            boil = None if open_face or has_set else boil_cap(g.case, band.hold, pot=not self.mixed)
            sheet = sheet_cap(g.job.resin) if has_set or kind in ("heat", "hold") else None
            flash = flash_cap(g.job.resin, expected) if open_face else None
            worked = None if lasts is None else g.lasting(expected, lasts)
            limit = lowest(limit, boil, sheet, flash, worked)
        self.stages.append(
            Stage(
                name=name,
                kind=kind,
                barometer_Pa=g.here,
                start_s=self.now,
                duration_s=takes,
                low_Pa=band.low,
                high_Pa=band.high,
                setpoint_Pa=band.hold if band.hold > 0.0 else None,
                vacuum=vacuum and band.hold < g.here,
                dry=dry,
                limit_K=None if dry else limit,
                expected_K=g.base if dry else expected,
                watch_for=watch_for,
                reason=why if isinstance(why, Line) else Line(why),
                cautions=(*careful, *(self._burns(expected) if open_face else ())),
            )
        )
        self.now = end

    def _burns(self, expected: float) -> tuple[str, ...]:
        """Return what to fear of the vapour over open resin."""
        job = self.ground.job
        return (*ignitable(job), *near_flash(job.resin, expected))

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


def mbar_lost(loss: float) -> int:
    """Return a loss [Pa] that is still allowed, rounded down to whole mbar."""
    return math.floor(loss / 100.0 + SLACK)


def dry_test(g: Ground, line: Timeline, what: str) -> None:
    """Add a drop test before any resin is open."""
    c = g.clock
    line.add(
        "drop test, dry",
        c.drop_test_time.si,
        g.dry,
        f"pump off, hose shut: the dial loses no more than {mbar_lost(drop_allowed(c))} mbar "
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
            (At(g.pot.hold, plain=True),),
        ),
        careful=mix_cautions(g),
    )
    line.add(
        "let it rest",
        c.rest.si,
        g.free,
        "the last bubbles are up; a lid laid on keeps the shop's damp out",
        "air goes back in by the hour, not by the minute; stirring hard would put it back now",
        vacuum=False,
        open_face=True,
    )


def full_of_air(g: Ground) -> Band:
    """Return the air in resin stirred in the open, whatever was taken out of it since."""
    cool = vapour(g.case, g.case.shop_K).nominal
    return Band.exact(max(0.0, g.here - cool))


def head_space(g: Ground, pressure: float) -> tuple[float, float]:
    """Return the gas that fresh resin frees in a pot, and the pot's size, per volume of resin."""
    gas = freed(g.case.but(dissolved_Pa=full_of_air(g)), pressure)
    return gas, max(1.0 / g.clock.pot_fill.si, 1.0 + g.clock.head_space.si * gas)


def mix(g: Ground, line: Timeline, in_cup: float, needed: float) -> None:
    """Add the mix, from which the clock runs.

    in_cup is how long the batch is worked [s], needed the time to the last change of pressure.
    """
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
        open_face=True,
        lasts=Lasts(in_cup, needed / g.clock.last_change.si),
        careful=mix_cautions(g),
    )


def life_of(g: Ground) -> str:
    """Return the batch's pot life as it is printed."""
    return "this batch" if g.pot_life is None else duration(g.pot_life)


def in_order(early: Timeline, line: Timeline) -> tuple[list[Stage], Ground]:
    """Return what comes before mixing and what follows it, and the ground it ended on."""
    return [*early.before(line.stages[0].start_s), *_passed_on(line.stages)], line.ground


def _passed_on(found: list[Stage]) -> list[Stage]:
    """Return mixed stages, none let warmer than the next one may be, up to the hold.

    Resin that is laid up warm goes under the bag warm. What a stage should have is not forbidden
    here: if the next cannot bear it, that one says so.
    """
    before = next((i for i, s in enumerate(found) if s.kind in ("hold", "heat")), 0)
    made, after = list(found), None
    for i in reversed(range(before)):
        stage = made[i]
        if after is not None:
            passed = max(after, stage.expected_K)
            if stage.limit_K is None and passed > HOT_CUP_K:
                after = None  # resin is never worked so warm: a cap there would invite heat
                continue
            made[i] = dataclasses.replace(stage, limit_K=lowest(stage.limit_K, passed))
        after = made[i].limit_K
    return made


def cure(g: Ground, line: Timeline) -> None:
    """Add what follows the last change of pressure: hold, exotherm, cool, off, release."""
    w = _heated(g, line) if g.warming is None else g.warming
    g = line.ground
    (_hold_in_press if g.job.process.pressed else _hold_under_bag)(g, w, line)
    _exotherm(g, w, line)
    _let_go(g, w, line)


def _holds_at(w: "Warming") -> float:
    """Return when the gel can hold a bubble [s]; the end of the run if it never can."""
    return max(w.last_gel_s, w.hold_s if math.isfinite(w.hold_s) else float(w.run.t[-1]))


TAB = (
    "A squeeze-out tab of the laminate, not the cup, tells the gel: it stops drawing threads, "
    "then rubbers"
)


UPRIGHT = (
    ". On an upright face resin drains and pools at the foot: look for a dry top, and wipe up and "
    "roll back what runs while it is thin"
)


def _hold_under_bag(g: Ground, w: "Warming", line: Timeline) -> None:
    c, infused = g.clock, g.job.process.filled
    drains = "" if infused else UPRIGHT
    if g.cure.hold >= g.here:
        _hold_without(g, w, line, drains)
        return
    quiet = f"the pressure at which it went quiet ({{}} in the {'fill' if infused else 'debulk'})"
    line.add(
        HOLD_TO_THE_GEL,
        max(_holds_at(w) - line.now, c.leak_check.si),
        g.cure,
        f"come up slowly to the setpoint, then leave the valve alone. {TAB}. New bubbles: come up "
        f"a little, never down{drains}",
        Line(
            f"hold{' the vent' if infused else ''}{' above ' + quiet if g.debulks else ''}: what "
            "air is left stays dissolved, and the warming resin stays below its boil; a gel just "
            "set cannot hold a bubble yet, so the hold runs past it. The last change comes before "
            f"{c.last_change.si:.0%} of the gel time",
            (At(g.debulk.hold, plain=True),) if g.debulks else (),
        ),
        kind="hold",
    )


def _hold_without(g: Ground, w: "Warming", line: Timeline, drains: str) -> None:
    line.add(
        HOLD_TO_THE_GEL,
        max(_holds_at(w) - line.now, g.clock.leak_check.si),
        g.cure,
        f"pump off and air let in slowly before it thickens; the bag left on. {TAB}{drains}",
        "no vacuum is both safe and tight enough here, so none is held: at the air's own pressure "
        "what is dissolved stays dissolved",
        kind="hold",
        vacuum=False,
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
    press = g.job.process.pressed
    where = "hand near the press" if press else "hand near the film"
    oven = 0.0 if g.job.resin.cure_temperature is None else _hard_at(g, w)
    past, vacuum = w.peak_s <= line.now, not press and g.cure.hold < g.here
    line.add(
        EXOTHERM_WATCH,
        max(max(w.peak_s, oven) - line.now, g.clock.leak_check.si),
        g.free if press else g.cure,
        f"{where}, or a thermometer in the tab: about {celsius(w.peak_K)} at the hottest, "
        f"{'already' if past else 'near'} {duration(w.peak_s)}{' after mixing' if past else ''}. "
        "Smoke, browning or more heat than the hand takes: out of the building with cup and "
        "offcuts, water on them, no nose over it",
        "the gel holds now, so no bubble grows; what is left to fear is fire. "
        + ("The press stays shut" if press else "Vacuum stays on" if vacuum else "The bag stays on")
        + " through the peak",
        kind="exotherm",
        vacuum=vacuum,
        has_set=True,
    )


def _let_go(g: Ground, w: "Warming", line: Timeline) -> None:
    """Add cooling until it is hard, the post-cure where there is one, and the release."""
    c, press = g.clock, g.job.process.pressed
    under = "the bag" if g.cure.hold >= g.here else "vacuum"
    oven = g.job.resin.cure_temperature is not None
    end = cooled(g, w)
    if oven:  # it goes off only now
        end = line.now + max(0.0, w.peak_K - g.base - c.cool_within.si) / c.ramp_rate.si
    line.add(
        "cool in the press" if press else f"cool under {under}",
        max(end - line.now, c.rest.si),
        g.free if press else g.cure,
        f"within {c.cool_within.si:.0f} K of the shop, and the squeeze-out tab film-hard: a nail "
        "leaves no mark. Not hard yet: leave it longer",
        "let go warm and half-hard, skins lift and the panel takes the tool's heat as a set; its "
        f"glass must lie {c.hard_above_shop.si:.0f} K over the shop, in a slow batch too",
        vacuum=not press,
        has_set=True,
    )
    post = not oven and _post_cure(g, line)
    cold = g.base + c.cool_within.si
    warm = cold if oven or post else g.warmest(line.now, line.now + c.rest.si)
    free = functools.partial(
        line.add, vacuum=False, has_set=True, limit=cold, expected=min(warm, max(cold, w.peak_K))
    )
    if press:
        free(
            "open the press, release",
            c.rest.si,
            g.free,
            "block it first; peel while it is green but hard",
            "squeeze-out and offcuts go outdoors, spread flat, not into a bin",
        )
        return
    free(
        "vacuum off, release",
        c.rest.si,
        g.free,
        "peel while it is green but hard; read the bleed: even spots good, bare film starved, "
        "merged spots flooded (outgas bleed)",
        "breather soaked with resin goes outdoors, spread flat, not into a bin",
    )


def _post_cure(g: Ground, line: Timeline) -> bool:
    """Add what the sheet asks for after the gel, if it does; it limits no vacuum."""
    post, c = g.job.resin.post_cure_temperature, g.clock
    if post is None:
        return False
    press = g.job.process.pressed
    ramps = 2.0 * max(0.0, post.si - g.base) / c.ramp_rate.si
    line.add(
        "post-cure",
        c.post_cure.si + ramps,
        g.free if press else g.cure,
        f"{celsius(post.si)} on its tool, up and down at {c.ramp_rate.si * 60.0:.0f} K a minute or "
        "slower, by the sheet's own table; cold again before it is let go",
        "it set at the shop's temperature, and heat makes the rest of its glass; it has gelled, so "
        "this heat is no limit on the vacuum",
        vacuum=not press,
        has_set=True,
        limit=post.high_si,
        expected=max(post.si, g.base),
    )
    return True


def _hard_at(g: Ground, w: "Warming") -> float:
    """Return when a laminate is hard [s], the slow end of its gel counted; the run's end if never.

    An oven is held to its temperature, so its own clock is taken as it is.
    """
    X = w.whole.X[w.whole.reacts].min(axis=0)
    hard = g.hard <= X
    if not hard.any():
        return float(w.whole.t[-1])
    slow = 1.0 if g.pace is None or g.job.resin.cure_temperature is not None else g.pace.longer
    return float(w.whole.t[int(hard.argmax())]) * slow


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
    run = w.whole
    T = run.T[run.reacts].max(axis=0)
    base = float(max(g.base, T[-1]))
    good = (run.t >= w.peak_s) & (base + g.clock.cool_within.si >= T)
    cold = float(run.t[int(good.argmax())]) if good.any() else float(run.t[-1])
    return max(cold, _hard_at(g, w))
