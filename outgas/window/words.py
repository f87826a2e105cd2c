"""Advice in words for a builder: the answer first, in the units on the dial."""

import math
from html import escape

from outgas import constants
from outgas.show.dial import DEFAULT_DIAL, both, read_dial
from outgas.show.report import block
from outgas.window.advice import Advice

MOST_INFLUENCES = 4
SMALLEST_GAS = 0.005  # of the resin's volume, worth naming
WORTH_SAYING_PA = 50.0
_NAMES = {"air": "air coming out of the resin", "vapour": "vapour", "core": "the core's strength"}


def advice_text(advice: Advice, dial: str = DEFAULT_DIAL) -> str:
    """Return the whole advice as plain text; the first two lines are the answer."""
    dial = read_dial(dial)
    blocks = [
        "\n".join(answer(advice, dial)),
        block("Why", why(advice)),
        block("Assumed", list(advice.assumptions)),
        block("What would change it most", what_matters(advice)),
        block("What to do", what_to_do(advice, dial)),
        block("Ways out" if not advice.has_window else "To go deeper", _ways(advice)),
        block("Cautions", list(advice.cautions)),
    ]
    return "\n\n".join(block for block in blocks if block)


def _mbar(pressure: float) -> str:
    return f"{pressure / 100:.0f}"


def _celsius(kelvin: float) -> str:
    return f"{kelvin - constants.ZERO_CELSIUS_K:.0f} degC"


def answer(advice: Advice, dial: str = DEFAULT_DIAL) -> list[str]:
    """Return the first lines: cure pressure, debulk pressure, and the verdict if there is one."""
    lines = {
        "prepreg": _prepreg_answer,
        "pressing": _press_answer,
        "degassing": _pot_answer,
    }.get(advice.process, _bag_answer)(advice, dial)
    if advice.verdict is not None:
        lines.append(
            f"Your {'prepreg' if advice.process == 'prepreg' else 'bag'}: {advice.verdict}."
        )
    return lines


def _bag_answer(advice: Advice, dial: str) -> list[str]:
    here = advice.barometer_Pa
    infusion = advice.process == "infusion"
    early = both(advice.debulk_hold_Pa, here, dial)
    limit = both(advice.debulk_limit_Pa, here, dial, brief=True)
    weakest = both(advice.shallowest_Pa, here, dial, weaker=False, brief=True)
    first = f"{'Fill' if infusion else 'Debulk first'} at {early}, never deeper than {limit}"
    if advice.setpoint_Pa is not None:
        hold = both(advice.setpoint_Pa, here, dial)
        deepest = both(advice.deepest_Pa, here, dial, brief=True)
        where = "Hold the vent for the cure at" if infusion else "Cure at"
        return [
            f"{where} {hold}: never deeper than {deepest}, never weaker than {weakest}.",
            f"{first}, while the resin is thin; when it goes quiet come back up to cure.",
        ]
    need = f"the resin needs {_mbar(advice.deepest_Pa)} mbar, more than the atmosphere has"
    if advice.deepest_Pa < here:
        need = f"no deeper than {both(advice.deepest_Pa, here, dial)} is safe"
    after = advice.deepest_after_debulk_Pa
    then = both(after, here, dial) if after < here else f"{_mbar(after)} mbar"
    return [
        f"No safe vacuum to cure at as it stands: {need}, and the clamp needs {weakest} or deeper.",
        f"{first}, while the resin is thin; after that the cure limit is {then}. See the ways out.",
    ]


def _prepreg_answer(advice: Advice, dial: str) -> list[str]:
    weakest = both(advice.shallowest_Pa, advice.barometer_Pa, dial, weaker=False)
    if advice.setpoint_Pa is None:
        crush = both(advice.deepest_Pa, advice.barometer_Pa, dial)
        return [
            f"No safe vacuum for this core: it crushes beyond {crush}; prepreg needs {weakest}.",
            "Take a stronger core.",
        ]
    deep = both(advice.setpoint_Pa, advice.barometer_Pa, dial)
    return [
        f"Cure at full vacuum, {deep}, and never weaker than {weakest}: wet prepreg is no reason "
        "to let up.",
        f"Debulk at full vacuum, {deep}, every few plies: that is how the air leaves.",
    ]


