"""Reading the bleed: from spots on the breather, or its weight, to what the laminate lost."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.diagnosis.charts import bleed_charts
from outgas.errors import InputError, OutOfRangeError
from outgas.job.layup import Layup
from outgas.physics.chance import Band
from outgas.show.answer import Answer
from outgas.show.caution import Caution, Harm
from outgas.show.chart import Maker
from outgas.show.report import Block, Line, Report, Short, lines, sentence
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Consumable, Resin

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

VERSION = 1
PITCH_RANGE_M = (0.002, 0.3)
SPOT_RANGE_M = (0.0005, 0.3)
TOUCHING = math.pi / 4.0  # share of the film that spots cover when they touch
_WORDS = {
    "starved": "hardly any resin reached the breather: the laminate stays rich and heavy. Deeper "
    "debulk, more or larger holes, resin thinner or earlier",
    "good": "the laminate ends within what this cloth packs to",
    "flooded": "the breather has taken more than the cloth can spare: white, dry strands are near. "
    "Back off sooner, holes further apart, less breather",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bleed(Answer):
    """What a bleed says: resin lost per area [kg/m2] and the fibre fraction left.

    state is starved, good or flooded: the state of the bleed; sure says whether both 95 % ends
    agree with it. covered is the share of the film under spots, merged whether they touch. usual
    is what this stack of cloth packs to, from low to high.

    Examples
    --------
    >>> import outgas
    >>> layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    >>> bleed = outgas.read_bleed("orthophthalic-polyester", layup, gained="1 g")
    >>> bleed.state, bleed.sure, bleed.to_dict()["kind"]
    ('starved', True, 'outgas bleed')
    """

    state: str
    sure: bool
    covered: float
    merged: bool
    resin_lost: Band
    fibre_left: Band
    usual: tuple[float, float]

    @property
    def lost_kg_m2(self) -> tuple[float, float, float]:
        """Resin lost per area [kg/m2]: nominal and 95 % ends."""
        return self.resin_lost.nominal, self.resin_lost.low, self.resin_lost.high

    @property
    def fibre_fraction(self) -> tuple[float, float, float]:
        """Fibre fraction left, by volume: nominal and the ends that go with those of lost."""
        return self.fibre_left.nominal, self.fibre_left.low, self.fibre_left.high

    @property
    def lost(self) -> "Quantity":
        """Resin lost per area [kg/m2], nominal."""
        return units.quantity(self.resin_lost.nominal, "kg/m**2")

    @property
    def text(self) -> str:
        """The bleed in words."""
        return self.to_text()

    @property
    def makers(self) -> Mapping[str, Maker]:
        """Its charts, each by what makes it."""
        return bleed_charts(self.fibre_left, self.usual, starved_under(self.usual))

    @property
    def report(self) -> Report:
        """The bleed told; it holds no pressure."""
        first, notes = _told(self)
        said = lines((*first, *(f"  - {note}" for note in notes)))
        few = Short(lines(first), tuple(map(sentence, notes)))
        fire = Line(f"  - {FIRE}", (), FIRE.harm, FIRE.brief)
        careful = Block("", (fire,), bare=True, part="cautions")
        return Report(math.nan, said, (careful,), apart="\n", short=few)

    @property
    def _well(self) -> bool:
        return self.state == "good"

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        lost, fibre = self.resin_lost, self.fibre_left
        return {
            "kind": "outgas bleed",
            "version": VERSION,
            "state": self.state,
            "sure": self.sure,
            "covered": self.covered,
            "merged": self.merged,
            "lost_kg_m2": lost.nominal,
            "lost_low_kg_m2": lost.low,
            "lost_high_kg_m2": lost.high,
            "fibre_fraction": fibre.nominal,
            "fibre_fraction_low": fibre.low,
            "fibre_fraction_high": fibre.high,
            "usual_low": self.usual[0],
            "usual_high": self.usual[1],
            "text": self.text,
        }


def read_bleed(
    resin: str | Path | Resin,
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

    Weighed: m / A. Fibre fraction left: V_f = v / (v + (laid - lost) / rho), with the fibre's
    volume v per area: a mass balance.

    Examples
    --------
    >>> layup = Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    >>> little, much = (
    ...     read_bleed("orthophthalic-polyester", layup, gained=mass) for mass in ("10 g", "60 g")
    ... )
    >>> round(much.lost.m, 6)
    0.12
    >>> much.fibre_fraction[0] > little.fibre_fraction[0]
    True
    """
    record = as_resin(resin)
    stack: Any = layup
    if not isinstance(stack, Layup):
        raise InputError("layup is not a Layup; give outgas.Layup(plies=[...])")
    if not layup.plies:
        raise InputError("the layup has no plies; name them, as '2 x 400 g/m2 woven glass'")
    rho = record.density.si
    if gained is not None:
        mass = units.positive(gained, "kg", "gained", zero=True)
        found = _Spilt(_weighed(mass / _area(layup, "gained")))
    elif pitch is not None and spot is not None:
        found = _spotted(pitch, spot, breather, rho)
    else:
        raise InputError(
            "a spot means nothing without the pitch of the holes: give both, or gained"
        )
    fibre, usual = sum(_fibre(layup)), _usual(layup)
    laid = fibre * (1.0 / usual[0] - 1.0) * rho
    if resin_used is not None:
        laid = units.positive(resin_used, "kg", "resin used") / _area(layup, "resin used")
    lost = _of_what_was_laid(found, laid)
    fractions = _left(fibre, laid, lost, rho)
    state, sure = _judged(fractions, usual, found.merged)
    return Bleed(
        state=state,
        sure=sure,
        covered=found.covered,
        merged=found.merged,
        resin_lost=lost,
        fibre_left=fractions,
        usual=usual,
    )


