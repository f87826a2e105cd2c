"""A whole plan: stages on one clock, the rules it breaks, what the resin lives through in it."""

import csv
import io
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, overload

import numpy as np

from outgas import units
from outgas.errors import InputError
from outgas.job.asking import AskedAnswer, Asking
from outgas.job.process import process_of
from outgas.plan.stage import Stage
from outgas.show.chart import Maker
from outgas.show.report import Line, Report
from outgas.tables.materials import Resin
from outgas.tables.practice import Process
from outgas.window.advice import Advice

if TYPE_CHECKING:
    from outgas.laminate.bubble_history import BubbleHistory
    from outgas.units import Measure, Quantity

KIND = "outgas schedule"
VERSION = 1  # of to_dict() and of the CSV's columns


@dataclass(frozen=True, slots=True)
class Break:
    """A rule that the plan cannot keep: the stage, what is wrong, what would mend it."""

    stage: str
    line: Line
    mends: tuple[Line, ...]

    @property
    def text(self) -> str:
        """What is wrong, pressures in mbar."""
        return str(self.line)

    @property
    def changes(self) -> tuple[str, ...]:
        """What would mend it, pressures in mbar."""
        return tuple(str(line) for line in self.mends)

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class Lived:
    """What the resin lives through at one moment of a plan, in its hottest layer."""

    time_s: float
    temperature_K: float
    conversion: float
    pressure_Pa: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Schedule(AskedAnswer, Sequence[Stage]):
    """A plan minute by minute: a sequence of stages on one clock.

    Time zero is when the initiator or hardener goes in (for prepreg, when the oven starts).

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> layup = outgas.Layup(plies=["1 x 400 g/m2 woven glass"])
    >>> plan = outgas.schedule("orthophthalic-polyester", shop, layup=layup)
    >>> plan.stage("mix").start.m, plan.to_dict()["kind"], plan.bubbles("50 um").radius.ndim
    (0.0, 'outgas schedule', 2)
    >>> plan.to_csv().splitlines()[-1].split(",")[-2:]
    ['0', 'end']
    """

    _shown = ("resin", "process", "fits", "gel_s")
    _asked_in = "outgas.plan.schedule"

    resin: str
    resin_title: str
    resin_record: Resin
    process: str
    barometer_Pa: float
    stages: tuple[Stage, ...]
    breaks: tuple[Break, ...]
    advice: Advice
    batch_kg: float | None
    pot_life_s: float | None
    gel_s: float | None
    gel_interval_s: tuple[float, float] | None
    fits_if_gel_after_s: float | None
    hold_s: float | None
    peak_K: float | None
    peak_s: float | None
    resin_pressure_Pa: tuple[tuple[float, float], ...]
    lived: tuple[Lived, ...]
    air_left_Pa: tuple[float, float]  # in the resin when it is laid up: nominal, and at most
    assumed: tuple[Line, ...]
    cautioned: tuple[Line, ...]
    words: Callable[["Schedule"], Report] = field(repr=False, compare=False)
    pictures: Callable[["Schedule"], Mapping[str, Maker]] = field(repr=False, compare=False)
    asking: Asking | None = field(default=None, repr=False, compare=False)

    @property
    def facts(self) -> Process:
        """What its process is like."""
        return process_of(self.process)

    def __len__(self) -> int:
        return len(self.stages)

    def __iter__(self) -> Iterator[Stage]:
        return iter(self.stages)

    @overload
    def __getitem__(self, index: int) -> Stage: ...
    @overload
    def __getitem__(self, index: slice) -> "tuple[Stage, ...]": ...
    def __getitem__(self, index: int | slice) -> "Stage | tuple[Stage, ...]":
        return self.stages[index]

    def stage(self, name: str) -> Stage:
        """Return the first stage of a name; KeyError with the names there are."""
        for stage in self.stages:
            if stage.name == name:
                return stage
        raise KeyError(f"no stage {name!r}; there are {', '.join(s.name for s in self.stages)}")

    @property
    def total(self) -> "Quantity":
        """From the first stage's start to the last one's end [s]."""
        return units.quantity(self.stages[-1].end_s - self.stages[0].start_s, "s")

    @property
    def pot_life(self) -> "Quantity | None":
        """Of this batch in one cup [s]; None for prepreg."""
        return None if self.pot_life_s is None else units.quantity(self.pot_life_s, "s")

    @property
    def gel_time(self) -> "Quantity | None":
        """Of the laminate, not of the cup [s]."""
        return None if self.gel_s is None else units.quantity(self.gel_s, "s")

    @property
    def history(self) -> "dict[str, Quantity]":
        """What the resin lives through from mixing until its gel holds: what bubbles ask for.

        time [s], temperature [K] and conversion of the hottest layer, pressure [Pa] (the bag's;
        for prepreg the least in its own resin), all of one length; empty for a pot of plain resin.
        """
        lived = self.lived
        return {
            "time": units.quantity(np.array([m.time_s for m in lived]), "s"),
            "temperature": units.quantity(np.array([m.temperature_K for m in lived]), "K"),
            "conversion": units.quantity(np.array([m.conversion for m in lived]), ""),
            "pressure": units.quantity(np.array([m.pressure_Pa for m in lived]), "Pa"),
        }

    def bubbles(self, radius: "Measure" = "30 um", **more: Any) -> "BubbleHistory":
        """Return what becomes of bubbles in the resin under this plan: outgas.bubble_growth.

        The resin's air is what the plan's degassing leaves at its least. more is handed on:
        entrained, escape, number ... No gas leaves unless escape says so. InputError for a plan
        without a laminate.

        Notes
        -----
        Equations and sources as in outgas.bubble_growth.
        """
        from outgas.laminate.bubbles import bubble_growth

        if not self.lived:
            raise InputError(f"a plan for {self.process} has no laminate to follow bubbles in")
        lived = self.history
        conversion = lived["conversion"].m
        more.setdefault("air_pressure", units.quantity(self.air_left_Pa[1], "Pa"))
        return bubble_growth(
            self.resin_record,
            radius,
            lived["time"],
            lived["temperature"],
            lived["pressure"],
            cure=conversion,
            **more,
        )

    @property
    def safe(self) -> bool:
        """The same as fits."""
        return self.fits

    @property
    def fits(self) -> bool:
        """Whether every rule is kept, for a batch that gels when its sheet says."""
        return not self.breaks

    @property
    def fits_if_gel_after(self) -> "Quantity | None":
        """A plan that fits, but not a quick batch: the earliest that your cup may gel [s]."""
        least = self.fits_if_gel_after_s
        return None if least is None else units.quantity(least, "s")

    @classmethod
    def _kind(cls) -> tuple[str, int]:
        return KIND, VERSION

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        low, high = self.gel_interval_s or (None, None)
        return {
            "kind": KIND,
            "version": VERSION,
            "asked": None if self.asking is None else self.asking.to_dict(),
            "resin": self.resin,
            "process": self.process,
            "barometer_Pa": self.barometer_Pa,
            "fits": self.fits,
            "fits_if_gel_after_s": self.fits_if_gel_after_s,
            "total_s": self.stages[-1].end_s - self.stages[0].start_s,
            "batch_kg": self.batch_kg,
            "pot_life_s": self.pot_life_s,
            "gel_time_s": self.gel_s,
            "gel_time_low_s": low,
            "gel_time_high_s": high,
            "gel_holds_at_s": self.hold_s,
            "peak_K": self.peak_K,
            "peak_at_s": self.peak_s,
            "breaks": [
                {"stage": b.stage, "text": b.text, "changes": list(b.changes)} for b in self.breaks
            ],
            "stages": [stage.to_dict() for stage in self.stages],
            "history": [
                {
                    "time_s": m.time_s,
                    "temperature_K": m.temperature_K,
                    "conversion": m.conversion,
                    "bag_Pa": m.pressure_Pa,
                }
                for m in self.lived
            ],
            "air_left_Pa": self.air_left_Pa[0],
            "air_left_high_Pa": self.air_left_Pa[1],
            "resin_pressure": [{"time_s": t, "resin_Pa": p} for t, p in self.resin_pressure_Pa],
            "assumptions": list(self.assumptions),
            "cautions": list(map(str, self.cautions)),
            "advice": self.advice.to_dict(),
        }

    def to_csv(self) -> str:
        """Return the plan for a controller: one row a stage, time and absolute pressures in SI.

        setpoint_Pa is empty where the stage means as deep as the pump goes and its reach is not
        known (name the pump in the rig), never_deeper_Pa where nothing bounds it: no column ever
        carries 0 Pa. Bounds round to the safe side. vacuum is 0 where there is none, with the
        barometer in each column. The last row ends the plan, with the vacuum off.
        """
        out = io.StringIO()
        table = csv.writer(out, lineterminator="\n")
        table.writerow(
            ("time_s", "setpoint_Pa", "never_deeper_Pa", "never_weaker_Pa", "vacuum", "stage")
        )
        here = f"{self.barometer_Pa:.0f}"
        for s in self.stages:
            held = _whole(s) if s.vacuum else (here, here, here)
            table.writerow((f"{s.start_s:.0f}", *held, int(s.vacuum), s.name))
        table.writerow((f"{self.stages[-1].end_s:.0f}", here, here, here, 0, "end"))
        return out.getvalue()


def _whole(stage: Stage) -> tuple[str, str, str]:
    """Return setpoint and bounds in whole Pa, rounded to the safe side; nothing for no bound."""
    low, high = math.ceil(stage.low_Pa), math.floor(stage.high_Pa)
    hold = "" if stage.setpoint_Pa is None else f"{max(math.ceil(stage.setpoint_Pa), low)}"
    return hold, f"{low}" if low > 0 else "", f"{high}"
