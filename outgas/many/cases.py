"""Which cases are asked of: what is the same in all of them, and what runs along each axis.

An axis is a name and its values; a table is one axis, 'case', along which several things run. Each
value is read once, however many cases it stands in.
"""

import inspect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas import readings, units
from outgas.errors import InputError, OutgasError, SeveralMistakesError, UnknownNameError
from outgas.job.gauge import reading_of
from outgas.job.job import Job, job_of
from outgas.job.job_keys import KEYS
from outgas.job.saved import Job as SavedJob
from outgas.job.saved import arguments_of
from outgas.job.shop import Shop

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

CASE = "case"  # the one axis of a table
OF_SHOP = tuple(name for name in inspect.signature(Shop).parameters)
OF_LAYUP = ("layup", "ply", "core", "area", "tool", "bag_side")
BAG = "bag_pressure"  # what a verdict is on; no part of a job
_OF_JOB = tuple(
    name for name in inspect.signature(job_of).parameters if name not in ("resin", "shop")
)
# Keys of a job that say nothing of a window.
BESIDE = ("dial", "units", "batch", "wet_out", "fill", "no_degas", "pitch", "breather")
_WORDS = tuple(key for key in KEYS if key not in (*BESIDE, "resin_used", "bore", "clamp"))
ASKABLE = tuple(dict.fromkeys(("resin", *OF_SHOP, *_OF_JOB, *_WORDS, BAG)))
# Keys whose one value is a list; an axis of them is a list of lists.
_LISTS = tuple(key for key in KEYS if KEYS[key].kind == "several")
_UNSAID = {
    name: None
    for name, taken in inspect.signature(job_of).parameters.items()
    if taken.default is taken.empty and name in _OF_JOB
}
# What a coordinate is shown in, and what it is.
SHOWN_IN = {
    "temperature": ("degC", "K"),
    "tool_temperature": ("degC", "K"),
    "hottest": ("degC", "K"),
    "humidity": ("%", ""),
    "altitude": ("m", "m"),
    "barometer": ("mbar", "Pa"),
    "void_target": ("%", ""),
    "entrained": ("%", ""),
    "initiator": ("%", ""),
    "trapped": ("%", ""),
    "connected": ("%", ""),
    "water_activity": ("1", ""),
    "gel_time": ("min", "s"),
    "sun": ("W/m2", "W/m**2"),
    "area": ("m2", "m**2"),
}


@dataclass(frozen=True, slots=True)
class Axis:
    """One direction of a map: its name, and along it one or more arguments with their values."""

    name: str
    columns: Mapping[str, tuple[Any, ...]]

    def __len__(self) -> int:
        return len(next(iter(self.columns.values())))

    def __post_init__(self) -> None:
        lengths = {len(values) for values in self.columns.values()}
        if len(lengths) != 1 or lengths == {0}:
            raise InputError(f"{self.name}: its columns are of {sorted(lengths)} values")


@dataclass(frozen=True, slots=True)
class Cases:
    """What is asked in all cases, and the axes along which the rest runs."""

    held: Mapping[str, Any]
    axes: tuple[Axis, ...]

    @property
    def shape(self) -> tuple[int, ...]:
        """How many values lie along each axis."""
        return tuple(len(axis) for axis in self.axes)

    @property
    def size(self) -> int:
        """How many cases there are."""
        return int(np.prod(self.shape, dtype=np.int64)) if self.axes else 1

    @property
    def is_table(self) -> bool:
        """Whether several things run along one axis."""
        return any(axis.name == CASE for axis in self.axes)

    def places(self, number: int) -> dict[str, int]:
        """Return at which value of each argument a case stands."""
        where = np.unravel_index(number, self.shape) if self.axes else ()
        return {
            key: int(i) for axis, i in zip(self.axes, where, strict=True) for key in axis.columns
        }

    def told(self, number: int) -> dict[str, Any]:
        """Return everything that is told of a case."""
        places = self.places(number)
        columns = {key: axis.columns[key] for axis in self.axes for key in axis.columns}
        return {**self.held, **{key: columns[key][i] for key, i in places.items()}}


