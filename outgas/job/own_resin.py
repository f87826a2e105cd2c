"""A resin of one's own, from its data sheet; what that does not print comes from a relative."""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import msgspec

from outgas.errors import InputError
from outgas.tables import catalogue, rates
from outgas.tables.materials import Part, Resin
from outgas.tables.number import UNITS, Number, Plausible, from_text, plausible, rounded

# What a sheet may print, and how it is written.
PRINTED = {
    "density": "1.1",
    "viscosity": "450 cP",
    "gel_time": "20 min",
    "gel_temperature": "80 C",
    "time_to_peak": "35 min",
    "peak_temperature": "155 C",
    "initiator_level": "1 to 2 %",
    "minimum_temperature": "15 C",
    "heat": "363 kJ/kg",
    "cure_temperature": "121 C",
    "post_cure_temperature": "60 C",
}
NEEDED = ("viscosity", "gel_time")
ALLOWED = ("initiator_level",)  # a range of what may be used: a wider one would allow more
PEAK = ("time_to_peak", "peak_temperature")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A data sheet as it is printed: text with units.

    monomers: {'styrene': '40 %'}; numbers: fields of PRINTED; gel_of: 'cup' or 'film', None where
    the family's habit holds.
    """

    family: str
    name: str = "my-resin"
    monomers: Mapping[str, str] = field(default_factory=dict)
    numbers: Mapping[str, str] = field(default_factory=dict)
    gel_of: str | None = None


def families() -> list[str]:
    """Return the families of resins, as they are said."""
    return sorted(key.replace("-", " ") for key in rates.cure().family)


def read_family(said: str) -> str:
    """Return a family of resins by what it is called; UnknownNameError with those there are."""
    known = {name: name for name in families()}
    found = catalogue.said("resin", said, known)
    if found is None:
        raise catalogue.unknown("family of resins", said, known)
    return found


def kin(family: str) -> list[Resin]:
    """Return the shipped resins of a family whose cure is known from a sheet as well."""
    found = (catalogue.resin(name) for name in catalogue.resins())
    return [resin for resin in found if resin.family == family and not resin.published]


def boils(family: str) -> bool:
    """Tell whether every resin of a family holds a monomer, so that one must be named."""
    return all(resin.monomers for resin in kin(family))


def nearest(
    to: Mapping[str, float], monomers: Mapping[str, float], among: Sequence[Resin]
) -> Resin:
    """Return the relative with the same monomers, then with the nearest numbers (SI)."""

    def apart(resin: Resin) -> tuple[int, float]:
        own = {part.volatile: part.fraction.si for part in resin.monomers}
        far = sum(abs(share - own.get(name, 0.0)) for name, share in monomers.items())
        for name, value in to.items():
            number = getattr(resin, name)
            if number is not None and UNITS[number.unit][0] != "K" and value > 0.0:
                far += abs(math.log(value / number.si))
        return len(own.keys() ^ monomers.keys()), far

    return min(among, key=apart)


def relative_of(resin: Resin) -> Resin:
    """Return the shipped resin that is nearest to one of a user's own."""
    numbers = {name: getattr(resin, name) for name in PRINTED}
    told = {name: number.si for name, number in numbers.items() if number is not None}
    shares = {part.volatile: part.fraction.si for part in resin.monomers}
    return nearest(told, shares, _akin(resin.family, resin.gel_temperature is not None))


def _akin(family: str, gels_warm: bool) -> list[Resin]:
    """Return a family's resins that gel in the shop, or, with gels_warm, only when heated."""
    all_ = kin(family)
    return [r for r in all_ if (r.gel_temperature is not None) == gels_warm] or all_


def from_sheet(sheet: Sheet) -> tuple[Resin, Resin]:
    """Return the resin that a data sheet describes, and the relative that filled the rest.

    Parameters
    ----------
    sheet
        Text with units: '450 cP', '15 to 25 min', '155 C'; a bare density is in g/cm3.

    Returns
    -------
    Two Resins. In the first, what the sheet prints has source 'sheet'; the rest is the relative's,
    marked estimate, with a wider range.

    Raises
    ------
    UnknownNameError, UnitError, InputError
        One line that names what is missing, unknown or unlike a number.
    DataError
        A number out of its plausible range, or a gel and a peak that contradict each other.

    Examples
    --------
    >>> own, relative = from_sheet(Sheet(
    ...     family="polyester", monomers={"styrene": "42 %"},
    ...     numbers={"viscosity": "450 cP", "gel_time": "20 min"}))
    >>> own.viscosity.source, own.viscosity.si, own.water_activity.how
    ('sheet', 0.45, 'estimate')
    >>> relative.name
    'isophthalic-polyester'
    """
    own, relative = described(sheet)
    rates.built(own)  # a gel and a peak that contradict each other are told of now
    return own, relative


