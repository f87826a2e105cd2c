"""Which numbers of the tables move a limit and its voids most, each alone at its worse end."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas.errors import InputError, OutgasError
from outgas.job.job import Job
from outgas.job.saved import Job as SavedJob
from outgas.job.shop import Shop
from outgas.laminate.case import Case, holds_of
from outgas.laminate.course import Course, after_early, course_of
from outgas.many.cases import Reader, asked_of, cases_of
from outgas.many.every_number import Sourced, every_number, moved_to
from outgas.show.answer import Answer
from outgas.show.report import At, Block, Line, Report, Short, lines
from outgas.tables.data import putting
from outgas.window.case.defaults import case_of
from outgas.window.limits import Limits, limits
from outgas.window.refusals import refuse
from outgas.window.window import Window, windows_of

if TYPE_CHECKING:
    from outgas.tables.materials import Resin

VERSION = 1
# The case of a ranking that names none: the main job in an ordinary shop.
STANDARD = {
    "resin": "orthophthalic-polyester",
    "temperature": "22 degC",
    "humidity": "50 %",
    "altitude": "0 m",
}
MOST_TOLD = 12  # numbers told of each answer
BRIEFLY = 4  # of them in the short form
LEAST_PA = 1.0  # of deepest: what the search for a limit does not tell from nothing
LEAST_VOIDS = 1e-6
TOLD_PA = 50.0  # what rounds to a millibar
# Rates of cure are solved, and vapour curves fitted, from these: each would have to be built anew.
BUILT_FROM = (
    *("gel_time", "gel_temperature", "time_to_peak", "peak_temperature", "heat"),
    "gel_conversion",
)
# What of the shop's practice a window stands on.
_SECTIONS = ("margins", "gas", "reading", "clock", "heat")


@dataclass(frozen=True, slots=True)
class Moved:
    """A number known, alone, to be at each of its 95 % ends: what the worse of them does.

    deepest_Pa: how much nearer to the air deepest comes; voids: how much greater the expected void
    fraction gets at the bag pressure of the case. worse: that end, in the number's own unit, for
    deepest and for the voids; None where neither end is worse.
    """

    of: Sourced
    deepest_Pa: float
    voids: float
    worse: float | None
    worse_for_voids: float | None

    def to_dict(self) -> dict[str, Any]:
        """Return plain types: the number as the tables have it, and what it moves."""
        return {
            **self.of.to_dict(),
            "deepest_change_Pa": self.deepest_Pa,
            "worse": self.worse,
            "voids_change": self.voids,
            "worse_for_voids": self.worse_for_voids,
        }


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Weakest(Answer):
    """The numbers that a case stands on, those that move it most first.

    deepest_Pa, at_Pa, voids: the case as the tables have it (of prepreg deepest is what its resin
    has to be under); voids at at_Pa, the bag pressure told, else its setpoint or its weakest bag.
    numbers: by their effect on deepest, then on the voids; by_voids the other way
    round. unmoved: how many were moved and did nothing. left_out: names of those that could not be
    moved alone.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> found = outgas.weakest("orthophthalic-polyester", shop)
    >>> [each.of.name for each in found.numbers if each.of.file == "gas.toml"][:2]
    ['gas.laminate.connected', 'gas.laminate.trapped']
    """

    _shown = ("resin", "process", "deepest_Pa", "voids")

    resin: str
    process: str
    barometer_Pa: float
    deepest_Pa: float
    at_Pa: float
    voids: float
    numbers: tuple[Moved, ...]
    unmoved: int
    left_out: tuple[str, ...]

    @property
    def by_voids(self) -> tuple[Moved, ...]:
        """The numbers by what they do to the expected voids, then to deepest."""
        return tuple(sorted(self.numbers, key=lambda m: (-m.voids, -m.deepest_Pa, m.of.name)))

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, but each number in its own unit, with a version."""
        return {
            "kind": "outgas weakest numbers",
            "version": VERSION,
            "resin": self.resin,
            "process": self.process,
            "barometer_Pa": self.barometer_Pa,
            "deepest_Pa": self.deepest_Pa,
            "at_Pa": self.at_Pa,
            "voids": self.voids,
            "numbers": [each.to_dict() for each in self.numbers],
            "unmoved": self.unmoved,
            "left_out": list(self.left_out),
        }

    @property
    def report(self) -> Report:
        """The answer told: what moves deepest, then what moves the voids."""
        first = Line(
            f"{self.resin}, {self.process}: deepest {{}}, {self.voids:.1%} voids at {{}} at the "
            "likeliest. Each number at its worse 95 % end, in brackets, the others as they are:",
            (At(self.deepest_Pa, plain=True), At(self.at_Pa, plain=True)),
        )
        deep = [m for m in self.numbers if m.deepest_Pa > TOLD_PA][:MOST_TOLD]
        voids = [m for m in self.by_voids if m.voids > 0.0][:MOST_TOLD]
        nothing = lines(("nothing: no number moves it",))
        raising = tuple(map(_deepest_line, deep)) or nothing
        adding = tuple(map(_voids_line, voids)) or nothing
        blocks = (
            Block("What raises deepest", raising),
            Block("What adds voids", adding),
            Block("Beside them", lines(self._beside())),
        )
        short = Short((first, *raising[:BRIEFLY], *lines(("Voids:",)), *adding[:BRIEFLY]))
        return Report(self.barometer_Pa, (first,), blocks, short=short)

    def _beside(self) -> Iterator[str]:
        yield f"{self.unmoved} more numbers were moved and did nothing here"
        yield (
            "not moved: the curves of the vapours, and what the rate of cure is solved from "
            f"({', '.join(BUILT_FROM)})"
        )
        if self.left_out:
            yield f"cannot be moved alone here: {', '.join(self.left_out)}"


