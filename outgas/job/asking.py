"""What was asked of outgas.advise and its kin, kept so that it can be asked again.

A function that takes_job() takes a saved Job in place of resin and shop, and hands its answer what
it was asked. An answer that was asked so goes to a dict and back by asking once more: the dict
holds what was asked in SI beside the numbers, and these must still come out.
"""

import functools
import importlib
import inspect
from abc import abstractmethod
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar, Concatenate, ParamSpec, Protocol, Self, TypeVar, cast

import msgspec

from outgas import readings, units
from outgas.errors import InputError, OutgasError, UnknownNameError
from outgas.job.degassed import read_degassed, usual
from outgas.job.gauge import reading_of
from outgas.job.job import FINISHES, UP_TO, read_contaminants, read_hottest, read_reads_with
from outgas.job.job_keys import BY_OPTION
from outgas.job.layup import Layup
from outgas.job.process import read_process
from outgas.job.rig import Rig, as_rig
from outgas.job.saved import Job, arguments_of, overridden
from outgas.job.shop import Shop
from outgas.job.told_pressure import UNSAID, plain_words
from outgas.show import plain
from outgas.show.answer import ToldAnswer
from outgas.tables import catalogue
from outgas.tables.data import converted
from outgas.tables.materials import Resin

# Of an argument that is an amount, the unit it is kept in.
_KEPT = {
    **dict.fromkeys(("gel_time", "dried", "wet_out", "fill"), "s"),
    "minimum_temperature": "K",
    "batch": "kg",
}
_SHARES = (
    *("confidence", "entrained", "water_activity", "void_target", "vapour_share"),
    *("trapped", "connected", "initiator"),
)
_PARTS: dict[str, type[Shop] | type[Layup] | type[Rig]] = {"shop": Shop, "layup": Layup, "rig": Rig}


@dataclass(frozen=True, slots=True)
class Asking:
    """One question: the function that was asked, the resin, the shop, and what was said beside."""

    ask: Callable[..., Any]
    resin: str | Path | Resin
    shop: Shop
    given: Mapping[str, Any]

    def again(self) -> Any:
        """Return the answer, asked once more."""
        return self.ask(self.resin, self.shop, **self.given)

    def but(self, **told: Any) -> "Asking":
        """Return the question with something told otherwise: of itself, shop, layup or rig.

        By the names of the function's own arguments, of Shop, Layup and Rig, or of the options.
        """
        told = {BY_OPTION.get(name, name): value for name, value in told.items()}
        own = inspect.signature(self.ask).parameters
        parts: dict[str, Any] = {
            "shop": told.pop("shop", self.shop),
            "layup": told.pop("layup", self.given.get("layup")) or Layup(),
            "rig": as_rig(told.pop("rig", self.given.get("rig"))) or Rig(),
        }
        mine: dict[str, Any] = {}
        theirs: dict[str, dict[str, Any]] = {name: {} for name in parts}
        for name, value in told.items():
            if name in own:
                mine[name] = value
                continue
            holder = next((part for part in parts if name in _names(part)), None)
            if holder is None:
                known = {*own, *(n for part in parts for n in _names(part))} - parts.keys()
                raise UnknownNameError("argument", name, known)
            theirs[holder][name] = value
        changed = {name: part.but(**theirs[name]) for name, part in parts.items()}
        resin = mine.pop("resin", self.resin)
        shop = changed.pop("shop")
        kept = {name: v for name, v in self.given.items() if name not in parts}
        return Asking(self.ask, resin, shop, {**overridden(kept, mine), **changed})

    def to_dict(self) -> dict[str, Any] | None:
        """Return what was asked in plain types and SI; None where it holds what no dict can."""
        usual = {n: p.default for n, p in inspect.signature(self.ask).parameters.items()}
        usual["finish"] = FINISHES[0]
        try:
            said = {
                name: _plainly(name, value, self.shop)
                for name, value in sorted(self.given.items())
                if not _says_nothing(value)
            }
            resin = plain_resin(self.resin)
        except NotPlainError:
            return None
        own = {n: v for n, v in said.items() if n not in usual or v != usual[n]}
        return {"resin": resin, "shop": self.shop.to_dict(), **own}

    @classmethod
    def from_dict(cls, ask: Callable[..., Any], found: Any) -> "Asking":
        """Return the question that to_dict() gave."""
        if not isinstance(found, Mapping) or not {"resin", "shop"} <= found.keys():
            raise InputError(f"asked is {str(found)[:60]!r}; give what to_dict() gave")
        given: dict[str, Any] = {}
        for name, value in found.items():
            if name not in inspect.signature(ask).parameters:
                raise UnknownNameError("argument", str(name), inspect.signature(ask).parameters)
            given[name] = _PARTS[name].from_dict(value) if name in _PARTS else value
        resin, shop = given.pop("resin"), given.pop("shop")
        return cls(ask, resin_of(resin), shop, given)


