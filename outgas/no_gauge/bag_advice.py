"""What a belief about the bag means for a resin: chances, a verdict, and what would settle it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from outgas.errors import InputError
from outgas.job.saved import Job
from outgas.job.shop import Shop
from outgas.no_gauge.belief import Belief
from outgas.no_gauge.charts import belief_charts
from outgas.no_gauge.next_observation import Candidate, best, candidates
from outgas.show.answer import Answer
from outgas.show.chart import Maker
from outgas.show.report import Report
from outgas.tables.materials import Resin
from outgas.window.advice import Advice
from outgas.window.advise import advise

VERSION = 1
SURE, LIKELY = 0.95, 0.5
SAME_BAROMETER_PA = 200.0  # a belief and a shop may differ by this and still be one place


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BagAdvice(Answer):
    """The chances that this bag boils, froths, holds or does not clamp this resin.

    boils: deeper than what the condensables push with, on the safe side, no margin. too_deep:
    deeper than the advice's deepest, so that it boils or froths. debulk_too_deep: deeper than even
    the early debulk may go. too_weak: shallower than what clamps. state is the verdict, taken on
    the deeper side: boiling, inside margin, debulk only, safe, too weak or cannot tell. A prepreg
    takes all the vacuum there is: its water boils or does not whatever the bag, and what the bag
    can be is too weak.

    Notes
    -----
    Each chance is the belief's weight beyond a pressure of the advice; the verdict is safe where
    too_deep is 5 % or less. No equation of its own.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> bag = outgas.BagPressure.unknown(shop.barometer).sensor("60 mbar", "2 mbar")
    >>> judged = bag.advise("orthophthalic-polyester", shop)
    >>> judged.safe, judged.too_deep > 0.9, judged.to_dict()["kind"]
    (False, True, 'outgas bag advice')
    """

    bag: Belief
    advice: Advice
    boils: float
    debulk_too_deep: float
    too_deep: float
    too_weak: float
    state: str
    looks: tuple[Candidate, ...]
    next: Candidate | None
    words: Callable[["BagAdvice"], Report] = field(repr=False, compare=False)

    @property
    def makers(self) -> Mapping[str, Maker]:
        """Its charts, each by what makes it: the belief over the window, then the advice's."""
        return {**belief_charts(self.bag, self.advice), **self.advice.makers}

    @property
    def report(self) -> Report:
        """The verdict told: what the bag does to the resin, and what to look at next."""
        return self.words(self)

    @property
    def in_window(self) -> float:
        """Chance that the bag is between deepest and shallowest."""
        return max(0.0, 1.0 - self.too_deep - self.too_weak)

    @property
    def safe(self) -> bool:
        """Whether one may cure at this pressure."""
        return self.state == "safe"

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas bag advice",
            "version": VERSION,
            "state": self.state,
            "safe": self.safe,
            "chance_boils": self.boils,
            "chance_debulk_too_deep": self.debulk_too_deep,
            "chance_too_deep": self.too_deep,
            "chance_in_window": self.in_window,
            "chance_too_weak": self.too_weak,
            "bag": self.bag.to_dict(),
            "next": None if self.next is None else self.next.to_dict(),
            "observations": [look.to_dict() for look in self.looks],
            "advice": self.advice.to_dict(),
        }


def advice_for(
    bag: Belief, resin: str | Resin | Job, shop: Shop | None = None, **asked: Any
) -> Advice:
    """Return the advice for a resin, or a job, in the shop where a belief's bag is."""
    if "bag_pressure" in asked:
        raise InputError("bag_pressure is what the belief stands for; leave it out")
    advice = advise(resin, shop, **asked)
    no_bag(advice)
    if abs(advice.barometer_Pa - bag.barometer_Pa) > SAME_BAROMETER_PA:
        raise InputError(
            f"the belief stands on a barometer of {bag.barometer_Pa / 100:.0f} mbar, the shop's is "
            f"{advice.barometer_Pa / 100:.0f} mbar; begin with BagPressure.unknown(shop.barometer)"
        )
    return advice


def no_bag(advice: Advice) -> None:
    """Refuse a process that has no bag."""
    if advice.facts.pressed:
        raise InputError("pressing has no bag to judge or to hold; `outgas press` says the force")


def judge(bag: Belief, advice: Advice, words: Callable[[BagAdvice], Report]) -> BagAdvice:
    """Return chances and verdict; what is in doubt counts as deeper. words make its report."""
    no_bag(advice)
    boils = bag.chance_under(advice.bubble_pressure_Pa[1])
    early = bag.chance_under(min(advice.debulk_limit_Pa, advice.deepest_Pa))
    deep = bag.chance_under(advice.deepest_Pa)
    weak = 1.0 - bag.chance_under(advice.shallowest_Pa)
    state = _state(boils, early, deep, weak)
    if advice.facts.preimpregnated:
        boils, early, deep = (0.0 if advice.safe else 1.0), 0.0, 0.0
        state = _prepreg_state(advice.safe, weak)
    return BagAdvice(
        bag=bag,
        advice=advice,
        boils=boils,
        debulk_too_deep=early,
        too_deep=deep,
        too_weak=weak,
        state="cannot tell" if bag.contradictions else state,
        looks=candidates(bag, advice),
        next=best(bag, advice),
        words=words,
    )


def _prepreg_state(dry: bool, weak: float) -> str:
    """Return the verdict where the doubt is not a bag too deep but one too weak."""
    if not dry:
        return "boiling"
    if weak > LIKELY:
        return "too weak"
    return "safe" if weak <= 1.0 - SURE else "cannot tell"


def _state(boils: float, early: float, deep: float, weak: float) -> str:
    doubt = 1.0 - SURE
    if deep <= doubt:
        return "too weak" if weak > LIKELY else "safe"
    if deep < SURE:
        return "cannot tell"
    if boils > doubt:
        return "boiling"
    return "inside margin" if early > doubt else "debulk only"
