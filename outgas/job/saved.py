"""A saved job: what a builder says of one job, kept in the words it was said in."""

import functools
import inspect
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from os import PathLike
from typing import Any

from outgas.errors import InputError, OutgasError, SeveralMistakesError, UnknownNameError
from outgas.job.job import PROCESS, job_of
from outgas.job.job_file import FileTold, read_file, write_file
from outgas.job.job_keys import BY_OPTION, KEYS, RIVALS, Told, read_traces
from outgas.job.job_words import understood
from outgas.job.layup import Layup
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.show import plain

KIND, VERSION = "outgas job", 1
ON_RIG = ("pump_ultimate", "hold_error", "autoclave")
_SHOP = ("temperature", "humidity", "altitude", "barometer", "tool_temperature", "sun")
_LAYUP = ("core", "area", "tool")
# Keys that are arguments of outgas.advise and its kin, under the same name.
_PLAIN = (
    *("process", "initiator", "gel_time", "low_gas_initiator", "reads_with", "hottest"),
    *("degassed", "air_pressure", "entrained", "water_activity", "void_target", "finish"),
    *("trapped", "connected", "no_debulk", "vapour_share", "confidence", "dried"),
    *("batch", "wet_out", "fill"),
)
_USUAL: dict[str, Any] = {
    **dict.fromkeys(("process", "reads_with", "confidence", "layup", "rig", "vapour_share")),
    **dict.fromkeys(("hottest", "air_pressure", "degassed")),
    **dict.fromkeys(("entrained", "water_activity", "contaminants", "void_target")),
}


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Job:
    """One job in the words it was said in: shop, resin, layup, rig, dial and the rest.

    Parameters
    ----------
    told
        Keys of a job file, which are the command line's options with _ for -: resin='epoxy-\
laminating', temperature='26C', ply=['3 x 400 g/m2 woven glass'], rig='5 m3/h two-stage pump'.
        Text with a unit, a list of texts (ply, bag_side, contaminant) or True for a flag.

    Raises
    ------
    InputError
        With every mistake in it, each with its key.

    Notes
    -----
    outgas.advise, schedule, diagnose, hold and telltale take a Job in place of resin and shop;
    what they are given by name beside it goes before it.

    Examples
    --------
    >>> job = Job(resin="epoxy-laminating", temperature="22C", humidity="50%", dial="mbar")
    >>> job.shop.humidity, job.process, job.dial
    (0.5, 'wet layup', 'mbar')
    >>> job.but(humidity="60%")
    Job(epoxy-laminating, wet layup, 22C, 60%)
    >>> Job.from_dict(job.to_dict()) == job
    True
    >>> Job(entraned="1%")
    Traceback (most recent call last):
        ...
    outgas.errors.SeveralMistakesError: no key of a job is called 'entraned'; did you mean \
entrained or trapped or degassed?
    """

    told: tuple[tuple[str, Told], ...]
    path: str = field(compare=False)

    def __init__(self, **told: Any) -> None:
        _put(self, checked(told), "")

    @property
    def resin(self) -> str:
        """The name of the resin, or the path of its file; InputError where none was told."""
        return _needed(self, "resin")

    @property
    def shop(self) -> Shop:
        """Where the work is done; InputError without temperature and humidity."""
        for key in ("temperature", "humidity"):
            _needed(self, key)
        return shop_of(dict(self.told))

    @property
    def layup(self) -> Layup:
        """What is laminated; empty where nothing was told of it."""
        return layup_of(dict(self.told))

    @property
    def rig(self) -> Rig:
        """What makes and holds the vacuum."""
        return rig_of(dict(self.told))

    @property
    def process(self) -> str:
        """How it is laminated; wet layup if that was not told."""
        return str(dict(self.told).get("process", PROCESS))

    @property
    def dial(self) -> str | None:
        """The dial to print on; None for the usual one."""
        dial = dict(self.told).get("dial")
        return None if dial is None else str(dial)

    def but(self, **told: Any) -> "Job":
        """Return this job with some keys told otherwise, None for no longer told.

        Of two keys that say one thing (degassed and air_pressure, finish and void_target) the one
        told last stands.

        Examples
        --------
        >>> job = Job(temperature="22C", degassed="27 mbar")
        >>> job.but(air_pressure="30 mbar", temperature=None).to_dict()["told"]
        {'air_pressure': '30 mbar'}
        """
        job = object.__new__(Job)
        _put(job, checked(overridden(dict(self.told), _by_key(told))), self.path)
        return job

    def to_dict(self) -> dict[str, Any]:
        """Return plain types, as they were told, with a version.

        Examples
        --------
        >>> Job(temperature="22C").to_dict()
        {'kind': 'outgas job', 'version': 1, 'told': {'temperature': '22C'}}
        """
        said = {k: list(v) if isinstance(v, tuple) else v for k, v in self.told}
        return {"kind": KIND, "version": VERSION, "told": said}

    @classmethod
    def from_dict(cls, found: Mapping[str, Any]) -> "Job":
        """Return the job that to_dict() gave; InputError for anything else.

        Examples
        --------
        >>> Job.from_dict({"kind": "outgas job", "version": 1, "told": {"temperature": "22C"}}).told
        (('temperature', '22C'),)
        """
        got = plain.opened(found, KIND, VERSION, ("told",))
        if not isinstance(got["told"], Mapping):
            raise InputError(f"told is {str(got['told'])[:40]!r}; it is a table of keys")
        return cls(**got["told"])

    def save(self, path: "str | PathLike[str]", *, force: bool = False) -> None:
        """Write the job as a commented file, whole or not at all.

        InputError where it cannot be written, or where a file stands there and force is not given.

        Examples
        --------
        >>> import pathlib, tempfile
        >>> job = Job(temperature="22C", ply=["400 g/m2 woven glass"])
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     file = pathlib.Path(folder, "deck.toml")
        ...     job.save(file)
        ...     read_job(file) == job
        True
        """
        write_file(path, dict(self.told), force=force)

    def understood(self) -> dict[str, str]:
        """Return each key with how its value is understood, in words.

        Examples
        --------
        >>> Job(gel_time="1200 s").understood()
        {'gel_time': '20 min'}
        """
        return {key: understood(key, value) for key, value in self.told}

    def __repr__(self) -> str:
        said = dict(self.told)
        first = [said.get("resin"), self.process, said.get("temperature"), said.get("humidity")]
        return f"Job({', '.join(str(text) for text in first if text is not None)})"