def described(sheet: Sheet) -> tuple[Resin, Resin]:
    """Return the resin and its relative, its rate of cure not solved yet; else as from_sheet."""
    family = read_family(sheet.family)
    name = _own_name(sheet.name)
    for needed in NEEDED:
        if needed not in sheet.numbers:
            raise InputError(f"{needed} is missing; write it as {PRINTED[needed]!r}")
    printed = _printed(sheet.numbers)
    shares = _shares(family, sheet.monomers)
    told = {key: number.si for key, number in printed.items()}
    among = _akin(family, "gel_temperature" in printed)
    relative = nearest(told, {k: n.si for k, n in shares.items()}, among)
    if relative.gel_temperature is not None and "gel_temperature" not in printed:
        raise InputError("gel_temperature is missing: at which the gel time was read, as '80 C'")
    own = msgspec.structs.replace(
        relative,
        name=name,
        title=f"{name}, from its data sheet",
        gel_of=_gel_of(sheet, relative),
        part=_parts(relative, shares),
        **_rest(relative, printed),
        **printed,
    )
    return own, relative


def _own_name(name: str) -> str:
    key = "-".join(str(name).strip().lower().replace("_", " ").split())
    if not key.replace("-", "").isalnum() or not key.isascii():
        raise InputError(f"name is {name[:60]!r}; use letters, digits and hyphens, as 'my-resin'")
    if key in catalogue.resins():
        raise InputError(f"name is {name[:60]!r}, which is a shipped resin; take another")
    return key


def _printed(numbers: Mapping[str, str]) -> dict[str, Number]:
    """Return what the sheet prints as numbers, with how far off each may be."""
    marks, found = plausible(Resin), {}
    for name, text in numbers.items():
        if name not in PRINTED:
            raise InputError(f"{name} is not what a sheet prints: {', '.join(PRINTED)}")
        mark = marks[name]
        spread = catalogue.practice().sheet.spread(name, mark.unit)
        found[name] = from_text(text, mark, spread, name.replace("_", " "))
    return found


def _shares(family: str, monomers: Mapping[str, str]) -> dict[str, Number]:
    """Return the shares of the monomers, or say that there must be one."""
    if not monomers and boils(family):
        example = kin(family)[0].monomers[0].volatile
        raise InputError(f"monomer is missing; write it as '{example}=40%'")
    mark = plausible(Part)["fraction"]
    spread = catalogue.practice().sheet.fraction
    found = {}
    for said, text in monomers.items():
        name = said if catalogue.is_path(said) else catalogue.volatile(said).name
        found[name] = from_text(text, mark, spread, f"share of {name}")
    if sum(number.si for number in found.values()) >= 1.0:
        raise InputError("the monomers make up the whole resin; give each one's share of it")
    return found


def _gel_of(sheet: Sheet, relative: Resin) -> str:
    """Return what the gel time is of; where a family's sheets differ it must be said."""
    if sheet.gel_of is None and relative.gel_of == "film":
        raise InputError(
            "gel_of is missing: the gel time is that of a 'cup' (pot life) or a 'film'"
        )
    if sheet.gel_of not in (None, "cup", "film"):
        raise InputError(f"gel_of is {sheet.gel_of!r}; it is one of cup, film")
    chosen = sheet.gel_of or relative.gel_of
    if chosen != relative.gel_of:
        for needed in ("time_to_peak", "peak_temperature"):
            if needed not in sheet.numbers:
                raise InputError(f"{needed} is missing; write it as {PRINTED[needed]!r}")
    return chosen


def _parts(relative: Resin, shares: Mapping[str, Number]) -> tuple[Part, ...]:
    """Return the parts: the sheet's monomers, and the relative's prepolymer for the rest."""
    if not shares:
        return tuple(_wider_part(part, relative) for part in relative.part)
    water = [_wider_part(p, relative) for p in relative.part if p.volatile == "water"]
    held = [*shares.values(), *(part.fraction for part in water)]
    rest = Number(
        value=rounded(1.0 - sum(n.si for n in held)),
        unit="1",
        low=rounded(max(0.0, 1.0 - sum(n.high_si for n in held))),
        high=rounded(min(1.0, 1.0 - sum(n.low_si for n in held))),
        source="sheet",
        how="sheet",
        note="what the monomers leave",
    )
    base = msgspec.structs.replace(_wider_part(relative.prepolymer, relative), fraction=rest)
    monomers = [
        Part(volatile=name, fraction=share, chi=_chi(name, relative))
        for name, share in shares.items()
    ]
    return (base, *monomers, *water)


