"""How much the answers weigh: causes weighed against one another by what was seen.

A cause's weight is how often it whitens a laminate where all it needs is there (prior), times the
room the physics leaves it, times how much each answer speaks for it. For a cause an answer has the
chance w / (sum of w over all answers to that question), w being the weight of the row in
data/causes.toml to the power of trust, for answers overlap and come from memory. A cause that is
not in the list keeps a small weight, with every answer as likely as any other.
"""

import math
from dataclasses import dataclass

from outgas.diagnosis.case import Gate
from outgas.tables import catalogue
from outgas.tables.causes import Cause
from outgas.tables.materials import Resin
from outgas.tables.questions import Question


@dataclass(frozen=True, slots=True)
class Entry:
    """One cause under trial: its gate, its weight before any answer, and what the answers add."""

    cause: Cause
    gate: Gate
    weight: float


def chances(cause: Cause | None, question: Question, trust: float) -> dict[str, float]:
    """Return how likely each answer to a question is under a cause; None is the unlisted one."""
    sign = None if cause is None else cause.sign_of(question.name)
    weights = catalogue.signs().weight
    raw = {}
    for answer in question.answers:
        strength = None if sign is None else sign.strength(answer)
        raw[answer] = 1.0 if strength is None else getattr(weights, strength).si ** trust
    total = sum(raw.values())
    return {answer: w / total for answer, w in raw.items()}


def posterior(
    entries: list[Entry], seen: dict[str, str], trust: float, unlisted: float
) -> tuple[dict[str, float], float]:
    """Return the probability of each cause, and of one that is not in the list.

    unlisted is the weight of the latter before any answer.
    """
    logs = _logs(entries, seen, trust, unlisted)
    top = max(logs.values())
    shares = {name: math.exp(value - top) for name, value in logs.items()}
    whole = sum(shares.values())
    found = {name: share / whole for name, share in shares.items()}
    return found, found.pop("")


def _logs(
    entries: list[Entry], seen: dict[str, str], trust: float, unlisted: float
) -> dict[str, float]:
    """Return the logarithm of each cause's weight with its answers; '' is the unlisted one."""
    questions = catalogue.signs().question
    trials: list[tuple[str, Cause | None, float]] = [
        (entry.cause.name, entry.cause, entry.weight) for entry in entries
    ]
    trials.append(("", None, unlisted))
    return {
        name: math.log(weight)
        + sum(
            math.log(chances(cause, questions[asked], trust)[answer])
            for asked, answer in seen.items()
        )
        for name, cause, weight in trials
    }


def likelihood(entries: list[Entry], seen: dict[str, str], trust: float, unlisted: float) -> float:
    """Return how likely it was to see this, up to a factor: the weight of all causes together."""
    return sum(math.exp(value) for value in _logs(entries, seen, trust, unlisted).values())


def _told_apart(order: list[tuple[str, float]]) -> bool:
    """Tell whether the first cause is likely enough and far enough ahead of the second."""
    weight = catalogue.signs().weight
    first, second = order[0][1], order[1][1] if len(order) > 1 else 0.0
    return first >= weight.enough.si and first >= weight.clear_lead.si * second


def ranked(found: dict[str, float]) -> list[tuple[str, float]]:
    """Return causes with their probability, the likeliest first."""
    return sorted(found.items(), key=lambda item: (-item[1], item[0]))


def leads_clearly(entries: list[Entry], seen: dict[str, str], unlisted: float) -> bool:
    """Tell whether one cause leads, however far the answers are trusted."""
    trust = catalogue.signs().weight.trust
    orders = [
        ranked(posterior(entries, seen, t, unlisted)[0])
        for t in (trust.si, trust.low_si, trust.high_si)
    ]
    same = len({order[0][0] for order in orders}) == 1
    other = posterior(entries, seen, trust.si, unlisted)[1]
    return same and _told_apart(orders[0]) and orders[0][0][1] > other


def weight_of_unlisted(resin: Resin) -> float:
    """Return the weight of a cause not in the list; more where a resin makes its own gas."""
    weight = catalogue.signs().weight
    return weight.own_gas.si if resin.reaction_gas else weight.unlisted.si
