"""One stage of a plan, in SI floats with quantities at the door."""

import math
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from outgas import units
from outgas.constants import ZERO_CELSIUS_K
from outgas.show.amounts import celsius, clock, duration
from outgas.show.answer import Answer
from outgas.show.report import WIDTH, At, Block, Brief, Line, Report, Short, joined, lines

if TYPE_CHECKING:
    from outgas.units import Quantity

ROOM = 11  # columns that a stage's clock takes
ROUNDING_K = 1e-6  # so that a whole degree is not rounded past itself
TOO_WARM_K = 0.5  # less is lost in the rounding
SECONDS_BELOW_S = 90.0  # people count shorter spans in seconds

# What a stage is to the rules and to what the resin lives through; "" is none of their business.
StageKind: TypeAlias = Literal["", "wet out", "fill", "debulk", "hold", "heat", "exotherm", "cure"]
# Names that a rule gives to what it breaks, whether there is such a stage or not.
HOLD_TO_THE_GEL, HOLD_AND_STIR = "hold to the gel", "hold and stir"
EXOTHERM_WATCH = "exotherm watch"


def span(seconds: float) -> str:
    """Return how long a stage takes, short ones in whole seconds."""
    return duration(seconds, seconds_below=SECONDS_BELOW_S, whole=True)


def whole_degc(kelvin: float) -> str:
    """Return a cap rounded down to a whole degree Celsius."""
    return f"{math.floor(kelvin - ZERO_CELSIUS_K + ROUNDING_K)} degC"


