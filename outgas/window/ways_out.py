"""Ways out, each with its number."""

import math
from collections.abc import Callable

from outgas.constants import STANDARD_GRAVITY
from outgas.errors import OutgasError
from outgas.job.degassed import usual
from outgas.job.job import Job
from outgas.job.process import pressing
from outgas.laminate.case import Case, degassed, hottest_vapour
from outgas.laminate.prepreg import drying_K
from outgas.physics.chance import Band
from outgas.show.amounts import HOUR_S, celsius, celsius_down
from outgas.show.report import Amount, At, Line, bound, joined
from outgas.tables import catalogue
from outgas.window.behind import WayKind, WayOut
from outgas.window.defaults import case_of
from outgas.window.pot import pot_ends
from outgas.window.prepreg import Held, held_of, pressure_to_pass, sealed_in
from outgas.window.press import least_borne, weights_do
from outgas.window.refusals import reasons, refuse
from outgas.window.verdict import hours_of
from outgas.window.window import Window, window_of

BISECTIONS = 11  # to half a millibar of air, or a fiftieth of a kelvin: finer than it is printed
LEAST_WARMTH_K = 1.0  # over the shop: no laminate is kept cooler than that
COLDEST_K = 263.15
DRY_AIR = 0.35  # what a heated or dehumidified shop can reach
WORTH_SAYING_PA = 1000.0


def _opens(job: Job, case: Case | None = None) -> bool:
    """Return whether a job has a window that can be held."""
    return window_of(job, case).setpoint is not None


def _hold(pressure: float) -> tuple[At]:
    """Return a pressure to hold, rounded towards less vacuum."""
    return (bound(pressure),)


def _base(job: Job) -> float:
    """Return the warmer of air and tool [K]."""
    return max(job.shop.temperature_K, job.shop.tool_temperature_K)


def _at(job: Job, pressure: float) -> Line:
    """Say what may be done at a pressure or above; in a press it is the resin's, on no dial."""
    if job.process.pressed:
        return Line("cure at {} or above", (bound(pressure, off_dial=True),))
    verb = "degas" if job.process.pot else "cure"
    return Line(f"{verb} at {{}} or above", _hold(pressure))


def ways_out(window: Window) -> tuple[WayOut, ...]:
    """Return what would allow a deeper bag or open a window, the ones that open it first.

    Among those the cheap ones first: what is only said or read, then a debulk and a pot, then a
    cooler and a drier shop; presses and other resins last.
    """
    job, case = window.job, window.case
    if window.held is not None:
        return _prepreg_ways(job, case, window.held)
    found = [way for way in _candidates(job, case, window) if way is not None]
    return tuple(sorted(found, key=lambda way: not way.opens))


def _candidates(job: Job, case: Case, window: Window) -> list[WayOut | None]:
    closed = window.setpoint is None
    ways: list[WayOut | None] = [_tool_named(job, window)]
    if closed:
        ways.append(_better_read(job, window))
    ways += [_debulked(job, window), _potted(job, case, window)]
    if closed:
        ways += [_seeded(job, case), _cooler(job), _cooler_cure(job, case)]
    ways += [_drier(job, window), _slower(job, window), _staged(job, window)]
    ways.append(_stronger_core(job, window))
    if closed:
        ways += [_pressed_harder(job, window), _other_resin(job)]
    if closed or window.deepest > window.shallowest:
        ways.append(_pressed(job))
    return ways


def _opening(kind: WayKind, job: Job, said: Line | str, deepest: float) -> WayOut:
    """Return a way that opens a window, and how deep it lets one go."""
    return WayOut(kind, joined((said, ": ", _at(job, deepest))), deepest, True)


def _way(kind: WayKind, job: Job, case: Case, was: float, said: Line | str) -> WayOut | None:
    """Return a way with its window, unless it changes too little to be worth saying."""
    after = window_of(job, case)
    hold = after.setpoint
    if was - after.deepest < WORTH_SAYING_PA:
        return None
    then = Line("; not enough alone")
    if hold is not None:
        then = Line("; then hold {}", (bound(hold, off_dial=job.process.pressed),))
    line = joined((said, ": ", _at(job, after.deepest), then))
    return WayOut(kind, line, after.deepest, hold is not None)


