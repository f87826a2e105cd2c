"""Materials as builders write them: '15 mm PVC foam', '60 mm 20 kg/m3 EPS'."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import msgspec

from outgas import units
from outgas.errors import DataError, InputError, OutOfRangeError
from outgas.job.own_resin import wider
from outgas.tables import catalogue
from outgas.tables.materials import Core, Reinforcement
from outgas.tables.number import Named, Number, plausible

Record = TypeVar("Record", bound=Named)

OPEN_CORE = ("perforated", "grooved", "scored")  # said before its name: gas gets out through it

_MATERIAL = re.compile(
    r"\s*([-+]?[\d.,]+(?:[eE][-+]?\d+)?\s*[A-Za-zµ\"'/%²^0-9]*?)\s+(?:of\s+)?([A-Za-z+./~][^\n]*)\s*"
)
_DENSITY = re.compile(
    r"[(,]?\s*(?:density\s+)?([-+]?\d+(?:\.\d+)?)\s*"
    r"(kg\s*/\s*m(?:\^|\*\*)?3|kg\s*/\s*m³|g/cm3|g/cm³|g/l|lb/ft3|lb/ft³|pcf)(?:\s+density)?\s*[),]?",
    re.IGNORECASE,
)
_UNITS = {"pcf": "lb/ft3"}
CORE_MARK = "core"  # among the plies: where the core lies
MOST_PLIES = 200
MOST_GROUPS = 60  # of plies, told one by one: the heat of each is reckoned apart
PLY_RANGE_KG_M2 = (0.01, 5.0)
_COUNT = re.compile(r"\s*(\d{1,4})\s*(?:x|×|plies of|ply of|layers of)\s*(.+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class SaidCore:
    """A core as it was said: how thick [m text], which, and whether it was perforated or cut."""

    thickness: str
    record: Core
    is_open: bool


def split_material(text: str, name: str, example: str) -> tuple[str, str]:
    """Split '15 mm PVC foam' into '15 mm' and 'PVC foam'."""
    if not isinstance(text, str):
        raise InputError(f"{name} is {text!r}; write it in words, as {example!r}")
    match = _MATERIAL.fullmatch(text)
    if match is None:
        raise InputError(f"{name} is {text[:60]!r}; write it as {example!r}")
    return match[1], match[2].strip()


def material(kind: type[Record], what: str, file: str, words: str) -> Record:
    """Return the record that words name; of a TOML file of one's own where they are its path.

    Such a file holds one record, numbers in words or in full. What it leaves out is that of the
    shipped record which it names as `like`, an estimate with a wider range. Its name is its path.
    """
    path = words.strip()
    if not catalogue.is_path(path):
        return catalogue.by_words(kind, what, file, words)
    raw = catalogue.read_own(path)
    if len(raw) != 1:
        raise DataError(f"{path}: holds {len(raw)} records; a file given as a {what} holds one")
    key, fields = next(iter(raw.items()))
    if not isinstance(fields, dict):
        raise DataError(f"{path}: {key} is not a table of fields")
    told = catalogue.in_numbers(kind, dict(fields), f"{path}: {key}")
    like = told.pop("like", None)
    relative = None if like is None else catalogue.by_words(kind, what, file, str(like))
    rest = {"words": ()} if relative is None else _of_relative(kind, relative)
    whole = {**rest, "title": key.replace("-", " "), **told}
    _complete(kind, what, file, whole, f"{path}: {key}")
    own = catalogue.convert(kind, path, key, whole)
    if "compressive_strength" not in told:
        _no_stronger(own, relative, f"{path}: {key}")
    return msgspec.structs.replace(own, name=path)


def _of_relative(kind: type[Named], relative: Named) -> dict[str, Any]:
    """Return a shipped record's fields for what a file leaves out, numbers with wider ranges."""
    found: dict[str, Any] = {}
    for field in kind.__struct_fields__:
        value = getattr(relative, field)
        if isinstance(value, Number):
            value = msgspec.to_builtins(wider(value, plausible(kind)[field], relative.name))
        if value is not None:
            found[field] = value
    return found


def _no_stronger(own: Named, relative: Named | None, where: str) -> None:
    """Refuse a core lighter than the one whose strength it takes: it is weaker too."""
    if not isinstance(own, Core) or not isinstance(relative, Core):
        return
    if own.density.si < relative.density.low_si:
        raise DataError(
            f"{where}: compressive_strength is missing: at {own.density.si:.0f} kg/m3 it is "
            f"lighter, and so weaker, than {relative.name}"
        )


def _complete(kind: type[Named], what: str, file: str, told: Mapping[str, Any], where: str) -> None:
    """Refuse a file that leaves out what its record needs."""
    needed = {field.name for field in msgspec.structs.fields(kind) if field.required} - {"name"}
    missing = sorted(needed - told.keys())
    if missing:
        names = ", ".join(catalogue.names_of(file))
        raise DataError(
            f"{where}: {', '.join(missing)} missing; give {'it' if len(missing) == 1 else 'them'}, "
            f"or like = the {what} that it is most like: {names}"
        )


