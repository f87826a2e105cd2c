"""The no-gauge answers in words: the answer first, on the user's dial and in absolute mbar."""

import math
from collections.abc import Callable
from html import escape
from typing import Any

from outgas import constants, units
from outgas.no_gauge.bag_advice import BagAdvice
from outgas.no_gauge.belief import BagPressure
from outgas.no_gauge.bleed_hole import BleedHole, Held
from outgas.no_gauge.drop_test import DIAL_MINUTES, DropTest
from outgas.no_gauge.hold import LATE_S, LEAST_OFF_S, Hold
from outgas.no_gauge.next_observation import Candidate
from outgas.no_gauge.telltale import Telltale
from outgas.no_gauge.weighted_plate import ReliefValve
from outgas.show.dial import DEFAULT_DIAL, both, on_dial, read_dial
from outgas.show.report import block
from outgas.tables import catalogue

UNSURE = 0.05  # chance of being too deep above which one does not stay there
SEVERAL = 3  # further observations named after the best
LOOK_CAUTIONS = (
    "water only in the pot, never monomer, acetone or alcohol; the part shut off from it",
    "no glass, food jars or crazed plastic under vacuum, they implode; no mercury",
    "keep hands off a vacuum inlet; catch pot before the pump",
)
NO_HOLE = "none is sure to stay above the limit and still clamp: no pump is known that well"
SHEET = "the safety data sheet, local rules and licensed practice stand above this advice"


def answer_text(answer: Any, dial: str = DEFAULT_DIAL) -> str:
    """Return an answer as plain text; its first lines are what was asked."""
    writers: dict[type, Callable[[Any, str], str]] = {
        BagPressure: belief_text,
        BagAdvice: bag_text,
        Telltale: telltale_text,
        ReliefValve: plate_text,
        BleedHole: hole_text,
        Hold: hold_text,
        DropTest: drop_text,
    }
    return writers[type(answer)](answer, read_dial(dial))


def answer_html(answer: Any) -> str:
    """Return an answer for a notebook: its text, set as it stands."""
    return f"<pre>{escape(answer_text(answer))}</pre>"


def _join(*blocks: str) -> str:
    return "\n\n".join(block for block in blocks if block)


def _mbar(pressure: float) -> str:
    value = pressure / 100
    return f"{value:.1f}" if value < 10.0 else f"{value:.0f}"


def _deep(pressure: float, here: float, dial: str) -> str:
    return both(pressure, here, dial, weaker=False)


def _at(pressure: float, here: float, dial: str, *, weaker: bool) -> str:
    """Return a believed pressure on the dial and in mbar, the mbar to the nearest that is known."""
    absolute = f"{_mbar(pressure)} mbar absolute"
    return (
        absolute
        if dial == "mbar"
        else f"{on_dial(pressure, here, dial, weaker=weaker)} ({absolute})"
    )


def _percent(chance: float) -> str:
    """Return a chance in per cent, never rounded to none or to certain."""
    if chance < 0.01:
        return "under 1 %"
    return "over 99 %" if chance > 0.99 else f"{chance * 100:.0f} %"


def _celsius(kelvin: float) -> str:
    return f"{kelvin - constants.ZERO_CELSIUS_K:.1f} degC"


# Belief ---------------------------------------------------------------------------------------


def belief_lines(bag: BagPressure, dial: str) -> list[str]:
    """Return where the bag is believed to be, or which observations fight."""
    here = bag.barometer_Pa
    low, high = bag.pressure_at(0.05), bag.pressure_at(0.95)
    where = (
        f"near {_at(bag.pressure_at(0.5), here, dial, weaker=False)}; 90 % sure to be between "
        f"{_at(low, here, dial, weaker=False)} and {_at(high, here, dial, weaker=True)}"
    )
    if bag.contradictions:
        worst = bag.contradictions[0]
        return [
            f"These cannot both be right: '{worst.first}' and '{worst.second}'.",
            f"Find out which before you trust a number; with both counted the bag is {where}.",
        ]
    if not bag.evidence:
        return [f"Nothing is known yet, every factor of pressure alike: the bag is {where}."]
    return [f"The bag is {where}."]


def _evidence(bag: BagPressure) -> str:
    said = [str(e) for e in bag.evidence]
    return block("From", said + [f"contradiction: {c}" for c in bag.contradictions])


def belief_text(bag: BagPressure, dial: str, air_said: str = "") -> str:
    """Return a belief in words; air_said is how the air pressure was got."""
    air = air_said or f"air pressure: {bag.barometer_Pa / 100:.1f} mbar"
    return _join(
        "\n".join(belief_lines(bag, dial)),
        _evidence(bag),
        block("Assumed", [air, "all of it is about one and the same bag pressure"]),
        block("Cautions", [*LOOK_CAUTIONS, SHEET]),
    )


