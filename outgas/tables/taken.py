"""The typed record behind data/experiments.toml: what was taken where a source says nothing."""

from typing import Annotated, Any

import msgspec

from outgas.errors import DataError
from outgas.tables import data
from outgas.tables.experiments import Measurement
from outgas.tables.number import Number, Plausible, check_fields

FILE = "experiments.toml"


class Taken(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The conditions of a process as they were taken; the file says what each field is."""

    resin: str
    temperature: Annotated[Number, Plausible("K", 250.0, 700.0)]
    pressure: Annotated[Number, Plausible("Pa", 0.0, 1e8)]
    bag: Annotated[Number, Plausible("Pa", 0.0, 1.1e5)]
    share: Annotated[Number, Plausible("", 0.0, 1.0)]
    humidity: Annotated[Number, Plausible("", 0.0, 1.0)]
    entrained: Annotated[Number, Plausible("", 0.0, 0.5)]
    fibre_fraction: Annotated[Number, Plausible("", 0.0, 0.9)]
    duration: Annotated[Number, Plausible("s", 1.0, 1e6)]
    path_open: bool
    air: Annotated[Number | None, Plausible("Pa", 0.0, 1.1e5)] = None
    fill: Annotated[Number | None, Plausible("Pa", 0.0, 1.1e5)] = None
    front: bool = False
    sets: str = ""


class Workshop(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What was taken alike for all of them."""

    temperature: Annotated[Number, Plausible("K", 250.0, 320.0)]
    barometer: Annotated[Number, Plausible("Pa", 5e4, 1.1e5)]
    humidity: Annotated[Number, Plausible("", 0.0, 1.0)]
    fill_time: Annotated[Number, Plausible("s", 1.0, 1e5)]
    pot_time: Annotated[Number, Plausible("s", 1.0, 1e5)]
    pot_pressure: Annotated[Number, Plausible("Pa", 0.0, 1.1e5)]


def _checked(kind: Any, raw: Any, where: str) -> Any:
    try:
        record = msgspec.convert(raw, kind)
    except msgspec.ValidationError as error:
        raise DataError(f"{FILE}: {where}: {error}") from None
    check_fields(record, f"{FILE}: {where}")
    return record


@data.kept
def workshop() -> Workshop:
    """Return what was taken alike for all measurements."""
    record: Workshop = _checked(Workshop, data.table(FILE)["shop"], "shop")
    return record


def taken(row: Measurement) -> Taken:
    """Return what was taken for a measurement: its process, and its study where that differs."""
    raw = data.table(FILE)
    if row.process not in raw["process"]:
        raise DataError(
            f"{FILE}: no process {row.process!r}; there are {', '.join(raw['process'])}"
        )
    own = raw["study"].get(row.study, {})
    record: Taken = _checked(Taken, {**raw["process"][row.process], **own}, row.study)
    return record


def sets(row: Measurement) -> str:
    """Return the constant of the gas balance that a study was used to set, '' where none."""
    return str(data.table(FILE)["study"].get(row.study, {}).get("sets", ""))