@dataclass(frozen=True, slots=True)
class _Spilt:
    """What left a laminate per area [kg/m2], and how much of the film its spots cover."""

    lost: Band
    covered: float = 0.0
    merged: bool = False


def _spotted(pitch: "Measure", spot: "Measure", breather: Any, rho: float) -> _Spilt:
    """Return what the spots on a breather hold."""
    s, d = _length(pitch, PITCH_RANGE_M, "pitch"), _length(spot, SPOT_RANGE_M, "spot")
    covered = min(TOUCHING * (d / s) ** 2, 1.0)
    cloth = _breather(units.in_words(breather, "breather", "breather"))
    return _Spilt(_from_spots(d, covered, cloth, rho), covered, d >= s)


def _of_what_was_laid(found: _Spilt, laid: float) -> Band:
    """Return what was lost of a mass laid in; refuses more than that.

    What merged spots hold cannot be told: anything up to all of it.
    """
    lost = found.lost
    if found.merged:
        return Band(min(lost.nominal, laid), min(lost.low, laid), laid)
    if lost.nominal > laid:
        raise OutOfRangeError(
            f"the breather holds {lost.nominal * 1e3:.0f} g/m2, more than the {laid * 1e3:.0f} "
            "g/m2 laid in: check the pitch, the spot and the mass, or give resin_used"
        )
    return lost


def _left(fibre: float, laid: float, lost: Band, rho: float) -> Band:
    """Return the fibre fraction left of fibre [m] and resin laid in [kg/m2], some of it lost."""

    def at(m: float) -> float:
        return fibre / (fibre + max(laid - m, 0.0) / rho)

    return Band(at(lost.nominal), at(lost.low), at(lost.high))


def _area(layup: Layup, what: str) -> float:
    if layup.area_m2 is None:
        raise InputError(f"{what} needs the panel's area; name it, as '0.8 m2'")
    return layup.area_m2


def _length(value: Any, span: tuple[float, float], name: str) -> float:
    got = units.positive(value, "m", name)
    units.inside(got * 1e3, span[0] * 1e3, span[1] * 1e3, name, "mm")
    return got


