"""Ways out, each with its number, and which input would change the answer most."""

import dataclasses
import math
from collections.abc import Callable
from typing import Any

from outgas import catalogue, units
from outgas.advice.asked import Inputs, refuse
from outgas.advice.diagnosis import mbar_up
from outgas.advice.limits import (
    Band,
    Case,
    after_pull,
    hottest_vapour,
    monomer_pressures,
    process_of,
    vapour,
    water_pressure,
    water_spread,
)
from outgas.advice.opening import (
    Window,
    case_of,
    debulked,
    margin_of,
    resin_pressure,
    window_of,
)
from outgas.advice.record import Influence, WayOut
from outgas.errors import OutgasError
from outgas.physics.flow import STANDARD_GRAVITY

BISECTIONS = 11  # to half a millibar of air, or a fiftieth of a kelvin: finer than it is printed
COLDEST_K = 263.15
WARMER_K = 3.0
WETTER = 0.10
WEATHER_PA = 1500.0  # an ordinary swing of the barometer
DRY_AIR = 0.35  # what a heated or dehumidified shop can reach
TRACE = 0.01
FINER_VOIDS = 0.5
LESS_AIR = 0.8
WORTH_SAYING_PA = 1000.0


def _mbar(pressure: float) -> str:
    return f"{pressure / 100:.0f} mbar"


def _up(pressure: float) -> str:
    """Return a pressure to hold, rounded towards less vacuum."""
    return f"{mbar_up(pressure)} mbar"


def _base(asked: Inputs) -> float:
    """Return the warmer of air and tool [K]."""
    return max(asked.shop.temperature_K, asked.shop.tool_temperature_K)


def _at(asked: Inputs, pressure: float) -> str:
    """Say what may be done at a pressure or above."""
    return f"{'degas' if asked.process == 'degassing' else 'cure'} at {_up(pressure)} or above"


def ways_out(asked: Inputs, case: Case, window: Window) -> tuple[WayOut, ...]:
    """Return what would allow a deeper bag or open a window, the ones that open it first."""
    if asked.process == "prepreg":
        return _prepreg_ways(asked, case)
    found = [way for way in _candidates(asked, case, window) if way is not None]
    return tuple(sorted(found, key=lambda way: not way.opens))


def _candidates(asked: Inputs, case: Case, window: Window) -> list[WayOut | None]:
    closed = window.setpoint is None
    ways: list[WayOut | None] = [_debulked(asked, case, window), _potted(asked, case, window)]
    if closed:
        ways += [_seeded(asked, case), _cooler(asked), _cooler_cure(asked, case)]
        ways += [_better_read(asked, window), _softer_hold(asked, window)]
        ways += [_other_resin(asked), _pressed_harder(asked, window)]
    ways += [_slower(asked, window), _staged(asked, window)]
    ways.append(_drier(asked, window))
    if closed or window.deepest > window.shallowest:
        ways.append(_pressed(asked))
    return ways


def _way(asked: Inputs, case: Case, was: float, text: str) -> WayOut | None:
    """Return a way with its window, unless it changes too little to be worth saying."""
    after = window_of(asked, case)
    opens = after.setpoint is not None
    if was - after.deepest < WORTH_SAYING_PA:
        return None
    hold = f"; then hold {_up(after.setpoint)}" if after.setpoint is not None else ""
    end = "" if opens else "; not enough alone"
    return WayOut(f"{text}: {_at(asked, after.deepest)}{hold}{end}", after.deepest, opens)


def _debulked(asked: Inputs, case: Case, window: Window) -> WayOut | None:
    if asked.process in ("degassing", "pressing"):
        return None
    early = "fill" if asked.process == "infusion" else "debulk first"
    text = f"{early} at {_up(window.debulk_hold)} while the resin is thin, until it is quiet"
    return _way(asked, debulked(case, window), window.deepest, text)


