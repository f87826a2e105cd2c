"""Reading the bleed: from spots on the breather, or its weight, to what the laminate lost."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.errors import InputError, OutOfRangeError
from outgas.job.layup import Layup
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Consumable, Resin

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

VERSION = 1
PITCH_RANGE_M = (0.002, 0.3)
SPOT_RANGE_M = (0.0005, 0.3)
TOUCHING = math.pi / 4.0  # share of the film that spots cover when they touch
STATES = ("starved", "good", "flooded")
_WORDS = {
    "starved": "hardly any resin reached the breather: the laminate stays rich and heavy. Deeper "
    "debulk, more or larger holes, resin thinner or earlier",
    "good": "the laminate ends within what this cloth packs to",
    "flooded": "the breather has taken more than the cloth can spare: white, dry strands are near. "
    "Back off sooner, holes further apart, less breather",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bleed:
    """What a bleed says: resin lost [kg/m2] and the fibre fraction left, nominal and 95 % ends.

    state is starved, good or flooded: the state of the bleed; sure says whether both ends of the
    interval agree with it.
    """

    state: str
    sure: bool
    covered: float
    merged: bool
    lost_kg_m2: tuple[float, float, float]
    fibre_fraction: tuple[float, float, float]
    usual: tuple[float, float]
    text: str

    @property
    def lost(self) -> "Quantity":
        """Resin lost per area [kg/m2], nominal."""
        return units.quantity(self.lost_kg_m2[0], "kg/m**2")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas bleed",
            "version": VERSION,
            "state": self.state,
            "sure": self.sure,
            "covered": self.covered,
            "merged": self.merged,
            "lost_kg_m2": self.lost_kg_m2[0],
            "lost_low_kg_m2": self.lost_kg_m2[1],
            "lost_high_kg_m2": self.lost_kg_m2[2],
            "fibre_fraction": self.fibre_fraction[0],
            "fibre_fraction_low": self.fibre_fraction[1],
            "fibre_fraction_high": self.fibre_fraction[2],
            "usual_low": self.usual[0],
            "usual_high": self.usual[1],
            "text": self.text,
        }

    def __str__(self) -> str:
        return self.text


def read_bleed(
    resin: str | Resin,
    layup: Layup,
    *,
    pitch: "Measure | None" = None,
    spot: "Measure | None" = None,
    gained: "Measure | None" = None,
    breather: str = "breather",
    resin_used: "Measure | None" = None,
) -> Bleed:
    """Return what the bleed on a breather says of a laminate.

    Parameters
    ----------
    resin, layup
        What was laid up; an area is needed for gained and resin_used.
    pitch, spot
        Distance between the holes of the perforated film, 2 to 300 mm, and the diameter of the
        spots on the breather. A spot means nothing without the pitch.
    gained
        Mass that the breather gained, weighed: '60 g'; better than spots, and enough alone.
    breather
        'breather' or 'heavy breather', as in the layup's bag side.
    resin_used
        Mass of resin laid in: '0.9 kg'. If not given the laminate is taken as wetted to the
        leanest fibre fraction that is usual for its cloth.

    Returns
    -------
    A Bleed: state (starved, good, flooded), resin lost, fibre fraction, with 95 % ends.

    Raises
    ------
    InputError, OutOfRangeError, UnitError, UnknownNameError
        One line each: what was given and what is allowed.

    Notes
    -----
    Lost per area: (pi d^2 / 4 s^2) h e rho, with the breather's thickness h and the share e of it
    that is not fibre. Common practice calls even spots of 5 to 10 mm good (no source).
    """
    record = as_resin(resin)
    if not layup.plies:
        raise InputError("the layup has no plies; give Layup(plies=['2 x 400 g/m2 woven glass'])")
    rho = record.density.si
    covered, merged = 0.0, False
    if gained is not None:
        mass = units.positive(gained, "kg", "gained", zero=True) / _area(layup, "gained")
        off = catalogue.practice().bleed.weighed_error.si
        lost = mass, mass * (1.0 - off), mass * (1.0 + off)
    elif pitch is not None and spot is not None:
        s = _length(pitch, PITCH_RANGE_M, "pitch")
        d = _length(spot, SPOT_RANGE_M, "spot")
        merged = d >= s
        covered = min(TOUCHING * (d / s) ** 2, 1.0)
        lost = _from_spots(d, covered, catalogue_breather(breather), rho)
    else:
        raise InputError(
            "a spot means nothing without the pitch of the holes: give both, or gained"
        )
    fibre = sum(p.fibre_mass / p.fabric.fibre_density.si for p in layup.plies)
    usual = _usual(layup)
    laid = fibre * (1.0 / usual[0] - 1.0) * rho
    if resin_used is not None:
        laid = units.positive(resin_used, "kg", "resin used") / _area(layup, "resin used")
    if merged:  # what merged spots hold cannot be told: anything up to all of it
        lost = min(lost[0], laid), min(lost[1], laid), laid
    elif lost[0] > laid:
        raise OutOfRangeError(
            f"the breather holds {lost[0] * 1e3:.0f} g/m2, more than the {laid * 1e3:.0f} g/m2 "
            "laid in: check the pitch, the spot and the mass, or give resin_used"
        )

    def left(m: float) -> float:
        return fibre / (fibre + max(laid - m, 0.0) / rho)

    V = left(lost[0]), left(lost[1]), left(lost[2])
    state, sure = _judged(V, usual, merged)
    return Bleed(
        state=state,
        sure=sure,
        covered=covered,
        merged=merged,
        lost_kg_m2=lost,
        fibre_fraction=V,
        usual=usual,
        text=_said(state, sure, lost, V, usual, merged),
    )


def _area(layup: Layup, what: str) -> float:
    if layup.area_m2 is None:
        raise InputError(f"{what} needs the panel's area; give Layup(area='0.8 m2', ...)")
    return layup.area_m2


def _length(value: Any, span: tuple[float, float], name: str) -> float:
    got = units.positive(value, "m", name)
    units.inside(got * 1e3, span[0] * 1e3, span[1] * 1e3, name, "mm")
    return got


def catalogue_breather(words: str) -> Consumable:
    """Return the record of a breather, by a builder's words."""
    found = catalogue.by_words(Consumable, "breather", "consumables.toml", words)
    if found.fibre_density is None:
        raise InputError(
            f"{found.title} holds no bleed; breather is 'breather' or 'heavy breather'"
        )
    return found


