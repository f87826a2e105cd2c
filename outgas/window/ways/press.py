"""Press the panel instead: the force, what it weighs, what it changes."""

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.constants import STANDARD_GRAVITY
from outgas.errors import InputError
from outgas.job.layup import Layup
from outgas.job.process import pressing
from outgas.physics import air
from outgas.show.amounts import SLACK, celsius, celsius_down
from outgas.show.answer import Answer
from outgas.show.caution import Caution, Harm
from outgas.show.report import Amount, Block, Line, Report, Short, bound, joined, lines, sentence
from outgas.tables import catalogue
from outgas.tables.materials import Core
from outgas.window.advice import Advice

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

SANDBAGS_KG = 300.0  # what one might stack on a panel, for comparison only
VERSION = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Press(Answer):
    """What a press must do to a panel, in SI floats with quantities at the door.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    >>> press = outgas.press_instead(outgas.advise("orthophthalic-polyester", shop), layup)
    >>> press.safe == (press.needed_Pa <= press.resin_pressure_Pa[0])  # no core to crush
    True
    >>> press.to_dict()["kind"]
    'outgas press'
    """

    area_m2: float
    clamp_Pa: float
    force_N: float
    mass_kg: float
    resin_pressure_Pa: tuple[float, float]
    needed_Pa: float
    sandbags_Pa: float
    trapped_air_void: float
    safe: bool
    noted: tuple[Line, ...]
    cautions: tuple[str, ...]

    @property
    def notes(self) -> tuple[str, ...]:
        """What a press changes, and what it takes."""
        return tuple(str(line) for line in self.noted)

    @property
    def force(self) -> "Quantity":
        """On the whole panel [N]."""
        return units.quantity(self.force_N, "N")

    @property
    def kilograms(self) -> "Quantity":
        """The mass that weighs as much [kg]."""
        return units.quantity(self.mass_kg, "kg")

    @property
    def resin_pressure(self) -> "tuple[Quantity, Quantity]":
        """Least (fibres carry all) and most (resin carries all) pressure in the resin [Pa]."""
        low, high = self.resin_pressure_Pa
        return units.quantity(low, "Pa"), units.quantity(high, "Pa")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas press",
            "version": VERSION,
            "area_m2": self.area_m2,
            "clamp_Pa": self.clamp_Pa,
            "force_N": self.force_N,
            "mass_kg": self.mass_kg,
            "resin_pressure_low_Pa": self.resin_pressure_Pa[0],
            "resin_pressure_high_Pa": self.resin_pressure_Pa[1],
            "needed_Pa": self.needed_Pa,
            "clamp_of_300_kg_Pa": self.sandbags_Pa,
            "trapped_air_void_fraction": self.trapped_air_void,
            "safe": self.safe,
            "notes": list(self.notes),
            "cautions": list(map(str, self.cautions)),
        }

    @property
    def report(self) -> Report:
        """The force, whether it is enough, notes and cautions; no bag, so nothing on a dial."""
        needs, has = (
            bound(p, weaker=weaker, off_dial=True)
            for p, weaker in ((self.needed_Pa, True), (self.resin_pressure_Pa[0], False))
        )
        clamp = bound(self.clamp_Pa, off_dial=True)
        kilograms = math.ceil(self.mass_kg - SLACK)
        shown = f"{math.ceil(self.force_N / 100.0 - SLACK) / 10:.1f}"
        force = Amount(self.force_N / 1e3, "kN", shown, up=True)
        weight = Amount(self.mass_kg, "kg", f"{kilograms:,.0f}", up=True)
        said = (
            Line(
                f"Press with {{}}, the weight of {{}}, for {{}} of clamp on {self.area_m2:g} m2.",
                (force, weight, clamp),
            ),
            Line(
                "The resin then stays at {} or more; it needs "
                f"{{}}: {'safe' if self.safe else 'not enough'}.",
                (has, needs),
            ),
        )
        listed = ("", self.noted), ("Cautions", lines(self.cautions))
        return Report(
            self.resin_pressure_Pa[0],
            lines(said),
            tuple(Block(name, tuple(_item(x) for x in all_), bare=True) for name, all_ in listed),
            page=tuple(Block(name, all_) for name, all_ in listed),
            apart="\n",
            short=Short(tuple(said), tuple(map(sentence, self.noted))),
        )


def _item(line: Line) -> Line:
    return replace(joined(("  - ", line)), harm=line.harm, brief=line.brief)


LOADED = Caution(
    "a loaded press stores energy: block it, keep hands and face clear, stand out of the line of "
    "bolts",
    Harm.INJURES,
    "a loaded press stores energy: block it, stand clear",
)


