"""The limits of many courses, found as one array: numbers moved first, cases last.

The first row is the gas as it stands, the second the initiator's gas as it is likely, then each
number at each end that it can be moved to; the initiator's gas is in no row but its own. Then the
joint draws are tried at what was found. No limit depends on the others.
"""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias, TypeVar

import numpy as np

from outgas.laminate.course import PRESSED, Course
from outgas.laminate.gas.balance import (
    Afresh,
    Ahead,
    Gas,
    SoFar,
    Step,
    ahead,
    begun,
    either,
    gone_on,
)
from outgas.laminate.gas.joint import JOINT, KnownGas, draws_of, fails_by, may_fail, raised
from outgas.laminate.gas.limits import (
    Limit,
    Target,
    highest_failing,
    safe_side,
    scanned,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Numbers: TypeAlias = float | Floats

TOGETHER = 64  # courses of one array: with more of them it leaves the cache
Sought: TypeAlias = tuple[Course, Target]
Kind = TypeVar("Kind")


def limit_of(course: Course, target: Target) -> Limit:
    """Return how deep the cure may go for a target [Pa]; a number above the air needs a press."""
    return limits_of([(course, target)])[0]


def limits_of(sought: Sequence[Sought]) -> list[Limit]:
    """Return how deep the cure of each course may go for its target [Pa].

    Where even the barometer fails it is looked for up to a press, and is the press's own where
    that fails too. The gas of an initiator is met in the middle of its range only: at its worst no
    vacuum is weak enough, and what helps is another initiator or a rest in the cup. Where the
    barometer does not meet that middle either, no vacuum does.
    """
    whole = _with_unshown(sought)
    found: list[Limit] = []
    for i in range(0, len(whole), TOGETHER):
        found += _together(whole[i : i + TOGETHER])
    return _no_deeper_than_borne(sought, found)


def _with_unshown(sought: Sequence[Sought]) -> list[Sought]:
    """Return what is sought, then the same by the tables alone where panels showed something."""
    unshown = [
        (course.but(known=course.known.shown.unshown), target)
        for course, target in sought
        if course.known.shown is not None
    ]
    return [*sought, *_shared(unshown)]


def _shared(sought: Sequence[Sought]) -> list[Sought]:
    """Return what is sought with equal courses as one: several targets may be asked of each."""
    made: dict[tuple[int, float | None, bool, float], Course] = {}
    return [
        (made.setdefault((id(of.known), of.early_Pa, of.path_open, of.hold_s), of), target)
        for of, target in sought
    ]


def _no_deeper_than_borne(sought: Sequence[Sought], found: list[Limit]) -> list[Limit]:
    """Return the limits of what is sought, kept to what the panels bear out.

    Draws alone never make a limit deeper than the tables do: a panel that came out well must have
    been as deep, or the limit stays where it was without panels.
    """
    unshown, kept = iter(found[len(sought) :]), []
    for (course, _), limit in zip(sought, found, strict=False):
        shown = course.known.shown
        if shown is None:
            kept.append(limit)
            continue
        before, air = next(unshown), float(course.known.gas.air_Pa)
        floor = np.minimum(before.safe, shown.borne(course.early_Pa, air))
        safe = np.maximum(limit.safe, floor)
        kept.append(Limit(np.minimum(limit.nominal, safe), safe, limit.moved, before.safe))
    return kept


def _together(sought: Sequence[Sought]) -> list[Limit]:
    laid = _Rows.of(sought, 1.0)
    rows = laid.limits()
    found, made = laid.read(rows), laid.made(rows)
    met = np.isfinite([float(limit.safe) for limit in found]) & np.isfinite(made)
    beyond = np.flatnonzero(~met).tolist()
    if beyond:
        higher = _Rows.of([sought[i] for i in beyond], PRESSED)
        above = higher.limits()
        for i, limit, gas in zip(beyond, higher.read(above), higher.made(above), strict=True):
            most = PRESSED * sought[i][0].highest_Pa
            if not np.isfinite(found[i].safe):
                found[i] = _in_a_press(found[i], limit, most)
            if not np.isfinite(made[i]):
                made[i] = min(gas, most)
    safe = np.array(
        [
            float(each.safe if course.known.shown is None else each.nominal)  # draws say the rest
            for each, (course, _) in zip(found, sought, strict=True)
        ]
    )
    sure = _borne_by_draws(sought, safe)
    return [
        Limit(np.maximum(each.nominal, more), np.maximum(safe, more), each.moved)
        for each, safe, more in zip(found, sure, made, strict=True)
    ]


def _in_a_press(here: Limit, above: Limit, most: float) -> Limit:
    """Return a limit that lies above the air, the press's own at the most."""
    nominal, safe = np.minimum(above.nominal, most), np.minimum(above.safe, most)
    if np.isfinite(here.nominal):
        nominal = here.nominal
    return Limit(nominal, np.maximum(nominal, safe), above.moved)


def _borne_by_draws(sought: Sequence[Sought], safe: "Floats") -> "Floats":
    """Return safe limits, raised to where no more joint draws fail than may [Pa]."""
    spare = np.array([may_fail(course.known.k) for course, _ in sought])
    draws = _Draws.of(sought)
    short = np.flatnonzero(fails_by(draws.excess(safe), spare) >= 0.0)
    if not short.size:
        return safe
    most = PRESSED * draws.highest_Pa[short]
    few = _taken(draws, short)
    higher = safe.copy()
    higher[short] = np.minimum(raised(safe[short], few.excess, spare[short], most), most)
    return higher


@dataclass(frozen=True, slots=True)
class _Draws:
    """Courses whose gas is drawn jointly, draws first, at their cure, and what is asked of each."""

    cure: Ahead | Afresh
    targets: Target
    highest_Pa: "Floats"

    @classmethod
    def of(cls, sought: Sequence[Sought]) -> "_Draws":
        """Draw the gas of each course that is sought, without its initiator's; each course once."""
        courses, of = _once(sought)
        gas = _drawn([course.known for course in courses])
        return cls(
            cure=_taken(ahead(gas, _early(courses, gas), _cure(courses)), of),
            targets=_judged([course.known for course, _ in sought], [of for _, of in sought]),
            highest_Pa=np.array([course.highest_Pa for course, _ in sought]),
        )

    def excess(self, pressure: "Floats") -> "Floats":
        """Return how many times each draw of each course reaches its target at a pressure [Pa]."""
        return self.targets.excess(self.cure.held(pressure))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """Courses as arrays, and which of them each target is asked of.

    ends has the name of each row that is moved. early: how far they have come when the cure
    begins; cure: that step, without its pressure.
    """

    courses: "list[Course]"
    asked_of: "NDArray[np.intp]"
    targets: Target
    highest_Pa: "Floats"
    ends: tuple[str, ...]
    gas: Gas
    early: SoFar
    cure: Step

    @classmethod
    def of(cls, sought: Sequence[Sought], times: float) -> "_Rows":
        """Lay out what is sought, up to so many times the barometer; each course once."""
        courses, asked_of = _once(sought)
        ends = _ends(courses)
        gas = _gas(courses, ends)
        return cls(
            courses=courses,
            asked_of=asked_of,
            targets=_stacked([target for _, target in sought]),
            highest_Pa=times * np.array([course.highest_Pa for course in courses]),
            ends=tuple(name for name, _ in ends),
            gas=gas,
            early=_early(courses, gas),
            cure=_cure(courses),
        )

    def limits(self) -> "Floats":
        """Return the limit of each row for each target, inf where the highest fails."""
        of, scan = self.asked_of, scanned(self.highest_Pa, (1, 1))
        cure = ahead(self.gas, self.early, self.cure)
        first, cure = self.targets.excess(_taken(cure.held(scan), of)), _taken(cure, of)

        def excess(pressure: "Floats") -> "Floats":
            return self.targets.excess(cure.held(pressure))

        shape = (len(scan), 2 + len(self.ends), of.size)
        return highest_failing(scan[..., of], np.broadcast_to(first, shape), excess)

    def made(self, rows: "Floats") -> "Floats":
        """Return what the likely gas of each initiator asks for; 0 where it gives none."""
        gives = np.array([course.made is not None for course in self.courses])
        return np.where(gives[self.asked_of], rows[1], 0.0)

    def read(self, rows: "Floats") -> list[Limit]:
        """Return the limit for each target: what is not moved adds nothing."""
        return [self._read(i, rows[:, i]) for i in range(self.asked_of.size)]

    def _read(self, i: int, rows: "Floats") -> Limit:
        """Return one limit from its rows: what is not moved adds nothing."""
        names = self.courses[self.asked_of[i]].known.moves
        worst = dict.fromkeys(names, rows[0])
        for name, limit in zip(self.ends, rows[2:], strict=True):
            if name in worst:
                worst[name] = max(worst[name], limit)
        nominal, safe, by = safe_side(rows[0], np.array(list(worst.values())))
        return Limit(nominal, safe, dict(zip(names, by, strict=True)))


def _once(sought: Sequence[Sought]) -> "tuple[list[Course], NDArray[np.intp]]":
    """Return each course once, and which of them each target is asked of."""
    courses = list({id(course): course for course, _ in sought}.values())
    place = {id(course): i for i, course in enumerate(courses)}
    return courses, np.array([place[id(course)] for course, _ in sought])


def _drawn(known: Sequence[KnownGas]) -> Gas:
    """Return the gas of the joint draws of several courses, draws first."""
    columns: dict[str, Any] = {"initiator_gas": 0.0}
    for name in dict.fromkeys(name for of in known for name in of.moves):
        drawn = [draws_of(of, name) for of in known]
        same = all(each is drawn[0] for each in drawn)
        columns[name] = drawn[0][:, None] if same else np.stack(drawn, axis=1)
    return dataclasses.replace(_stacked([of.gas for of in known]), **columns)


def _judged(known: Sequence[KnownGas], targets: Sequence[Target]) -> Target:
    """Return the targets of courses, draw by draw where panels showed how far they may be out."""
    stacked = _stacked(targets)
    if all(of.shown is None for of in known):
        return stacked
    times, eye = np.ones((JOINT, len(known))), np.ones((JOINT, len(known)))
    for i, of in enumerate(known):
        if of.shown is not None:
            times[:, i], eye[:, i] = of.shown.times, of.shown.eye
    return dataclasses.replace(
        stacked, void=stacked.void / times, depth=stacked.depth * eye / times
    )


def _cure(courses: Sequence[Course]) -> Step:
    """Return the cure of each course, without its pressure."""
    return _stacked([course.steps(0.0)[-1] for course in courses])


def _ends(courses: Sequence[Course]) -> "list[tuple[str, Numbers]]":
    """Return each number that is moved, and to where: to where it stands where it is not."""
    known = [(course.known.gas, course.known.moves) for course in courses]
    found = []
    for name in dict.fromkeys(name for _, moves in known for name in moves):
        for end in (0, 1):
            to = [moves[name][end] if name in moves else getattr(gas, name) for gas, moves in known]
            if any(at != getattr(gas, name) for at, (gas, _) in zip(to, known, strict=True)):
                found.append((name, _column(to)))
    return found


def _gas(courses: Sequence[Course], ends: "list[tuple[str, Numbers]]") -> Gas:
    """Return the gas of the courses, each number at its ends in its rows; one column if alike."""
    gas = _stacked([course.known.gas for course in courses])
    changed: dict[str, Floats] = {}
    for name in dict.fromkeys(name for name, _ in ends):
        stands = getattr(gas, name)
        moved = {2 + i: to for i, (of, to) in enumerate(ends) if of == name}
        wide = np.broadcast_shapes((1,), np.shape(stands), *map(np.shape, moved.values()))
        changed[name] = np.empty((2 + len(ends), *wide))
        changed[name][:] = stands
        for row, to in moved.items():
            changed[name][row] = to
    if np.any(gas.initiator_gas):
        changed["initiator_gas"] = np.zeros((2 + len(ends), len(courses)))
        changed["initiator_gas"][1] = gas.initiator_gas
    return dataclasses.replace(gas, **changed)


def _early(courses: Sequence[Course], gas: Gas) -> SoFar:
    """Return how far laminates have come when their cure begins."""
    fresh = begun(gas)
    has_one = np.array([course.early_Pa is not None for course in courses])
    if not has_one.any():
        return fresh
    steps = [
        course.but(early_Pa=course.early_Pa or course.highest_Pa).steps(0.0)[0]
        for course in courses
    ]
    after, _ = gone_on(gas, fresh, _stacked(steps))
    return after if has_one.all() else either(has_one, after, fresh)


def _stacked(records: "Sequence[Kind]") -> "Kind":
    """Return records of one kind as one whose fields are arrays over them, or what all have."""
    kind: Any = type(records[0])
    columns = {
        field.name: _column([getattr(record, field.name) for record in records])
        for field in dataclasses.fields(kind)
    }
    stacked: Kind = kind(**columns)
    return stacked


def _column(values: "list[Any]") -> Any:
    first = values[0]
    return first if all(value == first for value in values) else np.array(values)


def _taken(record: "Kind", which: "NDArray[np.intp]") -> "Kind":
    """Return a record of arrays with only some of the cases, along the last axis of each.

    What all cases have in common, a number or an array of one column, stays as it is.
    """
    kind: Any = type(record)
    columns = {f.name: _of(getattr(record, f.name), which) for f in dataclasses.fields(kind)}
    taken: Kind = kind(**columns)
    return taken


def _of(value: Any, which: "NDArray[np.intp]") -> Any:
    if dataclasses.is_dataclass(value):
        return _taken(value, which)
    return value[..., which] if np.ndim(value) and value.shape[-1] > 1 else value
