"""What a shop's own panels taught: a plain record that jobs can be asked with."""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from outgas.job.learnt import Good, Kind, Learnt
from outgas.laminate.batch import GEL
from outgas.panels.numbers import FAMILY, SHOP, misfit, thresholds, ways_of
from outgas.panels.weighing import Message, Weighed, weighed
from outgas.physics.chance import Band
from outgas.show.answer import ToldAnswer
from outgas.show.chart import Maker
from outgas.show.report import Line, Report
from outgas.tables import catalogue

VERSION = 1  # of to_dict(); raised whenever a key changes its meaning


@dataclass(frozen=True, slots=True)
class Number:
    """One number before and after: what it is, its bands, and to which panels it belongs."""

    name: str
    title: str
    unit: str
    before: Band
    after: Band
    shared: str

    @property
    def narrowed(self) -> float:
        """How much of its range is left, 0 to 1 or more where panels widened it."""
        wide = self.before.high - self.before.low
        return (self.after.high - self.after.low) / wide if wide > 0.0 else 1.0

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {
            "name": self.name,
            "what": self.title,
            "unit": self.unit,
            "before": [self.before.nominal, self.before.low, self.before.high],
            "after": [self.after.nominal, self.after.low, self.after.high],
            "shared_by": self.shared,
        }


@dataclass(frozen=True, slots=True)
class Doubted:
    """A panel that contradicts the rest: its name and line, what it said, how surely wrong."""

    name: str
    line: int
    said: str
    chance: float


@dataclass(frozen=True, slots=True)
class NextPanel:
    """A panel worth making: its cure's pressure [Pa], what it would teach [bits], how it may look.

    looks: how likely it comes out clear, hazy, milky.
    """

    pressure_Pa: float
    bits: float
    looks: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """What panels of one kind taught: their draws, and what can be told of them.

    alone: what they taught of what others share with them, without those others. worth: how many
    panels that each halve what was possible. effective: how many draws carry the weight.
    """

    kind: Kind
    panels: int
    beside: int
    drawn: Weighed
    alone: Message
    cups: int
    good: tuple[Good, ...]
    worth: float
    numbers: tuple[Number, ...]
    doubted: tuple[Doubted, ...]
    next_panels: tuple[NextPanel, ...]

    @property
    def learnt(self) -> Learnt:
        """What a job of this kind takes of it."""
        return learnt_of(self.drawn, self.good, self.panels, self.beside, cups=self.cups)


def learnt_of(
    drawn: Weighed, good: tuple[Good, ...], panels: int, beside: int, *, cups: int
) -> Learnt:
    """Return draws as a job takes them; the eye only where it is stricter than the table's.

    The gel of a cup is among them only where cups were told.
    """
    ways = ways_of(drawn.resampled())
    times = misfit(ways)
    strict = np.minimum(thresholds(ways)[0] / catalogue.gas().look.clear.si, 1.0)
    kept = {name: way for name, way in ways.items() if name != GEL or cups}
    return Learnt(kept, times, strict, good, panels, beside)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Experience(ToldAnswer):
    """What a shop's own panels taught of its gas, its eyes and its resins.

    Handed to advise, schedule, diagnose or sweep as experience=. groups: what was learnt kind by
    kind (resin family, process, cloth). faults: panels that were left out, and why. path: of the
    log. across: what was asked to be taken as one although it is not.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> rows = [{"resin": "orthophthalic-polyester", "cure": "300 mbar", "look": "milky"}] * 2
    >>> known = outgas.learn(rows, shop)
    >>> known.kinds, list(known.charts())
    (('polyester, wet layup, no cloth named',), ['learnt', 'next'])
    >>> group = known.groups[0]
    >>> group.panels, len(group.good), round(sum(group.next_panels[0].looks), 6)
    (2, 0, 1.0)
    """

    _shown = ("panels", "kinds")

    path: str
    barometer_Pa: float
    groups: tuple[Group, ...]
    faults: tuple[str, ...]
    across: tuple[str, ...]
    assumed: tuple[Line, ...] = ()
    cautioned: tuple[Line, ...] = ()
    words: Callable[["Experience"], Report] = field(repr=False)
    pictures: Callable[["Experience"], Mapping[str, Maker]] = field(repr=False)
    _known: dict[Kind, Learnt | None] = field(default_factory=dict, repr=False)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Experience) and self.to_dict() == other.to_dict()

    __hash__ = ToldAnswer.__hash__

    @property
    def panels(self) -> int:
        """How many panels it rests on."""
        return sum(group.panels for group in self.groups)

    @property
    def kinds(self) -> tuple[str, ...]:
        """Of which kinds they were."""
        return tuple(str(group.kind) for group in self.groups)

    def learnt_for(self, kind: Kind) -> Learnt | None:
        """Return what was learnt for a kind of job: all of its own, else what the shop shares."""
        kind = self.taken_as(kind)
        if kind not in self._known:
            self._known[kind] = self._made_for(kind)
        return self._known[kind]

    def taken_as(self, kind: Kind) -> Kind:
        """Return a kind without what was asked to be taken as one."""
        return as_one(kind, self.across)

    def _made_for(self, kind: Kind) -> Learnt | None:
        for group in self.groups:
            if group.kind == kind:
                return group.learnt
        messages = messages_for(kind, [(g.kind, g.alone) for g in self.groups])
        if not messages:
            return None
        cups = sum(group.cups for group in self.groups if group.kind.family == kind.family)
        whole = learnt_of(weighed([], messages), (), 0, self.panels, cups=cups)
        family = any(group.kind.family == kind.family for group in self.groups)
        return _only_shared(whole, (*SHOP, *(FAMILY if family else ())))

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas experience",
            "version": VERSION,
            "path": self.path,
            "barometer_Pa": self.barometer_Pa,
            "panels": self.panels,
            "taken_as_one": list(self.across),
            "groups": [
                {
                    "family": group.kind.family,
                    "process": group.kind.process,
                    "cloth": group.kind.cloth,
                    "panels": group.panels,
                    "effective_draws": group.drawn.effective,
                    "worth_panels": group.worth,
                    "numbers": [number.to_dict() for number in group.numbers],
                    "contradict": [
                        {"name": d.name, "line": d.line, "said": d.said, "chance": d.chance}
                        for d in group.doubted
                    ],
                    "next": [
                        {"cure_Pa": n.pressure_Pa, "bits": n.bits, "looks": list(n.looks)}
                        for n in group.next_panels
                    ],
                }
                for group in self.groups
            ],
            "left_out": list(self.faults),
            "assumptions": list(self.assumptions),
            "cautions": list(self.cautions),
        }


def _only_shared(of: Learnt, names: tuple[str, ...]) -> Learnt:
    """Return what a kind takes of which there is no panel: what is shared, and nothing else.

    The rest stays as the tables have it, and so does how far the balance is out.
    """
    ways = {name: way for name, way in of.ways.items() if name in names}
    return dataclasses.replace(of, ways=ways, times=np.ones_like(of.times))


def as_one(kind: Kind, across: tuple[str, ...]) -> Kind:
    """Return a kind with the parts that are taken as one left open."""
    return Kind(*("any" if part in across else getattr(kind, part) for part in PARTS))


PARTS = ("family", "process", "cloth")


def messages_for(kind: Kind, others: "list[tuple[Kind, Message]]") -> list[Message]:
    """Return what panels of other kinds taught that this kind shares with them."""
    found = []
    for other, message in others:
        if other != kind:
            found.append(message if other.family == kind.family else message.only(SHOP))
    return found


SHARED = (*SHOP, *FAMILY)
