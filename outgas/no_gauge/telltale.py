"""Two vials of water that say, by boiling and by quiet, that the bag is where it should be."""

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import constants, units
from outgas.errors import InputError
from outgas.job.saved import Job
from outgas.laminate.water import water_pressure
from outgas.no_gauge import observations as says
from outgas.no_gauge.cautions import VIALS
from outgas.no_gauge.held import Told, rounded_mbar
from outgas.show.amounts import celsius
from outgas.show.answer import Answer
from outgas.show.report import At, Block, Line, Report, Short, joined, lines
from outgas.tables import catalogue
from outgas.window.advice import Advice
from outgas.window.advise import advise

if TYPE_CHECKING:
    from outgas.units import Quantity

VERSION = 1
STAGES = ("cure", "debulk")
WATER_K = (
    constants.ZERO_CELSIUS_K + 7.0,
    constants.ZERO_CELSIUS_K + 60.0,
)  # what a shop can keep and read
STEP_K = 0.5  # a household thermometer is read to half a kelvin
STEP_BY_STEP = "How, step by step: --do."
SAFE_SHARE = 0.975  # of the errors of reading a vial that fell quiet, on the deeper side


@dataclass(frozen=True, slots=True, kw_only=True)
class Telltale(Answer):
    """Two vials of water at stated temperatures, in SI floats with quantities at the door.

    While the warmer boils the bag is deep enough; once the cooler, which boiled, has fallen quiet
    the bag is no deeper than floor_Pa, errors of reading (97.5 %) and the water over the chip
    counted: at least what was asked. roof_Pa is what a boiling warmer vial promises.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> vials = outgas.telltale(outgas.advise("orthophthalic-polyester", shop), "debulk")
    >>> vials.must_boil > vials.must_not_boil, vials.floor_Pa < vials.held_Pa < vials.roof_Pa
    (True, True)
    >>> vials.to_dict()["kind"]
    'outgas tell-tale'
    """

    stage: str
    must_boil_K: float
    must_not_boil_K: float
    floor_Pa: float
    roof_Pa: float
    held_Pa: float
    recipe: tuple[str, ...]
    cautions: tuple[str, ...]
    barometer_Pa: float

    @property
    def must_boil(self) -> "Quantity":
        """Temperature of the vial that must boil [K]."""
        return units.quantity(self.must_boil_K, "K")

    @property
    def must_not_boil(self) -> "Quantity":
        """Temperature of the vial that must fall quiet [K]."""
        return units.quantity(self.must_not_boil_K, "K")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas tell-tale",
            "version": VERSION,
            "stage": self.stage,
            "must_boil_K": self.must_boil_K,
            "must_not_boil_K": self.must_not_boil_K,
            "floor_Pa": self.floor_Pa,
            "roof_Pa": self.roof_Pa,
            "held_Pa": self.held_Pa,
            "recipe": list(self.recipe),
            "cautions": list(map(str, self.cautions)),
        }

    @property
    def report(self) -> Report:
        """The vials told: how warm, what they promise, how it is done."""
        first = (
            f"For the {self.stage}, two vials of water: the one at {celsius(self.must_boil_K, 1)} "
            f"must boil, the one at {celsius(self.must_not_boil_K, 1)} must boil first and then "
            "fall quiet."
        )
        second = Line(
            "The bag is then no deeper than {}, near {}, and no weaker than {}.",
            (At(self.floor_Pa, weaker=False), At(self.held_Pa), At(self.roof_Pa)),
        )
        blocks = (
            Block("How", lines(self.recipe), part="do"),
            Block("Cautions", lines(self.cautions)),
        )
        answer = lines([first, second])
        few = Short((*answer, Line(STEP_BY_STEP)))
        return Report(self.barometer_Pa, answer, blocks, fixed=True, short=few)


def _wanted(advice: Advice, stage: str) -> tuple[float, float]:
    """Return the pressures [Pa] that the vials must keep the bag between."""
    if stage not in STAGES:
        raise InputError(f"stage is {str(stage)[:40]!r}; it is 'cure' or 'debulk'")
    if not advice.facts.bag_sets_resin:
        raise InputError(f"{advice.process} is not held between two pressures; no vials are needed")
    deep = advice.deepest_Pa if stage == "cure" else advice.debulk_limit_Pa
    return deep, advice.shallowest_Pa


def telltale(advice: Advice | Job, stage: str = "cure") -> Telltale | None:
    """Return two vials of water that say the bag is where an advice wants it.

    Parameters
    ----------
    advice
        From outgas.advise; or a job, which is asked for its advice first.
    stage
        'cure', or 'debulk' for the early pull.

    Returns
    -------
    A Telltale, temperatures [K]; None where water between 7 and 60 degC cannot serve (pressures
    outside about 10 to 200 mbar, or a window too narrow for two vials).

    Raises
    ------
    InputError
        For prepreg and pressing, which are not held between two pressures.

    Notes
    -----
    Cooler vial: T = T_sat(deepest + rho g h) + e, with e the 97.5 % error of reading it, rounded
    up; the warmer one boils before the bag is too weak. T_sat of water as in
    outgas.boiling_temperature; errors are estimates (data/observations.toml).

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> advice = outgas.advise("orthophthalic-polyester", shop)
    >>> telltale(advice, "debulk").floor_Pa >= advice.debulk_limit_Pa
    True
    >>> telltale(advice) is None  # so weak a vacuum would need water near its boil
    True
    """
    if isinstance(advice, Job):
        advice = advise(advice)
    deep, weak = _wanted(advice, stage)
    gap, head = catalogue.evidence().vial_gap, catalogue.evidence().vial_head.si
    doubt = says.quiet_excess().quantile(SAFE_SHARE)
    cool = _up(_boils(deep + head) + doubt) if deep > 0.0 else 0.0
    if not WATER_K[0] <= cool <= WATER_K[1]:
        return None
    thermometer = catalogue.evidence().thermometer.si
    hottest = min(WATER_K[1], _down(_boils(min(weak, advice.barometer_Pa)) - thermometer))
    warm = min(cool + gap.si, hottest)
    if warm < cool + gap.low_si:
        return None
    held = water_pressure(cool) - head
    return Telltale(
        stage=stage,
        must_boil_K=warm,
        must_not_boil_K=cool,
        floor_Pa=max(deep, water_pressure(cool - doubt) - head),
        roof_Pa=water_pressure(warm + thermometer),
        held_Pa=held,
        recipe=_recipe(warm, cool),
        cautions=VIALS,
        barometer_Pa=advice.barometer_Pa,
    )


