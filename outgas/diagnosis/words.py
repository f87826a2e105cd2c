"""A diagnosis in words: the answer and the next question first, then each cause in full."""

from collections.abc import Iterable

from outgas.diagnosis.diagnosis import Ask, Diagnosis, Suspect
from outgas.job.told_pressure import plain_words
from outgas.show.amounts import probability, voids
from outgas.show.report import At, Block, Line, Report, Short, Table, joined, lines
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


def diagnosis_report(diagnosis: Diagnosis) -> Report:
    """Return the whole diagnosis; the first lines are the answer."""
    told = leaders(diagnosis)
    causes = (
        Block(f"{i}. {cause.title}: {probability(cause.probability)}", _in_full(cause))
        for i, cause in enumerate(told, 1)
    )
    matter, rest = lines(matters(diagnosis)), less_likely(diagnosis)
    first = answer(diagnosis)
    return Report(
        diagnosis.barometer_Pa,
        first,
        (
            *causes,
            Block("What it says of the bag", of_bag(diagnosis)),
            Block("How it matters", matter),
            Block("Less likely", lines([rest])),
            Block("Ruled out", ruled_out(diagnosis)),
            Block("Assumed", diagnosis.assumed),
            Block("Cautions", diagnosis.cautioned),
        ),
        page=(
            _side_by_side(told),
            Block("", lines([f"Less likely: {rest}"]), bare=True),
            Block("", (*matter, *diagnosis.cautioned)),
        ),
        beside=(Block("What to change", _changes(told), part="do"),),
        short=Short((*first, Line(NO_LOAD)), tuple(_more(diagnosis, told))),
    )


NO_LOAD = "Whether it may be used is its designer's decision: until then no load on it."


def _changes(told: Iterable[Suspect]) -> tuple[Line, ...]:
    """Return what to change for each cause that is told in full."""
    return tuple(
        joined([f"{cause.title}: ", change.line]) for cause in told for change in cause.change
    )


def _more(diagnosis: Diagnosis, told: tuple[Suspect, ...]) -> list[Line]:
    """Return what to change by the likeliest cause, and what speaks for it."""
    first, sure = told[0], not diagnosis.cannot_tell and len(told) == 1
    found = []
    if first.change:
        lead = "Next time: " if sure else "If it was the first: "
        found.append(joined([lead, first.change[0].line, "."]))
    found += [joined(["Speaks for the first: ", line, "."]) for line in first.speaks_for[:1]]
    found.append(Line(f"The first would make {size(first)}."))
    found += [joined(["Against the first: ", line, "."]) for line in first.speaks_against[:1]]
    return found


def _side_by_side(told: Iterable[Suspect]) -> Table:
    """Return the causes beside one another, with what to change."""
    heads = ("cause", "probability", "for", "against", "would make", "change")
    rows = (
        (
            lines([cause.title]),
            lines([probability(cause.probability)]),
            cause.speaks_for,
            cause.speaks_against,
            lines([size(cause)]),
            tuple(change.line for change in cause.change),
        )
        for cause in told
    )
    return Table(heads, tuple(rows))


def leaders(diagnosis: Diagnosis) -> tuple[Suspect, ...]:
    """Return the causes that are told in full: the leading two, and a third that is near."""
    return tuple(
        cause
        for i, cause in enumerate(diagnosis.causes[:FULL])
        if i == 0 or cause.probability >= WORTH_TELLING
    )


def answer(diagnosis: Diagnosis) -> tuple[Line, ...]:
    """Return the first lines: what it most likely was, and what to check."""
    found = [Line(_likeliest(diagnosis)), _asking(diagnosis)]
    if diagnosis.refusal:
        found.append(
            Line(f"Whatever the cause, it should not have been laid up: {diagnosis.refusal}.")
        )
    return tuple(found)


def _likeliest(diagnosis: Diagnosis) -> str:
    """Say what it most likely was, and what else may have acted."""
    causes = diagnosis.causes
    first, *others = (f"{c.title} ({probability(c.probability)})" for c in causes[:FULL])
    unlisted = f"something not in the list ({probability(diagnosis.unlisted)})"
    end = "."
    if diagnosis.unlisted > causes[0].probability:
        first = f"{unlisted}; of what is in it {first}"
    elif diagnosis.unlisted >= WORTH_DOUBTING:
        end = f"; or {unlisted}."
    if diagnosis.cannot_tell:
        ranked = ", then ".join([first, *others])
        return f"Cannot tell from this alone. Most likely {ranked}{end}"
    following = f"; next {others[0]}" if others else ""
    both_fit = len(causes) > 1 and causes[1].probability >= WORTH_DOUBTING
    doubt = ": more than one may have acted" if both_fit else ""
    return f"Most likely {first}{following}{doubt}{end}"


