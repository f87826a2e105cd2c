"""Records read and validated from data/*.toml, or from a user's file of the same shape.

A record that does not hold together raises DataError with the file, the record and the field.
"""

import hashlib
import os
import re
import typing
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from outgas import names
from outgas.errors import DataError, InputError, UnknownNameError
from outgas.files import read_bounded, toml_of
from outgas.tables.causes import Signs
from outgas.tables.data import converted, kept, table
from outgas.tables.gas import GasTable
from outgas.tables.gear import Hole, Holes, RigFigures
from outgas.tables.materials import Consumable, Core, Part, Reference, Resin, Transport
from outgas.tables.number import OF_ONES_OWN, Named, Number, check_fields, from_text, plausible
from outgas.tables.observations import EvidenceFigures
from outgas.tables.panels import PanelFigures
from outgas.tables.practice import Practice
from outgas.tables.prepreg import PrepregTable
from outgas.tables.volatiles import Correlation, Saturation, Volatile

_PER = re.compile(r"\bk?g/m[23²³]")  # a slash that makes no path: '150 g/m2 breather'

MOST_TOML_BYTES = 200_000  # of a user's own record: a long one holds ten thousand
MOST_PARTS = 50  # of a resin

Record = TypeVar("Record", bound=Named)


def read_own(path: str) -> dict[str, Any]:
    """Return a user's TOML file as plain types; InputError where it cannot be read."""
    try:
        return toml_of(read_bounded(Path(path), MOST_TOML_BYTES))
    except OSError as error:
        raise InputError(
            f"cannot read {names.on_one_line(path)}: {error.strerror or error}"
        ) from None
    except ValueError as error:
        raise DataError(f"{path} is not valid TOML: {error}") from None


def convert(kind: type[Record], file: str, name: str, raw: Any) -> Record:
    """Return a checked record, or raise DataError naming file, record and field."""
    if not isinstance(raw, dict):
        raise DataError(f"{file}: {name} is not a table of fields")
    try:
        record = converted({**raw, "name": name}, kind)
    except msgspec.ValidationError as error:
        text, _, where = str(error).partition(" - at `$")
        field = where.rstrip("`").lstrip(".")
        if text.startswith("Invalid enum value"):
            text += f"; it is one of {', '.join(_choices(kind, field))}"
        raise DataError(f"{file}: {name}{'.' + field if field else ''}: {text}") from None
    check_fields(record, f"{file}: {name}")
    return record


def _choices(kind: type[Any], field: str) -> tuple[str, ...]:
    """Return what may stand in a field whose words are few, in a record or in what it holds."""
    last = field.rpartition(".")[2].partition("[")[0]
    for holder in (kind, Number, Part, Saturation, Correlation):
        hint = typing.get_type_hints(holder).get(last)
        if hint is not None and (found := typing.get_args(hint)):
            return tuple(str(word) for word in found)
    return ()


def is_path(name: str) -> bool:
    """Tell a user's file from a shipped name."""
    return name.lower().endswith(".toml") or os.sep in _PER.sub("", name)


def _beside(file: str, fields: Any) -> Any:
    """Return a user's resin with the paths of its own volatiles taken from where its file lies."""
    if not isinstance(fields, dict) or not isinstance(fields.get("part"), list):
        return fields
    if len(fields["part"]) > MOST_PARTS:
        raise DataError(f"{file}: {len(fields['part'])} parts of a resin, at most {MOST_PARTS}")

    def moved(part: Any) -> Any:
        found = part.get("volatile") if isinstance(part, dict) else None
        if not (isinstance(found, str) and is_path(found)):
            return part
        path = Path(file).parent / found
        try:
            digest = hashlib.sha256(read_bounded(path)).hexdigest()
        except OSError:
            digest = ""  # whoever reads the volatile says what is wrong with it
        return {**part, "volatile": str(path), "volatile_digest": digest}

    return {**fields, "part": [moved(part) for part in fields["part"]]}


def _find(kind: type[Record], what: str, file: str, name: str | Path) -> Record:
    is_file = isinstance(name, Path)
    if not isinstance(name, str | Path):
        raise InputError(f"{what} is {name!r}; give its name, or the path of a TOML file")
    name = str(name)
    if is_file or is_path(name):
        raw = read_own(name)
        if len(raw) != 1:
            raise DataError(f"{name}: holds {len(raw)} records; a file given as a {what} holds one")
        key, fields = next(iter(raw.items()))
        own = convert(kind, name, key, in_numbers(kind, _beside(name, fields), f"{name}: {key}"))
        if isinstance(own, Resin):
            check_own(own, name)
        return own
    shipped = table(file)
    found = said(what, name, {key: key for key in shipped})
    if found is None:
        raise unknown(what, name, shipped)
    record: Record = _shipped(kind, file, found)
    return record