def bag_answer(said: BagAdvice, dial: str) -> list[str]:
    """Return the verdict on the bag for a resin, in two or three lines."""
    advice, here = said.advice, said.advice.barometer_Pa
    deepest = both(advice.deepest_Pa, here, dial)
    weakest = _deep(advice.shallowest_Pa, here, dial)
    verdicts = {
        "boiling": "too deep, and it may be boiling",
        "inside margin": "too deep, inside the margin of boiling",
        "debulk only": "fit for the debulk only, too deep to cure",
        "safe": "safe to cure",
        "too weak": "too weak to clamp, as far as can be told",
        "cannot tell": "cannot tell",
        **({"boiling": "does not matter yet"} if advice.process == "prepreg" else {}),
    }
    window = f"the cure wants {deepest} to {weakest}"
    if advice.setpoint_Pa is None:
        window = f"no vacuum is safe to cure at as it stands: the limit is {deepest}"
        if advice.deepest_Pa > here:
            window = (
                "no vacuum at all is safe to cure at as it stands: the limit is "
                f"{math.ceil(advice.deepest_Pa / 100)} mbar absolute, more than the air's"
            )
    if advice.process == "prepreg":
        return [
            f"Your bag: {verdicts[said.state]}; the cure wants full vacuum, never weaker than "
            f"{weakest}.",
            f"Chance that it is deep enough: {_percent(said.in_window)}; that it is too weak: "
            f"{_percent(said.too_weak)}. The prepreg itself: {advice.verdict}.",
        ]
    return [
        f"Your bag: {verdicts[said.state]}; {window}.",
        f"Chance that it boils {advice.resin_title}: {_percent(said.boils)}; that it boils or "
        f"froths it: {_percent(said.too_deep)}; that it is right: {_percent(said.in_window)}; that "
        f"it is too weak: {_percent(said.too_weak)}. That it is too deep even for the early debulk "
        f"({both(advice.debulk_limit_Pa, here, dial)}): {_percent(said.debulk_too_deep)}.",
    ]


def bag_text(said: BagAdvice, dial: str) -> str:
    """Return what a belief means for a resin in words."""
    best = said.next
    step = "Nothing cheap would tell more."
    if best is not None:
        step = f"Look next at {best.title} (about {best.minutes:.0f} minutes)."
    if said.state in ("boiling", "inside margin") and said.advice.process != "prepreg":
        step = f"Let air in at the pump first. {step}"
    if said.state == "cannot tell" and said.too_deep > UNSURE:
        step = f"Until that is known let air in at the pump: it may be too deep. {step}"
    if said.state == "boiling" and said.advice.process == "prepreg":
        step = "Dry the prepreg or add pressure first: no bag pressure mends it."
    if said.state == "debulk only":
        step = f"Come up before the resin thickens. {step}"
    return _join(
        "\n".join([*bag_answer(said, dial), step]),
        block("Believed", belief_lines(said.bag, dial)),
        _evidence(said.bag),
        look_text(best) if best is not None else "",
        others_text(said),
        block("Cautions", list(dict.fromkeys([*LOOK_CAUTIONS, *said.advice.cautions]))),
    )


def look_text(look: Candidate) -> str:
    """Return how one observation is made."""
    lines = [f"needs {look.needs}", *look.recipe, f"how it misleads: {look.misleads}"]
    return block("How to look", lines)


def others_text(said: BagAdvice) -> str:
    """Return what else could be looked at, and how much each is expected to tell."""
    left = [c for c in said.looks if said.next is None or c.name != said.next.name]
    first = [] if said.next is None else [str(said.next)]
    return block("What each would tell", [*first, *(str(c) for c in left[:SEVERAL])])


def next_text(said: BagAdvice, dial: str) -> str:
    """Return the next observation first, then what it would settle."""
    best = said.next
    if best is None:
        first = "Nothing cheap would tell more about this bag."
    else:
        first = f"Look at {best.title}: about {best.minutes:.0f} minutes, {best.bits:.2f} bits."
    ranked = block("What each would tell", [str(c) for c in said.looks])
    return _join(
        "\n".join([first, *bag_answer(said, dial)]),
        look_text(best) if best is not None else "",
        ranked,
        _evidence(said.bag),
        block("Cautions", [*LOOK_CAUTIONS, SHEET]),
    )


# Tell-tale ------------------------------------------------------------------------------------


def telltale_text(found: Telltale, dial: str) -> str:
    """Return two vials of water in words."""
    here = found.barometer_Pa
    first = (
        f"For the {found.stage}, two vials of water: the one at {_celsius(found.must_boil_K)} must "
        f"boil, the one at {_celsius(found.must_not_boil_K)} must boil first and then fall quiet."
    )
    second = (
        f"The bag is then no deeper than {both(found.floor_Pa, here, dial)}, near "
        f"{both(found.held_Pa, here, dial)}, and no weaker than "
        f"{both(found.roof_Pa, here, dial)}."
    )
    return _join(
        "\n".join([first, second]),
        block("How", list(found.recipe)),
        block("Cautions", list(found.cautions)),
    )


