"""Ways out, each with its number."""

import itertools
import math
from collections.abc import Generator, Sequence
from typing import TypeAlias

from outgas.constants import STANDARD_GRAVITY, ZERO_CELSIUS_K
from outgas.errors import OutgasError
from outgas.job.degassed import usual
from outgas.job.job import Job
from outgas.job.process import pressing
from outgas.laminate.batch import cup_gel, less_initiator
from outgas.laminate.case import degassed
from outgas.physics.chance import Band
from outgas.show.amounts import SLACK, celsius_down, minutes_up
from outgas.show.report import Amount, At, Line, bound, joined
from outgas.tables import catalogue
from outgas.window.behind import WayKind, WayOut
from outgas.window.pot import pot_ends
from outgas.window.refusals import reasons
from outgas.window.ways.press import least_borne, weights_do
from outgas.window.ways.ways_of_prepreg import ways_of_prepreg
from outgas.window.window import Trial, Window, windows_for

LEAST_WARMTH_K = 1.0  # over the shop: no laminate is kept cooler than that
COLDEST_K = 263.15
DRY_AIR = 0.35  # what a heated or dehumidified shop can reach
WORTH_SAYING_PA = 1000.0


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


# A way in the making: it yields what it wants tried, is sent the windows, ends as a way or none.
Making: TypeAlias = Generator[Sequence[Trial], list[Window | None], WayOut | None]


def ways_out(window: Window) -> tuple[WayOut, ...]:
    """Return what would allow a deeper bag or open a window, the ones that open it first.

    Among those the cheap ones first: what is only said or read, then a debulk and a pot, then a
    cooler and a drier shop; presses and other resins last.
    """
    if window.held is not None:
        return ways_of_prepreg(window.job, window.case, window.held)
    found = [way for way in together(_candidates(window)) if way is not None]
    return tuple(sorted(found, key=lambda way: not way.opens))


def together(made: Sequence[Making]) -> list[WayOut | None]:
    """Make ways in step: what all of them want tried next is worked as one, heat and gas."""
    found: dict[int, WayOut | None] = {}
    wanted: dict[int, Sequence[Trial]] = {}

    def go_on(i: int, tried: list[Window | None] | None) -> None:
        try:
            wanted[i] = next(made[i]) if tried is None else made[i].send(tried)
        except StopIteration as end:
            found[i] = end.value

    for i in range(len(made)):
        go_on(i, None)
    while wanted:
        asked, wanted = wanted, {}
        worked = iter(windows_for([trial for trials in asked.values() for trial in trials]))
        for i, trials in asked.items():
            some = [next(worked) for _ in trials]
            go_on(i, [None if isinstance(each, OutgasError) else each for each in some])
    return [found[i] for i in range(len(made))]


def _candidates(window: Window) -> list[Making]:
    closed = window.setpoint is None
    made = [_tool_named(window)]
    if closed:
        made += [_better_read(window), _low_gas(window)]
    made += [_debulked(window), _potted(window)]
    if closed:
        made += [_seeded(window), _cooler(window), _cooler_cure(window)]
    made += [_drier(window), _slower(window), _staged(window), _stronger_core(window)]
    if closed:
        made += [_timed(window), _pressed_harder(window), _other_resin(window)]
    if closed or window.deepest > window.shallowest:
        made.append(_pressed(window))
    return made


def _opening(kind: WayKind, job: Job, said: Line | str, deepest: float) -> WayOut:
    """Return a way that opens a window, and how deep it lets one go."""
    return WayOut(kind, joined((said, ": ", _at(job, deepest))), deepest, True)


def _way(kind: WayKind, after: Window | None, was: float, said: Line | str) -> WayOut | None:
    """Return a way with its window, unless it changes too little to be worth saying."""
    if after is None or was - after.deepest < WORTH_SAYING_PA:
        return None
    then = Line("; not enough alone")
    if after.setpoint is not None:
        pressed = after.job.process.pressed
        then = Line("; then hold {}", (bound(after.setpoint, off_dial=pressed),))
    line = joined((said, ": ", _at(after.job, after.deepest), then))
    return WayOut(kind, line, after.deepest, after.setpoint is not None)