def in_numbers(kind: type[msgspec.Struct], fields: Any, where: str) -> Any:
    """Return a user's fields with numbers for what stands there in words: '25 min'."""
    if not isinstance(fields, dict):
        return fields
    put = dict(fields)
    for field, mark in plausible(kind).items():
        given = put.get(field)
        more = given if isinstance(given, dict) and "unit" not in given else {}
        text = more.get("value", given)
        if isinstance(text, str):
            spread = practice().sheet.spread(field, mark.unit)
            made = msgspec.structs.asdict(from_text(text, mark, spread, f"{where}.{field}"))
            said = {k: v for k, v in more.items() if k != "value"}
            if said.get("how") in OF_ONES_OWN:
                said.setdefault("source", said["how"])
            put[field] = {**made, **said}
    if kind is Resin and isinstance(put.get("part"), list):
        put["part"] = [in_numbers(Part, part, f"{where}.part") for part in put["part"]]
    return put


def check_own(own: Resin, file: str) -> None:
    """Raise DataError for a family or a process that there is not."""
    families = [key.replace("-", " ") for key in table("cure.toml")["family"]]
    processes = [name.replace("-", " ") for name in practice().process]
    for field, words, known in (
        ("family", (own.family.replace("-", " "),), families),
        ("processes", own.processes, processes),
    ):
        for word in words:
            if word not in known:
                near = UnknownNameError(field, word, known).nearest
                hint = f"; did you mean {near[0]}?" if near else ""
                text = f"{word!r} is not one of {', '.join(known)}{hint}"
                raise DataError(f"{file}: {own.name}.{field}: {text}")


def said(what: str, name: str, known: Mapping[str, str]) -> str | None:
    """Return what a shop's name for a kind of thing stands for among known; None for no match.

    known gives for each name what it stands for; 'process', 'resin', 'core' ... is the kind.
    """
    if name in known:  # as the tables write it: asked for often, and at once
        return known[name]
    say = table("spellings.toml")
    other = {name: key for name, key in say["said"].get(what, {}).items() if key in known.values()}
    return names.find(name, {**other, **known}, say["spelling"], fillers(what))


def plain(text: str) -> names.Words:
    """Return the words of a name as they are compared, spelt as the tables spell them."""
    return names.plain(text, table("spellings.toml")["spelling"])


def fillers(what: str) -> tuple[str, ...]:
    """Return the words that name nothing beside the name of a kind of thing."""
    say = table("spellings.toml")["fillers"]
    return (*say["any"], *say.get(what, ()))


def unknown(what: str, name: str, known: Iterable[str]) -> UnknownNameError:
    """Return the error of a name that is not known: the nearest, or which it could be."""
    several = {word: word for word in table("spellings.toml")["several"].get(what, {})}
    word = said(what, name, several)
    if word is None:
        return UnknownNameError(what, name, known)
    return UnknownNameError.several(
        what, name.strip(), table("spellings.toml")["several"][what][word]
    )


@kept
def _shipped(kind: type[Any], file: str, key: str) -> Any:
    return convert(kind, file, key, table(file)[key])


def volatile(name: str | Path) -> Volatile:
    """Return a volatile's record by name, or from a user's TOML file given as a path.

    Parameters
    ----------
    name
        A name of outgas.volatiles(), or the path of a file that ends in .toml.

    Returns
    -------
    A Volatile: its numbers with unit, uncertainty and source; .si of each in SI.

    Raises
    ------
    UnknownNameError
        With the nearest names.
    InputError, DataError
        For a file that cannot be read, and for a record that does not hold.

    Examples
    --------
    >>> volatile("styrene").name
    'styrene'
    >>> round(volatile("water").molar_mass.si * 1e3)  # g/mol
    18
    """
    return _find(Volatile, "volatile", "volatiles.toml", name)


def resin(name: str | Path) -> Resin:
    """Return a resin's record by name, or from a user's TOML file given as a path.

    Parameters
    ----------
    name
        A name of outgas.resins(), or the path of a file that ends in .toml, as text or pathlib's.

    Returns
    -------
    A Resin: its numbers with unit, uncertainty and source; .si of each in SI.

    Raises
    ------
    UnknownNameError
        With the nearest names.
    InputError, DataError
        For a file that cannot be read, and for a record that does not hold.

    Examples
    --------
    >>> resin("orthophthalic-polyester").name
    'orthophthalic-polyester'
    >>> 1000.0 < resin("epoxy-laminating").density.si < 1300.0  # kg/m3
    True
    >>> resin("epoxi-laminating")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    outgas.errors.UnknownNameError: no resin is called 'epoxi-laminating'; did you mean ...
    """
    return _find(Resin, "resin", "resins.toml", name)


def monomers(of: Resin) -> list[Volatile]:
    """Return the records of a resin's volatile parts, in their order, water left out."""
    return [volatile(part.volatile) for part in of.monomers]


def consumable(name: str) -> Consumable:
    """Return what lies between laminate and bag, by name."""
    return _find(Consumable, "consumable", "consumables.toml", name)