def _debulked(job: Job, window: Window) -> WayOut | None:
    """Debulk first, where that was left out."""
    if job.debulk or not job.process.debulk:
        return None
    with_one = job.but(debulk=True)
    after = window_of(with_one)
    if after.debulk is None:
        return None
    said = Line(
        "debulk first at {} while the resin is thin, until it is quiet", _hold(after.debulk)
    )
    return _way("debulk", with_one, after.case, window.deepest, said)


def _potted(job: Job, case: Case, window: Window) -> WayOut | None:
    """Degas in a pot held clear of boiling by the error of reading."""
    if job.process.pot or job.pot is not None or job.air_Pa is not None:
        return None
    _, pot, _ = pot_ends(job, case)
    if pot >= case.barometer_Pa:
        return None
    said = Line(
        "degas the resin, before any initiator, in a pot at {}, seeded and stirred", _hold(pot)
    )
    pulled = degassed(case, usual(pot, worked=True))
    return _way("pot", job, pulled, window.deepest, said)


def _furthest_open(opens: Callable[[float], bool], low: float, high: float) -> float | None:
    """Return how far from low towards high a window stays open; None if not even at low."""
    if high <= low or not opens(low):
        return None
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if opens(middle) else (low, middle)
    return low


def _seeded(job: Job, case: Case) -> WayOut | None:
    """Find how much of the air must go for a window to open."""
    full = case.dissolved_Pa.nominal

    def at(p_air: float) -> Window:
        return window_of(job, case.but(dissolved_Pa=Band.exact(p_air)))

    if job.process.pot or job.process.pressed:
        return None
    left = _furthest_open(lambda p_air: at(p_air).setpoint is not None, 0.0, full)
    if left is None:
        return None
    said = Line(
        f"take {math.ceil(100.0 * (1.0 - left / full))}% of the dissolved air out (air pressure "
        "{} or less), by degassing with seeded bubbles and stirring",
        (bound(left, weaker=False, off_dial=True),),
    )
    return _opening("air out", job, said, at(left).deepest)


def _cooler(job: Job) -> WayOut | None:
    """Find how cool the shop must be for a window to open, all else kept."""
    now = job.shop.temperature_K

    def at(T: float) -> Window:
        step = T - now
        named = ("hottest_K", "hottest_high_K")
        held = {name: getattr(job, name) for name in named}
        hottest = {name: T + step for name, T in held.items() if T is not None}
        tool = job.shop.tool_temperature_K + step
        shop = job.shop._moved(temperature_K=T, tool_temperature_K=tool)
        return window_of(job.but(shop=shop, **hottest))

    floor = max(COLDEST_K, job.resin.minimum_temperature.si)
    T = _furthest_open(lambda T: at(T).setpoint is not None, floor, now)
    if T is None:
        return None
    said = f"cool the shop, tool and resin to {celsius_down(T)}"
    return _opening("cooler", job, said, at(T).deepest)


def _cooler_cure(job: Job, case: Case) -> WayOut | None:
    """Find how cool the laminate must stay for a window to open, the shop as it is."""

    def at(T: float) -> Window:
        return window_of(job.but(hottest_K=T, hottest_high_K=None))

    base = max(case.shop_K, case.tool_K)
    T = _furthest_open(lambda T: at(T).setpoint is not None, base, case.hottest_K)
    if T is None or T - base < LEAST_WARMTH_K:
        return None
    how = "until it has gelled (thinner stages, slower)"
    said = f"keep the laminate below {celsius_down(T)} {how}"
    return _opening("cooler laminate", job, said, at(T).deepest)


def _slower(job: Job, window: Window) -> WayOut | None:
    """Take the least initiator that the sheet allows, where that keeps the laminate cooler."""
    if job.hottest_K is not None or not job.layup.plies:
        return None
    from outgas.laminate.batch import less_initiator

    slower = less_initiator(job)
    if slower is None or slower.initiator is None:
        return None
    said = f"use {slower.initiator:.1%} of initiator, the least its sheet allows"
    return _way("less initiator", slower, case_of(slower), window.deepest, said)


