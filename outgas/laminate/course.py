"""The course of a job: how deep and how long, early and for the cure, and the gas in it.

Worked out once for a case: the window reads its limits off it, a plan words it, a diagnosis asks
it what a bag would have left. An early step (a debulk, or a fill and its rest) at the shop's
warmth, then the hold at the laminate's warmest until it thickens; without the early step it is
straight.
"""

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.constants import Z95
from outgas.job.learnt import Learnt
from outgas.laminate.case import Case, hottest_vapour
from outgas.laminate.gas.balance import Gas, Step, run
from outgas.laminate.gas.held import Outcome
from outgas.laminate.gas.joint import BY_A_FACTOR, MOST, KnownGas, Shown, along
from outgas.laminate.gas.limits import Expected, Target, expected_depth, expected_voids
from outgas.laminate.vapour import Vapour, vapour
from outgas.physics.chance import Band, normal_cdf
from outgas.tables import catalogue
from outgas.tables.gas import InitiatorGas

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

VAPOUR = "vapour_moved"
PRESSED = 4.0  # atmospheres up to which a limit is looked for where no bag can meet it


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What a laminate goes through, and what it starts from.

    early_Pa is None where the job goes straight to the cure. path_open: freed gas can get out while
    the resin is thin. made: what the initiator gives off, None where it gives nothing. exact: the
    safe side of its limit is taken from many draws. hold_ends: how short and how long the hold may
    be, where that is in doubt: it counts in what is expected.
    """

    known: KnownGas
    now: Vapour
    hot: Vapour
    expansion: float
    path_open: bool
    early_Pa: float | None
    early_s: float
    hold_s: float
    highest_Pa: float
    made: InitiatorGas | None
    exact: bool = False
    hold_ends: tuple[float, float] | None = None

    def but(self, **changes: object) -> "Course":
        """Return this course with something changed; a hold that is told has no ends."""
        if "hold_s" in changes:
            changes = {"hold_ends": None, **changes}
        return dataclasses.replace(self, **changes)  # type: ignore[arg-type]

    @property
    def straight(self) -> "Course":
        """The same without its early step."""
        return self.but(early_Pa=None)

    def steps(
        self, pressure: "float | Floats", hold_s: "float | Floats | None" = None
    ) -> list[Step]:
        """Return the steps of the job with its cure at a pressure [Pa], held so long [s] or as is.

        A straight pull begins when the early step would have, and thickens no sooner.
        """
        now, hot = self.now, self.hot
        hold = self.hold_s if hold_s is None else hold_s
        cure = Step(
            pressure,
            hot.nominal,
            hold if self.early_Pa is not None else self.early_s + hold,
            self.path_open,
            expansion=self.expansion,
            vapour_high_Pa=hot.high,
        )
        if self.early_Pa is None:
            return [cure]
        early = Step(self.early_Pa, now.nominal, self.early_s, self.path_open)
        return [early, cure]

    def outcome(self, pressure: "float | Floats") -> Outcome:
        """Return what the laminate holds after a cure at a pressure, nominal."""
        return run(self.known.gas, self.steps(pressure))

    def all_known(self) -> KnownGas:
        """Return what is known with the initiator's gas moved as well."""
        if self.made is None:
            return self.known
        k = self.known.k
        bands = {
            "initiator_gas": self.made.gas.band,
            "initiator_half_time_s": self.made.half_time.band,
        }
        ends = {name: ends_of(name, band, k) for name, band in bands.items()}
        return dataclasses.replace(self.known, ends={**self.known.ends, **ends})

    def voids(self, pressure: float, target: Target) -> Band:
        """Return the void fraction that a cure at a pressure leaves, and its 95 % range."""
        known, share = self.all_known(), target.fibre_fraction
        return _over(expected_voids(known, self._held, share, pressure, self._reaches))

    def depth(self, pressure: float, target: Target) -> Band:
        """Return the optical depth that a cure at a pressure leaves, and its 95 % range."""
        return _over(expected_depth(self.all_known(), self._held, target, pressure, self._reaches))

    def _held(self, pressure: "float | Floats") -> list[Step]:
        """Return the steps with each hold that there may be, the likely one first, on a last axis.

        As in a limit, the worst of them counts.
        """
        holds = np.array((self.hold_s, *(self.hold_ends or ())))
        return self.steps(pressure, holds)

    @property
    def _reaches(self) -> float:
        return PRESSED * self.highest_Pa


def _over(found: Expected) -> Band:
    """Return what is likely, from the least to the most of all holds."""
    return Band(float(found.nominal[0]), float(found.low.min()), float(found.high.max()))


def initiator_gas(case: Case) -> InitiatorGas | None:
    """Return what the initiator of a case gives off; None for nothing worth counting."""
    resin = case.resin
    gives = resin.family == "vinyl ester" and resin.initiator == "peroxide" and resin.promoter
    if not gives or case.low_gas:
        return None
    return catalogue.gas().initiator["ordinary"]


