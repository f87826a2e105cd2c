"""Names as shops say them, compared with names as the tables write them.

Both sides are brought to the same plain words, so that nothing is matched by likeness: 'Wet
Lay-Ups' is 'wet layup', but 'wet lapup' is nothing.
"""

import re
from collections.abc import Iterable, Mapping

SHORTEST_PLURAL = 4  # 'mats' is more than one mat; 'EPS' is no plural
NO_PLURAL = ("ss", "us", "is")  # 'glass', 'status', 'basis'

Words = tuple[str, ...]


def on_one_line(text: str) -> str:
    """Return a text with its line breaks as spaces, as in a sentence about it."""
    return " ".join(text.split())


def plain(text: str, spelling: Mapping[str, str] | None = None) -> Words:
    """Return the words of a name: lower case, hyphens as spaces, singular, spelt one way.

    >>> plain("Wet Lay-Up", {"lay up": "layup"})
    ('wet', 'layup')
    """
    spoken = " ".join(map(_singular, re.sub(r"[-_]", " ", text.lower()).split()))
    if spelling:
        spoken = _respelled(_respelled(spoken, spelling), spelling)  # one may make another
    return tuple(spoken.split())


def _singular(word: str) -> str:
    if len(word) < SHORTEST_PLURAL or not word.endswith("s") or word.endswith(NO_PLURAL):
        return word
    return f"{word[:-3]}y" if word.endswith("ies") else word[:-1]


def _respelled(spoken: str, spelling: Mapping[str, str]) -> str:
    """Return words with each spelling replaced once, the longer ones first."""
    known = sorted(spelling, key=len, reverse=True)
    pattern = rf"\b({'|'.join(map(re.escape, known))})\b"
    return re.sub(pattern, lambda found: spelling[found[1]], spoken)


def find(
    said: str,
    known: Mapping[str, str],
    spelling: Mapping[str, str] | None = None,
    fillers: Iterable[str] = (),
) -> str | None:
    """Return what a name stands for among known ones; None where it is none of them.

    known gives for each name what it stands for. Tried in turn: as said, without fillers, and in
    any order of its words where only one record has them all.

    >>> known = {"two-stage vane": "two-stage", "venturi": "venturi"}
    >>> find("an old two-stage vane pump", known, fillers=("an", "old", "pump"))
    'two-stage'
    >>> find("vane two stage", known), find("vane", known)
    ('two-stage', None)
    """
    words = plain(said, spelling)
    plainly: dict[Words, str] = {plain(name, spelling): key for name, key in known.items()}
    if words in plainly:
        return plainly[words]
    spare = set(fillers)
    short = tuple(word for word in words if word not in spare)
    if short in plainly:
        return plainly[short]
    loose = {
        key
        for name, key in plainly.items()
        if sorted(word for word in name if word not in spare) == sorted(short)
    }
    return loose.pop() if short and len(loose) == 1 else None