def press_instead(advice: Advice, layup: Layup, clamp: "Measure | None" = None) -> Press:
    """Return the force that presses a panel instead of bagging it, and what that changes.

    Parameters
    ----------
    advice
        For the resin and shop; its limits say what the resin needs.
    layup
        With its area.
    clamp
        Pressure from the press, on top of the atmosphere; the process's usual if not given.

    Returns
    -------
    A Press: force [N], kilograms [kg], resin pressure [Pa] (least, most), notes and cautions.

    Raises
    ------
    InputError
        If the layup has no area, or the advice is for a degassing pot.
    OutOfRangeError
        A clamp outside 1 to 20 000 mbar.

    Notes
    -----
    F = p A and m = F / g_0 (9.80665 m/s2): definitions. The resin carries between p_atm (fibres
    carry all of the clamp) and p_atm + p (resin carries all); the lower end is judged.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> advice = outgas.advise("orthophthalic-polyester", shop)
    >>> layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")
    >>> press = press_instead(advice, layup, clamp="100 mbar")
    >>> round(press.force.m), round(press.kilograms.m)
    (5000, 510)
    """
    told: tuple[Any, Any] = advice, layup
    if not (isinstance(told[0], Advice) and isinstance(told[1], Layup)):
        raise InputError(
            f"advice is a {type(advice).__name__} and layup a {type(layup).__name__}; give what "
            "outgas.advise returned, and an outgas.Layup"
        )
    if advice.facts.pot:
        raise InputError("an advice for a degassing pot says nothing of a panel; ask for pressing")
    if layup.area_m2 is None:
        raise InputError("the layup has no area; a force needs one, as '0.8 m2'")
    pressure, here = _clamp_of(clamp), advice.barometer_Pa
    needed = max(advice.limits_Pa["vapour"], advice.deepest_if_shut_Pa)  # no gas leaves a press
    force = pressure * layup.area_m2
    bears = math.inf if layup.core is None else least_borne(layup.core)
    sandbags = SANDBAGS_KG * STANDARD_GRAVITY / layup.area_m2
    entrained = catalogue.practice().margins.entrained.si
    trapped = float(air.void_fraction(entrained))
    notes = [_weights(sandbags, pressure, force / STANDARD_GRAVITY), _boils(advice)]
    notes += lines(_notes(trapped))
    if layup.core is not None and pressure > bears:
        borne = bound(bears, weaker=False, off_dial=True)
        notes.insert(0, Line(f"too much for {layup.core.title}, which bears {{}}", (borne,)))
    return Press(
        area_m2=layup.area_m2,
        clamp_Pa=pressure,
        force_N=force,
        mass_kg=force / STANDARD_GRAVITY,
        resin_pressure_Pa=(here, here + pressure),
        needed_Pa=needed,
        sandbags_Pa=sandbags,
        trapped_air_void=trapped,
        safe=needed <= here and pressure <= bears,
        noted=tuple(notes),
        cautions=(LOADED, *advice.cautions),
    )


def _clamp_of(clamp: "Measure | None") -> float:
    """Return the pressure that a press adds [Pa]: the process's usual if none was said."""
    if clamp is None:
        usual = pressing().clamp
        return 0.0 if usual is None else usual.si
    pressure = units.positive(clamp, "Pa", "clamp")
    units.inside(pressure / 100, 1.0, 20000.0, "clamp", "mbar")
    return pressure


def least_borne(core: Core) -> float:
    """Return the pressure that a core surely bears for hours [Pa]."""
    return core.compressive_strength.low_si * core.creep_factor.low_si


def weights_do(kilograms: float) -> bool:
    """Return whether so much can be stacked on a panel."""
    return kilograms <= SANDBAGS_KG


def _weights(sandbags: float, clamp: float, kilograms: float) -> Line:
    """Judge weights by number: what they bring of the clamp that is wanted."""
    share = sandbags / clamp
    inches = units.quantity(sandbags, "Pa").m_as("inHg")
    brings = (
        f"{SANDBAGS_KG:.0f} kg of sandbags are {{}} on this panel, "
        f"{math.floor(10.0 * inches + SLACK) / 10:.1f} inHg"
    )
    if weights_do(kilograms):
        text = f"weights do it here: {{}}, spread evenly over a stiff caul ({brings})"
    else:
        text = (
            f"{brings}: {math.floor(100.0 * share)}% of the clamp that is wanted, so weights "
            "cannot do it; bolted box sections or a press can"
        )
    sand = bound(sandbags, weaker=False, off_dial=True)
    whole = Amount(kilograms, "kg", f"{math.ceil(kilograms - SLACK)}", up=True)
    return Line(text, (whole, sand) if weights_do(kilograms) else (sand,))


def _boils(advice: Advice) -> Line:
    """Say where the resin boils with no vacuum at all, beside its hottest moment."""
    wet, dry = advice.boils_in_air_K
    a = advice.water_activity[1]
    hottest = celsius(advice.hottest_high_K)
    if wet is None:
        return Line(
            "under this air the resin boils at no temperature that its vapours are known for; its "
            f"hottest here is up to {hottest}"
        )
    bone = "beyond what is known of its vapours" if dry is None else f"near {celsius_down(dry)}"
    boils = "so it boils even in a press" if wet <= advice.hottest_high_K else "so it stays quiet"
    return Line(
        f"under this air the resin may boil from {celsius_down(wet)}, as damp as it is (activity "
        f"{a:.2f}); dry, {bone}; its hottest here is up to {hottest}, {boils}"
    )


def _notes(trapped: float) -> list[str]:
    """Return what a press changes, and what it takes."""
    return [
        "no vacuum takes the air out: roll it out while laying up, work from the middle, close "
        f"slowly; what stays trapped stays, about {trapped:.1%}",
        "edge stops set the thickness; a caul stiff enough not to dish; peel ply to let it go",
    ]