def _put(job: Job, told: dict[str, Told], path: str) -> None:
    object.__setattr__(job, "told", tuple((key, told[key]) for key in KEYS if key in told))
    object.__setattr__(job, "path", path)


def _needed(job: Job, key: str) -> str:
    said = dict(job.told)
    if key not in said:
        where = f"{job.path}: " if job.path else ""
        raise InputError(f"{where}the job says no {key}; add {key} = {KEYS[key].example!r}")
    return str(said[key])


def read_job(path: "str | PathLike[str]") -> Job:
    """Return the job that a TOML file describes.

    Parameters
    ----------
    path
        Of a file as `outgas job new` writes it: temperature = "26C", ply = ["3 x 400 g/m2 woven
        glass"]. A resin's own file in it is looked for beside it.

    Returns
    -------
    A Job; amounts stay in the words and units of the file.

    Raises
    ------
    InputError
        A file that cannot be read, an unknown key (with the nearest), a value that cannot be used:
        one line each, with file and key, all of them at once.

    Examples
    --------
    >>> import pathlib, tempfile, outgas
    >>> lines = 'resin = "epoxy-laminating"', 'temperature = "22C"', 'humidity = "50%"'
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "deck.toml")
    ...     _ = file.write_text(chr(10).join(lines))
    ...     job = read_job(file)
    >>> job
    Job(epoxy-laminating, wet layup, 22C, 50%)
    >>> outgas.advise(job).void_target, outgas.advise(job, void_target="3 %").void_target
    (0.02, 0.03)
    """
    found = read_told(path)
    job = object.__new__(Job)
    _put(job, _whole(found.told, f"{found.path}: "), found.path)
    return job


def read_told(path: "str | PathLike[str]") -> FileTold:
    """Return what a job file tells, each key checked without the others."""
    found = read_file(path)
    return FileTold(found.path, _each(found.told, f"{found.path}: "))


def checked(told: Mapping[str, Any]) -> dict[str, Told]:
    """Return what was told of a job, checked key by key and as a whole."""
    return _whole(_each(told, ""), "")