def _breather(words: str) -> Consumable:
    """Return the record of a breather, by a builder's words."""
    found = catalogue.by_words(Consumable, "breather", "consumables.toml", words)
    if found.fibre_density is None:
        raise InputError(
            f"{found.title} holds no bleed; breather is 'breather' or 'heavy breather'"
        )
    return found


def _weighed(mass: float) -> Band:
    """Return the resin that a breather gained, weighed [kg/m2]."""
    off = catalogue.practice().bleed.weighed_error.si
    return Band(mass, mass * (1.0 - off), mass * (1.0 + off))


def _from_spots(d: float, covered: float, breather: Consumable, rho: float) -> Band:
    """Return the resin under spots of a diameter d [m], per area of film [kg/m2]."""
    fibre, h = breather.fibre_density, breather.thickness
    solid = breather.areal_mass.si / (fibre.si if fibre is not None else math.inf)

    def held(thick: float) -> float:
        return max(thick - solid, 0.0) * rho

    mass = covered * held(h.si)
    off = catalogue.practice().bleed
    size = 2.0 * math.hypot(off.spot_error.si / d, off.pitch_error.si)
    low = math.hypot(size, math.log(held(h.si) / max(held(h.low_si), 1e-9)))
    high = math.hypot(size, math.log(held(h.high_si) / held(h.si)))
    return Band(mass, mass * math.exp(-low), mass * math.exp(high))


def _fibre(layup: Layup) -> list[float]:
    """Return the volume of fibre in each ply, per area [m]."""
    return [ply.fibre_mass / ply.fabric.fibre_density.si for ply in layup.plies]


def _usual(layup: Layup) -> tuple[float, float]:
    """Return the fibre fractions that this stack of cloth usually packs to under a bag."""
    volumes = _fibre(layup)
    fractions = [ply.fabric.fibre_fraction for ply in layup.plies]
    held = list(zip(volumes, fractions, strict=True))
    total = sum(volumes)
    return total / sum(v / f.low_si for v, f in held), total / sum(v / f.high_si for v, f in held)


def starved_under(usual: tuple[float, float]) -> float:
    """Return the fibre fraction under which a bleed counts as starved."""
    return usual[0] + catalogue.practice().bleed.starved.si * (usual[1] - usual[0])


def _judged(left: Band, usual: tuple[float, float], merged: bool) -> tuple[str, bool]:
    if merged:
        return "flooded", True
    least = starved_under(usual)

    def one(x: float) -> str:
        if x > usual[1]:
            return "flooded"
        return "good" if x >= least else "starved"

    return one(left.nominal), len({one(x) for x in (left.nominal, left.low, left.high)}) == 1


FIRE = Caution(
    "spread the soaked breather outdoors until cold: it can catch fire in a bin",
    Harm.BURNS,
    "soaked breather outdoors until cold: in a bin it burns",
)


def _told(bleed: Bleed) -> tuple[list[str], list[str]]:
    """Return the first lines of a bleed, and notes on it."""
    mass, low, high = (m * 1e3 for m in bleed.lost_kg_m2)
    fraction, least, most = bleed.fibre_fraction
    doubt = ", though the interval leaves room for another answer: weigh the breather"
    why = (
        "the spots merge, and what merged spots hold cannot be measured"
        if bleed.merged
        else _WORDS[bleed.state]
    )
    first = [
        f"Bleed: {bleed.state}{'' if bleed.sure else doubt}.",
        f"Resin lost {mass:.0f} g/m2 ({low:.0f} to {high:.0f} g/m2); fibre fraction now "
        f"{fraction:.0%} ({least:.0%} to {most:.0%}) by volume, {bleed.usual[0]:.0%} to "
        f"{bleed.usual[1]:.0%} usual for this cloth.",
    ]
    return first, [
        why,
        "even spots of 5 to 10 mm are called good (common practice, no source); they mean nothing "
        "without the pitch of the holes",
    ]
