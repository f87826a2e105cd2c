"""One panel of a log: how it was made, in the words of a job, and what came out of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from outgas import readings, units
from outgas.errors import (
    InputError,
    Mistakes,
    OutgasError,
    SeveralMistakesError,
    UnknownNameError,
)
from outgas.job.job_keys import BY_OPTION, KEYS, Told
from outgas.job.saved import checked
from outgas.tables import catalogue

LOOKS = ("clear", "hazy", "milky")
# The keys that a panel has beside those of a job: an example of each, and what it says.
OWN_KEYS: dict[str, tuple[str, str]] = {
    "name": ("test 7", "what it is called; its place in the log if not given"),
    "cure": (
        "600 mbar",
        "the bag from then until the gel: a reading, '550 to 650 mbar', 'weak bag'",
    ),
    "cure_time": ("20 min", "from there to when it thickened"),
    "debulk": ("90 mbar", "the bag early, or at an infusion's fill; none: straight to the cure"),
    "debulk_time": ("10 min", "how long"),
    "look": ("clear", "clear, hazy or milky"),
    "where": ("all over", "where it was so: kept, nothing is reckoned from it"),
    "voids": ("1.2 %", "void content that was measured, of the laminate"),
    "voids_error": ("0.4 %", "its 95 % error"),
    "air_left": ("300 mbar", "air that a degassing test found in the resin"),
    "air_left_error": ("60 mbar", "its 95 % error"),
    "cup_gel": ("22 min", "gel time of a cup of this batch"),
    "bleed": ("120 g", "resin that bled: kept, nothing is reckoned from it"),
    "note": ("demo", "anything"),
}
# Keys of a job that say nothing of what a panel teaches, or say it of the next one.
_NOT_OF_A_PANEL = (
    *("dial", "units", "void_target", "finish", "vapour_share", "confidence", "dried"),
    *("trapped", "connected", "no_debulk", "gel_time", "bore", "clamp", "no_degas"),
)
JOB_KEYS = tuple(key for key in KEYS if key not in _NOT_OF_A_PANEL)
ALL_KEYS = (*OWN_KEYS, *JOB_KEYS)
SEEN_KEYS = ("look", "voids", "air_left", "cup_gel")
MOST_VOIDS = 0.5  # of a laminate: more is a froth, and no measurement


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel as it was told: a job's keys, and its own; line is where it stands in its log.

    Examples
    --------
    >>> panel = panel_of({"resin": "epoxy-laminating", "cure": "600 mbar", "look": "clear"})
    >>> panel.own["look"], dict(panel.told)
    ('clear', {'resin': 'epoxy-laminating'})
    """

    told: tuple[tuple[str, Told], ...]
    said: tuple[tuple[str, str], ...]
    line: int = field(default=0, compare=False)

    @property
    def own(self) -> dict[str, str]:
        """What was told of it by keys of its own."""
        return dict(self.said)

    @property
    def name(self) -> str:
        """What it is called."""
        return self.own.get("name", f"panel of line {self.line}")

    def to_dict(self) -> dict[str, Any]:
        """Return what was told, in the words of its log."""
        told = {key: list(v) if isinstance(v, tuple) else v for key, v in self.told}
        return {**told, **self.own}


def panel_of(told: Mapping[str, Any], line: int = 0) -> Panel:
    """Return a panel from its keys; InputError with every mistake in it."""
    keys = {other: key for key, other in BY_OPTION.items()}
    own: dict[str, str] = {}
    job: dict[str, Any] = {}
    mistakes: list[str] = []
    for given, value in told.items():
        key = str(given).strip().replace("-", "_").replace(" ", "_")
        key = keys.get(key, key)
        if value is None or (isinstance(value, str) and not value.strip()):
            continue
        if key in OWN_KEYS:
            own[key] = " ".join(str(value).split())
        elif key in JOB_KEYS:
            job[key] = value
        else:
            mistakes.append(str(UnknownNameError("key of a panel", str(given), ALL_KEYS)))
    mistakes += _mistakes(own, job)
    try:
        job = checked(job)
    except SeveralMistakesError as error:
        mistakes += error.mistakes
    if mistakes:
        raise SeveralMistakesError(mistakes)
    return Panel(tuple(job.items()), tuple(own.items()), line)


def _mistakes(own: Mapping[str, str], job: Mapping[str, Any]) -> list[str]:
    """Return what is wrong with a panel's own keys."""
    found = Mistakes()
    if "resin" not in job:
        found(_refuse, "a panel says no resin; add resin = 'orthophthalic-polyester'")
    if not any(key in own for key in SEEN_KEYS):
        said = "bleed is kept, but nothing is reckoned from it; " if "bleed" in own else ""
        found(
            _refuse, f"{said}nothing that came out was told; add look, voids, air_left or cup_gel"
        )
    if ("look" in own or "voids" in own) and "cure" not in own:
        found(_refuse, "what the bag was at is not told; add cure = '600 mbar'")
    if "air_left" in own and "degassed" not in job:
        found(_refuse, "air_left is of a pot; add degassed = '27 mbar for 10 min, stirred'")
    if "look" in own:
        found(read_look, own["look"])
    for key, of in (("voids_error", "voids"), ("air_left_error", "air_left")):
        if key in own and of not in own:
            found(_refuse, f"{key} is told, {of} is not")
    for key in ("voids", "voids_error"):
        if key in own:
            found(_share, own[key], key.replace("_", " "))
    for key in ("air_left", "air_left_error"):
        if key in own:
            found(readings.read_absolute, own[key], key.replace("_", " "))
    for key in ("cure_time", "debulk_time", "cup_gel"):
        if key in own:
            found(units.positive, own[key], "s", key.replace("_", " "))
    if "bleed" in own:
        found(units.positive, own["bleed"], "kg", "bleed")
    try:
        found.done()
    except SeveralMistakesError as error:
        return list(error.mistakes)
    except OutgasError as error:
        return [str(error)]
    return []


def _refuse(text: str) -> None:
    raise InputError(text)


def _share(text: str, name: str) -> float:
    share = units.one_fraction(text, name)
    return units.inside(share * 100, 0.0, MOST_VOIDS * 100, name, "%") / 100


def read_look(text: str) -> str:
    """Return how a panel looked; refuses what is none of the three."""
    word = text.strip().lower()
    if word not in LOOKS:
        raise UnknownNameError("look", text, LOOKS)
    return word


def void_of(own: Mapping[str, str]) -> tuple[float, float] | None:
    """Return the void content that was measured with its 95 % error; None where none was."""
    if "voids" not in own:
        return None
    error = catalogue.panels().void_error.si
    if "voids_error" in own:
        error = _share(own["voids_error"], "voids error")
    return _share(own["voids"], "voids"), error


def air_of(own: Mapping[str, str]) -> tuple[float, float] | None:
    """Return the air that a degassing test found, with its 95 % error [Pa]; None for no test."""
    if "air_left" not in own:
        return None
    air = readings.read_absolute(own["air_left"], "air left")
    error = catalogue.panels().air_error.si * air
    if "air_left_error" in own:
        error = readings.read_absolute(own["air_left_error"], "air left error")
    return air, error
