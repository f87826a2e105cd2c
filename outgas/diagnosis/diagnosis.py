"""What a diagnosis says: plain frozen records in SI floats, with quantities at their door."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from outgas import units
from outgas.diagnosis.replay import Behind, Replay
from outgas.job.asking import AskedAnswer, Asking
from outgas.show.chart import Maker
from outgas.show.report import At, Line, Report

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

KIND = "outgas diagnosis"
VERSION = 2  # of to_dict(); raised whenever a key changes its meaning
Span = tuple[float, float]  # from low to high
Along: TypeAlias = Literal["", "debulk", "degas"]


@dataclass(frozen=True, slots=True)
class Change:
    """Something to do differently, and the pressures [Pa] that it sets.

    A way out says its own pressures, and sets none here; nor does a sentence that only explains.
    along: the debulk or the degassing that goes with it, without which none of its pressures is
    deeper than what failed.
    """

    line: Line
    pressures_Pa: tuple[float, ...] = ()
    along: Along = ""

    @classmethod
    def to(cls, text: str, *pressures: float | At, along: Along = "") -> "Change":
        """Make one from words with a {} where each pressure goes: [Pa], or already placed."""
        placed = tuple(p if isinstance(p, At) else At(p) for p in pressures)
        return cls(Line(text, placed), tuple(at.pressure_Pa for at in placed), along)

    @property
    def text(self) -> str:
        """What to do, with a {} where each pressure goes."""
        return self.line.text

    def __str__(self) -> str:
        """Return it in absolute mbar, rounded towards less vacuum."""
        return str(self.line)


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """One cause: how likely, what speaks for and against, what it would make, what to change.

    void (share of gas) and radius_m are ranges, None where the cause makes none; an upper void of
    one means without limit. whiteness is how that would look. when says at which pressure or when
    it acts. matters is cosmetic, stiffness or structural, at worst.
    """

    name: str
    title: str
    probability: float
    speaks_for: tuple[Line, ...]
    speaks_against: tuple[Line, ...]
    when: Line
    void: Span | None
    radius_m: Span | None
    whiteness: str
    matters: str
    effect: str
    change: tuple[Change, ...]

    @property
    def evidence_for(self) -> tuple[str, ...]:
        """What speaks for it, in mbar."""
        return tuple(str(line) for line in self.speaks_for)

    @property
    def evidence_against(self) -> tuple[str, ...]:
        """What speaks against it, in mbar."""
        return tuple(str(line) for line in self.speaks_against)

    @property
    def acts(self) -> str:
        """At which pressure or when it acts, in mbar."""
        return str(self.when)

    @property
    def radius(self) -> "tuple[Quantity, Quantity] | None":
        """Of the bubbles or gaps, from small to large [m]."""
        if self.radius_m is None:
            return None
        return units.quantity(self.radius_m[0], "m"), units.quantity(self.radius_m[1], "m")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {
            "name": self.name,
            "title": self.title,
            "probability": self.probability,
            "evidence_for": list(self.evidence_for),
            "evidence_against": list(self.evidence_against),
            "acts": self.acts,
            "void_fraction": None if self.void is None else list(self.void),
            "radius_m": None if self.radius_m is None else list(self.radius_m),
            "whiteness": self.whiteness,
            "matters": self.matters,
            "effect": self.effect,
            "change": [
                {
                    "text": str(change),
                    "pressures_Pa": list(change.pressures_Pa),
                    "along": change.along,
                }
                for change in self.change
            ],
        }


@dataclass(frozen=True, slots=True)
class Weighed:
    """How likely each cause is once an answer has been taken in; '' before any."""

    answer: str
    causes: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """The question that best separates the leading two causes.

    points maps each answer to the cause it would speak for ('' where for neither). bits is the
    information expected of it, 0 to 1. now: it can still be tried on the part. pressures holds the
    answers that are bag pressures, as lines.
    """

    question: str
    text: str
    how_to: str
    now: bool
    points: dict[str, str]
    bits: float
    pressures: dict[str, Line] = field(default_factory=dict)

    def answer(self, said: str) -> Line:
        """Return one of its answers as a line."""
        return self.pressures.get(said, Line(said))

    def __str__(self) -> str:
        return f"{self.text} ({' / '.join(self.points)})"

    def to_dict(self) -> dict[str, Any]:
        """Return plain types."""
        return {
            "question": self.question,
            "text": self.text,
            "how_to": self.how_to,
            "now": self.now,
            "points": dict(self.points),
            "bits": self.bits,
        }


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Diagnosis(AskedAnswer):
    """Why a laminate is white, as far as can be told.

    causes are ranked, the likeliest first; weighed has them before any answer and after each;
    unlisted is the probability of a cause that is not among
    them. ruled_out maps causes that the physics rules out to the reason. cannot_tell: no cause
    leads clearly. of_bag holds how well each bag pressure [Pa] agrees with what was seen, the bag's
    own reading left out: what BagPressure.saw_white takes in; bag_read: there was such a reading.
    ask is the question that best separates the leading two, None where none does. bag, assumed and
    cautioned are what it was told of the bag, what it assumed and what to beware of; words makes
    the report, behind replays it.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> found = outgas.diagnose("orthophthalic-polyester", shop, bag_pressure="950 mbar")
    >>> found.cause("resin-boiling") is None, "resin-boiling" in found.impossible
    (True, True)
    >>> found.leading is found.causes[0], found.to_dict()["kind"]
    (True, 'outgas diagnosis')
    """

    _shown = ("resin", "process", "leading.name", "cannot_tell")
    _asked_in = "outgas.diagnosis.diagnose"

    resin: str
    resin_title: str
    process: str
    barometer_Pa: float
    hottest_K: float
    seen: dict[str, str]
    bag: Line
    bag_Pa: Span
    bag_read: bool
    of_bag: tuple[tuple[float, float], ...]
    causes: tuple[Suspect, ...]
    weighed: tuple[Weighed, ...]
    unlisted: float
    ruled_out: dict[str, Line]
    cannot_tell: bool
    ask: Ask | None
    refusal: str
    assumed: tuple[Line, ...]
    cautioned: tuple[Line, ...]
    words: Callable[["Diagnosis"], Report] = field(repr=False, compare=False)
    pictures: Callable[["Diagnosis"], Mapping[str, Maker]] = field(repr=False, compare=False)
    behind: Behind = field(repr=False, compare=False)
    asking: Asking | None = field(default=None, repr=False, compare=False)

    @property
    def bag_text(self) -> str:
        """What it was told of the bag, in mbar."""
        return str(self.bag)

    @property
    def impossible(self) -> dict[str, str]:
        """Causes that the physics rules out, and why, in mbar."""
        return {name: str(why) for name, why in self.ruled_out.items()}

    @property
    def leading(self) -> Suspect:
        """The likeliest cause, clearly ahead or not."""
        return self.causes[0]

    def cause(self, name: str) -> Suspect | None:
        """Return a cause by name, None where the physics rules it out or there is no such cause.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> outgas.diagnose("orthophthalic-polyester", shop).cause("dry-fibre").name
        'dry-fibre'
        """
        return next((cause for cause in self.causes if cause.name == name), None)

    def replay(
        self,
        pressure: "Measure | None" = None,
        degassed: "Measure | None" = None,
        debulk: "bool | Measure | None" = None,
    ) -> Replay:
        """Return what the laminate would have held had its bag been held otherwise.

        Parameters
        ----------
        pressure
            A bag pressure reading, '28 inHg vacuum', '550 mbar' or a quantity; as it was, in the
            middle of what was told, if not given.
        degassed
            The pot that the resin would have been in, as in outgas.advise: '27 mbar for 10 min,
            stirred'; as it was if not given.
        debulk
            True: first a debulk, or for an infusion a fill, where the window of the case has it.
            False: straight to the pressure. A reading: there. None: as it was.

        Returns
        -------
        A Replay: void fraction of the laminate with its 95 % ends, look, and likely cause.

        Raises
        ------
        InputError, OutOfRangeError, UnitError
            One line each; among them for prepreg and a press, where no bag sets the resin.

        Notes
        -----
        The gas balance of outgas.advise over the same stages: free gas V per volume of resin goes
        towards G / (p - p_v) - L, G all the air in it. Void fraction
        V (1 - V_f) / (1 + V (1 - V_f)).

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> found = outgas.diagnose("orthophthalic-polyester", shop, bag_pressure="700 mbar")
        >>> found.replay().cause, found.replay("600 mbar", debulk=True).cause
        ('dissolved-air', None)
        >>> found.replay("10 mbar").cause
        'resin-boiling'
        """
        return self.behind.replay(pressure, degassed, debulk)

    @classmethod
    def _kind(cls) -> tuple[str, int]:
        return KIND, VERSION

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": KIND,
            "version": VERSION,
            "asked": None if self.asking is None else self.asking.to_dict(),
            "resin": self.resin,
            "process": self.process,
            "barometer_Pa": self.barometer_Pa,
            "hottest_K": self.hottest_K,
            "seen": dict(self.seen),
            "bag": self.bag_text,
            "bag_low_Pa": self.bag_Pa[0],
            "bag_high_Pa": self.bag_Pa[1],
            "bag_read": self.bag_read,
            "of_bag": [{"bag_Pa": p, "agreement": a} for p, a in self.of_bag],
            "cannot_tell": self.cannot_tell,
            "causes": [cause.to_dict() for cause in self.causes],
            "unlisted_probability": self.unlisted,
            "impossible": self.impossible,
            "ask": None if self.ask is None else self.ask.to_dict(),
            "refusal": self.refusal,
            "assumptions": list(self.assumptions),
            "cautions": list(map(str, self.cautions)),
        }
