"""The typed records behind data/questions.toml and data/causes.toml.

A question has fixed answers; a cause has signs, each saying which answers to one question speak
for it or against it, how strongly, and on what ground. Nothing here computes.
"""

from typing import Annotated, Literal

import msgspec

from outgas.tables.number import How, Named, Number, Plausible
from outgas.tables.questions import Bag, GateFigures, Question, Shrinkage, Visibility

Strength = Literal["typical", "fits", "against", "hardly"]
STRENGTHS: tuple[Strength, ...] = ("typical", "fits", "against", "hardly")


class Sign(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the answers to one question say of a cause."""

    sees: str
    source: str
    how: How
    why: str
    typical: tuple[str, ...] = ()
    fits: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    hardly: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        said = self.answers()
        if not said:
            raise ValueError(f"the sign of {self.sees!r} names no answer")
        if len(set(said)) != len(said):
            raise ValueError(f"the sign of {self.sees!r} names an answer twice")
        if not self.source.strip() or not self.why.strip():
            raise ValueError(f"the sign of {self.sees!r} needs source and why")

    def answers(self) -> tuple[str, ...]:
        """Every answer it weighs."""
        return (*self.typical, *self.fits, *self.against, *self.hardly)

    def strength(self, answer: str) -> Strength | None:
        """How an answer weighs; None where it says nothing."""
        return next((s for s in STRENGTHS if answer in getattr(self, s)), None)


class Cause(Named, frozen=True, kw_only=True):
    """A reason why a laminate is white."""

    title: str
    matters: Literal["cosmetic", "stiffness", "structural"]
    effect: str
    prior: Annotated[Number, Plausible("", 0.0, 10.0)]
    sign: tuple[Sign, ...]
    void: Annotated[Number, Plausible("", 0.0, 1.0)] | None = None
    radius: Annotated[Number, Plausible("m", 1e-08, 0.1)] | None = None

    def __post_init__(self) -> None:
        asked = [sign.sees for sign in self.sign]
        if len(set(asked)) != len(asked):
            raise ValueError("it has two signs of one question")
        if (self.radius is None) != (self.void is None):
            raise ValueError("void and radius go together")

    def sign_of(self, question: str) -> Sign | None:
        """Its sign of a question, if it has one."""
        return next((sign for sign in self.sign if sign.sees == question), None)


class Weights(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How much an answer weighs, and when a cause leads."""

    typical: Annotated[Number, Plausible("", 1.0, 100.0)]
    fits: Annotated[Number, Plausible("", 1.0, 100.0)]
    against: Annotated[Number, Plausible("", 0.001, 1.0)]
    hardly: Annotated[Number, Plausible("", 0.001, 1.0)]
    trust: Annotated[Number, Plausible("", 0.1, 1.0)]
    unlisted: Annotated[Number, Plausible("", 0.0, 1.0)]
    own_gas: Annotated[Number, Plausible("", 0.0, 10.0)]
    clear_lead: Annotated[Number, Plausible("", 1.0, 100.0)]
    enough: Annotated[Number, Plausible("", 0.0, 1.0)]
    ruled_out: Annotated[Number, Plausible("", 1e-06, 0.1)]


class Signs(msgspec.Struct, frozen=True, kw_only=True):
    """All that a diagnosis stands on."""

    question: dict[str, Question]
    weight: Weights
    bag: dict[str, Bag]
    look: Visibility
    gate: GateFigures
    shrinkage: Shrinkage
    cause: dict[str, Cause]

    def __post_init__(self) -> None:
        for cause in self.cause.values():
            for sign in cause.sign:
                if sign.sees not in self.question:
                    raise ValueError(f"{cause.name}: there is no question {sign.sees!r}")
                known = self.question[sign.sees].answers
                for answer in sign.answers():
                    if answer not in known:
                        raise ValueError(f"{cause.name}: {sign.sees} has no answer {answer!r}")
