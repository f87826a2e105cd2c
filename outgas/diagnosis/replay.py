"""What a laminate would have held, had its bag been held otherwise."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas.errors import InputError
from outgas.job.degassed import read_degassed
from outgas.job.gauge import reading_of
from outgas.job.job import Job
from outgas.laminate.course import Course, course_of, look_of, target_of
from outgas.physics.chance import Band
from outgas.show.amounts import voids_of
from outgas.window.window import Window, window_of

if TYPE_CHECKING:
    from outgas.units import Measure


@dataclass(frozen=True, slots=True)
class Replay:
    """What the laminate would have held: voids, likely look, and what would have made them.

    voids: share of the laminate, with its 95 % ends; look: clear, hazy or milky; cause:
    'resin-boiling', 'dissolved-air' where the voids are over the target, None where neither.
    """

    voids: Band
    look: str
    cause: str | None

    def to_dict(self) -> dict[str, Any]:
        """Return plain types; the voids as nominal, low and high."""
        return {
            "voids": [self.voids.nominal, self.voids.low, self.voids.high],
            "look": self.look,
            "cause": self.cause,
        }

    def __str__(self) -> str:
        """Return it in words.

        >>> str(Replay(Band(0.014, 0.0, 0.034), "hazy", None))
        '1.4% voids (0 to 4), hazy'
        """
        why = {"resin-boiling": ": it boils", "dissolved-air": ": its air comes out"}
        return f"{voids_of(self.voids)}, {self.look}{why.get(self.cause or '', '')}"


class Behind:
    """The job behind a diagnosis, for what is asked of it later; worked out when asked for.

    bag_Pa is what its bag was at, in the middle of what was told; debulked: after a debulk.
    """

    __slots__ = ("_bag_Pa", "_debulked", "_job")

    def __init__(self, job: Job, bag_Pa: float, debulked: bool) -> None:
        self._job, self._bag_Pa, self._debulked = job, bag_Pa, debulked

    def __reduce__(self) -> tuple[Any, ...]:
        return Behind, (self._job, self._bag_Pa, self._debulked)

    def replay(
        self,
        pressure: "Measure | None",
        degassed: "Measure | None",
        debulk: "bool | Measure | None",
    ) -> Replay:
        """Return what the laminate would have held."""
        job, here = self._job, self._job.shop.barometer_Pa
        if not job.process.wet_bag:
            raise InputError(
                f"process is {job.process.name}; only wet resin under a bag is held otherwise by it"
            )
        if degassed is not None:
            pot = read_degassed(degassed, here)
            assert pot is not None
            _below(pot.pressure_Pa, here, "degassed")
            job = job.but(pot=pot, air_Pa=None)
        p = self._bag_Pa if pressure is None else _read(pressure, here, "pressure")
        window = window_of(job)
        course = _course(window, self._debulked if debulk is None else debulk)
        target = target_of(window.case)
        voids = course.voids(p, target)
        cause = "dissolved-air" if voids.nominal > target.void else None
        if course.outcome(p).boiled.any():
            cause = "resin-boiling"
        return Replay(voids, look_of(course.depth(p, target))[0], cause)


def _course(window: Window, debulk: "bool | Measure") -> Course:
    """Return the course of a window with its debulk, without, or with one at a pressure."""
    here = window.job.shop.barometer_Pa
    if debulk is False:
        return course_of(window.case, None)
    early = window.debulk_hold if debulk is True else _read(debulk, here, "debulk")
    return course_of(window.case, early if early < here else None)


def _read(value: "Measure", barometer_Pa: float, name: str) -> float:
    """Return a pressure that was given [Pa], refused above the air's."""
    return _below(reading_of(value, barometer_Pa, name).absolute_Pa, barometer_Pa, name)


def _below(pressure: float, barometer_Pa: float, name: str) -> float:
    """Return a pressure [Pa] that is no more than the air's."""
    if pressure > barometer_Pa:
        raise InputError(
            f"{name} is {pressure / 100:.0f} mbar absolute, above the barometer's "
            f"{barometer_Pa / 100:.0f} mbar; for a vacuum write '28 inHg vacuum'"
        )
    return pressure