def _recipe(warm: float, cool: float) -> tuple[str, ...]:
    hot, cold = (celsius(T, 1) for T in (warm, cool))
    return (
        f"two plastic vials a quarter full of tap water, one at {hot} and one at {cold}, lids on "
        "loosely, a fresh chip of broken pot and an alcohol thermometer in each",
        "stand them, wrapped against cooling, in the catch pot on the pump side, shut off from the "
        "part: their vapour would condense on the laminate",
        "pull until both boil: streams of bubbles from the chips, not a few off the wall",
        "open the bleed, slowly, until the cooler falls quiet while the warmer still boils; then "
        "leave the bleed where it is",
        f"read the cooler's thermometer as it falls quiet: at {cold} or above the bag is right; "
        "below, the water has cooled and the bag is deeper: warm it and bleed up again",
        "the vials stand in the pot, shut off from the part, and tell of the pot alone; before the "
        "valve to the part is opened, take them out: their vapour would go to the laminate",
        "what changes then: without their vapour the same bleed holds deeper, a leak in the part "
        "holds it weaker; a capped syringe or a chip that stood in the pot beside them must not "
        "move deeper than it stood: bleed up until it stands where it stood",
        "they boil themselves cool within minutes: they set the bleed, they do not watch it; warm "
        "them and look again after each change, and before the gel",
    )


def better_instrument(advice: Advice, stage: str = "cure") -> str:
    """Return what to read the bag with where water cannot serve.

    Parameters
    ----------
    advice
        From outgas.advise.
    stage
        'cure', or 'debulk' for the early pull.

    Returns
    -------
    A sentence; its pressures in mbar absolute.

    Raises
    ------
    InputError
        As outgas.telltale.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> advice = outgas.advise("orthophthalic-polyester", shop)
    >>> better_instrument(advice).startswith("water would have to be warmer than")
    True
    """
    return _instead(advice, stage).on(advice.barometer_Pa, None)


def together(advice: Advice, found: dict[str, Telltale | None]) -> Report:
    """Return the vials of several stages told as one, or what serves instead of them."""
    told = [no_vials(advice, s) if vials is None else vials.report for s, vials in found.items()]
    blocks = [
        replace(block, title=f"{block.title}, {stage}") if block.title == "How" else block
        for stage, one in zip(found, told, strict=True)
        for block in one.blocks
    ]
    alone = {block.title: block for block in blocks}  # the same cautions once
    answer = tuple(line for one in told for line in one.answer)
    how = (Line(STEP_BY_STEP),) if any(found.values()) else ()
    few = Short((*answer, *how))
    return Report(advice.barometer_Pa, answer, tuple(alone.values()), fixed=True, short=few)


def no_vials(advice: Advice, stage: str = "cure") -> Report:
    """Return that water cannot serve for a stage, and what can."""
    said = joined([f"For the {stage}, no vials of water: ", _instead(advice, stage), "."])
    return Report(advice.barometer_Pa, (said,), short=Short((said,)))


def _instead(advice: Advice, stage: str) -> Line:
    deep, _ = _wanted(advice, stage)
    if deep > water_pressure(WATER_K[1]):
        return Line(
            f"water would have to be warmer than {celsius(WATER_K[1])} for {{}}: hold it with a "
            "weighted plate inside the pot, which needs no reading, and check with a syringe read "
            "both ways or a barometer chip, which reads down to 300 mbar",
            (Told(deep, told=f"{rounded_mbar(deep, weaker=True)} mbar"),),
        )
    if deep < water_pressure(WATER_K[0]):
        return Line(
            "water freezes before it shows {}: an absolute sensor made for 1 to 100 mbar; no dial "
            "can read it",
            (Told(deep, told=f"{rounded_mbar(deep, weaker=True)} mbar"),),
        )
    return Line(
        "the window is too narrow for two vials: one thermometer in the vapour over boiling water, "
        "or an absolute sensor"
    )


def _boils(p: float) -> float:
    return float(says.boils_at(np.array([p]))[0])


def _up(T: float) -> float:
    zero = constants.ZERO_CELSIUS_K
    return zero + math.ceil((T - zero) / STEP_K - 1e-9) * STEP_K


def _down(T: float) -> float:
    zero = constants.ZERO_CELSIUS_K
    return zero + math.floor((T - zero) / STEP_K + 1e-9) * STEP_K