def cases_of(asked: Mapping[str, Any], table: Mapping[str, Any] | None = None) -> Cases:
    """Return the cases that arguments make: a sequence is an axis, all else is held.

    table: columns of one length; they run along one axis. InputError, all mistakes at once.
    """
    mistakes: list[str] = []
    held: dict[str, Any] = {}
    axes: list[Axis] = []
    for key, value in asked.items():
        if value is None:
            continue
        if key not in ASKABLE:
            mistakes.append(str(UnknownNameError("argument of a sweep", key, ASKABLE)))
        elif _is_axis(key, value):
            axes.append(Axis(key, {key: _values(value)}))
        else:
            held[key] = value
    if table is not None:
        columns = {str(key): _values(table[key]) for key in table}
        mistakes += [
            str(UnknownNameError("column of a table", key, ASKABLE))
            for key in columns
            if key not in ASKABLE
        ]
        if not mistakes:
            axes.append(Axis(CASE, columns))
    if mistakes:
        raise SeveralMistakesError(mistakes)
    return Cases(held, tuple(axes))


def asked_of(resin: Any, shop: Shop | None, told: Mapping[str, Any]) -> dict[str, Any]:
    """Return all that is asked: what a job or a shop says, and what is told beside it before it."""
    asked: dict[str, Any] = {}
    if isinstance(resin, SavedJob):
        known = dict(resin.told)
        asked = {key: list(v) if isinstance(v, tuple) else v for key, v in known.items()}
        asked.pop("dial", None)
    elif resin is not None:
        asked["resin"] = resin
    if shop is not None:
        if not isinstance(shop, Shop):
            raise InputError(f"shop is {str(shop)[:40]!r}; give outgas.Shop(temperature=..., ...)")
        asked |= {key: getattr(shop, key) for key in ("temperature", "humidity", "barometer")}
        if shop.tool_temperature_K != shop.temperature_K:
            asked["tool_temperature"] = shop.tool_temperature
        if shop.sun_W_m2:
            asked["sun"] = units.quantity(shop.sun_W_m2, "W/m**2")
    if told.get("altitude") is not None and shop is not None:
        asked.pop("barometer", None)
    return {**asked, **told}


def _is_axis(key: str, value: Any) -> bool:
    if isinstance(value, str | Mapping):
        return False
    if key in _LISTS:
        return isinstance(value, list | tuple) and any(isinstance(v, list | tuple) for v in value)
    return isinstance(value, list | tuple | range) or bool(getattr(value, "ndim", 0))


def _values(value: Any) -> tuple[Any, ...]:
    """Return the values along an axis; of an array each with the array's unit."""
    if units.is_labelled(value) and value.attrs.get("units"):
        value = units.quantity(np.asarray(value.data, dtype=float), value.attrs["units"])
    if hasattr(value, "magnitude"):
        return tuple(units.quantity(float(v), value.units) for v in np.ravel(value.magnitude))
    if isinstance(value, np.ndarray) or hasattr(value, "to_numpy"):
        return tuple(np.asarray(value).ravel().tolist())
    return tuple(value)


