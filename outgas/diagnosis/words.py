"""A diagnosis in words: the answer and the next question first, then each cause in full."""

from collections.abc import Iterable
from html import escape

from outgas.diagnosis.diagnosis import Ask, Change, Diagnosis, Suspect
from outgas.show.amounts import mbar_up
from outgas.show.dial import DEFAULT_DIAL, both, read_dial
from outgas.show.report import block
from outgas.tables import catalogue

FULL = 3  # causes told in full
WORTH_TELLING = 0.05  # probability below which a cause is only named
WORTH_NAMING = 0.01
WORTH_DOUBTING = 0.1  # of a second cause, from which both may have acted
TELLING = 0.6  # agreement with what was seen, over the best, that still counts as agreeing
_MATTERS = {
    "cosmetic": "cosmetic",
    "stiffness": "may cost stiffness",
    "structural": "may be structural",
}


def diagnosis_text(diagnosis: Diagnosis, dial: str = DEFAULT_DIAL) -> str:
    """Return the whole diagnosis as plain text; the first lines are the answer."""
    dial = read_dial(dial)
    told = leaders(diagnosis)
    blocks = ["\n".join(answer(diagnosis))]
    blocks += [
        block(f"{i}. {cause.title}: {percent(cause.probability)}", _suspect(cause, diagnosis, dial))
        for i, cause in enumerate(told, 1)
    ]
    blocks += [
        block("What it says of the bag", of_bag(diagnosis, dial)),
        block("How it matters", matters(diagnosis)),
        block("Less likely", [less_likely(diagnosis)]),
        block("Ruled out", ruled_out(diagnosis)),
        block("Assumed", list(diagnosis.assumptions)),
        block("Cautions", list(diagnosis.cautions)),
    ]
    return "\n\n".join(part for part in blocks if part)


def percent(p: float) -> str:
    """Return a probability as whole per cents; never 0 or 100."""
    return f"{min(99.0, max(1.0, 100.0 * p)):.0f}%"


def leaders(diagnosis: Diagnosis) -> tuple[Suspect, ...]:
    """Return the causes that are told in full: the leading two, and a third that is near."""
    return tuple(
        cause
        for i, cause in enumerate(diagnosis.causes[:FULL])
        if i == 0 or cause.probability >= WORTH_TELLING
    )


def answer(diagnosis: Diagnosis) -> list[str]:
    """Return the first lines: what it most likely was, and what to check."""
    causes = diagnosis.causes
    first = f"{causes[0].title} ({percent(causes[0].probability)})"
    others = [f"{c.title} ({percent(c.probability)})" for c in causes[1:FULL]]
    if diagnosis.cannot_tell:
        head = f"Cannot tell from this alone. Most likely {first}, then {', then '.join(others)}."
    else:
        head = f"Most likely {first}"
        head += f"; next {others[0]}" if others else ""
        both_fit = len(causes) > 1 and causes[1].probability >= WORTH_DOUBTING
        head += ": more than one may have acted." if both_fit else "."
    other = f"something not in the list ({percent(diagnosis.unlisted)})"
    if diagnosis.unlisted > causes[0].probability:
        head = head.replace("Most likely", f"Most likely {other}; of what is in it", 1)
    elif diagnosis.unlisted >= WORTH_DOUBTING:
        head = f"{head[:-1]}; or {other}."
    lines = [head, _asking(diagnosis)]
    if diagnosis.refusal:
        lines.append(f"Whatever the cause, it should not have been laid up: {diagnosis.refusal}.")
    return lines


def _asking(diagnosis: Diagnosis) -> str:
    if diagnosis.ask is None:
        return (
            "No other question separates the first two; make a test panel with one thing changed."
        )
    lead = "Check this" if diagnosis.cannot_tell else "To be surer"
    return f"{lead}: {asking(diagnosis.ask, diagnosis)}"


def asking(ask: Ask, diagnosis: Diagnosis) -> str:
    """Return a question with what each answer would point to."""
    titles = {cause.name: cause.title for cause in diagnosis.causes}
    points: dict[str, list[str]] = {}
    for said, name in ask.points.items():
        points.setdefault(name, []).append(said)
    told = "; ".join(
        f"{' or '.join(said)}: {titles[name]}" for name, said in points.items() if name
    )
    how = f" ({ask.how_to})" if ask.how_to else ""
    return f"{ask.text}{how} {told}."


def size(cause: Suspect) -> str:
    """Return what a cause would make: voids, their size across, and how that looks."""
    if cause.void is None or cause.radius_m is None:
        return f"{cause.whiteness}, no bubbles"
    low, high = cause.void
    void = f"{_share(low)} to {_share(high)} of voids"
    if high >= 1.0:
        void = f"{_share(low)} of voids and more, without limit while it lasts"
    elif _share(low) == _share(high):
        void = f"{_share(high)} of voids"
    across = " to ".join(f"{2e3 * r:.2g}" for r in cause.radius_m)
    return f"{void}, {across} mm across: {cause.whiteness}"