def no_vials(stage: str, instead: str) -> str:
    """Return that water cannot serve, and what can."""
    return f"For the {stage}, no vials of water: {instead}."


# Holding --------------------------------------------------------------------------------------


def _held(hole: Held, here: float, dial: str) -> str:
    span = f"{_mbar(hole.low_Pa)} to {_mbar(hole.high_Pa)} mbar"
    return f"{hole.name}: {both(hole.pressure_Pa, here, dial)}, may be {span}"


def plate_lines(plate: ReliefValve) -> list[str]:
    """Return the weighted plate in one line, and what weighs as much."""
    span = f"{_mbar(plate.low_Pa)} to {_mbar(plate.high_Pa)} mbar"
    return [
        f"{plate.mass_kg:.2f} kg, plate and weights together, on a {plate.bore_m * 1e3:.0f} mm "
        f"hole; lifts at {_mbar(plate.setpoint_Pa)} mbar, may be {span}",
        f"the weight: {'; or '.join(plate.weights)}",
        *plate.notes,
    ]


def plate_text(plate: ReliefValve, dial: str) -> str:
    """Return a weighted plate in words."""
    where = both(plate.setpoint_Pa, plate.barometer_Pa, dial)
    first = (
        f"Hold {where} with {plate.mass_kg:.2f} kg on a {plate.bore_m * 1e3:.0f} mm hole: plate "
        "and weights together."
    )
    return _join(
        first,
        block("Weighted plate", plate_lines(plate)),
        block("Cautions", list(plate.cautions)),
    )


def hole_lines(hole: BleedHole, dial: str) -> list[str]:
    """Return a bleed hole, real ones near it, and what moves it."""
    here = hole.barometer_Pa
    litres = hole.air_m3_s * 60e3
    return [
        f"a {hole.diameter_m * 1e3:.2f} mm hole, {litres:.0f} litres of shop air a minute; nearest "
        "that can be had, the pressure each gives and its 95 % range:",
        *([_held(real, here, dial) for real in hole.holes] or [NO_HOLE]),
        f"blocked: {_deep(hole.blocked_Pa, here, dial)}; 1000 m higher the same hole holds "
        f"{_mbar(hole.higher_Pa)} mbar; on a worn pump {_mbar(hole.worn_Pa)} mbar",
        *hole.notes,
    ]


def hole_text(hole: BleedHole, dial: str) -> str:
    """Return a bleed hole in words."""
    where = both(hole.setpoint_Pa, hole.barometer_Pa, dial)
    first = f"Hold {where} with a {hole.diameter_m * 1e3:.2f} mm hole at the pump's manifold."
    return _join(
        first,
        block("Bleed hole", hole_lines(hole, dial)),
        block("Cautions", list(hole.cautions)),
    )


def hold_text(found: Hold, dial: str) -> str:
    """Return every way to hold a setpoint, the best first."""
    here, plate = found.barometer_Pa, found.plate
    first = (
        f"Hold {both(found.setpoint_Pa, here, dial)} with {plate.mass_kg:.2f} kg on a plate over a "
        f"{plate.bore_m * 1e3:.0f} mm hole: best, for a worn pump does not move it."
    )
    if found.deepest_Pa is not None:
        deep = both(found.deepest_Pa, here, dial)
        sure = "even at its deep end" if plate.low_Pa >= found.deepest_Pa else "but it may pass it"
        first += f"\nNever deeper than {deep}: {sure} ({_mbar(plate.low_Pa)} mbar)."
    if found.shallowest_Pa is not None and found.setpoint_Pa > found.shallowest_Pa:
        weak = _deep(found.shallowest_Pa, here, dial)
        first += f"\nToo weak to clamp: it wants {weak} or deeper."
    if found.reach_Pa is not None and found.setpoint_Pa <= found.reach_Pa:
        likely = both(found.reach_Pa, here, dial)
        first += f"\nThis pump most likely comes to {likely} only, and the plate would not lift."
    hole = [f"none: {found.no_hole}"] if found.hole is None else hole_lines(found.hole, dial)
    switch = [f"none: {found.no_switching}"]
    if found.switching is not None:
        s = found.switching
        rest = "" if s.off_s >= LEAST_OFF_S else "; too often for a pump: find the leak"
        late = (
            f"; a hand {LATE_S:.0f} s late on the switch lets it fall to "
            f"{_mbar(s.late_Pa)} mbar" + ("" if s.steerable else ", too deep: use the plate")
        )
        switch = [
            f"off at {both(s.low_Pa, here, dial)}, on at {_deep(s.high_Pa, here, dial)}: "
            f"off for {s.off_s:.0f} s, on for {math.ceil(s.on_s)} s{late}{rest}"
        ]
    return _join(
        first,
        block("1. Weighted plate", plate_lines(plate)),
        block("2. Bleed hole", hole),
        block("3. Hand valve", list(found.valve)),
        block("4. Pump on and off", switch),
        block("Pumping down", _down_lines(found)),
        block("Cautions", list(found.cautions)),
    )


