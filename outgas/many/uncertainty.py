"""How sure a limit is: drawn from all that is uncertain, and which numbers make the spread."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas.errors import InputError
from outgas.job.saved import Job as SavedJob
from outgas.job.shop import Shop
from outgas.laminate.case import Case, hottest_vapour
from outgas.laminate.course import target_of
from outgas.laminate.draws import DRAWS, Drawn, Index, indices, points
from outgas.laminate.gas.joint import along
from outgas.many.cases import BAG, Reader, asked_of, cases_of
from outgas.many.fields import MIND
from outgas.physics.chance import Band
from outgas.show.answer import Answer
from outgas.show.report import At, Block, Line, Report, bound, lines
from outgas.window.case.defaults import case_of
from outgas.window.limits import margin_over
from outgas.window.refusals import refuse
from outgas.window.window import NUMBER_NAMES, Window, windows_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.tables.materials import Resin

    Floats: TypeAlias = NDArray[np.float64]

VERSION = 1
FEWEST, MOST = 64, 1 << 15  # draws; a power of two between
TAILS = (0.05, 0.95)
SHOWN = 5  # numbers worth a line
LEAST_SHARE = 0.01  # of the spread, worth a line
NAMES = {
    **NUMBER_NAMES,
    "vapour_moved": "the vapour pressures",
    "core_strength": "what the core bears",
    "core_creep": "how the core gives way in time",
    "initiator_gas": "the gas of the initiator",
    "initiator_half_time_s": "how soon that gas comes",
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Uncertainty(Answer):
    """How sure deepest and the voids at the setpoint are, by draws of all that is uncertain.

    deepest_Pa: nominal with the 5th and the 95th percentile drawn; safe_Pa the limit that advise
    gives, by its own rule. voids: at the setpoint, likewise, None without one. deepest_by and
    voids_by: which share of the variance each number makes, alone (first) and with others (total).

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> sure = outgas.uncertainty("orthophthalic-polyester", shop, draws=64)
    >>> sure.deepest_Pa.low < sure.deepest_Pa.high <= 1.02 * sure.safe_Pa
    True
    """

    _shown = ("resin", "draws", "safe_Pa")

    resin: str
    process: str
    barometer_Pa: float
    draws: int
    safe_Pa: float
    deepest_Pa: Band
    deepest_by: tuple[Index, ...]
    setpoint_Pa: float | None
    voids: Band | None
    voids_by: tuple[Index, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas uncertainty",
            "version": VERSION,
            "resin": self.resin,
            "process": self.process,
            "draws": self.draws,
            "safe_Pa": self.safe_Pa,
            "deepest_Pa": _ends(self.deepest_Pa),
            "deepest_by": [_index(each) for each in self.deepest_by],
            "setpoint_Pa": self.setpoint_Pa,
            "voids": None if self.voids is None else _ends(self.voids),
            "voids_by": [_index(each) for each in self.voids_by],
        }

    @property
    def report(self) -> Report:
        """The answer told: how sure, then by what."""
        deep = self.deepest_Pa
        first = Line(
            "Deepest is {} at the likeliest; nineteen draws in twenty lie under {}, and the limit "
            "advised is {}.",
            (At(deep.nominal, brief=True), bound(deep.high), bound(self.safe_Pa)),
        )
        blocks = [
            Block("What makes the spread of deepest", lines(_told(self.deepest_by))),
        ]
        if self.voids is not None:
            told = (
                f"voids at the setpoint: {100 * self.voids.nominal:.1f} % at the likeliest, "
                f"nineteen draws in twenty under {100 * self.voids.high:.1f} %"
            )
            blocks.append(Block("Voids", lines((told, *_told(self.voids_by)))))
        blocks.append(Block("Mind", lines((f"hold what outgas advise says, not these: {MIND}",))))
        return Report(self.barometer_Pa, (first,), tuple(blocks))


def _ends(band: Band) -> dict[str, float]:
    return {"nominal": band.nominal, "low": band.low, "high": band.high}


def _index(index: Index) -> dict[str, Any]:
    return {"name": index.name, "first": index.first, "total": index.total}


def _told(by: tuple[Index, ...]) -> list[str]:
    worth = [each for each in by if each.total >= LEAST_SHARE][:SHOWN]
    if not worth:
        return ["nothing: it does not spread"]
    return [
        f"{NAMES.get(each.name, each.name)}: {max(each.first, 0.0):.0%} alone, {each.total:.0%} "
        "with others"
        for each in worth
    ]


def uncertainty(
    resin: "str | Resin | SavedJob",
    shop: Shop | None = None,
    *,
    draws: int = DRAWS,
    **told: Any,
) -> Uncertainty:
    """Return how sure a limit is, and which uncertain numbers make it so.

    Parameters
    ----------
    resin, shop, **told
        As of advise, one case.
    draws
        How many, a power of two from 64 to 32768; indices take some twenty times as many.

    Returns
    -------
    An Uncertainty: pressures [Pa] absolute, shares of the variance.

    Raises
    ------
    InputError, RefusedError
        As of advise; a number of draws that is none.

    Notes
    -----
    Each number is drawn from two half bells between its 95 % ends, vapours together. With V the
    variance of the answer, a number's shares of it are

        first = V[E(answer | number)] / V    total = E[V(answer | all others)] / V

    by the estimator of Saltelli et al. 2010, as scipy has it.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> sure = uncertainty("orthophthalic-polyester", shop, draws=64)
    >>> sure.deepest_by[0].total > sure.deepest_by[-1].total
    True
    """
    if type(draws) is not int or draws.bit_count() != 1 or not FEWEST <= draws <= MOST:
        raise InputError(f"draws is {draws!r}; it is a power of two from {FEWEST} to {MOST}")
    told = {key: value for key, value in told.items() if key != BAG}
    cases = cases_of(asked_of(resin, shop, told))
    if cases.axes:
        raise InputError(f"{cases.axes[0].name} has several values; give one case")
    job = Reader(cases).job(0)
    refuse(job)
    case = case_of(job)
    (window,) = windows_of([(job, case)])
    deep, voids = _Deepest(window), _Voids(window)
    drawn = deep(points(len(deep.names), draws))
    return Uncertainty(
        resin=job.resin.name,
        process=job.process.name,
        barometer_Pa=job.shop.barometer_Pa,
        draws=draws,
        safe_Pa=window.deepest,
        deepest_Pa=_percentiles(max(window.limits.nominal.values()), drawn),
        deepest_by=indices(deep.names, deep, draws),
        setpoint_Pa=window.setpoint,
        voids=None if not voids.asked else _percentiles(*voids.spread(draws)),
        voids_by=indices(voids.names, voids, draws) if voids.asked else (),
    )


def _percentiles(nominal: float, drawn: "Floats") -> Band:
    low, high = np.quantile(drawn, TAILS)
    return Band(nominal, min(float(low), nominal), max(float(high), nominal))


class _Deepest:
    """Deepest as a function of shares of all that it depends on."""

    def __init__(self, window: Window) -> None:
        self.case, self.target = window.case, target_of(window.case)
        self.gas = Drawn.of(window.course)
        core = self.case.core if core_counts(self.case) else None
        self.core = core
        of_core = ("core_strength", "core_creep") if core is not None else ()
        self.names = (*self.gas.names, *of_core)

    def __call__(self, shares: "Floats") -> "Floats":
        """Return deepest of each draw [Pa]."""
        n = len(self.gas.names)
        case, hot = self.case, hottest_vapour(self.case)
        found = np.zeros(shares.shape[1:])
        if not case.process.gas_leaves:
            found = self.gas.limits(shares[:n], self.target)
        moved = np.asarray(self.gas.gas(shares[:n]).vapour_moved)
        push = np.maximum(hot.nominal + moved * (hot.high - hot.nominal), 0.0)
        if case.process.preimpregnated:
            found = np.maximum(found, push)
        else:
            kept = [margin_over(case, p, p, known=case.hottest.known)[1] for p in push.tolist()]
            found = np.maximum(found, kept)
        if self.core is not None:
            strength, creep = (
                along((b.nominal, b.low, b.high), self.gas.way(share))
                for b, share in zip(
                    (self.core.compressive_strength.band, self.core.creep_factor.band),
                    shares[n:],
                    strict=True,
                )
            )
            found = np.maximum(found, case.barometer_Pa - np.maximum(strength * creep, 0.0))
        return found


def core_counts(case: Case) -> bool:
    """Return whether the air can crush a core of this case."""
    return case.core is not None and not (case.process.pot or case.process.pressed)


class _Voids:
    """Voids at the setpoint as a function of shares of all that they depend on."""

    def __init__(self, window: Window) -> None:
        self.asked = window.setpoint is not None and not window.job.process.gas_leaves
        self.pressure = window.setpoint or window.shallowest
        course = window.course
        self.gas = Drawn.of(course.but(known=course.all_known()))
        self.course, self.fibre_fraction = course, window.case.fibre_fraction
        self.names = self.gas.names

    def __call__(self, shares: "Floats") -> "Floats":
        """Return the void fraction of each draw."""
        return self.gas.voids(shares, self.fibre_fraction, self.pressure)

    def spread(self, draws: int) -> "tuple[float, Floats]":
        """Return the nominal void fraction, and those drawn."""
        nominal = self.course.outcome(self.pressure).void_fraction(self.fibre_fraction)
        return float(nominal), self(points(len(self.names), draws))
