"""A pump switched by hand: between which pressures, how long each takes, and whether a hand can."""

import math
from dataclasses import dataclass
from typing import Any

from outgas.job.rig import Rig
from outgas.no_gauge.held import in_mbar
from outgas.physics import flow
from outgas.show.report import At, Line
from outgas.tables import catalogue

BAND_SHARE = 0.1  # of the setpoint, that a switched pump may wander up where no limit is closer
LEAST_OFF_S = 60.0  # a pump switched more often than this wears out
LATE_S = 2.0  # by which a hand is late on a switch


@dataclass(frozen=True, slots=True, kw_only=True)
class Switching:
    """A pump switched by hand: off at low_Pa, on again at high_Pa, and how long each takes [s].

    late_Pa is where the bag ends if the hand on the switch is two seconds late; floor_Pa what it
    must not pass: the deepest safe, or without one the band's own depth below the setpoint.
    """

    low_Pa: float
    high_Pa: float
    off_s: float
    on_s: float
    volume_m3: float
    leak_Pa_m3_s: float
    late_Pa: float
    floor_Pa: float

    @property
    def steerable(self) -> bool:
        """Whether a hand is quick enough not to pass the floor."""
        return self.late_Pa >= self.floor_Pa

    @property
    def practical(self) -> bool:
        """Whether the pump rests long enough between, and a hand can steer it."""
        return self.off_s >= LEAST_OFF_S and self.steerable

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI."""
        return {
            "off_at_Pa": self.low_Pa,
            "on_at_Pa": self.high_Pa,
            "off_s": self.off_s,
            "on_s": self.on_s,
            "volume_m3": self.volume_m3,
            "leak_Pa_m3_s": self.leak_Pa_m3_s,
            "two_seconds_late_Pa": self.late_Pa,
            "floor_Pa": self.floor_Pa,
            "practical": self.practical,
        }

    @property
    def line(self) -> Line:
        """When to switch, how long each takes, and what a late hand does."""
        often = "" if self.off_s >= LEAST_OFF_S else "; too often for a pump: find the leak"
        deep = "" if self.steerable else ", too deep: use the plate"
        on = math.floor(self.on_s * 10.0) / 10.0 if self.on_s < 10.0 else math.floor(self.on_s)
        return Line(
            f"off at {{}}, on at {{}}: off for {math.ceil(self.off_s)} s, on for no more than "
            f"{max(on, 0.1):g} s; a hand {LATE_S:.0f} s late on the switch lets it fall to "
            f"{{}}{deep}{often}",
            (At(self.low_Pa), At(self.high_Pa, weaker=False), in_mbar(self.late_Pa)),
        )


def switched(
    rig: Rig, p: float, here: float, ultimate: float, window: tuple[float | None, float | None]
) -> tuple[Switching | None, str]:
    """Return the band in which a pump of this ultimate [Pa] is switched, or why there is none."""
    deep, weak = window
    volume = rig.volume()
    if volume is None or not rig.leak:
        return None, "needs the bag's volume (or area) and its leak: make a drop test first"
    if rig.pump_displacement is None:
        return None, "needs what the pump moves"
    low = p  # the setpoint keeps clear of deepest by the error of reading: never below it
    high = min(p + BAND_SHARE * p, here, here if weak is None else weak)
    if high <= low:
        return None, "the window leaves no band to wander in"
    small = volume[1]  # the least volume fills fastest
    share = catalogue.rigs().displacement_share
    fast = rig.pump_displacement * share.high_si
    on = float(flow.pump_down_time(small, flow.Pull(fast, ultimate, rig.leak), high, low))
    off = float(flow.rise_time(small, rig.leak, high - low))
    likely = rig.pump_displacement * share.si
    usual = flow.Pull(likely, ultimate, rig.leak)
    if not math.isfinite(flow.pump_down_time(small, usual, high, low)):
        return None, "this pump with this leak does not get down to the setpoint"
    quick = fast / small  # the fastest fall, towards nothing
    made = Switching(
        low_Pa=low,
        high_Pa=high,
        off_s=off,
        on_s=on,
        volume_m3=volume[0],
        leak_Pa_m3_s=rig.leak,
        late_Pa=low * math.exp(-quick * LATE_S),
        floor_Pa=low - (high - low) if deep is None else deep,
    )
    return made, ""