@dataclass(frozen=True, slots=True)
class Paragraphs(Block):
    """Lines each wrapped by itself, clear of the clock's columns."""

    def text(self, barometer: float, dial: str | None, us: bool = False) -> str:
        """Return them under the title, if there is one."""
        shown = [
            textwrap.fill(line.on(barometer, dial, us), WIDTH, subsequent_indent=" " * ROOM)
            for line in self.lines
        ]
        return "\n".join([self.title, *shown] if self.title else shown)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage(Answer):
    """One step: when, how long, the pressure to hold, and what tells you to go on or back off.

    low_Pa and high_Pa bound the bag (or pot) absolutely: never deeper, never weaker; setpoint_Pa
    is where to hold it, None for as deep as the pump goes where its reach is not known. They are
    the barometer's where there is no vacuum. limit_K: never warmer in the resin during this stage,
    None where nothing asks for it. expected_K: the warmest it should get. kind is what to look a
    stage up by.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> outgas.schedule("orthophthalic-polyester", shop, process="degassing")[-1].holds
    'nothing'
    """

    name: str
    kind: StageKind
    barometer_Pa: float
    start_s: float
    duration_s: float
    low_Pa: float
    high_Pa: float
    setpoint_Pa: float | None
    vacuum: bool
    dry: bool
    limit_K: float | None
    expected_K: float
    watch_for: str
    reason: Line
    cautions: tuple[str, ...] = ()

    @property
    def why(self) -> str:
        """Why it is done, pressures in mbar."""
        return str(self.reason)

    @property
    def holds(self) -> Literal["nothing", "until cold", "the pump's end", "a band"]:
        """What the bag or pot is held at."""
        if not self.vacuum or self.low_Pa >= self.barometer_Pa:
            return "nothing"
        if self.low_Pa <= 0.0:
            return "until cold" if self.high_Pa >= self.barometer_Pa else "the pump's end"
        return "a band"

    @property
    def held(self) -> Line:
        """Where to hold it, and between which pressures."""
        if self.holds == "nothing":
            return Line("no vacuum")
        if self.holds == "until cold":
            return Line("vacuum on until it is cold, then off")
        if self.holds == "the pump's end":
            weak = At(self.high_Pa, weaker=False)
            return Line("as deep as the pump goes, {} or deeper", (weak,))
        band = At(self.setpoint_Pa or self.low_Pa), At(self.low_Pa, brief=True)
        if self.high_Pa >= self.barometer_Pa:
            return Line("{}; never deeper than {}", band)
        high = At(self.high_Pa, weaker=False, brief=True)
        return Line("{}; never deeper than {}, never weaker than {}", (*band, high))

    @property
    def held_short(self) -> Line:
        """Where to hold it, with its bounds as bare numbers."""
        if self.holds != "a band":
            return self.held
        hold = Brief(self.setpoint_Pa or self.low_Pa, absolute=True)
        low = Brief(self.low_Pa, named=False)
        if self.high_Pa >= self.barometer_Pa:
            return Line("{}; never deeper than {}", (hold, low))
        high = Brief(self.high_Pa, weaker=False, named=False)
        return Line("{}; never deeper than {}, never weaker than {}", (hold, low, high))

    @property
    def short(self) -> Line:
        """The stage in one line: when, what, how long, and how deep."""
        head = f"{clock(self.start_s):>9}  {self.name}, {span(self.duration_s)}: "
        whole = {"the pump's end": "as deep as it goes", "until cold": "vacuum till cold, then off"}
        if self.holds in whole:
            return Line(f"{head}{whole[self.holds]}")
        if self.holds != "a band":
            return joined((head, self.held))
        hold = Brief(self.setpoint_Pa or self.low_Pa, absolute=True)
        low = Brief(self.low_Pa, named=False)
        return joined((head, Line("{}, deepest {}", (hold, low))))

    @property
    def too_warm(self) -> bool:
        """Whether it should get warmer than it may."""
        return self.limit_K is not None and self.expected_K > self.limit_K + TOO_WARM_K

    @property
    def warmest(self) -> str:
        """How warm the resin may be, down to a whole degree; nothing where nothing asks for it."""
        return "" if self.limit_K is None else f"resin no warmer than {whole_degc(self.limit_K)}"

    @property
    def lines(self) -> tuple[Line, ...]:
        """The stage under its clock: what to hold, how warm, what to watch for, why."""
        head = f"{clock(self.start_s):>9}  {self.name}, {span(self.duration_s)}: "
        under: list[Line | str] = ["", f"watch: {self.watch_for}", joined(("why: ", self.reason))]
        if not self.dry:
            about = f"about {celsius(self.expected_K)} expected"
            under[0] = f"resin {about}" if self.limit_K is None else f"{self.warmest} ({about})"
            if self.too_warm:
                under[0] = f"{self.warmest}, but {about}: this does not hold"
        shown = (joined((" " * ROOM, line)) for line in under if line)
        return (joined((head, self.held)), *shown)

    @property
    def report(self) -> Report:
        """The stage told, with what can hurt in it."""
        first, *rest = self.lines
        careful = Block("Cautions", lines(self.cautions))
        return Report(
            self.barometer_Pa,
            (first,),
            (Paragraphs("", tuple(rest), part="do"), careful),
            apart="\n",
            short=Short((first, *rest), most=len(self.lines) + len(self.cautions)),
        )

    @property
    def end_s(self) -> float:
        """When it is over [s]."""
        return self.start_s + self.duration_s

    @property
    def start(self) -> "Quantity":
        """From the moment the initiator or hardener goes in [s]; negative before it."""
        return units.quantity(self.start_s, "s")

    @property
    def duration(self) -> "Quantity":
        """How long [s]."""
        return units.quantity(self.duration_s, "s")

    @property
    def pressure(self) -> "tuple[Quantity, Quantity]":
        """Deepest and weakest absolute pressure of the bag or pot [Pa]."""
        return units.quantity(self.low_Pa, "Pa"), units.quantity(self.high_Pa, "Pa")

    @property
    def setpoint(self) -> "Quantity | None":
        """Where to hold it, absolute [Pa]; None for as deep as the pump goes."""
        return None if self.setpoint_Pa is None else units.quantity(self.setpoint_Pa, "Pa")

    @property
    def temperature_limit(self) -> "Quantity | None":
        """The warmest the resin may be in this stage [K]; None where nothing asks for it."""
        return None if self.limit_K is None else units.quantity(self.limit_K, "K")

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key.

        setpoint_Pa is null where the pump's reach is not known, temperature_limit_K for no limit.
        """
        return {
            "name": self.name,
            "start_s": self.start_s,
            "duration_s": self.duration_s,
            "pressure_low_Pa": self.low_Pa,
            "pressure_high_Pa": self.high_Pa,
            "setpoint_Pa": self.setpoint_Pa,
            "vacuum": self.vacuum,
            "resin_present": not self.dry,
            "temperature_limit_K": self.limit_K,
            "temperature_expected_K": self.expected_K,
            "watch_for": self.watch_for,
            "why": self.why,
            "cautions": list(map(str, self.cautions)),
        }


def stage_of(found: Iterable[Stage], *kinds: StageKind) -> Stage | None:
    """Return the first stage of one of some kinds."""
    return next((stage for stage in found if stage.kind in kinds), None)