def _potted(asked: Inputs, case: Case, window: Window) -> WayOut | None:
    """Degas in a pot held clear of boiling by the error of reading."""
    if asked.process == "degassing" or asked.pot_Pa is not None or asked.air_Pa is not None:
        return None
    pot = vapour(case, case.shop_K).high / case.vapour_share
    pot += margin_of(asked.but(process="degassing"), pot)
    if pot >= case.barometer_Pa:
        return None
    text = f"degas the resin, before any initiator, in a pot at {_up(pot)}"
    pulled = after_pull(case, pot, catalogue.practice().gas.pot_removed)
    return _way(asked, pulled, window.deepest, text)


def _furthest_open(opens: Callable[[float], bool], low: float, high: float) -> float | None:
    """Return how far from low towards high a window stays open; None if not even at low."""
    if high <= low or not opens(low):
        return None
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if opens(middle) else (low, middle)
    return low


def _seeded(asked: Inputs, case: Case) -> WayOut | None:
    """Find how much of the air must go for a window to open."""
    full = case.dissolved_Pa.value

    def at(p_air: float) -> Window:
        return window_of(asked, case.but(dissolved_Pa=Band.exact(p_air)))

    if asked.process in ("degassing", "pressing"):
        return None
    left = _furthest_open(lambda p_air: at(p_air).setpoint is not None, 0.0, full)
    if left is None:
        return None
    deepest = at(left).deepest
    text = (
        f"take {1 - left / full:.0%} of the dissolved air out (air pressure {_mbar(left)} or "
        f"less), by degassing with seeded bubbles and stirring: {_at(asked, deepest)}"
    )
    return WayOut(text, deepest, True)


def _cooler(asked: Inputs) -> WayOut | None:
    """Find how cool the shop must be for a window to open, all else kept."""
    now = asked.shop.temperature_K

    def at(T: float) -> Window:
        step = T - now
        hottest = None if asked.hottest_K is None else asked.hottest_K + step
        tool = asked.shop.tool_temperature_K + step
        shop = asked.shop.but(temperature_K=T, tool_temperature_K=tool)
        return window_of(asked.but(shop=shop, hottest_K=hottest))

    floor = max(COLDEST_K, asked.resin.minimum_temperature.si)
    T = _furthest_open(lambda T: at(T).setpoint is not None, floor, now)
    if T is None:
        return None
    text = f"cool the shop, tool and resin to {T - units.ZERO_CELSIUS_K:.0f} degC"
    return WayOut(f"{text}: {_at(asked, at(T).deepest)}", at(T).deepest, True)


def _cooler_cure(asked: Inputs, case: Case) -> WayOut | None:
    """Find how cool the laminate must stay for a window to open, the shop as it is."""

    def at(T: float) -> Window:
        return window_of(asked.but(hottest_K=T))

    base = max(case.shop_K, case.tool_K)
    T = _furthest_open(lambda T: at(T).setpoint is not None, base, case.hottest_K)
    if T is None:
        return None
    how = "until it has gelled (thinner stages, slower)"
    text = f"keep the laminate below {T - units.ZERO_CELSIUS_K:.0f} degC {how}"
    return WayOut(f"{text}: {_at(asked, at(T).deepest)}", at(T).deepest, True)


def _slower(asked: Inputs, window: Window) -> WayOut | None:
    """Take the least initiator that the sheet allows, where that keeps the laminate cooler."""
    if asked.hottest_K is not None or not asked.layup.plies:
        return None
    from outgas.advice.pace import less_initiator

    slower = less_initiator(asked)
    if slower is None or slower.initiator is None:
        return None
    text = f"use {slower.initiator:.1%} of initiator, the least its sheet allows"
    return _way(slower, case_of(slower), window.deepest, text)


def _staged(asked: Inputs, window: Window) -> WayOut | None:
    """Build in two stages, the first gelled and cooled before the second."""
    layers = asked.layup.layers
    if asked.hottest_K is not None or layers < 2 or asked.process == "prepreg":
        return None
    half = asked.but(layup=asked.layup.half())
    text = (
        f"laminate in two stages, {half.layup.layers} of the {layers} layers first, the second "
        "when the first has gelled and cooled (peel ply between)"
    )
    return _way(half, case_of(half), window.deepest, text)