def _pot_answer(advice: Advice, dial: str) -> list[str]:
    here = advice.barometer_Pa
    deepest = both(advice.deepest_Pa, here, dial)
    weakest = both(advice.shallowest_Pa, here, dial, weaker=False)
    if advice.setpoint_Pa is None:
        return [
            f"No useful vacuum to degas at: it may boil deeper than {deepest}, and weaker than "
            f"{weakest} takes out too little.",
            "There is no debulk in a pot. See the ways out.",
        ]
    return [
        f"Degas at {both(advice.setpoint_Pa, here, dial)}: never deeper than {deepest}, and weaker "
        f"than {weakest} is not worth the time.",
        "There is no debulk in a pot: seed it, stir it, and stop when the froth has fallen.",
    ]


def _press_answer(advice: Advice, dial: str) -> list[str]:
    if advice.setpoint_Pa is None:
        more = advice.deepest_Pa - advice.barometer_Pa
        return [
            f"No safe cure in a press that leaves the resin at the atmosphere: it needs "
            f"{_mbar(advice.deepest_Pa)} mbar, so {_mbar(more)} mbar of press in the resin itself.",
            "No vacuum, so no debulk pressure.",
        ]
    none = both(advice.setpoint_Pa, advice.barometer_Pa, dial)
    return [
        f"Cure with no vacuum, {none}, in the press: "
        f"the resin needs {_mbar(advice.deepest_Pa)} mbar and has at least "
        f"{_mbar(advice.resin_pressure_Pa)}.",
        "No vacuum, so no debulk pressure: close slowly so that trapped air can run out.",
    ]


def why(advice: Advice) -> list[str]:
    """Return what limits it, what pushes back, and what the gas comes to."""
    nominal, safe = (q.m_as("mbar") for q in advice.interval())
    others = ", ".join(f"{name} {_mbar(p)}" for name, p in advice.limits_Pa.items())
    lines = [
        f"Limited by {_NAMES[advice.limiting]}: {nominal:.0f} mbar nominal, {safe:.0f} mbar on the "
        f"safe side ({advice.confidence:.0%}). All three limits, mbar: {others}.",
        pushing(advice),
    ]
    freed = [(p, volume) for p, volume in advice.freed_gas if volume >= SMALLEST_GAS]
    if freed and advice.process not in ("prepreg", "pressing"):
        sizes = " and ".join(f"{v:.2g} times its own volume at {_mbar(p)} mbar" for p, v in freed)
        lines.append(f"If none of it could leave, the resin would free {sizes}.")
    if advice.cure is not None:
        lines.append(warming(advice))
    if advice.process in ("wet layup", "infusion", "core bonding"):
        low, high = advice.gas_kept_range_Pa
        lines.append(
            f"After that debulk the cure limit is {_mbar(advice.deepest_after_debulk_Pa)} mbar; "
            f"for a laminate clear to the eye {_mbar(advice.deepest_clear_Pa)} mbar"
            f"{clear_needs(advice)}."
        )
        lines.append(
            f"How much freed gas stays is the weakest number here: if little stays the limit is "
            f"{_mbar(low)} mbar, if all of it stays {_mbar(high)} mbar."
        )
    return lines


def warming(advice: Advice) -> str:
    """Return how the laminate warms, gels and peaks, and what that asks of the vacuum."""
    cure = advice.cure
    if cure is None:
        return ""
    first, last = cure.over_time[0][2], cure.over_time[-1][2]
    low, high = cure.gel_interval_s
    holds = "at no time followed"
    if math.isfinite(cure.hold_s):
        holds = f"at {cure.hold_s / 60:.0f} min"
    return (
        f"It gels at {cure.gel_s / 60:.0f} min ({low / 60:.0f} to {high / 60:.0f}), then "
        f"{_celsius(cure.gel_K)}; the gel holds a bubble {holds}; the peak is "
        f"{_celsius(cure.peak_K)} at {cure.peak_s / 60:.0f} min. The vapour alone "
        f"asks for {_mbar(first)} mbar when mixed and {_mbar(last)} mbar when the gel holds: set "
        "once, it must be set for the end."
    )


def clear_needs(advice: Advice) -> str:
    """Say what clear takes where a bag cannot give it."""
    if advice.deepest_clear_Pa <= advice.shallowest_Pa:
        return ""
    return ", which no bag here clamps at: degas well, or press"