def _staged(job: Job, window: Window) -> WayOut | None:
    """Build in two stages, the first gelled and cooled before the second."""
    layers = job.layup.layers
    if job.hottest_K is not None or layers < 2 or job.process.preimpregnated:
        return None
    half = job.but(layup=job.layup.half())
    said = (
        f"laminate in two stages, {half.layup.layers} of the {layers} layers first, the second "
        "when the first has gelled and cooled (peel ply between)"
    )
    return _way("stages", half, case_of(half), window.deepest, said)


def _pressed_harder(job: Job, window: Window) -> WayOut | None:
    more = window.deepest - job.shop.barometer_Pa
    if not job.process.pressed or more <= 0.0:
        return None
    text = (
        "press so that the resin itself carries {} more: resin-rich, and stops that let it close; "
        "what the fibres carry does not count"
    )
    line = Line(text, (bound(more, off_dial=True),))
    return WayOut("press harder", line, window.deepest, False)


USUAL_TOOL = "18 mm plywood"  # of those that are usual, one that takes up little heat


def _better_read(job: Job, window: Window) -> WayOut | None:
    """Read by an absolute sensor instead of a dial, where that is what is missing."""
    if job.reads_with != "dial":
        return None
    good_to = catalogue.practice().reading.sensor.si
    hold = window_of(job.but(reads_with="sensor", sensor_Pa=good_to)).setpoint
    if hold is None:
        return None
    error = At(good_to, off_dial=True, nearest=True)
    text = "read an absolute sensor (good to {}) instead of a dial, and hold {}"
    return WayOut("sensor", Line(text, (error, *_hold(hold))), window.deepest, True)


def _tool_named(job: Job, window: Window) -> WayOut | None:
    """Say what lies under the laminate: unnamed it is taken to take up no heat."""
    layup = job.layup
    if not layup.plies or layup.tool is not None or job.hottest_K is not None:
        return None
    named = job.but(layup=layup.on_tool(USUAL_TOOL))
    said = f"name the tool it lies on; on {USUAL_TOOL}"
    return _way("tool", named, case_of(named), window.deepest, said)


def _stronger_core(job: Job, window: Window) -> WayOut | None:
    """Find the softest core that no longer limits, where the core does."""
    if job.layup.core is None or window.limits.limiting != "core":
        return None
    for core in sorted(catalogue.core_records(), key=least_borne):
        other = job.but(layup=job.layup.with_core(core))
        too_soft = least_borne(core) <= least_borne(job.layup.core)
        if too_soft or not core.offered or reasons(other):
            continue
        after = window_of(other)
        if after.limits.limiting != "core" and after.setpoint is not None:
            said = f"take a core that bears the clamp, as {core.title}"
            return _way("stronger core", other, case_of(other), window.deepest, said)
    return None


def _other_resin(job: Job) -> WayOut | None:
    """Find the shipped resin for this process that may be pulled deepest, if it opens a window."""
    if job.process.pot:
        return None
    others: list[tuple[float, Job]] = []
    for name in catalogue.resins():
        resin = catalogue.resin(name)
        made_for = {job.process.name, job.process.told_like} & set(resin.processes)
        if not made_for or name == job.resin.name or resin.reaction_gas:
            continue
        other = job.but(resin=resin, gel_s=None, initiator=None)  # those were this resin's own
        # without its own heat, which is quick to work out, it may go no deeper than this
        coolest = _base(job) if job.hottest_K is None else job.hottest_K
        try:
            refuse(other)
            others.append((window_of(other.but(hottest_K=coolest)).deepest, other))
        except OutgasError:
            continue
    best: tuple[float, str] | None = None
    for least, other in sorted(others, key=lambda pair: pair[0]):
        if best is not None and least >= best[0]:
            break
        try:
            after = window_of(other)
        except OutgasError:
            continue
        if after.setpoint is not None and (best is None or after.deepest < best[0]):
            best = (after.deepest, other.resin.title)
    if best is None:
        return None
    return _opening("other resin", job, f"use {best[1]}", best[0])