def _pressed_harder(asked: Inputs, window: Window) -> WayOut | None:
    more = window.deepest - asked.shop.barometer_Pa
    if asked.process != "pressing" or more <= 0.0:
        return None
    text = (
        f"press so that the resin itself carries {_mbar(more)} more: resin-rich, and stops that "
        "let it close; what the fibres carry does not count"
    )
    return WayOut(text, window.deepest, False)


def _better_read(asked: Inputs, window: Window) -> WayOut | None:
    other = window_of(asked.but(reads_with="water"))
    if asked.reads_with != "dial" or other.setpoint is None:
        return None
    text = f"read the pressure by boiling water instead of a dial and hold {_up(other.setpoint)}"
    return WayOut(text, window.deepest, True)


def _softer_hold(asked: Inputs, window: Window) -> WayOut | None:
    hold = window.deepest + window.margin
    if asked.process != "infusion" or hold >= asked.shop.barometer_Pa:
        return None
    text = (
        f"after the fill let the vent up and hold it at {_up(hold)}: "
        "void-safe, though it clamps less than infusion likes; fibre content will be lower"
    )
    return WayOut(text, window.deepest, False)


def _other_resin(asked: Inputs) -> WayOut | None:
    """Find the shipped resin for this process that may be pulled deepest, if it opens a window."""
    if asked.process == "degassing":
        return None
    others: list[tuple[float, Inputs]] = []
    for name in catalogue.resins():
        resin = catalogue.resin(name)
        if asked.process not in resin.processes or name == asked.resin.name or resin.reaction_gas:
            continue
        other = asked.but(resin=resin, gel_s=None, initiator=None)  # those were this resin's own
        # without its own heat, which is quick to work out, it may go no deeper than this
        coolest = _base(asked) if asked.hottest_K is None else asked.hottest_K
        try:
            refuse(other)
            others.append((window_of(other.but(hottest_K=coolest)).deepest, other))
        except OutgasError:
            continue
    best: tuple[float, str] | None = None
    for bound, other in sorted(others, key=lambda pair: pair[0]):
        if best is not None and bound >= best[0]:
            break
        try:
            after = window_of(other)
        except OutgasError:
            continue
        if after.setpoint is not None and (best is None or after.deepest < best[0]):
            best = (after.deepest, other.resin.title)
    if best is None:
        return None
    return WayOut(f"use {best[1]}: {_at(asked, best[0])}", best[0], True)


def _drier(asked: Inputs, window: Window) -> WayOut | None:
    if asked.shop.humidity <= DRY_AIR or asked.water is not None:
        return None
    drier = asked.but(shop=asked.shop.but(humidity=DRY_AIR))
    text = f"dry the shop, cloth and core to {DRY_AIR:.0%} humidity"
    return _way(drier, case_of(drier), window.deepest, text)


def _pressed(asked: Inputs) -> WayOut | None:
    clamp = process_of(asked.process).clamp or process_of("pressing").clamp
    if clamp is None or asked.process in ("degassing", "pressing"):
        return None
    area = asked.layup.area_m2
    kilograms = clamp.si * (area or 1.0) / STANDARD_GRAVITY
    over = f"over this {area:g} m2 panel" if area else "per square metre of panel"
    text = (
        f"press it instead: {clamp.si / 1e3:.0f} kPa is {kilograms:,.0f} kg {over}, in a press or "
        "bolted box sections, not loose weights; the resin then stays at the atmosphere or above"
    )
    return WayOut(text, None, window_of(asked.but(process="pressing")).setpoint is not None)