class NotPlainError(Exception):
    """A value that no plain type holds."""


def _names(part: str) -> set[str]:
    """Return the names of the arguments that make a shop, a layup or a rig."""
    return set(inspect.signature(_PARTS[part].__init__).parameters) - {"self"}


def _says_nothing(value: Any) -> bool:
    return value is None or value in (Layup(), Rig()) or (isinstance(value, dict) and not value)


def plain_resin(resin: str | Path | Resin) -> Any:
    """Return a resin by its name or its file; a record of nobody's file whole."""
    if isinstance(resin, Resin):
        if resin.name in catalogue.resins() and catalogue.resin(resin.name) == resin:
            return resin.name
        return msgspec.to_builtins(resin)
    return str(resin) if catalogue.is_path(str(resin)) else catalogue.resin(resin).name


def resin_of(found: Any) -> Any:
    """Return the resin that plain_resin() gave."""
    if not isinstance(found, Mapping):
        return found
    try:
        return converted(found, Resin)
    except (msgspec.ValidationError, ValueError) as error:
        raise InputError(f"resin: {error}") from None


def _plainly(name: str, value: Any, shop: Shop) -> Any:
    """Return an argument as it is kept: SI, however it was said."""
    if isinstance(value, Shop | Layup):
        return value.to_dict()
    if name == "rig":
        return (as_rig(value) or Rig()).to_dict()
    if name in _KEPT:
        return f"{units.one(value, _KEPT[name], name)!r} {_KEPT[name]}"
    if name in _SHARES:
        return units.one_fraction(value, name)
    if name == "air_pressure":
        return f"{readings.read_absolute(value, name)!r} Pa"
    if name in _READ:
        return _READ[name](value, shop)
    return _anything(value, shop)


def _hottest(value: Any, _: Shop) -> str:
    hot, high = read_hottest(value)
    return f"{hot!r} K" if high is None else f"{hot!r} K{UP_TO}{high!r} K"


def _degassed(value: Any, shop: Shop) -> str:
    pot = read_degassed(value, shop.barometer_Pa)
    assert pot is not None
    said = f"{pot.pressure_Pa!r} Pa"
    if pot.seconds != usual(pot.pressure_Pa).seconds:
        said += f" for {pot.seconds.nominal!r} s"
    return said + {True: ", stirred", False: ", still", None: ""}[pot.worked]


def _traces(value: Any, _: Shop) -> dict[str, float]:
    found: dict[str, float] = {}
    for volatile, share in read_contaminants(value):
        if volatile.name not in catalogue.volatiles():
            raise NotPlainError
        found[volatile.name] = share
    return found


def _reads_with(value: Any, _: Shop) -> str:
    if str(value).strip() == "sensor":  # its error is the rig's
        return "sensor"
    kind, error = read_reads_with(value, Rig())
    return f"{kind} {error!r} Pa" if kind == "sensor" else kind


def _pressure(value: Any, shop: Shop) -> Any:
    if isinstance(value, list | tuple):
        return [_pressure(part, shop) for part in value]
    return plain_pressure(value, shop.barometer_Pa)


def plain_pressure(value: Any, barometer_Pa: float) -> str:
    """Return a told pressure: absolute where it was, words where a dial or a range said it."""
    if not (isinstance(value, str) or units.is_quantity(value) or units.is_labelled(value)):
        raise NotPlainError  # a belief
    try:
        got = reading_of(value, barometer_Pa)
    except OutgasError:  # a range, or words for a bag
        return " ".join(str(value).split())
    return " ".join(value.split()) if got.by_dial else f"{got.absolute_Pa!r} Pa"


def _seen(value: Any, _: Shop) -> Any:
    """Return what was seen, question by question."""
    texts = [value] if isinstance(value, str) else value
    pairs = texts.items() if isinstance(texts, Mapping) else (t.split("=", 1) for t in texts)
    said = {plain_words(question): plain_words(answer) for question, answer in pairs}
    return {question: answer for question, answer in said.items() if answer not in UNSAID}


_READ: dict[str, Callable[[Any, Shop], Any]] = {
    "process": lambda value, _: read_process(value).name,
    "hottest": _hottest,
    "degassed": _degassed,
    "contaminants": _traces,
    "reads_with": _reads_with,
    "bag_pressure": _pressure,
    "seen": _seen,
}


def _anything(value: Any, _: Shop) -> Any:
    if isinstance(value, str | bool | int | float):
        return value
    raise NotPlainError