def volatiles() -> list[str]:
    """Return the names of the shipped volatiles, sorted.

    Returns
    -------
    A list of names for outgas.volatile(), outgas.vapour_pressure() and contaminants.

    Examples
    --------
    >>> {"acetone", "styrene", "water"} <= set(volatiles())
    True
    """
    return sorted(table("volatiles.toml"))


def resins() -> list[str]:
    """Return the names of the shipped resin systems, sorted.

    Returns
    -------
    A list of names for outgas.resin() and for every argument called resin.

    Examples
    --------
    >>> {"epoxy-laminating", "orthophthalic-polyester"} <= set(resins())
    True
    """
    return sorted(table("resins.toml"))


def core_records() -> list[Core]:
    """Return every shipped core."""
    return [_shipped(Core, "cores.toml", key) for key in table("cores.toml")]


def transport(family: str) -> Transport:
    """Return how gas moves in a family of resins, as a resin's record names it: 'vinyl ester'.

    Raises UnknownNameError with the families there are.
    """
    return _find(Transport, "family of resins", "transport.toml", family)


def by_words(kind: type[Record], what: str, file: str, words: str) -> Record:
    """Return the record that a builder's words name: 'woven glass', 'PVC foam'."""
    if is_path(words):
        return _find(kind, what, file, words)
    known: dict[str, str] = {}
    for key, raw in table(file).items():
        for word in (key, *raw["words"]):
            known[" ".join(word.lower().replace("-", " ").split())] = key
    found = said(what, words, known)
    if found is None:
        raise unknown(what, words.strip(), known)
    record: Record = _shipped(kind, file, found)
    return record


def names_of(file: str) -> list[str]:
    """Return the names of a table's records, sorted."""
    return sorted(table(file))


def reference(key: str) -> Reference:
    """Return the source behind a key of the shipped tables."""
    return _find(Reference, "source", "sources.toml", key)


@kept
def practice() -> Practice:
    """Return the shipped figures of shop practice."""
    raw = dict(table("practice.toml"))
    raw["process"] = {
        key: {**fields, "name": key.replace("-", " ")} for key, fields in raw["process"].items()
    }
    try:
        record = converted(raw, Practice)
    except msgspec.ValidationError as error:
        raise DataError(f"practice.toml: {error}") from None
    check_fields(record, "practice.toml")
    for name, process in record.process.items():
        check_fields(process, f"practice.toml: process.{name}")
    return record


@kept
def signs() -> Signs:
    """Return the shipped questions, causes and weights that a diagnosis stands on."""
    raw = {**table("questions.toml"), **table("causes.toml")}
    for kind in ("question", "cause"):
        raw[kind] = {name: {**fields, "name": name} for name, fields in raw[kind].items()}
    try:
        record = converted(raw, Signs)
    except msgspec.ValidationError as error:
        raise DataError(f"questions.toml, causes.toml: {error}") from None
    check_fields(record, "questions.toml, causes.toml")
    for name, cause in record.cause.items():
        check_fields(cause, f"causes.toml: cause.{name}")
    for name, bag in record.bag.items():
        check_fields(bag, f"questions.toml: bag.{name}")
    return record


def _whole(kind: type[Any], file: str) -> Any:
    """Return a table that is one record, checked."""
    try:
        record = converted(table(file), kind)
    except msgspec.ValidationError as error:
        raise DataError(f"{file}: {error}") from None
    check_fields(record, file)
    for field in record.__struct_fields__:
        value = getattr(record, field)
        for name, part in value.items() if isinstance(value, dict) else ():
            check_fields(part, f"{file}: {field}.{name}")
    return record


@kept
def evidence() -> EvidenceFigures:
    """Return how far each observation of a bag's pressure may be off."""
    record: EvidenceFigures = _whole(EvidenceFigures, "observations.toml")
    return record


@kept
def gas() -> GasTable:
    """Return the figures of the gas balance."""
    record: GasTable = _whole(GasTable, "gas.toml")
    return record


@kept
def panels() -> PanelFigures:
    """Return what a shop's own panels are held against."""
    record: PanelFigures = _whole(PanelFigures, "panels.toml")
    return record


@kept
def prepreg() -> PrepregTable:
    """Return how much fibres of a prepreg carry, and how it dries."""
    record: PrepregTable = _whole(PrepregTable, "prepreg.toml")
    return record


@kept
def rigs() -> RigFigures:
    """Return the figures about plates, bags and leaks."""
    record: RigFigures = _whole(RigFigures, "rigs.toml")
    return record


@kept
def holes() -> tuple[Hole, ...]:
    """Return every hole that can be had for a bleed."""
    record: Holes = _whole(Holes, "holes.toml")
    return record.hole


def as_resin(given: str | Path | Resin) -> Resin:
    """Return a resin's record from its name, the path of a user's file, or itself."""
    return given if isinstance(given, Resin) else resin(given)


def as_volatile(given: str | Path | Volatile) -> Volatile:
    """Return a volatile's record from its name, the path of a user's file, or itself."""
    return given if isinstance(given, Volatile) else volatile(given)
