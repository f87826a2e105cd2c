"""Which question to ask next: the one expected to tell most about the leading two causes.

The information expected of a question is the entropy of the two now, less the mean entropy after
each answer. The bag's pressure is asked for like any other question, with the physics in place of a
table: in which part of what is believed would each of the two have had more room?
"""

import dataclasses
import itertools
import math

import numpy as np

from outgas.diagnosis.case import Inspection, told
from outgas.diagnosis.causes import gate_of
from outgas.diagnosis.diagnosis import Ask
from outgas.diagnosis.weights import Entry, chances, ranked
from outgas.job.told_pressure import ToldPressure, plain_words
from outgas.show.report import At, Line
from outgas.tables import catalogue
from outgas.tables.causes import Cause
from outgas.tables.questions import Question

LEAST_BITS = 0.01  # a question that tells less than this is not worth asking
SAME_BITS = 0.02  # questions this close are alike: then the one that can still be tried comes first
POINTS = 1.5  # an answer points to a cause when it is this many times likelier under it
PARTS = 3  # that a belief about the pressure is asked about in
VAGUE = 1.5  # a belief whose ends lie further apart than this is worth asking about
LEAST_ROOM = 1e-6  # so that a cause with no room in one part of a belief still has a chance
PRESSURE = "bag pressure"

Answers = dict[str, float]


def _entropy(p: float) -> float:
    return -sum(x * math.log2(x) for x in (p, 1.0 - p) if x > 0.0)


def bits(p: float, first: Answers, second: Answers) -> float:
    """Return the information that a question is expected to give on which of two causes it is.

    p is the chance of the first; first and second are the chances of each answer under the two.
    """
    left = 0.0
    for answer, chance in first.items():
        both = p * chance + (1.0 - p) * second[answer]
        if both > 0.0:
            left += both * _entropy(p * chance / both)
    return _entropy(p) - left


def next_question(
    entries: list[Entry], found: dict[str, float], inspection: Inspection
) -> Ask | None:
    """Return the question, not yet answered, that best separates the leading two causes."""
    order = ranked(found)
    if len(order) < 2:
        return None
    causes = {entry.cause.name: entry.cause for entry in entries}
    (one, p_one), (two, p_two) = order[:2]
    pair, share = (causes[one], causes[two]), p_one / (p_one + p_two)
    best: tuple[float, Ask] | None = None
    for ask in [*_from_table(pair, share, inspection), *_about_pressure(pair, share, inspection)]:
        liking = ask.bits + (SAME_BITS if ask.now else 0.0)
        if ask.bits >= LEAST_BITS and (best is None or liking > best[0]):
            best = (liking, ask)
    return None if best is None else best[1]


def _from_table(pair: tuple[Cause, Cause], share: float, inspection: Inspection) -> list[Ask]:
    trust = catalogue.signs().weight.trust.si
    found = []
    for question in catalogue.signs().question.values():
        if question.name in inspection.seen or not _applies(question, inspection):
            continue
        a, b = (chances(cause, question, trust) for cause in pair)
        found.append(
            Ask(
                question=plain_words(question.name),
                text=question.ask,
                how_to=question.how_to,
                now=question.now,
                points=_points(pair, a, b),
                bits=bits(share, a, b),
            )
        )
    return found


def _points(pair: tuple[Cause, Cause], a: Answers, b: Answers) -> dict[str, str]:
    found = {}
    for answer in a:
        ratio = a[answer] / b[answer]
        found[answer] = (
            pair[0].name if ratio > POINTS else pair[1].name if ratio < 1.0 / POINTS else ""
        )
    return found


def _applies(question: Question, inspection: Inspection) -> bool:
    process = inspection.case.process
    if question.processes and process.told_like not in question.processes:
        return False
    return question.name != "initiator" or inspection.case.resin.initiator == "peroxide"


def _about_pressure(pair: tuple[Cause, Cause], share: float, inspection: Inspection) -> list[Ask]:
    """Ask for the bag's pressure, if the belief about it is wide enough to be worth it."""
    low, high = inspection.bag.interval
    if inspection.resin is not inspection.bag or high < VAGUE * low:
        return []
    parts = _parts(inspection.bag)
    names = [part.text for part in parts]
    chance: list[Answers] = []
    for cause in pair:
        room = [max(LEAST_ROOM, gate_of(cause, _at(inspection, part)).room) for part in parts]
        total = sum(room)  # the parts are equally likely before anything is known
        chance.append({name: r / total for name, r in zip(names, room, strict=True)})
    return [
        Ask(
            question=PRESSURE,
            text="what was the bag's pressure?",
            how_to="an absolute sensor, or water of a known temperature in the catch pot: it boils "
            "at its own pressure; a dial cannot tell",
            now=False,
            points=_points(pair, *chance),
            bits=bits(share, *chance),
            pressures={part.text: part.line for part in parts},
        )
    ]


def _at(inspection: Inspection, part: ToldPressure) -> Inspection:
    return dataclasses.replace(inspection, bag=part, resin=part)


def _parts(belief: ToldPressure) -> list[ToldPressure]:
    """Return a belief cut into equally likely parts, each with what to call it."""
    cuts = [belief.quantile(i / PARTS) for i in range(1, PARTS)]
    names = [told("below {}", cuts[0])]
    names += [_between(low, high) for low, high in itertools.pairwise(cuts)]
    names.append(told("above {}", cuts[-1]))
    which = np.searchsorted(cuts, belief.pressure)
    parts = []
    for i in range(PARTS):
        here = which == i
        weight = belief.weight[here]
        parts.append(
            ToldPressure(belief.pressure[here], weight / weight.sum(), names[i], belief.stated)
        )
    return parts


def _between(low: float, high: float) -> Line:
    ends = At(low, plain=True, nearest=True, unit=""), At(high, plain=True)
    return Line("{} to {}", ends)