def overridden(told: Mapping[str, Any], by: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was told, with what is told anew in its place; None takes a key away."""
    gone = {RIVALS[key] for key in by if key in RIVALS and by[key] is not None} - by.keys()
    merged = {**told, **by}
    return {key: v for key, v in merged.items() if v is not None and key not in gone}


def _each(told: Mapping[str, Any], where: str) -> dict[str, Told]:
    """Return the values in their plain form; every key that cannot be used is told of."""
    found: dict[str, Told] = {}
    mistakes: list[str] = []
    for key, value in _by_key(told).items():
        try:
            if key not in KEYS:
                raise UnknownNameError("key of a job", key, KEYS)
            if value is None:
                continue
            found[key] = _plain(key, value)
        except OutgasError as error:
            mistakes.append(f"{where}{error}")
            continue
        mistakes += [f"{where}{key}: {text}" for text in _misread(key, found[key])]
    if mistakes:
        raise SeveralMistakesError(mistakes)
    return found


def _by_key(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was told by the keys of a job; a function's name for one is taken for it."""
    keys = {other: key for key, other in BY_OPTION.items() if key in KEYS}
    found: dict[str, Any] = {}
    for name, value in told.items():
        key = keys.get(name, name)
        if key in found:
            raise InputError(f"{key} is told twice, as {BY_OPTION[key]} too")
        found[key] = value
    return found


def _misread(key: str, value: Told) -> Iterator[str]:
    for part in value if isinstance(value, tuple) else (value,):
        try:
            understood(key, part)
        except OutgasError as error:
            yield str(error)


def _plain(key: str, value: Any) -> Told:
    """Return a value as text, texts or a flag, or refuse it."""
    kind, example = KEYS[key].kind, KEYS[key].example
    if kind == "flag":
        if not isinstance(value, bool):
            raise InputError(f"{key}: {key} is {str(value)[:40]!r}; it is true or false")
        return value
    if isinstance(value, int | float) and not isinstance(value, bool):
        value = repr(value)
    if kind == "several":
        texts = [value] if isinstance(value, str) else value
        if isinstance(texts, list | tuple) and all(isinstance(text, str) for text in texts):
            return tuple(text.strip() for text in texts)
        shown = str(list(example) if isinstance(example, tuple) else example)
        raise InputError(f"{key}: {key} is {str(value)[:40]!r}; it is a list, as {shown}")
    if not isinstance(value, str):
        raise InputError(f"{key}: {key} is {str(value)[:40]!r}; write it as text, {example!r}")
    return value.strip()


def _whole(told: dict[str, Told], where: str) -> dict[str, Told]:
    """Return what was told; what makes no sense together is told of."""
    reads: list[Callable[[], Any]] = [
        functools.partial(layup_of, told),
        functools.partial(rig_of, told),
    ]
    if {"temperature", "humidity"} <= told.keys():
        reads.append(functools.partial(shop_of, told))
    mistakes = list(_refused(reads))
    if not mistakes and {"resin", "temperature", "humidity"} <= told.keys():
        mistakes += _refused([functools.partial(_as_asked, told)])
    if mistakes:
        raise SeveralMistakesError([f"{where}{text}" for text in mistakes])
    return told


def _refused(reads: Collection[Callable[[], Any]]) -> Iterator[str]:
    for read in reads:
        try:
            read()
        except OutgasError as error:
            yield str(error)


def _as_asked(told: dict[str, Told]) -> None:
    known = inspect.signature(job_of).parameters
    asked = {name: v for name, v in arguments_of(told).items() if name in known}
    job_of(str(told["resin"]), shop_of(told), **{**_USUAL, **asked})


def shop_of(told: Mapping[str, Any]) -> Shop:
    """Return the shop that was told of."""
    return Shop(**{key: told[key] for key in _SHOP if key in told})


def layup_of(told: Mapping[str, Any]) -> Layup:
    """Return the layup that was told of."""
    given = {key: told[key] for key in _LAYUP if key in told}
    damp = told.get("moisture")
    return Layup(
        plies=told.get("ply", ()), bag_side=told.get("bag_side"), core_moisture=damp, **given
    )


def rig_of(told: Mapping[str, Any]) -> Rig:
    """Return the rig that was told of, in words and by its own keys."""
    given = {key: told[key] for key in ON_RIG if key in told}
    return Rig.from_words(told["rig"], **given) if "rig" in told else Rig(**given)


def arguments_of(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was told as arguments of outgas.advise and its kin, resin and shop left out."""
    found = {key: told[key] for key in _PLAIN if key in told}
    if "contaminant" in told:
        found["contaminants"] = read_traces(told["contaminant"])
    if "min_temperature" in told:
        found["minimum_temperature"] = told["min_temperature"]
    if "no_degas" in told:
        found["degas"] = not told["no_degas"]
    return {**found, "layup": layup_of(told), "rig": rig_of(told)}