def read_core(text: str) -> SaidCore:
    """Return a core from '15 mm PVC foam', with its density before or after its name.

    A density chooses among the records of one kind, and is refused where none is near it.
    """
    density, rest = _density(text)
    thickness, words = split_material(rest, "core", "15 mm PVC foam")
    first, _, after = words.partition(" ")
    is_open = first.lower() in OPEN_CORE and bool(after)
    named = after if is_open else words
    record = material(Core, "core", "cores.toml", named)
    if density is not None and catalogue.is_path(named):
        raise InputError(f"core is {text[:60]!r}; the density of a core of your own is in its file")
    if density is not None:
        record = _of_density(record, density, text)
    return SaidCore(thickness, record, is_open)


def _density(text: str) -> tuple[float | None, str]:
    """Return the density in the words of a core [kg/m3], None where there is none, and the rest."""
    found = list(_DENSITY.finditer(str(text)))
    if not found:
        return None, text
    if len(found) > 1:
        raise InputError(f"core is {text[:60]!r}; say its density once")
    number, unit = found[0][1], found[0][2].lower().replace(" ", "")
    said = f"{number} {_UNITS.get(unit, unit)}"
    density = units.positive(said, "kg/m**3", f"density of core {text[:60]!r}")
    rest = f"{text[: found[0].start()]} {text[found[0].end() :]}"
    return density, " ".join(rest.split())


def _of_density(named: Core, density: float, text: str) -> Core:
    """Return the record of a core's kind nearest a density, or say which there are.

    Never one that is denser: it would be stronger than the core is.
    """
    akin = [c for c in catalogue.core_records() if named.kind and c.kind == named.kind] or [named]
    light = [core for core in akin if core.density.low_si <= density]
    chosen = min(light, key=lambda core: abs(core.density.si - density), default=None)
    above = catalogue.practice().margins.core_density_above.si
    if chosen is not None and density <= chosen.density.high_si * (1.0 + above):
        return chosen
    there = ", ".join(
        f"{core.name} {core.density.low_si:.0f} to {core.density.high_si:.0f} kg/m3"
        for core in sorted(akin, key=lambda core: core.density.si)
    )
    raise OutOfRangeError(
        f"core is {text[:60]!r}: {density:.0f} kg/m3 is far from {there}; correct it, or give a "
        "TOML file of your own core"
    )


@dataclass(frozen=True, slots=True)
class Ply:
    """So many layers of one fabric, each of an areal mass [kg/m2]."""

    count: int
    areal_mass: float
    fabric: Reinforcement

    @property
    def fibre_mass(self) -> float:
        """Of all its layers [kg/m2]."""
        return self.count * self.areal_mass

    @property
    def thickness(self) -> float:
        """Of all its layers, at the fabric's usual fibre fraction under a bag [m]."""
        return self.fibre_mass / (self.fabric.fibre_density.si * self.fabric.fibre_fraction.si)


def read_ply(text: str) -> Ply:
    """Return a ply from '400 g/m2 woven glass' or '3 x 400 g/m2 woven glass'."""
    example = "400 g/m2 woven glass"
    count, rest = 1, text
    if match := _COUNT.fullmatch(str(text)):
        count, rest = int(match[1]), match[2]
    if not 1 <= count <= MOST_PLIES:
        raise OutOfRangeError(f"ply is {text[:60]!r}: {count} layers, outside 1 to {MOST_PLIES}")
    weight, words = split_material(rest, "ply", example)
    areal = units.positive(weight, "kg/m**2", f"ply {text!r}")
    low, high = PLY_RANGE_KG_M2
    units.inside(areal * 1e3, low * 1e3, high * 1e3, f"ply {text!r}", "g/m2")
    return Ply(
        count,
        areal,
        material(Reinforcement, "reinforcement", "reinforcements.toml", words),
    )


def plies_told(plies: object) -> tuple[str, ...]:
    """Return the groups of plies as they were told; refuses more than can be reckoned in time."""
    told = units.listed(plies, "plies", "400 g/m2 woven glass")
    if len(told) > MOST_GROUPS:
        raise InputError(
            f"plies has {len(told)} groups, at most {MOST_GROUPS}; say layers of one kind in one, "
            "as '4 x 400 g/m2 woven glass'"
        )
    return told


def read_plies(plies: Sequence[str], cored: bool) -> tuple[tuple[Ply, ...], int]:
    """Return the plies from the tool up, and how many of them lie under the core.

    Where the core's place is not said, a group of layers may be split in two to share them.
    """
    words = [str(ply).strip().lower() for ply in plies]
    if words.count(CORE_MARK) > 1 or (CORE_MARK in words and not cored):
        raise InputError("'core' may stand once among the plies, and only with a core given")
    if CORE_MARK in words:
        place = words.index(CORE_MARK)
        read = tuple(read_ply(ply) for i, ply in enumerate(plies) if i != place)
        return read, place
    read = tuple(read_ply(ply) for ply in plies)
    if not cored:
        return read, len(read)
    left = sum(ply.count for ply in read) // 2
    under: list[Ply] = []
    over: list[Ply] = []
    for ply in read:
        low = min(ply.count, left)
        left -= low
        for count, side in ((low, under), (ply.count - low, over)):
            if count:
                side.append(Ply(count, ply.areal_mass, ply.fabric))
    return (*under, *over), len(under)