def known_gas(case: Case) -> KnownGas:
    """Return the numbers of the gas balance for a case, with the ends they may have."""
    table, putty = catalogue.gas(), case.process.putty
    laminate, k = table.laminate, case.k
    move = catalogue.transport(case.resin.family).air_diffusivity
    bands = {
        "trapped": case.trapped,
        "connected": case.connected,
        "boiling_extra": laminate.boiling_extra.band,
        "entrained": case.entrained,
        "entrained_radius_m": laminate.entrained_radius.band,
        "diffusivity_m2_s": (table.putty.diffusivity if putty else move).band,
        "solubility": case.resin.air_solubility.band,
        "air_Pa": case.dissolved_Pa,
    }
    if not putty:
        bands["spacing_m"] = laminate.spacing.band
        bands["exponent"] = laminate.exponent.band
    cool = vapour(case.but(contaminants=()), case.shop_K).nominal
    made = initiator_gas(case)
    gas = Gas(
        **{name: band.nominal for name, band in bands.items()},
        **({"spacing_m": math.inf, "exponent": laminate.exponent.si} if putty else {}),
        least_drive=laminate.least_drive.si,
        mixed_Pa=case.barometer_Pa,
        mixed_vapour_Pa=min(cool, case.barometer_Pa),
        initiator_gas=0.0 if made is None else made.gas.si,
        initiator_half_time_s=math.inf if made is None else made.half_time.si,
        cup_s=case.cup_s,
    )
    ends = {name: ends_of(name, band, k) for name, band in bands.items() if band.low < band.high}
    known = KnownGas(gas, ends, k)
    return known if case.learnt is None else shown_gas(known, bands, case.learnt)


def shown_gas(known: KnownGas, bands: Mapping[str, Band], learnt: Learnt) -> KnownGas:
    """Return what is known of a gas with what a shop's own panels showed of it.

    What was told of the job itself has no ends and stays as it was told.
    """
    columns = {
        name: drawn_along(name, bands[name], learnt.ways[name])
        for name in known.ends
        if name in learnt.ways
    }
    share = float(normal_cdf(np.asarray(known.k * Z95)))
    middle, ends = {}, {}
    for name, column in columns.items():
        ranked = np.sort(column)  # once: three calls for a quantile cost more than the rest
        low, middle[name], high = (_ranked(ranked, s) for s in (1.0 - share, 0.5, share))
        ends[name] = low, high
    if VAPOUR in learnt.ways:  # less vapour than the tables have is not counted on
        columns[VAPOUR] = np.maximum(learnt.ways[VAPOUR], 0.0)
    good = tuple((each.cure_Pa, each.early_Pa, each.air_Pa) for each in learnt.good)
    return KnownGas(
        dataclasses.replace(known.gas, **middle),
        {**known.ends, **ends},
        known.k,
        Shown(columns, learnt.times, learnt.eye, known, good),
    )


def _ranked(ranked: "Floats", share: float) -> float:
    """Return the value under which a share of ranked draws lies, by a straight line."""
    return float(np.interp(share * (ranked.size - 1), np.arange(ranked.size), ranked))


def drawn_along(name: str, band: Band, ways: "Floats") -> "Floats":
    """Return a number so many 95 % half-widths from its nominal, kept to what it can be."""
    return along(
        (band.nominal, band.low, band.high),
        ways,
        factor=name in BY_A_FACTOR,
        least=0.0,
        most=MOST.get(name, np.inf),
    )


def ends_of(name: str, band: Band, k: float) -> tuple[float, float]:
    """Return the ends of a number at a confidence, kept to what it can be.

    What is known to a factor is moved by factors: along a line its low end would soon be nothing,
    and gas that does not move at all is a better end, not a worse.
    """
    if name in BY_A_FACTOR:
        low, high = (band.nominal * (end / band.nominal) ** k for end in (band.low, band.high))
        return low, high
    wide = band.scaled(k)
    return max(wide.low, 0.0), min(wide.high, MOST.get(name, math.inf))


def course_of(case: Case, early_Pa: float | None) -> Course:
    """Return the course of a case whose early step is at a pressure; None for none."""
    # What got in by mistake, and what the vapour may be at its upper end, would only strip the
    # debulk's gas better: neither is counted on.
    hot, now = hottest_vapour(case), vapour(case.but(contaminants=()), case.shop_K)
    straight = Course(
        known=known_gas(case),
        now=now,
        hot=hot,
        expansion=case.hottest_K / case.shop_K,
        path_open=case.path_open,
        early_Pa=None,
        early_s=case.early_s,
        hold_s=case.hold_s,
        highest_Pa=case.barometer_Pa,
        made=initiator_gas(case),
        exact=case.exact,
    )
    return after_early(straight, case, early_Pa)


def after_early(straight: Course, case: Case, early_Pa: float | None) -> Course:
    """Return the course with an early step at a pressure, where its process knows one."""
    if early_Pa is None or case.process.pressed or not case.process.bag_sets_resin:
        return straight
    return straight.but(early_Pa=early_Pa)


def target_of(case: Case, finish: str | None = None) -> Target:
    """Return what a laminate of the case may hold, for its own finish or another."""
    clear = (finish or case.finish) == "clear"
    return Target(
        fibre_fraction=case.fibre_fraction,
        thickness_m=case.thickness_m,
        void=case.void_target,
        depth=catalogue.gas().look.clear.si if clear else np.inf,
    )


def look_of(depth: Band) -> tuple[str, str]:
    """Return how a laminate looks by its optical depth: likely, and at the worst."""
    table = catalogue.gas().look

    def word(value: float) -> str:
        if value < table.clear.si:
            return "clear"
        return "hazy" if value < table.milky.si else "milky"

    return word(depth.nominal), word(depth.high)


def freed(case: Case, pressure: float) -> float:
    """Return the gas that resin frees at a pressure by equilibrium, per volume of it, none left."""
    return freed_from(known_gas(case).gas, vapour(case, case.shop_K).nominal, pressure)


def freed_from(gas: Gas, p_v: float, pressure: float) -> float:
    """Return the same of a gas that is known, under a vapour pressure."""
    if pressure <= p_v:
        return math.inf
    held = gas.entrained * (gas.mixed_Pa - gas.mixed_vapour_Pa) + gas.solubility * gas.air_Pa
    return float(max(0.0, held / (pressure - p_v) - gas.solubility))
