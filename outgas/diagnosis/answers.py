"""What was seen, read into fixed words."""

from collections.abc import Iterable, Mapping
from typing import Any

from outgas import units
from outgas.errors import InputError, UnknownNameError
from outgas.job.told_pressure import UNSAID, plain_words
from outgas.tables import catalogue


def _pairs(given: Any) -> Iterable[tuple[Any, Any]]:
    """Return question and answer pairs from a mapping, or from texts like 'where=on strands'."""
    if given is None:
        return ()
    if isinstance(given, Mapping):
        return given.items()
    if isinstance(given, str):
        given = [given]
    if not isinstance(given, Iterable) or units.is_quantity(given):
        raise InputError(f"seen is {given!r}; write it as {{'where': 'on strands'}}")
    pairs = []
    for text in given:
        if not isinstance(text, str) or "=" not in text:
            raise InputError(f"seen is {str(text)[:60]!r}; write it as 'where=on strands'")
        question, _, answer = text.partition("=")
        pairs.append((question, answer))
    return pairs


def read_seen(given: Any) -> dict[str, str]:
    """Return answers by question from {'where': 'on strands'} or ['where=on strands'].

    Case, hyphens and spaces do not matter. An answer of 'unknown' is left out. A question or an
    answer that does not exist is refused with the nearest; so is a second answer to a question.
    """
    questions = catalogue.signs().question
    names = {plain_words(name): name for name in questions}
    found: dict[str, str] = {}
    for asked, said in _pairs(given):
        if not isinstance(asked, str) or not isinstance(said, str):
            raise InputError(f"seen holds {asked!r}: {said!r}; both are words, as 'where'")
        if plain_words(asked) not in names:
            raise UnknownNameError("question", asked.strip(), names)
        name = names[plain_words(asked)]
        if plain_words(said) in UNSAID:
            continue
        answers = {plain_words(answer): answer for answer in questions[name].answers}
        if plain_words(said) not in answers:
            raise UnknownNameError(f"answer to {plain_words(asked)!r}", said.strip(), answers)
        if found.get(name, answers[plain_words(said)]) != answers[plain_words(said)]:
            raise InputError(
                f"{plain_words(asked)} was answered twice, {found[name]!r} and {said.strip()!r}; "
                "give the one that tells most"
            )
        found[name] = answers[plain_words(said)]
    return found