def _told(moved: Moved, worse: float | None) -> str:
    at = moved.of.told(*(() if worse is None else (worse,)))
    return f"{moved.of.name}: {at}, {moved.of.number.how}"


def _deepest_line(moved: Moved) -> Line:
    by = At(moved.deepest_Pa, nearest=True, off_dial=True)
    return Line(f"{{}} by {_told(moved, moved.worse)}", (by,))


def _voids_line(moved: Moved) -> Line:
    return Line(f"{moved.voids:.2%} by {_told(moved, moved.worse_for_voids)}")


def weakest(
    resin: "str | Resin | SavedJob | None" = None, shop: Shop | None = None, **told: Any
) -> Weakest:
    """Rank the numbers of the tables by what they do to deepest and to the expected voids.

    Parameters
    ----------
    resin, shop, **told
        As of advise, one case; orthophthalic polyester in a shop at 22 degC and 50 % if not given.

    Returns
    -------
    A Weakest: pressures [Pa] absolute, voids as a share, each number in its own unit.

    Raises
    ------
    InputError, RefusedError
        As of advise.

    Notes
    -----
    effect = max over both 95 % ends of (limit with the number at that end) - (limit as it is), one
    number at a time, never below zero; this project's own derivation. A limit is the greatest of
    its criteria at their likeliest, each with the allowance for doubt that it has now, so what a
    number of the gas does to the air's limit is what advise names in weakest_numbers. A debulk that
    the case has stays, as does the want of one. Voids are at
    the likeliest, at the bag pressure that was told, else at the setpoint of the case as it is (its
    weakest bag, where it has none). Numbers act together too: `uncertainty` has the shares of that.

    Only this thread's tables are moved, and only in memory. Curves of vapours and rates of cure
    are not built anew, so what they are built from is left out.

    Examples
    --------
    >>> import outgas
    >>> found = weakest()
    >>> found.resin, found.numbers[0].of.name, found.numbers[0].worse
    ('orthophthalic-polyester', 'gas.laminate.connected', 40.0)
    >>> found.numbers[0].deepest_Pa > found.numbers[1].deepest_Pa
    True
    """
    asked = asked_case(resin, shop, told)
    base = _Base.of(asked)
    found: list[Moved] = []
    unmoved, left_out = 0, []
    for number in every_number():
        if not counts(number, base.window.job):
            continue
        moved = base.moved(number)
        if moved is None:
            left_out.append(number.name)
        elif moved.deepest_Pa or moved.voids:
            found.append(moved)
        else:
            unmoved += 1
    found.sort(key=lambda m: (-m.deepest_Pa, -m.voids, m.of.name))
    job = base.window.job
    return Weakest(
        resin=job.resin.name,
        process=job.process.name,
        barometer_Pa=job.shop.barometer_Pa,
        deepest_Pa=base.window.limits.deepest,
        at_Pa=base.at_Pa,
        voids=base.voids,
        numbers=tuple(found),
        unmoved=unmoved,
        left_out=tuple(left_out),
    )


def asked_case(
    resin: "str | Resin | SavedJob | None", shop: Shop | None, told: Mapping[str, Any]
) -> dict[str, Any]:
    """Return what is told of one case, the standard's own where nothing is."""
    asked = asked_of(resin, shop, told)
    standard: dict[str, Any] = dict(STANDARD)
    if "barometer" in asked:
        standard.pop("altitude")
    return {**standard, **{key: value for key, value in asked.items() if value is not None}}