def _drier(job: Job, window: Window) -> WayOut | None:
    if job.shop.humidity <= DRY_AIR or job.water is not None:
        return None
    drier = job.but(shop=job.shop._moved(humidity=DRY_AIR))
    said = f"dry the shop, cloth and core to {DRY_AIR:.0%} humidity"
    return _way("drier", drier, case_of(drier), window.deepest, said)


def _pressed(job: Job) -> WayOut | None:
    clamp = job.process.clamp or pressing().clamp
    if clamp is None or (job.process.pot or job.process.pressed):
        return None
    core, area = job.layup.core, job.layup.area_m2
    if core is not None and least_borne(core) < clamp.si:
        return None  # a press crushes it as the bag does
    kilograms = clamp.si * (area or 1.0) / STANDARD_GRAVITY
    over = f"over this {area:g} m2 panel" if area else "per square metre of panel"
    how = "in a press or bolted box sections, not loose weights"
    if area and weights_do(kilograms):
        how = "which weights can bring, spread over a stiff caul"
    text = (
        f"press it instead: {{}} is {{}} {over}, {how}; the resin then stays at the atmosphere or "
        "above"
    )
    places = (
        Amount(clamp.si / 1e3, "kPa", f"{clamp.si / 1e3:.0f}", up=True),
        Amount(kilograms, "kg", f"{kilograms:,.0f}", up=True),
    )
    line = Line(text, places)
    return WayOut("press", line, None, _opens(job.but(process=pressing())))


def _prepreg_ways(job: Job, case: Case, held: Held) -> tuple[WayOut, ...]:
    """Say how dry, how long dried, or how hard pressed prepreg must be, the bag at full vacuum."""
    found = [_laid_up_drier(held)]
    if held.found.state != "passed":
        found += [
            _dried(case, held),
            _bled_less(job, case, held),
            _pressed_on(job, case, held),
        ]
    return tuple(sorted((way for way in found if way is not None), key=lambda way: not way.opens))


def _laid_up_drier(held: Held) -> WayOut | None:
    """Find how damp prepreg may be laid up."""
    most = 0 if held.drying.activity is None else math.floor(held.drying.activity * 100.0)
    if not 0 < most < 100:
        return None
    text = f"keep what it takes up below {most}% humidity: dry room, sealed bags, short lay-up"
    return WayOut("humidity", Line(text), None, True)


def _dried(case: Case, held: Held) -> WayOut | None:
    """Find how long prepreg dries under vacuum until it passes."""
    if not math.isfinite(held.drying.likely_s):
        return None
    shops = catalogue.prepreg().drying.hold
    low, high = (end / HOUR_S for end in (shops.low_si, shops.high_si))
    text = (
        f"dry it before the heat, under full vacuum at {celsius(drying_K(case))}: in all "
        f"{hours_of(held.drying)} (shops hold {low:.0f} to {high:.0f} h)"
    )
    return WayOut("vacuum drying", Line(text), None, math.isfinite(held.drying.slow_s))


def _bled_less(job: Job, case: Case, held: Held) -> WayOut | None:
    """Keep the resin in, where that is enough for it to hold its water down."""
    if (
        held.sealed
        or held_of(job, case, hottest_vapour(case), sealed_in(case)).found.state != "passed"
    ):
        return None
    text = "bag it so that no resin leaves it: solid film, dammed edges, breather over the film"
    return WayOut("no bleed", Line(text), None, True)


def _pressed_on(job: Job, case: Case, held: Held) -> WayOut | None:
    """Find how hard the bag must be pressed on for the resin to hold its water down."""
    more = pressure_to_pass(job, case, held)
    if more is None:
        return None
    bar = math.ceil(more / 1e4) / 10  # up to the next tenth
    text = f"cure with {bar:.1f} bar or more on the bag, in an autoclave or a press"
    return WayOut("pressure", Line(text), None, True)
