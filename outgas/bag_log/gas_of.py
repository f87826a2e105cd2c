"""The gas that a logged bag left: the balance over a bounded number of steps of the log."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from outgas.bag_log.stood import Stood
from outgas.laminate.course import Course, target_of
from outgas.laminate.gas.balance import Step, run
from outgas.laminate.gas.limits import expected_voids
from outgas.laminate.vapour import vapour, warmest_known
from outgas.physics.chance import Band

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.laminate.gas.limits import Floats as Numbers

    Floats = NDArray[np.float64]

MOST_STEPS = 20  # of the balance, of the thin resin and of the cure: each costs as one of a job
CELLS = 1000  # in which a log is first gathered


@dataclass(frozen=True, slots=True)
class Piece:
    """A time at about one pressure: when from mixing, how long [s], the pressure, the warmth."""

    start_s: float
    duration_s: float
    pressure_Pa: float
    temperature_K: float


def pieces_of(t: "Floats", p: "Floats", T: "Floats", thin_s: float, thick_s: float) -> list[Piece]:
    """Return a log until the resin thickens as a few pieces of about one pressure each.

    t from mixing [s], rising; no nan among the pressures. A log that ends earlier is held on at
    what it ended with. None goes over from the time that the resin is thin to the cure.
    """
    start = float(t[0])
    if not start < thin_s < thick_s:
        return _pieces(t, p, T, (start, thick_s))
    return [*_pieces(t, p, T, (start, thin_s)), *_pieces(t, p, T, (thin_s, thick_s))]


def _pieces(t: "Floats", p: "Floats", T: "Floats", ends: tuple[float, float]) -> list[Piece]:
    """Return the pieces between two moments, cut where the pressure changes most."""
    edges = np.linspace(*ends, CELLS + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    at = np.clip(np.searchsorted(t, edges), 0, t.size)
    total = np.concatenate([[0.0], np.cumsum(p)])
    warm = np.concatenate([[0.0], np.cumsum(T)])
    count = np.diff(at)
    inside = np.maximum(count, 1)
    after = np.clip(np.searchsorted(t, middle), 1, t.size - 1)
    near_p = np.minimum(p[after - 1], p[after])  # where nothing was logged: the deeper neighbour
    near_T = np.maximum(T[after - 1], T[after])
    mean = np.where(count > 0, np.diff(total[at]) / inside, near_p)
    heat = np.where(count > 0, np.diff(warm[at]) / inside, near_T)
    width = edges[1] - edges[0]
    return [
        Piece(float(edges[a]), (b - a) * width, float(mean[a:b].mean()), float(heat[a:b].mean()))
        for a, b in _cut(mean)
    ]


def _cut(values: "Floats") -> list[tuple[int, int]]:
    """Return ranges of cells, cut where a cut takes off most of the squares left over."""
    first = np.concatenate([[0.0], np.cumsum(values)])

    def best(a: int, b: int) -> tuple[float, int]:
        if b - a < 2:
            return 0.0, a
        k = np.arange(a + 1, b)

        # The squares left over in a range are those of all less those of the mean; the former
        # are the same whether it is cut or not.
        halves = (first[k] - first[a]) ** 2 / (k - a) + (first[b] - first[k]) ** 2 / (b - k)
        gains = halves - (first[b] - first[a]) ** 2 / (b - a)
        i = int(np.argmax(gains))
        return float(gains[i]), int(k[i])

    ranges = [(0, values.size)]
    offers = [best(0, values.size)]
    while len(ranges) < MOST_STEPS:
        i = max(range(len(offers)), key=lambda j: offers[j][0])
        gain, cut = offers[i]
        if gain <= 0.0:
            break
        a, b = ranges[i]
        ranges[i : i + 1] = [(a, cut), (cut, b)]
        offers[i : i + 1] = [best(a, cut), best(cut, b)]
    return ranges


def voids_of_log(
    stood: Stood, course: Course, pieces: list[Piece], error_Pa: float
) -> tuple[Band, bool]:
    """Return the voids that a log leaves, with their 95 % range, and whether it boiled.

    Nominal at what was read; the high end at the deep end of the sensor's error, by the rule of the
    limits turned round: the pressures of the cure moved together, those before it as they were read
    or at either end of the error, whichever left more.
    """
    target = target_of(stood.case)
    cure = [piece.pressure_Pa for piece in pieces if piece.start_s >= stood.thin_s]
    read = min(cure or [piece.pressure_Pa for piece in pieces])
    known, share, reach = course.all_known(), target.fibre_fraction, 2.0 * course.highest_Pa

    def steps_at(early_Pa: float) -> Callable[["Numbers"], list[Step]]:
        def steps(pressure: "Numbers") -> list[Step]:
            return [
                _step(stood, course, piece, _moved(piece, stood, cure, pressure - read, early_Pa))
                for piece in pieces
            ]

        return steps

    likely = run(known.gas, steps_at(0.0)(np.asarray(read)))
    nominal = float(likely.void_fraction(share))
    deep = [
        expected_voids(known, steps_at(off), share, max(read - error_Pa, 0.0), reach)
        for off in (0.0, -error_Pa, error_Pa)
    ]
    weak = expected_voids(known, steps_at(0.0), share, read + error_Pa, reach)
    high = max(nominal, *(float(one.high) for one in deep))
    return Band(nominal, min(float(weak.low), nominal), high), bool(likely.boiled.any())


def _moved(
    piece: Piece, stood: Stood, cure: list[float], by: "Numbers", early_Pa: float
) -> "Numbers":
    """Return by how much a piece is moved: the cure's, or all of them where there is none yet."""
    return by if not cure or piece.start_s >= stood.thin_s else np.full_like(by, early_Pa)


def _step(stood: Stood, course: Course, piece: Piece, moved: "Numbers") -> Step:
    """Return a piece of the log as a step of the balance, its pressure moved."""
    case = stood.case
    pushes = vapour(case, min(piece.temperature_K, warmest_known(case)))
    return Step(
        np.clip(piece.pressure_Pa + moved, 0.0, course.highest_Pa),
        pushes.nominal,
        piece.duration_s,
        course.path_open,
        expansion=piece.temperature_K / case.shop_K,
        vapour_high_Pa=pushes.high,
    )