def _asking(diagnosis: Diagnosis) -> Line:
    if diagnosis.ask is None:
        return Line(
            "No other question separates the first two; make a test panel with one thing changed."
        )
    lead = "Check this" if diagnosis.cannot_tell else "To be surer"
    return joined([f"{lead}: ", asking(diagnosis.ask, diagnosis)])


def asking(ask: Ask, diagnosis: Diagnosis) -> Line:
    """Return a question with what each answer would point to."""
    titles = {cause.name: cause.title for cause in diagnosis.causes}
    points: dict[str, list[Line]] = {}
    for said, name in ask.points.items():
        points.setdefault(name, []).append(ask.answer(said))
    told = [
        joined([joined(said, " or "), f": {titles[name]}"]) for name, said in points.items() if name
    ]
    how = f" ({ask.how_to})" if ask.how_to else ""
    return joined([f"{ask.text}{how} ", joined(told, "; "), "."])


def size(cause: Suspect) -> str:
    """Return what a cause would make: voids, their size across, and how that looks."""
    if cause.void is None or cause.radius_m is None:
        return f"{cause.whiteness}, no bubbles"
    low, high = cause.void
    void = f"{voids(low)} to {voids(high)} of voids"
    if high >= 1.0:
        void = f"{voids(low)} of voids and more, without limit while it lasts"
    elif voids(low) == voids(high):
        void = f"{voids(high)} of voids"
    across = " to ".join(f"{2e3 * r:.2g}" for r in cause.radius_m)
    return f"{void}, {across} mm across: {cause.whiteness}"


def _in_full(cause: Suspect) -> tuple[Line, ...]:
    return (
        *(joined(["for: ", line]) for line in cause.speaks_for),
        *(joined(["against: ", line]) for line in cause.speaks_against),
        joined(["when: ", cause.when]),
        Line(f"would make: {size(cause)}"),
        Line(f"{_MATTERS[cause.matters]}: {cause.effect}"),
        *(joined(["change: ", change.line]) for change in cause.change),
    )


def of_bag(diagnosis: Diagnosis) -> tuple[Line, ...]:
    """Say what was seen says of the bag's pressure; nothing where it was read."""
    if diagnosis.bag_read:
        return ()
    agreed = [(p, a) for p, a in diagnosis.of_bag if a >= TELLING]
    if not agreed or len(agreed) == len(diagnosis.of_bag):
        return ()
    deep, weak = At(agreed[0][0]), At(agreed[-1][0], weaker=False)
    if deep.pressure_Pa <= diagnosis.of_bag[0][0]:
        text = "a bag deeper than about {} agrees best; alone it proves no depth"
        return (Line(text, (weak,)),)
    if weak.pressure_Pa >= diagnosis.of_bag[-1][0]:
        return (Line("a bag weaker than about {} agrees best", (deep,)),)
    return (Line("a bag between about {} and {} agrees best", (deep, weak)),)


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
    named = [
        f"{c.title} ({probability(c.probability)})" for c in rest if c.probability >= WORTH_NAMING
    ]
    named.append(f"something not in the list ({probability(diagnosis.unlisted)})")
    return "; ".join(named)


def ruled_out(diagnosis: Diagnosis) -> tuple[Line, ...]:
    """Say what cannot have been, and why."""
    causes = catalogue.signs().cause
    return tuple(
        joined([f"{causes[name].title}: ", why]) for name, why in diagnosis.ruled_out.items()
    )


def questions_text() -> str:
    """Return every question with its answers, as `--seen` takes them."""
    lines = ["Give what you saw as --seen 'question=answer'; leave out what you did not look at."]
    for name, question in catalogue.signs().question.items():
        lines += ["", f"{plain_words(name)}: {question.ask}"]
        if question.how_to:
            lines.append(f"  ({question.how_to})")
        lines += [
            f"  {a}" + (f": {means}" if means else "") for a, means in question.answers.items()
        ]
    return "\n".join(lines)
