"""How far what panels teach can be trusted, by shops with a story of their own.

`python tests/panels/panel_calibration.py 500` prints the table: of so many shops, half of them
debulking, after 0, 1, 3, 10 and 30 panels

deeper   share of shops whose limit is deeper than what their laminates really stand
covered  share whose truth lies in the 95 % interval of the draws
bias     what the draws have in their middle less the truth, mbar (median of the shops)
width    of the 95 % interval, mbar (median)
margin   what the limit keeps from the truth, mbar (median)
past     share of shops whose limit is deeper than by the tables alone
refused  share of logs that nothing was learnt from
"""

import sys
from dataclasses import dataclass

import numpy as np
import panel_shops as made_up

import outgas
from outgas.job.job import Job as Read
from outgas.laminate.case import Case
from outgas.laminate.course import Course, course_of, target_of
from outgas.laminate.gas import limits as gas_limits
from outgas.laminate.gas.joint import joint
from outgas.laminate.gas.limits import Target
from outgas.laminate.gas.together import limits_of
from outgas.panels import weighing
from outgas.panels.panel import panel_of
from outgas.panels.told import job_of_panel
from outgas.window.case.defaults import case_of
from outgas.window.limits import vapour_limit

NUMBERS = (0, 1, 3, 10, 30)
MBAR_Pa = 100.0
MEASURED = 0.25  # of the panels, of which the voids were counted too


@dataclass(frozen=True)
class Row:
    """What came out for a number of panels."""

    panels: int
    deeper: float
    covered: float
    bias: float
    width: float
    margin: float
    past_tables: float
    refused: float

    def __str__(self) -> str:
        return (
            f"{self.panels:6d}  {100 * self.deeper:6.1f}  {100 * self.covered:7.1f}  "
            f"{self.bias:6.0f}  {self.width:6.0f}  {self.margin:6.0f}  "
            f"{100 * self.past_tables:6.1f}  {100 * self.refused:6.1f}"
        )


HEAD = "panels  deeper  covered    bias   width  margin  past tables, %  refused, %"


def row_of(told: float, look: str, void: float | None, debulk: bool) -> dict[str, str]:
    """Return a panel as a log has it."""
    row = {
        "resin": made_up.RESIN,
        "temperature": made_up.TEMPERATURE,
        "humidity": made_up.HUMIDITY,
        "cure": f"{told:.0f} mbar",
        "look": look,
    }
    if debulk:
        row["debulk"] = f"{made_up.DEBULK_Pa / MBAR_Pa:.0f} mbar"
    if void is not None:
        row |= {"voids": f"{100 * void:.2f} %", "voids_error": "0.5 %"}
    return row


def remembering(predicted_all):
    """Return the same, remembering what it made of the first draws: they are always the same."""
    kept = {}

    def found(panels, ways):
        first = ways["trapped"].size == weighing.DRAWS
        if not first:
            return predicted_all(panels, ways)
        new = [made for made in panels if made.key not in kept]
        kept.update(zip((made.key for made in new), predicted_all(new, ways), strict=True))
        return [kept[made.key] for made in panels]

    return found


def course(job: Read, debulk: bool) -> tuple[Case, Course, Target]:
    """Return the course of the job that a shop wants to know of, and its target."""
    case = case_of(job)
    return case, course_of(case, made_up.DEBULK_Pa if debulk else None), target_of(case)


def judged(known, debulk: bool) -> tuple[float, float, float, float, float]:
    """Return the safe limit, ends and middle of the draws, and what vapour asks for [Pa]."""
    plain = job_of_panel(panel_of(row_of(600, "clear", None, debulk)), None)
    case, of, target = course(plain.but(experience=known), debulk)
    (limit,) = limits_of([(of, target)])
    least = vapour_limit(case)[1]
    if known is None:
        return float(limit.safe), np.nan, np.nan, float(limit.nominal), least
    shown = of.known.shown
    drawn = Target(
        fibre_fraction=target.fibre_fraction,
        thickness_m=target.thickness_m,
        void=target.void / shown.times,
    )
    found = gas_limits.limit(joint(of.known), of.steps, drawn, of.highest_Pa)
    found = np.where(np.isinf(found), of.highest_Pa, found)
    low, middle, high = np.quantile(found, (0.025, 0.5, 0.975))
    return float(limit.safe), float(low), float(high), float(middle), least


def calibrated(count: int, seed: int, numbers=NUMBERS) -> list[Row]:
    """Return the table of so many shops."""
    own = weighing.predicted_all
    weighing.predicted_all = remembering(own)
    try:
        return _calibrated(count, seed, numbers)
    finally:
        weighing.predicted_all = own


def _calibrated(count: int, seed: int, numbers) -> list[Row]:
    found, refused = {n: [] for n in numbers}, dict.fromkeys(numbers, 0)
    for debulk, some, at in ((True, (count + 1) // 2, seed), (False, count // 2, seed + 1000)):
        of = made_up.shops(some, at)
        truth = made_up.limits(of, debulk)
        logs = made_up.log(of, debulk, max(numbers), at + 1, MEASURED)
        by_tables = judged(None, debulk)[0]
        for s in range(some):
            rows = [row_of(*panel, debulk) for panel in logs[s]]
            for n in numbers:
                try:
                    known = outgas.learn(rows[:n]) if n else None
                except outgas.RefusedError:
                    refused[n] += 1
                    continue
                found[n].append((*judged(known, debulk), truth[s], by_tables))
    return [_row(n, np.array(found[n]), refused[n] / count) for n in numbers]


def _row(panels: int, of: np.ndarray, refused: float) -> Row:
    safe, low, high, middle, least, truth, by_tables = of.T
    # no bag is held deeper than the vapour's limit, whatever the air allows
    safe, low, high, middle, truth = (
        np.maximum(x, least) for x in (safe, low, high, middle, truth)
    )
    inside = (low <= truth) & (truth <= high)
    return Row(
        panels=panels,
        deeper=float((safe < truth).mean()),
        covered=float(inside.mean()) if panels else np.nan,
        bias=float(np.median(middle - truth)) / MBAR_Pa,
        width=float(np.median(high - low)) / MBAR_Pa,
        margin=float(np.median(safe - truth)) / MBAR_Pa,
        past_tables=float((safe < by_tables - 1.0).mean()),
        refused=refused,
    )


if __name__ == "__main__":
    print(HEAD)
    for line in calibrated(int(sys.argv[1]) if len(sys.argv) > 1 else 60, 16):
        print(line)
