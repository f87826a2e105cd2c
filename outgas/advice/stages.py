"""The stages of each process, laid out on one clock: when, how deep, what to watch for, why."""

import dataclasses
import math
from collections.abc import Callable

import numpy as np

from outgas.advice import cautions, heating
from outgas.advice.ground import Band, Ground, celsius, minutes
from outgas.advice.limits import Band as Range
from outgas.advice.limits import core_limit, vapour
from outgas.advice.opening import freed, resin_pressure
from outgas.advice.plan import Stage
from outgas.physics import bed

MIX = "mix"
QUICK_S = 10.0  # a bleed quicker than this is not waited for
HEAD_SPACE = 2.0  # times the gas that comes out: froth stands higher than the gas it holds
HOT_CURE_S = 6.0 * 3600.0  # how long an oven run is followed
DRUM_TIGHT = "no dial: the film stays drum-tight and silent with a tube held to your ear"


class Line:
    """Stages one after another from a start; finished stages can be shifted as one."""

    def __init__(self, ground: Ground, start: float = 0.0) -> None:
        self.ground, self.now = ground, start
        self.stages: list[Stage] = []

    def add(
        self,
        name: str,
        duration: float,
        band: Band,
        watch_for: str,
        why: str,
        *,
        vacuum: bool = True,
        dry: bool = False,
        limit: float | None = None,
        careful: tuple[str, ...] = (),
    ) -> None:
        """Add a stage that starts where the last one ended."""
        g = self.ground
        end = self.now + duration
        self.stages.append(
            Stage(
                name=name,
                start_s=self.now,
                duration_s=duration,
                low_Pa=band.low,
                high_Pa=band.high,
                setpoint_Pa=band.hold,
                vacuum=vacuum,
                dry=dry,
                limit_K=g.limit(band.hold) if limit is None else limit,
                expected_K=g.base if dry else g.warmest(self.now, end),
                watch_for=watch_for,
                why=why,
                cautions=careful,
            )
        )
        self.now = end

    def before(self, moment: float) -> list[Stage]:
        """Return the stages moved so that the last one ends at a moment."""
        step = moment - self.now
        return [dataclasses.replace(s, start_s=s.start_s + step) for s in self.stages]


def build(g: Ground) -> tuple[list[Stage], Ground]:
    """Return the stages of the process asked for, and the ground they were laid on."""
    makers: dict[str, Callable[[Ground], tuple[list[Stage], Ground]]] = {
        "wet layup": _bagged,
        "core bonding": _bagged,
        "infusion": _infused,
        "pressing": _pressed,
        "degassing": _pot,
        "prepreg": _prepreg,
    }
    return makers[g.asked.process](g)


def mix_cautions(g: Ground) -> tuple[str, ...]:
    """Return what must be said where resin is mixed."""
    return cautions.cautions(g.asked, g.case)


# Before mixing --------------------------------------------------------------------------------


def _dry_test(g: Ground, line: Line, what: str) -> None:
    c = g.clock
    drop = c.drop_allowed.si * 60.0 / 100.0
    line.add(
        "drop test, dry",
        c.drop_test.si,
        g.dry,
        f"pump off, hose shut: the dial loses no more than {drop * c.drop_test.si / 60:.0f} mbar "
        f"in {minutes(c.drop_test.si)}; {DRUM_TIGHT}. Go on only when it holds",
        f"{what}; a leak feeds air into wet resin for as long as the bag is on (published rules "
        "differ fifteen-fold, none states the bag's volume)",
        dry=True,
    )


