"""Spoilt text for every reader of what a user writes: it is read, or refused in one line.

    python tests/abuse/readers.py 20000                   so many spoilt texts for each reader
    python tests/abuse/readers.py --guided job 60         by coverage, for a minute, with atheris

Each text is a sound one with bytes turned, cut out, doubled or spliced in. --guided wants the
package atheris, which is none of the tests' own: it looks for texts that reach new lines.
"""

import os
import random
import re
import sys
import tempfile
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import outgas
from outgas.errors import OutgasError
from outgas.tables.data import root

WORDS = (
    *(b"=", b"[", b"]", b'"', b"\n", b",", b";", b"nan", b"inf", b"1e308", b"-", b"0", b"\xff"),
    *(
        b"\x00",
        b" mbar",
        b" %",
        b" degC",
        b"[[",
        b"]]",
        b"{",
        b"}",
        b"true",
        b"\xef\xbb\xbf",
        b"'''",
    ),
    *(b"absolute", b"vacuum", b"gauge", b"/dev/zero", b"../", b"1e-320", b"9" * 40, b"\r", b"\t"),
)
LONGEST = 4000  # bytes of a spoilt text: more of the same takes longer and finds nothing
SHOP = {"temperature": "26 degC", "humidity": "60 %"}


def _record(file: str, name: str) -> bytes:
    """One shipped record as text: from its header to the next record's."""
    text = (root() / file).read_text(encoding="utf-8")
    part = re.split(r"(?m)^(?=\[[\w-]+\])", text)
    return next(each for each in part if each.startswith(f"[{name}]")).encode()


JOB = b"""resin = "orthophthalic-polyester"
process = "wet layup"
temperature = "22 degC"
humidity = "50 %"
altitude = "20 m"
ply = ["4 x 300 g/m2 woven glass"]
core = "15 mm PVC foam"
area = "0.5 m2"
rig = "5 m3/h two-stage pump, 0.6 m2 bag"
contaminant = ["acetone=1%"]
"""
LOG = b"time [min];pressure [mbar absolute];temperature [C]\n" + b"".join(
    f"{t};{1013 if t < 9 else 90};22.5\n".encode() for t in range(60)
)
PANELS = b"""resin,debulk,cure,look,voids
orthophthalic-polyester,90 mbar,500 mbar,clear,
orthophthalic-polyester,,700 mbar,milky,3 %
"""


def _read_log(path: Path) -> object:
    return outgas.read_log(path, "orthophthalic-polyester", outgas.Shop(**SHOP))


# Each reader, what it reads the text with, and sound texts.
READERS: dict[str, tuple[str, Callable[[Path], object], tuple[bytes, ...]]] = {
    "pressure": (
        "",
        lambda path: outgas.read_pressure(
            path.read_bytes().decode("utf-8", "surrogateescape"), "1000 mbar"
        ),
        (b"28 inHg vacuum", b"-0.94 bar gauge", b"60 mbar abs", b"95 % vacuum", b"0.06 bara"),
    ),
    "resin": (
        "mine.toml",
        outgas.resin,
        (
            _record("resins.toml", "orthophthalic-polyester"),
            _record("resins.toml", "epoxy-laminating"),
        ),
    ),
    "volatile": (
        "mine.toml",
        outgas.volatile,
        (_record("volatiles.toml", "acetone"),),
    ),
    "job": ("job.toml", outgas.read_job, (JOB,)),
    "panels": ("panels.csv", outgas.read_panels, (PANELS,)),
    "log": ("bag.csv", _read_log, (LOG,)),
}


def spoilt(sound: bytes, rng: random.Random) -> bytes:
    """Return a text with one to five things done to it."""
    text = bytearray(sound)
    for _ in range(rng.randint(1, 5)):
        at, to = sorted(rng.randrange(len(text) + 1) for _ in range(2))
        to = min(to, at + rng.choice((1, 3, 20, 200)))
        how = rng.randrange(6)
        if how == 0 and text:
            text[min(at, len(text) - 1)] = rng.randrange(256)
        elif how == 1:
            del text[at:to]
        elif how == 2:
            text[at:at] = text[at:to] * rng.choice((1, 2, 50))
        elif how == 3:
            text[at:at] = rng.choice(WORDS)
        elif how == 4:
            text[at:to] = rng.choice(WORDS)
        else:
            other = rng.randrange(len(text) + 1)
            text[other:other] = text[at:to]
        text = text[:LONGEST]
    return bytes(text)


def fault_of(reader: str, text: bytes, folder: Path) -> str:
    """What a text ends in that is neither read nor refused in one line; empty for neither."""
    name, read, _ = READERS[reader]
    path = folder / (name or "text")
    path.write_bytes(text)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.simplefilter("ignore", outgas.OutgasWarning)
        try:
            read(path)
        except OutgasError as refused:
            lines = str(refused).splitlines()
            return "" if len(lines) == 1 else f"{reader}: {len(lines)} lines for {text[:200]!r}"
        except Exception as error:
            return f"{reader}: {type(error).__name__}: {error!s:.200} for {text[:400]!r}"
    return ""


def texts(reader: str, count: int, seed: int) -> Iterator[bytes]:
    """Yield spoilt texts for a reader, the same for the same seed."""
    rng = random.Random(f"{reader} {seed}")
    sound = READERS[reader][2]
    for i in range(count):
        yield spoilt(sound[i % len(sound)], rng)


def faults(reader: str, count: int, folder: Path, seed: int = 1) -> list[str]:
    """Return what went wrong among so many spoilt texts for a reader."""
    found = (fault_of(reader, text, folder) for text in texts(reader, count, seed))
    return [fault for fault in found if fault]


def guided(reader: str, seconds: int) -> None:
    """Look by coverage for a text that goes wrong; ends with the first, or when time is over."""
    import atheris  # not among the tests' own packages

    folder = Path(tempfile.mkdtemp())
    seeds = folder / "seeds"
    seeds.mkdir()
    for i, sound in enumerate(READERS[reader][2]):
        (seeds / str(i)).write_bytes(sound)

    def one(text: bytes) -> None:
        if fault := fault_of(reader, text, folder):
            raise AssertionError(fault)

    for module in [name for name in sys.modules if name.startswith("outgas.")]:
        for thing in vars(sys.modules[module]).values():
            if getattr(thing, "__module__", "") == module and hasattr(thing, "__code__"):
                atheris.instrument_func(thing)
    limits = [f"-max_total_time={seconds}", f"-max_len={LONGEST}", "-timeout=20", str(seeds)]
    atheris.Setup([sys.argv[0], *limits], one)
    atheris.Fuzz()


def main(arguments: list[str]) -> int:
    """Spoil texts for every reader; name each that went wrong."""
    if arguments[:1] == ["--guided"]:
        guided(arguments[1], int(arguments[2]))
        return 0
    count = int(arguments[0]) if arguments else 2000
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        for reader in READERS:
            found = faults(reader, count, Path(folder))
            bad += len(found)
            print(f"{reader}: {count} texts, {len(found)} went wrong", flush=True)
            for fault in found[:5]:
                print(f"  {fault.encode('unicode_escape').decode()}", flush=True)
    return int(bool(bad))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
