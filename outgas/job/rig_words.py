"""A rig from a builder's words: '5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag'."""

import re
from dataclasses import dataclass

from outgas import units
from outgas.errors import InputError, OutgasError, UnknownNameError
from outgas.job.material_words import material
from outgas.tables import catalogue
from outgas.tables.gear import Pump

EXAMPLE = "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"
KIND = "kind of pump"
HOSE_LENGTH_M, HOSE_BORE_M = (0.05, 100.0), (0.0005, 0.2)

_NUMBER = r"[-+−]?\d+(?:[.,]\d+)?"
_HOSE = re.compile(
    rf"({_NUMBER}\s*[a-z\"']+)\s*(?:of|x|×)?\s*({_NUMBER}\s*[a-z\"']+)(?:\s*(?:bore|i\.?d\.?))?"
    r"(?:\s*(?:hose|tube|pipe|line))?",
    re.IGNORECASE,
)
_AMOUNT = re.compile(rf"\s*({_NUMBER}\s*[A-Za-zµ³²0-9*/^]+(?:\s+l/s)?)\s+(.*)", re.IGNORECASE)
_CUBIC_FEET = re.compile(r"\bcfm\b|\bcu\.?\s*ft/min\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Hose:
    """A hose's length and bore [m]."""

    length_m: float
    bore_m: float


def plain_flow(text: object) -> object:
    """Return a flow with cubic feet per minute spelled out; a unit reader may take cfm for cm."""
    return _CUBIC_FEET.sub("ft**3/min", text) if isinstance(text, str) else text


def read_hose(text: str) -> Hose | None:
    """Return a hose from '2 m of 8 mm'; None where the words hold no number."""
    if not any(ch.isdigit() for ch in text):
        return None
    match = _HOSE.fullmatch(text.strip())
    if match is None:
        raise InputError(f"hose is {text[:60]!r}; write length and bore, as '2 m of 8 mm'")
    found = [units.positive(part, "m", f"hose {text!r}") for part in match.groups()]
    length, bore = max(found), min(found)
    units.inside(length, *HOSE_LENGTH_M, "hose length", "m")
    units.inside(bore * 1e3, HOSE_BORE_M[0] * 1e3, HOSE_BORE_M[1] * 1e3, "hose bore", "mm")
    return Hose(length, bore)


def read_pump(words: str) -> Pump:
    """Return the kind of pump that the words name, or that of a file of one's own."""
    if (path := _path(words)) is not None:
        return material(Pump, KIND, "pumps.toml", path)
    said = " ".join(words.lower().replace("-", " ").split())
    said = said.removesuffix(" pump").removeprefix("a ").strip()
    return catalogue.by_words(Pump, KIND, "pumps.toml", said)


def _path(words: str) -> str | None:
    """Return the path of a pump's own file, as 'my-pump.toml pump' says it."""
    path = re.sub(r"\s+pump$", "", words.strip(), flags=re.IGNORECASE)
    return path if catalogue.is_path(path) else None


def _says_nothing(words: str) -> bool:
    """Tell whether words only say that it is a pump: 'my old vacuum pump'."""
    spare = catalogue.fillers(KIND)
    return all(word in spare for word in catalogue.plain(words))


def _is_pump(piece: str) -> bool:
    """Tell whether words name a kind of pump without saying that it is one: 'old fridge'."""
    try:
        read_pump(piece)
    except OutgasError:
        return False
    return True


def _opened(piece: str) -> str:
    """Return a part of a rig without the words that say nothing before it: 'an old', 'my'."""
    words = piece.split()
    while len(words) > 1 and words[0].lower() != "pump" and _says_nothing(words[0]):
        words = words[1:]
    return " ".join(words)


def read_words(text: str) -> dict[str, str]:
    """Return Rig's keyword arguments from a list of parts in words, commas between them."""
    if not units.in_words(text, "rig", EXAMPLE).strip():
        raise InputError(f"rig is {text!r}; say it as {EXAMPLE!r}")
    found: dict[str, str] = {}
    pieces = [piece for piece in re.split(r"[,;]\s+|[,;]$|\n", text.strip()) if piece.strip()]
    spoken = [piece for piece in pieces if not _says_nothing(piece)]  # 'a compressor, converted'
    for piece in spoken or pieces:
        for name, value in _read_piece(_opened(piece.strip())).items():
            if name in found:
                raise InputError(f"rig says its {name.replace('_', ' ')} twice: {text[:80]!r}")
            found[name] = value
    return found


def _read_piece(piece: str) -> dict[str, str]:
    words = piece.lower()
    if (own := re.search(r"\S+\.toml(?:\s+pump)?$", piece, re.IGNORECASE)) is not None:
        speed = piece[: own.start()].strip()
        return {**({"pump_displacement": speed} if speed else {}), "pump": own[0]}
    if re.search(r"\b(valve|bleed)\b", words):
        return {"bleed": piece}
    if re.search(r"\b(hose|tube|pipe)\b", words):
        return {"hose": piece}
    amount = _AMOUNT.fullmatch(piece)
    if re.search(r"\bleak", words):
        number = re.search(rf"{_NUMBER}\s*[a-z*/. ]*l/s|{_NUMBER}\s*Pa\s*m\S+", piece, re.I)
        if number is None:
            raise InputError(f"rig: {piece[:60]!r}; write a leak as 'leak 0.2 mbar l/s'")
        return {"leak": number[0].strip()}
    if amount and re.search(r"\bpot\b", words):
        return {"pot_volume": amount[1]}
    if amount and re.search(r"\bbag\b", words):
        area = re.search(r"2|²|sq", amount[1].split(maxsplit=1)[-1][-3:]) is not None
        return {"bag_area" if area else "bag_volume": amount[1]}
    if amount and re.search(r"\bultimate\b", words):
        return {"pump_ultimate": amount[1]}
    if re.search(r"\b(pump|venturi|ejector|compressor)\b", words):
        kind = amount[2] if amount else piece
        got = {"pump_displacement": amount[1]} if amount else {}
        return got if _says_nothing(kind) else {**got, "pump": kind}
    if _is_pump(amount[2] if amount else piece):
        return _read_piece(f"{piece} pump")
    parts = ("pump", "hose", "bag", "pot", "leak", "valve", "bleed", "ultimate")
    try:
        raise UnknownNameError("part of a rig", piece.rsplit(maxsplit=1)[-1], parts)
    except UnknownNameError as error:
        raise InputError(f"rig: {piece[:60]!r}: {error}; write it as {EXAMPLE!r}") from None