def _debulked(window: Window) -> Making:
    """Debulk first, where that was left out."""
    job = window.job
    if job.debulk or not job.process.debulk:
        return None
    (after,) = yield [job.but(debulk=True)]
    if after is None or after.debulk is None:
        return None
    least = minutes_up(after.case.early_s)
    text = f"debulk first at {{}} while the resin is thin, {least} or more, until it is quiet"
    said = Line(text, _hold(after.debulk))
    return _way("debulk", after, window.deepest, said)


def _potted(window: Window) -> Making:
    """Degas in a pot held clear of boiling by the error of reading."""
    job, case = window.job, window.case
    if job.process.pot or job.pot is not None or job.air_Pa is not None:
        return None
    _, pot, _ = pot_ends(job, case)
    if pot >= case.barometer_Pa:
        return None
    said = Line(
        "degas the resin, before any initiator, in a pot at {}, seeded and stirred", _hold(pot)
    )
    (after,) = yield [(job, degassed(case, usual(pot, worked=True)))]
    return _way("pot", after, window.deepest, said)


Found: TypeAlias = tuple[int, Window] | None


def _least(changes: Sequence[Trial]) -> Generator[Sequence[Trial], list[Window | None], Found]:
    """Find the first of ever greater changes that opens a window; what opens one stays open beyond.

    Some marks are tried at once, then all between the first that opens and the one before.
    """
    step = max(1, math.isqrt(len(changes)))
    marks = sorted({*range(step - 1, len(changes), step), len(changes) - 1}) if changes else []
    tried = yield [changes[i] for i in marks]
    opens = [i for i, after in zip(marks, tried, strict=True) if _is_open(after)]
    if not opens:
        return None
    last = opens[0]
    between = range(max((i for i in marks if i < last), default=-1) + 1, last + 1)
    for i, after in zip(between, (yield [changes[i] for i in between]), strict=True):
        if after is not None and after.setpoint is not None:
            return i, after
    return None


def _is_open(window: Window | None) -> bool:
    return window is not None and window.setpoint is not None


def _seeded(window: Window) -> Making:
    """Find how many per cent of the air must go for a window to open."""
    job, case = window.job, window.case
    if job.process.pot or job.process.pressed:
        return None
    full = case.dissolved_Pa.nominal
    left = [full * (1.0 - percent / 100.0) for percent in range(1, 100)]
    least = yield from _least([(job, case.but(dissolved_Pa=Band.exact(p))) for p in left])
    if least is None:
        return None
    i, after = least
    said = Line(
        f"take {i + 1}% of the dissolved air out (air pressure {{}} or less), by degassing with "
        "seeded bubbles and stirring",
        (bound(left[i], weaker=False, off_dial=True),),
    )
    return _opening("air out", job, said, after.deepest)


def _whole_below(warm: float, cold: float) -> list[float]:
    """Return the whole degrees Celsius below a temperature and not below another, as kelvin."""
    top, end = math.ceil(warm - ZERO_CELSIUS_K - SLACK), math.ceil(cold - ZERO_CELSIUS_K - SLACK)
    return [ZERO_CELSIUS_K + degrees for degrees in range(top - 1, end - 1, -1)]


def _cooler(window: Window) -> Making:
    """Find how cool shop, tool and resin must be for a window to open, all else kept."""
    job, shop = window.job, window.job.shop

    def at(T: float) -> Job:
        named = {name: getattr(job, name) for name in ("hottest_K", "hottest_high_K")}
        step = T - shop.temperature_K
        hottest = {name: hot + step for name, hot in named.items() if hot is not None}
        tool = min(shop.tool_temperature_K, T)
        return job.but(shop=shop._moved(temperature_K=T, tool_temperature_K=tool), **hottest)

    coldest = max(COLDEST_K, job.resin.minimum_temperature.si)
    degrees = _whole_below(shop.temperature_K, coldest)
    least = yield from _least([at(T) for T in degrees])
    if least is None:
        return None
    i, after = least
    said = f"cool the shop, tool and resin to {celsius_down(degrees[i])}"
    return _opening("cooler", job, said, after.deepest)


