"""What the gates look at, and how they count gas: one case, one bag, what was seen.

Gas is counted in a closed cell, with the share kept that the process's record says; the size of
bubbles follows from how many there are (nuclei), or is the table's own.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas import catalogue, units
from outgas.advice import look
from outgas.advice.asked import Inputs
from outgas.advice.diagnosis import mbar_up
from outgas.advice.limits import (
    Case,
    Vapour,
    monomer_pressures,
    process_of,
    surface_humidity,
    vapour,
)
from outgas.advice.seen import Belief
from outgas.physics import air
from outgas.physics.cure import GAS_CONSTANT
from outgas.signs import Cause

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

Span: TypeAlias = tuple[float, float]
JUST_ABOVE = 1.1  # a closed cell boils without limit at p_v: gas is counted from a tenth above it
LEAST_SHOWN = 1e-4  # share of voids below which none is worth naming
LEAST_GAS = 1e-9  # so that a bubble has a size
COLDER_K = 0.5  # a tool this much below the air is a cold one
ZERO = units.ZERO_CELSIUS_K


@dataclass(frozen=True, slots=True)
class Gate:
    """What the physics says of one cause."""

    room: float
    void: Span | None = None
    radius: Span | None = None
    acts: str = ""
    pros: tuple[str, ...] = ()
    cons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """All that the gates look at."""

    inputs: Inputs
    case: Case
    bag: Belief
    resin: Belief
    seen: dict[str, str]
    hot: Vapour
    upper_Pa: float
    least_Pa: float
    thickness: float | None = field(default=None)

    @property
    def barometer(self) -> float:
        """The air pressure [Pa]."""
        return self.case.barometer_Pa

    @property
    def index(self) -> float:
        """The index of refraction of the cured resin."""
        return look.index_of(self.case.resin.family)

    @property
    def clamp(self) -> float:
        """The pressure of the air on the bag, in the middle of what is believed [Pa]."""
        return max(0.0, self.barometer - self.bag.median)


def scene_of(inputs: Inputs, case: Case, bag: Belief, resin: Belief, seen: dict[str, str]) -> Scene:
    """Return the scene; the vapour's upper end counts warmth that nobody measured."""
    gate = catalogue.signs().gate
    hot = vapour(case, case.hottest_K)
    upper = hot.high
    if inputs.hottest_K is None and case.resin.cure_temperature is None:
        upper = vapour(case, min(case.hottest_K + gate.warmer.si, _top(case))).high
    plies = inputs.layup.plies
    return Scene(
        inputs=inputs,
        case=case,
        bag=bag,
        resin=resin,
        seen=seen,
        hot=hot,
        upper_Pa=upper,
        least_Pa=hot.high / case.vapour_share,
        thickness=inputs.layup.laminate_thickness_m if plies else None,
    )


def _top(case: Case) -> float:
    """Return the highest temperature [K] at which every volatile of a case has a pressure."""
    volatiles = [catalogue.volatile(part.volatile) for part in case.resin.monomers]
    volatiles += [volatile for volatile, _ in case.contaminants]
    ends = [catalogue.curve(v)[-1].T_high for v in (*volatiles, catalogue.volatile("water"))]
    return max(case.hottest_K, min(ends))


def mbar(pressure: float) -> str:
    """Return a pressure [Pa] in words, rounded towards less vacuum."""
    return f"{mbar_up(pressure)} mbar"


def held(cause: Cause) -> tuple[Span, Span]:
    """Return void and radius as the table has them."""
    assert cause.void is not None
    assert cause.radius is not None
    return (
        (cause.void.low_si, cause.void.high_si),
        (cause.radius.low_si, cause.radius.high_si),
    )


def kept(scene: Scene, volume: "Floats") -> "Floats":
    """Return the void fraction that gas per volume of resin makes, of which a share stays."""
    return np.asarray(air.void_fraction(scene.case.gas_kept * volume))


