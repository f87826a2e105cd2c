"""Looks at a bag kept in plain types, so that a belief goes to a dict and back by looking again."""

import functools
import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, TypeVar, cast

import numpy as np

from outgas import constants, units
from outgas.errors import InputError
from outgas.job.asking import plain_pressure, plain_resin, resin_of
from outgas.job.rig import Rig, the_rig
from outgas.show import plain

if TYPE_CHECKING:
    from numpy.typing import NDArray

SCALE_UNITS = ("kg", "lb", "lbs", "g")  # what a luggage scale shows for a force
# The unit that each argument of a look is kept in; a tube's air is a length, a syringe's a volume.
_UNITS = {
    **{"temperature": "K", "depth": "m", "diameter": "m", "bore": "m", "mass": "kg"},
    **{"error": "Pa", "floor": "Pa", "before": "m**3", "after": "m**3", "returned": "m**3"},
}
_LENGTHS = {"inverted_tube": {"before": "m", "after": "m"}}

Look = TypeVar("Look", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Looked:
    """By which method of a belief a look was taken in, and with what; "" for one of one's own."""

    method: str = ""
    told: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """One observation as it was told: its kind, its words, and its likelihood on the grid."""

    kind: str
    text: str
    likelihood: "NDArray[np.float64]"
    looked: Looked = field(default=Looked(), repr=False)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Evidence):
            return NotImplemented
        told = (self.kind, self.text) == (other.kind, other.text)
        return told and np.array_equal(self.likelihood, other.likelihood)

    def __hash__(self) -> int:
        return hash((self.kind, self.text))

    def __str__(self) -> str:
        return self.text


def looks(method: Look) -> Look:
    """Let the belief that a look returns hold how it was told."""
    signature = inspect.signature(method)

    @functools.wraps(method)
    def taken(self: Any, *given: Any, **named: Any) -> Any:
        said = signature.bind(self, *given, **named)
        said.apply_defaults()
        told = {name: v for name, v in said.arguments.items() if name != "self" and v is not None}
        made = method(self, *given, **named)
        *others, last = made.evidence
        kept = replace(last, looked=Looked(method.__name__, told))
        return replace(made, evidence=(*others, kept))

    return cast(Look, taken)


@dataclass(frozen=True, slots=True)
class _Cause:
    """The likeliest cause of a white laminate."""

    title: str


@dataclass(frozen=True, slots=True)
class KeptLaminate:
    """What a belief takes in of a white laminate, kept from its diagnosis."""

    process: str
    resin_title: str
    of_bag: tuple[tuple[float, float], ...]
    leading: _Cause


def to_plain(look: Looked, barometer_Pa: float, likelihood: Any) -> dict[str, Any]:
    """Return how a look was told in plain types and SI; of one of one's own, what it says."""
    if not look.method:
        return {"method": "saw", "likelihood": [float(x) for x in likelihood]}
    kept = {name: _plainly(look.method, name, v, barometer_Pa) for name, v in look.told.items()}
    return {"method": look.method, **kept}


def _plainly(method: str, name: str, value: Any, barometer_Pa: float) -> Any:
    if name == "rig":
        return the_rig(value).to_dict()
    if name == "resin":
        return plain_resin(value)
    if name == "diagnosis":
        return {
            "process": value.process,
            "resin_title": value.resin_title,
            "of_bag": [list(pair) for pair in value.of_bag],
            "leading": value.leading.title,
        }
    if name == "reading":
        return plain_pressure(value, barometer_Pa)
    if name == "force":
        return f"{read_force(value)!r} N"
    unit = _LENGTHS.get(method, {}).get(name, _UNITS.get(name))
    return bool(value) if unit is None else f"{units.one(value, unit, name)!r} {unit}"


def read_force(force: Any) -> float:
    """Return a force [N], also from what a luggage scale shows: kilograms or pounds."""
    if isinstance(force, str) and units.split_number(force, "force")[1].lower() in SCALE_UNITS:
        return units.positive(force, "kg", "force") * constants.STANDARD_GRAVITY
    return units.positive(force, "N", "force")


def looked_again(belief: Any, evidence: Any) -> Any:
    """Return a belief with a look taken in as to_plain() told it."""
    if not isinstance(evidence, Mapping) or not isinstance(evidence.get("look"), Mapping):
        raise InputError(f"evidence is {str(evidence)[:60]!r}; give what to_dict() gave")
    told = dict(evidence["look"])
    method = told.pop("method", None)
    if method == "saw":
        says = np.array(plain.listed(told.get("likelihood"), "likelihood"), dtype=float)
        if says.shape != belief.weights.shape or not (says >= 0.0).all() or not says.any():
            raise InputError("likelihood is not one number of 0 or more for each pressure")
        return belief.saw(str(evidence["kind"]), str(evidence["text"]), says)
    look: Any = getattr(belief, str(method), None)
    if not getattr(look, "__wrapped__", None):
        raise InputError(f"look is {str(method)[:40]!r}; it is no look that a belief takes in")
    plain.known_names(told, inspect.signature(look).parameters, str(method))
    try:
        return look(**{name: _taken(name, value) for name, value in told.items()})
    except TypeError as error:
        raise InputError(f"look {method}: {error}") from None


def _taken(name: str, value: Any) -> Any:
    if name == "rig":
        return Rig.from_dict(value)
    if name == "resin":
        return resin_of(value)
    if name != "diagnosis":
        return value
    got = plain.part(value, ("process", "resin_title", "of_bag", "leading"), name)
    pairs = tuple(
        (plain.number(p, "of_bag"), plain.number(a, "of_bag"))
        for p, a in plain.listed(got["of_bag"], "of_bag")
    )
    return KeptLaminate(got["process"], got["resin_title"], pairs, _Cause(got["leading"]))