def pushing(advice: Advice) -> str:
    """Return the partial pressures side by side, the hardest first, and who is to blame."""
    ranked = sorted(advice.partial_pressures_Pa.items(), key=lambda item: -item[1])
    text = ", ".join(f"{name} {p / 100:.3g}" for name, p in ranked if p >= 1.0)
    first = ranked[0][0]
    blame = {
        "air": "air pushes hardest, and it is there at any temperature",
        "water": "water pushes hardest, and it comes from the air of the shop",
    }.get(first, f"{first} pushes hardest")
    if first == "air" and advice.limiting == "vapour":
        vapours = {name: p for name, p in advice.partial_pressures_Pa.items() if name != "air"}
        blame = f"what limits is the vapour, most of it {max(vapours, key=lambda n: vapours[n])}"
    return f"Pushing back at {_celsius(advice.hottest_K)}, mbar: {text}; {blame}."


def what_matters(advice: Advice) -> list[str]:
    """Return the inputs that move the answer most."""
    what = {"prepreg": "the water's pressure", "degassing": "the limit"}.get(
        advice.process, "the cure limit"
    )
    return [
        f"{i.text}: {what} {'rises' if i.change_Pa > 0 else 'falls'} by "
        f"{abs(i.change_Pa) / 100:.0f} mbar"
        for i in advice.influences[:MOST_INFLUENCES]
        if abs(i.change_Pa) >= WORTH_SAYING_PA
    ]


def what_to_do(advice: Advice, dial: str) -> list[str]:
    """Return what to do with one's hands, in order."""
    if not advice.has_window:
        return []
    here = advice.barometer_Pa
    hold = both(advice.setpoint_Pa or here, here, dial)
    deep = both(advice.debulk_hold_Pa, here, dial)
    steps = {
        "wet layup": [
            "test the seal for leaks before any resin is mixed",
            f"pull to {deep} at once, while the resin is thin, and wait until no bubbles run",
            "read the bleed while pulling: even spots of 5 to 10 mm on the breather are good "
            "(common practice, no source); when spots merge, back off",
            f"come back up to {hold} before the resin thickens and hold it there past the gel; "
            "never deeper again",
        ],
        "infusion": [
            "drop-test the dry bag; it must hold before any resin is mixed",
            f"degas the resin, then fill at no deeper than {deep}",
            f"shut the inlet first, then hold the vent at {hold} until the gel: the resin, not the "
            "dial, is what must not boil; clamping both ends leaves no bag pressure of its own",
        ],
        "core bonding": [
            f"pull to {deep} while the resin is thin, so that air runs out from under the core",
            f"come back up to {hold} and hold it past the gel",
        ],
        "prepreg": [
            "warm the roll sealed; lay up dry; debulk every few plies at full vacuum",
            "hold full vacuum through the cure: more pressure in the resin comes from drier "
            "prepreg or from pressure on the bag, never from less vacuum",
        ],
        "degassing": [
            "plain resin only, no initiator or hardener in it; pot at most a third full, for "
            "froth (common practice, no source)",
            f"go down slowly to {hold}, seed it with a scourer or a trickle of air and stir; about "
            "10 minutes (common practice, no source)",
        ],
        "pressing": [
            "see outgas press for the force on this panel; edge stops for thickness, a stiff caul",
        ],
    }
    return steps[advice.process]


def _ways(advice: Advice) -> list[str]:
    return [str(way) for way in advice.alternatives]


def advice_html(advice: Advice) -> str:
    """Return the answer, the limits and the cautions as HTML that needs no style sheet."""
    first, *rest = answer(advice)
    rows = "".join(
        f"<tr><td>{escape(name)}</td><td>{advice.nominal_limits_Pa[name] / 100:.0f}</td>"
        f"<td>{p / 100:.0f}</td></tr>"
        for name, p in advice.limits_Pa.items()
    )
    cautions = "".join(f"<li>{escape(text)}</li>" for text in advice.cautions)
    return (
        f"<div><p><b>{escape(first)}</b></p>"
        + "".join(f"<p>{escape(line)}</p>" for line in rest)
        + "<table><tr><th>limit</th><th>nominal, mbar</th><th>safe side, mbar</th></tr>"
        + f"{rows}</table><p>{escape(pushing(advice))}</p><ul>{cautions}</ul></div>"
    )