def gas(scene: Scene, p: "Floats", p_v: float, entrained: float, dissolved: float) -> "Floats":
    """Return gas per volume of resin in a closed cell; just above p_v where p is at or below it."""
    case = scene.case
    cool = vapour(case, case.shop_K).nominal
    at = np.maximum(p, JUST_ABOVE * p_v)
    return np.asarray(
        air.gas_per_resin(
            at,
            p_v,
            case.resin.air_solubility.si,
            dissolved,
            entrained,
            cool,
            case.barometer_Pa,
            case.hottest_K,
            case.shop_K,
        )
    )


def radius_of(void: "Floats | float", nuclei: float) -> "Floats":
    """Return the radius [m] of equal bubbles, so many per volume, that make a void fraction."""
    gas = np.clip(void, LEAST_GAS, look.DENSEST)
    return np.asarray((3.0 * gas / (4.0 * math.pi * nuclei)) ** (1.0 / 3.0))


def sizes(cause: Cause, void: Span) -> Span:
    """Return the radii [m] that a void fraction makes of the cause's nuclei: from least to most."""
    assert cause.nuclei is not None
    least = max(void[0], LEAST_SHOWN)
    most = max(void[1], LEAST_SHOWN)
    return (
        float(radius_of(least, cause.nuclei.high_si)),
        float(radius_of(most, cause.nuclei.low_si)),
    )


def noticed(cause: Cause, scene: Scene, void: "Floats") -> float:
    """Return how surely gas of these shares, at the belief's pressures, would be noticed."""
    assert cause.nuclei is not None
    radius = radius_of(void, cause.nuclei.si)
    return scene.resin.mean(look.shows(np.minimum(void, 1.0), radius, scene.thickness, scene.index))


def span(scene: Scene, void_at: Callable[["Floats"], "Floats"]) -> Span:
    """Return void fractions at the two ends of the middle of the belief, the smaller first."""
    ends = sorted(float(v) for v in void_at(np.asarray(scene.resin.interval)))
    return ends[0], ends[1]


def clamp_needed(scene: Scene) -> float:
    """Return the clamp that the process needs [Pa]."""
    process = process_of(scene.case.process)
    if process.clamp is not None:
        return process.clamp.si
    return max(0.0, scene.barometer - (process.weakest_bag.si if process.weakest_bag else 0.0))


def wetness(scene: Scene) -> tuple[float, str]:
    """Return from 0 to 1 how wet cloth, core and tool may have been, and why."""
    gate, seen, case = catalogue.signs().gate, scene.seen, scene.case
    if seen.get("cloth-store") == "damp":
        return 1.0, "the cloth came from a damp store"
    if seen.get("core-kind") == "balsa" or (case.core is not None and case.core.wood):
        return 1.0, "a wood core brings water of its own"
    humidity, where = tool_humidity(scene)
    wet = (humidity - gate.dry.si) / (gate.damp.si - gate.dry.si)
    hidden = 0.0 if seen.get("cloth-store") == "dry and wrapped" else gate.hidden_damp.si
    return min(1.0, max(hidden, wet)), f"{humidity:.0%} humidity at {where}"


def tool_humidity(scene: Scene) -> tuple[float, str]:
    """Return the humidity at the tool's face, and what to call the place.

    A tool said to be colder than the air, with no temperature given, is taken a stated step below.
    """
    case, seen = scene.case, scene.seen
    if case.tool_K < case.shop_K - COLDER_K:
        place = f"the face of a tool at {case.tool_K - ZERO:.0f} degC"
        return surface_humidity(case), place
    if seen.get("tool") == "colder than the air":
        below = catalogue.signs().gate.colder.si
        colder = case.but(tool_K=case.shop_K - below)
        return surface_humidity(colder), f"a tool taken as {below:.0f} K colder than the air"
    return case.humidity, "the laminate"


def swept(scene: Scene) -> float:
    """Return the monomer [g] that a cubic metre of swept gas takes, saturated, at shop warmth."""
    case = scene.case
    partial = dict(monomer_pressures(case.resin, (), case.k, case.shop_K)[0])
    return sum(
        1e3 * p * catalogue.volatile(name).molar_mass.si / (GAS_CONSTANT * case.shop_K)
        for name, p in partial.items()
    )


def air_left(scene: Scene) -> float:
    """Return the pressure that the dissolved air is in equilibrium with [Pa]."""
    return scene.case.dissolved_Pa.value