@dataclass(slots=True)
class Reader:
    """Reads cases into jobs; each value, and each layup, once."""

    cases: Cases
    _shops: dict[Any, dict[str, Any]] = field(default_factory=dict)
    _jobs: dict[Any, Job] = field(default_factory=dict)
    _base: dict[Any, Shop] = field(default_factory=dict)

    def job(self, number: int) -> Job:
        """Return the job of a case; OutgasError where it cannot be read."""
        places = self.cases.places(number)
        shop = self.shop(number)
        beside = tuple((key, i) for key, i in places.items() if key not in OF_SHOP or key in _AIR)
        if beside not in self._jobs:
            self._jobs[beside] = _job(self.cases.told(number), shop)
        return self._jobs[beside].but(shop=shop)

    def bag(self, number: int) -> readings.Reading | None:
        """Return what the bag is at, where that is told of a case."""
        told = self.cases.told(number)
        if told.get(BAG) is None:
            return None
        here = self.shop(number).barometer_Pa
        found = reading_of(told[BAG], here, "bag pressure")
        if found.absolute_Pa > here:
            raise InputError(f"bag pressure is {told[BAG]}, above the barometer's {here:.0f} Pa")
        return found

    def shop(self, number: int) -> Shop:
        """Return the shop of a case."""
        places = self.cases.places(number)
        told = self.cases.told(number)
        words = {key: told[key] for key in OF_SHOP if told.get(key) is not None}
        missing = [key for key in ("temperature", "humidity") if key not in words]
        if missing:
            raise InputError(f"{' and '.join(missing)} must be told of each case")
        running = [key for key in words if key in places]
        together = any(key in _AIR for key in running) and all(key in words for key in _AIR)
        if together or self.cases.is_table:  # altitude and barometer are read together
            return Shop(**words)
        if () not in self._base:
            self._base[()] = Shop(**words)
        moved: dict[str, Any] = {}
        for key in running:
            at = (key, places[key])
            if at not in self._shops:
                self._shops[at] = _fields(words, key)
            moved.update(self._shops[at])
        if "tool_temperature" not in words and "temperature_K" in moved:
            moved["tool_temperature_K"] = moved["temperature_K"]
        return self._base[()]._moved(**moved)


_AIR = ("altitude", "barometer")
_FIELDS = {
    "temperature": ("temperature_K",),
    "humidity": ("humidity",),
    "altitude": ("barometer_Pa", "barometer_note"),
    "barometer": ("barometer_Pa", "barometer_note"),
    "tool_temperature": ("tool_temperature_K",),
    "sun": ("sun_W_m2",),
}


def _fields(words: Mapping[str, Any], key: str) -> dict[str, Any]:
    """Return what one value of a shop's argument sets, read as the shop reads it."""
    shop = Shop(**words)
    return {name: getattr(shop, name) for name in _FIELDS[key]}


def _job(told: Mapping[str, Any], shop: Shop) -> Job:
    """Return the job that was told of a case, in words or in records."""
    if told.get("resin") is None:
        raise InputError("no resin was told; name one of outgas.resins()")
    told = {key: value for key, value in told.items() if value is not None}
    words = {key: value for key, value in told.items() if key in KEYS}
    asked = arguments_of(words)
    asked.update({key: told[key] for key in _OF_JOB if key in told and key not in words})
    if "layup" in told:
        asked["layup"] = told["layup"]
    if "rig" in told and not isinstance(told["rig"], str):
        asked["rig"] = told["rig"]
    known = {key: asked[key] for key in asked if key in _OF_JOB}
    return job_of(told["resin"], shop, **{**_UNSAID, **known})


def coordinate(key: str, values: Sequence[Any]) -> tuple[list[Any], dict[str, str]]:
    """Return what an axis is labelled with: numbers in the trade's unit, or words."""
    shown, si = SHOWN_IN.get(key, ("", ""))
    if shown:
        try:
            return [_in_shown(key, value, shown, si) for value in values], {"units": shown}
        except OutgasError:
            pass  # words such as '35 degC up to 42 degC'
    return [
        value if isinstance(value, str | int | float) else _short(value) for value in values
    ], {}


def _in_shown(key: str, value: Any, shown: str, si: str) -> float:
    name = key.replace("_", " ")
    if shown == "%":
        return round(100.0 * units.one_fraction(value, name), 9)
    if shown == "1":
        return units.one_fraction(value, name)
    if key == "barometer":
        return readings.read_absolute(value, name) / 100.0
    got = units.quantity(units.one(value, si, name), si)
    return round(float(got.m_as(shown)), 9)


def _short(value: Any) -> str:
    return "; ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