def counts(number: Sourced, job: Job) -> bool:
    """Return whether a number is one that a job's window may stand on, and that can be moved."""
    low, high = number.number.ends
    if low == high:
        return False
    top, field = str(number.way[0]), str(number.way[-1])
    plies = job.layup.plies
    if number.file == "practice.toml":
        if top == "process":
            return number.way[1] == job.process.name.replace(" ", "-")
        return top in _SECTIONS and (top != "heat" or bool(plies))
    if number.file == "resins.toml":
        return top == job.resin.name and field not in BUILT_FROM
    if number.file == "transport.toml":
        return top == job.resin.family.replace(" ", "-")
    if number.file == "prepreg.toml":
        return job.process.preimpregnated
    named = {
        "reinforcements.toml": [ply.fabric.name for ply in plies],
        "cores.toml": [] if job.layup.core is None else [job.layup.core.name],
        "tools.toml": [] if job.layup.tool is None else [job.layup.tool.name],
        "consumables.toml": list(job.process.bag_side) if plies else [],
    }
    return number.file == "gas.toml" or top in named.get(number.file, [])


def _reader(asked: Mapping[str, Any]) -> Reader:
    cases = cases_of(asked)
    if cases.axes:
        raise InputError(f"{cases.axes[0].name} has several values; give one case")
    return Reader(cases)


def window_of_told(asked: Mapping[str, Any]) -> Window:
    """Return the window of what is told, read from the tables as they stand now."""
    job = _reader(asked).job(0)
    refuse(job)
    return windows_of([(job, case_of(job))])[0]


def voids_of(case: Case, course: Course, pressure: float) -> float:
    """Return the void fraction at the likeliest, cured at a pressure [Pa]."""
    if case.process.gas_leaves:
        return 0.0
    known = course.but(known=course.all_known())
    return float(known.outcome(pressure).void_fraction(case.fibre_fraction))


@dataclass(frozen=True, slots=True)
class _Base:
    """A case with every number as the tables have it."""

    asked: Mapping[str, Any]
    window: Window
    held: tuple[Limits, ...]  # by each hold of which the worst sets the limit
    at_Pa: float
    voids: float

    @classmethod
    def of(cls, asked: Mapping[str, Any]) -> "_Base":
        window = window_of_told(asked)
        bag = _reader(asked).bag(0)
        at = window.shallowest if window.setpoint is None else window.setpoint
        at = at if bag is None else bag.absolute_Pa
        held = tuple(_each_hold(window.case, window.course))
        return cls(asked, window, held, at, voids_of(window.case, window.course, at))

    def moved(self, number: Sourced) -> Moved | None:
        """Return what a number does at its worse end; None where no end can be worked."""
        found: list[tuple[float, float, float]] = []
        for end in number.number.ends:
            try:
                with putting(moved_to(number, end)):
                    found.append((*self._worse_by(), end))
            except OutgasError:
                continue  # the end alone leaves what a model or a record allows
        if not found:
            return None
        deeper, _, at = max(found)
        _, added, at_voids = max(found, key=lambda each: each[1])
        return Moved(
            number,
            deeper if deeper > LEAST_PA else 0.0,
            added if added > LEAST_VOIDS else 0.0,
            at if deeper > LEAST_PA else None,
            at_voids if added > LEAST_VOIDS else None,
        )

    def _worse_by(self) -> tuple[float, float]:
        """Return how much deepest [Pa] and the voids rise with the tables as they stand now.

        What was decided stays: a debulk that the case has is had, one that it has not is not.
        """
        window = window_of_told(self.asked)
        case = window.case
        course = course_of(case, None)
        if self.window.course.early_Pa is not None:
            course = after_early(course, case, window.debulk_hold)
        now = max(map(_kept, _each_hold(case, course), self.held))
        was = max(held.deepest for held in self.held)
        return now - was, voids_of(case, course, self.at_Pa) - self.voids


def _each_hold(case: Case, course: Course) -> Iterator[Limits]:
    """Return the limits of a course by each hold of which the worst sets the limit."""
    return (limits(case, course.but(hold_s=hold)) for hold in holds_of(case))


def _kept(now: Limits, was: Limits) -> float:
    """Return what deepest is now, with the allowances for doubt that it had [Pa]."""
    return max(now.nominal[name] + was.safe[name] - was.nominal[name] for name in was.nominal)