def _cooler_cure(window: Window) -> Making:
    """Find how cool the laminate must stay for a window to open, the shop as it is."""
    job, case = window.job, window.case
    coolest = max(case.shop_K, case.tool_K) + LEAST_WARMTH_K
    degrees = _whole_below(case.hottest_K, coolest)
    least = yield from _least([job.but(hottest_K=T, hottest_high_K=None) for T in degrees])
    if least is None:
        return None
    i, after = least
    how = "until it has gelled (thinner stages, slower)"
    said = f"keep the laminate below {celsius_down(degrees[i])} {how}"
    return _opening("cooler laminate", job, said, after.deepest)


def _slower(window: Window) -> Making:
    """Take the least initiator that the sheet allows, where that keeps the laminate cooler."""
    job = window.job
    slower = less_initiator(job) if job.hottest_K is None and job.layup.plies else None
    if slower is None or slower.initiator is None:
        return None
    said = f"use {slower.initiator:.1%} of initiator, the least its sheet allows"
    (after,) = yield [slower]
    return _way("less initiator", after, window.deepest, said)


def _timed(window: Window) -> Making:
    """Find from which gel time of a cup a window opens, where the sheet's doubt of it closes it.

    It stays open for each slower cup that is tried, up to the slowest that the sheet allows, or it
    is no way; who gives a gel time between is advised by that.
    """
    job = window.job
    warms = job.hottest_K is None and job.layup.plies and job.resin.cure_temperature is None
    if not warms or job.gel_s is not None:
        return None
    sheet = cup_gel(job.curing, job.shop.temperature_K, job.initiator)
    if sheet is None:
        return None
    low, high = (gel / 60.0 for gel in sheet.gels_s)
    minutes = range(math.ceil(low - SLACK), math.floor(high + SLACK) + 1)
    gels = [60.0 * minute for minute in reversed(minutes)]
    step = max(1, math.isqrt(len(gels)))
    tried = yield [job.but(gel_s=gel) for gel in gels[::step]]
    opens = list(itertools.takewhile(_is_open, tried))
    if not opens:
        return None
    last = step * (len(opens) - 1)
    quicker = gels[last + 1 : last + step]
    more = list(itertools.takewhile(_is_open, (yield [job.but(gel_s=gel) for gel in quicker])))
    least, most = gels[last + len(more)] / 60.0, gels[0] / 60.0
    late = f"{least:.0f} min" if least == most else f"{least:.0f} to {most:.0f} min"
    said = f"time a cup of this batch in this shop; if it gels in {late}, give that gel time"
    deepest = max(after.deepest for after in (*opens, *more) if after is not None)
    return _opening("timed cup", job, said, deepest)


def _staged(window: Window) -> Making:
    """Build in two stages, the first gelled and cooled before the second."""
    job, layers = window.job, window.job.layup.layers
    if job.hottest_K is not None or layers < 2:
        return None
    half = job.but(layup=job.layup.half())
    said = (
        f"laminate in two stages, {half.layup.layers} of the {layers} layers first, the second "
        "when the first has gelled and cooled (peel ply between)"
    )
    (after,) = yield [half]
    return _way("stages", after, window.deepest, said)


def _pressed_harder(window: Window) -> Making:
    """Say what the resin itself must carry more in a press."""
    yield ()
    more = window.deepest - window.job.shop.barometer_Pa
    if not window.job.process.pressed or more <= 0.0:
        return None
    text = (
        "press so that the resin itself carries {} more: resin-rich, and stops that let it close; "
        "what the fibres carry does not count"
    )
    line = Line(text, (bound(more, off_dial=True),))
    return WayOut("press harder", line, window.deepest, False)


USUAL_TOOL = "18 mm plywood"  # of those that are usual, one that takes up little heat