def _chi(volatile: str, relative: Resin) -> Number:
    """Return how a monomer takes to the prepolymer: as in the relative, or in any resin."""
    shipped = (catalogue.resin(name) for name in catalogue.resins())
    for resin in (relative, *shipped):
        for part in resin.monomers:
            if part.volatile == volatile and part.chi is not None:
                return wider(part.chi, plausible(Part)["chi"], resin.name)
    margin = catalogue.practice().margins.contaminant_chi
    return wider(margin, plausible(Part)["chi"], "a volatile in any resin")


def _wider_part(part: Part, relative: Resin) -> Part:
    numbers = {
        name: wider(getattr(part, name), mark, relative.name)
        for name, mark in plausible(Part).items()
        if getattr(part, name) is not None
    }
    return msgspec.structs.replace(part, **numbers)


def _rest(relative: Resin, printed: Mapping[str, Number]) -> dict[str, Number]:
    """Return the relative's numbers for what the sheet does not print.

    Of its peak, what the relative would do if it gelled when this resin does.
    """
    theirs = {name: getattr(relative, name) for name in plausible(Resin)}
    if not any(theirs[name] is None for name in PEAK) and not all(n in printed for n in PEAK):
        run = rates.paced(relative, printed["gel_time"].si)
        late = theirs["time_to_peak"]
        theirs["time_to_peak"] = _times(late, run.peak_time / late.si)
        theirs["peak_temperature"] = _moved(theirs["peak_temperature"], run.peak)
    return {
        name: wider(number, mark, relative.name, 1.0 if name in ALLOWED else None)
        for name, mark in plausible(Resin).items()
        if (number := theirs[name]) is not None and name not in printed
    }


def _times(number: Number, factor: float) -> Number:
    low, high = number.ends
    value, low, high = (rounded(x * factor) for x in (number.value, low, high))
    return msgspec.structs.replace(number, value=value, u95=None, low=low, high=high)


def _moved(number: Number, to: float) -> Number:
    """Return a number moved to another value (SI), its range with it."""
    low, high = number.ends
    off = (to - number.si) / UNITS[number.unit][1]
    value, low, high = (rounded(x + off) for x in (number.value, low, high))
    return msgspec.structs.replace(number, value=value, u95=None, low=low, high=high)


def wider(number: Number, mark: Plausible, of: str, times: float | None = None) -> Number:
    """Return a number taken over from a relative: an estimate, its range as much wider as is set.

    In the logarithm where it cannot be below zero; never beyond what is plausible.
    """
    value = number.value
    times = catalogue.practice().sheet.wider.si if times is None else times
    low, high = number.ends
    _, factor, offset = UNITS[number.unit]
    if offset or mark.low < 0.0 or low <= 0.0:
        low, high = value - times * (value - low), value + times * (high - value)
    else:
        low, high = value * (low / value) ** times, value * (high / value) ** times
    bounds = [(end - offset) / factor for end in (mark.low, mark.high)]
    return Number(
        value=value,
        unit=number.unit,
        low=min(value, rounded(max(low, bounds[0]))),
        high=max(value, rounded(min(high, bounds[1]))),
        source="estimate",
        how="estimate",
        note=f"as {of}",
    )


def as_toml(own: Resin, relative: Resin) -> str:
    """Return a resin as the text of a TOML file that outgas reads."""
    lines = [
        f"# From its data sheet; the rest is as {relative.name}, with wider ranges,",
        '# marked how = "estimate". Put in what you find out, and run `outgas resins check`.',
        f"[{own.name}]",
        *_fields(own, ("name", "part")),
    ]
    for part in own.part:
        lines += ["", f"[[{own.name}.part]]", *_fields(part, ("volatile_digest",))]
    return "\n".join(lines) + "\n"


def _fields(record: msgspec.Struct, without: Sequence[str]) -> list[str]:
    lines = []
    for name in record.__struct_fields__:
        value = getattr(record, name)
        if name not in without and value is not None and value not in ("", ()):
            lines.append(f"{name} = {_toml(value)}")
    return lines


def _toml(value: Any) -> str:
    """Return one value as TOML writes it; its strings are quoted as JSON's are."""
    if isinstance(value, Number):
        held = {k: getattr(value, k) for k in value.__struct_fields__}
        inner = (f"{k} = {_toml(v)}" for k, v in held.items() if v is not None and v != "")
        return f"{{ {', '.join(inner)} }}"
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, float):
        return repr(float(value))
    return json.dumps(value, ensure_ascii=False)