def _from_spots(
    d: float, covered: float, breather: Consumable, rho: float
) -> tuple[float, float, float]:
    """Return the resin under spots [kg/m2]: nominal, low, high."""
    fibre, h = breather.fibre_density, breather.thickness
    solid = breather.areal_mass.si / (fibre.si if fibre is not None else math.inf)

    def held(thick: float) -> float:
        return max(thick - solid, 0.0) * rho

    mass = covered * held(h.si)
    off = catalogue.practice().bleed
    size = 2.0 * math.hypot(off.spot_error.si / d, off.pitch_error.si)
    low = math.hypot(size, math.log(held(h.si) / max(held(h.low_si), 1e-9)))
    high = math.hypot(size, math.log(held(h.high_si) / held(h.si)))
    return mass, mass * math.exp(-low), mass * math.exp(high)


def _usual(layup: Layup) -> tuple[float, float]:
    """Return the fibre fractions that this stack of cloth usually packs to under a bag."""
    fibre = [
        (p.fibre_mass / p.fabric.fibre_density.si, p.fabric.fibre_fraction) for p in layup.plies
    ]
    total = sum(v for v, _ in fibre)
    low = total / sum(v / f.low_si for v, f in fibre)
    return low, total / sum(v / f.high_si for v, f in fibre)


def _judged(
    V: tuple[float, float, float], usual: tuple[float, float], merged: bool
) -> tuple[str, bool]:
    if merged:
        return "flooded", True
    least = usual[0] + catalogue.practice().bleed.starved.si * (usual[1] - usual[0])

    def one(x: float) -> str:
        if x > usual[1]:
            return "flooded"
        return "good" if x >= least else "starved"

    return one(V[0]), len({one(x) for x in V}) == 1


def _said(
    state: str,
    sure: bool,
    lost: tuple[float, float, float],
    V: tuple[float, float, float],
    usual: tuple[float, float],
    merged: bool,
) -> str:
    mass, low, high = (m * 1e3 for m in lost)
    doubt = (
        "" if sure else ", though the interval leaves room for another answer: weigh the breather"
    )
    why = (
        "the spots merge, and what merged spots hold cannot be measured"
        if merged
        else _WORDS[state]
    )
    lines = [
        f"Bleed: {state}{doubt}.",
        f"Resin lost {mass:.0f} g/m2 ({low:.0f} to {high:.0f}); fibre fraction now "
        f"{V[0]:.0%} ({V[1]:.0%} to {V[2]:.0%}) by volume, {usual[0]:.0%} to {usual[1]:.0%} usual "
        "for this cloth.",
        f"  - {why}",
        "  - even spots of 5 to 10 mm are called good (common practice, no source); they mean "
        "nothing without the pitch of the holes",
        "  - spread the soaked breather outdoors until cold: it can catch fire in a bin",
    ]
    return "\n".join(lines)
