"""What is missing, doubtful or out of range in a resin of one's own, and what it advises."""

import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import msgspec

from outgas.errors import DataError, OutgasError, OutgasWarning
from outgas.job.own_resin import PRINTED, kin, relative_of
from outgas.job.shop import Shop
from outgas.tables import catalogue, rates
from outgas.tables.materials import Resin
from outgas.tables.number import OF_ONES_OWN, Number, plausible
from outgas.window.advise import advise

Grade = Literal["missing", "wrong", "doubtful", "estimate", "good", "advises", "caution"]
UNUSABLE = ("wrong",)
CAUTION = (
    "read all that outgas advise says, its cautions first; the safety data sheet, local rules and "
    "licensed practice stand above it"
)
HERE = "here"  # in place of file and record, which stand over all lines
LOOKED_UP = ("gel_conversion", "heat", "published", "applied_pressure")  # the family's hold


@dataclass(frozen=True, slots=True)
class Remark:
    """One line about a resin: of which field, how bad, and what."""

    grade: Grade
    field: str
    text: str

    def __str__(self) -> str:
        return f"{self.grade}: {self.field + ': ' if self.field else ''}{self.text}"


@dataclass(frozen=True, slots=True)
class ResinCheck:
    """What was found in a resin's file; usable tells whether it can be used at all."""

    file: str
    remarks: tuple[Remark, ...]

    @property
    def usable(self) -> bool:
        """Whether nothing in it is wrong."""
        return not any(remark.grade in UNUSABLE for remark in self.remarks)

    def to_dict(self) -> dict[str, Any]:
        """Return plain types, with a version."""
        return {
            "kind": "outgas resin check",
            "version": 1,
            "file": self.file,
            "usable": self.usable,
            "remarks": [{"grade": r.grade, "field": r.field, "text": r.text} for r in self.remarks],
        }

    def __str__(self) -> str:
        return "\n".join(str(remark) for remark in self.remarks)


def check_resin(path: str | Path) -> ResinCheck:
    """Return what is missing, doubtful or out of range in a resin's file, and what it advises.

    Parameters
    ----------
    path
        Of a TOML file with one resin in it.

    Returns
    -------
    A ResinCheck with one Remark a line.

    Raises
    ------
    InputError, DataError
        For a file that cannot be read, or that does not hold one table.
    """
    file = str(path)
    raw = catalogue.read_own(file)
    if len(raw) != 1:
        raise DataError(f"{file}: holds {len(raw)} records; a file given as a resin holds one")
    name, fields = next(iter(raw.items()))
    if not isinstance(fields, dict):
        raise DataError(f"{file}: {name} is not a table of fields")
    remarks = _wrong_fields(fields)
    if not remarks:
        try:
            resin = catalogue.resin(Path(file))
            rates.kinetics(resin)
        except OutgasError as error:
            remarks = [Remark("wrong", "", _said(str(error), file, name))]
        else:
            remarks = _of_a_whole(resin)
    return ResinCheck(file, tuple(remarks))


def _said(text: str, file: str, name: str) -> str:
    """Return an error without the file and the record, which stand over all lines."""
    return text.removeprefix(f"{file}: ").removeprefix(name).lstrip(".: ")


def _wrong_fields(fields: dict[str, Any]) -> list[Remark]:
    """Return what makes a record unusable, field by field, so that all is told at once."""
    found = []
    for field in msgspec.structs.fields(Resin):
        if field.required and field.name not in fields and field.name != "name":
            example = f"; write it as {PRINTED[field.name]!r}" if field.name in PRINTED else ""
            found.append(Remark("wrong", field.name, f"missing, and needed{example}"))
    whole = msgspec.to_builtins(catalogue.resin(catalogue.resins()[0]))
    for name, given in fields.items():
        text = _alone({**whole, name: given})
        if text:
            text = text.removeprefix(f"{HERE}: ").removeprefix(HERE).removeprefix(f".{name}")
            found.append(Remark("wrong", name, text.lstrip(".: ").removeprefix("is ")))
    return found


def _alone(fields: dict[str, Any]) -> str:
    """Return what is wrong with a resin that is a shipped one but for one field, '' for nothing."""
    try:
        read = catalogue.in_numbers(Resin, fields, HERE)
        catalogue.check_own(catalogue.convert(Resin, HERE, HERE, read), HERE)
    except OutgasError as error:
        return str(error)
    return ""


def _of_a_whole(resin: Resin) -> list[Remark]:
    """Return what is to be said of a resin that holds together."""
    relative = relative_of(resin)
    numbers = {name: getattr(resin, name) for name in plausible(Resin)}
    remarks = [
        Remark("missing", name, f"its relative {relative.name} has {_shown(theirs)}")
        for name, number in numbers.items()
        if number is None
        and name not in LOOKED_UP
        and (theirs := getattr(relative, name)) is not None
    ]
    remarks += _doubtful(resin)
    known = ("read", *OF_ONES_OWN)
    guessed = [n for n, number in numbers.items() if number is not None and number.how not in known]
    if guessed:
        words = ", ".join(name.replace("_", " ") for name in guessed)
        remarks.append(Remark("estimate", "", f"not from a sheet: {words}"))
    held = sum(number is not None for number in numbers.values())
    remarks.append(Remark("good", "", f"{held} numbers hold, and a rate of cure fits them"))
    return [*remarks, *_advised(resin, relative)]


def _shown(number: Number, value: float | None = None) -> str:
    unit = "" if number.unit == "1" else f" {number.unit}"
    return f"{number.value if value is None else value:g}{unit}"


def _doubtful(resin: Resin) -> list[Remark]:
    """Return the numbers that lie beyond those of every shipped relative."""
    found, relatives = [], kin(resin.family)
    for name in plausible(Resin):
        own = getattr(resin, name)
        theirs = [n for r in relatives if (n := getattr(r, name)) is not None]
        if own is None or not theirs:
            continue
        low = min(theirs, key=lambda n: n.low_si)
        high = max(theirs, key=lambda n: n.high_si)
        if not low.low_si <= own.si <= high.high_si:
            ends = f"{_shown(low, low.ends[0])} to {_shown(high, high.ends[1])}"
            text = f"{_shown(own)}, where the {resin.family} resins here have {ends}"
            found.append(Remark("doubtful", name, text))
    for part in resin.monomers:
        shares = [p for r in relatives for p in r.monomers if p.volatile == part.volatile]
        if not shares:
            text = f"in no {resin.family} resin here; how it takes to the resin is an estimate"
            found.append(Remark("doubtful", part.volatile, text))
    return found


def _advised(resin: Resin, relative: Resin) -> list[Remark]:
    """Return what the resin and its relative advise in the same shop, one after the other."""
    sheet = catalogue.practice().sheet
    shop = Shop(
        temperature=f"{sheet.shop_temperature.value:g} {sheet.shop_temperature.unit}",
        humidity=f"{sheet.shop_humidity.value:g} {sheet.shop_humidity.unit}",
    )
    at = f"{shop.temperature.m_as('degC'):g} degC, {shop.humidity:.0%}"
    shared = [name for name in resin.processes if name in relative.processes]
    remarks = []
    for one in (resin, relative):
        process = (shared or one.processes)[0]
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", OutgasWarning)  # of the shop, not of the resin
                said = advise(one, shop, process=process).to_text(full=True).splitlines()[0]
        except OutgasError as error:
            said = str(error)
        remarks.append(Remark("advises", one.name, f"{process} at {at}: {said}"))
    remarks.append(Remark("caution", resin.name, CAUTION))
    return remarks
