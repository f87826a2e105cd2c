"""What a log says of its bag: a plain frozen record in SI floats."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from outgas import units
from outgas.physics.chance import Band
from outgas.show.answer import ToldAnswer
from outgas.show.chart import Maker
from outgas.show.report import Line, Report

if TYPE_CHECKING:
    from outgas.units import Quantity

VERSION = 1  # of to_dict(); raised whenever a key changes its meaning
State: TypeAlias = Literal["too deep", "gas", "cannot tell", "not over", "too weak", "safe"]


@dataclass(frozen=True, slots=True)
class Below:
    """A time [s, from mixing] below the limit: how deep it read, how far under it may have been.

    thin: while the resin was thin, before the air in it counts.
    """

    start_s: float
    end_s: float
    deepest_Pa: float
    under_Pa: float
    thin: bool

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {
            "start_s": self.start_s,
            "end_s": self.end_s,
            "deepest_Pa": self.deepest_Pa,
            "under_Pa": self.under_Pa,
            "resin_thin": self.thin,
        }


@dataclass(frozen=True, slots=True)
class Point:
    """A moment of a log as a chart shows it: the deepest read about then, the limit, the warmth."""

    time_s: float
    pressure_Pa: float
    limit_Pa: float
    temperature_K: float

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key; null for a limit that is not known."""
        return {
            "time_s": self.time_s,
            "bag_Pa": self.pressure_Pa,
            "limit_Pa": None if math.isnan(self.limit_Pa) else self.limit_Pa,
            "temperature_K": self.temperature_K,
        }


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class BagLog(ToldAnswer):
    r"""What a logged bag did to its resin: when it was too deep, and what gas that left.

    Times are from mixing [s]. Judged at the deep end of the sensor's error: below holds each time
    under the limit, below_s all of them together, least_margin_Pa the least margin and
    least_margin_s when. unknown_s is how long there is no reading up to ends_s, where judging
    ended: the gel holds at holds_s, or the log is over. voids is what the balance of the gas over
    the log leaves, None where no row lies before the resin thickens. weak_s: of the cure, too weak
    to clamp. state: too deep; gas (the voids may be over the target); cannot tell; not over (it
    ends before the gel holds, and nothing was wrong until then); too weak; safe.

    Examples
    --------
    >>> import outgas, pathlib, tempfile
    >>> rows = "".join(f"{t},{1010 if t < 9 else 600}\n" for t in range(61))
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "bag.csv")
    ...     _ = path.write_text("time [min],pressure [mbar]\n" + rows)
    ...     log = outgas.read_log(path, "orthophthalic-polyester", shop)
    >>> log.rows, log.below_s, log.to_dict()["kind"], list(log.charts())
    (61, 0.0, 'outgas bag log', ['log', 'margin'])
    """

    _shown = ("resin", "rows", "state", "below_s")

    path: str
    resin: str
    resin_title: str
    process: str
    barometer_Pa: float
    rows: int
    error_Pa: float
    taken: tuple[str, ...]
    faults: tuple[str, ...]
    thin_s: float
    thick_s: float
    holds_s: float
    ends_s: float
    unknown_s: float
    below: tuple[Below, ...]
    below_s: float
    least_margin_Pa: float | None
    least_margin_s: float | None
    weak_s: float
    shallowest_Pa: float
    voids: Band | None
    void_target: float
    boiled: bool
    state: State
    points: tuple[Point, ...]
    assumed: tuple[Line, ...]
    cautioned: tuple[Line, ...]
    words: Callable[["BagLog"], Report] = field(repr=False, compare=False)
    pictures: Callable[["BagLog"], Mapping[str, Maker]] = field(repr=False, compare=False)

    @property
    def safe(self) -> bool:
        """Whether it was never too deep until the gel holds, its gas in its target, all known."""
        return self.state == "safe"

    @property
    def over(self) -> bool:
        """Whether the log goes on to where the gel holds a bubble."""
        return self.ends_s >= self.holds_s

    @property
    def time_below(self) -> "Quantity":
        """How long it was below the limit, all times together [s]."""
        return units.quantity(self.below_s, "s")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        voids = self.voids
        return {
            "kind": "outgas bag log",
            "version": VERSION,
            "path": self.path,
            "resin": self.resin,
            "process": self.process,
            "barometer_Pa": self.barometer_Pa,
            "rows": self.rows,
            "state": self.state,
            "safe": self.safe,
            "over": self.over,
            "sensor_error_Pa": self.error_Pa,
            "columns": list(self.taken),
            "faults": list(self.faults),
            "thin_until_s": self.thin_s,
            "thick_from_s": self.thick_s,
            "gel_holds_at_s": self.holds_s,
            "judged_until_s": self.ends_s,
            "unknown_s": self.unknown_s,
            "below": [one.to_dict() for one in self.below],
            "below_s": self.below_s,
            "least_margin_Pa": self.least_margin_Pa,
            "least_margin_at_s": self.least_margin_s,
            "too_weak_s": self.weak_s,
            "shallowest_Pa": self.shallowest_Pa,
            "voids": None if voids is None else [voids.nominal, voids.low, voids.high],
            "void_target": self.void_target,
            "boiled": self.boiled,
            "history": [point.to_dict() for point in self.points],
            "assumptions": list(self.assumptions),
            "cautions": list(self.cautions),
        }
