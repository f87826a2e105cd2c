"""What the causes are judged by: one case, one bag, what was seen."""

from dataclasses import dataclass, field

from outgas import constants
from outgas.constants import GAS_CONSTANT
from outgas.diagnosis.diagnosis import Span
from outgas.job.job import Job
from outgas.job.process import process_of
from outgas.job.told_pressure import Belief
from outgas.laminate import whiteness
from outgas.laminate.case import Case
from outgas.laminate.vapour import Vapour, monomer_pressures, vapour
from outgas.laminate.water import surface_humidity
from outgas.show.amounts import mbar_up
from outgas.tables import catalogue, curves

JUST_ABOVE = 1.1  # a closed cell boils without limit at p_v: gas is counted from a tenth above it
COLDER_K = 0.5  # a tool this much below the air is a cold one
ZERO = constants.ZERO_CELSIUS_K


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

    job: Job
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
        return whiteness.index_of(self.case.resin.family)

    @property
    def clamp(self) -> float:
        """The pressure of the air on the bag, in the middle of what is believed [Pa]."""
        return max(0.0, self.barometer - self.bag.median)


def scene_of(job: Job, case: Case, bag: Belief, resin: Belief, seen: dict[str, str]) -> Scene:
    """Return the scene; the vapour's upper end counts warmth that nobody measured."""
    gate = catalogue.signs().gate
    hot = vapour(case, case.hottest_K)
    upper = hot.high
    if job.hottest_K is None and case.resin.cure_temperature is None:
        upper = vapour(case, min(case.hottest_K + gate.warmer.si, _top(case))).high
    plies = job.layup.plies
    return Scene(
        job=job,
        case=case,
        bag=bag,
        resin=resin,
        seen=seen,
        hot=hot,
        upper_Pa=upper,
        least_Pa=hot.high / case.vapour_share,
        thickness=job.layup.laminate_thickness_m if plies else None,
    )


def _top(case: Case) -> float:
    """Return the highest temperature [K] at which every volatile of a case has a pressure."""
    volatiles = [catalogue.volatile(part.volatile) for part in case.resin.monomers]
    volatiles += [volatile for volatile, _ in case.contaminants]
    ends = [curves.curve(v)[-1].T_high for v in (*volatiles, catalogue.volatile("water"))]
    return max(case.hottest_K, min(ends))


def mbar(pressure: float) -> str:
    """Return a pressure [Pa] in words, rounded towards less vacuum."""
    return f"{mbar_up(pressure)} mbar"


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
    return scene.case.dissolved_Pa.nominal