def _low_gas(window: Window) -> Making:
    """Take an initiator that gives off no gas, where this one does."""
    if window.course.made is None:
        return None
    (after,) = yield [window.job.but(low_gas=True)]
    said = "take an initiator that gives off little gas, if the resin's sheet names one"
    return _way("low-gas initiator", after, window.deepest, said)


def _better_read(window: Window) -> Making:
    """Read by an absolute sensor instead of a dial, where that is what is missing."""
    if window.job.reads_with != "dial":
        return None
    good_to = catalogue.practice().reading.sensor.si
    (after,) = yield [window.job.but(reads_with="sensor", sensor_Pa=good_to)]
    if after is None or after.setpoint is None:
        return None
    error = At(good_to, off_dial=True, nearest=True)
    text = "read an absolute sensor (good to {}) instead of a dial, and hold {}"
    return WayOut("sensor", Line(text, (error, *_hold(after.setpoint))), window.deepest, True)


def _tool_named(window: Window) -> Making:
    """Say what lies under the laminate: unnamed it is taken to take up no heat."""
    job, layup = window.job, window.job.layup
    if not layup.plies or layup.tool is not None or job.hottest_K is not None:
        return None
    (after,) = yield [job.but(layup=layup.on_tool(USUAL_TOOL))]
    return _way("tool", after, window.deepest, f"name the tool it lies on; on {USUAL_TOOL}")


def _stronger_core(window: Window) -> Making:
    """Find the softest core that no longer limits, where the core does."""
    job, now = window.job, window.job.layup.core
    if now is None or window.limits.limiting != "core":
        return None
    harder = [core for core in catalogue.core_records() if least_borne(core) > least_borne(now)]
    harder = [core for core in sorted(harder, key=least_borne) if core.offered]
    others = [job.but(layup=job.layup.with_core(core)) for core in harder]
    others = [other for other in others if not reasons(other)]
    for after in (yield others):
        if after is None or after.limits.limiting == "core" or after.setpoint is None:
            continue
        assert after.job.layup.core is not None
        said = f"take a core that bears the clamp, as {after.job.layup.core.title}"
        return _way("stronger core", after, window.deepest, said)
    return None


def _other_resin(window: Window) -> Making:
    """Find the shipped resin for this process that may be pulled deepest, if it opens a window."""
    job = window.job
    if job.process.pot:
        return None
    uses = {job.process.name, job.process.told_like}
    shipped = [catalogue.resin(name) for name in catalogue.resins() if name != job.resin.name]
    fit = [r for r in shipped if uses & set(r.processes) and not r.reaction_gas]
    # its gel time and its initiator were this resin's own
    others = [job.but(resin=resin, gel_s=None, initiator=None) for resin in fit]
    others = [other for other in others if not reasons(other)]
    # without its own heat, which costs little, it goes as deep as it ever may
    coolest = _base(job) if job.hottest_K is None else job.hottest_K
    cool = yield [other.but(hottest_K=coolest) for other in others]
    others = [other for other, after in zip(others, cool, strict=True) if _is_open(after)]
    opened = [after for after in (yield others) if after is not None and _is_open(after)]
    if not opened:
        return None
    best = min(opened, key=lambda after: after.deepest)
    return _opening("other resin", job, f"use {best.job.resin.title}", best.deepest)


def _drier(window: Window) -> Making:
    """Dry the shop, where it is not dry already."""
    job = window.job
    if job.shop.humidity <= DRY_AIR or job.water is not None:
        return None
    (after,) = yield [job.but(shop=job.shop._moved(humidity=DRY_AIR))]
    said = f"dry the shop, cloth and core to {DRY_AIR:.0%} humidity"
    return _way("drier", after, window.deepest, said)


def _pressed(window: Window) -> Making:
    """Press it instead of bagging it, and how hard."""
    job = window.job
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
    (after,) = yield [job.but(process=pressing())]
    alone = "" if _is_open(after) else "; not enough alone"
    return WayOut("press", Line(text + alone, places), None, not alone)