def _down_lines(found: Hold) -> list[str]:
    """Return how long the pump takes, and what it means where it hangs on the way."""
    if found.pump_down_s is None:
        return []
    return [
        f"from the air to the setpoint in about {math.ceil(found.pump_down_s)} s, bag dry",
        "where it hangs on the way, look for a leak or for something that boils: water, or the "
        "resin itself, keeps the bag at its own vapour pressure until it is gone; let air in",
    ]


# Drop test ------------------------------------------------------------------------------------


def _leak(q: float) -> str:
    return f"{_two(q * 10.0)} mbar l/s"


def _two(value: float) -> str:
    """Return two figures, never as a power of ten."""
    return f"{value:.2g}" if value < 100.0 else f"{float(f'{value:.2g}'):.0f}"


def _rule_on_dial(rate: float) -> str:
    """Return a rate of rise in mbar a minute and on an inHg dial over five minutes."""
    inches = rate * DIAL_MINUTES * 60.0 / units.PASCAL_PER["inhg"]
    return f"{rate * 0.6:.1f} mbar a minute, or {inches:.2f} inHg in {DIAL_MINUTES:.0f} minutes"


def drop_text(test: DropTest, dial: str) -> str:
    """Return a drop test in words."""
    here = test.barometer_Pa
    litres = [v * 1e3 for v in test.volume_m3]
    verdict = "passes" if test.passed else "fails"
    volume = f"{litres[0]:.1f} l"
    if not test.volume_given:
        volume += f" (estimated from its area, {litres[1]:.1f} to {litres[2]:.1f} l)"
    first = (
        f"This bag {verdicts_for(test)}: it leaks {_leak(test.leak_Pa_m3_s)}, at worst "
        f"{_leak(test.leak_high_Pa_m3_s)}; {test.process} allows {_leak(test.allowed_Pa_m3_s)}."
    )
    second = f"On this bag that limit is {_rule_on_dial(test.allowed_rise_Pa_s)}; it {verdict}."
    does = [
        f"volume behind the valve: {volume}",
        f"judged by {test.judged_by}",
        f"air fed in: {_two(test.air_m3_s * 60e6)} ml a minute of shop air, as through one hole of "
        f"{test.as_one_hole_m * 1e3:.2f} mm; what comes in over the laminate ends in it",
    ]
    if test.rise_Pa == 0.0:
        does.append(
            "no rise seen is not no leak: it is smaller than the dial can show; wait longer, or "
            "give the smallest step the dial shows"
        )
    if test.raises_Pa is not None:
        does.append(f"it holds the bag {_mbar(test.raises_Pa)} mbar over what the pump reaches")
    if test.steady_Pa is not None:
        does.append(f"steady, nothing bled in: {_deep(test.steady_Pa, here, dial)}")
    if test.membrane_Pa_m3_s > 0.0:
        does.append(
            f"a silicone membrane of this area lets {_leak(test.membrane_Pa_m3_s)} through with no "
            "hole in it (from memory); that air counts too"
        )
    return _join(
        f"{first}\n{second}",
        block("What it does", does),
        block("A bag used before", reuse_lines(test)),
        block("Where to look", list(test.where) if not test.passed else []),
        block("Cautions", list(test.cautions)),
    )


def verdicts_for(test: DropTest) -> str:
    """Return whether a bag will do, and by how much."""
    if test.passed:
        return f"will do, {_percent(min(test.share, 1.0))} of what is allowed"
    return f"will not do, {_two(test.share)} times what is allowed"


def reuse_lines(test: DropTest) -> list[str]:
    """Return how many pinholes a leak budget bears, and whether to throw the bag away."""
    if not test.reused:
        return []
    lines = [
        f"holes of up to {h.bore_m * 1e3:.2f} mm leak {_leak(h.leak_Pa_m3_s)} each: "
        + (f"{h.allowed} would eat the whole budget" if h.allowed else "one is too many")
        for h in test.pinholes
    ]
    if test.passed:
        lines.append("it may serve once more: hold it to the light first, tape what shows")
    else:
        lines.append("throw it away: film costs less than a laminate")
    cost = catalogue.rigs().pinhole[0]
    lines.append(f"holes under {cost.high_si * 1e3:.2f} mm do not show against the light")
    return lines