def _prepreg_ways(asked: Inputs, case: Case) -> tuple[WayOut, ...]:
    """Say how dry, or how hard pressed, prepreg must be; the bag stays at full vacuum."""
    hot = hottest_vapour(case)
    pressure = resin_pressure(asked, window_of(asked, case), None)
    others = monomer_pressures(case.resin, case.contaminants, case.k, case.hottest_K)[1]
    pure = water_pressure(case.hottest_K) * (1.0 + case.k * water_spread(case.hottest_K))
    limit = max(0.0, pressure - others) / pure
    ways = []
    if limit < 1.0:
        text = (
            f"keep what it takes up below {math.floor(limit * 100)}% humidity: dry room, sealed "
            "bags, short lay-up"
        )
        ways.append(WayOut(text, None, True))
    if hot.high > pressure:
        more = hot.high - case.barometer_Pa
        bar = math.ceil(more / 1e4) / 10  # up to the next tenth
        text = f"cure with {bar:.1f} bar or more on the bag, in an autoclave or a press"
        ways.append(WayOut(text, None, True))
    return tuple(ways)


# What would change it most --------------------------------------------------------------------


def influences(asked: Inputs, window: Window) -> tuple[Influence, ...]:
    """Move one input at a time and return what each does to deepest, the greatest first."""
    found = []
    for argument, to, text, moved in _moves(asked):
        try:
            after = window_of(moved)
        except OutgasError:
            continue  # the move leaves a model's range
        if asked.process == "prepreg":
            change = after.limits.safe["vapour"] - window.limits.safe["vapour"]
        else:
            change = after.deepest - window.deepest
        found.append(Influence(argument, to, text, change))
    return tuple(sorted(found, key=lambda i: -abs(i.change_Pa)))


def _moves(asked: Inputs) -> list[tuple[str, str, str, Inputs]]:
    """Return (argument, new value as text, what it is in words, moved inputs)."""
    shop = asked.shop
    zero = units.ZERO_CELSIUS_K
    warmer = shop.temperature_K + WARMER_K
    moves: list[tuple[str, str, str, Inputs]] = []

    def add(argument: str, to: str, text: str, **changes: Any) -> None:
        moves.append((argument, to, text, dataclasses.replace(asked, **changes)))

    def add_shop(argument: str, to: str, text: str, **si: float) -> None:
        add(argument, to, text, shop=shop.but(**si))

    if asked.hottest_K is None:
        text = f"a shop {WARMER_K:.0f} K warmer"
        add_shop("temperature", f"{warmer:.9g} K", text, temperature_K=warmer)
    hot = case_of(asked).hottest_K + WARMER_K
    text = f"a laminate {WARMER_K:.0f} K hotter ({hot - zero:.0f} degC)"
    add("hottest", f"{hot:.9g} K", text, hottest_K=hot)
    if asked.water is None and shop.humidity < 1.0:
        wetter = min(1.0, shop.humidity + WETTER)
        text = f"humidity at {wetter:.0%}"
        add_shop("humidity", f"{wetter * 100:.9g} %", text, humidity=wetter)
    lower = shop.barometer_Pa - WEATHER_PA
    text = f"a barometer {WEATHER_PA / 100:.0f} mbar lower"
    add_shop("barometer", f"{lower / 100:.9g} mbar", text, barometer_Pa=lower)
    void = FINER_VOIDS * asked.void_target
    text = f"a void target of {void * 100:.2g} %"
    add("void_target", f"{void * 100:.9g} %", text, void_target=void)
    margins = catalogue.practice().margins
    twice = 2.0 * (margins.entrained.si if asked.entrained is None else asked.entrained)
    if twice <= 1.0:
        text = f"{twice:.1%} of air stirred in"
        add("entrained", f"{twice * 100:.9g} %", text, entrained=twice)
    less = LESS_AIR * case_of(asked).dissolved_Pa.value
    text = f"a fifth less air in the resin ({less / 100:.0f} mbar, known and not guessed)"
    add("air_pressure", f"{less / 100:.9g} mbar", text, air_Pa=less, pot_Pa=None)
    if not any(v.name == "acetone" for v, _ in asked.contaminants):
        trace = ((catalogue.volatile("acetone"), TRACE),)
        text = f"{TRACE:.0%} of acetone left in the rollers"
        add("contaminants", "acetone=1 %", text, contaminants=(*asked.contaminants, *trace))
    return moves