class AskedAnswer(ToldAnswer):
    """An answer that knows what it was asked, so that it can be asked again.

    A subclass holds asking, None where it was not asked but made as a part of another answer, and
    names the module of the function that answers.
    """

    __slots__ = ()
    _asked_in: ClassVar[str]  # the module; its last part is the function too
    _costly: ClassVar[tuple[str, ...]] = ()  # keys of to_dict() that follow from the rest
    asking: Asking | None

    def _asking(self) -> Asking:
        if self.asking is None:
            raise InputError(
                "this answer is a part of another and was not asked by itself; ask that one again"
            )
        return self.asking

    def but(self, **told: Any) -> Self:
        """Return the answer to the same question with something told otherwise.

        Parameters
        ----------
        told
            By the names of the function's own arguments, of Shop, Layup and Rig: temperature=
            '30 degC', plies=[...], pump_ultimate='2 mbar', void_target='1 %'. None: not said.

        Returns
        -------
        Another answer; errors as of the function.

        Notes
        -----
        The whole question is asked again: nothing of this answer is kept. No equation of its own.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="20 degC", humidity="50 %")
        >>> advice = outgas.advise("orthophthalic-polyester", shop)
        >>> warm = advice.but(temperature="30 degC")
        >>> warm.shop_K, warm.limits["vapour"] > advice.limits["vapour"]
        (303.15, True)
        """
        made: Self = self._asking().but(**told).again()
        return made

    @classmethod
    def from_dict(cls, found: Mapping[str, Any], *, anew: bool = False) -> Self:
        """Return the answer that to_dict() gave, also by way of JSON.

        Parameters
        ----------
        found
            What to_dict() gave. What was asked in it is asked again, and the numbers that come out
            must be those in it: a number that this outgas would not give is never handed on.
        anew
            True: whatever comes out now, without a look at the numbers in it.

        Returns
        -------
        An answer equal to the one that was stored.

        Raises
        ------
        InputError
            For another kind or version, for an answer that was a part of another or was asked with
            what no dict holds, and where a number does not come out: one line that names it.

        Examples
        --------
        >>> import json
        >>> import outgas
        >>> shop = outgas.Shop(temperature="20 degC", humidity="50 %")
        >>> advice = outgas.advise("orthophthalic-polyester", shop)
        >>> outgas.Advice.from_dict(json.loads(advice.to_json())) == advice
        True
        """
        ask = getattr(importlib.import_module(cls._asked_in), cls._asked_in.rpartition(".")[2])
        kind, version = cls._kind()
        plain.of_kind(found, kind, version)
        if found.get("asked") is None:
            raise InputError(
                f"this {kind} does not hold what was asked: it was a part of another answer, or "
                "was asked with what no dict holds; keep it by pickle"
            )
        made: Self = Asking.from_dict(ask, found["asked"]).again()
        if not anew:
            plain.same_numbers(found, made.to_dict(), kind, without=("asked", *cls._costly))
        return made

    @classmethod
    @abstractmethod
    def _kind(cls) -> tuple[str, int]:
        """Return the kind and the version of to_dict()."""


P = ParamSpec("P")
R_co = TypeVar("R_co", covariant=True)


class TakesJob(Protocol[P, R_co]):
    """A function of a resin and a shop that takes a Job in their place."""

    def __call__(
        self,
        resin: "str | Path | Resin | Job",
        shop: "Shop | None" = None,
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> R_co:
        """Return what the function makes of the job."""
        ...


def takes_job(asked: Callable[Concatenate[str | Path | Resin, Shop, P], R_co]) -> TakesJob[P, R_co]:
    """Let a function of a resin and a shop take a Job too; what is named beside it goes first.

    Its answer is handed what was asked. A name of the command line's options is taken for the
    function's own.
    """
    signature = inspect.signature(asked)
    known = signature.parameters

    @functools.wraps(asked)
    def called(resin: Any, shop: Any = None, **given: Any) -> Any:
        given = {BY_OPTION.get(name, name): value for name, value in given.items()}
        plain.known_names(given, known, asked.__name__)
        if isinstance(resin, Job):
            told = {k: v for k, v in arguments_of(dict(resin.told)).items() if k in known}
            given = overridden(told, given) | given
            resin, shop = resin.resin, resin.shop if shop is None else shop
        answer: Any = asked(resin, shop, **given)  # type: ignore[call-arg]
        said = {name: value for name, value in given.items() if value is not None}
        object.__setattr__(answer, "asking", Asking(called, resin, shop, said))
        return answer

    shop = known["shop"].replace(default=None, annotation=Shop | None)
    others = [p for name, p in known.items() if name not in ("resin", "shop")]
    called.__signature__ = signature.replace(  # type: ignore[attr-defined]
        parameters=[known["resin"], shop, *others]
    )
    return cast(TakesJob[P, R_co], called)