def _degas(g: Ground, line: Line) -> None:
    c = g.clock
    gas = freed(g.case.but(dissolved_Pa=_full(g)), g.pot.hold)
    room = max(1.0 / c.pot_fill.si, 1.0 + HEAD_SPACE * gas)
    line.add(
        "degas",
        c.degas.si,
        g.pot,
        "froth climbs, breaks and falls; over when it lies flat and only single bubbles come. "
        "Back off at once if it nears the rim, or if it keeps boiling from below",
        f"plain resin only: never with initiator or hardener in it. A pot {room:.0f} times the "
        f"resin's volume: at {g.pot.hold / 100:.0f} mbar the resin frees {gas:.1f} times its own "
        "volume of gas; seed it with a scourer or a trickle of air, stir",
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


def _full(g: Ground) -> Range:
    """Return the air in resin stirred in the open, whatever was taken out of it since."""
    cool = vapour(g.case, g.case.shop_K).nominal
    return Range.exact(max(0.0, g.here - cool))


def _mix(g: Ground, line: Line, needed: float) -> None:
    batch = "" if g.batch is None else f"{g.batch:.2g} kg: "
    how = {
        "peroxide": "promoter in first and stirred out (if the drum has none in it), peroxide last",
        "acid": "acid last, in thin stream, stirring",
    }.get(
        g.asked.resin.initiator, "resin and hardener by weight at the sheet's ratio, scraped down"
    )
    line.add(
        MIX,
        g.clock.mix.si,
        g.free,
        f"{batch}{how}; one colour, no streaks; write the time on the film",
        "the clock runs from here; a cup in bulk warms and gels before the laminate does",
        vacuum=False,
        limit=g.working_limit(needed / g.clock.last_change.si, g.gel),
        careful=mix_cautions(g),
    )


# Wet lay-up and core bonding ------------------------------------------------------------------


def _bagged(g: Ground) -> tuple[list[Stage], Ground]:
    c, core = g.clock, g.asked.process == "core bonding"
    early = Line(g)
    _dry_test(g, early, "tape, table and film proved before any resin is open")
    if g.degas:
        _degas(g, early)
    line = Line(g)
    first = c.mix.si + g.wet_out
    reach = first + c.bag.si + c.leak_check.si
    debulk = min(max(g.last_change - reach, c.debulk_least.si), c.debulk.high_si)
    _mix(g, line, reach + c.debulk_least.si)
    line.add(
        "bed the core" if core else "wet out",
        g.wet_out,
        g.free,
        "every strand clear and dark, no white, no pools; roll from the middle out"
        + (", resin up through the core's holes" if core else ""),
        f"what is not wetted now stays white; must end within the pot life of {_life(g)}",
        vacuum=False,
        limit=g.working_limit(first, g.pot_life),
    )
    line.add(
        "bag",
        c.bag.si,
        g.free,
        "peel ply, perforated film, breather to the hose; film down, pleats at the corners",
        "bridged corners lift resin off the cloth: leave film enough",
        vacuum=False,
        limit=g.working_limit(reach / c.last_change.si, g.gel),
    )
    weak = Band(g.debulk.hold, max(g.debulk.hold, min(g.cure.hold, g.here)), g.here)
    line.add(
        "leak check, wet",
        c.leak_check.si,
        weak,
        f"hose pinched a minute: the film stays tight; press the tape all round; {DRUM_TIGHT}",
        "the seal was opened to lay up, so it is proved again, shortly: the gel does not wait; "
        "vapour of the resin looks like a small leak",
    )
    span = _bleed_words(g)
    line.add(
        "debulk",
        debulk,
        g.debulk,
        "bubbles run to the edges and stop: quiet, go on. Spots on the breather even, 5 to 10 mm "
        "(common practice, no source): good; when they merge, back off at once. A hiss is a leak; "
        "bubbles that never stop are the resin boiling: back off until they do",
        "pull deep while it is thin and gas can leave; the pressure in the resin falls from the "
        f"air's to the bag's as it bleeds, {span}",
    )
    _cure(g, line)
    return _joined(early, line)


def _life(g: Ground) -> str:
    return "this batch" if g.pot_life is None else minutes(g.pot_life)


def _bleed_words(g: Ground) -> str:
    low, high = bleed_times(g)
    if high < QUICK_S:
        return "which this cloth lets it do within seconds: the holes of the film set the pace"
    return (
        f"through this cloth within {max(low, 1.0):.0f} to {high:.0f} s, longer by the film's holes"
    )


def bleed_times(g: Ground) -> tuple[float, float]:
    """Return how long resin takes to bleed through the laminate [s], quick and slow ends."""
    from outgas import catalogue, rates

    resin, kozeny = g.asked.resin, catalogue.practice().bed.kozeny
    family = rates.family_of(resin)
    clamp = max(g.here - g.debulk.hold, 1.0)
    ends = []
    for k, eta in (
        (kozeny.low_si, resin.viscosity.low_si),
        (kozeny.high_si, resin.viscosity.high_si),
    ):
        warm = bed_viscosity(eta, family.viscosity_energy.si, g.base)
        total = 0.0
        for ply in g.asked.layup.plies:
            cloth = ply.fabric
            K = float(bed.permeability(cloth.fibre_diameter.si, k, cloth.fibre_fraction.si))
            total += float(
                np.sqrt(bed.bleed_time(ply.thickness, warm, K, clamp, cloth.compaction_b.si))
            )
        ends.append(total**2)
    return ends[0], ends[1]


def bed_viscosity(eta: float, E: float, T: float) -> float:
    """Return the viscosity of fresh resin at T [Pa s]."""
    from outgas.physics.cure import arrhenius

    return eta / float(arrhenius(E, T))


def _joined(early: Line, line: Line) -> tuple[list[Stage], Ground]:
    return [*early.before(line.stages[0].start_s), *line.stages], line.ground


def _cure(g: Ground, line: Line) -> None:
    """Add what follows the last change of pressure: hold, exotherm, cool, off, release."""
    c = g.clock
    w = g.warming
    if w is None:
        w = _heated(g, line)
    deep = f"{g.debulk.hold / 100:.0f} mbar"
    quiet = "the pressure at which it went quiet"
    hold = "hold the vent" if g.asked.process == "infusion" else "hold"
    line.add(
        "hold to the gel",
        max(w.last_gel_s - line.now, c.leak_check.si),
        g.cure,
        "come up slowly to the setpoint, then leave the valve alone. A squeeze-out tab of the "
        "laminate, not the cup, tells the gel: it stops drawing threads, then rubbers. New "
        "bubbles: come up a little, never down",
        f"{hold} above {quiet} ({deep} in the debulk): what air is left stays dissolved, and the "
        "warming resin stays below its boil; the last change comes before "
        f"{c.last_change.si:.0%} of the gel time",
    )
    hot = max(w.hold_s if math.isfinite(w.hold_s) else line.now, w.peak_s)
    line.add(
        "exotherm watch",
        max(hot - line.now, c.leak_check.si),
        g.cure,
        f"hand near the film, or a thermometer in the tab: about {celsius(w.peak_K)} at the "
        f"hottest, near {minutes(w.peak_s)}. Smoke, browning or more heat than the hand takes: "
        "out of the building with cup and offcuts, water on them, no nose over it",
        "a gel just set cannot hold a bubble yet; vacuum stays on through the peak",
    )
    line.add(
        "cool under vacuum",
        max(cooled(g, w) - line.now, c.rest.si),
        g.cure,
        f"within {c.cool_within.si:.0f} K of the shop, and the squeeze-out tab film-hard: a nail "
        "leaves no mark",
        "let go warm and half-hard, skins lift and the panel takes the tool's heat as a set",
    )
    line.add(
        "vacuum off, release",
        max(c.rest.si, 0.0),
        g.free,
        "peel while it is green but hard; read the bleed: even spots good, bare film starved, "
        "merged spots flooded (outgas bleed)",
        "breather soaked with resin goes outdoors, spread flat, not into a bin",
        vacuum=False,
    )


def _heated(g: Ground, line: Line) -> "heating.Warming":
    """Add the oven's ramp for a resin that cures hot, and return what the laminate then does."""
    cure = g.asked.resin.cure_temperature
    assert cure is not None
    assert g.pace is not None
    start, ramp = line.now, max(0.0, cure.si - g.base) / g.clock.ramp_rate.si
    times = np.array([0.0, start, start + ramp])
    air = np.array([g.base, g.base, cure.si])
    until = start + ramp + HOT_CURE_S
    w = heating.oven_run(g.asked, g.pace, times, air, until)
    line.ground = dataclasses.replace(g, warming=w)
    line.add(
        "heat up",
        ramp,
        g.cure,
        "the oven at the resin's own ramp; no new bubbles: if they come, stop the ramp and come up",
        f"it gels hot, at {celsius(cure.si)}: the last change of pressure is before the heat",
    )
    return w


def cooled(g: Ground, w: "heating.Warming") -> float:
    """Return when the laminate is past its peak, cooled and hard [s], or the run's end."""
    run = w.run
    T, X = run.T[run.reacts].max(axis=0), run.X[run.reacts].min(axis=0)
    base = float(max(g.base, T[-1]))
    good = (run.t >= w.peak_s) & (base + g.clock.cool_within.si >= T) & (g.clock.hard.si <= X)
    return float(run.t[int(good.argmax())]) if good.any() else float(run.t[-1])


# Infusion ---------------------------------------------------------------------------------------


def _infused(g: Ground) -> tuple[list[Stage], Ground]:
    c = g.clock
    early = Line(g)
    early.add(
        "pull the dry bag",
        c.bag.si,
        g.dry,
        "the film creeps into every corner; pleats pulled in while they still can be",
        "dry cloth holds water and air: as deep as pump and core allow, nothing in it can boil",
        dry=True,
    )
    _dry_test(g, early, "nothing mends a leak once resin is in")
    if g.degas:
        _degas(g, early)
    line = Line(g)
    _mix(g, line, c.mix.si + g.fill + c.leak_check.si)
    line.add(
        "fill",
        g.fill,
        g.debulk,
        "an even front, no racing along edges, no white behind it. Froth at the vent: come up. "
        "Too fast leaves dry strands: pinch the feed",
        f"deep enough to draw, clear of the boil at the present temperature; must end within the "
        f"pot life of {_life(g)}",
    )
    line.add(
        "shut the inlet, come up",
        c.leak_check.si,
        Band(g.cure.low, g.cure.hold, g.cure.high),
        "inlet clamped first, then the vent let up to the setpoint; no air drawn back in",
        "after the fill nothing carries bubbles out, so the pressure goes up: what is dissolved "
        "stays dissolved. The vent's hold is the setpoint",
    )
    _cure(g, line)
    line.stages = [_clamp_note(g, s) if s.name == "exotherm watch" else s for s in line.stages]
    return _joined(early, line)


def _clamp_note(g: Ground, stage: Stage) -> Stage:
    """Say what clamping both ends does to the pressure in the resin."""
    p = clamped_pressure(g)
    return dataclasses.replace(
        stage,
        why=stage.why
        + f". Vent clamped only now, when gelled: clamped wet at both ends the resin drifts to "
        f"about {p / 100:.0f} mbar, the air less what the cloth carries",
    )


def clamped_pressure(g: Ground) -> float:
    """Return what the resin drifts to when both ends are clamped: the air less the bed's share."""
    plies = g.asked.layup.plies
    if not plies:
        return g.here
    carries = [
        float(
            bed.carried(
                p.fabric.compaction_a.si, p.fabric.compaction_b.si, p.fabric.fibre_fraction.si
            )
        )
        for p in plies
    ]
    return max(g.cure.low, g.here - min(*carries, g.here))


# Pressing, pot ----------------------------------------------------------------------------------


def _pressed(g: Ground) -> tuple[list[Stage], Ground]:
    c = g.clock
    early = Line(g)
    if g.degas:
        _degas(g, early)
    line = Line(g)
    reach = c.mix.si + g.wet_out + c.close.si
    _mix(g, line, reach)
    line.add(
        "wet out",
        g.wet_out,
        g.free,
        "every strand clear; roll the air out from the middle: no vacuum will do it for you",
        f"must end within the pot life of {_life(g)}",
        vacuum=False,
        limit=g.working_limit(c.mix.si + g.wet_out, g.pot_life),
    )
    line.add(
        "close the press",
        c.close.si,
        g.free,
        "slowly, from the middle; a bead of clear resin all round, no froth; onto the edge stops",
        "fast closing traps air, and what is trapped stays",
        vacuum=False,
        limit=g.working_limit(reach / c.last_change.si, g.gel),
    )
    _cure(g, line)
    return _joined(early, line)


def _pot(g: Ground) -> tuple[list[Stage], Ground]:
    line = Line(g)
    band = Band(g.cure.low, g.cure.hold, g.cure.high)
    c = g.clock
    gas = freed(g.case.but(dissolved_Pa=_full(g)), band.hold)
    room = max(1.0 / c.pot_fill.si, 1.0 + HEAD_SPACE * gas)
    line.add(
        "go down slowly",
        c.rest.si,
        Band(band.low, band.hold, g.here),
        "froth climbs: stop going down while it nears the rim, go on when it falls",
        f"plain resin only. A pot {room:.0f} times the resin's volume: it frees {gas:.1f} times "
        "its own volume of gas",
        careful=mix_cautions(g),
    )
    line.add(
        "hold and stir",
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
    )
    return line.stages, g


# Prepreg ----------------------------------------------------------------------------------------


def _prepreg(g: Ground) -> tuple[list[Stage], Ground]:
    c, w = g.clock, g.warming
    assert w is not None
    resin = g.asked.resin
    assert resin.cure_temperature is not None
    layers = sum(ply.count for ply in g.asked.layup.plies)
    times = max(1, math.ceil(layers / c.plies_per_debulk.si))
    early = Line(g)
    early.add(
        "thaw, sealed",
        c.thaw.si,
        g.free,
        "no dew on the sealed bag; then open it, in the driest room you have",
        "cold prepreg takes up water the moment it is opened, and keeps it",
        vacuum=False,
        dry=True,
    )
    for i in range(times):
        early.add(
            f"lay up and debulk {i + 1} of {times}",
            c.prepreg_debulk.si,
            g.cure,
            "full vacuum, film tight; no pillow under the ply when it comes off",
            f"air between plies leaves only while they are few: every {c.plies_per_debulk.si:.0f} "
            "plies, after the first and after the last",
            dry=True,
        )
    early.add(
        "drop test",
        c.drop_test.si,
        g.cure,
        f"pump off: no more than {c.drop_allowed.si * 60 / 100 * c.drop_test.si / 60:.0f} mbar in "
        f"{minutes(c.drop_test.si)}; {DRUM_TIGHT}",
        "a bag that leaks hot cannot be mended",
        dry=True,
    )
    line = Line(g)
    p = resin_pressure(g.asked, g.window, None)
    careful = cautions.cautions(g.asked, g.case)
    for name, start, end in oven_stages(g):
        T = w.run.T[w.run.reacts].max(axis=0)
        warm = max(float(np.interp(t, w.run.t, T)) for t in np.linspace(start, end, 9))
        push = vapour(g.case, min(warm, resin.cure_temperature.high_si)).high
        line.add(
            name,
            end - start,
            g.cure,
            "full vacuum, pressure on the bag where there is an autoclave; a bag that goes soft or "
            "hisses: stop the ramp, do not go on hot",
            f"its water pushes up to {push / 100:.0f} mbar at {celsius(warm)} against "
            f"{p / 100:.0f} mbar in the resin",
            limit=g.limit(p),
            careful=careful,
        )
    line.add(
        "cool, vacuum off, release",
        max(c.rest.si, (resin.cure_temperature.si - g.base) / c.ramp_rate.si),
        Band(core_limit(g.case)[1], g.cure.hold, g.here),
        "below about 60 degC before anything is opened",
        "cooled under pressure it stays flat",
        limit=g.limit(p),
    )
    return _joined(early, line)


def oven_stages(g: Ground) -> list[tuple[str, float, float]]:
    """Return name, start and end [s] of each part of the oven cycle."""
    a, b, d, e, f = oven_times(g)
    extra = (
        ", autoclave pressure on" if g.asked.rig.autoclave or g.asked.resin.applied_pressure else ""
    )
    return [
        (f"ramp to the dwell{extra}", a, b),
        ("dwell", b, d),
        ("ramp to the cure", d, e),
        ("cure", e, f),
    ]


def oven_times(g: Ground) -> tuple[float, float, float, float, float]:
    """Return when the oven starts, dwells, ramps again, cures, and is done [s]."""
    c, resin = g.clock, g.asked.resin
    assert resin.cure_temperature is not None
    dwell = resin.cure_temperature.si - c.dwell_below.si
    b = max(0.0, dwell - g.base) / c.ramp_rate.si
    d = b + c.dwell.si
    e = d + (resin.cure_temperature.si - max(dwell, g.base)) / c.ramp_rate.si
    run = g.warming.run if g.warming is not None else None
    f = e + c.cure_hold.si
    if run is not None:
        X = run.X[run.reacts].min(axis=0)
        hard = run.t[int((c.hard.si <= X).argmax())] if (c.hard.si <= X).any() else run.t[-1]
        f = max(f, float(hard) + c.leak_check.si)
    return 0.0, b, d, e, f


def oven_air(g: Ground) -> tuple[np.ndarray, np.ndarray]:
    """Return times [s] and air temperatures [K] of the oven cycle."""
    c, resin = g.clock, g.asked.resin
    assert resin.cure_temperature is not None
    dwell = max(resin.cure_temperature.si - c.dwell_below.si, g.base)
    a, b, d, e, _ = oven_times(dataclasses.replace(g, warming=None))
    cure = resin.cure_temperature.si
    return np.array([a, b, d, e]), np.array([g.base, dwell, dwell, cure])