def _share(void: float) -> str:
    return "under 0.1%" if void < 1e-3 else f"{100.0 * void:.2g}%"


def change_text(change: Change, barometer: float, dial: str) -> str:
    """Return what to change, its pressures on the user's dial."""

    def on_it(p: float) -> str:  # no dial shows more than the air
        return both(p, barometer, dial) if p <= barometer else f"{mbar_up(p)} mbar absolute"

    return change.text.format(*(on_it(p) for p in change.pressures_Pa))


def _suspect(cause: Suspect, diagnosis: Diagnosis, dial: str) -> list[str]:
    lines = [f"for: {line}" for line in cause.evidence_for]
    lines += [f"against: {line}" for line in cause.evidence_against]
    lines.append(f"when: {cause.acts}")
    lines.append(f"would make: {size(cause)}")
    lines.append(f"{_MATTERS[cause.matters]}: {cause.effect}")
    lines += [
        f"change: {change_text(change, diagnosis.barometer_Pa, dial)}" for change in cause.change
    ]
    return lines


def of_bag(diagnosis: Diagnosis, dial: str) -> list[str]:
    """Say what was seen says of the bag's pressure, its own reading left out."""
    agreed = [(p, a) for p, a in diagnosis.of_bag if a >= TELLING]
    if not agreed or len(agreed) == len(diagnosis.of_bag):
        return []
    ends = agreed[0][0], agreed[-1][0]
    deep, shallow = diagnosis.of_bag[0][0], diagnosis.of_bag[-1][0]
    here = diagnosis.barometer_Pa
    weak = both(ends[1], here, dial, weaker=False)
    if ends[0] <= deep:
        return [f"a bag deeper than about {weak} agrees best; alone it proves no depth"]
    if ends[1] >= shallow:
        return [f"a bag weaker than about {both(ends[0], here, dial)} agrees best"]
    return [f"a bag between about {both(ends[0], here, dial)} and {weak} agrees best"]


def matters(diagnosis: Diagnosis) -> list[str]:
    """Say who decides, and what voids were measured to cost."""
    found = [
        "whether the part may be used is the designer's decision, not this program's; until then "
        "put no load on it"
    ]
    if any(cause.matters == "structural" and cause.void for cause in leaders(diagnosis)):
        per = catalogue.signs().gate.shear_per_void.si
        found.append(
            f"measured on unidirectional carbon and epoxy: {per:.0f}% of the shear strength lost "
            "for each per cent of voids"
        )
    return found


def less_likely(diagnosis: Diagnosis) -> str:
    """Name the other causes with their probability, and that of none of them."""
    rest = diagnosis.causes[len(leaders(diagnosis)) :]
    named = [f"{c.title} ({percent(c.probability)})" for c in rest if c.probability >= WORTH_NAMING]
    named.append(f"something not in the list ({percent(diagnosis.unlisted)})")
    return "; ".join(named)


def ruled_out(diagnosis: Diagnosis) -> list[str]:
    """Say what cannot have been, and why."""
    titles = {name: cause.title for name, cause in catalogue.signs().cause.items()}
    return [f"{titles[name]}: {why}" for name, why in diagnosis.impossible.items()]


def questions_text() -> str:
    """Return every question with its answers, as `--seen` takes them."""
    lines = ["Give what you saw as --seen 'question=answer'; leave out what you did not look at."]
    for name, question in catalogue.signs().question.items():
        lines += ["", f"{name.replace('-', ' ')}: {question.ask}"]
        if question.how_to:
            lines.append(f"  ({question.how_to})")
        lines += [
            f"  {a}" + (f": {means}" if means else "") for a, means in question.answers.items()
        ]
    return "\n".join(lines)


def diagnosis_html(diagnosis: Diagnosis) -> str:
    """Return the answer, the causes side by side, what to change and the cautions as HTML."""
    first, *rest = answer(diagnosis)
    told = leaders(diagnosis)
    rows = "".join(
        f"<tr><td>{escape(cause.title)}</td><td>{percent(cause.probability)}</td>"
        f"<td>{_items(cause.evidence_for)}</td><td>{_items(cause.evidence_against)}</td>"
        f"<td>{escape(size(cause))}</td><td>{_items(map(str, cause.change))}</td></tr>"
        for cause in told
    )
    heads = ("cause", "probability", "for", "against", "would make", "change")
    return (
        f"<div><p><b>{escape(first)}</b></p>"
        + "".join(f"<p>{escape(line)}</p>" for line in rest)
        + "<table><tr>"
        + "".join(f"<th>{head}</th>" for head in heads)
        + f"</tr>{rows}</table><p>Less likely: {escape(less_likely(diagnosis))}</p>"
        + _items([*matters(diagnosis), *diagnosis.cautions])
        + "</div>"
    )


def _items(lines: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"
